//! Results as JSON. SI always, whatever the reader's units are; the key of every number ends in its unit, words for people
//! are metric. [`schema`] is made from the same types.
//!
//! [`run`] a run and its findings · [`ballast`] how much lead, beside the sum on paper · [`trim`] where the diver hangs · [`compare`] dives side by side, and
//! a figure that changes · [`list`] many of them · [`doubt`] how sure the answers are · [`weigh`] what to weigh next ·
//! [`calibrate`] what checks changed · [`logged`] gauges read during a dive · [`class`] many students.

pub mod ballast;
pub mod calibrate;
mod circuit;
pub mod class;
pub mod compare;
pub mod doubt;
pub(in crate::report) mod findings;
mod hung;
pub mod list;
pub mod logged;
mod mishaps;
mod paper;
pub mod run;
pub mod trim;
pub mod weigh;

use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde::Serialize;
use serde_json::{Value, json};

use crate::report::measure::Quantity;
use crate::report::{Source, VERSION};
use crate::units::ATMOSPHERE_PA;

/// Number of the form of every JSON that the program writes. It grows when a key goes, or means something else.
pub const SCHEMA: u32 = 2;

/// What every JSON of this program starts with
#[derive(Serialize, JsonSchema)]
struct Head {
    /// Name of the program
    #[schemars(extend("const" = "lightpoint"))]
    program: &'static str,
    /// Version of the program
    version: &'static str,
    /// Number of this form
    #[schemars(extend("const" = SCHEMA))]
    schema: u32,
}

impl Head {
    fn new() -> Self {
        Self { program: "lightpoint", version: VERSION, schema: SCHEMA }
    }
}

/// Where the dive comes from
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct PlanSource {
    title: String,
    file: String,
    sha256: String,
    note: Option<String>,
}

impl PlanSource {
    fn of(source: &Source) -> Self {
        Self {
            title: source.title.clone(),
            file: source.plan.clone(),
            sha256: source.sha256.clone(),
            note: source.note.clone(),
        }
    }
}

/// The JSON Schema (draft 2020-12) of what the commands print with `--json`, a definition for each.
pub fn schema() -> Value {
    let mut generator = SchemaSettings::draft2020_12().for_serialize().into_generator();
    let forms = [
        generator.subschema_for::<run::RunResult>(),
        generator.subschema_for::<ballast::BallastResult>(),
        generator.subschema_for::<trim::TrimResult>(),
        generator.subschema_for::<compare::CompareResult>(),
        generator.subschema_for::<compare::SweepResult>(),
        generator.subschema_for::<list::ListResult>(),
        generator.subschema_for::<doubt::DoubtResult>(),
        generator.subschema_for::<doubt::DrawResult>(),
        generator.subschema_for::<doubt::CertainResult>(),
        generator.subschema_for::<calibrate::CalibrateResult>(),
        generator.subschema_for::<logged::LoggedResult>(),
        generator.subschema_for::<class::ClassResult>(),
    ];
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "What the commands of lightpoint print with --json",
        "oneOf": forms,
        "$defs": generator.take_definitions(true),
    })
}

/// A number with so many places, and no negative zero.
pub(in crate::report) fn round(value: f64, places: i32) -> f64 {
    let scale = 10f64.powi(places);
    (value * scale).round() / scale + 0.0
}

/// Kilograms, metres, seconds and pascals to a millionth: below that stands only rounding.
fn micro(si: f64) -> f64 {
    round(si, 6)
}

/// Cubic metres to a thousandth of a millilitre.
fn nano(volume_m3: f64) -> f64 {
    round(volume_m3, 9)
}

/// What a gauge reads.
fn gauge(pressure_pa: f64) -> f64 {
    micro(pressure_pa - ATMOSPHERE_PA)
}

/// A number of any quantity in its SI unit, rounded as those above.
fn si(quantity: Quantity, value: f64) -> f64 {
    let unit = quantity.si();
    round(unit.number(value), unit.decimals as i32)
}

/// The name of a number with its SI unit at the end.
fn si_key(name: &str, quantity: Quantity) -> String {
    format!("{name}_{}", quantity.si().suffix)
}

/// Twelve significant digits are more than any input has; noise of the conversion of units stands below.
fn significant(value: f64) -> f64 {
    format!("{value:.11e}").parse().unwrap_or(value)
}
