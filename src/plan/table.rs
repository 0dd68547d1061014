//! CSV files beside a plan: columns by name, cells with their bytes.

use std::ops::Range;
use std::sync::Arc;

use crate::estimate::KeyPath;
use crate::plan::csv::{self, Record, Records};
use crate::plan::problem::{Problem, ProblemCode, Problems, Source};
use crate::plan::unit::{Dimension, column_unit, unit_list};
use crate::plan::words::{all_of, any_of, did_you_mean};
use crate::units::Unit;

/// Columns of words, in which a comma is a comma.
const TEXTS: [&str; 11] =
    ["name", "piece", "note", "kind", "scale", "breathe", "leave", "take", "hand_off", "receive", "overhead"];

/// A CSV file taken apart.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Table<'t> {
    /// Name of the file.
    pub file: &'t str,
    /// Which source of the plan.
    pub source: usize,
    /// Name and unit suffix of each column; `None` for one that is not known.
    columns: Vec<Option<Column>>,
    /// Rows that are not empty.
    pub rows: Vec<Record<'t>>,
}

#[derive(Clone, Debug, PartialEq)]
struct Column {
    name: String,
    suffix: Option<String>,
    span: Range<usize>,
}

/// A cell that is not empty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Cell<'t> {
    /// Its text.
    pub text: &'t str,
    /// Its bytes.
    pub span: (usize, usize),
    /// Unit suffix of its column.
    pub suffix: Option<&'t str>,
}

impl<'t> Table<'t> {
    /// Takes a text apart; `known` are the names that columns may have.
    pub fn read(file: &'t str, source: usize, text: &'t str, known: &[&str], problems: &mut Vec<Problem>) -> Self {
        let mut table = Table { file, source, columns: Vec::new(), rows: Vec::new() };
        let mut records = Records::of(text);
        if let Some(head) = records.next() {
            table.columns = table.header(&head, known, problems);
        }
        let has_commas = records.has_decimal_commas();
        for mut row in records {
            table.check_length(&row, problems);
            if has_commas {
                table.with_points(&mut row);
            }
            table.rows.push(row);
        }
        table
    }

    /// Decimal commas as points, in the columns that hold figures.
    fn with_points(&self, row: &mut Record) {
        for (cell, column) in row.cells.iter_mut().zip(&self.columns) {
            let is_figure = column.as_ref().is_some_and(|column| !TEXTS.contains(&column.name.as_str()));
            if is_figure && cell.text.contains(',') {
                cell.text = points(&cell.text).into();
            }
        }
    }

    fn header(&self, head: &Record, known: &[&str], problems: &mut Vec<Problem>) -> Vec<Option<Column>> {
        let mut columns: Vec<Option<Column>> = Vec::new();
        for csv::Cell { text, span } in &head.cells {
            let column = column(text, known, span);
            let twice = column.as_ref().is_some_and(|c| columns.iter().flatten().any(|other| other.name == c.name));
            let fault = match &column {
                None => Some((format!("column \"{text}\" is not known"), did_you_mean(text, known.iter().copied()))),
                Some(column) if twice => Some((format!("column \"{}\" is there twice", column.name), None)),
                Some(_) => None,
            };
            if let Some((message, help)) = fault {
                let help = help.or_else(|| Some(format!("the columns are {}", all_of(known))));
                problems.push(self.problem(ProblemCode::UnknownColumn, span.clone(), message, help));
            }
            columns.push(if twice { None } else { column });
        }
        columns
    }

    fn check_length(&self, row: &Record, problems: &mut Vec<Problem>) {
        let (cells, columns) = (row.cells.len(), self.columns.len());
        if cells != columns {
            let message = format!("this row has {cells} cells, but the header has {columns} columns");
            let help = "a text with a comma needs quotes around it".into();
            problems.push(self.problem(ProblemCode::Csv, row.span(), message, Some(help)));
        }
    }

    /// A problem at some bytes of this file.
    pub fn problem(&self, code: ProblemCode, span: Range<usize>, message: String, help: Option<String>) -> Problem {
        Problem { code, path: KeyPath::file(self.file), source: self.source, span, message, help }
    }

    /// Whether there is a column of that name.
    pub fn has(&self, name: &str) -> bool {
        self.columns.iter().flatten().any(|column| column.name == name)
    }

    /// Tells that a column is missing, unless it is there.
    pub fn require(&self, name: &str, help: &str, problems: &mut Vec<Problem>) {
        if !self.has(name) {
            let message = format!("column \"{name}\" is missing");
            problems.push(self.problem(ProblemCode::MissingColumn, 0..0, message, Some(help.into())));
        }
    }

    /// The cell of a row in a column; `None` if there is no such column or the cell is empty.
    pub fn cell<'a>(&'a self, row: &'a Record, name: &str) -> Option<Cell<'a>> {
        let at = self.columns.iter().position(|column| column.as_ref().is_some_and(|c| c.name == name))?;
        let suffix = self.columns[at].as_ref().and_then(|column| column.suffix.as_deref());
        let csv::Cell { text, span } = row.cells.get(at)?;
        (!text.is_empty()).then_some(Cell { text, span: (span.start, span.end), suffix })
    }

    /// The unit of a column whose header names one; a problem if that is no unit of the kind.
    pub fn unit<D: Dimension>(&self, name: &str, problems: &mut Vec<Problem>) -> Option<&'static Unit> {
        let column = self.columns.iter().flatten().find(|column| column.name == name)?;
        let suffix = column.suffix.as_deref()?;
        let unit = column_unit(D::OF, suffix);
        if unit.is_none() {
            let message = format!("\"{suffix}\" in the header is not a unit of {}", D::OF.name());
            let help = format!(
                "the units are {}; or name the column \"{name}\" and write units in the cells",
                unit_list(D::OF)
            );
            problems.push(self.problem(ProblemCode::UnknownUnit, column.span.clone(), message, Some(help)));
        }
        unit
    }

    /// One of some columns must be there.
    pub fn require_one(&self, names: &[&str], problems: &mut Vec<Problem>) {
        if !names.iter().any(|name| self.has(name)) {
            let message = format!("a column {} is missing", any_of(names));
            problems.push(self.problem(ProblemCode::MissingColumn, 0..0, message, None));
        }
    }
}

/// The rows of a file, or everything that is wrong with it; no row at all is a problem too, `none` what it says and helps.
pub(crate) fn rows_or_problems<T>(
    table: &Table<'_>,
    text: &Arc<str>,
    rows: Vec<T>,
    mut problems: Vec<Problem>,
    none: (&str, &str),
) -> Result<Vec<T>, Problems> {
    if problems.is_empty() && rows.is_empty() {
        problems.push(table.problem(ProblemCode::MissingKey, 0..0, none.0.to_owned(), Some(none.1.to_owned())));
    }
    if problems.is_empty() {
        return Ok(rows);
    }
    problems.sort_by_key(|problem| problem.span.start);
    problems.dedup();
    Err(Problems { sources: vec![Source { name: table.file.into(), text: text.clone() }], list: problems })
}

/// A text with a point for each comma between two digits, and for one before the first digit of a number.
fn points(text: &str) -> String {
    let mut before = ' ';
    let mut characters = text.chars().peekable();
    let mut out = String::with_capacity(text.len());
    while let Some(c) = characters.next() {
        let is_before_digit = characters.peek().is_some_and(char::is_ascii_digit);
        let is_decimal = c == ',' && is_before_digit && !before.is_alphabetic();
        out.push(if is_decimal { '.' } else { c });
        before = c;
    }
    out
}

/// A header: one of the known names, perhaps with a unit behind it (`depth_m`, `depth (m)`).
fn column(text: &str, known: &[&str], span: &Range<usize>) -> Option<Column> {
    let plain = plain(text);
    let fits = |name: &&&str| {
        let name = self::plain(name);
        plain == name || plain.strip_prefix(&name).is_some_and(|rest| rest.starts_with('_'))
    };
    let name = known.iter().filter(fits).max_by_key(|name| name.len())?;
    let rest = plain[self::plain(name).len()..].trim_matches('_');
    Some(Column { name: (*name).to_owned(), suffix: (!rest.is_empty()).then(|| rest.to_owned()), span: span.clone() })
}

/// A header without the differences that do not count.
fn plain(text: &str) -> String {
    text.trim().to_lowercase().replace([' ', '-', '('], "_").replace(')', "")
}
