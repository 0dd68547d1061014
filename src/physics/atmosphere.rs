//! Air pressure at the surface of a lake above sea level.

use crate::units::{ATMOSPHERE_PA, STANDARD_GRAVITY_M_S2};

/// Sea-level temperature of the standard atmosphere, K (ISO 2533:1975).
const SEA_LEVEL_K: f64 = 288.15;
/// Temperature gradient of the lowest layer, K/m (ISO 2533:1975).
const LAPSE_K_M: f64 = 0.006_5;
/// Specific gas constant of air in the standard, J/(kg·K) (ISO 2533:1975: 287.052 87).
const AIR_J_KG_K: f64 = 287.052_87;

/// Lowest and highest altitude that [`standard_pressure_pa`] takes, m: the lowest layer of the standard reaches to
/// 11 000 m, and no dive is meant below the shore of the lowest lake on land.
pub const ALTITUDE_RANGE_M: std::ops::RangeInclusive<f64> = -450.0..=6000.0;

/// Pressure of the ISO 2533 standard atmosphere at a geopotential altitude.
///
/// `p = p₀·(1 − L·H/T₀)^(g₀/(R·L))`
///
/// | symbol | in code | meaning | unit |
/// | --- | --- | --- | --- |
/// | H | `altitude_m` | geopotential altitude, within [`ALTITUDE_RANGE_M`] | m |
/// | p | result | absolute air pressure | Pa |
///
/// `None` outside the range. Geometric altitude differs by less than 0.1 % below 6 000 m and is not told apart.
/// Source: ISO 2533:1975, lowest layer.
///
/// ```
/// let p = lightpoint::internals::physics::atmosphere::standard_pressure_pa(1000.0).unwrap();
/// assert!((p - 89_874.6).abs() < 1.0);
/// ```
pub fn standard_pressure_pa(altitude_m: f64) -> Option<f64> {
    ALTITUDE_RANGE_M.contains(&altitude_m).then(|| {
        let exponent = STANDARD_GRAVITY_M_S2 / (AIR_J_KG_K * LAPSE_K_M);
        ATMOSPHERE_PA * (1.0 - LAPSE_K_M * altitude_m / SEA_LEVEL_K).powf(exponent)
    })
}
