//! The diver as a list of things, each with its mass and volume: what every sum is folded from.

use crate::physics::bulk::Bulk;
use crate::physics::gas::{CARBON_DIOXIDE_KG_MOL, OXYGEN_KG_MOL};
use crate::physics::place::{Centres, Point};
use crate::rig::{BreathingLoop, CylinderSet, MAX_BAG_GASES, MAX_BAGS, MAX_CYLINDERS};
use crate::scenario::Scenario;
use crate::sim::state::{Ambient, Now, State};

/// Whose term it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Owner {
    /// A part of the rig, by index.
    Part(usize),
    /// A cylinder without its gas, by index.
    Cylinder(usize),
    /// The gas in a cylinder, by index.
    Gas(usize),
    /// What hangs on a cylinder, by its place in the cylinder's list.
    Hung {
        /// The cylinder, by index.
        cylinder: usize,
        /// Which of the things that hang on it.
        part: usize,
    },
    /// The gas in a bag: [`crate::rig::SUIT`], [`crate::rig::LOOP`] or [`crate::rig::WING`].
    Bag(usize),
    /// The carbon dioxide that a loop's absorbent has taken up.
    Absorbed,
    /// What the body has lost on a loop: the carbon dioxide that it gave less the oxygen that it took.
    Metabolised,
}

/// One thing on the diver.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Term {
    /// Its mass and volume, or its reading.
    pub bulk: Bulk,
    /// Whose it is.
    pub owner: Owner,
    /// Whether the diver can let go of it under water.
    pub lets_go: bool,
    /// Where it pulls, if that is known.
    pub at: Option<Centres>,
}

impl Owner {
    /// The cylinder that it is, that it is in or that it hangs on.
    pub fn cylinder(self) -> Option<usize> {
        match self {
            Self::Cylinder(cylinder) | Self::Gas(cylinder) | Self::Hung { cylinder, .. } => Some(cylinder),
            Self::Part(_) | Self::Bag(_) | Self::Absorbed | Self::Metabolised => None,
        }
    }
}

impl Term {
    /// What it lifts in water of a density, kg.
    pub fn net_kg(&self, water_kg_m3: f64) -> f64 {
        self.bulk.net_kg(water_kg_m3)
    }
}

/// Everything on a diver in this state and this water, the empty bags left out. Their bulks add up to
/// [`crate::sim::Balance::all`], which the run works out from sums that were folded before.
pub fn terms(scenario: &Scenario, state: &State, ambient: &Ambient) -> Vec<Term> {
    let State { carried, cylinder_mol, bag_mol, metabolised_mol, .. } = state;
    Worn { carried: *carried, cylinder_mol, bag_mol, metabolised_mol: *metabolised_mol }.terms(scenario, ambient)
}

/// What of a state decides about the terms.
pub(crate) struct Worn<'a> {
    /// The cylinders on the diver.
    pub carried: CylinderSet,
    /// Amount in each cylinder, mol.
    pub cylinder_mol: &'a [f64; MAX_CYLINDERS],
    /// Amount of each gas in each bag, mol.
    pub bag_mol: &'a [[f64; MAX_BAG_GASES]; MAX_BAGS],
    /// Oxygen that the body has taken out of a loop, mol.
    pub metabolised_mol: f64,
}

impl Worn<'_> {
    /// As [`terms`].
    pub fn terms(&self, scenario: &Scenario, ambient: &Ambient) -> Vec<Term> {
        let diver = scenario.rig();
        let part = |(i, part): (usize, &crate::rig::Part)| Term {
            bulk: part.bulk(ambient.pressure_pa),
            owner: Owner::Part(i),
            lets_go: part.ditchable,
            at: part.at,
        };
        let mut list: Vec<Term> = diver.parts.iter().enumerate().map(part).collect();
        for i in self.carried.iter() {
            let body = &diver.cylinders[i];
            let lets_go = body.is_ditchable();
            let lie = body.spec().lie;
            let mut push = |bulk, owner, at| list.push(Term { bulk, owner, lets_go, at });
            push(Bulk::new(body.shell_kg(), body.external_m3()), Owner::Cylinder(i), body.centres());
            let middle = lie.map(|lie| Centres::at(lie.middle()));
            push(gas_bulk(scenario, i, self.cylinder_mol[i]), Owner::Gas(i), middle);
            for (part, hung) in body.rigging().iter().enumerate() {
                let at = hung.at.or(lie.map(|lie| Centres::at(lie.valve)));
                push(hung.bulk(ambient.pressure_pa), Owner::Hung { cylinder: i, part }, at);
            }
        }
        for (index, mol) in self.bag_mol.iter().enumerate() {
            let bulk = ambient.bag(scenario, index, mol);
            if bulk != Bulk::NONE {
                let at = diver.bags()[index].and_then(|bag| bag.at()).map(Centres::at);
                list.push(Term { bulk, owner: Owner::Bag(index), lets_go: false, at });
            }
        }
        if let Some(circuit) = diver.breathing_loop.filter(|_| self.metabolised_mol > 0.0) {
            let [absorbed_kg, lost_kg] = taken_up_kg(&circuit, self.metabolised_mol);
            let mut push = |kg, owner, at: Option<Point>| {
                list.push(Term { bulk: Bulk::mass(kg), owner, lets_go: false, at: at.map(Centres::at) });
            };
            push(absorbed_kg, Owner::Absorbed, circuit.canister_at);
            push(lost_kg, Owner::Metabolised, diver.lungs);
        }
        list
    }
}

/// What an amount of oxygen that was taken out of a loop has done to the absorbent and to the body, kg: carbon dioxide
/// there, and here less than nothing. Both together are the oxygen, for diver and rig are a closed system.
///
/// A litre of oxygen at 0 °C and 1 atm, 1.428 g, becomes 1.963 g of carbon dioxide at a quotient of one: at 0.85 the
/// absorbent gains 1.669 g and the body loses 0.241.
pub(crate) fn taken_up_kg(circuit: &BreathingLoop, oxygen_mol: f64) -> [f64; 2] {
    let absorbed_kg = oxygen_mol * circuit.quotient_frac * CARBON_DIOXIDE_KG_MOL;
    [absorbed_kg, oxygen_mol * OXYGEN_KG_MOL - absorbed_kg]
}

/// An amount of a cylinder's gas, in the cylinder's volume.
#[inline]
fn gas_bulk(scenario: &Scenario, index: usize, amount_mol: f64) -> Bulk {
    Bulk::mass(amount_mol * scenario.molar_kg_mol(index))
}

/// A cylinder with what hangs on it and an amount of gas in it.
#[inline]
pub fn cylinder_bulk(scenario: &Scenario, index: usize, amount_mol: f64) -> Bulk {
    scenario.gases().quick[index].rigged + gas_bulk(scenario, index, amount_mol)
}

/// A cylinder's own lift at a moment with what hangs on it, carried or not, kg.
#[inline]
pub fn cylinder_kg(scenario: &Scenario, now: &Now, index: usize) -> f64 {
    cylinder_bulk(scenario, index, now.state.cylinder_mol[index]).net_kg(now.ambient.water_kg_m3)
}
