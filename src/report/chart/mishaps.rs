//! What mishaps leave over the time of a dive, when the wing has done what it can: the worst few, against the swim-up
//! limit below and against zero above, where the diver floats.

use crate::findings::mishaps::{Side, left_kg};
use crate::findings::{MishapFound, MishapVerdict};
use crate::report::chart::panel::{Axis, LEFT, Panel, WIDTH};
use crate::report::chart::place::{Label, Placer};
use crate::report::chart::scene::Scene;
use crate::report::chart::shape::{Point, Rect};
use crate::report::chart::style::{
    self, BLACK, Dash, INK, ORANGE, PAPER, SMALL_PX, SOFT, Stroke, VERMILION, VERMILION_TEXT,
};
use crate::report::chart::timeline::{depth_panel, watch};
use crate::report::chart::title::{Heading, heading};
use crate::report::chart::{ChartError, Facts, Picture, font};
use crate::report::fins::Fins;
use crate::report::measure::Quantity;
use crate::report::mishaps::{lighter, name};
use crate::report::words::capital;

const HEIGHT: f64 = 600.0;
/// Height of the strip of depth, px.
const DEPTH_PX: f64 = 72.0;
/// From the strip to the panel, px: room for the title of its axis.
const GAP_PX: f64 = 40.0;
/// Most curves: more can no longer be told apart.
const MOST: usize = 5;
/// What is left below this at the worst moment does not show, kg.
const NOTHING_KG: f64 = 0.05;

/// What a mishap leaves, over time.
struct Course<'a> {
    found: &'a MishapFound,
    /// time and what is left, in the reader's units; a run ends where the mishap can no longer happen
    runs: Vec<Vec<(f64, f64)>>,
}

impl<'a> Course<'a> {
    fn of(facts: &Facts<'_>, found: &'a MishapFound) -> Self {
        let (units, rows) = (facts.units, facts.rows);
        let mut runs = vec![Vec::new()];
        for (i, row) in rows.samples().iter().enumerate() {
            match left_kg(facts.scenario, rows.now(i), row.leg, found.mishap) {
                Some(kg) => {
                    let point = (units.value(Quantity::Duration, row.time_s), units.value(Quantity::Mass, kg));
                    runs.last_mut().into_iter().for_each(|run: &mut Vec<(f64, f64)>| run.push(point));
                }
                None => runs.push(Vec::new()),
            }
        }
        runs.retain(|run| !run.is_empty());
        Self { found, runs }
    }

    fn values(&self) -> impl Iterator<Item = f64> {
        self.runs.iter().flatten().map(|(_, kg)| *kg)
    }
}

/// Draws it.
pub(super) fn draw(facts: &Facts<'_>) -> Result<Picture, ChartError> {
    let Some(worst) = facts.mishaps.first() else {
        return Err(ChartError::Nothing { figure: "mishaps", missing: "anything that goes wrong" });
    };
    let units = facts.units;
    let shows = |found: &&MishapFound| found.left_kg().abs() >= NOTHING_KG;
    let (shown, held): (Vec<_>, Vec<_>) = facts.mishaps.iter().partition(shows);
    let left_out = shown.len().saturating_sub(MOST);
    let drawn: Vec<Course<'_>> = shown.into_iter().take(MOST).map(|found| Course::of(facts, found)).collect();
    let drawn = &drawn[..];

    let message = message(facts, worst);
    let mut scene = Scene::new(WIDTH, HEIGHT);
    let top = heading(&mut scene, &Heading { message: &message, subject: facts.title, note: facts.note }) + 22.0;
    let right = WIDTH - 26.0;
    let x = watch(facts).axis();
    let ticks = x.minute_ticks(10);
    let above = Rect { left: LEFT, top, right, bottom: top + DEPTH_PX };
    let below = Rect { left: LEFT, top: above.bottom + GAP_PX, right, bottom: HEIGHT - 52.0 };
    depth_panel(&mut scene, facts, above, &x, &ticks, &[]);
    let limit = -units.value(Quantity::Mass, facts.scenario.rig().swim_up_kg);
    let panel = Panel { rect: below, x, y: axis(facts, drawn, limit) };
    let floor = Rect { top: panel.at_y(limit), ..below };
    scene.fill(floor, ORANGE, 0.14);
    panel.draw_x_grid(&mut scene, &ticks);
    panel.draw_y(&mut scene);
    panel.draw_x(&mut scene, &ticks);
    let mut placer = Placer::new(below.grown(-2.0));
    limits(&mut scene, &mut placer, &panel, limit);
    curves(&mut scene, &mut placer, facts, &panel, drawn);
    let text =
        format!("{} {}", Fins::of(facts.scenario).limit(), units.text(Quantity::Mass, facts.scenario.rig().swim_up_kg));
    let at = Point::new(below.right - 70.0, panel.at_y(limit));
    placer.put(&mut scene, at, 0.25, &[Label::plain(text).sized(SMALL_PX).coloured(VERMILION_TEXT)]);
    rest(&mut scene, &mut placer, facts, &panel, &held, left_out);
    let description = "What mishaps leave over the time of a dive when the wing has done what it can: below zero a load \
                       for the fins, above zero the diver floats; against the limit of the fins, with the depth above.";
    Ok(Picture::new(scene, message, description))
}

/// What the picture says: the worst of all.
fn message(facts: &Facts<'_>, worst: &MishapFound) -> String {
    let mass = |kg: f64| facts.units.text(Quantity::Mass, kg.abs());
    let name = font::clean(&name(facts.scenario, worst.mishap));
    let limit = mass(facts.scenario.rig().swim_up_kg);
    let load = Fins::of(facts.scenario).to_swim_up();
    capital(&match (worst.verdict(), worst.side()) {
        (MishapVerdict::Held, _) => "after each of these mishaps the diver is held".into(),
        (_, Side::Light(_)) => format!("{name}: the diver {}", lighter(facts.units, facts.scenario, worst)),
        (MishapVerdict::CanSwim, _) => format!("{name}: {} {load}, limit {limit}", mass(worst.left_kg())),
        _ => {
            let ditched =
                worst.ditched_kg().map_or("nothing to let go of".into(), |kg| format!("{} after ditching", mass(kg)));
            format!("{name}: {} {load}, limit {limit}; {ditched}", mass(worst.left_kg()))
        }
    })
}

fn axis(facts: &Facts<'_>, drawn: &[Course<'_>], limit: f64) -> Axis {
    let (unit, load) = (facts.units.symbol(Quantity::Mass), Fins::of(facts.scenario).to_swim_up());
    let title = format!("left by a mishap, {unit} (+ floats, − {load})");
    let values = drawn.iter().flat_map(Course::values).chain([0.0, limit]);
    let mut y = Axis { signed: true, ..Axis::covering(title, values, 0.0) };
    // room for the labels above and below
    let span = y.high - y.low;
    (y.low, y.high) = (y.low - 0.16 * span, y.high + 0.16 * span);
    y
}

/// Zero, and what can be swum up.
fn limits(scene: &mut Scene, placer: &mut Placer, panel: &Panel, limit: f64) {
    let strokes = [(0.0, Stroke::solid(BLACK, 1.2)), (limit, Stroke::dashed(VERMILION, 2.0, Dash::Long))];
    for (value, stroke) in strokes {
        let y = panel.at_y(value);
        let ends = [Point::new(panel.rect.left, y), Point::new(panel.rect.right, y)];
        scene.line(ends[0], ends[1], stroke);
        placer.keep_curve(&ends);
    }
}

/// The curves, each with a mark and its name at its worst moment.
fn curves(scene: &mut Scene, placer: &mut Placer, facts: &Facts<'_>, panel: &Panel, drawn: &[Course<'_>]) {
    let units = facts.units;
    let worst = |found: &MishapFound| {
        let time = units.value(Quantity::Duration, found.now().state.time_s);
        panel.at(time, units.value(Quantity::Mass, found.left_kg()))
    };
    // the worst lies on top
    for (n, course) in drawn.iter().enumerate().rev() {
        let stroke = style::series(n);
        for run in &course.runs {
            let points: Vec<Point> = run.iter().map(|(time, kg)| panel.at(*time, *kg)).collect();
            placer.keep_curve(&scene.curve(&points, stroke));
        }
        let mark = worst(course.found);
        scene.disc(mark, 6.5, PAPER);
        scene.disc(mark, 5.0, stroke.colour);
        placer.keep_clear(Rect { left: mark.x, right: mark.x, top: mark.y, bottom: mark.y }.grown(6.0));
    }
    for course in drawn {
        let found = course.found;
        let name = capital(&font::clean(&name(facts.scenario, found.mishap)));
        let left = units.signed_text(Quantity::Mass, found.left_kg());
        let when = watch(facts).text(found.now().state.time_s);
        let short = |room: f64| font::fit(&name, SMALL_PX, font::Weight::Bold, room);
        let variants = [
            Label::headed(short(260.0), format!("{left} at {when}")),
            Label::headed(short(150.0), left.clone()),
            Label::bold(short(150.0)),
        ];
        let prefer = if found.left_kg() < 0.0 { 0.25 } else { 0.75 };
        placer.put(scene, worst(found), prefer, &variants.map(|label| label.sized(SMALL_PX).coloured(INK)));
    }
}

/// Names of what leaves nothing, and how many curves are not drawn.
fn rest(
    scene: &mut Scene,
    placer: &mut Placer,
    facts: &Facts<'_>,
    panel: &Panel,
    held: &[&MishapFound],
    left_out: usize,
) {
    let names: Vec<String> = held.iter().map(|found| font::clean(&name(facts.scenario, found.mishap))).collect();
    let held = (!names.is_empty()).then(|| format!("held: {}", names.join("; ")));
    let more = (left_out > 0).then(|| format!("{left_out} more are not drawn"));
    let text = held.into_iter().chain(more).collect::<Vec<_>>().join("; ");
    if text.is_empty() {
        return;
    }
    let at = panel.at(0.5 * panel.x.high, 0.0);
    let variants = [0.9, 0.6, 0.35].map(|share| {
        let short = font::fit(&text, SMALL_PX, font::Weight::Regular, share * panel.rect.width());
        Label::plain(short).sized(SMALL_PX).coloured(SOFT)
    });
    placer.put(scene, at, 0.75, &variants);
}
