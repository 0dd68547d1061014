//! Everything that changes during a dive, the water around it, and the balance that follows from both.

use crate::physics::bulk::Bulk;
use crate::physics::gas::{GasMix, OXYGEN_KG_MOL, Species};
use crate::rig::{BagStart, CylinderSet, LOOP, MAX_BAG_GASES, MAX_BAGS, MAX_CYLINDERS, SUIT, WING};
use crate::scenario::{MAX_GASES, OnLoop, QuickBag, Scenario};
use crate::sim::circuit;
use crate::sim::control::{Limits, control};

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
    /// Amount of each gas in each bag, mol: a slot for every gas that can meet there.
    pub bag_mol: [[f64; MAX_BAG_GASES]; MAX_BAGS],
    /// Gas breathed so far.
    pub breathed: Species,
    /// Gas vented from suit, loop and wing so far.
    pub vented: Species,
    /// Oxygen that the body has taken out of a loop so far, mol. Nothing of it leaves: its mass stays on the diver, as
    /// carbon dioxide in the absorbent and, what that is heavier, as what the body has lost.
    pub metabolised_mol: f64,
    /// What was asked for on the way here and could not be had.
    pub unmet: Unmet,
}

/// What was asked for and could not be had.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Unmet {
    /// Share of the breathing since the last knot that no cylinder could deliver, or of the oxygen that a loop did not
    /// have, 0..1.
    pub breath_frac: f64,
    /// By how much the oxygen of a loop is below its setpoint for want of oxygen, Pa.
    pub oxygen_pa: f64,
    /// Gas volume by which each bag is below what its control aims at, m³.
    pub bag_m3: [f64; MAX_BAGS],
}

/// The water around the diver.
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
}

impl Ambient {
    /// The water at a depth within a layer.
    #[inline]
    pub fn at(scenario: &Scenario, layer: usize, depth_m: f64) -> Self {
        let water = scenario.water();
        let (pressure_pa, water_kg_m3) = (water.pressure_pa(layer, depth_m), water.density_kg_m3(layer, depth_m));
        Self::in_water(scenario, layer, pressure_pa, water_kg_m3)
    }

    /// Water of a pressure and a density, with the temperature of a layer.
    #[inline]
    pub fn in_water(scenario: &Scenario, layer: usize, pressure_pa: f64, water_kg_m3: f64) -> Self {
        Self { layer, pressure_pa, water_kg_m3, foam_m3: scenario.foam_m3(pressure_pa) }
    }

    /// Molar density of a cylinder's gas outside the cylinder, mol/m³.
    #[inline]
    pub fn gas_mol_m3(&self, scenario: &Scenario, cylinder: usize) -> f64 {
        scenario.isotherm(self.layer, cylinder).ambient_mol_m3(self.pressure_pa)
    }

    /// Gas in a bag: its mass and its volume.
    #[inline]
    pub(crate) fn bag(&self, scenario: &Scenario, index: usize, mol: &[f64; MAX_BAG_GASES]) -> Bulk {
        let tables = scenario.gases().of_layer(self.layer);
        self.bag_of(scenario, index, mol, |gas| tables[gas].ambient_mol_m3(self.pressure_pa))
    }

    /// The same from the molar densities of the dive's gases: the volume is `Σ nᵢ·vᵢ + Σ nᵢ·nⱼ/n·eᵢⱼ` (see
    /// [`crate::physics::blend`]).
    #[inline]
    fn bag_of(
        &self,
        scenario: &Scenario,
        index: usize,
        mol: &[f64; MAX_BAG_GASES],
        mol_m3: impl Fn(usize) -> f64,
    ) -> Bulk {
        let Some(bag) = &scenario.gases().bags[index] else { return Bulk::NONE };
        let mut bulk = Bulk::NONE;
        for (slot, &gas) in bag.gases().iter().enumerate() {
            bulk += Bulk::new(mol[slot] * bag.molar_kg_mol[slot], mol[slot] / mol_m3(gas));
        }
        if bag.gas_count > 1 {
            bulk.volume_m3 += scenario.gases().excess_m3(self.layer, index, mol, self.pressure_pa);
        }
        bulk
    }
}

/// The water around the diver with the molar densities of all of the dive's gases in it: for the step, which asks for
/// each of them several times. A moment does not keep them.
pub(crate) struct Air<'a> {
    pub scenario: &'a Scenario,
    pub ambient: &'a Ambient,
    mol_m3: [f64; MAX_GASES],
}

impl<'a> Air<'a> {
    #[inline]
    pub fn of(scenario: &'a Scenario, ambient: &'a Ambient) -> Self {
        let mut mol_m3 = [0.0; MAX_GASES];
        for (density, table) in mol_m3.iter_mut().zip(scenario.gases().of_layer(ambient.layer)) {
            *density = table.ambient_mol_m3(ambient.pressure_pa);
        }
        Self { scenario, ambient, mol_m3 }
    }

    /// As [`Ambient::gas_mol_m3`].
    #[inline]
    pub fn gas_mol_m3(&self, cylinder: usize) -> f64 {
        self.mol_m3[self.scenario.gases().quick[cylinder].gas]
    }

    /// As [`Ambient::bag`].
    #[inline]
    pub fn bag(&self, index: usize, mol: &[f64; MAX_BAG_GASES]) -> Bulk {
        self.ambient.bag_of(self.scenario, index, mol, |gas| self.mol_m3[gas])
    }
}

/// The whole balance of a moment, in sums.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Balance {
    /// Density of the water, kg/m³.
    pub water_kg_m3: f64,
    /// Everything but the gas in the bags.
    pub solid: Bulk,
    /// Gas in each bag.
    pub bags: [Bulk; MAX_BAGS],
    /// Gas in the cylinders that are carried, kg; contained in `solid`.
    pub carried_gas_kg: f64,
    /// Wing volume that holds the diver neutral, m³; below zero the diver floats with the wing empty.
    pub need_m3: f64,
}

impl Balance {
    /// The balance of a state.
    #[inline]
    pub fn of(scenario: &Scenario, state: &State, ambient: &Ambient) -> Self {
        Self::with(scenario, state, ambient, |index| ambient.bag(scenario, index, &state.bag_mol[index]))
    }

    /// The same from what is known of the gases.
    #[inline]
    pub(crate) fn in_air(air: &Air<'_>, state: &State) -> Self {
        Self::with(air.scenario, state, air.ambient, |index| air.bag(index, &state.bag_mol[index]))
    }

    #[inline]
    fn with(scenario: &Scenario, state: &State, ambient: &Ambient, bag: impl Fn(usize) -> Bulk) -> Self {
        let (mut shells, mut carried_gas_kg) = (Bulk::NONE, 0.0);
        for i in state.carried.iter() {
            let cylinder = &scenario.gases().quick[i];
            shells += cylinder.rigged;
            carried_gas_kg += state.cylinder_mol[i] * cylinder.molar_kg_mol;
        }
        let taken_up_kg = state.metabolised_mol * OXYGEN_KG_MOL;
        let solid = scenario.fixed().bulk + shells + Bulk::new(carried_gas_kg + taken_up_kg, ambient.foam_m3);
        let bags = std::array::from_fn(bag);
        let mut balance = Self { water_kg_m3: ambient.water_kg_m3, solid, bags, carried_gas_kg, need_m3: 0.0 };
        balance.need_m3 = balance.bags[WING].volume_m3 + balance.all().missing_m3(ambient.water_kg_m3);
        balance
    }

    /// Everything on the diver.
    #[inline]
    pub fn all(&self) -> Bulk {
        self.bare() + self.bags[WING]
    }

    /// Everything but the wing and its gas, which is the diver after a total wing failure.
    #[inline]
    pub fn bare(&self) -> Bulk {
        self.solid + self.bags[SUIT] + self.bags[LOOP]
    }

    /// Net lift with the wing as it is, kg.
    #[inline]
    pub fn net_kg(&self) -> f64 {
        self.all().net_kg(self.water_kg_m3)
    }

    /// Net lift with the wing empty, kg.
    #[inline]
    pub fn bare_kg(&self) -> f64 {
        self.bare().net_kg(self.water_kg_m3)
    }
}

/// A moment of the run.
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
    /// The moment in which the dive starts: cylinders as filled; a suit closed on the shore, then taken to the start
    /// depth; controls met as far as the supplies can give.
    pub fn start(scenario: &Scenario) -> Self {
        let depth_m = scenario.profile().start_m();
        let layer = scenario.segments().first().map_or_else(|| scenario.water().layer_at(depth_m), |s| s.layer);
        let mut state = State {
            time_s: 0.0,
            depth_m,
            carried: scenario.rig().carried_at_start(),
            cylinder_mol: scenario.gases().quick.map(|cylinder| cylinder.filled_mol),
            bag_mol: Self::bags_at_start_mol(scenario),
            breathed: Species::default(),
            vented: Species::default(),
            metabolised_mol: 0.0,
            unmet: Unmet::default(),
        };
        let ambient = Ambient::at(scenario, layer, depth_m);
        let on_loop = scenario.segments().first().and_then(|segment| segment.on_loop);
        let balance = settle(scenario, &ambient, &mut state, on_loop);
        Self { state, ambient, balance }
    }

    /// What the bags hold before anything is let in: air at the surface's pressure where they were closed on the shore, and
    /// a loop that was filled there.
    pub(crate) fn bags_at_start_mol(scenario: &Scenario) -> [[f64; MAX_BAG_GASES]; MAX_BAGS] {
        let shore = Ambient::at(scenario, 0, 0.0);
        let shore_pa = shore.pressure_pa;
        let mut bags = Self::closed_on_the_shore_mol(scenario, shore_pa);
        if scenario.gases().circuit.is_some() {
            bags[LOOP] = circuit::at_start_mol(&Air::of(scenario, &shore));
        }
        bags
    }

    fn closed_on_the_shore_mol(scenario: &Scenario, shore_pa: f64) -> [[f64; MAX_BAG_GASES]; MAX_BAGS] {
        scenario.gases().bags.map(|bag| {
            let mut mol = [0.0; MAX_BAG_GASES];
            if let Some(bag) = bag.filter(|bag| bag.bag.start() == BagStart::Air) {
                let air = bag.gases()[QuickBag::START_SLOT];
                mol[QuickBag::START_SLOT] =
                    bag.bag.kept_m3() * scenario.gases().of_layer(0)[air].ambient_mol_m3(shore_pa);
            }
            mol
        })
    }

    /// All gas there is, by species: in the cylinders, also those left behind, in the bags, breathed, vented, and taken out
    /// of a loop by the body.
    pub(crate) fn ledger(&self, scenario: &Scenario) -> Species {
        let gases = scenario.gases();
        let mut all = Species::default();
        for (mol, cylinder) in self.state.cylinder_mol.iter().zip(&gases.quick[..scenario.rig().cylinders.len()]) {
            all.add(&gases.mixes[cylinder.gas], *mol);
        }
        let bags = gases.bags.iter().zip(&self.state.bag_mol);
        let held = bags.filter_map(|(bag, mol)| Some(gases.species(bag.as_ref()?, mol)));
        for part in held.chain([self.state.breathed, self.state.vented]) {
            for (sum, mol) in all.mol.iter_mut().zip(part.mol) {
                *sum += mol;
            }
        }
        all.add(&GasMix::OXYGEN, self.state.metabolised_mol);
        all
    }

    /// All gas there was before the dive, by species: fills, and what the bags were closed with.
    pub(crate) fn ledger_at_start(scenario: &Scenario) -> Species {
        let gases = scenario.gases();
        let mut all = Species::default();
        for cylinder in &gases.quick[..scenario.rig().cylinders.len()] {
            all.add(&gases.mixes[cylinder.gas], cylinder.filled_mol);
        }
        for (bag, mol) in gases.bags.iter().zip(Self::bags_at_start_mol(scenario)) {
            if let Some(bag) = bag {
                for (sum, mol) in all.mol.iter_mut().zip(gases.species(bag, &mol).mol) {
                    *sum += mol;
                }
            }
        }
        all
    }
}

/// The loop, if it is breathed, and the controls of all bags answer to where the diver is and what is carried.
pub(crate) fn settle(scenario: &Scenario, ambient: &Ambient, state: &mut State, on_loop: Option<OnLoop>) -> Balance {
    let air = Air::of(scenario, ambient);
    let lacks = on_loop.map(|on_loop| circuit::settle(&air, state, on_loop, Limits::Real));
    let balance = control(&air, state, Limits::Real);
    lacks.unwrap_or_default().note(&mut state.unmet);
    balance
}
