//! The controls of suit and wing: gas added from a supply, gas vented.

use crate::physics::bulk::Bulk;
use crate::rig::{BagControl, CylinderSet, LOOP, MAX_BAG_GASES, MAX_BAGS, WING};
use crate::scenario::{OnLoop, QuickBag, Scenario};
use crate::sim::circuit;
use crate::sim::state::{Air, Ambient, Balance, Now, State, Unmet};

/// How far cylinders can be drawn down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Limits {
    /// To the ambient pressure, at which they are empty.
    Real,
    /// These without limit, the others not at all: what would be drawn if none ran dry, whose zero is the moment at
    /// which one does.
    Free(CylinderSet),
}

/// An amount above the ambient pressure that is none, mol: some micrograms.
pub(crate) const DRY_MOL: f64 = 1e-7;
/// A gas volume that is nothing, m³: a millionth of a cubic millimetre.
const NOTHING_M3: f64 = 1e-15;
/// A gas volume that is no shortage but rounding, m³: a ten-thousandth of a litre.
const ROUNDING_M3: f64 = 1e-7;

/// What a cylinder holds above the ambient pressure, mol; below zero it holds less.
#[inline]
pub(crate) fn above_ambient_mol(scenario: &Scenario, state: &State, cylinder: usize, ambient: &Ambient) -> f64 {
    above_rest_mol(scenario, state.cylinder_mol[cylinder], cylinder, ambient.gas_mol_m3(scenario, cylinder))
}

/// The same from the amount in it and the density of its gas outside.
#[inline]
pub(crate) fn above_rest_mol(scenario: &Scenario, held_mol: f64, cylinder: usize, gas_mol_m3: f64) -> f64 {
    held_mol - scenario.gases().quick[cylinder].water_m3 * gas_mol_m3
}

/// What a cylinder can still deliver, mol.
#[inline]
pub(crate) fn available_mol(air: &Air<'_>, state: &State, cylinder: usize, limits: Limits) -> f64 {
    match limits {
        Limits::Real => {
            let held_mol = state.cylinder_mol[cylinder];
            above_rest_mol(air.scenario, held_mol, cylinder, air.gas_mol_m3(cylinder)).max(0.0)
        }
        Limits::Free(open) if open.contains(cylinder) => f64::INFINITY,
        Limits::Free(_) => 0.0,
    }
}

/// The bags answer to where the diver now is, one after the other, each within what its supplies can give and what it
/// can hold. Returns the balance after it.
#[inline]
pub(crate) fn control(air: &Air<'_>, state: &mut State, limits: Limits) -> Balance {
    let (scenario, water_kg_m3) = (air.scenario, air.ambient.water_kg_m3);
    state.unmet = Unmet::default();
    let mut balance = Balance::in_air(air, state);
    for index in 0..MAX_BAGS {
        let Some(bag) = &scenario.gases().bags[index] else { continue };
        let aim_m3 = match bag.bag.control() {
            BagControl::KeepVolume { volume_m3 } => volume_m3,
            BagControl::Breathed { volume_m3 } => balance.bags[index].volume_m3.min(volume_m3),
            BagControl::HoldNeutral => neutral_m3(&balance, index),
        };
        if bag.bag.control() == BagControl::HoldNeutral {
            balance.need_m3 = aim_m3;
        }
        let target_m3 = aim_m3.clamp(0.0, bag.bag.capacity_m3());
        let held = balance.bags[index];
        let short_m3 = if held.volume_m3 > target_m3 {
            // what is left keeps its composition, so its volume is its share of the whole
            let kept_frac = target_m3 / held.volume_m3;
            vent(scenario, state, index, 1.0 - kept_frac);
            balance.bags[index] = held * kept_frac;
            0.0
        } else {
            let filling = Filling { air, index, bag, limits };
            let filled = filling.fill(state, target_m3, held.volume_m3);
            if filled.moved_kg > 0.0 {
                balance.carried_gas_kg -= filled.moved_kg;
                balance.solid = balance.solid - Bulk::mass(filled.moved_kg);
                balance.bags[index] = air.bag(index, &state.bag_mol[index]);
            }
            filled.short_m3
        };
        state.unmet.bag_m3[index] = short_m3 + (aim_m3 - target_m3).max(0.0);
    }
    if scenario.gases().bags[WING].is_none() {
        balance.need_m3 = balance.bags[WING].volume_m3 + balance.all().missing_m3(water_kg_m3);
        state.unmet.bag_m3[WING] = balance.need_m3.max(0.0);
    }
    balance
}

/// A diver at rest in some water: cylinders with these amounts, the suit at its gas volume, the loop full at the first
/// setpoint and the wing at `wing_m3`, each blown out of its supply as if that were on the diver and not dry.
pub(crate) fn at_rest(scenario: &Scenario, ambient: &Ambient, contents: impl Fn(usize) -> f64, wing_m3: f64) -> State {
    let air = Air::of(scenario, ambient);
    let mut state = Now::start(scenario).state;
    state.bag_mol = Now::bags_at_start_mol(scenario);
    for i in 0..scenario.rig().cylinders.len() {
        state.cylinder_mol[i] = contents(i);
    }
    if let Some(circuit) = &scenario.gases().circuit {
        let supply = circuit.circuit.supply();
        let setpoint_pa = scenario.profile().setpoint_pa(0.0).unwrap_or(circuit::NO_SETPOINT_PA);
        state.carried = supply;
        circuit::settle(&air, &mut state, OnLoop { oxygen_mol_s: 0.0, setpoint_pa }, Limits::Free(supply));
    }
    for (index, bag) in scenario.gases().bags.iter().enumerate().filter(|(index, _)| *index != LOOP) {
        let Some(bag) = bag else { continue };
        let target_m3 = if index == WING { wing_m3 } else { bag.bag.kept_m3() };
        let supply = bag.bag.supply();
        state.carried = supply;
        let held_m3 = air.bag(index, &state.bag_mol[index]).volume_m3;
        Filling { air: &air, index, bag, limits: Limits::Free(supply) }.fill(&mut state, target_m3, held_m3);
    }
    state
}

/// Volume of a bag that would hold the diver neutral, m³; negative when the diver floats with the bag empty.
///
/// Gas that goes from a carried cylinder into the bag stays on the diver, so adding changes no mass:
/// `V = V_now − b/ρ`. Vented gas goes away, and a share `1 − f` of the bag's volume takes as much of its mass along:
/// `f·(ρ·V_now − m_bag) = −b_rest`, with `b_rest` the net lift of everything else.
#[inline]
fn neutral_m3(balance: &Balance, index: usize) -> f64 {
    let (bag, all) = (balance.bags[index], balance.all());
    if all.net_kg(balance.water_kg_m3) <= 0.0 {
        return bag.volume_m3 + all.missing_m3(balance.water_kg_m3);
    }
    let rest_kg = (all - bag).net_kg(balance.water_kg_m3);
    let bag_kg = bag.net_kg(balance.water_kg_m3);
    // of a volume that is next to nothing the mass has no figures left
    let is_gas = bag_kg > 0.0 && bag.volume_m3 > NOTHING_M3;
    if is_gas { -rest_kg / bag_kg * bag.volume_m3 } else { -rest_kg / balance.water_kg_m3 }
}

/// Lets a share of a bag's gas out, with the composition of the moment.
#[inline]
fn vent(scenario: &Scenario, state: &mut State, index: usize, share_frac: f64) {
    let Some(bag) = &scenario.gases().bags[index] else { return };
    for (slot, &gas) in bag.gases().iter().enumerate() {
        let gone_mol = state.bag_mol[index][slot] * share_frac;
        state.bag_mol[index][slot] -= gone_mol;
        state.vented.add(&scenario.gases().mixes[gas], gone_mol);
    }
}

/// What filling a bag has come to.
struct Filled {
    /// Gas let in, kg.
    moved_kg: f64,
    /// Volume that is missing in the end, m³.
    short_m3: f64,
}

/// Filling a bag.
struct Filling<'a> {
    air: &'a Air<'a>,
    index: usize,
    bag: &'a QuickBag,
    limits: Limits,
}

impl Filling<'_> {
    /// Lets gas in up to a volume, even shares from every supply that is carried and not dry.
    #[inline]
    fn fill(&self, state: &mut State, target_m3: f64, mut held_m3: f64) -> Filled {
        let mut moved_kg = 0.0;
        let mut open = self.bag.bag.supply().and(state.carried);
        while held_m3 < target_m3 && !open.is_empty() {
            let share_mol = self.wanted_mol(&state.bag_mol[self.index], open, target_m3, held_m3) / open.len() as f64;
            let mut dry = CylinderSet::EMPTY;
            for i in open.iter() {
                let got_mol = share_mol.min(available_mol(self.air, state, i, self.limits));
                moved_kg += got_mol * self.air.scenario.molar_kg_mol(i);
                state.cylinder_mol[i] -= got_mol;
                state.bag_mol[self.index][self.bag.slot_of[i]] += got_mol;
                if got_mol < share_mol {
                    dry = dry.with(i);
                }
            }
            if dry.is_empty() {
                return Filled { moved_kg, short_m3: 0.0 };
            }
            // a cylinder that runs dry leaves its share to the others
            open = open.minus(dry);
            held_m3 = self.air.bag(self.index, &state.bag_mol[self.index]).volume_m3;
        }
        let short_m3 = target_m3 - held_m3;
        Filled { moved_kg, short_m3: if short_m3 > ROUNDING_M3 { short_m3 } else { 0.0 } }
    }

    /// Amount to let in, even shares from `open`, until the bag has a volume, mol: Newton's rule, which is exact at once
    /// where volumes add up and closes in a round or two where they nearly do.
    #[inline]
    fn wanted_mol(&self, held_mol: &[f64; MAX_BAG_GASES], open: CylinderSet, target_m3: f64, held_m3: f64) -> f64 {
        let each = 1.0 / open.len() as f64;
        let mut share = [0.0; MAX_BAG_GASES];
        let mut slope_m3_mol = 0.0;
        for i in open.iter() {
            share[self.bag.slot_of[i]] += each;
            slope_m3_mol += each / self.air.gas_mol_m3(i);
        }
        let mut wanted_mol = (target_m3 - held_m3) / slope_m3_mol;
        if self.bag.gas_count > 1 {
            for _ in 0..4 {
                let mol = std::array::from_fn(|slot| held_mol[slot] + wanted_mol * share[slot]);
                let volume_m3 = self.air.bag(self.index, &mol).volume_m3;
                let step_mol = (target_m3 - volume_m3) / slope_m3_mol;
                wanted_mol = (wanted_mol + step_mol).max(0.0);
                if step_mol.abs() <= 1e-13 * wanted_mol {
                    break;
                }
            }
        }
        wanted_mol
    }
}
