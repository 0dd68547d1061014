//! Cylinders and sets of cylinders.

use crate::physics::bulk::Bulk;
use crate::physics::gas::{EquationOfState, GasError, GasMix};
use crate::physics::place::{Centres, Point};
use crate::rig::{Body, Part, RigError, not_negative, placed, positive};
use crate::units::ATMOSPHERE_PA;

/// Most cylinders that a dive can have. A run keeps their contents in arrays of this length.
pub const MAX_CYLINDERS: usize = 16;

/// The figures of a cylinder, or of several under one manifold that act as one. Volumes and masses are of one.
///
/// Fields that are not named have the default's value: a single cylinder of air at 20 °C that stays on the diver from
/// start to end. Capacity, displacement and mass have no default; [`Cylinder::new`] refuses a zero.
#[derive(Clone, Debug, PartialEq)]
pub struct CylinderSpec {
    /// Name as the plan gives it.
    pub name: String,
    /// How many act as one (2 for manifolded twins). Default 1.
    pub count: u32,
    /// Inner water capacity of one, m³.
    pub water_m3: f64,
    /// Displaced volume of one with valve, m³. Pressure does not change it.
    pub external_m3: f64,
    /// Mass of one, empty, with valve, kg.
    pub shell_kg: f64,
    /// What it is filled with. Default air.
    pub mix: GasMix,
    /// Gauge pressure of the fill, Pa. Default 0.
    pub fill_gauge_pa: f64,
    /// Temperature of the fill, K. Default 293.15.
    pub fill_temperature_k: f64,
    /// Gauge pressure that counts as its reserve, Pa. Default 0.
    pub reserve_gauge_pa: f64,
    /// Whether it counts as down to its reserve, where cylinders do, even if it is never breathed and only inflates suit
    /// or wing. Default false.
    pub inflates_to_reserve: bool,
    /// What hangs on it and goes where it goes: regulator, gauge, rigging, float. For all of `count` together. Default
    /// nothing.
    pub rigging: Vec<Part>,
    /// Whether the diver has it when the dive starts. Default true.
    pub carried_at_start: bool,
    /// Whether the diver may do without it: leave, lose or hand it to a partner. Default false.
    pub removable: bool,
    /// Whether the diver can let go of it under water when the wing fails. Default false.
    pub ditchable: bool,
    /// How it lies on the diver. Default not known.
    pub lie: Option<Lie>,
}

/// How a cylinder lies: along the body, its valve headward. Of several that act as one the middle between them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lie {
    /// Its valve end, where what hangs on it pulls.
    pub valve: Point,
    /// Length from there to its bottom, m.
    pub length_m: f64,
}

/// Mass of a valve, kg: 0.68 to 1.13 as printed (a training text, seen); it lies at the end of a cylinder, not in its middle.
pub const VALVE_KG: f64 = 0.8;
/// Density of a valve, kg/m³: brass (from memory).
const VALVE_KG_M3: f64 = 8500.0;

impl Lie {
    /// The middle of shell and gas.
    #[inline]
    pub fn middle(&self) -> Point {
        self.valve + Point::new(-0.5 * self.length_m, 0.0, 0.0)
    }
}

impl Default for CylinderSpec {
    fn default() -> Self {
        Self {
            name: String::new(),
            count: 1,
            water_m3: 0.0,
            external_m3: 0.0,
            shell_kg: 0.0,
            mix: GasMix::AIR,
            fill_gauge_pa: 0.0,
            fill_temperature_k: 293.15,
            reserve_gauge_pa: 0.0,
            inflates_to_reserve: false,
            rigging: Vec::new(),
            carried_at_start: true,
            removable: false,
            ditchable: false,
            lie: None,
        }
    }
}

/// A checked cylinder. How much gas its fill is depends on the equation of state, which is a setting of the dive: the
/// amount is asked of the [`crate::scenario::Scenario`], or of [`Cylinder::fill_mol`].
#[derive(Clone, Debug, PartialEq)]
pub struct Cylinder {
    spec: CylinderSpec,
}

impl Cylinder {
    /// The cylinder of these figures.
    ///
    /// # Errors
    /// A value out of range.
    ///
    /// ```
    /// use lightpoint::{Cylinder, CylinderSpec, EquationOfState};
    /// let back = Cylinder::new(CylinderSpec {
    ///     name: "back".into(), water_m3: 0.012, external_m3: 0.0140, shell_kg: 14.5, fill_gauge_pa: 200e5,
    ///     ..CylinderSpec::default()
    /// }).unwrap();
    /// let air_mol = back.fill_mol(EquationOfState::Gerg2008).unwrap();
    /// assert!((back.gas_kg(air_mol) - 2.8).abs() < 0.1);
    /// ```
    pub fn new(spec: CylinderSpec) -> Result<Self, RigError> {
        let name = &spec.name;
        positive(name, "number", f64::from(spec.count), "")?;
        positive(name, "water capacity", spec.water_m3, "m³")?;
        positive(name, "mass", spec.shell_kg, "kg")?;
        not_negative(name, "fill pressure", spec.fill_gauge_pa, "Pa")?;
        not_negative(name, "reserve", spec.reserve_gauge_pa, "Pa")?;
        if !(spec.external_m3.is_finite() && spec.external_m3 > spec.water_m3) {
            return Err(RigError::OutOfRange {
                part: spec.name.clone(),
                quantity: "external volume",
                value: spec.external_m3,
                unit: "m³",
                expected: "larger than the water capacity",
            });
        }
        if let Some(lie) = &spec.lie {
            placed(name, lie.valve)?;
            positive(name, "length", lie.length_m, "m")?;
        }
        for part in &spec.rigging {
            part.check()?;
            // the bulk of a cylinder does not depend on depth
            if let Body::Foam { .. } = part.body {
                return Err(RigError::FoamOnCylinder { part: part.name.clone(), cylinder: spec.name.clone() });
            }
        }
        Ok(Self { spec })
    }

    /// The figures it was made of.
    #[inline]
    pub fn spec(&self) -> &CylinderSpec {
        &self.spec
    }

    /// Name as the plan gives it.
    pub fn name(&self) -> &str {
        &self.spec.name
    }

    /// How many act as one.
    pub fn count(&self) -> u32 {
        self.spec.count
    }

    /// Inner water capacity of all, m³.
    #[inline]
    pub fn water_m3(&self) -> f64 {
        f64::from(self.spec.count) * self.spec.water_m3
    }

    /// What hangs on it.
    pub fn rigging(&self) -> &[Part] {
        &self.spec.rigging
    }

    /// Hangs more on it, for all of them together.
    ///
    /// # Errors
    /// A part out of range, or foam; then nothing is hung.
    pub fn hang(&mut self, parts: impl IntoIterator<Item = Part>) -> Result<(), RigError> {
        let mut spec = self.spec.clone();
        spec.rigging.extend(parts);
        *self = Self::new(spec)?;
        Ok(())
    }

    /// The same cylinder, lying there.
    ///
    /// # Errors
    /// A place or a length out of range.
    pub fn lying(self, lie: Lie) -> Result<Self, RigError> {
        Self::new(CylinderSpec { lie: Some(lie), ..self.spec })
    }

    /// Centres of all shells with their valves, if it is known how they lie: the valve at its end, the rest in the middle.
    pub fn centres(&self) -> Option<Centres> {
        let lie = self.spec.lie?;
        let (shell_kg, external_m3) = (self.spec.shell_kg, self.spec.external_m3);
        // a shell that weighs no more than its valve is none; a draw may come near
        let valve_frac = (VALVE_KG / shell_kg).min(0.5);
        let valve_m3_frac = valve_frac * shell_kg / VALVE_KG_M3 / external_m3;
        let at = |frac: f64| lie.valve * frac + lie.middle() * (1.0 - frac);
        Some(Centres { mass: at(valve_frac), volume: at(valve_m3_frac) })
    }

    /// Mass and volume of all with what hangs on it, but without gas.
    pub fn rigged(&self) -> Bulk {
        let hung = self.spec.rigging.iter().map(|part| part.bulk(ATMOSPHERE_PA));
        Bulk::new(self.shell_kg(), self.external_m3()) + hung.sum()
    }

    /// Displaced volume of all with valves and bands, m³.
    pub fn external_m3(&self) -> f64 {
        f64::from(self.spec.count) * self.spec.external_m3
    }

    /// Mass of all, empty, with valves and bands, kg.
    pub fn shell_kg(&self) -> f64 {
        f64::from(self.spec.count) * self.spec.shell_kg
    }

    /// What it is filled with.
    pub fn mix(&self) -> GasMix {
        self.spec.mix
    }

    /// Gauge pressure of the fill, Pa.
    pub fn fill_gauge_pa(&self) -> f64 {
        self.spec.fill_gauge_pa
    }

    /// Gauge pressure that counts as its reserve, Pa.
    #[inline]
    pub fn reserve_gauge_pa(&self) -> f64 {
        self.spec.reserve_gauge_pa
    }

    /// Whether the diver has it when the dive starts.
    pub fn is_carried_at_start(&self) -> bool {
        self.spec.carried_at_start
    }

    /// Whether the diver may do without it.
    #[inline]
    pub fn is_removable(&self) -> bool {
        self.spec.removable
    }

    /// Whether the diver can let go of it under water.
    #[inline]
    pub fn is_ditchable(&self) -> bool {
        self.spec.ditchable
    }

    /// Amount of gas as filled, mol: `n = V·ρₘ(p_gauge + 1 atm, T_fill)`.
    ///
    /// # Errors
    /// A fill outside the equation of state.
    pub fn fill_mol(&self, equation: EquationOfState) -> Result<f64, GasError> {
        let pressure_pa = self.spec.fill_gauge_pa + ATMOSPHERE_PA;
        let density = self.spec.mix.molar_density_mol_m3(pressure_pa, self.spec.fill_temperature_k, equation)?;
        Ok(self.water_m3() * density)
    }

    /// Mass of an amount of its gas, kg: `m = n·M`.
    pub fn gas_kg(&self, amount_mol: f64) -> f64 {
        amount_mol * self.spec.mix.molar_kg_mol()
    }
}

/// A set of a diver's cylinders, by index.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct CylinderSet(u16);

impl CylinderSet {
    /// No cylinder.
    pub const EMPTY: CylinderSet = CylinderSet(0);

    /// The set of some indices below [`MAX_CYLINDERS`]; larger ones are left out.
    #[inline]
    pub fn of(indices: impl IntoIterator<Item = usize>) -> Self {
        indices.into_iter().fold(Self::EMPTY, Self::with)
    }

    /// The set with one more.
    #[must_use]
    #[inline]
    pub fn with(self, index: usize) -> Self {
        if index < MAX_CYLINDERS { Self(self.0 | 1 << index) } else { self }
    }

    /// The set with one less.
    #[must_use]
    #[inline]
    pub fn without(self, index: usize) -> Self {
        if index < MAX_CYLINDERS { Self(self.0 & !(1 << index)) } else { self }
    }

    /// What is in both.
    #[must_use]
    #[inline]
    pub fn and(self, other: Self) -> Self {
        Self(self.0 & other.0)
    }

    /// What is in either.
    #[must_use]
    #[inline]
    pub fn or(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// What is in this one but not in the other.
    #[must_use]
    #[inline]
    pub fn minus(self, other: Self) -> Self {
        Self(self.0 & !other.0)
    }

    /// Whether it holds an index.
    #[inline]
    pub fn contains(self, index: usize) -> bool {
        index < MAX_CYLINDERS && self.0 & (1 << index) != 0
    }

    /// Whether it holds none.
    #[inline]
    pub fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// How many it holds.
    #[inline]
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
