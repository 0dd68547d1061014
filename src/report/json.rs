//! The result as JSON: all findings, the inputs used, versions. Every number's key ends in its unit.

use serde_json::{Map, Value, json};

use crate::estimate::{Input, Shape};
use crate::findings::{Band, Beyond, Extreme, FailedWing, Hold, HoldAt, SwimUp};
use crate::report::measure::{Quantity, UnitSystem};
use crate::report::{CAUTIONS, Report, VERSION, words};
use crate::sim::{Event, Happening};
use crate::units::Shown;

/// A JSON object that adds the unit to the key of every number.
#[derive(Clone, Debug)]
pub struct Fields {
    units: UnitSystem,
    map: Map<String, Value>,
}

impl Fields {
    /// An empty object.
    pub fn new(units: UnitSystem) -> Self {
        Self { units, map: Map::new() }
    }

    /// Adds a number, rounded to a millionth of its unit: below that stands only rounding.
    #[must_use]
    pub fn number(mut self, key: &str, quantity: Quantity, si: f64) -> Self {
        let value = (self.units.value(quantity, si) * 1e6).round() / 1e6;
        self.map.insert(format!("{key}_{}", self.units.suffix(quantity)), json!(value + 0.0));
        self
    }

    /// Adds a number, or null.
    #[must_use]
    pub fn maybe(mut self, key: &str, quantity: Quantity, si: Option<f64>) -> Self {
        match si {
            Some(si) => self.number(key, quantity, si),
            None => {
                self.map.insert(format!("{key}_{}", self.units.suffix(quantity)), Value::Null);
                self
            }
        }
    }

    /// Adds anything else.
    #[must_use]
    pub fn put(mut self, key: &str, value: impl Into<Value>) -> Self {
        self.map.insert(key.into(), value.into());
        self
    }

    /// The object.
    pub fn done(self) -> Value {
        Value::Object(self.map)
    }
}

/// The result of a run. `more` adds further top-level members, such as the lead range.
pub fn result(report: &Report<'_>, more: Vec<(&'static str, Value)>) -> Value {
    let mut object = Fields::new(report.units)
        .put("program", "lightpoint")
        .put("version", VERSION)
        .put("units", if report.units == UnitSystem::Metric { "metric" } else { "us" })
        .put("plan", plan(report))
        .put("run", run(report))
        .put("findings", findings(report));
    for (key, value) in more {
        object = object.put(key, value);
    }
    object
        .put("events", report.trace.events().iter().map(|e| event(report, e)).collect::<Vec<_>>())
        .put("inputs", report.inputs.iter().map(input).collect::<Vec<_>>())
        .put("notes", report.notes)
        .put("cautions", CAUTIONS)
        .done()
}

fn plan(report: &Report<'_>) -> Value {
    let source = report.source;
    json!({ "title": source.title, "file": source.plan, "sha256": source.sha256, "note": source.note })
}

fn run(report: &Report<'_>) -> Value {
    let settings = report.scenario.settings();
    Fields::new(report.units)
        .put("tolerance_kg", settings.tolerance_kg)
        .put("evaluations", report.trace.evaluations())
        .put(
            "gas_law",
            match settings.equation {
                crate::physics::gas::EquationOfState::Gerg2008 => "real (GERG-2008)",
                crate::physics::gas::EquationOfState::Ideal => "ideal",
            },
        )
        .put("ledger_error", report.trace.ledger_error())
        .number("duration", Quantity::Duration, report.scenario.profile().end_s())
        .number("max_depth", Quantity::Length, report.scenario.profile().max_depth_m())
        .number("surface", Quantity::Pressure, report.scenario.water().surface_pa())
        .done()
}

fn findings(report: &Report<'_>) -> Value {
    let (units, findings) = (report.units, report.findings);
    let wing = &findings.wing;
    Fields::new(units)
        .put("heavy_point", extreme(units, &findings.heavy))
        .put("light_point", extreme(units, &findings.light))
        .put("failed_wing", failed_wing(units, &findings.failed_wing))
        .put("failed_wing_with_suit", findings.failed_wing_with_suit.as_ref().map(|f| failed_wing(units, f)))
        .put("holds", findings.holds.iter().map(|h| hold(report, h)).collect::<Vec<_>>())
        .put(
            "wing",
            Fields::new(units)
                .number("needed", Quantity::Volume, wing.needed_m3)
                .number("under_water", Quantity::Volume, wing.neutral_m3)
                .number("under_water_time", Quantity::Duration, wing.neutral_s)
                .number("under_water_depth", Quantity::Length, wing.neutral_m)
                .number("surface", Quantity::Volume, wing.surface_m3)
                .number("head_out", Quantity::Volume, wing.head_out_m3)
                .maybe("capacity", Quantity::Volume, wing.capacity_m3)
                .put("enough", wing.is_enough())
                .done(),
        )
        .put("cylinders", cylinders(report))
        .done()
}

fn extreme(units: UnitSystem, extreme: &Extreme) -> Value {
    Fields::new(units)
        .number("net_wing_empty", Quantity::Mass, extreme.bare_kg)
        .number("time", Quantity::Duration, extreme.time_s)
        .number("depth", Quantity::Length, extreme.depth_m)
        .done()
}

/// Stable word for a verdict.
pub fn swim_up_code(verdict: SwimUp) -> &'static str {
    match verdict {
        SwimUp::CanSwim => "can-swim",
        SwimUp::AfterDitching => "after-ditching",
        SwimUp::Cannot => "cannot",
    }
}

fn failed_wing(units: UnitSystem, finding: &FailedWing) -> Value {
    let beyond = |span: &Beyond| {
        Fields::new(units)
            .put("verdict", swim_up_code(span.verdict))
            .number("start", Quantity::Duration, span.start_s)
            .number("start", Quantity::Length, span.start_m)
            .number("end", Quantity::Duration, span.end_s)
            .number("end", Quantity::Length, span.end_m)
            .number("load", Quantity::Mass, span.load_kg)
            .done()
    };
    Fields::new(units)
        .put("verdict", swim_up_code(finding.verdict))
        .number("capacity", Quantity::Mass, finding.capacity_kg)
        .number("worst_load", Quantity::Mass, finding.worst.load_kg)
        .number("worst_load_after_ditching", Quantity::Mass, finding.worst.ditched_kg)
        .number("worst_time", Quantity::Duration, finding.worst.time_s)
        .number("worst_depth", Quantity::Length, finding.worst.depth_m)
        .number("worst_load_met_at", Quantity::Length, finding.worst.at_m)
        .number("beyond", Quantity::Duration, finding.beyond_s())
        .put("spans", finding.beyond.iter().map(beyond).collect::<Vec<_>>())
        .done()
}

fn hold(report: &Report<'_>, hold: &Hold) -> Value {
    let units = report.units;
    let one = |at: &HoldAt| {
        Fields::new(units)
            .put("holds", at.holds())
            .number("margin", Quantity::Mass, at.margin_kg())
            .number("time", Quantity::Duration, at.time_s())
            .done()
    };
    let band = &Band::of_now(report.scenario, &hold.planned.now);
    Fields::new(units)
        .number("depth", Quantity::Length, hold.depth_m)
        .number("start", Quantity::Duration, hold.start_s)
        .number("end", Quantity::Duration, hold.end_s)
        .put("planned", one(&hold.planned))
        .put("at_reserve", one(&hold.drained))
        .number("band_up", Quantity::Length, band.up_m)
        .maybe("band_down", Quantity::Length, band.down_m)
        .done()
}

fn cylinders(report: &Report<'_>) -> Vec<Value> {
    let units = report.units;
    let diver = report.scenario.rig();
    let one = |finding: &crate::findings::CylinderFinding| {
        let body = &diver.cylinders[finding.cylinder];
        let turn = finding.turn.map(|turn| {
            Fields::new(units)
                .number("time", Quantity::Duration, turn.time_s)
                .number("depth", Quantity::Length, turn.depth_m)
                .number("gauge", Quantity::GaugePressure, turn.pressure_pa)
                .done()
        });
        Fields::new(units)
            .put("name", body.name())
            .put("carried", finding.first.is_some())
            .number("first", Quantity::Mass, finding.first_kg)
            .number("last", Quantity::Mass, finding.last_kg)
            .number("last_gauge", Quantity::GaugePressure, finding.last_pa)
            .number("at_reserve", Quantity::Mass, finding.low_kg)
            .number("used", Quantity::Mass, finding.used_kg)
            .maybe("neutral_gauge", Quantity::GaugePressure, finding.neutral_pa)
            .put("turns_buoyant", turn)
            .done()
    };
    report.findings.cylinders.iter().map(one).collect()
}

fn event(report: &Report<'_>, event: &Event) -> Value {
    let units = report.units;
    let cylinders = &report.scenario.rig().cylinders;
    let base = Fields::new(units)
        .number("time", Quantity::Duration, event.time_s)
        .number("depth", Quantity::Length, event.depth_m)
        .put("text", words::event(report, event));
    match event.what {
        Happening::Moved { cylinder, kind, lift_kg, net_before_kg, net_after_kg, wing_before_m3, wing_after_m3 } => {
            base.put("what", format!("{kind:?}").to_lowercase())
                .put("cylinder", cylinders[cylinder].name())
                .number("lift", Quantity::Mass, lift_kg)
                .number("net_before", Quantity::Mass, net_before_kg)
                .number("net_after", Quantity::Mass, net_after_kg)
                .number("wing_before", Quantity::Volume, wing_before_m3)
                .number("wing_after", Quantity::Volume, wing_after_m3)
                .done()
        }
        Happening::OutOfGas { source, leg } => base
            .put("what", "out-of-gas")
            .put("leg", leg + 1)
            .put("cylinders", source.iter().map(|i| cylinders[i].name().to_owned()).collect::<Vec<_>>())
            .done(),
        Happening::SuitSupplyEmpty => base.put("what", "suit-supply-empty").done(),
        Happening::WingShort => base.put("what", "wing-short").done(),
    }
}

/// An input in the trade's metric units, as the plan's reader took it.
fn input(input: &Input) -> Value {
    let Shown { symbol: unit, factor: scale, .. } = input.quantity.trade();
    let doubt = input.estimate.doubt.map(|doubt| {
        let shape = match doubt.shape {
            Shape::Rectangular => "rectangular".to_owned(),
            Shape::Triangular => "triangular".to_owned(),
            Shape::Normal { coverage_frac } => format!("normal, {}% coverage", coverage_frac * 100.0),
        };
        json!({ "half_width": round(doubt.half_width / scale), "shape": shape })
    });
    json!({
        "key": input.path,
        "label": input.label,
        "value": round(input.quantity.trade().number(input.estimate.value)),
        "unit": unit,
        "doubt": doubt,
        "origin": input.origin.text(),
        "note": input.note,
    })
}

/// Nine significant places after the point are more than any input has; unit conversion noise stands below.
fn round(value: f64) -> f64 {
    (value * 1e9).round() / 1e9
}
