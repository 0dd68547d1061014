//! How a load is told that a failed wing leaves to the fins: swum up; or, in a dive with an overhead, held by them, since
//! nobody swims up there.

use crate::findings::{Beyond, FailedWing, Findings, LettingGo};
use crate::profile::OverheadTime;
use crate::report::measure::{Quantity, UnitSystem};
use crate::report::words;
use crate::scenario::Scenario;

/// What the fins are for in a dive.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fins {
    has_overhead: bool,
}

impl Fins {
    /// In a dive.
    pub fn of(scenario: &Scenario) -> Self {
        Self { has_overhead: scenario.profile().has_overhead() }
    }

    /// In a dive that has an overhead or none.
    pub fn where_overhead(has_overhead: bool) -> Self {
        Self { has_overhead }
    }

    /// What can be done with a load: `can be …`, `more than can be …`.
    pub fn swum_up(self) -> &'static str {
        if self.has_overhead { "held by the fins" } else { "swum up" }
    }

    /// Of a load, or what it is too heavy for: `2.1 kg …`, `too heavy …`.
    pub fn to_swim_up(self) -> &'static str {
        if self.has_overhead { "for the fins" } else { "to swim up" }
    }

    /// Label of how often a load can be dealt with.
    pub fn label(self) -> &'static str {
        if self.has_overhead { "Fins are enough" } else { "Can be swum up" }
    }

    /// The same where a word must do: of a diver who can.
    pub(super) fn column(self) -> &'static str {
        if self.has_overhead { "fins" } else { "swims" }
    }

    /// What a diver does who is too light by so much; under an overhead a ceiling may hold who would float up.
    pub fn too_light(self, amount: &str) -> String {
        if self.has_overhead { format!("is too light by {amount}") } else { format!("floats up by {amount}") }
    }

    /// What the limit of a load is called.
    pub fn limit(self) -> &'static str {
        if self.has_overhead { "limit of the fins" } else { "swim-up limit" }
    }

    /// The same at the head of a sentence.
    pub fn heading(self) -> &'static str {
        if self.has_overhead { "Limit of the fins" } else { "Swim-up limit" }
    }

    /// What letting go costs where it may be under an overhead.
    pub(super) fn lighter_way_out(self) -> &'static str {
        if self.has_overhead { LIGHTER } else { "" }
    }

    /// Of who can do it: `the diver can …`.
    pub fn swim_up(self) -> &'static str {
        if self.has_overhead { "hover or swim up" } else { "swim up" }
    }
}

/// Whether a time lies under an overhead for a part of it, or a moment does.
pub(super) fn is_under(scenario: &Scenario, from_s: f64, to_s: f64) -> bool {
    let overlaps = |time: &OverheadTime| time.start_s < to_s && from_s < time.end_s;
    let times = scenario.profile().overhead_times();
    times.iter().any(|time| overlaps(time) || (from_s == to_s && time.contains(from_s)))
}

/// When a failed wing is too much, and for what: straight up where that is free, hovering where it is not.
pub(super) fn too_heavy(finding: &FailedWing) -> String {
    let (under, open): (Vec<&Beyond>, Vec<&Beyond>) = finding.beyond.iter().partition(|span| span.is_overhead);
    let parts = [("to swim up", open, ""), ("to hover", under, " under the overhead")].into_iter();
    let parts = parts.filter(|(_, spans, _)| !spans.is_empty());
    let told: Vec<String> = parts.map(|(to, spans, place)| format!("{to} {}{place}", words::spans(&spans))).collect();
    format!("too heavy {}", told.join(", and "))
}

/// That a failed wing is within the limit all through.
pub(super) fn all_through(fins: Fins) -> &'static str {
    if fins.has_overhead {
        "can be swum up where the way up is free, and hovered under the overhead"
    } else {
        "can be swum up from every moment"
    }
}

/// What letting go costs under an overhead.
pub(super) const LIGHTER: &str = "; who lets go under the overhead is lighter by it for the whole way out";

/// The same, where letting go there is what helps.
pub(super) fn lighter_way_out(finding: &FailedWing) -> &'static str {
    let is_under = finding.beyond.iter().any(|span| span.is_overhead);
    if is_under && finding.lets_go.iter().any(LettingGo::counts) { LIGHTER } else { "" }
}

/// What a diver does who is too light: `floats up`, or under an overhead `presses against the ceiling`.
pub(super) fn floats_up(is_overhead: bool) -> &'static str {
    if is_overhead { "presses against the ceiling" } else { "floats up" }
}

/// The amount by which one does: `by 0.4 kg`, or `with 0.4 kg`.
pub(super) fn by(is_overhead: bool) -> &'static str {
    if is_overhead { "with" } else { "by" }
}

/// The same without a way: `floats by`.
pub(super) fn floats(is_overhead: bool) -> &'static str {
    if is_overhead { "presses against the ceiling with" } else { "floats by" }
}

/// What the overheads ask, as value and text; `None` without any.
pub(super) fn hover_or_be_held(units: UnitSystem, found: &Findings) -> Option<(String, String)> {
    let under = found.overhead.as_ref()?;
    let times: Vec<String> = under.times.iter().map(|time| words::from_to(time.start_s, time.end_s)).collect();
    let more = if times.len() > 3 { format!(" and {} more times", times.len() - 3) } else { String::new() };
    let value = format!("no way straight up {}{more}", times[..times.len().min(3)].join(", "));
    let mass = |kg: f64| units.text(Quantity::Mass, kg);
    let (heavy, light) = (&under.heaviest, &under.lightest);
    let [heaviest, lightest] = [heavy, light].map(|at| words::at(units, at.time_s, at.depth_m));
    let wing = if found.wing.capacity_m3.is_some() { "with the wing failed" } else { "without a wing" };
    let floor = match under.floor_kg() {
        kg if kg > 0.0 => format!("{wing} the fins must hold up to {} {heaviest}, or the floor does", mass(kg)),
        _ => format!("{wing} the diver sinks nowhere there"),
    };
    let ceiling = match under.ceiling_kg() {
        kg if kg > 0.0 => {
            format!(
                "with the wing empty the diver presses against the ceiling with up to {} {lightest}",
                words::small(units, kg)
            )
        }
        _ => format!("against the ceiling nowhere, {} to spare {lightest}", words::small(units, light.bare_kg)),
    };
    Some((value, format!("{floor}; {ceiling}")))
}
