//! The diver of a moment, moved to another depth with the wing empty and the cylinders as they are, or otherwise filled.

use crate::findings::extremes::SAME_DEPTH_M;
use crate::physics::bulk::Bulk;
use crate::rig::{BagControl, CylinderSet, MAX_CYLINDERS, SUIT, WING};
use crate::scenario::Scenario;
use crate::sim::control::{Limits, available_mol};
use crate::sim::terms::cylinder_bulk;
use crate::sim::{Ambient, Now, State, Term, terms};

/// A diver whose wing has failed: what is needed to know the net lift at any depth above.
#[derive(Clone, Copy, Debug)]
pub struct Elsewhere<'a> {
    scenario: &'a Scenario,
    /// the wing emptied, cylinders and bags as they are to count
    state: State,
    layer: usize,
    /// everything but foam and suit gas
    rigid: Bulk,
    /// volume above which the suit vents, m³
    suit_limit_m3: f64,
}

impl<'a> Elsewhere<'a> {
    /// The diver of a moment, with the suit kept at its gas volume on the way.
    pub fn of(scenario: &'a Scenario, now: &Now) -> Self {
        let mut state = now.state;
        state.bag_mol[WING] = Default::default();
        Self {
            scenario,
            state,
            layer: now.ambient.layer,
            rigid: now.balance.solid - Bulk::volume(now.ambient.foam_m3),
            suit_limit_m3: scenario.rig().suit.map_or(0.0, |suit| suit.kept_m3()),
        }
    }

    /// The amounts that count in the cylinders, mol.
    pub fn cylinder_mol(&self) -> &[f64; MAX_CYLINDERS] {
        &self.state.cylinder_mol
    }

    /// The same without something rigid.
    #[must_use]
    pub fn without(mut self, bulk: Bulk) -> Self {
        self.rigid = self.rigid - bulk;
        self
    }

    /// The same without some of the cylinders.
    #[must_use]
    pub fn without_cylinders(mut self, gone: CylinderSet) -> Self {
        for i in gone.and(self.state.carried).iter() {
            self.rigid = self.rigid - cylinder_bulk(self.scenario, i, self.state.cylinder_mol[i]);
        }
        self.state.carried = self.state.carried.minus(gone);
        self
    }

    /// The same with the suit blown up by its extra volume, as far as its supply can give at this depth.
    #[must_use]
    pub fn with_suit_as_lift(mut self, now: &Now) -> Self {
        let scenario = self.scenario;
        let Some(suit) = &scenario.gases().bags[SUIT] else { return self };
        let BagControl::KeepVolume { .. } = suit.bag.control() else { return self };
        let mut wanted_m3 = suit.bag.extra_m3();
        let supply = suit.bag.supply().and(self.state.carried);
        let mut open = supply;
        // even shares; a cylinder that runs dry leaves its share to the others
        while wanted_m3 > 0.0 && !open.is_empty() {
            let share_m3 = wanted_m3 / open.len() as f64;
            let mut dry = CylinderSet::EMPTY;
            for i in open.iter() {
                let gas_mol_m3 = now.ambient.gas_mol_m3(scenario, i);
                let got_mol =
                    available_mol(scenario, &self.state, i, &now.ambient, Limits::Real).min(share_m3 * gas_mol_m3);
                let bulk = Bulk::mass(got_mol * scenario.molar_kg_mol(i));
                // the gas comes from a cylinder on the diver, so the mass stays until the suit vents
                self.rigid = self.rigid - bulk;
                self.state.cylinder_mol[i] -= got_mol;
                self.state.bag_mol[SUIT][suit.slot_of[i]] += got_mol;
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
        self.suit_limit_m3 = suit.bag.capacity_m3();
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
        let marked = self.scenario.ditchable_cylinders(leg).and(self.state.carried);
        if marked.is_empty() {
            return marked;
        }
        let water_kg_m3 = self.scenario.water().density_kg_m3(self.layer, self.state.depth_m);
        let lift_kg = |i| cylinder_bulk(self.scenario, i, self.state.cylinder_mol[i]).net_kg(water_kg_m3);
        CylinderSet::of(marked.iter().filter(|&i| lift_kg(i) < 0.0))
    }

    /// The net lift here and on the way straight up is nowhere below this, kg; `here` is the water where the diver is.
    ///
    /// On the way up the volume only grows (foam swells, a suit vents at its gas volume) and the mass only falls (what
    /// the suit vents), so at any depth above the net lift is at least what this mass and volume lift in the thinnest
    /// water above.
    pub fn at_least_kg(&self, here: &Ambient) -> f64 {
        self.bulk(here).net_kg(here.water_kg_m3.min(self.scenario.thinnest_above_kg_m3(self.layer)))
    }

    /// Net lift where the diver is, wing empty, kg.
    pub fn here_kg(&self, here: &Ambient) -> f64 {
        self.bulk(here).net_kg(here.water_kg_m3)
    }

    /// Everything on this diver at a pressure.
    fn bulk(&self, ambient: &Ambient) -> Bulk {
        self.rigid + Bulk::volume(ambient.foam_m3) + self.suit(ambient).1
    }

    /// The same with some cylinders down to other amounts, mol, where they hold more.
    #[must_use]
    pub fn at_reserve(mut self, which: CylinderSet, reserve_mol: &[f64; MAX_CYLINDERS]) -> Self {
        for i in which.iter() {
            let spent_mol = (self.state.cylinder_mol[i] - reserve_mol[i]).max(0.0);
            self.state.cylinder_mol[i] -= spent_mol;
            self.rigid = self.rigid - Bulk::mass(spent_mol * self.scenario.molar_kg_mol(i));
        }
        self
    }

    /// The suit's gas at a pressure: a suit that swells past its limit vents.
    fn suit(&self, ambient: &Ambient) -> ([f64; crate::rig::MAX_BAG_GASES], Bulk) {
        let mol = self.state.bag_mol[SUIT];
        let bulk = ambient.bag(self.scenario, SUIT, &mol);
        if bulk.volume_m3 <= self.suit_limit_m3 {
            return (mol, bulk);
        }
        let kept_frac = self.suit_limit_m3 / bulk.volume_m3;
        (mol.map(|mol| mol * kept_frac), bulk * kept_frac)
    }

    /// Net lift at a depth in a layer, wing empty, kg.
    pub fn bare_kg(&self, layer: usize, depth_m: f64) -> f64 {
        self.here_kg(&Ambient::for_bag(self.scenario, layer, depth_m, SUIT))
    }

    /// The same as a list of things. What was taken away as something rigid is not told apart in it.
    pub fn terms(&self, layer: usize, depth_m: f64) -> Vec<Term> {
        let ambient = Ambient::at(self.scenario, layer, depth_m);
        let mut state = self.state;
        state.bag_mol[SUIT] = self.suit(&ambient).0;
        terms(self.scenario, &state, &ambient)
    }

    /// The least net lift on the way straight up, and where: `min B(z)` for `0 ≤ z ≤ depth`.
    ///
    /// Within a layer the water's compressibility makes the diver a little heavier on the way up and foam makes the
    /// diver lighter; the sum is convex in depth, so its least value is at one of the ends or at one point between,
    /// which is looked for only where the slopes at the ends allow it.
    pub fn heaviest_on_the_way_up(&self) -> Heaviest {
        let water = self.scenario.water();
        let here_m = self.state.depth_m;
        let mut worst = Heaviest { bare_kg: self.bare_kg(self.layer, here_m), depth_m: here_m };
        let mut consider = |layer: usize, depth_m: f64| {
            let bare_kg = self.bare_kg(layer, depth_m);
            if bare_kg < worst.bare_kg {
                worst = Heaviest { bare_kg, depth_m };
            }
        };
        let has_foam = !self.scenario.fixed().foams.is_empty();
        for layer in (0..=self.layer).rev() {
            let (top_m, bottom_m) = water.layer_span_m(layer);
            let low_m = bottom_m.min(here_m);
            if low_m < top_m {
                continue;
            }
            consider(layer, top_m);
            if layer != self.layer {
                consider(layer, low_m);
            }
            if has_foam && low_m - top_m > 2.0 * PROBE_M {
                let falls_from_top = self.bare_kg(layer, top_m + PROBE_M) < self.bare_kg(layer, top_m);
                let rises_to_low = self.bare_kg(layer, low_m - PROBE_M) < self.bare_kg(layer, low_m);
                if falls_from_top && rises_to_low {
                    consider(layer, self.trough_m(layer, top_m, low_m));
                }
            }
        }
        worst
    }

    /// The layer in which a depth makes this diver heaviest: on an interface one of two.
    pub fn heaviest_layer(&self, depth_m: f64) -> usize {
        let spans = |layer: &usize| {
            let (top_m, bottom_m) = self.scenario.water().layer_span_m(*layer);
            top_m <= depth_m && depth_m <= bottom_m
        };
        let lift_kg = |layer: &usize| self.bare_kg(*layer, depth_m);
        (0..=self.layer).filter(spans).min_by(|a, b| lift_kg(a).total_cmp(&lift_kg(b))).unwrap_or(self.layer)
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
        if (depth_m - self.state.depth_m).abs() < SAME_DEPTH_M {
            self.layer
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
