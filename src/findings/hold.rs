//! Whether the diver can stay down at a stop with the wing empty.

use crate::findings::elsewhere::Elsewhere;
use crate::findings::extremes::SAME_DEPTH_M;
use crate::scenario::Scenario;
use crate::sim::Trace;
use crate::units::ATMOSPHERE_PA;

/// The lightest moment of a stop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HoldAt {
    /// Row of the trace.
    pub sample: usize,
    /// When, s.
    pub time_s: f64,
    /// Net lift with the wing empty, kg.
    pub bare_kg: f64,
}

impl HoldAt {
    /// Weight to spare, kg: positive, the diver stays down; negative, the diver floats up by that much.
    pub fn margin_kg(&self) -> f64 {
        -self.bare_kg
    }

    /// Whether the diver stays down.
    pub fn holds(&self) -> bool {
        self.bare_kg <= 0.0
    }
}

/// A stop, asked twice.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hold {
    /// Depth of the stop, m.
    pub depth_m: f64,
    /// Start, s.
    pub start_s: f64,
    /// End, s. Equal to the start when the profile only passes through this depth.
    pub end_s: f64,
    /// With the gas as planned.
    pub planned: HoldAt,
    /// With every breathable cylinder on the diver drained to its low pressure.
    pub drained: HoldAt,
}

/// The stops of the dive in order of time; the last one is the last stop. A last stop at which the profile does not
/// stay is asked at the moment when the diver is last that deep.
pub fn holds(scenario: &Scenario, trace: &Trace) -> Vec<Hold> {
    let last_m = scenario.last_stop_m();
    let mut holds: Vec<Hold> = Vec::new();
    for stop in scenario.profile().stops() {
        let rows = trace.samples().iter().enumerate().filter(|(_, row)| {
            (row.depth_m - stop.depth_m).abs() < SAME_DEPTH_M && row.time_s >= stop.start_s && row.time_s <= stop.end_s
        });
        holds.extend(lightest(scenario, trace, stop.depth_m, rows.map(|(i, _)| i)));
    }
    // what lies above the last stop is the way out
    holds.retain(|hold| hold.depth_m >= last_m - SAME_DEPTH_M);
    if holds.last().is_none_or(|hold| (hold.depth_m - last_m).abs() > SAME_DEPTH_M) {
        let last_deep = trace.samples().iter().rposition(|row| row.depth_m >= last_m - SAME_DEPTH_M).unwrap_or(0);
        holds.extend(lightest(scenario, trace, last_m, std::iter::once(last_deep)));
    }
    holds
}

/// Lifts closer than this are alike, kg: a milligram, far above rounding.
pub const SAME_LIFT_KG: f64 = 1e-6;

fn lightest(scenario: &Scenario, trace: &Trace, depth_m: f64, rows: impl Iterator<Item = usize>) -> Option<Hold> {
    let breathable = scenario.breathable();
    let mut hold: Option<Hold> = None;
    for sample in rows {
        let row = &trace.samples()[sample];
        let here = Elsewhere::of(scenario, row);
        let layer = here.layer_at(depth_m);
        let low_mol = |i: usize| low_mol(scenario, layer, i);
        let drained = here.drained(breathable.and(row.carried), trace.cylinders(sample), low_mol);
        let at = |bare_kg: f64| HoldAt { sample, time_s: row.time_s, bare_kg };
        let (planned, drained) = (at(here.bare_kg(layer, depth_m)), at(drained.bare_kg(layer, depth_m)));
        match &mut hold {
            None => hold = Some(Hold { depth_m, start_s: row.time_s, end_s: row.time_s, planned, drained }),
            Some(hold) => {
                hold.end_s = row.time_s;
                // drained, every moment of a stop is alike but for rounding: then the last one is told
                if planned.bare_kg > hold.planned.bare_kg - SAME_LIFT_KG {
                    hold.planned = planned;
                }
                if drained.bare_kg > hold.drained.bare_kg - SAME_LIFT_KG {
                    hold.drained = drained;
                }
            }
        }
    }
    hold
}

/// Amount in a cylinder at its low pressure in the water of a layer, mol.
pub fn low_mol(scenario: &Scenario, layer: usize, cylinder: usize) -> f64 {
    let body = &scenario.diver().cylinders[cylinder];
    body.water_m3 * scenario.isotherm(layer, cylinder).density_mol_m3(body.low_gauge_pa + ATMOSPHERE_PA)
}
