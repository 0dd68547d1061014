//! Gas in a soft bag (a dry suit, a wing) at ambient pressure.
//!
//! Between control actions the amount is constant and the volume follows the ambient pressure, which is Boyle's law;
//! with the real-gas molar density of [`super::isotherm::Isotherm`] it is Boyle's law with `Z`.

/// What a bag should hold and what has to be done about it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Action {
    /// So many moles must be added from the supply.
    Add(f64),
    /// So many moles must be vented.
    Vent(f64),
}

/// Volume of `amount_mol` at the ambient molar density, m³: `V = n/ρₘ`.
#[inline]
pub fn volume_m3(amount_mol: f64, ambient_mol_m3: f64) -> f64 {
    amount_mol / ambient_mol_m3
}

/// What brings a bag that holds `amount_mol` to `target_m3` at the ambient molar density.
#[inline]
pub fn towards(amount_mol: f64, target_m3: f64, ambient_mol_m3: f64) -> Action {
    let missing_mol = target_m3 * ambient_mol_m3 - amount_mol;
    if missing_mol >= 0.0 { Action::Add(missing_mol) } else { Action::Vent(-missing_mol) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bag_in_balance_asks_for_nothing() {
        assert_eq!(towards(2.0, 0.05, 40.0), Action::Add(0.0));
    }

    #[test]
    fn half_the_pressure_vents_half() {
        // 10 L at 80 mol/m³ is 0.8 mol; at 40 mol/m³ the same 10 L are 0.4 mol
        let Action::Vent(mol) = towards(0.8, 0.010, 40.0) else { panic!("must vent") };
        assert!((mol - 0.4).abs() < 1e-15);
        assert!((volume_m3(0.4, 40.0) - 0.010).abs() < 1e-15);
    }
}
