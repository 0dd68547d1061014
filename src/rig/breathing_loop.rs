//! A breathing loop: what of a closed circuit decides about lift.
//!
//! Diver and rig are a closed system. The body takes oxygen out of the loop and gives carbon dioxide back, which an
//! absorbent keeps; what is missing in volume is filled up with diluent, and oxygen is let in whenever its partial
//! pressure is below the setpoint. Nothing leaves but what is too much on the way up or when the setpoint is raised. A
//! loop that lets gas out all the time (semi-closed) is not modelled.

use crate::physics::place::Point;
use crate::rig::{Bag, CylinderSet, RigError, not_negative, placed, positive};

/// Share of oxygen that a loop never goes beyond: what is left of the other gases is not flushed out to the last, and
/// water vapour takes its share (own judgement). A setpoint that asks for more is held at this.
pub const MOST_OXYGEN_FRAC: f64 = 0.95;
/// Amount of gas in a litre at 0 °C and 1 atm, in which the body's use of oxygen is counted, mol/m³: `p/(R·T)` of the
/// ideal gas.
pub const STANDARD_MOL_M3: f64 = crate::units::ATMOSPHERE_PA / (crate::units::GAS_CONSTANT_J_MOL_K * 273.15);

/// A breathing loop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BreathingLoop {
    /// Gas in counterlungs, hoses and canister while it is breathed, m³; the lungs are the body's.
    pub volume_m3: f64,
    /// Volume by which a breath held in the loop may trim the diver up or down, m³: half of what lies between the
    /// least loop and the full one. None: a breath only moves gas between lungs and counterlungs.
    pub play_m3: f64,
    /// Gas in the lungs, m³, which is one with the loop's while it is breathed and swells and shrinks with it; its volume
    /// itself is the body's. On open circuit every breath fills the lungs anew at the pressure around.
    pub lungs_m3: f64,
    /// The cylinders of oxygen; several share evenly.
    pub oxygen: CylinderSet,
    /// The cylinders of diluent; several share evenly.
    pub diluent: CylinderSet,
    /// The cylinders that are breathed when the loop has failed; at reserve for the least lead.
    pub bail_out: CylinderSet,
    /// Carbon dioxide given for each oxygen that is taken, mol/mol.
    pub quotient_frac: f64,
    /// Carbon dioxide that the absorbent can take up, mol; `None` where nobody says.
    pub absorbs_mol: Option<f64>,
    /// Middle of the loop's gas, if that is known.
    pub at: Option<Point>,
    /// Place of the canister, if that is known.
    pub canister_at: Option<Point>,
}

impl BreathingLoop {
    /// The cylinders it is fed from.
    pub fn supply(&self) -> CylinderSet {
        self.oxygen.or(self.diluent)
    }

    /// It as a bag of gas.
    pub fn bag(&self) -> Bag {
        Bag::breathed(self.volume_m3, self.supply(), self.at)
    }

    /// Whether every value is in range.
    ///
    /// # Errors
    /// The first fault found.
    pub(super) fn check(&self) -> Result<(), RigError> {
        positive("loop", "volume", self.volume_m3, "m³")?;
        not_negative("loop", "play", self.play_m3, "m³")?;
        not_negative("loop", "gas of the lungs", self.lungs_m3, "m³")?;
        positive("loop", "respiratory quotient", self.quotient_frac, "mol/mol")?;
        if let Some(absorbs_mol) = self.absorbs_mol {
            positive("absorbent", "carbon dioxide that it can take up", absorbs_mol, "mol")?;
        }
        self.at.into_iter().chain(self.canister_at).try_for_each(|at| placed("loop", at))
    }
}
