//! One check, taken apart: a row of a CSV file or a table of the plan.

use crate::estimate::{Doubt, Estimate, KeyPath};
use crate::physics::gas::MAX_GAS_PA;
use crate::physics::water::{DENSITY_RANGE_KG_M3, MAX_DEPTH_M};
use crate::plan::checks::hung::{Fault, HungRow, NeededRow};
use crate::plan::checks::log::{GAUGE_DOUBT, LogRow};
use crate::plan::checks::{Breath, CHECK_DOUBT, CheckRow, KEYS_OF_A_CHECK, OutcomeRow, SEEN};
use crate::plan::csv::Record;
use crate::plan::file::WeightCheck;
use crate::plan::problem::{Problem, ProblemCode};
use crate::plan::table::{Cell, Table};
use crate::plan::typical::READING_WATERS;
use crate::plan::unit::{Density, Dimension, Duration, Length, Mass, Pressure, Volume};
use crate::plan::words::{all_of, any_of, did_you_mean};
use crate::plan::written::Written;
use crate::profile::MAX_DURATION_S;
use crate::units::{ATMOSPHERE_PA, MINUTE_S, Unit};

/// What an outcome may be.
const OUTCOMES: [&str; 8] =
    ["neutral", "eye level", "needed", "reading", "could stay", "could not stay", "sank", "floated"];
const OUTCOME_HELP: &str = "write neutral, eye level, needed 1.2 kg (so much more lead, with a minus sign so much less), \
reading -0.8 kg (a scale that held the whole diver, positive floats), could stay (or sank), or could not stay (or floated)";

/// Where a check is written.
pub(super) enum Row<'a> {
    /// A row of a CSV file.
    Csv { table: &'a Table<'a>, row: &'a Record<'a> },
    /// A table of the plan, by its place in the list.
    Plan { index: usize, check: &'a WeightCheck },
}

impl<'a> Row<'a> {
    fn label(&self) -> String {
        match self {
            Row::Csv { row, .. } => format!("Line {}", row.line),
            Row::Plan { index, .. } => format!("Check {}", index + 1),
        }
    }

    fn cell(&self, name: &str) -> Option<Cell<'a>> {
        let check = match self {
            Row::Csv { table, row } => return table.cell(row, name),
            Row::Plan { check, .. } => check,
        };
        let text = match name {
            "depth" => check.depth.as_ref().map(Written::text),
            "lead" => check.lead.as_ref().map(Written::text),
            "doubt" => check.doubt.as_ref().map(Written::text),
            "outcome" => check.outcome.as_deref(),
            "hung" => check.hung.as_deref(),
            "needed" => check.needed.as_deref(),
            "water" => check.water.as_deref(),
            "breath" => check.breath.as_deref(),
            "wing" => check.wing.as_deref(),
            "note" => check.note.as_deref(),
            gauge => check.gauges.get(gauge).map(Written::text),
        };
        text.map(|text| Cell { text: text.trim(), span: (0, 0), suffix: None })
    }

    /// A problem at one of its keys, or of the whole.
    fn problem(&self, code: ProblemCode, name: Option<&str>, message: String, help: Option<String>) -> Problem {
        match self {
            Row::Csv { table, row } => {
                let cell = name.and_then(|name| table.cell(row, name));
                table.problem(code, cell.map_or(row.span(), |cell| cell.span.0..cell.span.1), message, help)
            }
            Row::Plan { index, .. } => {
                let path = KeyPath::ROOT.field("weight_check").index(*index);
                let path = name.map_or(path.clone(), |name| path.field(name));
                Problem { code, path, source: 0, span: 0..0, message, help }
            }
        }
    }
}

/// Takes a check apart.
pub(super) struct Reader<'a> {
    pub row: Row<'a>,
    pub problems: &'a mut Vec<Problem>,
}

impl<'a> Reader<'a> {
    /// The check; `cylinders` are the names that its rig has.
    pub fn check(&mut self, cylinders: &[&str]) -> Option<CheckRow> {
        let depth_m = self.needed("depth").and_then(|cell| self.figure::<Length>("depth", cell, 0.0..=MAX_DEPTH_M));
        // what the diver hung like may be all that was seen
        let outcome = match SEEN.iter().all(|name| self.row.cell(name).is_none()) {
            true => self.needed("outcome").and(None),
            false => self.optional("outcome", Self::outcome),
        };
        let hung = self.optional("hung", |one, cell| one.said("hung", HungRow::of(cell.text)));
        let needed = self.optional("needed", |one, cell| one.said("needed", NeededRow::of(cell.text)));
        let doubt = self.optional("doubt", Self::doubt);
        let lead_kg = self.optional("lead", |one, cell| one.figure::<Mass>("lead", cell, 0.0..=500.0));
        let wing_m3 = self.optional("wing", Self::wing);
        let water = self.optional("water", Self::water);
        let breath = self.optional("breath", Self::breath);
        let most_pa = MAX_GAS_PA - ATMOSPHERE_PA;
        let mut gauges = Some(Vec::new());
        for (i, name) in cylinders.iter().enumerate() {
            let gauge = self.optional(name, |one, cell| one.figure::<Pressure>(name, cell, 0.0..=most_pa));
            match (gauge, &mut gauges) {
                (Some(gauge), Some(gauges)) => gauges.extend(gauge.map(|gauge_pa| (i, gauge_pa))),
                _ => gauges = None,
            }
        }
        self.need_a_gauge(gauges.as_deref(), cylinders);
        let (outcome, depth_m, breath) = (outcome?, depth_m?, breath?);
        let is_eye_level = outcome == Some(OutcomeRow::EyeLevel);
        let breath = breath.or(is_eye_level.then_some(Breath::Normal));
        if is_eye_level {
            self.need_the_surface(depth_m)?;
            self.refuse_a_pitch()?;
        }
        let is_neutral = outcome == Some(OutcomeRow::Neutral);
        Some(CheckRow {
            label: self.row.label(),
            depth_m,
            lead_kg: lead_kg?,
            wing_m3: wing_m3?.unwrap_or(0.0),
            wing_holds: wing_m3?.is_none() && !is_neutral,
            water: water?.flatten(),
            breath,
            outcome,
            hung: hung?,
            needed: needed?,
            doubt: doubt?.unwrap_or(CHECK_DOUBT),
            gauges: gauges?,
            note: self.row.cell("note").map(|cell| cell.text.to_owned()),
            words: self.words(cylinders),
        })
    }

    /// A row of gauges over time.
    pub fn logged(&mut self, cylinders: &[&str], end_s: f64) -> Option<LogRow> {
        let time_s = self.needed("time").and_then(|cell| {
            let time_s = self.figure::<Duration>("time", cell, 0.0..=MAX_DURATION_S)?;
            if time_s <= end_s {
                return Some(time_s);
            }
            let message =
                format!("time is {}, but the dive of the plan ends at {:.0} min", cell.text, end_s / MINUTE_S);
            self.fault(ProblemCode::Time, "time", message, None);
            None
        });
        let most_pa = MAX_GAS_PA - ATMOSPHERE_PA;
        let doubt = self.optional("doubt", |one, cell| {
            let bare = Cell { text: cell.text.trim_start_matches(['±', ' ']), ..cell };
            let half_width = one.figure::<Pressure>("doubt", bare, 1.0..=most_pa)?;
            Some(Doubt { half_width, ..GAUGE_DOUBT })
        });
        let mut gauges = Vec::new();
        for (i, name) in cylinders.iter().enumerate() {
            let gauge = self.optional(name, |one, cell| one.figure::<Pressure>(name, cell, 0.0..=most_pa))?;
            gauges.extend(gauge.map(|gauge_pa| (i, gauge_pa)));
        }
        Some(LogRow { label: self.row.label(), time_s: time_s?, gauges, doubt: doubt?.unwrap_or(GAUGE_DOUBT) })
    }

    /// Every cell as a key of a plan would have it, with the unit that its column names.
    fn words(&self, cylinders: &[&str]) -> Vec<(String, String)> {
        let keys = KEYS_OF_A_CHECK.into_iter().filter(|key| *key != "rig").chain(cylinders.iter().copied());
        let one = |key: &str| {
            let cell = self.row.cell(key)?;
            let unit = cell.suffix.filter(|_| !cell.text.contains(char::is_alphabetic));
            let text = cell.text.trim_start_matches(['±', ' ']);
            Some((key.to_owned(), unit.map_or(text.to_owned(), |unit| format!("{text} {unit}"))))
        };
        keys.filter_map(one).collect()
    }

    /// A diver without any cylinder is seldom meant, and a cylinder's gas is kilograms.
    fn need_a_gauge(&mut self, gauges: Option<&[(usize, f64)]>, cylinders: &[&str]) {
        let Some([]) = gauges else { return };
        // a word that is no name is told by itself
        if let Row::Plan { check, .. } = &self.row
            && !check.gauges.is_empty()
        {
            return;
        }
        let (what, wanted) = match &self.row {
            Row::Csv { .. } => ("column", all_of(cylinders)),
            Row::Plan { .. } => {
                ("key", any_of(&cylinders.iter().map(|name| format!("{name} = \"50 bar\"")).collect::<Vec<_>>()))
            }
        };
        let message = format!("{} has no pressure of any cylinder", self.row.label().to_lowercase());
        let help = format!("write what the gauge of each cylinder on the diver read: {what} {wanted}");
        self.problems.push(self.row.problem(ProblemCode::MissingKey, None, message, Some(help)));
    }

    /// Nobody is at eye level under water.
    fn need_the_surface(&mut self, depth_m: f64) -> Option<()> {
        if depth_m == 0.0 {
            return Some(());
        }
        let message = "eye level is at the surface, but the check has another depth".to_owned();
        let help = "write the depth 0 m, or the outcome neutral for a diver who hangs at that depth".to_owned();
        self.problems.push(self.row.problem(ProblemCode::Depth, Some("depth"), message, Some(help)));
        None
    }

    /// Who hangs at eye level is upright.
    fn refuse_a_pitch(&mut self) -> Option<()> {
        let Some(name) = ["hung", "needed"].into_iter().find(|name| self.row.cell(name).is_some()) else {
            return Some(());
        };
        let message = format!("a diver at eye level is upright, so {name} cannot be of that moment");
        let help = "write it in a check of its own, with the depth at which the diver hung".to_owned();
        self.fault(ProblemCode::WhichKeys, name, message, Some(help));
        None
    }

    /// What words say, or what is wrong with them.
    fn said<T>(&mut self, name: &str, read: Result<T, Fault>) -> Option<T> {
        read.map_err(|(code, message, help)| self.fault(code, name, message, Some(help))).ok()
    }

    /// Keys of a plan's check that are neither its own nor a cylinder's name.
    pub fn refuse_unknown(&mut self, check: &WeightCheck, cylinders: &[&str]) {
        for key in check.gauges.keys().filter(|key| !cylinders.contains(&key.as_str())) {
            let known = || cylinders.iter().copied().chain(KEYS_OF_A_CHECK);
            let help = did_you_mean(key, known())
                .unwrap_or_else(|| format!("the cylinders of its rig are {}", all_of(cylinders)));
            let message = format!("\"{key}\" is neither a key of a check nor a cylinder of its rig");
            self.problems.push(self.row.problem(ProblemCode::UnknownCylinder, Some(key), message, Some(help)));
        }
    }

    fn fault(&mut self, code: ProblemCode, name: &str, message: String, help: Option<String>) {
        self.problems.push(self.row.problem(code, Some(name), message, help));
    }

    fn needed(&mut self, name: &str) -> Option<Cell<'a>> {
        let cell = self.row.cell(name);
        if cell.is_none() {
            let message = format!("{} has no {name}", self.row.label().to_lowercase());
            let help = match name {
                "outcome" => OUTCOME_HELP.to_owned(),
                "time" => "write the time since the start of the dive, such as 20 min or 12:30".to_owned(),
                _ => "write the depth of the check, such as 3 m".to_owned(),
            };
            self.problems.push(self.row.problem(ProblemCode::MissingKey, None, message, Some(help)));
        }
        cell
    }

    /// What is not there is `Some(None)`, what is wrong `None`.
    fn optional<T>(&mut self, name: &str, read: impl FnOnce(&mut Self, Cell<'a>) -> Option<T>) -> Option<Option<T>> {
        match self.row.cell(name) {
            None => Some(None),
            Some(cell) => read(self, cell).map(Some),
        }
    }

    /// The unit that a column names in its header.
    fn unit<D: Dimension>(&mut self, name: &str) -> Option<&'static Unit> {
        match &self.row {
            Row::Csv { table, .. } => table.unit::<D>(name, self.problems),
            Row::Plan { .. } => None,
        }
    }

    fn quantity<D: Dimension>(&mut self, name: &str, cell: Cell<'_>) -> Option<Estimate> {
        let unit: Option<&'static Unit> = match cell.suffix {
            Some(_) => Some(self.unit::<D>(name)?),
            None => None,
        };
        let quantity = match unit {
            Some(unit) if !cell.text.contains(char::is_alphabetic) => Written::<D>::in_unit(cell.text, unit),
            _ => Written::<D>::parse(cell.text),
        };
        match quantity.estimate() {
            Ok(estimate) => Some(estimate),
            Err(error) => {
                let (code, message, help) = error.told::<D>(name);
                self.fault(code, name, message, Some(help));
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
            self.fault(ProblemCode::Doubt, name, format!("{name} carries no ± here"), Some(help));
            return None;
        }
        if !range.contains(&estimate.value) {
            let unit = D::OF.trade().symbol;
            let (low, high) = (D::OF.trade().number(*range.start()), D::OF.trade().number(*range.end()));
            let message = format!("{name} is {}, but must be between {low:.0} and {high:.0} {unit}", cell.text);
            self.fault(ProblemCode::OutOfRange, name, message, None);
            return None;
        }
        Some(estimate.value)
    }

    /// A half-width, or a normal doubt such as `0.5 kg (95%)`.
    fn doubt(&mut self, cell: Cell<'_>) -> Option<Doubt> {
        let text = cell.text.trim_start_matches(['±', ' ']);
        let with_unit = match cell.suffix {
            Some(_) if !text.contains(char::is_alphabetic) => {
                format!("0 ± {text} {}", self.unit::<Mass>("doubt")?.names[0])
            }
            _ => format!("0 ± {text}"),
        };
        match Written::<Mass>::parse(&with_unit).estimate() {
            Ok(Estimate { doubt: Some(doubt), .. }) => Some(doubt),
            _ => {
                let help = "write a mass above zero such as 0.3 kg, or 0.5 kg (95%) for a normal one".to_owned();
                let message = format!("doubt is \"{}\", which is no half-width in kg or lb", cell.text);
                self.fault(ProblemCode::Doubt, "doubt", message, Some(help));
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
            self.fault(ProblemCode::UnknownWord, "wing", message, Some(help));
            return None;
        }
        self.figure::<Volume>("wing", cell, 0.0..=0.1)
    }

    fn breath(&mut self, cell: Cell<'_>) -> Option<Breath> {
        let word = cell.text.to_lowercase();
        let found = Breath::WORDS.iter().find(|(known, _)| *known == word).map(|(_, breath)| *breath);
        if found.is_none() {
            let help = did_you_mean(&word, Breath::WORDS.map(|(known, _)| known));
            let message = format!("breath is \"{}\", but must be normal, full or out", cell.text);
            self.fault(ProblemCode::UnknownWord, "breath", message, help);
        }
        found
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
            self.fault(ProblemCode::UnknownWord, "water", message, help);
            return None;
        }
        let density = self.quantity::<Density>("water", cell)?;
        if !DENSITY_RANGE_KG_M3.contains(&density.value) {
            let (low, high) = (DENSITY_RANGE_KG_M3.start(), DENSITY_RANGE_KG_M3.end());
            let message = format!("water is {}, but must be between {low} and {high} kg/m³", cell.text);
            self.fault(ProblemCode::OutOfRange, "water", message, None);
            return None;
        }
        Some(Some(density))
    }

    fn outcome(&mut self, cell: Cell<'_>) -> Option<OutcomeRow> {
        let lower = cell.text.trim().to_lowercase();
        let words = lower.split_whitespace().collect::<Vec<_>>().join(" ");
        match words.as_str() {
            "neutral" => return Some(OutcomeRow::Neutral),
            "eye level" => return Some(OutcomeRow::EyeLevel),
            "could stay" | "sank" => return Some(OutcomeRow::CouldStay),
            "could not stay" | "floated" => return Some(OutcomeRow::CouldNotStay),
            _ => {}
        }
        for (word, make) in [("needed", OutcomeRow::Needed as fn(f64) -> OutcomeRow), ("reading", OutcomeRow::Reading)]
        {
            let Some(rest) = words.strip_prefix(word).filter(|rest| rest.starts_with(' ') || rest.is_empty()) else {
                continue;
            };
            let quantity = Written::<Mass>::parse(rest);
            return match quantity.estimate() {
                Ok(Estimate { value, doubt: None }) => Some(make(value)),
                Ok(_) => {
                    let help = "put it into the column doubt".to_owned();
                    self.fault(ProblemCode::Doubt, "outcome", "an outcome carries no ±".into(), Some(help));
                    None
                }
                Err(_) => {
                    let help = match word == "needed" && rest.contains(" at ") {
                        true => format!("lead at a place has a key of its own: needed = \"{}\"", rest.trim()),
                        false => format!("write it with its unit, such as \"{word} -0.8 kg\""),
                    };
                    let message = format!("outcome is \"{}\", but {word} takes a mass", cell.text);
                    self.fault(ProblemCode::NotQuantity, "outcome", message, Some(help));
                    None
                }
            };
        }
        let near = did_you_mean(&words, OUTCOMES).filter(|_| !words.contains(|c: char| c.is_ascii_digit()));
        let help = near.map_or(OUTCOME_HELP.to_owned(), |near| format!("{near} {OUTCOME_HELP}"));
        self.fault(
            ProblemCode::UnknownWord,
            "outcome",
            format!("\"{}\" is no outcome of a check", cell.text),
            Some(help),
        );
        None
    }
}
