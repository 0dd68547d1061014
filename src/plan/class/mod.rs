//! A class: several students of one dive, in one file.
//!
//! The file is a plan without what differs, a table `[class]` with what belongs to the class alone ([`keys`]), and a table
//! `[[student]]` for each, which has a `name` and keys of the plan. `compose` makes of them the text of a plan for each
//! student, which is read as any other: whatever a plan can say, a student can. What is wrong with one is told at its place
//! in the file of the class (`faults`).

mod compose;
mod faults;
pub mod gear;
pub mod keys;

use std::path::{Path, PathBuf};
use std::sync::Arc;

use toml_edit::{DocumentMut, Table};

use crate::estimate::KeyPath;
use crate::plan::load::{alone, read_text};
use crate::plan::problem::{Problem, ProblemCode, Problems, Source};
use crate::plan::read::{self, Told};
use crate::plan::{Plan, place::Places};
use crate::units::UnitSystem;

pub use faults::{ClassFaults, Fault};
pub use keys::{ClassKeys, PoolWater};

/// Most students of a class.
pub const MAX_STUDENTS: usize = 5_000;

/// A class that was read.
#[derive(Clone, Debug)]
pub struct Class {
    source: Source,
    /// short name: the file's, without folder and ending
    name: String,
    dir: PathBuf,
    /// the plan's tables that all share
    shared: Table,
    students: Vec<Student>,
    keys: ClassKeys,
}

/// A student as written.
#[derive(Clone, Debug)]
struct Student {
    /// as the user wrote it; `student 3` where that is missing
    name: String,
    /// name for files
    stem: String,
    /// own keys of the plan
    own: Table,
    /// file of a whole plan, and its tables or what is wrong with it
    file: Option<PlanOfOwn>,
    /// what is wrong with the table itself
    problems: Vec<Problem>,
}

/// A student's whole plan in a file of its own.
#[derive(Clone, Debug)]
struct PlanOfOwn {
    source: Source,
    tables: Table,
}

impl Class {
    /// Whether the class, or a student, writes a site; without any the sea is taken for all.
    pub fn has_site(&self) -> bool {
        let writes = |student: &Student| student.own.contains_key("site") || student.file.is_some();
        self.shared.contains_key("site") || self.students.iter().any(writes)
    }

    /// Reads a class and the plans that its students name.
    ///
    /// # Errors
    /// What leaves no answer for anybody: a text that is not TOML, no students, keys of `[class]` that are wrong. What is
    /// wrong with single students or with what they share is told by [`Class::plan`].
    pub fn load(path: impl AsRef<Path>) -> Result<Class, Problems> {
        let path = path.as_ref();
        let shown = path.display().to_string();
        let text = read_text(path).map_err(|(code, message, text)| alone(&shown, code, message, text))?;
        Class::parse(&text, &shown, path.parent().unwrap_or(Path::new("")))
    }

    /// A class from its text; `name` is what messages call it, `dir` where the files beside it are.
    ///
    /// # Errors
    /// As [`Class::load`].
    pub fn parse(text: &str, name: &str, dir: impl AsRef<Path>) -> Result<Class, Problems> {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let source = Source { name: name.into(), text: Arc::from(text) };
        let (head, told) = read::tables_of::<keys::Head>(text, &["class"]);
        let all = |problems: Vec<Problem>| Err(placed(&source, problems));
        if told.unreadable {
            return all(told.problems);
        }
        let Told { mut problems, .. } = told;
        let keys = ClassKeys::of(&head.class.unwrap_or_default(), &mut problems);
        let mut document: DocumentMut = match text.parse() {
            Ok(document) => document,
            Err(error) => {
                let error: toml_edit::TomlError = error;
                let span = error.span().unwrap_or(0..0);
                let message = format!("not TOML: {}", error.message());
                return all(vec![problem(ProblemCode::Syntax, KeyPath::ROOT, span, message, None)]);
            }
        };
        document.remove("class");
        let tables = document.remove("student").and_then(compose::tables);
        let Some(tables) = tables.filter(|tables| !tables.is_empty()) else {
            let help = "write a table [[student]] for each, with a name and what differs".to_owned();
            problems.push(problem(
                ProblemCode::MissingKey,
                KeyPath::ROOT.field("student"),
                0..0,
                "the class has no student".into(),
                Some(help),
            ));
            return all(problems);
        };
        if tables.len() > MAX_STUDENTS {
            let message = format!("the class has {} students, more than {MAX_STUDENTS}", tables.len());
            problems.push(problem(ProblemCode::OutOfRange, KeyPath::ROOT.field("student"), 0..0, message, None));
        }
        if !problems.is_empty() {
            return all(problems);
        }
        let dir = dir.as_ref().to_owned();
        let students = students(tables, &dir);
        let short = Path::new(name).file_stem().map_or_else(|| name.to_owned(), |s| s.to_string_lossy().into_owned());
        let mut shared = document.as_table().clone();
        compose::unplaced(&mut shared);
        Ok(Class { source, name: short, dir, shared, students, keys })
    }

    /// Title, or the short name of the file where there is none.
    pub fn title(&self) -> &str {
        self.shared.get("title").and_then(toml_edit::Item::as_str).unwrap_or(&self.name)
    }

    /// Short name: the file's, without folder and ending.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Name of the file, as given.
    pub fn file(&self) -> &str {
        &self.source.name
    }

    /// Remarks about the class.
    pub fn note(&self) -> Option<&str> {
        self.shared.get("note").and_then(toml_edit::Item::as_str)
    }

    /// Units that the reader wants, if the class says so.
    pub fn units(&self) -> Option<UnitSystem> {
        match self.shared.get("units").and_then(toml_edit::Item::as_str) {
            Some("us") => Some(UnitSystem::Us),
            Some("metric") => Some(UnitSystem::Metric),
            _ => None,
        }
    }

    /// What belongs to the class alone.
    pub fn keys(&self) -> &ClassKeys {
        &self.keys
    }

    /// SHA-256 of the text, in hexadecimal.
    pub fn checksum(&self) -> String {
        crate::plan::load::checksum(&self.source.text)
    }

    /// How many students.
    pub fn len(&self) -> usize {
        self.students.len()
    }

    /// Whether there is none; never.
    pub fn is_empty(&self) -> bool {
        self.students.is_empty()
    }

    /// The name of a student, as written.
    pub fn student(&self, index: usize) -> &str {
        &self.students[index].name
    }

    /// A name for files about a student: no other student's, and none that a system would stumble over.
    pub fn stem(&self, index: usize) -> &str {
        &self.students[index].stem
    }

    /// The text of a student's plan: what all share, with the student's own keys in place of the shared ones.
    pub fn plan_text(&self, index: usize) -> String {
        let student = &self.students[index];
        compose::text(&self.shared, student, self.title())
    }

    /// A student's plan.
    ///
    /// # Errors
    /// What is wrong with it; [`Class::faults`] finds the places in the file of the class.
    pub fn plan(&self, index: usize) -> Result<Plan, Problems> {
        let student = &self.students[index];
        let name = format!("{}.toml", student.stem);
        if !student.problems.is_empty() {
            let source = Source { name, text: Arc::from("") };
            return Err(Problems { sources: vec![source], list: student.problems.clone() });
        }
        Plan::parse(&self.plan_text(index), &name, &self.dir)
    }

    /// The files that were read, but for those beside the plans.
    pub fn inputs(&self) -> Vec<PathBuf> {
        let files = self.students.iter().filter_map(|student| Some(PathBuf::from(&student.file.as_ref()?.source.name)));
        std::iter::once(PathBuf::from(&self.source.name)).chain(files).collect()
    }
}

/// Problems of the class itself.
fn placed(source: &Source, mut list: Vec<Problem>) -> Problems {
    let places = Places::of(&source.text);
    for problem in list.iter_mut().filter(|problem| problem.span == (0..0)) {
        problem.span = places.find(&problem.path).unwrap_or(0..0);
    }
    list.sort_by_key(|problem| problem.span.start);
    Problems { sources: vec![source.clone()], list }
}

fn problem(
    code: ProblemCode,
    path: KeyPath,
    span: std::ops::Range<usize>,
    message: String,
    help: Option<String>,
) -> Problem {
    Problem { code, path, source: 0, span, message, help }
}

/// The students, each with what is wrong with its table.
fn students(tables: Vec<Table>, dir: &Path) -> Vec<Student> {
    let mut students: Vec<Student> = Vec::with_capacity(tables.len());
    let mut names = std::collections::HashMap::new();
    let mut stems = std::collections::HashSet::new();
    for (index, mut own) in tables.into_iter().enumerate() {
        compose::unplaced(&mut own);
        let mut problems = Vec::new();
        let name = word(&mut own, "name", &mut problems).filter(|name| !name.trim().is_empty());
        if name.is_none() && problems.is_empty() {
            let message = "this student has no name".to_owned();
            let help = Some("write name = \"…\", as the student is called on this course".to_owned());
            problems.push(problem(ProblemCode::MissingKey, KeyPath::ROOT.field("name"), 0..0, message, help));
        }
        let name = name.unwrap_or_else(|| format!("student {}", index + 1));
        if let Some(first) = names.insert(name.clone(), index) {
            let message = format!("\"{name}\" is student {} and again student {}", first + 1, index + 1);
            let help = Some("give every student a name of its own".to_owned());
            problems.push(problem(ProblemCode::DuplicateName, KeyPath::ROOT.field("name"), 0..0, message, help));
        }
        let file = word(&mut own, "plan", &mut problems).and_then(|name| whole_plan(&name, dir, &mut problems));
        let stem = stem(&name, &mut stems);
        students.push(Student { name, stem, own, file, problems });
    }
    students
}

/// Takes a text out of a student's table.
fn word(own: &mut Table, key: &str, problems: &mut Vec<Problem>) -> Option<String> {
    let item = own.remove(key)?;
    let text = item.as_str().map(str::to_owned);
    if text.is_none() {
        let message = format!("{key} must be a text");
        problems.push(problem(ProblemCode::WrongType, KeyPath::ROOT.field(key), 0..0, message, None));
    }
    text
}

/// Reads a whole plan that a student names.
fn whole_plan(name: &str, dir: &Path, problems: &mut Vec<Problem>) -> Option<PlanOfOwn> {
    let path = dir.join(name);
    let shown = path.display().to_string();
    let mut fault = |code, message: String, help: Option<&str>| {
        let at = KeyPath::ROOT.field("plan");
        problems.push(problem(code, at, 0..0, message, help.map(str::to_owned)));
    };
    let text = match read_text(&path) {
        Ok(text) => text,
        Err((code, message, _)) => {
            fault(code, format!("{shown}: {message}"), Some("the plan's name is looked for beside the class"));
            return None;
        }
    };
    let text = text.strip_prefix('\u{feff}').unwrap_or(&text);
    match text.parse::<DocumentMut>() {
        Ok(document) => {
            let mut tables = document.as_table().clone();
            compose::unplaced(&mut tables);
            compose::from_folder(&mut tables, Path::new(name).parent().unwrap_or(Path::new("")));
            Some(PlanOfOwn { source: Source { name: shown, text: Arc::from(text) }, tables })
        }
        Err(error) => {
            let line = text[..error.span().map_or(0, |span| span.start.min(text.len()))].matches('\n').count() + 1;
            fault(ProblemCode::Syntax, format!("{shown}, line {line}: not TOML: {}", error.message()), None);
            None
        }
    }
}

/// A name for files: letters, digits and hyphens, told apart by a number where two come to the same.
fn stem(name: &str, known: &mut std::collections::HashSet<String>) -> String {
    let letters = name.to_lowercase().chars().map(|c| if c.is_alphanumeric() { c } else { '-' }).collect::<String>();
    let words: Vec<&str> = letters.split('-').filter(|word| !word.is_empty()).collect();
    let plain: String = words.join("-").chars().take(60).collect();
    let plain = if plain.is_empty() { "student".to_owned() } else { plain };
    let numbered = (2..).map(|number| format!("{plain}-{number}"));
    let free = std::iter::once(plain.clone()).chain(numbered).find(|stem| !known.contains(stem));
    let stem = free.unwrap_or(plain);
    known.insert(stem.clone());
    stem
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_make_files_of_their_own() {
        let mut known = std::collections::HashSet::new();
        let made: Vec<String> =
            ["Ana", "ana", "José / twin", "../..", "", "CON: a?b"].map(|name| stem(name, &mut known)).to_vec();
        assert_eq!(made, ["ana", "ana-2", "josé-twin", "student", "student-2", "con-a-b"]);
    }
}
