//! Curves named at their right ends instead of in a legend.

use crate::report::chart::font::{self, LEADING_EM, Weight};
use crate::report::chart::panel::Panel;
use crate::report::chart::place::spread;
use crate::report::chart::scene::{Anchor, Scene, Text};
use crate::report::chart::shape::Point;
use crate::report::chart::style::{INK, RULE, SMALL_PX, SOFT, Stroke};
use crate::report::chart::title::wrap;

/// Widest name, px.
const NAME_PX: f64 = 170.0;
/// Length of the piece of the curve that stands before the name, px: one turn of the longest dash pattern.
const SWATCH_PX: f64 = 30.0;
/// From the panel to the swatch, px: room for the leader.
const LEADER_PX: f64 = 16.0;
const GAP_PX: f64 = 6.0;

/// A curve's end.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct End {
    /// Last point of the curve, if it reaches the right side of the panel.
    pub at: Option<Point>,
    /// Height at which the name would stand best, px.
    pub wanted_y: f64,
    pub stroke: Stroke,
    pub name: String,
    /// A number or remark below the name.
    pub remark: String,
}

/// How the names are set: in one or two lines each, and how wide the margin is.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Ends {
    rows: Vec<Vec<(String, Weight)>>,
    /// Width of the margin to the right of the panel, px.
    pub margin: f64,
    size: f64,
}

impl Ends {
    /// Sets names and remarks so that all of them fit into `height` px.
    pub fn set(texts: &[(String, String)], height: f64) -> Self {
        let mut size = SMALL_PX;
        let two_lines = texts.len() as f64 * 2.35 * LEADING_EM * size <= height;
        if !two_lines {
            size = (height / texts.len().max(1) as f64 / LEADING_EM / 1.05).clamp(9.0, SMALL_PX);
        }
        let three_lines = texts.len() as f64 * 3.35 * LEADING_EM * size <= height;
        let rows: Vec<Vec<_>> = texts
            .iter()
            .map(|(name, remark)| {
                let name = font::clean(name);
                if two_lines {
                    if three_lines && font::width(&name, size, Weight::Bold) > NAME_PX {
                        let name =
                            wrap(&name, size, Weight::Bold, NAME_PX, 2).into_iter().map(|row| (row, Weight::Bold));
                        let remark = font::fit(remark, size, Weight::Regular, NAME_PX);
                        return name.chain((!remark.is_empty()).then_some((remark, Weight::Regular))).collect();
                    }
                    let name = font::fit(&name, size, Weight::Bold, NAME_PX);
                    let remark = font::fit(remark, size, Weight::Regular, NAME_PX);
                    [(name, Weight::Bold), (remark, Weight::Regular)]
                        .into_iter()
                        .filter(|(t, _)| !t.is_empty())
                        .collect()
                } else {
                    let room = NAME_PX - font::width(&format!(" {remark}"), size, Weight::Regular).min(0.6 * NAME_PX);
                    let name = font::fit(&name, size, Weight::Regular, room);
                    vec![(format!("{name} {remark}").trim_end().to_owned(), Weight::Regular)]
                }
            })
            .collect();
        let widest = rows.iter().flatten().map(|(t, w)| font::width(t, size, *w)).fold(40.0, f64::max);
        // a wider typeface than ours must fit as well
        let margin = LEADER_PX + SWATCH_PX + GAP_PX + 1.06 * widest + 12.0;
        Self { rows, margin, size }
    }

    /// Draws the names beside a panel.
    pub fn draw(&self, scene: &mut Scene, panel: &Panel, ends: &[End]) {
        let line = LEADING_EM * self.size;
        let tallest = self.rows.iter().map(Vec::len).max().unwrap_or(1) as f64;
        let gap = if tallest > 1.0 { (tallest + 0.35) * line } else { 1.05 * line };
        let mut order: Vec<usize> = (0..ends.len()).collect();
        order.sort_by(|a, b| ends[*a].wanted_y.total_cmp(&ends[*b].wanted_y));
        let wanted: Vec<f64> = order.iter().map(|i| ends[*i].wanted_y).collect();
        let half = 0.5 * tallest * line;
        let placed = spread(&wanted, gap, panel.rect.top - 14.0 + half, panel.rect.bottom + 8.0 - half);
        for (i, y) in order.into_iter().zip(placed) {
            let end = &ends[i];
            let left = panel.rect.right + LEADER_PX;
            if let Some(at) = end.at {
                let from = Point::new(at.x + 1.0, at.y);
                scene.line(from, Point::new(left - 2.0, y), Stroke::solid(RULE, 0.8));
            }
            scene.line(Point::new(left, y), Point::new(left + SWATCH_PX, y), end.stroke);
            let rows = &self.rows[i];
            let first = y - 0.5 * (rows.len() - 1) as f64 * line + 0.36 * self.size;
            for (row, (text, weight)) in rows.iter().enumerate() {
                scene.text(Text {
                    at: Point::new(left + SWATCH_PX + GAP_PX, first + row as f64 * line),
                    anchor: Anchor::Start,
                    size: self.size,
                    weight: *weight,
                    colour: if *weight == Weight::Bold || row == 0 { INK } else { SOFT },
                    text: text.clone(),
                });
            }
        }
    }
}
