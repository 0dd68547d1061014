//! The cylinders: each one's own lift while it is carried, and where it turns from sinker to floater.

use crate::findings::CylinderFinding;
use crate::report::chart::ends::{End, Ends};
use crate::report::chart::font;
use crate::report::chart::panel::{Axis, EDGE, LEFT, Panel, WIDTH};
use crate::report::chart::place::{Label, Placer};
use crate::report::chart::scene::Scene;
use crate::report::chart::shape::{Point, Rect};
use crate::report::chart::style::{BLACK, PAPER, SMALL_PX, Stroke, series};
use crate::report::chart::timeline::{moved, watch};
use crate::report::chart::title::{Heading, heading};
use crate::report::chart::{ChartError, Facts, Picture};
use crate::report::measure::Quantity;
use crate::sim::Happening;
use crate::sim::terms::cylinder_kg;

const HEIGHT: f64 = 520.0;
/// Longest name in the title, characters.
const NAME_IN_TITLE: usize = 30;

/// Draws it.
pub(super) fn draw(facts: &Facts<'_>) -> Result<Picture, ChartError> {
    let shown: Vec<&CylinderFinding> = facts.findings.cylinders.iter().filter(|c| c.first.is_some()).collect();
    if shown.is_empty() {
        return Err(ChartError::Nothing { figure: "cylinders", missing: "a cylinder that is carried" });
    }
    let message = message(facts, &shown);
    let mut scene = Scene::new(WIDTH, HEIGHT);
    let top = heading(&mut scene, &Heading { message: &message, subject: facts.title, note: facts.note }) + 22.0;
    let bottom = HEIGHT - 52.0;
    let texts: Vec<_> = shown.iter().map(|c| (name(facts, c).to_owned(), remark(facts, c))).collect();
    let ends = Ends::set(&texts, bottom - top);
    let rect = Rect { left: LEFT, top, right: WIDTH - EDGE - ends.margin, bottom };
    let panel = panel(facts, &shown, rect);
    let ticks = panel.x.minute_ticks(8);
    panel.draw_x_grid(&mut scene, &ticks);
    panel.draw_y(&mut scene);
    panel.draw_x(&mut scene, &ticks);
    let zero = [Point::new(rect.left, panel.at_y(0.0)), Point::new(rect.right, panel.at_y(0.0))];
    scene.line(zero[0], zero[1], Stroke::solid(BLACK, 1.2));

    let mut placer = Placer::new(rect.grown(-2.0));
    placer.keep_curve(&zero);
    let lasts: Vec<End> = shown
        .iter()
        .zip(&texts)
        .enumerate()
        .map(|(n, (cylinder, (name, remark)))| {
            let stroke = series(n);
            let last = curves(&mut scene, &mut placer, facts, &panel, cylinder.cylinder, stroke);
            let at_end = last.filter(|at| at.x >= rect.right - 1.0);
            End {
                at: at_end,
                wanted_y: last.map_or(rect.bottom, |at| at.y),
                stroke,
                name: name.clone(),
                remark: remark.clone(),
            }
        })
        .collect();
    ends.draw(&mut scene, &panel, &lasts);
    turns(&mut scene, &mut placer, facts, &panel, &shown);
    partings(&mut scene, &mut placer, facts, &panel, &shown);
    Ok(Picture::new(scene, message, "Own lift of each cylinder over the time of the dive, drawn while it is carried."))
}

fn name<'a>(facts: &'a Facts<'_>, cylinder: &CylinderFinding) -> &'a str {
    facts.scenario.rig().cylinders[cylinder.cylinder].name()
}

fn remark(facts: &Facts<'_>, cylinder: &CylinderFinding) -> String {
    let lift = |kg: f64| facts.units.signed(Quantity::Mass, kg);
    let unit = facts.units.symbol(Quantity::Mass);
    let (first, last) = (lift(cylinder.first_kg), lift(cylinder.last_kg));
    if first == last { format!("{last} {unit}") } else { format!("{first} to {last} {unit}") }
}

fn message(facts: &Facts<'_>, shown: &[&CylinderFinding]) -> String {
    let watch = watch(facts);
    let quoted = |cylinder: &CylinderFinding| format!("“{}”", short(facts, cylinder));
    let mut turning: Vec<_> = shown.iter().filter_map(|c| c.turn.map(|turn| (turn.time_s, *c))).collect();
    turning.sort_by(|a, b| a.0.total_cmp(&b.0));
    let turns = match turning[..] {
        [] => None,
        [(time_s, cylinder)] => Some(format!("{} floats from {} on", quoted(cylinder), watch.title(time_s))),
        [(first_s, a), (second_s, b)] => Some(format!(
            "{} floats from {} on; {} from {}",
            quoted(a),
            watch.title(first_s),
            quoted(b),
            watch.title(second_s)
        )),
        [(first_s, a), ..] => Some(format!(
            "{} cylinders turn into floaters, {} first, {}",
            turning.len(),
            quoted(a),
            if watch.unit() == "h" { watch.text(first_s) } else { format!("in {}", watch.title(first_s)) }
        )),
    };
    let floating: Vec<String> = shown.iter().filter(|c| c.first_kg > 0.0).map(|c| quoted(c)).collect();
    let floats = match &floating[..] {
        [] => None,
        [only] => Some(format!("{only} floats from the start")),
        [a, b] => Some(format!("{a} and {b} float from the start")),
        [a, b, more @ ..] => Some(format!("{a}, {b} and {} more float from the start", more.len())),
    };
    match (turns, floats, shown.len()) {
        (Some(turns), Some(floats), _) => format!("{turns}; {floats}"),
        (Some(only), None, _) | (None, Some(only), _) => only,
        (None, None, 1) => "The cylinder sinks from start to end".into(),
        (None, None, _) => "Every cylinder sinks from start to end".into(),
    }
}

/// A name for the title.
fn short(facts: &Facts<'_>, cylinder: &CylinderFinding) -> String {
    let name = font::clean(name(facts, cylinder));
    if name.chars().count() <= NAME_IN_TITLE {
        return name;
    }
    format!("{}…", name.chars().take(NAME_IN_TITLE - 1).collect::<String>().trim_end())
}

fn panel(facts: &Facts<'_>, shown: &[&CylinderFinding], rect: Rect) -> Panel {
    let units = facts.units;
    let rows = facts.rows.samples();
    let lifts = shown.iter().flat_map(|c| {
        (0..rows.len())
            .filter(|i| rows[*i].carried.contains(c.cylinder))
            .map(|i| units.value(Quantity::Mass, cylinder_kg(facts.scenario, facts.rows.now(i), c.cylinder)))
    });
    let title = format!("own lift, {} (+ floats, − sinks)", units.symbol(Quantity::Mass));
    let mut y = Axis { signed: true, ..Axis::covering(title, lifts.chain([0.0]), 0.0) };
    let span = y.high - y.low;
    (y.low, y.high) = (y.low - 0.10 * span, y.high + 0.14 * span);
    Panel { rect, x: watch(facts).axis(), y }
}

/// Draws a cylinder's curve in as many pieces as it is carried; returns its last point.
fn curves(
    scene: &mut Scene,
    placer: &mut Placer,
    facts: &Facts<'_>,
    panel: &Panel,
    cylinder: usize,
    stroke: Stroke,
) -> Option<Point> {
    let rows = facts.rows.samples();
    let mut last = None;
    let mut from = 0;
    while from < rows.len() {
        let len = rows[from..].iter().take_while(|row| row.carried.contains(cylinder)).count();
        if len == 0 {
            from += 1;
            continue;
        }
        let points: Vec<_> = (from..from + len)
            .map(|i| {
                let kg = facts.units.value(Quantity::Mass, cylinder_kg(facts.scenario, facts.rows.now(i), cylinder));
                panel.at(facts.units.value(Quantity::Duration, rows[i].time_s), kg)
            })
            .collect();
        placer.keep_curve(&scene.curve(&points, stroke));
        last = points.last().copied();
        if let ([only], Some(_)) = (&points[..], last) {
            scene.disc(*only, 4.0, stroke.colour);
        }
        from += len;
    }
    last
}

/// A diamond where a cylinder turns, with time and pressure.
fn turns(scene: &mut Scene, placer: &mut Placer, facts: &Facts<'_>, panel: &Panel, shown: &[&CylinderFinding]) {
    let marks: Vec<_> = shown
        .iter()
        .enumerate()
        .filter_map(|(n, c)| c.turn.map(|turn| (n, *c, turn)))
        .map(|(n, cylinder, turn)| {
            let at = panel.at(facts.units.value(Quantity::Duration, turn.time_s), 0.0);
            let diamond =
                |r: f64| [(0.0, -r), (r, 0.0), (0.0, r), (-r, 0.0)].map(|(x, y)| Point::new(at.x + x, at.y + y));
            scene.area(&diamond(9.0), PAPER, 1.0);
            scene.area(&diamond(7.0), series(n).colour, 1.0);
            placer.keep_clear(Rect { left: at.x, right: at.x, top: at.y, bottom: at.y }.grown(7.0));
            (at, cylinder, turn)
        })
        .collect();
    for (at, cylinder, turn) in marks {
        let when = format!("floats from {}", watch(facts).text(turn.time_s));
        let pressure = facts.units.text(Quantity::GaugePressure, turn.pressure_pa);
        let name = |room: f64| font::fit(&font::clean(name(facts, cylinder)), SMALL_PX, font::Weight::Bold, room);
        let variants = [
            Label::headed(name(180.0), format!("{when}, {pressure}")),
            Label::headed(name(90.0), when.clone()),
            Label::plain(watch(facts).number(turn.time_s)),
        ];
        placer.put(scene, at, 0.75, &variants.map(|label| label.sized(SMALL_PX)));
    }
}

/// Discs where a curve ends inside the dive, rings where one begins, each in the colour of its curve and with its name.
fn partings(scene: &mut Scene, placer: &mut Placer, facts: &Facts<'_>, panel: &Panel, shown: &[&CylinderFinding]) {
    let moves: Vec<_> = facts
        .events
        .iter()
        .filter_map(|event| match event.what {
            Happening::Moved { cylinder, kind, lift_kg, .. } => {
                let n = shown.iter().position(|one| one.cylinder == cylinder)?;
                Some((event.time_s, n, kind, lift_kg))
            }
            _ => None,
        })
        .map(|(time_s, n, kind, kg)| {
            let at = panel.at(facts.units.value(Quantity::Duration, time_s), facts.units.value(Quantity::Mass, kg));
            scene.disc(at, 6.0, PAPER);
            scene.disc(at, 4.5, series(n).colour);
            if kind.is_carried_after() {
                scene.disc(at, 2.4, PAPER);
            }
            placer.keep_clear(Rect { left: at.x, right: at.x, top: at.y, bottom: at.y }.grown(6.0));
            (at, time_s, n, kind)
        })
        .collect();
    let watch = watch(facts);
    for (at, time_s, n, kind) in moves {
        let name = font::clean(name(facts, shown[n]));
        let what = format!("{} {}", moved(kind), watch.number(time_s));
        let variants = [150.0, 90.0, 50.0].map(|room| {
            Label::headed(font::fit(&name, SMALL_PX, font::Weight::Bold, room), what.clone()).sized(SMALL_PX)
        });
        let prefer = if kind.is_carried_after() { 0.5 } else { 0.0 };
        placer.put(scene, at, prefer, &variants);
    }
}
