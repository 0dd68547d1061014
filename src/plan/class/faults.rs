//! What is wrong with the plans of students, told at its place in the file of the class: in the student's own table, in what
//! all share, in the student's whole plan, or in a file beside it. What several students share is told once.

use std::collections::HashMap;
use std::ops::Range;

use toml_edit::Item;

use super::{Class, Student, compose};
use crate::estimate::{KeyPath, Segment};
use crate::plan::place::Places;
use crate::plan::problem::{Problem, ProblemCode, Problems, Source};

/// Names that are written out before others are counted.
const NAMED: usize = 3;

/// A problem, and whom it concerns.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    /// At its place.
    pub problem: Problem,
    /// The students, by their places in the class.
    pub students: Vec<usize>,
}

/// All that is wrong with the plans of a class.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ClassFaults {
    /// The class (first) and other files that the problems point into.
    pub sources: Vec<Source>,
    /// In the order of their places.
    pub list: Vec<Fault>,
}

impl ClassFaults {
    /// As problems of any file; `None` where there is none.
    pub fn problems(&self) -> Option<Problems> {
        let list: Vec<Problem> = self.list.iter().map(|fault| fault.problem.clone()).collect();
        (!list.is_empty()).then(|| Problems { sources: self.sources.clone(), list })
    }

    /// Those that concern a student.
    pub fn of(&self, student: usize) -> impl Iterator<Item = &Problem> {
        self.list.iter().filter(move |fault| fault.students.contains(&student)).map(|fault| &fault.problem)
    }
}

/// Which file, by its place in the list of sources, and where in it.
type Place = (usize, Range<usize>);

impl Class {
    /// The problems of students' plans, as [`Class::plan`] and [`crate::plan::Plan::build`] tell them, at their places in
    /// the file of the class.
    pub fn faults(&self, of: &[(usize, &Problems)]) -> ClassFaults {
        let mut found = Finder::of(self);
        let mut list: Vec<Fault> = Vec::new();
        let mut known: HashMap<(ProblemCode, Place, String), usize> = HashMap::new();
        for (index, problems) in of {
            for problem in &problems.list {
                let (path, place) = found.place(*index, problems, problem);
                match known.get(&(problem.code, place.clone(), problem.message.clone())) {
                    Some(at) => list[*at].students.push(*index),
                    None => {
                        known.insert((problem.code, place.clone(), problem.message.clone()), list.len());
                        let problem = Problem { path, source: place.0, span: place.1, ..problem.clone() };
                        list.push(Fault { problem, students: vec![*index] });
                    }
                }
            }
        }
        let list = self.joined(list);
        let mut faults = ClassFaults { sources: found.sources, list };
        for fault in faults.list.iter_mut().filter(|fault| fault.students.len() < self.len()) {
            fault.problem.message = format!("{}: {}", self.names(&fault.students), fault.problem.message);
        }
        faults.list.sort_by_key(|fault| (fault.problem.source, fault.problem.span.start));
        faults
    }

    /// What every student misses is missing from what they share, and told once for the whole file.
    fn joined(&self, list: Vec<Fault>) -> Vec<Fault> {
        let mut by_message: HashMap<(ProblemCode, String), usize> = HashMap::new();
        for fault in list.iter().filter(|fault| is_students(fault)) {
            *by_message.entry((fault.problem.code, fault.problem.message.clone())).or_default() += fault.students.len();
        }
        let is_all = |fault: &Fault| {
            let key = (fault.problem.code, fault.problem.message.clone());
            self.len() > 1 && is_students(fault) && by_message.get(&key) == Some(&self.len())
        };
        let (all, mut others): (Vec<Fault>, Vec<Fault>) = list.into_iter().partition(|fault| is_all(fault));
        let mut told = std::collections::HashSet::new();
        for fault in all {
            if told.insert((fault.problem.code, fault.problem.message.clone())) {
                let problem = Problem { span: 0..0, ..fault.problem };
                others.push(Fault { problem, students: (0..self.len()).collect() });
            }
        }
        others
    }

    /// Names in words.
    fn names(&self, students: &[usize]) -> String {
        let named: Vec<&str> = students.iter().take(NAMED).map(|i| self.student(*i)).collect();
        match students.len().saturating_sub(NAMED) {
            0 => named.join(", "),
            more => format!("{} and {more} more", named.join(", ")),
        }
    }
}

/// Whether it is told at a heading of a student, because nothing nearer is there.
fn is_students(fault: &Fault) -> bool {
    fault.problem.code == ProblemCode::MissingKey && fault.problem.path.first() == "student"
}

/// Finds places.
struct Finder<'c> {
    class: &'c Class,
    places: Places<'c>,
    sources: Vec<Source>,
}

impl<'c> Finder<'c> {
    fn of(class: &'c Class) -> Self {
        Self { class, places: Places::of(&class.source.text), sources: vec![class.source.clone()] }
    }

    /// The path, and the place.
    fn place(&mut self, index: usize, problems: &Problems, problem: &Problem) -> (KeyPath, Place) {
        if problem.source > 0 {
            let source = self.source(&problems.sources[problem.source]);
            return (problem.path.clone(), (source, problem.span.clone()));
        }
        let student = &self.class.students[index];
        let heading = KeyPath::ROOT.field("student").index(index);
        let own = problem.path.segments().iter().fold(heading, |path, segment| match segment {
            Segment::Key(key) => path.field(key),
            Segment::Index(index) => path.index(*index),
        });
        // what nobody knows is the key, not its value
        let is_key = problem.code == ProblemCode::UnknownKey;
        let look = if is_key { Places::find_key } else { Places::find };
        let class_file = |path: &KeyPath| (0, look(&self.places, path).unwrap_or(0..0));
        // what is wrong with the student's table itself, or with no key at all
        if !student.problems.is_empty() || problem.path.segments().is_empty() {
            return (own.clone(), class_file(&own));
        }
        if let Some(entry) = extra(&self.class.shared, student, &problem.path) {
            let start = KeyPath::ROOT.field("student").index(index).field(compose::EXTRA).index(entry);
            let rest = problem.path.segments().iter().skip(2).filter_map(Segment::key);
            let path = rest.fold(start, |path, key| path.field(key));
            return (path.clone(), class_file(&path));
        }
        match home(&self.class.shared, student, &problem.path) {
            Home::Own => (own.clone(), class_file(&own)),
            Home::Shared => (problem.path.clone(), class_file(&problem.path)),
            Home::OwnPlan => {
                let Some(file) = &student.file else { return (own.clone(), class_file(&own)) };
                let span = look(&Places::of(&file.source.text), &problem.path).unwrap_or(0..0);
                let source = file.source.clone();
                (problem.path.clone(), (self.source(&source), span))
            }
        }
    }

    fn source(&mut self, source: &Source) -> usize {
        let known = self.sources.iter().position(|known| known.name == source.name);
        known.unwrap_or_else(|| {
            self.sources.push(source.clone());
            self.sources.len() - 1
        })
    }
}

/// Where a key of a student's plan stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Home {
    /// In the student's table.
    Own,
    /// In what all share.
    Shared,
    /// In the student's whole plan.
    OwnPlan,
}

/// Which of the student's extra parts a path of the plan leads to.
fn extra(shared: &toml_edit::Table, student: &Student, path: &KeyPath) -> Option<usize> {
    let [Segment::Key(key), Segment::Index(index), ..] = path.segments() else { return None };
    let below = student.file.as_ref().map_or(shared, |file| &file.tables);
    let before = compose::length(student.own.get("part").or_else(|| below.get("part")));
    let entry = index.checked_sub(before).filter(|_| key == "part")?;
    student.own.contains_key(compose::EXTRA).then_some(entry)
}

fn home(shared: &toml_edit::Table, student: &Student, path: &KeyPath) -> Home {
    let mut keys = path.segments().iter().map_while(Segment::key);
    let (first, second) = (keys.next().unwrap_or_default(), keys.next());
    let below = match &student.file {
        Some(file) if !compose::OF_THE_CLASS.contains(&first) || !shared.contains_key(first) => {
            (Home::OwnPlan, &file.tables)
        }
        _ => (Home::Shared, shared),
    };
    let beneath = || below.1.get(first).and_then(Item::as_table_like);
    match (student.own.get(first), student.own.get(first).and_then(Item::as_table_like)) {
        // a key that nobody wrote is missing where the student is
        (None, _) if below.1.contains_key(first) || below.0 == Home::OwnPlan => below.0,
        (None, _) => Home::Own,
        (Some(_), Some(own)) if !compose::is_another(first, own) => match (second, beneath()) {
            (Some(second), Some(there)) if !own.contains_key(second) && there.contains_key(second) => below.0,
            _ => Home::Own,
        },
        _ => Home::Own,
    }
}
