//! Depth and breathing over time, and the cylinders that come and go.

pub mod simplify;

use thiserror::Error;

use crate::physics::water::MAX_DEPTH_M;
use crate::rig::CylinderSet;

/// Longest dive, s: one day.
pub const MAX_DURATION_S: f64 = 86_400.0;
/// Highest breathing rate, m³/s: 200 L/min, beyond what lungs can move.
pub const MAX_RATE_M3_S: f64 = 200.0e-3 / 60.0;

/// Most oxygen that a body can use, mol/s: 6 L/min at 0 °C and 1 atm, beyond the best athletes.
pub const MAX_OXYGEN_MOL_S: f64 = 6.0 / 60.0 / 22.414;
/// Setpoints that a loop can have, Pa: 0.1 to 2 bar.
pub const SETPOINT_RANGE_PA: std::ops::RangeInclusive<f64> = 0.1e5..=2.0e5;

/// A stretch of the dive with linear depth, one breathing source and one rate. It starts where the one before ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Leg {
    /// Time at its end, s from the start of the dive.
    pub end_s: f64,
    /// Depth at its end, m.
    pub end_m: f64,
    /// The cylinders breathed; several share evenly.
    pub source: CylinderSet,
    /// Breathing rate at ambient pressure and water temperature, m³/s.
    pub rate_m3_s: f64,
    /// Oxygen that the body takes out of the breathing loop, mol/s; `None` where the leg breathes cylinders. A leg on the
    /// loop has no source and no rate.
    pub loop_mol_s: Option<f64>,
}

/// From a moment on a loop is held at another partial pressure of oxygen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Setpoint {
    /// From when on, s.
    pub time_s: f64,
    /// Partial pressure of oxygen, Pa.
    pub pressure_pa: f64,
}

/// A time without a way straight up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OverheadTime {
    /// Start, s.
    pub start_s: f64,
    /// End, s.
    pub end_s: f64,
}

impl OverheadTime {
    /// Whether a moment lies in it, its edges included.
    pub fn contains(&self, time_s: f64) -> bool {
        (self.start_s..=self.end_s).contains(&time_s)
    }
}

/// What is no deeper than this is at the surface, m: depths that are worked out from an instrument's have its rounding.
pub const AT_SURFACE_M: f64 = 1e-6;

/// What happens to a cylinder.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Move {
    /// Left in place, to be picked up again.
    Leave,
    /// Picked up.
    Take,
    /// Handed to a partner.
    HandOff,
    /// Received from a partner.
    Receive,
}

impl Move {
    /// Whether the diver has the cylinder afterwards.
    pub fn is_carried_after(self) -> bool {
        matches!(self, Move::Take | Move::Receive)
    }
}

/// A cylinder that comes or goes at a moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Change {
    /// When, s.
    pub time_s: f64,
    /// Which cylinder, by index.
    pub cylinder: usize,
    /// What happens.
    pub kind: Move,
}

/// A checked profile.
#[derive(Clone, Debug, PartialEq)]
pub struct Profile {
    start_m: f64,
    legs: Vec<Leg>,
    changes: Vec<Change>,
    setpoints: Vec<Setpoint>,
    /// legs with no way straight up, rising
    overhead: Vec<usize>,
}

/// What is wrong with a profile.
#[derive(Clone, Copy, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum ProfileError {
    /// A depth outside the water.
    #[error("leg {leg}: depth {depth_m} m is outside 0 to {MAX_DEPTH_M} m")]
    Depth {
        /// Leg, counted from 1; 0 is the start.
        leg: usize,
        /// The depth, m.
        depth_m: f64,
    },
    /// Time does not go forward.
    #[error("leg {leg} ends at {end_s} s, not after its start at {start_s} s")]
    Backwards {
        /// Leg, counted from 1.
        leg: usize,
        /// Its start, s.
        start_s: f64,
        /// Its end, s.
        end_s: f64,
    },
    /// A dive longer than a day.
    #[error("the dive lasts {end_s} s, more than {MAX_DURATION_S} s")]
    TooLong {
        /// Its end, s.
        end_s: f64,
    },
    /// A rate that nobody breathes.
    #[error("leg {leg}: breathing rate {rate_m3_s} m³/s is outside 0 to {MAX_RATE_M3_S} m³/s")]
    Rate {
        /// Leg, counted from 1.
        leg: usize,
        /// The rate, m³/s.
        rate_m3_s: f64,
    },
    /// A body's use of oxygen that is none.
    #[error("leg {leg}: oxygen use {rate_mol_s} mol/s is outside 0 to {MAX_OXYGEN_MOL_S} mol/s")]
    Oxygen {
        /// Leg, counted from 1.
        leg: usize,
        /// The rate, mol/s.
        rate_mol_s: f64,
    },
    /// A leg that cannot lie under an overhead: there is none such, or one of its ends is at the surface.
    #[error("leg {leg} cannot lie under an overhead: it is not there, or it is at the surface at one of its ends")]
    Overhead {
        /// Leg, counted from 1.
        leg: usize,
    },
    /// A setpoint that is none.
    #[error("a setpoint of {pressure_pa} Pa is outside {} to {} Pa", SETPOINT_RANGE_PA.start(), SETPOINT_RANGE_PA.end())]
    Setpoint {
        /// The setpoint, Pa.
        pressure_pa: f64,
    },
    /// A change outside the dive.
    #[error("a cylinder comes or goes at {time_s} s, outside the dive (0 to {end_s} s)")]
    ChangeOutside {
        /// When, s.
        time_s: f64,
        /// End of the dive, s.
        end_s: f64,
    },
}

impl Profile {
    /// A profile from its starting depth, legs in order, and changes in any order.
    ///
    /// A profile without legs is a single point, which is allowed.
    ///
    /// # Errors
    /// A depth outside the water, time that does not go forward, a rate or a change out of range.
    pub fn new(start_m: f64, legs: Vec<Leg>, mut changes: Vec<Change>) -> Result<Self, ProfileError> {
        let depth_ok = |depth_m: f64| (0.0..=MAX_DEPTH_M).contains(&depth_m);
        if !depth_ok(start_m) {
            return Err(ProfileError::Depth { leg: 0, depth_m: start_m });
        }
        let mut start_s = 0.0;
        for (i, leg) in legs.iter().enumerate() {
            let number = i + 1;
            // so that a NaN fails too
            if leg.end_s.partial_cmp(&start_s) != Some(std::cmp::Ordering::Greater) {
                return Err(ProfileError::Backwards { leg: number, start_s, end_s: leg.end_s });
            }
            if !depth_ok(leg.end_m) {
                return Err(ProfileError::Depth { leg: number, depth_m: leg.end_m });
            }
            if !(0.0..=MAX_RATE_M3_S).contains(&leg.rate_m3_s) {
                return Err(ProfileError::Rate { leg: number, rate_m3_s: leg.rate_m3_s });
            }
            start_s = leg.end_s;
        }
        if let Some((leg, rate_mol_s)) = legs.iter().enumerate().find_map(|(i, leg)| {
            Some((i + 1, leg.loop_mol_s.filter(|rate_mol_s| !(0.0..=MAX_OXYGEN_MOL_S).contains(rate_mol_s))?))
        }) {
            return Err(ProfileError::Oxygen { leg, rate_mol_s });
        }
        let end_s = start_s;
        if end_s > MAX_DURATION_S {
            return Err(ProfileError::TooLong { end_s });
        }
        if let Some(change) = changes.iter().find(|c| !(0.0..=end_s).contains(&c.time_s)) {
            return Err(ProfileError::ChangeOutside { time_s: change.time_s, end_s });
        }
        changes.sort_by(|a, b| a.time_s.total_cmp(&b.time_s));
        Ok(Self { start_m, legs, changes, setpoints: Vec::new(), overhead: Vec::new() })
    }

    /// The same with the setpoints of a breathing loop, in any order; the earliest counts from the start on, and before it.
    ///
    /// # Errors
    /// A partial pressure out of range, or a time that is no number.
    pub fn with_setpoints(mut self, mut setpoints: Vec<Setpoint>) -> Result<Self, ProfileError> {
        if let Some(bad) =
            setpoints.iter().find(|at| !SETPOINT_RANGE_PA.contains(&at.pressure_pa) || at.time_s.is_nan())
        {
            return Err(ProfileError::Setpoint { pressure_pa: bad.pressure_pa });
        }
        setpoints.sort_by(|a, b| a.time_s.total_cmp(&b.time_s));
        self.setpoints = setpoints;
        Ok(self)
    }

    /// The same with legs, by index and in any order, that lie under an overhead: straight up there is a ceiling and no
    /// surface.
    ///
    /// # Errors
    /// A leg that the profile does not have, or that is at the surface at its start or its end.
    pub fn with_overhead(mut self, mut legs: Vec<usize>) -> Result<Self, ProfileError> {
        legs.sort_unstable();
        legs.dedup();
        let is_below =
            |leg: usize| self.legs.get(leg).is_some_and(|to| to.end_m.min(self.leg_start(leg).1) > AT_SURFACE_M);
        match legs.iter().find(|leg| !is_below(**leg)) {
            Some(leg) => Err(ProfileError::Overhead { leg: leg + 1 }),
            None => {
                self.overhead = legs;
                Ok(self)
            }
        }
    }

    /// Whether a leg lies under an overhead.
    #[inline]
    pub fn is_overhead(&self, leg: usize) -> bool {
        !self.overhead.is_empty() && self.overhead.binary_search(&leg).is_ok()
    }

    /// Whether any leg does.
    pub fn has_overhead(&self) -> bool {
        !self.overhead.is_empty()
    }

    /// The times under an overhead in order, neighbouring legs taken together.
    pub fn overhead_times(&self) -> Vec<OverheadTime> {
        let mut times: Vec<OverheadTime> = Vec::new();
        for &leg in &self.overhead {
            let (start_s, end_s) = (self.leg_start(leg).0, self.legs[leg].end_s);
            match times.last_mut() {
                Some(before) if before.end_s == start_s => before.end_s = end_s,
                _ => times.push(OverheadTime { start_s, end_s }),
            }
        }
        times
    }

    /// The setpoints of a breathing loop in order of time.
    pub fn setpoints(&self) -> &[Setpoint] {
        &self.setpoints
    }

    /// The setpoint at a time, Pa; where it changes, the one that is set then. `None` without any.
    pub fn setpoint_pa(&self, time_s: f64) -> Option<f64> {
        let set = self.setpoints.iter().rfind(|at| at.time_s <= time_s).or(self.setpoints.first());
        set.map(|at| at.pressure_pa)
    }

    /// Whether any leg breathes a loop.
    pub fn has_loop_legs(&self) -> bool {
        self.legs.iter().any(|leg| leg.loop_mol_s.is_some())
    }

    /// Depth at the start, m.
    pub fn start_m(&self) -> f64 {
        self.start_m
    }

    /// The legs in order.
    pub fn legs(&self) -> &[Leg] {
        &self.legs
    }

    /// The changes in order of time.
    pub fn changes(&self) -> &[Change] {
        &self.changes
    }

    /// End of the dive, s.
    pub fn end_s(&self) -> f64 {
        self.legs.last().map_or(0.0, |leg| leg.end_s)
    }

    /// Greatest depth, m.
    pub fn max_depth_m(&self) -> f64 {
        self.legs.iter().map(|leg| leg.end_m).fold(self.start_m, f64::max)
    }

    /// Time and depth at the start of a leg.
    pub fn leg_start(&self, leg: usize) -> (f64, f64) {
        match leg.checked_sub(1) {
            None => (0.0, self.start_m),
            Some(before) => (self.legs[before].end_s, self.legs[before].end_m),
        }
    }

    /// The leg at a time, by index: where one ends and the next begins, the earlier; after the end the last.
    pub fn leg_at(&self, time_s: f64) -> usize {
        let after = self.legs.partition_point(|leg| leg.end_s < time_s);
        after.min(self.legs.len().saturating_sub(1))
    }

    /// Whether the loop is breathed at a time.
    pub fn is_on_loop(&self, time_s: f64) -> bool {
        self.legs.get(self.leg_at(time_s)).is_some_and(|leg| leg.loop_mol_s.is_some())
    }

    /// Depth at a time, m; before the start and after the end the depth there.
    pub fn depth_m(&self, time_s: f64) -> f64 {
        for (i, leg) in self.legs.iter().enumerate() {
            if time_s <= leg.end_s {
                let (start_s, start_m) = self.leg_start(i);
                let share = ((time_s - start_s) / (leg.end_s - start_s)).max(0.0);
                return start_m + share * (leg.end_m - start_m);
            }
        }
        self.legs.last().map_or(self.start_m, |leg| leg.end_m)
    }

    /// The level stretches after the deepest point: depth, start and end of each, neighbouring legs at one depth
    /// taken together. A stretch at the surface is no stop.
    pub fn stops(&self) -> Vec<Stop> {
        let mut stops: Vec<Stop> = Vec::new();
        for i in self.final_ascent_leg()..self.legs.len() {
            let (start_s, start_m) = self.leg_start(i);
            let leg = self.legs[i];
            if start_m != leg.end_m || leg.end_m <= 0.0 {
                continue;
            }
            match stops.last_mut() {
                Some(stop) if stop.end_s == start_s => stop.end_s = leg.end_s,
                _ => stops.push(Stop { depth_m: leg.end_m, start_s, end_s: leg.end_s }),
            }
        }
        stops
    }

    /// The leg with which the greatest depth is left for the last time, by index; one past the legs of a dive that ends
    /// there.
    pub fn final_ascent_leg(&self) -> usize {
        let deepest_m = self.max_depth_m();
        self.legs.iter().rposition(|leg| leg.end_m >= deepest_m).map_or(0, |last_deep| last_deep + 1)
    }

    /// When the greatest depth is left for the last time, s: the start of the final ascent.
    pub fn final_ascent_s(&self) -> f64 {
        self.leg_start(self.final_ascent_leg()).0
    }
}

/// A level stretch of the ascent.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stop {
    /// Depth, m.
    pub depth_m: f64,
    /// Start, s.
    pub start_s: f64,
    /// End, s.
    pub end_s: f64,
}

#[cfg(test)]
mod tests {
    use super::*;

    fn leg(end_s: f64, end_m: f64) -> Leg {
        Leg { end_s, end_m, source: CylinderSet::of([0]), rate_m3_s: 3e-4, loop_mol_s: None }
    }

    #[test]
    fn stops_are_the_level_stretches_of_the_ascent() {
        let legs = vec![
            leg(60.0, 10.0),
            leg(120.0, 10.0), // on the way down: no stop
            leg(180.0, 30.0),
            leg(900.0, 30.0),
            leg(1000.0, 6.0),
            leg(1100.0, 6.0),
            leg(1200.0, 6.0), // a gas switch at one depth stays one stop
            leg(1260.0, 3.0),
            leg(1300.0, 3.0),
            leg(1320.0, 0.0),
            leg(1400.0, 0.0), // floating at the surface: no stop
        ];
        let profile = Profile::new(0.0, legs, vec![]).unwrap();
        assert_eq!(
            profile.stops(),
            [
                Stop { depth_m: 6.0, start_s: 1000.0, end_s: 1200.0 },
                Stop { depth_m: 3.0, start_s: 1260.0, end_s: 1300.0 }
            ]
        );
        assert_eq!(profile.depth_m(150.0), 20.0);
        assert_eq!(profile.depth_m(9e9), 0.0);
    }

    #[test]
    fn faults_are_found() {
        let bad = |legs| Profile::new(0.0, legs, vec![]).unwrap_err();
        assert!(matches!(bad(vec![leg(10.0, -1.0)]), ProfileError::Depth { leg: 1, .. }));
        assert!(matches!(bad(vec![leg(10.0, 5.0), leg(10.0, 5.0)]), ProfileError::Backwards { leg: 2, .. }));
        assert!(matches!(bad(vec![leg(f64::NAN, 5.0)]), ProfileError::Backwards { .. }));
        assert!(matches!(bad(vec![leg(90_000.0, 5.0)]), ProfileError::TooLong { .. }));
        assert!(matches!(bad(vec![Leg { rate_m3_s: -1.0, ..leg(9.0, 5.0) }]), ProfileError::Rate { .. }));
        let late = Change { time_s: 20.0, cylinder: 0, kind: Move::Leave };
        assert!(Profile::new(0.0, vec![leg(10.0, 5.0)], vec![late]).is_err());
    }

    #[test]
    fn a_single_point_is_a_profile() {
        let profile = Profile::new(5.0, vec![], vec![]).unwrap();
        assert_eq!((profile.end_s(), profile.max_depth_m(), profile.depth_m(0.0)), (0.0, 5.0, 5.0));
        assert!(profile.stops().is_empty());
    }
}
