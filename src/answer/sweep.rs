//! Findings against one figure of the plan that changes.

use crate::answer::AnswerError;
use crate::plan::Plan;
use crate::scenario::Scenario;
use crate::study::{self, Key, SweepPoint};

/// A figure of the plan and the values that it takes.
#[derive(Clone, Debug, PartialEq)]
pub struct Swept {
    /// Key of the plan.
    pub key: String,
    /// Its unit as it stands in the plan; empty where it has none.
    pub unit: String,
    /// The numbers before that unit.
    pub numbers: Vec<f64>,
}

/// What was asked of the plan at each value.
#[derive(Clone, Debug, PartialEq)]
pub struct Sweep {
    /// A point for each value, in the order given.
    pub points: Vec<SweepPoint>,
}

impl Sweep {
    /// Builds and runs the plan with each value of a figure. A dive that fails is a point without figures.
    ///
    /// # Errors
    /// A plan with problems, as it is or with one of the values.
    pub fn of(plan: &Plan, swept: &Swept, keys: &[Key]) -> Result<Self, AnswerError> {
        plan.build()?;
        let dive = |number: &f64| -> Result<(f64, Scenario), AnswerError> {
            let value = format!("{number} {}", swept.unit);
            let plan = plan.with_sets(&[(swept.key.clone(), value.trim().to_owned())])?;
            Ok((*number, plan.build()?.scenario))
        };
        let dives = swept.numbers.iter().map(dive).collect::<Result<Vec<_>, _>>()?;
        Ok(Self { points: study::sweep(&dives, keys) })
    }
}
