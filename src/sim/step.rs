//! From a knot to any later moment of the same stretch, pure: a moment in, a moment out.

use crate::rig::{CylinderSet, MAX_CYLINDERS};
use crate::scenario::{Scenario, Segment};
use crate::sim::circuit::{self, Stretch};
use crate::sim::control::{Limits, available_mol, control};
use crate::sim::state::{Air, Ambient, Now, State};

/// The moment `time_s` of the stretch `segment`, from a knot in it.
///
/// Breathing first: `Δn = ∫ q·ρₘ(p) dt`; then the new depth, then the bags answer to it. Exact at any distance as long
/// as no event lies between (see [`crate::sim::events`]): amounts in the bags follow from depth and mass alone while a
/// bag only adds or only vents, and so does what comes out of a cylinder that is nowhere near empty.
///
/// The integral is taken by Gauss's rule with two points: the molar density is almost linear in the pressure and the
/// pressure in time, so over a doubling of the pressure its error is below a milligram (a test holds the run against a
/// hundredth of its tolerance).
#[inline]
pub(crate) fn step(scenario: &Scenario, segment: &Segment, knot: &Now, time_s: f64, limits: Limits) -> Now {
    let depth_m = segment.depth_m(time_s);
    let is_level = depth_m == knot.state.depth_m;
    let ambient = if is_level && knot.ambient.layer == segment.layer {
        knot.ambient
    } else {
        Ambient::at(scenario, segment.layer, depth_m)
    };
    let air = Air::of(scenario, &ambient);
    let mut state = State { time_s, depth_m, ..knot.state };
    let volume_m3 = segment.rate_m3_s * (time_s - knot.state.time_s);
    let source = segment.source.and(state.carried);
    let mut breath_frac = 0.0;
    if volume_m3 > 0.0 && !source.is_empty() {
        let mean_mol_m3 = if is_level {
            per_cylinder(source, |i| air.gas_mol_m3(i))
        } else {
            mean_density(scenario, segment, source, [knot.state.depth_m, depth_m])
        };
        breath_frac = breathe(&mut state, &Breath { source, volume_m3, mean_mol_m3, after: &air, limits });
    }
    let lacks = segment.on_loop.map(|on_loop| {
        let stretch = Stretch { on_loop, length_s: time_s - knot.state.time_s, from_pa: knot.ambient.pressure_pa };
        circuit::breathe(&air, &mut state, stretch, limits)
    });
    let balance = control(&air, &mut state, limits);
    state.unmet.breath_frac = breath_frac;
    if let Some(lacks) = lacks {
        lacks.note(&mut state.unmet);
    }
    Now { state, ambient, balance }
}

#[inline]
fn per_cylinder(set: CylinderSet, value: impl Fn(usize) -> f64) -> [f64; MAX_CYLINDERS] {
    let mut values = [0.0; MAX_CYLINDERS];
    set.iter().for_each(|i| values[i] = value(i));
    values
}

/// Mean molar density of each cylinder's gas between two depths that are passed at one speed, mol/m³.
#[inline]
fn mean_density(scenario: &Scenario, segment: &Segment, source: CylinderSet, ends_m: [f64; 2]) -> [f64; MAX_CYLINDERS] {
    // nodes of Gauss's rule: the middle ± 1/(2√3)
    const OFFSET: f64 = 0.288_675_134_594_812_9;
    let pressure_pa = [0.5 - OFFSET, 0.5 + OFFSET]
        .map(|share| scenario.water().pressure_pa(segment.layer, ends_m[0] + share * (ends_m[1] - ends_m[0])));
    per_cylinder(source, |i| {
        let table = scenario.isotherm(segment.layer, i);
        0.5 * (table.ambient_mol_m3(pressure_pa[0]) + table.ambient_mol_m3(pressure_pa[1]))
    })
}

/// Gas breathed since a knot.
struct Breath<'a> {
    source: CylinderSet,
    /// at ambient pressure
    volume_m3: f64,
    mean_mol_m3: [f64; MAX_CYLINDERS],
    after: &'a Air<'a>,
    limits: Limits,
}

/// Breathes from the source; returns the share of the volume that could not be had.
#[inline]
fn breathe(state: &mut State, breath: &Breath<'_>) -> f64 {
    let gases = breath.after.scenario.gases();
    // Cylinders of one source may hold different gases, so the share of each is counted in ambient volume.
    let mut missing_m3 = breath.volume_m3;
    let mut open = breath.source;
    // a cylinder that runs dry leaves its share to the others
    while missing_m3 > 0.0 && !open.is_empty() {
        let share_m3 = missing_m3 / open.len() as f64;
        let mut dry = CylinderSet::EMPTY;
        for i in open.iter() {
            let wanted_mol = share_m3 * breath.mean_mol_m3[i];
            let got_mol = wanted_mol.min(available_mol(breath.after, state, i, breath.limits));
            state.cylinder_mol[i] -= got_mol;
            state.breathed.add(&gases.mixes[gases.quick[i].gas], got_mol);
            if got_mol < wanted_mol {
                missing_m3 -= got_mol / breath.mean_mol_m3[i];
                dry = dry.with(i);
            } else {
                missing_m3 -= share_m3;
            }
        }
        if dry.is_empty() {
            return 0.0;
        }
        open = open.minus(dry);
    }
    (missing_m3 / breath.volume_m3).max(0.0)
}
