//! A wing that fails at a moment: the way straight up, or under an overhead the moment alone; what letting go does, what
//! the suit does.

use crate::findings::elsewhere::Elsewhere;
use crate::findings::failed_wing::lets_go;
use crate::findings::{LettingGo, SuitUse, failed_wing};
use crate::scenario::Scenario;
use crate::sim::{Now, Trace};

/// Points of the way up of a diver in one layer of water: one every four pixels of its picture.
const POINTS: usize = 40;

/// A place on the way straight up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WayPoint {
    /// Depth, m.
    pub depth_m: f64,
    /// What is to be swum up there, kg: below zero the diver floats.
    pub load_kg: f64,
}

/// A wing failure at a moment.
#[derive(Clone, Debug, PartialEq)]
pub struct FailureAt {
    /// The diver then.
    pub now: Now,
    /// Leg, by index.
    pub leg: usize,
    /// Load that the diver can swim up, kg.
    pub capacity_kg: f64,
    /// Whether that is under an overhead: then there is no way straight up, and the diver hovers or is held.
    pub is_overhead: bool,
    /// The way straight up, from where the diver is to the surface, the place of the largest load among them. At an
    /// interface of the water two with one depth. Under an overhead the one place where the diver is.
    pub way: Vec<WayPoint>,
    /// Where the load is largest.
    pub worst: WayPoint,
    /// All that can be let go of, whether it counts or not: parts in the diver's order, then cylinders.
    pub lets_go: Vec<LettingGo>,
    /// Largest load on the way up after letting go of all that counts, kg; `None` where nothing does.
    pub ditched_kg: Option<f64>,
    /// Largest load on the way up with the suit as a second lift, kg; `None` where the plan does not allow that.
    pub with_suit_kg: Option<f64>,
}

impl FailureAt {
    /// At a time of a run; before its start and after its end the moment there. Where something jumps, after the jump: of
    /// two moments at one time the later counts.
    pub fn of(scenario: &Scenario, trace: &Trace, time_s: f64) -> Self {
        let time_s = time_s.clamp(trace.first().state.time_s, trace.last().state.time_s);
        let (span, now) = (trace.span_at(time_s), trace.at(scenario, time_s));
        let leg = span.segment.leg;
        let diver = Elsewhere::of(scenario, &now);
        let heaviest = diver.heaviest_on_the_way_up(leg);
        let worst = WayPoint { depth_m: heaviest.depth_m, load_kg: -heaviest.bare_kg };
        let lets_go = lets_go(scenario, &now, leg);
        let ditched_kg = lets_go
            .iter()
            .any(LettingGo::counts)
            .then(|| -diver.after_ditching(leg).heaviest_on_the_way_up(leg).bare_kg);
        let with_suit_kg = scenario
            .rig()
            .suit
            .filter(|suit| suit.extra_m3() > 0.0)
            .map(|_| failed_wing::load_kg(scenario, &now, leg, SuitUse::AsLift));
        let (capacity_kg, is_overhead) = (scenario.rig().swim_up_kg, scenario.is_overhead(leg));
        Self {
            is_overhead,
            way: if is_overhead { vec![worst] } else { way(scenario, &diver, &now, worst) },
            leg,
            capacity_kg,
            worst,
            lets_go,
            ditched_kg,
            with_suit_kg,
            now,
        }
    }

    /// Whether a load can be swum up.
    pub fn is_within(&self, load_kg: f64) -> bool {
        load_kg <= self.capacity_kg
    }
}

/// Loads on the way up, layer by layer from below: each from its lower end to its upper.
fn way(scenario: &Scenario, diver: &Elsewhere<'_>, now: &Now, worst: WayPoint) -> Vec<WayPoint> {
    let here_m = now.state.depth_m;
    let mut way = Vec::with_capacity(POINTS + 4);
    for layer in (0..=now.ambient.layer).rev() {
        let (top_m, bottom_m) = scenario.water().layer_span_m(layer);
        let low_m = bottom_m.min(here_m);
        if low_m < top_m {
            continue;
        }
        let share = if here_m > 0.0 { (low_m - top_m) / here_m } else { 0.0 };
        let steps = (share * (POINTS - 1) as f64).ceil() as usize;
        way.extend((0..=steps).map(|i| {
            let depth_m = if i == steps { top_m } else { low_m - (low_m - top_m) * i as f64 / steps as f64 };
            WayPoint { depth_m, load_kg: -diver.bare_kg(layer, depth_m) }
        }));
    }
    if !way.contains(&worst) {
        let at = way.partition_point(|point| point.depth_m > worst.depth_m);
        way.insert(at, worst);
    }
    way
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::physics::water::{Brine, Layer, Water};
    use crate::profile::Profile;
    use crate::rig::{Body, Part, Rig, Role};
    use crate::scenario::Settings;
    use crate::sim;

    fn layer(top_m: f64, density: f64) -> Layer {
        Layer { top_m, brine: Brine::Density(density), temperature_k: 285.0 }
    }

    fn part(name: &str, mass_kg: f64, volume_m3: f64, ditchable: bool) -> Part {
        let body = Body::Rigid { mass_kg, volume_m3 };
        Part { name: name.into(), role: Role::Gear, count: 1, body, ditchable, at: None }
    }

    /// Worked by hand: 12 kg of 2 L sinks with 12 − 1025·0.002 = 9.95 kg in the salt water below 10 m and with
    /// 12 − 1000·0.002 = 10 kg in the fresh water above; without the 4 kg of 0.5 L that can be let go of the rest, 8 kg of
    /// 1.5 L, weighs 6.5 kg there. Nothing in the diver is squeezed, so the load is the same all through a layer.
    #[test]
    fn a_rigid_diver_by_hand() {
        let parts = vec![part("body", 8.0, 0.0015, false), part("belt", 4.0, 0.0005, true)];
        let rig = Rig { parts, swim_up_kg: 7.0, ..Rig::default() };
        let water = Water::new(1e5, &[layer(0.0, 1000.0), layer(10.0, 1025.0)]).unwrap();
        let profile = Profile::new(20.0, vec![], vec![]).unwrap();
        let scenario = Scenario::new(rig, water, profile, Settings::default()).unwrap();
        let trace = sim::run(&scenario).unwrap();
        let at = FailureAt::of(&scenario, &trace, 1e9);
        for point in &at.way {
            let expected_kg = if point.depth_m > 10.0 { 9.95 } else { 10.0 };
            let is_interface = point.depth_m == 10.0;
            // rounding of numbers of some kilograms
            assert!((point.load_kg - expected_kg).abs() < 1e-9 || is_interface, "{point:?}");
        }
        let at_interface: Vec<f64> =
            at.way.iter().filter(|point| point.depth_m == 10.0).map(|point| point.load_kg).collect();
        assert!(at_interface.iter().any(|kg| (kg - 9.95).abs() < 1e-9), "{at_interface:?}");
        assert!(at_interface.iter().any(|kg| (kg - 10.0).abs() < 1e-9), "{at_interface:?}");
        assert!((at.worst.load_kg - 10.0).abs() < 1e-9 && !at.is_within(at.worst.load_kg));
        assert!((at.ditched_kg.unwrap() - 6.5).abs() < 1e-9 && at.is_within(at.ditched_kg.unwrap()));
        assert_eq!((at.with_suit_kg, at.lets_go.len()), (None, 1));
        assert!((at.lets_go[0].lift_kg - (1025.0 * 0.0005 - 4.0)).abs() < 1e-9);
    }
}
