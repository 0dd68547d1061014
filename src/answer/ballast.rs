//! How much lead, why, and what would help where no lead is right.

use crate::answer::AnswerError;
use crate::answer::alternatives::alternatives;
use crate::plan::{Built, Plan};
use crate::scenario::Scenario;
use crate::sim;
use crate::study::{self, Advice, LeadRange, Pieces, RemovableCylinder, removable};

/// The lead of a dive.
#[derive(Clone, Debug, PartialEq)]
pub struct BallastFacts {
    /// The plan, built.
    pub built: Built,
    /// The range with its reasons, what to carry, and what would help where no lead is right.
    pub lead: study::Ballast,
    /// The removable cylinders, in the diver's order.
    pub removable: Vec<RemovableCylinder>,
}

impl BallastFacts {
    /// The range, the advice in pieces that exist, and what would help where no lead is right.
    ///
    /// # Errors
    /// A plan with problems; pieces that make no sense; as [`crate::study::lead_bounds`] and [`crate::sim::run`].
    pub fn of(plan: &Plan, pieces: &Pieces) -> Result<Self, AnswerError> {
        let built = plan.build()?;
        let lead = study::Ballast::of(&built.scenario, pieces, || alternatives(plan))?;
        let removable = removable(&built.scenario, &sim::run(&built.scenario)?);
        Ok(Self { built, lead, removable })
    }
}

/// The range of a dive and what to carry.
#[derive(Clone, Debug, PartialEq)]
pub struct Carry {
    /// The range with its reasons.
    pub range: LeadRange,
    /// What to carry.
    pub advice: Advice,
}

impl Carry {
    /// Of a dive, in pieces that exist.
    ///
    /// # Errors
    /// Pieces that make no sense; as [`crate::study::lead_bounds`].
    pub fn of(scenario: &Scenario, pieces: &Pieces) -> Result<Self, AnswerError> {
        let range = LeadRange::of(scenario)?;
        let advice = Advice::of(scenario, &range, pieces)?;
        Ok(Self { range, advice })
    }
}
