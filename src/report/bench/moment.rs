//! What lifts and what sinks at a moment.

use serde::Serialize;

use crate::report::balance::{LineKind, lines};
use crate::report::bench::circuit::{LoopAt, loop_at};
use crate::report::bench::{Shown, seconds};
use crate::rig::{Role, SUIT, WING};
use crate::scenario::Scenario;
use crate::sim::{Now, Trace};

/// The diver at a moment; of two at one time the later.
#[derive(Serialize)]
pub(super) struct Moment {
    time_s: f64,
    depth: f64,
    net: f64,
    bare: f64,
    wing: f64,
    suit: f64,
    /// the breathing loop; `None` without one
    #[serde(rename = "loop")]
    circuit: Option<LoopAt>,
    /// cylinders that are not on the diver, in words
    gone_text: Option<String>,
    /// what is on the diver; the lifts sum to `net`
    terms: Vec<Term>,
}

/// A thing on the diver; positive floats.
#[derive(Serialize)]
struct Term {
    name: String,
    kind: &'static str,
    lift: f64,
}

pub(super) fn moment(shown: Shown, scenario: &Scenario, trace: &Trace, time_s: f64) -> Moment {
    let now = trace.at(scenario, time_s);
    let (net_kg, bare_kg) = (now.balance.net_kg(), now.balance.bare_kg());
    let mut terms: Vec<Term> = lines(scenario, &[&now])
        .into_iter()
        .filter_map(|line| Some(Term { kind: kind(line.kind), lift: shown.mass(line.lift_kg[0]?), name: line.name }))
        .collect();
    if scenario.rig().wing.is_some() {
        terms.push(Term { name: "gas in the wing".into(), kind: "wing", lift: shown.mass(net_kg - bare_kg) });
    }
    Moment {
        time_s: seconds(now.state.time_s),
        depth: shown.length(now.state.depth_m),
        net: shown.mass(net_kg),
        bare: shown.mass(bare_kg),
        wing: shown.volume(now.balance.bags[WING].volume_m3),
        suit: shown.volume(now.balance.bags[SUIT].volume_m3),
        circuit: loop_at(shown, scenario, trace, &now),
        gone_text: gone(scenario, &now),
        terms,
    }
}

fn kind(kind: LineKind) -> &'static str {
    match kind {
        LineKind::Part(Role::Person) => "body",
        LineKind::Part(Role::Suit) => "suit",
        LineKind::Part(Role::Wing) => "wing",
        LineKind::Part(Role::Gear) => "gear",
        LineKind::Part(Role::Ballast) => "lead",
        LineKind::SuitGas => "suit gas",
        LineKind::Loop => "loop",
        LineKind::Cylinder(_) => "cylinder",
    }
}

fn gone(scenario: &Scenario, now: &Now) -> Option<String> {
    let cylinders = scenario.rig().cylinders.iter().enumerate();
    let gone: Vec<&str> =
        cylinders.filter(|(i, _)| !now.state.carried.contains(*i)).map(|(_, cylinder)| cylinder.name()).collect();
    (!gone.is_empty()).then(|| format!("not on the diver: {}", gone.join(", ")))
}
