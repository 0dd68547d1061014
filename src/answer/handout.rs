//! All that a page for student and team tells: one dive, perhaps another beside it, the lead, the swimming pool.

use crate::answer::{AnswerError, Carry};
use crate::plan::{Built, Plan};
use crate::scenario::Scenario;
use crate::study::pool::in_pool;
use crate::study::{self, Comparison, Dive, Pieces, RemovableCylinder, removable};

/// The facts of a page.
#[derive(Clone, Debug, PartialEq)]
pub struct HandoutFacts {
    /// The plan, built.
    pub built: Built,
    /// The plan beside it, built.
    pub beside: Option<Built>,
    /// The dives of both, and their differences where there are two.
    pub comparison: Comparison,
    /// The lead of the first.
    pub carry: Carry,
    /// The first in a swimming pool.
    pub pool: Scenario,
    /// The removable cylinders of the first, in the diver's order.
    pub removable: Vec<RemovableCylinder>,
}

impl HandoutFacts {
    /// Of a plan, with another one to hold against it.
    ///
    /// # Errors
    /// A plan with problems; pieces that make no sense; as [`crate::study::lead_bounds`].
    pub fn of(plan: &Plan, beside: Option<&Plan>, pieces: &Pieces) -> Result<Self, AnswerError> {
        let built = plan.build()?;
        let beside = beside.map(Plan::build).transpose()?;
        let scenario = &built.scenario;
        let comparison = match &beside {
            Some(other) => study::compare(&[scenario.clone(), other.scenario.clone()])?,
            None => Comparison { rows: Vec::new(), dives: vec![Dive::of(scenario)?] },
        };
        let removable = removable(scenario, &comparison.dives[0].trace);
        Ok(Self {
            carry: Carry::of(plan, &built, pieces)?,
            pool: in_pool(scenario)?,
            removable,
            comparison,
            beside,
            built,
        })
    }
}
