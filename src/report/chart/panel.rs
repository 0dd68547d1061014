//! The frame of a figure: panels with axes, and the map from values to pixels.

use crate::report::chart::font::{self, Weight};
use crate::report::chart::scene::{Anchor, Scene, Text};
use crate::report::chart::shape::{Point, Rect};
use crate::report::chart::style::{BODY_PX, GRID, INK, RULE, SMALL_PX, SOFT, Stroke};
use crate::report::measure::fixed;

/// Width of every figure, px.
pub(super) const WIDTH: f64 = 800.0;
/// Free space at the left and right edge of the picture, px.
pub(super) const EDGE: f64 = 16.0;
/// Left side of the panels: tick labels stand between it and the edge, px.
pub(super) const LEFT: f64 = 64.0;

/// An axis: what it shows in which unit, and its range in that unit.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Axis {
    /// Name and unit.
    pub title: String,
    pub low: f64,
    pub high: f64,
    /// Plus signs on positive ticks.
    pub signed: bool,
    /// Low values on top.
    pub downwards: bool,
    /// How many of it the labels count as one: 60 where minutes are told in hours.
    pub per_label: f64,
}

impl Axis {
    /// An axis from one value to another.
    pub fn between(title: impl Into<String>, low: f64, high: f64) -> Self {
        Self { title: title.into(), low, high, signed: false, downwards: false, per_label: 1.0 }
    }

    /// An axis that covers values, with a little room beyond them.
    pub fn covering(title: impl Into<String>, values: impl IntoIterator<Item = f64>, room_frac: f64) -> Self {
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for value in values.into_iter().filter(|value| value.is_finite()) {
            (low, high) = (low.min(value), high.max(value));
        }
        if low > high {
            (low, high) = (0.0, 1.0);
        }
        let span = (high - low).max(1e-3 * high.abs().max(low.abs())).max(1e-9);
        let room = if high - low < 1e-9 { 0.5_f64.max(0.1 * span) } else { room_frac * span };
        // an end at zero stays there
        let low = if low == 0.0 { 0.0 } else { low - room };
        Self::between(title, low, high + room)
    }

    /// Round values about `count` of which fit the range.
    pub fn ticks(&self, count: usize) -> Vec<f64> {
        let step = round_step((self.high - self.low) / count.max(1) as f64, &[1.0, 2.0, 5.0, 10.0]);
        multiples(step, self.low, self.high)
    }

    /// Round times in minutes: halves and quarters of hours on long axes.
    pub fn minute_ticks(&self, count: usize) -> Vec<f64> {
        let least = (self.high - self.low) / count.max(1) as f64;
        let step = match least {
            l if l <= 2.0 => round_step(l, &[1.0, 2.0, 5.0, 10.0]),
            l => [5.0, 10.0, 15.0, 20.0, 30.0, 60.0, 120.0, 240.0].into_iter().find(|s| *s >= l).unwrap_or(480.0),
        };
        multiples(step, self.low, self.high)
    }
}

/// The least `m·10ⁿ` that is not below `least`.
fn round_step(least: f64, steps: &[f64]) -> f64 {
    let power = 10f64.powf(least.log10().floor());
    steps.iter().map(|m| m * power).find(|step| *step >= least * (1.0 - 1e-9)).unwrap_or(10.0 * power)
}

fn multiples(step: f64, low: f64, high: f64) -> Vec<f64> {
    let first = (low / step - 1e-6).ceil() as i64;
    let last = (high / step + 1e-6).floor() as i64;
    (first..=last.min(first + 60)).map(|i| i as f64 * step).collect()
}

/// Tick labels with as many decimals as the step needs.
fn tick_texts(ticks: &[f64], signed: bool) -> Vec<String> {
    let step = if ticks.len() > 1 { ticks[1] - ticks[0] } else { ticks.first().copied().unwrap_or(1.0).abs() };
    let decimals = if step > 0.0 { (-(step + 1e-12).log10()).ceil().clamp(0.0, 6.0) as usize } else { 0 };
    let decimals = if step >= 1.0 && (step - step.round()).abs() > 1e-6 { 1 } else { decimals };
    let sign = |value: &f64| if signed && *value > 0.5 * step { "+" } else { "" };
    ticks.iter().map(|value| format!("{}{}", sign(value), fixed(*value, decimals))).collect()
}

/// A panel: a rectangle with two axes.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Panel {
    pub rect: Rect,
    pub x: Axis,
    pub y: Axis,
}

impl Panel {
    pub fn at_x(&self, x: f64) -> f64 {
        self.rect.left + (x - self.x.low) / (self.x.high - self.x.low) * self.rect.width()
    }

    pub fn at_y(&self, y: f64) -> f64 {
        let share = (y - self.y.low) / (self.y.high - self.y.low);
        if self.y.downwards {
            self.rect.top + share * self.rect.height()
        } else {
            self.rect.bottom - share * self.rect.height()
        }
    }

    pub fn at(&self, x: f64, y: f64) -> Point {
        Point::new(self.at_x(x), self.at_y(y))
    }

    /// Grid, tick labels and the title of the vertical axis, which stands above the panel.
    pub fn draw_y(&self, scene: &mut Scene) {
        let ticks = self.y.ticks(((self.rect.height() / 32.0) as usize).clamp(2, 7));
        let small = SMALL_PX;
        for (tick, text) in ticks.iter().zip(tick_texts(&ticks, self.y.signed)) {
            let y = self.at_y(*tick);
            scene.line(Point::new(self.rect.left, y), Point::new(self.rect.right, y), Stroke::solid(GRID, 1.0));
            scene.text(Text {
                at: Point::new(self.rect.left - 9.0, y + 0.36 * small),
                anchor: Anchor::End,
                size: small,
                weight: Weight::Regular,
                colour: SOFT,
                text,
            });
        }
        scene.text(Text {
            at: Point::new(EDGE, self.rect.top - 12.0),
            anchor: Anchor::Start,
            size: BODY_PX,
            weight: Weight::Bold,
            colour: INK,
            text: font::fit(&self.y.title, BODY_PX, Weight::Bold, scene.width - 2.0 * EDGE),
        });
    }

    /// Tick labels and the title of a second vertical axis, on the right: another measure of the same thing, `ratio` of it
    /// for one of the first.
    pub fn draw_right(&self, scene: &mut Scene, title: &str, ratio: f64) {
        let second = Axis { low: ratio * self.y.low, high: ratio * self.y.high, ..self.y.clone() };
        let ticks = second.ticks(((self.rect.height() / 32.0) as usize).clamp(2, 7));
        let right = self.rect.right;
        for (tick, text) in ticks.iter().zip(tick_texts(&ticks, second.signed)) {
            let y = self.at_y(tick / ratio);
            scene.line(Point::new(right, y), Point::new(right + 4.0, y), Stroke::solid(RULE, 1.0));
            let at = Point::new(right + 9.0, y + 0.36 * SMALL_PX);
            let (size, weight) = (SMALL_PX, Weight::Regular);
            scene.text(Text { at, anchor: Anchor::Start, size, weight, colour: SOFT, text });
        }
        scene.line(Point::new(right, self.rect.top), Point::new(right, self.rect.bottom), Stroke::solid(RULE, 1.0));
        scene.text(Text {
            at: Point::new(right + 9.0, self.rect.top - 12.0),
            anchor: Anchor::Middle,
            size: BODY_PX,
            weight: Weight::Bold,
            colour: INK,
            text: title.to_owned(),
        });
    }

    /// Upright grid lines.
    pub fn draw_x_grid(&self, scene: &mut Scene, ticks: &[f64]) {
        for tick in ticks {
            let x = self.at_x(*tick);
            scene.line(Point::new(x, self.rect.top), Point::new(x, self.rect.bottom), Stroke::solid(GRID, 1.0));
        }
    }

    /// Ticks, labels and the title of the horizontal axis, below the panel.
    pub fn draw_x(&self, scene: &mut Scene, ticks: &[f64]) {
        let (bottom, small) = (self.rect.bottom, SMALL_PX);
        scene.line(Point::new(self.rect.left, bottom), Point::new(self.rect.right, bottom), Stroke::solid(RULE, 1.0));
        let mut text = |x: f64, y: f64, size: f64, text: String| {
            let (weight, colour) = if size == BODY_PX { (Weight::Bold, INK) } else { (Weight::Regular, SOFT) };
            scene.text(Text { at: Point::new(x, y), anchor: Anchor::Middle, size, weight, colour, text });
        };
        let told: Vec<f64> = ticks.iter().map(|tick| tick / self.x.per_label).collect();
        for (tick, label) in ticks.iter().zip(tick_texts(&told, self.x.signed)) {
            text(self.at_x(*tick), bottom + 18.0, small, label);
        }
        let title = font::fit(&self.x.title, BODY_PX, Weight::Bold, self.rect.width());
        text(0.5 * (self.rect.left + self.rect.right), bottom + 38.0, BODY_PX, title);
        for tick in ticks {
            let x = self.at_x(*tick);
            scene.line(Point::new(x, bottom), Point::new(x, bottom + 4.0), Stroke::solid(RULE, 1.0));
        }
    }

    /// The part of a curve below the upper end of the vertical axis, in pixels, cut where it leaves.
    pub fn clipped(&self, points: &[(f64, f64)]) -> Vec<Vec<Point>> {
        let inside = |y: f64| y <= self.y.high && y >= self.y.low;
        let edge = |a: (f64, f64), b: (f64, f64)| {
            let limit = if a.1 > self.y.high || b.1 > self.y.high { self.y.high } else { self.y.low };
            self.at(a.0 + (limit - a.1) / (b.1 - a.1) * (b.0 - a.0), limit)
        };
        let mut runs: Vec<Vec<Point>> = Vec::new();
        let mut run: Vec<Point> = Vec::new();
        for (i, point) in points.iter().enumerate() {
            let before = i.checked_sub(1).map(|i| points[i]);
            if inside(point.1) {
                run.extend(before.filter(|b| !inside(b.1)).map(|b| edge(b, *point)));
                run.push(self.at(point.0, point.1));
            } else if !run.is_empty() {
                run.extend(before.map(|b| edge(b, *point)));
                runs.push(std::mem::take(&mut run));
            }
        }
        runs.extend((!run.is_empty()).then_some(run));
        runs
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round() {
        let axis = Axis { signed: true, ..Axis::between("", -8.4, 1.3) };
        assert_eq!(tick_texts(&axis.ticks(6), true), ["−8", "−6", "−4", "−2", "0"]);
        let axis = Axis { low: 0.0, high: 0.9, ..axis };
        assert_eq!(tick_texts(&axis.ticks(5), true), ["0.0", "+0.2", "+0.4", "+0.6", "+0.8"]);
        let axis = Axis { high: 71.2, ..axis };
        assert_eq!(axis.minute_ticks(9), [0.0, 10.0, 20.0, 30.0, 40.0, 50.0, 60.0, 70.0]);
        assert_eq!(Axis { high: 130.0, ..axis }.minute_ticks(9).len(), 9);
    }

    #[test]
    fn axes_cover_odd_values() {
        assert_eq!(Axis::covering("", [], 0.1).high, 1.1);
        let flat = Axis::covering("", [3.0, 3.0], 0.1);
        assert!(flat.low < 3.0 && flat.high > 3.0);
        let nan = Axis::covering("", [f64::NAN, 2.0, 0.0], 0.1);
        assert!(nan.low == 0.0 && (nan.high - 2.2).abs() < 1e-12);
    }

    #[test]
    fn curves_are_cut_at_the_top() {
        let axis = |high| Axis::between("", 0.0, high);
        let rect = Rect { left: 0.0, top: 0.0, right: 100.0, bottom: 100.0 };
        let panel = Panel { rect, x: axis(10.0), y: axis(10.0) };
        let runs = panel.clipped(&[(0.0, 5.0), (5.0, 15.0), (10.0, 5.0)]);
        assert_eq!(runs.len(), 2);
        assert_eq!(*runs[0].last().unwrap(), Point::new(25.0, 0.0));
        assert_eq!(runs[1][0], Point::new(75.0, 0.0));
    }
}
