//! `--set KEY=VALUE`: a change of one value in the plan's text, before it is read, with layout and comments kept.
//!
//! A key is a path such as `suit.gas_volume`, `cylinder[2].fill` (counted from 1) or, by name, `cylinder.back.fill` and
//! `ballast."belt weights".mass`. A value that is no TOML by itself (`14 L`) is taken as text.

use toml_edit::{DocumentMut, Item, Table, Value};

use crate::estimate::{KeyPath, Segment};
use crate::plan::words::{all_of, did_you_mean};

/// What is wrong, and what to do.
type Fault = (String, Option<String>);

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
        let path: KeyPath = key.parse().map_err(|_| {
            let help = "write a key such as suit.gas_volume, cylinder[2].fill or cylinder.back.fill".into();
            (format!("--set {key}: not a key"), Some(help))
        })?;
        change(document.as_table_mut(), path.segments(), key, to_value(value))?;
    }
    Ok(document.to_string())
}

/// TOML where the text is TOML, else the text itself.
fn to_value(text: &str) -> Value {
    text.trim().parse::<Value>().unwrap_or_else(|_| Value::from(text.trim()))
}

fn change(table: &mut Table, segments: &[Segment], key: &str, value: Value) -> Result<(), Fault> {
    let [Segment::Key(name), rest @ ..] = segments else {
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
                Segment::Index(index) => *index,
                Segment::Key(wanted) if is_number(wanted) && !names.contains(wanted) => {
                    let counted = key.replacen(&format!("{name}.{wanted}"), &format!("{name}[{wanted}]"), 1);
                    let help = format!("tables of a list are counted in brackets, from 1: write {counted}");
                    return Err((format!("--set {key}: no {name} is named \"{wanted}\""), Some(help)));
                }
                // the only cylinder is called so where nothing else is written
                Segment::Key(wanted) if name == "cylinder" && wanted == "back" && names == [""] => 0,
                Segment::Key(wanted) => names.iter().position(|name| name == wanted).ok_or_else(|| {
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

fn is_number(text: &str) -> bool {
    !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit())
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
    fn an_only_cylinder_without_a_name_is_back() {
        let plan = PLAN.replace("name = \"back\"\n", "");
        let sets = [("cylinder.back.fill".to_owned(), "200 bar".to_owned())];
        assert_eq!(apply(&plan, &sets).unwrap(), plan.replace("220", "200"));
        let two = format!("{plan}[[cylinder]]\nfill = \"90 bar\"\n");
        assert!(apply(&two, &sets).is_err());
    }

    #[test]
    fn keys_that_name_nothing_are_told() {
        assert!(set("cylinder.bakc.fill", "200 bar").unwrap_err().1.unwrap().contains("\"back\""));
        let (told, help) = set("cylinder.1.fill", "200 bar").unwrap_err();
        assert!(told.contains("no cylinder is named \"1\"") && help.unwrap().ends_with("write cylinder[1].fill"));
        assert!(set("cylinder[2].fill", "200 bar").is_err());
        assert!(set("cylinder[0].fill", "200 bar").is_err());
        for nonsense in
            ["", ".", "suit.", "suit..loft", "cylinder[x].fill", "suit", "cylinder", "cylinder[1]", "suit.gas_volume.x"]
        {
            assert!(set(nonsense, "1 L").is_err(), "{nonsense}");
        }
    }
}
