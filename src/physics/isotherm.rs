//! The equation of state of one mixture at one temperature, as polynomials for the run.
//!
//! Pressure is explicit in density, so both tables are made without iteration on the pressure; inside the loop a
//! pressure or an ambient density costs a few multiplications. [`Isotherm::TABLE_ERROR`] states what that costs in
//! accuracy, and a test holds it.

use crate::physics::cheb::Cheb;
use crate::physics::gas::{EquationOfState, GAS_TEMPERATURE_RANGE_K, GasError, GasMix};
use crate::units::GAS_CONSTANT_J_MOL_K;

/// Highest molar density in the table, mol/m³: oxygen at 300 bar and 0 °C has 14 200.
pub const MAX_MOLAR_DENSITY_MOL_M3: f64 = 16_000.0;
/// Ambient pressures that the ambient table covers, Pa: from a high mountain lake to 350 m of brine.
pub const AMBIENT_RANGE_PA: std::ops::RangeInclusive<f64> = 3e4..=4.5e6;

/// One mixture at one temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Isotherm {
    mix: GasMix,
    temperature_k: f64,
    rt_j_mol: f64,
    /// `Z(ρₘ)` over the range of cylinders
    z_of_density: Cheb<12>,
    /// `Z(p)` over the range of ambient pressures
    z_of_pressure: Cheb<6>,
}

impl Isotherm {
    /// Largest relative difference between the tables and the equation of state itself.
    pub const TABLE_ERROR: f64 = 2e-7;

    /// The tables of `mix` at `temperature_k`.
    ///
    /// # Errors
    /// Temperature outside [`GAS_TEMPERATURE_RANGE_K`], or no gas density at an ambient pressure.
    pub fn new(mix: GasMix, temperature_k: f64, equation: EquationOfState) -> Result<Self, GasError> {
        if !GAS_TEMPERATURE_RANGE_K.contains(&temperature_k) {
            return Err(GasError::Temperature { temperature_k });
        }
        let rt_j_mol = GAS_CONSTANT_J_MOL_K * temperature_k;
        let densities = Cheb::<12>::nodes(0.0, MAX_MOLAR_DENSITY_MOL_M3);
        let pressures = mix.pressures_pa(densities, temperature_k, equation);
        let z = std::array::from_fn(|i| pressures[i] / (densities[i] * rt_j_mol));
        let z_of_density = Cheb::through(0.0, MAX_MOLAR_DENSITY_MOL_M3, &z);

        // from the table that is there: the equation itself would be solved for the density, which costs three times as much
        let (low, high) = (*AMBIENT_RANGE_PA.start(), *AMBIENT_RANGE_PA.end());
        let z_of_pressure = Cheb::through(low, high, &[1.0; 6]);
        let mut made = Self { mix, temperature_k, rt_j_mol, z_of_density, z_of_pressure };
        let ambient_z = Cheb::<6>::nodes(low, high).map(|p| p / (made.density_mol_m3(p) * rt_j_mol));
        if ambient_z.iter().any(|z| !z.is_finite()) {
            return Err(GasError::NoRoot { pressure_pa: low, temperature_k });
        }
        made.z_of_pressure = Cheb::through(low, high, &ambient_z);
        Ok(made)
    }

    /// The mixture.
    pub fn mix(&self) -> &GasMix {
        &self.mix
    }

    /// The temperature, K.
    pub fn temperature_k(&self) -> f64 {
        self.temperature_k
    }

    /// Absolute pressure at a molar density up to [`MAX_MOLAR_DENSITY_MOL_M3`], Pa: `p = ρₘ·R·T·Z(ρₘ)`.
    #[inline]
    pub fn pressure_pa(&self, density_mol_m3: f64) -> f64 {
        density_mol_m3 * self.rt_j_mol * self.z_of_density.at(density_mol_m3)
    }

    /// Molar density at an ambient pressure within [`AMBIENT_RANGE_PA`], mol/m³: `ρₘ = p/(R·T·Z(p))`.
    #[inline]
    pub fn ambient_mol_m3(&self, ambient_pa: f64) -> f64 {
        ambient_pa / (self.rt_j_mol * self.z_of_pressure.at(ambient_pa))
    }

    /// Molar density at any absolute pressure that a cylinder can have, mol/m³: [`Isotherm::pressure_pa`] solved for
    /// the density by the secant method, started from the ideal gas.
    pub fn density_mol_m3(&self, pressure_pa: f64) -> f64 {
        let residual = |density: f64| self.pressure_pa(density) - pressure_pa;
        let mut previous = pressure_pa / self.rt_j_mol;
        let mut density = previous / self.z_of_density.at(previous.min(MAX_MOLAR_DENSITY_MOL_M3));
        let mut previous_residual = residual(previous);
        // pressure rises monotonically with density, so a handful of rounds close; the bound is only a fuse
        for _ in 0..30 {
            let here = residual(density);
            let slope = (here - previous_residual) / (density - previous);
            if !slope.is_finite() || slope <= 0.0 {
                break;
            }
            (previous, previous_residual) = (density, here);
            density -= here / slope;
            if (density - previous).abs() <= 1e-12 * density {
                break;
            }
        }
        density
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tables_agree_with_the_equation() {
        let mixes = [
            GasMix::AIR,
            GasMix::OXYGEN,
            GasMix::ARGON,
            GasMix::HELIUM,
            GasMix::new(0.5, 0.0).unwrap(),
            GasMix::new(0.10, 0.70).unwrap(),
            GasMix::new(0.21, 0.35).unwrap(),
        ];
        let mut worst: f64 = 0.0;
        for equation in [EquationOfState::Gerg2008, EquationOfState::Ideal] {
            for mix in mixes {
                for t in [271.15, 280.15, 303.15] {
                    let table = Isotherm::new(mix, t, equation).unwrap();
                    for bar in [0.5, 1.0, 2.0, 5.0, 11.0, 20.0, 36.0, 50.0, 120.0, 200.0, 232.0, 300.0] {
                        let p = bar * 1e5;
                        let exact = mix.molar_density_mol_m3(p, t, equation).unwrap();
                        worst = worst.max((table.pressure_pa(exact) / p - 1.0).abs());
                        worst = worst.max((table.density_mol_m3(p) / exact - 1.0).abs());
                        if AMBIENT_RANGE_PA.contains(&p) {
                            worst = worst.max((table.ambient_mol_m3(p) / exact - 1.0).abs());
                        }
                    }
                }
            }
        }
        assert!(worst < Isotherm::TABLE_ERROR, "worst relative error {worst:e}");
    }
}
