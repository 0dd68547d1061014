//! A plan from a list of readings: what an instructor has on paper, a piece a row.
//!
//! | column | meaning |
//! | --- | --- |
//! | `piece` | its name; of a cylinder with its size (`steel 12 L 232 bar`) |
//! | `in_water` | what the spring scale said, positive floats: `-2.4 kg` |
//! | `water` | the water of the reading: `pool`, `fresh`, `sea`, `site` or a density |
//! | `pressure` | what a cylinder's gauge showed then: `220 bar`, `0 bar` for one read empty |
//! | `mass` | its mass on land |
//! | `count` | how many of it |
//! | `gas` | what a cylinder is filled with |
//! | `note` | a remark |
//!
//! What a piece is, is told by its words alone, and only where they leave no other meaning (`kind`); all else is a part.
//! `write` makes the commented plan.

mod kind;
mod read;
mod write;

use std::path::Path;
use std::sync::Arc;

use crate::plan::Plan;
use crate::plan::load::{alone, read_text};
use crate::plan::problem::{Problems, Source};

/// A plan made from a list.
#[derive(Clone, Debug, PartialEq)]
pub struct FromReadings {
    /// Its text, commented.
    pub text: String,
    /// What was taken from the list, in words, a piece each.
    pub taken: Vec<String>,
    /// What the list does not have, and what stands for it.
    pub missing: Vec<String>,
    /// Names of the cylinders.
    pub cylinders: Vec<String>,
}

impl FromReadings {
    /// Reads a list and makes a plan of it; `title` heads the plan.
    ///
    /// # Errors
    /// Everything that is wrong with the list, at once.
    pub fn of(path: &Path, title: &str) -> Result<Self, Problems> {
        let shown = path.display().to_string();
        let text = read_text(path).map_err(|(code, message, text)| alone(&shown, code, message, text))?;
        Self::of_text(&text, &shown, title)
    }

    /// The same from a text; `name` is what messages call it.
    ///
    /// # Errors
    /// As [`FromReadings::of`].
    pub fn of_text(text: &str, name: &str, title: &str) -> Result<Self, Problems> {
        let text: Arc<str> = Arc::from(text.strip_prefix('\u{feff}').unwrap_or(text));
        match read::rows(&text, name) {
            Ok(rows) => {
                let found = write::plan(&rows, title, name);
                // what the rows say one by one may still not make a dive together
                Plan::parse(&found.text, "the plan made of it", "")?.build()?;
                Ok(found)
            }
            Err(mut list) => {
                list.sort_by_key(|problem| problem.span.start);
                list.dedup();
                Err(Problems { sources: vec![Source { name: name.into(), text }], list })
            }
        }
    }
}
