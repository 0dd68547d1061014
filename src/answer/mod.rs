//! From a plan and what is asked of it to facts, one call for each question. The command line, and whoever else asks,
//! turns them into words; nothing is put together above this.
//!
//! [`dive`] one run with its findings · [`bands`] the control band against lead · [`ballast`] how much lead, and why ·
//! [`alternatives`] other rigs worth trying · [`compare`] dives side by side · [`sweep`] findings against a changing figure ·
//! [`handout`] all that a page for student and team tells · [`doubt`] how sure the answers are, and what to weigh next ·
//! [`calibrate`] checks in the water brought back · [`watch`] long answers watched and ended from outside.
//!
//! The words of the questions that are others' are named here too, so that who asks needs this room alone.
//!
//! ```
//! use lightpoint::Plan;
//! use lightpoint::internals::answer::{Ballast, Dive, Pieces};
//!
//! # fn main() -> Result<(), Box<dyn std::error::Error>> {
//! let plan = Plan::demonstration(&[])?;
//! let dive = Dive::of(&plan)?;
//! assert!(dive.findings.heavy.bare_kg < dive.findings.light.bare_kg);
//! let ballast = Ballast::of(&plan, &Pieces::Step(0.5))?;
//! assert!((ballast.lead.range.bounds().least_kg - dive.lead.least_kg).abs() < 1e-3);
//! # Ok(())
//! # }
//! ```

pub mod alternatives;
pub mod ballast;
pub mod bands;
pub mod calibrate;
pub mod compare;
pub mod dive;
pub mod doubt;
pub mod handout;
pub mod sweep;
pub mod watch;

use thiserror::Error;

use crate::plan::Problems;
use crate::sim::SimError;
use crate::study::StudyError;
use crate::study::pieces::PiecesError;
use crate::study::refine::RefineError;

pub use crate::study::compare::{Key, SweepPoint};
pub use crate::study::pieces::Pieces;
pub use crate::study::refine::DRAWS as CALIBRATION_DRAWS;
pub use crate::study::spread::{Settings as DrawSettings, Tolerance};
pub use ballast::{Ballast, Carry};
pub use bands::{BandAtLead, StopBand};
pub use calibrate::{Calibration, Rewritten};
pub use compare::SideBySide;
pub use dive::Dive;
pub use doubt::{Doubt, Draw};
pub use handout::HandoutFacts;
pub use sweep::{Sweep, Swept};
pub use watch::{Stage, Watch};

/// Why there is no answer.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum AnswerError {
    /// Something is wrong with a plan or a file beside it.
    #[error("the plan has problems")]
    Problems(#[from] Problems),
    /// The run stopped.
    #[error(transparent)]
    Sim(#[from] SimError),
    /// A study stopped.
    #[error(transparent)]
    Study(#[from] StudyError),
    /// The plan cannot be refined.
    #[error(transparent)]
    Refine(RefineError),
    /// Pieces of lead that make no sense.
    #[error(transparent)]
    Pieces(#[from] PiecesError),
    /// Ended from outside before there was anything to tell.
    #[error("ended before it was done")]
    Cancelled,
}

impl From<RefineError> for AnswerError {
    fn from(error: RefineError) -> Self {
        match error {
            RefineError::Cancelled => Self::Cancelled,
            other => Self::Refine(other),
        }
    }
}
