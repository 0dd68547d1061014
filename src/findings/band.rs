//! The control band: how far the diver may drift up or down before the lungs can no longer trim it.

use crate::scenario::Scenario;
use crate::sim::{Now, Sample};
use crate::units::STANDARD_GRAVITY_M_S2;

/// How far up and down the diver may drift, m.
///
/// With a compressible gas volume `V` (wing, suit and foam) and the lung trim `L`, both at ambient pressure `p`:
/// upwards `p/(ρg)·L/(V + L)`, downwards `p/(ρg)·L/(V − L)`. They follow from Boyle's law: the depth change at which
/// the gas has swollen or shrunk by `L`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    /// Compressible gas volume, m³.
    pub gas_m3: f64,
    /// Upwards, m; never past the surface.
    pub up_m: f64,
    /// Downwards, m; `None` when the lungs can trim any squeeze (`V ≤ L`).
    pub down_m: Option<f64>,
}

impl Band {
    /// The band of a row.
    pub fn of(scenario: &Scenario, row: &Sample) -> Self {
        let foam_m3 = scenario.fixed().foams.iter().map(|foam| foam.compressible_m3(row.ambient_pa)).sum::<f64>();
        let gas_m3 = row.wing_m3 + row.suit_m3 + foam_m3;
        let head_m = row.ambient_pa / (row.water_kg_m3 * STANDARD_GRAVITY_M_S2);
        Self::from_gas(gas_m3, scenario.rig().lung_trim_m3, head_m, row.depth_m)
    }

    /// The band of a moment.
    pub fn of_now(scenario: &Scenario, now: &Now) -> Self {
        Self::of(scenario, &Sample::of(now, 0))
    }

    /// The band from the gas volume, the lung trim, the pressure head `p/(ρg)` and the depth.
    ///
    /// ```
    /// use lightpoint::Band;
    /// // 4 L of gas and 1 L of trim under 20 m of head: a fifth up, a third down
    /// let band = Band::from_gas(0.004, 0.001, 20.0, 10.0);
    /// assert!((band.up_m - 4.0).abs() < 1e-12);
    /// assert!((band.down_m.unwrap() - 20.0 / 3.0).abs() < 1e-12);
    /// ```
    pub fn from_gas(gas_m3: f64, lung_trim_m3: f64, head_m: f64, depth_m: f64) -> Self {
        let both_m3 = gas_m3 + lung_trim_m3;
        let up_m = if both_m3 > 0.0 { (head_m * lung_trim_m3 / both_m3).min(depth_m) } else { depth_m };
        let down_m = (gas_m3 > lung_trim_m3).then(|| head_m * lung_trim_m3 / (gas_m3 - lung_trim_m3));
        Self { gas_m3, up_m, down_m }
    }
}
