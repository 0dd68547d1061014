//! The dive itself, and what is breathed.

use schemars::JsonSchema;
use serde::Deserialize;

use super::Names;
use crate::plan::schema;
use crate::plan::unit::*;
use crate::plan::written::Written;

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
    /// Cylinder breathed on a short dive, or `loop`; unless stated the loop where there is one, else the only cylinder, or
    /// `back`.
    pub breathe: Option<String>,
    /// Depth of the last stop, where the diver must be able to stay: `6 m`. Of a short dive the shallowest of its stops
    /// unless stated.
    pub last_stop: Option<Written<Length>>,
    /// `real`, the default (GERG-2008), or `ideal`, for teaching.
    #[schemars(extend("enum" = ["real", "ideal"]))]
    pub gas_law: Option<String>,
    /// Gauge pressure that is kept in every cylinder that has no reserve of its own; 50 bar unless stated, common practice.
    pub reserve: Option<Written<Pressure>>,
    /// From when to when there is no way straight up, by the time since the start: `8 min to 31 min`, or a list of such times.
    /// Of a dive by depth and time; where there are legs or rows, each of them can say it, and a time here is an end of one.
    pub overhead: Option<Spans>,
    /// Depth at the start, for legs; the surface unless stated.
    pub start: Option<Written<Length>>,
    /// CSV file beside the plan, instead of legs: `dive.csv`, with the columns time, depth, breathe and perhaps more, such
    /// as overhead (yes or no). A text
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

/// Times of a dive, each from when to when: `8 min to 31 min`.
#[derive(Clone, Debug, Default, JsonSchema, PartialEq)]
#[schemars(transform = schema::one_or_more)]
pub struct Spans(pub Vec<String>);

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
    /// Cylinder breathed, or `loop`; as on the leg before unless stated, on the first the loop where there is one, else the only
    /// cylinder, or `back`.
    pub breathe: Option<String>,
    /// Breathing rate of this leg from cylinders, at ambient pressure: `20 L/min`; that of its kind unless stated. On the loop
    /// it counts from a bail-out on.
    pub rate: Option<Written<FlowRate>>,
    /// Whether there is no way straight up from this leg on, under a roof, a deck or ice, until a leg says otherwise.
    pub overhead: Option<bool>,
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
