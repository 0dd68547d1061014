//! A recorded profile made shorter before it is dived: what of this rig bounds the error of
//! [`simplify`](crate::profile::simplify).

use super::Builder;
use super::course::Course;
use crate::physics::gas::EquationOfState;
use crate::physics::water::{WATER_TEMPERATURE_RANGE_K, Water};
use crate::plan::note::Note;
use crate::profile::Leg;
use crate::profile::simplify::{Bound, simplify};
use crate::rig::{Body, Cylinder, CylinderSet, Rig};
use crate::scenario::FALLBACK_LAST_STOP_M;
use crate::units::{GAS_CONSTANT_J_MOL_K, STANDARD_GRAVITY_M_S2};

/// Legs from which on a record is made shorter: a plan written by hand has fewer.
const MANY_LEGS: usize = 2_000;
/// Real gas is denser than an ideal one where bags are filled and breath is drawn, below 40 bar, by less than this: argon
/// and oxygen come closest, with 3 % (from memory: second virial coefficients of −21 and −22 cm³/mol at 275 K).
const REAL_GAS_FRAC: f64 = 1.05;
/// The density of water grows less evenly with depth than on the mean of a layer, by less than this: its compressibility
/// falls by 3 % in 350 m (from memory).
const WATER_FRAC: f64 = 1.05;
/// A supply that has so much more than could be asked of it never runs dry.
const SPARE_FRAC: f64 = 1.1;

impl Builder<'_, '_> {
    /// The legs, fewer if they are a record of very many. A draw takes those that were found for the plan as it is.
    pub(super) fn shortened(
        &mut self,
        course: &Course,
        legs: Vec<Leg>,
        last_stop_m: Option<f64>,
        water: &Water,
        diver: &Rig,
    ) -> Vec<Leg> {
        if let Some(record) = self.record {
            return record.legs(&legs);
        }
        if self.is_draw() || legs.len() <= MANY_LEGS {
            return legs;
        }
        let rig = Bounds::of(diver, water, course, &legs);
        let mut kept_s: Vec<f64> =
            course.changes.iter().map(|placed| placed.change.time_s).chain(course.overhead_edges_s()).collect();
        kept_s.sort_by(f64::total_cmp);
        let interfaces = (1..water.layer_count()).map(|layer| water.layer_span_m(layer).0);
        let kept_m: Vec<f64> = interfaces.chain(last_stop_m).chain([FALLBACK_LAST_STOP_M]).collect();
        let bound = Bound {
            lift_kg_m: &|depth_m| rig.lift_kg_m(depth_m),
            gas_kg_m4: rig.gas_kg_m4,
            air_m: rig.air_m,
            kept_m: &kept_m,
            kept_s: &kept_s,
        };
        let found = simplify(course.start_m, &legs, &bound);
        let shorter = found.legs(&legs);
        self.notes.push(Note::Simplified { rows: legs.len() + 1, kept: shorter.len() + 1, moved_m: found.moved_m });
        self.found = Some(found);
        shorter
    }
}

/// What of a rig answers to depth.
struct Bounds<'r> {
    diver: &'r Rig,
    water: &'r Water,
    /// density of the densest water, kg/m³
    water_kg_m3: f64,
    /// what a metre of water adds to the density of the heaviest gas, kg/m⁴: `M·ρ·g/(R·T)`
    gas_kg_m4: f64,
    /// the air above the water as water, m
    air_m: f64,
    /// room for gas in suit and wing, m³
    bags_m3: f64,
    /// of it, what may be cut off from its supply, m³
    cut_off_m3: f64,
    /// all that displaces water, m³
    displaced_m3: f64,
    /// steepest growth of the water's density with depth, kg/m⁴
    water_kg_m4: f64,
}

impl<'r> Bounds<'r> {
    fn of(diver: &'r Rig, water: &'r Water, course: &Course, legs: &[Leg]) -> Self {
        let layers = || (0..water.layer_count()).map(|layer| (layer, water.layer_span_m(layer)));
        let ends = |layer: usize, (top_m, bottom_m): (f64, f64)| {
            (water.density_kg_m3(layer, top_m), water.density_kg_m3(layer, bottom_m))
        };
        let water_kg_m3 = layers().map(|(layer, span)| ends(layer, span).1).fold(0.0, f64::max);
        let steepness = |(layer, span): (usize, (f64, f64))| {
            let (top, bottom) = ends(layer, span);
            ((bottom - top) / (span.1 - span.0)).max(0.0) * WATER_FRAC
        };
        let heaviest_kg_mol = diver.cylinders.iter().map(|one| one.mix().molar_kg_mol()).fold(0.0, f64::max);
        let metre_pa = water_kg_m3 * STANDARD_GRAVITY_M_S2;
        let coldest_k = *WATER_TEMPERATURE_RANGE_K.start();
        let bags: Vec<(f64, CylinderSet)> =
            diver.bags().into_iter().flatten().map(|bag| (bag.capacity_m3(), bag.supply())).collect();
        let cylinders_m3: f64 = diver.cylinders.iter().map(|one| one.external_m3()).sum();
        let parts_m3: f64 = diver.parts.iter().map(|part| part.bulk(water.surface_pa()).volume_m3).sum();
        let bags_m3 = bags.iter().map(|(m3, _)| m3).sum();
        let mut rig = Bounds {
            diver,
            water,
            water_kg_m3,
            gas_kg_m4: REAL_GAS_FRAC * heaviest_kg_mol * metre_pa / (GAS_CONSTANT_J_MOL_K * coldest_k),
            air_m: water.surface_pa() / metre_pa,
            bags_m3,
            cut_off_m3: 0.0,
            displaced_m3: parts_m3 + cylinders_m3 + bags_m3,
            water_kg_m4: layers().map(steepness).fold(0.0, f64::max),
        };
        let may_run_dry = |(_, supply): &&(f64, CylinderSet)| rig.may_run_dry(*supply, course, legs);
        rig.cut_off_m3 = bags.iter().filter(may_run_dry).map(|(m3, _)| m3).sum();
        rig
    }

    /// No more than this changes the net lift with a metre, kg/m, at or below a depth:
    ///
    /// foam by Boyle or stiffer · gas of suit and wing, which weighs more the deeper it is, and what is cut off from its
    /// supply is squeezed as well · the water, which is denser the deeper.
    fn lift_kg_m(&self, depth_m: f64) -> f64 {
        let layer = self.water.layer_at(depth_m);
        let pressure_pa = self.water.pressure_pa(layer, depth_m);
        let foam = |body: &Body| match body {
            Body::Foam { foam, .. } => foam.compressible_m3(pressure_pa),
            Body::Rigid { .. } | Body::Reading { .. } => 0.0,
        };
        let foam_m3: f64 = self.diver.parts.iter().map(|part| f64::from(part.count) * foam(&part.body)).sum();
        // −dV/dd = V·ρg/p, and the lift of a volume is ρ·V
        let squeezed_kg_m =
            (foam_m3 + self.cut_off_m3) * self.water_kg_m3.powi(2) * STANDARD_GRAVITY_M_S2 / pressure_pa;
        // the wing also holds what the squeezed volume lifted, and its gas weighs: twice is more than enough for that
        squeezed_kg_m + 2.0 * self.bags_m3 * self.gas_kg_m4 + self.displaced_m3 * self.water_kg_m4
    }

    /// Whether a supply of suit or wing could be empty or away at some time: asked for more than it has by a reckoning
    /// that is on the high side everywhere, or not carried all the time.
    fn may_run_dry(&self, supply: CylinderSet, course: &Course, legs: &[Leg]) -> bool {
        let away = supply.iter().any(|i| self.diver.cylinders.get(i).is_none_or(|one| !one.is_carried_at_start()))
            || course.changes.iter().any(|placed| supply.contains(placed.change.cylinder));
        if away {
            return true;
        }
        let (mut asked_kg, mut here, mut deepest_m) = (0.0, (0.0, course.start_m), course.start_m);
        for leg in legs {
            let gas_kg_m3 = self.gas_kg_m4 * (here.1.max(leg.end_m) + self.air_m);
            if !leg.source.and(supply).is_empty() {
                asked_kg += leg.rate_m3_s * (leg.end_s - here.0) * gas_kg_m3;
            }
            asked_kg += self.bags_m3 * self.gas_kg_m4 * (leg.end_m - here.1).max(0.0);
            here = (leg.end_s, leg.end_m);
            deepest_m = deepest_m.max(leg.end_m);
        }
        // suit and wing filled anew on every way of theirs is in there; so is what stays behind at ambient pressure
        let of_supply = || supply.iter().map(|i| &self.diver.cylinders[i]);
        let left_m3: f64 = self.bags_m3 + of_supply().map(|one| one.water_m3()).sum::<f64>();
        asked_kg += left_m3 * self.gas_kg_m4 * (deepest_m + self.air_m);
        // a fill that no equation knows counts as none
        let filled_kg = |one: &Cylinder| one.gas_kg(one.fill_mol(EquationOfState::default()).unwrap_or(0.0));
        let has_kg: f64 = of_supply().map(filled_kg).sum();
        asked_kg * SPARE_FRAC > has_kg
    }
}
