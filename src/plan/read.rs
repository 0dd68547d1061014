//! From text to tables. The reader stops at its first error, so each error is noted, its entry is taken out of the tree,
//! and the tree is read again, until what is left is right.

use serde::de::DeserializeOwned;
use toml::Spanned;
use toml::de::{DeTable, Deserializer};

use crate::estimate::{KeyPath, Segment};
use crate::plan::file::PlanFile;
use crate::plan::place::remove_at;
use crate::plan::problem::{Problem, ProblemCode};
use crate::plan::words::{all_of, nearest};

/// Errors of this sort that are told before giving up.
const MAX_ERRORS: usize = 100;

/// Keys of earlier versions, and what they are called now. Each new one is a key of the table where the old one was.
const RENAMED: [(&str, &str); 6] = [
    ("shape", "size"),
    ("low", "reserve"),
    ("low_pressure", "reserve"),
    ("loft", "gas_volume"),
    ("spare", "extra_volume"),
    ("squeeze", "compliance"),
];

/// What was told while reading.
#[derive(Debug, Default)]
pub(crate) struct Told {
    /// The problems.
    pub problems: Vec<Problem>,
    /// Paths that they concern: nothing more is said about these.
    pub paths: Vec<KeyPath>,
    /// Whether what was read cannot be relied on.
    pub unreadable: bool,
}

/// The tables of a plan, without what is wrong.
pub(crate) fn tables(text: &str) -> (PlanFile, Told) {
    tables_of(text, &[])
}

/// The tables of a text, without what is wrong; of those at its top only some, if any are named.
pub(crate) fn tables_of<T: DeserializeOwned + Default>(text: &str, only: &[&str]) -> (T, Told) {
    let parsed = || {
        let (mut tree, errors) = DeTable::parse_recoverable(text);
        if !only.is_empty() {
            let others: Vec<String> = tree.get_ref().keys().map(|key| key.get_ref().to_string()).collect();
            for key in others.iter().filter(|key| !only.contains(&key.as_str())) {
                tree.get_mut().remove(key.as_str());
            }
        }
        (tree, errors)
    };
    let mut told = Told::default();
    let (mut tree, errors) = parsed();
    // after a heading that does not close, every later one seems to be there twice
    let is_broken = errors.first().is_some_and(|error| error.message() != "duplicate key");
    for error in errors.into_iter().filter(|error| !is_broken || error.message() != "duplicate key") {
        let span = error.span().unwrap_or(0..0);
        let message = format!("not TOML: {}", error.message());
        told.problems.push(Problem {
            code: ProblemCode::Syntax,
            path: KeyPath::ROOT,
            source: 0,
            span,
            message,
            help: None,
        });
        told.unreadable = true;
    }
    if told.unreadable {
        return (T::default(), told);
    }
    // a plan without such a fault is not copied
    let first = T::deserialize(Deserializer::from(tree));
    let Err(error) = first else { return (first.unwrap_or_default(), told) };
    tree = parsed().0;
    note(&error, &mut tree, &mut told);
    for _ in 1..MAX_ERRORS {
        if told.unreadable {
            break;
        }
        match T::deserialize(Deserializer::from(tree.clone())) {
            Ok(file) => return (file, told),
            Err(error) => note(&error, &mut tree, &mut told),
        }
    }
    told.unreadable = true;
    (T::default(), told)
}

fn note(error: &toml::de::Error, tree: &mut Spanned<DeTable>, told: &mut Told) {
    let span = error.span().unwrap_or(0..0);
    let meant = |name: &str| meant(error, name).map(str::to_owned);
    let removed = remove_at(tree.get_mut(), &span, &KeyPath::ROOT, &meant);
    let (path, by_key) = match removed {
        Some(found) => found,
        None => {
            told.unreadable = true;
            (KeyPath::ROOT, false)
        }
    };
    // an entry of a list cannot be taken out
    told.unreadable |= matches!(path.segments().last(), Some(Segment::Index(_)));
    let (code, message, help) = if by_key { unknown_key(error, &path, told) } else { wrong_type(error, &path) };
    told.paths.push(path.clone());
    told.problems.push(Problem { code, path, source: 0, span, message, help });
}

/// The known key that a written one means, by the reader's own message, which lists those that there are.
fn meant<'e>(error: &'e toml::de::Error, written: &str) -> Option<&'e str> {
    let known = || error.message().split('`').skip(3).step_by(2);
    let renamed = RENAMED.iter().find_map(|(old, new)| known().find(|known| *old == written && known == new));
    renamed.or_else(|| nearest(written, known()))
}

fn unknown_key(error: &toml::de::Error, path: &KeyPath, told: &mut Told) -> (ProblemCode, String, Option<String>) {
    let mut quoted = error.message().split('`').skip(1).step_by(2);
    let written = quoted.next().unwrap_or_default();
    let known: Vec<&str> = quoted.collect();
    let renamed = RENAMED.iter().find(|(old, new)| *old == written && known.contains(new)).map(|(_, new)| *new);
    let near = meant(error, written);
    if let Some(near) = near {
        // what was meant is not missing
        told.paths.push(path.parent().field(near));
    }
    let help = match (renamed, near) {
        (Some(new), _) => format!("this key is called \"{new}\" now"),
        (None, Some(near)) => format!("did you mean \"{near}\"?"),
        (None, None) => format!("the keys here are {}", all_of(&known)),
    };
    (ProblemCode::UnknownKey, format!("the plan has no key \"{path}\""), Some(help))
}

fn wrong_type(error: &toml::de::Error, path: &KeyPath) -> (ProblemCode, String, Option<String>) {
    let message = error.message().lines().next().unwrap_or_default();
    let parts = message.strip_prefix("invalid type: ").and_then(|rest| rest.split_once(", expected "));
    let message = match parts {
        Some((found, expected)) => {
            let expected = match expected {
                struct_name if struct_name.starts_with("struct ") => "a table",
                "a sequence" => "a list of tables, each under its own [[heading]]",
                "a boolean" => "true or false, without quotes",
                "i64" => "a whole number, without quotes",
                other => other,
            };
            format!("{path} must be {expected}, not {found}")
        }
        None => format!("{path}: {message}"),
    };
    (ProblemCode::WrongType, message, None)
}
