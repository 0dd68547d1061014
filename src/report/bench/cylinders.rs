//! Each cylinder at the moment held: its gauge, its lift, what can be done with it.

use serde::Serialize;

use crate::answer::Quick;
use crate::profile::Move;
use crate::report::bench::{PlanCylinder, Shown, seconds};
use crate::rig::BreathingLoop;
use crate::scenario::Scenario;
use crate::sim::terms::cylinder_kg;
use crate::sim::trace::pressure_pa;
use crate::units::ATMOSPHERE_PA;

/// A cylinder at a moment; pressures as a gauge shows them.
#[derive(Serialize)]
pub(super) struct Cylinder<'a> {
    name: String,
    gas: &'a str,
    fill: f64,
    now: f64,
    reserve: f64,
    /// share of its gas that is left
    share_now: f64,
    is_carried: bool,
    is_breathed: bool,
    /// what it is for on a closed circuit
    role: Option<&'static str>,
    /// own lift with what hangs on it
    lift: f64,
    is_removable: bool,
    floats: bool,
    control: Option<&'a str>,
    /// what can be done with it at this moment
    can: Vec<&'static str>,
    changes: Vec<Change>,
}

#[derive(Serialize)]
struct Change {
    time_s: f64,
    kind: &'static str,
    /// made in the page, so it can be undone
    is_ours: bool,
}

/// Times of one change that differ by rounding, s.
const SAME_TIME_S: f64 = 0.01;

pub(super) fn cylinders<'a>(shown: Shown, quick: &Quick, plan: &'a [PlanCylinder], moment_s: f64) -> Vec<Cylinder<'a>> {
    let scenario = &quick.built.scenario;
    let now = quick.trace.at(scenario, moment_s);
    let leg = quick.trace.span_at(moment_s).segment.leg;
    let source = scenario.profile().legs().get(leg).map(|leg| leg.source).unwrap_or_default();
    let one = |(i, body): (usize, &crate::rig::Cylinder)| {
        let lift_kg = cylinder_kg(scenario, &now, i);
        let of_plan = plan.get(i);
        let is_carried = now.state.carried.contains(i);
        Cylinder {
            name: body.name().to_owned(),
            gas: of_plan.map_or("", |one| &one.gas),
            fill: shown.gauge(body.fill_gauge_pa() + ATMOSPHERE_PA),
            now: shown.gauge(pressure_pa(scenario, &now, i)),
            reserve: shown.gauge(body.reserve_gauge_pa() + ATMOSPHERE_PA),
            share_now: share(now.state.cylinder_mol[i], scenario.filled_mol(i)),
            is_carried,
            is_breathed: is_carried && source.contains(i),
            role: scenario.rig().breathing_loop.and_then(|circuit| role(&circuit, i)),
            lift: shown.mass(lift_kg),
            is_removable: body.is_removable(),
            floats: lift_kg > 0.0,
            control: of_plan.and_then(|one| one.control.as_deref()),
            can: can(scenario, i, leg, moment_s, is_carried),
            changes: changes(scenario, i, of_plan),
        }
    };
    scenario.rig().cylinders.iter().enumerate().map(one).collect()
}

/// What a cylinder is to a loop.
fn role(circuit: &BreathingLoop, i: usize) -> Option<&'static str> {
    let roles = [(circuit.oxygen, "oxygen"), (circuit.diluent, "diluent"), (circuit.bail_out, "bail-out")];
    roles.into_iter().find(|(of, _)| of.contains(i)).map(|(_, word)| word)
}

fn share(mol: f64, filled_mol: f64) -> f64 {
    if filled_mol > 0.0 { crate::report::json::round((mol / filled_mol).clamp(0.0, 1.0), 4) } else { 0.0 }
}

/// A cylinder that fills suit or wing stays on the diver unless the plan says that it can go. Another goes where no leg from
/// then on breathes it, and comes where it is not there; after a later change of it, neither fits any more. One that was
/// handed off only its partner gives back.
fn can(scenario: &Scenario, i: usize, leg: usize, moment_s: f64, is_carried: bool) -> Vec<&'static str> {
    let changes = || scenario.profile().changes().iter().filter(|change| change.cylinder == i);
    if changes().any(|change| change.time_s > moment_s) {
        return Vec::new();
    }
    let rig = scenario.rig();
    let is_fixed =
        !rig.cylinders[i].is_removable() && rig.bags().into_iter().flatten().any(|bag| bag.supply().contains(i));
    match is_carried {
        true if is_fixed || scenario.needed_from(leg).contains(i) => Vec::new(),
        true => vec![word(Move::Leave), word(Move::HandOff)],
        false if changes().any(|change| change.kind == Move::HandOff) => vec![word(Move::Receive)],
        false => vec![word(Move::Take), word(Move::Receive)],
    }
}

fn changes(scenario: &Scenario, i: usize, plan: Option<&PlanCylinder>) -> Vec<Change> {
    let is_ours = |time_s: f64| plan.is_some_and(|one| one.ours_s.iter().any(|s| (s - time_s).abs() < SAME_TIME_S));
    let own = scenario.profile().changes().iter().filter(|change| change.cylinder == i);
    own.map(|change| Change {
        time_s: seconds(change.time_s),
        kind: word(change.kind),
        is_ours: is_ours(change.time_s),
    })
    .collect()
}

/// A move as questions name it.
fn word(kind: Move) -> &'static str {
    match kind {
        Move::Leave => "leave",
        Move::Take => "take",
        Move::HandOff => "hand_off",
        Move::Receive => "receive",
    }
}
