//! CSV files beside a plan: columns by name, cells with their bytes.

use std::ops::Range;

use crate::plan::problem::{Problem, ProblemCode};
use crate::plan::unit::{Dimension, Unit, column_unit, unit_list};
use crate::plan::words::{all_of, any_of, did_you_mean};

/// A CSV file taken apart.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Table {
    /// Name of the file.
    pub file: String,
    /// Which source of the plan.
    pub source: usize,
    /// Name and unit suffix of each column; `None` for one that is not known.
    columns: Vec<Option<Column>>,
    /// Rows that are not empty.
    pub rows: Vec<Row>,
}

#[derive(Clone, Debug, PartialEq)]
struct Column {
    name: String,
    suffix: Option<String>,
    span: Range<usize>,
}

/// A row.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Row {
    /// Line in the file, from 1.
    pub line: usize,
    cells: Vec<(String, Range<usize>)>,
}

impl Row {
    /// Bytes of the whole row.
    pub fn span(&self) -> Range<usize> {
        match (self.cells.first(), self.cells.last()) {
            (Some((_, first)), Some((_, last))) => first.start..last.end,
            _ => 0..0,
        }
    }
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

impl Table {
    /// Takes a text apart; `known` are the names that columns may have.
    pub fn read(file: &str, source: usize, text: &str, known: &[&str], problems: &mut Vec<Problem>) -> Self {
        let mut table = Table { file: file.into(), source, columns: Vec::new(), rows: Vec::new() };
        let mut reader = csv::ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .trim(csv::Trim::All)
            .comment(Some(b'#'))
            .from_reader(text.as_bytes());
        for record in reader.records() {
            let record = match record {
                Ok(record) => record,
                Err(error) => {
                    let at = error.position().map_or(0, |p| p.byte() as usize);
                    problems.push(table.problem(
                        ProblemCode::Csv,
                        at..at,
                        format!("cannot be read as CSV: {error}"),
                        None,
                    ));
                    continue;
                }
            };
            let start = first_cell(text, record.position().map_or(0, |p| p.byte() as usize));
            let line = text[..start].matches('\n').count() + 1;
            let spans = cell_spans(text, start, record.len());
            let cells: Vec<_> = record.iter().map(str::to_owned).zip(spans).collect();
            if cells.iter().all(|(text, _)| text.is_empty()) {
                continue;
            }
            if table.columns.is_empty() {
                table.columns = table.header(&cells, known, problems);
            } else {
                table.row(line, cells, problems);
            }
        }
        table
    }

    fn header(
        &self,
        cells: &[(String, Range<usize>)],
        known: &[&str],
        problems: &mut Vec<Problem>,
    ) -> Vec<Option<Column>> {
        let mut columns: Vec<Option<Column>> = Vec::new();
        for (text, span) in cells {
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

    fn row(&mut self, line: usize, cells: Vec<(String, Range<usize>)>, problems: &mut Vec<Problem>) {
        let row = Row { line, cells };
        if row.cells.len() != self.columns.len() {
            let (cells, columns) = (row.cells.len(), self.columns.len());
            let message = format!("this row has {cells} cells, but the header has {columns} columns");
            let help = "a text with a comma needs quotes around it".into();
            problems.push(self.problem(ProblemCode::Csv, row.span(), message, Some(help)));
        }
        self.rows.push(row);
    }

    /// A problem at some bytes of this file.
    pub fn problem(&self, code: ProblemCode, span: Range<usize>, message: String, help: Option<String>) -> Problem {
        Problem { code, path: self.file.clone(), source: self.source, span, message, help }
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
    pub fn cell<'t>(&'t self, row: &'t Row, name: &str) -> Option<Cell<'t>> {
        let at = self.columns.iter().position(|column| column.as_ref().is_some_and(|c| c.name == name))?;
        let suffix = self.columns[at].as_ref().and_then(|column| column.suffix.as_deref());
        let (text, span) = row.cells.get(at)?;
        (!text.is_empty()).then_some(Cell { text, span: (span.start, span.end), suffix })
    }

    /// The unit of a column whose header names one; a problem if that is no unit of the kind.
    pub fn unit<D: Dimension>(&self, name: &str, problems: &mut Vec<Problem>) -> Option<&'static Unit> {
        let column = self.columns.iter().flatten().find(|column| column.name == name)?;
        let suffix = column.suffix.as_deref()?;
        let unit = column_unit::<D>(suffix);
        if unit.is_none() {
            let message = format!("\"{suffix}\" in the header is not a unit of {}", D::NAME);
            let help = format!(
                "the units are {}; or name the column \"{name}\" and write units in the cells",
                unit_list::<D>()
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

/// Where a record really begins: its reader counts it from the end of the record before, so line breaks and comments
/// may still stand in front of it.
fn first_cell(text: &str, start: usize) -> usize {
    let mut at = start;
    loop {
        match text.as_bytes().get(at) {
            Some(b'\r' | b'\n') => at += 1,
            Some(b'#') => at += text[at..].find('\n').unwrap_or(text.len() - at),
            _ => return at,
        }
    }
}

/// Bytes of the cells of a record that starts at `start`, without the spaces around them.
fn cell_spans(text: &str, start: usize, count: usize) -> Vec<Range<usize>> {
    let bytes = text.as_bytes();
    let mut at = start;
    let mut spans = Vec::with_capacity(count);
    for _ in 0..count {
        let first = at;
        let mut quoted = false;
        while let Some(&byte) = bytes.get(at) {
            match byte {
                b'"' => quoted = !quoted,
                b',' | b'\n' | b'\r' if !quoted => break,
                _ => {}
            }
            at += 1;
        }
        let cell = &text[first..at];
        let lead = cell.len() - cell.trim_start().len();
        let inner = first + lead..first + lead + cell.trim().len();
        spans.push(if inner.is_empty() { first..at } else { inner });
        at = (at + 1).min(bytes.len());
    }
    spans
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Comments and empty lines before the header and between rows do not move the places of cells.
    #[test]
    fn comments_do_not_move_places() {
        let text = "# first\r\n\n# second\ntime,depth\n# between\n\n1 min,5 m\n";
        let mut problems = Vec::new();
        let table = Table::read("a.csv", 0, text, &["time", "depth", "breathe"], &mut problems);
        assert!(problems.is_empty());
        let spans: Vec<&str> = table.columns.iter().flatten().map(|column| &text[column.span.clone()]).collect();
        assert_eq!(spans, ["time", "depth"]);
        let [row] = &table.rows[..] else { panic!("one row") };
        assert_eq!((row.line, &text[row.span()]), (7, "1 min,5 m"));
    }
}
