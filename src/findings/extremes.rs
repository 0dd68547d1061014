//! Heavy point and light point.

use crate::scenario::Scenario;
use crate::sim::Trace;

/// A moment at which the net lift with the wing empty is extreme.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Extreme {
    /// Row of the trace.
    pub sample: usize,
    /// When, s.
    pub time_s: f64,
    /// Where, m.
    pub depth_m: f64,
    /// Net lift with the wing empty, kg.
    pub bare_kg: f64,
}

/// Depths closer than this are the same depth, m: a thousandth of a millimetre, far above rounding.
pub const SAME_DEPTH_M: f64 = 1e-6;

/// The heavy point: the most negative net lift with the wing empty of the whole dive. Of equal moments the first.
pub fn heavy(trace: &Trace) -> Extreme {
    extreme(trace, f64::NEG_INFINITY, |here, best| here < best)
}

/// The light point: the most positive net lift with the wing empty, at or below the last stop. Of equal moments the
/// first.
pub fn light(scenario: &Scenario, trace: &Trace) -> Extreme {
    extreme(trace, scenario.last_stop_m() - SAME_DEPTH_M, |here, best| here > best)
}

fn extreme(trace: &Trace, at_least_m: f64, better: impl Fn(f64, f64) -> bool) -> Extreme {
    let mut best: Option<Extreme> = None;
    for (sample, row) in trace.samples().iter().enumerate() {
        if row.depth_m >= at_least_m && best.is_none_or(|best| better(row.bare_kg, best.bare_kg)) {
            best = Some(Extreme { sample, time_s: row.time_s, depth_m: row.depth_m, bare_kg: row.bare_kg });
        }
    }
    // a scenario's last stop is never deeper than its deepest point, which is a row; the first row is a formality
    let first = trace.first();
    best.unwrap_or(Extreme { sample: 0, time_s: first.time_s, depth_m: first.depth_m, bare_kg: first.bare_kg })
}
