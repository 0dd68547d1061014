//! Whether the diver can stay down at a stop with the wing empty.

use crate::findings::elsewhere::Elsewhere;
use crate::findings::extremes::{SAME_DEPTH_M, SAME_LIFT_KG, below};
use crate::profile::Profile;
use crate::rig::CylinderSet;
use crate::scenario::Scenario;
use crate::sim::{Now, Span, Trace};

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
    /// With every cylinder on the diver that counts so at its reserve. On an interface of the water it is judged on the
    /// fresh side: who sinks there and floats in the salt water below is held by the interface.
    pub at_reserve: HoldAt,
    /// On an interface of the water: the same on its salt side.
    pub salt_side: Option<HoldAt>,
}

/// The lightest moments at or below the last stop, wing empty, gas as planned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ascent {
    /// That of the final ascent. Under a halocline it can lie deeper than the last stop.
    pub lightest: HoldAt,
    /// That before the final ascent, where the diver floats then: who cannot get down has too little lead for the start,
    /// but it is not what binds.
    pub before: Option<HoldAt>,
}

/// A place in time that counts as a stop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct StopTime {
    pub depth_m: f64,
    pub start_s: f64,
    pub end_s: f64,
}

impl StopTime {
    /// Shows the moments at which the part of a span in this stop begins and ends: on the level everything is linear, so
    /// the lightest is one of them. None where they do not meet, one where an edge is all.
    pub fn ends_in(&self, scenario: &Scenario, span: &Span, mut look: impl FnMut(&Now)) {
        let (from_s, to_s) = (self.start_s.max(span.start_s()), self.end_s.min(span.end_s()));
        if from_s <= to_s {
            look(&span.look_at(scenario, from_s));
        }
        if from_s < to_s {
            look(&span.look_at(scenario, to_s));
        }
    }
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
    let ask = Asking { scenario, down: scenario.down_to_reserve() };
    stop_times(scenario).into_iter().map(|stop| ask.hold(trace, stop)).collect()
}

/// Every moment at or below the last stop, gas as planned.
pub fn ascent(scenario: &Scenario, trace: &Trace) -> Ascent {
    let lightest = |from_s: f64, to_s: f64| {
        let mut best: Option<(Now, f64)> = None;
        for span in trace.spans_between(from_s, to_s) {
            let Some(part) = span.clipped(scenario, from_s, to_s) else { continue };
            let Some(deep) = below(scenario, &part, scenario.last_stop_m()) else { continue };
            let floor_kg = best.map_or(f64::NEG_INFINITY, |(_, kg)| kg);
            best = deep.greatest_above(scenario, floor_kg, |now| now.balance.bare_kg()).or(best);
        }
        best.map(|(now, bare_kg)| HoldAt { now, bare_kg })
    };
    let (from_s, end_s) = (scenario.profile().final_ascent_s(), scenario.profile().end_s());
    // it begins at the greatest depth, which is never above the last stop, so there is a moment
    let last = trace.last();
    let lightest_then = lightest(from_s, end_s).unwrap_or(HoldAt { now: *last, bare_kg: last.balance.bare_kg() });
    let before = lightest(0.0, from_s).filter(|at| at.bare_kg > SAME_LIFT_KG);
    Ascent { lightest: lightest_then, before }
}

struct Asking<'a> {
    scenario: &'a Scenario,
    /// cylinders that count as down to their reserve
    down: CylinderSet,
}

impl Asking<'_> {
    fn hold(&self, trace: &Trace, stop: StopTime) -> Hold {
        let mut found: Option<Hold> = None;
        for span in trace.spans_between(stop.start_s, stop.end_s) {
            stop.ends_in(self.scenario, span, |now| {
                if (now.state.depth_m - stop.depth_m).abs() > SAME_DEPTH_M {
                    return;
                }
                let here = self.at(now, stop);
                let hold = found.get_or_insert(here);
                // at reserve, every moment of a stop is alike but for rounding: then the last one is told
                let keep = |best: &mut HoldAt, at: HoldAt| {
                    if at.bare_kg > best.bare_kg - SAME_LIFT_KG {
                        *best = at;
                    }
                };
                keep(&mut hold.planned, here.planned);
                keep(&mut hold.at_reserve, here.at_reserve);
                if let (Some(best), Some(at)) = (&mut hold.salt_side, here.salt_side) {
                    keep(best, at);
                }
            });
        }
        found.unwrap_or_else(|| self.at(&trace.at(self.scenario, stop.end_s), stop))
    }

    fn at(&self, now: &Now, stop: StopTime) -> Hold {
        let StopTime { depth_m, start_s, end_s } = stop;
        let here = Elsewhere::of(self.scenario, now);
        let sides = sides(self.scenario, &here, depth_m);
        let at_reserve = |layer: usize| {
            let diver = here.at_reserve(self.down.and(now.state.carried), layer);
            HoldAt { now: *now, bare_kg: diver.bare_kg(layer, depth_m) }
        };
        Hold {
            depth_m,
            start_s,
            end_s,
            planned: HoldAt { now: *now, bare_kg: here.bare_kg(here.layer_at(depth_m), depth_m) },
            at_reserve: at_reserve(sides.fresh),
            salt_side: sides.salt.map(at_reserve),
        }
    }
}

/// The water that a stop is judged in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Sides {
    /// Layer that counts: on an interface the thinner one.
    pub fresh: usize,
    /// On an interface, the other.
    pub salt: Option<usize>,
}

/// The layers that meet at the depth of a stop.
#[inline]
pub(crate) fn sides(scenario: &Scenario, diver: &Elsewhere<'_>, depth_m: f64) -> Sides {
    let water = scenario.water();
    let here = diver.layer_at(depth_m);
    let meets = |layer: &usize| {
        let (top_m, bottom_m) = water.layer_span_m(*layer);
        *layer != here && (top_m - depth_m).abs().min((bottom_m - depth_m).abs()) <= SAME_DEPTH_M
    };
    let neighbours = [here.checked_sub(1), Some(here + 1).filter(|&next| next < water.layer_count())];
    let Some(other) = neighbours.into_iter().flatten().find(meets) else { return Sides { fresh: here, salt: None } };
    let density = |layer: usize| water.density_kg_m3(layer, depth_m);
    let (fresh, salt) = if density(other) < density(here) { (other, here) } else { (here, other) };
    Sides { fresh, salt: Some(salt) }
}

/// Amount in a cylinder at its reserve in the water of a layer, mol.
#[inline]
pub fn reserve_mol(scenario: &Scenario, layer: usize, cylinder: usize) -> f64 {
    scenario.gases().reserve_mol(layer)[cylinder]
}
