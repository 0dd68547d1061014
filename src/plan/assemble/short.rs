//! A dive in two words, depth and time: down, stay, up with the stops, to the surface.

use super::Builder;
use super::bail_out::Breathed;
use super::course::{Course, Place, Stretch};
use super::cylinders::Names;
use crate::physics::water::Water;
use crate::plan::file::{Dive, Stops};
use crate::plan::inputs::{Limit, shown};
use crate::plan::key::Key;
use crate::plan::problem::ProblemCode;
use crate::plan::typical::dive::{ASCENT_SPEED, DESCENT_SPEED, LAST_STOP, LAST_STOP_TIME};
use crate::plan::unit::{Duration, Length};
use crate::plan::written::Written;
use crate::rig::CylinderSet;

/// A stop on the way up.
#[derive(Clone, Copy)]
struct Halt {
    /// as written: true depth or an instrument's
    written_m: f64,
    depth_m: f64,
    stay_s: f64,
}

/// Whether a dive is given by depth and time.
pub(super) fn is_short(dive: &Dive) -> bool {
    dive.depth.is_some() || dive.time.is_some()
}

impl<'p> Builder<'p, '_> {
    /// The course of a dive of depth and time, and its last stop.
    pub(super) fn short(
        &mut self,
        at: Key,
        dive: &'p Dive,
        instrument: Option<&Water>,
        names: &Names,
    ) -> (Course<'p>, Option<f64>) {
        self.refuse_beside_short(at, dive);
        self.inputs.about("");
        let mut course = Course { start_m: 0.0, written_start_m: 0.0, legs: Vec::new(), changes: Vec::new() };
        let (Some(depth), Some(time)) = (&dive.depth, &dive.time) else {
            match dive.depth {
                Some(_) => self.inputs.missing(at.field("time"), || "time = \"25 min\" beside the depth".into()),
                None => self.inputs.missing(at.field("depth"), || "depth = \"30 m\" beside the time".into()),
            }
            return (course, None);
        };
        let (written_m, depth_m) = self.depth(at.field("depth"), depth, instrument);
        if written_m <= 0.0 {
            self.inputs.fault(ProblemCode::Depth, at.field("depth"), || {
                ("a dive needs a depth below the surface".into(), None)
            });
        }
        let time_s = self.inputs.exact(at.field("time"), time, Limit::Any);
        let source = self.short_source(at, dive, names);
        let speed = Limit::Within(0.01, 5.0);
        let down_m_s = self.inputs.or_planned(at, "descent_speed", &dive.descent_speed, &DESCENT_SPEED, speed);
        let up_m_s = self.inputs.or_planned(at, "ascent_speed", &dive.ascent_speed, &ASCENT_SPEED, speed);
        let halts = self.halts(at, dive, (written_m, depth_m), instrument);
        let down_s = written_m / down_m_s;
        if time_s < down_s {
            self.inputs.fault(ProblemCode::Time, at.field("time"), || {
                let help =
                    "time counts from leaving the surface to leaving the bottom: write more, or descent_speed".into();
                let way = shown((down_s / 6.0).ceil() / 10.0);
                (format!("time is {}, but the way down alone takes {way} min", time.text()), Some(help))
            });
        }
        let mut go = |end_s: f64, written_m: f64, end_m: f64| {
            let (start_s, ..) = course.end();
            // a bottom that is left at once has no leg of its own
            if end_s > start_s + LEAST_S {
                let (place, bails_out, is_rest, is_overhead) = (Place::Short, false, false, false);
                course.legs.push(Stretch {
                    end_s,
                    written_m,
                    end_m,
                    source,
                    rate: None,
                    place,
                    bails_out,
                    is_rest,
                    is_overhead,
                });
            }
        };
        go(down_s, written_m, depth_m);
        go(time_s, written_m, depth_m);
        let (mut now_s, mut above_m) = (time_s.max(down_s), written_m);
        for halt in &halts {
            now_s += (above_m - halt.written_m) / up_m_s;
            go(now_s, halt.written_m, halt.depth_m);
            now_s += halt.stay_s;
            go(now_s, halt.written_m, halt.depth_m);
            above_m = halt.written_m;
        }
        now_s += above_m / up_m_s;
        go(now_s, 0.0, 0.0);
        if self.inputs.failure().is_none() {
            self.check_time(at.field("time"), 0.0, now_s);
        }
        (course, halts.last().map(|halt| halt.depth_m))
    }

    fn refuse_beside_short(&mut self, at: Key, dive: &Dive) {
        let beside =
            [(!dive.leg.is_empty(), "leg"), (dive.profile.is_some(), "profile"), (dive.start.is_some(), "start")];
        for (_, key) in beside.into_iter().filter(|(given, _)| *given) {
            self.inputs.fault(ProblemCode::WhichKeys, at.field(key), || {
                let help = "write depth and time of a short dive, or the whole profile".into();
                (format!("dive.{key} and a dive by depth and time are both given"), Some(help))
            });
        }
    }

    /// Keys of a short dive without its depth and time.
    pub(super) fn refuse_without_short(&mut self, at: Key, dive: &Dive) {
        let beside = [
            (dive.stops.is_some(), "stops"),
            (dive.descent_speed.is_some(), "descent_speed"),
            (dive.ascent_speed.is_some(), "ascent_speed"),
            (dive.breathe.is_some(), "breathe"),
        ];
        for (_, key) in beside.into_iter().filter(|(given, _)| *given) {
            self.inputs.fault(ProblemCode::WhichKeys, at.field(key), || {
                let help =
                    "write depth = \"30 m\" and time = \"25 min\" beside it; in legs it has a place of its own".into();
                (format!("dive.{key} is for a dive by depth and time"), Some(help))
            });
        }
    }

    fn short_source(&mut self, at: Key, dive: &Dive, names: &Names) -> Breathed {
        match (&dive.breathe, names.usual()) {
            (Some(name), _) => self.breathed_by(at.field("breathe"), name, names),
            (None, _) if self.has_loop() => Breathed::Loop,
            (None, Some(usual)) => Breathed::From(usual),
            (None, None) => {
                // a plan without any was told before
                if let Some(first) = names.words().next() {
                    self.inputs.missing(at.field("breathe"), || {
                        format!("breathe = \"{first}\" or another cylinder of this dive: none is called \"back\"")
                    });
                }
                Breathed::From(CylinderSet::EMPTY)
            }
        }
    }

    /// The stops, the deepest first.
    fn halts(&mut self, at: Key, dive: &Dive, bottom: (f64, f64), instrument: Option<&Water>) -> Vec<Halt> {
        match &dive.stops {
            Some(stops) => self.listed_halts(at, stops, bottom, instrument),
            None => self.usual_halt(at, dive, bottom, instrument).into_iter().collect(),
        }
    }

    /// The last stop of a dive that lists none; a dive no deeper than it has none.
    fn usual_halt(&mut self, at: Key, dive: &Dive, bottom: (f64, f64), instrument: Option<&Water>) -> Option<Halt> {
        let (written_m, depth_m) = match &dive.last_stop {
            // one that is too deep is told with the last stop
            Some(last_stop) => self.depth(at.field("last_stop"), last_stop, instrument),
            None if bottom.0 <= LAST_STOP.estimate.value => return None,
            None => {
                let written_m = self.inputs.typical(at.field("last_stop"), &LAST_STOP);
                let depth_m = instrument.and_then(|water| water.depth_of_instrument_m(written_m));
                (written_m, depth_m.unwrap_or(written_m))
            }
        };
        if written_m >= bottom.0 || written_m <= 0.0 {
            return None;
        }
        let stay_s = self.inputs.typical(at.field("stops"), &LAST_STOP_TIME);
        Some(Halt { written_m, depth_m, stay_s })
    }

    fn listed_halts(&mut self, at: Key, stops: &Stops, bottom: (f64, f64), instrument: Option<&Water>) -> Vec<Halt> {
        let list = at.field("stops");
        let mut halts: Vec<Halt> = Vec::with_capacity(stops.0.len());
        for (i, text) in stops.0.iter().enumerate() {
            let at = list.index(i);
            let Some((depth, stay)) = depth_and_time(text) else {
                self.inputs.fault(ProblemCode::Stop, at, || {
                    let help = "write depth and minutes, such as \"6 m 10 min\" or \"20 ft 3:30\"".into();
                    (format!("\"{text}\" is not a stop"), Some(help))
                });
                continue;
            };
            let (written_m, depth_m) = self.depth(at, &depth, instrument);
            let stay_s = self.inputs.exact(at, &stay, Limit::Any);
            let why = if written_m <= 0.0 {
                Some("is at the surface")
            } else if written_m >= bottom.0 {
                Some("is not above the depth of the dive")
            } else if stay_s <= 0.0 {
                Some("has no time")
            } else if halts.iter().any(|halt| halt.written_m == written_m) {
                Some("has the depth of another one")
            } else {
                None
            };
            if let Some(why) = why {
                self.inputs.fault(ProblemCode::Stop, at, || {
                    let help = "each depth once, between the dive's depth and the surface, with its minutes".into();
                    (format!("the stop \"{text}\" {why}"), Some(help))
                });
                continue;
            }
            halts.push(Halt { written_m, depth_m, stay_s });
        }
        halts.sort_by(|a, b| b.written_m.total_cmp(&a.written_m));
        halts
    }
}

/// A leg shorter than this is none, s: what is left of two times that should be one.
const LEAST_S: f64 = 1e-6;

/// `6 m 10 min` as depth and time, wherever the one ends and the other begins.
pub(crate) fn depth_and_time(text: &str) -> Option<(Written<Length>, Written<Duration>)> {
    let blanks = text.char_indices().filter(|(_, c)| c.is_whitespace()).map(|(i, _)| i);
    let parts = blanks.map(|i| (Written::parse(&text[..i]), Written::parse(&text[i..])));
    parts.into_iter().find(|(depth, time): &(Written<Length>, Written<Duration>)| {
        depth.estimate().is_ok() && time.estimate().is_ok()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stops_are_read_as_they_are_written() {
        let read = |text: &str| {
            let (depth, time) = depth_and_time(text)?;
            Some((depth.estimate().ok()?.value, time.estimate().ok()?.value))
        };
        assert_eq!(read("6 m 10 min"), Some((6.0, 600.0)));
        assert_eq!(read("6m 10min"), Some((6.0, 600.0)));
        assert_eq!(read(" 20 ft  3:30 "), Some((6.096, 210.0)));
        for none in ["", "6 m", "10 min", "6 10 min", "10 min 6 m", "6 m10 min", "6 kg 10 min"] {
            assert_eq!(read(none), None, "{none}");
        }
    }
}
