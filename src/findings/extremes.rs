//! Heavy point and light point.

use std::borrow::Cow;

use crate::scenario::Scenario;
use crate::sim::{Now, Span, Trace};

/// A moment at which the net lift with the wing empty is extreme.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Extreme {
    /// The diver then.
    pub now: Now,
    /// When, s.
    pub time_s: f64,
    /// Where, m.
    pub depth_m: f64,
    /// Net lift with the wing empty, kg.
    pub bare_kg: f64,
}

impl Extreme {
    pub(crate) fn of(now: &Now) -> Self {
        Self { now: *now, time_s: now.state.time_s, depth_m: now.state.depth_m, bare_kg: now.balance.bare_kg() }
    }
}

/// Depths closer than this are the same depth, m: a thousandth of a millimetre, far above rounding.
pub const SAME_DEPTH_M: f64 = 1e-6;
/// Lifts closer than this are alike, kg: a milligram, far above rounding.
pub const SAME_LIFT_KG: f64 = 1e-6;

/// The heavy point: the most negative net lift with the wing empty of the whole dive. Of equal moments the first.
pub fn heavy(scenario: &Scenario, trace: &Trace) -> Extreme {
    Extreme::of(&greatest(scenario, trace.spans().iter().map(Cow::Borrowed), |now| -now.balance.bare_kg()))
}

/// The light point: the most positive net lift with the wing empty, at or below the last stop. Of equal moments the
/// first.
pub fn light(scenario: &Scenario, trace: &Trace) -> Extreme {
    let deep = trace.spans().iter().filter_map(|span| below(scenario, span, scenario.last_stop_m()));
    // a scenario's last stop is never deeper than its deepest point, so there is a moment
    Extreme::of(&greatest(scenario, deep, |now| now.balance.bare_kg()))
}

/// Of the moments of some spans that with the greatest `f`.
pub(super) fn greatest<'a>(
    scenario: &Scenario,
    spans: impl Iterator<Item = Cow<'a, Span>>,
    f: impl Fn(&Now) -> f64,
) -> Now {
    let (mut best, mut value) = (None, f64::NEG_INFINITY);
    for span in spans {
        if let Some((now, here)) = span.greatest_above(scenario, value, &f) {
            (best, value) = (Some(now), here);
        }
    }
    best.unwrap_or_else(|| Now::start(scenario))
}

/// The part of a span that is at or below a depth, itself where that is all of it. A span has one speed, so it is one
/// part.
pub(crate) fn below<'a>(scenario: &Scenario, span: &'a Span, depth_m: f64) -> Option<Cow<'a, Span>> {
    let (start_m, end_m) = (span.start().state.depth_m, span.end().state.depth_m);
    let deep_enough = |depth: f64| depth >= depth_m - SAME_DEPTH_M;
    match (deep_enough(start_m), deep_enough(end_m)) {
        (true, true) => Some(Cow::Borrowed(span)),
        (false, false) => None,
        (starts_deep, _) => {
            let share = (depth_m - start_m) / (end_m - start_m);
            let cut_s = span.start_s() + share * (span.end_s() - span.start_s());
            let (from_s, to_s) = if starts_deep { (span.start_s(), cut_s) } else { (cut_s, span.end_s()) };
            span.clipped(scenario, from_s, to_s)
        }
    }
}
