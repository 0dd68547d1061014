//! Weight checks as a plan has them.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::Deserialize;

use crate::plan::file::{CylinderTable, PartTable, Suit, WingTable};
use crate::plan::unit::*;
use crate::plan::written::Written;

/// A check made in the water: what the diver did there, with so much lead and so much gas. Every answer of the plan is
/// corrected by it. Beside the keys below it has one for each cylinder on the diver, by its name, with the pressure on its
/// gauge: `back = "50 bar"`.
#[derive(Clone, Debug, Default, JsonSchema, PartialEq)]
pub struct WeightCheck {
    /// Depth: `3 m`; `0 m` at the surface.
    pub depth: Option<Written<Length>>,
    /// What was seen: `neutral`, `eye level` (at the surface, hanging still), `could stay` or `sank`, `could not stay` or
    /// `floated`, `needed 1.2 kg` (so much more lead; with a minus sign so much less), `reading -0.8 kg` (a scale that held
    /// the whole diver; positive floats).
    #[schemars(extend("examples" = ["neutral", "eye level", "could not stay", "needed 1 kg"]))]
    pub outcome: Option<String>,
    /// How the diver hung at rest, still and neutral: `level`, `head up 10°`, `head down 20°`, ± 10° (95 %) unless stated:
    /// `head down 20 ± 5°`. It moves the places of things. With it or with `needed`, `outcome` may be left out. Unless `wing`
    /// says otherwise, or `outcome` is `neutral`, the wing held the diver.
    #[schemars(extend("examples" = ["level", "head down 20°", "head up 10 ± 5°"]))]
    pub hung: Option<String>,
    /// Lead that had to be added at a place for the diver to hang level: `0.5 kg at the ankles`; with a minus sign lead that
    /// had to go from there.
    #[schemars(extend("examples" = ["0.5 kg at the ankles", "1 lb at the tail"]))]
    pub needed: Option<String>,
    /// Lead carried, in place of all ballast of the plan: `6 kg`.
    pub lead: Option<Written<Mass>>,
    /// The water: `fresh`, `pool`, `sea`, a density, or `as planned`, the default.
    #[schemars(extend("examples" = ["pool", "fresh", "sea", "as planned"]))]
    pub water: Option<String>,
    /// The lungs: `normal`, `full` or `out`. Half full unless stated, and `normal` at eye level.
    #[schemars(extend("enum" = ["normal", "full", "out"]))]
    pub breath: Option<String>,
    /// The wing: `empty`, the default, or the gas in it: `2 L`.
    #[schemars(extend("examples" = ["empty", "2 L"]))]
    pub wing: Option<String>,
    /// How sure that is; ± 0.7 kg (95 %) unless stated.
    pub doubt: Option<Written<Mass>>,
    /// Remark.
    pub note: Option<String>,
    /// The rig, if it was not that of the plan: the file of another plan or its text, or the tables that were others.
    /// Figures of the same name and the same text, and all of the diver, are the same thing.
    pub rig: Option<RigOfCheck>,
    /// One key for each cylinder on the diver, by its name: the pressure on its gauge.
    #[schemars(flatten)]
    pub gauges: BTreeMap<String, Written<Pressure>>,
}

/// The rig of a check.
#[derive(Clone, Debug, JsonSchema, PartialEq)]
#[schemars(untagged)]
pub enum RigOfCheck {
    /// The file of a plan, beside this one: `single.toml`; a text with line breaks is that plan itself.
    OfPlan(#[schemars(extend("examples" = ["other-plan.toml"]))] String),
    /// Tables in place of those of this plan.
    Tables(Box<RigTables>),
}

/// Tables of a plan that were others at a check.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct RigTables {
    /// The suit, or its kind in a word.
    pub suit: Option<SuitThen>,
    /// The cylinders: the name of a size for a single one called `back`, one table, or a list of tables.
    pub cylinder: Option<CylindersThen>,
    /// The wing.
    pub wing: Option<WingTable>,
    /// Gear.
    pub part: Option<Vec<PartTable>>,
}

/// A suit, or the kind of one.
#[derive(Clone, Debug, JsonSchema, PartialEq)]
#[schemars(untagged)]
pub enum SuitThen {
    /// Its kind: `wet 7 mm`.
    Kind(String),
    /// The table.
    Table(Box<Suit>),
}

/// Cylinders.
#[derive(Clone, Debug, JsonSchema, PartialEq)]
#[schemars(untagged)]
pub enum CylindersThen {
    /// A generic size: `steel 12 L 232 bar`.
    Size(String),
    /// One of them.
    One(Box<CylinderTable>),
    /// Several.
    List(Vec<CylinderTable>),
}
