//! Where things are on the diver, and what the trim of a dive is asked with.

use schemars::JsonSchema;
use serde::Deserialize;

use crate::plan::schema;
use crate::plan::unit::{Length, Mass, Torque};
use crate::plan::written::Written;

/// A place on the diver, by a word or by distances.
#[derive(Clone, Debug, JsonSchema, PartialEq)]
#[schemars(untagged)]
pub enum At {
    /// A word of the trade: `belt`, `tail`, `plate`, `between the cylinders`, `shoulders`, `chest`, `hip`, `thigh`, `ankles`,
    /// `feet`, `head`; of a side as in `left thigh`. Of a cylinder `back`, `left side`, `right side`, `left stage`,
    /// `right stage`.
    Word(#[schemars(extend("examples" = schema::place_words()))] String),
    /// Distances from the middle of the shoulder line.
    Distances(Box<AtTable>),
}

/// A place by its distances.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct AtTable {
    /// Headward of the shoulder line, so that most places are below zero: `-12 ± 3 cm`. Of a cylinder its valve.
    pub along: Option<Written<Length>>,
    /// To the back from the middle of the body: `4 cm`.
    pub up: Option<Written<Length>>,
    /// To the diver's left from the middle: `0 cm`.
    pub left: Option<Written<Length>>,
}

/// What the trim of the dive is asked with.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct TrimTable {
    /// Torque that fins and posture hold without tiring; 10 ± 5 N·m unless stated: a choice, no measured figure was found.
    pub hold: Option<Written<Torque>>,
    /// Places where lead may go; unless stated belt, tail, plate, and between the cylinders where there are two on the back.
    #[serde(default)]
    pub place: Vec<LeadPlaceTable>,
}

/// A place where lead may go.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct LeadPlaceTable {
    /// Where: a word, or distances with a name beside them.
    pub at: Option<At>,
    /// What it is called; the word of its place unless stated.
    pub name: Option<String>,
    /// The most lead that it holds: `3 kg`.
    pub most: Option<Written<Mass>>,
    /// Whether lead there can be dropped under water; so at the belt and nowhere else unless stated.
    pub ditchable: Option<bool>,
}
