//! `--set KEY=VALUE`: a change of values in the plan's text, before it is read, with layout and comments kept.
//!
//! A key is a path such as `suit.gas_volume`, `cylinder[2].fill` (counted from 1) or, by name, `cylinder.back.fill` and
//! `ballast."belt weights".mass`. A value that is no TOML by itself (`14 L`) is taken as text.
//!
//! A value that is a table or a list of tables takes the place of a whole one: `site={ water = "fresh" }`,
//! `ballast=[{ name = "belt", mass = "4 kg" }]`, `ballast=[]`. In the text it becomes sections where there were sections, or
//! where nothing was. Nothing behind the sign takes a key out: `site=`.

use toml_edit::{ArrayOfTables, DocumentMut, InlineTable, Item, Table, Value};

use crate::estimate::{KeyPath, Segment};
use crate::plan::checks::with_line_ends_of;
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
        // nothing at all takes the key out; an empty text is ""
        let value = (!value.trim().is_empty()).then(|| to_value(value));
        change(document.as_table_mut(), path.segments(), key, value, true)?;
    }
    Ok(with_line_ends_of(text, document.to_string()))
}

/// TOML where the text is TOML, else the text itself.
fn to_value(text: &str) -> Value {
    text.trim().parse::<Value>().unwrap_or_else(|_| Value::from(text.trim()))
}

/// A text as a value of a change that is taken for nothing else: `"true"` and not `true`.
pub(crate) fn as_text(text: &str) -> String {
    match to_value(text) {
        Value::String(_) if !text.starts_with(['"', '\'']) => text.to_owned(),
        _ => Value::from(text).to_string(),
    }
}

/// `has_sections`: whether a section can stand for what is in this table.
fn change(
    table: &mut Table,
    segments: &[Segment],
    key: &str,
    value: Option<Value>,
    has_sections: bool,
) -> Result<(), Fault> {
    let [Segment::Key(name), rest @ ..] = segments else {
        return Err((format!("--set {key}: a list has no place here"), None));
    };
    if rest.is_empty() {
        return match value {
            Some(value) => replace(table, name, key, value, has_sections && !table.is_dotted()),
            None => {
                table.remove(name);
                Ok(())
            }
        };
    }
    if value.is_none() && !table.contains_key(name) {
        return Ok(()); // what is not there is out already
    }
    let item = table.entry(name).or_insert_with(|| Item::Table(Table::new()));
    match item {
        Item::Table(inner) => change(inner, rest, key, value, has_sections),
        Item::Value(Value::InlineTable(inner)) => within(inner, rest, key, value),
        Item::ArrayOfTables(list) => {
            let index = entry(name, &rest[0], key, list.iter().map(|table| table.get("name").and_then(Item::as_str)))?;
            let inner = list.get_mut(index).filter(|_| rest.len() > 1);
            let inner = inner.ok_or_else(|| (format!("--set {key}: this is a table; set one of its keys"), None))?;
            change(inner, &rest[1..], key, value, false)
        }
        Item::Value(Value::Array(list)) if is_list(list) => {
            let names = list.iter().map(|one| one.as_inline_table()?.get("name")?.as_str());
            let index = entry(name, &rest[0], key, names)?;
            let inner = list.get_mut(index).and_then(Value::as_inline_table_mut).filter(|_| rest.len() > 1);
            let inner = inner.ok_or_else(|| (format!("--set {key}: this is a table; set one of its keys"), None))?;
            within(inner, &rest[1..], key, value)
        }
        _ => Err((format!("--set {key}: {name} is no table"), None)),
    }
}

/// A change in a table within a line.
fn within(inner: &mut InlineTable, rest: &[Segment], key: &str, value: Option<Value>) -> Result<(), Fault> {
    let decor = inner.decor().clone();
    let mut as_table = std::mem::take(inner).into_table();
    let outcome = change(&mut as_table, rest, key, value, false);
    *inner = as_table.into_inline_table();
    *inner.decor_mut() = decor;
    outcome
}

/// A value in the place of another, or a new one.
fn replace(table: &mut Table, name: &str, key: &str, value: Value, has_sections: bool) -> Result<(), Fault> {
    let fault = || Err((format!("--set {key}: this is a table; set one of its keys"), None));
    match (table.get_mut(name), value) {
        (Some(Item::Value(old)), mut value) => {
            *value.decor_mut() = old.decor().clone();
            *old = value;
        }
        (Some(Item::Table(old)), Value::InlineTable(new)) => {
            let (position, decor) = (old.position().filter(|_| !old.is_dotted()), old.decor().clone());
            *old = section(new);
            old.set_position(position);
            *old.decor_mut() = decor;
        }
        (Some(Item::ArrayOfTables(_)), Value::Array(new)) if new.is_empty() => _ = table.remove(name),
        (Some(Item::ArrayOfTables(old)), Value::Array(new)) if is_list(&new) => *old = sections(new, old.get(0)),
        (Some(Item::Table(_) | Item::ArrayOfTables(_)), _) => return fault(),
        (_, Value::InlineTable(new)) if has_sections => _ = table.insert(name, Item::Table(section(new))),
        (_, Value::Array(new)) if has_sections && is_list(&new) && !new.is_empty() => {
            table.insert(name, Item::ArrayOfTables(sections(new, None)));
        }
        (_, value) => _ = table.insert(name, Item::Value(value)),
    }
    Ok(())
}

/// Whether all that a list holds are tables.
fn is_list(list: &toml_edit::Array) -> bool {
    list.iter().all(Value::is_inline_table)
}

/// A table within a line as a section; lists of tables in it are sections of their own.
fn section(table: InlineTable) -> Table {
    let mut table = table.into_table();
    for (_, item) in table.iter_mut() {
        if let Item::Value(Value::Array(list)) = item
            && !list.is_empty()
            && is_list(list)
        {
            *item = Item::ArrayOfTables(sections(std::mem::take(list), None));
        }
    }
    *table.decor_mut() = toml_edit::Decor::new("\n", "");
    table
}

/// A list of tables as sections, in the place of those of which this was the first.
fn sections(list: toml_edit::Array, first: Option<&Table>) -> ArrayOfTables {
    let before = first.map(|table| (table.position(), table.decor().clone()));
    let tables = list.into_iter().filter_map(|value| match value {
        Value::InlineTable(table) => Some(section(table)),
        _ => None,
    });
    let placed = tables.enumerate().map(|(i, mut table)| {
        if let Some((position, decor)) = &before {
            table.set_position(*position);
            if i == 0 {
                *table.decor_mut() = decor.clone();
            }
        }
        table
    });
    placed.collect()
}

/// Which entry of a list is meant.
fn entry<'n>(
    list: &str,
    segment: &Segment,
    key: &str,
    names: impl Iterator<Item = Option<&'n str>>,
) -> Result<usize, Fault> {
    let names: Vec<&str> = names.map(Option::unwrap_or_default).collect();
    let index = match segment {
        Segment::Index(index) => *index,
        Segment::Key(wanted) if is_number(wanted) && !names.contains(&wanted.as_str()) => {
            let counted = key.replacen(&format!("{list}.{wanted}"), &format!("{list}[{wanted}]"), 1);
            let help = format!("tables of a list are counted in brackets, from 1: write {counted}");
            return Err((format!("--set {key}: no {list} is named \"{wanted}\""), Some(help)));
        }
        // the only cylinder is called so where nothing else is written
        Segment::Key(wanted) if list == "cylinder" && wanted == "back" && names == [""] => 0,
        Segment::Key(wanted) => names.iter().position(|name| name == wanted).ok_or_else(|| {
            let known: Vec<&str> = names.iter().copied().filter(|name| !name.is_empty()).collect();
            let help = did_you_mean(wanted, known.iter().copied())
                .or_else(|| (!known.is_empty()).then(|| format!("the names are {}", all_of(&known))));
            (format!("--set {key}: no {list} is named \"{wanted}\""), help)
        })?,
    };
    let count = names.len();
    if index >= count {
        return Err((format!("--set {key}: the plan has {count} of {list}, counted from 1"), None));
    }
    Ok(index)
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

    /// A whole list or table takes the place of sections as sections, of a value in a line as one.
    #[test]
    fn whole_tables_and_lists_are_replaced() {
        let plan = "# head\n[suit]\nkind = \"wet 7 mm\"\n\n# lead\n[[ballast]]\nname = \"a\"\nmass = \"1 kg\"\n\n[[ballast]]\nname \
                    = \"b\"\nmass = \"2 kg\"\n\n# the dive\n[dive]\ndepth = \"18 m\"\n";
        let set = |key: &str, value: &str| apply(plan, &[(key.into(), value.into())]).unwrap();
        assert_eq!(
            set("ballast", "[{ name = \"belt\", mass = \"4 kg\" }]"),
            plan.replace("\n[[ballast]]\nname = \"b\"\nmass = \"2 kg\"\n", "")
                .replace("\"a\"", "\"belt\"")
                .replace("1 kg", "4 kg")
        );
        let two = set("ballast", "[{ name = \"c\", mass = \"3 kg\" }, { name = \"d\", mass = \"4 kg\" }]");
        let expected = plan.replace("\"a\"", "\"c\"").replace("\"b\"", "\"d\"").replace("2 kg", "4 kg");
        assert_eq!(two, expected.replace("1 kg", "3 kg"));
        assert!(!set("ballast", "[]").contains("ballast"));
        assert_eq!(
            set("suit", "{ kind = \"dry membrane light\", gas_volume = \"9 L\" }"),
            plan.replace("wet 7 mm\"", "dry membrane light\"\ngas_volume = \"9 L\"")
        );
        // new ones stand behind what they belong to
        let changed = set("dive.change", "[{ at = \"34 min\", leave = \"fifty\" }]");
        assert_eq!(changed, format!("{plan}\n[[dive.change]]\nat = \"34 min\"\nleave = \"fifty\"\n"));
        let site = set("site", "{ name = \"a lake\", layer = [{ from = \"0 m\" }, { from = \"9 m\" }] }");
        let expected =
            "\n[site]\nname = \"a lake\"\n\n[[site.layer]]\nfrom = \"0 m\"\n\n[[site.layer]]\nfrom = \"9 m\"\n";
        assert!(site.contains(expected), "{site}");
        for refused in
            [("suit", "14 L"), ("suit", "[]"), ("ballast", "4 kg"), ("ballast", "{ name = \"a\" }"), ("ballast", "[1]")]
        {
            let (told, _) = apply(plan, &[(refused.0.into(), refused.1.into())]).unwrap_err();
            assert!(told.ends_with("this is a table; set one of its keys"), "{told}");
        }
        assert_eq!(set("dive.stops", "[]"), format!("{plan}stops = []\n"));
    }

    #[test]
    fn nothing_behind_the_sign_takes_a_key_out() {
        // what is remarked above a section goes with it
        let rest = PLAN.replace("# top\n[suit]\ngas_volume = \"11 L\" # measured\n\n", "");
        assert_eq!(set("suit", "").unwrap().trim(), rest.trim());
        assert_eq!(set("cylinder.back.fill", " ").unwrap(), PLAN.replace("fill = \"220 bar\"\n", ""));
        assert_eq!(set("site.temperature", "").unwrap(), PLAN);
        assert!(set("suit.gas_volume", "\"\"").unwrap().contains("gas_volume = \"\""));
    }

    #[test]
    fn what_stands_in_a_line_stays_in_a_line() {
        let plan = "ballast = [{ name = \"a\", mass = \"1 kg\" }] # lead\nsite = { water = \"sea\" } # here\ndive.depth = \"9 m\"\n";
        let set = |key: &str, value: &str| apply(plan, &[(key.into(), value.into())]).unwrap();
        assert_eq!(set("ballast.a.mass", "2 kg"), plan.replace("1 kg", "2 kg"));
        assert_eq!(set("ballast[1].mass", "2 kg"), plan.replace("1 kg", "2 kg"));
        assert_eq!(set("ballast", "[]"), plan.replace("[{ name = \"a\", mass = \"1 kg\" }]", "[]"));
        assert_eq!(set("site", "{ water = \"fresh\" }"), plan.replace("sea", "fresh"));
        let changed = set("dive.change", "[{ at = \"3 min\", take = \"x\" }]");
        assert_eq!(changed, format!("{plan}dive.change = [{{ at = \"3 min\", take = \"x\" }}]\n"));
        let dotted = "site.water = \"sea\"\nsite.temperature = \"9 °C\"\n\n[dive]\ndepth = \"9 m\"\n";
        let section = apply(dotted, &[("site".into(), "{ water = \"fresh\" }".into())]).unwrap();
        assert_eq!(section.trim_start(), "[site]\nwater = \"fresh\"\n\n[dive]\ndepth = \"9 m\"\n");
    }

    #[test]
    fn a_text_with_line_breaks_is_a_text() {
        for text in ["time,depth\n0 min,0 m\n", "true", "4 kg", "\"a\"", "a \"b\" 'c'\n\"\"\"'''\n\\"] {
            let set = apply("[dive]\n", &[("dive.profile".into(), as_text(text))]).unwrap();
            let read: DocumentMut = set.parse().unwrap();
            assert_eq!(read["dive"]["profile"].as_str().unwrap().trim(), text.trim(), "{set}");
        }
    }
}
