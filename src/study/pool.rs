//! A dive's rig in a swimming pool.

use crate::findings::{CheckAt, Contents, PoolCheck};
use crate::physics::water::{Brine, Layer, Water};
use crate::rig::CylinderSet;
use crate::scenario::Scenario;
use crate::study::{StudyError, lead_pull_frac};
use crate::units::{ATMOSPHERE_PA, celsius_to_k};

/// Temperature of a pool, K. Typical: heated pools have 24 to 30 °C.
pub fn pool_temperature_k() -> f64 {
    celsius_to_k(27.0)
}

/// A pool's water: fresh, of its temperature.
pub fn pool_layer() -> Layer {
    Layer { top_m: 0.0, brine: Brine::PracticalSalinity(0.0), temperature_k: pool_temperature_k() }
}

/// The same dive in fresh water of a pool's temperature, at sea level. Its density is TEOS-10's at salinity 0: what a
/// pool has dissolved makes it heavier by less than a thousandth.
///
/// # Errors
/// A dive that is not valid in that water.
pub fn in_pool(scenario: &Scenario) -> Result<Scenario, StudyError> {
    in_water(scenario, pool_layer())
}

/// The same dive in other water, the same at every depth, at sea level.
///
/// # Errors
/// As [`in_pool`].
pub fn in_water(scenario: &Scenario, layer: Layer) -> Result<Scenario, StudyError> {
    let water = Water::new(ATMOSPHERE_PA, &[Layer { top_m: 0.0, ..layer }])?;
    let (diver, profile) = (scenario.rig().clone(), scenario.profile().clone());
    Ok(Scenario::with_tables(diver, water, profile, *scenario.settings(), &scenario.tables())?)
}

/// Lead with which a diver with some cylinders, all that is breathed of them at its reserve, hangs neutral at a depth of that
/// water with the wing empty, kg: `m = B₀/q` with the net lift without any lead `B₀` and what a kilogram of lead pulls `q`.
/// Lead is rigid, so one sum is exact. Below zero: the diver sinks without any.
///
/// # Errors
/// As [`in_pool`].
pub fn neutral_lead_kg(
    scenario: &Scenario,
    carried: CylinderSet,
    layer: Layer,
    depth_m: f64,
) -> Result<f64, StudyError> {
    let without = in_water(&scenario.with_lead(0.0, 0.0), layer)?;
    let check = PoolCheck::of(&without, carried, CheckAt { depth_m, contents: Contents::Low });
    Ok(check.bare_kg / lead_pull_frac(without.water().density_kg_m3(0, depth_m)))
}

#[cfg(test)]
#[cfg(feature = "plan")] // the demonstration plan
mod tests {
    use super::*;
    use crate::plan::Plan;

    #[test]
    fn a_pool_is_fresh_and_warm() {
        let scenario = Plan::demonstration(&[]).unwrap().build().unwrap().scenario;
        let pool = in_pool(&scenario).unwrap();
        // Tanaka et al. 2001, Metrologia 38, 301, as printed tables give it at 27 °C: 996.51 kg/m³ (from memory);
        // another formulation, hence the tolerance
        assert!((pool.water().density_kg_m3(0, 0.0) - 996.51).abs() < 0.15);
        assert_eq!(pool.rig(), scenario.rig());
    }

    #[test]
    fn neutral_lead_is_neutral() {
        let scenario = Plan::demonstration(&[]).unwrap().build().unwrap().scenario;
        let carried = scenario.rig().carried_at_start();
        let sea = Layer { brine: Brine::PracticalSalinity(35.0), ..pool_layer() };
        let lead_kg = neutral_lead_kg(&scenario, carried, sea, 2.0).unwrap();
        let with = in_water(&scenario.with_lead(lead_kg, 0.0), sea).unwrap();
        let check = PoolCheck::of(&with, carried, CheckAt { depth_m: 2.0, contents: Contents::Low });
        // sums of a dozen terms of up to 100 kg
        assert!(check.bare_kg.abs() < 1e-10, "{lead_kg} {}", check.bare_kg);
        // fresh water lifts 2.5 % less than the sea of the plan, so less lead does: by hand, ρ·V of some 150 L
        let pool_kg = neutral_lead_kg(&scenario, carried, pool_layer(), 2.0).unwrap();
        assert!((2.0..6.0).contains(&(lead_kg - pool_kg)), "{lead_kg} {pool_kg}");
    }
}
