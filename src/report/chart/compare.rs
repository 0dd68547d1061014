//! Several plans: the net lift with the wing empty of each.

use crate::findings::Findings;
use crate::report::Rows;
use crate::report::chart::ends::{End, Ends};
use crate::report::chart::font;
use crate::report::chart::panel::{Axis, EDGE, LEFT, Panel, WIDTH};
use crate::report::chart::place::{Label, Placer};
use crate::report::chart::scene::Scene;
use crate::report::chart::shape::{Point, Rect};
use crate::report::chart::style::{BLACK, Dash, PAPER, SMALL_PX, Stroke, VERMILION, VERMILION_TEXT, series};
use crate::report::chart::timeline::Watch;
use crate::report::chart::title::{Heading, heading};
use crate::report::chart::{ChartError, Picture};
use crate::report::fins::Fins;
use crate::report::measure::{Quantity, UnitSystem};

const HEIGHT: f64 = 520.0;
/// Capacities closer than this are drawn as one line, kg.
const SAME_KG: f64 = 0.05;

/// A plan to be compared.
#[derive(Clone, Copy, Debug)]
pub struct Compared<'a> {
    /// Name.
    pub label: &'a str,
    /// Rows of its run.
    pub rows: &'a Rows,
    /// What was found.
    pub findings: &'a Findings,
}

/// Draws the net lift with the wing empty of several plans over time. `subject` stands below the title.
///
/// # Errors
/// No plan, or a fault of the drawing library.
pub fn compare(plans: &[Compared<'_>], subject: &str, units: UnitSystem) -> Result<Picture, ChartError> {
    if plans.is_empty() {
        return Err(ChartError::Nothing { figure: "compare", missing: "a plan" });
    }
    let message = message(plans, units);
    let mut scene = Scene::new(WIDTH, HEIGHT);
    let top = heading(&mut scene, &Heading { message: &message, subject, note: None }) + 22.0;
    let bottom = HEIGHT - 52.0;
    let texts: Vec<_> = plans.iter().map(|plan| (plan.label.to_owned(), remark(plan, units))).collect();
    let ends = Ends::set(&texts, bottom - top);
    let rect = Rect { left: LEFT, top, right: WIDTH - EDGE - ends.margin, bottom };
    let panel = panel(plans, units, rect);
    let ticks = panel.x.minute_ticks(8);
    panel.draw_x_grid(&mut scene, &ticks);
    panel.draw_y(&mut scene);
    panel.draw_x(&mut scene, &ticks);
    let mut placer = Placer::new(rect.grown(-2.0));
    let zero = [Point::new(rect.left, panel.at_y(0.0)), Point::new(rect.right, panel.at_y(0.0))];
    scene.line(zero[0], zero[1], Stroke::solid(BLACK, 1.2));
    placer.keep_curve(&zero);
    let limits = limits(&mut scene, &mut placer, plans, units, &panel);

    let lasts: Vec<End> = plans
        .iter()
        .zip(&texts)
        .enumerate()
        .map(|(n, (plan, (name, remark)))| {
            let stroke = series(n);
            let at = |i: usize| {
                let row = &plan.rows.samples()[i];
                panel.at(units.value(Quantity::Duration, row.time_s), units.value(Quantity::Mass, row.bare_kg))
            };
            let points: Vec<_> = (0..plan.rows.samples().len()).map(at).collect();
            placer.keep_curve(&scene.curve(&points, stroke));
            for (extreme, is_heavy) in [(&plan.findings.heavy, true), (&plan.findings.light, false)] {
                let mark = panel
                    .at(units.value(Quantity::Duration, extreme.time_s), units.value(Quantity::Mass, extreme.bare_kg));
                scene.disc(mark, 5.5, PAPER);
                scene.disc(mark, 4.2, stroke.colour);
                if !is_heavy {
                    scene.disc(mark, 2.2, PAPER);
                }
                placer.keep_clear(Rect { left: mark.x, right: mark.x, top: mark.y, bottom: mark.y }.grown(5.0));
            }
            let last = points[points.len() - 1];
            let end = Some(last).filter(|last| last.x >= rect.right - 1.0);
            End { at: end, wanted_y: last.y, stroke, name: name.clone(), remark: remark.clone() }
        })
        .collect();
    ends.draw(&mut scene, &panel, &lasts);
    for (at, label) in limits {
        placer.put(&mut scene, at, 0.25, &[label]);
    }
    Ok(Picture::new(
        scene,
        message,
        "Net lift with the wing empty over time, heavy point as a disc and light point as a ring.",
    ))
}

fn remark(plan: &Compared<'_>, units: UnitSystem) -> String {
    let number = |kg: f64| units.signed(Quantity::Mass, kg);
    let (heavy, light) = (plan.findings.heavy.bare_kg, plan.findings.light.bare_kg);
    format!("{} to {} {}", number(heavy), number(light), units.symbol(Quantity::Mass))
}

fn message(plans: &[Compared<'_>], units: UnitSystem) -> String {
    let heavy = |plan: &Compared<'_>| plan.findings.heavy.bare_kg;
    let name = |plan: &Compared<'_>| short(plan.label, plans);
    let text = |plan: &Compared<'_>| units.signed_text(Quantity::Mass, heavy(plan));
    let least = plans.iter().min_by(|a, b| heavy(a).total_cmp(&heavy(b)));
    let most = plans.iter().max_by(|a, b| heavy(a).total_cmp(&heavy(b)));
    match (least, most) {
        (Some(a), Some(b)) if text(a) != text(b) => {
            format!("Heavy point {} in “{}”; only {} in “{}”", text(a), name(a), text(b), name(b))
        }
        (Some(a), _) if plans.len() > 1 => format!("Heavy point {} in every plan", text(a)),
        (Some(a), _) => format!("Heavy point {} in “{}”", text(a), name(a)),
        _ => String::new(),
    }
}

/// A name for the title: up to its first comma or bracket where it is long and that is enough to know it.
fn short(label: &str, plans: &[Compared<'_>]) -> String {
    const LONG: usize = 28;
    let name = font::clean(label);
    if name.chars().count() <= LONG {
        return name;
    }
    let head = name.split([',', '(', ':', ';']).next().unwrap_or(&name).trim_end().to_owned();
    let is_known = plans.iter().filter(|plan| font::clean(plan.label).starts_with(&head)).count() == 1;
    if is_known && (1..=LONG).contains(&head.chars().count()) {
        return head;
    }
    format!("{}…", name.chars().take(LONG - 1).collect::<String>().trim_end())
}

fn panel(plans: &[Compared<'_>], units: UnitSystem, rect: Rect) -> Panel {
    let end_s = plans.iter().map(|plan| plan.rows.last().time_s).fold(0.0, f64::max);
    let x = Watch::of(end_s).axis();
    let bare = plans.iter().flat_map(|plan| plan.rows.samples().iter().map(|row| row.bare_kg));
    let limits = plans.iter().map(|plan| -plan.findings.failed_wing.capacity_kg);
    let values = bare.chain(limits).chain([0.0]).map(|kg| units.value(Quantity::Mass, kg));
    let title = format!("net lift with the wing empty, {} (+ floats, − sinks)", units.symbol(Quantity::Mass));
    let mut y = Axis { signed: true, ..Axis::covering(title, values, 0.0) };
    let span = y.high - y.low;
    (y.low, y.high) = (y.low - 0.10 * span, y.high + 0.08 * span);
    Panel { rect, x, y }
}

/// The swim-up limits, one line for those that are equal.
fn limits(
    scene: &mut Scene,
    placer: &mut Placer,
    plans: &[Compared<'_>],
    units: UnitSystem,
    panel: &Panel,
) -> Vec<(Point, Label)> {
    let fins = Fins::where_overhead(plans.iter().any(|plan| plan.findings.overhead.is_some()));
    let mut limits: Vec<f64> = plans.iter().map(|plan| plan.findings.failed_wing.capacity_kg).collect();
    limits.sort_by(f64::total_cmp);
    limits.dedup_by(|a, b| (*a - *b).abs() < SAME_KG);
    limits
        .into_iter()
        .map(|kg| {
            let y = panel.at_y(-units.value(Quantity::Mass, kg));
            let (from, to) = (Point::new(panel.rect.left, y), Point::new(panel.rect.right, y));
            scene.line(from, to, Stroke::dashed(VERMILION, 2.0, Dash::Long));
            placer.keep_curve(&[from, to]);
            let label = Label::plain(format!("{} {}", fins.limit(), units.text(Quantity::Mass, kg)));
            (Point::new(panel.rect.left + 0.8 * panel.rect.width(), y), label.sized(SMALL_PX).coloured(VERMILION_TEXT))
        })
        .collect()
}
