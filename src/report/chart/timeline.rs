//! What the figures over the time of a dive share: the time axis, the strip of depth, words for moments.

use crate::profile::Move;
use crate::report::chart::Facts;
use crate::report::chart::panel::{Axis, Panel};
use crate::report::chart::place::{Label, Placer};
use crate::report::chart::scene::Scene;
use crate::report::chart::shape::{Point, Rect};
use crate::report::chart::style::{BLUE, Dash, INK, RULE, SKY, SMALL_PX, SOFT, Stroke};
use crate::report::chart::{font, style};
use crate::report::measure::{Quantity, clock};
use crate::sim::Happening;

/// Leg ticks closer than this to the one before are left out, px.
const TICK_GAP_PX: f64 = 3.0;
/// With more legs than this the ticks would be a comb that says nothing, and are left out.
const TICKED_LEGS: usize = 100;

/// The time axis of a dive, in minutes.
pub(super) fn time_axis(facts: &Facts<'_>) -> Axis {
    let end = facts.units.value(Quantity::Duration, facts.rows.last().time_s);
    let high = if end > 0.0 { end } else { 1.0 };
    Axis { title: "time, min".into(), low: 0.0, high, signed: false, downwards: false }
}

/// A column of the trace against time, in the reader's units.
pub(super) fn column(facts: &Facts<'_>, quantity: Quantity, si: impl Fn(usize) -> f64) -> Vec<(f64, f64)> {
    let time = |s: f64| facts.units.value(Quantity::Duration, s);
    (0..facts.rows.samples().len())
        .map(|i| (time(facts.rows.samples()[i].time_s), facts.units.value(quantity, si(i))))
        .collect()
}

/// A minute for a title: whole where that says enough.
pub(super) fn minute(time_s: f64) -> String {
    if time_s < 180.0 { clock(time_s) } else { format!("{:.0}", time_s / 60.0) }
}

/// The panel of depth over time: water, profile, leg ticks.
pub(super) fn depth_panel(scene: &mut Scene, facts: &Facts<'_>, rect: Rect, x: &Axis) -> (Panel, Vec<Point>) {
    let units = facts.units;
    let depths = column(facts, Quantity::Length, |i| facts.rows.samples()[i].depth_m);
    let title = format!("depth, {}", units.symbol(Quantity::Length));
    let deepest = depths.iter().map(|(_, depth)| *depth).fold(0.0, f64::max);
    // room for the names of cylinders that come and go
    let has_moves = !facts.scenario.profile().changes().is_empty();
    let axis = Axis { downwards: true, ..Axis::covering(title, [0.0, deepest], if has_moves { 0.28 } else { 0.1 }) };
    let panel = Panel { rect, x: x.clone(), y: axis };
    let points: Vec<_> = depths.iter().map(|(time, depth)| panel.at(*time, *depth)).collect();
    let mut water = points.clone();
    water.extend([Point::new(points[points.len() - 1].x, rect.top), Point::new(points[0].x, rect.top)]);
    scene.area(&water, SKY, 0.16);
    panel.draw_y(scene);
    let drawn = scene.curve(&points, Stroke::solid(BLUE, 2.0));
    leg_ticks(scene, facts, &panel);
    if points.len() == 1 {
        scene.disc(points[0], 4.0, BLUE);
    }
    (panel, drawn)
}

/// Thin ticks where legs end, on the lower edge of a panel.
fn leg_ticks(scene: &mut Scene, facts: &Facts<'_>, panel: &Panel) {
    let y = panel.rect.bottom;
    scene.line(Point::new(panel.rect.left, y), Point::new(panel.rect.right, y), Stroke::solid(RULE, 1.0));
    let legs = facts.scenario.profile().legs();
    let mut last = f64::NEG_INFINITY;
    for leg in legs.iter().filter(|_| legs.len() <= TICKED_LEGS) {
        let x = panel.at_x(facts.units.value(Quantity::Duration, leg.end_s));
        if x - last >= TICK_GAP_PX {
            scene.line(Point::new(x, y), Point::new(x, y + 6.0), Stroke::solid(SOFT, 1.0));
            last = x;
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
    let kinds: [(&str, IsKind); 3] = [
        ("out of gas", |what| matches!(what, Happening::OutOfGas { .. })),
        ("wing falls short", |what| matches!(what, Happening::WingShort)),
        ("suit supply empty", |what| matches!(what, Happening::SuitSupplyEmpty)),
    ];
    for (name, is_kind) in kinds {
        let Some(event) = facts.events.iter().find(|event| is_kind(&event.what)) else { continue };
        let time = facts.units.value(Quantity::Duration, event.time_s);
        let at = panel.at(time, facts.units.value(Quantity::Length, event.depth_m));
        for (dx, dy) in [(5.0, 5.0), (5.0, -5.0)] {
            let (from, to) = (Point::new(at.x - dx, at.y - dy), Point::new(at.x + dx, at.y + dy));
            scene.line(from, to, Stroke::solid(style::PAPER, 5.0));
            scene.line(from, to, Stroke::solid(INK, 2.2));
        }
        placer.keep_clear(Rect { left: at.x, right: at.x, top: at.y, bottom: at.y }.grown(6.0));
        let variants = [format!("{name} at {} min", clock(event.time_s)), name.to_owned()];
        placer.put(scene, at, 0.25, &variants.map(|text| Label::bold(text).sized(SMALL_PX)));
    }
}

fn triangle(scene: &mut Scene, at: Point, up: bool) {
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
