//! From the heavy to the light point as a bridge: where it starts, what changes on the way, where it ends.

use crate::report::balance::{Step, bridge};
use crate::report::chart::font::{self, Weight};
use crate::report::chart::panel::{Axis, EDGE, Panel, WIDTH};
use crate::report::chart::scene::{Anchor, Scene, Text};
use crate::report::chart::shape::{Point, Rect};
use crate::report::chart::style::{
    BLACK, Dash, INK, ORANGE, RULE, Rgb, SKY, SMALL_PX, SOFT, Stroke, VERMILION, VERMILION_TEXT,
};
use crate::report::chart::timeline::watch;
use crate::report::chart::title::{Heading, heading};
use crate::report::chart::{ChartError, Facts, Picture, hatch};
use crate::report::fins::Fins;
use crate::report::measure::Quantity;

const ROW_PX: f64 = 30.0;
const BAR_PX: f64 = 18.0;
/// Widest name of a row, px.
const NAME_PX: f64 = 230.0;
/// Room for a number beside a bar, px.
const NUMBER_PX: f64 = 56.0;

/// Draws it.
pub(super) fn draw(facts: &Facts<'_>) -> Result<Picture, ChartError> {
    let found = facts.findings;
    let steps = bridge(facts.scenario, &found.heavy.now, &found.light.now);
    let message = message(facts, &steps);
    let mut scene = Scene::new(WIDTH, 200.0);
    let top = heading(&mut scene, &Heading { message: &message, subject: facts.title, note: facts.note }) + 26.0;
    let bottom = top + ROW_PX * (steps.len() + 2) as f64 + 8.0;
    scene.height = bottom + 52.0;
    let rect = Rect { left: EDGE + NAME_PX + 10.0, top, right: WIDTH - EDGE, bottom };
    let panel = Panel { rect, x: axis(facts, &steps, rect.width()), y: Axis::between("", 0.0, 1.0) };
    let ticks = panel.x.ticks(7);
    panel.draw_x_grid(&mut scene, &ticks);
    panel.draw_x(&mut scene, &ticks);
    rows(&mut scene, facts, &panel, &steps);
    rules(&mut scene, facts, &panel);
    Ok(Picture::new(scene, message, description(facts, &steps)))
}

fn message(facts: &Facts<'_>, steps: &[Step]) -> String {
    let units = facts.units;
    let (heavy_kg, light_kg) = (facts.findings.heavy.bare_kg, facts.findings.light.bare_kg);
    let text = |kg: f64| units.text(Quantity::Mass, kg.abs());
    let change_kg = light_kg - heavy_kg;
    if units.signed(Quantity::Mass, change_kg).chars().all(|c| matches!(c, '0' | '.')) {
        return format!(
            "Nothing changes between heavy and light point: {}",
            units.signed_text(Quantity::Mass, heavy_kg)
        );
    }
    let most = steps.iter().max_by(|a, b| a.change_kg.abs().total_cmp(&b.change_kg.abs()));
    let gas_kg: f64 = steps.iter().filter(|step| step.is_gas).map(|step| step.change_kg).sum();
    let ends = format!("{} lighter at the light point", text(change_kg));
    match most {
        Some(_) if gas_kg > 0.5 * change_kg => {
            format!("{ends}: gas that left the cylinders makes {} of it", text(gas_kg))
        }
        Some(step) => {
            let name = font::clean(&step.name);
            let short: String = name.chars().take(40).collect();
            format!("{ends}: most of all {short}, {}", units.signed_text(Quantity::Mass, step.change_kg))
        }
        None => ends,
    }
}

fn description(facts: &Facts<'_>, steps: &[Step]) -> String {
    let lift = |kg: f64| facts.units.signed_text(Quantity::Mass, kg);
    let changes: Vec<String> =
        steps.iter().map(|step| format!("{} {}", font::clean(&step.name), lift(step.change_kg))).collect();
    let (heavy, light) = (lift(facts.findings.heavy.bare_kg), lift(facts.findings.light.bare_kg));
    format!("Heavy point {heavy}. Changes: {}. Light point {light}.", changes.join(", "))
}

/// The axis over all running sums, zero and the swim-up limit, with room for the numbers beside the bars.
fn axis(facts: &Facts<'_>, steps: &[Step], width: f64) -> Axis {
    let value = |kg: f64| facts.units.value(Quantity::Mass, kg);
    let found = facts.findings;
    let mut sum = found.heavy.bare_kg;
    let mut sums = vec![0.0, value(sum), value(found.light.bare_kg), -value(found.failed_wing.capacity_kg)];
    for step in steps {
        sum += step.change_kg;
        sums.push(value(sum));
    }
    let title = format!("net lift with the wing empty, {} (+ floats, − sinks)", facts.units.symbol(Quantity::Mass));
    let mut axis = Axis { signed: true, ..Axis::covering(title, sums, 0.0) };
    let room = NUMBER_PX / (width - 2.0 * NUMBER_PX) * (axis.high - axis.low);
    (axis.low, axis.high) = (axis.low - room, axis.high + room);
    axis
}

/// Zero, and how heavy a diver can swim up.
fn rules(scene: &mut Scene, facts: &Facts<'_>, panel: &Panel) {
    let capacity_kg = facts.findings.failed_wing.capacity_kg;
    let upright = |kg: f64| panel.at_x(facts.units.value(Quantity::Mass, kg));
    let (zero, limit) = (upright(0.0), upright(-capacity_kg));
    let rect = panel.rect;
    scene.line(Point::new(zero, rect.top), Point::new(zero, rect.bottom), Stroke::solid(BLACK, 1.2));
    let dashed = Stroke::dashed(VERMILION, 2.0, Dash::Long);
    scene.line(Point::new(limit, rect.top), Point::new(limit, rect.bottom), dashed);
    let name = format!("{} {}", Fins::of(facts.scenario).limit(), facts.units.text(Quantity::Mass, capacity_kg));
    // beside the line where it would leave the picture
    let half = 0.5 * font::width(&name, SMALL_PX, Weight::Regular);
    let x = limit.clamp(EDGE + half, WIDTH - EDGE - half);
    text(scene, Point::new(x, rect.top - 7.0), Anchor::Middle, Weight::Regular, VERMILION_TEXT, &name);
}

fn text(scene: &mut Scene, at: Point, anchor: Anchor, weight: Weight, colour: Rgb, text: &str) {
    scene.text(Text { at, anchor, size: SMALL_PX, weight, colour, text: text.to_owned() });
}

/// A row: its name, from where to where its bar goes, and what it is.
struct Row {
    name: String,
    from_kg: f64,
    to_kg: f64,
    look: Look,
}

/// How a bar is painted: it says in grey what the colours say.
#[derive(Clone, Copy, PartialEq)]
enum Look {
    Sum,
    Lighter,
    Heavier,
}

fn rows(scene: &mut Scene, facts: &Facts<'_>, panel: &Panel, steps: &[Step]) {
    let found = facts.findings;
    let watch = watch(facts);
    let point = |name: &str, time_s: f64, bare_kg: f64| Row {
        name: format!("{name}, {}", watch.text(time_s)),
        from_kg: 0.0,
        to_kg: bare_kg,
        look: Look::Sum,
    };
    let mut list = vec![point("heavy point", found.heavy.time_s, found.heavy.bare_kg)];
    let mut sum_kg = found.heavy.bare_kg;
    for step in steps {
        let (from_kg, to_kg) = (sum_kg, sum_kg + step.change_kg);
        let look = if step.change_kg >= 0.0 { Look::Lighter } else { Look::Heavier };
        list.push(Row { name: font::clean(&step.name), from_kg, to_kg, look });
        sum_kg = to_kg;
    }
    list.push(point("light point", found.light.time_s, found.light.bare_kg));
    for (n, row) in list.iter().enumerate() {
        draw_row(scene, facts, panel, n, row, n + 1 < list.len());
    }
}

/// Left side of a number beside a bar: at the end to which the bar grows, but clear of the line of the limit.
fn beside((left, right): (f64, f64), wide: f64, grows_right: bool, limit: f64) -> f64 {
    let (before, after) = (left - 6.0 - wide, right + 6.0);
    let sides = if grows_right { [after, before] } else { [before, after] };
    let is_clear = |x: &f64| limit < x - 4.0 || limit > x + wide + 4.0;
    sides.into_iter().find(is_clear).unwrap_or(limit + 6.0)
}

/// The bar of a net lift: black, and hatched in orange what is beyond the swim-up limit or floats.
fn sum_bar(scene: &mut Scene, facts: &Facts<'_>, panel: &Panel, bar: Rect) {
    scene.fill(bar, INK, 1.0);
    let at = |kg: f64| panel.at_x(facts.units.value(Quantity::Mass, kg));
    let (limit, zero) = (at(-facts.findings.failed_wing.capacity_kg), at(0.0));
    let beyond = [Rect { right: bar.right.min(limit), ..bar }, Rect { left: bar.left.max(zero), ..bar }];
    for part in beyond.into_iter().filter(|part| part.width() > 1.6) {
        scene.fill(part, ORANGE, 1.0);
        hatch::rect(scene, part, 6.0, Stroke::solid(INK, 1.6));
    }
}

fn draw_row(scene: &mut Scene, facts: &Facts<'_>, panel: &Panel, n: usize, row: &Row, has_next: bool) {
    let at = |kg: f64| panel.at_x(facts.units.value(Quantity::Mass, kg));
    let middle = panel.rect.top + 4.0 + ROW_PX * (n as f64 + 0.5);
    let (from, to) = (at(row.from_kg), at(row.to_kg));
    let (left, right) = (from.min(to), from.max(to).max(from.min(to) + 1.5));
    let bar = Rect { left, right, top: middle - 0.5 * BAR_PX, bottom: middle + 0.5 * BAR_PX };
    let kg = if row.look == Look::Sum { row.to_kg } else { row.to_kg - row.from_kg };
    let number = facts.units.signed(Quantity::Mass, kg);
    let is_nothing = number.chars().all(|c| matches!(c, '0' | '.'));
    match row.look {
        Look::Sum => sum_bar(scene, facts, panel, bar),
        Look::Lighter | Look::Heavier if is_nothing => scene.fill(bar, RULE, 1.0),
        Look::Lighter => scene.fill(bar, SKY, 1.0),
        Look::Heavier => {
            scene.fill(bar, VERMILION, 0.45);
            hatch::rect(scene, bar, 5.0, Stroke::solid(VERMILION, 1.2));
        }
    }
    let is_sum = row.look == Look::Sum;
    let (weight, baseline) = (if is_sum { Weight::Bold } else { Weight::Regular }, middle + 0.36 * SMALL_PX);
    let name = font::fit(&row.name, SMALL_PX, weight, NAME_PX);
    text(scene, Point::new(EDGE, baseline), Anchor::Start, weight, INK, &name);
    let wide = font::width(&number, SMALL_PX, weight);
    let under = beside((left, right), wide, row.to_kg >= row.from_kg, at(-facts.findings.failed_wing.capacity_kg));
    let paper = Rect { left: under - 2.0, right: under + wide + 2.0, top: bar.top, bottom: bar.bottom };
    scene.fill(paper, crate::report::chart::style::PAPER, 0.85);
    let colour = if is_nothing { SOFT } else { INK };
    text(scene, Point::new(under, baseline), Anchor::Start, weight, colour, &number);
    if has_next {
        // the next bar begins where this one ends
        scene.line(Point::new(to, bar.bottom), Point::new(to, bar.bottom + ROW_PX - BAR_PX), Stroke::solid(RULE, 1.0));
    }
}
