//! Cylinders that come and go: what handing one off does, and what losing it would do.

use std::borrow::Cow;

use crate::findings::cylinders::{Turn, cylinders};
use crate::findings::extremes::below;
use crate::findings::hold::{holds, reserve_mol};
use crate::scenario::Scenario;
use crate::sim::terms::{cylinder_bulk, cylinder_kg};
use crate::sim::{Event, Happening, Now, Span, Trace};

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
    /// At its reserve, kg; as planned if it holds less or is never breathed.
    pub at_reserve_kg: f64,
}

/// The loss of a cylinder at a moment, before suit and wing answer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Loss {
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

/// All removable cylinders of a dive, in the diver's order.
pub fn removable(scenario: &Scenario, trace: &Trace) -> Vec<RemovableCylinder> {
    let last_stop = holds(scenario, trace).last().map_or(*trace.first(), |hold| hold.at_reserve.now);
    let bodies = &scenario.rig().cylinders;
    let found = cylinders(scenario, trace).into_iter().filter(|found| bodies[found.cylinder].is_removable());
    found
        .map(|found| {
            let i = found.cylinder;
            let carried = || trace.spans().iter().filter(move |span| span.start().state.carried.contains(i));
            let deep = carried().filter_map(|span| below(scenario, span, scenario.last_stop_m()));
            let heavier = carried().map(Cow::Borrowed);
            RemovableCylinder {
                cylinder: i,
                turn: found.turn,
                neutral_pa: found.neutral_pa,
                moves: moves(trace, i),
                last_stop: lift_there(scenario, &last_stop, i),
                lightest: most(scenario, deep, i, 1.0),
                heaviest: most(scenario, heavier, i, -1.0),
            }
        })
        .collect()
}

/// The loss that leaves the diver lightest (sign +1) or heaviest (sign −1).
fn most<'a>(
    scenario: &Scenario,
    spans: impl Iterator<Item = Cow<'a, Span>>,
    cylinder: usize,
    sign: f64,
) -> Option<Loss> {
    let bare = |now: &Now| sign * (now.balance.bare_kg() - cylinder_kg(scenario, now, cylinder));
    let (mut best, mut value) = (None, f64::NEG_INFINITY);
    for span in spans {
        if let Some((now, here)) = span.greatest_above(scenario, value, bare) {
            (best, value) = (Some(now), here);
        }
    }
    best.and_then(|now| loss(scenario, &now, cylinder))
}

/// What losing a cylinder at a moment would do; `None` if it is not carried then.
pub fn loss(scenario: &Scenario, now: &Now, cylinder: usize) -> Option<Loss> {
    now.state.carried.contains(cylinder).then(|| {
        let lift_kg = cylinder_kg(scenario, now, cylinder);
        Loss {
            time_s: now.state.time_s,
            depth_m: now.state.depth_m,
            lift_kg,
            net_kg: now.balance.net_kg() - lift_kg,
            bare_kg: now.balance.bare_kg() - lift_kg,
        }
    })
}

fn moves(trace: &Trace, which: usize) -> Vec<Event> {
    let is_move = |event: &&Event| matches!(event.what, Happening::Moved { cylinder, .. } if cylinder == which);
    trace.events().iter().filter(is_move).copied().collect()
}

fn lift_there(scenario: &Scenario, now: &Now, cylinder: usize) -> Option<LiftThere> {
    now.state.carried.contains(cylinder).then(|| {
        let amount_mol = now.state.cylinder_mol[cylinder];
        let reserve_mol = reserve_mol(scenario, now.ambient.layer, cylinder);
        let at_reserve_mol =
            if scenario.down_to_reserve().contains(cylinder) { amount_mol.min(reserve_mol) } else { amount_mol };
        let lift_kg = |mol| cylinder_bulk(scenario, cylinder, mol).net_kg(now.ambient.water_kg_m3);
        LiftThere { planned_kg: lift_kg(amount_mol), at_reserve_kg: lift_kg(at_reserve_mol) }
    })
}
