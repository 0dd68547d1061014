//! Dives side by side: the table of `compare`.

use crate::report::measure::{UnitSystem, fixed};
use crate::report::table::{Fit, align_numbers, new_table, plain};
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
    // the last dives first: what is asked for last is missed least
    let leave_out: Vec<usize> = (2..=labels.len()).rev().collect();
    plain(&mut table, Fit { fold: 0, leave_out: &leave_out })
}

/// A figure in a table. Nobody carries less than no lead: a least below it is none, a most below it does not exist.
pub fn number(units: UnitSystem, key: Key, si: f64) -> String {
    match key {
        Key::MostLead if si < 0.0 => "none".into(),
        Key::LeastLead => fixed(units.value(key.quantity(), si.max(0.0)), 2),
        _ => fixed(units.value(key.quantity(), si), 2),
    }
}

fn cell(units: UnitSystem, row: &Row, column: usize) -> String {
    let value = match (row.values[column], row.key) {
        (Some(si), key) => number(units, key, si),
        // the lungs can trim any squeeze
        (None, Key::BandDown) => "no limit".into(),
        (None, _) => "—".into(),
    };
    if column == 0 {
        return value;
    }
    match row.differences[column] {
        Some(difference) => {
            let text = fixed(units.value(row.key.quantity(), difference), 2);
            let sign = if text.starts_with('−') || text == "0.00" { "" } else { "+" };
            format!("{value}  ({sign}{text})")
        }
        None => format!("{value}  (—)"),
    }
}
