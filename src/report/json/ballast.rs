//! How much lead, as JSON.

use schemars::JsonSchema;
use serde::Serialize;
use serde_json::{Value, json};

use crate::answer::{BallastFacts, LeadWhere, Paper};
use crate::report::json::calibrate::Corrected;
use crate::report::json::findings::{LettingGo, letting_go};
use crate::report::json::paper::{self, PaperSums};
use crate::report::json::run::{Removable, removable_cylinder};
use crate::report::json::trim::{TrimLine, line as trim_line};
use crate::report::json::{Head, PlanSource, micro, nano};
use crate::report::lead::{change_text, names};
use crate::report::measure::UnitSystem;
use crate::report::{CAUTIONS, Source};
use crate::rig::LOOP;
use crate::scenario::Scenario;
use crate::sim::Owner;
use crate::study::{Bound, Change, Line, Tried, Verdict, WaterKind};

/// How much lead, and why
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub(super) struct BallastResult {
    #[serde(flatten)]
    head: Head,
    /// What it answers
    #[schemars(extend("const" = "ballast"))]
    command: &'static str,
    plan: PlanSource,
    /// Checks that correct the answer
    #[serde(skip_serializing_if = "Option::is_none")]
    corrected: Option<Corrected>,
    /// Whichever removable cylinders are gone; below zero where no lead is needed
    least: LeadEnd,
    /// With every cylinder that the plan carries then
    least_as_planned: LeadEnd,
    /// Below zero where the diver is too heavy without any
    most: LeadEnd,
    /// Whether no lead is right
    empty: bool,
    verdict: AdviceCode,
    /// Whether typical figures are so much of the doubt that nothing is advised
    withheld: bool,
    /// The least sum of pieces that stays down in 95 of 100 trials; null where it is withheld, more than can be swum up, or
    /// the dive runs out of gas
    advised_kg: Option<f64>,
    /// The least lead in pieces that exist
    least_in_pieces_kg: Option<f64>,
    /// Lower end of the 95 % interval of the least lead, not below zero
    least_low_kg: f64,
    /// Upper end of it
    least_high_kg: f64,
    /// Share of the variance of the least lead that comes from typical figures
    typical_frac: f64,
    /// What the plan carries above the least, where that is more than its doubt and a piece; else null
    needless_kg: Option<f64>,
    /// Lead that must be ditchable, so that what counts of `lets_go` and it can be swum up from anywhere
    must_be_ditchable_kg: Option<f64>,
    /// Gear and cylinders beside the lead that are marked as ditchable, at the worst moment of the plan as it is
    lets_go: Vec<LettingGo>,
    /// Ballast of the plan
    own_kg: f64,
    own_hold_margin_kg: f64,
    own_swim_margin_kg: f64,
    /// Single changes of the rig where no lead is right, each simulated, the most helpful first
    tried: Vec<TriedChange>,
    /// The cylinders that come and go
    removable: Vec<Removable>,
    /// Where the diver hangs with the lead of the plan
    trim: Option<TrimLine>,
    /// Where the lead goes, so that the torque is least
    lead_goes: Vec<LeadGoes>,
    /// With `--paper`
    #[serde(skip_serializing_if = "Option::is_none")]
    paper: Option<PaperSums>,
    cautions: &'static str,
}

/// Lead at a place
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct LeadGoes {
    place: String,
    lead_kg: f64,
}

/// One end of the lead range, and the moment that decides it
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct LeadEnd {
    lead_kg: f64,
    time_s: f64,
    depth_m: f64,
    /// Depth at which the lift counts: on the way up after a wing failure it may be another one
    taken_at_m: f64,
    /// Whether the moment is under an overhead
    under_overhead: bool,
    /// Leg, from 1
    leg: usize,
    /// Names of the cylinders that are carried then
    carried: String,
    /// Names of those that may be gone by then; empty where none is
    gone: String,
    /// The sum of the moment
    terms: Vec<LiftTerm>,
}

/// A thing on the diver; positive floats
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct LiftTerm {
    label: String,
    kind: TermKind,
    lift_kg: f64,
}

/// What a term is
#[derive(Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
enum TermKind {
    Part,
    /// Without its gas
    Cylinder,
    Gas,
    SuitGas,
    /// Gas of a breathing loop, and what the body took out of it and gave.
    Loop,
}

/// What comes of the pieces of lead
#[derive(Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
enum AdviceCode {
    Fits,
    /// What covers the doubt of the least is more than can be swum up
    DoubtTooWide,
    PiecesTooCoarse,
    PiecesTooFew,
    NoLeadIsRight,
}

/// A change of the rig or the water, and the lead range with it; members of some kinds only may be missing
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct TriedChange {
    kind: ChangeKind,
    text: String,
    /// `ditchable`: the share of the lead
    #[serde(skip_serializing_if = "Option::is_none")]
    ditchable_kg: Option<f64>,
    /// `less-suit-gas`: the gas volume that is left
    #[serde(skip_serializing_if = "Option::is_none")]
    suit_gas_m3: Option<f64>,
    /// `less-suit-gas`: the share that is cut
    #[serde(skip_serializing_if = "Option::is_none")]
    cut_frac: Option<f64>,
    /// `higher-reserve`: by how much
    #[serde(skip_serializing_if = "Option::is_none")]
    raise_pa: Option<f64>,
    least_kg: f64,
    most_kg: f64,
    /// How much of the gap it closes
    closes_kg: f64,
    /// What is left of the gap; zero where a lead is right then
    gap_kg: f64,
}

/// What is changed
#[derive(Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
enum ChangeKind {
    Ditchable,
    LessSuitGas,
    HigherReserve,
    FreshWater,
    SeaWater,
    /// A piece of another material or size; the text says which
    OtherPiece,
}

/// The lead of a dive with its removable cylinders, and beside the sum on paper where that is asked for.
pub fn result(source: &Source, facts: &BallastFacts, paper: Option<&Paper>) -> Value {
    let (scenario, carry) = (&facts.built.scenario, &facts.carry);
    let (range, advice, trials) = (&carry.range, &carry.advice, &carry.trials);
    let interval = trials.interval();
    json!(BallastResult {
        head: Head::new(),
        command: "ballast",
        plan: PlanSource::of(source),
        corrected: facts.checked.as_ref().map(Corrected::of),
        least: lead_end(scenario, &range.least),
        least_as_planned: lead_end(scenario, &range.least_as_planned),
        most: lead_end(scenario, &range.most),
        empty: range.is_empty(),
        verdict: match advice.verdict {
            Verdict::Fits => AdviceCode::Fits,
            Verdict::DoubtTooWide => AdviceCode::DoubtTooWide,
            Verdict::PiecesTooCoarse => AdviceCode::PiecesTooCoarse,
            Verdict::PiecesTooFew => AdviceCode::PiecesTooFew,
            Verdict::NoLeadIsRight => AdviceCode::NoLeadIsRight,
        },
        withheld: carry.is_withheld(),
        advised_kg: carry.advised().map(|choice| micro(choice.lead_kg)),
        least_in_pieces_kg: advice.barely.as_ref().map(|choice| micro(choice.lead_kg)),
        least_low_kg: micro(interval.low),
        least_high_kg: micro(interval.high),
        typical_frac: micro(trials.typical_frac),
        needless_kg: carry.needless.as_ref().map(|needless| micro(needless.excess_kg())),
        must_be_ditchable_kg: advice.ditch.as_ref().map(|ditch| micro(ditch.needed_kg)),
        lets_go: range.lets_go.iter().map(|thing| letting_go(scenario, thing)).collect(),
        own_kg: micro(range.own.ballast_kg),
        own_hold_margin_kg: micro(range.own.hold_margin_kg),
        own_swim_margin_kg: micro(range.own.swim_margin_kg),
        tried: facts.tried.iter().map(tried_change).collect(),
        removable: facts.removable.iter().map(|one| removable_cylinder(scenario, one)).collect(),
        trim: facts.trim.as_ref().map(|(trim, doubt)| trim_line(trim, Some(doubt))),
        lead_goes: facts.lead.as_ref().map(lead_goes).unwrap_or_default(),
        paper: paper.map(paper::sums),
        cautions: CAUTIONS,
    })
}

/// The places that get lead.
fn lead_goes(lead: &LeadWhere) -> Vec<LeadGoes> {
    let at = lead.places.iter().zip(&lead.split.at_kg).filter(|(_, kg)| **kg > 0.0);
    at.map(|(place, kg)| LeadGoes { place: place.name.clone(), lead_kg: micro(*kg) }).collect()
}

fn lead_end(scenario: &Scenario, bound: &Bound) -> LeadEnd {
    let binding = &bound.binding;
    LeadEnd {
        lead_kg: micro(bound.lead_kg),
        time_s: micro(binding.time_s),
        depth_m: micro(binding.depth_m),
        taken_at_m: micro(binding.at_m),
        under_overhead: scenario.is_overhead(binding.leg),
        leg: binding.leg + 1,
        carried: names(scenario, binding.carried),
        gone: if binding.gone.is_empty() { String::new() } else { names(scenario, binding.gone) },
        terms: binding.lines.iter().map(lift_term).collect(),
    }
}

fn tried_change(tried: &Tried) -> TriedChange {
    let base = TriedChange {
        kind: ChangeKind::OtherPiece,
        text: change_text(UnitSystem::Metric, &tried.change),
        ditchable_kg: None,
        suit_gas_m3: None,
        cut_frac: None,
        raise_pa: None,
        least_kg: micro(tried.bounds.least_kg),
        most_kg: micro(tried.bounds.most_kg),
        closes_kg: micro(tried.closes_kg),
        gap_kg: micro(tried.gap_kg().max(0.0)),
    };
    match tried.change {
        Change::Ditchable { lead_kg } => {
            TriedChange { kind: ChangeKind::Ditchable, ditchable_kg: Some(micro(lead_kg)), ..base }
        }
        Change::LessSuitGas { suit_gas_m3, cut_frac } => TriedChange {
            kind: ChangeKind::LessSuitGas,
            suit_gas_m3: Some(nano(suit_gas_m3)),
            cut_frac: Some(cut_frac),
            ..base
        },
        Change::HigherReserve { raise_pa } => {
            TriedChange { kind: ChangeKind::HigherReserve, raise_pa: Some(raise_pa), ..base }
        }
        Change::Water(WaterKind::Fresh) => TriedChange { kind: ChangeKind::FreshWater, ..base },
        Change::Water(WaterKind::Salt) => TriedChange { kind: ChangeKind::SeaWater, ..base },
        Change::Alternative { .. } => base,
    }
}

fn lift_term(line: &Line) -> LiftTerm {
    let kind = match line.owner {
        Owner::Part(_) | Owner::Hung { .. } => TermKind::Part,
        Owner::Cylinder(_) => TermKind::Cylinder,
        Owner::Gas(_) => TermKind::Gas,
        Owner::Bag(LOOP) | Owner::Absorbed | Owner::Metabolised => TermKind::Loop,
        Owner::Bag(_) => TermKind::SuitGas,
    };
    LiftTerm { label: line.label.clone(), kind, lift_kg: micro(line.lift_kg) }
}
