//! Where things are on a diver, and what their pulls do there: points, the two centres of a thing, moments.
//!
//! Axes are those of a prone diver, with the shoulder line (the acromion) and the middle of the body as origin:
//!
//! | axis | positive |
//! | --- | --- |
//! | along | headward |
//! | left | to the diver's left |
//! | up | to the back |

use std::iter::Sum;
use std::ops::{Add, AddAssign, Mul, Sub};

use crate::physics::bulk::Bulk;
use crate::units::STANDARD_GRAVITY_M_S2;

/// A place on the diver, or the way from one place to another, m.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Point {
    /// Headward of the shoulder line, m.
    pub along_m: f64,
    /// To the left of the middle, m.
    pub left_m: f64,
    /// To the back from the middle of the body, m.
    pub up_m: f64,
}

impl Point {
    /// The middle of the shoulder line.
    pub const ORIGIN: Point = Point { along_m: 0.0, left_m: 0.0, up_m: 0.0 };

    /// A place by its distances, m.
    #[inline]
    pub const fn new(along_m: f64, left_m: f64, up_m: f64) -> Self {
        Self { along_m, left_m, up_m }
    }

    /// Whether all of it are numbers.
    pub fn is_finite(&self) -> bool {
        self.along_m.is_finite() && self.left_m.is_finite() && self.up_m.is_finite()
    }
}

impl Add for Point {
    type Output = Self;

    #[inline]
    fn add(self, other: Self) -> Self {
        Self::new(self.along_m + other.along_m, self.left_m + other.left_m, self.up_m + other.up_m)
    }
}

impl Sub for Point {
    type Output = Self;

    #[inline]
    fn sub(self, other: Self) -> Self {
        self + other * -1.0
    }
}

impl Mul<f64> for Point {
    type Output = Self;

    #[inline]
    fn mul(self, times: f64) -> Self {
        Self::new(self.along_m * times, self.left_m * times, self.up_m * times)
    }
}

/// Where a thing pulls: its mass at one place, its displaced volume at another. They differ where a thing is not the same
/// all through: a body with lungs, a cylinder with its valve.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Centres {
    /// Centre of its mass; what is known as a reading alone acts here too.
    pub mass: Point,
    /// Centre of its volume.
    pub volume: Point,
}

impl Centres {
    /// A thing with both centres at one place.
    #[inline]
    pub const fn at(place: Point) -> Self {
        Self { mass: place, volume: place }
    }

    /// Both centres moved.
    #[inline]
    #[must_use]
    pub fn moved(&self, by: Point) -> Self {
        Self { mass: self.mass + by, volume: self.volume + by }
    }

    /// Moment of what a thing lifts in water of a density: `ρ·V·r_V − m·r_m + b₀·r_m`.
    #[inline]
    pub fn moment(&self, bulk: &Bulk, water_kg_m3: f64) -> Moment {
        Arms::of(bulk, self).moment(water_kg_m3)
    }
}

/// Masses, volumes and readings times their places, added up for one direction each: what is the same in every water. A
/// moment is what each direction lifts, so the balance stays [`Bulk::net_kg`].
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Arms {
    along: Bulk,
    left: Bulk,
    up: Bulk,
}

impl Arms {
    /// Of one thing.
    pub fn of(bulk: &Bulk, at: &Centres) -> Self {
        let of = |mass_m: f64, volume_m: f64| Bulk {
            mass_kg: bulk.mass_kg * mass_m,
            volume_m3: bulk.volume_m3 * volume_m,
            lift_kg: bulk.lift_kg * mass_m,
        };
        Self {
            along: of(at.mass.along_m, at.volume.along_m),
            left: of(at.mass.left_m, at.volume.left_m),
            up: of(at.mass.up_m, at.volume.up_m),
        }
    }

    /// Moment in water of a density.
    #[inline]
    pub fn moment(&self, water_kg_m3: f64) -> Moment {
        Moment {
            along_kg_m: self.along.net_kg(water_kg_m3),
            left_kg_m: self.left.net_kg(water_kg_m3),
            up_kg_m: self.up.net_kg(water_kg_m3),
        }
    }
}

impl Add for Arms {
    type Output = Self;

    #[inline]
    fn add(self, other: Self) -> Self {
        Self { along: self.along + other.along, left: self.left + other.left, up: self.up + other.up }
    }
}

impl Sum for Arms {
    fn sum<I: Iterator<Item = Self>>(items: I) -> Self {
        items.fold(Self::default(), Add::add)
    }
}

/// Lifts times their places, `M = Σ b·r`, kg·m. Where the lifts sum to zero it does not depend on the origin.
///
/// The pitch at which a diver of moment `(Mx, My, Mz)` hangs at rest is that at which the moment points straight up:
///
/// ```text
/// pitch  θ = atan2(Mx, Mz)      from prone, head up positive
/// roll   φ = atan2(My, Mz)      left side up positive
/// torque   = g·Mx               held level, N·m: positive lifts the head
///            g·|M|·sin Δ        held at Δ from rest, M in the plane of the turn
/// ```
///
/// Source: statics of a rigid body; the formulas are identities.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Moment {
    /// Lifts times their places headward, kg·m.
    pub along_kg_m: f64,
    /// Lifts times their places to the left, kg·m.
    pub left_kg_m: f64,
    /// Lifts times their places to the back, kg·m.
    pub up_kg_m: f64,
}

impl Moment {
    /// Of nothing.
    pub const NONE: Moment = Moment { along_kg_m: 0.0, left_kg_m: 0.0, up_kg_m: 0.0 };

    /// Of one lift, kg, at a place.
    #[inline]
    pub fn of(lift_kg: f64, at: Point) -> Self {
        Self { along_kg_m: lift_kg * at.along_m, left_kg_m: lift_kg * at.left_m, up_kg_m: lift_kg * at.up_m }
    }

    /// Torque about the axis across the body, diver held level, N·m: positive lifts the head.
    #[inline]
    pub fn pitch_torque_nm(&self) -> f64 {
        STANDARD_GRAVITY_M_S2 * self.along_kg_m
    }

    /// Torque about the axis along the body, diver held level, N·m: positive lifts the left side.
    #[inline]
    pub fn roll_torque_nm(&self) -> f64 {
        STANDARD_GRAVITY_M_S2 * self.left_kg_m
    }

    /// Largest torque that pitching can meet, at a right angle to rest, N·m.
    #[inline]
    pub fn most_torque_nm(&self) -> f64 {
        STANDARD_GRAVITY_M_S2 * self.along_kg_m.hypot(self.up_kg_m)
    }

    /// Torque of a diver held at a pitch from level, N·m: positive lifts the head.
    #[inline]
    pub fn torque_at_nm(&self, pitch_rad: f64) -> f64 {
        STANDARD_GRAVITY_M_S2 * (self.along_kg_m * pitch_rad.cos() - self.up_kg_m * pitch_rad.sin())
    }

    /// Pitch at rest from prone, rad: head up positive. Beyond a right angle the diver turns onto the back.
    #[inline]
    pub fn pitch_rad(&self) -> f64 {
        self.along_kg_m.atan2(self.up_kg_m)
    }

    /// Roll at rest from prone, rad: left side up positive.
    #[inline]
    pub fn roll_rad(&self) -> f64 {
        self.left_kg_m.atan2(self.up_kg_m)
    }
}

impl Add for Moment {
    type Output = Self;

    #[inline]
    fn add(self, other: Self) -> Self {
        Self {
            along_kg_m: self.along_kg_m + other.along_kg_m,
            left_kg_m: self.left_kg_m + other.left_kg_m,
            up_kg_m: self.up_kg_m + other.up_kg_m,
        }
    }
}

impl AddAssign for Moment {
    #[inline]
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl Sub for Moment {
    type Output = Self;

    #[inline]
    fn sub(self, other: Self) -> Self {
        self + other * -1.0
    }
}

impl Mul<f64> for Moment {
    type Output = Self;

    #[inline]
    fn mul(self, times: f64) -> Self {
        Self { along_kg_m: self.along_kg_m * times, left_kg_m: self.left_kg_m * times, up_kg_m: self.up_kg_m * times }
    }
}

impl Sum for Moment {
    fn sum<I: Iterator<Item = Self>>(items: I) -> Self {
        items.fold(Self::NONE, Add::add)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Lift, kg, at a place along and up, m.
    type Pull = (f64, f64, f64);
    const WING: Pull = (6.0, 0.10, 0.12);
    const CYLINDERS: Pull = (-4.0, 0.0, 0.20);
    const BODY: Pull = (2.0, 0.15, 0.0);

    fn moment(pulls: &[Pull]) -> Moment {
        pulls.iter().map(|&(lift_kg, along_m, up_m)| Moment::of(lift_kg, Point::new(along_m, 0.0, up_m))).sum()
    }

    // checks T1 and T2: identities, by hand M = Σ b·r; angles and torques to the digits printed there
    #[test]
    fn a_diver_of_four_pulls() {
        let low = moment(&[WING, CYLINDERS, BODY, (-4.0, -0.15, -0.10)]);
        assert!((low.along_kg_m - 1.50).abs() < 1e-12 && (low.up_kg_m - 0.32).abs() < 1e-12, "{low:?}");
        assert!((low.pitch_rad().to_degrees() - 77.96).abs() < 5e-3);
        assert!((low.pitch_torque_nm() - 14.71).abs() < 5e-3);
        assert!((low.most_torque_nm() - 15.04).abs() < 5e-3);
        let high = moment(&[WING, CYLINDERS, BODY, (-4.0, 0.15, -0.10)]);
        assert!((high.along_kg_m - 0.30).abs() < 1e-12 && (high.up_kg_m - 0.32).abs() < 1e-12, "{high:?}");
        assert!((high.pitch_rad().to_degrees() - 43.15).abs() < 5e-3);
        assert!((high.most_torque_nm() - 4.30).abs() < 5e-3);
    }

    // what the definitions say of rest: there is no torque there, and the largest a right angle away
    #[test]
    fn at_rest_nothing_turns() {
        let held = moment(&[WING, CYLINDERS, BODY, (-4.0, -0.15, -0.10)]);
        let rest_rad = held.pitch_rad();
        assert!(held.torque_at_nm(rest_rad).abs() < 1e-12);
        assert!((held.torque_at_nm(0.0) - held.pitch_torque_nm()).abs() < 1e-12);
        let aside_nm = held.torque_at_nm(rest_rad - std::f64::consts::FRAC_PI_2);
        assert!((aside_nm - held.most_torque_nm()).abs() < 1e-12);
    }

    #[test]
    fn two_centres_are_two_forces() {
        let (water_kg_m3, bulk) = (1025.0, Bulk { mass_kg: 3.0, volume_m3: 0.002, lift_kg: 0.5 });
        let centres = Centres { mass: Point::new(-0.2, 0.1, 0.05), volume: Point::new(0.3, -0.1, 0.2) };
        let by_hand = Moment::of(1025.0 * 0.002, centres.volume) + Moment::of(-2.5, centres.mass);
        let found = centres.moment(&bulk, water_kg_m3);
        assert!((found - by_hand).most_torque_nm() < 1e-12 && (found.left_kg_m - by_hand.left_kg_m).abs() < 1e-12);
    }
}
