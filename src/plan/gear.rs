//! The gear list: a CSV file of pieces, measured or estimated, that many plans share.
//!
//! Columns: `name`, `mass`, one of `volume`, `density`, `in_water` with `read_in`, then `doubt` (of that second figure,
//! with its unit or in per cent), `scale`, `kind` (`measured` or `estimated`), `note`. A figure may carry its doubt in
//! place as well.
//!
//! A `mass` or `in_water` may hold several readings, `-0.42 kg; -0.40 kg; -0.45 kg`. They are combined as
//! [`crate::estimate::combine`] says: their scatter (Type A), and the doubt of the scale (Type B), which is the `doubt`
//! of the row or stands behind the readings themselves.

use std::collections::HashMap;

use crate::estimate::combine::{CombineError, combine};
use crate::estimate::{Doubt, Origin};
use crate::plan::csv::Record;
use crate::plan::key::{CellAt, Key};
use crate::plan::problem::{Problem, ProblemCode};
use crate::plan::table::Table;
use crate::plan::unit::{Density, Dimension, Mass, Volume};
use crate::plan::written::Written;

/// Columns that a gear list may have.
const COLUMNS: [&str; 11] =
    ["name", "count", "mass", "volume", "density", "in_water", "read_in", "doubt", "scale", "kind", "note"];
/// Nobody has more of one piece.
const MOST: u32 = 9_999;

/// A figure with the cell where it stands.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Figure<D> {
    /// The figure.
    pub quantity: Written<D>,
    /// How many readings it is made from.
    pub readings: usize,
    /// Its bytes.
    pub span: (usize, usize),
}

/// One piece.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Piece {
    /// Name.
    pub name: String,
    /// How many alike there are.
    pub count: u32,
    /// Line in the file.
    pub line: usize,
    /// Bytes of the name.
    pub name_span: (usize, usize),
    /// Mass.
    pub mass: Option<Figure<Mass>>,
    /// Displaced volume.
    pub volume: Option<Figure<Volume>>,
    /// Density.
    pub density: Option<Figure<Density>>,
    /// Reading.
    pub in_water: Option<Figure<Mass>>,
    /// Its water.
    pub read_in: Option<String>,
    /// The scale.
    pub scale: Option<String>,
    /// Measured or estimated.
    pub origin: Origin,
    /// Remark.
    pub note: Option<String>,
}

/// All pieces.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct GearList {
    /// Name of the file.
    pub file: String,
    /// Which source of the plan.
    pub source: usize,
    /// In the order of the file.
    pub pieces: Vec<Piece>,
    by_name: HashMap<String, usize>,
}

impl GearList {
    /// Reads a gear list.
    pub fn read(file: &str, source: usize, text: &str, problems: &mut Vec<Problem>) -> Self {
        let table = Table::read(file, source, text, &COLUMNS, problems);
        table.require(
            "name",
            "a gear list has the columns name and mass, and one of volume, density or in_water",
            problems,
        );
        table.require_one(&["mass", "in_water"], problems);
        let mut list = GearList { file: file.into(), source, pieces: Vec::new(), by_name: HashMap::new() };
        for row in &table.rows {
            if let Some(piece) = piece(&table, row, problems) {
                list.add(piece, &table, problems);
            }
        }
        list
    }

    fn add(&mut self, piece: Piece, table: &Table, problems: &mut Vec<Problem>) {
        if let Some(first) = self.find(&piece.name).map(|row| &self.pieces[row]) {
            let message = format!("\"{}\" is in line {} and again in line {}", piece.name, first.line, piece.line);
            let help = "give every piece a name of its own".into();
            let span = piece.name_span.0..piece.name_span.1;
            problems.push(table.problem(ProblemCode::DuplicateName, span, message, Some(help)));
            return;
        }
        self.by_name.insert(piece.name.clone(), self.pieces.len());
        self.pieces.push(piece);
    }

    /// Which piece has a name.
    pub fn find(&self, name: &str) -> Option<usize> {
        self.by_name.get(name).copied()
    }

    /// A cell of a piece as a key.
    pub fn cell<'a>(
        &'a self,
        piece: &'a Piece,
        column: &'static str,
        (span, readings): ((usize, usize), usize),
    ) -> Key<'a> {
        let origin = if readings > 1 { Origin::Repeated(readings) } else { piece.origin };
        let note = piece.note.as_deref();
        Key::Cell(CellAt { source: self.source, file: &self.file, line: piece.line, column, span, origin, note })
    }
}

fn piece(table: &Table, row: &Record, problems: &mut Vec<Problem>) -> Option<Piece> {
    let text = |name: &str| table.cell(row, name).map(|cell| cell.text.to_owned());
    let Some(name) = table.cell(row, "name") else {
        if table.has("name") {
            let message = format!("the piece in line {} has no name", row.line);
            problems.push(table.problem(ProblemCode::MissingKey, row.span(), message, None));
        }
        return None;
    };
    let origin = match table.cell(row, "kind") {
        None => Origin::Measured,
        Some(cell) if cell.text.eq_ignore_ascii_case("measured") => Origin::Measured,
        Some(cell) if cell.text.eq_ignore_ascii_case("estimated") => Origin::Listed,
        Some(cell) => {
            let message = format!("kind is \"{}\", but must be measured or estimated", cell.text);
            problems.push(table.problem(ProblemCode::UnknownWord, cell.span.0..cell.span.1, message, None));
            Origin::Measured
        }
    };
    let doubt = text("doubt");
    Some(Piece {
        name: name.text.to_owned(),
        count: count(table, row, problems),
        line: row.line,
        name_span: name.span,
        mass: figure(table, row, "mass", doubt.as_deref(), problems),
        volume: figure(table, row, "volume", doubt.as_deref(), problems),
        density: figure(table, row, "density", doubt.as_deref(), problems),
        in_water: figure(table, row, "in_water", doubt.as_deref(), problems),
        read_in: text("read_in"),
        scale: text("scale"),
        origin,
        note: text("note"),
    })
}

/// How many there are.
fn count(table: &Table, row: &Record, problems: &mut Vec<Problem>) -> u32 {
    let Some(cell) = table.cell(row, "count") else { return 1 };
    let count = cell.text.parse().ok().filter(|count| (1..=MOST).contains(count));
    count.unwrap_or_else(|| {
        let message = format!("count is \"{}\", but must be a whole number from 1 to {MOST}", cell.text);
        let help = Some("write how many of this piece there are; leave it empty for one".to_owned());
        problems.push(table.problem(ProblemCode::OutOfRange, cell.span.0..cell.span.1, message, help));
        1
    })
}

fn figure<D: Dimension>(
    table: &Table,
    row: &Record,
    name: &'static str,
    doubt: Option<&str>,
    problems: &mut Vec<Problem>,
) -> Option<Figure<D>> {
    let cell = table.cell(row, name)?;
    // the header's unit, spelled out, so that a doubt can follow
    let unit = table.unit::<D>(name, problems);
    let with_unit = |text: &str| match unit {
        Some(unit) if !text.contains(|c: char| c.is_alphabetic()) => format!("{text} {}", unit.names[0]),
        _ => text.to_owned(),
    };
    let with_doubt = |text: String, doubt: Option<&str>| match doubt {
        Some(doubt) => format!("{text} ± {}", doubt.trim_start_matches(['±', ' '])),
        None => text,
    };
    if !cell.text.contains(';') {
        // the doubt of the row belongs to the second figure
        let doubt = doubt.filter(|_| name != "mass");
        let quantity = Written::parse(&with_doubt(with_unit(cell.text), doubt));
        return Some(Figure { quantity, readings: 1, span: cell.span });
    }
    let fault = |message: String, help: &str| {
        let span = cell.span.0..cell.span.1;
        table.problem(ProblemCode::NotQuantity, span, message, Some(help.into()))
    };
    if !["mass", "in_water"].contains(&name) {
        let help = "several readings, divided by semicolons, may stand in mass and in_water";
        problems.push(fault(format!("{name} takes one figure, not several"), help));
        return None;
    }
    let mut readings = Vec::new();
    let mut scale: Option<Doubt> = None;
    for text in cell.text.split(';').map(str::trim).filter(|text| !text.is_empty()) {
        // a doubt of a mass may be meant for a volume beside it: then its unit does not fit
        let in_place = text.contains(['±']) || text.contains("+/-");
        let plain: Written<D> = Written::parse(&with_unit(text));
        let doubted: Written<D> = Written::parse(&with_doubt(with_unit(text), doubt));
        let quantity = match doubt {
            Some(_) if !in_place && (doubted.estimate().is_ok() || name != "mass") => doubted,
            _ => plain,
        };
        match quantity.estimate() {
            Ok(estimate) => {
                readings.push(estimate.value);
                // a doubt in per cent differs a little from reading to reading: the largest counts
                scale =
                    [scale, estimate.doubt].into_iter().flatten().max_by(|a, b| a.half_width.total_cmp(&b.half_width));
            }
            Err(_) => return Some(Figure { quantity, readings: 1, span: cell.span }), // told when it is asked for
        }
    }
    match combine(&readings, scale.as_ref()) {
        Ok(combined) => {
            let quantity = Written::made(cell.text, combined.estimate());
            Some(Figure { quantity, readings: combined.count, span: cell.span })
        }
        Err(error @ (CombineError::None | CombineError::NotFinite { .. })) => {
            problems.push(fault(format!("{name}: {error}"), "write the readings as \"-0.42 kg; -0.40 kg\""));
            None
        }
        Err(CombineError::Single) => Some(Figure {
            quantity: Written::parse(&with_unit(cell.text.trim_matches([';', ' ']))),
            readings: 1,
            span: cell.span,
        }),
    }
}
