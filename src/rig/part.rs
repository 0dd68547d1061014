//! Rigid and foam parts of the rig, the diver's own body and the ballast included.

use crate::physics::bulk::Bulk;
use crate::physics::foam::Foam;
use crate::physics::place::Centres;
use crate::rig::{RigError, not_negative, placed, positive};
use crate::units::ATMOSPHERE_PA;

/// What a part is for; it sorts the tables and tells the ballast from the rest.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Role {
    /// The diver's own body.
    Person,
    /// Suit, hood, undergarment.
    Suit,
    /// The empty wing.
    Wing,
    /// Everything else that is worn or carried.
    Gear,
    /// Weight carried for its weight: what the search for the right lead changes.
    Ballast,
}

/// Mass and displacement of one piece.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Body {
    /// Mass and a volume that pressure does not change.
    Rigid {
        /// Mass, kg.
        mass_kg: f64,
        /// Displaced volume, m³.
        volume_m3: f64,
    },
    /// Mass, and foam that pressure squeezes.
    Foam {
        /// Mass, kg.
        mass_kg: f64,
        /// The foam with all of the piece's volume.
        foam: Foam,
    },
    /// Only a spring-scale reading: the volume is unknown, and the reading is used as it is in every water.
    Reading {
        /// Lift as read, kg: positive floats.
        lift_kg: f64,
    },
}

impl Body {
    /// Mass and volume at an absolute pressure.
    pub fn bulk(&self, p_pa: f64) -> Bulk {
        match *self {
            Body::Rigid { mass_kg, volume_m3 } => Bulk::new(mass_kg, volume_m3),
            Body::Foam { mass_kg, foam } => Bulk::new(mass_kg, foam.volume_m3(p_pa)),
            Body::Reading { lift_kg } => Bulk::reading(lift_kg),
        }
    }
}

/// A named piece, perhaps several of the same.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Name as the plan gives it.
    pub name: String,
    /// What it is for.
    pub role: Role,
    /// How many.
    pub count: u32,
    /// Mass and displacement of one.
    pub body: Body,
    /// Whether the diver can drop it under water.
    pub ditchable: bool,
    /// Where it pulls, if that is known; on a part that hangs on a cylinder `None` is the cylinder's valve.
    pub at: Option<Centres>,
}

impl Part {
    /// Mass and volume of all pieces at an absolute pressure.
    pub fn bulk(&self, p_pa: f64) -> Bulk {
        self.body.bulk(p_pa) * f64::from(self.count)
    }

    /// Mass of all pieces, kg. A piece known by a reading alone counts as a mass without volume.
    pub fn mass_kg(&self) -> f64 {
        let bulk = self.bulk(ATMOSPHERE_PA);
        bulk.mass_kg - bulk.lift_kg
    }

    pub(crate) fn check(&self) -> Result<(), RigError> {
        if let Some(at) = &self.at {
            placed(&self.name, at.mass)?;
            placed(&self.name, at.volume)?;
        }
        match self.body {
            Body::Rigid { mass_kg, volume_m3 } => {
                not_negative(&self.name, "mass", mass_kg, "kg")?;
                not_negative(&self.name, "volume", volume_m3, "m³")
            }
            Body::Foam { mass_kg, foam } => {
                not_negative(&self.name, "mass", mass_kg, "kg")?;
                positive(&self.name, "foam volume", foam.volume0_m3, "m³")?;
                for (quantity, value) in [("gas fraction", foam.gas_frac), ("squeeze share", foam.compliance_frac)] {
                    if !(0.0..=1.0).contains(&value) {
                        return Err(RigError::OutOfRange {
                            part: self.name.clone(),
                            quantity,
                            value,
                            unit: "",
                            expected: "between 0 and 1",
                        });
                    }
                }
                Ok(())
            }
            Body::Reading { lift_kg } if lift_kg.is_finite() => Ok(()),
            Body::Reading { lift_kg } => Err(RigError::OutOfRange {
                part: self.name.clone(),
                quantity: "reading",
                value: lift_kg,
                unit: "kg",
                expected: "a finite number",
            }),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn negative_masses_are_refused() {
        let body = Body::Rigid { mass_kg: -1.0, volume_m3: 0.0 };
        let part = Part { name: "plate".into(), role: Role::Gear, count: 1, body, ditchable: false, at: None };
        assert!(matches!(part.check(), Err(RigError::OutOfRange { quantity: "mass", .. })));
    }
}
