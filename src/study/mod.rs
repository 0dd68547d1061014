//! Questions that need many runs: the right lead, rigs against each other, a finding against a changing quantity.
//!
//! [`probe`] one run reduced to what decides about lead · [`solve`] the least and the most lead · [`ballast`] the lead
//! range with its reasons and the advice · [`explain`] a net lift as a sum · [`pieces`] lead that exists ·
//! [`doubt`] doubts as distributions · [`spread`] how sure the answers are ·
//! [`refine`] checks in the water brought back · [`combine`] repeated weighings.

pub mod ballast;
pub mod combine;
pub mod doubt;
pub mod explain;
pub mod pieces;
pub mod probe;
pub mod refine;
pub mod solve;
pub mod spread;

use thiserror::Error;

use crate::scenario::ScenarioError;
use crate::sim::SimError;

pub use ballast::{Advice, Bound, Ditch, LeadRange, OwnLead, OwnVerdict, StopAfterDitching, Verdict};
pub use explain::{Binding, CylinderThen, GasUsed, HeavyToLight, Term, TermKind};
pub use pieces::{Choice, Pieces, PiecesError};
pub use probe::Probe;
pub use solve::{LeadBounds, lead_bounds, lead_bounds_dropping, lead_bounds_from};

/// What can go wrong in a study.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum StudyError {
    /// A run failed.
    #[error(transparent)]
    Sim(#[from] SimError),
    /// A changed dive is not a valid one.
    #[error(transparent)]
    Scenario(#[from] ScenarioError),
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
