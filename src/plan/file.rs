//! The plan file as it is written: one struct a table, every key optional, so that what is missing is told together
//! with everything else. Meaning and checks are in `assemble`.
//!
//! Choices are plain keys, never tagged or untagged enums: those lose the position in the text.

use schemars::JsonSchema;
use serde::Deserialize;
use serde::de::value::MapAccessDeserializer;
use serde::de::{self, Deserializer, Visitor};

use crate::plan::schema;
use crate::plan::unit::*;
use crate::plan::written::Written;

/// The whole file.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct PlanFile {
    /// Title of the dive.
    pub title: Option<String>,
    /// Remarks.
    pub note: Option<String>,
    /// Units of everything that is shown: `metric` (the default) or `us`. What the plan writes keeps its own units; the
    /// option `--units` goes before this key.
    #[schemars(extend("enum" = ["metric", "us"]))]
    pub units: Option<String>,
    /// CSV file of weighed pieces, beside the plan.
    pub gear_list: Option<String>,
    /// The water.
    pub site: Option<Site>,
    /// The diver's own body.
    pub diver: Option<Person>,
    /// Gear.
    #[serde(default)]
    pub part: Vec<PartTable>,
    /// Weights.
    #[serde(default)]
    pub ballast: Vec<Ballast>,
    /// Wet suit or dry suit.
    pub suit: Option<Suit>,
    /// The wing.
    pub wing: Option<WingTable>,
    /// Cylinders, also those picked up on the way.
    #[serde(default)]
    pub cylinder: Vec<CylinderTable>,
    /// Breathing rates.
    pub breathing: Option<Breathing>,
    /// The dive itself.
    pub dive: Option<Dive>,
}

/// The water and the air above it.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Site {
    /// Name of the place.
    pub name: Option<String>,
    /// Altitude of the surface.
    pub altitude: Option<Written<Length>>,
    /// Air pressure at the surface, instead of the altitude.
    pub surface_pressure: Option<Written<Pressure>>,
    /// `sea` or `fresh`: typical salinity.
    #[schemars(extend("enum" = ["sea", "fresh"]))]
    pub water: Option<String>,
    /// Salinity of the only layer.
    pub salinity: Option<Written<Salinity>>,
    /// Constant density of the only layer.
    pub density: Option<Written<Density>>,
    /// Temperature of the only layer.
    pub temperature: Option<Written<Temperature>>,
    /// Layers from the surface down, instead of the four keys above.
    #[serde(default)]
    pub layer: Vec<LayerTable>,
}

/// A layer of water.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct LayerTable {
    /// Depth of its upper side.
    pub from: Option<Written<Length>>,
    /// `sea` or `fresh`: typical salinity.
    #[schemars(extend("enum" = ["sea", "fresh"]))]
    pub water: Option<String>,
    /// Salinity.
    pub salinity: Option<Written<Salinity>>,
    /// Constant density.
    pub density: Option<Written<Density>>,
    /// Temperature.
    pub temperature: Option<Written<Temperature>>,
}

/// The diver's own body.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Person {
    /// Mass without gear.
    pub mass: Option<Written<Mass>>,
    /// Displaced volume at mid-lung.
    pub volume: Option<Written<Volume>>,
    /// Spring-scale reading at mid-lung, instead of the volume; positive floats.
    pub in_water: Option<Written<Mass>>,
    /// The water of that reading.
    #[schemars(extend("examples" = ["pool", "fresh", "sea", "site"]))]
    pub read_in: Option<String>,
    /// Name of the scale.
    pub scale: Option<String>,
    /// Load that the diver can swim up.
    pub swim_up: Option<Written<Mass>>,
    /// Volume by which the lungs can trim up or down from the middle.
    pub lung_trim: Option<Written<Volume>>,
    /// Volume of head and shoulders held out of the water at the surface.
    pub head_out: Option<Written<Volume>>,
}

/// Closed-cell foam.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct FoamTable {
    /// Thickness, together with the area.
    pub thickness: Option<Written<Length>>,
    /// Area, together with the thickness.
    pub area: Option<Written<Area>>,
    /// Volume, instead of thickness and area.
    pub volume: Option<Written<Volume>>,
    /// Gas share of the volume at the surface.
    pub gas_fraction: Option<Written<Fraction>>,
    /// Share of the squeeze that the rubber does not carry; 100 % is Boyle.
    pub compliance: Option<Written<Fraction>>,
}

/// A piece of gear.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct PartTable {
    /// Its name.
    pub name: Option<String>,
    /// How many of it.
    #[schemars(range(min = 1, max = 99))]
    pub count: Option<i64>,
    /// Its name in the gear list, instead of figures.
    pub piece: Option<String>,
    /// Mass of one.
    pub mass: Option<Written<Mass>>,
    /// Displaced volume of one.
    pub volume: Option<Written<Volume>>,
    /// Density.
    pub density: Option<Written<Density>>,
    /// Material, which gives the density.
    #[schemars(extend("examples" = schema::material_names()))]
    pub material: Option<String>,
    /// Spring-scale reading of one; positive floats.
    pub in_water: Option<Written<Mass>>,
    /// The water of that reading.
    #[schemars(extend("examples" = ["pool", "fresh", "sea", "site"]))]
    pub read_in: Option<String>,
    /// Name of the scale.
    pub scale: Option<String>,
    /// Foam.
    pub foam: Option<FoamTable>,
    /// Whether it can be dropped under water.
    pub ditchable: Option<bool>,
}

/// A weight.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Ballast {
    /// Its name.
    pub name: Option<String>,
    /// How many of it.
    #[schemars(range(min = 1, max = 99))]
    pub count: Option<i64>,
    /// Its name in the gear list, instead of figures.
    pub piece: Option<String>,
    /// Mass of one.
    pub mass: Option<Written<Mass>>,
    /// Material; lead unless stated.
    #[schemars(extend("examples" = schema::material_names()))]
    pub material: Option<String>,
    /// Density, instead of the material.
    pub density: Option<Written<Density>>,
    /// Whether it can be dropped under water; not unless stated.
    pub ditchable: Option<bool>,
}

/// A wet suit or a dry suit.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Suit {
    /// Its name.
    pub name: Option<String>,
    /// Its name in the gear list, instead of figures.
    pub piece: Option<String>,
    /// Mass.
    pub mass: Option<Written<Mass>>,
    /// Displaced volume without gas.
    pub volume: Option<Written<Volume>>,
    /// Density.
    pub density: Option<Written<Density>>,
    /// Spring-scale reading, without gas; positive floats.
    pub in_water: Option<Written<Mass>>,
    /// The water of that reading.
    #[schemars(extend("examples" = ["pool", "fresh", "sea", "site"]))]
    pub read_in: Option<String>,
    /// Name of the scale.
    pub scale: Option<String>,
    /// Foam of a wet suit or of a neoprene dry suit.
    pub foam: Option<FoamTable>,
    /// Gas volume that is kept at every depth.
    pub gas_volume: Option<Written<Volume>>,
    /// Cylinder that inflates it.
    pub supply: Option<String>,
    /// What it holds when the dive starts: `air` of the shore (the default), or `supply`, flushed from its cylinder.
    #[schemars(extend("enum" = ["air", "supply"]))]
    pub start: Option<String>,
    /// Further volume that may serve as a second lift.
    pub extra_volume: Option<Written<Volume>>,
}

/// The wing.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct WingTable {
    /// Its name.
    pub name: Option<String>,
    /// Its name in the gear list, instead of figures.
    pub piece: Option<String>,
    /// Mass.
    pub mass: Option<Written<Mass>>,
    /// Displaced volume when empty.
    pub volume: Option<Written<Volume>>,
    /// Density.
    pub density: Option<Written<Density>>,
    /// Spring-scale reading when empty; positive floats.
    pub in_water: Option<Written<Mass>>,
    /// The water of that reading.
    #[schemars(extend("examples" = ["pool", "fresh", "sea", "site"]))]
    pub read_in: Option<String>,
    /// Name of the scale.
    pub scale: Option<String>,
    /// Most gas that it holds, as a volume (`18 L`) or as the lift that is printed on it (`40 lb`, `18 kg`): then the
    /// volume is that in sea water of 1025 kg/m³.
    pub capacity: Option<Written<Capacity>>,
    /// Cylinder that inflates it.
    pub supply: Option<String>,
}

/// A cylinder, or several.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct CylinderTable {
    /// Its name.
    pub name: Option<String>,
    /// Name of a generic size.
    #[schemars(extend("examples" = schema::size_names()))]
    pub size: Option<String>,
    /// Water capacity of one.
    pub water: Option<Written<Volume>>,
    /// Mass of one, empty, with valve.
    pub mass: Option<Written<Mass>>,
    /// Displaced volume of one, with valve.
    pub external: Option<Written<Volume>>,
    /// Spring-scale reading of one, with its valve, instead of the displaced volume; positive floats. Of an empty one
    /// unless `read_at` says otherwise.
    pub in_water: Option<Written<Mass>>,
    /// Gauge pressure that it had when `in_water` was read; empty unless stated.
    pub read_at: Option<Written<Pressure>>,
    /// The water of that reading.
    #[schemars(extend("examples" = ["pool", "fresh", "sea", "site"]))]
    pub read_in: Option<String>,
    /// Name of the scale.
    pub scale: Option<String>,
    /// How many.
    #[schemars(range(min = 1, max = 99))]
    pub count: Option<i64>,
    /// Whether several act as one; so unless stated.
    pub manifold: Option<bool>,
    /// What it is filled with.
    pub gas: Option<Gas>,
    /// Gauge pressure of the fill.
    pub fill: Option<Written<Pressure>>,
    /// Temperature at which that pressure was read.
    pub fill_temperature: Option<Written<Temperature>>,
    /// Gauge pressure that is kept: its reserve.
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
    /// Oxygen.
    pub o2: Option<Written<Fraction>>,
    /// Helium.
    pub he: Option<Written<Fraction>>,
    /// Argon.
    pub ar: Option<Written<Fraction>>,
    /// Nitrogen; the rest unless stated.
    pub n2: Option<Written<Fraction>>,
}

/// Breathing rates at ambient pressure.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Breathing {
    /// On every leg that has no rate of its kind.
    pub rate: Option<Written<FlowRate>>,
    /// Going down.
    pub descent: Option<Written<FlowRate>>,
    /// Level, until the deepest part is left.
    pub bottom: Option<Written<FlowRate>>,
    /// Going up.
    pub ascent: Option<Written<FlowRate>>,
    /// Level, after the deepest part.
    pub stop: Option<Written<FlowRate>>,
}

/// The dive.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Dive {
    /// `true` or `instrument`: what the depths are.
    #[schemars(extend("enum" = ["true", "instrument"]))]
    pub depths: Option<String>,
    /// Depth of the last stop.
    pub last_stop: Option<Written<Length>>,
    /// `real` or `ideal`.
    #[schemars(extend("enum" = ["real", "ideal"]))]
    pub gas_law: Option<String>,
    /// Gauge pressure that is kept in every cylinder that has no reserve of its own.
    pub reserve: Option<Written<Pressure>>,
    /// Depth at the start, for legs.
    pub start: Option<Written<Length>>,
    /// CSV file beside the plan, instead of legs.
    pub profile: Option<String>,
    /// Legs in order.
    #[serde(default)]
    pub leg: Vec<LegTable>,
    /// Cylinders that come or go.
    #[serde(default)]
    pub change: Vec<ChangeTable>,
}

/// A leg: a way to a depth, or a stay.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct LegTable {
    /// Depth at its end.
    pub to: Option<Written<Length>>,
    /// How long the way takes.
    pub over: Option<Written<Duration>>,
    /// How fast the way is, instead of how long.
    pub speed: Option<Written<Speed>>,
    /// How long to stay, instead of a way.
    pub stay: Option<Written<Duration>>,
    /// Cylinder breathed; as on the leg before unless stated.
    pub breathe: Option<String>,
    /// Breathing rate of this leg.
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
    /// When, by time.
    pub at: Option<Written<Duration>>,
    /// When, by the first crossing of a depth.
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

impl<'de> Deserialize<'de> for Names {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct OneOrMore;
        impl<'de> Visitor<'de> for OneOrMore {
            type Value = Names;
            fn expecting(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
                f.write_str("the name of a cylinder or a list of names")
            }
            fn visit_str<E: de::Error>(self, name: &str) -> Result<Names, E> {
                Ok(Names(vec![name.to_owned()]))
            }
            fn visit_seq<A: de::SeqAccess<'de>>(self, mut seq: A) -> Result<Names, A::Error> {
                let mut names = Vec::new();
                while let Some(name) = seq.next_element()? {
                    names.push(name);
                }
                Ok(Names(names))
            }
        }
        deserializer.deserialize_any(OneOrMore)
    }
}

impl<'de> Deserialize<'de> for Gas {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct NameOrShares;
        impl<'de> Visitor<'de> for NameOrShares {
            type Value = Gas;
            fn expecting(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
                f.write_str("the name of a gas, such as \"nitrox 32\", or its shares, such as { o2 = \"32 %\" }")
            }
            fn visit_str<E: de::Error>(self, name: &str) -> Result<Gas, E> {
                Ok(Gas::Name(name.to_owned()))
            }
            fn visit_map<A: de::MapAccess<'de>>(self, map: A) -> Result<Gas, A::Error> {
                // passed on as it streams: nothing is buffered, so errors keep their place
                GasTable::deserialize(MapAccessDeserializer::new(map)).map(|shares| Gas::Shares(Box::new(shares)))
            }
        }
        deserializer.deserialize_any(NameOrShares)
    }
}
