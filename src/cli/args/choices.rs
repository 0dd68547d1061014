//! Words that an option may have.

use clap::ValueEnum;

use crate::report::chart::Figure;
use crate::report::measure::UnitSystem;

/// Units for the reader.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub enum Units {
    /// kg, m, L, bar, °C
    #[default]
    Metric,
    /// lb, ft, cu ft, psi, °F
    Us,
}

impl From<Units> for UnitSystem {
    fn from(units: Units) -> Self {
        match units {
            Units::Metric => UnitSystem::Metric,
            Units::Us => UnitSystem::Us,
        }
    }
}

/// Names of figures.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum FigureName {
    /// Depth and bare net lift over time
    Dive,
    /// Each cylinder from sinker to floater
    Cylinders,
    /// Gas in wing, suit and foam on the way down and up
    Gas,
    /// What lifts and what sinks at the heavy and the light point
    Balance,
    /// Control band at each stop against lead
    Band,
    /// What mishaps leave, over time
    Mishaps,
    /// Oxygen in the breathing loop, and what the loop used
    Loop,
}

impl From<FigureName> for Figure {
    fn from(name: FigureName) -> Self {
        match name {
            FigureName::Dive => Figure::Dive,
            FigureName::Cylinders => Figure::Cylinders,
            FigureName::Gas => Figure::Gas,
            FigureName::Balance => Figure::Balance,
            FigureName::Band => Figure::Band,
            FigureName::Mishaps => Figure::Mishaps,
            FigureName::Loop => Figure::Loop,
        }
    }
}

/// Paper that a page is printed on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum PaperSize {
    /// 210 × 297 mm
    A4,
    /// 8.5 × 11 in
    Letter,
}

/// Suits of a starter plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum SuitChoice {
    /// Dry suit and undergarment, cold water
    Dry,
    /// 5 mm wet suit, temperate water
    Wet,
}

/// Main cylinders of a starter plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum CylindersChoice {
    /// One on the back
    Single,
    /// Two on the back with a manifold
    Twin,
    /// Two at the sides, each on its own
    Sidemount,
    /// A breathing loop, with one of oxygen and one of diluent: closed circuit
    Loop,
}
