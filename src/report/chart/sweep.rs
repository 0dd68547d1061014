//! A finding against a quantity that changes.

use crate::report::chart::ends::{End, Ends};
use crate::report::chart::panel::{Axis, EDGE, LEFT, Panel, WIDTH};
use crate::report::chart::place::{Label, Placer};
use crate::report::chart::scene::Scene;
use crate::report::chart::shape::{Point, Rect};
use crate::report::chart::style::{
    BLACK, Dash, INK, ORANGE, PAPER, SKY, SMALL_PX, Stroke, VERMILION, VERMILION_TEXT, series,
};
use crate::report::chart::title::{Heading, heading};
use crate::report::chart::{ChartError, Picture, hatch};
use crate::report::measure::fixed;

const HEIGHT: f64 = 500.0;
/// Curves with more points than this get no dots.
const DOTS: usize = 40;

/// A curve.
#[derive(Clone, Debug, PartialEq)]
pub struct Series {
    /// Name.
    pub name: String,
    /// Quantity and finding, in the units of the axes; a finding that is not finite breaks the curve.
    pub points: Vec<(f64, f64)>,
}

/// What a sweep shows. All numbers are in the units that the axis titles name.
#[derive(Clone, Debug, PartialEq)]
pub struct Sweep {
    /// Message of the picture.
    pub title: String,
    /// What it is of.
    pub subject: String,
    /// Quantity that changes, with its unit.
    pub x_title: String,
    /// Finding, with its unit.
    pub y_title: String,
    /// Plus signs on the finding's axis, and a line at zero.
    pub signed: bool,
    /// Value that the plan itself has.
    pub own_x: Option<f64>,
    /// A limit of the finding, with its name.
    pub limit: Option<(f64, String)>,
    /// The curves, six at most that still tell themselves apart well.
    pub series: Vec<Series>,
    /// Whether the first two curves are the ends of a range: what lies between them is named, and where the first is above
    /// the second nothing is right.
    pub is_range: bool,
}

/// Draws findings against a changing quantity.
///
/// # Errors
/// No point at all, or a fault of the drawing library.
pub fn sweep(sweep: &Sweep) -> Result<Picture, ChartError> {
    let finite =
        |points: &[(f64, f64)]| points.iter().copied().filter(|p| p.0.is_finite() && p.1.is_finite()).collect();
    let points: Vec<Vec<(f64, f64)>> = sweep.series.iter().map(|series| finite(&series.points)).collect();
    if points.iter().all(Vec::is_empty) {
        return Err(ChartError::Nothing { figure: "sweep", missing: "a finding at any value" });
    }
    let mut scene = Scene::new(WIDTH, HEIGHT);
    let title = crate::report::chart::font::clean(&sweep.title);
    let top = heading(&mut scene, &Heading { message: &title, subject: &sweep.subject, note: None }) + 22.0;
    let bottom = HEIGHT - 52.0;
    let texts: Vec<_> =
        sweep.series.iter().zip(&points).map(|(series, p)| (series.name.clone(), range(p, sweep.signed))).collect();
    let ends = Ends::set(&texts, bottom - top);
    let rect = Rect { left: LEFT, top, right: WIDTH - EDGE - ends.margin, bottom };
    let panel = panel(sweep, &points, rect);
    let ticks = panel.x.ticks(8);
    panel.draw_x_grid(&mut scene, &ticks);
    panel.draw_y(&mut scene);
    panel.draw_x(&mut scene, &ticks);
    let mut placer = Placer::new(rect.grown(-2.0));
    let ranges = ranges(sweep);
    shade(&mut scene, &panel, &ranges);
    let missing = missing(sweep);
    shade_missing(&mut scene, &panel, &missing);
    rules(&mut scene, &mut placer, sweep, &panel);

    let lasts = curves(&mut scene, &mut placer, sweep, &panel, &texts);
    ends.draw(&mut scene, &panel, &lasts);
    own_marks(&mut scene, &mut placer, sweep, &panel);
    names(&mut scene, &mut placer, sweep, &panel);
    name_ranges(&mut scene, &mut placer, &panel, &ranges);
    name_missing(&mut scene, &mut placer, &panel, &missing);
    Ok(Picture::new(scene, title, format!("{} against {}", sweep.y_title, sweep.x_title)))
}

/// The axes over all points, the plan's own value and what is drawn besides.
fn panel(sweep: &Sweep, points: &[Vec<(f64, f64)>], rect: Rect) -> Panel {
    let all = || points.iter().flatten();
    let x = Axis::covering(&*sweep.x_title, all().map(|p| p.0).chain(sweep.own_x), 0.0);
    let zero = sweep.signed.then_some(0.0);
    let limit = sweep.limit.as_ref().map(|(limit, _)| *limit);
    let values = all().map(|p| p.1).chain(zero).chain(limit);
    let mut y = Axis { signed: sweep.signed, ..Axis::covering(&*sweep.y_title, values, 0.10) };
    if all().all(|point| point.1 >= 0.0) && !sweep.signed {
        y.low = y.low.max(0.0);
    }
    Panel { rect, x, y }
}

/// The curves; returns where they end.
fn curves(
    scene: &mut Scene,
    placer: &mut Placer,
    sweep: &Sweep,
    panel: &Panel,
    texts: &[(String, String)],
) -> Vec<End> {
    let is_finite = |p: &(f64, f64)| p.0.is_finite() && p.1.is_finite();
    let mut lasts = Vec::new();
    for (n, (curve, (name, remark))) in sweep.series.iter().zip(texts).enumerate() {
        let stroke = series(n);
        // a finding that is missing at a value leaves a gap
        for run in curve.points.split(|p| !is_finite(p)) {
            let run: Vec<_> = run.iter().map(|(x, y)| panel.at(*x, *y)).collect();
            placer.keep_curve(&scene.curve(&run, stroke));
            for at in run.iter().filter(|_| run.len() <= DOTS) {
                scene.disc(*at, 3.2, stroke.colour);
            }
        }
        let last = curve.points.iter().rfind(|p| is_finite(p)).map(|(x, y)| panel.at(*x, *y));
        let at = last.filter(|at| at.x >= panel.rect.right - 1.0);
        let wanted_y = last.map_or(panel.rect.bottom, |at| at.y);
        lasts.push(End { at, wanted_y, stroke, name: name.clone(), remark: remark.clone() });
    }
    lasts
}

fn range(points: &[(f64, f64)], signed: bool) -> String {
    let number = |value: f64| format!("{}{}", if signed && value >= 0.05 { "+" } else { "" }, fixed(value, 1));
    match points {
        [] => "nowhere".into(),
        [only] => number(only.1),
        [first, .., last] if number(first.1) == number(last.1) => number(first.1),
        [first, .., last] => format!("{} to {}", number(first.1), number(last.1)),
    }
}

/// A number without noughts at its end.
fn short(value: f64) -> String {
    let text = fixed(value, 2);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// A stretch over which a range is open, or over which it is empty: value, first curve, second curve.
struct Stretch {
    is_open: bool,
    points: Vec<(f64, f64, f64)>,
}

impl Stretch {
    /// Its widest gap.
    fn gap(&self) -> f64 {
        self.points.iter().map(|point| (point.2 - point.1).abs()).fold(0.0, f64::max)
    }

    /// The point that its name stands at: halfway up, where a half of its area lies on either side.
    fn middle(&self) -> (f64, f64) {
        let area = |pair: &[(f64, f64, f64)]| {
            0.5 * (pair[1].0 - pair[0].0).abs() * ((pair[0].2 - pair[0].1).abs() + (pair[1].2 - pair[1].1).abs())
        };
        let whole: f64 = self.points.windows(2).map(area).sum();
        let mut sum = 0.0;
        for pair in self.points.windows(2) {
            sum += area(pair);
            if sum >= 0.5 * whole {
                let mean = |of: fn(&(f64, f64, f64)) -> f64| 0.5 * (of(&pair[0]) + of(&pair[1]));
                return (mean(|point| point.0), 0.5 * (mean(|point| point.1) + mean(|point| point.2)));
            }
        }
        self.points.first().map_or((0.0, 0.0), |point| (point.0, 0.5 * (point.1 + point.2)))
    }
}

/// Where the first curve has values and the second has none: from where to where. There the most lead is below zero.
fn missing(sweep: &Sweep) -> Vec<(f64, f64)> {
    let [least, most, ..] = &sweep.series[..] else { return Vec::new() };
    let has = |x: f64| most.points.iter().any(|point| point.0 == x && point.1.is_finite());
    let is_range = |pair: &&[(f64, f64)]| sweep.is_range && pair.iter().all(|point| point.1.is_finite());
    let mut spans: Vec<(f64, f64)> = Vec::new();
    for pair in least.points.windows(2).filter(is_range) {
        let (from, to) = (pair[0].0, pair[1].0);
        match (has(from) && has(to), spans.last_mut()) {
            (true, _) => {}
            (false, Some(span)) if span.1 == from => span.1 = to,
            (false, _) => spans.push((from, to)),
        }
    }
    spans
}

/// The stretches of the range, cut where its ends cross.
fn ranges(sweep: &Sweep) -> Vec<Stretch> {
    let [least, most, ..] = &sweep.series[..] else { return Vec::new() };
    let mut stretches: Vec<Stretch> = Vec::new();
    let both: Vec<(f64, f64, f64)> = least
        .points
        .iter()
        .filter_map(|(x, low)| most.points.iter().find(|point| point.0 == *x).map(|(_, high)| (*x, *low, *high)))
        .filter(|(x, low, high)| sweep.is_range && x.is_finite() && low.is_finite() && high.is_finite())
        .collect();
    for point in both {
        let is_open = point.2 >= point.1;
        match stretches.last_mut() {
            Some(stretch) if stretch.is_open == is_open => stretch.points.push(point),
            Some(stretch) => {
                let before = stretch.points[stretch.points.len() - 1];
                // both gaps in opposite directions: straight lines between the points cross here
                let (a, b) = (before.2 - before.1, point.2 - point.1);
                let share = a / (a - b);
                let at = |from: f64, to: f64| from + share * (to - from);
                let cross = (at(before.0, point.0), at(before.1, point.1), at(before.1, point.1));
                stretch.points.push(cross);
                stretches.push(Stretch { is_open, points: vec![cross, point] });
            }
            None => stretches.push(Stretch { is_open, points: vec![point] }),
        }
    }
    stretches
}

/// A tint over the values at which the diver is too heavy even without lead.
fn shade_missing(scene: &mut Scene, panel: &Panel, missing: &[(f64, f64)]) {
    for (from, to) in missing {
        let (a, b) = (panel.at_x(*from), panel.at_x(*to));
        let tint = Rect { left: a.min(b), right: a.max(b), ..panel.rect };
        scene.fill(tint, ORANGE, 0.17);
        hatch::rect(scene, tint, 14.0, Stroke::solid(ORANGE, 0.8));
    }
}

/// The words for the first of these.
fn name_missing(scene: &mut Scene, placer: &mut Placer, panel: &Panel, missing: &[(f64, f64)]) {
    let Some((from, to)) = missing.first() else { return };
    let x = 0.5 * (panel.at_x(*from) + panel.at_x(*to));
    let at = Point::new(x, panel.rect.top + 0.3 * panel.rect.height());
    let variants = [Label::headed("no lead is right", "too heavy even without lead"), Label::bold("too heavy")];
    placer.put(scene, at, 0.0, &variants.map(|label| label.sized(SMALL_PX).coloured(VERMILION_TEXT)));
}

/// What lies between the ends of a range: plain where it is open, hatched in orange where it is empty.
fn shade(scene: &mut Scene, panel: &Panel, ranges: &[Stretch]) {
    for stretch in ranges {
        let curve = |of: fn(&(f64, f64, f64)) -> f64| -> Vec<Point> {
            stretch.points.iter().map(|point| panel.at(point.0, of(point))).collect()
        };
        let (first, second) = (curve(|point| point.1), curve(|point| point.2));
        let outline: Vec<Point> = first.iter().chain(second.iter().rev()).copied().collect();
        if stretch.is_open {
            scene.area(&outline, SKY, 0.25);
        } else {
            scene.area(&outline, ORANGE, 0.25);
            let span = (first[0].x, first[first.len() - 1].x);
            hatch::between(scene, [&first, &second], span, 9.0, Stroke::solid(ORANGE, 1.0));
        }
    }
}

/// The words for the widest stretch of each kind.
fn name_ranges(scene: &mut Scene, placer: &mut Placer, panel: &Panel, ranges: &[Stretch]) {
    for (is_open, name, colour) in [(true, "a lead is right", INK), (false, "no lead is right", VERMILION_TEXT)] {
        let widest = ranges.iter().filter(|one| one.is_open == is_open).max_by(|a, b| a.gap().total_cmp(&b.gap()));
        let Some((x, y)) = widest.map(Stretch::middle) else { continue };
        let at = panel.at(x, y);
        placer.put(scene, at, 0.0, &[Label::bold(name).sized(SMALL_PX).coloured(colour)]);
    }
}

/// Rings where the plan's own value meets the curves, each with what it is there.
fn own_marks(scene: &mut Scene, placer: &mut Placer, sweep: &Sweep, panel: &Panel) {
    let Some(own) = sweep.own_x else { return };
    for (n, curve) in sweep.series.iter().enumerate() {
        let here = curve.points.windows(2).find(|pair| {
            let ([a, b], is_finite) = ([pair[0], pair[1]], pair.iter().all(|point| point.1.is_finite()));
            is_finite && (own - a.0) * (own - b.0) <= 0.0 && a.0 != b.0
        });
        let Some([a, b]) = here else { continue };
        let y = a.1 + (own - a.0) / (b.0 - a.0) * (b.1 - a.1);
        let at = panel.at(own, y);
        scene.disc(at, 7.0, PAPER);
        scene.disc(at, 5.5, series(n).colour);
        scene.disc(at, 3.0, PAPER);
        placer.keep_clear(Rect { left: at.x, right: at.x, top: at.y, bottom: at.y }.grown(7.0));
        let sign = if sweep.signed && y >= 0.05 { "+" } else { "" };
        placer.put(scene, at, 0.9, &[Label::bold(format!("{sign}{}", fixed(y, 1))).sized(SMALL_PX)]);
    }
}

/// Zero, limit and own value as lines.
fn rules(scene: &mut Scene, placer: &mut Placer, sweep: &Sweep, panel: &Panel) {
    let across = |y: f64| [Point::new(panel.rect.left, panel.at_y(y)), Point::new(panel.rect.right, panel.at_y(y))];
    let limit = sweep.limit.as_ref().map(|(y, _)| (across(*y), Stroke::dashed(VERMILION, 1.6, Dash::Short)));
    let zero = sweep.signed.then(|| (across(0.0), Stroke::solid(BLACK, 1.2)));
    let own = sweep
        .own_x
        .map(|x| ([panel.at(x, panel.y.low), panel.at(x, panel.y.high)], Stroke::dashed(INK, 1.2, Dash::Short)));
    for ([from, to], stroke) in [zero, limit, own].into_iter().flatten() {
        scene.line(from, to, stroke);
        placer.keep_curve(&[from, to]);
    }
}

fn names(scene: &mut Scene, placer: &mut Placer, sweep: &Sweep, panel: &Panel) {
    if let Some(x) = sweep.own_x {
        let at = panel.at(x, panel.y.high);
        let unit = sweep.x_title.rsplit_once(", ").map_or(String::new(), |(_, unit)| format!(" {unit}"));
        placer.put(
            scene,
            Point::new(at.x, at.y + 14.0),
            0.0,
            &[Label::plain(format!("this plan, {}{unit}", short(x))).sized(SMALL_PX)],
        );
    }
    if let Some((y, name)) = &sweep.limit {
        let at = Point::new(panel.rect.left + 0.8 * panel.rect.width(), panel.at_y(*y));
        placer.put(scene, at, 0.25, &[Label::plain(name.clone()).sized(SMALL_PX)]);
    }
}
