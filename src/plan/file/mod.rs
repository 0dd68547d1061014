//! The plan file as it is written: one struct a table, every key optional, so that what is missing is told together
//! with everything else. Meaning and checks are in `assemble`.
//!
//! Choices are plain keys, never tagged or untagged enums: those lose the position in the text.

mod check;
mod trim;

use schemars::JsonSchema;
use serde::Deserialize;

use crate::plan::schema;
use crate::plan::unit::*;
use crate::plan::written::Written;

pub use check::{CylindersThen, RigOfCheck, RigTables, SuitThen, WeightCheck};
pub use trim::{At, AtTable, LeadPlaceTable, TrimTable};

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
    /// a mass, a reading or a piece. A plan that begins to list its gear lists all of it.
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

/// Closed-cell foam.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct FoamTable {
    /// Thickness as sold, together with the area: `5 mm`.
    pub thickness: Option<Written<Length>>,
    /// Area, together with the thickness: `1.6 ± 0.15 m2`.
    pub area: Option<Written<Area>>,
    /// Volume at the surface, instead of thickness and area: `8 ± 1 L`.
    pub volume: Option<Written<Volume>>,
    /// Gas share of the volume at the surface; 74.5 ± 9.5 % unless stated.
    pub gas_fraction: Option<Written<Fraction>>,
    /// Share of the squeeze that the rubber does not carry; 100 %, which is Boyle's law, unless stated.
    pub compliance: Option<Written<Fraction>>,
}

/// A piece of gear. One that has nothing but a name of the list below is a typical one.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct PartTable {
    /// Its name. Typical figures, in a part without figures of its own: `regulator set`, `twin regulator set`, `steel plate
    /// and harness`, `steel plate`, `steel plate 6 mm and harness`, `aluminium plate and harness`, `rubber fins`,
    /// `plastic fins`, `mask`, `canister light`, `backup light`, `reel`, `spool and buoy`; `hood`, `gloves` and `boots`, of
    /// 5 mm or as in `hood 7 mm`.
    #[schemars(extend("examples" = schema::piece_names()))]
    pub name: Option<String>,
    /// How many of it; one unless stated.
    #[schemars(range(min = 1, max = 99))]
    pub count: Option<i64>,
    /// Its name in the gear list, instead of figures of its own.
    pub piece: Option<String>,
    /// Mass of one, dry: `2 kg`; of one that was only read, with the water of the reading, it is typical and wide: a sinker's
    /// 1.6 ± 0.5 times the reading, a floater's 0.25 ± 0.25 times.
    pub mass: Option<Written<Mass>>,
    /// Displaced volume of one: `0.19 ± 0.03 L`.
    pub volume: Option<Written<Volume>>,
    /// Density, instead of the volume: `1.35 ± 0.15 kg/L`; or instead of the mass, beside foam with its volume.
    pub density: Option<Written<Density>>,
    /// Material, which gives the density with the doubt of usual alloys.
    #[schemars(extend("examples" = schema::material_names()))]
    pub material: Option<String>,
    /// Spring-scale reading of one under water: `-1.0 ± 0.1 kg`; positive floats.
    pub in_water: Option<Written<Mass>>,
    /// The water of that reading: `pool`, 997.0 ± 1.2 kg/m³, `fresh`, 999.1 ± 0.9, `sea`, 1025.5 ± 3.5, `site`, or a density.
    #[schemars(extend("examples" = ["pool", "fresh", "sea", "site"]))]
    pub read_in: Option<String>,
    /// Name of the scale, if several pieces were read on it: their readings err together.
    pub scale: Option<String>,
    /// Closed-cell foam in it, neoprene for example, which depth squeezes.
    pub foam: Option<FoamTable>,
    /// Whether it can be dropped under water; not unless stated.
    pub ditchable: Option<bool>,
    /// Where it is worn, for the trim: `tail`, or distances from the shoulder line; usual for its name unless stated.
    pub at: Option<At>,
}

/// A weight.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Ballast {
    /// Its name.
    pub name: Option<String>,
    /// How many of it; one unless stated.
    #[schemars(range(min = 1, max = 99))]
    pub count: Option<i64>,
    /// Its name in the gear list, instead of figures of its own.
    pub piece: Option<String>,
    /// Mass of one, dry: `2 kg`.
    pub mass: Option<Written<Mass>>,
    /// Material; lead unless stated.
    #[schemars(extend("examples" = schema::material_names()))]
    pub material: Option<String>,
    /// Density, instead of the material.
    pub density: Option<Written<Density>>,
    /// Whether it can be dropped under water; not unless stated.
    pub ditchable: Option<bool>,
    /// Where it is worn, for the trim: `belt`, or distances from the shoulder line; by its name, or the belt, unless stated.
    pub at: Option<At>,
}

/// A wet suit or a dry suit.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Suit {
    /// Its name.
    pub name: Option<String>,
    /// What it is, for typical figures of all that is not written beside it: `wet 7 mm`, `wet 5 mm two-piece`,
    /// `dry membrane light` or `dry membrane heavy` by its undergarment, `dry membrane` with the `undergarment` written,
    /// `dry neoprene`, or `swimwear`, which is nothing.
    #[schemars(extend("examples" = schema::suit_kinds()))]
    pub kind: Option<String>,
    /// Mass of the undergarment, dry, under a dry suit with a `kind`: `1.8 kg`. The gas in a membrane suit goes with it.
    pub undergarment: Option<Written<Mass>>,
    /// Its name in the gear list, instead of figures of its own.
    pub piece: Option<String>,
    /// Mass, dry: `3.8 kg`.
    pub mass: Option<Written<Mass>>,
    /// Displaced volume without gas: `3.4 ± 0.3 L`.
    pub volume: Option<Written<Volume>>,
    /// Density, instead of the volume: `1.35 ± 0.15 kg/L`; or instead of the mass, beside foam with its volume.
    pub density: Option<Written<Density>>,
    /// Spring-scale reading under water, squeezed empty of gas: `-0.5 ± 0.3 kg`; positive floats.
    pub in_water: Option<Written<Mass>>,
    /// The water of that reading: `pool`, 997.0 ± 1.2 kg/m³, `fresh`, 999.1 ± 0.9, `sea`, 1025.5 ± 3.5, `site`, or a density.
    #[schemars(extend("examples" = ["pool", "fresh", "sea", "site"]))]
    pub read_in: Option<String>,
    /// Name of the scale, if several pieces were read on it: their readings err together.
    pub scale: Option<String>,
    /// Foam of a wet suit or of a neoprene dry suit.
    pub foam: Option<FoamTable>,
    /// Gas in a dry suit, kept at every depth: `12 ± 1.5 L`. Without it, and without a dry `kind`, the suit is a wet suit.
    pub gas_volume: Option<Written<Volume>>,
    /// Name of the cylinder that inflates it; the only one, or `back`, unless stated.
    pub supply: Option<String>,
    /// What it holds when the dive starts: `air` of the shore (the default), or `supply`, flushed from its cylinder.
    #[schemars(extend("enum" = ["air", "supply"]))]
    pub start: Option<String>,
    /// How much more gas it holds as a second lift, if the wing fails: `5 L`; none unless stated.
    pub extra_volume: Option<Written<Volume>>,
    /// Middle of its gas in a level diver, for the trim; unless stated typical, and very unsure.
    pub gas_at: Option<At>,
}

/// The wing. What is not written is typical: 1.4 kg, neutral ± 0.3 kg when empty, 18 ± 4 L.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct WingTable {
    /// Its name.
    pub name: Option<String>,
    /// Its name in the gear list, instead of figures of its own.
    pub piece: Option<String>,
    /// Mass, dry: `3.8 kg`.
    pub mass: Option<Written<Mass>>,
    /// Displaced volume when empty: `1.7 L`.
    pub volume: Option<Written<Volume>>,
    /// Density, instead of the volume: `1.35 ± 0.15 kg/L`.
    pub density: Option<Written<Density>>,
    /// Spring-scale reading under water when empty: `-0.2 ± 0.1 kg`; positive floats.
    pub in_water: Option<Written<Mass>>,
    /// The water of that reading: `pool`, 997.0 ± 1.2 kg/m³, `fresh`, 999.1 ± 0.9, `sea`, 1025.5 ± 3.5, `site`, or a density.
    #[schemars(extend("examples" = ["pool", "fresh", "sea", "site"]))]
    pub read_in: Option<String>,
    /// Name of the scale, if several pieces were read on it: their readings err together.
    pub scale: Option<String>,
    /// Most gas that it holds, as a volume (`18 L`) or as the lift that is printed on it (`40 lb`, `18 kg`): then the
    /// volume is that in sea water of 1025 kg/m³. 18 ± 4 L unless stated.
    pub capacity: Option<Written<Capacity>>,
    /// Name of the cylinder that inflates it; the only one, or `back`, unless stated.
    pub supply: Option<String>,
    /// Middle of its gas, and of the empty wing, in a level diver, for the trim; typical unless stated.
    pub gas_at: Option<At>,
}

/// A cylinder, or several.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct CylinderTable {
    /// Its name; the only cylinder is `back` unless stated. Not one of the words that a weight check has for itself:
    /// `depth`, `lead`, `wing`, `water`, `outcome`, `doubt`, `note`, `breath`, `rig`, `hung`, `needed`.
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

/// Breathing rates at ambient pressure.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Breathing {
    /// On every leg that has no rate of its kind: `18 ± 3 L/min`.
    pub rate: Option<Written<FlowRate>>,
    /// Going down; `rate` unless stated.
    pub descent: Option<Written<FlowRate>>,
    /// Level, until the deepest part is left; `rate` unless stated.
    pub bottom: Option<Written<FlowRate>>,
    /// Going up; `rate` unless stated.
    pub ascent: Option<Written<FlowRate>>,
    /// Level, after the deepest part; `rate` unless stated.
    pub stop: Option<Written<FlowRate>>,
}

/// The dive.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Dive {
    /// What the depths are: `true` metres, the default, or those of an `instrument`, 10 m a bar (EN 13319).
    #[schemars(extend("enum" = ["true", "instrument"]))]
    pub depths: Option<String>,
    /// Depth of a short dive, instead of legs: `30 m`; together with `time`. Down, stay, up with the stops, to the surface.
    pub depth: Option<Written<Length>>,
    /// Time from leaving the surface to leaving the bottom, of a short dive; the way down belongs to it: `25 min`.
    pub time: Option<Written<Duration>>,
    /// Stops of a short dive on the way up, in any order, the minutes without the way: `["9 m 3 min", "6 m 10 min"]`. Unless
    /// stated it stays 3 min at the last stop, 5 m (common practice); `[]` is none at all.
    pub stops: Option<Stops>,
    /// Speed of a short dive on the way down; 18 m/min unless stated, common practice.
    pub descent_speed: Option<Written<Speed>>,
    /// Speed of a short dive on the way up; 9 m/min unless stated, common practice.
    pub ascent_speed: Option<Written<Speed>>,
    /// Cylinder breathed on a short dive; the only one, or `back`, unless stated.
    pub breathe: Option<String>,
    /// Depth of the last stop, where the diver must be able to stay: `6 m`. Of a short dive the shallowest of its stops
    /// unless stated.
    pub last_stop: Option<Written<Length>>,
    /// `real`, the default (GERG-2008), or `ideal`, for teaching.
    #[schemars(extend("enum" = ["real", "ideal"]))]
    pub gas_law: Option<String>,
    /// Gauge pressure that is kept in every cylinder that has no reserve of its own; 50 bar unless stated, common practice.
    pub reserve: Option<Written<Pressure>>,
    /// Depth at the start, for legs; the surface unless stated.
    pub start: Option<Written<Length>>,
    /// CSV file beside the plan, instead of legs: `dive.csv`, with the columns time, depth, breathe and perhaps more. A text
    /// with line breaks is the list itself.
    pub profile: Option<String>,
    /// Legs in order.
    #[serde(default)]
    pub leg: Vec<LegTable>,
    /// Cylinders that come or go.
    #[serde(default)]
    pub change: Vec<ChangeTable>,
}

/// Stops of a short dive, each as depth and minutes: `6 m 10 min`.
#[derive(Clone, Debug, Default, JsonSchema, PartialEq)]
#[schemars(transform = schema::one_or_more)]
pub struct Stops(pub Vec<String>);

/// A leg: a way to a depth, or a stay.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct LegTable {
    /// Depth at its end: `30 m`.
    pub to: Option<Written<Length>>,
    /// How long the way takes: `2 min`, `1:30`.
    pub over: Option<Written<Duration>>,
    /// How fast the way is, instead of how long: `9 m/min`.
    pub speed: Option<Written<Speed>>,
    /// How long to stay, instead of a way: `20 min`.
    pub stay: Option<Written<Duration>>,
    /// Cylinder breathed; as on the leg before unless stated, on the first the only one, or `back`.
    pub breathe: Option<String>,
    /// Breathing rate of this leg, at ambient pressure: `20 L/min`; that of its kind unless stated.
    pub rate: Option<Written<FlowRate>>,
    /// Cylinders left at its start.
    pub leave: Option<Names>,
    /// Cylinders picked up at its start.
    pub take: Option<Names>,
    /// Cylinders handed to a partner at its start.
    pub hand_off: Option<Names>,
    /// Cylinders received from a partner at its start.
    pub receive: Option<Names>,
}

/// A cylinder that comes or goes.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct ChangeTable {
    /// When, by the time since the start: `34 min`.
    pub at: Option<Written<Duration>>,
    /// When, by the first crossing of a depth: `21 m`, together with `way`.
    pub depth: Option<Written<Length>>,
    /// `down` or `up`: which crossing of the depth.
    #[schemars(extend("enum" = ["down", "up"]))]
    pub way: Option<String>,
    /// When, by the start of a leg, counted from 1.
    #[schemars(range(min = 1))]
    pub leg: Option<i64>,
    /// Cylinders left.
    pub leave: Option<Names>,
    /// Cylinders picked up.
    pub take: Option<Names>,
    /// Cylinders handed to a partner.
    pub hand_off: Option<Names>,
    /// Cylinders received from a partner.
    pub receive: Option<Names>,
}

/// One name or a list of names.
#[derive(Clone, Debug, Default, JsonSchema, PartialEq)]
#[schemars(transform = schema::one_or_more)]
pub struct Names(pub Vec<String>);
