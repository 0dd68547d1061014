//! The bail-out: from a moment on the legs of the loop breathe cylinders, each at and above its depth.

use super::Builder;
use super::course::{Course, Stretch};
use super::cylinders::Names;
use crate::plan::inputs::{Limit, shown};
use crate::plan::key::Key;
use crate::plan::problem::ProblemCode;
use crate::plan::unit::Duration;
use crate::plan::written::Written;
use crate::rig::CylinderSet;
use crate::units::MINUTE_S;

/// A part of a leg shorter than this is none, s.
const LEAST_S: f64 = 1e-6;
/// Depths closer than this are one, m: rounding of a unit.
const SAME_M: f64 = 1e-9;

/// What a leg breathes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Breathed {
    /// The loop.
    Loop,
    /// Cylinders.
    From(CylinderSet),
}

impl Breathed {
    /// The cylinders; none of the loop.
    pub fn cylinders(self) -> CylinderSet {
        match self {
            Self::Loop => CylinderSet::EMPTY,
            Self::From(set) => set,
        }
    }
}

impl Builder<'_, '_> {
    /// Puts cylinders in place of the loop from the bail-out on, if one is planned.
    pub(super) fn bail_out(&mut self, key: Key, names: &Names, course: &mut Course) {
        let plan = self.plan;
        let Some(text) = plan.file.breathing_loop.as_ref().and_then(|table| table.bail_out.as_deref()) else { return };
        let text = text.trim();
        if text == "none" {
            return;
        }
        let Some(time_s) = self.bail_out_s(key.field("bail_out"), text, course) else { return };
        match names.fed() {
            Some(fed) if !fed.bail_out.is_empty() => cut(course, time_s, &fed.bail_out),
            _ => self.inputs.missing(key.field("bail_out_on"), || {
                "bail_out_on = [\"deep\", \"fifty from 21 m\"]: what is breathed from then on".into()
            }),
        }
    }

    /// The moment of the bail-out, s.
    fn bail_out_s(&mut self, at: Key, text: &str, course: &Course) -> Option<f64> {
        let count = course.legs.len();
        let end_s = course.end().0;
        if let Some(number) = text.strip_prefix("leg ") {
            let leg = number.trim().parse().ok().filter(|leg| (1..=count).contains(leg));
            if leg.is_none() && count > 0 {
                self.inputs.fault(ProblemCode::BailOut, at, || {
                    (format!("bail_out is \"{text}\", but the dive has legs 1 to {count}"), None)
                });
            }
            return leg.map(|leg| if leg == 1 { 0.0 } else { course.legs[leg - 2].end_s });
        }
        let time = Written::<Duration>::parse(text);
        if time.estimate().is_err() {
            self.inputs.fault(ProblemCode::BailOut, at, || {
                let help =
                    "write a time since the start, \"40 min\", the start of a leg, \"leg 5\", or \"none\"".into();
                (format!("\"{text}\" is no moment of a bail-out"), Some(help))
            });
            return None;
        }
        let time_s = self.inputs.exact(at, &time, Limit::NotNegative);
        if time_s > end_s {
            self.inputs.fault(ProblemCode::BailOut, at, || {
                (format!("bail_out at {text} is after the end of the dive at {} min", shown(end_s / MINUTE_S)), None)
            });
        }
        (time_s <= end_s).then_some(time_s)
    }
}

/// What is breathed at a depth: of those that are used there the one of the least depth.
fn breathed_at(bail_out: &[(f64, CylinderSet)], written_m: f64) -> CylinderSet {
    let used = || bail_out.iter().filter(|(from_m, _)| *from_m >= written_m - SAME_M);
    let least_m = used().map(|(from_m, _)| *from_m).fold(f64::INFINITY, f64::min);
    used().filter(|(from_m, _)| *from_m == least_m).fold(CylinderSet::EMPTY, |all, (_, set)| all.or(*set))
}

/// Cuts the legs of the loop where the bail-out begins and where its cylinder changes.
fn cut(course: &mut Course, time_s: f64, bail_out: &[(f64, CylinderSet)]) {
    let mut start = (0.0, course.written_start_m, course.start_m);
    for leg in std::mem::take(&mut course.legs) {
        let end = (leg.end_s, leg.written_m, leg.end_m);
        if leg.source == Breathed::Loop && leg.end_s > time_s + LEAST_S {
            course.legs.extend(pieces(&leg, start, time_s, bail_out));
        } else {
            course.legs.push(leg);
        }
        start = end;
    }
}

/// The parts of a leg of the loop that ends behind the moment.
fn pieces<'p>(
    leg: &Stretch<'p>,
    start: (f64, f64, f64),
    time_s: f64,
    bail_out: &[(f64, CylinderSet)],
) -> Vec<Stretch<'p>> {
    let way_s = leg.end_s - start.0;
    let at = |share: f64| {
        let between = |from: f64, to: f64| from + share * (to - from);
        (between(start.0, leg.end_s), between(start.1, leg.written_m), between(start.2, leg.end_m))
    };
    let depths = bail_out.iter().map(|(from_m, _)| (from_m - start.1) / (leg.written_m - start.1));
    let moment = (time_s - start.0) / way_s;
    let mut shares: Vec<f64> = depths.filter(|share| *share > moment).chain([moment]).collect();
    shares.retain(|share| share * way_s > LEAST_S && (1.0 - share) * way_s > LEAST_S);
    shares.sort_by(f64::total_cmp);
    shares.dedup_by(|a, b| (*a - *b) * way_s < LEAST_S);
    let mut before = start;
    let mut made = Vec::with_capacity(shares.len() + 1);
    for end in shares.into_iter().map(at).chain([(leg.end_s, leg.written_m, leg.end_m)]) {
        let (end_s, written_m, end_m) = end;
        let bails_out = 0.5 * (before.0 + end_s) > time_s;
        let source = match bails_out {
            true => Breathed::From(breathed_at(bail_out, before.1.max(written_m))),
            false => Breathed::Loop,
        };
        let is_rest = !made.is_empty();
        made.push(Stretch { end_s, written_m, end_m, source, bails_out, is_rest, ..*leg });
        before = end;
    }
    made
}

#[cfg(test)]
mod tests {
    use super::super::course::Place;
    use super::*;

    fn stretch<'p>(end_s: f64, end_m: f64) -> Stretch<'p> {
        let place = Place::Short;
        let source = Breathed::Loop;
        Stretch {
            end_s,
            written_m: end_m,
            end_m,
            source,
            rate: None,
            place,
            bails_out: false,
            is_rest: false,
            is_overhead: false,
        }
    }

    /// By hand: a way from 40 to 0 m in 400 s, bail-out at 100 s (30 m), another cylinder from 21 m (190 s) and 6 m (340 s) on.
    #[test]
    fn a_way_is_cut_at_the_moment_and_at_the_depths() {
        let sets = [0, 1, 2].map(|i| CylinderSet::of([i]));
        let bail_out = [(f64::INFINITY, sets[0]), (6.0, sets[2]), (21.0, sets[1])];
        let legs = vec![stretch(400.0, 0.0), stretch(500.0, 0.0)];
        let mut course = Course { start_m: 40.0, written_start_m: 40.0, legs, changes: Vec::new() };
        cut(&mut course, 100.0, &bail_out);
        let found: Vec<_> = course.legs.iter().map(|leg| (leg.end_s, leg.end_m, leg.source, leg.is_rest)).collect();
        let from = |i: usize| Breathed::From(sets[i]);
        let expected = [
            (100.0, 30.0, Breathed::Loop, false),
            (190.0, 21.0, from(0), true),
            (340.0, 6.0, from(1), true),
            (400.0, 0.0, from(2), true),
            (500.0, 0.0, from(2), false),
        ];
        for (found, expected) in found.iter().zip(expected) {
            assert!((found.0 - expected.0).abs() < 1e-9 && (found.1 - expected.1).abs() < 1e-9, "{found:?}");
            assert_eq!((found.2, found.3), (expected.2, expected.3));
        }
        assert_eq!(found.len(), 5);
    }

    /// A stop at the very depth breathes what is used from there on, and a moment at the seam of two legs cuts none.
    #[test]
    fn nothing_is_cut_at_seams() {
        let sets = [0, 1].map(|i| CylinderSet::of([i]));
        let bail_out = [(f64::INFINITY, sets[0]), (21.0, sets[1])];
        let legs = vec![stretch(100.0, 40.0), stretch(200.0, 21.0), stretch(300.0, 21.0)];
        let mut course = Course { start_m: 0.0, written_start_m: 0.0, legs, changes: Vec::new() };
        cut(&mut course, 100.0, &bail_out);
        let found: Vec<_> = course.legs.iter().map(|leg| leg.source).collect();
        assert_eq!(found, [Breathed::Loop, Breathed::From(sets[0]), Breathed::From(sets[1])]);
    }
}
