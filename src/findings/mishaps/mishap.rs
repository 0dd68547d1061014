//! What can go wrong, alone or together, and the diver after it.

use crate::findings::elsewhere::Elsewhere;
use crate::physics::bulk::Bulk;
use crate::rig::{CylinderSet, LOOP, Role, SUIT, WING};
use crate::scenario::Scenario;
use crate::sim::control::above_rest_mol;
use crate::sim::{Now, Owner};
use crate::units::ATMOSPHERE_PA;

/// A thing that goes wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Thing {
    /// The wing has failed: it holds no gas.
    Wing,
    /// The suit is flooded: its gas is gone, and water has its room.
    Suit,
    /// The breathing loop is flooded.
    Loop,
    /// A cylinder is lost with all that hangs on it, by index.
    Cylinder(usize),
    /// The ballast that is marked as ditchable is lost.
    DitchableLead,
    /// All ballast is lost.
    Lead,
}

/// Things that go wrong together; at least one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Mishap {
    wing: bool,
    suit: bool,
    circuit: bool,
    ditchable_lead: bool,
    lead: bool,
    cylinders: CylinderSet,
}

impl Mishap {
    const NONE: Self = Self {
        wing: false,
        suit: false,
        circuit: false,
        ditchable_lead: false,
        lead: false,
        cylinders: CylinderSet::EMPTY,
    };
    /// The wing has failed, nothing else.
    pub const WING: Self = Self { wing: true, ..Self::NONE };

    /// One thing alone.
    pub fn of(thing: Thing) -> Self {
        Self::NONE.and(thing)
    }

    /// The same with another thing. Who loses all lead loses the ditchable with it.
    #[must_use]
    pub fn and(mut self, thing: Thing) -> Self {
        match thing {
            Thing::Wing => self.wing = true,
            Thing::Suit => self.suit = true,
            Thing::Loop => self.circuit = true,
            Thing::Cylinder(i) => self.cylinders = self.cylinders.with(i),
            Thing::DitchableLead => self.ditchable_lead = !self.lead,
            Thing::Lead => (self.lead, self.ditchable_lead) = (true, false),
        }
        self
    }

    /// What goes wrong, always in the same order.
    pub fn things(self) -> Vec<Thing> {
        let flags = [(self.wing, Thing::Wing), (self.suit, Thing::Suit), (self.circuit, Thing::Loop)];
        let lead = [(self.ditchable_lead, Thing::DitchableLead), (self.lead, Thing::Lead)];
        let set = |flags: &[(bool, Thing)]| flags.iter().filter(|flag| flag.0).map(|flag| flag.1).collect::<Vec<_>>();
        let cylinders = self.cylinders.iter().map(Thing::Cylinder);
        set(&flags).into_iter().chain(cylinders).chain(set(&lead)).collect()
    }

    /// Whether it is one thing alone.
    pub fn is_single(self) -> bool {
        self.things().len() == 1
    }

    /// Whether the wing has failed.
    pub fn fails_wing(self) -> bool {
        self.wing
    }

    /// Whether a moment has all that it takes away: a cylinder that is not there cannot be lost.
    pub fn can_happen(self, now: &Now) -> bool {
        self.cylinders.minus(now.state.carried).is_empty()
    }

    /// The mishaps to look at where nobody names others: each thing of this rig alone, then a failed wing together with
    /// the flooded suit or loop.
    pub fn usual(scenario: &Scenario) -> Vec<Self> {
        let rig = scenario.rig();
        let has_gas = |bag: usize| rig.bags()[bag].is_some_and(|bag| bag.kept_m3() > 0.0);
        let flooded = [(SUIT, Thing::Suit), (LOOP, Thing::Loop)].into_iter().filter(|(bag, _)| has_gas(*bag));
        let flooded: Vec<Thing> = flooded.map(|(_, thing)| thing).collect();
        let wing = has_gas(WING).then_some(Thing::Wing);
        let removable = (0..rig.cylinders.len()).filter(|&i| rig.cylinders[i].is_removable()).map(Thing::Cylinder);
        let lead = lead(scenario);
        let lets_go = scenario.fixed().ditchable_ballast;
        let all = (lead != Bulk::NONE).then_some(Thing::Lead);
        let part = (lets_go != Bulk::NONE && lets_go != lead).then_some(Thing::DitchableLead);
        let singles = wing.into_iter().chain(flooded.clone()).chain(removable).chain(part).chain(all);
        let pairs = flooded.iter().filter(|_| wing.is_some()).map(|&thing| Self::WING.and(thing));
        singles.map(Self::of).chain(pairs).collect()
    }

    /// Whether it can come by a slip: lead that is fastened is not lost, lead that lets go may be.
    pub fn can_slip(self, scenario: &Scenario) -> bool {
        !self.lead || lead(scenario) == scenario.fixed().ditchable_ballast
    }

    /// Whether something is taken away by it that can be let go of.
    pub(crate) fn takes(self, scenario: &Scenario, owner: Owner) -> bool {
        let is_lead = |i: usize| scenario.rig().parts[i].role == Role::Ballast;
        match owner {
            Owner::Part(i) => (self.lead || self.ditchable_lead) && is_lead(i),
            owner => owner.cylinder().is_some_and(|i| self.cylinders.contains(i)),
        }
    }
}

/// All ballast. A piece of foam counts with its volume at the surface, as where it is let go of.
fn lead(scenario: &Scenario) -> Bulk {
    let pieces = scenario.rig().parts.iter().filter(|part| part.role == Role::Ballast);
    pieces.map(|part| part.bulk(ATMOSPHERE_PA)).sum()
}

/// A mishap that befalls a diver, with what it takes away at any moment worked out.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Befalling<'a> {
    scenario: &'a Scenario,
    mishap: Mishap,
    /// lead that is gone
    lead: Bulk,
    /// what of it could have been let go of
    ditchable: Bulk,
}

impl<'a> Befalling<'a> {
    /// A mishap on a dive.
    pub fn new(scenario: &'a Scenario, mishap: Mishap) -> Self {
        let ditchable = scenario.fixed().ditchable_ballast;
        let (lead, ditchable) = match mishap {
            Mishap { lead: true, .. } => (lead(scenario), ditchable),
            Mishap { ditchable_lead: true, .. } => (ditchable, ditchable),
            _ => (Bulk::NONE, Bulk::NONE),
        };
        Self { scenario, mishap, lead, ditchable }
    }

    /// What goes wrong.
    pub fn mishap(&self) -> Mishap {
        self.mishap
    }

    /// The diver of a moment after it, with the wing empty.
    #[inline]
    pub fn wing_empty(&self, now: &Now) -> Elsewhere<'a> {
        let Mishap { suit, circuit, cylinders, .. } = self.mishap;
        let mut diver = Elsewhere::of(self.scenario, now);
        for (bag, is_flooded) in [(SUIT, suit), (LOOP, circuit)] {
            if is_flooded {
                diver = diver.flooded(bag);
            }
        }
        if !cylinders.is_empty() {
            diver = diver.without_cylinders(cylinders);
        }
        if self.lead != Bulk::NONE {
            diver = diver.without(self.lead);
        }
        diver
    }

    /// What it changes of the net lift with the wing empty at a moment, kg.
    pub fn changed_kg(&self, now: &Now) -> f64 {
        self.wing_empty(now).here_kg() - now.balance.bare_kg()
    }

    /// The same diver, who has blown the wing as far up as it goes where it still works: to its capacity, or as far as
    /// its supply gives at this depth. On the way up it keeps that volume.
    #[inline]
    pub fn diver(&self, now: &Now) -> Elsewhere<'a> {
        let diver = self.wing_empty(now);
        if self.mishap.wing { diver } else { diver.with(self.wing(now, self.wing_most_m3(now))) }
    }

    /// A wing of some volume, m³. What is blown into it comes from a cylinder on the diver, so the mass stays what it was.
    fn wing(&self, now: &Now, volume_m3: f64) -> Bulk {
        Bulk::new(now.balance.bags[WING].mass_kg, volume_m3)
    }

    /// The most that the wing can hold at a moment after it, m³; nothing where it has failed.
    #[inline]
    pub fn wing_most_m3(&self, now: &Now) -> f64 {
        let Some(wing) = &self.scenario.gases().bags[WING] else { return 0.0 };
        if self.mishap.wing {
            return 0.0;
        }
        let mut volume_m3 = now.balance.bags[WING].volume_m3;
        for i in wing.bag.supply().and(now.state.carried).minus(self.mishap.cylinders).iter() {
            let gas_mol_m3 = now.ambient.gas_mol_m3(self.scenario, i);
            let spare_mol = above_rest_mol(self.scenario, now.state.cylinder_mol[i], i, gas_mol_m3).max(0.0);
            volume_m3 += spare_mol / gas_mol_m3;
        }
        volume_m3.min(wing.bag.capacity_m3())
    }

    /// What the wing must hold for this diver to be neutral where a moment has the diver, m³; below zero the diver floats
    /// with it empty.
    pub fn wing_needed_m3(&self, now: &Now) -> f64 {
        let water_kg_m3 = now.ambient.water_kg_m3;
        let without_volume = self.wing_empty(now).with(self.wing(now, 0.0));
        Bulk::reading(without_volume.here_kg()).missing_m3(water_kg_m3)
    }

    /// A diver after it who has let go of all that is left of what counts.
    #[inline]
    pub fn after_ditching(&self, diver: Elsewhere<'a>, leg: usize) -> Elsewhere<'a> {
        let ditched = diver.after_ditching(leg);
        // what is lost already cannot be let go of again
        if self.ditchable == Bulk::NONE { ditched } else { ditched.with(self.ditchable) }
    }
}
