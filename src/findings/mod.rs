//! Questions asked of a dive that was run. Every finding is a function of the scenario and its trace, exact at any
//! moment: none depends on rows.
//!
//! [`extremes`] heavy and light point · [`failed_wing`] can the diver swim up · [`hold`] can the diver stay down ·
//! [`wing_size`] how large the wing must be · [`band`] how far the diver may drift · [`cylinders`] when each turns
//! buoyant · [`pool_check`] what the first check in shallow water will show · [`elsewhere`] the diver of a moment, moved
//! to another depth · [`trim`] where the diver hangs · [`overhead`] to hover or to be held · [`mishaps`] what goes wrong,
//! alone and together · [`circuit`] what a loop used.

pub mod band;
pub mod circuit;
pub mod cylinders;
pub mod elsewhere;
pub mod extremes;
pub mod failed_wing;
pub mod hold;
pub mod mishaps;
pub mod overhead;
pub mod pool_check;
pub mod trim;
pub mod wing_size;

use crate::scenario::Scenario;
use crate::sim::Trace;

pub use band::Band;
pub use circuit::{Circuit, LoopTime, OxygenAt};
pub use cylinders::{CylinderFinding, Turn};
pub use extremes::Extreme;
pub use failed_wing::{Beyond, FailedWing, LettingGo, SuitUse, SwimUp, Worst};
pub use hold::{Ascent, Hold, HoldAt};
pub use mishaps::{Mishap, MishapFound, MishapVerdict, Thing, WingThen};
pub use overhead::Overhead;
pub use pool_check::{CheckAt, Contents, PoolCheck, Rest};
pub use trim::{Gone, Hang, Pull, Trim, TrimAt};
pub use wing_size::WingSize;

/// All findings of one dive.
#[derive(Clone, Debug, PartialEq)]
pub struct Findings {
    /// The most negative net lift with the wing empty.
    pub heavy: Extreme,
    /// The most positive net lift with the wing empty, at or below the last stop.
    pub light: Extreme,
    /// What a failed wing would mean at every moment.
    pub failed_wing: FailedWing,
    /// The same with the suit's extra volume as a second lift, when the plan allows that.
    pub failed_wing_with_suit: Option<FailedWing>,
    /// Whether the diver can stay at each stop; the last one is the last stop of the dive.
    pub holds: Vec<Hold>,
    /// Whether the diver can stay down at every moment of the way up, gas as planned.
    pub ascent: Ascent,
    /// What the overheads of the dive ask; `None` without any.
    pub overhead: Option<Overhead>,
    /// How large the wing must be.
    pub wing: WingSize,
    /// Each cylinder, in the diver's order.
    pub cylinders: Vec<CylinderFinding>,
    /// The breathing loop, where one is breathed.
    pub circuit: Option<Circuit>,
    /// Where the diver hangs; `None` where the place of something is not known.
    pub trim: Option<Trim>,
}

impl Findings {
    /// All findings of a recorded dive.
    pub fn of(scenario: &Scenario, trace: &Trace) -> Self {
        Self {
            heavy: extremes::heavy(scenario, trace),
            light: extremes::light(scenario, trace),
            failed_wing: FailedWing::of(scenario, trace, SuitUse::Kept),
            failed_wing_with_suit: scenario
                .rig()
                .suit
                .filter(|suit| suit.extra_m3() > 0.0)
                .map(|_| FailedWing::of(scenario, trace, SuitUse::AsLift)),
            holds: hold::holds(scenario, trace),
            ascent: hold::ascent(scenario, trace),
            overhead: Overhead::of(scenario, trace),
            wing: WingSize::of(scenario, trace),
            cylinders: cylinders::cylinders(scenario, trace),
            circuit: Circuit::of(scenario, trace),
            trim: Trim::of(scenario, trace),
        }
    }

    /// The moments that a finding names, s, so that rows and figures have them exactly.
    pub fn times_s(&self) -> Vec<f64> {
        let wings = std::iter::once(&self.failed_wing).chain(&self.failed_wing_with_suit);
        let mut times: Vec<f64> = vec![self.heavy.time_s, self.light.time_s, self.wing.neutral_s];
        for wing in wings {
            times.push(wing.worst.time_s);
            times.extend(wing.beyond.iter().flat_map(|span| [span.start_s, span.end_s]));
        }
        times.extend(self.holds.iter().flat_map(|hold| [hold.planned.time_s(), hold.at_reserve.time_s()]));
        times.push(self.ascent.lightest.time_s());
        times.extend(self.overhead.iter().flat_map(|under| [under.heaviest.time_s, under.lightest.time_s]));
        times.extend(self.cylinders.iter().filter_map(|cylinder| cylinder.turn.map(|turn| turn.time_s)));
        times
    }

    /// The hold at the last stop.
    pub fn last_hold(&self) -> &Hold {
        &self.holds[self.holds.len() - 1]
    }

    /// What decides whether the diver stays down: of every stop at reserve and of the final ascent as planned the one at
    /// which the diver is lightest; of equal ones the latest stop.
    pub fn lightest_hold(&self) -> HoldAt {
        let stops = self.holds.iter().map(|stop| stop.at_reserve);
        stops.fold(self.ascent.lightest, |best, at| if at.bare_kg >= best.bare_kg { at } else { best })
    }
}
