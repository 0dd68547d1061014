//! A stretch of the run between two knots, inside which nothing happens: everything is smooth, and can be asked for any
//! time.

use std::borrow::Cow;

use crate::scenario::{Scenario, Segment};
use crate::sim::control::Limits;
use crate::sim::locate::{Close, NODES, Quartic, greatest, zero};
use crate::sim::state::Now;
use crate::sim::step::step;

/// How closely findings locate a moment, s. An event of the run is located to this, or to the time in which its quantity
/// moves by the run's tolerance, whichever is longer.
pub const CLOSE_S: f64 = 0.01;

/// A stretch between two knots.
///
/// On a level stretch every quantity is linear in time but those of a failed wing's way up, which are convex, so its ends
/// say all; a moving one has moments between, from which is seen where an extreme or a zero has to be looked for.
#[derive(Clone, Debug, PartialEq)]
pub struct Span {
    /// The stretch of the dive.
    pub segment: Segment,
    /// what every moment is computed from, where it is not the first of `nodes`
    knot: Option<Box<Now>>,
    nodes: Vec<Now>,
}

impl Span {
    /// A span from its knot and the moments at all of its nodes.
    pub(crate) fn new(segment: Segment, nodes: Vec<Now>) -> Self {
        Self { segment, knot: None, nodes }
    }

    /// A moment by itself.
    pub(crate) fn instant(segment: Segment, now: Now) -> Self {
        Self::new(segment, vec![now])
    }

    /// The first moment.
    #[inline]
    pub fn start(&self) -> &Now {
        &self.nodes[0]
    }

    /// The last moment.
    #[inline]
    pub fn end(&self) -> &Now {
        &self.nodes[self.nodes.len() - 1]
    }

    /// Start, s.
    #[inline]
    pub fn start_s(&self) -> f64 {
        self.start().state.time_s
    }

    /// End, s.
    #[inline]
    pub fn end_s(&self) -> f64 {
        self.end().state.time_s
    }

    /// Whether it is one moment, at which something comes, goes or changes.
    #[inline]
    pub fn is_instant(&self) -> bool {
        self.end_s() <= self.start_s()
    }

    /// Moments that are known: both ends, and on a moving stretch three between.
    #[inline]
    pub fn nodes(&self) -> &[Now] {
        &self.nodes
    }

    /// The moment at a time within the span, exactly as the run would give it.
    pub fn at(&self, scenario: &Scenario, time_s: f64) -> Now {
        self.look_at(scenario, time_s).into_owned()
    }

    /// The same to look at: the ends are not copied.
    #[inline]
    pub(crate) fn look_at(&self, scenario: &Scenario, time_s: f64) -> Cow<'_, Now> {
        if time_s <= self.start_s() {
            Cow::Borrowed(self.start())
        } else if time_s >= self.end_s() {
            Cow::Borrowed(self.end())
        } else {
            Cow::Owned(self.step(scenario, time_s))
        }
    }

    #[inline]
    fn step(&self, scenario: &Scenario, time_s: f64) -> Now {
        let knot = self.knot.as_deref().unwrap_or(&self.nodes[0]);
        step(scenario, &self.segment, knot, time_s, Limits::Real)
    }

    /// The part between two times, itself where that is all of it; `None` if they do not overlap. An edge alone is an
    /// instant.
    pub(crate) fn clipped(&self, scenario: &Scenario, from_s: f64, to_s: f64) -> Option<Cow<'_, Self>> {
        let (from_s, to_s) = (from_s.max(self.start_s()), to_s.min(self.end_s()));
        if from_s > to_s {
            return None;
        }
        if from_s == self.start_s() && to_s == self.end_s() {
            return Some(Cow::Borrowed(self));
        }
        if from_s == to_s {
            return Some(Cow::Owned(Self::instant(self.segment, self.at(scenario, from_s))));
        }
        let count = self.nodes.len();
        let nodes = (0..count).map(|i| self.at(scenario, node_s(from_s, to_s, i, count))).collect();
        let knot = self.knot.clone().unwrap_or_else(|| Box::new(self.nodes[0]));
        Some(Cow::Owned(Self { segment: self.segment, knot: Some(knot), nodes }))
    }

    /// The moment at which `f` is greatest, and its value there.
    pub fn greatest(&self, scenario: &Scenario, f: impl Fn(&Now) -> f64) -> (Now, f64) {
        self.greatest_above(scenario, f64::NEG_INFINITY, f).unwrap_or((*self.start(), f64::NAN))
    }

    /// The same, if it is above a value that is known from elsewhere: then little has to be looked at.
    pub fn greatest_above(&self, scenario: &Scenario, floor: f64, f: impl Fn(&Now) -> f64) -> Option<(Now, f64)> {
        let Peak { time_s, value } = self.peak_above(scenario, floor, CLOSE_S, f)?;
        let node = self.nodes.iter().find(|node| node.state.time_s == time_s);
        Some((node.copied().unwrap_or_else(|| self.step(scenario, time_s)), value))
    }

    /// The greatest value of `f` alone, if it is above a value that is known from elsewhere: a moment is large, and most
    /// questions do not ask for it.
    pub fn greatest_value_above(&self, scenario: &Scenario, floor: f64, f: impl Fn(&Now) -> f64) -> Option<f64> {
        self.peak_above(scenario, floor, f64::INFINITY, f).map(|peak| peak.value)
    }

    /// Located within a thousandth of the span, by which a value is missed by a millionth of what it changes in it, and
    /// within `close_s`.
    fn peak_above(&self, scenario: &Scenario, floor: f64, close_s: f64, f: impl Fn(&Now) -> f64) -> Option<Peak> {
        let mut best: Option<Peak> = None;
        let mut values = [0.0; NODES.len()];
        for (i, node) in self.nodes.iter().enumerate() {
            values[i.min(NODES.len() - 1)] = f(node);
            if values[i] > best.map_or(floor, |peak| peak.value) {
                best = Some(Peak { time_s: node.state.time_s, value: values[i] });
            }
        }
        if self.nodes.len() < NODES.len() {
            return best;
        }
        let (from_s, length_s) = (self.start_s(), self.end_s() - self.start_s());
        let quartic = Quartic::through(values);
        for share in quartic.flats() {
            let known = best.map_or(floor, |peak| peak.value);
            if quartic.at(share) <= known {
                continue;
            }
            let after = NODES.iter().position(|node| *node > share).unwrap_or(NODES.len() - 1).max(1);
            let time = |share: f64| from_s + share * length_s;
            let ends = [after - 1, after].map(|i| (time(NODES[i]), values[i]));
            let close_s = close_s.min(1e-3 * length_s);
            let (time_s, value) = greatest(ends, time(share), close_s, |t| f(&self.step(scenario, t)));
            if value > known {
                best = Some(Peak { time_s, value });
            }
        }
        best
    }

    /// The moments at which `f` passes through zero, in order of time; each lies just on the side that comes after. Two
    /// that are closer than the nodes are not told apart.
    pub fn zeros(&self, scenario: &Scenario, f: impl Fn(&Now) -> f64) -> Vec<Now> {
        let mut found = Vec::new();
        let mut before = (self.start_s(), f(self.start()));
        for node in &self.nodes[1..] {
            let here = (node.state.time_s, f(node));
            if (before.1 > 0.0) != (here.1 > 0.0) {
                let close = Close::to(0.1 * CLOSE_S, 0.0);
                let look = |t: f64| Ok::<f64, std::convert::Infallible>(f(&self.step(scenario, t)));
                let Ok(time_s) = zero(before, here, close, look);
                found.push(self.at(scenario, time_s));
            }
            before = here;
        }
        found
    }
}

/// Where a quantity is greatest.
#[derive(Clone, Copy)]
struct Peak {
    time_s: f64,
    value: f64,
}

/// The time of a node of a stretch.
#[inline]
pub(crate) fn node_s(from_s: f64, to_s: f64, index: usize, count: usize) -> f64 {
    match index {
        0 => from_s,
        _ if index + 1 >= count => to_s,
        _ if count == NODES.len() => from_s + NODES[index] * (to_s - from_s),
        _ => from_s + (to_s - from_s) * index as f64 / (count - 1) as f64,
    }
}
