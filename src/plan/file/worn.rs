//! What is worn: parts, ballast, suit and wing.

use schemars::JsonSchema;
use serde::Deserialize;

use super::At;
use crate::plan::schema;
use crate::plan::unit::*;
use crate::plan::written::Written;

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
