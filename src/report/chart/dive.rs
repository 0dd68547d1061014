//! The dive: depth above, net lift with the wing empty below, and what the diver could not swim up.

use crate::findings::{Beyond, Extreme, SwimUp};
use crate::report::chart::panel::{Axis, LEFT, Panel, WIDTH};
use crate::report::chart::place::{Label, Placer};
use crate::report::chart::scene::Scene;
use crate::report::chart::shape::{Point, Rect};
use crate::report::chart::style::{
    BLACK, BLUE, Dash, GREEN, INK, ORANGE, PAPER, PURPLE, Rgb, SMALL_PX, Stroke, VERMILION,
};
use crate::report::chart::timeline::{column, depth_panel, interfaces, minute, moves, shortages, time_axis};
use crate::report::chart::title::{Heading, heading};
use crate::report::chart::{ChartError, Compared, Facts, Picture, font, hatch};
use crate::report::measure::{Quantity, clock};
use crate::units::MINUTE_S;

const HEIGHT: f64 = 600.0;
/// Free space right of the panels, px.
const RIGHT_PX: f64 = 26.0;
/// A load that differs from the net lift by less than this does not show, px.
const VISIBLE_PX: f64 = 2.0;
/// Height of the bar that marks a time beyond the limit, px.
const BAR_PX: f64 = 5.0;
/// Distance of the lines that hatch the load beyond the limit, px.
const HATCH_PX: f64 = 9.0;
/// Paler vermilion, not a transparent one: every transparent line would cost the PNG a layer of its own.
const HATCH: Stroke = Stroke::solid(Rgb(0xE2, 0x8E, 0x4D), 1.0);
/// At most so many times beyond the limit are named; all are shaded.
const NAMED_SPANS: usize = 3;

/// How the figure is laid out where it does not stand alone.
#[derive(Clone, Copy, Debug)]
pub struct DiveLook<'a> {
    /// Width of the picture, px.
    pub width_px: f64,
    /// Height of the picture, px.
    pub height_px: f64,
    /// Whether title and subject stand in the picture.
    pub has_heading: bool,
    /// Another plan, whose depth and net lift are drawn as thinner lines.
    pub other: Option<Compared<'a>>,
}

/// Draws it to stand alone.
pub(super) fn draw(facts: &Facts<'_>) -> Result<Picture, ChartError> {
    let alone = DiveLook { width_px: WIDTH, height_px: HEIGHT, has_heading: true, other: None };
    Ok(dive(facts, &alone))
}

/// Draws the dive to be part of something. The `data-plot-…` attributes of its SVG tell where a pointer to a moment
/// belongs.
pub fn dive(facts: &Facts<'_>, look: &DiveLook<'_>) -> Picture {
    let message = message(facts);
    let mut scene = Scene::new(look.width_px, look.height_px);
    let heading_text = Heading { message: &message, subject: facts.title, note: facts.note };
    let top = if look.has_heading { heading(&mut scene, &heading_text) } else { 6.0 };
    let right = look.width_px - RIGHT_PX;
    let other = look.other.map(|other| Facts { rows: other.rows, findings: other.findings, ..*facts });
    let mut x = time_axis(facts);
    x.high = other.as_ref().map_or(x.high, |other| time_axis(other).high.max(x.high));
    let ticks = x.minute_ticks((look.width_px / 80.0) as usize);
    let bottom = look.height_px - 52.0;
    let depth_share = if facts.scenario.profile().changes().is_empty() { 0.36 } else { 0.41 };
    let split = top + depth_share * (bottom - top);
    let above = Rect { left: LEFT, top: top + 22.0, right, bottom: split };
    let below = Rect { left: LEFT, top: split + 46.0, right, bottom };

    let lift = Lift::new(facts, below, &x, look.other.as_ref().zip(other.as_ref()));
    lift.shade(&mut scene, &[above, below]);
    let (depth, profile) = depth_panel(&mut scene, facts, above, &x);
    let mut placer = Placer::new(above.grown(-2.0));
    placer.keep_curve(&profile);
    if let Some(other) = &other {
        let depths = column(other, Quantity::Length, |i| other.rows.samples()[i].depth_m);
        // deeper than the panel shows, it is cut at its edge
        depth.clipped(&depths).iter().for_each(|run| placer.keep_curve(&scene.curve(run, OTHER)));
    }
    let waters = interfaces(&mut scene, &mut placer, facts, &depth);
    moves(&mut scene, &mut placer, facts, &depth, Some(below));
    shortages(&mut scene, &mut placer, facts, &depth);
    last_stop(&mut scene, &mut placer, facts, &depth);
    for (at, name) in waters {
        placer.put(&mut scene, at, 0.75, &[name]);
    }

    lift.panel.draw_x_grid(&mut scene, &ticks);
    lift.draw(&mut scene);
    lift.panel.draw_x(&mut scene, &ticks);
    // where a pointer to a moment belongs
    scene.data = vec![
        ("plot-left", below.left),
        ("plot-right", below.right),
        ("plot-top", above.top),
        ("plot-bottom", below.bottom),
        ("plot-seconds", lift.panel.x.high * MINUTE_S),
    ];
    Picture::new(scene, message, description(facts))
}

/// The curves of another plan.
const OTHER: Stroke = Stroke::dashed(GREEN, 1.8, Dash::OneDot);

/// What the picture says.
fn message(facts: &Facts<'_>) -> String {
    let wing = &facts.findings.failed_wing;
    let (start_s, end_s) = (facts.rows.first().time_s, facts.rows.last().time_s);
    let beyond = match wing.beyond[..] {
        [] => "Within the swim-up limit all through".to_owned(),
        [span] => {
            let (from_start, to_end) = (span.start_s <= start_s + 1.0, span.end_s >= end_s - 1.0);
            let (mut from, mut until) = (minute(span.start_s), minute(span.end_s));
            if from.contains(':') != until.contains(':') && !from_start && !to_end {
                (from, until) = (clock(span.start_s), clock(span.end_s));
            }
            match (from_start, to_end) {
                (true, true) => "Beyond the swim-up limit from start to end".to_owned(),
                (true, false) => format!("Beyond the swim-up limit until minute {until}"),
                (false, true) => format!("Beyond the swim-up limit from minute {from} to the end"),
                (false, false) => format!("Beyond the swim-up limit from minute {from} to {until}"),
            }
        }
        [..] => format!(
            "Beyond the swim-up limit {} times, {} min in all",
            wing.beyond.len(),
            facts.units.number(Quantity::Duration, wing.beyond_s())
        ),
    };
    let hold = facts.findings.last_hold();
    let margin = |kg: f64| facts.units.text(Quantity::Mass, kg.abs());
    let holds = if !hold.planned.holds() {
        format!("floats off the last stop by {}", margin(hold.planned.bare_kg))
    } else if !hold.at_reserve.holds() {
        format!("with cylinders at reserve it floats off the last stop by {}", margin(hold.at_reserve.bare_kg))
    } else {
        format!("the last stop holds, {} to spare with cylinders at reserve", margin(hold.at_reserve.bare_kg))
    };
    format!("{beyond}; {holds}")
}

fn description(facts: &Facts<'_>) -> String {
    let (units, found) = (facts.units, facts.findings);
    let point = |name: &str, at: &Extreme| {
        format!(
            "{name} {} at {} min, {}",
            units.signed_text(Quantity::Mass, at.bare_kg),
            clock(at.time_s),
            units.text(Quantity::Length, at.depth_m)
        )
    };
    format!(
        "Depth and net lift with the wing empty over {} min. {}. {}. Swim-up limit {}.",
        clock(facts.rows.last().time_s),
        point("Heavy point", &found.heavy),
        point("Light point", &found.light),
        units.text(Quantity::Mass, found.failed_wing.capacity_kg)
    )
}

/// Left and right side of a span, never narrower than shows.
fn span_x(facts: &Facts<'_>, span: &Beyond, lift: &Panel) -> (f64, f64) {
    let at = |time_s: f64| lift.at_x(facts.units.value(Quantity::Duration, time_s));
    let (left, right) = (at(span.start_s), at(span.end_s));
    let widen = (0.5 * (2.0 - (right - left))).max(0.0);
    ((left - widen).max(lift.rect.left), (right + widen).min(lift.rect.right))
}

fn last_stop(scene: &mut Scene, placer: &mut Placer, facts: &Facts<'_>, depth: &Panel) {
    let hold = facts.findings.last_hold();
    let at = |time_s: f64| {
        depth.at(facts.units.value(Quantity::Duration, time_s), facts.units.value(Quantity::Length, hold.depth_m))
    };
    let (from, to) = (at(hold.start_s), at(hold.end_s));
    for end in [from, to] {
        scene.line(Point::new(end.x, end.y - 6.0), Point::new(end.x, end.y + 6.0), Stroke::solid(INK, 1.4));
        placer.keep_clear(Rect { left: end.x, right: end.x, top: end.y, bottom: end.y }.grown(6.0));
    }
    let middle = Point::new(0.5 * (from.x + to.x), from.y);
    let label = format!("last stop {}", facts.units.text(Quantity::Length, hold.depth_m));
    placer.put(scene, middle, 0.75, &[Label::plain(label).sized(SMALL_PX)]);
}

/// The lower panel.
struct Lift<'a> {
    panel: Panel,
    facts: &'a Facts<'a>,
    bare: Vec<Point>,
    /// lowest net lift on the way straight up, where it differs visibly
    load: Option<Vec<Point>>,
    /// name and net lift of another plan
    other: Option<(&'a str, Vec<Point>)>,
    limit: f64,
}

impl<'a> Lift<'a> {
    fn new(facts: &'a Facts<'a>, rect: Rect, x: &Axis, other: Option<(&Compared<'a>, &Facts<'a>)>) -> Self {
        let units = facts.units;
        let wing = &facts.findings.failed_wing;
        let bare = column(facts, Quantity::Mass, |i| facts.rows.samples()[i].bare_kg);
        let load = column(facts, Quantity::Mass, |i| -facts.rows.loads_kg[i]);
        let limit = -units.value(Quantity::Mass, wing.capacity_kg);
        let title = format!("net lift with the wing empty, {} (+ floats, − sinks)", units.symbol(Quantity::Mass));
        let other = other
            .map(|(named, other)| (named.label, column(other, Quantity::Mass, |i| other.rows.samples()[i].bare_kg)));
        let theirs = other.iter().flat_map(|(_, column)| column);
        let values = bare.iter().chain(&load).chain(theirs).map(|(_, kg)| *kg).chain([0.0, limit]);
        let mut y = Axis { signed: true, ..Axis::covering(title, values, 0.0) };
        // room for the labels above and below
        let span = y.high - y.low;
        (y.low, y.high) = (y.low - 0.14 * span, y.high + 0.10 * span);
        let panel = Panel { rect, x: x.clone(), y };
        let points = |column: &[(f64, f64)]| column.iter().map(|(t, kg)| panel.at(*t, *kg)).collect::<Vec<_>>();
        let (bare, load) = (points(&bare), points(&load));
        let differs = bare.iter().zip(&load).any(|(a, b)| (a.y - b.y).abs() > VISIBLE_PX);
        let other = other.map(|(label, column)| (label, points(&column)));
        Self { facts, bare, load: differs.then_some(load), other, limit, panel }
    }

    /// Tint and a bar over the times beyond the limit, and hatching over what exceeds it.
    fn shade(&self, scene: &mut Scene, panels: &[Rect]) {
        for span in &self.facts.findings.failed_wing.beyond {
            let (left, right) = span_x(self.facts, span, &self.panel);
            for panel in panels {
                scene.fill(Rect { left, right, ..*panel }, ORANGE, 0.17);
            }
            let top = self.panel.rect.top;
            scene.fill(Rect { left, right, top, bottom: top + BAR_PX }, ORANGE, 1.0);
            let load = self.load.as_ref().unwrap_or(&self.bare);
            hatch::below(scene, self.panel.at_y(self.limit), load, (left, right), HATCH_PX, HATCH);
        }
    }

    fn draw(&self, scene: &mut Scene) {
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
        self.labels(scene, &mut placer);
    }

    fn labels(&self, scene: &mut Scene, placer: &mut Placer) {
        let (facts, panel, units) = (self.facts, &self.panel, self.facts.units);
        let found = facts.findings;
        let points = [("heavy point", &found.heavy, 0.25, true), ("light point", &found.light, 0.75, false)];
        for (_, at, _, heavy) in points {
            let mark = self.mark(at);
            scene.disc(mark, 6.5, PAPER);
            scene.disc(mark, 5.0, INK);
            if !heavy {
                scene.disc(mark, 2.8, PAPER); // a ring, so that the two differ in grey
            }
            placer.keep_clear(Rect { left: mark.x, right: mark.x, top: mark.y, bottom: mark.y }.grown(6.0));
        }
        for (name, at, prefer, _) in points {
            let value = units.signed_text(Quantity::Mass, at.bare_kg);
            let place = format!("{} min, {}", clock(at.time_s), units.text(Quantity::Length, at.depth_m));
            let variants = [
                Label::headed(format!("{name} {value}"), place),
                Label::headed(name, value.clone()),
                Label::plain(format!("{name} {value}")).sized(SMALL_PX),
            ];
            placer.put(scene, self.mark(at), prefer, &variants);
        }
        if let Some((label, theirs)) = &self.other {
            let clean = font::clean(label);
            let variants = [300.0, 200.0, 120.0].map(|room| {
                let short = font::fit(&clean, SMALL_PX, font::Weight::Bold, room);
                Label { lines: vec![(short, font::Weight::Bold)], size: SMALL_PX, colour: GREEN_TEXT }
            });
            placer.put(scene, theirs[theirs.len() * 2 / 5], 0.25, &variants);
        }
        let limit = format!("swim-up limit {}", units.text(Quantity::Mass, found.failed_wing.capacity_kg));
        let at = Point::new(panel.rect.right - 70.0, panel.at_y(self.limit));
        placer.put(scene, at, 0.25, &[Label::plain(limit).coloured(VERMILION_TEXT)]);
        self.name_spans(scene, placer);
        if let Some(load) = &self.load {
            // in the middle of where the two curves are well apart
            let gap = |i: &usize| (load[*i].y - self.bare[*i].y).abs();
            let widest = (0..load.len()).map(|i| gap(&i)).fold(0.0, f64::max);
            let apart: Vec<usize> = (0..load.len()).filter(|i| gap(i) >= 0.6 * widest).collect();
            let variants = ["least lift on the way straight up", "least on the way up"].map(Label::plain);
            placer.put(scene, load[apart[apart.len() / 2]], 0.25, &variants.map(|label| label.sized(SMALL_PX)));
        }
    }

    fn mark(&self, at: &Extreme) -> Point {
        let units = self.facts.units;
        self.panel.at(units.value(Quantity::Duration, at.time_s), units.value(Quantity::Mass, at.bare_kg))
    }

    fn name_spans(&self, scene: &mut Scene, placer: &mut Placer) {
        let mut spans: Vec<&Beyond> = self.facts.findings.failed_wing.beyond.iter().collect();
        spans.sort_by(|a, b| (b.end_s - b.start_s).total_cmp(&(a.end_s - a.start_s)));
        for span in spans.into_iter().take(NAMED_SPANS) {
            let (left, right) = span_x(self.facts, span, &self.panel);
            let times = format!("{} to {} min", clock(span.start_s), clock(span.end_s));
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

/// Vermilion, darker, so that small text reads on white.
const VERMILION_TEXT: Rgb = Rgb(0xA8, 0x46, 0x00);
/// Green, darker, likewise.
const GREEN_TEXT: Rgb = Rgb(0x00, 0x6B, 0x4F);
