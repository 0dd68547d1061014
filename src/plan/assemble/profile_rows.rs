//! The profile as a CSV file: one row a moment. The first row is the start; every other row ends a leg, and the
//! cylinder and rate of a row are those of the leg that ends there.

use crate::plan::csv::Record;
use crate::plan::key::{CellAt, Key};
use crate::plan::problem::{Problem, ProblemCode};
use crate::plan::table::{Cell, Table};
use crate::plan::unit::{Dimension, Duration, FlowRate, Length};
use crate::plan::written::Written;
use crate::units::Unit;

/// Columns that a profile may have.
const COLUMNS: [&str; 9] = ["time", "depth", "breathe", "rate", "leave", "take", "hand_off", "receive", "overhead"];
/// Rows that a profile may have: a day at one row a second is 86 400.
const MAX_ROWS: usize = 90_000;

/// Something with the bytes where it stands.
pub(crate) type Spanned<T> = (T, (usize, usize));

/// A row.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct ProfileRow {
    /// Line in the file.
    pub line: usize,
    /// Time.
    pub time: Spanned<Written<Duration>>,
    /// Depth.
    pub depth: Spanned<Written<Length>>,
    /// Cylinder breathed on the leg that ends here.
    pub breathe: Option<Spanned<String>>,
    /// Rate of that leg.
    pub rate: Option<Spanned<Written<FlowRate>>>,
    /// Whether that leg and those after it lie under an overhead, `yes` or `no`.
    pub overhead: Option<Spanned<String>>,
    /// Cylinders that come or go here, in the order leave, take, hand off, receive.
    pub changes: [Option<Spanned<Vec<String>>>; 4],
}

/// A profile file.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct ProfileRows {
    /// Name of the file.
    pub file: String,
    /// Which source of the plan.
    pub source: usize,
    /// Unit of its times, if the header names one.
    pub time_unit: Option<&'static Unit>,
    /// Unit of its depths, if the header names one.
    pub depth_unit: Option<&'static Unit>,
    /// In order.
    pub rows: Vec<ProfileRow>,
}

impl ProfileRows {
    /// Reads a profile.
    pub fn read(file: &str, source: usize, text: &str, problems: &mut Vec<Problem>) -> Self {
        let table = Table::read(file, source, text, &COLUMNS, problems);
        let help = "a profile has the columns time and depth (or time_min, depth_m), breathe, and perhaps rate, leave, take, hand_off, receive, overhead";
        table.require("time", help, problems);
        table.require("depth", help, problems);
        let mut profile =
            ProfileRows { file: file.into(), source, time_unit: None, depth_unit: None, rows: Vec::new() };
        if table.rows.len() > MAX_ROWS {
            let message = format!("{} rows, but a profile has at most {MAX_ROWS}", table.rows.len());
            problems.push(table.problem(ProblemCode::TooLarge, 0..0, message, None));
            return profile;
        }
        let units = Units {
            time: table.unit::<Duration>("time", problems),
            depth: table.unit::<Length>("depth", problems),
            rate: table.unit::<FlowRate>("rate", problems),
        };
        (profile.time_unit, profile.depth_unit) = (units.time, units.depth);
        profile.rows = table.rows.iter().filter_map(|row| read_row(&table, row, &units, problems)).collect();
        profile
    }

    /// A cell of a row as a key.
    pub fn cell<'a>(&'a self, row: &'a ProfileRow, column: &'static str, span: (usize, usize)) -> Key<'a> {
        let origin = crate::estimate::Origin::Written;
        Key::Cell(CellAt { source: self.source, file: &self.file, line: row.line, column, span, origin, note: None })
    }
}

struct Units {
    time: Option<&'static Unit>,
    depth: Option<&'static Unit>,
    rate: Option<&'static Unit>,
}

fn read_row(table: &Table, row: &Record, units: &Units, problems: &mut Vec<Problem>) -> Option<ProfileRow> {
    let mut need = |name: &'static str| {
        let cell = table.cell(row, name);
        if cell.is_none() && table.has(name) {
            let message = format!("{name} is missing in line {}", row.line);
            problems.push(table.problem(ProblemCode::MissingKey, row.span(), message, None));
        }
        cell
    };
    let (time, depth) = (need("time"), need("depth"));
    let (time, depth) = (time?, depth?);
    let time_quantity = if time.text.contains(':') { Written::parse(time.text) } else { quantity(time, units.time) };
    let names = |name: &str| {
        table.cell(row, name).map(|cell| {
            let names = cell.text.split(';').map(|name| name.trim().to_owned()).filter(|name| !name.is_empty());
            (names.collect(), cell.span)
        })
    };
    Some(ProfileRow {
        line: row.line,
        time: (time_quantity, time.span),
        depth: (quantity(depth, units.depth), depth.span),
        breathe: table.cell(row, "breathe").map(|cell| (cell.text.to_owned(), cell.span)),
        rate: table.cell(row, "rate").map(|cell| (quantity(cell, units.rate), cell.span)),
        overhead: table.cell(row, "overhead").map(|cell| (cell.text.to_owned(), cell.span)),
        changes: [names("leave"), names("take"), names("hand_off"), names("receive")],
    })
}

/// A cell with its own unit, or a bare number in the header's.
fn quantity<D: Dimension>(cell: Cell, unit: Option<&Unit>) -> Written<D> {
    match unit {
        Some(unit) => Written::in_unit(cell.text, unit),
        None => Written::parse(cell.text),
    }
}
