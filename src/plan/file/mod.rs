//! The plan file as it is written: one struct a table, every key optional, so that what is missing is told together
//! with everything else. Meaning and checks are in `assemble`.
//!
//! Choices are plain keys, never tagged or untagged enums: those lose the position in the text.

mod check;
mod circuit;
mod dive;
mod trim;
mod worn;

use schemars::JsonSchema;
use serde::Deserialize;

use crate::plan::schema;
use crate::plan::unit::*;
use crate::plan::written::Written;

pub use check::{CylindersThen, RigOfCheck, RigTables, SuitThen, WeightCheck};
pub use circuit::{Loop, OxygenUse, OxygenUseTable, SetpointChange};
pub use dive::{Breathing, ChangeTable, Dive, LegTable, Spans, Stops};
pub use trim::{At, AtTable, LeadPlaceTable, TrimTable};
pub use worn::{Ballast, FoamTable, PartTable, Suit, WingTable};

/// The whole file.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct PlanFile {
    /// Title of the dive; the name of the file unless stated. Example: `Cold wall, twin (invented)`.
    pub title: Option<String>,
    /// Remarks, shown with the answer.
    pub note: Option<String>,
    /// Units of everything that is shown: `metric` (the default) or `us`. What the plan writes keeps its own units; the
    /// option `--units` goes before this key.
    #[schemars(extend("enum" = ["metric", "us"]))]
    pub units: Option<String>,
    /// CSV file of weighed pieces, beside the plan: `gear.csv`. Parts, suit and wing take their figures from it by `piece`.
    /// A text with line breaks is the list itself.
    pub gear_list: Option<String>,
    /// What stands for gear that the plan does not list: `typical`, a steel plate of 3 mm and its harness, rubber fins, a
    /// mask, one regulator set a cylinder and a wing; or `none`. Unless stated it is typical in a plan that lists no gear of
    /// its own: no `[[part]]` but hood, gloves and boots, no `gear_list`, no `[suit]` without its `kind`, and no `[wing]` with
    /// a mass, a reading or a piece. A plan that begins to list its gear lists all of it. On a closed circuit
    /// `typical` must be written, beside a `[[part]]` called `unit`, which no list has; what feeds the loop has the unit's
    /// regulators.
    #[schemars(extend("enum" = ["typical", "none"]))]
    pub gear: Option<String>,
    /// The water. Without it the sea, 35 ± 3 PSU and 15 ± 8 °C, at sea level, which the answer says.
    pub site: Option<Site>,
    /// The diver's own body.
    pub diver: Option<Person>,
    /// Gear. Where none is listed, see `gear`.
    #[serde(default)]
    pub part: Vec<PartTable>,
    /// Weights.
    #[serde(default)]
    pub ballast: Vec<Ballast>,
    /// Wet suit or dry suit; without it there is none.
    pub suit: Option<Suit>,
    /// A closed circuit; without it every leg breathes cylinders.
    #[serde(rename = "loop")]
    pub breathing_loop: Option<Loop>,
    /// The wing. Where none is listed, see `gear`.
    pub wing: Option<WingTable>,
    /// Cylinders, also those picked up on the way.
    #[serde(default)]
    pub cylinder: Vec<CylinderTable>,
    /// Breathing rates. Without it 17 L/min on the way and at the bottom and 13 at a stop, ± 45 %.
    pub breathing: Option<Breathing>,
    /// The dive itself.
    pub dive: Option<Dive>,
    /// What the trim of the dive is asked with.
    pub trim: Option<TrimTable>,
    /// Checks made in the water, which correct every answer.
    #[serde(default)]
    pub weight_check: Vec<WeightCheck>,
}

/// The water and the air above it.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Site {
    /// Name of the place; only shown.
    pub name: Option<String>,
    /// Altitude of the surface, which gives the air pressure by the standard atmosphere: `1500 m`. Sea level unless stated.
    pub altitude: Option<Written<Length>>,
    /// Air pressure at the surface, instead of the altitude: `1013 mbar`.
    pub surface_pressure: Option<Written<Pressure>>,
    /// `sea`, 35 ± 2 PSU, or `fresh`, none: a typical salinity. Or `salinity`, or `density`.
    #[schemars(extend("enum" = ["sea", "fresh"]))]
    pub water: Option<String>,
    /// Practical salinity of the only layer, 0 to 42: `33 ± 1 PSU`.
    pub salinity: Option<Written<Salinity>>,
    /// Density of the only layer, the same at every depth: `1025 kg/m3`.
    pub density: Option<Written<Density>>,
    /// Temperature of the only layer: `7 °C`; 15 ± 8 °C unless stated.
    pub temperature: Option<Written<Temperature>>,
    /// Layers from the surface down, instead of the four keys above.
    #[serde(default)]
    pub layer: Vec<LayerTable>,
}

/// A layer of water.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct LayerTable {
    /// Depth of its upper side: `12 m`; the first one begins at the surface.
    pub from: Option<Written<Length>>,
    /// `sea`, 35 ± 2 PSU, or `fresh`, none: a typical salinity. Or `salinity`, or `density`.
    #[schemars(extend("enum" = ["sea", "fresh"]))]
    pub water: Option<String>,
    /// Practical salinity, 0 to 42: `33 PSU`.
    pub salinity: Option<Written<Salinity>>,
    /// Density, the same at every depth: `1025 kg/m3`.
    pub density: Option<Written<Density>>,
    /// Temperature: `7 °C`.
    pub temperature: Option<Written<Temperature>>,
}

/// The diver's own body. With neither volume nor reading it is a typical one: `mass` alone leaves ± 3.1 kg open, `sex`,
/// `height` and `age` leave ± 2.0 to 2.3 kg.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Person {
    /// Mass without gear, by a bathroom scale: `80 kg`.
    pub mass: Option<Written<Mass>>,
    /// Whose tables are nearer: `man` or `woman`. For the typical body, and for the area of a suit with a `kind`.
    #[schemars(extend("enum" = ["man", "woman"]))]
    pub sex: Option<String>,
    /// Height, barefoot: `1.78 m`. For the typical body, together with `sex`, and for the area of a suit with a `kind`.
    pub height: Option<Written<Length>>,
    /// Age in whole years: `34`. For the typical body, together with `sex` and `height`; 40 ± 20 unless stated.
    #[schemars(range(min = 10, max = 99))]
    pub age: Option<i64>,
    /// Displaced volume, lungs half full: `80.4 ± 0.5 L`.
    pub volume: Option<Written<Volume>>,
    /// What the body does in water, lungs half full, instead of the volume: `1 ± 0.5 kg`; positive floats.
    pub in_water: Option<Written<Mass>>,
    /// The water of that reading: `pool`, 997.0 ± 1.2 kg/m³, `fresh`, 999.1 ± 0.9, `sea`, 1025.5 ± 3.5, `site`, or a density.
    #[schemars(extend("examples" = ["pool", "fresh", "sea", "site"]))]
    pub read_in: Option<String>,
    /// Name of the scale, if several pieces were read on it: their readings err together.
    pub scale: Option<String>,
    /// Load that the diver can swim up with fins and no wing: `7 kg` unless stated, common practice.
    pub swim_up: Option<Written<Mass>>,
    /// Volume by which the lungs can trim up or down from the middle; 1.0 ± 0.5 L unless stated.
    pub lung_trim: Option<Written<Volume>>,
    /// Volume of head and shoulders held out of the water at the surface; 10 ± 2 % of the body unless stated.
    pub head_out: Option<Written<Volume>>,
    /// How the body is held, for the trim: `level, knees bent`, with folded arms, unless stated; `straight`, arms at the side.
    #[schemars(extend("enum" = ["level, knees bent", "straight"]))]
    pub posture: Option<String>,
    /// How far the body's centre of buoyancy lies headward of its centre of mass, legs straight and lungs half full, for the
    /// trim: `0.8 ± 0.9 cm`. By segments of its stature, mass and volume unless stated.
    pub buoyancy_ahead: Option<Written<Length>>,
    /// How far it lies nearer to the back, for the trim: `0.2 ± 1 cm`. By segments unless stated.
    pub buoyancy_above: Option<Written<Length>>,
}

/// A cylinder, or several.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct CylinderTable {
    /// Its name; the only cylinder is `back` unless stated. Not `loop`, nor one of the words that a weight check has for
    /// itself: `depth`, `lead`, `wing`, `water`, `outcome`, `doubt`, `note`, `breath`, `rig`, `hung`, `needed`.
    pub name: Option<String>,
    /// Name of a generic size, as `lightpoint cylinders` lists them with their doubt: `steel 12 L 232 bar`.
    #[schemars(extend("examples" = schema::size_names()))]
    pub size: Option<String>,
    /// Water capacity of one: `12.2 L`; that of the size unless stated.
    pub water: Option<Written<Volume>>,
    /// Mass of one, empty, with its valve: `14.9 kg`; that of the size unless stated.
    pub mass: Option<Written<Mass>>,
    /// Displaced volume of one, with its valve: `13.9 L`; that of the size unless stated.
    pub external: Option<Written<Volume>>,
    /// Spring-scale reading of one, with its valve, instead of the displaced volume; positive floats. Of an empty one
    /// unless `read_at` says otherwise.
    pub in_water: Option<Written<Mass>>,
    /// Gauge pressure that it had when `in_water` was read; empty unless stated.
    pub read_at: Option<Written<Pressure>>,
    /// The water of that reading: `pool`, 997.0 ± 1.2 kg/m³, `fresh`, 999.1 ± 0.9, `sea`, 1025.5 ± 3.5, `site`, or a density.
    #[schemars(extend("examples" = ["pool", "fresh", "sea", "site"]))]
    pub read_in: Option<String>,
    /// Name of the scale, if several pieces were read on it: their readings err together.
    pub scale: Option<String>,
    /// How many of these; one unless stated.
    #[schemars(range(min = 1, max = 99))]
    pub count: Option<i64>,
    /// Whether several act as one; so unless stated.
    pub manifold: Option<bool>,
    /// What it is filled with: a name, or shares such as `{ o2 = "32 %" }`.
    pub gas: Option<Gas>,
    /// Gauge pressure of the fill: `220 bar`, `3000 psi`.
    pub fill: Option<Written<Pressure>>,
    /// Temperature at which that pressure was read; 20 ± 5 °C unless stated.
    pub fill_temperature: Option<Written<Temperature>>,
    /// Gauge pressure that is kept: `50 bar`; that of the dive unless stated.
    pub reserve: Option<Written<Pressure>>,
    /// Whether the diver has it when the dive starts; so unless stated.
    pub carried: Option<bool>,
    /// Whether the diver may do without it; not unless stated.
    pub removable: Option<bool>,
    /// Whether the diver can let go of it under water when the wing fails; not unless stated.
    pub ditchable: Option<bool>,
    /// Parts of the plan that hang on it and go with it; one of each for each single cylinder.
    #[schemars(extend("examples" = [["regulator", "stage rigging"]]))]
    pub with: Option<Names>,
    /// What hangs on each single cylinder and goes with it, by its own figures.
    pub rigging: Option<Box<PartTable>>,
    /// How it is worn, for the trim: `back`, `left side`, `right side`, `left stage` or `right stage`; or the place of its valve
    /// by distances from the shoulder line. Unless stated by its name: a stage hangs on the left.
    pub at: Option<At>,
    /// Length of one from valve to bottom: `64 cm`; that of the size, or of a usual shape, unless stated.
    pub length: Option<Written<Length>>,
}

/// A mixture by its name or by its shares.
#[derive(Clone, Debug, JsonSchema, PartialEq)]
#[schemars(untagged)]
pub enum Gas {
    /// `air`, `oxygen`, `argon`, `helium`, `nitrox 32`, `trimix 18/45`, `heliox 16/84`.
    Name(#[schemars(extend("examples" = ["air", "nitrox 32", "trimix 18/45", "oxygen", "argon"]))] String),
    /// Shares, the rest nitrogen.
    Shares(Box<GasTable>),
}

/// Shares of a mixture.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct GasTable {
    /// Share of oxygen: `32 %`.
    pub o2: Option<Written<Fraction>>,
    /// Share of helium: `35 %`.
    pub he: Option<Written<Fraction>>,
    /// Share of argon.
    pub ar: Option<Written<Fraction>>,
    /// Share of nitrogen; the rest unless stated.
    pub n2: Option<Written<Fraction>>,
}

/// One name or a list of names.
#[derive(Clone, Debug, Default, JsonSchema, PartialEq)]
#[schemars(transform = schema::one_or_more)]
pub struct Names(pub Vec<String>);
