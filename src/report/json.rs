//! The result of a run as JSON: all findings, the figures used, versions. SI always, whatever the reader's units are; the
//! key of every number ends in its unit, words for people are metric. [`schema`] is made from the same types.

use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde::Serialize;
use serde_json::{Map, Value, json};

use crate::estimate::{Doubt, Shape};
use crate::findings::{self, Band, Beyond, CylinderFinding, FailedWing, HoldAt, SwimUp};
use crate::report::lead::ballast_kg;
use crate::report::measure::{Quantity, UnitSystem};
use crate::report::{CAUTIONS, Report, VERSION, words};
use crate::scenario::Scenario;
use crate::sim::{self, Happening};
use crate::study::{self, LeadBounds};
use crate::units::ATMOSPHERE_PA;

/// Number of the form of every JSON that the program writes. It grows when a key goes, or means something else.
pub const SCHEMA: u32 = 1;

/// A JSON object that adds the SI unit to the key of every number.
#[derive(Clone, Debug, Default)]
pub struct Fields {
    map: Map<String, Value>,
}

impl Fields {
    /// An empty object.
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds a number, rounded: below that stands only rounding.
    #[must_use]
    pub fn number(self, key: &str, quantity: Quantity, si: f64) -> Self {
        self.maybe(key, quantity, Some(si))
    }

    /// Adds a number, or null.
    #[must_use]
    pub fn maybe(self, key: &str, quantity: Quantity, si: Option<f64>) -> Self {
        let unit = quantity.si();
        let value = si.map(|si| round(unit.number(si), unit.decimals as i32));
        self.put(&format!("{key}_{}", unit.suffix), value)
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

/// What every JSON of this program starts with.
pub fn head() -> Fields {
    Fields::new().put("program", "lightpoint").put("version", VERSION).put("schema", SCHEMA)
}

/// A number with so many places, and no negative zero.
pub fn round(value: f64, places: i32) -> f64 {
    let scale = 10f64.powi(places);
    (value * scale).round() / scale + 0.0
}

/// Kilograms, metres, seconds and pascals to a millionth.
fn micro(si: f64) -> f64 {
    round(si, 6)
}

/// Cubic metres to a thousandth of a millilitre.
fn nano(volume_m3: f64) -> f64 {
    round(volume_m3, 9)
}

/// What a gauge reads.
fn gauge(pressure_pa: f64) -> f64 {
    micro(pressure_pa - ATMOSPHERE_PA)
}

/// What a run found, SI; the key of every number ends in its unit
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct RunResult {
    /// Name of the program
    program: String,
    /// Version of the program
    version: String,
    /// Number of this form
    #[schemars(range(min = 1, max = 1))]
    schema: u32,
    plan: PlanSource,
    run: Run,
    findings: Findings,
    lead: Lead,
    /// The cylinders that come and go
    removable: Vec<Removable>,
    events: Vec<Event>,
    /// Every figure that the dive was built from
    inputs: Vec<Figure>,
    /// What to know about how the plan was read
    notes: Vec<String>,
    cautions: String,
}

/// Where the dive comes from
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct PlanSource {
    title: String,
    file: String,
    sha256: String,
    note: Option<String>,
}

/// The run itself
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Run {
    tolerance_kg: f64,
    /// Evaluations of the balance
    evaluations: u64,
    gas_law: String,
    /// Largest relative error of the gas ledgers
    ledger_error: f64,
    duration_s: f64,
    max_depth_m: f64,
    /// Air pressure at the surface
    surface_pa: f64,
}

/// What was found
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Findings {
    heavy_point: Extreme,
    light_point: Extreme,
    failed_wing: WingFailure,
    /// The same with the suit's spare loft as a second lift
    failed_wing_with_suit: Option<WingFailure>,
    holds: Vec<Hold>,
    wing: Wing,
    cylinders: Vec<Cylinder>,
}

/// An extreme of the net lift with the wing empty; positive floats
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Extreme {
    net_wing_empty_kg: f64,
    time_s: f64,
    depth_m: f64,
}

/// Whether the diver can swim up after a wing failure
#[derive(Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
enum SwimUpCode {
    CanSwim,
    AfterDitching,
    Cannot,
}

impl SwimUpCode {
    fn of(verdict: SwimUp) -> Self {
        match verdict {
            SwimUp::CanSwim => Self::CanSwim,
            SwimUp::AfterDitching => Self::AfterDitching,
            SwimUp::Cannot => Self::Cannot,
        }
    }
}

/// What a failed wing means
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct WingFailure {
    verdict: SwimUpCode,
    capacity_kg: f64,
    worst_load_kg: f64,
    worst_load_after_ditching_kg: f64,
    worst_time_s: f64,
    worst_depth_m: f64,
    worst_load_met_at_m: f64,
    /// Time beyond the capacity
    beyond_s: f64,
    spans: Vec<Span>,
}

/// A time beyond the capacity
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Span {
    verdict: SwimUpCode,
    start_s: f64,
    start_m: f64,
    end_s: f64,
    end_m: f64,
    load_kg: f64,
}

/// A stop
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Hold {
    depth_m: f64,
    start_s: f64,
    end_s: f64,
    planned: HoldThen,
    at_reserve: HoldThen,
    band_up_m: f64,
    /// Null where the lungs can trim any squeeze
    band_down_m: Option<f64>,
}

/// Whether the diver can stay
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct HoldThen {
    holds: bool,
    margin_kg: f64,
    time_s: f64,
}

/// How large the wing must be
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Wing {
    needed_m3: f64,
    under_water_m3: f64,
    under_water_time_s: f64,
    under_water_depth_m: f64,
    surface_m3: f64,
    head_out_m3: f64,
    capacity_m3: Option<f64>,
    enough: bool,
}

/// A cylinder; lifts are positive where it floats, gauges read zero at one atmosphere
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Cylinder {
    name: String,
    carried: bool,
    first_kg: f64,
    last_kg: f64,
    last_gauge_pa: f64,
    at_reserve_kg: f64,
    /// Gas that left it
    used_kg: f64,
    neutral_gauge_pa: Option<f64>,
    turns_buoyant: Option<Turn>,
}

/// When a cylinder turns from sinker to floater
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Turn {
    time_s: f64,
    depth_m: f64,
    gauge_pa: f64,
}

/// Least and most lead
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Lead {
    least_kg: f64,
    most_kg: f64,
    /// Whether no lead is right
    empty: bool,
    /// Ballast of the plan
    plan_kg: f64,
}

/// A cylinder that comes and goes
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Removable {
    name: String,
    neutral_gauge_pa: Option<f64>,
    last_stop_planned_kg: Option<f64>,
    last_stop_at_reserve_kg: Option<f64>,
    if_lost_lightest: Option<Loss>,
    if_lost_heaviest: Option<Loss>,
}

/// The loss of a cylinder
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Loss {
    net_wing_empty_kg: f64,
    lift_kg: f64,
    time_s: f64,
    depth_m: f64,
}

/// What happened; members beyond the first four belong to some kinds only
#[derive(Default, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Event {
    time_s: f64,
    depth_m: f64,
    text: String,
    what: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    cylinder: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    lift_kg: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    net_before_kg: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    net_after_kg: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    wing_before_m3: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    wing_after_m3: Option<f64>,
    /// Leg, from 1
    #[serde(skip_serializing_if = "Option::is_none")]
    leg: Option<usize>,
    #[serde(skip_serializing_if = "Option::is_none")]
    cylinders: Option<Vec<String>>,
}

/// A figure that the dive was built from
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Figure {
    key: String,
    label: String,
    value: f64,
    /// SI
    unit: String,
    doubt: Option<FigureDoubt>,
    origin: String,
    note: Option<String>,
}

/// How sure a figure is
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct FigureDoubt {
    half_width: f64,
    shape: String,
}

/// The JSON Schema (draft 2020-12) of the result of a run.
pub fn schema() -> Value {
    let generator = SchemaSettings::draft2020_12().for_serialize().into_generator();
    let mut schema = generator.into_root_schema_for::<RunResult>();
    schema.insert("title".into(), "Result of lightpoint run".into());
    schema.to_value()
}

/// The result of a run with its lead and its removable cylinders.
pub fn result(report: &Report<'_>, lead: &LeadBounds, removable: &[study::RemovableCylinder]) -> Value {
    let (scenario, source) = (report.scenario, report.source);
    let settings = scenario.settings();
    let found = report.findings;
    json!(RunResult {
        program: "lightpoint".into(),
        version: VERSION.into(),
        schema: SCHEMA,
        plan: PlanSource {
            title: source.title.clone(),
            file: source.plan.clone(),
            sha256: source.sha256.clone(),
            note: source.note.clone(),
        },
        run: Run {
            tolerance_kg: settings.tolerance_kg,
            evaluations: report.trace.evaluations() as u64,
            gas_law: match settings.equation {
                crate::physics::gas::EquationOfState::Gerg2008 => "real (GERG-2008)".into(),
                crate::physics::gas::EquationOfState::Ideal => "ideal".into(),
            },
            ledger_error: report.trace.ledger_error(),
            duration_s: micro(scenario.profile().end_s()),
            max_depth_m: micro(scenario.profile().max_depth_m()),
            surface_pa: micro(scenario.water().surface_pa()),
        },
        findings: Findings {
            heavy_point: extreme(&found.heavy),
            light_point: extreme(&found.light),
            failed_wing: wing_failure(&found.failed_wing),
            failed_wing_with_suit: found.failed_wing_with_suit.as_ref().map(wing_failure),
            holds: found.holds.iter().map(|one| hold(scenario, one)).collect(),
            wing: wing(&found.wing),
            cylinders: found.cylinders.iter().map(|one| cylinder(scenario, one)).collect(),
        },
        lead: Lead {
            least_kg: micro(lead.least_kg),
            most_kg: micro(lead.most_kg),
            empty: lead.is_empty(),
            plan_kg: micro(ballast_kg(scenario)),
        },
        removable: removable.iter().map(|one| removable_cylinder(scenario, one)).collect(),
        events: report.trace.events().iter().map(|one| event(report, one)).collect(),
        inputs: report.inputs.iter().map(figure).collect(),
        notes: report.notes.to_vec(),
        cautions: CAUTIONS.into(),
    })
}

fn extreme(extreme: &findings::Extreme) -> Extreme {
    Extreme {
        net_wing_empty_kg: micro(extreme.bare_kg),
        time_s: micro(extreme.time_s),
        depth_m: micro(extreme.depth_m),
    }
}

fn wing_failure(finding: &FailedWing) -> WingFailure {
    let span = |span: &Beyond| Span {
        verdict: SwimUpCode::of(span.verdict),
        start_s: micro(span.start_s),
        start_m: micro(span.start_m),
        end_s: micro(span.end_s),
        end_m: micro(span.end_m),
        load_kg: micro(span.load_kg),
    };
    let worst = &finding.worst;
    WingFailure {
        verdict: SwimUpCode::of(finding.verdict),
        capacity_kg: micro(finding.capacity_kg),
        worst_load_kg: micro(worst.load_kg),
        worst_load_after_ditching_kg: micro(worst.ditched_kg),
        worst_time_s: micro(worst.time_s),
        worst_depth_m: micro(worst.depth_m),
        worst_load_met_at_m: micro(worst.at_m),
        beyond_s: micro(finding.beyond_s()),
        spans: finding.beyond.iter().map(span).collect(),
    }
}

fn hold(scenario: &Scenario, hold: &findings::Hold) -> Hold {
    let one =
        |at: &HoldAt| HoldThen { holds: at.holds(), margin_kg: micro(at.margin_kg()), time_s: micro(at.time_s()) };
    let band = Band::of_now(scenario, &hold.planned.now);
    Hold {
        depth_m: micro(hold.depth_m),
        start_s: micro(hold.start_s),
        end_s: micro(hold.end_s),
        planned: one(&hold.planned),
        at_reserve: one(&hold.at_reserve),
        band_up_m: micro(band.up_m),
        band_down_m: band.down_m.map(micro),
    }
}

fn wing(wing: &findings::WingSize) -> Wing {
    Wing {
        needed_m3: nano(wing.needed_m3),
        under_water_m3: nano(wing.neutral_m3),
        under_water_time_s: micro(wing.neutral_s),
        under_water_depth_m: micro(wing.neutral_m),
        surface_m3: nano(wing.surface_m3),
        head_out_m3: nano(wing.head_out_m3),
        capacity_m3: wing.capacity_m3.map(nano),
        enough: wing.is_enough(),
    }
}

fn cylinder(scenario: &Scenario, finding: &CylinderFinding) -> Cylinder {
    Cylinder {
        name: scenario.rig().cylinders[finding.cylinder].name().to_owned(),
        carried: finding.first.is_some(),
        first_kg: micro(finding.first_kg),
        last_kg: micro(finding.last_kg),
        last_gauge_pa: gauge(finding.last_pa),
        at_reserve_kg: micro(finding.low_kg),
        used_kg: micro(finding.used_kg),
        neutral_gauge_pa: finding.neutral_pa.map(gauge),
        turns_buoyant: finding.turn.map(|turn| Turn {
            time_s: micro(turn.time_s),
            depth_m: micro(turn.depth_m),
            gauge_pa: gauge(turn.pressure_pa),
        }),
    }
}

fn removable_cylinder(scenario: &Scenario, found: &study::RemovableCylinder) -> Removable {
    let loss = |loss: study::Loss| Loss {
        net_wing_empty_kg: micro(loss.bare_kg),
        lift_kg: micro(loss.lift_kg),
        time_s: micro(loss.time_s),
        depth_m: micro(loss.depth_m),
    };
    Removable {
        name: scenario.rig().cylinders[found.cylinder].name().to_owned(),
        neutral_gauge_pa: found.neutral_pa.map(gauge),
        last_stop_planned_kg: found.last_stop.map(|lift| micro(lift.planned_kg)),
        last_stop_at_reserve_kg: found.last_stop.map(|lift| micro(lift.at_reserve_kg)),
        if_lost_lightest: found.lightest.map(loss),
        if_lost_heaviest: found.heaviest.map(loss),
    }
}

fn event(report: &Report<'_>, event: &sim::Event) -> Event {
    let cylinders = &report.scenario.rig().cylinders;
    let base = Event {
        time_s: micro(event.time_s),
        depth_m: micro(event.depth_m),
        text: words::event(&Report { units: UnitSystem::Metric, ..*report }, event),
        ..Event::default()
    };
    match event.what {
        Happening::Moved { cylinder, kind, lift_kg, net_before_kg, net_after_kg, wing_before_m3, wing_after_m3 } => {
            Event {
                what: format!("{kind:?}").to_lowercase(),
                cylinder: Some(cylinders[cylinder].name().to_owned()),
                lift_kg: Some(micro(lift_kg)),
                net_before_kg: Some(micro(net_before_kg)),
                net_after_kg: Some(micro(net_after_kg)),
                wing_before_m3: Some(nano(wing_before_m3)),
                wing_after_m3: Some(nano(wing_after_m3)),
                ..base
            }
        }
        Happening::OutOfGas { source, leg, .. } => Event {
            what: "out-of-gas".into(),
            leg: Some(leg + 1),
            cylinders: Some(source.iter().map(|i| cylinders[i].name().to_owned()).collect()),
            ..base
        },
        Happening::SuitSupplyEmpty => Event { what: "suit-supply-empty".into(), ..base },
        Happening::WingShort => Event { what: "wing-short".into(), ..base },
    }
}

/// A figure as it was read: a pressure of a gauge as the gauge shows it.
fn figure(input: &crate::estimate::Input) -> Figure {
    let unit = input.quantity.si();
    let doubt = |doubt: Doubt| FigureDoubt {
        half_width: significant(doubt.half_width),
        shape: match doubt.shape {
            Shape::Rectangular => "rectangular".into(),
            Shape::Triangular => "triangular".into(),
            Shape::Normal { coverage_frac } => format!("normal, {}% coverage", coverage_frac * 100.0),
        },
    };
    Figure {
        key: input.path.to_string(),
        label: input.label.clone(),
        value: significant(unit.number(input.estimate.value)),
        unit: unit.symbol.into(),
        doubt: input.estimate.doubt.map(doubt),
        origin: input.origin.text().to_string(),
        note: input.note.clone(),
    }
}

/// Twelve significant digits are more than any input has; noise of the conversion of units stands below.
fn significant(value: f64) -> f64 {
    format!("{value:.11e}").parse().unwrap_or(value)
}
