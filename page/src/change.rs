//! What a hand on the page changes, as sets of the plan.

use serde::Deserialize;

use lightpoint::UnitSystem;
use lightpoint::internals::plan::change::controls::{To, controls, set_control};
use lightpoint::internals::plan::change::cylinders::{move_cylinder, undo_move};
use lightpoint::internals::plan::change::levels::{LevelTo, move_level};
use lightpoint::internals::plan::change::{Sets, merged};
use lightpoint::internals::profile::Move;
use lightpoint::internals::units::Quantity;

use crate::plans::Opened;

/// A change; numbers are in the reader's units.
#[derive(Clone, Debug, Deserialize)]
#[serde(untagged)]
pub enum Change {
    /// A control gets a value.
    Control { control: String, to: Value },
    /// A level goes to another depth.
    Depth { level: String, depth: f64 },
    /// A level gets longer or shorter.
    Length { level: String, length_min: f64 },
    /// A cylinder comes or goes.
    Move { cylinder: String, kind: Kind, time_s: f64 },
    /// A change of the page is taken back.
    Undo { cylinder: String, undo_s: f64 },
}

/// What a control is set to.
#[derive(Clone, Debug, Deserialize)]
#[serde(untagged)]
pub enum Value {
    /// A number in its unit.
    Number(f64),
    /// One of its choices.
    Word(String),
}

/// How a cylinder comes or goes.
#[derive(Clone, Copy, Debug, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    Leave,
    HandOff,
    Take,
    Receive,
}

impl From<Kind> for Move {
    fn from(kind: Kind) -> Self {
        match kind {
            Kind::Leave => Move::Leave,
            Kind::HandOff => Move::HandOff,
            Kind::Take => Move::Take,
            Kind::Receive => Move::Receive,
        }
    }
}

/// The sets of a plan with a change on top; in words why it cannot be.
pub fn changed(opened: &Opened, change: &Change, units: UnitSystem) -> Result<Sets, String> {
    let (plan, built) = (&opened.plan, opened.as_written());
    let more = match change {
        Change::Control { control, to: Value::Word(word) } => {
            set_control(plan, built, control, To::Choice(word), units)
        }
        Change::Control { control, to: Value::Number(number) } => {
            let known = controls(plan, built, units).into_iter().find(|one| one.id == *control);
            let known = known.ok_or_else(|| format!("the plan has nothing to set that is called \"{control}\""))?;
            // fingers slip; a value beyond what there is would be a plan without an answer
            let number = number.clamp(known.min, known.max.max(known.unit.number(known.value)));
            set_control(plan, built, control, To::Value(known.unit.si(number)), units)
        }
        Change::Depth { level, depth } => {
            let depth_m = Quantity::Length.shown(units).si(*depth);
            move_level(plan, built, level, LevelTo::Depth(depth_m), units)
        }
        Change::Length { level, length_min } => {
            move_level(plan, built, level, LevelTo::Length(length_min * 60.0), units)
        }
        Change::Move { cylinder, kind, time_s } => move_cylinder(plan, built, cylinder, (*kind).into(), *time_s),
        Change::Undo { cylinder, undo_s } => undo_move(plan, built, cylinder, *undo_s),
    }?;
    Ok(merged(plan.sets(), more))
}
