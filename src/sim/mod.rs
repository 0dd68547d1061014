//! The run: from a checked dive to a recorded series.
//!
//! ```text
//! for every stretch of the dive            (cut at leg ends, interfaces of the water, changes)
//!     cylinders that come or go now        -> the controls of suit and wing answer
//!     repeat until the end of the stretch
//!         step()                           breathe, move, suit, wing
//!         record
//! ```
//!
//! Order of reading: [`state`] what changes · [`balance`] mass, volume and net lift of a state · [`mod@step`] one step ·
//! [`trace`] what is recorded. Nothing here prints, reads files, or knows about plan files.

pub mod balance;
pub mod state;
pub mod step;
pub mod trace;

use thiserror::Error;

use crate::profile::Change;
use crate::scenario::{Scenario, Segment};

pub use balance::{Ambient, Balance};
pub use state::{Now, State, Unmet};
pub use step::step;
pub use trace::{CylinderAt, Event, Happening, Sample, Trace};

/// Largest relative error of the mass ledger that a run accepts.
pub const LEDGER_TOLERANCE: f64 = 1e-9;

/// What can go wrong in a run of a checked dive.
#[derive(Clone, Copy, Debug, Error, PartialEq)]
pub enum SimError {
    /// Gas appeared or vanished.
    #[error("at {time_s} s the gas ledger is off by {relative:e} of {filled_kg} kg, more than {LEDGER_TOLERANCE:e}")]
    Ledger {
        /// When, s.
        time_s: f64,
        /// Error relative to all gas filled.
        relative: f64,
        /// All gas filled, kg.
        filled_kg: f64,
    },
    /// A number is not finite.
    #[error("at {time_s} s the {quantity} is {value}")]
    NotFinite {
        /// When, s.
        time_s: f64,
        /// Which quantity.
        quantity: &'static str,
        /// Its value.
        value: f64,
    },
}

/// What the run meets on its way, for a caller that wants to see every moment without keeping them all.
pub trait Watch {
    /// A moment of the run. At a change of layer or of what is carried there are two with the same time.
    ///
    /// # Errors
    /// Whatever ends the run.
    fn moment(&mut self, at: &Moment<'_>) -> Result<(), SimError>;
    /// A cylinder came or went just now; the state is the one after it, before suit and wing answer.
    fn changed(&mut self, _change: &Change, _before: &Moment<'_>) {}
}

/// A moment as it is shown to a [`Watch`].
#[derive(Clone, Copy, Debug)]
pub struct Moment<'a> {
    /// The dive.
    pub scenario: &'a Scenario,
    /// State, water and balance.
    pub now: &'a Now,
    /// Leg, by index.
    pub leg: usize,
}

/// Runs a dive and records it.
///
/// # Errors
/// A broken mass ledger or a value that is not finite; neither can come from a checked dive unless the model itself
/// is at fault.
pub fn run(scenario: &Scenario) -> Result<Trace, SimError> {
    let mut recorder = trace::Recorder::new(scenario);
    drive(scenario, &mut recorder)?;
    Ok(recorder.finish())
}

/// Runs a dive and shows every moment to `watch`.
///
/// # Errors
/// As [`run`], and whatever `watch` returns.
pub fn drive(scenario: &Scenario, watch: &mut impl Watch) -> Result<(), SimError> {
    let mut changes = scenario.profile().changes().iter().peekable();
    let mut now = Now::start(scenario);
    let mut leg = 0;
    watch.moment(&Moment { scenario, now: &now, leg })?;
    for segment in scenario.segments() {
        leg = segment.leg;
        let mut touched = now.ambient.layer != segment.layer;
        while let Some(change) = changes.next_if(|change| change.time_s <= segment.start_s) {
            apply(change, &mut now, &Place { scenario, leg }, watch);
            touched = true;
        }
        if touched {
            now.ambient = Ambient::at(scenario, segment.layer, now.state.depth_m);
            now.balance = step::control(scenario, &mut now.state, &now.ambient);
            watch.moment(&Moment { scenario, now: &now, leg })?;
        }
        for end_s in StepEnds::of(segment, scenario.settings().step_s) {
            now = step(scenario, segment, &now, end_s)?;
            watch.moment(&Moment { scenario, now: &now, leg })?;
        }
    }
    if changes.peek().is_some() {
        for change in changes {
            apply(change, &mut now, &Place { scenario, leg }, watch);
        }
        now.balance = step::control(scenario, &mut now.state, &now.ambient);
        watch.moment(&Moment { scenario, now: &now, leg })?;
    }
    Ok(())
}

/// Where in the dive a change is applied.
struct Place<'a> {
    scenario: &'a Scenario,
    leg: usize,
}

/// Puts a cylinder on or takes it off; suit and wing answer later.
fn apply(change: &Change, now: &mut Now, place: &Place<'_>, watch: &mut impl Watch) {
    let scenario = place.scenario;
    watch.changed(change, &Moment { scenario, now, leg: place.leg });
    now.state.carried = if change.kind.is_carried_after() {
        now.state.carried.with(change.cylinder)
    } else {
        now.state.carried.without(change.cylinder)
    };
    now.balance = Balance::of(scenario, &now.state, &now.ambient);
}

/// Ends of the steps in a stretch: whole multiples of the step, and the exact end of the stretch.
struct StepEnds {
    next: f64,
    step_s: f64,
    end_s: f64,
}

impl StepEnds {
    fn of(segment: &Segment, step_s: f64) -> Self {
        Self { next: (segment.start_s / step_s).floor() + 1.0, step_s, end_s: segment.end_s }
    }
}

impl Iterator for StepEnds {
    type Item = f64;

    fn next(&mut self) -> Option<f64> {
        if self.next.is_infinite() {
            return None;
        }
        let time_s = self.next * self.step_s;
        // a whole multiple that falls on the end but for rounding is the end
        if time_s >= self.end_s - 1e-9 * self.step_s {
            self.next = f64::INFINITY;
            return Some(self.end_s);
        }
        self.next += 1.0;
        Some(time_s)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diver::CylinderSet;

    #[test]
    fn steps_end_on_whole_multiples_and_on_the_end() {
        let segment = |start_s, end_s| Segment {
            leg: 0,
            layer: 0,
            start_s,
            end_s,
            start_m: 0.0,
            end_m: 0.0,
            source: CylinderSet::EMPTY,
            rate_m3_s: 0.0,
        };
        let ends = |start_s, end_s, step_s| StepEnds::of(&segment(start_s, end_s), step_s).collect::<Vec<_>>();
        assert_eq!(ends(0.0, 3.0, 1.0), [1.0, 2.0, 3.0]);
        assert_eq!(ends(0.5, 2.2, 1.0), [1.0, 2.0, 2.2]);
        assert_eq!(ends(4.0, 4.3, 10.0), [4.3]);
        // 0.1 is no binary fraction: the steps must not split off a sliver
        assert_eq!(ends(0.0, 1.0, 0.1).len(), 10);
    }
}
