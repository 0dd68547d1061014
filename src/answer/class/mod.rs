//! A class: the lead of many students, what to bring for all of them, what they want at the same time.
//!
//! Each student is a plan, and is asked what any plan is asked ([`student`]); what concerns all of them together is in
//! [`together`]. A student whose plan is wrong, or whose dive fails, leaves the others' answers standing.

pub mod student;
pub mod together;

use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};

use crate::answer::{AnswerError, Pieces};
use crate::plan::Plan;
use crate::plan::class::gear::{PieceUse, pieces};
use crate::plan::class::{Class, ClassFaults, PoolWater};
use crate::study::side_by_side::one_core_each;

pub use crate::study::shared_lead::{Pile, piles};
pub use student::{Judged, PlacedLead, StudentFacts, Sure, Trouble};
pub use together::{Packing, Wanted};

/// What is asked about a class.
#[derive(Clone, Debug, PartialEq)]
pub struct ClassAsk {
    /// The sizes of lead.
    pub pieces: Pieces,
    /// All the lead that there is; `None`: any number of those pieces.
    pub stock: Option<Vec<Pile>>,
    /// The pool before the dive.
    pub pool: PoolWater,
    /// Whether trials say how sure each answer is. Without them nothing is advised, and no lead is called needless.
    pub has_trials: bool,
    /// Students at the same time; 0: one for each core.
    pub threads: usize,
}

/// How a class is watched and ended.
pub struct ClassWatch<'a> {
    /// Set to end it: students who were not asked by then have no answer.
    pub cancel: &'a AtomicBool,
    /// Called with how many students are done; from several threads.
    pub progress: &'a (dyn Fn(u64) + Sync),
}

/// A student of a class, with the answer.
#[derive(Clone, Debug, PartialEq)]
pub struct StudentAnswer {
    /// Name, as the user wrote it.
    pub name: String,
    /// What is known, or why nothing is.
    pub facts: Result<StudentFacts, AnswerError>,
}

/// What is known of a class.
#[derive(Clone, Debug, PartialEq)]
pub struct ClassFacts {
    /// The students, in the order of the file.
    pub students: Vec<StudentAnswer>,
    /// What is wrong with their plans, at its place in the file of the class.
    pub faults: ClassFaults,
    /// The lead for the dive.
    pub sea: Packing,
    /// The lead for the pool.
    pub pool: Packing,
    /// Pieces of the gear list that more students want than there are.
    pub wanted: Vec<Wanted>,
}

impl ClassFacts {
    /// Asks every student, each on one core, and then what concerns them together.
    ///
    /// # Errors
    /// Pieces that make no sense; no threads to be had.
    pub fn of(class: &Class, ask: &ClassAsk, watch: &ClassWatch<'_>) -> Result<Self, AnswerError> {
        ask.pieces.check()?;
        let done = AtomicU64::new(0);
        let one = |index: usize| {
            let found = of_student(class, index, ask);
            (watch.progress)(done.fetch_add(1, Ordering::Relaxed) + 1);
            found
        };
        let cancelled = || watch.cancel.load(Ordering::Relaxed);
        let made = one_core_each(class.len(), ask.threads, cancelled, one)?;
        let asked = made.into_iter().map(|one| one.unwrap_or((Err(AnswerError::Cancelled), Vec::new())));
        let (facts, uses): (Vec<_>, Vec<Vec<PieceUse>>) = asked.unzip();
        let wrong = facts.iter().enumerate().filter_map(|(index, facts)| match facts {
            Err(AnswerError::Problems(problems)) => Some((index, problems)),
            _ => None,
        });
        let faults = class.faults(&wrong.collect::<Vec<_>>());
        let named = facts.into_iter().enumerate();
        let students: Vec<StudentAnswer> =
            named.map(|(index, facts)| StudentAnswer { name: class.student(index).to_owned(), facts }).collect();
        let good = |index: usize| students[index].facts.as_ref().ok();
        let choice = |of: fn(&StudentFacts) -> Option<&crate::study::Choice>| {
            Packing::of((0..students.len()).map(|index| good(index).and_then(of)), ask.stock.as_deref())
        };
        let (sea, pool) = (choice(StudentFacts::to_bring), choice(StudentFacts::pool_lead));
        Ok(Self { sea, pool, wanted: together::wanted(&uses), faults, students })
    }

    /// Students with an answer.
    pub fn answered(&self) -> impl Iterator<Item = (&str, &StudentFacts)> {
        self.students.iter().filter_map(|one| Some((one.name.as_str(), one.facts.as_ref().ok()?)))
    }

    /// Whether some student has no answer.
    pub fn is_incomplete(&self) -> bool {
        self.students.iter().any(|student| student.facts.is_err())
    }
}

/// A student's facts, and the pieces of the gear list that the plan takes.
fn of_student(class: &Class, index: usize, ask: &ClassAsk) -> (Result<StudentFacts, AnswerError>, Vec<PieceUse>) {
    let plan: Plan = match class.plan(index) {
        Ok(plan) => plan,
        Err(problems) => return (Err(problems.into()), Vec::new()),
    };
    (StudentFacts::of(&plan, ask), pieces(&plan))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_usual_pool_is_that_of_the_first_check() {
        assert_eq!(PoolWater::usual().layer, crate::study::pool::pool_layer());
        assert_eq!(PoolWater::usual().depth_m, crate::findings::pool_check::AT_EASE.depth_m);
    }
}
