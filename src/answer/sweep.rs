//! Findings against one figure of the plan that changes.

use crate::answer::{AnswerError, Ready};
use crate::plan::{Built, Plan};
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
    /// The number that the plan itself has there, in the same unit; `None` where it has none.
    pub own: Option<f64>,
}

impl Sweep {
    /// Builds and runs the plan with each value of a figure. A dive that fails is a point without figures.
    ///
    /// # Errors
    /// A plan with problems, as it is or with one of the values.
    pub fn of(plan: &Plan, swept: &Swept, keys: &[Key]) -> Result<Self, AnswerError> {
        let own = Ready::of(plan)?.built;
        let dive = |number: &f64| -> Result<(f64, Built), AnswerError> {
            let value = format!("{number} {}", swept.unit);
            let plan = plan.with_sets(&[(swept.key.clone(), value.trim().to_owned())])?;
            Ok((*number, Ready::of(&plan)?.built))
        };
        let dives = swept.numbers.iter().map(dive).collect::<Result<Vec<_>, _>>()?;
        let own = match (dives.first(), dives.last()) {
            (Some(first), Some(last)) => own_number(&swept.key, &own, first, last),
            _ => None,
        };
        let scenarios: Vec<(f64, Scenario)> =
            dives.into_iter().map(|(number, built)| (number, built.scenario)).collect();
        Ok(Self { points: study::sweep(&scenarios, keys), own })
    }
}

/// The number that the plan has, from the figure that differs between two values of the sweep: every unit is a straight
/// line to SI.
fn own_number(key: &str, own: &Built, first: &(f64, Built), last: &(f64, Built)) -> Option<f64> {
    let name = key.rsplit('.').next()?;
    let mut inputs = own.inputs.iter().filter(|input| input.path.last() == name);
    inputs.find_map(|input| {
        let si = |built: &Built| {
            built.inputs.iter().find(|other| other.path == input.path).map(|other| other.estimate.value)
        };
        let (from, to) = (si(&first.1)?, si(&last.1)?);
        (from != to).then(|| first.0 + (input.estimate.value - from) / (to - from) * (last.0 - first.0))
    })
}
