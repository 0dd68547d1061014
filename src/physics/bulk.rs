//! Mass and volume of a thing, and what it lifts in water.

use std::iter::Sum;
use std::ops::{Add, AddAssign, Mul, Sub};

/// What the balance needs to know of a thing, or of many together.
///
/// `b = ρ·V − m + b₀` ([`Bulk::net_kg`]) is written here and nowhere else.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Bulk {
    /// Mass, kg.
    pub mass_kg: f64,
    /// Displaced volume, m³.
    pub volume_m3: f64,
    /// Lift that is known as a reading alone, the same in every water, kg: positive floats.
    pub lift_kg: f64,
}

impl Bulk {
    /// Nothing.
    pub const NONE: Bulk = Bulk { mass_kg: 0.0, volume_m3: 0.0, lift_kg: 0.0 };

    /// A mass and the volume that it displaces.
    #[inline]
    pub fn new(mass_kg: f64, volume_m3: f64) -> Self {
        Self { mass_kg, volume_m3, lift_kg: 0.0 }
    }

    /// A mass in something else's volume: the gas in a cylinder, kg.
    #[inline]
    pub fn mass(mass_kg: f64) -> Self {
        Self { mass_kg, ..Self::NONE }
    }

    /// A volume whose mass is counted elsewhere, m³.
    #[inline]
    pub fn volume(volume_m3: f64) -> Self {
        Self { volume_m3, ..Self::NONE }
    }

    /// A spring-scale reading of a thing whose mass and volume are not known, kg: positive floats.
    pub fn reading(lift_kg: f64) -> Self {
        Self { lift_kg, ..Self::NONE }
    }

    /// Net lift in water of a density, kg, positive floats: `b = ρ·V − m + b₀`.
    ///
    /// | symbol | in code | meaning | unit |
    /// | --- | --- | --- | --- |
    /// | ρ | `water_kg_m3` | density of the water | kg/m³ |
    /// | V | `volume_m3` | displaced volume | m³ |
    /// | m | `mass_kg` | mass | kg |
    /// | b₀ | `lift_kg` | lift known as a reading alone | kg |
    ///
    /// Source: Archimedes' principle.
    ///
    /// ```
    /// use lightpoint::Bulk;
    /// // a kilogram of lead in sea water pulls 1 − 1025/11340 kg
    /// let lead = Bulk::new(1.0, 1.0 / 11_340.0);
    /// assert!((lead.net_kg(1025.0) + 0.9096).abs() < 1e-4);
    /// ```
    #[inline]
    pub fn net_kg(&self, water_kg_m3: f64) -> f64 {
        water_kg_m3 * self.volume_m3 - self.mass_kg + self.lift_kg
    }

    /// Volume that would have to be added, without mass, to make it neutral, m³: `−b/ρ`.
    #[inline]
    pub fn missing_m3(&self, water_kg_m3: f64) -> f64 {
        -self.net_kg(water_kg_m3) / water_kg_m3
    }
}

impl Add for Bulk {
    type Output = Self;

    #[inline]
    fn add(self, other: Self) -> Self {
        Self {
            mass_kg: self.mass_kg + other.mass_kg,
            volume_m3: self.volume_m3 + other.volume_m3,
            lift_kg: self.lift_kg + other.lift_kg,
        }
    }
}

impl AddAssign for Bulk {
    #[inline]
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl Sub for Bulk {
    type Output = Self;

    #[inline]
    fn sub(self, other: Self) -> Self {
        self + other * -1.0
    }
}

impl Mul<f64> for Bulk {
    type Output = Self;

    #[inline]
    fn mul(self, times: f64) -> Self {
        Self { mass_kg: self.mass_kg * times, volume_m3: self.volume_m3 * times, lift_kg: self.lift_kg * times }
    }
}

impl Sum for Bulk {
    fn sum<I: Iterator<Item = Self>>(items: I) -> Self {
        items.fold(Self::NONE, Add::add)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // US Navy training slides on Archimedes' principle (checks D4): an anchor of 100 lb and 0.22 ft³ in sea water of
    // 64 lb/ft³ weighs 85.9 lb; in any consistent units.
    #[test]
    fn an_anchor_in_sea_water() {
        let (pound, foot3) = (0.453_592_37, 0.028_316_846_592);
        let anchor = Bulk::new(100.0 * pound, 0.22 * foot3);
        assert!((anchor.net_kg(64.0 * pound / foot3) / pound + 85.92).abs() < 1e-9);
    }

    #[test]
    fn a_reading_ignores_the_water() {
        assert_eq!(Bulk::reading(-0.8).net_kg(1000.0), -0.8);
        assert_eq!(Bulk::reading(-0.8).net_kg(1030.0), -0.8);
    }

    #[test]
    fn many_lift_what_each_does() {
        let things = [Bulk::new(3.0, 0.002), Bulk::reading(0.4), Bulk::mass(1.5), Bulk::volume(0.001) * 2.0];
        let one_by_one: f64 = things.iter().map(|thing| thing.net_kg(1021.0)).sum();
        assert!((things.into_iter().sum::<Bulk>().net_kg(1021.0) - one_by_one).abs() < 1e-12);
        assert_eq!(Bulk::new(2.0, 0.001).missing_m3(1000.0), 0.001);
    }
}
