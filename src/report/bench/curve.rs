//! The rows of the dive, its extremes, its stops, and what happens in it.

use serde::Serialize;

use crate::answer::Quick;
use crate::findings::elsewhere::Elsewhere;
use crate::findings::{Extreme, FailedWing, Findings, SuitUse, SwimUp, failed_wing};
use crate::report::bench::{Shown, seconds};
use crate::report::json::run::kind;
use crate::report::words;
use crate::rig::WING;
use crate::scenario::Scenario;
use crate::sim::{self, Now};

/// Rows of a dive, beside those of its events and findings: one every three pixels of its picture.
const ROWS: f64 = 300.0;

/// The dive over time; two rows at one time where something jumps.
#[derive(Serialize)]
pub(super) struct Curve {
    time_s: Vec<f64>,
    depth: Vec<f64>,
    /// net lift with the wing as it is
    net: Vec<f64>,
    /// with the wing empty
    bare: Vec<f64>,
    /// what a wing failure then leaves to swim up
    load: Vec<f64>,
    /// the same after letting go of all that counts
    load_ditched: Vec<f64>,
    wing: Vec<f64>,
}

/// The rows of a dive, each with its leg.
pub(super) fn rows(quick: &Quick) -> Vec<(Now, usize)> {
    let every_s = (quick.trace.last().state.time_s / ROWS).ceil().max(1.0);
    quick.trace.series(&quick.built.scenario, every_s, &quick.findings.times_s())
}

pub(super) fn curve(shown: Shown, quick: &Quick, rows: &[(Now, usize)]) -> Curve {
    let scenario = &quick.built.scenario;
    let loads: Vec<f64> =
        rows.iter().map(|(now, leg)| failed_wing::load_kg(scenario, now, *leg, SuitUse::Kept)).collect();
    let rig = scenario.rig();
    let can_ditch = rig.parts.iter().any(|part| part.ditchable) || rig.cylinders.iter().any(|one| one.is_ditchable());
    let ditched = |i: usize| {
        let (now, leg) = &rows[i];
        match can_ditch {
            true => -Elsewhere::of(scenario, now).after_ditching(*leg).heaviest_on_the_way_up(*leg).bare_kg,
            false => loads[i],
        }
    };
    Curve {
        time_s: rows.iter().map(|(now, _)| seconds(now.state.time_s)).collect(),
        depth: rows.iter().map(|(now, _)| shown.length(now.state.depth_m)).collect(),
        net: rows.iter().map(|(now, _)| shown.mass(now.balance.net_kg())).collect(),
        bare: rows.iter().map(|(now, _)| shown.mass(now.balance.bare_kg())).collect(),
        load_ditched: (0..rows.len()).map(|i| shown.mass(ditched(i))).collect(),
        load: loads.iter().map(|kg| shown.mass(*kg)).collect(),
        wing: rows.iter().map(|(now, _)| shown.volume(now.balance.bags[WING].volume_m3)).collect(),
    }
}

/// A time in which a failed wing is too much.
#[derive(Serialize)]
pub(super) struct Beyond {
    start_s: f64,
    end_s: f64,
    /// whether it is within the limit after letting go of what counts
    after_ditching: bool,
}

pub(super) fn beyond(wing: &FailedWing) -> Vec<Beyond> {
    let one = |span: &crate::findings::Beyond| Beyond {
        start_s: seconds(span.start_s),
        end_s: seconds(span.end_s),
        after_ditching: span.verdict == SwimUp::AfterDitching,
    };
    wing.whole_beyond().iter().map(one).collect()
}

/// A time in which there is no way straight up.
#[derive(Serialize)]
pub(super) struct Under {
    start_s: f64,
    end_s: f64,
}

pub(super) fn overhead(found: &Findings) -> Vec<Under> {
    let times = found.overhead.iter().flat_map(|under| &under.times);
    times.map(|time| Under { start_s: seconds(time.start_s), end_s: seconds(time.end_s) }).collect()
}

/// An extreme of the net lift with the wing empty.
#[derive(Serialize)]
pub(super) struct Point {
    time_s: f64,
    depth: f64,
    net: f64,
    text: String,
}

pub(super) fn point(shown: Shown, at: &Extreme) -> Point {
    let lift = shown.units.signed_text(crate::report::measure::Quantity::Mass, at.bare_kg);
    Point {
        time_s: seconds(at.time_s),
        depth: shown.length(at.depth_m),
        net: shown.mass(at.bare_kg),
        text: format!("{lift} {}", words::at(shown.units, at.time_s, at.depth_m)),
    }
}

/// A stop: net lift with the wing empty, gas as planned and cylinders at reserve.
#[derive(Serialize)]
pub(super) struct Stop {
    depth: f64,
    start_s: f64,
    end_s: f64,
    at_reserve: f64,
    planned: f64,
    /// at reserve
    holds: bool,
    is_last: bool,
}

pub(super) fn stops(shown: Shown, found: &Findings) -> Vec<Stop> {
    let last = found.holds.len() - 1;
    let one = |(i, hold): (usize, &crate::findings::Hold)| Stop {
        depth: shown.length(hold.depth_m),
        start_s: seconds(hold.start_s),
        end_s: seconds(hold.end_s),
        at_reserve: shown.mass(hold.at_reserve.bare_kg),
        planned: shown.mass(hold.planned.bare_kg),
        holds: hold.at_reserve.holds(),
        is_last: i == last,
    };
    found.holds.iter().enumerate().map(one).collect()
}

/// Something that happens.
#[derive(Serialize)]
pub(super) struct Event {
    time_s: f64,
    depth: f64,
    kind: String,
    text: String,
}

pub(super) fn events(shown: Shown, scenario: &Scenario, events: &[sim::Event]) -> Vec<Event> {
    let one = |event: &sim::Event| Event {
        time_s: seconds(event.time_s),
        depth: shown.length(event.depth_m),
        kind: kind(&event.what),
        text: words::event(shown.units, scenario, event),
    };
    events.iter().map(one).collect()
}
