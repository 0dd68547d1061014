//! Checks made in the water, as a CSV file: one row a check.
//!
//! | column | meaning |
//! | --- | --- |
//! | `depth` | depth of the check |
//! | `outcome` | `neutral` · `needed 1.2 kg` (so much more lead; a minus sign: so much less) · `reading -0.8 kg` (a spring scale that held the whole diver; positive floats) · `could stay` · `could not stay` |
//! | `doubt` | how sure that is, such as `0.3 kg` |
//! | one for each cylinder, by its name | the pressure on its gauge; empty: not carried |
//! | `lead` | the lead carried; empty: the ballast of the plan |
//! | `wing` | `empty`, or the gas in it; empty: empty |
//! | `water` | `as planned`, `fresh`, `pool`, `sea` or a density; empty: as planned |
//! | `note` | a remark |
//!
//! A column may name its unit: `depth_m`, `back_bar`. A row without outcome and doubt is a check that was not made. Lungs are half full at every check, the suit holds its gas volume.

use std::path::Path;
use std::sync::Arc;

use crate::estimate::{Doubt, Estimate};
use crate::physics::gas::MAX_GAS_PA;
use crate::physics::water::{DENSITY_RANGE_KG_M3, MAX_DEPTH_M};
use crate::plan::load::{alone, read_text};
use crate::plan::problem::{Problem, ProblemCode, Problems, Source};
use crate::plan::quantity::{Quantity, QuantityError};
use crate::plan::table::{Cell, Row, Table};
use crate::plan::typical::READING_WATERS;
use crate::plan::unit::{Density, Dimension, Length, Mass, Pressure, Unit, Volume, unit_list};
use crate::plan::words::did_you_mean;
use crate::units::ATMOSPHERE_PA;

/// Columns besides those of the cylinders.
const COLUMNS: [&str; 7] = ["depth", "lead", "wing", "water", "outcome", "doubt", "note"];
/// What an outcome may be.
const OUTCOMES: [&str; 5] = ["neutral", "needed", "reading", "could stay", "could not stay"];
const OUTCOME_HELP: &str = "write neutral, needed 1.2 kg (so much more lead, with a minus sign so much less), reading -0.8 kg (a scale that \
held the whole diver, positive floats), could stay, or could not stay";

/// A check as it was written down.
#[derive(Clone, Debug, PartialEq)]
pub struct CheckRow {
    /// Line in the file, from 1.
    pub line: usize,
    /// Depth, m.
    pub depth_m: f64,
    /// Lead in place of all ballast of the plan, kg.
    pub lead_kg: Option<f64>,
    /// Gas in the wing, m³; 0 when it was empty.
    pub wing_m3: f64,
    /// Density of the water, kg/m³; `None`: the water of the plan.
    pub water: Option<Estimate>,
    /// What was seen.
    pub outcome: OutcomeRow,
    /// How sure that is, kg.
    pub doubt: Doubt,
    /// Cylinders carried, by the index of their name, with the gauge pressure, Pa.
    pub gauges: Vec<(usize, f64)>,
    /// Remark.
    pub note: Option<String>,
}

/// What was seen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum OutcomeRow {
    /// Neither up nor down.
    Neutral,
    /// So much more lead was needed, kg.
    Needed(f64),
    /// So much lift on a scale, kg.
    Reading(f64),
    /// Could just stay down.
    CouldStay,
    /// Could just not stay down.
    CouldNotStay,
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
    let help = "a check needs the columns depth, outcome and doubt, and one for each cylinder with what its gauge read";
    for column in ["depth", "outcome", "doubt"] {
        table.require(column, help, &mut problems);
    }
    // what a column names wrongly would be told again for every cell
    let rows = if problems.is_empty() {
        let mut reader = Reader { table: &table, problems: &mut problems };
        // lines of a printed form that were not filled in
        let is_blank = |row: &&Row| ["outcome", "doubt"].iter().all(|name| table.cell(row, name).is_none());
        table.rows.iter().filter(|row| !is_blank(row)).filter_map(|row| reader.row(row, cylinders)).collect()
    } else {
        Vec::new()
    };
    if problems.is_empty() && rows.is_empty() {
        let help = Some("write one row for each check, with its outcome and doubt".to_owned());
        problems.push(table.problem(ProblemCode::MissingKey, 0..0, "there is no check in it".into(), help));
    }
    if problems.is_empty() {
        return Ok(rows);
    }
    problems.sort_by_key(|problem| problem.span.start);
    problems.dedup();
    Err(Problems { sources: vec![Source { name: name.into(), text }], list: problems })
}

struct Reader<'a> {
    table: &'a Table,
    problems: &'a mut Vec<Problem>,
}

impl<'a> Reader<'a> {
    fn row(&mut self, row: &'a Row, cylinders: &[&str]) -> Option<CheckRow> {
        let depth_m =
            self.needed(row, "depth").and_then(|cell| self.figure::<Length>("depth", cell, 0.0..=MAX_DEPTH_M));
        let outcome = self.needed(row, "outcome").and_then(|cell| self.outcome(cell));
        let doubt = self.needed(row, "doubt").and_then(|cell| self.doubt(cell));
        let lead_kg = self.optional(row, "lead", |one, cell| one.figure::<Mass>("lead", cell, 0.0..=500.0));
        let wing_m3 = self.optional(row, "wing", Self::wing);
        let water = self.optional(row, "water", Self::water);
        let most_pa = MAX_GAS_PA - ATMOSPHERE_PA;
        let mut gauges = Vec::new();
        for (i, name) in cylinders.iter().enumerate() {
            let gauge = self.optional(row, name, |one, cell| one.figure::<Pressure>(name, cell, 0.0..=most_pa));
            gauges.extend(gauge?.map(|gauge_pa| (i, gauge_pa)));
        }
        Some(CheckRow {
            line: row.line,
            depth_m: depth_m?,
            lead_kg: lead_kg?,
            wing_m3: wing_m3?.unwrap_or(0.0),
            water: water?.flatten(),
            outcome: outcome?,
            doubt: doubt?,
            gauges,
            note: self.table.cell(row, "note").map(|cell| cell.text.to_owned()),
        })
    }

    fn fault(&mut self, code: ProblemCode, cell: Cell<'_>, message: String, help: Option<String>) {
        self.problems.push(self.table.problem(code, cell.span.0..cell.span.1, message, help));
    }

    fn needed(&mut self, row: &'a Row, name: &str) -> Option<Cell<'a>> {
        let cell = self.table.cell(row, name);
        if cell.is_none() {
            let message = format!("the check in line {} has no {name}", row.line);
            let help = match name {
                "doubt" => "write how sure the outcome is, such as 0.3 kg: half a breath is half a kilogram".to_owned(),
                "outcome" => OUTCOME_HELP.to_owned(),
                _ => "write the depth of the check, such as 3 m".to_owned(),
            };
            self.problems.push(self.table.problem(ProblemCode::MissingKey, row.span(), message, Some(help)));
        }
        cell
    }

    /// An empty cell is `Some(None)`, a wrong one `None`.
    fn optional<T>(
        &mut self,
        row: &'a Row,
        name: &str,
        read: impl FnOnce(&mut Self, Cell<'a>) -> Option<T>,
    ) -> Option<Option<T>> {
        match self.table.cell(row, name) {
            None => Some(None),
            Some(cell) => read(self, cell).map(Some),
        }
    }

    fn quantity<D: Dimension>(&mut self, name: &str, cell: Cell<'_>) -> Option<Estimate> {
        let unit: Option<&'static Unit> = match cell.suffix {
            Some(_) => Some(self.table.unit::<D>(name, self.problems)?),
            None => None,
        };
        let quantity = match unit {
            Some(unit) if !cell.text.contains(char::is_alphabetic) => Quantity::<D>::in_unit(cell.text, unit),
            _ => Quantity::<D>::parse(cell.text),
        };
        match quantity.estimate() {
            Ok(estimate) => Some(estimate),
            Err(error) => {
                let code = match error {
                    QuantityError::NoUnit { .. } => ProblemCode::NoUnit,
                    QuantityError::Unit { .. } => ProblemCode::UnknownUnit,
                    _ => ProblemCode::NotQuantity,
                };
                let help = format!("write a {} in {}, such as {}", D::NAME, unit_list::<D>(), D::EXAMPLE);
                let message = format!("{name}: {error}");
                self.fault(code, cell, message, Some(help));
                None
            }
        }
    }

    fn figure<D: Dimension>(
        &mut self,
        name: &str,
        cell: Cell<'_>,
        range: std::ops::RangeInclusive<f64>,
    ) -> Option<f64> {
        let estimate = self.quantity::<D>(name, cell)?;
        if estimate.doubt.is_some() {
            let help = "all doubt of a check stands in its column doubt, in kg of lift".to_owned();
            self.fault(ProblemCode::Doubt, cell, format!("{name} carries no ± here"), Some(help));
            return None;
        }
        if !range.contains(&estimate.value) {
            let (unit, _) = D::KIND.trade_unit();
            let (low, high) = (D::KIND.to_trade(*range.start()), D::KIND.to_trade(*range.end()));
            let message = format!("{name} is {}, but must be between {low:.0} and {high:.0} {unit}", cell.text);
            self.fault(ProblemCode::OutOfRange, cell, message, None);
            return None;
        }
        Some(estimate.value)
    }

    /// A half-width, or a normal doubt such as `0.5 kg (95%)`.
    fn doubt(&mut self, cell: Cell<'_>) -> Option<Doubt> {
        let text = cell.text.trim_start_matches(['±', ' ']);
        let with_unit = match cell.suffix {
            Some(_) if !text.contains(char::is_alphabetic) => {
                format!("0 ± {text} {}", self.table.unit::<Mass>("doubt", self.problems)?.names[0])
            }
            _ => format!("0 ± {text}"),
        };
        match Quantity::<Mass>::parse(&with_unit).estimate() {
            Ok(Estimate { doubt: Some(doubt), .. }) => Some(doubt),
            _ => {
                let help = "write a mass above zero such as 0.3 kg, or 0.5 kg (95%) for a normal one".to_owned();
                let message = format!("doubt is \"{}\", which is no half-width in kg or lb", cell.text);
                self.fault(ProblemCode::Doubt, cell, message, Some(help));
                None
            }
        }
    }

    fn wing(&mut self, cell: Cell<'_>) -> Option<f64> {
        if cell.text.eq_ignore_ascii_case("empty") {
            return Some(0.0);
        }
        if !cell.text.contains(|c: char| c.is_ascii_digit()) {
            let help = did_you_mean(cell.text, ["empty"])
                .unwrap_or_else(|| "write empty, or the gas in it such as 3 L".into());
            let message = format!("wing is \"{}\", but must be empty or a volume", cell.text);
            self.fault(ProblemCode::UnknownWord, cell, message, Some(help));
            return None;
        }
        self.figure::<Volume>("wing", cell, 0.0..=0.1)
    }

    /// `Some(None)`: as planned.
    fn water(&mut self, cell: Cell<'_>) -> Option<Option<Estimate>> {
        let word = cell.text.to_lowercase();
        if word == "as planned" {
            return Some(None);
        }
        if let Some((_, water)) = READING_WATERS.iter().find(|(name, _)| *name == word) {
            return Some(Some(water.estimate));
        }
        if !word.contains(|c: char| c.is_ascii_digit()) {
            let help = did_you_mean(&word, ["as planned", "fresh", "pool", "sea"]);
            let message = format!(
                "water is \"{}\", but must be as planned, fresh, pool, sea or a density such as 1025 kg/m3",
                cell.text
            );
            self.fault(ProblemCode::UnknownWord, cell, message, help);
            return None;
        }
        let density = self.quantity::<Density>("water", cell)?;
        if !DENSITY_RANGE_KG_M3.contains(&density.value) {
            let (low, high) = (DENSITY_RANGE_KG_M3.start(), DENSITY_RANGE_KG_M3.end());
            let message = format!("water is {}, but must be between {low} and {high} kg/m³", cell.text);
            self.fault(ProblemCode::OutOfRange, cell, message, None);
            return None;
        }
        Some(Some(density))
    }

    fn outcome(&mut self, cell: Cell<'_>) -> Option<OutcomeRow> {
        let lower = cell.text.trim().to_lowercase();
        let words = lower.split_whitespace().collect::<Vec<_>>().join(" ");
        match words.as_str() {
            "neutral" => return Some(OutcomeRow::Neutral),
            "could stay" => return Some(OutcomeRow::CouldStay),
            "could not stay" => return Some(OutcomeRow::CouldNotStay),
            _ => {}
        }
        for (word, make) in [("needed", OutcomeRow::Needed as fn(f64) -> OutcomeRow), ("reading", OutcomeRow::Reading)]
        {
            let Some(rest) = words.strip_prefix(word).filter(|rest| rest.starts_with(' ') || rest.is_empty()) else {
                continue;
            };
            let quantity = Quantity::<Mass>::parse(rest);
            return match quantity.estimate() {
                Ok(Estimate { value, doubt: None }) => Some(make(value)),
                Ok(_) => {
                    let help = "put it into the column doubt".to_owned();
                    self.fault(ProblemCode::Doubt, cell, "an outcome carries no ±".into(), Some(help));
                    None
                }
                Err(_) => {
                    let help = format!("write it with its unit, such as \"{word} -0.8 kg\"");
                    let message = format!("outcome is \"{}\", but {word} takes a mass", cell.text);
                    self.fault(ProblemCode::NotQuantity, cell, message, Some(help));
                    None
                }
            };
        }
        let near = did_you_mean(&words, OUTCOMES).filter(|_| !words.contains(|c: char| c.is_ascii_digit()));
        let help = near.map_or(OUTCOME_HELP.to_owned(), |near| format!("{near} {OUTCOME_HELP}"));
        self.fault(ProblemCode::UnknownWord, cell, format!("\"{}\" is no outcome of a check", cell.text), Some(help));
        None
    }
}
