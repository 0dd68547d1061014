//! A student of a class: what `ballast` and `run` say of the plan, in a row; and the lead for the pool.

use crate::answer::class::ClassAsk;
use crate::answer::{AnswerError, Carry, LeadWhere, Ready};
use crate::findings::{Circuit, Findings, SwimUp};
use crate::plan::{Built, Plan};
use crate::scenario::Scenario;
use crate::sim::{self, Event, Happening, Trace};
use crate::study::doubt::Interval;
use crate::study::pool::neutral_lead_kg;
use crate::study::{Choice, LeadBounds, LeadRange, OwnLead, Verdict};

/// A ballast below this is none, kg.
const GRAM_KG: f64 = 1e-3;

/// What is known of a student.
#[derive(Clone, Debug, PartialEq)]
pub struct StudentFacts {
    /// The least and the most lead.
    pub lead: LeadBounds,
    /// The least lead in pieces, its doubt left out; `None` where the pieces do not reach it.
    pub barely: Option<Choice>,
    /// How sure it is, and what to carry; `None` where no trials were asked for.
    pub sure: Option<Sure>,
    /// The plan's own lead.
    pub own: OwnLead,
    /// With which lead the dive is judged.
    pub judged: Judged,
    /// What is wrong, the worst first.
    pub trouble: Vec<Trouble>,
    /// Whether a part of the dive is under an overhead.
    pub has_overhead: bool,
    /// Lead with which the student hangs neutral in the pool with the wing empty and cylinders at reserve, kg; below zero
    /// where none is needed.
    pub pool_kg: f64,
    /// The same in pieces.
    pub pool: Option<Choice>,
    /// Where the advised lead, else the plan's own, turns the student least; empty where no trials were asked for, or there is
    /// no lead.
    pub places: Vec<PlacedLead>,
}

/// Lead at a place.
#[derive(Clone, Debug, PartialEq)]
pub struct PlacedLead {
    /// What the place is called.
    pub place: String,
    /// The pieces there, kg, the heaviest first.
    pub pieces_kg: Vec<f64>,
}

/// What many trials say of the lead.
#[derive(Clone, Debug, PartialEq)]
pub struct Sure {
    /// What to carry; `None` where nothing is advised.
    pub advised: Option<Choice>,
    /// The smallest sum of pieces that holds in 95 of 100 trials, advised or not.
    pub wanted: Option<Choice>,
    /// The 95 % interval of the least lead, not below zero, kg.
    pub interval: Interval,
    /// Share of the trials in which the advised lead, else the one that is wanted, stays down; zero where there is none.
    pub holds_frac: f64,
    /// Share of the trials in which it can be swum up with a failed wing.
    pub swims_frac: f64,
    /// Share of the doubt that comes from typical figures.
    pub typical_frac: f64,
    /// What the plan carries above the least, kg, where that is more than its doubt and a piece.
    pub needless_kg: Option<f64>,
}

/// With which lead a dive is judged.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Judged {
    /// With what the plan carries.
    AsPlanned,
    /// The plan carries none: with what is advised, or with the least in pieces, kg.
    WithLead {
        /// That lead.
        lead_kg: f64,
    },
    /// The plan carries none, and there is none that would be right.
    Without,
}

/// Something that is wrong with a student's dive.
#[derive(Clone, Debug, PartialEq)]
pub enum Trouble {
    /// The dive runs out of gas; nothing is advised.
    OutOfGas,
    /// A supply of the breathing loop runs out; nothing is advised.
    LoopSupplyOut {
        /// Its oxygen, else its diluent.
        is_oxygen: bool,
        /// When, s.
        time_s: f64,
    },
    /// The oxygen of the loop leaves its limits.
    LoopOxygen {
        /// Least partial pressure, Pa.
        least_pa: f64,
        /// Greatest, Pa.
        most_pa: f64,
    },
    /// The absorbent of the loop is used up.
    AbsorbentSpent {
        /// When, s.
        time_s: f64,
    },
    /// Staying down takes more than can be swum up.
    NoLeadIsRight {
        /// So much more, kg.
        gap_kg: f64,
    },
    /// A failed wing is too much to swim up.
    FailedWing {
        /// The largest load, kg.
        load_kg: f64,
        /// What the student can swim up, kg.
        limit_kg: f64,
        /// Whether letting go of what is ditchable helps.
        is_mended_by_ditching: bool,
    },
    /// The student does not stay down.
    FloatsUp {
        /// Net lift at the lightest moment, kg.
        lift_kg: f64,
    },
    /// The wing is too small.
    WingTooSmall {
        /// What it must hold, m³.
        needed_m3: f64,
        /// What it holds, m³; `None` without a wing.
        capacity_m3: Option<f64>,
    },
    /// A check in the water contradicts the figures, or another check: it has to be made again.
    RepeatCheck,
    /// Nothing is advised yet: typical figures are most of the doubt, and a check in the pool is wanted.
    CheckFirst,
    /// What covers the doubt of the least is more than can be swum up.
    DoubtTooWide,
    /// The least in these pieces is more than can be swum up.
    PiecesTooCoarse,
    /// The pieces do not reach what staying down takes.
    PiecesTooFew,
    /// More lead than needed, kg.
    Needless {
        /// So much more, kg.
        excess_kg: f64,
    },
}

impl StudentFacts {
    /// Of a student's plan.
    ///
    /// # Errors
    /// A plan with problems; as [`crate::study::lead_bounds`] and [`crate::study::doubt::doubt_study`].
    pub fn of(plan: &Plan, ask: &ClassAsk) -> Result<Self, AnswerError> {
        let built = Ready::of(plan)?.built;
        let carry = if ask.has_trials { Some(Carry::of(plan, &built, &ask.pieces)?) } else { None };
        let range = match &carry {
            Some(carry) => carry.range.clone(),
            None => LeadRange::of(&built.scenario)?,
        };
        let barely = match &carry {
            Some(carry) => carry.advice.barely.clone(),
            None => ask.pieces.round_up(range.bounds().low_kg())?,
        };
        let sure = carry.as_ref().map(Sure::of);
        let (judged, trace, findings) = judge(&built, &range, sure.as_ref(), barely.as_ref())?;
        let carried = findings.last_hold().at_reserve.now.state.carried;
        let pool_kg = neutral_lead_kg(&built.scenario, carried, ask.pool.layer, ask.pool.depth_m)?;
        let mut trouble = trouble(&range, &trace, &findings, judged);
        trouble.extend(carry.as_ref().and_then(of_advice));
        let needless_kg = sure.as_ref().and_then(|sure| sure.needless_kg);
        trouble.extend(needless_kg.map(|excess_kg| Trouble::Needless { excess_kg }));
        let pool = ask.pieces.round_up(pool_kg.max(0.0))?;
        let places = match &carry {
            Some(carry) => placed(&built, carry)?,
            None => Vec::new(),
        };
        let (lead, own, has_overhead) = (range.bounds(), range.own, built.scenario.profile().has_overhead());
        Ok(Self { lead, barely, sure, own, judged, trouble, has_overhead, pool_kg, pool, places })
    }

    /// The lead to have at hand for the dive: what is advised; where that waits for a check, what it may come to; without
    /// trials the least in pieces. `None` for a student who cannot dive like this at all.
    pub fn to_bring(&self) -> Option<&Choice> {
        let is_lost = |trouble: &Trouble| {
            matches!(trouble, Trouble::OutOfGas | Trouble::LoopSupplyOut { .. } | Trouble::NoLeadIsRight { .. })
        };
        if self.trouble.iter().any(is_lost) {
            return None;
        }
        match &self.sure {
            Some(sure) => sure.advised.as_ref().or(sure.wanted.as_ref()),
            None => self.barely.as_ref(),
        }
    }

    /// The lead for the pool.
    pub fn pool_lead(&self) -> Option<&Choice> {
        self.pool.as_ref()
    }
}

/// The places that get lead.
fn placed(built: &Built, carry: &Carry) -> Result<Vec<PlacedLead>, AnswerError> {
    // only of what is advised: the table has no other lead
    let advised = LeadWhere::of(built, carry)?.filter(|lead| lead.is_advice);
    let Some(LeadWhere { places, split, .. }) = advised else { return Ok(Vec::new()) };
    let each = places.into_iter().zip(split.pieces_kg);
    let placed = each.filter(|(_, pieces_kg)| !pieces_kg.is_empty());
    Ok(placed.map(|(spot, pieces_kg)| PlacedLead { place: spot.name, pieces_kg }).collect())
}

impl Sure {
    fn of(carry: &Carry) -> Self {
        let (advised, wanted) = (carry.advised().cloned(), carry.advice.lead.clone());
        let share = |of: fn(&crate::answer::LeadTrials, f64) -> f64| {
            advised.as_ref().or(wanted.as_ref()).map_or(0.0, |choice| of(&carry.trials, choice.lead_kg))
        };
        Self {
            holds_frac: share(crate::answer::LeadTrials::holds_frac),
            swims_frac: share(crate::answer::LeadTrials::swims_frac),
            interval: carry.trials.interval(),
            typical_frac: carry.trials.typical_frac,
            needless_kg: carry.needless.as_ref().map(crate::answer::Needless::excess_kg),
            advised,
            wanted,
        }
    }
}

/// The run that is judged: of the plan as it is, or with the lead that it should have where it carries none.
fn judge(
    built: &Built,
    range: &LeadRange,
    sure: Option<&Sure>,
    barely: Option<&Choice>,
) -> Result<(Judged, Trace, Findings), AnswerError> {
    let found = |scenario: &Scenario| -> Result<(Trace, Findings), AnswerError> {
        let trace = sim::run(scenario)?;
        let findings = Findings::of(scenario, &trace);
        Ok((trace, findings))
    };
    if range.own.ballast_kg >= GRAM_KG {
        let (trace, findings) = found(&built.scenario)?;
        return Ok((Judged::AsPlanned, trace, findings));
    }
    let advised = sure.and_then(|sure| sure.advised.as_ref()).or(barely);
    match advised.filter(|_| !range.is_empty()) {
        Some(choice) => {
            let (trace, findings) = found(&built.scenario.with_lead(choice.lead_kg, 0.0))?;
            Ok((Judged::WithLead { lead_kg: choice.lead_kg }, trace, findings))
        }
        None => {
            let (trace, findings) = found(&built.scenario)?;
            Ok((Judged::Without, trace, findings))
        }
    }
}

/// What is wrong with the dive.
fn trouble(range: &LeadRange, trace: &Trace, findings: &Findings, judged: Judged) -> Vec<Trouble> {
    let mut found = Vec::new();
    if trace.events().iter().any(|event| matches!(event.what, Happening::OutOfGas { .. })) {
        found.push(Trouble::OutOfGas);
    }
    found.extend(findings.circuit.iter().flat_map(of_loop));
    if range.is_empty() {
        found.push(Trouble::NoLeadIsRight { gap_kg: range.bounds().gap_kg() });
    }
    let failed = &findings.failed_wing;
    if failed.verdict != SwimUp::CanSwim {
        found.push(Trouble::FailedWing {
            load_kg: failed.worst.load_kg,
            limit_kg: range.capacity_kg,
            is_mended_by_ditching: failed.verdict == SwimUp::AfterDitching,
        });
    }
    // without any lead nobody stays down, and there is none to be had
    let lift_kg = match judged {
        Judged::AsPlanned => -range.own.hold_margin_kg,
        Judged::WithLead { .. } => findings.lightest_hold().bare_kg,
        Judged::Without => 0.0,
    };
    if lift_kg > GRAM_KG {
        found.push(Trouble::FloatsUp { lift_kg });
    }
    let wing = &findings.wing;
    if !wing.is_enough() {
        found.push(Trouble::WingTooSmall { needed_m3: wing.needed_m3, capacity_m3: wing.capacity_m3 });
    }
    found
}

/// What is wrong with a breathing loop.
fn of_loop(circuit: &Circuit) -> Vec<Trouble> {
    let out =
        |event: &Event| Trouble::LoopSupplyOut { is_oxygen: event.what == Happening::OxygenOut, time_s: event.time_s };
    let mut found: Vec<Trouble> = circuit.out.iter().map(out).collect();
    if !(circuit.too_little.is_empty() && circuit.too_much.is_empty()) {
        let (least_pa, most_pa) = (circuit.least.pressure_pa, circuit.most.pressure_pa);
        found.push(Trouble::LoopOxygen { least_pa, most_pa });
    }
    found.extend(circuit.spent.map(|spent| Trouble::AbsorbentSpent { time_s: spent.time_s }));
    found
}

/// Why the advice is none, or not what it should be.
fn of_advice(carry: &Carry) -> Option<Trouble> {
    match carry.advice.verdict {
        // told already
        Verdict::NoLeadIsRight => None,
        _ if carry.is_dry => None,
        _ if carry.is_disputed => Some(Trouble::RepeatCheck),
        _ if carry.is_withheld() => Some(Trouble::CheckFirst),
        Verdict::DoubtTooWide => Some(Trouble::DoubtTooWide),
        Verdict::PiecesTooCoarse => Some(Trouble::PiecesTooCoarse),
        Verdict::PiecesTooFew => Some(Trouble::PiecesTooFew),
        Verdict::Fits => None,
    }
}
