//! Cylinders that come and go: what handing one off does, and what losing it would do.

use crate::findings::cylinders::{Turn, cylinders, lift_kg};
use crate::findings::extremes::SAME_DEPTH_M;
use crate::findings::hold::{holds, low_mol};
use crate::scenario::Scenario;
use crate::sim::trace::Event;
use crate::sim::{Happening, Trace};

/// A removable cylinder through the dive.
#[derive(Clone, Debug, PartialEq)]
pub struct RemovableCylinder {
    /// Index in the diver's list.
    pub cylinder: usize,
    /// When it turns from sinker to floater while it is carried.
    pub turn: Option<Turn>,
    /// Absolute pressure at which it is neutral, Pa.
    pub neutral_pa: Option<f64>,
    /// Every time it comes or goes by the plan, with its own lift then and what diver and wing do.
    pub moves: Vec<Event>,
    /// Its own lift at the end of the last stop; `None` if the diver does not have it then.
    pub last_stop: Option<LiftThere>,
    /// Losing it here leaves the diver lightest, at or below the last stop; `None` if it is not carried there.
    pub lightest: Option<Loss>,
    /// Losing it here leaves the diver heaviest; `None` if it is never carried.
    pub heaviest: Option<Loss>,
}

/// A cylinder's own lift at the last stop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LiftThere {
    /// With the gas as planned, kg.
    pub planned_kg: f64,
    /// Drained to its low pressure, kg; as planned if it holds less or is never breathed.
    pub drained_kg: f64,
}

/// The loss of a cylinder at a moment, before suit and wing answer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Loss {
    /// Row of the trace.
    pub sample: usize,
    /// When, s.
    pub time_s: f64,
    /// Where, m.
    pub depth_m: f64,
    /// The cylinder's own lift, kg.
    pub lift_kg: f64,
    /// Net lift of the diver after it with the wing as it was, kg.
    pub net_kg: f64,
    /// Net lift of the diver after it with the wing empty, kg.
    pub bare_kg: f64,
}

/// All removable cylinders of a recorded dive, in the diver's order.
pub fn removable(scenario: &Scenario, trace: &Trace) -> Vec<RemovableCylinder> {
    let last_row = holds(scenario, trace).last().map_or(0, |hold| hold.drained.sample);
    let last_m = scenario.last_stop_m() - SAME_DEPTH_M;
    let bodies = &scenario.diver().cylinders;
    let found = cylinders(scenario, trace).into_iter().filter(|found| bodies[found.cylinder].removable);
    found
        .map(|found| {
            let i = found.cylinder;
            let losses = || (0..trace.samples().len()).filter_map(|sample| loss(scenario, trace, sample, i));
            let deep = losses().filter(|loss| loss.depth_m >= last_m);
            RemovableCylinder {
                cylinder: i,
                turn: found.turn,
                neutral_pa: found.neutral_pa,
                moves: moves(trace, i),
                last_stop: lift_there(scenario, trace, last_row, i),
                lightest: deep.reduce(|best, here| if here.bare_kg > best.bare_kg { here } else { best }),
                heaviest: losses().reduce(|best, here| if here.bare_kg < best.bare_kg { here } else { best }),
            }
        })
        .collect()
}

/// What losing a cylinder at a row would do; `None` if it is not carried then.
pub fn loss(scenario: &Scenario, trace: &Trace, sample: usize, cylinder: usize) -> Option<Loss> {
    let row = &trace.samples()[sample];
    row.carried.contains(cylinder).then(|| {
        let lift_kg = lift_kg(scenario, trace, sample, cylinder);
        Loss {
            sample,
            time_s: row.time_s,
            depth_m: row.depth_m,
            lift_kg,
            net_kg: row.net_kg - lift_kg,
            bare_kg: row.bare_kg - lift_kg,
        }
    })
}

fn moves(trace: &Trace, which: usize) -> Vec<Event> {
    let is_move = |event: &&Event| matches!(event.what, Happening::Moved { cylinder, .. } if cylinder == which);
    trace.events().iter().filter(is_move).copied().collect()
}

fn lift_there(scenario: &Scenario, trace: &Trace, sample: usize, cylinder: usize) -> Option<LiftThere> {
    let row = &trace.samples()[sample];
    row.carried.contains(cylinder).then(|| {
        let body = &scenario.diver().cylinders[cylinder];
        let amount_mol = trace.cylinder(sample, cylinder).amount_mol;
        let low = || low_mol(scenario, row.layer, cylinder);
        let drained_mol = if scenario.breathable().contains(cylinder) { amount_mol.min(low()) } else { amount_mol };
        LiftThere {
            planned_kg: body.lift_kg(row.water_kg_m3, amount_mol),
            drained_kg: body.lift_kg(row.water_kg_m3, drained_mol),
        }
    })
}
