//! Cylinders and sets of cylinders.

use crate::diver::{DiverError, not_negative, positive};
use crate::physics::gas::{EquationOfState, GasMix};
use crate::units::ATMOSPHERE_PA;

/// Most cylinders that a dive can have. A run keeps their contents in arrays of this length.
pub const MAX_CYLINDERS: usize = 16;

/// A cylinder, or several under one manifold that act as one.
#[derive(Clone, Debug, PartialEq)]
pub struct Cylinder {
    /// Name as the plan gives it.
    pub name: String,
    /// How many act as one (2 for manifolded twins).
    pub count: u32,
    /// Inner water capacity of all, m³.
    pub water_m3: f64,
    /// Displaced volume of all with valves and bands, m³. Pressure does not change it.
    pub external_m3: f64,
    /// Mass of all, empty, with valves and bands, kg.
    pub shell_kg: f64,
    /// What it is filled with.
    pub mix: GasMix,
    /// Amount of gas as filled, mol.
    pub filled_mol: f64,
    /// Gauge pressure as filled, Pa.
    pub fill_gauge_pa: f64,
    /// Temperature of the fill, K.
    pub fill_temperature_k: f64,
    /// Gauge pressure that counts as nearly empty, Pa.
    pub low_gauge_pa: f64,
    /// Whether the diver has it when the dive starts.
    pub carried_at_start: bool,
    /// Whether the diver may do without it: leave, lose or hand it to a partner.
    pub removable: bool,
}

/// The figures from which a [`Cylinder`] is made; volumes and masses are of one.
#[derive(Clone, Debug, PartialEq)]
pub struct CylinderSpec {
    /// Name.
    pub name: String,
    /// How many act as one.
    pub count: u32,
    /// Inner water capacity of one, m³.
    pub water_m3: f64,
    /// Displaced volume of one with valve, m³.
    pub external_m3: f64,
    /// Mass of one, empty, with valve, kg.
    pub shell_kg: f64,
    /// The gas.
    pub mix: GasMix,
    /// Gauge pressure of the fill, Pa.
    pub fill_gauge_pa: f64,
    /// Temperature of the fill, K.
    pub fill_temperature_k: f64,
    /// Gauge pressure that counts as nearly empty, Pa.
    pub low_gauge_pa: f64,
    /// Whether the diver has it when the dive starts.
    pub carried_at_start: bool,
    /// Whether the diver may do without it.
    pub removable: bool,
}

impl Cylinder {
    /// The cylinder with the amount of gas that its fill gives: `n = V·ρₘ(p_gauge + 1 atm, T_fill)`.
    ///
    /// # Errors
    /// A value out of range, or a fill outside the equation of state.
    ///
    /// ```
    /// use lightpoint::diver::{Cylinder, CylinderSpec};
    /// use lightpoint::physics::gas::{EquationOfState, GasMix};
    /// let spec = CylinderSpec {
    ///     name: "back".into(), count: 1, water_m3: 0.012, external_m3: 0.0140, shell_kg: 14.5,
    ///     mix: GasMix::AIR, fill_gauge_pa: 200e5, fill_temperature_k: 293.15, low_gauge_pa: 35e5,
    ///     carried_at_start: true, removable: false,
    /// };
    /// let cylinder = Cylinder::fill(spec, EquationOfState::Gerg2008).unwrap();
    /// assert!((cylinder.gas_kg(cylinder.filled_mol) - 2.8).abs() < 0.1);
    /// ```
    pub fn fill(spec: CylinderSpec, equation: EquationOfState) -> Result<Self, DiverError> {
        let total = f64::from(spec.count);
        let density = spec
            .mix
            .molar_density_mol_m3(spec.fill_gauge_pa + ATMOSPHERE_PA, spec.fill_temperature_k, equation)
            .map_err(|source| DiverError::Gas { part: spec.name.clone(), source })?;
        let cylinder = Self {
            count: spec.count,
            water_m3: total * spec.water_m3,
            external_m3: total * spec.external_m3,
            shell_kg: total * spec.shell_kg,
            mix: spec.mix,
            filled_mol: total * spec.water_m3 * density,
            fill_gauge_pa: spec.fill_gauge_pa,
            fill_temperature_k: spec.fill_temperature_k,
            low_gauge_pa: spec.low_gauge_pa,
            carried_at_start: spec.carried_at_start,
            removable: spec.removable,
            name: spec.name,
        };
        cylinder.check()?;
        Ok(cylinder)
    }

    /// Mass of an amount of its gas, kg: `m = n·M`.
    pub fn gas_kg(&self, amount_mol: f64) -> f64 {
        amount_mol * self.mix.molar_kg_mol()
    }

    /// Net lift with an amount of gas inside, kg: `B = ρ·V_ext − m_shell − n·M`.
    pub fn lift_kg(&self, water_kg_m3: f64, amount_mol: f64) -> f64 {
        water_kg_m3 * self.external_m3 - self.shell_kg - self.gas_kg(amount_mol)
    }

    pub(crate) fn check(&self) -> Result<(), DiverError> {
        positive(&self.name, "number", f64::from(self.count), "")?;
        positive(&self.name, "water capacity", self.water_m3, "m³")?;
        positive(&self.name, "mass", self.shell_kg, "kg")?;
        not_negative(&self.name, "fill pressure", self.fill_gauge_pa, "Pa")?;
        not_negative(&self.name, "low pressure", self.low_gauge_pa, "Pa")?;
        not_negative(&self.name, "amount of gas", self.filled_mol, "mol")?;
        if !(self.external_m3.is_finite() && self.external_m3 > self.water_m3) {
            return Err(DiverError::OutOfRange {
                part: self.name.clone(),
                quantity: "external volume",
                value: self.external_m3,
                unit: "m³",
                expected: "larger than the water capacity",
            });
        }
        Ok(())
    }
}

/// A set of a diver's cylinders, by index.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct CylinderSet(u16);

impl CylinderSet {
    /// No cylinder.
    pub const EMPTY: CylinderSet = CylinderSet(0);

    /// The set of some indices below [`MAX_CYLINDERS`]; larger ones are left out.
    pub fn of(indices: impl IntoIterator<Item = usize>) -> Self {
        indices.into_iter().fold(Self::EMPTY, Self::with)
    }

    /// The set with one more.
    #[must_use]
    pub fn with(self, index: usize) -> Self {
        if index < MAX_CYLINDERS { Self(self.0 | 1 << index) } else { self }
    }

    /// The set with one less.
    #[must_use]
    pub fn without(self, index: usize) -> Self {
        if index < MAX_CYLINDERS { Self(self.0 & !(1 << index)) } else { self }
    }

    /// What is in both.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        Self(self.0 & other.0)
    }

    /// What is in either.
    #[must_use]
    pub fn or(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// What is in this one but not in the other.
    #[must_use]
    pub fn minus(self, other: Self) -> Self {
        Self(self.0 & !other.0)
    }

    /// Whether it holds an index.
    pub fn contains(self, index: usize) -> bool {
        index < MAX_CYLINDERS && self.0 & (1 << index) != 0
    }

    /// Whether it holds none.
    pub fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// How many it holds.
    pub fn len(self) -> usize {
        self.0.count_ones() as usize
    }

    /// The lowest index.
    #[inline]
    pub fn first(self) -> Option<usize> {
        (self.0 != 0).then(|| self.0.trailing_zeros() as usize)
    }

    /// The indices in rising order.
    #[inline]
    pub fn iter(self) -> impl Iterator<Item = usize> {
        let mut rest = self.0;
        std::iter::from_fn(move || {
            (rest != 0).then(|| {
                let index = rest.trailing_zeros() as usize;
                rest &= rest - 1;
                index
            })
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sets_behave() {
        let set = CylinderSet::of([0, 3, 15, 99]);
        assert_eq!(set.iter().collect::<Vec<_>>(), [0, 3, 15]);
        assert_eq!(set.without(3).len(), 2);
        assert!(set.contains(15) && !set.contains(1) && !set.contains(99));
        assert!(CylinderSet::EMPTY.is_empty() && CylinderSet::EMPTY.iter().next().is_none());
        assert_eq!(set.and(CylinderSet::of([3])), CylinderSet::of([3]));
        assert_eq!(set.minus(CylinderSet::of([3])), CylinderSet::of([0, 15]));
    }
}
