//! What the live page shows, as JSON: two answers about one dive, `dive` from one run, fast enough for a frame, and `whole`
//! from all that takes longer; and small ones. `page/README.md` says what each member is.
//!
//! `sentence` the living sentence · `curve` the rows of the dive, and what happens in it · `lead` the gates of the
//! rail · `cylinders` gauges and what can be done with each · `moment` what lifts and sinks at a moment · `circuit` the
//! breathing loop then · `failure` the way up after a wing failure · `trim` where the diver hangs · `mishaps` what goes wrong · `whole` the slow answer · `surer` that of the trim · `small`
//! problems, and where figures come from.
//!
//! Numbers are in the reader's units, rounded to what can be seen; times are seconds; `exact` and `result` are those of
//! `run --json`.

mod circuit;
mod curve;
mod cylinders;
mod failure;
mod lead;
mod mishaps;
mod moment;
mod sentence;
mod small;
mod surer;
mod trim;
mod whole;

use serde::Serialize;

use crate::answer::{FailureAt, Quick};
use crate::report::json::findings::Findings;
use crate::report::json::run::LeadOfRun;
use crate::report::measure::{Quantity, UnitSystem};
use crate::report::{Source, json};
use crate::units::MINUTE_S;

pub use mishaps::MishapAsk;
pub use small::{Check, Figure, ProblemAnswer, check, problems};
pub use trim::PlaceMark;
pub use whole::{Whole, WholeAsk, whole};

/// What is asked of one run, and what the plan alone tells.
#[derive(Clone, Copy, Debug)]
pub struct Ask<'a> {
    /// Where the dive comes from.
    pub source: &'a Source,
    /// Short name of the plan.
    pub name: &'a str,
    /// Changes that were made to the plan's text.
    pub sets: &'a [(String, String)],
    /// Units for the reader.
    pub units: UnitSystem,
    /// The moment to look at, s; without one the end of the last stop.
    pub moment_s: Option<f64>,
    /// When the wing fails, s, if it does.
    pub failure_s: Option<f64>,
    /// What can be changed.
    pub controls: &'a [Control],
    /// The level stretches of the dive that can be dragged.
    pub levels: &'a [Level],
    /// The cylinders as the plan has them, in the diver's order.
    pub cylinders: &'a [PlanCylinder],
    /// Places of the trade on the diver.
    pub marks: &'a [PlaceMark],
    /// What goes wrong, as far as it is looked at.
    pub mishaps: MishapAsk<'a>,
}

/// Something that can be changed by a value; numbers are in the reader's units.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Control {
    /// Its name in questions.
    pub id: String,
    /// Where it stands: `lead`, `diver`, `suit`, `cylinder`, `water` or `dive`.
    pub group: &'static str,
    /// What the reader calls it.
    pub label: String,
    /// What it is set to.
    pub value: ControlValue,
    /// Symbol of its unit; empty for a choice.
    pub unit: String,
    /// Least that it can be set to.
    pub min: f64,
    /// Most that it can be set to.
    pub max: f64,
    /// Step of the arrow keys.
    pub step: f64,
    /// Decimals shown.
    pub decimals: usize,
    /// Whether a typical figure stands for it.
    pub is_typical: bool,
    /// The cylinder that it belongs to.
    pub cylinder: Option<String>,
    /// What can be chosen, where it is a choice.
    pub choices: Option<Vec<ControlChoice>>,
}

/// What a control is set to.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(untagged)]
pub enum ControlValue {
    /// A number in its unit.
    Number(f64),
    /// One of its choices.
    Word(String),
}

/// One of the choices of a control.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ControlChoice {
    /// In questions.
    pub value: String,
    /// For the reader.
    pub label: String,
}

/// A level stretch of the dive, SI.
#[derive(Clone, Debug, PartialEq)]
pub struct Level {
    /// Its name in questions.
    pub id: String,
    /// Start, s.
    pub start_s: f64,
    /// End, s.
    pub end_s: f64,
    /// Depth, m.
    pub depth_m: f64,
    /// What it is, without its depth: `the bottom`, `last stop`.
    pub what: String,
    /// Whether its depth can be dragged.
    pub moves_depth: bool,
    /// Whether its length can.
    pub moves_length: bool,
}

/// What the plan alone tells of a cylinder.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PlanCylinder {
    /// Its gas by name: `trimix 18/45`.
    pub gas: String,
    /// The control of its fill.
    pub control: Option<String>,
    /// Times at which it comes or goes by a change of the page and not by the plan, s.
    pub ours_s: Vec<f64>,
}

/// A mark beside words; a sign and words always say the same.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Mark {
    /// The plan meets it.
    Met,
    /// It does not.
    Breach,
    /// There is nothing to meet, or nobody knows.
    None,
}

impl Mark {
    fn of(within: Option<bool>) -> Self {
        match within {
            Some(true) => Self::Met,
            Some(false) => Self::Breach,
            None => Self::None,
        }
    }
}

/// A sentence with its mark.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Sentence {
    /// Its mark.
    pub mark: Mark,
    /// At most some 140 letters.
    pub text: String,
}

/// A labelled line with its mark.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct LabelledLine {
    /// What it is about.
    pub label: String,
    /// What is to be said.
    pub text: String,
    /// Its mark.
    pub mark: Mark,
}

impl LabelledLine {
    fn of(line: crate::report::text::Line) -> Self {
        Self { label: line.label.trim().to_owned(), text: whole::on_the_page(&line.text), mark: Mark::of(line.within) }
    }
}

/// The answer from one run.
#[derive(Serialize)]
pub struct Dive<'a> {
    sets: &'a [(String, String)],
    title: &'a str,
    note: Option<&'a str>,
    name: &'a str,
    units: Units,
    /// The living sentence.
    pub sentence: Sentence,
    end_s: f64,
    deepest: f64,
    curve: curve::Curve,
    limit: f64,
    beyond: Vec<curve::Beyond>,
    overhead: Vec<curve::Under>,
    heavy: curve::Point,
    light: curve::Point,
    stops: Vec<curve::Stop>,
    events: Vec<curve::Event>,
    levels: Vec<LevelShown<'a>>,
    lead: lead::Lead,
    controls: &'a [Control],
    cylinders: Vec<cylinders::Cylinder<'a>>,
    moment: moment::Moment,
    failure: Option<failure::Failure>,
    trim: Option<trim::Trim<'a>>,
    mishaps: Option<mishaps::Mishaps>,
    exact: Exact,
}

/// What is the same as in `run --json`, SI.
#[derive(Serialize)]
struct Exact {
    findings: Findings,
    lead: LeadOfRun,
}

#[derive(Serialize)]
struct LevelShown<'a> {
    id: &'a str,
    start_s: f64,
    end_s: f64,
    depth: f64,
    label: String,
    length_min: f64,
    moves_depth: bool,
    moves_length: bool,
}

/// The reader's units.
#[derive(Serialize)]
struct Units {
    system: &'static str,
    mass: Unit,
    depth: Unit,
    volume: Unit,
    pressure: Unit,
    temperature: Unit,
    density: Unit,
}

#[derive(Serialize)]
struct Unit {
    symbol: &'static str,
    decimals: usize,
}

/// The answer from one run: everything the page shows while a hand moves.
pub fn dive<'a>(ask: &Ask<'a>, quick: &Quick) -> Dive<'a> {
    let (scenario, found, units) = (&quick.built.scenario, &quick.findings, ask.units);
    let shown = Shown { units };
    let moment_s = ask.moment_s.unwrap_or(found.last_hold().end_s).clamp(0.0, quick.trace.last().state.time_s);
    let failure =
        ask.failure_s.map(|time_s| failure::failure(shown, scenario, &FailureAt::of(scenario, &quick.trace, time_s)));
    let rows = curve::rows(quick);
    Dive {
        sets: ask.sets,
        title: &ask.source.title,
        note: ask.source.note.as_deref(),
        name: ask.name,
        units: units_of(units),
        sentence: sentence::of_run(units, &sentence::Run::of(quick)),
        end_s: seconds(quick.trace.last().state.time_s),
        deepest: shown.length(scenario.profile().max_depth_m()),
        curve: curve::curve(shown, quick, &rows),
        limit: shown.mass(found.failed_wing.capacity_kg),
        beyond: curve::beyond(&found.failed_wing),
        overhead: curve::overhead(found),
        heavy: curve::point(shown, &found.heavy),
        light: curve::point(shown, &found.light),
        stops: curve::stops(shown, found),
        events: curve::events(shown, scenario, quick.trace.events()),
        levels: ask.levels.iter().map(|level| level_shown(shown, level)).collect(),
        lead: lead::lead(shown, quick.lead, &quick.own, crate::report::fins::Fins::of(scenario)),
        controls: ask.controls,
        cylinders: cylinders::cylinders(shown, quick, ask.cylinders, moment_s),
        moment: moment::moment(shown, scenario, &quick.trace, moment_s),
        failure,
        trim: trim::trim(shown, ask, quick, moment_s),
        mishaps: mishaps::mishaps(shown, quick, ask.mishaps, &rows),
        exact: Exact { findings: Findings::of(scenario, found), lead: LeadOfRun::of(quick.lead, &quick.own) },
    }
}

fn level_shown<'a>(shown: Shown, level: &'a Level) -> LevelShown<'a> {
    LevelShown {
        id: &level.id,
        start_s: seconds(level.start_s),
        end_s: seconds(level.end_s),
        depth: shown.length(level.depth_m),
        label: format!("{}, {}", level.what, shown.units.text(Quantity::Length, level.depth_m)),
        length_min: json::round((level.end_s - level.start_s) / MINUTE_S, 4),
        moves_depth: level.moves_depth,
        moves_length: level.moves_length,
    }
}

fn units_of(units: UnitSystem) -> Units {
    let unit = |quantity| Unit { symbol: units.symbol(quantity), decimals: units.decimals(quantity) };
    Units {
        system: if units == UnitSystem::Us { "us" } else { "metric" },
        mass: unit(Quantity::Mass),
        depth: unit(Quantity::Length),
        volume: unit(Quantity::Volume),
        pressure: unit(Quantity::GaugePressure),
        temperature: unit(Quantity::Temperature),
        density: unit(Quantity::Density),
    }
}

/// Numbers as the page gets them: in the reader's units, four places, which is finer than any pixel.
#[derive(Clone, Copy)]
struct Shown {
    units: UnitSystem,
}

impl Shown {
    fn number(self, quantity: Quantity, si: f64) -> f64 {
        json::round(self.units.value(quantity, si), 4)
    }

    fn mass(self, kg: f64) -> f64 {
        self.number(Quantity::Mass, kg)
    }

    fn length(self, m: f64) -> f64 {
        self.number(Quantity::Length, m)
    }

    fn volume(self, m3: f64) -> f64 {
        self.number(Quantity::Volume, m3)
    }

    /// An absolute pressure as a gauge shows it.
    fn gauge(self, pa: f64) -> f64 {
        self.number(Quantity::GaugePressure, pa)
    }
}

/// Seconds to a thousandth.
fn seconds(s: f64) -> f64 {
    json::round(s, 3)
}
