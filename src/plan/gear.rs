//! The gear list: a CSV file of pieces, measured or estimated, that many plans share.
//!
//! Columns: `name`, `mass`, one of `volume`, `density`, `in_water` with `read_in`, then `doubt` (of that second figure,
//! with its unit or in per cent), `scale`, `kind` (`measured` or `estimated`), `note`. A figure may carry its doubt in
//! place as well.

use crate::estimate::Origin;
use crate::plan::key::{CellAt, Key};
use crate::plan::problem::{Problem, ProblemCode};
use crate::plan::quantity::Quantity;
use crate::plan::table::{Row, Table};
use crate::plan::unit::{Density, Dimension, Mass, Volume};

/// Columns that a gear list may have.
const COLUMNS: [&str; 10] =
    ["name", "mass", "volume", "density", "in_water", "read_in", "doubt", "scale", "kind", "note"];

/// A figure with the cell where it stands.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Figure<D> {
    /// The figure.
    pub quantity: Quantity<D>,
    /// Its bytes.
    pub span: (usize, usize),
}

/// One piece.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Piece {
    /// Name.
    pub name: String,
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
        let mut list = GearList { file: file.into(), source, pieces: Vec::new() };
        for row in &table.rows {
            if let Some(piece) = piece(&table, row, problems) {
                list.add(piece, &table, problems);
            }
        }
        list
    }

    fn add(&mut self, piece: Piece, table: &Table, problems: &mut Vec<Problem>) {
        if let Some(first) = self.pieces.iter().find(|known| known.name == piece.name) {
            let message = format!("\"{}\" is in line {} and again in line {}", piece.name, first.line, piece.line);
            let help = "give every piece a name of its own".into();
            let span = piece.name_span.0..piece.name_span.1;
            problems.push(table.problem(ProblemCode::DuplicateName, span, message, Some(help)));
            return;
        }
        self.pieces.push(piece);
    }

    /// A cell of a piece as a key.
    pub fn cell<'a>(&'a self, piece: &'a Piece, column: &'static str, span: (usize, usize)) -> Key<'a> {
        let note = piece.note.as_deref();
        Key::Cell(CellAt {
            source: self.source,
            file: &self.file,
            line: piece.line,
            column,
            span,
            origin: piece.origin,
            note,
        })
    }
}

fn piece(table: &Table, row: &Row, problems: &mut Vec<Problem>) -> Option<Piece> {
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
        line: row.line,
        name_span: name.span,
        mass: figure(table, row, "mass", None, problems),
        volume: figure(table, row, "volume", doubt.as_deref(), problems),
        density: figure(table, row, "density", doubt.as_deref(), problems),
        in_water: figure(table, row, "in_water", doubt.as_deref(), problems),
        read_in: text("read_in"),
        scale: text("scale"),
        origin,
        note: text("note"),
    })
}

fn figure<D: Dimension>(
    table: &Table,
    row: &Row,
    name: &'static str,
    doubt: Option<&str>,
    problems: &mut Vec<Problem>,
) -> Option<Figure<D>> {
    let cell = table.cell(row, name)?;
    let mut text = match table.unit::<D>(name, problems) {
        // the header's unit, spelled out, so that a doubt can follow
        Some(unit) if !cell.text.contains(|c: char| c.is_alphabetic()) => format!("{} {}", cell.text, unit.names[0]),
        _ => cell.text.to_owned(),
    };
    if let Some(doubt) = doubt {
        text = format!("{text} ± {}", doubt.trim_start_matches(['±', ' ']));
    }
    Some(Figure { quantity: Quantity::parse(&text), span: cell.span })
}
