//! What an overhead asks of a diver whose wing has failed or is empty: there is no way straight up, so it is to hover or to
//! be held.

use std::borrow::Cow;

use crate::findings::extremes::{Extreme, greatest};
use crate::profile::OverheadTime;
use crate::scenario::Scenario;
use crate::sim::{Span, Trace};

/// The diver under the overheads of a dive, wing empty, cylinders as planned.
#[derive(Clone, Debug, PartialEq)]
pub struct Overhead {
    /// The times under an overhead in order.
    pub times: Vec<OverheadTime>,
    /// The heaviest moment: there the fins must carry most for the diver to hover, or the floor does.
    pub heaviest: Extreme,
    /// The lightest moment: there the diver presses hardest against the ceiling, or has least to spare before that.
    pub lightest: Extreme,
}

impl Overhead {
    /// Of a dive that was run; `None` where nothing of it lies under an overhead.
    pub fn of(scenario: &Scenario, trace: &Trace) -> Option<Self> {
        let profile = scenario.profile();
        if !profile.has_overhead() {
            return None;
        }
        let spans = || trace.spans().iter().filter(|span: &&Span| scenario.is_overhead(span.segment.leg));
        let extreme = |sign: f64| {
            let spans = spans().map(Cow::Borrowed);
            Extreme::of(&greatest(scenario, spans, |now| sign * now.balance.bare_kg()))
        };
        Some(Self { times: profile.overhead_times(), heaviest: extreme(-1.0), lightest: extreme(1.0) })
    }

    /// Greatest force against the floor, kg: what the fins must carry for the diver to hover; none where the diver floats
    /// all through.
    pub fn floor_kg(&self) -> f64 {
        (-self.heaviest.bare_kg).max(0.0)
    }

    /// Greatest force against the ceiling, kg; none where the diver sinks all through.
    pub fn ceiling_kg(&self) -> f64 {
        self.lightest.bare_kg.max(0.0)
    }

    /// How long all of it takes, s.
    pub fn length_s(&self) -> f64 {
        self.times.iter().map(|time| time.end_s - time.start_s).sum()
    }

    /// Whether a moment lies under an overhead, its edges included.
    pub fn covers(&self, time_s: f64) -> bool {
        self.times.iter().any(|time| time.contains(time_s))
    }
}
