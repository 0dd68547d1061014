//! Everything that changes during a dive, and nothing else.

use crate::diver::{CylinderSet, MAX_CYLINDERS};
use crate::scenario::Scenario;
use crate::sim::balance::{Ambient, Balance};
use crate::sim::step::control;

/// The diver's gas at a moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct State {
    /// Time from the start of the dive, s.
    pub time_s: f64,
    /// Depth, m.
    pub depth_m: f64,
    /// The cylinders on the diver.
    pub carried: CylinderSet,
    /// Amount in each cylinder, also in those left behind, mol.
    pub cylinder_mol: [f64; MAX_CYLINDERS],
    /// Amount in the wing, mol.
    pub wing_mol: f64,
    /// Amount in the dry suit, mol.
    pub suit_mol: f64,
    /// Gas breathed so far, kg.
    pub breathed_kg: f64,
    /// Gas vented from suit and wing so far, kg.
    pub vented_kg: f64,
    /// What the last step asked for and did not get.
    pub unmet: Unmet,
}

/// What a step asked for and did not get.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Unmet {
    /// Share of the step's breathing that no cylinder could deliver, 0..1.
    pub breath_frac: f64,
    /// Gas volume by which the suit is below its loft, m³.
    pub suit_m3: f64,
    /// Gas volume by which the wing is below what would hold the diver neutral, m³.
    pub wing_m3: f64,
}

/// A moment of the run: the state, the water around it, and the balance that follows from both.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Now {
    /// What changes.
    pub state: State,
    /// The water around the diver.
    pub ambient: Ambient,
    /// Mass, volume and net lift.
    pub balance: Balance,
}

impl Now {
    /// The moment in which the dive starts: cylinders as filled, suit and wing blown from their supplies until suit
    /// loft and balance are met.
    pub fn start(scenario: &Scenario) -> Self {
        let diver = scenario.diver();
        let depth_m = scenario.profile().start_m();
        let mut cylinder_mol = [0.0; MAX_CYLINDERS];
        for (mol, cylinder) in cylinder_mol.iter_mut().zip(&diver.cylinders) {
            *mol = cylinder.filled_mol;
        }
        let layer = scenario.segments().first().map_or_else(|| scenario.water().layer_at(depth_m), |s| s.layer);
        let ambient = Ambient::at(scenario, layer, depth_m);
        let mut state = State {
            time_s: 0.0,
            depth_m,
            carried: diver.carried_at_start(),
            cylinder_mol,
            wing_mol: 0.0,
            suit_mol: 0.0,
            breathed_kg: 0.0,
            vented_kg: 0.0,
            unmet: Unmet::default(),
        };
        let balance = control(scenario, &mut state, &ambient);
        Self { state, ambient, balance }
    }
}
