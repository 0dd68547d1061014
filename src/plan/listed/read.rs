//! The rows of the list, checked.

use super::kind::{Kind, Suit, kind};
use crate::physics::gas::MAX_GAS_PA;
use crate::physics::water::DENSITY_RANGE_KG_M3;
use crate::plan::catalogue::instead_of;
use crate::plan::csv::Record;
use crate::plan::gas_name::named_gas;
use crate::plan::problem::{Problem, ProblemCode};
use crate::plan::table::{Cell, Table};
use crate::plan::typical::{READING_WATERS, gear};
use crate::plan::unit::{Density, Dimension, Mass, Pressure};
use crate::plan::words::{any_of, did_you_mean};
use crate::plan::written::Written;
use crate::units::ATMOSPHERE_PA;

const COLUMNS: [&str; 8] = ["piece", "in_water", "water", "pressure", "mass", "count", "gas", "note"];
const WATERS: [&str; 4] = ["pool", "fresh", "sea", "site"];

/// A figure of the list: as it goes into the plan, and its middle in SI.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Figure {
    pub text: String,
    pub value: f64,
    /// whether the list says how sure it is
    pub has_doubt: bool,
}

/// A row.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Row {
    pub line: usize,
    pub piece: String,
    pub kind: Kind,
    pub in_water: Option<Figure>,
    /// the word, and the density that it stands for where it is known here, kg/m³
    pub water: Option<(String, Option<f64>)>,
    pub pressure: Option<Figure>,
    pub mass: Option<Figure>,
    pub count: u32,
    pub gas: Option<String>,
    pub note: Option<String>,
}

/// All rows, or all that is wrong.
pub(super) fn rows(text: &str, file: &str) -> Result<Vec<Row>, Vec<Problem>> {
    let mut problems = Vec::new();
    let table = Table::read(file, 0, text, &COLUMNS, &mut problems);
    let help =
        "a list of readings has the columns piece, in_water and water, and perhaps pressure, mass, count, gas and note";
    for column in ["piece", "in_water", "water"] {
        table.require(column, help, &mut problems);
    }
    // what a column names wrongly would be told again for every cell
    let mut rows: Vec<Row> = Vec::new();
    if problems.is_empty() {
        let mut reader = Reader { table: &table, problems: &mut problems };
        for record in &table.rows {
            if let Some(row) = reader.row(record) {
                reader.refuse_twice(record, &row, &rows);
                rows.push(row);
            }
        }
    }
    if problems.is_empty() && rows.is_empty() {
        let help = Some("write one row for each piece, with its reading and the water of it".to_owned());
        problems.push(table.problem(ProblemCode::MissingKey, 0..0, "there is no piece in it".into(), help));
    }
    if problems.is_empty() { Ok(rows) } else { Err(problems) }
}

struct Reader<'a> {
    table: &'a Table<'a>,
    problems: &'a mut Vec<Problem>,
}

impl<'a> Reader<'a> {
    fn row(&mut self, record: &'a Record<'a>) -> Option<Row> {
        let cell = |name: &str| self.table.cell(record, name);
        let Some(piece) = cell("piece") else {
            let message = format!("the piece in line {} has no name", record.line);
            self.problems.push(self.table.problem(ProblemCode::MissingKey, record.span(), message, None));
            return None;
        };
        let (in_water, water, mass) = (cell("in_water"), cell("water"), cell("mass"));
        let (pressure, count, gas, note) = (cell("pressure"), cell("count"), cell("gas"), cell("note"));
        let kind = kind(piece.text, pressure.is_some());
        let known = self.problems.len();
        let row = Row {
            line: record.line,
            piece: piece.text.to_owned(),
            kind,
            in_water: in_water.and_then(|cell| self.figure::<Mass>("in_water", cell)),
            water: water.and_then(|cell| self.water(cell)),
            pressure: pressure.and_then(|cell| self.pressure(cell)),
            mass: mass.and_then(|cell| self.figure::<Mass>("mass", cell)),
            count: count.map_or(Some(1), |cell| self.count(cell)).unwrap_or(1),
            gas: gas.and_then(|cell| self.gas(cell)),
            note: note.map(|cell| cell.text.to_owned()),
        };
        self.check(record, piece, &row);
        (self.problems.len() == known).then_some(row)
    }

    /// What does not go together.
    fn check(&mut self, record: &Record<'_>, piece: Cell<'_>, row: &Row) {
        let has = |name: &str| self.table.cell(record, name).is_some();
        let name = piece.text;
        let needs_reading = match row.kind {
            Kind::Part => gear::named(name).is_none(),
            Kind::Lead => !has("mass"),
            _ => false,
        };
        if needs_reading && !has("in_water") {
            let help =
                "write what the spring scale said under water, such as -2.4 kg; what floats is positive".to_owned();
            self.fault(ProblemCode::MissingKey, piece, format!("\"{name}\" has no reading"), Some(help));
        }
        if has("in_water") && !has("water") {
            let help = format!("write {} or a density such as 1025 kg/m3", any_of(&WATERS));
            let message = format!("\"{name}\" has a reading, but not the water of it");
            self.fault(ProblemCode::MissingKey, piece, message, Some(help));
        }
        match row.kind {
            Kind::Cylinder(None) => {
                let help = instead_of(name).unwrap_or_else(|| "lightpoint cylinders lists the sizes".into());
                let message = format!("\"{name}\" has a pressure, so it is a cylinder, but its words name no size");
                let help = format!("write its size into the piece, such as \"steel 12 L 232 bar\"; {help}");
                self.fault(ProblemCode::UnknownSize, piece, message, Some(help));
            }
            Kind::Suit(Suit::Unclear) => {
                let help = "write \"wet suit 5 mm\", \"dry suit\" or \"neoprene dry suit\"".to_owned();
                self.fault(ProblemCode::UnknownWord, piece, format!("\"{name}\" does not say which suit"), Some(help));
            }
            Kind::Lead if row.in_water.as_ref().is_some_and(|reading| reading.value >= 0.0) => {
                let message = format!("\"{name}\" does not sink: what sinks has a minus sign");
                self.fault(ProblemCode::OutOfRange, piece, message, None);
            }
            _ => {}
        }
        let below_nothing = match (&row.mass, &row.in_water, row.kind) {
            // a cylinder's gas pulls too
            (_, _, Kind::Cylinder(_)) => false,
            (Some(mass), Some(reading), _) => mass.value + reading.value < 0.0,
            _ => false,
        };
        if below_nothing {
            let message = format!("\"{name}\": its mass and its reading give a volume below zero");
            let help = "nothing pulls down with more than its mass: check both figures".to_owned();
            self.fault(ProblemCode::NegativeVolume, piece, message, Some(help));
        }
    }

    /// One diver, one suit, one wing, and no two parts of one name.
    fn refuse_twice(&mut self, record: &Record<'_>, row: &Row, before: &[Row]) {
        let is_twin = |other: &&Row| match (row.kind, other.kind) {
            (Kind::Diver, Kind::Diver) | (Kind::Suit(_), Kind::Suit(_)) | (Kind::Wing, Kind::Wing) => true,
            (Kind::Part, Kind::Part) | (Kind::Lead, Kind::Lead) => row.piece == other.piece,
            _ => false,
        };
        if let (Some(other), Some(cell)) = (before.iter().find(is_twin), self.table.cell(record, "piece")) {
            let what = match row.kind {
                Kind::Diver => "the diver",
                Kind::Suit(_) => "the suit",
                Kind::Wing => "the wing",
                _ => "a piece of this name",
            };
            let message = format!("\"{}\": {what} is in line {} already", row.piece, other.line);
            let help = "give each piece a name of its own, or write how many into the column count".to_owned();
            self.fault(ProblemCode::DuplicateName, cell, message, Some(help));
        }
    }

    fn fault(&mut self, code: ProblemCode, cell: Cell<'_>, message: String, help: Option<String>) {
        self.problems.push(self.table.problem(code, cell.span.0..cell.span.1, message, help));
    }

    /// A figure, written out with the unit of its column where it has none.
    fn figure<D: Dimension>(&mut self, name: &str, cell: Cell<'_>) -> Option<Figure> {
        let unit = match cell.suffix {
            Some(_) => Some(self.table.unit::<D>(name, self.problems)?),
            None => None,
        };
        let text = match unit {
            Some(unit) if !cell.text.contains(char::is_alphabetic) => format!("{} {}", cell.text, unit.names[0]),
            _ => cell.text.to_owned(),
        };
        match Written::<D>::parse(&text).estimate() {
            Ok(estimate) => Some(Figure { value: estimate.value, has_doubt: estimate.doubt.is_some(), text }),
            Err(error) => {
                let (code, message, help) = error.told::<D>(name);
                self.fault(code, cell, message, Some(help));
                None
            }
        }
    }

    fn pressure(&mut self, cell: Cell<'_>) -> Option<Figure> {
        if cell.text.eq_ignore_ascii_case("empty") {
            return Some(Figure { text: "0 bar".into(), value: 0.0, has_doubt: false });
        }
        if cell.text.eq_ignore_ascii_case("full") {
            let help = "write what its gauge showed, such as 220 bar, or empty".to_owned();
            self.fault(ProblemCode::NotQuantity, cell, "pressure is \"full\", which is no number".into(), Some(help));
            return None;
        }
        let found = self.figure::<Pressure>("pressure", cell)?;
        if !(0.0..=MAX_GAS_PA - ATMOSPHERE_PA).contains(&found.value) {
            let message = format!("pressure is {}, but must be between 0 and 349 bar", found.text);
            self.fault(ProblemCode::OutOfRange, cell, message, None);
            return None;
        }
        Some(found)
    }

    fn water(&mut self, cell: Cell<'_>) -> Option<(String, Option<f64>)> {
        let word = cell.text.to_lowercase();
        if word == "site" {
            return Some((word, None));
        }
        if let Some((_, water)) = READING_WATERS.iter().find(|(name, _)| *name == word) {
            return Some((word, Some(water.estimate.value)));
        }
        match Written::<Density>::parse(cell.text).estimate() {
            Ok(density) if DENSITY_RANGE_KG_M3.contains(&density.value) => {
                Some((cell.text.to_owned(), Some(density.value)))
            }
            _ => {
                let message = format!("water is \"{}\", but must be {} or a density", cell.text, any_of(&WATERS));
                let help = did_you_mean(&word, WATERS).unwrap_or_else(|| "a density is such as 1025 kg/m3".into());
                self.fault(ProblemCode::UnknownWord, cell, message, Some(help));
                None
            }
        }
    }

    fn count(&mut self, cell: Cell<'_>) -> Option<u32> {
        let found = cell.text.parse().ok().filter(|count| (1..=99).contains(count));
        if found.is_none() {
            let message = format!("count is \"{}\", but must be a number from 1 to 99", cell.text);
            self.fault(ProblemCode::OutOfRange, cell, message, None);
        }
        found
    }

    fn gas(&mut self, cell: Cell<'_>) -> Option<String> {
        let is_gas = named_gas(cell.text).is_some_and(|mix| mix.is_ok());
        if !is_gas {
            let help = "write air, oxygen, argon, nitrox 32, trimix 18/45 or heliox 16/84".to_owned();
            self.fault(ProblemCode::UnknownGas, cell, format!("\"{}\" is not a gas", cell.text), Some(help));
        }
        is_gas.then(|| cell.text.to_owned())
    }
}
