//! Dives side by side: the table of `compare`.

use crate::report::measure::{UnitSystem, fixed};
use crate::report::table::{Fit, align_numbers, new_table, plain};
use crate::report::text::width;
use crate::study::compare::{Comparison, Key, Row};

/// Name of what changes in a sweep, with its unit.
pub fn axis_title(key: &str, unit: &str) -> String {
    if unit.is_empty() { key.to_owned() } else { format!("{key}, {unit}") }
}

/// A figure with its unit: `least lead, kg`.
pub fn axis(units: UnitSystem, key: Key) -> String {
    format!("{}, {}", key.label(), units.symbol(key.quantity()))
}

/// How the cells of a dive are set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Cells {
    /// The difference beside the figure.
    Beside,
    /// The difference below it.
    Below,
}

/// The table: a figure a row, a dive a column, the difference against the first in brackets. Where the lines are short the
/// difference stands below its figure, and where they are too short for that the dives come a few at a time, each time
/// beside the first: none is left out.
pub fn table(units: UnitSystem, labels: &[String], comparison: &Comparison) -> String {
    let others: Vec<usize> = (1..labels.len()).collect();
    let block = |others: &[usize], cells| {
        let columns: Vec<usize> = std::iter::once(0).chain(others.iter().copied()).collect();
        columns_table(units, labels, comparison, &columns, cells)
    };
    let fits = |text: &String| text.lines().all(|line| line.chars().count() <= width());
    let whole = [Cells::Beside, Cells::Below].map(|cells| block(&others, cells));
    if let Some(text) = whole.into_iter().find(fits) {
        return text;
    }
    let mut blocks: Vec<String> = Vec::new();
    for at_once in (1..=others.len()).rev() {
        blocks = others.chunks(at_once).map(|some| block(some, Cells::Below)).collect();
        if blocks.iter().all(fits) {
            break;
        }
    }
    blocks.join("\n")
}

/// Some of the dives, the first among them.
fn columns_table(
    units: UnitSystem,
    labels: &[String],
    comparison: &Comparison,
    columns: &[usize],
    cells: Cells,
) -> String {
    let mut table = new_table();
    let head = columns.iter().map(|&i| match (i, cells) {
        (0, Cells::Beside) => textwrap::fill(&labels[i], 20),
        (_, Cells::Beside) => format!("{}\n(against first)", textwrap::fill(&labels[i], 20)),
        (0, Cells::Below) => narrow(&labels[i]),
        (_, Cells::Below) => format!("{}\n(against\nfirst)", narrow(&labels[i])),
    });
    table.set_header(std::iter::once(String::new()).chain(head));
    for row in &comparison.rows {
        let cells = columns.iter().map(|&i| cell(units, row, i, cells));
        table.add_row(std::iter::once(axis(units, row.key)).chain(cells));
    }
    align_numbers(&mut table, 1..columns.len() + 1);
    plain(&mut table, Fit::FIRST)
}

/// A label folded at its blanks; only a word that is longer than a column is wide, such as a path, is broken.
fn narrow(label: &str) -> String {
    let options = textwrap::Options::new(16)
        .word_separator(textwrap::WordSeparator::AsciiSpace)
        .word_splitter(textwrap::WordSplitter::NoHyphenation);
    textwrap::fill(label, options)
}

/// A figure in a table. Nobody carries less than no lead: a least below it is none, a most below it does not exist.
pub fn number(units: UnitSystem, key: Key, si: f64) -> String {
    match key {
        Key::MostLead if si < 0.0 => "none".into(),
        Key::LeastLead => fixed(units.value(key.quantity(), si.max(0.0)), 2),
        _ => fixed(units.value(key.quantity(), si), 2),
    }
}

fn cell(units: UnitSystem, row: &Row, column: usize, cells: Cells) -> String {
    let value = match (row.values[column], row.key) {
        (Some(si), key) => number(units, key, si),
        // the lungs can trim any squeeze
        (None, Key::BandDown) => "no limit".into(),
        (None, _) => "—".into(),
    };
    if column == 0 {
        return value;
    }
    let between = if cells == Cells::Beside { "  " } else { "\n" };
    match row.differences[column] {
        Some(difference) => {
            let text = fixed(units.value(row.key.quantity(), difference), 2);
            let sign = if text.starts_with('−') || text == "0.00" { "" } else { "+" };
            format!("{value}{between}({sign}{text})")
        }
        None => format!("{value}{between}(—)"),
    }
}
