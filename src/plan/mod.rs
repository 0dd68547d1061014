//! The plan: a TOML file, with CSV files beside it, turned into a checked dive.
//!
//! Text → [`Plan`] ([`file`] the tables as written, [`quantity`] numbers with units and doubts, [`unit`] the units) →
//! [`Built`] (a [`crate::scenario::Scenario`], the list of figures it was built from, notes). What is wrong with a plan is
//! data ([`problem`]), all of it at once, each with its place in the text. [`catalogue`] and [`typical`] hold the generic
//! shapes and the typical figures.

mod build;
pub mod catalogue;
pub mod file;
mod gear;
mod inputs;
mod key;
mod load;
mod note;
mod place;
pub mod problem;
pub mod quantity;
mod read;
mod set;
mod table;
pub mod typical;
pub mod unit;
mod words;

use crate::plan::build::ProfileRows;
use crate::plan::file::PlanFile;
use crate::plan::gear::GearList;

pub use build::{Built, DrawError};
pub use note::Note;
pub use problem::{Problem, ProblemCode, Problems, Source};

/// A plan that was read: its tables, and the files beside it.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// The tables as written.
    pub(crate) file: PlanFile,
    /// Short name: the file's, without folder and ending.
    name: String,
    /// The plan and the files beside it, as read.
    sources: Vec<Source>,
    /// SHA-256 of the plan's text as it is on disk, in hexadecimal.
    checksum: String,
    /// Changes made by `--set`, as given.
    sets: Vec<(String, String)>,
    pub(crate) gear: Option<GearList>,
    pub(crate) rows: Option<ProfileRows>,
}

impl Plan {
    /// The tables as written.
    pub fn file(&self) -> &PlanFile {
        &self.file
    }

    /// Short name: the file's, without folder and ending.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Title, or the short name where there is none.
    pub fn title(&self) -> &str {
        self.file.title.as_deref().unwrap_or(&self.name)
    }

    /// The plan (first) and the files beside it, as read.
    pub fn sources(&self) -> &[Source] {
        &self.sources
    }

    /// SHA-256 of the plan's text as it is on disk, in hexadecimal.
    pub fn checksum(&self) -> &str {
        &self.checksum
    }

    /// Changes made on top of the text, as given.
    pub fn sets(&self) -> &[(String, String)] {
        &self.sets
    }
}
