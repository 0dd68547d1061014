//! The result of a run as JSON: all findings, the figures used, versions.

use schemars::JsonSchema;
use serde::Serialize;
use serde_json::{Value, json};

use crate::answer::{MishapFacts, Needless};
use crate::estimate::{Doubt, Input, Shape};
use crate::physics::gas::EquationOfState;
use crate::report::json::calibrate::Corrected;
use crate::report::json::findings::Findings;
use crate::report::json::mishaps::MishapThen;
use crate::report::json::trim::{TrimLine, line as trim_line};
use crate::report::json::{Head, PlanSource, gauge, micro, nano, significant};
use crate::report::measure::UnitSystem;
use crate::report::{CAUTIONS, Report, verdict, words};
use crate::scenario::Scenario;
use crate::sim::{self, Happening};
use crate::study::{self, LeadBounds, OwnLead};

/// What a run found, SI; the key of every number ends in its unit
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct RunResult {
    #[serde(flatten)]
    head: Head,
    /// What it answers
    #[schemars(extend("const" = "run"))]
    command: &'static str,
    plan: PlanSource,
    run: Run,
    /// Checks that correct the answer
    #[serde(skip_serializing_if = "Option::is_none")]
    corrected: Option<Corrected>,
    findings: Findings,
    lead: Lead,
    /// Where the diver hangs; null where the place of something is not known
    trim: Option<TrimLine>,
    /// The cylinders that come and go
    removable: Vec<Removable>,
    /// What goes wrong, the worst first; where it was asked for
    #[serde(skip_serializing_if = "Option::is_none")]
    mishaps: Option<Vec<MishapThen>>,
    events: Vec<Event>,
    /// Every figure that the dive was built from
    inputs: Vec<Figure>,
    /// What to know about how the plan was read
    notes: Vec<String>,
    cautions: &'static str,
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

/// What one run tells of the lead
#[derive(Serialize, JsonSchema)]
pub(in crate::report) struct LeadOfRun {
    least_kg: f64,
    most_kg: f64,
    /// Whether no lead is right
    empty: bool,
    /// Ballast of the plan
    plan_kg: f64,
    /// Weight to spare at the lightest moment that must hold, whichever removable cylinders are gone; below zero the diver
    /// floats up
    hold_margin_kg: f64,
    /// Swim-up capacity less the largest load
    swim_margin_kg: f64,
}

impl LeadOfRun {
    pub(in crate::report) fn of(bounds: LeadBounds, own: &OwnLead) -> Self {
        Self {
            least_kg: micro(bounds.least_kg),
            most_kg: micro(bounds.most_kg),
            empty: bounds.is_empty(),
            plan_kg: micro(own.ballast_kg),
            hold_margin_kg: micro(own.hold_margin_kg),
            swim_margin_kg: micro(own.swim_margin_kg),
        }
    }
}

/// Least and most lead
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Lead {
    #[serde(flatten)]
    one_run: LeadOfRun,
    /// Lower end of the 95 % interval of the least lead, not below zero
    least_low_kg: f64,
    /// Upper end of it
    least_high_kg: f64,
    needless: Option<NeedlessLead>,
}

/// Lead that is carried above the least by more than its doubt and a piece, and what it costs
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct NeedlessLead {
    excess_kg: f64,
    wing_m3: f64,
    load_kg: f64,
    /// How much less the diver may drift up at the last stop
    band_up_m: f64,
    /// How much longer the load is beyond the capacity
    beyond_s: f64,
}

/// A cylinder that comes and goes
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct Removable {
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
    /// Gas that was asked for and not there, as a volume at one atmosphere
    #[serde(skip_serializing_if = "Option::is_none")]
    missing_m3: Option<f64>,
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

/// The result of a run with its lead, its removable cylinders, and its mishaps where they were asked for.
pub fn result(
    report: &Report<'_>,
    lead: &verdict::Lead<'_>,
    removable: &[study::RemovableCylinder],
    mishaps: Option<&MishapFacts>,
) -> Value {
    let (scenario, source) = (report.scenario, report.source);
    let settings = scenario.settings();
    json!(RunResult {
        head: Head::new(),
        command: "run",
        plan: PlanSource::of(source),
        run: Run {
            tolerance_kg: settings.tolerance_kg,
            evaluations: report.trace.evaluations() as u64,
            gas_law: match settings.equation {
                EquationOfState::Gerg2008 => "real (GERG-2008)".into(),
                EquationOfState::Ideal => "ideal".into(),
            },
            ledger_error: report.trace.ledger_error(),
            duration_s: micro(scenario.profile().end_s()),
            max_depth_m: micro(scenario.profile().max_depth_m()),
            surface_pa: micro(scenario.water().surface_pa()),
        },
        corrected: report.checked.map(Corrected::of),
        findings: Findings::of(scenario, report.findings),
        lead: lead_of(lead),
        trim: report.findings.trim.as_ref().map(|trim| trim_line(trim, lead.trim)),
        removable: removable.iter().map(|one| removable_cylinder(scenario, one)).collect(),
        mishaps: mishaps.map(|facts| facts.found.iter().map(|one| MishapThen::of(scenario, one)).collect()),
        events: report.trace.events().iter().map(|one| event(report, one)).collect(),
        inputs: report.inputs.iter().map(figure).collect(),
        notes: report.notes.to_vec(),
        cautions: CAUTIONS,
    })
}

fn lead_of(lead: &verdict::Lead<'_>) -> Lead {
    let interval = lead.trials.interval();
    let needless = |needless: &Needless| NeedlessLead {
        excess_kg: micro(needless.excess_kg()),
        wing_m3: nano(needless.carried.wing_m3 - needless.least.wing_m3),
        load_kg: micro(needless.carried.load_kg - needless.least.load_kg),
        band_up_m: micro(needless.least.band_up_m - needless.carried.band_up_m),
        beyond_s: micro(needless.carried.beyond_s - needless.least.beyond_s),
    };
    Lead {
        one_run: LeadOfRun::of(lead.bounds, &lead.own),
        least_low_kg: micro(interval.low),
        least_high_kg: micro(interval.high),
        needless: lead.needless.as_ref().map(needless),
    }
}

pub(super) fn removable_cylinder(scenario: &Scenario, found: &study::RemovableCylinder) -> Removable {
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
        text: words::event(UnitSystem::Metric, report.scenario, event),
        what: kind(&event.what),
        ..Event::default()
    };
    match event.what {
        Happening::Moved { cylinder, kind: _, lift_kg, net_before_kg, net_after_kg, wing_before_m3, wing_after_m3 } => {
            Event {
                cylinder: Some(cylinders[cylinder].name().to_owned()),
                lift_kg: Some(micro(lift_kg)),
                net_before_kg: Some(micro(net_before_kg)),
                net_after_kg: Some(micro(net_after_kg)),
                wing_before_m3: Some(nano(wing_before_m3)),
                wing_after_m3: Some(nano(wing_after_m3)),
                ..base
            }
        }
        Happening::OutOfGas { source, leg, missing_m3 } => Event {
            missing_m3: Some(nano(missing_m3)),
            leg: Some(leg + 1),
            cylinders: Some(source.iter().map(|i| cylinders[i].name().to_owned()).collect()),
            ..base
        },
        Happening::SuitSupplyEmpty | Happening::OxygenOut | Happening::DiluentOut | Happening::WingShort => base,
    }
}

/// What sort of thing happened: a word for programs.
pub(in crate::report) fn kind(what: &Happening) -> String {
    match what {
        Happening::Moved { kind, .. } => format!("{kind:?}").to_lowercase(),
        Happening::OutOfGas { .. } => "out-of-gas".into(),
        Happening::SuitSupplyEmpty => "suit-supply-empty".into(),
        Happening::OxygenOut => "oxygen-out".into(),
        Happening::DiluentOut => "diluent-out".into(),
        Happening::WingShort => "wing-short".into(),
    }
}

/// A figure as it was read: a pressure of a gauge as the gauge shows it.
fn figure(input: &Input) -> Figure {
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
