//! `--set KEY=VALUE`: a change of one value in the plan's text, before it is read, with layout and comments kept.
//!
//! A key is a path such as `suit.gas_volume`, `cylinder[2].fill` (counted from 1) or, by name, `cylinder.back.fill` and
//! `ballast."belt weights".mass`. A value that is no TOML by itself (`14 L`) is taken as text.

use toml_edit::{DocumentMut, Item, Table, Value};

use crate::plan::words::{all_of, did_you_mean};

/// What is wrong, and what to do.
type Fault = (String, Option<String>);

/// A step of a key path.
#[derive(Debug, PartialEq)]
enum Step {
    Key(String),
    /// from 0
    Index(usize),
}

/// The text with all changes made, in order.
pub(crate) fn apply(text: &str, sets: &[(String, String)]) -> Result<String, Fault> {
    if sets.is_empty() {
        return Ok(text.to_owned());
    }
    let mut document: DocumentMut = match text.parse() {
        Ok(document) => document,
        Err(_) => return Ok(text.to_owned()), // reading it tells where it is no TOML
    };
    for (key, value) in sets {
        let steps = steps(key).ok_or_else(|| {
            let help = "write a key such as suit.gas_volume, cylinder[2].fill or cylinder.back.fill".into();
            (format!("--set {key}: not a key"), Some(help))
        })?;
        change(document.as_table_mut(), &steps, key, to_value(value))?;
    }
    Ok(document.to_string())
}

/// TOML where the text is TOML, else the text itself.
fn to_value(text: &str) -> Value {
    text.trim().parse::<Value>().unwrap_or_else(|_| Value::from(text.trim()))
}

fn change(table: &mut Table, steps: &[Step], key: &str, value: Value) -> Result<(), Fault> {
    let (Step::Key(name), rest) = (&steps[0], &steps[1..]) else {
        return Err((format!("--set {key}: a list has no place here"), None));
    };
    if rest.is_empty() {
        return match table.get_mut(name) {
            Some(Item::Value(old)) => {
                let decor = old.decor().clone();
                *old = value;
                *old.decor_mut() = decor;
                Ok(())
            }
            Some(Item::Table(_) | Item::ArrayOfTables(_)) => {
                Err((format!("--set {key}: this is a table; set one of its keys"), None))
            }
            _ => {
                table.insert(name, Item::Value(value));
                Ok(())
            }
        };
    }
    let item = table.entry(name).or_insert_with(|| Item::Table(Table::new()));
    match item {
        Item::Table(inner) => change(inner, rest, key, value),
        Item::Value(Value::InlineTable(inner)) => {
            let mut as_table = std::mem::take(inner).into_table();
            let outcome = change(&mut as_table, rest, key, value);
            *inner = as_table.into_inline_table();
            outcome
        }
        Item::ArrayOfTables(list) => {
            let names: Vec<String> =
                list.iter().map(|t| t.get("name").and_then(Item::as_str).unwrap_or_default().to_owned()).collect();
            let index = match &rest[0] {
                Step::Index(index) => *index,
                Step::Key(wanted) => names.iter().position(|name| name == wanted).ok_or_else(|| {
                    let known: Vec<&str> = names.iter().map(String::as_str).filter(|n| !n.is_empty()).collect();
                    let help = did_you_mean(wanted, known.iter().copied())
                        .or_else(|| (!known.is_empty()).then(|| format!("the names are {}", all_of(&known))));
                    (format!("--set {key}: no {name} is named \"{wanted}\""), help)
                })?,
            };
            let count = list.len();
            let Some(inner) = list.get_mut(index) else {
                return Err((format!("--set {key}: the plan has {count} of {name}, counted from 1"), None));
            };
            if rest.len() == 1 {
                return Err((format!("--set {key}: this is a table; set one of its keys"), None));
            }
            change(inner, &rest[1..], key, value)
        }
        _ => Err((format!("--set {key}: {name} is no table"), None)),
    }
}

/// `cylinder[2].fill`, `ballast."belt weights".mass`.
fn steps(key: &str) -> Option<Vec<Step>> {
    let mut steps = Vec::new();
    let mut rest = key.trim();
    while !rest.is_empty() {
        if let Some(quoted) = rest.strip_prefix('"') {
            let (name, after) = quoted.split_once('"')?;
            steps.push(Step::Key(name.to_owned()));
            rest = after;
        } else {
            let end = rest.find(['.', '[']).unwrap_or(rest.len());
            let name = rest[..end].trim();
            if name.is_empty() {
                return None;
            }
            steps.push(Step::Key(name.to_owned()));
            rest = &rest[end..];
        }
        if let Some(bracket) = rest.strip_prefix('[') {
            let (index, after) = bracket.split_once(']')?;
            let counted: usize = index.trim().parse().ok()?;
            steps.push(Step::Index(counted.checked_sub(1)?));
            rest = after;
        }
        match rest.strip_prefix('.') {
            Some(after) if !after.is_empty() => rest = after,
            Some(_) => return None,
            None if rest.is_empty() => break,
            None => return None,
        }
    }
    (!steps.is_empty()).then_some(steps)
}

#[cfg(test)]
mod tests {
    use super::*;

    const PLAN: &str =
        "# top\n[suit]\ngas_volume = \"11 L\" # measured\n\n[[cylinder]]\nname = \"back\"\nfill = \"220 bar\"\n";

    fn set(key: &str, value: &str) -> Result<String, Fault> {
        apply(PLAN, &[(key.into(), value.into())])
    }

    #[test]
    fn values_change_and_comments_stay() {
        assert_eq!(set("suit.gas_volume", "14 L").unwrap(), PLAN.replace("11 L", "14 L"));
        assert_eq!(set("suit.gas_volume", "\"14 L\"").unwrap(), PLAN.replace("11 L", "14 L"));
        assert_eq!(set("cylinder[1].fill", "200 bar").unwrap(), PLAN.replace("220", "200"));
        assert_eq!(set("cylinder.back.fill", "200 bar").unwrap(), PLAN.replace("220", "200"));
        assert!(set("cylinder.back.removable", "true").unwrap().contains("removable = true"));
        assert!(set("wing.capacity", "20 L").unwrap().contains("[wing]\ncapacity = \"20 L\""));
    }

    #[test]
    fn keys_that_name_nothing_are_told() {
        assert!(set("cylinder.bakc.fill", "200 bar").unwrap_err().1.unwrap().contains("\"back\""));
        assert!(set("cylinder[2].fill", "200 bar").is_err());
        assert!(set("cylinder[0].fill", "200 bar").is_err());
        for nonsense in
            ["", ".", "suit.", "suit..loft", "cylinder[x].fill", "suit", "cylinder", "cylinder[1]", "suit.gas_volume.x"]
        {
            assert!(set(nonsense, "1 L").is_err(), "{nonsense}");
        }
    }

    #[test]
    fn names_with_dots_take_quotes() {
        let steps = steps("ballast.\"belt 1.5\".mass").unwrap();
        assert_eq!(steps[1], Step::Key("belt 1.5".into()));
    }
}
