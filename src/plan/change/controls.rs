//! Figures of a plan that a reader can set by hand.

use super::collect::{At, Handle, handles};
use super::figure::{as_typical, guess, written_like};
use super::{Sets, circuit, lead, place, water};
use crate::plan::file::CylinderTable;
use crate::plan::typical::Typical;
use crate::plan::typical::dive::RATES;
use crate::plan::{Built, Plan};
use crate::units::{Quantity, Shown, UnitSystem};

/// What a control belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Group {
    /// The lead.
    Lead,
    /// The diver.
    Diver,
    /// Suit and wing.
    Suit,
    /// A closed circuit.
    Loop,
    /// A cylinder.
    Cylinder,
    /// The water and the air above it.
    Water,
    /// The dive and how it is breathed.
    Dive,
}

impl Group {
    /// In a word.
    pub fn word(self) -> &'static str {
        match self {
            Group::Lead => "lead",
            Group::Diver => "diver",
            Group::Suit => "suit",
            Group::Loop => "loop",
            Group::Cylinder => "cylinder",
            Group::Water => "water",
            Group::Dive => "dive",
        }
    }
}

/// A figure that can be set, or a choice.
#[derive(Clone, Debug, PartialEq)]
pub struct Control {
    /// By which [`set_control`] knows it: `lead`, `fill back`, `suit gas`. The same as long as the plan has it.
    pub id: String,
    /// What it belongs to.
    pub group: Group,
    /// In words: `Lead`, `Fill of back`.
    pub label: String,
    /// The keys of the plan that it sets; of the lead those that there are.
    pub keys: Vec<String>,
    /// What it measures; of a choice nothing that counts.
    pub quantity: Quantity,
    /// Its value, SI; gauge pressures as the gauge shows them.
    pub value: f64,
    /// The reader's unit: `unit.number(value)` is the number to show.
    pub unit: Shown,
    /// Least number in the reader's unit.
    pub min: f64,
    /// Greatest number in the reader's unit.
    pub max: f64,
    /// Step in the reader's unit.
    pub step: f64,
    /// Decimals that a value has.
    pub decimals: usize,
    /// Whether nobody wrote or measured it: a typical figure or a guess.
    pub is_typical: bool,
    /// The cylinder by the name of its table, if it is of one.
    pub cylinder: Option<String>,
    /// What can be chosen, values and words; empty for a figure.
    pub choices: Vec<(&'static str, String)>,
    /// What is chosen now; `None` for a figure, and for something that is none of the choices.
    pub chosen: Option<String>,
}

/// What a control is set to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum To<'a> {
    /// A value, SI.
    Value(f64),
    /// The value of a choice.
    Choice(&'a str),
}

/// The controls of a plan, in the order in which a reader looks for them.
pub fn controls(plan: &Plan, built: &Built, units: UnitSystem) -> Vec<Control> {
    handles(plan, built, units).into_iter().map(|handle| handle.control).collect()
}

/// The sets by which a control gets a value, to be added to those of the plan.
///
/// A doubt that is written beside the old value stays, with its shape and whether it is a guess; a typical figure keeps its
/// doubt and becomes a guess.
///
/// # Errors
/// An id that is none of [`controls`], a value for a choice, and what cannot be set, in words.
pub fn set_control(plan: &Plan, built: &Built, id: &str, to: To<'_>, units: UnitSystem) -> Result<Sets, String> {
    let handles = handles(plan, built, units);
    let handle = handles.into_iter().find(|handle| handle.control.id == id);
    let Handle { control, at } =
        handle.ok_or_else(|| format!("the plan has nothing to set that is called \"{id}\""))?;
    let si = match (to, &at) {
        (To::Choice(word), At::WaterChoice) => return water::choose(plan, word),
        (To::Choice(word), At::LeadPlace(i)) if control.choices.iter().any(|(known, _)| *known == word) => {
            return Ok(place::hung(plan, built)[*i].to_word(word));
        }
        (To::Value(si), At::Lead) => return lead::set(plan, si, units),
        (To::Value(si), _) if si.is_finite() && !matches!(at, At::WaterChoice | At::LeadPlace(_)) => si,
        _ => return Err(format!("{} cannot be set to that", control.label)),
    };
    Ok(match at {
        At::Water(key) => water::set(plan, built, key, si, units),
        At::TypicalRate(kind) => typical_rates(kind, si, units),
        At::TypicalOxygenUse(kind) => circuit::typical_oxygen_use(kind, si),
        At::TypicalSetpoint(index) => circuit::typical_setpoint(built, index, si),
        At::Figure { key, old, typical } => {
            let text = match (&old, &typical) {
                (None, Some(typical)) => guess(si, typical, control.quantity, units),
                _ => written_like(old.as_deref(), control.quantity, si, units),
            };
            vec![(key.to_string(), text)]
        }
        At::LeadAlong(i) => place::hung(plan, built)[i].to_along(built, si, units),
        At::Lead | At::WaterChoice | At::LeadPlace(_) => Vec::new(), // returned above
    })
}

/// The control by which a cylinder of the dive is filled; `name` as the dive knows it, which may be one of several of a table.
pub fn fill_control(plan: &Plan, name: &str) -> Option<String> {
    let table = plan.file().cylinder.iter().find(|table| {
        let own = name_of(table);
        let is_one_of = || name.strip_prefix(own)?.strip_prefix(' ')?.parse::<u32>().ok();
        own == name || (table.manifold == Some(false) && is_one_of().is_some())
    })?;
    Some(format!("fill {}", name_of(table)))
}

pub(super) fn name_of(table: &CylinderTable) -> &str {
    table.name.as_deref().unwrap_or("back").trim()
}

/// One typical rate set; the others are written out beside it, as a table with one alone would leave legs without.
fn typical_rates(kind: &str, si: f64, units: UnitSystem) -> Sets {
    let text = |(name, typical): &(&str, Typical)| match *name == kind {
        true => guess(si, &typical.estimate, Quantity::FlowRate, units),
        false => as_typical(&typical.estimate, Quantity::FlowRate),
    };
    RATES.iter().map(|rate| (format!("breathing.{}", rate.0), text(rate))).collect()
}
