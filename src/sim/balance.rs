//! Mass, volume and net lift of a state.

use crate::diver::{CylinderSet, MAX_CYLINDERS};
use crate::scenario::Scenario;
use crate::sim::state::State;

/// The water around the diver, and the dive's gases in it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ambient {
    /// Layer of water, by index.
    pub layer: usize,
    /// Absolute pressure, Pa.
    pub pressure_pa: f64,
    /// Density, kg/m³.
    pub water_kg_m3: f64,
    /// Volume of all foam, m³.
    pub foam_m3: f64,
    /// Molar density of each of the dive's mixtures at this pressure and temperature, mol/m³.
    gas_mol_m3: [f64; MAX_CYLINDERS],
}

impl Ambient {
    /// The water at a depth within a layer.
    #[inline]
    pub fn at(scenario: &Scenario, layer: usize, depth_m: f64) -> Self {
        let water = scenario.water();
        let pressure_pa = water.pressure_pa(layer, depth_m);
        let mut gas_mol_m3 = [0.0; MAX_CYLINDERS];
        for (density, table) in gas_mol_m3.iter_mut().zip(scenario.layer_tables(layer)) {
            *density = table.ambient_mol_m3(pressure_pa);
        }
        Self {
            layer,
            pressure_pa,
            water_kg_m3: water.density_kg_m3(layer, depth_m),
            foam_m3: scenario.foam_m3(pressure_pa),
            gas_mol_m3,
        }
    }

    /// Molar density of a cylinder's gas outside the cylinder, mol/m³.
    #[inline]
    pub fn gas_mol_m3(&self, scenario: &Scenario, cylinder: usize) -> f64 {
        self.gas_mol_m3[scenario.quick(cylinder).gas]
    }
}

/// The whole balance of a moment.
///
/// `net = ρ·(V_rigid + V_foam + V_cylinders + V_suit + V_wing) − m`, and `bare = net − ρ·V_wing + m_wing`: the same
/// without the wing and its gas, which is the diver after a total wing failure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Balance {
    /// Density of the water, kg/m³.
    pub water_kg_m3: f64,
    /// Mass of everything on the diver, gas included, kg.
    pub mass_kg: f64,
    /// Gas in the cylinders that are carried, kg; contained in `mass_kg`.
    pub carried_gas_kg: f64,
    /// Volume of everything but suit gas and wing gas, m³.
    pub solid_m3: f64,
    /// Volume of all foam, m³; contained in `solid_m3`.
    pub foam_m3: f64,
    /// Gas volume of the dry suit, m³.
    pub suit_m3: f64,
    /// Mass of the suit's gas, kg.
    pub suit_kg: f64,
    /// Gas volume of the wing, m³.
    pub wing_m3: f64,
    /// Mass of the wing's gas, kg.
    pub wing_kg: f64,
}

impl Balance {
    /// The balance of a state.
    #[inline]
    pub fn of(scenario: &Scenario, state: &State, ambient: &Ambient) -> Self {
        let (mut shell_kg, mut carried_gas_kg, mut external_m3) = (0.0, 0.0, 0.0);
        for i in state.carried.iter() {
            let cylinder = scenario.quick(i);
            shell_kg += cylinder.shell_kg;
            carried_gas_kg += state.cylinder_mol[i] * cylinder.molar_kg_mol;
            external_m3 += cylinder.external_m3;
        }
        let bag = |supply: Option<CylinderSet>, mol: f64| match supply.and_then(CylinderSet::first) {
            Some(gas) => (mol / ambient.gas_mol_m3(scenario, gas), mol * scenario.molar_kg_mol(gas)),
            None => (0.0, 0.0),
        };
        let diver = scenario.diver();
        let (suit_m3, suit_kg) = bag(diver.suit_gas.map(|suit| suit.supply), state.suit_mol);
        let (wing_m3, wing_kg) = bag(diver.wing.map(|wing| wing.supply), state.wing_mol);
        Self {
            water_kg_m3: ambient.water_kg_m3,
            mass_kg: scenario.fixed().mass_kg + shell_kg + carried_gas_kg + suit_kg + wing_kg,
            carried_gas_kg,
            solid_m3: scenario.fixed().volume_m3 + external_m3 + ambient.foam_m3,
            foam_m3: ambient.foam_m3,
            suit_m3,
            suit_kg,
            wing_m3,
            wing_kg,
        }
    }

    /// Net lift with the wing as it is, kg.
    #[inline]
    pub fn net_kg(&self) -> f64 {
        self.water_kg_m3 * (self.solid_m3 + self.suit_m3 + self.wing_m3) - self.mass_kg
    }

    /// Net lift with the wing empty, kg.
    #[inline]
    pub fn bare_kg(&self) -> f64 {
        self.water_kg_m3 * (self.solid_m3 + self.suit_m3) - (self.mass_kg - self.wing_kg)
    }
}
