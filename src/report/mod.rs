//! What is shown: facts put together once, one file per format.
//!
//! [`Report`] the facts of one run · [`text`] the terminal · [`table`] tables that fit it · [`rows`] moments for looking at · [`series`] the CSV · [`json`] the machine-readable result ·
//! [`chart`] the figures · [`html`] the handout · `live` the bench · [`advice`] and [`lead`] how much lead · [`paper`] the sum on paper · [`list`] many dives · [`inputs`] the figures a dive was built from ·
//! [`balance`] what lifts and what sinks at a moment · [`doubt`], [`doubt_pictures`] and [`weigh`] how sure, and what to weigh next · [`mishaps`] what goes wrong ·
//! [`calibrate`] what checks changed · [`class`] many students at once · [`trim`] where the diver hangs · [`verdict`] the answer of a run, what is wrong first · [`bench`] the live page · [`measure`] units for the reader · [`words`] the sentences that
//! several formats share.

pub mod advice;
pub mod balance;
pub mod bench;
pub mod calibrate;
pub mod chart;
pub mod circuit;
pub mod class;
pub mod compare;
pub mod doubt;
pub mod doubt_pictures;
pub(crate) mod fins;
pub mod html;
pub mod hung;
pub mod inputs;
pub mod json;
pub mod lead;
pub mod list;
#[cfg(feature = "program")]
pub mod live;
pub mod logged;
pub mod measure;
pub mod mishaps;
pub mod paper;
pub mod rows;
pub mod series;
pub mod sweep;
pub mod table;
pub mod text;
pub mod trim;
pub mod verdict;
pub mod weigh;
pub mod words;

use crate::answer::Checked;
use crate::estimate::Input;
use crate::findings::Findings;
use crate::report::measure::UnitSystem;
use crate::scenario::Scenario;
use crate::sim::Trace;

pub use rows::Rows;

/// Where a report comes from.
#[derive(Clone, Debug, PartialEq)]
pub struct Source {
    /// Title of the plan.
    pub title: String,
    /// Name of the plan's file.
    pub plan: String,
    /// SHA-256 of the plan's text, hexadecimal.
    pub sha256: String,
    /// What the plan's author wrote about it.
    pub note: Option<String>,
    /// Whether the plan has no site, so that the sea is taken.
    pub takes_the_sea: bool,
}

impl Source {
    /// Name of the plan's file without its folder: what is handed to others need not tell where it lies.
    pub fn file_name(&self) -> &str {
        self.plan.rsplit(['/', '\\']).next().unwrap_or(&self.plan)
    }
}

/// The facts of one run.
#[derive(Clone, Copy, Debug)]
pub struct Report<'a> {
    /// Where it comes from.
    pub source: &'a Source,
    /// The dive.
    pub scenario: &'a Scenario,
    /// The run.
    pub trace: &'a Trace,
    /// Rows of it.
    pub rows: &'a Rows,
    /// The findings.
    pub findings: &'a Findings,
    /// Every figure that the dive was built from.
    pub inputs: &'a [Input],
    /// Checks that correct it.
    pub checked: Option<&'a Checked>,
    /// What the reader must know about how the plan was read.
    pub notes: &'a [String],
    /// Units for the reader.
    pub units: UnitSystem,
}

/// Version of the program.
pub const VERSION: &str = env!("CARGO_PKG_VERSION");

/// The usual cautions, short, once per output.
pub const CAUTIONS: &str = "A planning and teaching aid, not a decompression planner. Every figure is to be verified in \
the water: in confined water first, with a partner, and swim-up capacity only where one can stand or hold on, with \
weight that can be dropped. Agency standards, local rules and a qualified instructor's judgement come first.";
