//! From a plan and what is asked of it to facts, one call for each question. The command line, and whoever else asks,
//! turns them into words; nothing is put together above this.
//!
//! [`ask`] all of it from one value · [`ready`] a plan corrected by the checks that it has · [`quick`] one run with its findings, [`dive`] and how sure they are · [`failure`] a wing that fails at a moment · [`mishaps`] what goes wrong, by name · [`whole`] all about one dive · [`bands`] the control band against lead · [`ballast`] how much lead, and why ·
//! [`alternatives`] other rigs worth trying · [`compare`] dives side by side · [`list`] many dives as a list · [`sweep`] findings against a changing figure ·
//! [`trials`] how sure the lead is · [`needless`] lead carried for nothing · [`paper`] the sum on paper beside ours · [`handout`] all that a page for student and team tells · [`doubt`] how sure the answers are, and what to weigh next ·
//! [`calibrate`] checks in the water brought back · [`hung`] how the diver hung at them · [`class`] many students at once · [`trim`] where the diver hangs, and where to put the lead · [`watch`] long answers watched and ended from outside · [`problems`] what is wrong with a plan, and where.
//!
//! The words of the questions that are others' are named here too, so that who asks needs this room alone.

pub mod alternatives;
pub mod ask;
pub mod ballast;
pub mod bands;
pub mod calibrate;
pub mod class;
pub mod compare;
pub mod dive;
pub mod doubt;
pub mod failure;
pub mod handout;
pub mod hung;
pub mod list;
pub mod mishaps;
pub mod needless;
pub mod paper;
pub mod problems;
pub mod quick;
pub mod ready;
pub mod sweep;
pub mod trials;
pub mod trim;
pub mod watch;
pub mod whole;

use thiserror::Error;

use crate::plan::Problems;
use crate::sim::SimError;
use crate::study::StudyError;
use crate::study::calibrate::CalibrateError;
use crate::study::pieces::PiecesError;

pub use crate::plan::TrimAsk;
pub use crate::study::calibrate::DRAWS as CALIBRATION_DRAWS;
pub use crate::study::compare::{Key, SweepPoint};
pub use crate::study::doubt::{Settings as DrawSettings, Tolerance};
pub use crate::study::pieces::Pieces;
pub use ask::Answers;
pub use ballast::{BallastFacts, Carry};
pub use bands::{BandAtLead, StopBand};
pub use calibrate::{Asked, Calibration, GaugeRead, Logged};
pub use class::{ClassAsk, ClassFacts, ClassWatch, StudentFacts};
pub use compare::SideBySide;
pub use dive::DiveFacts;
pub use doubt::{DoubtFacts, Draw};
pub use failure::{FailureAt, WayPoint};
pub use handout::{FirstCheck, HandoutFacts};
pub use hung::{HungExpected, HungFound, HungSeen, HungVerdict};
pub use list::{ListVerdict, Listed, MOST_LISTED};
pub use mishaps::{MishapFacts, MishapNameError};
pub use needless::{Burden, Needless};
pub use paper::{Paper, PaperColumn, PaperLine, Reason, Why};
pub use problems::PlacedProblem;
pub use quick::Quick;
pub use ready::{Checked, Dispute, Ready};
pub use sweep::{Sweep, Swept};
pub use trials::LeadTrials;
pub use trim::{LeadWhere, PlaceShare, TrimDoubt, TrimFacts};
pub use watch::{Stage, Watch};
pub use whole::WholeFacts;

/// Why there is no answer.
#[derive(Clone, Debug, Error, PartialEq)]
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
    /// The plan cannot be calibrated.
    #[error(transparent)]
    Calibrate(CalibrateError),
    /// What checks leave makes no dive.
    #[error("what the checks leave of the plan makes no dive: {0}")]
    Corrected(String),
    /// Pieces of lead that make no sense.
    #[error(transparent)]
    Pieces(#[from] PiecesError),
    /// Ended from outside before there was anything to tell.
    #[error("ended before it was done")]
    Cancelled,
}

impl From<CalibrateError> for AnswerError {
    fn from(error: CalibrateError) -> Self {
        match error {
            CalibrateError::Cancelled => Self::Cancelled,
            other => Self::Calibrate(other),
        }
    }
}
