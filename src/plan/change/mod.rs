//! What a reader can change by hand in a picture of the dive, as words of `--set`: levels of the dive moved or made longer
//! ([`levels`]), figures of the rig, the water and the dive ([`controls`]), cylinders left and taken ([`cylinders`]), lead moved on the body ([`place`]).
//!
//! Nothing here changes a plan: each function gives the sets that do, for [`Plan::with_sets`] and the command line. Keys
//! are those of the plan as it is now, so sets that were made one after the other are applied in that order; [`merged`]
//! leaves out those that later ones replace.
//!
//! `built` is what [`Plan::build`] makes of the plan itself, before checks correct it.

mod breathing;
mod circuit;
mod collect;
pub mod controls;
pub mod cylinders;
mod figure;
mod lead;
mod legs;
pub mod levels;
pub mod place;
mod rows;
mod short;
mod water;

use toml_edit::{DocumentMut, InlineTable, Item, Value};

use crate::estimate::{KeyPath, Segment};
use crate::physics::water::{MAX_DEPTH_M, Water};
use crate::plan::Plan;

/// Changes as `--set` has them: keys and values.
pub type Sets = Vec<(String, String)>;

/// Sets with more behind them, without those whose key a later one sets again, or whose table a later one replaces.
pub fn merged(sets: &[(String, String)], more: Sets) -> Sets {
    let path = |key: &str| key.parse::<KeyPath>().ok();
    let paths: Vec<KeyPath> = more.iter().filter_map(|(key, _)| path(key)).collect();
    let is_replaced = |key: &str| path(key).is_some_and(|own| paths.iter().any(|later| own.is_within(later)));
    sets.iter().filter(|(key, _)| !is_replaced(key)).cloned().chain(more).collect()
}

/// The key of an entry of a list: by its name where that says it, else counted.
fn entry_key(list: &str, index: usize, name: Option<&str>) -> KeyPath {
    let path = list.split('.').fold(KeyPath::ROOT, KeyPath::field);
    match name {
        Some(name) if is_plain(name) => path.field(name),
        _ => path.index(index),
    }
}

/// Whether an entry can be called by its name.
fn is_plain(name: &str) -> bool {
    let is_number = name.bytes().all(|byte| byte.is_ascii_digit());
    !is_number && name.trim() == name && !name.contains(['"', ':', '\n', '\\'])
}

/// The document of a plan's text as it is now.
fn document(plan: &Plan) -> DocumentMut {
    plan.sources()[0].text.parse().unwrap_or_default()
}

/// The tables of a list as they are written, each within a line.
fn tables_at(plan: &Plan, path: &[&str]) -> Vec<InlineTable> {
    let document = document(plan);
    let mut item = Some(document.as_item());
    for key in path {
        item = item.and_then(|item| item.get(key));
    }
    match item {
        Some(Item::ArrayOfTables(list)) => list.iter().map(|table| table.clone().into_inline_table()).collect(),
        Some(Item::Value(Value::Array(list))) => list.iter().filter_map(Value::as_inline_table).cloned().collect(),
        _ => Vec::new(),
    }
}

/// Tables as the value of a whole list.
fn list_text(tables: Vec<InlineTable>) -> String {
    let tables: Vec<String> = tables.into_iter().map(table_text).collect();
    format!("[{}]", tables.join(", "))
}

/// A table as a value, without what stood around it.
fn table_text(mut table: InlineTable) -> String {
    // comments between the keys have no room in a line
    table.fmt();
    for (_, value) in table.iter_mut() {
        value.decor_mut().clear();
    }
    table.fmt();
    table.decor_mut().clear();
    Value::InlineTable(table).to_string().trim().to_owned()
}

/// A key path without its last key, and that key.
fn split(path: &KeyPath) -> Option<(KeyPath, &str)> {
    match path.segments().last()? {
        Segment::Key(key) => Some((path.parent(), key)),
        Segment::Index(_) => None,
    }
}

/// The water whose instruments give the depths of a plan; `None` where they are true depths.
fn instrument<'w>(plan: &Plan, water: &'w Water) -> Option<&'w Water> {
    let depths = plan.file().dive.as_ref().and_then(|dive| dive.depths.as_deref());
    (depths == Some("instrument")).then_some(water)
}

/// A true depth as the plan writes it, m: by halving, as the water only knows the other way.
fn written_depth_m(plan: &Plan, water: &Water, depth_m: f64) -> f64 {
    let Some(water) = instrument(plan, water) else { return depth_m };
    let (mut low_m, mut high_m) = (0.0, 1.2 * MAX_DEPTH_M);
    // to a millionth of a millimetre
    for _ in 0..60 {
        let middle_m = 0.5 * (low_m + high_m);
        match water.depth_of_instrument_m(middle_m) {
            Some(true_m) if true_m < depth_m => low_m = middle_m,
            _ => high_m = middle_m,
        }
    }
    0.5 * (low_m + high_m)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn later_sets_replace_earlier_ones() {
        let set = |key: &str, value: &str| (key.to_owned(), value.to_owned());
        let sets =
            [set("site.temperature", "9 °C"), set("suit.gas_volume", "12 L"), set("cylinder.back.fill", "9 bar")];
        let more = vec![set("site", "{ water = \"sea\" }"), set("suit.gas_volume", "14 L")];
        let expected = [set("cylinder.back.fill", "9 bar"), more[0].clone(), more[1].clone()];
        assert_eq!(merged(&sets, more), expected);
    }

    #[test]
    fn entries_are_called_by_names_that_are_no_numbers() {
        assert_eq!(
            entry_key("ballast", 0, Some("belt weight")).field("mass").to_string(),
            "ballast.\"belt weight\".mass"
        );
        assert_eq!(entry_key("dive.leg", 1, None).to_string(), "dive.leg[2]");
        assert_eq!(entry_key("cylinder", 0, Some("1")).to_string(), "cylinder[1]");
    }
}
