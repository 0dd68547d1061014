//! A closed circuit: a breathing loop, what feeds it, and what is breathed when it has failed.

use schemars::JsonSchema;
use serde::Deserialize;

use super::{At, Names};
use crate::plan::unit::*;
use crate::plan::written::Written;

/// A closed circuit: a loop of gas that the diver breathes again and again. The body takes oxygen out of it, an absorbent keeps
/// the carbon dioxide; oxygen is let in to a setpoint, diluent fills what is missing. Legs breathe it unless they name a
/// cylinder (`breathe = "loop"`). A semi-closed circuit, which lets gas out all the time, is not computed.
///
/// The hardware of the unit, its head, shell and counterlungs, are parts of the plan like any other: weigh them, and read them
/// in water without gas in the loop and without absorbent, which are counted here.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Loop {
    /// Its name, for the list of figures; `loop` unless stated.
    pub name: Option<String>,
    /// What kind of circuit it is: `closed`, the only one that is computed.
    #[schemars(extend("enum" = ["closed"]))]
    pub kind: Option<String>,
    /// Gas in counterlungs, hoses and canister while it is breathed: `6 ± 1 L`; the lungs are the body's. 6 ± 1.5 L unless
    /// stated.
    pub volume: Option<Written<Volume>>,
    /// How much more gas the full loop holds than the least one that can be breathed, by which a diver may rise or sink; none
    /// unless stated: a breath on the loop moves gas to and fro and trims nothing.
    pub play: Option<Written<Volume>>,
    /// Cylinders of oxygen; unless stated the one called `oxygen` if no bail-out is, else the only one of pure oxygen that is
    /// no bail-out. Several share evenly.
    #[schemars(extend("examples" = ["oxygen"]))]
    pub oxygen: Option<Names>,
    /// Cylinders of diluent; unless stated the one called `diluent`, else the only one that is neither oxygen of the loop, nor
    /// bail-out, nor the suit's alone. Wing and suit are fed from it where they name no supply.
    #[schemars(extend("examples" = ["diluent"]))]
    pub diluent: Option<Names>,
    /// Partial pressure of oxygen to which the loop is held, absolute: `1.3 bar`, up to the next `setpoint_change`. Unless
    /// stated 0.7 bar at the start, and where nothing else is written 1.3 bar from the bottom
    /// on, when the way down brings no more of the diluent's own oxygen; common practice.
    pub setpoint: Option<Written<PartialPressure>>,
    /// Changes of the setpoint.
    #[serde(default)]
    pub setpoint_change: Vec<SetpointChange>,
    /// Oxygen that the body uses, as gas of 0 °C and 1 atm, the same at every depth: `1.0 ± 0.3 L/min`, or by the kind of leg.
    /// Unless stated 1.1 ± 0.5 L/min on the way and at the bottom, and 0.8 ± 0.4 at a stop.
    pub metabolic_rate: Option<OxygenUse>,
    /// Carbon dioxide given for each oxygen that is taken, as gas: `0.85 ± 0.1`, which it is unless stated.
    pub quotient: Option<Written<Ratio>>,
    /// Mass of the absorbent as it is filled in: `2.5 kg`. It comes to the parts of the plan, at the canister. Unless stated it
    /// was weighed with the unit, and nobody knows how much carbon dioxide it takes up.
    pub absorbent: Option<Written<Mass>>,
    /// Density of its grains without the gas between them, which is the loop's; 1.7 ± 0.4 kg/L unless stated.
    pub absorbent_density: Option<Written<Density>>,
    /// Carbon dioxide that a kilogram of absorbent takes up, as gas of 0 °C and 1 atm: `120 ± 40 L/kg`; 120 ± 60 L/kg unless
    /// stated, less in the cold and at hard work.
    pub absorbs: Option<Written<SpecificVolume>>,
    /// Middle of the loop's gas in a level diver, for the trim; unless stated at the chest or the shoulders, and very unsure.
    pub gas_at: Option<At>,
    /// Where the canister with the absorbent is, for the trim; unless stated on the back.
    pub canister_at: Option<At>,
    /// From when on the diver breathes cylinders in place of the loop: a time since the start, `40 min`, or the start of a leg,
    /// `leg 5`. Unless stated, or with `none`, the loop is breathed as the legs say.
    #[schemars(extend("examples" = ["40 min", "leg 5"]))]
    pub bail_out: Option<String>,
    /// The cylinders that are breathed then, each with the depth at and above which it is: `["deep", "fifty from 21 m"]`. Those
    /// without a depth are breathed from the moment on; several of one depth share evenly.
    #[schemars(extend("examples" = [["deep", "fifty from 21 m"]]))]
    pub bail_out_on: Option<Names>,
}

/// Another setpoint from a moment on.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct SetpointChange {
    /// Partial pressure of oxygen, absolute: `1.3 bar`.
    pub to: Option<Written<PartialPressure>>,
    /// When, by the time since the start: `4 min`.
    pub at: Option<Written<Duration>>,
    /// When, by the first crossing of a depth: `20 m`, together with `way`.
    pub depth: Option<Written<Length>>,
    /// `down` or `up`: which crossing of the depth.
    #[schemars(extend("enum" = ["down", "up"]))]
    pub way: Option<String>,
    /// When, by the start of a leg, counted from 1.
    #[schemars(range(min = 1))]
    pub leg: Option<i64>,
}

/// Oxygen that the body uses: one rate, or one for each kind of leg.
#[derive(Clone, Debug, JsonSchema, PartialEq)]
#[schemars(untagged)]
pub enum OxygenUse {
    /// `1.0 ± 0.3 L/min`.
    Rate(#[schemars(extend("examples" = ["1.0 ± 0.3 L/min"]))] Written<FlowRate>),
    /// By the kind of leg.
    Kinds(Box<OxygenUseTable>),
}

/// Oxygen that the body uses by the kind of leg, as gas of 0 °C and 1 atm.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct OxygenUseTable {
    /// On every leg that has no rate of its kind; typical unless stated.
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
