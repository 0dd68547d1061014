//! What one draw answers.

use crate::scenario::Scenario;
use crate::study::StudyError;
use crate::study::doubt::ask::ask;

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
    /// Weight to spare on the final ascent, gas as planned.
    HoldPlanned,
    /// Weight to spare at the lightest moment that must hold, stops at reserve.
    HoldAtReserve,
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
        Answer::HoldAtReserve,
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
            Answer::HoldAtReserve => "hold, at reserve",
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
            Answer::HoldAtReserve => row.hold_at_reserve_kg,
        }
    }
}

/// Something that may be so in a draw.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Risk {
    /// At some moment a failed wing leaves more than the diver can swim up, nothing ditched.
    CannotSwimUp,
    /// The diver cannot hold the last stop with cylinders at reserve and empty wing.
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
}

/// Removable cylinders that are followed one by one; of more, the rest together.
pub(crate) const FOLLOWED: usize = 6;
/// Numbers that a [`Row`] is made from.
pub(crate) const FIGURES: usize = 12 + FOLLOWED;
/// Numbers that a [`Row`] answers with.
pub(crate) const ANSWERED: usize = 9;

/// What a dive says as smooth functions of its figures: the larger of two has a kink where they cross, and so has what a
/// cylinder that may be gone takes along, which counts only where it sinks. Each of these has none.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Parts {
    /// Lead that holds the stop that decides with all cylinders that the plan carries then, kg.
    pub least_stop_kg: f64,
    /// Lead that holds the final ascent, kg.
    pub least_ascent_kg: f64,
    /// Most lead, kg.
    pub most_kg: f64,
    /// Net lift at the heavy point, kg.
    pub heavy_kg: f64,
    /// Net lift at the light point, kg.
    pub light_kg: f64,
    /// Largest load after a failed wing, kg.
    pub load_kg: f64,
    /// Weight to spare on the final ascent, kg.
    pub ascent_spare_kg: f64,
    /// Weight to spare at a stop at reserve, kg.
    pub stop_spare_kg: f64,
    /// Weight to spare at the stop that decides, at reserve, with all cylinders that the plan carries then, kg.
    pub deciding_spare_kg: f64,
    /// What the diver can swim up less the largest load, kg.
    pub swim_up_spare_kg: f64,
    /// What a kilogram of lead pulls at the stop that decides, kg.
    pub pull_frac: f64,
    /// Own lift there of each removable cylinder, at reserve, kg; zero where there is none.
    pub removable_kg: [f64; FOLLOWED],
    /// Own lift there of all further ones that sink, kg.
    pub more_kg: f64,
}

impl Parts {
    /// What the removable cylinders that sink lift together, kg: below zero.
    pub(crate) fn sinkers_kg(&self) -> f64 {
        self.removable_kg.iter().map(|lift_kg| lift_kg.min(0.0)).sum::<f64>() + self.more_kg
    }
}

/// The answers of one draw. Small, because a million of them may be kept.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
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
    /// Weight to spare on the final ascent at or below the last stop, gas as planned, kg.
    pub hold_planned_kg: f64,
    /// Weight to spare at the lightest moment that must hold: a stop at reserve, or the final ascent, kg.
    pub hold_at_reserve_kg: f64,
    /// The same with the worst set of removable cylinders gone, kg.
    pub hold_worst_kg: f64,
    /// What the diver can swim up less the largest load, kg.
    pub swim_up_spare_kg: f64,
    /// Whether a leg asks for more gas than its source has.
    pub out_of_gas: bool,
    /// what it is made from
    pub(crate) parts: Parts,
}

impl Row {
    /// The answers of a dive.
    ///
    /// # Errors
    /// A run that fails, or a search for the lead that does not close.
    pub fn of(scenario: &Scenario) -> Result<Self, StudyError> {
        Ok(ask(scenario, &[])?.row)
    }

    /// From what a dive says.
    pub(crate) fn made_of(parts: Parts, out_of_gas: bool) -> Self {
        Self {
            least_kg: (parts.least_stop_kg - parts.sinkers_kg() / parts.pull_frac).max(parts.least_ascent_kg),
            most_kg: parts.most_kg,
            heavy_kg: parts.heavy_kg,
            light_kg: parts.light_kg,
            load_kg: parts.load_kg,
            hold_planned_kg: parts.ascent_spare_kg,
            hold_at_reserve_kg: parts.stop_spare_kg.min(parts.ascent_spare_kg),
            hold_worst_kg: (parts.deciding_spare_kg + parts.sinkers_kg()).min(parts.ascent_spare_kg),
            swim_up_spare_kg: parts.swim_up_spare_kg,
            out_of_gas,
            parts,
        }
    }

    /// What it answers with.
    pub(crate) fn answers(&self) -> [f64; ANSWERED] {
        [
            self.least_kg,
            self.most_kg,
            self.heavy_kg,
            self.light_kg,
            self.load_kg,
            self.hold_planned_kg,
            self.hold_at_reserve_kg,
            self.hold_worst_kg,
            self.swim_up_spare_kg,
        ]
    }

    /// What it is made from, in the order of the fields.
    pub(crate) fn figures(&self) -> [f64; FIGURES] {
        let Parts { removable_kg, .. } = self.parts;
        let parts = &self.parts;
        let named = [
            parts.least_stop_kg,
            parts.least_ascent_kg,
            parts.most_kg,
            parts.heavy_kg,
            parts.light_kg,
            parts.load_kg,
            parts.ascent_spare_kg,
            parts.stop_spare_kg,
            parts.deciding_spare_kg,
            parts.swim_up_spare_kg,
            parts.pull_frac,
            parts.more_kg,
        ];
        let mut figures = [0.0; FIGURES];
        figures.iter_mut().zip(named.into_iter().chain(removable_kg)).for_each(|(figure, value)| *figure = value);
        figures
    }

    /// A row of a dive that does not run out of gas, from what it is made from.
    pub(crate) fn from_figures(figures: [f64; FIGURES]) -> Self {
        let [
            least_stop_kg,
            least_ascent_kg,
            most_kg,
            heavy_kg,
            light_kg,
            load_kg,
            ascent_spare_kg,
            stop_spare_kg,
            deciding_spare_kg,
            swim_up_spare_kg,
            pull_frac,
            more_kg,
            removable_kg @ ..,
        ] = figures;
        let parts = Parts {
            least_stop_kg,
            least_ascent_kg,
            most_kg,
            heavy_kg,
            light_kg,
            load_kg,
            ascent_spare_kg,
            stop_spare_kg,
            deciding_spare_kg,
            swim_up_spare_kg,
            pull_frac,
            removable_kg,
            more_kg,
        };
        Self::made_of(parts, false)
    }

    /// Whether something is so in this draw, if every number were so much better than it is; with less than nothing, so
    /// much worse. Running out of gas is no number.
    pub(crate) fn has_within(&self, risk: Risk, better_kg: f64) -> bool {
        match risk {
            Risk::CannotSwimUp => self.swim_up_spare_kg + better_kg < 0.0,
            Risk::CannotHold => self.hold_at_reserve_kg + better_kg < 0.0,
            Risk::RangeEmpty => Answer::Range.of(self) + better_kg < 0.0,
            Risk::OutOfGas => self.out_of_gas,
        }
    }

    /// Whether something is so in this draw.
    pub fn has(&self, risk: Risk) -> bool {
        self.has_within(risk, 0.0)
    }

    /// Whether the plan's own lead meets both ends: swims up from everywhere, and holds the last stop whichever
    /// removable cylinders are gone.
    pub fn own_lead_fits(&self) -> bool {
        self.own_lead_fits_within(0.0)
    }

    /// The same if every number were so much better than it is.
    pub(crate) fn own_lead_fits_within(&self, better_kg: f64) -> bool {
        self.swim_up_spare_kg.min(self.hold_worst_kg) + better_kg >= 0.0
    }
}
