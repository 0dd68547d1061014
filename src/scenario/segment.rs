//! The stretches of a dive, and what is carried on each.

use crate::physics::water::Water;
use crate::profile::{Change, Move, Profile};
use crate::rig::{CylinderSet, Rig};
use crate::scenario::ScenarioError;

/// A stretch with one leg and one layer of water, without changes inside.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Segment {
    /// Leg, by index.
    pub leg: usize,
    /// Layer of water, by index.
    pub layer: usize,
    /// Start, s.
    pub start_s: f64,
    /// End, s.
    pub end_s: f64,
    /// Depth at the start, m.
    pub start_m: f64,
    /// Depth at the end, m.
    pub end_m: f64,
    /// The cylinders breathed.
    pub source: CylinderSet,
    /// Breathing rate at ambient pressure and water temperature, m³/s.
    pub rate_m3_s: f64,
    /// What happens to the loop that is breathed; `None` on open circuit.
    pub on_loop: Option<OnLoop>,
}

/// What happens to a loop while it is breathed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OnLoop {
    /// Oxygen that the body takes out of it, mol/s.
    pub oxygen_mol_s: f64,
    /// Partial pressure of oxygen at which it is held, Pa.
    pub setpoint_pa: f64,
}

impl Segment {
    /// Depth at a time within the stretch, m.
    #[inline]
    pub fn depth_m(&self, time_s: f64) -> f64 {
        if time_s >= self.end_s {
            return self.end_m; // exactly, free of rounding
        }
        self.start_m + (self.end_m - self.start_m) * (time_s - self.start_s) / (self.end_s - self.start_s)
    }
}

/// The stretches of a profile: cut at leg ends, at interfaces of the water, at changes and at new setpoints.
pub(super) fn cut(profile: &Profile, water: &Water) -> Vec<Segment> {
    let mut segments = Vec::new();
    for (leg, body) in profile.legs().iter().enumerate() {
        let (start_s, start_m) = profile.leg_start(leg);
        let whole = Segment {
            leg,
            layer: 0,
            start_s,
            end_s: body.end_s,
            start_m,
            end_m: body.end_m,
            source: body.source,
            rate_m3_s: body.rate_m3_s,
            on_loop: None,
        };
        let mut knots = vec![(start_s, start_m), (body.end_s, body.end_m)];
        let strictly_inside = |time_s: f64| time_s > start_s && time_s < body.end_s;
        for layer in 1..water.layer_count() {
            let interface_m = water.layer_span_m(layer).0;
            let share = (interface_m - start_m) / (body.end_m - start_m);
            let time_s = start_s + share * (body.end_s - start_s);
            if share > 0.0 && share < 1.0 && strictly_inside(time_s) {
                knots.push((time_s, interface_m));
            }
        }
        let changes = profile.changes().iter().map(|change| change.time_s);
        let setpoints = profile.setpoints().iter().map(|at| at.time_s).filter(|_| body.loop_mol_s.is_some());
        for time_s in changes.chain(setpoints).filter(|time_s| strictly_inside(*time_s)) {
            knots.push((time_s, whole.depth_m(time_s)));
        }
        knots.sort_by(|a, b| a.0.total_cmp(&b.0));
        knots.dedup_by(|a, b| a.0 == b.0);
        for pair in knots.windows(2) {
            let ((start_s, start_m), (end_s, end_m)) = (pair[0], pair[1]);
            let layer = water.layer_at(0.5 * (start_m + end_m));
            let on_loop = body.loop_mol_s.zip(profile.setpoint_pa(start_s));
            let on_loop = on_loop.map(|(oxygen_mol_s, setpoint_pa)| OnLoop { oxygen_mol_s, setpoint_pa });
            segments.push(Segment { layer, start_s, end_s, start_m, end_m, on_loop, ..whole });
        }
    }
    segments
}

/// Every change fits what is carried then, and every stretch breathes something that is carried.
pub(super) fn check_carried(diver: &Rig, profile: &Profile, segments: &[Segment]) -> Result<(), ScenarioError> {
    let mut carried = diver.carried_at_start();
    let mut handed_off = CylinderSet::EMPTY;
    let mut changes = profile.changes().iter().peekable();
    let mut apply = |change: &Change| {
        let fault = |name: String, reason| Err(ScenarioError::Change { name, time_s: change.time_s, reason });
        let Some(cylinder) = diver.cylinders.get(change.cylinder) else {
            return fault(format!("cylinder {}", change.cylinder), "there is no such cylinder");
        };
        let name = cylinder.name().to_owned();
        let has = carried.contains(change.cylinder);
        match (change.kind.is_carried_after(), has) {
            (true, true) => return fault(name, "it is carried already"),
            (false, false) => return fault(name, "it is not carried then"),
            _ => {}
        }
        if change.kind == Move::Take && handed_off.contains(change.cylinder) {
            return fault(name, "it was handed off, so it can only be received back");
        }
        if change.kind == Move::HandOff {
            handed_off = handed_off.with(change.cylinder);
        }
        carried = if has { carried.without(change.cylinder) } else { carried.with(change.cylinder) };
        Ok(carried)
    };
    let mut now = diver.carried_at_start();
    for segment in segments {
        while let Some(change) = changes.next_if(|change| change.time_s <= segment.start_s) {
            now = apply(change)?;
        }
        if profile.legs()[segment.leg].loop_mol_s.is_some() {
            if diver.breathing_loop.is_none() {
                return Err(ScenarioError::NoLoop { leg: segment.leg + 1 });
            }
            if segment.on_loop.is_none() {
                return Err(ScenarioError::NoSetpoint { leg: segment.leg + 1 });
            }
            continue;
        }
        if segment.source.and(now).is_empty() || segment.source.iter().any(|i| i >= diver.cylinders.len()) {
            return Err(ScenarioError::NotCarried { leg: segment.leg + 1, time_s: segment.start_s });
        }
    }
    for change in changes {
        apply(change)?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::physics::water::{Brine, Layer};
    use crate::profile::Leg;

    #[test]
    fn stretches_are_cut_at_interfaces() {
        let layer = |top_m, density| Layer { top_m, brine: Brine::Density(density), temperature_k: 290.0 };
        let water = Water::new(1e5, &[layer(0.0, 1000.0), layer(10.0, 1025.0)]).unwrap();
        let leg = |end_s, end_m| Leg { end_s, end_m, source: CylinderSet::of([0]), rate_m3_s: 3e-4, loop_mol_s: None };
        let change = Change { time_s: 130.0, cylinder: 0, kind: Move::Leave };
        let profile =
            Profile::new(0.0, vec![leg(60.0, 20.0), leg(120.0, 20.0), leg(140.0, 10.0)], vec![change]).unwrap();
        let segments = cut(&profile, &water);
        let cuts: Vec<_> = segments.iter().map(|s| (s.end_s, s.end_m, s.layer)).collect();
        assert_eq!(cuts, [(30.0, 10.0, 0), (60.0, 20.0, 1), (120.0, 20.0, 1), (130.0, 15.0, 1), (140.0, 10.0, 1)]);
    }
}
