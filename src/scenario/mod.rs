//! A dive ready to run: diver, water, profile and settings, checked against each other.
//!
//! A [`Scenario`] never changes. What can be worked out before the first step stands here: the gas tables of every
//! layer, the stretches between the moments at which something changes, the sums over the rigid parts.

mod gases;
mod segment;

use thiserror::Error;

use crate::physics::bulk::Bulk;
use crate::physics::foam::Foam;
use crate::physics::gas::{EquationOfState, GasError};
use crate::physics::isotherm::Isotherm;
use crate::physics::place::{Centres, Point};
use crate::physics::water::Water;
use crate::profile::Profile;
use crate::rig::{Body, BreathingLoop, CylinderSet, Rig, RigError, Role};

use gases::Gases;
pub use gases::{GasTables, MAX_GASES};
pub(crate) use gases::{QuickBag, QuickLoop};
pub use segment::{OnLoop, Segment};
use segment::{check_carried, cut};

/// How the run is made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settings {
    /// Mass to which the run is exact, kg. Default [`TOLERANCE_KG`].
    pub tolerance_kg: f64,
    /// Equation of state of all gases. The ideal gas is for teaching and for comparing by hand.
    pub equation: EquationOfState,
    /// Depth of the last stop, m. `None`: the shallowest stop of the profile, or [`FALLBACK_LAST_STOP_M`].
    pub last_stop_m: Option<f64>,
}

impl Default for Settings {
    fn default() -> Self {
        Self { tolerance_kg: TOLERANCE_KG, equation: EquationOfState::default(), last_stop_m: None }
    }
}

/// Where the light point is looked for when a profile has no stop, m. Common practice: the shallowest depth at which
/// divers are asked to rest on the way up.
pub const FALLBACK_LAST_STOP_M: f64 = 3.0;
/// Mass to which a run is exact unless it is asked for more, kg: a tenth of a gram, far below what anybody can weigh
/// under water.
pub const TOLERANCE_KG: f64 = 1e-4;
/// Tolerances that a run may have, kg.
pub const TOLERANCE_RANGE_KG: std::ops::RangeInclusive<f64> = 1e-9..=1e-2;

/// What is wrong with a dive as a whole.
#[derive(Clone, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum ScenarioError {
    /// The diver.
    #[error(transparent)]
    Rig(#[from] RigError),
    /// A gas table.
    #[error(transparent)]
    Gas(#[from] GasError),
    /// The tolerance.
    #[error("a tolerance of {tolerance_kg} kg is outside {} to {} kg", TOLERANCE_RANGE_KG.start(), TOLERANCE_RANGE_KG.end())]
    Tolerance {
        /// Given, kg.
        tolerance_kg: f64,
    },
    /// The last stop is not a depth of this dive.
    #[error("last stop {last_stop_m} m is outside 0 to {deepest_m} m, the depths of this dive")]
    LastStop {
        /// Given, m.
        last_stop_m: f64,
        /// Deepest point of the dive, m.
        deepest_m: f64,
    },
    /// A leg breathes a loop that the diver does not have.
    #[error("leg {leg} breathes a loop, but the diver has none")]
    NoLoop {
        /// Leg, counted from 1.
        leg: usize,
    },
    /// A leg breathes a loop, and nobody says at which partial pressure of oxygen.
    #[error("leg {leg} breathes a loop that has no setpoint")]
    NoSetpoint {
        /// Leg, counted from 1.
        leg: usize,
    },
    /// A leg breathes nothing, or a cylinder that the diver does not have.
    #[error("leg {leg} breathes a cylinder that is not carried at {time_s} s")]
    NotCarried {
        /// Leg, counted from 1.
        leg: usize,
        /// From when on, s.
        time_s: f64,
    },
    /// A change that does not fit what is carried.
    #[error("{name} at {time_s} s: {reason}")]
    Change {
        /// Name of the cylinder, or its index.
        name: String,
        /// When, s.
        time_s: f64,
        /// What does not fit.
        reason: &'static str,
    },
}

/// Sums over the parts that neither pressure nor the dive changes.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FixedSum {
    /// Everything but the volume of the foam.
    pub bulk: Bulk,
    /// The foam pieces, each with its count folded into its volume.
    pub foams: Vec<Foam>,
    /// Ballast that can be dropped under water.
    pub ditchable_ballast: Bulk,
    /// Other parts that can be dropped under water and make the diver lighter then: a floater is no help, and is kept.
    /// Foam counts with its volume at the surface.
    pub ditchable_gear: Bulk,
}

impl FixedSum {
    /// All parts that can be dropped under water and make the diver lighter then.
    pub fn ditchable(&self) -> Bulk {
        self.ditchable_ballast + self.ditchable_gear
    }
}

/// A checked dive.
#[derive(Clone, Debug, PartialEq)]
pub struct Scenario {
    diver: Rig,
    water: Water,
    profile: Profile,
    settings: Settings,
    fixed: FixedSum,
    segments: Vec<Segment>,
    gases: Gases,
    last_stop_m: f64,
    /// by leg: cylinders breathed in it or later, or feeding a loop that is
    needed: Vec<CylinderSet>,
    /// cylinders that are breathed, by the plan or when the loop has failed
    breathed: CylinderSet,
    /// by layer: least density at or above its top, kg/m³
    thinnest_kg_m3: Vec<f64>,
}

impl Scenario {
    /// A dive from its parts.
    ///
    /// # Errors
    /// A diver that is incomplete, a leg that breathes a cylinder which is not carried, changes that do not fit, a
    /// setting out of range.
    pub fn new(diver: Rig, water: Water, profile: Profile, settings: Settings) -> Result<Self, ScenarioError> {
        Self::with_tables(diver, water, profile, settings, &GasTables::default())
    }

    /// The same, taking gas tables from `known` where they fit: making them is the costly part of a scenario, and
    /// studies of many dives share them.
    ///
    /// # Errors
    /// As [`Scenario::new`].
    pub fn with_tables(
        diver: Rig,
        water: Water,
        profile: Profile,
        settings: Settings,
        known: &GasTables,
    ) -> Result<Self, ScenarioError> {
        diver.check()?;
        if !TOLERANCE_RANGE_KG.contains(&settings.tolerance_kg) {
            return Err(ScenarioError::Tolerance { tolerance_kg: settings.tolerance_kg });
        }
        let last_stop_m = last_stop_m(&profile, settings.last_stop_m)?;
        let segments = cut(&profile, &water);
        check_carried(&diver, &profile, &segments)?;

        let gases = Gases::of(&diver, &water, settings.equation, known)?;
        let thinnest_kg_m3 = thinnest_kg_m3(&water);
        let fixed = fixed_sum(&diver, &thinnest_kg_m3);
        let needed = needed(&profile, &diver);
        let breathed = profile.legs().iter().fold(CylinderSet::EMPTY, |set, leg| set.or(leg.source));
        let breathed = breathed.or(diver.breathing_loop.map_or(CylinderSet::EMPTY, |circuit| circuit.bail_out));
        Ok(Self {
            diver,
            water,
            profile,
            settings,
            fixed,
            segments,
            gases,
            last_stop_m,
            needed,
            breathed,
            thinnest_kg_m3,
        })
    }

    /// The diver.
    #[inline]
    pub fn rig(&self) -> &Rig {
        &self.diver
    }

    /// The water.
    #[inline]
    pub fn water(&self) -> &Water {
        &self.water
    }

    /// The profile.
    #[inline]
    pub fn profile(&self) -> &Profile {
        &self.profile
    }

    /// The settings.
    #[inline]
    pub fn settings(&self) -> &Settings {
        &self.settings
    }

    /// Sums over the fixed parts.
    #[inline]
    pub fn fixed(&self) -> &FixedSum {
        &self.fixed
    }

    /// The stretches of the dive, in order.
    #[inline]
    pub fn segments(&self) -> &[Segment] {
        &self.segments
    }

    /// Whether a leg lies under an overhead, so that there is no way straight up.
    #[inline]
    pub fn is_overhead(&self, leg: usize) -> bool {
        self.profile.is_overhead(leg)
    }

    /// Depth at and below which the light point is looked for, m.
    #[inline]
    pub fn last_stop_m(&self) -> f64 {
        self.last_stop_m
    }

    /// The gas table of a cylinder's mixture in a layer of water.
    #[inline]
    pub fn isotherm(&self, layer: usize, cylinder: usize) -> &Isotherm {
        &self.gases.of_layer(layer)[self.gases.quick[cylinder].gas]
    }

    /// Molar mass of a cylinder's gas, kg/mol.
    #[inline]
    pub fn molar_kg_mol(&self, cylinder: usize) -> f64 {
        self.gases.quick[cylinder].molar_kg_mol
    }

    /// Amount of gas that a cylinder was filled with, mol.
    #[inline]
    pub fn filled_mol(&self, cylinder: usize) -> f64 {
        self.gases.quick[cylinder].filled_mol
    }

    /// The gases of the dive.
    #[inline]
    pub(crate) fn gases(&self) -> &Gases {
        &self.gases
    }

    /// All gas tables, to be handed to [`Scenario::with_tables`] of a similar dive.
    pub fn tables(&self) -> GasTables {
        self.gases.tables(&self.diver, self.settings.equation)
    }

    /// Volume of all foam at an absolute pressure, m³.
    #[inline]
    pub fn foam_m3(&self, p_pa: f64) -> f64 {
        self.fixed.foams.iter().fold(0.0, |sum, foam| sum + foam.volume_m3(p_pa))
    }

    /// Cylinders that count as at reserve when the dive goes on longer, gas is shared or a loop fails: all but those that
    /// only feed suit, wing or loop and are never breathed themselves, and of those the ones with a reserve of their own.
    pub fn down_to_reserve(&self) -> CylinderSet {
        let breathed = self.breathed;
        let supplies = self.diver.bags().into_iter().flatten().map(|bag| bag.supply());
        let inflation = supplies.fold(CylinderSet::EMPTY, CylinderSet::or);
        let counts = |i: &usize| {
            !inflation.contains(*i) || breathed.contains(*i) || self.diver.cylinders[*i].spec().inflates_to_reserve
        };
        CylinderSet::of((0..self.diver.cylinders.len()).filter(counts))
    }

    /// Volume by which a breath trims the diver up or down at a time, m³: the lungs'; on a loop a breath only moves gas
    /// between lungs and counterlungs, so the loop's play.
    pub fn breath_trim_m3(&self, time_s: f64) -> f64 {
        self.loop_breathed_at(time_s).map_or(self.diver.lung_trim_m3, |circuit| circuit.play_m3)
    }

    /// Gas in the lungs that swells and shrinks with the depth, m³: on a loop that of a breath, which no other replaces;
    /// on open circuit none.
    pub fn kept_breath_m3(&self, time_s: f64) -> f64 {
        self.loop_breathed_at(time_s).map_or(0.0, |circuit| circuit.lungs_m3)
    }

    fn loop_breathed_at(&self, time_s: f64) -> Option<&BreathingLoop> {
        self.diver.breathing_loop.as_ref().filter(|_| self.profile.is_on_loop(time_s))
    }

    /// Cylinders whose gas the plan still breathes in a leg or after it, or must have at hand then.
    pub fn needed_from(&self, leg: usize) -> CylinderSet {
        self.needed.get(leg).copied().unwrap_or_default()
    }

    /// The cylinders marked as ditchable that a diver can do without from a leg on: never one that is breathed then or
    /// later.
    pub fn ditchable_cylinders(&self, leg: usize) -> CylinderSet {
        let bodies = self.diver.cylinders.iter().enumerate();
        CylinderSet::of(bodies.filter(|(_, body)| body.is_ditchable()).map(|(i, _)| i)).minus(self.needed_from(leg))
    }

    /// Least density of the water at or above the top of a layer, kg/m³.
    #[inline]
    pub fn thinnest_above_kg_m3(&self, layer: usize) -> f64 {
        self.thinnest_kg_m3[layer]
    }

    /// The same dive with another diver, water, profile or settings; gas tables are kept where they still fit.
    ///
    /// # Errors
    /// As [`Scenario::new`].
    pub fn with_rig(&self, diver: Rig) -> Result<Self, ScenarioError> {
        Self::with_tables(diver, self.water.clone(), self.profile.clone(), self.settings, &self.tables())
    }

    /// The same dive with other settings.
    ///
    /// # Errors
    /// As [`Scenario::new`].
    pub fn with_settings(&self, settings: Settings) -> Result<Self, ScenarioError> {
        Self::with_tables(self.diver.clone(), self.water.clone(), self.profile.clone(), settings, &self.tables())
    }

    /// The same dive with all ballast replaced by `lead_kg` of lead of which `ditchable_kg` can be dropped, so that
    /// a search for the right lead does not depend on what the plan carries. Only sums change: no table, no stretch. It hangs
    /// in the middle of what the ballast did.
    pub fn with_lead(&self, lead_kg: f64, ditchable_kg: f64) -> Self {
        self.with_lead_where(lead_kg, ditchable_kg, ballast_at(&self.diver))
    }

    /// The same, none of it ditchable, at a place.
    pub fn with_lead_at(&self, lead_kg: f64, at: Point) -> Self {
        self.with_lead_where(lead_kg, 0.0, Some(Centres::at(at)))
    }

    fn with_lead_where(&self, lead_kg: f64, ditchable_kg: f64, at: Option<Centres>) -> Self {
        let mut other = self.clone();
        other.diver.parts.retain(|part| part.role != Role::Ballast);
        let piece = |name: &str, mass_kg: f64, ditchable: bool| crate::rig::Part {
            name: name.into(),
            role: Role::Ballast,
            count: 1,
            body: Body::Rigid { mass_kg, volume_m3: mass_kg / LEAD_KG_M3 },
            ditchable,
            at,
        };
        other.diver.parts.push(piece("lead", lead_kg - ditchable_kg, false));
        if ditchable_kg > 0.0 {
            other.diver.parts.push(piece("lead, ditchable", ditchable_kg, true));
        }
        other.fixed = fixed_sum(&other.diver, &other.thinnest_kg_m3);
        other
    }
}

/// The middle of the ballast, by mass, if the place of all of it is known and there is any.
fn ballast_at(diver: &Rig) -> Option<Centres> {
    let (mut middle, mut all_kg) = (Point::ORIGIN, 0.0);
    for piece in diver.parts.iter().filter(|part| part.role == Role::Ballast) {
        middle = middle + piece.at?.mass * piece.mass_kg();
        all_kg += piece.mass_kg();
    }
    (all_kg > 0.0).then(|| Centres::at(middle * all_kg.recip()))
}

/// Density of lead, kg/m³ (from memory; handbooks give 11 340 to 11 350).
pub const LEAD_KG_M3: f64 = 11_340.0;

fn last_stop_m(profile: &Profile, given_m: Option<f64>) -> Result<f64, ScenarioError> {
    let deepest_m = profile.max_depth_m();
    match given_m {
        Some(last_stop_m) if (0.0..=deepest_m).contains(&last_stop_m) => Ok(last_stop_m),
        Some(last_stop_m) => Err(ScenarioError::LastStop { last_stop_m, deepest_m }),
        None => {
            let shallowest = profile.stops().iter().map(|stop| stop.depth_m).fold(f64::INFINITY, f64::min);
            Ok(if shallowest.is_finite() { shallowest } else { FALLBACK_LAST_STOP_M.min(deepest_m) })
        }
    }
}

/// By leg: the cylinders breathed in it or later. A loop needs what feeds it, and what is breathed when it fails.
fn needed(profile: &Profile, diver: &Rig) -> Vec<CylinderSet> {
    let circuit = diver.breathing_loop.map_or(CylinderSet::EMPTY, |circuit| circuit.supply().or(circuit.bail_out));
    let of_leg = |leg: &crate::profile::Leg| if leg.loop_mol_s.is_some() { circuit } else { leg.source };
    let mut needed: Vec<CylinderSet> = profile.legs().iter().map(of_leg).collect();
    for leg in (1..needed.len()).rev() {
        needed[leg - 1] = needed[leg - 1].or(needed[leg]);
    }
    needed
}

/// By layer: the least density at or above its top. Within a layer water is thinnest at the top.
fn thinnest_kg_m3(water: &Water) -> Vec<f64> {
    let mut least = f64::INFINITY;
    let tops = (0..water.layer_count()).map(|layer| water.density_kg_m3(layer, water.layer_span_m(layer).0));
    tops.map(|top| {
        least = top.min(least);
        least
    })
    .collect()
}

fn fixed_sum(diver: &Rig, thinnest_kg_m3: &[f64]) -> FixedSum {
    // what floats nowhere on the way up
    let water_kg_m3 = thinnest_kg_m3.last().copied().unwrap_or_default();
    let mut sum = FixedSum::default();
    for part in &diver.parts {
        let count = f64::from(part.count);
        let bulk = part.bulk(crate::units::ATMOSPHERE_PA);
        match part.body {
            Body::Foam { foam, .. } => {
                sum.bulk += Bulk::mass(bulk.mass_kg);
                sum.foams.push(Foam { volume0_m3: count * foam.volume0_m3, ..foam });
            }
            Body::Rigid { .. } | Body::Reading { .. } => sum.bulk += bulk,
        }
        if part.ditchable && bulk.net_kg(water_kg_m3) < 0.0 {
            match part.role {
                Role::Ballast => sum.ditchable_ballast += bulk,
                _ => sum.ditchable_gear += bulk,
            }
        }
    }
    sum
}
