//! Reading a plan and the files beside it.

use std::collections::HashSet;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use sha2::{Digest, Sha256};

use crate::estimate::KeyPath;
use crate::plan::Plan;
use crate::plan::assemble::ProfileRows;
use crate::plan::gear::GearList;
use crate::plan::inside::is_text;
use crate::plan::place::Places;
use crate::plan::problem::{Problem, ProblemCode, Problems, Source};
use crate::plan::{read, set};

/// Largest file that is read, bytes. A plan has a few kilobytes, a day's profile at one row a second under two megabytes.
pub const MAX_FILE_BYTES: u64 = 2_000_000;

/// Whether there are files to be read: a page in a browser has none.
const HAS_FILES: bool = cfg!(not(target_family = "wasm"));
/// What to do about a file that is named where there are no files.
pub(crate) const NOT_HERE_HELP: &str =
    "give the file together with the plan, both at once; or write its text into the plan, in place of its name";

/// What the name of a changed plan ends with in messages.
const CHANGED: &str = " (changed by --set)";

impl Plan {
    /// Reads a plan and the files that it names.
    ///
    /// # Errors
    /// Everything that is wrong with it, at once.
    pub fn load(path: impl AsRef<Path>) -> Result<Plan, Problems> {
        Plan::load_with(path, &[])
    }

    /// The same with changes on top: `("suit.gas_volume", "14 L")`, `("cylinder.back.fill", "200 bar")`.
    ///
    /// # Errors
    /// As [`Plan::load`], and changes that name nothing in the plan.
    pub fn load_with(path: impl AsRef<Path>, sets: &[(String, String)]) -> Result<Plan, Problems> {
        let path = path.as_ref();
        let shown = path.display().to_string();
        let name = path.file_stem().map_or_else(|| shown.clone(), |stem| stem.to_string_lossy().into_owned());
        let text = read_text(path).map_err(|(code, message, text)| alone(&shown, code, message, text))?;
        Plan::from_text(&text, &shown, &name, path.parent().unwrap_or(Path::new("")), sets)
    }

    /// A plan from its text; `name` is what messages call it, `dir` where the files beside it are.
    ///
    /// # Errors
    /// As [`Plan::load`].
    pub fn parse(text: &str, name: &str, dir: impl AsRef<Path>) -> Result<Plan, Problems> {
        Plan::parse_with(text, name, dir, &[])
    }

    /// The same with changes on top.
    ///
    /// # Errors
    /// As [`Plan::load_with`].
    pub fn parse_with(
        text: &str,
        name: &str,
        dir: impl AsRef<Path>,
        sets: &[(String, String)],
    ) -> Result<Plan, Problems> {
        let short = Path::new(name).file_stem().map_or_else(|| name.to_owned(), |s| s.to_string_lossy().into_owned());
        Plan::from_text(text, name, &short, dir.as_ref(), sets)
    }

    /// The plan that is built into the program: an invented dive.
    ///
    /// # Errors
    /// None; a test builds it.
    pub fn demonstration(sets: &[(String, String)]) -> Result<Plan, Problems> {
        let text = include_str!("../../profiles/cold-trimix.toml");
        Plan::from_text(text, "demonstration", "demonstration", Path::new(""), sets)
    }

    /// This plan with more changes on top of those that it has; the files beside it are read again.
    ///
    /// # Errors
    /// As [`Plan::load_with`].
    pub fn with_sets(&self, sets: &[(String, String)]) -> Result<Plan, Problems> {
        let shown = self.shown();
        let sets: Vec<_> = self.sets.iter().chain(sets).cloned().collect();
        Plan::from_text(&self.original, shown, &self.name, &self.dir, &sets)
    }

    /// What messages call the plan, changed or not.
    pub(crate) fn shown(&self) -> &str {
        self.sources[0].name.trim_end_matches(CHANGED)
    }

    /// Another plan in the folder of this one, from its text; `name` is what messages call it.
    ///
    /// # Errors
    /// As [`Plan::parse`].
    pub fn beside_this(&self, text: &str, name: &str) -> Result<Plan, Problems> {
        Plan::parse(text, name, &self.dir)
    }

    fn from_text(text: &str, shown: &str, name: &str, dir: &Path, sets: &[(String, String)]) -> Result<Plan, Problems> {
        let original = text.strip_prefix('\u{feff}').unwrap_or(text);
        let changed = set::apply(original, sets).map_err(|(message, help)| {
            let mut problems = alone(shown, ProblemCode::BadSet, message, String::new());
            problems.list[0].help = help;
            problems
        })?;
        let shown = if sets.is_empty() { shown.to_owned() } else { format!("{shown}{CHANGED}") };
        let (file, mut told) = read::tables(&changed);
        let mut plan = Plan {
            file,
            name: name.into(),
            dir: dir.to_owned(),
            original: Arc::from(text),
            sources: vec![Source { name: shown, text: Arc::from(changed) }],
            checksum: checksum(text),
            sets: sets.to_vec(),
            gear: None,
            rows: None,
            other_rigs: Vec::new(),
            rig_of_check: Vec::new(),
            inside: Vec::new(),
            source_of_rig: Vec::new(),
        };
        plan.read_beside(dir, &mut told);
        if !told.unreadable {
            plan.read_rigs(&mut told);
        }
        if told.problems.is_empty() {
            return Ok(plan);
        }
        if told.unreadable {
            return Err(plan.placed(told.problems));
        }
        // the rest of the plan is checked as well, so that everything is told at once
        let (_, problems) = plan.attempt(told.problems, told.paths);
        Err(plan.placed(problems))
    }

    fn read_beside(&mut self, dir: &Path, told: &mut read::Told) {
        let gear_list = self.file.gear_list.clone();
        if let Some((source, file, text)) =
            gear_list.and_then(|name| self.beside(dir, &name, KeyPath::ROOT.field("gear_list"), told))
        {
            let before = told.problems.len();
            self.gear = Some(GearList::read(&file, source, &text, &mut told.problems));
            if told.problems.len() > before {
                told.paths.push(KeyPath::ROOT.field("gear_list"));
            }
        }
        let profile = self.file.dive.as_ref().and_then(|dive| dive.profile.clone());
        if let Some((source, file, text)) =
            profile.and_then(|name| self.beside(dir, &name, KeyPath::ROOT.field("dive").field("profile"), told))
        {
            let before = told.problems.len();
            self.rows = Some(ProfileRows::read(&file, source, &text, &mut told.problems));
            if told.problems.len() > before {
                told.paths.push(KeyPath::ROOT.field("dive").field("profile"));
            }
        }
    }

    fn beside(
        &mut self,
        dir: &Path,
        name: &str,
        path: KeyPath,
        told: &mut read::Told,
    ) -> Option<(usize, String, Arc<str>)> {
        if is_text(name) {
            let label = path.to_string();
            return Some((self.note_inside(&label, name), label, Arc::from(name)));
        }
        let full: PathBuf = dir.join(name);
        match read_text(&full) {
            Ok(text) => {
                let text: Arc<str> = Arc::from(text.strip_prefix('\u{feff}').unwrap_or(&text));
                self.sources.push(Source { name: full.display().to_string(), text: text.clone() });
                Some((self.sources.len() - 1, name.to_owned(), text))
            }
            Err((code, message, _)) => {
                let message = format!("{}: {message}", full.display());
                let help = if HAS_FILES { "the file's name is looked for beside the plan" } else { NOT_HERE_HELP };
                let help = Some(help.to_owned()).filter(|_| code == ProblemCode::Unreadable);
                told.problems.push(Problem { code, path: path.clone(), source: 0, span: 0..0, message, help });
                told.paths.push(path);
                None
            }
        }
    }

    /// Problems with their places: key paths turned into bytes, in the order of the text, none twice.
    pub(crate) fn placed(&self, mut list: Vec<Problem>) -> Problems {
        let places = Places::of(&self.sources[0].text);
        for problem in list.iter_mut().filter(|problem| problem.source == 0 && problem.span == (0..0)) {
            problem.span = places.find(&problem.path).unwrap_or(0..0);
        }
        list.sort_by_key(|problem| (problem.source, problem.span.start));
        let mut told = HashSet::new();
        list.retain(|problem| told.insert((problem.source, problem.span.clone(), problem.message.clone())));
        Problems { sources: self.sources.clone(), list }
    }
}

/// A file's text, or what is wrong with the file (and what could be read of it).
pub(crate) fn read_text(path: &Path) -> Result<String, (ProblemCode, String, String)> {
    let unreadable = |error: std::io::Error| {
        let why = if HAS_FILES { error.to_string() } else { "there are no files here".into() };
        (ProblemCode::Unreadable, format!("cannot be read: {why}"), String::new())
    };
    let bytes = std::fs::metadata(path).map_err(unreadable)?.len();
    if bytes > MAX_FILE_BYTES {
        let (size, limit) = (bytes as f64 / 1e6, MAX_FILE_BYTES as f64 / 1e6);
        let message = format!("the file has {size:.1} MB, more than the {limit:.0} MB that a plan or a list may have");
        return Err((ProblemCode::TooLarge, message, String::new()));
    }
    let bytes = std::fs::read(path).map_err(unreadable)?;
    String::from_utf8(bytes).map_err(|error| {
        let valid = error.utf8_error().valid_up_to();
        let before = String::from_utf8_lossy(&error.as_bytes()[..valid]);
        let line = before.matches('\n').count() + 1;
        (ProblemCode::NotUtf8, format!("the file is not UTF-8 text: byte {} in line {line}", valid + 1), String::new())
    })
}

/// A problem of the whole plan.
pub(crate) fn alone(shown: &str, code: ProblemCode, message: String, text: String) -> Problems {
    let problem = Problem { code, path: KeyPath::ROOT, source: 0, span: 0..0, message, help: None };
    Problems { sources: vec![Source { name: shown.into(), text: Arc::from(text) }], list: vec![problem] }
}

/// SHA-256 in hexadecimal.
pub(crate) fn checksum(text: &str) -> String {
    Sha256::digest(text.as_bytes()).iter().map(|byte| format!("{byte:02x}")).collect()
}
