//! The plan: a TOML file, with CSV files beside it, turned into a checked dive.
//!
//! Text → [`Plan`] ([`mod@file`] the tables as written, [`written`] numbers with units and doubts, [`mod@unit`] the units) →
//! [`Built`] (a [`crate::scenario::Scenario`], the list of figures it was built from, notes). What is wrong with a plan is
//! data ([`problem`]), all of it at once, each with its place in the text. [`catalogue`] and [`typical`] hold the generic
//! sizes and the typical figures, [`checks`] what was seen in the water, [`calibrated`] a plan written again,
//! [`change`] what can be
//! changed by hand in a picture of the dive, [`inside`] lists that stand in the plan itself, [`as_written`] readings in water before anything is made of them, [`begin`] a plan from a few answers, [`listed`] a plan from a list of them, [`said`] a
//! check in the water in a line, [`class`] several students of one dive.
//!
//! ```
//! use lightpoint::Plan;
//! let plan = Plan::demonstration(&[("suit.gas_volume".into(), "12 L".into())])?;
//! let built = plan.build()?;
//! assert_eq!(built.scenario.rig().suit.unwrap().kept_m3(), 0.012);
//! # Ok::<(), lightpoint::Problems>(())
//! ```

pub mod as_written;
mod assemble;
pub mod begin;
pub mod calibrated;
pub mod catalogue;
pub mod change;
pub mod checks;
pub mod class;
mod csv;
pub mod file;
mod forms;
mod gas_name;
mod gear;
mod inputs;
pub mod inside;
mod key;
pub mod listed;
mod load;
pub mod loop_note;
mod note;
pub mod pieces;
mod place;
mod placed_again;
pub mod problem;
mod read;
pub mod said;
pub mod schema;
mod set;
pub mod starter;
mod table;
pub mod typical;
pub mod unit;
mod words;
pub mod written;

use std::path::PathBuf;
use std::sync::Arc;

use crate::plan::assemble::ProfileRows;
use crate::plan::file::{CylinderTable, PlanFile};
use crate::plan::gear::GearList;
use crate::units::UnitSystem;

pub use assemble::{Built, DrawError, TrimAsk};
pub use note::Note;
pub use problem::{Problem, ProblemCode, Problems, Source};

/// A plan that was read: its tables, and the files beside it.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// The tables as written.
    pub(crate) file: PlanFile,
    /// Short name: the file's, without folder and ending.
    name: String,
    /// Folder of the files beside it.
    dir: PathBuf,
    /// The plan's text as it is on disk.
    original: Arc<str>,
    /// The plan and the files beside it, as read.
    sources: Vec<Source>,
    /// SHA-256 of the plan's text as it is on disk, in hexadecimal.
    checksum: String,
    /// Changes made by `--set`, as given.
    sets: Vec<(String, String)>,
    pub(crate) gear: Option<GearList>,
    pub(crate) rows: Option<ProfileRows>,
    /// Rigs with which checks were made, where it was not this one.
    pub(crate) other_rigs: Vec<Plan>,
    /// For each check, which of them.
    pub(crate) rig_of_check: Vec<Option<usize>>,
    /// Which of the sources stand in the plan's own text.
    inside: Vec<usize>,
    /// For each of the other rigs that stands in the plan's own text, the first of its sources.
    pub(crate) source_of_rig: Vec<Option<usize>>,
}

impl Plan {
    /// The tables as written.
    pub fn file(&self) -> &PlanFile {
        &self.file
    }

    /// The table of each cylinder, in the diver's order: one stands for a single cylinder, or for several that do not act as
    /// one.
    pub fn cylinder_tables(&self) -> impl Iterator<Item = &CylinderTable> {
        self.file.cylinder.iter().flat_map(|table| {
            let count = if table.manifold == Some(false) { table.count.unwrap_or(1).max(1) as usize } else { 1 };
            std::iter::repeat_n(table, count)
        })
    }

    /// Short name: the file's, without folder and ending.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Title, or the short name where there is none.
    pub fn title(&self) -> &str {
        self.file.title.as_deref().unwrap_or(&self.name)
    }

    /// Units that its reader wants, if it says so.
    pub fn units(&self) -> Option<UnitSystem> {
        match self.file.units.as_deref() {
            Some("us") => Some(UnitSystem::Us),
            Some("metric") => Some(UnitSystem::Metric),
            _ => None,
        }
    }

    /// The plan (first) and the files beside it, as read.
    pub fn sources(&self) -> &[Source] {
        &self.sources
    }

    /// The plan's text with values changed, comments and layout kept: what `--set` does, and how a plan is written again
    /// with better figures. Keys are those of [`crate::estimate::Input::path`].
    ///
    /// # Errors
    /// A key that names nothing in the plan: what is wrong, and perhaps what was meant.
    pub fn text_with(&self, sets: &[(String, String)]) -> Result<String, (String, Option<String>)> {
        set::apply(&self.sources[0].text, sets)
    }

    /// SHA-256 of the plan's text as it is on disk, in hexadecimal.
    pub fn checksum(&self) -> &str {
        &self.checksum
    }

    /// Rigs with which checks were made, where it was not this one.
    pub fn other_rigs(&self) -> &[Plan] {
        &self.other_rigs
    }

    /// What was changed on top of the text, in words; `None` where nothing was.
    pub fn changed(&self) -> Option<String> {
        let sets: Vec<_> = self.sets.iter().map(|(key, value)| format!("{key} = \"{value}\"")).collect();
        (!sets.is_empty()).then(|| format!("changed for this run only: {}", sets.join(", ")))
    }

    /// Changes made on top of the text, as given.
    pub fn sets(&self) -> &[(String, String)] {
        &self.sets
    }
}
