//! Gas of a dry suit and of a wing: how much they should hold, and from which cylinders.

use crate::diver::cylinder::CylinderSet;

/// The gas of a dry suit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SuitGas {
    /// Loft: the gas volume at ambient pressure that the diver keeps at every depth, m³.
    pub loft_m3: f64,
    /// Further volume that the suit may take as a second lift after a wing failure, m³. Zero: not allowed by the plan.
    pub spare_m3: f64,
    /// The cylinders it is fed from; several share evenly.
    pub supply: CylinderSet,
}

/// The wing's gas space. Its fabric is a [`crate::diver::Part`] of role `Wing`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wing {
    /// Largest gas volume, m³.
    pub capacity_m3: f64,
    /// The cylinders it is fed from; several share evenly.
    pub supply: CylinderSet,
}
