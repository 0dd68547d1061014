//! From a question to an answer, both JSON.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use serde_json::json;

use lightpoint::UnitSystem;
use lightpoint::internals::answer::handout::sizes;
use lightpoint::internals::answer::problems::placed;
use lightpoint::internals::answer::{AnswerError, HandoutFacts, Pieces, Ready, WholeFacts};
use lightpoint::internals::plan::Note;
use lightpoint::internals::plan::begin::{Answers, begin, choices, with_check};
use lightpoint::internals::plan::inside::written_in;
use lightpoint::internals::report::bench::{self, MishapAsk, WholeAsk};
use lightpoint::internals::report::html::{Paper, Sheet, Side};

use crate::about::{About, words};
use crate::change::{Change, changed};
use crate::plans::{self, Set, open};

/// A question. What an operation does not need may be left out.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Question {
    /// What is asked.
    pub op: String,
    /// Name of the plan, for messages.
    pub name: String,
    /// Its text.
    pub text: String,
    /// Changes on top.
    pub sets: Vec<Set>,
    units: Option<Units>,
    moment_s: Option<f64>,
    failure_s: Option<f64>,
    mishaps: Mishaps,
    change: Option<Change>,
    files: BTreeMap<String, String>,
    answers: Answers,
    check: BTreeMap<String, String>,
    date: Option<String>,
    paper: Option<PaperSize>,
}

#[derive(Clone, Copy, Debug, Deserialize)]
#[serde(rename_all = "lowercase")]
enum Units {
    Metric,
    Us,
}

#[derive(Clone, Copy, Debug, Deserialize)]
#[serde(rename_all = "lowercase")]
enum PaperSize {
    A4,
    Letter,
}

/// The mishaps that are looked at.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct Mishaps {
    all: bool,
    on: Vec<String>,
}

/// Why there is no answer.
enum Failure {
    /// The plan, or the dive.
    Answer(AnswerError),
    /// Something else, in words.
    Words(String),
}

impl From<AnswerError> for Failure {
    fn from(error: AnswerError) -> Self {
        Self::Answer(error)
    }
}

impl From<String> for Failure {
    fn from(words: String) -> Self {
        Self::Words(words)
    }
}

#[derive(Serialize)]
struct Good<T> {
    ok: T,
}

type Reply = Result<String, Failure>;

/// The answer to a question.
pub fn answer(question: &[u8]) -> String {
    let reply = serde_json::from_slice(question)
        .map_err(|error| Failure::Words(format!("not a question: {error}")))
        .and_then(|question: Question| reply(&question));
    match reply {
        Ok(text) => text,
        Err(Failure::Answer(AnswerError::Problems(problems))) => {
            told(&json!({ "problems": bench::problems(&placed(&problems)) }))
        }
        Err(Failure::Answer(error)) => told(&json!({ "error": error.to_string() })),
        Err(Failure::Words(error)) => told(&json!({ "error": error })),
    }
}

fn told(value: &impl Serialize) -> String {
    serde_json::to_string(value).unwrap_or_else(|error| json!({ "error": error.to_string() }).to_string())
}

fn good(ok: impl Serialize) -> Reply {
    Ok(told(&Good { ok }))
}

fn reply(question: &Question) -> Reply {
    match question.op.as_str() {
        "dive" => dive(question),
        "whole" => whole(question),
        "text" => text(question),
        "words" => {
            let (words, line) = words(&plans::read(question)?, &question.name);
            good(json!({ "words": words, "line": line }))
        }
        "write_in" => write_in(question),
        "check" => check(question),
        "begin" => good(json!({ "text": begin(&question.answers) })),
        "choices" => offered(),
        "add_check" => {
            let fields: Vec<Set> = question.check.clone().into_iter().collect();
            good(json!({ "text": with_check(&changed_text(question)?, &fields) }))
        }
        "handout" => handout(question),
        other => Err(Failure::Words(format!("nothing is called \"{other}\" here"))),
    }
}

impl Question {
    fn asked_units(&self) -> Option<UnitSystem> {
        self.units.map(|units| match units {
            Units::Metric => UnitSystem::Metric,
            Units::Us => UnitSystem::Us,
        })
    }
}

fn dive(question: &Question) -> Reply {
    let mut opened = open(question)?;
    let units = opened.units(question.asked_units());
    if let Some(change) = &question.change {
        let sets = changed(&opened, change, units)?;
        let (name, text) = (question.name.clone(), question.text.clone());
        opened = open(&Question { name, text, sets, ..Question::default() })?;
    }
    let about = About::of(&opened, units);
    good(bench::dive(
        &bench::Ask {
            source: &opened.source,
            name: opened.plan.name(),
            sets: opened.plan.sets(),
            units,
            moment_s: question.moment_s,
            failure_s: question.failure_s,
            controls: &about.controls,
            levels: &about.levels,
            cylinders: &about.cylinders,
            marks: &about.marks,
            mishaps: MishapAsk { all: question.mishaps.all, on: &question.mishaps.on },
        },
        &opened.quick,
    ))
}

fn whole(question: &Question) -> Reply {
    let opened = open(question)?;
    let units = opened.units(question.asked_units());
    let facts = WholeFacts::of(&opened.plan, &Pieces::Usual(units))?;
    good(bench::whole(&WholeAsk { source: &opened.source, notes: &opened.notes(units), units }, &facts))
}

/// The text of the plan with the changes made; also of a plan that has problems.
fn changed_text(question: &Question) -> Result<String, Failure> {
    match plans::read(question) {
        Ok(plan) => Ok(plan.sources()[0].text.to_string()),
        Err(AnswerError::Problems(problems)) if question.sets.is_empty() => {
            drop(problems);
            Ok(question.text.clone())
        }
        Err(error) => Err(error.into()),
    }
}

fn text(question: &Question) -> Reply {
    good(json!({ "text": changed_text(question)? }))
}

fn write_in(question: &Question) -> Reply {
    // browsers tell a file's name and not its folder
    let read = |name: &str| {
        let last = name.rsplit(['/', '\\']).next().unwrap_or(name);
        question.files.get(name).or_else(|| question.files.get(last)).cloned()
    };
    match written_in(&question.text, &read) {
        Ok(text) => good(json!({ "text": text })),
        Err((message, help)) => {
            Err(Failure::Words([Some(message), help].into_iter().flatten().collect::<Vec<_>>().join(": ")))
        }
    }
}

fn check(question: &Question) -> Reply {
    let opened = open(question)?;
    let units = opened.units(question.asked_units());
    // the figures tell what is typical and what is a guess
    let notes = opened.quick.built.notes.iter();
    let notes = notes.filter(|note| !matches!(note, Note::Typical(_) | Note::Guesses(_))).map(|note| note.text(units));
    let notes: Vec<String> = opened.plan.changed().into_iter().chain(notes).collect();
    let ready = Ready { built: opened.quick.built.clone(), checked: opened.quick.checked.clone() };
    good(bench::check(units, &ready, &notes))
}

fn offered() -> Reply {
    let choices = choices();
    let sizes: Vec<&str> = choices.sizes.iter().map(|size| size.name).collect();
    good(json!({
        "suits": choices.suits,
        "sizes": sizes,
        "gases": choices.gases,
        "waters": choices.waters,
        "gear": choices.gear,
    }))
}

fn handout(question: &Question) -> Reply {
    let opened = open(question)?;
    let units = opened.units(question.asked_units());
    let facts = HandoutFacts::of(&opened.plan, None, &Pieces::Usual(units))?;
    let mind: Vec<String> =
        facts.built.notes.iter().filter(|note| note.is_for_the_diver()).map(|note| note.text(units)).collect();
    let notes = opened.notes(units);
    let sizes = sizes(&opened.plan);
    let sheet = Sheet {
        facts: &facts,
        plan: Side { source: &opened.source, notes: &notes, sizes: &sizes },
        beside: None,
        mind: &mind,
        units,
        date: question.date.as_deref(),
        paper: match question.paper {
            Some(PaperSize::A4) => Paper::A4,
            Some(PaperSize::Letter) => Paper::Letter,
            None => Paper::usual(units),
        },
    };
    let html = sheet.page().map_err(|error| error.to_string())?;
    good(json!({ "html": html }))
}
