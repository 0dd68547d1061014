//! Small answers: what is wrong with a plan, and where its figures come from.

use serde::Serialize;

use crate::answer::{PlacedProblem, Ready};
use crate::estimate::{Input, Origin};
use crate::report::measure::UnitSystem;
use crate::report::{calibrate, inputs};

/// What is wrong with a plan.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ProblemAnswer {
    code: &'static str,
    message: String,
    help: Option<String>,
    source: String,
    line: Option<usize>,
    column: Option<usize>,
    end_column: Option<usize>,
    key: String,
}

/// The problems of a plan, in the terminal's words.
pub fn problems(placed: &[PlacedProblem]) -> Vec<ProblemAnswer> {
    let one = |problem: &PlacedProblem| ProblemAnswer {
        code: problem.code,
        message: problem.message.clone(),
        help: problem.help.clone(),
        source: problem.source.clone(),
        line: problem.place.map(|place| place.line),
        column: problem.place.map(|place| place.column),
        end_column: problem.place.map(|place| place.end_column),
        key: problem.key.clone(),
    };
    placed.iter().map(one).collect()
}

/// Where every figure comes from.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Check {
    summary: String,
    notes: Vec<String>,
    figures: Vec<Figure>,
}

/// A figure that the dive was built from.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Figure {
    key: String,
    label: String,
    value: String,
    doubt: String,
    origin: String,
    is_typical: bool,
    note: Option<String>,
    /// value and doubt before checks in the water moved it; null where none did
    before: Option<String>,
}

/// Of a plan that is ready; `notes` are those of the plan that the table does not tell already.
pub fn check(units: UnitSystem, ready: &Ready, notes: &[String]) -> Check {
    let (built, checked) = (&ready.built, ready.checked.as_ref());
    let mut all: Vec<String> = inputs::weigh_first(units, &built.inputs).into_iter().collect();
    if let Some(checked) = checked {
        let (first, corrected) = calibrate::around(units, Some(checked));
        let lines = first.into_iter().chain(corrected).chain(calibrate::verdicts(units, false, checked));
        let lines = lines.chain(calibrate::moved_lines(units, checked));
        all.extend(lines.map(|line| match line.label.is_empty() {
            true => line.text,
            false => format!("{}: {}", line.label, line.text),
        }));
    }
    all.extend(notes.iter().cloned());
    let before = |i: usize| checked.and_then(|checked| checked.before.get(i));
    let figures = built.inputs.iter().enumerate();
    Check {
        summary: inputs::valid_text(&built.scenario),
        notes: all,
        figures: figures.map(|(i, input)| figure(units, input, before(i))).collect(),
    }
}

fn figure(units: UnitSystem, input: &Input, before: Option<&Input>) -> Figure {
    let [value, doubt] = inputs::shown_figure(units, input);
    let moved = before.filter(|before| before.estimate != input.estimate);
    Figure {
        key: input.path.to_string(),
        label: input.label.clone(),
        value,
        doubt,
        origin: input.origin.text(),
        is_typical: input.origin == Origin::Typical,
        note: input.note.clone(),
        before: moved.map(|before| inputs::shown_figure(units, before).join(" ").trim().to_owned()),
    }
}
