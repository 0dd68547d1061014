//! From a question to an answer, both JSON.

use serde::{Deserialize, Serialize};

use lightpoint::internals::answer::AnswerError;

use crate::plans::{self, Set};

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
}

/// Why there is no answer.
pub enum Failure {
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

#[derive(Serialize)]
struct Good<T> {
    ok: T,
}

#[derive(Serialize)]
struct Bad {
    error: String,
}

/// The answer to a question.
pub fn answer(question: &[u8]) -> String {
    let reply = serde_json::from_slice(question)
        .map_err(|error| Failure::Words(format!("not a question: {error}")))
        .and_then(|question: Question| reply(&question));
    match reply {
        Ok(text) => text,
        Err(Failure::Answer(error)) => told(&Bad { error: error.to_string() }),
        Err(Failure::Words(error)) => told(&Bad { error }),
    }
}

fn told(value: &impl Serialize) -> String {
    serde_json::to_string(value).unwrap_or_else(|error| format!("{{\"error\":\"{error}\"}}"))
}

fn good(ok: impl Serialize) -> Result<String, Failure> {
    Ok(told(&Good { ok }))
}

fn reply(question: &Question) -> Result<String, Failure> {
    let opened = plans::open(&question.name, &question.text, &question.sets)?;
    good(opened.plan.title())
}
