//! Which legs of a dive lie under an overhead: by their own keys, or by times of the dive.

use super::Builder;
use super::course::{Course, Place, Stretch, keyed};
use crate::plan::file::Dive;
use crate::plan::inputs::{Limit, shown};
use crate::plan::key::Key;
use crate::plan::note::Note;
use crate::plan::problem::ProblemCode;
use crate::plan::unit::Duration;
use crate::plan::written::Written;
use crate::profile::{AT_SURFACE_M, Profile};

/// Times closer than this are one, s: what is left of two ways to write one time.
const SAME_S: f64 = 1e-3;

impl<'p> Builder<'p, '_> {
    /// Takes in the times under an overhead that the dive lists, and refuses what cannot be under one.
    pub(super) fn overheads(&mut self, at: Key, dive: &'p Dive, course: &mut Course<'p>) {
        if let Some(spans) = &dive.overhead {
            let list = at.field("overhead");
            let own = dive.leg.iter().any(|leg| leg.overhead.is_some())
                || self.plan.rows.as_ref().is_some_and(|rows| rows.rows.iter().any(|row| row.overhead.is_some()));
            if own {
                self.inputs.fault(ProblemCode::WhichKeys, list, || {
                    let help = "write the times of the dive, or say it at each leg, not both".into();
                    ("dive.overhead and an overhead of a leg are both given".into(), Some(help))
                });
                return;
            }
            self.inputs.about("");
            for (i, text) in spans.0.iter().enumerate() {
                self.overhead_from_to(list.index(i), text, course);
            }
        }
        self.refuse_open_sky(at, course);
    }

    /// One of the times: `8 min to 31 min`.
    fn overhead_from_to(&mut self, at: Key, text: &str, course: &mut Course<'p>) {
        let Some((from, to)) = from_to(text) else {
            self.inputs.fault(ProblemCode::Overhead, at, || {
                let help = "write from when to when since the start of the dive, such as \"8 min to 31 min\"".into();
                (format!("\"{text}\" says no time under an overhead"), Some(help))
            });
            return;
        };
        let [from_s, to_s] = [from, to].map(|time| self.inputs.exact(at, &time, Limit::NotNegative));
        let end_s = course.end().0;
        let why = if from_s.is_nan() || to_s.is_nan() || course.legs.is_empty() {
            return; // told before
        } else if to_s <= from_s + SAME_S {
            "it does not end after it begins".to_owned()
        } else if to_s > end_s + SAME_S {
            format!("the dive ends at {} min", shown(end_s / 60.0))
        } else {
            match [from_s, to_s].into_iter().find_map(|time_s| Some((time_s, cut(course, time_s)?))) {
                None => {
                    let mut start_s = 0.0;
                    for leg in &mut course.legs {
                        leg.is_overhead |= start_s >= from_s - SAME_S && leg.end_s <= to_s + SAME_S;
                        start_s = leg.end_s;
                    }
                    return;
                }
                Some((time_s, (leg_s, leg_end_s))) => {
                    let [time, start, end] = [time_s, leg_s, leg_end_s].map(|time_s| shown(time_s / 60.0));
                    format!("{time} min is within a leg, from {start} to {end} min: end a leg there")
                }
            }
        };
        self.inputs.fault(ProblemCode::Overhead, at, || {
            let help = "the times count from the start of the dive, such as \"8 min to 31 min\"".into();
            (format!("an overhead cannot be from {text}: {why}"), Some(help))
        });
    }

    /// At the surface nothing is overhead.
    fn refuse_open_sky(&mut self, at: Key, course: &Course<'p>) {
        let mut start_m = course.start_m;
        for leg in &course.legs {
            let is_open = leg.is_overhead && start_m.min(leg.end_m) <= AT_SURFACE_M;
            start_m = leg.end_m;
            if !is_open {
                continue;
            }
            let words = || {
                let help = match leg.place {
                    Place::Short => "begin later than at the surface, and end before the way to it",
                    Place::Row(..) => "write no in the column overhead where the way straight up is free",
                    _ => "write overhead = false on the leg from which on the way straight up is free",
                };
                let text = "a leg that begins or ends at the surface cannot lie under an overhead";
                (text.to_owned(), Some(help.into()))
            };
            match leg.place {
                Place::Short => self.inputs.fault(ProblemCode::Overhead, at.field("overhead"), words),
                place => keyed(place, "overhead", |at| self.inputs.fault(ProblemCode::Overhead, at, words)),
            }
            return; // one word about it is enough
        }
    }

    /// What a reader of a dive under an overhead must know.
    pub(super) fn note_overhead(&mut self, profile: &Profile) {
        if profile.has_overhead() {
            self.notes.push(Note::Overhead);
        }
    }
}

/// Both times of `8 min to 31 min`.
fn from_to(text: &str) -> Option<(Written<Duration>, Written<Duration>)> {
    let (from, to) = text.split_once(" to ")?;
    let (from, to) = (Written::<Duration>::parse(from.trim()), Written::<Duration>::parse(to.trim()));
    (from.estimate().is_ok() && to.estimate().is_ok()).then_some((from, to))
}

/// Makes a time the end of a leg. A dive of depth and time has no legs of its own, so any can be cut; of others the leg is
/// told in which it lies, from its start to its end, s.
fn cut(course: &mut Course<'_>, time_s: f64) -> Option<(f64, f64)> {
    let i = course.legs.partition_point(|leg| leg.end_s <= time_s + SAME_S);
    let (start_s, written_m, start_m) = match i.checked_sub(1) {
        None => (0.0, course.written_start_m, course.start_m),
        Some(before) => {
            let leg = &course.legs[before];
            (leg.end_s, leg.written_m, leg.end_m)
        }
    };
    let leg = course.legs.get(i)?;
    if time_s - start_s <= SAME_S {
        return None;
    }
    if !matches!(leg.place, Place::Short) {
        return Some((start_s, leg.end_s));
    }
    let share = (time_s - start_s) / (leg.end_s - start_s);
    let between = |from: f64, to: f64| if from == to { to } else { from + share * (to - from) };
    let (written_m, end_m) = (between(written_m, leg.written_m), between(start_m, leg.end_m));
    course.legs.insert(i, Stretch { end_s: time_s, written_m, end_m, ..*leg });
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_read_as_they_are_written() {
        let read = |text: &str| {
            let (from, to) = from_to(text)?;
            Some((from.estimate().ok()?.value, to.estimate().ok()?.value))
        };
        assert_eq!(read("8 min to 31 min"), Some((480.0, 1860.0)));
        assert_eq!(read(" 8:30 to  31 min "), Some((510.0, 1860.0)));
        for none in ["", "8 min", "8 to 31 min", "8 min 31 min", "8 min to", "8 m to 9 m", "to 9 min"] {
            assert_eq!(read(none), None, "{none}");
        }
    }
}
