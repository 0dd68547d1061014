//! What one draw answers.

use crate::scenario::Scenario;
use crate::sim::Span;
use crate::study::spread::ends::ends;
use crate::study::{Probe, StudyError};

/// A quantity that is asked of every draw, kg.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Answer {
    /// Least lead that holds the last stop.
    Least,
    /// Most lead that can be swum up.
    Most,
    /// Room between the two: the most less the least, or less nothing where the least is below zero.
    Range,
    /// Net lift at the heavy point.
    Heavy,
    /// Net lift at the light point.
    Light,
    /// Largest load after a failed wing.
    Load,
    /// Weight to spare at the last stop, gas as planned.
    HoldPlanned,
    /// Weight to spare at the last stop, cylinders drained.
    HoldDrained,
}

impl Answer {
    /// All of them.
    pub const ALL: [Answer; 8] = [
        Answer::Least,
        Answer::Most,
        Answer::Range,
        Answer::Heavy,
        Answer::Light,
        Answer::Load,
        Answer::HoldPlanned,
        Answer::HoldDrained,
    ];

    /// Name for tables.
    pub fn label(self) -> &'static str {
        match self {
            Answer::Least => "least lead",
            Answer::Most => "most lead",
            Answer::Range => "lead range",
            Answer::Heavy => "heavy point",
            Answer::Light => "light point",
            Answer::Load => "swim-up load",
            Answer::HoldPlanned => "hold, gas as planned",
            Answer::HoldDrained => "hold, drained",
        }
    }

    /// The answer in a row, kg.
    pub fn of(self, row: &Row) -> f64 {
        match self {
            Answer::Least => row.least_kg,
            Answer::Most => row.most_kg,
            Answer::Range => row.most_kg - row.least_kg.max(0.0),
            Answer::Heavy => row.heavy_kg,
            Answer::Light => row.light_kg,
            Answer::Load => row.load_kg,
            Answer::HoldPlanned => row.hold_planned_kg,
            Answer::HoldDrained => row.hold_drained_kg,
        }
    }
}

/// Something that may be so in a draw.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Risk {
    /// At some moment a failed wing leaves more than the diver can swim up, nothing ditched.
    CannotSwimUp,
    /// The diver cannot hold the last stop with drained cylinders and empty wing.
    CannotHold,
    /// No lead meets both ends.
    RangeEmpty,
    /// A leg asks for more gas than its source has.
    OutOfGas,
}

impl Risk {
    /// All of them.
    pub const ALL: [Risk; 4] = [Risk::CannotSwimUp, Risk::CannotHold, Risk::RangeEmpty, Risk::OutOfGas];

    /// Name for tables.
    pub fn label(self) -> &'static str {
        match self {
            Risk::CannotSwimUp => "cannot swim up somewhere",
            Risk::CannotHold => "cannot hold the last stop",
            Risk::RangeEmpty => "no lead is right",
            Risk::OutOfGas => "out of gas",
        }
    }

    fn bit(self) -> u8 {
        1 << self as u8
    }
}

/// The answers of one draw. Small, because a million of them may be kept.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Row {
    /// Least lead, kg.
    pub least_kg: f64,
    /// Most lead, kg.
    pub most_kg: f64,
    /// Net lift at the heavy point, kg.
    pub heavy_kg: f64,
    /// Net lift at the light point, kg.
    pub light_kg: f64,
    /// Largest load after a failed wing, kg.
    pub load_kg: f64,
    /// Weight to spare at the last stop, gas as planned, kg.
    pub hold_planned_kg: f64,
    /// Weight to spare at the last stop, cylinders drained, kg.
    pub hold_drained_kg: f64,
    risks: u8,
    /// whether the plan's own lead meets both ends
    own_lead_fits: bool,
}

impl Row {
    /// The answers of a dive.
    ///
    /// # Errors
    /// A run that fails, or a search for the lead that does not close.
    pub fn of(scenario: &Scenario) -> Result<Self, StudyError> {
        Self::along(scenario, |_| ())
    }

    /// The same, with the run of the dive as it is shown to `also`.
    ///
    /// # Errors
    /// As [`Row::of`].
    pub(crate) fn along(scenario: &Scenario, also: impl FnMut(&Span)) -> Result<Self, StudyError> {
        let probe = Probe::along(scenario, 0.0, also)?;
        let out_of_gas = probe.out_of_gas;
        let bounds = ends(scenario, &probe)?;
        let too_heavy = probe.load_kg > scenario.diver().swim_up_kg;
        let mut row = Self {
            least_kg: bounds.least_kg,
            most_kg: bounds.most_kg,
            heavy_kg: probe.heavy_kg,
            light_kg: probe.light_kg,
            load_kg: probe.load_kg,
            hold_planned_kg: -probe.planned_kg,
            hold_drained_kg: -probe.drained_kg,
            risks: 0,
            own_lead_fits: !too_heavy && probe.worst_kg <= 0.0,
        };
        let range_empty = Answer::Range.of(&row) < 0.0;
        for (risk, is_so) in [
            (Risk::CannotSwimUp, too_heavy),
            (Risk::CannotHold, probe.drained_kg > 0.0),
            (Risk::RangeEmpty, range_empty),
            (Risk::OutOfGas, out_of_gas),
        ] {
            row.risks |= if is_so { risk.bit() } else { 0 };
        }
        Ok(row)
    }

    /// Whether something is so in this draw.
    pub fn has(&self, risk: Risk) -> bool {
        self.risks & risk.bit() != 0
    }

    /// Whether the plan's own lead meets both ends: swims up from everywhere, and holds the last stop whichever
    /// removable cylinders are gone.
    pub fn own_lead_fits(&self) -> bool {
        self.own_lead_fits
    }
}
