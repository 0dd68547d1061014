//! Where labels go: beside what they name, clear of each other, of the curves and of the edges.

use std::f64::consts::TAU;

use crate::report::chart::font::{self, LEADING_EM, Weight};
use crate::report::chart::scene::{Anchor, Scene, Text};
use crate::report::chart::shape::{Point, Rect};
use crate::report::chart::style::{BODY_PX, INK, PAPER, RULE, Rgb, Stroke};

/// Free space around a label, px.
const CLEAR_PX: f64 = 4.0;
/// Distances from the named point that are tried, px.
const REACH_PX: [f64; 9] = [9.0, 13.0, 18.0, 26.0, 38.0, 54.0, 76.0, 104.0, 140.0];
/// Farther than this, a thin line leads from the label to its point, px.
const LEADER_PX: f64 = 14.0;
/// Directions that are tried.
const DIRECTIONS: usize = 16;
/// Cost of a leader that crosses a curve, in px of distance.
const CROSSING_PX: f64 = 45.0;
/// Cost of every step to a shorter variant, in px of distance.
const SHORTER_PX: f64 = 100.0;
/// Cost of a whole turn away from the preferred direction, in px of distance.
const AWAY_PX: f64 = 24.0;

/// A label: a few lines, the first one perhaps bold.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Label {
    pub lines: Vec<(String, Weight)>,
    pub size: f64,
    pub colour: Rgb,
}

impl Label {
    /// One line.
    pub fn plain(text: impl Into<String>) -> Self {
        Self { lines: vec![(text.into(), Weight::Regular)], size: BODY_PX, colour: INK }
    }

    /// One bold line.
    pub fn bold(text: impl Into<String>) -> Self {
        Self { lines: vec![(text.into(), Weight::Bold)], size: BODY_PX, colour: INK }
    }

    /// A bold line, and a plain one below.
    pub fn headed(head: impl Into<String>, text: impl Into<String>) -> Self {
        Self { lines: vec![(head.into(), Weight::Bold), (text.into(), Weight::Regular)], size: BODY_PX, colour: INK }
    }

    /// Another size.
    pub fn sized(self, size: f64) -> Self {
        Self { size, ..self }
    }

    /// Another colour.
    pub fn coloured(self, colour: Rgb) -> Self {
        Self { colour, ..self }
    }

    /// Width and height, px.
    pub fn extent(&self) -> (f64, f64) {
        let width = self.lines.iter().map(|(text, weight)| font::width(text, self.size, *weight)).fold(0.0, f64::max);
        let rows = self.lines.len() as f64;
        (width, self.size * ((rows - 1.0) * LEADING_EM + font::CAP_EM + font::DESCENT_EM))
    }

    /// Draws it into a rectangle, on paper that hides grid and hatching.
    pub fn draw(&self, scene: &mut Scene, rect: Rect, anchor: Anchor) {
        scene.fill(rect.grown(2.0), PAPER, 0.82);
        let x = match anchor {
            Anchor::Start => rect.left,
            Anchor::Middle => 0.5 * (rect.left + rect.right),
            Anchor::End => rect.right,
        };
        for (row, (text, weight)) in self.lines.iter().enumerate() {
            let y = rect.top + self.size * (font::CAP_EM + row as f64 * LEADING_EM);
            scene.text(Text {
                at: Point::new(x, y),
                anchor,
                size: self.size,
                weight: *weight,
                colour: self.colour,
                text: text.clone(),
            });
        }
    }
}

/// Keeps what is taken and finds free places.
#[derive(Clone, Debug)]
pub(super) struct Placer {
    bounds: Rect,
    taken: Vec<Rect>,
    curves: Vec<(Point, Point)>,
}

impl Placer {
    /// A placer for labels within `bounds`.
    pub fn new(bounds: Rect) -> Self {
        Self { bounds, taken: Vec::new(), curves: Vec::new() }
    }

    /// A shape that no label may cover.
    pub fn keep_clear(&mut self, rect: Rect) {
        self.taken.push(rect);
    }

    /// A curve that no label may cover.
    pub fn keep_curve(&mut self, points: &[Point]) {
        match points {
            [only] => self.taken.push(Rect { left: only.x, top: only.y, right: only.x, bottom: only.y }.grown(2.0)),
            _ => self.curves.extend(points.windows(2).map(|pair| (pair[0], pair[1]))),
        }
    }

    /// Puts a label near a point: of `variants`, which go from telling to short, the one that stands best, a shorter one
    /// only where it gains much. `prefer` is the direction to try first, in turns clockwise from the right. Returns
    /// whether there was a place.
    pub fn put(&mut self, scene: &mut Scene, point: Point, prefer: f64, variants: &[Label]) -> bool {
        let mut best: Option<(f64, Rect, &Label)> = None;
        for (n, label) in variants.iter().enumerate() {
            let Some((cost, rect)) = self.near(point, prefer, label.extent()) else { continue };
            let cost = cost + SHORTER_PX * n as f64;
            if best.is_none_or(|(least, ..)| cost < least) {
                best = Some((cost, rect, label));
            }
        }
        let Some((_, rect, label)) = best else { return false };
        let end = rect.grown(2.0).nearest(point);
        if distance(point, end) > LEADER_PX - 2.0 {
            scene.line(point, end, Stroke::solid(RULE, 0.9));
            self.curves.push((point, end));
        }
        // text hugs the side that faces its point
        let anchor = match rect {
            rect if rect.left >= point.x => Anchor::Start,
            rect if rect.right <= point.x => Anchor::End,
            _ => Anchor::Middle,
        };
        label.draw(scene, rect, anchor);
        self.taken.push(rect);
        true
    }

    fn is_free(&self, rect: Rect) -> bool {
        let roomy = rect.grown(CLEAR_PX);
        self.bounds.holds(rect)
            && !self.taken.iter().any(|taken| taken.overlaps(roomy))
            && !self.curves.iter().any(|(from, to)| roomy.is_crossed(*from, *to))
    }

    /// The cheapest free place with its cost, near the point or, failing that, anywhere.
    fn near(&self, point: Point, prefer: f64, extent: (f64, f64)) -> Option<(f64, Rect)> {
        self.cheapest(point, around(point, prefer, extent))
            .or_else(|| self.cheapest(point, everywhere(self.bounds, extent)))
    }

    /// The free candidate with the least cost: its distance, what it brings along, and what its leader crosses.
    fn cheapest(&self, point: Point, candidates: impl Iterator<Item = (Rect, f64)>) -> Option<(f64, Rect)> {
        let mut best: Option<(f64, Rect)> = None;
        for (rect, extra_px) in candidates {
            let end = rect.nearest(point);
            let mut cost = distance(point, end) + extra_px;
            let is_worse = |cost: f64| best.is_some_and(|(least, _)| cost >= least);
            if is_worse(cost) || !self.is_free(rect) {
                continue;
            }
            if distance(point, end) > LEADER_PX {
                let Some(crossings) = self.leader_crossings(point, end) else { continue };
                cost += CROSSING_PX * crossings as f64;
            }
            if !is_worse(cost) {
                best = Some((cost, rect));
            }
        }
        best
    }

    /// How many curves a leader crosses, away from its own point; `None` if it would cross a label.
    fn leader_crossings(&self, point: Point, end: Point) -> Option<usize> {
        if self.taken.iter().any(|taken| taken.is_crossed(point, end) && !taken.grown(2.0).is_crossed(point, point)) {
            return None;
        }
        let length = distance(point, end);
        let start = Point::new(point.x + 6.0 * (end.x - point.x) / length, point.y + 6.0 * (end.y - point.y) / length);
        Some(self.curves.iter().filter(|(from, to)| cross((start, end), (*from, *to))).count())
    }
}

fn distance(a: Point, b: Point) -> f64 {
    (a.x - b.x).hypot(a.y - b.y)
}

/// Places around a point, near ones and those in the preferred direction first, each with the cost of its direction.
fn around(point: Point, prefer: f64, (width, height): (f64, f64)) -> impl Iterator<Item = (Rect, f64)> {
    // the rectangle's side or corner that faces the point lies `reach` away
    let side = |direction: f64, extent: f64| match direction {
        d if d > 0.3 => 0.0,
        d if d < -0.3 => -extent,
        _ => -0.5 * extent,
    };
    REACH_PX.into_iter().flat_map(move |reach| {
        (0..DIRECTIONS).map(move |turn| {
            let turned = turn as f64 / DIRECTIONS as f64;
            let (sin, cos) = (TAU * (prefer + turned)).sin_cos();
            let left = point.x + reach * cos + side(cos, width);
            let top = point.y + reach * sin + side(sin, height);
            let rect = Rect { left, top, right: left + width, bottom: top + height };
            (rect, AWAY_PX * turned.min(1.0 - turned))
        })
    })
}

/// Places all over a rectangle.
fn everywhere(bounds: Rect, (width, height): (f64, f64)) -> impl Iterator<Item = (Rect, f64)> {
    let (columns, rows) = ((bounds.width() / 10.0) as usize, (bounds.height() / 6.0) as usize);
    (0..columns * rows).map(move |i| {
        let (left, top) = (bounds.left + 10.0 * (i % columns) as f64, bounds.top + 6.0 * (i / columns) as f64);
        (Rect { left, top, right: left + width, bottom: top + height }, 0.0)
    })
}

/// Whether two straight lines cross.
fn cross(a: (Point, Point), b: (Point, Point)) -> bool {
    let side = |p: Point, q: Point, r: Point| (q.x - p.x) * (r.y - p.y) - (q.y - p.y) * (r.x - p.x);
    side(a.0, a.1, b.0) * side(a.0, a.1, b.1) < 0.0 && side(b.0, b.1, a.0) * side(b.0, b.1, a.1) < 0.0
}

/// Vertical positions as near as possible to those wanted, in the same order, at least `gap` apart, within a range.
/// `wanted` must be sorted.
pub(super) fn spread(wanted: &[f64], gap: f64, low: f64, high: f64) -> Vec<f64> {
    // neighbours that collide form a block, which is centred on the mean of what its members want
    let mut blocks: Vec<(f64, usize)> = Vec::new(); // centre of the first member, how many
    let place = |sum: f64, count: usize| {
        let first = sum / count as f64 - 0.5 * gap * (count - 1) as f64;
        first.min(high - gap * (count - 1) as f64).max(low)
    };
    let mut sums: Vec<f64> = Vec::new();
    for &y in wanted {
        blocks.push((place(y, 1), 1));
        sums.push(y);
        while let [.., (a, na), (b, nb)] = blocks[..] {
            if a + gap * na as f64 <= b {
                break;
            }
            let sum = sums.pop().unwrap_or(0.0) + sums.pop().unwrap_or(0.0);
            blocks.truncate(blocks.len() - 2);
            blocks.push((place(sum, na + nb), na + nb));
            sums.push(sum);
        }
    }
    blocks.iter().flat_map(|&(first, count)| (0..count).map(move |i| first + gap * i as f64)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spread_keeps_order_distance_and_range() {
        assert_eq!(spread(&[10.0, 50.0], 5.0, 0.0, 100.0), [10.0, 50.0]);
        assert_eq!(spread(&[10.0, 10.0, 10.0], 4.0, 0.0, 100.0), [6.0, 10.0, 14.0]);
        assert_eq!(spread(&[99.0, 100.0], 10.0, 0.0, 100.0), [90.0, 100.0]);
        assert_eq!(spread(&[0.0, 1.0, 2.0], 10.0, 0.0, 100.0), [0.0, 10.0, 20.0]);
        let placed = spread(&[0.0, 20.0, 21.0, 22.0, 90.0, 95.0, 95.0], 12.0, 0.0, 100.0);
        assert!(placed.windows(2).all(|pair| pair[1] - pair[0] >= 12.0 - 1e-9), "{placed:?}");
    }

    #[test]
    fn labels_keep_clear_of_curves_and_of_each_other() {
        let bounds = Rect { left: 0.0, top: 0.0, right: 400.0, bottom: 200.0 };
        let mut placer = Placer::new(bounds);
        placer.keep_curve(&[Point::new(0.0, 100.0), Point::new(400.0, 100.0)]);
        let mut scene = Scene::new(400.0, 200.0);
        // six is what this room takes when all of them name one point
        for i in 0..6 {
            let label = Label::headed(format!("label {i}"), "with a second line");
            assert!(placer.put(&mut scene, Point::new(200.0, 100.0), 0.75, &[label]), "label {i}");
        }
        for (i, a) in placer.taken.iter().enumerate() {
            assert!(bounds.holds(*a) && !a.is_crossed(Point::new(0.0, 100.0), Point::new(400.0, 100.0)));
            assert!(placer.taken[i + 1..].iter().all(|b| !a.overlaps(*b)));
        }
        // no room left for a very wide one, but for its short form
        let wide = Label::plain("w".repeat(60));
        assert!(!placer.put(&mut scene, Point::new(200.0, 100.0), 0.0, &[wide]));
    }
}
