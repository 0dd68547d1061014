//! A dive's rig in a swimming pool.

use crate::physics::water::{Brine, Layer, Water};
use crate::scenario::Scenario;
use crate::study::StudyError;
use crate::units::{ATMOSPHERE_PA, celsius_to_k};

/// Temperature of a pool, K. Typical: heated pools have 24 to 30 °C.
pub fn pool_temperature_k() -> f64 {
    celsius_to_k(27.0)
}

/// The same dive in fresh water of a pool's temperature, at sea level. Its density is TEOS-10's at salinity 0: what a
/// pool has dissolved makes it heavier by less than a thousandth.
///
/// # Errors
/// A dive that is not valid in that water.
pub fn in_pool(scenario: &Scenario) -> Result<Scenario, StudyError> {
    let brine = Brine::PracticalSalinity(0.0);
    let layer = Layer { top_m: 0.0, brine, temperature_k: pool_temperature_k() };
    let water = Water::new(ATMOSPHERE_PA, &[layer])?;
    let (diver, profile) = (scenario.rig().clone(), scenario.profile().clone());
    Ok(Scenario::with_tables(diver, water, profile, *scenario.settings(), &scenario.tables())?)
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
}
