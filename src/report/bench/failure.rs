//! The way straight up after a wing failure; under an overhead the moment alone.

use serde::Serialize;

use crate::answer::{FailureAt, WayPoint};
use crate::findings::LettingGo;
use crate::report::bench::{Mark, Shown, seconds};
use crate::report::fins::LIGHTER;
use crate::report::measure::Quantity;
use crate::report::words;
use crate::scenario::Scenario;

/// A wing that fails at a moment.
#[derive(Serialize)]
pub(super) struct Failure {
    time_s: f64,
    depth: f64,
    /// there is no way straight up: the diver hovers or is held
    is_overhead: bool,
    /// largest on the way; below zero the diver floats all the way
    load: f64,
    mark: Mark,
    text: String,
    way: Vec<Load>,
    met_at: Load,
    ditch: Vec<Ditch>,
    /// null where nothing that counts can be let go of
    ditched: Option<After>,
    /// null where the suit is no second lift
    suit: Option<After>,
}

#[derive(Serialize)]
struct Load {
    depth: f64,
    load: f64,
}

/// A thing to let go of, with its own lift.
#[derive(Serialize)]
struct Ditch {
    name: String,
    lift: f64,
    counts: bool,
    /// gas that goes with it, or why it does not count
    gas_text: Option<String>,
}

#[derive(Serialize)]
struct After {
    load: f64,
    is_within: bool,
}

pub(super) fn failure(shown: Shown, scenario: &Scenario, at: &FailureAt) -> Failure {
    let load = |point: &WayPoint| Load { depth: shown.length(point.depth_m), load: shown.mass(point.load_kg) };
    let after = |kg: f64| After { load: shown.mass(kg), is_within: at.is_within(kg) };
    Failure {
        time_s: seconds(at.now.state.time_s),
        depth: shown.length(at.now.state.depth_m),
        is_overhead: at.is_overhead,
        load: shown.mass(at.worst.load_kg),
        mark: if at.is_within(at.worst.load_kg) { Mark::None } else { Mark::Breach },
        text: text(shown, at),
        way: at.way.iter().map(load).collect(),
        met_at: load(&at.worst),
        ditch: at.lets_go.iter().map(|thing| ditch(shown, scenario, thing)).collect(),
        ditched: at.ditched_kg.map(after),
        suit: at.with_suit_kg.map(after),
    }
}

fn ditch(shown: Shown, scenario: &Scenario, thing: &LettingGo) -> Ditch {
    let gas = words::free_gas(shown.units, thing.gas_m3);
    let gas_text = match thing {
        _ if thing.is_needed => Some(format!("does not count: the plan still breathes of its {gas}")),
        _ if thing.lift_kg >= 0.0 => Some("floats: letting go of it makes the diver heavier".into()),
        _ => (thing.gas_m3 > 0.0).then(|| format!("{gas} of gas go with it")),
    };
    Ditch {
        name: words::thing(scenario, thing.owner),
        lift: shown.mass(thing.lift_kg),
        counts: thing.counts(),
        gas_text,
    }
}

fn text(shown: Shown, at: &FailureAt) -> String {
    let units = shown.units;
    let mass = |kg: f64| units.text(Quantity::Mass, kg.max(0.0));
    let when = words::at(units, at.now.state.time_s, at.now.state.depth_m);
    let (load_kg, limit) = (at.worst.load_kg, mass(at.capacity_kg));
    let ceiling = || words::margin(units, -load_kg, true);
    match (load_kg <= 0.0, at.is_overhead) {
        (true, false) => return format!("The wing fails {when}: the diver floats all the way up"),
        (true, true) => return format!("The wing fails {when}, under the overhead: the diver {}", ceiling()),
        _ => {}
    }
    let met = match at.worst.depth_m < at.now.state.depth_m - 0.05 {
        true => format!(", heaviest at {}", units.text(Quantity::Length, at.worst.depth_m)),
        false => String::new(),
    };
    let first = match at.is_overhead {
        true => format!("The wing fails {when}, under the overhead: the fins must hold {} to hover", mass(load_kg)),
        false => format!("The wing fails {when}: {} to swim up{met}", mass(load_kg)),
    };
    if at.is_within(load_kg) {
        return format!("{first}, within the limit of {limit}");
    }
    let then = |kg: f64, how: &str| match at.is_within(kg) {
        true => format!("; {} {how}, within it", mass(kg)),
        false => format!("; {} {how}, still more", mass(kg)),
    };
    let ditched = match (at.ditched_kg, at.lets_go.is_empty()) {
        (Some(kg), _) => then(kg, "after letting go"),
        (None, true) => "; nothing is marked as ditchable".into(),
        (None, false) => "; nothing that can be let go of helps".into(),
    };
    let suit = at.with_suit_kg.map_or(String::new(), |kg| then(kg, "with the suit as lift"));
    let held = if at.is_overhead { ", so the floor holds the diver" } else { "" };
    let lighter = if at.is_overhead && at.ditched_kg.is_some() { LIGHTER } else { "" };
    format!("{first}, more than the limit of {limit}{held}{ditched}{suit}{lighter}")
}
