//! The net lift with the wing empty over time: against the swim-up limit below, and against zero above, where the diver
//! would not stay down.

use crate::findings::{Beyond, Extreme, SwimUp};
use crate::report::chart::dive::OTHER;
use crate::report::chart::panel::{Axis, Panel};
use crate::report::chart::place::{Label, Placer};
use crate::report::chart::scene::Scene;
use crate::report::chart::shape::{self, Point, Rect};
use crate::report::chart::style::{
    BLACK, BLUE, Dash, GREEN_TEXT, INK, ORANGE, PAPER, PURPLE, Rgb, SMALL_PX, Stroke, VERMILION, VERMILION_TEXT,
};
use crate::report::chart::timeline::{column, watch};
use crate::report::chart::{Compared, Facts, font, hatch};
use crate::report::fins::{self, Fins};
use crate::report::measure::Quantity;

/// A load that differs from the net lift by less than this does not show, px.
const VISIBLE_PX: f64 = 2.0;
/// Height of the bar that marks a time beyond the limit, px.
const BAR_PX: f64 = 5.0;
/// Distance of the lines that hatch what is beyond a limit, px.
const HATCH_PX: f64 = 9.0;
/// Paler vermilion, not a transparent one: every transparent line would cost the PNG a layer of its own.
const HATCH: Stroke = Stroke::solid(Rgb(0xE2, 0x8E, 0x4D), 1.0);
/// At most so many times beyond the limit are named; all are shaded.
const NAMED_SPANS: usize = 3;
/// The stop at reserve is drawn at least so wide, px: a profile may only pass through it.
const RESERVE_PX: f64 = 16.0;

/// The panel.
pub(super) struct Lift<'a> {
    /// Its axes.
    pub panel: Panel,
    facts: &'a Facts<'a>,
    bare: Vec<Point>,
    /// lowest net lift on the way straight up, where it differs visibly
    load: Option<Vec<Point>>,
    /// name and net lift of another plan
    other: Option<(&'a str, Vec<Point>)>,
    limit: f64,
}

impl<'a> Lift<'a> {
    /// Lays it out.
    pub fn new(facts: &'a Facts<'a>, rect: Rect, x: &Axis, other: Option<(&Compared<'a>, &Facts<'a>)>) -> Self {
        let units = facts.units;
        let wing = &facts.findings.failed_wing;
        let bare = column(facts, Quantity::Mass, |i| facts.rows.samples()[i].bare_kg);
        let load = column(facts, Quantity::Mass, |i| -facts.rows.loads_kg[i]);
        let limit = -units.value(Quantity::Mass, wing.capacity_kg);
        let reserve = units.value(Quantity::Mass, facts.findings.last_hold().at_reserve.bare_kg);
        let title = format!("net lift with the wing empty, {} (+ floats, − sinks)", units.symbol(Quantity::Mass));
        let other = other
            .map(|(named, other)| (named.label, column(other, Quantity::Mass, |i| other.rows.samples()[i].bare_kg)));
        let theirs = other.iter().flat_map(|(_, column)| column);
        let values = bare.iter().chain(&load).chain(theirs).map(|(_, kg)| *kg).chain([0.0, limit, reserve]);
        let mut y = Axis { signed: true, ..Axis::covering(title, values, 0.0) };
        // room for the labels above and below
        let span = y.high - y.low;
        (y.low, y.high) = (y.low - 0.14 * span, y.high + 0.12 * span);
        let panel = Panel { rect, x: x.clone(), y };
        let points = |column: &[(f64, f64)]| column.iter().map(|(t, kg)| panel.at(*t, *kg)).collect::<Vec<_>>();
        let (bare, load) = (points(&bare), points(&load));
        let differs = bare.iter().zip(&load).any(|(a, b)| (a.y - b.y).abs() > VISIBLE_PX);
        let other = other.map(|(label, column)| (label, points(&column)));
        Self { facts, bare, load: differs.then_some(load), other, limit, panel }
    }

    /// Left and right side of a time beyond the limit, never narrower than shows.
    fn span_px(&self, span: &Beyond) -> (f64, f64) {
        let at = |time_s: f64| self.panel.at_x(self.facts.units.value(Quantity::Duration, time_s));
        let (left, right) = (at(span.start_s), at(span.end_s));
        let widen = (0.5 * (2.0 - (right - left))).max(0.0);
        ((left - widen).max(self.panel.rect.left), (right + widen).min(self.panel.rect.right))
    }

    /// Left and right sides of all times beyond the limit.
    pub fn spans_px(&self) -> Vec<(f64, f64)> {
        self.facts.findings.failed_wing.whole_beyond().iter().map(|span| self.span_px(span)).collect()
    }

    /// Tint and a bar over the times beyond the limit, hatching over what exceeds it, and the same over the final ascent where
    /// the diver floats and over a last stop at which the diver does.
    pub fn shade(&self, scene: &mut Scene) {
        let rect = self.panel.rect;
        for (left, right) in self.spans_px() {
            scene.fill(Rect { left, right, ..rect }, ORANGE, 0.17);
            scene.fill(Rect { left, right, top: rect.top, bottom: rect.top + BAR_PX }, ORANGE, 1.0);
            let load = self.load.as_ref().unwrap_or(&self.bare);
            hatch::below(scene, self.panel.at_y(self.limit), load, (left, right), HATCH_PX, HATCH);
        }
        let hold = self.facts.findings.last_hold();
        let (reserve, zero) = (self.reserve(), self.panel.at_y(0.0));
        if !self.facts.findings.ascent.lightest.holds() {
            let at = |time_s: f64| self.panel.at_x(self.facts.units.value(Quantity::Duration, time_s));
            let left = at(self.facts.scenario.profile().final_ascent_s());
            let curve = shape::between(&self.bare, left, reserve.right);
            let above: Vec<Point> = curve.iter().map(|point| Point::new(point.x, point.y.min(zero))).collect();
            let base = [Point::new(reserve.right, zero), Point::new(left, zero)];
            scene.area(&above.into_iter().chain(base).collect::<Vec<_>>(), ORANGE, 0.5);
        }
        if !hold.at_reserve.holds() {
            let floats = Rect { bottom: zero, ..reserve };
            scene.fill(floats, ORANGE, 0.3);
            hatch::rect(scene, floats, HATCH_PX, HATCH);
        }
    }

    /// The last stop with cylinders at reserve: from its start to its end, at the net lift that it has then.
    fn reserve(&self) -> Rect {
        let (hold, units) = (self.facts.findings.last_hold(), self.facts.units);
        let at = |time_s: f64| self.panel.at_x(units.value(Quantity::Duration, time_s));
        let (left, right) = (at(hold.start_s), at(hold.end_s));
        let widen = (0.5 * (RESERVE_PX - (right - left))).max(0.0);
        let y = self.panel.at_y(units.value(Quantity::Mass, hold.at_reserve.bare_kg));
        let panel = self.panel.rect;
        let (left, right) = ((left - widen).max(panel.left), (right + widen).min(panel.right));
        Rect { left, right, top: y, bottom: y }
    }

    /// Curves, limits and labels.
    pub fn draw(&self, scene: &mut Scene) {
        let panel = &self.panel;
        let across = |value: f64| {
            [Point::new(panel.rect.left, panel.at_y(value)), Point::new(panel.rect.right, panel.at_y(value))]
        };
        panel.draw_y(scene);
        let mut placer = Placer::new(panel.rect.grown(-2.0));
        placer.keep_clear(Rect { bottom: panel.rect.top + BAR_PX, ..panel.rect });
        let [from, to] = across(0.0);
        scene.line(from, to, Stroke::solid(BLACK, 1.2));
        placer.keep_curve(&[from, to]);
        let [from, to] = across(self.limit);
        scene.line(from, to, Stroke::dashed(VERMILION, 2.0, Dash::Long));
        placer.keep_curve(&[from, to]);
        if let Some(load) = &self.load {
            placer.keep_curve(&scene.curve(load, Stroke::dashed(PURPLE, 1.8, Dash::Dots)));
        }
        if let Some((_, theirs)) = &self.other {
            placer.keep_curve(&scene.curve(theirs, OTHER));
        }
        placer.keep_curve(&scene.curve(&self.bare, Stroke::solid(BLUE, 2.4)));
        let reserve = self.reserve();
        let (from, to) = (Point::new(reserve.left, reserve.top), Point::new(reserve.right, reserve.top));
        scene.line(from, to, Stroke::solid(INK, 2.0));
        placer.keep_curve(&[from, to]);
        for end in [from, to] {
            let (above, below) = (Point::new(end.x, end.y - 5.0), Point::new(end.x, end.y + 5.0));
            scene.line(above, below, Stroke::solid(INK, 2.0));
            placer.keep_curve(&[above, below]);
        }
        self.labels(scene, &mut placer);
    }

    fn labels(&self, scene: &mut Scene, placer: &mut Placer) {
        self.name_points(scene, placer);
        let capacity_kg = self.facts.findings.failed_wing.capacity_kg;
        let limit = Fins::of(self.facts.scenario).limit();
        let limit = format!("{limit} {}", self.facts.units.text(Quantity::Mass, capacity_kg));
        let at = Point::new(self.panel.rect.right - 70.0, self.panel.at_y(self.limit));
        placer.put(scene, at, 0.25, &[Label::plain(limit).coloured(VERMILION_TEXT)]);
        self.name_spans(scene, placer);
        self.name_reserve(scene, placer);
        if let Some((label, theirs)) = &self.other {
            let clean = font::clean(label);
            let variants = [300.0, 200.0, 120.0].map(|room| {
                let short = font::fit(&clean, SMALL_PX, font::Weight::Bold, room);
                Label::bold(short).sized(SMALL_PX).coloured(GREEN_TEXT)
            });
            placer.put(scene, theirs[theirs.len() * 2 / 5], 0.25, &variants);
        }
        if let Some(load) = &self.load {
            // in the middle of where the two curves are well apart
            let gap = |i: &usize| (load[*i].y - self.bare[*i].y).abs();
            let widest = (0..load.len()).map(|i| gap(&i)).fold(0.0, f64::max);
            let apart: Vec<usize> = (0..load.len()).filter(|i| gap(i) >= 0.6 * widest).collect();
            let variants = ["least lift on the way straight up", "least on the way up"].map(Label::plain);
            placer.put(scene, load[apart[apart.len() / 2]], 0.25, &variants.map(|label| label.sized(SMALL_PX)));
        }
    }

    /// Heavy and light point.
    fn name_points(&self, scene: &mut Scene, placer: &mut Placer) {
        let (found, units) = (self.facts.findings, self.facts.units);
        let points = [("heavy point", &found.heavy, 0.25, true), ("light point", &found.light, 0.75, false)];
        for (_, at, _, heavy) in points {
            let mark = self.mark(at);
            scene.disc(mark, 6.5, PAPER);
            let floats = !heavy && at.bare_kg > 0.0;
            scene.disc(mark, 5.0, if floats { VERMILION } else { INK });
            if !heavy {
                scene.disc(mark, 2.8, PAPER); // a ring, so that the two differ in grey
            }
            placer.keep_clear(Rect { left: mark.x, right: mark.x, top: mark.y, bottom: mark.y }.grown(6.0));
        }
        for (name, at, prefer, _) in points {
            let value = units.signed_text(Quantity::Mass, at.bare_kg);
            let place = format!("{}, {}", watch(self.facts).text(at.time_s), units.text(Quantity::Length, at.depth_m));
            let variants = [
                Label::headed(format!("{name} {value}"), place),
                Label::headed(name, value.clone()),
                Label::plain(format!("{name} {value}")).sized(SMALL_PX),
            ];
            placer.put(scene, self.mark(at), prefer, &variants);
        }
    }

    /// What the title says of the last stop at reserve.
    fn name_reserve(&self, scene: &mut Scene, placer: &mut Placer) {
        let (units, stop) = (self.facts.units, self.facts.findings.last_hold());
        let hold = stop.at_reserve;
        let margin = units.text(Quantity::Mass, hold.bare_kg.abs());
        let (says, colour) = match hold.holds() {
            true => (format!("{margin} to spare"), INK),
            false if fins::is_under(self.facts.scenario, stop.start_s, stop.end_s) => {
                (format!("at the ceiling, {margin} too light"), VERMILION_TEXT)
            }
            false => (format!("floats, {margin} too light"), VERMILION_TEXT),
        };
        let variants = [
            Label::headed("cylinders at reserve", says.clone()),
            Label::headed("at reserve", says.clone()),
            Label::plain(format!("at reserve {says}")),
        ];
        let reserve = self.reserve();
        placer.put(
            scene,
            Point::new(reserve.left, reserve.top),
            0.5,
            &variants.map(|label| label.sized(SMALL_PX).coloured(colour)),
        );
    }

    fn mark(&self, at: &Extreme) -> Point {
        let units = self.facts.units;
        self.panel.at(units.value(Quantity::Duration, at.time_s), units.value(Quantity::Mass, at.bare_kg))
    }

    fn name_spans(&self, scene: &mut Scene, placer: &mut Placer) {
        let watch = watch(self.facts);
        let mut spans: Vec<Beyond> = self.facts.findings.failed_wing.whole_beyond();
        spans.sort_by(|a, b| (b.end_s - b.start_s).total_cmp(&(a.end_s - a.start_s)));
        for span in spans.into_iter().take(NAMED_SPANS) {
            let (left, right) = self.span_px(&span);
            let times = format!("{} to {}", watch.number(span.start_s), watch.text(span.end_s));
            let ditch = match span.verdict {
                SwimUp::Cannot => "even after ditching",
                SwimUp::AfterDitching | SwimUp::CanSwim => "within it after ditching",
            };
            let variants = [
                Label::headed("beyond the limit", format!("{times}, {ditch}")),
                Label::headed("beyond the limit", times.clone()),
                Label::plain(format!("beyond {times}")),
            ]
            .map(|label| label.sized(SMALL_PX));
            // inside a wide span, else beside it
            let is_wide = right - left > variants[0].extent().0 + 20.0;
            let x = if is_wide { left - 3.0 } else { right };
            let y = self.panel.rect.top + BAR_PX + 0.5 * variants[0].extent().1 + 6.0;
            placer.put(scene, Point::new(x, y), 0.0, &variants);
        }
    }
}
