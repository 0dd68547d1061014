//! Questions that need many runs: the right lead, rigs against each other, a finding against a changing quantity.
//!
//! [`probe`] one run reduced to what decides about lead · [`solve`] the least and the most lead · [`ballast`] the lead
//! range with its reasons and the advice · [`explain`] a net lift as a sum · [`pieces`] lead that exists ·
//! [`changes`] what closes an empty range · [`mod@removable`] cylinders that come and go · [`mod@compare`] dives side by
//! side · [`trim`] the diver with lead at other places · [`pool`] the rig in a swimming pool · [`lead_places`] where the lead goes. With `plan`: `shared_lead` one pile of lead for several divers. With the feature `doubt`: `doubt` how sure the answers are · `surrogate`
//! few runs in place of many · `calibrate` checks in the water brought back.

pub mod ballast;
#[cfg(feature = "doubt")]
pub mod calibrate;
pub mod changes;
pub mod compare;
#[cfg(feature = "doubt")]
pub mod doubt;
pub mod explain;
pub mod lead_places;
pub mod pieces;
pub mod pool;
pub mod probe;
pub mod removable;
#[cfg(feature = "plan")]
pub mod shared_lead;
pub(crate) mod side_by_side;
pub mod solve;
#[cfg(feature = "doubt")]
pub mod surrogate;
pub mod trim;

use thiserror::Error;

use crate::physics::water::WaterError;
use crate::scenario::{Scenario, ScenarioError};
use crate::sim::SimError;

pub use ballast::{Advice, Bound, Ditch, LeadRange, OwnLead, OwnVerdict, StopAfterDitching, Verdict};
pub use changes::{Alternative, Change, Tried, WaterKind, try_changes};
pub use compare::{Comparison, Dive, Key, Row, SweepPoint, compare, sweep};
pub use explain::{Binding, CylinderThen, GasUsed, HeavyToLight, Line};
pub use pieces::{Choice, Pieces, PiecesError};
pub use probe::Probe;
pub use removable::{LiftThere, Loss, RemovableCylinder, loss, removable};
pub use solve::{LeadBounds, lead_bounds, lead_bounds_after, lead_bounds_from, lead_pull_frac};

/// What can go wrong in a study.
#[derive(Clone, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum StudyError {
    /// A run failed.
    #[error(transparent)]
    Sim(#[from] SimError),
    /// A changed dive is not a valid one.
    #[error(transparent)]
    Scenario(#[from] ScenarioError),
    /// Other water that is not valid.
    #[error(transparent)]
    Water(#[from] WaterError),
    /// Too few or too many dives to compare.
    #[error("{count} dives to compare, but {} to {} can stand side by side", compare::COMPARED.start(), compare::COMPARED.end())]
    Compared {
        /// How many.
        count: usize,
    },
    /// Pieces of lead that make no sense.
    #[error(transparent)]
    Pieces(#[from] PiecesError),
    /// The search for the right lead did not close.
    #[error("after {runs} runs the {end} lead is still uncertain by {doubt_kg} kg, more than {tolerance_kg} kg")]
    NotSolved {
        /// `least` or `most`.
        end: &'static str,
        /// Runs made.
        runs: usize,
        /// Doubt that is left, kg.
        doubt_kg: f64,
        /// Doubt that would do, kg.
        tolerance_kg: f64,
    },
    /// The dive fails with every uncertain input at its central value.
    #[error("the dive fails with every figure at its central value: {reason}")]
    Central {
        /// Why.
        reason: String,
    },
    /// No threads to be had.
    #[error("threads could not be started: {reason}")]
    Threads {
        /// Why.
        reason: String,
    },
}

/// All about the lead of a dive.
#[derive(Clone, Debug, PartialEq)]
pub struct Ballast {
    /// The range with its reasons.
    pub range: LeadRange,
    /// What to carry.
    pub advice: Advice,
    /// Changes that were tried because no lead is right, the most helpful first; empty when there is a range.
    pub tried: Vec<Tried>,
}

impl Ballast {
    /// The range, the least lead in pieces that exist, and, where no lead is right, what would change that. `alternatives`
    /// are changes that the caller can make and a dive alone does not tell, such as other cylinders; they are asked for
    /// where no lead is right.
    ///
    /// # Errors
    /// As [`lead_bounds`]; pieces that make no sense; a changed dive that is not valid.
    pub fn of(
        scenario: &Scenario,
        pieces: &Pieces,
        alternatives: impl FnOnce() -> Vec<Alternative>,
    ) -> Result<Self, StudyError> {
        let range = LeadRange::of(scenario)?;
        let advice = Advice::of(scenario, &range, 0.0, pieces)?;
        let tried = if range.is_empty() { try_changes(scenario, range.bounds(), &alternatives())? } else { Vec::new() };
        Ok(Self { range, advice, tried })
    }
}
