//! From the arguments to a plan.

use std::path::{Path, PathBuf};

use crate::cli::CliError;
use crate::cli::args::{Units, Variation};
use crate::plan::{Built, Plan};
use crate::report::Source;
use crate::units::UnitSystem;

/// A plan with what the reports say of it.
#[derive(Debug)]
pub struct Loaded {
    /// The plan.
    pub plan: Plan,
    /// Where it comes from, for the reports.
    pub source: Source,
    /// What `--set` changed, in words.
    pub changed: Option<String>,
    /// Name for the folder of the files.
    pub stem: String,
    /// The plan's file, which messages call otherwise when it was changed by `--set`.
    path: Option<PathBuf>,
}

/// Reads a plan; without a path, the built-in demonstration.
pub fn load(path: Option<&Path>, variation: &Variation) -> Result<Loaded, CliError> {
    let plan = match path {
        Some(path) => Plan::load_with(path, &variation.sets)?,
        None => Plan::demonstration(&variation.sets)?,
    };
    let stem =
        path.and_then(Path::file_stem).map_or("demonstration".into(), |stem| stem.to_string_lossy().into_owned());
    let changed = plan.changed();
    let shown = path.map_or("built-in demonstration".into(), |path| path.display().to_string());
    Ok(Loaded { changed, path: path.map(Path::to_owned), ..Loaded::of(plan, shown, stem) })
}

impl Loaded {
    /// A plan that was read; `shown` is what the reports call it.
    pub fn of(plan: Plan, shown: String, stem: String) -> Self {
        let source = Source {
            title: plan.title().to_owned(),
            plan: shown,
            sha256: plan.checksum().to_owned(),
            note: plan.file().note.clone(),
            takes_the_sea: plan.file().site.is_none(),
        };
        Self { source, changed: None, stem, path: None, plan }
    }

    /// Units for the reader: as asked for, or as the plan says.
    pub fn units(&self, asked: Option<Units>) -> UnitSystem {
        asked.map(UnitSystem::from).or(self.plan.units()).unwrap_or_default()
    }

    /// Notes in words, with what was changed first.
    pub fn notes(&self, built: &Built, units: UnitSystem) -> Vec<String> {
        self.changed.iter().cloned().chain(built.notes.iter().map(|one| one.brief(units))).collect()
    }

    /// The files that were read; no output replaces them.
    pub fn inputs(&self) -> Vec<PathBuf> {
        let read = self.plan.sources().iter().take(1).chain(self.plan.files_beside());
        self.path.iter().cloned().chain(read.map(|source| PathBuf::from(&source.name))).collect()
    }

    /// Folder for the files: as asked for, or one of the plan's name.
    pub fn out_dir(&self, asked: Option<&Path>) -> PathBuf {
        asked.map_or_else(|| Path::new("lightpoint-out").join(&self.stem), Path::to_owned)
    }
}
