//! A piece that was read in water but never weighed: what its mass may be, so that it follows the water.
//!
//! With the reading `B` in water of density `ρ` and the piece's mass `m` its volume is `V = (m + B)/ρ`. In other water it
//! then lifts `V·(ρ' − ρ)` more, so what the doubt of `m` does to the answer is a few per cent of it. All figures are our own
//! judgement, half-widths of a rectangular doubt, as shares of what the scale said:
//!
//! | piece | mass | its density, and who that is |
//! | --- | --- | --- |
//! | sinks | 1.6 ± 0.5 | 2.7 kg/L, as aluminium; from 11 (lead) to 1.9 (a light with its canister) |
//! | floats | 0.25 ± 0.25 | 0.2 kg/L; from nothing (air) to 0.33 (a float of hard foam) |
//! | floats, and is foam that the depth squeezes | 0.43 ± 0.17 | 0.3 ± 0.08 kg/L: lined sheet, computed from it |
//!
//! What is nearly neutral by itself, such as fins, has more volume than any of them: it must be weighed.

use crate::estimate::Estimate;

/// Mass of a sinker that was read only, as a share of what it pulls.
const SINKER: (f64, f64) = (1.6, 0.5);
/// Mass of a floater, as a share of what it lifts.
const FLOATER: (f64, f64) = (0.25, 0.25);
/// The same of foam.
const FOAM: (f64, f64) = (0.43, 0.17);

/// Where these come from.
pub const UNWEIGHED_SOURCE: &str = "typical, our own judgement: read in water, never weighed";

/// Mass of a piece that lifts so much in water, kg, from lead to an underwater light, or from air to hard foam; `None`
/// where the scale said nothing.
pub fn unweighed_kg(lift_kg: f64, is_foam: bool) -> Option<Estimate> {
    let (share, half_width) = match (lift_kg > 0.0, is_foam) {
        (true, true) => FOAM,
        (true, false) => FLOATER,
        (false, _) => SINKER,
    };
    let read_kg = lift_kg.abs();
    (read_kg > 0.0).then(|| Estimate::within(share * read_kg, half_width * read_kg))
}

/// Mass of such a piece where a draw has another reading than the plan, kg: the share of the piece goes with it, and what
/// displaces water never has less than no volume.
pub fn unweighed_at_kg(mass_kg: f64, planned_kg: f64, lift_kg: f64) -> f64 {
    // what is displaced beyond the lift of a floater, or beyond the pull of a sinker, as a share of the reading
    let spare = mass_kg / planned_kg.abs() - if planned_kg < 0.0 { 1.0 } else { 0.0 };
    spare * lift_kg.abs() + (0.0 - lift_kg).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Pieces of known density lie within the doubt: masses for a kilogram of reading in water of 1 kg/L, `m = ρ/(ρ − 1)`
    /// for a sinker and `ρ/(1 − ρ)` for a floater. Densities: handbook values, from memory; of a light with its canister
    /// 1.7 kg that pulls 0.9 kg, the demonstration's (invented).
    #[test]
    fn known_materials_lie_within_it() {
        let within = |lift_kg: f64, mass_kg: f64| {
            let estimate = unweighed_kg(lift_kg, false).unwrap();
            (mass_kg - estimate.value).abs() <= estimate.doubt.unwrap().half_width
        };
        for density_kg_l in [2.0, 2.7, 4.5, 7.9, 8.5] {
            assert!(within(-1.0, density_kg_l / (density_kg_l - 1.0)), "{density_kg_l}");
        }
        assert!(within(-0.9, 1.7));
        // lead: 1.097 kg, three grams outside; that much of a volume is nothing
        assert!(within(-1.0, 1.1));
        for density_kg_l in [0.0, 0.1, 0.3] {
            assert!(within(1.0, density_kg_l / (1.0 - density_kg_l)), "{density_kg_l}");
        }
    }

    /// However a reading is drawn, the volume is none below zero; at the plan's own reading it is the mass drawn.
    #[test]
    fn no_draw_displaces_less_than_nothing() {
        for planned_kg in [-0.2, 0.3_f64] {
            let estimate = unweighed_kg(planned_kg, false).unwrap();
            let half_width = estimate.doubt.unwrap().half_width;
            for mass_kg in [estimate.value - half_width, estimate.value, estimate.value + half_width] {
                assert!((unweighed_at_kg(mass_kg, planned_kg, planned_kg) - mass_kg).abs() < 1e-12);
                for lift_kg in [-0.5, -0.2, 0.0, 0.1, 0.6] {
                    let mass_kg = unweighed_at_kg(mass_kg, planned_kg, lift_kg);
                    assert!(mass_kg >= -1e-12 && mass_kg + lift_kg >= -1e-12, "{planned_kg} {lift_kg} {mass_kg}");
                }
            }
        }
        assert_eq!(unweighed_kg(0.0, false), None);
    }
}
