//! How much lead, why, and what would help where no lead is right.

use crate::answer::alternatives::alternatives;
use crate::answer::{AnswerError, Checked, DiveFacts, LeadTrials, LeadWhere, Needless, Ready, TrimDoubt};
use crate::findings::{Findings, Trim};
use crate::plan::{Built, Plan};
use crate::sim::{self, Trace};
use crate::study::{Advice, LeadRange, Pieces, RemovableCylinder, Tried, removable, try_changes};

/// The lead of a dive.
#[derive(Clone, Debug, PartialEq)]
pub struct BallastFacts {
    /// The plan, built.
    pub built: Built,
    /// Checks that correct it.
    pub checked: Option<Checked>,
    /// The range with its reasons, and what to carry.
    pub carry: Carry,
    /// Changes that were tried because no lead is right, the most helpful first; empty when there is a range.
    pub tried: Vec<Tried>,
    /// The removable cylinders, in the diver's order.
    pub removable: Vec<RemovableCylinder>,
    /// Where the diver hangs with the plan's own lead, and how sure that is.
    pub trim: Option<(Trim, TrimDoubt)>,
    /// Where the lead goes; `None` for a diver without any.
    pub lead: Option<LeadWhere>,
}

impl BallastFacts {
    /// The range, the advice in pieces that exist, and what would help where no lead is right.
    ///
    /// # Errors
    /// A plan with problems; pieces that make no sense; as [`crate::study::lead_bounds`] and [`crate::sim::run`].
    pub fn of(plan: &Plan, pieces: &Pieces) -> Result<Self, AnswerError> {
        let Ready { built, checked } = Ready::of(plan)?;
        let carry = Carry::of(plan, &built, pieces)?;
        let tried = match carry.range.is_empty() {
            true => try_changes(&built.scenario, carry.range.bounds(), &alternatives(plan))?,
            false => Vec::new(),
        };
        let trace = sim::run(&built.scenario)?;
        let removable = removable(&built.scenario, &trace);
        let trim = match Trim::of(&built.scenario, &trace) {
            Some(trim) => Some((trim.clone(), TrimDoubt::of(plan, &built, &trace, &trim)?)),
            None => None,
        };
        let lead = LeadWhere::of(&built, &carry)?;
        Ok(Self { built, checked, carry, tried, removable, trim, lead })
    }
}

/// The range of a dive and what to carry.
#[derive(Clone, Debug, PartialEq)]
pub struct Carry {
    /// The range with its reasons.
    pub range: LeadRange,
    /// How sure it is.
    pub trials: LeadTrials,
    /// What to carry: the smallest sum of pieces that holds in 95 of 100 trials.
    pub advice: Advice,
    /// Lead that the plan carries for nothing.
    pub needless: Option<Needless>,
    /// Whether the dive runs out of gas: what is left at the end is then not what the diver has, and no lead is advised.
    pub is_dry: bool,
    /// Whether one of them contradicts and was left out: no lead is advised until it is repeated.
    pub is_disputed: bool,
}

impl Carry {
    /// Of a built plan, in pieces that exist.
    ///
    /// # Errors
    /// Pieces that make no sense; as [`crate::study::lead_bounds`] and [`crate::study::doubt::doubt_study`].
    pub fn of(plan: &Plan, built: &Built, pieces: &Pieces) -> Result<Self, AnswerError> {
        pieces.check()?;
        let trace = sim::run(&built.scenario)?;
        let trials = LeadTrials::of(plan, built, &trace)?;
        Self::of_run(built, &trace, &Findings::of(&built.scenario, &trace), trials, pieces)
    }

    /// The same of a dive that was asked already.
    ///
    /// # Errors
    /// As [`Carry::of`].
    pub fn of_dive(dive: &DiveFacts, pieces: &Pieces) -> Result<Self, AnswerError> {
        pieces.check()?;
        Self::of_run(&dive.built, &dive.trace, &dive.findings, dive.trials.clone(), pieces)
    }

    fn of_run(
        built: &Built,
        trace: &Trace,
        findings: &Findings,
        trials: LeadTrials,
        pieces: &Pieces,
    ) -> Result<Self, AnswerError> {
        let scenario = &built.scenario;
        let range = LeadRange::of(scenario)?;
        let advice = Advice::of(scenario, &range, trials.sure_kg(), pieces)?;
        let needless = Needless::of(scenario, findings, range.own.equivalent_lead_kg, range.bounds(), &trials)?;
        let is_dry = trace.events().iter().any(|event| event.what.is_out_of_gas());
        Ok(Self { range, trials, advice, needless, is_dry, is_disputed: built.is_disputed })
    }

    /// Whether no lead can be advised yet: more of its doubt comes from typical figures than from what is known of this
    /// rig, and only a check in the water tells, which the plan does not have, which said too little, or which contradicts it. [`Advice::lead`] is then a guess.
    pub fn is_withheld(&self) -> bool {
        self.is_disputed || self.trials.is_guess()
    }
}
