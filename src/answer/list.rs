//! Many dives as a list: what each comes to, whatever becomes of the others.

use crate::answer::{AnswerError, Ready};
use crate::plan::Plan;
use crate::study::side_by_side::side_by_side;
use crate::study::{Dive, Key, OwnLead, OwnVerdict, Probe};

/// Most dives of a list. A thousand take a few seconds; beyond ten thousand nobody reads a table, and the number is more
/// likely a folder given by mistake.
pub const MOST_LISTED: usize = 10_000;

/// What a dive comes to, without its run.
#[derive(Clone, Debug, PartialEq)]
pub struct Listed {
    /// The figures, in the order of [`Key::ALL`]; `None` where there is none.
    pub figures: Vec<Option<f64>>,
    /// Lead of the plan, kg.
    pub carried_kg: f64,
    /// What the figures say of that lead; how sure they are is not asked.
    pub verdict: ListVerdict,
}

/// A plan's own lead against its range, each figure as it is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ListVerdict {
    /// Neither too little nor too much.
    InRange,
    /// Does not stay down.
    TooLittle,
    /// Cannot be swum up.
    TooMuch,
    /// No lead does both.
    NoLeadIsRight,
    /// The dive runs out of gas: what is left at its end is not what the diver has.
    OutOfGas,
}

impl Listed {
    /// Builds and runs a plan, corrected by the checks that it has.
    ///
    /// # Errors
    /// A plan with problems; as [`crate::study::lead_bounds`].
    pub fn of(plan: &Plan) -> Result<Self, AnswerError> {
        let scenario = Ready::of(plan)?.built.scenario;
        let dive = Dive::of(&scenario)?;
        let own = OwnLead::of(&scenario, &Probe::of_trace(&scenario, &dive.trace));
        let is_dry = dive.trace.events().iter().any(|event| event.what.is_out_of_gas());
        let verdict = match own.verdict() {
            _ if is_dry => ListVerdict::OutOfGas,
            _ if dive.bounds.is_empty() => ListVerdict::NoLeadIsRight,
            OwnVerdict::Fits => ListVerdict::InRange,
            OwnVerdict::TooLittle => ListVerdict::TooLittle,
            OwnVerdict::TooMuch => ListVerdict::TooMuch,
            OwnVerdict::Neither => ListVerdict::NoLeadIsRight,
        };
        let figures = Key::ALL.into_iter().map(|key| dive.figure(key)).collect();
        Ok(Self { figures, carried_kg: own.ballast_kg, verdict })
    }

    /// One figure.
    pub fn figure(&self, key: Key) -> Option<f64> {
        Key::ALL.iter().position(|one| *one == key).and_then(|at| self.figures[at])
    }

    /// What comes of many, on all cores, in the order given: `ask` is called once for each.
    pub fn each<T: Sync, R: Send>(all: &[T], ask: impl Fn(&T) -> R + Send + Sync) -> Vec<R> {
        side_by_side(all.iter().collect(), ask)
    }
}
