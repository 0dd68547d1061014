//! A dive ready to run: diver, water, profile and settings, checked against each other.
//!
//! A [`Scenario`] never changes. What can be worked out before the first step stands here: the gas tables of every
//! layer, the stretches between the moments at which something changes, the sums over the rigid parts.

mod segment;

use thiserror::Error;

use crate::diver::{Body, CylinderSet, Diver, DiverError, MAX_CYLINDERS, Role};
use crate::physics::foam::Foam;
use crate::physics::gas::{EquationOfState, GasError, GasMix};
use crate::physics::isotherm::Isotherm;
use crate::physics::water::Water;
use crate::profile::Profile;

pub use segment::Segment;
use segment::{check_carried, cut};

/// How the run is made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settings {
    /// Length of a step, s. Default 1. Shorter steps cost time and change findings by less than 2 g; 10 s is good
    /// enough for studies of many dives.
    pub step_s: f64,
    /// Equation of state of all gases. The ideal gas is for teaching and for comparing by hand.
    pub equation: EquationOfState,
    /// Depth of the last stop, m. `None`: the shallowest stop of the profile, or [`FALLBACK_LAST_STOP_M`].
    pub last_stop_m: Option<f64>,
}

impl Default for Settings {
    fn default() -> Self {
        Self { step_s: 1.0, equation: EquationOfState::default(), last_stop_m: None }
    }
}

/// Where the light point is looked for when a profile has no stop, m. Common practice: the shallowest depth at which
/// divers are asked to rest on the way up.
pub const FALLBACK_LAST_STOP_M: f64 = 3.0;
/// Steps that a run may have.
pub const STEP_RANGE_S: std::ops::RangeInclusive<f64> = 0.01..=60.0;

/// What is wrong with a dive as a whole.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum ScenarioError {
    /// The diver.
    #[error(transparent)]
    Diver(#[from] DiverError),
    /// A gas table.
    #[error(transparent)]
    Gas(#[from] GasError),
    /// The step.
    #[error("step {step_s} s is outside {} to {} s", STEP_RANGE_S.start(), STEP_RANGE_S.end())]
    Step {
        /// Given, s.
        step_s: f64,
    },
    /// The last stop is not a depth of this dive.
    #[error("last stop {last_stop_m} m is outside 0 to {deepest_m} m, the depths of this dive")]
    LastStop {
        /// Given, m.
        last_stop_m: f64,
        /// Deepest point of the dive, m.
        deepest_m: f64,
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
    /// Mass of all parts, foam included, kg.
    pub mass_kg: f64,
    /// Volume of the rigid parts, m³.
    pub volume_m3: f64,
    /// The foam pieces, each with its count folded into its volume.
    pub foams: Vec<Foam>,
    /// Mass of what can be dropped under water, kg.
    pub ditchable_kg: f64,
    /// Volume of what can be dropped under water, m³ (foam counted at the surface).
    pub ditchable_m3: f64,
}

/// What the step loop needs of a cylinder, close together in memory.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct QuickCylinder {
    /// Which of the dive's mixtures it holds.
    pub gas: usize,
    pub molar_kg_mol: f64,
    pub shell_kg: f64,
    pub external_m3: f64,
    pub water_m3: f64,
}

/// A checked dive.
#[derive(Clone, Debug, PartialEq)]
pub struct Scenario {
    diver: Diver,
    water: Water,
    profile: Profile,
    settings: Settings,
    fixed: FixedSum,
    segments: Vec<Segment>,
    /// isotherms of the diver's gases, layer by layer: `[layer * gas_count + gas]`
    isotherms: Vec<Isotherm>,
    gas_count: usize,
    quick: [QuickCylinder; MAX_CYLINDERS],
    last_stop_m: f64,
}

impl Scenario {
    /// A dive from its parts.
    ///
    /// # Errors
    /// A diver that is incomplete, a leg that breathes a cylinder which is not carried, changes that do not fit, a
    /// setting out of range.
    pub fn new(diver: Diver, water: Water, profile: Profile, settings: Settings) -> Result<Self, ScenarioError> {
        Self::with_tables(diver, water, profile, settings, &[])
    }

    /// The same, taking gas tables from `known` where they fit: making them is the costly part of a scenario, and
    /// studies of many dives share them.
    ///
    /// # Errors
    /// As [`Scenario::new`].
    pub fn with_tables(
        diver: Diver,
        water: Water,
        profile: Profile,
        settings: Settings,
        known: &[(EquationOfState, Isotherm)],
    ) -> Result<Self, ScenarioError> {
        diver.check()?;
        if !STEP_RANGE_S.contains(&settings.step_s) {
            return Err(ScenarioError::Step { step_s: settings.step_s });
        }
        let last_stop_m = last_stop_m(&profile, settings.last_stop_m)?;
        let segments = cut(&profile, &water);
        check_carried(&diver, &profile, &segments)?;

        let mut gases: Vec<GasMix> = Vec::new();
        let mut quick = [QuickCylinder::default(); MAX_CYLINDERS];
        for (quick, cylinder) in quick.iter_mut().zip(&diver.cylinders) {
            let gas = gases.iter().position(|mix| *mix == cylinder.mix).unwrap_or_else(|| {
                gases.push(cylinder.mix);
                gases.len() - 1
            });
            *quick = QuickCylinder {
                gas,
                molar_kg_mol: cylinder.mix.molar_kg_mol(),
                shell_kg: cylinder.shell_kg,
                external_m3: cylinder.external_m3,
                water_m3: cylinder.water_m3,
            };
        }
        let mut isotherms = Vec::with_capacity(gases.len() * water.layer_count());
        for layer in 0..water.layer_count() {
            let temperature_k = water.layer(layer).temperature_k;
            for &mix in &gases {
                let fitting = known.iter().find(|(equation, table)| {
                    *equation == settings.equation && *table.mix() == mix && table.temperature_k() == temperature_k
                });
                isotherms.push(match fitting {
                    Some((_, table)) => *table,
                    None => Isotherm::new(mix, temperature_k, settings.equation)?,
                });
            }
        }
        let fixed = fixed_sum(&diver);
        let gas_count = gases.len();
        Ok(Self { diver, water, profile, settings, fixed, segments, isotherms, gas_count, quick, last_stop_m })
    }

    /// The diver.
    pub fn diver(&self) -> &Diver {
        &self.diver
    }

    /// The water.
    pub fn water(&self) -> &Water {
        &self.water
    }

    /// The profile.
    pub fn profile(&self) -> &Profile {
        &self.profile
    }

    /// The settings.
    pub fn settings(&self) -> &Settings {
        &self.settings
    }

    /// Sums over the fixed parts.
    pub fn fixed(&self) -> &FixedSum {
        &self.fixed
    }

    /// The stretches of the dive, in order.
    pub fn segments(&self) -> &[Segment] {
        &self.segments
    }

    /// Depth at and below which the light point is looked for, m.
    pub fn last_stop_m(&self) -> f64 {
        self.last_stop_m
    }

    /// The gas table of a cylinder's mixture in a layer of water.
    #[inline]
    pub fn isotherm(&self, layer: usize, cylinder: usize) -> &Isotherm {
        &self.isotherms[layer * self.gas_count + self.quick[cylinder].gas]
    }

    /// Molar mass of a cylinder's gas, kg/mol.
    #[inline]
    pub fn molar_kg_mol(&self, cylinder: usize) -> f64 {
        self.quick[cylinder].molar_kg_mol
    }

    /// What the step loop needs of a cylinder.
    #[inline]
    pub(crate) fn quick(&self, cylinder: usize) -> &QuickCylinder {
        &self.quick[cylinder]
    }

    /// The gas tables of a layer, one for each of the dive's mixtures.
    #[inline]
    pub(crate) fn layer_tables(&self, layer: usize) -> &[Isotherm] {
        &self.isotherms[layer * self.gas_count..(layer + 1) * self.gas_count]
    }

    /// All gas tables with their equation, to be handed to [`Scenario::with_tables`] of a similar dive.
    pub fn tables(&self) -> Vec<(EquationOfState, Isotherm)> {
        self.isotherms.iter().map(|table| (self.settings.equation, *table)).collect()
    }

    /// Volume of all foam at an absolute pressure, m³.
    #[inline]
    pub fn foam_m3(&self, p_pa: f64) -> f64 {
        self.fixed.foams.iter().fold(0.0, |sum, foam| sum + foam.volume_m3(p_pa))
    }

    /// Cylinders that count as drained when the dive goes on longer or gas is shared: all but those that only inflate
    /// suit or wing and are never breathed.
    pub fn breathable(&self) -> CylinderSet {
        let breathed = self.profile.legs().iter().fold(CylinderSet::EMPTY, |set, leg| set.or(leg.source));
        let bags = [self.diver.suit_gas.map(|s| s.supply), self.diver.wing.map(|w| w.supply)];
        let inflation = bags.into_iter().flatten().fold(CylinderSet::EMPTY, CylinderSet::or);
        CylinderSet::of(0..self.diver.cylinders.len()).minus(inflation.minus(breathed))
    }

    /// The same dive with another diver, water, profile or settings; gas tables are kept where they still fit.
    ///
    /// # Errors
    /// As [`Scenario::new`].
    pub fn with_diver(&self, diver: Diver) -> Result<Self, ScenarioError> {
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
    /// a search for the right lead does not depend on what the plan carries. Only sums change: no table, no stretch.
    pub fn with_lead(&self, lead_kg: f64, ditchable_kg: f64) -> Self {
        let mut other = self.clone();
        other.diver.parts.retain(|part| part.role != Role::Ballast);
        let piece = |name: &str, mass_kg: f64, ditchable: bool| crate::diver::Part {
            name: name.into(),
            role: Role::Ballast,
            count: 1,
            body: Body::Rigid { mass_kg, volume_m3: mass_kg / LEAD_KG_M3 },
            ditchable,
        };
        other.diver.parts.push(piece("lead", lead_kg - ditchable_kg, false));
        if ditchable_kg > 0.0 {
            other.diver.parts.push(piece("lead, ditchable", ditchable_kg, true));
        }
        other.fixed = fixed_sum(&other.diver);
        other
    }
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

fn fixed_sum(diver: &Diver) -> FixedSum {
    let mut sum = FixedSum::default();
    for part in &diver.parts {
        let count = f64::from(part.count);
        sum.mass_kg += part.mass_kg();
        let surface_m3 = count * part.body.volume_m3(crate::units::ATMOSPHERE_PA);
        match part.body {
            Body::Foam { foam, .. } => sum.foams.push(Foam { volume0_m3: count * foam.volume0_m3, ..foam }),
            Body::Rigid { .. } | Body::Reading { .. } => sum.volume_m3 += surface_m3,
        }
        if part.ditchable {
            sum.ditchable_kg += part.mass_kg();
            sum.ditchable_m3 += surface_m3;
        }
    }
    sum
}
