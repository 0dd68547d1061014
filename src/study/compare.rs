//! Dives side by side, and findings against a changing quantity.

use crate::findings::{Band, Findings};
use crate::rig::{Body, Role};
use crate::scenario::Scenario;
use crate::sim::terms::cylinder_bulk;
use crate::sim::{self, Trace};
use crate::study::StudyError;
use crate::study::probe::Probe;
use crate::study::side_by_side::side_by_side;
use crate::study::solve::{LeadBounds, lead_bounds_from};
use crate::units::Quantity;

/// How many dives can stand side by side.
pub const COMPARED: std::ops::RangeInclusive<usize> = 2..=6;

/// A figure of a dive.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Key {
    /// Least lead, kg; below zero: too heavy without any.
    LeastLead,
    /// Most lead, kg; below zero: too heavy without any.
    MostLead,
    /// Room between them, kg; below zero: no lead is right.
    LeadWidth,
    /// Heavy point, kg.
    Heavy,
    /// Light point, kg.
    Light,
    /// Largest load after a wing failure, kg.
    Load,
    /// Time beyond the swim-up capacity, s.
    Beyond,
    /// Least margin of staying down, kg: every stop at reserve, the final ascent as planned.
    StayingDown,
    /// Margin of the hold at the last stop as planned, kg.
    HoldPlanned,
    /// The same with cylinders at reserve, kg.
    HoldAtReserve,
    /// Largest wing volume needed, surface included, m³.
    Wing,
    /// Control band at the last stop, upwards, m.
    BandUp,
    /// The same downwards, m; none when the lungs can trim any squeeze.
    BandDown,
    /// Gas that left the cylinders, kg.
    GasUsed,
    /// Weight on land of everything but the diver's own body when the dive starts, kg. Parts known only by a reading
    /// in water are left out.
    LandWeight,
}

impl Key {
    /// All figures in the order of a table.
    pub const ALL: [Key; 15] = [
        Key::LeastLead,
        Key::MostLead,
        Key::LeadWidth,
        Key::Heavy,
        Key::Light,
        Key::Load,
        Key::Beyond,
        Key::StayingDown,
        Key::HoldPlanned,
        Key::HoldAtReserve,
        Key::Wing,
        Key::BandUp,
        Key::BandDown,
        Key::GasUsed,
        Key::LandWeight,
    ];

    /// Stable name for machines.
    pub fn name(self) -> &'static str {
        self.texts().0
    }

    /// Label for readers.
    pub fn label(self) -> &'static str {
        self.texts().1
    }

    fn texts(self) -> (&'static str, &'static str) {
        match self {
            Self::LeastLead => ("least_lead", "least lead"),
            Self::MostLead => ("most_lead", "most lead"),
            Self::LeadWidth => ("lead_width", "room between least and most lead"),
            Self::Heavy => ("heavy_point", "heavy point"),
            Self::Light => ("light_point", "light point"),
            Self::Load => ("largest_load", "largest load after a wing failure"),
            Self::Beyond => ("time_beyond_capacity", "time beyond the swim-up capacity"),
            Self::StayingDown => ("staying_down_margin", "least margin of staying down, stops at reserve"),
            Self::HoldPlanned => ("hold_margin_planned", "hold margin at the last stop, gas as planned"),
            Self::HoldAtReserve => ("hold_margin_at_reserve", "hold margin at the last stop, cylinders at reserve"),
            Self::Wing => ("largest_wing_volume", "largest wing volume"),
            Self::BandUp => ("band_up", "control band at the last stop, upwards"),
            Self::BandDown => ("band_down", "control band at the last stop, downwards"),
            Self::GasUsed => ("gas_used", "gas used"),
            Self::LandWeight => ("weight_on_land", "weight on land"),
        }
    }

    /// What it measures.
    pub fn quantity(self) -> Quantity {
        match self {
            Self::Beyond => Quantity::Duration,
            Self::Wing => Quantity::Volume,
            Self::BandUp | Self::BandDown => Quantity::Length,
            _ => Quantity::Mass,
        }
    }
}

/// A dive that was run for a comparison.
#[derive(Clone, Debug, PartialEq)]
pub struct Dive {
    /// The recorded series.
    pub trace: Trace,
    /// Its findings.
    pub findings: Findings,
    /// The control band at the last stop, gas as planned.
    pub band: Band,
    /// The lead range.
    pub bounds: LeadBounds,
    /// Parts whose weight on land is unknown: only a reading in water was given.
    pub unweighed: Vec<String>,
    land_kg: f64,
}

impl Dive {
    /// Runs a dive and asks everything of it.
    ///
    /// # Errors
    /// As [`crate::study::lead_bounds`].
    pub fn of(scenario: &Scenario) -> Result<Self, StudyError> {
        let trace = sim::run(scenario)?;
        let findings = Findings::of(scenario, &trace);
        let bounds = lead_bounds_from(scenario, &Probe::of_trace(scenario, &trace))?;
        let diver = scenario.rig();
        let worn = || diver.parts.iter().filter(|part| part.role != Role::Person);
        let is_reading = |body: &Body| matches!(body, Body::Reading { .. });
        let unweighed = diver.all_parts().filter(|part| is_reading(&part.body)).map(|part| part.name.clone());
        let mut unweighed: Vec<String> = unweighed.collect();
        unweighed.dedup();
        let parts_kg: f64 = worn().filter(|part| !is_reading(&part.body)).map(|part| part.mass_kg()).sum();
        let cylinders = diver.carried_at_start().iter();
        let mass_kg = |i: usize| cylinder_bulk(scenario, i, scenario.filled_mol(i)).mass_kg;
        let cylinders_kg: f64 = cylinders.map(mass_kg).sum();
        let band = Band::of_now(scenario, &findings.last_hold().planned.now);
        Ok(Self { trace, findings, band, bounds, unweighed, land_kg: parts_kg + cylinders_kg })
    }

    /// One figure; `None` where there is none.
    pub fn figure(&self, key: Key) -> Option<f64> {
        let findings = &self.findings;
        let hold = findings.last_hold();
        let band = &self.band;
        Some(match key {
            Key::LeastLead => self.bounds.least_kg,
            Key::MostLead => self.bounds.most_kg,
            Key::LeadWidth => self.bounds.width_kg(),
            Key::Heavy => findings.heavy.bare_kg,
            Key::Light => findings.light.bare_kg,
            Key::Load => findings.failed_wing.worst.load_kg,
            Key::Beyond => findings.failed_wing.beyond_s(),
            Key::StayingDown => findings.lightest_hold().margin_kg(),
            Key::HoldPlanned => hold.planned.margin_kg(),
            Key::HoldAtReserve => hold.at_reserve.margin_kg(),
            Key::Wing => findings.wing.needed_m3,
            Key::BandUp => band.up_m,
            Key::BandDown => return band.down_m,
            Key::GasUsed => findings.cylinders.iter().map(|cylinder| cylinder.used_kg).sum(),
            Key::LandWeight => self.land_kg,
        })
    }
}

/// One figure of several dives.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Which figure.
    pub key: Key,
    /// Its value for each dive.
    pub values: Vec<Option<f64>>,
    /// Each value less that of the first dive; zero for the first itself.
    pub differences: Vec<Option<f64>>,
}

/// Dives side by side.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    /// The figures, in the order of [`Key::ALL`].
    pub rows: Vec<Row>,
    /// The dives in the order given, each with its series.
    pub dives: Vec<Dive>,
}

/// Compares two to six dives; the first is what the others are held against.
///
/// # Errors
/// Another number of dives; as [`crate::study::lead_bounds`].
pub fn compare(scenarios: &[Scenario]) -> Result<Comparison, StudyError> {
    if !COMPARED.contains(&scenarios.len()) {
        return Err(StudyError::Compared { count: scenarios.len() });
    }
    let dives = side_by_side(scenarios.iter().collect(), Dive::of).into_iter().collect::<Result<Vec<_>, _>>()?;
    let row = |key: Key| {
        let values: Vec<Option<f64>> = dives.iter().map(|dive| dive.figure(key)).collect();
        let against = |value: &Option<f64>| Some((*value)? - values[0]?);
        Row { key, differences: values.iter().map(against).collect(), values }
    };
    Ok(Comparison { rows: Key::ALL.map(row).into(), dives })
}

/// A dive at one value of the quantity that changes.
#[derive(Clone, Debug, PartialEq)]
pub struct SweepPoint {
    /// The value, in the caller's unit.
    pub at: f64,
    /// The figures in the order asked for; or why there are none.
    pub figures: Result<Vec<Option<f64>>, StudyError>,
}

/// Figures of many dives against the quantity in which they differ. A dive that fails is a point without figures.
pub fn sweep(dives: &[(f64, Scenario)], keys: &[Key]) -> Vec<SweepPoint> {
    let point = |(at, scenario): &(f64, Scenario)| SweepPoint {
        at: *at,
        figures: Dive::of(scenario).map(|dive| keys.iter().map(|&key| dive.figure(key)).collect()),
    };
    side_by_side(dives.iter().collect(), point)
}
