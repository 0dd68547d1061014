//! When no lead is right: single changes, each simulated, ranked by how much of the gap they close.

use crate::physics::water::{Brine, Layer, Water};
use crate::rig::{Cylinder, CylinderSpec};
use crate::scenario::{Scenario, ScenarioError};
use crate::study::StudyError;
use crate::study::ballast::must_ditch_kg;
use crate::study::probe::LetGo;
use crate::study::side_by_side::side_by_side;
use crate::study::solve::{LeadBounds, lead_bounds, lead_bounds_after};

/// Shares of the suit's gas that are tried as less of it: our own choice.
pub const SUIT_GAS_CUTS_FRAC: [f64; 2] = [0.10, 0.25];
/// Pressure by which a larger reserve is tried, Pa: our own choice.
pub const RESERVE_RAISE_PA: f64 = 20e5;
/// Practical salinity of the sea water that is tried. Source: the standard sea water of PSS-78 has 35.
pub const SEA_SALINITY: f64 = 35.0;
/// Below this practical salinity water counts as fresh, above it as salt: our own choice.
const BRACKISH_SALINITY: f64 = 1.0;
/// The same for a constant density, kg/m³: above that of any fresh water.
const BRACKISH_KG_M3: f64 = 1005.0;

/// A change made by the caller: the same dive with one thing altered, such as a cylinder or plate of another material.
#[derive(Clone, Debug, PartialEq)]
pub struct Alternative {
    /// What was altered, for the reader.
    pub label: String,
    /// The altered dive.
    pub scenario: Scenario,
}

/// Waters that are tried.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WaterKind {
    /// Every layer fresh.
    Fresh,
    /// Every layer sea water of [`SEA_SALINITY`].
    Salt,
}

/// A change.
#[derive(Clone, Debug, PartialEq)]
pub enum Change {
    /// So much of the lead can be dropped, kg, and is dropped when the wing fails.
    Ditchable {
        /// The share, kg.
        lead_kg: f64,
    },
    /// The suit is kept at less gas.
    LessSuitGas {
        /// New gas volume, m³.
        suit_gas_m3: f64,
        /// Share that was cut, 0..1.
        cut_frac: f64,
    },
    /// Every breathable cylinder counts at a higher reserve pressure.
    HigherReserve {
        /// By how much, Pa.
        raise_pa: f64,
    },
    /// The dive in other water of the same temperatures.
    Water(WaterKind),
    /// A change of the caller's, by its place in the list.
    Alternative {
        /// Place in the caller's list.
        index: usize,
        /// The caller's label.
        label: String,
    },
}

/// A change that was simulated.
#[derive(Clone, Debug, PartialEq)]
pub struct Tried {
    /// What was changed.
    pub change: Change,
    /// The lead range with it.
    pub bounds: LeadBounds,
    /// Gap that it closes, kg: below zero it makes things worse.
    pub closes_kg: f64,
}

impl Tried {
    /// Gap that is left, kg; zero or below: there is a range.
    pub fn gap_kg(&self) -> f64 {
        self.bounds.gap_kg()
    }
}

/// What a change needs for its simulation.
enum Job<'a> {
    Dropping(f64),
    Own(Box<Scenario>),
    Given(&'a Scenario),
}

/// Tries single changes of a dive whose range is `before`: the built-in ones, which need nothing but the dive, and the
/// caller's. Those that close most of the gap come first; of equal ones the order is that of [`Change`].
///
/// The ditchable share is as large as it must be at the least lead, and no larger than that lead.
///
/// # Errors
/// As [`crate::study::lead_bounds`]; or a changed dive that is not valid.
pub fn try_changes(
    scenario: &Scenario,
    before: LeadBounds,
    alternatives: &[Alternative],
) -> Result<Vec<Tried>, StudyError> {
    let mut jobs: Vec<(Change, Job<'_>)> = Vec::new();
    let share_kg = must_ditch_kg(scenario, before.low_kg())?.min(before.low_kg());
    if share_kg > 0.0 {
        jobs.push((Change::Ditchable { lead_kg: share_kg }, Job::Dropping(share_kg)));
    }
    for (change, dive) in own_changes(scenario)? {
        jobs.push((change, Job::Own(Box::new(dive))));
    }
    for (index, alternative) in alternatives.iter().enumerate() {
        let change = Change::Alternative { index, label: alternative.label.clone() };
        jobs.push((change, Job::Given(&alternative.scenario)));
    }
    let tried = side_by_side(jobs, |(change, job)| {
        let bounds = match job {
            Job::Dropping(dropped_kg) => lead_bounds_after(scenario, LetGo::Lead(dropped_kg))?,
            Job::Own(dive) => lead_bounds(&dive)?,
            Job::Given(dive) => lead_bounds(dive)?,
        };
        Ok(Tried { change, bounds, closes_kg: before.gap_kg() - bounds.gap_kg() })
    });
    let mut tried = tried.into_iter().collect::<Result<Vec<Tried>, StudyError>>()?;
    tried.sort_by(|a, b| b.closes_kg.total_cmp(&a.closes_kg));
    Ok(tried)
}

/// The changes that need nothing but the dive.
fn own_changes(scenario: &Scenario) -> Result<Vec<(Change, Scenario)>, StudyError> {
    let mut changes = Vec::new();
    if let Some(suit) = scenario.rig().suit.filter(|suit| suit.kept_m3() > 0.0) {
        for cut_frac in SUIT_GAS_CUTS_FRAC {
            let suit_gas_m3 = suit.kept_m3() * (1.0 - cut_frac);
            let mut diver = scenario.rig().clone();
            diver.suit = Some(suit.keeping(suit_gas_m3));
            changes.push((Change::LessSuitGas { suit_gas_m3, cut_frac }, scenario.with_rig(diver)?));
        }
    }
    let mut diver = scenario.rig().clone();
    for i in scenario.down_to_reserve().iter() {
        let spec = diver.cylinders[i].spec().clone();
        let reserve_gauge_pa = spec.reserve_gauge_pa + RESERVE_RAISE_PA;
        diver.cylinders[i] = Cylinder::new(CylinderSpec { reserve_gauge_pa, ..spec }).map_err(ScenarioError::from)?;
    }
    let raise = Change::HigherReserve { raise_pa: RESERVE_RAISE_PA };
    changes.push((raise, scenario.with_rig(diver)?));
    for kind in [WaterKind::Fresh, WaterKind::Salt] {
        if let Some(dive) = in_water(scenario, kind)? {
            changes.push((Change::Water(kind), dive));
        }
    }
    Ok(changes)
}

/// The dive in other water; `None` if it is of that kind already.
fn in_water(scenario: &Scenario, kind: WaterKind) -> Result<Option<Scenario>, StudyError> {
    let water = scenario.water();
    let layers: Vec<Layer> = (0..water.layer_count()).map(|i| water.layer(i)).collect();
    let kind_of = |brine: Brine| match brine {
        Brine::PracticalSalinity(salinity) if salinity < BRACKISH_SALINITY => WaterKind::Fresh,
        Brine::Density(density_kg_m3) if density_kg_m3 < BRACKISH_KG_M3 => WaterKind::Fresh,
        _ => WaterKind::Salt,
    };
    if layers.iter().all(|layer| kind_of(layer.brine) == kind) {
        return Ok(None);
    }
    let salinity = match kind {
        WaterKind::Fresh => 0.0,
        WaterKind::Salt => SEA_SALINITY,
    };
    let other: Vec<Layer> =
        layers.into_iter().map(|layer| Layer { brine: Brine::PracticalSalinity(salinity), ..layer }).collect();
    let water = Water::new(water.surface_pa(), &other)?;
    let (diver, profile) = (scenario.rig().clone(), scenario.profile().clone());
    Ok(Some(Scenario::with_tables(diver, water, profile, *scenario.settings(), &scenario.tables())?))
}
