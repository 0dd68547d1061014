//! What belongs to a class alone: `[class]`.

use schemars::JsonSchema;
use serde::Deserialize;
use toml::value::Datetime;

use crate::estimate::KeyPath;
use crate::physics::water::{Brine, DENSITY_RANGE_KG_M3, Layer};
use crate::plan::file::{Names, PartTable};
use crate::plan::pieces::{counted, mass_kg};
use crate::plan::problem::{Problem, ProblemCode};
use crate::plan::unit::{Density, Dimension, Length, Temperature};
use crate::plan::words::{any_of, did_you_mean};
use crate::plan::written::Written;
use crate::units::celsius_to_k;

/// Nobody owns more pieces of one mass.
pub const MOST_PIECES: usize = 9_999;
/// What a piece of lead may weigh, kg: a smaller one is shot, a heavier one nobody can hand over.
const PIECE_KG: std::ops::RangeInclusive<f64> = 0.05..=50.0;
/// Sizes of lead that are told apart.
const MOST_SIZES: usize = 8;
/// Depths of a pool, m.
const POOL_M: std::ops::RangeInclusive<f64> = 0.0..=60.0;

/// The part of the file that is read here.
#[derive(Debug, Default, Deserialize)]
pub(super) struct Head {
    /// The table.
    pub class: Option<ClassTable>,
}

/// What belongs to a class alone.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct ClassTable {
    /// Day of the dive, printed on the students' pages: `2031-05-24`.
    pub date: Option<String>,
    /// Sizes of lead to hand out, any number of each: `["2 kg", "1 kg"]`; 2, 1 and 0.5 kg, or 4, 2 and 1 lb unless stated.
    pub pieces: Option<Names>,
    /// All the lead that there is, instead of its sizes: `["10 x 2 kg", "12 x 1 kg"]`; the option `--own` goes before this key.
    pub own: Option<Names>,
    /// The pool before the dive; without a table of its own fresh water of 27 °C, checked at 3 m.
    pub pool: Option<PoolTable>,
}

/// A student: what differs from what all share. Beside these keys every key of a plan; a table of the student's is laid over
/// the shared one key by key, a list replaces the shared one, and a suit or a wing whose name, kind, piece or mass is written
/// is another one.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[schemars(extend("required" = ["name"]))]
pub struct StudentTable {
    /// Name, as it is to stand in the table and on the page.
    pub name: Option<String>,
    /// A whole plan beside the class: `student-3.toml`. Its site and dive are those of the class, where that has them; the
    /// student's own keys go before it.
    pub plan: Option<String>,
    /// Parts that come to the shared ones, which `part` would replace.
    #[serde(default)]
    pub extra_part: Vec<PartTable>,
}

/// The pool in which the students try their rigs before the dive.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct PoolTable {
    /// `fresh`, the default, or `sea`, 35 PSU.
    #[schemars(extend("enum" = ["fresh", "sea"]))]
    pub water: Option<String>,
    /// Density, instead of the water: `997 kg/m3`.
    pub density: Option<Written<Density>>,
    /// Temperature: `27 °C` unless stated.
    pub temperature: Option<Written<Temperature>>,
    /// Depth at which the students must stay down with an empty wing: `3 m` unless stated.
    pub depth: Option<Written<Length>>,
}

/// Water of a pool, and the depth of the check in it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PoolWater {
    /// The water.
    pub layer: Layer,
    /// Depth of the check, m.
    pub depth_m: f64,
}

/// The keys, read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ClassKeys {
    /// Day of the dive, year, month, day.
    pub date: Option<String>,
    /// Sizes of lead, kg; empty: the usual ones.
    pub sizes_kg: Vec<f64>,
    /// The lead that there is: how many of which mass, kg.
    pub own: Option<Vec<(usize, f64)>>,
    /// The pool; `None` where the class says nothing of it.
    pub pool: Option<PoolWater>,
}

impl ClassKeys {
    pub(super) fn of(table: &ClassTable, problems: &mut Vec<Problem>) -> Self {
        let mut reader = Reader { problems };
        Self {
            date: table.date.as_deref().and_then(|date| reader.date(date)),
            sizes_kg: reader.sizes(table.pieces.as_ref()),
            own: table.own.as_ref().map(|own| reader.own(own)),
            pool: table.pool.as_ref().map(|pool| reader.pool(pool)),
        }
    }
}

struct Reader<'p> {
    problems: &'p mut Vec<Problem>,
}

impl Reader<'_> {
    fn fault(&mut self, code: ProblemCode, key: &str, message: String, help: Option<String>) {
        let path = key.split('.').fold(KeyPath::ROOT.field("class"), |path, key| path.field(key));
        self.problems.push(Problem { code, path, source: 0, span: 0..0, message, help });
    }

    fn date(&mut self, text: &str) -> Option<String> {
        if is_day(text) {
            return Some(text.to_owned());
        }
        let help = Some("write year, month and day, such as 2031-05-24".to_owned());
        self.fault(ProblemCode::WrongType, "date", format!("date is \"{text}\", but must be a day"), help);
        None
    }

    fn piece(&mut self, key: &str, text: &str) -> Option<f64> {
        let message = match mass_kg(text) {
            Ok(piece_kg) if PIECE_KG.contains(&piece_kg) => return Some(piece_kg),
            Ok(_) => format!("a piece of lead is \"{}\", but must be between 0.05 and 50 kg", text.trim()),
            Err(error) => format!("{key}: \"{}\": {error}", text.trim()),
        };
        self.fault(ProblemCode::NotQuantity, key, message, None);
        None
    }

    fn sizes(&mut self, names: Option<&Names>) -> Vec<f64> {
        let Some(Names(texts)) = names else { return Vec::new() };
        let sizes: Vec<f64> = texts.iter().filter_map(|text| self.piece("pieces", text)).collect();
        if sizes.len() > MOST_SIZES {
            let message = format!("{} sizes of lead, but at most {MOST_SIZES} are told apart", sizes.len());
            self.fault(ProblemCode::OutOfRange, "pieces", message, None);
        }
        sizes
    }

    fn own(&mut self, Names(texts): &Names) -> Vec<(usize, f64)> {
        let one = |text: &String| {
            let (count, mass) = counted(text, MOST_PIECES);
            Some((count, self.piece("own", mass)?))
        };
        let own: Vec<(usize, f64)> = texts.iter().filter_map(one).collect();
        if own.len() > MOST_SIZES {
            let message = format!("{} piles of lead, but at most {MOST_SIZES} are told apart", own.len());
            let help = Some("write alike pieces together: \"10 x 2 kg\"".to_owned());
            self.fault(ProblemCode::OutOfRange, "own", message, help);
        }
        own
    }

    fn pool(&mut self, table: &PoolTable) -> PoolWater {
        let brine = match (&table.water, &table.density) {
            (Some(_), Some(_)) => {
                let message = "pool: water and density together, but one says it all".to_owned();
                self.fault(ProblemCode::WhichKeys, "pool", message, None);
                Brine::PracticalSalinity(0.0)
            }
            (None, Some(density)) => {
                let what = "pool.density";
                Brine::Density(self.figure(what, density, DENSITY_RANGE_KG_M3, 1000.0))
            }
            (word, None) => match word.as_deref() {
                None | Some("fresh") => Brine::PracticalSalinity(0.0),
                Some("sea") => Brine::PracticalSalinity(35.0),
                Some(other) => {
                    let words = ["fresh", "sea"];
                    let help = did_you_mean(other, words).unwrap_or_else(|| format!("write {}", any_of(&words)));
                    let message = format!("pool.water is \"{other}\", but must be {}", any_of(&words));
                    self.fault(ProblemCode::UnknownWord, "pool.water", message, Some(help));
                    Brine::PracticalSalinity(0.0)
                }
            },
        };
        let usual = PoolWater::usual();
        let temperature_k = table.temperature.as_ref().map_or(usual.layer.temperature_k, |given| {
            self.figure("pool.temperature", given, celsius_to_k(0.0)..=celsius_to_k(40.0), usual.layer.temperature_k)
        });
        let depth_m =
            table.depth.as_ref().map_or(usual.depth_m, |given| self.figure("pool.depth", given, POOL_M, usual.depth_m));
        PoolWater { layer: Layer { top_m: 0.0, brine, temperature_k }, depth_m }
    }

    /// A figure without a doubt, within its range.
    fn figure<D: Dimension>(
        &mut self,
        key: &str,
        given: &Written<D>,
        range: std::ops::RangeInclusive<f64>,
        otherwise: f64,
    ) -> f64 {
        let message = match given.estimate() {
            Ok(estimate) if estimate.doubt.is_some() => format!("{key} carries no ± here"),
            Ok(estimate) if range.contains(&estimate.value) => return estimate.value,
            Ok(_) => {
                let shown = |si: f64| D::OF.trade().number(si);
                let (low, high) = (shown(*range.start()), shown(*range.end()));
                format!(
                    "{key} is {}, but must be between {low:.0} and {high:.0} {}",
                    given.text(),
                    D::OF.trade().symbol
                )
            }
            Err(error) => format!("{key}: {error}"),
        };
        let help = Some(format!("write a {} such as \"{}\"", D::OF.name(), D::OF.example()));
        self.fault(ProblemCode::OutOfRange, key, message, help);
        otherwise
    }
}

impl PoolWater {
    /// Fresh water of 27 °C, checked at 3 m. Typical: heated pools have 24 to 30 °C.
    pub fn usual() -> Self {
        let layer = Layer { top_m: 0.0, brine: Brine::PracticalSalinity(0.0), temperature_k: celsius_to_k(27.0) };
        Self { layer, depth_m: 3.0 }
    }
}

/// Whether a text is a day as ISO 8601 writes it: year, month, day. The same form as TOML's local date, whose reader knows
/// the lengths of months.
pub fn is_day(text: &str) -> bool {
    let is_date = |date: Datetime| date.date.is_some() && date.time.is_none();
    text.len() == 10 && text.parse().is_ok_and(is_date)
}
