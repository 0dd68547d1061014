//! Dives side by side.

use crate::answer::{AnswerError, Ready};
use crate::plan::{Built, Plan};
use crate::scenario::Scenario;
use crate::study::{self, Comparison};

/// Dives side by side.
#[derive(Clone, Debug, PartialEq)]
pub struct SideBySide {
    /// The plans, built, in the order given.
    pub built: Vec<Built>,
    /// What they say, each held against the first.
    pub comparison: Comparison,
}

impl SideBySide {
    /// Builds and runs two to six plans; the first is what the others are held against.
    ///
    /// # Errors
    /// A plan with problems; another number of plans; as [`crate::study::lead_bounds`].
    pub fn of<'a>(plans: impl IntoIterator<Item = &'a Plan>) -> Result<Self, AnswerError> {
        let built =
            plans.into_iter().map(|plan| Ok(Ready::of(plan)?.built)).collect::<Result<Vec<Built>, AnswerError>>()?;
        let scenarios: Vec<Scenario> = built.iter().map(|one| one.scenario.clone()).collect();
        Ok(Self { comparison: study::compare(&scenarios)?, built })
    }
}
