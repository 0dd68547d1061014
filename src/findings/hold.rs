//! Whether the diver can stay down at a stop with the wing empty.

use crate::findings::elsewhere::Elsewhere;
use crate::findings::extremes::{SAME_DEPTH_M, SAME_LIFT_KG};
use crate::profile::Profile;
use crate::rig::{CylinderSet, MAX_CYLINDERS};
use crate::scenario::Scenario;
use crate::sim::{Now, Trace};
use crate::units::ATMOSPHERE_PA;

/// The lightest moment of a stop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HoldAt {
    /// The diver then, where the profile has the diver.
    pub now: Now,
    /// Net lift with the wing empty at the stop, kg.
    pub bare_kg: f64,
}

impl HoldAt {
    /// When, s.
    pub fn time_s(&self) -> f64 {
        self.now.state.time_s
    }

    /// Weight to spare, kg: positive, the diver stays down; negative, the diver floats up by that much.
    pub fn margin_kg(&self) -> f64 {
        -self.bare_kg
    }

    /// Whether the diver stays down.
    pub fn holds(&self) -> bool {
        self.bare_kg <= 0.0
    }
}

/// A stop, asked twice.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hold {
    /// Depth of the stop, m.
    pub depth_m: f64,
    /// Start, s.
    pub start_s: f64,
    /// End, s. Equal to the start when the profile only passes through this depth.
    pub end_s: f64,
    /// With the gas as planned.
    pub planned: HoldAt,
    /// With every breathable cylinder on the diver at its reserve.
    pub at_reserve: HoldAt,
}

/// A place in time that counts as a stop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct StopTime {
    pub depth_m: f64,
    pub start_s: f64,
    pub end_s: f64,
}

/// The stops of a dive in order of time; the last one is the last stop. A last stop at which the profile does not stay
/// is the moment in which the diver is last that deep.
pub(crate) fn stop_times(scenario: &Scenario) -> Vec<StopTime> {
    let (profile, last_m) = (scenario.profile(), scenario.last_stop_m());
    let stays = profile.stops().into_iter();
    // what lies above the last stop is the way out
    let mut stops: Vec<StopTime> = stays
        .filter(|stop| stop.depth_m >= last_m - SAME_DEPTH_M)
        .map(|stop| StopTime { depth_m: stop.depth_m, start_s: stop.start_s, end_s: stop.end_s })
        .collect();
    if stops.last().is_none_or(|stop| (stop.depth_m - last_m).abs() > SAME_DEPTH_M) {
        let time_s = last_at_s(profile, last_m);
        stops.push(StopTime { depth_m: last_m, start_s: time_s, end_s: time_s });
    }
    stops
}

/// The last time at which a profile is at a depth or below it, s.
fn last_at_s(profile: &Profile, depth_m: f64) -> f64 {
    let deep_enough = |depth: f64| depth >= depth_m - SAME_DEPTH_M;
    let legs = profile.legs();
    let Some(leg) = (0..legs.len()).rfind(|&leg| deep_enough(profile.leg_start(leg).1) || deep_enough(legs[leg].end_m))
    else {
        return 0.0;
    };
    let ((start_s, start_m), end) = (profile.leg_start(leg), legs[leg]);
    if deep_enough(end.end_m) {
        return end.end_s;
    }
    start_s + (end.end_s - start_s) * ((depth_m - start_m) / (end.end_m - start_m)).clamp(0.0, 1.0)
}

/// The stops of the dive, each asked twice, in order of time; the last one is the last stop.
pub fn holds(scenario: &Scenario, trace: &Trace) -> Vec<Hold> {
    let ask = Asking { scenario, breathable: scenario.breathable() };
    stop_times(scenario).into_iter().map(|stop| ask.hold(trace, stop)).collect()
}

struct Asking<'a> {
    scenario: &'a Scenario,
    breathable: CylinderSet,
}

impl Asking<'_> {
    fn hold(&self, trace: &Trace, stop: StopTime) -> Hold {
        let mut found: Option<Hold> = None;
        // on the level everything is linear, so the lightest moment is an end of a span
        for span in trace.spans_between(stop.start_s, stop.end_s) {
            let Some(part) = span.clipped(self.scenario, stop.start_s, stop.end_s) else { continue };
            for now in [part.start(), part.end()] {
                if (now.state.depth_m - stop.depth_m).abs() > SAME_DEPTH_M {
                    continue;
                }
                let (planned, at_reserve) = self.at(now, stop.depth_m);
                let StopTime { depth_m, start_s, end_s } = stop;
                let hold = found.get_or_insert(Hold { depth_m, start_s, end_s, planned, at_reserve });
                // at reserve, every moment of a stop is alike but for rounding: then the last one is told
                if planned.bare_kg > hold.planned.bare_kg - SAME_LIFT_KG {
                    hold.planned = planned;
                }
                if at_reserve.bare_kg > hold.at_reserve.bare_kg - SAME_LIFT_KG {
                    hold.at_reserve = at_reserve;
                }
            }
        }
        found.unwrap_or_else(|| {
            let (planned, at_reserve) = self.at(&trace.at(self.scenario, stop.end_s), stop.depth_m);
            Hold { depth_m: stop.depth_m, start_s: stop.start_s, end_s: stop.end_s, planned, at_reserve }
        })
    }

    fn at(&self, now: &Now, depth_m: f64) -> (HoldAt, HoldAt) {
        let here = Elsewhere::of(self.scenario, now);
        let layer = here.layer_at(depth_m);
        let at_reserve = here
            .at_reserve(self.breathable.and(now.state.carried), &reserves_mol(self.scenario, layer, self.breathable));
        let at = |diver: &Elsewhere<'_>| HoldAt { now: *now, bare_kg: diver.bare_kg(layer, depth_m) };
        (at(&here), at(&at_reserve))
    }
}

/// Amount in each of some cylinders at its reserve in the water of a layer, mol.
pub(crate) fn reserves_mol(scenario: &Scenario, layer: usize, which: CylinderSet) -> [f64; MAX_CYLINDERS] {
    let mut low = [0.0; MAX_CYLINDERS];
    which.iter().for_each(|i| low[i] = reserve_mol(scenario, layer, i));
    low
}

/// Amount in a cylinder at its reserve in the water of a layer, mol.
pub fn reserve_mol(scenario: &Scenario, layer: usize, cylinder: usize) -> f64 {
    let body = &scenario.rig().cylinders[cylinder];
    body.water_m3() * scenario.isotherm(layer, cylinder).density_mol_m3(body.reserve_gauge_pa() + ATMOSPHERE_PA)
}
