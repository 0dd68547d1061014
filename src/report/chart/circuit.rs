//! The breathing loop: its oxygen over the time of the dive against the setpoint and against what is breathed at least and
//! at most, and what oxygen, diluent and absorbent have used at the end.

use crate::findings::Circuit;
use crate::findings::circuit::{LEAST_OXYGEN_PA, LoopTime, MOST_OXYGEN_PA};
use crate::report::chart::panel::{Axis, LEFT, Panel, WIDTH};
use crate::report::chart::place::{Label, Placer};
use crate::report::chart::scene::Scene;
use crate::report::chart::shape::{Point, Rect};
use crate::report::chart::style::{
    BLACK, BLUE, BLUE_TEXT, Dash, INK, ORANGE, PAPER, RULE, SMALL_PX, SOFT, Stroke, VERMILION, VERMILION_TEXT,
};
use crate::report::chart::timeline::{cross, depth_panel, moves, shortages, watch};
use crate::report::chart::title::{Heading, heading};
use crate::report::chart::{ChartError, Facts, Picture, hatch, overhead, used};
use crate::report::circuit::{faults, oxygen, partial, ran_out};
use crate::report::measure::{Quantity, fixed};
use crate::report::words::capital;
use crate::rig::MOST_OXYGEN_FRAC;
use crate::units::BAR_PA;

const HEIGHT: f64 = 640.0;
/// Height of the strip of depth, px.
const DEPTH_PX: f64 = 84.0;
/// From the strip to the panel, px: room for the title of its axis.
const GAP_PX: f64 = 40.0;
/// The axis of time below the panel, px.
const AXIS_PX: f64 = 48.0;
/// Distance of the lines that hatch what is not breathed from the loop, px.
const HATCH_PX: f64 = 14.0;
/// A stretch at one setpoint that is narrower has no room for its name, px.
const NAMED_PX: f64 = 6.0;

/// Draws it.
pub(super) fn draw(facts: &Facts<'_>) -> Result<Picture, ChartError> {
    let Some(circuit) = &facts.findings.circuit else {
        return Err(ChartError::Nothing { figure: "loop", missing: "a breathing loop that a leg breathes" });
    };
    let message = message(facts, circuit);
    let mut scene = Scene::new(WIDTH, HEIGHT);
    let top = heading(&mut scene, &Heading { message: &message, subject: facts.title, note: facts.note }) + 22.0;
    let right = WIDTH - 26.0;
    let x = watch(facts).axis();
    let ticks = x.minute_ticks(10);
    let above = Rect { left: LEFT, top, right, bottom: top + DEPTH_PX };
    let below = Rect { left: LEFT, top: above.bottom + GAP_PX, right, bottom: HEIGHT - used::HEIGHT_PX - AXIS_PX };
    let panel = Panel { rect: below, x, y: axis(circuit) };
    depth(&mut scene, facts, circuit, above, &panel, &ticks);

    limits_shade(&mut scene, &panel);
    let open = open_circuit(&mut scene, facts, &panel);
    panel.draw_x_grid(&mut scene, &ticks);
    panel.draw_y(&mut scene);
    panel.draw_x(&mut scene, &ticks);
    let mut placer = Placer::new(below.grown(-2.0));
    let limits = limits(&mut scene, &mut placer, &panel);
    let setpoints = curves(&mut scene, &mut placer, facts, &panel);
    for (at, prefer, text) in limits {
        placer.put(&mut scene, at, prefer, &[Label::plain(text).sized(SMALL_PX).coloured(VERMILION_TEXT)]);
    }
    extremes(&mut scene, &mut placer, facts, &panel);
    spent(&mut scene, &mut placer, facts, circuit, &panel);
    for (at, text) in setpoints {
        placer.put(&mut scene, at, 0.75, &[Label::plain(text).sized(SMALL_PX).coloured(INK)]);
    }
    if let Some(open) = open {
        let at = Point::new(0.5 * (open.left + open.right), 0.5 * (open.top + open.bottom));
        let variants = ["open circuit: the loop is not breathed", "open circuit"];
        placer.put(&mut scene, at, 0.25, &variants.map(|text| Label::plain(text).sized(SMALL_PX).coloured(SOFT)));
    }
    shallow(&mut scene, &mut placer, facts, circuit, &panel);
    used::draw(&mut scene, facts, circuit, HEIGHT - used::HEIGHT_PX);
    let description = format!(
        "Partial pressure of oxygen in the loop over the time of the dive against its setpoint, with the depth above: {}. \
         Below, what the cylinders of oxygen and diluent gave and what the absorbent took up.",
        oxygen(circuit)
    );
    Ok(Picture::new(scene, message, description))
}

/// What is wrong first, then how far the oxygen stays from the setpoint.
fn message(facts: &Facts<'_>, circuit: &Circuit) -> String {
    let end_s = facts.rows.last().time_s;
    let ran_out = circuit.out.iter().map(|event| ran_out(event, end_s));
    let wrong: Vec<String> = ran_out.chain(faults(facts.units, circuit)).take(2).collect();
    match wrong.is_empty() {
        true => {
            let limits = format!("{} and {}", fixed(LEAST_OXYGEN_PA / BAR_PA, 2), partial(MOST_OXYGEN_PA));
            format!("The loop holds {}; its limits are {limits}", oxygen(circuit))
        }
        false => capital(&wrong.join("; ")),
    }
}

/// From nothing to above the upper limit, or what the loop has more.
fn axis(circuit: &Circuit) -> Axis {
    let most = [MOST_OXYGEN_PA, circuit.most.pressure_pa].map(|pa| pa / BAR_PA);
    Axis::covering("oxygen in the loop, partial pressure in bar", [0.0].into_iter().chain(most), 0.16)
}

/// The strip of depth: times outside the limits in the colour of a warning, and what happens.
fn depth(scene: &mut Scene, facts: &Facts<'_>, circuit: &Circuit, rect: Rect, panel: &Panel, ticks: &[f64]) {
    let span = |time: &LoopTime| (at_x(facts, panel, time.start_s), at_x(facts, panel, time.end_s));
    let beyond: Vec<(f64, f64)> = circuit.too_little.iter().chain(&circuit.too_much).map(span).collect();
    let (depth, profile) = depth_panel(scene, facts, rect, &panel.x, ticks, &beyond);
    let mut placer = Placer::new(rect.grown(-2.0));
    placer.keep_curve(&profile);
    overhead::draw(scene, &mut placer, facts, &depth);
    moves(scene, &mut placer, facts, &depth, None);
    shortages(scene, &mut placer, facts, &depth);
}

fn at_x(facts: &Facts<'_>, panel: &Panel, time_s: f64) -> f64 {
    panel.at_x(facts.units.value(Quantity::Duration, time_s))
}

/// What lies outside the limits.
fn limits_shade(scene: &mut Scene, panel: &Panel) {
    let [least, most] = [LEAST_OXYGEN_PA, MOST_OXYGEN_PA].map(|pa| panel.at_y(pa / BAR_PA));
    scene.fill(Rect { bottom: most, ..panel.rect }, ORANGE, 0.14);
    scene.fill(Rect { top: least, ..panel.rect }, ORANGE, 0.14);
}

/// The limits as lines; returns where their names belong.
fn limits(scene: &mut Scene, placer: &mut Placer, panel: &Panel) -> [(Point, f64, String); 2] {
    let told = [(LEAST_OXYGEN_PA, 0.25, "lower limit"), (MOST_OXYGEN_PA, 0.75, "upper limit")];
    told.map(|(pa, prefer, what)| {
        let y = panel.at_y(pa / BAR_PA);
        let ends = [Point::new(panel.rect.left, y), Point::new(panel.rect.right, y)];
        scene.line(ends[0], ends[1], Stroke::dashed(VERMILION, 2.0, Dash::Long));
        placer.keep_curve(&ends);
        (Point::new(panel.rect.right - 110.0, y), prefer, format!("{what} {}", partial(pa)))
    })
}

/// Hatches the times at which cylinders are breathed; returns the longest.
fn open_circuit(scene: &mut Scene, facts: &Facts<'_>, panel: &Panel) -> Option<Rect> {
    let profile = facts.scenario.profile();
    let mut open: Vec<Rect> = Vec::new();
    for (i, leg) in profile.legs().iter().enumerate().filter(|(_, leg)| leg.loop_mol_s.is_none()) {
        let (left, right) = (at_x(facts, panel, profile.leg_start(i).0), at_x(facts, panel, leg.end_s));
        match open.last_mut().filter(|before| before.right >= left) {
            Some(before) => before.right = right,
            None => open.push(Rect { left, right, ..panel.rect }),
        }
    }
    for time in &open {
        hatch::rect(scene, *time, HATCH_PX, Stroke::solid(RULE, 0.8));
    }
    open.into_iter().max_by(|a, b| a.width().total_cmp(&b.width()))
}

/// The loop's oxygen while it is breathed, and the setpoint across it; returns where the setpoint's names belong.
fn curves(scene: &mut Scene, placer: &mut Placer, facts: &Facts<'_>, panel: &Panel) -> Vec<(Point, String)> {
    let legs = facts.scenario.profile().legs();
    let mut runs: Vec<Vec<(f64, Point)>> = vec![Vec::new()];
    for row in facts.rows.samples() {
        let is_on_loop = legs.get(row.leg).is_some_and(|leg| leg.loop_mol_s.is_some());
        let point = Point::new(at_x(facts, panel, row.time_s), panel.at_y(row.loop_oxygen_pa / BAR_PA));
        match (is_on_loop, runs.last_mut()) {
            (true, Some(run)) => run.push((row.time_s, point)),
            _ => runs.push(Vec::new()),
        }
    }
    runs.retain(|run| !run.is_empty());
    let mut names: Vec<(f64, Point, String)> = Vec::new();
    for run in &runs {
        let points: Vec<Point> = run.iter().map(|(_, point)| *point).collect();
        let drawn = scene.curve(&points, Stroke::solid(BLUE, 3.2));
        placer.keep_curve(&drawn);
        if let [only] = points[..] {
            scene.disc(only, 4.0, BLUE);
        }
        let (from_s, to_s) = (run[0].0, run[run.len() - 1].0);
        names.extend(setpoint(scene, placer, facts, panel, (from_s, to_s)));
    }
    // each setpoint is named where it holds longest
    names.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut named: Vec<(Point, String)> = Vec::new();
    for (_, at, text) in names {
        if !named.iter().any(|(_, other)| *other == text) {
            named.push((at, text));
        }
    }
    named
}

/// The setpoint as a step line from one time to another; returns width, middle and name of its steps.
fn setpoint(
    scene: &mut Scene,
    placer: &mut Placer,
    facts: &Facts<'_>,
    panel: &Panel,
    (from_s, to_s): (f64, f64),
) -> Vec<(f64, Point, String)> {
    let profile = facts.scenario.profile();
    let changes = profile.setpoints().iter().map(|at| at.time_s).filter(|time_s| (from_s..to_s).contains(time_s));
    let mut starts: Vec<f64> = std::iter::once(from_s).chain(changes).collect();
    starts.dedup();
    let (mut line, mut names) = (Vec::new(), Vec::new());
    for (i, start_s) in starts.iter().enumerate() {
        let Some(pressure_pa) = profile.setpoint_pa(*start_s) else { continue };
        let end_s = starts.get(i + 1).copied().unwrap_or(to_s);
        let (left, right) = (at_x(facts, panel, *start_s), at_x(facts, panel, end_s));
        let y = panel.at_y(pressure_pa / BAR_PA);
        line.extend([Point::new(left, y), Point::new(right, y)]);
        if right - left >= NAMED_PX {
            names.push((
                right - left,
                Point::new(0.5 * (left + right), y),
                format!("setpoint {}", partial(pressure_pa)),
            ));
        }
    }
    placer.keep_curve(&scene.curve(&line, Stroke::dashed(BLACK, 1.5, Dash::Short)));
    names
}

/// Least and most oxygen, where they are outside the limits.
fn extremes(scene: &mut Scene, placer: &mut Placer, facts: &Facts<'_>, panel: &Panel) {
    let Some(circuit) = &facts.findings.circuit else { return };
    let (least, most) = (&circuit.least, &circuit.most);
    let told =
        [("least", least, 0.75, !circuit.too_little.is_empty()), ("most", most, 0.25, !circuit.too_much.is_empty())];
    for (what, at, prefer, _) in told.into_iter().filter(|(.., is_told)| *is_told) {
        let point = Point::new(at_x(facts, panel, at.time_s), panel.at_y(at.pressure_pa / BAR_PA));
        scene.disc(point, 6.5, PAPER);
        scene.disc(point, 5.0, BLUE);
        placer.keep_clear(Rect { left: point.x, right: point.x, top: point.y, bottom: point.y }.grown(6.0));
        let head = format!("{what} {}", partial(at.pressure_pa));
        let when = format!("{}, {}", watch(facts).text(at.time_s), facts.units.text(Quantity::Length, at.depth_m));
        let variants = [Label::headed(head.clone(), when), Label::bold(head)];
        placer.put(scene, point, prefer, &variants.map(|label| label.sized(SMALL_PX).coloured(BLUE_TEXT)));
    }
}

/// A cross where the absorbent is used up.
fn spent(scene: &mut Scene, placer: &mut Placer, facts: &Facts<'_>, circuit: &Circuit, panel: &Panel) {
    let Some(spent) = &circuit.spent else { return };
    let at = Point::new(at_x(facts, panel, spent.time_s), panel.at_y(spent.pressure_pa / BAR_PA));
    cross(scene, placer, at);
    let variants = [format!("absorbent used up at {}", watch(facts).text(spent.time_s)), "absorbent used up".into()];
    placer.put(scene, at, 0.25, &variants.map(|text| Label::bold(text).sized(SMALL_PX)));
}

/// Where the setpoint is more than the water allows, at the end of the dive.
fn shallow(scene: &mut Scene, placer: &mut Placer, facts: &Facts<'_>, circuit: &Circuit, panel: &Panel) {
    let Some(last) = circuit.too_shallow.iter().max_by(|a, b| (a.end_s - a.start_s).total_cmp(&(b.end_s - b.start_s)))
    else {
        return;
    };
    let row = &facts.rows.samples()[facts.rows.nearest(0.5 * (last.start_s + last.end_s))];
    // out of oxygen it is less still
    if row.loop_oxygen_pa < 0.99 * MOST_OXYGEN_FRAC * row.ambient_pa {
        return;
    }
    let at = Point::new(at_x(facts, panel, row.time_s), panel.at_y(row.loop_oxygen_pa / BAR_PA));
    let percent = fixed(100.0 * MOST_OXYGEN_FRAC, 0);
    let variants = [
        Label::plain(format!("near the surface at most {percent} % oxygen")),
        Label::plain(format!("at most {percent} % oxygen")),
    ];
    placer.put(scene, at, 0.4, &variants.map(|label| label.sized(SMALL_PX).coloured(SOFT)));
}
