//! Dives side by side: the table, the figure's data and the JSON of `compare`.

use serde_json::Value;

use crate::report::json::{Fields, head};
use crate::report::measure::{UnitSystem, fixed};
use crate::report::text::{align_numbers, new_table, plain};
use crate::study::compare::{Comparison, Key, Row};

/// Name of what changes in a sweep, with its unit.
pub fn axis_title(key: &str, unit: &str) -> String {
    if unit.is_empty() { key.to_owned() } else { format!("{key}, {unit}") }
}

/// A figure with its unit: `least lead, kg`.
pub fn axis(units: UnitSystem, key: Key) -> String {
    format!("{}, {}", key.label(), units.symbol(key.quantity()))
}

/// The table: a figure a row, a dive a column, the difference against the first in brackets.
pub fn table(units: UnitSystem, labels: &[String], comparison: &Comparison) -> String {
    let mut table = new_table();
    let head = labels.iter().enumerate().map(|(i, label)| {
        let label = textwrap::fill(label, 20);
        if i == 0 { label } else { format!("{label}\n(against first)") }
    });
    table.set_header(std::iter::once(String::new()).chain(head));
    for row in &comparison.rows {
        let cells = (0..labels.len()).map(|i| cell(units, row, i));
        table.add_row(std::iter::once(axis(units, row.key)).chain(cells));
    }
    align_numbers(&mut table, 1..labels.len() + 1);
    plain(&table)
}

fn cell(units: UnitSystem, row: &Row, column: usize) -> String {
    let number = |si: f64| fixed(units.value(row.key.quantity(), si), 2);
    let value = match (row.values[column], row.key) {
        (Some(si), _) => number(si),
        // the lungs can trim any squeeze
        (None, Key::BandDown) => "no limit".into(),
        (None, _) => "—".into(),
    };
    if column == 0 {
        return value;
    }
    match row.differences[column] {
        Some(difference) => {
            let text = number(difference);
            let sign = if text.starts_with('−') || text == "0.00" { "" } else { "+" };
            format!("{value}  ({sign}{text})")
        }
        None => format!("{value}  (—)"),
    }
}

/// The comparison as JSON, SI.
pub fn json(labels: &[String], comparison: &Comparison) -> Value {
    let dives: Vec<Value> = labels
        .iter()
        .enumerate()
        .map(|(i, label)| {
            let mut fields = Fields::new().put("label", label.as_str());
            for row in &comparison.rows {
                fields = fields.maybe(row.key.name(), row.key.quantity(), row.values[i]);
            }
            fields.put("unweighed", comparison.dives[i].unweighed.clone()).done()
        })
        .collect();
    head().put("dives", dives).done()
}
