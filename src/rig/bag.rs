//! Gas bags: a soft space at ambient pressure that is fed from cylinders and kept by a control.
//!
//! Suit, breathing loop and wing are the same thing to the engine. What differs is what a bag holds when the dive starts, how much it
//! can hold, and what its control aims at. What is inside is a mixture with a composition of its own: gas that enters
//! mixes with it, gas that is vented leaves with the composition of the moment.

use crate::physics::place::Point;
use crate::rig::cylinder::CylinderSet;

/// Most bags that a diver can have: suit, breathing loop and wing.
pub const MAX_BAGS: usize = 3;
/// Place of the suit's gas in a run's lists of bags. Controls act in this order, so the wing, which balances the whole,
/// comes last.
pub const SUIT: usize = 0;
/// Place of the breathing loop in a run's lists of bags.
pub const LOOP: usize = 1;
/// Place of the wing in a run's lists of bags.
pub const WING: usize = 2;
/// Most different gases that can meet in a bag: what it starts with, and those of its supplies.
pub const MAX_BAG_GASES: usize = 4;

/// What a bag holds when the dive starts.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum BagStart {
    /// Nothing: a wing that was emptied.
    Empty,
    /// Closed on the shore: so much air at the surface's pressure and the water's temperature, m³.
    #[default]
    Air,
    /// Flushed: whatever it holds came out of its supply.
    Supply,
}

/// What a bag's control aims at, within what the supplies can give and the bag can hold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum BagControl {
    /// The same gas volume at every depth, m³: it adds on the way down and vents on the way up.
    KeepVolume {
        /// The volume, m³.
        volume_m3: f64,
    },
    /// What is breathed: full while it is breathed (see [`crate::rig::BreathingLoop`]), else closed, so that it is squeezed
    /// on the way down and vents on the way up.
    Breathed {
        /// The volume of a full loop, m³.
        volume_m3: f64,
    },
    /// A diver without net lift: it adds when the whole is heavy and vents when it is light.
    HoldNeutral,
}

/// A bag.
///
/// ```
/// use lightpoint::{Bag, BagStart, CylinderSet};
/// let suit = Bag::suit(0.011, CylinderSet::of([1])).starting(BagStart::Supply).with_extra(0.004);
/// assert_eq!((suit.kept_m3(), suit.capacity_m3()), (0.011, 0.015));
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bag {
    capacity_m3: f64,
    supply: CylinderSet,
    start: BagStart,
    control: BagControl,
    at: Option<Point>,
}

impl Bag {
    /// A dry suit whose gas volume is kept at `volume_m3` at every depth, fed from `supply` (several share evenly).
    /// It starts closed, with that volume of air at the surface.
    pub fn suit(volume_m3: f64, supply: CylinderSet) -> Self {
        let control = BagControl::KeepVolume { volume_m3 };
        Self { capacity_m3: volume_m3, supply, start: BagStart::Air, control, at: None }
    }

    /// A wing that holds up to `capacity_m3`, starts empty, and is kept at what makes the diver neutral.
    pub fn wing(capacity_m3: f64, supply: CylinderSet) -> Self {
        Self { capacity_m3, supply, start: BagStart::Empty, control: BagControl::HoldNeutral, at: None }
    }

    /// A breathing loop that is full at `volume_m3`, fed from the cylinders of oxygen and diluent together.
    pub(crate) fn breathed(volume_m3: f64, supply: CylinderSet, at: Option<Point>) -> Self {
        Self {
            capacity_m3: volume_m3,
            supply,
            start: BagStart::Supply,
            control: BagControl::Breathed { volume_m3 },
            at,
        }
    }

    /// The same with another content at the start.
    #[must_use]
    pub fn starting(self, start: BagStart) -> Self {
        Self { start, ..self }
    }

    /// The same with its gas at a place.
    #[must_use]
    pub fn placed(self, at: Point) -> Self {
        Self { at: Some(at), ..self }
    }

    /// The same suit with so much further volume, m³, that it may take as a second lift after a wing failure.
    #[must_use]
    pub fn with_extra(self, extra_m3: f64) -> Self {
        Self { capacity_m3: self.kept_m3() + extra_m3, ..self }
    }

    /// The same with another volume to keep, m³, and the same further volume.
    #[must_use]
    pub fn keeping(self, volume_m3: f64) -> Self {
        let control = BagControl::KeepVolume { volume_m3 };
        Self { control, capacity_m3: volume_m3 + self.extra_m3(), ..self }
    }

    /// Largest gas volume, m³.
    #[inline]
    pub fn capacity_m3(&self) -> f64 {
        self.capacity_m3
    }

    /// The volume that the control keeps, m³; for a wing all that it can hold.
    #[inline]
    pub fn kept_m3(&self) -> f64 {
        match self.control {
            BagControl::KeepVolume { volume_m3 } | BagControl::Breathed { volume_m3 } => volume_m3,
            BagControl::HoldNeutral => self.capacity_m3,
        }
    }

    /// Volume beyond the one that is kept, m³.
    #[inline]
    pub fn extra_m3(&self) -> f64 {
        self.capacity_m3 - self.kept_m3()
    }

    /// The cylinders it is fed from; several share evenly.
    #[inline]
    pub fn supply(&self) -> CylinderSet {
        self.supply
    }

    /// What it holds at the start.
    #[inline]
    pub fn start(&self) -> BagStart {
        self.start
    }

    /// Middle of its gas, if that is known.
    #[inline]
    pub fn at(&self) -> Option<Point> {
        self.at
    }

    /// What its control aims at.
    #[inline]
    pub fn control(&self) -> BagControl {
        self.control
    }
}
