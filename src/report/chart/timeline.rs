//! What the figures over the time of a dive share: the time axis, the strip of depth, words for moments.

use crate::profile::Move;
use crate::report::chart::Facts;
use crate::report::chart::panel::{Axis, Panel};
use crate::report::chart::place::{Label, Placer};
use crate::report::chart::scene::Scene;
use crate::report::chart::shape::{self, Point, Rect};
use crate::report::chart::style::{BLUE, Dash, INK, RULE, SKY, SMALL_PX, SOFT, Stroke};
use crate::report::chart::{font, style};
use crate::report::measure::{LONG_S, Quantity, about, clock};
use crate::sim::Happening;
use crate::units::MINUTE_S;

/// Dots where legs end that are closer than this to the one before are left out, px.
const LEG_GAP_PX: f64 = 5.0;
/// With more legs than this their ends would be a row of pearls that says nothing, and are left out.
const DOTTED_LEGS: usize = 100;

/// How the time of a dive is told: in minutes, or in hours where that reads better.
#[derive(Clone, Copy, Debug)]
pub(super) struct Watch {
    end_s: f64,
}

impl Watch {
    /// For a dive of this length.
    pub fn of(end_s: f64) -> Self {
        Self { end_s }
    }

    fn is_long(self) -> bool {
        self.end_s > LONG_S
    }

    /// The axis, in minutes whatever its labels say.
    pub fn axis(self) -> Axis {
        let high = if self.end_s > 0.0 { self.end_s / MINUTE_S } else { 1.0 };
        let (title, per_label) = if self.is_long() { ("time, h", 60.0) } else { ("time, min", 1.0) };
        Axis { per_label, ..Axis::between(title, 0.0, high) }
    }

    /// A moment without its unit: `65:30`, or `6:52` on a long dive.
    pub fn number(self, time_s: f64) -> String {
        if self.is_long() { clock(time_s / 60.0) } else { clock(time_s) }
    }

    /// The unit that belongs behind it.
    pub fn unit(self) -> &'static str {
        if self.is_long() { "h" } else { "min" }
    }

    /// A moment with its unit.
    pub fn text(self, time_s: f64) -> String {
        format!("{} {}", self.number(time_s), self.unit())
    }

    /// A moment for a title, a whole minute where that says enough: `minute 18`, `2:44 min`, `6:52 h`.
    pub fn title(self, time_s: f64) -> String {
        about(time_s, self.end_s)
    }
}

/// How the time of a dive is told.
pub(super) fn watch(facts: &Facts<'_>) -> Watch {
    Watch::of(facts.rows.last().time_s)
}

/// A column of the trace against time, in the reader's units.
pub(super) fn column(facts: &Facts<'_>, quantity: Quantity, si: impl Fn(usize) -> f64) -> Vec<(f64, f64)> {
    let time = |s: f64| facts.units.value(Quantity::Duration, s);
    (0..facts.rows.samples().len())
        .map(|i| (time(facts.rows.samples()[i].time_s), facts.units.value(quantity, si(i))))
        .collect()
}

/// The panel of depth over time: water, profile, ends of legs. Water at the times `warm_px` has another colour.
pub(super) fn depth_panel(
    scene: &mut Scene,
    facts: &Facts<'_>,
    rect: Rect,
    x: &Axis,
    ticks: &[f64],
    warm_px: &[(f64, f64)],
) -> (Panel, Vec<Point>) {
    let units = facts.units;
    let depths = column(facts, Quantity::Length, |i| facts.rows.samples()[i].depth_m);
    let title = format!("depth, {}", units.symbol(Quantity::Length));
    let deepest = depths.iter().map(|(_, depth)| *depth).fold(0.0, f64::max);
    // room for the names of cylinders that come and go
    let has_moves = !facts.scenario.profile().changes().is_empty();
    let axis = Axis { downwards: true, ..Axis::covering(title, [0.0, deepest], if has_moves { 0.28 } else { 0.1 }) };
    let panel = Panel { rect, x: x.clone(), y: axis };
    let points: Vec<_> = depths.iter().map(|(time, depth)| panel.at(*time, *depth)).collect();
    let mut water = |part: &[Point], colour, alpha| {
        let (Some(first), Some(last)) = (part.first(), part.last()) else { return };
        let surface = [Point::new(last.x, rect.top), Point::new(first.x, rect.top)];
        scene.area(&part.iter().copied().chain(surface).collect::<Vec<_>>(), colour, alpha);
    };
    water(&points, SKY, 0.16);
    for (left, right) in warm_px {
        // one colour over another would make a third
        let part = shape::between(&points, *left, *right);
        water(&part, style::PAPER, 1.0);
        water(&part, style::ORANGE, 0.24);
    }
    panel.draw_x_grid(scene, ticks);
    panel.draw_y(scene);
    let drawn = scene.curve(&points, Stroke::solid(BLUE, 2.0));
    leg_ends(scene, facts, &panel);
    if points.len() == 1 {
        scene.disc(points[0], 4.0, BLUE);
    }
    (panel, drawn)
}

/// Dots on the profile where legs end.
fn leg_ends(scene: &mut Scene, facts: &Facts<'_>, panel: &Panel) {
    let legs = facts.scenario.profile().legs();
    let mut last = f64::NEG_INFINITY;
    for leg in legs.iter().filter(|_| legs.len() <= DOTTED_LEGS) {
        let time = facts.units.value(Quantity::Duration, leg.end_s);
        let at = panel.at(time, facts.units.value(Quantity::Length, leg.end_m));
        if at.x - last >= LEG_GAP_PX {
            scene.disc(at, 3.0, BLUE);
            last = at.x;
        }
    }
}

/// Layers of water as thin lines; returns where their names belong, to be put once the rest is in place.
pub(super) fn interfaces(
    scene: &mut Scene,
    placer: &mut Placer,
    facts: &Facts<'_>,
    panel: &Panel,
) -> Vec<(Point, Label)> {
    let water = facts.scenario.water();
    let mut names = Vec::new();
    for layer in 1..water.layer_count() {
        let top_m = water.layer_span_m(layer).0;
        let y = panel.at_y(facts.units.value(Quantity::Length, top_m));
        if y >= panel.rect.bottom {
            continue;
        }
        let (from, to) = (Point::new(panel.rect.left, y), Point::new(panel.rect.right, y));
        scene.line(from, to, Stroke::dashed(SOFT, 1.0, Dash::Dots));
        placer.keep_curve(&[from, to]);
        let density = |layer: usize| water.density_kg_m3(layer, top_m);
        let what = if density(layer) >= density(layer - 1) { "denser" } else { "lighter" };
        let text = format!("{what} water below {}", facts.units.text(Quantity::Length, top_m));
        let at = Point::new(panel.rect.left + 0.45 * panel.rect.width(), y);
        names.push((at, Label::plain(text).sized(SMALL_PX).coloured(SOFT)));
    }
    names
}

/// Word for a cylinder that comes or goes.
pub(super) fn moved(kind: Move) -> &'static str {
    match kind {
        Move::Leave => "left",
        Move::Take => "picked up",
        Move::HandOff => "handed off",
        Move::Receive => "received",
    }
}

/// Cylinders that come and go: a triangle on the profile, pointing down where one goes and up where one comes, a dotted
/// line through `below`, and its name.
pub(super) fn moves(scene: &mut Scene, placer: &mut Placer, facts: &Facts<'_>, panel: &Panel, below: Option<Rect>) {
    let events: Vec<_> = facts
        .events
        .iter()
        .filter_map(|event| match event.what {
            Happening::Moved { cylinder, kind, .. } => Some((event, cylinder, kind)),
            _ => None,
        })
        .collect();
    let marks: Vec<_> = events
        .iter()
        .map(|(event, _, kind)| {
            let time = facts.units.value(Quantity::Duration, event.time_s);
            let point = panel.at(time, facts.units.value(Quantity::Length, event.depth_m));
            if let Some(rect) = below {
                let (from, to) = (Point::new(point.x, rect.top), Point::new(point.x, rect.bottom));
                scene.line(from, to, Stroke::dashed(RULE, 1.0, Dash::Dots));
            }
            triangle(scene, point, kind.is_carried_after());
            placer.keep_clear(Rect { left: point.x, right: point.x, top: point.y, bottom: point.y }.grown(7.0));
            point
        })
        .collect();
    for ((_, cylinder, kind), point) in events.iter().zip(marks) {
        let name = font::clean(facts.scenario.rig().cylinders[*cylinder].name());
        let variants = [200.0, 120.0, 70.0].map(|room| {
            let short = font::fit(&name, SMALL_PX, font::Weight::Regular, room);
            Label::plain(format!("{short} {}", moved(*kind))).sized(SMALL_PX)
        });
        placer.put(scene, point, 0.25, &variants);
    }
}

/// A cross on the profile where gas or wing first fall short, with a word.
pub(super) fn shortages(scene: &mut Scene, placer: &mut Placer, facts: &Facts<'_>, panel: &Panel) {
    type IsKind = fn(&Happening) -> bool;
    let kinds: [(&str, IsKind); 5] = [
        ("out of gas", |what| matches!(what, Happening::OutOfGas { .. })),
        ("oxygen out", |what| matches!(what, Happening::OxygenOut)),
        ("diluent out", |what| matches!(what, Happening::DiluentOut)),
        ("wing falls short", |what| matches!(what, Happening::WingShort)),
        ("suit supply empty", |what| matches!(what, Happening::SuitSupplyEmpty)),
    ];
    for (name, is_kind) in kinds {
        let Some(event) = facts.events.iter().find(|event| is_kind(&event.what)) else { continue };
        let time = facts.units.value(Quantity::Duration, event.time_s);
        let at = panel.at(time, facts.units.value(Quantity::Length, event.depth_m));
        cross(scene, placer, at);
        let variants = [format!("{name} at {}", watch(facts).text(event.time_s)), name.to_owned()];
        placer.put(scene, at, 0.25, &variants.map(|text| Label::bold(text).sized(SMALL_PX)));
    }
}

/// The mark of something that falls short.
pub(super) fn cross(scene: &mut Scene, placer: &mut Placer, at: Point) {
    for (dx, dy) in [(5.0, 5.0), (5.0, -5.0)] {
        let (from, to) = (Point::new(at.x - dx, at.y - dy), Point::new(at.x + dx, at.y + dy));
        scene.line(from, to, Stroke::solid(style::PAPER, 5.0));
        scene.line(from, to, Stroke::solid(INK, 2.2));
    }
    placer.keep_clear(Rect { left: at.x, right: at.x, top: at.y, bottom: at.y }.grown(6.0));
}

/// The mark of a cylinder that comes (pointing up) or goes.
pub(super) fn triangle(scene: &mut Scene, at: Point, up: bool) {
    let sign = if up { -1.0 } else { 1.0 };
    let corners = |r: f64| {
        [
            Point::new(at.x - r, at.y - sign * 0.6 * r),
            Point::new(at.x + r, at.y - sign * 0.6 * r),
            Point::new(at.x, at.y + sign * r),
        ]
    };
    scene.area(&corners(9.0), style::PAPER, 1.0);
    scene.area(&corners(6.5), INK, 1.0);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_dives_are_told_in_hours() {
        let (short, long) = (Watch::of(4180.0), Watch::of(36_000.0));
        assert_eq!((short.text(3930.0), long.text(24_720.0)), ("65:30 min".into(), "6:52 h".into()));
        assert_eq!((short.title(1098.0), short.title(164.0)), ("minute 18".into(), "2:44 min".into()));
        let axis = long.axis();
        assert_eq!((axis.title.as_str(), axis.high), ("time, h", 600.0));
        assert_eq!(axis.minute_ticks(10).len(), 11);
    }
}
