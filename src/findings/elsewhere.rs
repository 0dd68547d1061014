//! The diver of a moment, moved to another depth with the wing empty and the cylinders as they are, or otherwise filled.

use crate::findings::extremes::SAME_DEPTH_M;
use crate::physics::bulk::Bulk;
use crate::rig::{BagControl, CylinderSet, LOOP, MAX_BAG_GASES, MAX_BAGS, MAX_CYLINDERS, SUIT};
use crate::scenario::Scenario;
use crate::sim::control::above_rest_mol;
use crate::sim::terms::{Worn, cylinder_bulk};
use crate::sim::{Ambient, Now, Term};

/// A diver whose wing has failed: what is needed to know the net lift at any depth above.
#[derive(Clone, Copy, Debug)]
pub struct Elsewhere<'a> {
    scenario: &'a Scenario,
    depth_m: f64,
    /// the water where the diver is
    here: Ambient,
    /// the gas of suit and loop there, within their limits
    closed_here: Bulk,
    carried: CylinderSet,
    /// amounts that count, mol
    cylinder_mol: [f64; MAX_CYLINDERS],
    /// amounts in suit and loop, mol
    bag_mol: [[f64; MAX_BAG_GASES]; MAX_BAGS],
    /// oxygen that the body has taken out of a loop, mol
    metabolised_mol: f64,
    /// everything but foam and the gas of suit and loop
    rigid: Bulk,
    /// volumes above which suit and loop vent, m³
    limit_m3: [f64; MAX_BAGS],
}

/// The bags that stay closed when the wing has failed.
const CLOSED: [usize; 2] = [SUIT, LOOP];

impl<'a> Elsewhere<'a> {
    /// The diver of a moment, with the suit kept at its gas volume on the way.
    #[inline]
    pub fn of(scenario: &'a Scenario, now: &Now) -> Self {
        Self {
            scenario,
            depth_m: now.state.depth_m,
            here: now.ambient,
            closed_here: now.balance.bags[SUIT] + now.balance.bags[LOOP],
            carried: now.state.carried,
            cylinder_mol: now.state.cylinder_mol,
            bag_mol: now.state.bag_mol,
            metabolised_mol: now.state.metabolised_mol,
            rigid: now.balance.solid - Bulk::volume(now.ambient.foam_m3),
            limit_m3: scenario.gases().bags.map(|bag| bag.map_or(0.0, |bag| bag.bag.kept_m3())),
        }
    }

    /// The amounts that count in the cylinders, mol.
    #[inline]
    pub fn cylinder_mol(&self) -> &[f64; MAX_CYLINDERS] {
        &self.cylinder_mol
    }

    /// The same without something rigid.
    #[must_use]
    #[inline]
    pub fn without(mut self, bulk: Bulk) -> Self {
        self.rigid = self.rigid - bulk;
        self
    }

    /// The same with something rigid more.
    #[must_use]
    #[inline]
    pub fn with(self, bulk: Bulk) -> Self {
        self.without(bulk * -1.0)
    }

    /// The same with a bag full of water: its gas is gone, and water has its room, which takes `ρ·V − m` of lift away.
    #[must_use]
    pub fn flooded(mut self, bag: usize) -> Self {
        if CLOSED.contains(&bag) {
            self.closed_here = self.closed_here - self.bag(&self.here, bag).1;
            (self.bag_mol[bag], self.limit_m3[bag]) = ([0.0; MAX_BAG_GASES], 0.0);
        }
        self
    }

    /// The same without some of the cylinders.
    #[must_use]
    #[inline]
    pub fn without_cylinders(mut self, gone: CylinderSet) -> Self {
        for i in gone.and(self.carried).iter() {
            self.rigid = self.rigid - cylinder_bulk(self.scenario, i, self.cylinder_mol[i]);
        }
        self.carried = self.carried.minus(gone);
        self
    }

    /// The same with the suit blown up by its extra volume, as far as its supply can give at this depth.
    #[must_use]
    pub fn with_suit_as_lift(mut self, now: &Now) -> Self {
        let scenario = self.scenario;
        let Some(suit) = &scenario.gases().bags[SUIT] else { return self };
        let BagControl::KeepVolume { .. } = suit.bag.control() else { return self };
        let mut wanted_m3 = suit.bag.extra_m3();
        let supply = suit.bag.supply().and(self.carried);
        let mut open = supply;
        // even shares; a cylinder that runs dry leaves its share to the others
        while wanted_m3 > 0.0 && !open.is_empty() {
            let share_m3 = wanted_m3 / open.len() as f64;
            let mut dry = CylinderSet::EMPTY;
            for i in open.iter() {
                let gas_mol_m3 = now.ambient.gas_mol_m3(scenario, i);
                let spare_mol = above_rest_mol(scenario, self.cylinder_mol[i], i, gas_mol_m3).max(0.0);
                let got_mol = spare_mol.min(share_m3 * gas_mol_m3);
                let bulk = Bulk::mass(got_mol * scenario.molar_kg_mol(i));
                // the gas comes from a cylinder on the diver, so the mass stays until the suit vents
                self.rigid = self.rigid - bulk;
                self.cylinder_mol[i] -= got_mol;
                self.bag_mol[SUIT][suit.slot_of[i]] += got_mol;
                wanted_m3 -= got_mol / gas_mol_m3;
                if got_mol < share_m3 * gas_mol_m3 {
                    dry = dry.with(i);
                }
            }
            if dry.is_empty() {
                break;
            }
            open = open.minus(dry);
        }
        self.limit_m3[SUIT] = suit.bag.capacity_m3();
        self.closed_here = self.closed(&now.ambient);
        self
    }

    /// The same after letting go of all that is marked so and sinks: parts, and cylinders that are not breathed in this
    /// leg or later. Foam that is let go of counts with its volume at the surface.
    #[must_use]
    pub fn after_ditching(self, leg: usize) -> Self {
        let parts = self.scenario.fixed().ditchable();
        self.without(parts).without_cylinders(self.sinkers(leg))
    }

    /// The cylinders on this diver that can be let go of in a leg and make the diver lighter then.
    pub fn sinkers(&self, leg: usize) -> CylinderSet {
        let marked = self.scenario.ditchable_cylinders(leg).and(self.carried);
        if marked.is_empty() {
            return marked;
        }
        let lift_kg = |i| cylinder_bulk(self.scenario, i, self.cylinder_mol[i]).net_kg(self.here.water_kg_m3);
        CylinderSet::of(marked.iter().filter(|&i| lift_kg(i) < 0.0))
    }

    /// The net lift on the way out of a leg is nowhere below this, kg: here and straight up; under an overhead here alone.
    ///
    /// On the way up the volume only grows (foam swells, a suit vents at its gas volume) and the mass only falls (what
    /// the suit vents), so at any depth above the net lift is at least what this mass and volume lift in the thinnest
    /// water above.
    #[inline]
    pub fn at_least_kg(&self, leg: usize) -> f64 {
        if self.scenario.is_overhead(leg) {
            return self.here_kg();
        }
        self.bulk_here().net_kg(self.here.water_kg_m3.min(self.scenario.thinnest_above_kg_m3(self.here.layer)))
    }

    /// Net lift where the diver is, wing empty, kg.
    #[inline]
    pub fn here_kg(&self) -> f64 {
        self.bulk_here().net_kg(self.here.water_kg_m3)
    }

    #[inline]
    fn bulk_here(&self) -> Bulk {
        self.rigid + Bulk::volume(self.here.foam_m3) + self.closed_here
    }

    /// Everything on this diver at a pressure.
    #[inline]
    fn bulk(&self, ambient: &Ambient) -> Bulk {
        self.rigid + Bulk::volume(ambient.foam_m3) + self.closed(ambient)
    }

    /// The same with some cylinders down to their reserve in the water of a layer, where they hold more.
    #[must_use]
    #[inline]
    pub fn at_reserve(mut self, which: CylinderSet, layer: usize) -> Self {
        let reserve_mol = self.scenario.gases().reserve_mol(layer);
        for i in which.iter() {
            let spent_mol = (self.cylinder_mol[i] - reserve_mol[i]).max(0.0);
            self.cylinder_mol[i] -= spent_mol;
            self.rigid = self.rigid - Bulk::mass(spent_mol * self.scenario.molar_kg_mol(i));
        }
        self
    }

    /// The gas of suit and loop at a pressure.
    #[inline]
    fn closed(&self, ambient: &Ambient) -> Bulk {
        CLOSED.into_iter().fold(Bulk::NONE, |sum, index| match self.scenario.gases().bags[index] {
            Some(_) => sum + self.bag(ambient, index).1,
            None => sum,
        })
    }

    /// The gas of a closed bag at a pressure: one that swells past its limit vents.
    #[inline]
    fn bag(&self, ambient: &Ambient, index: usize) -> ([f64; MAX_BAG_GASES], Bulk) {
        let mol = self.bag_mol[index];
        let bulk = ambient.bag(self.scenario, index, &mol);
        if bulk.volume_m3 <= self.limit_m3[index] {
            return (mol, bulk);
        }
        let kept_frac = self.limit_m3[index] / bulk.volume_m3;
        (mol.map(|mol| mol * kept_frac), bulk * kept_frac)
    }

    /// Net lift at a depth in a layer, wing empty, kg.
    #[inline]
    pub fn bare_kg(&self, layer: usize, depth_m: f64) -> f64 {
        let there = Ambient::at(self.scenario, layer, depth_m);
        self.bulk(&there).net_kg(there.water_kg_m3)
    }

    /// The same as a list of things. What was taken away as something rigid is not told apart in it.
    pub fn terms(&self, layer: usize, depth_m: f64) -> Vec<Term> {
        let ambient = Ambient::at(self.scenario, layer, depth_m);
        let mut bag_mol = [[0.0; MAX_BAG_GASES]; MAX_BAGS];
        for index in CLOSED {
            bag_mol[index] = self.bag(&ambient, index).0;
        }
        let worn = Worn {
            carried: self.carried,
            cylinder_mol: &self.cylinder_mol,
            bag_mol: &bag_mol,
            metabolised_mol: self.metabolised_mol,
        };
        worn.terms(self.scenario, &ambient)
    }

    /// The least net lift on the way out of a leg, and where. Straight up: `min B(z)` for `0 ≤ z ≤ depth`. Under an overhead
    /// there is no way up, and what counts is the diver here, who hovers or is held: `B(depth)`. Every load of a failure is
    /// asked of this function.
    ///
    /// Within a layer the water's compressibility makes the diver a little heavier on the way up and foam makes the
    /// diver lighter; the sum is convex in depth. So where the diver becomes lighter right above the lower end, that end
    /// is the heaviest place of the layer, which is the rule with foam; else it is the upper end, or one point between,
    /// which is looked for only where the slope there allows it. A suit or a loop that is not full swells first and vents later,
    /// which is not convex; then both ends are asked.
    pub fn heaviest_on_the_way_up(&self, leg: usize) -> Heaviest {
        let water = self.scenario.water();
        let here_m = self.depth_m;
        let mut worst = Heaviest { bare_kg: self.here_kg(), depth_m: here_m };
        if self.scenario.is_overhead(leg) {
            return worst;
        }
        let has_foam = !self.scenario.fixed().foams.is_empty();
        let limit_m3: f64 = CLOSED.into_iter().map(|index| self.limit_m3[index]).sum();
        let is_full = self.closed_here.volume_m3 >= limit_m3 * (1.0 - 1e-9);
        for layer in (0..=self.here.layer).rev() {
            let (top_m, bottom_m) = water.layer_span_m(layer);
            let low_m = bottom_m.min(here_m);
            if low_m < top_m {
                continue;
            }
            let low_kg = if layer == self.here.layer { worst.bare_kg } else { self.bare_kg(layer, low_m) };
            let mut consider = |depth_m: f64, bare_kg: f64| {
                if bare_kg < worst.bare_kg {
                    worst = Heaviest { bare_kg, depth_m };
                }
            };
            consider(low_m, low_kg);
            let has_inside = has_foam && low_m - top_m > 2.0 * PROBE_M;
            let rises_to_low = || self.bare_kg(layer, low_m - PROBE_M) < low_kg;
            if has_inside && is_full && !rises_to_low() {
                continue;
            }
            let top_kg = self.bare_kg(layer, top_m);
            consider(top_m, top_kg);
            if has_inside && self.bare_kg(layer, top_m + PROBE_M) < top_kg && rises_to_low() {
                let trough_m = self.trough_m(layer, top_m, low_m);
                consider(trough_m, self.bare_kg(layer, trough_m));
            }
        }
        worst
    }

    /// The layer in which a depth makes this diver heaviest on the way out of a leg: on an interface one of two.
    pub fn heaviest_layer(&self, leg: usize, depth_m: f64) -> usize {
        if self.scenario.is_overhead(leg) {
            return self.here.layer;
        }
        let spans = |layer: &usize| {
            let (top_m, bottom_m) = self.scenario.water().layer_span_m(*layer);
            top_m <= depth_m && depth_m <= bottom_m
        };
        let lift_kg = |layer: &usize| self.bare_kg(*layer, depth_m);
        (0..=self.here.layer).filter(spans).min_by(|a, b| lift_kg(a).total_cmp(&lift_kg(b))).unwrap_or(self.here.layer)
    }

    /// Depth of the least lift between two depths of a layer, by golden-section search to a centimetre.
    fn trough_m(&self, layer: usize, mut high_m: f64, mut low_m: f64) -> f64 {
        const GOLDEN: f64 = 0.618_033_988_749_895;
        while low_m - high_m > PROBE_M {
            let third = GOLDEN * (low_m - high_m);
            let (a, b) = (low_m - third, high_m + third);
            if self.bare_kg(layer, a) < self.bare_kg(layer, b) { low_m = b } else { high_m = a }
        }
        0.5 * (high_m + low_m)
    }

    /// Layer that holds a depth on this diver's way: the diver's own layer at the diver's depth.
    pub fn layer_at(&self, depth_m: f64) -> usize {
        if (depth_m - self.depth_m).abs() < SAME_DEPTH_M {
            self.here.layer
        } else {
            self.scenario.water().layer_at(depth_m)
        }
    }
}

/// Where a diver is heaviest on the way up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heaviest {
    /// Net lift there, wing empty, kg.
    pub bare_kg: f64,
    /// Where, m.
    pub depth_m: f64,
}

/// Distance over which slopes are probed, m.
const PROBE_M: f64 = 0.01;
