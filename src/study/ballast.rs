//! The lead range of a dive: both ends with what decides them, the plan's own lead against it, and the advice.

use crate::findings::LettingGo;
use crate::findings::failed_wing::lets_go;
use crate::findings::hold::{HoldAt, holds};
use crate::rig::Role;
use crate::scenario::Scenario;
use crate::sim::{self, Owner};
use crate::study::StudyError;
use crate::study::explain::{Binding, HeavyToLight, ballast_of};
use crate::study::pieces::{Choice, Pieces, ROUNDING_SLACK_KG};
use crate::study::probe::{LetGo, LoadAt, Probe, StopAt};
use crate::study::solve::{End, LeadBounds, Search, equivalent_lead_kg, lead_pull_frac};

/// An end of the range.
#[derive(Clone, Debug, PartialEq)]
pub struct Bound {
    /// Lead, kg. Below zero: the diver is too heavy for this end even without lead, by so much lead.
    pub lead_kg: f64,
    /// The moment that decides, with its balance at this lead.
    pub binding: Binding,
}

impl Bound {
    /// Net lift of the diver with no lead at all that is left over or missing at this end, kg: for a least lead below
    /// zero, the margin by which the diver stays down without lead.
    pub fn without_lead_kg(&self) -> f64 {
        self.binding.net_kg + self.lead_kg * lead_pull_frac(self.binding.water_kg_m3)
    }
}

/// How much lead.
///
/// All ballast of the plan ([`crate::rig::Role::Ballast`], of whatever material) is taken off and lead put in its
/// place, so the plan's own lead does not matter. Nothing is ditched. A removable cylinder counts as gone *by the last
/// stop*: the run is made with it, and at the last stop its mass and volume are taken away.
#[derive(Clone, Debug, PartialEq)]
pub struct LeadRange {
    /// Least lead that holds every stop with the wing empty and every cylinder that counts so at reserve, whichever
    /// removable cylinders are gone by then, and every moment of the final ascent at or below the last stop as planned.
    /// The binding moment names the worst set.
    pub least: Bound,
    /// The same with no cylinder gone but those that the plan leaves behind.
    pub least_as_planned: Bound,
    /// Most lead with which the load after a wing failure never exceeds the swim-up capacity, straight up from any
    /// moment.
    pub most: Bound,
    /// The swim-up capacity, kg.
    pub capacity_kg: f64,
    /// The plan's own lead against the range.
    pub own: OwnLead,
    /// Why the end of the dive is the light one, in the run with the least lead.
    pub heavy_to_light: HeavyToLight,
    /// Gear and cylinders that are marked as ditchable, at the worst moment of the plan as it is: what counts of them goes
    /// with the lead.
    pub lets_go: Vec<LettingGo>,
}

/// What the plan's own lead does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OwnLead {
    /// Mass of the plan's ballast, kg.
    pub ballast_kg: f64,
    /// Lead that pulls as much at the last stop, kg: the same, if the ballast is lead.
    pub equivalent_lead_kg: f64,
    /// Mass of the plan's ballast that can be dropped under water, kg.
    pub ditchable_kg: f64,
    /// Margin of the lightest moment that must hold, worst set gone, kg: below zero the diver floats up.
    pub hold_margin_kg: f64,
    /// The same with no cylinder gone.
    pub hold_margin_as_planned_kg: f64,
    /// Largest load after a wing failure, nothing ditched, kg.
    pub load_kg: f64,
    /// Capacity less that load, kg: below zero the diver cannot swim up.
    pub swim_margin_kg: f64,
}

/// The plan's own lead, judged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OwnVerdict {
    /// Holds and can be swum up.
    Fits,
    /// Does not hold.
    TooLittle,
    /// Cannot be swum up.
    TooMuch,
    /// Does neither.
    Neither,
}

impl OwnLead {
    /// Of a dive that was run as it is.
    pub fn of(scenario: &Scenario, own: &Probe) -> Self {
        let capacity_kg = scenario.rig().swim_up_kg;
        let (ballast, ditchable) = (ballast_of(scenario), scenario.fixed().ditchable_ballast);
        Self {
            ballast_kg: ballast.mass_kg - ballast.lift_kg,
            equivalent_lead_kg: equivalent_lead_kg(scenario, own),
            ditchable_kg: ditchable.mass_kg - ditchable.lift_kg,
            hold_margin_kg: -own.lightest().0,
            hold_margin_as_planned_kg: -own.lightest_as_planned().0,
            load_kg: own.load_kg,
            swim_margin_kg: capacity_kg - own.load_kg,
        }
    }

    /// The verdict. A gram is no fault: nobody weighs lead better.
    pub fn verdict(&self) -> OwnVerdict {
        const GRAM_KG: f64 = 1e-3;
        match (self.hold_margin_kg >= -GRAM_KG, self.swim_margin_kg >= -GRAM_KG) {
            (true, true) => OwnVerdict::Fits,
            (false, true) => OwnVerdict::TooLittle,
            (true, false) => OwnVerdict::TooMuch,
            (false, false) => OwnVerdict::Neither,
        }
    }
}

impl LeadRange {
    /// The range of a dive, each end met to a hundredth of a gram by a run of its own.
    ///
    /// # Errors
    /// As [`crate::study::lead_bounds`].
    pub fn of(scenario: &Scenario) -> Result<Self, StudyError> {
        let own = Probe::of(scenario)?;
        let mut search = Search::start(scenario, &own, LetGo::Nothing)?;
        let (most_kg, at_most) = search.meet(End::Most)?;
        let (least_kg, at_least) = search.meet(End::Least)?;
        let (planned_kg, at_planned) = search.meet(End::LeastAsPlanned)?;
        let with = |lead_kg: f64| scenario.with_lead(lead_kg, 0.0);
        let stop = |lead_kg: f64, (net_kg, at): (f64, &StopAt)| Bound {
            lead_kg,
            binding: Binding::at_stop(&with(lead_kg), net_kg, at),
        };
        Ok(Self {
            least: stop(least_kg, at_least.lightest()),
            least_as_planned: stop(planned_kg, at_planned.lightest_as_planned()),
            most: Bound {
                lead_kg: most_kg,
                binding: Binding::at_load(&with(most_kg), at_most.load_kg, &at_most.load_at),
            },
            capacity_kg: scenario.rig().swim_up_kg,
            own: OwnLead::of(scenario, &own),
            heavy_to_light: HeavyToLight::of(scenario, &at_least.load_at, at_least.lightest().1),
            lets_go: beside_ballast(scenario, &own.load_at),
        })
    }

    /// Both ends as numbers.
    pub fn bounds(&self) -> LeadBounds {
        LeadBounds { least_kg: self.least.lead_kg, most_kg: self.most.lead_kg }
    }

    /// Whether no lead is right.
    pub fn is_empty(&self) -> bool {
        self.bounds().is_empty()
    }
}

/// Gear and cylinders that are marked as ditchable.
fn beside_ballast(scenario: &Scenario, at: &LoadAt) -> Vec<LettingGo> {
    let is_ballast = |owner| matches!(owner, Owner::Part(i) if scenario.rig().parts[i].role == Role::Ballast);
    lets_go(scenario, &at.now, at.leg).into_iter().filter(|thing| !is_ballast(thing.owner)).collect()
}

/// What to carry.
#[derive(Clone, Debug, PartialEq)]
pub struct Advice {
    /// The least sum of pieces that reaches what is wanted; `None` if all pieces together do not.
    pub lead: Option<Choice>,
    /// The least sum of pieces that reaches the least lead: smaller where more than the least is wanted, to cover its
    /// doubt. `None` if all pieces together are too light.
    pub barely: Option<Choice>,
    /// What that means.
    pub verdict: Verdict,
    /// When even the least in pieces exceeds the most: what must be ditchable, and what happens when it is ditched. For
    /// that lead, or for the least lead where the pieces do not reach it.
    pub ditch: Option<Ditch>,
}

/// What the advice means.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// The lead is within the range.
    Fits,
    /// There is a range, but what is wanted to cover the doubt of the least exceeds the most. The least in pieces does
    /// not.
    DoubtTooWide,
    /// There is a range, but the least lead in pieces is above the most.
    PiecesTooCoarse,
    /// All pieces together do not reach the least lead, or what is wanted.
    PiecesTooFew,
    /// No lead is right: the least exceeds the most.
    NoLeadIsRight,
}

/// What must be ditchable so that a failed wing can be swum up from anywhere.
#[derive(Clone, Debug, PartialEq)]
pub struct Ditch {
    /// Lead carried, kg.
    pub lead_kg: f64,
    /// Lead that must be ditchable, kg.
    pub needed_kg: f64,
    /// The same in pieces; `None` if the pieces that are carried do not reach it.
    pub choice: Option<Choice>,
    /// Whether it is no more than what is carried.
    pub is_enough: bool,
    /// Each stop with that lead gone, in order of time.
    pub stops: Vec<StopAfterDitching>,
}

/// A stop after ditching, wing empty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StopAfterDitching {
    /// Depth, m.
    pub depth_m: f64,
    /// Start, s.
    pub start_s: f64,
    /// End, s.
    pub end_s: f64,
    /// Lead ditched, kg.
    pub ditched_kg: f64,
    /// Greatest net lift with the gas as planned, kg: above zero the diver floats up.
    pub planned_kg: f64,
    /// The same with the cylinders at reserve, kg.
    pub at_reserve_kg: f64,
}

impl StopAfterDitching {
    /// Whether the diver still stays down with the gas as planned.
    pub fn holds(&self) -> bool {
        self.planned_kg <= 0.0
    }
}

impl Advice {
    /// The advice for a dive, its range, the lead that is wanted, kg, and the pieces that exist. Wanted is at least the
    /// least lead; more covers the doubt of it.
    ///
    /// # Errors
    /// Pieces that make no sense; as [`LeadRange::of`].
    pub fn of(scenario: &Scenario, range: &LeadRange, wanted_kg: f64, pieces: &Pieces) -> Result<Self, StudyError> {
        let bounds = range.bounds();
        let barely = pieces.round_up(bounds.low_kg())?;
        let lead = pieces.round_up(wanted_kg.max(bounds.low_kg()))?;
        let exceeds = |lead_kg: f64| lead_kg > bounds.most_kg + ROUNDING_SLACK_KG;
        let barely_kg = barely.as_ref().map_or(bounds.low_kg(), |choice| choice.lead_kg.max(bounds.low_kg()));
        let verdict = match &lead {
            _ if bounds.is_empty() => Verdict::NoLeadIsRight,
            None => Verdict::PiecesTooFew,
            Some(_) if exceeds(barely_kg) => Verdict::PiecesTooCoarse,
            Some(choice) if exceeds(choice.lead_kg) => Verdict::DoubtTooWide,
            Some(_) => Verdict::Fits,
        };
        let carried = match (&barely, pieces) {
            (Some(choice), Pieces::Owned(_)) => Pieces::Owned(choice.pieces_kg.clone()),
            _ => pieces.clone(),
        };
        let ditch = if exceeds(barely_kg) { Some(Ditch::of(scenario, barely_kg, &carried)?) } else { None };
        Ok(Self { lead, barely, verdict, ditch })
    }
}

impl Ditch {
    /// What must be ditchable with so much lead, and each stop without it.
    fn of(scenario: &Scenario, lead_kg: f64, pieces: &Pieces) -> Result<Self, StudyError> {
        let needed_kg = must_ditch_kg(scenario, lead_kg)?;
        let choice = pieces.round_up(needed_kg)?.filter(|choice| choice.lead_kg <= lead_kg + 1e-9);
        let ditched_kg = choice.as_ref().map_or(needed_kg, |choice| choice.lead_kg).min(lead_kg);
        let dive = scenario.with_lead(lead_kg, 0.0);
        let trace = sim::run(&dive)?;
        let stops = holds(&dive, &trace).into_iter().map(|hold| {
            let lifted = |at: HoldAt| at.bare_kg + ditched_kg * lead_pull_frac(at.now.ambient.water_kg_m3);
            StopAfterDitching {
                depth_m: hold.depth_m,
                start_s: hold.start_s,
                end_s: hold.end_s,
                ditched_kg,
                planned_kg: lifted(hold.planned),
                at_reserve_kg: lifted(hold.at_reserve),
            }
        });
        let is_enough = needed_kg <= lead_kg + ROUNDING_SLACK_KG;
        Ok(Self { lead_kg, needed_kg, stops: stops.collect(), choice, is_enough })
    }
}

/// Lead that must be dropped so that the load after a wing failure never exceeds the capacity, kg. Dropping changes
/// nothing before the failure, so the load falls by what the lead pulls, and a second look corrects for the water of
/// another moment.
pub(crate) fn must_ditch_kg(scenario: &Scenario, lead_kg: f64) -> Result<f64, StudyError> {
    let dive = scenario.with_lead(lead_kg, 0.0);
    let mut dropped_kg = 0.0;
    for _ in 0..3 {
        let probe = Probe::after(&dive, LetGo::Lead(dropped_kg))?;
        let LoadAt { layer, depth_m, .. } = probe.load_at;
        let pull_frac = lead_pull_frac(dive.water().density_kg_m3(layer, depth_m));
        dropped_kg = f64::max(0.0, dropped_kg + (probe.load_kg - dive.rig().swim_up_kg) / pull_frac);
    }
    Ok(dropped_kg)
}
