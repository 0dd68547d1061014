//! Slanted lines, which show in grey what a tint shows in colour.

use crate::report::chart::scene::Scene;
use crate::report::chart::shape::{Point, Rect};
use crate::report::chart::style::Stroke;

/// Lines across a rectangle, `gap_px` apart.
pub(super) fn rect(scene: &mut Scene, rect: Rect, gap_px: f64, stroke: Stroke) {
    // lines x + y = c, cut to the rectangle
    let mut c = ((rect.left + rect.top) / gap_px).ceil() * gap_px;
    while c < rect.right + rect.bottom {
        let (x0, x1) = ((c - rect.bottom).max(rect.left), (c - rect.top).min(rect.right));
        scene.line(Point::new(x0, c - x0), Point::new(x1, c - x1), stroke);
        c += gap_px;
    }
}

/// Lines between an upper edge and a curve below it, from `left` to `right`, `gap_px` apart.
pub(super) fn below(scene: &mut Scene, top: f64, curve: &[Point], span: (f64, f64), gap_px: f64, stroke: Stroke) {
    let edge = [Point::new(span.0, top), Point::new(span.1, top)];
    between(scene, [&edge, curve], span, gap_px, stroke);
}

/// Height of a curve at a place; before and after it, that of its ends.
fn height(curve: &[Point], x: f64) -> f64 {
    let i = curve.partition_point(|point| point.x < x).clamp(1, curve.len().max(2) - 1);
    match (curve.get(i - 1), curve.get(i)) {
        (Some(a), Some(b)) if b.x > a.x => a.y + (x - a.x) / (b.x - a.x) * (b.y - a.y),
        (Some(a), _) => a.y,
        _ => 0.0,
    }
}

/// Lines between an upper and a lower curve, where the one is above the other.
pub(super) fn between(
    scene: &mut Scene,
    [upper, lower]: [&[Point]; 2],
    (left, right): (f64, f64),
    gap_px: f64,
    stroke: Stroke,
) {
    let top = upper.iter().map(|point| point.y).fold(f64::INFINITY, f64::min);
    let bottom = lower.iter().map(|point| point.y).fold(top, f64::max);
    let mut c = left + top;
    while c < right + bottom {
        // the line x + y = c, walked a pixel at a time
        let mut from: Option<f64> = None;
        let (first, last) = ((c - bottom).max(left), (c - top).min(right));
        for step in 0..=((last - first).max(0.0) as usize) {
            let x = first + step as f64;
            let is_inside = c - x <= height(lower, x) && c - x >= height(upper, x);
            match (is_inside, from) {
                (true, None) => from = Some(x),
                (false, Some(start)) => {
                    scene.line(Point::new(start, c - start), Point::new(x, c - x), stroke);
                    from = None;
                }
                _ => {}
            }
        }
        if let Some(start) = from.filter(|start| last > *start) {
            scene.line(Point::new(start, c - start), Point::new(last, c - last), stroke);
        }
        c += gap_px;
    }
}
