//! Checks made in the water: `[[weight_check]]` tables of a plan, or a CSV file with one row a check.
//!
//! | key, column | meaning |
//! | --- | --- |
//! | `depth` | depth of the check; `0 m` at the surface |
//! | `outcome` | `neutral` · `eye level` (at the surface) · `needed 1.2 kg` (so much more lead; a minus sign: so much less) · `reading -0.8 kg` (a spring scale that held the whole diver; positive floats) · `could stay` or `sank` · `could not stay` or `floated` |
//! | `hung` | how the diver hung at rest, still and neutral: `level`, `head up 10°`, `head down 20 ± 5°`; ± 10° unless stated |
//! | `needed` | lead that had to be added at a place for the diver to hang level: `0.5 kg at the ankles` |
//! | one for each cylinder, by its name | the pressure on its gauge; none: not carried |
//! | `doubt` | how sure that is, such as `0.3 kg`; [`CHECK_DOUBT`] unless stated |
//! | `lead` | the lead carried; none: the ballast of the plan |
//! | `wing` | `empty`, or the gas in it; none: empty, and where only `hung` or `needed` is there, what held the diver |
//! | `breath` | `normal` · `full` · `out`; none: half full, at eye level normal |
//! | `water` | `as planned`, `fresh`, `pool`, `sea` or a density; none: as planned |
//! | `note` | a remark |
//!
//! In a CSV file a column may name its unit: `depth_m`, `back_bar`. A row without outcome, doubt, hung and needed is a check
//! that was not made. One with only hung or needed says nothing of the lead. The suit holds its gas volume.
//!
//! `reader` takes one apart · [`hung`] how the diver hung, in words · [`log`] gauges read during a dive · `rig` the rigs of checks that were made with another one.

pub mod hung;
pub mod log;
mod reader;
pub(crate) mod rig;

use std::path::Path;
use std::sync::Arc;

use toml_edit::{ArrayOfTables, DocumentMut, Item};

use crate::estimate::{Doubt, Estimate, Shape};
use crate::plan::Plan;
use crate::plan::csv::Record;
use crate::plan::file::WeightCheck;
use crate::plan::load::{alone, read_text};
use crate::plan::problem::{Problem, ProblemCode, Problems};
use crate::plan::table::{Table, rows_or_problems};
use crate::plan::words::any_of;
use reader::{Reader, Row};

pub use hung::{HungRow, NeededRow};

/// Columns besides those of the cylinders.
const COLUMNS: [&str; 10] = ["depth", "lead", "wing", "water", "breath", "outcome", "hung", "needed", "doubt", "note"];
/// Columns of what was seen: a check has one of them.
const SEEN: [&str; 3] = ["outcome", "hung", "needed"];
/// Words that a check has a key for, so that no cylinder can be called so.
pub(crate) const KEYS_OF_A_CHECK: [&str; 11] =
    ["depth", "lead", "wing", "water", "breath", "outcome", "hung", "needed", "doubt", "note", "rig"];

/// How sure a check is that says nothing of it: ± 0.7 kg, 95 %: half a breath, and gas trapped here and there (our own
/// judgement).
pub const CHECK_DOUBT: Doubt = Doubt { half_width: 0.7, shape: Shape::Normal { coverage_frac: 0.95 } };
/// What of a diver who hangs at eye level is out of the water, m³: the upper half of a head of about 4.9 L (6.94 % of the
/// body's mass, de Leva 1996; the half is our own judgement, and so is the doubt).
pub const EYE_LEVEL_OUT_M3: Estimate = normal(1.7e-3, 0.7e-3);

const fn normal(value: f64, half_width: f64) -> Estimate {
    Estimate { value, doubt: Some(Doubt { half_width, shape: Shape::Normal { coverage_frac: 0.95 } }) }
}

/// The lungs at a check.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Breath {
    /// After breathing in as usual.
    Normal,
    /// After breathing in all the way.
    Full,
    /// After breathing out all the way.
    Out,
}

impl Breath {
    /// The words of a plan.
    pub(crate) const WORDS: [(&'static str, Breath); 3] =
        [("normal", Breath::Normal), ("full", Breath::Full), ("out", Breath::Out)];

    /// What the lungs hold more than half full, m³: half of a quiet breath more, an inspiratory capacity of about 3 L, or an
    /// expiratory reserve of about 1.1 L less (physiology handbooks, from memory; doubt and roundings are our own
    /// judgement).
    pub const fn more_m3(self) -> Estimate {
        match self {
            Breath::Normal => normal(0.3e-3, 0.5e-3),
            Breath::Full => normal(2.8e-3, 0.9e-3),
            Breath::Out => normal(-1.1e-3, 0.5e-3),
        }
    }
}

/// A check as it was written down.
#[derive(Clone, Debug, PartialEq)]
pub struct CheckRow {
    /// Which: its line in the file, or its place in the plan.
    pub label: String,
    /// Depth, m.
    pub depth_m: f64,
    /// Lead in place of all ballast of the plan, kg.
    pub lead_kg: Option<f64>,
    /// Gas in the wing, m³; 0 when it was empty.
    pub wing_m3: f64,
    /// Whether the wing held the diver neutral when it was seen how the diver hung.
    pub wing_holds: bool,
    /// Density of the water, kg/m³; `None`: the water of the plan.
    pub water: Option<Estimate>,
    /// The lungs; `None`: half full.
    pub breath: Option<Breath>,
    /// What was seen of the lead.
    pub outcome: Option<OutcomeRow>,
    /// How the diver hung.
    pub hung: Option<HungRow>,
    /// What had to be added for the diver to hang level.
    pub needed: Option<NeededRow>,
    /// How sure the outcome is, kg.
    pub doubt: Doubt,
    /// Cylinders carried, by the index of their name, with the gauge pressure, Pa.
    pub gauges: Vec<(usize, f64)>,
    /// Remark.
    pub note: Option<String>,
    /// The keys and values by which a plan would have it, units included.
    pub words: Vec<(String, String)>,
}

/// What was seen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum OutcomeRow {
    /// Neither up nor down.
    Neutral,
    /// At the surface with the water at the eyes.
    EyeLevel,
    /// So much more lead was needed, kg.
    Needed(f64),
    /// So much lift on a scale, kg.
    Reading(f64),
    /// Could stay down.
    CouldStay,
    /// Could not stay down.
    CouldNotStay,
}

/// A check of a plan, and with which rig it was made.
#[derive(Clone, Debug, PartialEq)]
pub struct PlannedCheck {
    /// What was written.
    pub row: CheckRow,
    /// Which of the other rigs; `None`: the plan's own.
    pub rig: Option<usize>,
}

/// Reads the checks of a file; `cylinders` are the names that the dive has.
///
/// # Errors
/// Everything that is wrong with the file, at once.
pub fn read_checks(path: &Path, cylinders: &[&str]) -> Result<Vec<CheckRow>, Problems> {
    let shown = path.display().to_string();
    let text = read_text(path).map_err(|(code, message, text)| alone(&shown, code, message, text))?;
    checks_from(&text, &shown, cylinders)
}

/// The same from a text; `name` is what messages call it.
///
/// # Errors
/// As [`read_checks`].
pub fn checks_from(text: &str, name: &str, cylinders: &[&str]) -> Result<Vec<CheckRow>, Problems> {
    let text: Arc<str> = Arc::from(text.strip_prefix('\u{feff}').unwrap_or(text));
    let mut problems = Vec::new();
    let known: Vec<&str> = COLUMNS.into_iter().chain(cylinders.iter().copied()).collect();
    let table = Table::read(name, 0, &text, &known, &mut problems);
    let help = "a check needs the columns depth and outcome, and one for each cylinder with what its gauge read";
    table.require("depth", help, &mut problems);
    // it may say how the diver hung instead
    if !table.has("hung") && !table.has("needed") {
        table.require("outcome", help, &mut problems);
    }
    if !cylinders.iter().any(|name| table.has(name)) {
        let message = "no column has the pressure of a cylinder".to_owned();
        let help = format!("write what the gauge of each cylinder on the diver read: a column {}", any_of(cylinders));
        problems.push(table.problem(ProblemCode::MissingColumn, 0..0, message, Some(help)));
    }
    // what a column names wrongly would be told again for every cell
    let rows = if problems.is_empty() {
        // lines of a printed form that were not filled in
        let is_blank = |row: &&Record| SEEN.iter().chain(&["doubt"]).all(|name| table.cell(row, name).is_none());
        let filled = table.rows.iter().filter(|row| !is_blank(row));
        let mut read = |row| Reader { row: Row::Csv { table: &table, row }, problems: &mut problems }.check(cylinders);
        filled.filter_map(&mut read).collect()
    } else {
        Vec::new()
    };
    rows_or_problems(
        &table,
        &text,
        rows,
        problems,
        ("there is no check in it", "write one row for each check, with its outcome"),
    )
}

/// A check of a plan, in its place; `cylinders` are the names that its rig has.
pub(crate) fn check_of_plan(
    index: usize,
    check: &WeightCheck,
    cylinders: &[&str],
    problems: &mut Vec<Problem>,
) -> Option<CheckRow> {
    let before = problems.len();
    let mut reader = Reader { row: Row::Plan { index, check }, problems };
    let row = reader.check(cylinders);
    reader.refuse_unknown(check, cylinders);
    row.filter(|_| problems.len() == before)
}

impl Plan {
    /// The plan's text with more checks behind those that it has.
    pub fn with_checks(&self, rows: &[CheckRow]) -> String {
        let text = &self.sources()[0].text;
        let Ok(mut document) = text.parse::<DocumentMut>() else { return text.to_string() };
        let tables = rows.iter().map(|row| {
            let mut table = toml_edit::Table::new();
            row.words.iter().for_each(|(key, value)| _ = table.insert(key, toml_edit::value(value)));
            table
        });
        match document.get_mut("weight_check") {
            Some(Item::Value(toml_edit::Value::Array(list))) => {
                tables.for_each(|table| list.push(table.into_inline_table()));
            }
            Some(Item::ArrayOfTables(list)) => tables.for_each(|table| list.push(table)),
            _ => {
                let list: ArrayOfTables = tables.collect();
                document.insert("weight_check", Item::ArrayOfTables(list));
            }
        }
        with_line_ends_of(text, document.to_string())
    }

    /// The plan's text without any check.
    pub fn without_checks(&self) -> String {
        let text = &self.sources()[0].text;
        let Ok(mut document) = text.parse::<DocumentMut>() else { return text.to_string() };
        if document.remove("weight_check").is_none() {
            return text.to_string();
        }
        with_line_ends_of(text, document.to_string())
    }
}

/// The TOML writer ends its lines its own way.
pub(crate) fn with_line_ends_of(original: &str, written: String) -> String {
    if original.contains("\r\n") { written.replace("\r\n", "\n").replace('\n', "\r\n") } else { written }
}
