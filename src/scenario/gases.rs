//! The gases of a dive: tables in every layer, contents of the cylinders, and which gases can meet in which bag.

use crate::physics::blend::Blend;
use crate::physics::bulk::Bulk;
use crate::physics::gas::{EquationOfState, GasError, GasMix, MAX_GAS_PA, Species};
use crate::physics::isotherm::Isotherm;
use crate::physics::water::Water;
use crate::rig::{
    Bag, BagStart, BreathingLoop, CylinderSet, CylinderSpec, LOOP, MAX_BAG_GASES, MAX_BAGS, MAX_CYLINDERS, Rig,
    RigError,
};
use crate::scenario::ScenarioError;
use crate::units::ATMOSPHERE_PA;

/// Most different gases in a dive: one a cylinder, the air that a suit can start with, and the four pure gases of a
/// breathing loop.
pub const MAX_GASES: usize = MAX_CYLINDERS + 1 + MAX_BAG_GASES;
/// Pairs of gases in a bag, in such an order that those of the first `n` gases are the first `n·(n − 1)/2`.
const PAIRS: [(usize, usize); 6] = [(0, 1), (0, 2), (1, 2), (0, 3), (1, 3), (2, 3)];

/// Tables that were made for one dive and fit others: making them is the costly part of a scenario.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct GasTables {
    isotherms: Vec<(EquationOfState, Isotherm)>,
    blends: Vec<(EquationOfState, Blend)>,
    /// fills that were worked out by the equation itself, each with its molar density, mol/m³
    fills: Vec<(EquationOfState, CylinderSpec, f64)>,
}

impl GasTables {
    /// The table of a mixture at a temperature, if it is here.
    pub fn isotherm(&self, mix: &GasMix, temperature_k: f64, equation: EquationOfState) -> Option<&Isotherm> {
        let fits = |(of, table): &&(EquationOfState, Isotherm)| {
            *of == equation && table.mix() == mix && table.temperature_k() == temperature_k
        };
        self.isotherms.iter().find(fits).map(|(_, table)| table)
    }

    /// Adds the table of a mixture at a temperature, unless it is here.
    ///
    /// # Errors
    /// As [`Isotherm::new`].
    pub fn add(&mut self, mix: GasMix, temperature_k: f64, equation: EquationOfState) -> Result<(), GasError> {
        if self.isotherm(&mix, temperature_k, equation).is_none() {
            self.isotherms.push((equation, Isotherm::new(mix, temperature_k, equation)?));
        }
        Ok(())
    }

    /// Molar density of a fill: the same one as before where it is here, so that a dive with another diver keeps its
    /// amounts; else from the table of its gas.
    fn fill_mol_m3(&self, spec: &CylinderSpec, equation: EquationOfState) -> Option<f64> {
        let is_same = |other: &CylinderSpec| {
            other.mix == spec.mix
                && other.fill_gauge_pa == spec.fill_gauge_pa
                && other.fill_temperature_k == spec.fill_temperature_k
        };
        let before = self.fills.iter().find(|(of, other, _)| *of == equation && is_same(other));
        before.map(|(_, _, density)| *density).or_else(|| {
            let pressure_pa = spec.fill_gauge_pa + ATMOSPHERE_PA;
            let table = self.isotherm(&spec.mix, spec.fill_temperature_k, equation)?;
            (pressure_pa <= MAX_GAS_PA).then(|| table.density_mol_m3(pressure_pa))
        })
    }

    fn blend(&self, mixes: [&GasMix; 2], temperature_k: f64, equation: EquationOfState) -> Option<&Blend> {
        let fits =
            |(of, blend): &&(EquationOfState, Blend)| *of == equation && blend.is_of(mixes[0], mixes[1], temperature_k);
        self.blends.iter().find(fits).map(|(_, blend)| blend)
    }
}

/// What the run needs of a cylinder, close together in memory.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct QuickCylinder {
    /// Which of the dive's gases it holds.
    pub gas: usize,
    pub molar_kg_mol: f64,
    /// Everything but its gas, what hangs on it included.
    pub rigged: Bulk,
    pub water_m3: f64,
    pub filled_mol: f64,
}

/// A bag, and the gases that can meet in it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct QuickBag {
    pub bag: Bag,
    /// Gases by their place in the dive's list; a slot each.
    gases: [usize; MAX_BAG_GASES],
    pub gas_count: usize,
    pub molar_kg_mol: [f64; MAX_BAG_GASES],
    /// Slot of the gas of each cylinder that supplies it.
    pub slot_of: [usize; MAX_CYLINDERS],
}

impl QuickBag {
    /// Slot of the gas that it starts with when closed on the shore.
    pub const START_SLOT: usize = 0;

    /// The gases, by their place in the dive's list.
    #[inline]
    pub fn gases(&self) -> &[usize] {
        &self.gases[..self.gas_count]
    }
}

/// A breathing loop, whose gases are kept apart by species: oxygen is taken out of it alone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct QuickLoop {
    pub circuit: BreathingLoop,
    /// Shares of each slot's gas in what each cylinder gives.
    enters: [[f64; MAX_BAG_GASES]; MAX_CYLINDERS],
}

impl QuickLoop {
    /// Slot of oxygen.
    pub const OXYGEN_SLOT: usize = 0;

    /// Shares of each slot's gas in what some cylinders give in even shares; nothing where there are none.
    #[inline]
    pub fn mean_frac(&self, of: CylinderSet) -> [f64; MAX_BAG_GASES] {
        let mut mean = [0.0; MAX_BAG_GASES];
        for i in of.iter() {
            for (mean, share) in mean.iter_mut().zip(self.enters[i]) {
                *mean += share / of.len() as f64;
            }
        }
        mean
    }
}

/// Gases, tables, contents.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Gases {
    pub mixes: Vec<GasMix>,
    /// layer by layer: `[layer * gas count + gas]`
    isotherms: Vec<Isotherm>,
    pub quick: [QuickCylinder; MAX_CYLINDERS],
    pub bags: [Option<QuickBag>; MAX_BAGS],
    pub circuit: Option<QuickLoop>,
    /// amount in each cylinder at its reserve, mol, layer by layer
    reserve_mol: Vec<[f64; MAX_CYLINDERS]>,
    /// excess volumes: `[layer * MAX_BAGS + bag]`, each pair of slots
    excess: Vec<[Option<Blend>; PAIRS.len()]>,
}

impl Gases {
    pub fn of(diver: &Rig, water: &Water, equation: EquationOfState, known: &GasTables) -> Result<Self, ScenarioError> {
        let mut mixes: Vec<GasMix> = Vec::new();
        let mut place = |mix: GasMix| {
            mixes.iter().position(|other| *other == mix).unwrap_or_else(|| {
                mixes.push(mix);
                mixes.len() - 1
            })
        };
        let mut quick = [QuickCylinder::default(); MAX_CYLINDERS];
        for (quick, cylinder) in quick.iter_mut().zip(&diver.cylinders) {
            let spec = cylinder.spec();
            let filled_mol = match known.fill_mol_m3(spec, equation) {
                Some(density) => cylinder.water_m3() * density,
                None => {
                    cylinder.fill_mol(equation).map_err(|source| RigError::Gas { part: spec.name.clone(), source })?
                }
            };
            *quick = QuickCylinder {
                gas: place(spec.mix),
                molar_kg_mol: spec.mix.molar_kg_mol(),
                rigged: cylinder.rigged(),
                water_m3: cylinder.water_m3(),
                filled_mol,
            };
        }
        let mut bags = [None; MAX_BAGS];
        let circuit = diver.breathing_loop.map(|circuit| {
            let (bag, circuit) = loop_gases(circuit, diver, &mut place);
            bags[LOOP] = Some(bag);
            circuit
        });
        for ((quick_bag, bag), name) in bags.iter_mut().zip(diver.bags()).zip(["suit", "loop", "wing"]) {
            let Some(bag) = bag.filter(|_| quick_bag.is_none()) else { continue };
            let start = (bag.start() == BagStart::Air).then(|| place(GasMix::AIR));
            let found = bag_gases(bag, start, &quick);
            *quick_bag = Some(found.map_err(|count| RigError::BagGases { bag: name, count })?);
        }
        for bag in bags.iter_mut().flatten() {
            for slot in 0..bag.gas_count {
                bag.molar_kg_mol[slot] = mixes[bag.gases[slot]].molar_kg_mol();
            }
        }
        let (isotherms, reserve_mol, excess) = (Vec::new(), Vec::new(), Vec::new());
        let mut gases = Self { mixes, isotherms, quick, bags, circuit, reserve_mol, excess };
        gases.tabulate(water, equation, known)?;
        for layer in 0..water.layer_count() {
            let mut low = [0.0; MAX_CYLINDERS];
            for (i, cylinder) in diver.cylinders.iter().enumerate() {
                let table = &gases.of_layer(layer)[gases.quick[i].gas];
                low[i] = cylinder.water_m3() * table.density_mol_m3(cylinder.reserve_gauge_pa() + ATMOSPHERE_PA);
            }
            gases.reserve_mol.push(low);
        }
        Ok(gases)
    }

    fn tabulate(&mut self, water: &Water, equation: EquationOfState, known: &GasTables) -> Result<(), GasError> {
        for layer in 0..water.layer_count() {
            let t = water.layer(layer).temperature_k;
            for mix in &self.mixes {
                self.isotherms.push(match known.isotherm(mix, t, equation) {
                    Some(table) => *table,
                    None => Isotherm::new(*mix, t, equation)?,
                });
            }
            for bag in &self.bags {
                let mut pairs = [None; PAIRS.len()];
                let gases = bag.as_ref().map_or(&[][..], QuickBag::gases);
                // ideal volumes add up
                let real = equation != EquationOfState::Ideal;
                for (pair, (a, b)) in pairs.iter_mut().zip(PAIRS).filter(|(_, (_, b))| real && *b < gases.len()) {
                    let (a, b) = (&self.mixes[gases[a]], &self.mixes[gases[b]]);
                    *pair = Some(match known.blend([a, b], t, equation) {
                        Some(blend) => *blend,
                        None => Blend::new(*a, *b, t, equation)?,
                    });
                }
                self.excess.push(pairs);
            }
        }
        Ok(())
    }

    /// The gas tables of a layer, one for each of the dive's gases.
    #[inline]
    pub fn of_layer(&self, layer: usize) -> &[Isotherm] {
        &self.isotherms[layer * self.mixes.len()..(layer + 1) * self.mixes.len()]
    }

    /// Amount in each cylinder at its reserve in the water of a layer, mol.
    #[inline]
    pub fn reserve_mol(&self, layer: usize) -> &[f64; MAX_CYLINDERS] {
        &self.reserve_mol[layer]
    }

    /// What the gases in a bag take beyond the sum of their own volumes at an ambient pressure, m³. Of three gases the
    /// excess of each pair counts, which is exact where mixing is a matter of pairs.
    #[inline]
    pub fn excess_m3(&self, layer: usize, bag: usize, mol: &[f64; MAX_BAG_GASES], ambient_pa: f64) -> f64 {
        let all_mol: f64 = mol.iter().sum();
        let count = self.bags[bag].as_ref().map_or(0, |bag| bag.gas_count);
        let pairs = self.excess[layer * MAX_BAGS + bag].iter().zip(PAIRS).take(count * count.saturating_sub(1) / 2);
        pairs
            .filter_map(|(blend, (a, b))| {
                let both_mol = mol[a] + mol[b];
                (both_mol > 0.0).then_some(())?;
                // a pair in a larger whole: nₐ·n_b over all, not over both
                Some(blend.as_ref()?.excess_m3(mol[a], mol[b], ambient_pa) * both_mol / all_mol)
            })
            .sum()
    }

    /// Amounts by species in a bag, mol.
    pub fn species(&self, bag: &QuickBag, mol: &[f64; MAX_BAG_GASES]) -> Species {
        let mut species = Species::default();
        for (slot, &gas) in bag.gases().iter().enumerate() {
            species.add(&self.mixes[gas], mol[slot]);
        }
        species
    }

    /// All tables, with those of the fills, to be handed to similar dives.
    ///
    /// A fill's table is made here if it is not one of the water's: it costs as much as some ten fills without it.
    pub fn tables(&self, diver: &Rig, equation: EquationOfState) -> GasTables {
        let mut tables = GasTables {
            isotherms: self.isotherms.iter().map(|table| (equation, *table)).collect(),
            blends: self.excess.iter().flatten().flatten().map(|blend| (equation, *blend)).collect(),
            fills: Vec::with_capacity(diver.cylinders.len()),
        };
        for (cylinder, quick) in diver.cylinders.iter().zip(&self.quick) {
            let spec = cylinder.spec();
            tables.fills.push((equation, spec.clone(), quick.filled_mol / quick.water_m3));
            // the fill itself was within the equation's range, or there would be no dive
            let _ = tables.add(spec.mix, spec.fill_temperature_k, equation);
        }
        tables
    }
}

/// The gases of a loop: oxygen, and each other one that a diluent brings.
fn loop_gases(circuit: BreathingLoop, diver: &Rig, place: &mut impl FnMut(GasMix) -> usize) -> (QuickBag, QuickLoop) {
    let shares = |i: usize| diver.cylinders[i].spec().mix.mole_frac();
    let is_there = |species: &usize| circuit.diluent.iter().any(|i| shares(i)[*species] > 0.0);
    let mut bag = QuickBag {
        bag: circuit.bag(),
        gases: [0; MAX_BAG_GASES],
        gas_count: 0,
        molar_kg_mol: [0.0; MAX_BAG_GASES],
        slot_of: [0; MAX_CYLINDERS],
    };
    let mut quick = QuickLoop { circuit, enters: [[0.0; MAX_BAG_GASES]; MAX_CYLINDERS] };
    for species in std::iter::once(0).chain((1..Species::PURE.len()).filter(is_there)) {
        let slot = bag.gas_count;
        bag.gases[slot] = place(Species::PURE[species]);
        for i in circuit.supply().iter() {
            quick.enters[i][slot] = shares(i)[species];
        }
        bag.gas_count += 1;
    }
    (bag, quick)
}

/// The gases that can meet in a bag; too many: how many.
fn bag_gases(bag: Bag, start: Option<usize>, quick: &[QuickCylinder; MAX_CYLINDERS]) -> Result<QuickBag, usize> {
    let mut gases: Vec<usize> = start.into_iter().collect();
    let mut slot_of = [0; MAX_CYLINDERS];
    for i in bag.supply().iter() {
        let gas = quick[i].gas;
        slot_of[i] = gases.iter().position(|other| *other == gas).unwrap_or_else(|| {
            gases.push(gas);
            gases.len() - 1
        });
    }
    if gases.len() > MAX_BAG_GASES {
        return Err(gases.len());
    }
    let mut slots = [0; MAX_BAG_GASES];
    slots[..gases.len()].copy_from_slice(&gases);
    Ok(QuickBag { bag, gases: slots, gas_count: gases.len(), molar_kg_mol: [0.0; MAX_BAG_GASES], slot_of })
}
