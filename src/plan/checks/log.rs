//! Gauges read during a dive, as a CSV file: planned against actual.
//!
//! | column | meaning |
//! | --- | --- |
//! | `time` | since the start of the dive: `12:30`, `20 min` |
//! | one for each cylinder, by its name | the pressure on its gauge; empty: not read |
//! | `doubt` | how sure the readings of the row are; [`GAUGE_DOUBT`] unless stated |
//! | `note` | a remark |

use std::path::Path;
use std::sync::Arc;

use crate::estimate::{Doubt, Shape};
use crate::plan::checks::reader::{Reader, Row};
use crate::plan::csv::Record;
use crate::plan::load::{alone, read_text};
use crate::plan::problem::Problems;
use crate::plan::table::{Table, rows_or_problems};

/// Columns besides those of the cylinders.
const COLUMNS: [&str; 3] = ["time", "doubt", "note"];

/// How sure a gauge is that says nothing of it: ± 5 bar, 95 %: what it shows, and a dive that was not to the second as
/// planned (our own judgement).
pub const GAUGE_DOUBT: Doubt = Doubt { half_width: 5e5, shape: Shape::Normal { coverage_frac: 0.95 } };

/// Gauges read at one time.
#[derive(Clone, Debug, PartialEq)]
pub struct LogRow {
    /// Its line in the file.
    pub label: String,
    /// When, s since the start of the dive.
    pub time_s: f64,
    /// Cylinders, by the index of their name, with the gauge pressure, Pa.
    pub gauges: Vec<(usize, f64)>,
    /// How sure that is, Pa.
    pub doubt: Doubt,
}

/// Whether a file has gauges over time, and not checks: by its first line.
pub fn is_log(path: &Path) -> bool {
    let text = read_text(path).unwrap_or_default();
    let head = text.lines().find(|line| !line.trim_start().starts_with('#') && !line.trim().is_empty());
    head.is_some_and(|head| head.to_lowercase().split([',', ';', '\t']).any(|column| column.trim().starts_with("time")))
}

/// Reads the gauges of a file; `cylinders` are the names that the dive has, which ends at `end_s`.
///
/// # Errors
/// Everything that is wrong with the file, at once.
pub fn read_log(path: &Path, cylinders: &[&str], end_s: f64) -> Result<Vec<LogRow>, Problems> {
    let shown = path.display().to_string();
    let text = read_text(path).map_err(|(code, message, text)| alone(&shown, code, message, text))?;
    log_from(&text, &shown, cylinders, end_s)
}

/// The same from a text; `name` is what messages call it.
///
/// # Errors
/// As [`read_log`].
pub fn log_from(text: &str, name: &str, cylinders: &[&str], end_s: f64) -> Result<Vec<LogRow>, Problems> {
    let text: Arc<str> = Arc::from(text.strip_prefix('\u{feff}').unwrap_or(text));
    let mut problems = Vec::new();
    let known: Vec<&str> = COLUMNS.into_iter().chain(cylinders.iter().copied()).collect();
    let table = Table::read(name, 0, &text, &known, &mut problems);
    table.require_one(cylinders, &mut problems);
    let mut rows = Vec::new();
    if problems.is_empty() {
        let has_gauge = |row: &&Record| cylinders.iter().any(|name| table.cell(row, name).is_some());
        for row in table.rows.iter().filter(has_gauge) {
            rows.extend(
                Reader { row: Row::Csv { table: &table, row }, problems: &mut problems }.logged(cylinders, end_s),
            );
        }
    }
    let none = ("no gauge was read in it", "write one row for each look at the gauges, with its time");
    rows_or_problems(&table, &text, rows, problems, none)
}
