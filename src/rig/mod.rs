//! What is worn and carried: fixed during a run, checked on construction.
//!
//! [`part`] everything rigid or foam, the diver's own body and the ballast included · [`cylinder`] cylinders and sets of
//! them · [`bag`] the gas of dry suit, loop and wing · [`breathing_loop`] a closed circuit.

pub mod bag;
pub mod breathing_loop;
pub mod cylinder;
pub mod part;

use thiserror::Error;

use crate::physics::place::Point;

pub use bag::{Bag, BagControl, BagStart, LOOP, MAX_BAG_GASES, MAX_BAGS, SUIT, WING};
pub use breathing_loop::{BreathingLoop, MOST_OXYGEN_FRAC, STANDARD_MOL_M3};
pub use cylinder::{Cylinder, CylinderSet, CylinderSpec, Lie, MAX_CYLINDERS};
pub use part::{Body, Part, Role};

/// A diver with everything worn or carried.
///
/// Checked by [`Rig::check`], which [`crate::scenario::Scenario::new`] calls. The default is a diver with nothing, who
/// can swim up nothing and whose lungs trim nothing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Rig {
    /// Rigid and foam parts: the body, the suit, gear, ballast.
    pub parts: Vec<Part>,
    /// Gas of a dry suit, if there is one.
    pub suit: Option<Bag>,
    /// A breathing loop, if there is one.
    pub breathing_loop: Option<BreathingLoop>,
    /// The wing, if there is one.
    pub wing: Option<Bag>,
    /// Cylinders, also those that are picked up on the way.
    pub cylinders: Vec<Cylinder>,
    /// Volume by which the lungs can trim up or down from the middle, m³.
    pub lung_trim_m3: f64,
    /// Load that the diver can swim up, kg.
    pub swim_up_kg: f64,
    /// Volume of head and shoulders that is held out of the water at the surface, m³.
    pub head_out_m3: f64,
    /// Where breathing trims the diver: what the diver lacks to neutral acts there. `None`: nothing is known of places.
    pub lungs: Option<Point>,
}

/// A place where lead may go.
#[derive(Clone, Debug, PartialEq)]
pub struct LeadSpot {
    /// What it is called.
    pub name: String,
    /// Where it is.
    pub at: Point,
    /// The most that it holds, kg.
    pub most_kg: Option<f64>,
    /// Whether lead there can be dropped under water.
    pub lets_go: bool,
}

/// What is wrong with a diver.
#[derive(Clone, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum RigError {
    /// A value outside its range.
    #[error("{part}: {quantity} is {value} {unit}, but must be {expected}")]
    OutOfRange {
        /// Name of the part.
        part: String,
        /// Which quantity.
        quantity: &'static str,
        /// Its value.
        value: f64,
        /// Unit of the value.
        unit: &'static str,
        /// What would be valid, in words.
        expected: &'static str,
    },
    /// The gas of a cylinder has no valid state.
    #[error("{part}: {source}")]
    Gas {
        /// Name of the cylinder.
        part: String,
        /// What is wrong.
        source: crate::physics::gas::GasError,
    },
    /// Foam hangs on a cylinder, whose volume may not change with depth.
    #[error("{part}, which hangs on {cylinder}, is foam: what hangs on a cylinder must be rigid")]
    FoamOnCylinder {
        /// Name of the part.
        part: String,
        /// Name of the cylinder.
        cylinder: String,
    },
    /// More cylinders than a run can hold.
    #[error("{count} cylinders, but a dive can have at most {MAX_CYLINDERS}")]
    TooManyCylinders {
        /// How many.
        count: usize,
    },
    /// A loop's oxygen is not oxygen.
    #[error("{cylinder} is the loop's oxygen, but does not hold pure oxygen")]
    NotOxygen {
        /// Name of the cylinder.
        cylinder: String,
    },
    /// A loop's diluent dilutes nothing.
    #[error("{cylinder} is the loop's diluent, but holds pure oxygen")]
    DiluentIsOxygen {
        /// Name of the cylinder.
        cylinder: String,
    },
    /// A supply names no cylinder, or one that does not exist.
    #[error("the supply of the {bag} is not a set of this diver's cylinders")]
    Supply {
        /// `suit`, `loop` or `wing`.
        bag: &'static str,
    },
    /// More different gases than can meet in a bag.
    #[error("{count} different gases can meet in the {bag}, but at most {MAX_BAG_GASES} can be told apart")]
    BagGases {
        /// `suit` or `wing`.
        bag: &'static str,
        /// How many.
        count: usize,
    },
}

impl Rig {
    /// Whether the diver is complete and every value is in range.
    ///
    /// # Errors
    /// The first fault found.
    pub fn check(&self) -> Result<(), RigError> {
        if self.cylinders.len() > MAX_CYLINDERS {
            return Err(RigError::TooManyCylinders { count: self.cylinders.len() });
        }
        self.parts.iter().try_for_each(Part::check)?;
        for (quantity, value, unit) in [
            ("lung trim", self.lung_trim_m3, "m³"),
            ("swim-up capacity", self.swim_up_kg, "kg"),
            ("volume of head and shoulders", self.head_out_m3, "m³"),
        ] {
            not_negative("diver", quantity, value, unit)?;
        }
        for at in self.bags().into_iter().flatten().filter_map(|bag| bag.at()).chain(self.lungs) {
            placed("diver", at)?;
        }
        if let Some(suit) = &self.suit {
            not_negative("suit", "gas volume", suit.kept_m3(), "m³")?;
            not_negative("suit", "extra volume", suit.extra_m3(), "m³")?;
        }
        if let Some(wing) = &self.wing {
            not_negative("wing", "capacity", wing.capacity_m3(), "m³")?;
        }
        for (name, bag) in [("suit", self.suit), ("wing", self.wing)] {
            if let Some(bag) = bag {
                self.check_supply(name, bag.supply())?;
            }
        }
        self.breathing_loop.map_or(Ok(()), |circuit| self.check_loop(&circuit))
    }

    fn check_loop(&self, circuit: &BreathingLoop) -> Result<(), RigError> {
        circuit.check()?;
        self.check_supply("loop", circuit.oxygen)?;
        self.check_supply("loop", circuit.diluent)?;
        if circuit.bail_out.iter().any(|i| i >= self.cylinders.len()) {
            return Err(RigError::Supply { bag: "loop" });
        }
        let pure = |i: usize| self.cylinders[i].spec().mix.is_oxygen();
        let name = |i: usize| self.cylinders[i].name().to_owned();
        if let Some(i) = circuit.oxygen.iter().find(|&i| !pure(i)) {
            return Err(RigError::NotOxygen { cylinder: name(i) });
        }
        match circuit.diluent.iter().find(|&i| pure(i)) {
            Some(i) => Err(RigError::DiluentIsOxygen { cylinder: name(i) }),
            None => Ok(()),
        }
    }

    /// Every part, worn or hung on a cylinder; what hangs on several cylinders comes once for each.
    pub fn all_parts(&self) -> impl Iterator<Item = &Part> {
        self.parts.iter().chain(self.cylinders.iter().flat_map(Cylinder::rigging))
    }

    /// The bags in the order of their controls; [`SUIT`], [`LOOP`] and [`WING`] are their places.
    #[inline]
    pub fn bags(&self) -> [Option<Bag>; MAX_BAGS] {
        [self.suit, self.breathing_loop.map(|circuit| circuit.bag()), self.wing]
    }

    fn check_supply(&self, bag: &'static str, supply: CylinderSet) -> Result<(), RigError> {
        if supply.is_empty() || supply.iter().any(|i| i >= self.cylinders.len()) {
            return Err(RigError::Supply { bag });
        }
        Ok(())
    }

    /// The cylinders carried when the dive starts.
    pub fn carried_at_start(&self) -> CylinderSet {
        CylinderSet::of(self.cylinders.iter().enumerate().filter(|(_, c)| c.is_carried_at_start()).map(|(i, _)| i))
    }
}

/// A value that must be finite and not below zero.
pub(crate) fn not_negative(part: &str, quantity: &'static str, value: f64, unit: &'static str) -> Result<(), RigError> {
    if value.is_finite() && value >= 0.0 {
        return Ok(());
    }
    Err(RigError::OutOfRange { part: part.into(), quantity, value, unit, expected: "zero or more" })
}

/// Farthest that a thing may lie from the middle of the shoulders, m.
pub const FARTHEST_M: f64 = 3.0;

/// A place that must be on or beside a diver.
pub(crate) fn placed(part: &str, at: Point) -> Result<(), RigError> {
    for value in [at.along_m, at.left_m, at.up_m] {
        if value.is_nan() || value.abs() > FARTHEST_M {
            let expected = "within 3 m of the shoulders";
            return Err(RigError::OutOfRange { part: part.into(), quantity: "place", value, unit: "m", expected });
        }
    }
    Ok(())
}

/// A value that must be finite and above zero.
pub(crate) fn positive(part: &str, quantity: &'static str, value: f64, unit: &'static str) -> Result<(), RigError> {
    if value.is_finite() && value > 0.0 {
        return Ok(());
    }
    Err(RigError::OutOfRange { part: part.into(), quantity, value, unit, expected: "more than zero" })
}
