//! A student's plan as text: what all share, with the student's own keys in place of the shared ones.
//!
//! - A table is laid over the shared one key by key; what stands under a key is replaced whole, lists too.
//! - A suit or a wing whose name, kind, piece or mass the student writes is another one: nothing of the shared one is left.
//!   A mass of one suit beside the foam of another would be no suit that anybody has.
//! - A key that stands for others takes their place: a student's `volume` replaces a shared `in_water`, legs replace a
//!   profile.
//! - `extra_part` is a list of parts that come to the shared ones.
//! - A student with a whole plan of its own dives that plan at the class's site, on the class's dive.

use std::path::Path;

use toml_edit::{Item, Table, TableLike, Value, value};

use super::Student;
use crate::plan::inside::is_text;

/// Tables of one thing, and the keys that say which.
const THINGS: [&str; 2] = ["suit", "wing"];
const WHICH: [&str; 4] = ["name", "kind", "piece", "mass"];

/// The tables of a class that go before those of a student's whole plan: it is the same dive.
pub(super) const OF_THE_CLASS: [&str; 2] = ["site", "dive"];

/// The student's list of parts that come to the shared ones.
pub(super) const EXTRA: &str = "extra_part";

/// Groups of keys of a table of which one stands for the others.
const INSTEAD: [(&str, &[&[&str]]); 7] = [
    ("diver", &[&["volume"], &["in_water", "read_in", "scale"]]),
    ("suit", &[&["volume"], &["density"], &["in_water", "read_in", "scale"]]),
    ("wing", &[&["volume"], &["density"], &["in_water", "read_in", "scale"]]),
    ("site", &[&["altitude"], &["surface_pressure"]]),
    ("site", &[&["water"], &["salinity"], &["density"], &["layer"]]),
    ("site", &[&["temperature"], &["layer"]]),
    ("dive", &[&["leg", "start", "change"], &["profile"], &["depth", "time", "stops"]]),
];

/// The tables of a list, whether each has its heading or all stand in brackets.
pub(super) fn tables(item: Item) -> Option<Vec<Table>> {
    match item {
        Item::ArrayOfTables(list) => Some(list.into_iter().collect()),
        Item::Value(Value::Array(list)) => {
            let tables = list.into_iter().map(|entry| match entry {
                Value::InlineTable(table) => Some(table.into_table()),
                _ => None,
            });
            tables.collect()
        }
        _ => None,
    }
}

/// Takes away where tables stood in their file: in another one they stand in the order of their keys.
pub(super) fn unplaced(table: &mut Table) {
    table.set_position(None);
    for (_, item) in table.iter_mut() {
        match item {
            Item::Table(inner) => unplaced(inner),
            Item::ArrayOfTables(list) => list.iter_mut().for_each(unplaced),
            Item::Value(_) | Item::None => {}
        }
    }
}

/// File names of a plan in another folder, as they are from here.
pub(super) fn from_folder(tables: &mut Table, folder: &Path) {
    if folder.as_os_str().is_empty() {
        return;
    }
    let moved = |item: &mut Item| {
        if let Some(name) = item.as_str().filter(|name| !is_text(name)) {
            *item = value(folder.join(name).display().to_string());
        }
    };
    if let Some(item) = tables.get_mut("gear_list") {
        moved(item);
    }
    let checks = match tables.get_mut("weight_check") {
        Some(Item::ArrayOfTables(list)) => list.iter_mut().filter_map(|check| check.get_mut("rig")).collect(),
        _ => Vec::new(),
    };
    checks.into_iter().for_each(moved);
    if let Some(item) = tables.get_mut("dive").and_then(|dive| dive.as_table_like_mut()?.get_mut("profile")) {
        moved(item);
    }
}

/// The text of a student's plan.
pub(super) fn text(shared: &Table, student: &Student, class: &str) -> String {
    let mut plan = match &student.file {
        None => shared.clone(),
        Some(file) => {
            let mut plan = file.tables.clone();
            for key in OF_THE_CLASS {
                if let Some(item) = shared.get(key) {
                    plan.insert(key, item.clone());
                }
            }
            plan
        }
    };
    if !student.own.contains_key("title") {
        let title = plan.get("title").and_then(Item::as_str).unwrap_or(class);
        let title = format!("{title}: {}", student.name);
        plan.insert("title", value(title));
    }
    for (key, item) in student.own.iter().filter(|(key, _)| *key != EXTRA) {
        lay_over(&mut plan, key, item);
    }
    if let Some(more) = student.own.get(EXTRA) {
        let part = plan.remove("part");
        plan.insert("part", extended(part, more));
    }
    let mut document = toml_edit::DocumentMut::new();
    *document.as_table_mut() = plan;
    document.to_string()
}

/// A list of parts with more at its end. What is no list of tables goes on as it is: reading the plan tells.
fn extended(part: Option<Item>, more: &Item) -> Item {
    let (Some(there), Some(more)) = (part.clone().map_or(Some(Vec::new()), tables), tables(more.clone())) else {
        return part.unwrap_or_else(|| more.clone());
    };
    let mut list = toml_edit::ArrayOfTables::new();
    there.into_iter().chain(more).for_each(|table| list.push(table));
    Item::ArrayOfTables(list)
}

/// How many tables a list has.
pub(super) fn length(list: Option<&Item>) -> usize {
    match list {
        Some(Item::ArrayOfTables(list)) => list.len(),
        Some(Item::Value(Value::Array(list))) => list.len(),
        _ => 0,
    }
}

/// Puts a key of a student into a plan.
fn lay_over(plan: &mut Table, key: &str, item: &Item) {
    let there = plan.get_mut(key).and_then(Item::as_table_like_mut);
    let (Some(there), Some(own)) = (there, item.as_table_like()) else {
        plan.insert(key, item.clone());
        return;
    };
    if is_another(key, own) {
        plan.insert(key, item.clone());
        return;
    }
    for gone in replaced(key, own) {
        there.remove(gone);
    }
    for (key, item) in own.iter() {
        there.insert(key, item.clone());
    }
}

/// Whether a student's table is of another thing than the shared one.
pub(super) fn is_another(key: &str, own: &dyn TableLike) -> bool {
    THINGS.contains(&key) && WHICH.iter().any(|key| own.contains_key(key))
}

/// Keys of a shared table for which the student's own ones stand.
fn replaced(key: &str, own: &dyn TableLike) -> Vec<&'static str> {
    let mut gone = Vec::new();
    for (_, groups) in INSTEAD.iter().filter(|(table, _)| *table == key) {
        let is_own = |group: &&[&str]| group.iter().any(|key| own.contains_key(key));
        if let Some(own_group) = groups.iter().position(is_own) {
            let others = groups.iter().enumerate().filter(|(i, _)| *i != own_group);
            gone.extend(others.flat_map(|(_, group)| group.iter().copied()).filter(|key| !own.contains_key(key)));
        }
    }
    gone
}
