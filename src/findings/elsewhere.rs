//! The diver of a moment, moved to another depth with the wing empty and the cylinders as they are.

use crate::diver::CylinderSet;
use crate::findings::extremes::SAME_DEPTH_M;
use crate::scenario::Scenario;
use crate::sim::{CylinderAt, Now, Sample};

/// A diver whose wing has failed: what is needed to know the net lift at any depth above.
#[derive(Clone, Copy, Debug)]
pub struct Elsewhere<'a> {
    scenario: &'a Scenario,
    /// mass of everything, wing gas not counted, kg
    mass_kg: f64,
    /// rigid volume with the carried cylinders, m³
    rigid_m3: f64,
    /// amount of the suit's gas, mol, and its mass, kg
    suit_mol: f64,
    suit_kg: f64,
    /// volume above which the suit vents, m³
    suit_limit_m3: f64,
    /// cylinder that tells the suit's gas
    suit_gas: Option<usize>,
    depth_m: f64,
    layer: usize,
}

impl<'a> Elsewhere<'a> {
    /// The diver of a row, with the suit kept at its loft on the way.
    pub fn of(scenario: &'a Scenario, row: &Sample) -> Self {
        let external_m3: f64 = row.carried.iter().map(|i| scenario.quick(i).external_m3).sum();
        let suit = scenario.diver().suit_gas;
        Self {
            scenario,
            mass_kg: row.bare_mass_kg,
            rigid_m3: scenario.fixed().volume_m3 + external_m3,
            suit_mol: row.suit_mol,
            suit_kg: row.suit_kg,
            suit_limit_m3: suit.map_or(0.0, |suit| suit.loft_m3),
            suit_gas: suit.and_then(|suit| suit.supply.first()),
            depth_m: row.depth_m,
            layer: row.layer,
        }
    }

    /// The diver of a moment of the run, with the suit kept at its loft on the way.
    pub fn of_now(scenario: &'a Scenario, now: &Now) -> Self {
        let suit = scenario.diver().suit_gas;
        Self {
            scenario,
            mass_kg: now.balance.mass_kg - now.balance.wing_kg,
            rigid_m3: now.balance.solid_m3 - now.balance.foam_m3,
            suit_mol: now.state.suit_mol,
            suit_kg: now.balance.suit_kg,
            suit_limit_m3: suit.map_or(0.0, |suit| suit.loft_m3),
            suit_gas: suit.and_then(|suit| suit.supply.first()),
            depth_m: now.state.depth_m,
            layer: now.ambient.layer,
        }
    }

    /// The same without something rigid of so much mass and volume.
    #[must_use]
    pub fn without(mut self, mass_kg: f64, volume_m3: f64) -> Self {
        self.mass_kg -= mass_kg;
        self.rigid_m3 -= volume_m3;
        self
    }

    /// The same with the suit blown up by its spare volume, as far as its supply can give at this depth.
    #[must_use]
    pub fn with_spare_loft(mut self, row: &Sample, cylinders: &[CylinderAt]) -> Self {
        let (Some(suit), Some(gas)) = (self.scenario.diver().suit_gas, self.suit_gas) else { return self };
        let table = self.scenario.isotherm(row.layer, gas);
        let gas_mol_m3 = table.ambient_mol_m3(row.ambient_pa);
        let available_mol: f64 = suit
            .supply
            .and(row.carried)
            .iter()
            .map(|i| (cylinders[i].amount_mol - self.scenario.quick(i).water_m3 * gas_mol_m3).max(0.0))
            .sum();
        let added_mol = (suit.spare_m3 * gas_mol_m3).min(available_mol);
        // the gas comes from a cylinder on the diver, so the mass stays until the suit vents
        self.suit_mol += added_mol;
        self.suit_kg += added_mol * self.scenario.molar_kg_mol(gas);
        self.suit_limit_m3 = suit.loft_m3 + suit.spare_m3;
        self
    }

    /// The same without what can be dropped under water. Dropped foam counts with its volume at the surface.
    #[must_use]
    pub fn after_ditching(self) -> Self {
        let fixed = self.scenario.fixed();
        self.without(fixed.ditchable_kg, fixed.ditchable_m3)
    }

    /// The same with some cylinders drained to amounts given by `low_mol`, where they hold more.
    #[must_use]
    pub fn drained(mut self, which: CylinderSet, cylinders: &[CylinderAt], low_mol: impl Fn(usize) -> f64) -> Self {
        for i in which.iter() {
            let spent_mol = (cylinders[i].amount_mol - low_mol(i)).max(0.0);
            self.mass_kg -= spent_mol * self.scenario.molar_kg_mol(i);
        }
        self
    }

    /// Volume, m³, and mass, kg, of the suit's gas at an absolute pressure in a layer. A suit that swells past its
    /// limit vents.
    pub fn suit(&self, layer: usize, pressure_pa: f64) -> (f64, f64) {
        self.suit_gas.map_or((0.0, 0.0), |gas| {
            let gas_mol_m3 = self.scenario.isotherm(layer, gas).ambient_mol_m3(pressure_pa);
            let suit_m3 = (self.suit_mol / gas_mol_m3).min(self.suit_limit_m3);
            (suit_m3, suit_m3 * gas_mol_m3 * self.scenario.molar_kg_mol(gas))
        })
    }

    /// Net lift at a depth in a layer, wing empty, kg.
    pub fn bare_kg(&self, layer: usize, depth_m: f64) -> f64 {
        let water = self.scenario.water();
        let pressure_pa = water.pressure_pa(layer, depth_m);
        let (suit_m3, suit_kg) = self.suit(layer, pressure_pa);
        let volume_m3 = self.rigid_m3 + self.scenario.foam_m3(pressure_pa) + suit_m3;
        water.density_kg_m3(layer, depth_m) * volume_m3 - (self.mass_kg - self.suit_kg + suit_kg)
    }

    /// The least net lift on the way straight up, and where: `min B(z)` for `0 ≤ z ≤ depth`.
    ///
    /// Within a layer the water's compressibility makes the diver a little heavier on the way up and foam makes the
    /// diver lighter; the sum is convex in depth, so its least value is at one of the ends or at one point between,
    /// which is looked for only where the slopes at the ends allow it.
    pub fn heaviest_on_the_way_up(&self) -> (f64, f64) {
        let water = self.scenario.water();
        let mut worst = (self.bare_kg(self.layer, self.depth_m), self.depth_m);
        let mut consider = |layer: usize, depth_m: f64| {
            let bare_kg = self.bare_kg(layer, depth_m);
            if bare_kg < worst.0 {
                worst = (bare_kg, depth_m);
            }
        };
        let has_foam = !self.scenario.fixed().foams.is_empty();
        for layer in (0..=self.layer).rev() {
            let (top_m, bottom_m) = water.layer_span_m(layer);
            let low_m = bottom_m.min(self.depth_m);
            if low_m < top_m {
                continue;
            }
            consider(layer, top_m);
            consider(layer, low_m);
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
        if (depth_m - self.depth_m).abs() < SAME_DEPTH_M { self.layer } else { self.scenario.water().layer_at(depth_m) }
    }
}

/// Distance over which slopes are probed, m.
const PROBE_M: f64 = 0.01;
