//! Breathing and inflation gases: composition, molar mass, and the equation of state.

use aga8::composition::Composition;
use aga8::gerg2008::Gerg2008;
use thiserror::Error;

use crate::units::GAS_CONSTANT_J_MOL_K;

/// Molar masses, kg/mol. Source: ISO 6976:2016 and the tables of GERG-2008 (O₂ 31.9988, He 4.002602, N₂ 28.0134,
/// Ar 39.948 g/mol).
const MOLAR_KG: [f64; 4] = [31.998_8e-3, 4.002_602e-3, 28.013_4e-3, 39.948e-3];

/// Molar mass of oxygen, kg/mol.
pub const OXYGEN_KG_MOL: f64 = MOLAR_KG[0];
/// Molar mass of carbon dioxide, kg/mol. Source: as the others.
pub const CARBON_DIOXIDE_KG_MOL: f64 = 44.009_5e-3;

/// Highest absolute pressure that a gas state may have, Pa: GERG-2008 is stated up to 35 MPa.
pub const MAX_GAS_PA: f64 = 35.0e6;
/// Temperatures that a gas state may have, K (−20 °C to 80 °C): well within GERG-2008's 90 to 450 K, and what water
/// and filling stations can do.
pub const GAS_TEMPERATURE_RANGE_K: std::ops::RangeInclusive<f64> = 253.15..=353.15;

/// Which equation of state relates pressure, amount and temperature.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum EquationOfState {
    /// GERG-2008 (ISO 20765-2): real gas.
    #[default]
    Gerg2008,
    /// `p = ρₘ·R·T`: the ideal gas, for teaching and for comparing by hand.
    Ideal,
}

/// Amounts of the four gases that the model knows, mol: oxygen, helium, nitrogen, argon.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Species {
    /// Each, mol.
    pub mol: [f64; 4],
}

impl Species {
    /// Names, in order.
    pub const NAMES: [&'static str; 4] = ["oxygen", "helium", "nitrogen", "argon"];
    /// Each by itself, in order.
    pub const PURE: [GasMix; 4] = [GasMix::OXYGEN, GasMix::HELIUM, GasMix::NITROGEN, GasMix::ARGON];

    /// Takes in an amount of a mixture, mol.
    #[inline]
    pub fn add(&mut self, mix: &GasMix, amount_mol: f64) {
        for (mol, fraction) in self.mol.iter_mut().zip(mix.mole_frac()) {
            *mol += amount_mol * fraction;
        }
    }

    /// Mass, kg.
    #[inline]
    pub fn mass_kg(&self) -> f64 {
        self.mol.iter().zip(MOLAR_KG).map(|(mol, molar_kg)| mol * molar_kg).sum()
    }
}

/// A gas mixture by mole fractions, which for the trade's purposes are volume fractions.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GasMix {
    o2_frac: f64,
    he_frac: f64,
    n2_frac: f64,
    ar_frac: f64,
}

/// What is wrong with a mixture or a gas state.
#[derive(Clone, Copy, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum GasError {
    /// A fraction is not a number from 0 to 1.
    #[error("{component} fraction is {fraction}, but a fraction lies between 0 and 1")]
    Fraction {
        /// Which gas.
        component: &'static str,
        /// The value given.
        fraction: f64,
    },
    /// The fractions sum past 1.
    #[error("the fractions sum to {sum}, past 1")]
    Sum {
        /// Their sum.
        sum: f64,
    },
    /// Pressure outside the equation's range.
    #[error("gas pressure {pressure_pa} Pa is outside 0 to {MAX_GAS_PA} Pa")]
    Pressure {
        /// Absolute pressure, Pa.
        pressure_pa: f64,
    },
    /// Temperature outside the range.
    #[error("gas temperature {temperature_k} K is outside {} to {} K", GAS_TEMPERATURE_RANGE_K.start(), GAS_TEMPERATURE_RANGE_K.end())]
    Temperature {
        /// Temperature, K.
        temperature_k: f64,
    },
    /// The equation found no gas density.
    #[error("no gas density found at {pressure_pa} Pa and {temperature_k} K")]
    NoRoot {
        /// Absolute pressure, Pa.
        pressure_pa: f64,
        /// Temperature, K.
        temperature_k: f64,
    },
}

impl GasMix {
    /// Dry air with its argon, carbon dioxide counted as nitrogen. Source: mole fractions 0.20946 O₂, 0.00933 Ar of the
    /// standard atmosphere, rest N₂, as in the reference grid of the tests.
    pub const AIR: GasMix = GasMix { o2_frac: 0.209_46, he_frac: 0.0, n2_frac: 0.781_21, ar_frac: 0.009_33 };
    /// Pure oxygen.
    pub const OXYGEN: GasMix = GasMix { o2_frac: 1.0, he_frac: 0.0, n2_frac: 0.0, ar_frac: 0.0 };
    /// Pure helium.
    pub const HELIUM: GasMix = GasMix { o2_frac: 0.0, he_frac: 1.0, n2_frac: 0.0, ar_frac: 0.0 };
    /// Pure nitrogen.
    pub const NITROGEN: GasMix = GasMix { o2_frac: 0.0, he_frac: 0.0, n2_frac: 1.0, ar_frac: 0.0 };
    /// Pure argon, for dry suits.
    pub const ARGON: GasMix = GasMix { o2_frac: 0.0, he_frac: 0.0, n2_frac: 0.0, ar_frac: 1.0 };

    /// A mixture of oxygen and helium, the rest nitrogen.
    ///
    /// # Errors
    /// A fraction outside 0..1, or a sum past 1.
    ///
    /// ```
    /// use lightpoint::GasMix;
    /// let trimix = GasMix::new(0.18, 0.45).unwrap();
    /// assert!((trimix.n2_frac() - 0.37).abs() < 1e-12);
    /// assert!(GasMix::new(0.6, 0.5).is_err());
    /// ```
    pub fn new(o2_frac: f64, he_frac: f64) -> Result<Self, GasError> {
        Self::with_argon(o2_frac, he_frac, 0.0)
    }

    /// A mixture of oxygen, helium and argon, the rest nitrogen.
    ///
    /// # Errors
    /// A fraction outside 0..1, or a sum past 1.
    pub fn with_argon(o2_frac: f64, he_frac: f64, ar_frac: f64) -> Result<Self, GasError> {
        for (component, fraction) in [("oxygen", o2_frac), ("helium", he_frac), ("argon", ar_frac)] {
            if !(0.0..=1.0).contains(&fraction) {
                return Err(GasError::Fraction { component, fraction });
            }
        }
        let sum = o2_frac + he_frac + ar_frac;
        // one part in 10⁹ is rounding of decimal fractions, not a mixture that does not sum
        if sum > 1.0 + 1e-9 {
            return Err(GasError::Sum { sum });
        }
        Ok(Self { o2_frac, he_frac, n2_frac: (1.0 - sum).max(0.0), ar_frac })
    }

    /// Whether it is pure oxygen, but for rounding of what is written.
    pub fn is_oxygen(&self) -> bool {
        self.o2_frac >= 1.0 - 1e-9
    }

    /// Mole fraction of oxygen.
    pub fn o2_frac(&self) -> f64 {
        self.o2_frac
    }

    /// Mole fraction of helium.
    pub fn he_frac(&self) -> f64 {
        self.he_frac
    }

    /// Mole fraction of nitrogen.
    pub fn n2_frac(&self) -> f64 {
        self.n2_frac
    }

    /// Mole fraction of argon.
    pub fn ar_frac(&self) -> f64 {
        self.ar_frac
    }

    /// Mole fractions of oxygen, helium, nitrogen and argon, in the order of [`Species`].
    pub fn mole_frac(&self) -> [f64; 4] {
        [self.o2_frac, self.he_frac, self.n2_frac, self.ar_frac]
    }

    /// This gas with a share of another one in it, by moles, 0..1.
    pub fn blended(&self, other: &Self, share_frac: f64) -> Self {
        let between = |a: f64, b: f64| a + share_frac * (b - a);
        Self {
            o2_frac: between(self.o2_frac, other.o2_frac),
            he_frac: between(self.he_frac, other.he_frac),
            n2_frac: between(self.n2_frac, other.n2_frac),
            ar_frac: between(self.ar_frac, other.ar_frac),
        }
    }

    /// Molar mass, kg/mol: `M = Σ xᵢ·Mᵢ`.
    pub fn molar_kg_mol(&self) -> f64 {
        self.mole_frac().iter().zip(MOLAR_KG).map(|(x, m)| x * m).sum()
    }

    /// Molar density at an absolute pressure and a temperature, mol/m³.
    ///
    /// # Errors
    /// Pressure or temperature outside the range of the equation.
    ///
    /// ```
    /// use lightpoint::{EquationOfState, GasMix};
    /// let air = GasMix::AIR.molar_density_mol_m3(101_325.0, 294.26, EquationOfState::Gerg2008).unwrap();
    /// assert!((air * GasMix::AIR.molar_kg_mol() - 1.2).abs() < 0.005);
    /// ```
    pub fn molar_density_mol_m3(
        &self,
        pressure_pa: f64,
        temperature_k: f64,
        equation: EquationOfState,
    ) -> Result<f64, GasError> {
        if !(0.0..=MAX_GAS_PA).contains(&pressure_pa) {
            return Err(GasError::Pressure { pressure_pa });
        }
        if !GAS_TEMPERATURE_RANGE_K.contains(&temperature_k) {
            return Err(GasError::Temperature { temperature_k });
        }
        match equation {
            EquationOfState::Ideal => Ok(pressure_pa / (GAS_CONSTANT_J_MOL_K * temperature_k)),
            EquationOfState::Gerg2008 if pressure_pa == 0.0 => Ok(0.0),
            EquationOfState::Gerg2008 => {
                let mut state = self.gerg();
                // the crate counts in kPa and mol/L; mol/L × 1000 = mol/m³
                state.t = temperature_k;
                state.p = pressure_pa / 1e3;
                match state.density(0) {
                    Ok(()) => Ok(state.d * 1e3),
                    Err(_) => Err(GasError::NoRoot { pressure_pa, temperature_k }),
                }
            }
        }
    }

    /// Pressures at many molar densities and one temperature, Pa. No iteration: pressure is explicit in density.
    pub(crate) fn pressures_pa<const N: usize>(
        &self,
        densities_mol_m3: [f64; N],
        temperature_k: f64,
        equation: EquationOfState,
    ) -> [f64; N] {
        match equation {
            EquationOfState::Ideal => densities_mol_m3.map(|d| d * GAS_CONSTANT_J_MOL_K * temperature_k),
            EquationOfState::Gerg2008 => {
                let mut state = self.gerg();
                state.t = temperature_k;
                densities_mol_m3.map(|d| {
                    state.d = d / 1e3;
                    state.pressure() * 1e3
                })
            }
        }
    }

    fn gerg(&self) -> Gerg2008 {
        let mut state = Gerg2008::new();
        let composition = Composition {
            oxygen: self.o2_frac,
            helium: self.he_frac,
            nitrogen: self.n2_frac,
            argon: self.ar_frac,
            ..Composition::default()
        };
        // The constructor has checked every fraction and made them sum to 1, which is all that the crate asks.
        let accepted = state.set_composition(&composition);
        debug_assert!(accepted.is_ok(), "{accepted:?}");
        state
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fractions_are_checked() {
        assert!(matches!(GasMix::new(-0.1, 0.0), Err(GasError::Fraction { component: "oxygen", .. })));
        assert!(matches!(GasMix::new(0.2, f64::NAN), Err(GasError::Fraction { component: "helium", .. })));
        assert!(matches!(GasMix::new(0.7, 0.4), Err(GasError::Sum { .. })));
        assert!(GasMix::new(0.1, 0.9).is_ok());
    }

    #[test]
    fn states_outside_the_range_are_errors() {
        let eos = EquationOfState::Gerg2008;
        assert!(matches!(GasMix::AIR.molar_density_mol_m3(4e7, 293.0, eos), Err(GasError::Pressure { .. })));
        assert!(matches!(GasMix::AIR.molar_density_mol_m3(1e5, 100.0, eos), Err(GasError::Temperature { .. })));
        assert!(matches!(GasMix::AIR.molar_density_mol_m3(f64::NAN, 293.0, eos), Err(GasError::Pressure { .. })));
        assert_eq!(GasMix::AIR.molar_density_mol_m3(0.0, 293.0, eos), Ok(0.0));
    }

    #[test]
    fn the_ideal_gas_is_p_over_rt() {
        let d = GasMix::AIR.molar_density_mol_m3(1e5, 300.0, EquationOfState::Ideal).unwrap();
        assert!((d - 40.0907).abs() < 1e-3);
    }
}
