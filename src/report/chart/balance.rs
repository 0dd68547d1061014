//! Heavy and light point side by side, each a waterfall from the parts to the net lift with the wing empty.

use crate::findings::Extreme;
use crate::report::chart::font::{self, Weight};
use crate::report::chart::panel::{Axis, EDGE, Panel, WIDTH};
use crate::report::chart::scene::{Anchor, Scene, Text};
use crate::report::chart::shape::{Point, Rect};
use crate::report::chart::style::{
    BLACK, BODY_PX, GRID, INK, PAPER, RULE, Rgb, SKY, SMALL_PX, SOFT, Stroke, VERMILION,
};
use crate::report::chart::title::{Heading, heading};
use crate::report::chart::{ChartError, Facts, Picture, hatch};
use crate::report::measure::{Quantity, clock};
use crate::rig::{Role, SUIT};
use crate::sim::{Owner, terms};

const ROW_PX: f64 = 25.0;
const BAR_PX: f64 = 15.0;
/// Widest name of a row, px.
const NAME_PX: f64 = 165.0;
/// Column of the changes, px.
const CHANGE_PX: f64 = 64.0;
/// With more cylinders than this, their shells share a row.
const OWN_ROWS: usize = 6;

/// A row: what it is, and its lift at heavy and light point, kg.
#[derive(Clone, Debug, PartialEq)]
struct Row {
    name: String,
    lift_kg: [f64; 2],
}

/// Draws it.
pub(super) fn draw(facts: &Facts<'_>) -> Result<Picture, ChartError> {
    let points = [&facts.findings.heavy, &facts.findings.light];
    let rows = rows(facts, points);
    let message = message(facts, &rows);
    let mut scene = Scene::new(WIDTH, 200.0);
    let top = heading(&mut scene, &Heading { message: &message, subject: facts.title, note: facts.note }) + 46.0;
    let bottom = top + ROW_PX * (rows.len() + 1) as f64 + 8.0;
    scene.height = bottom + 52.0;

    let left = EDGE + NAME_PX + 8.0;
    let width = 0.5 * (WIDTH - EDGE - CHANGE_PX - left - 14.0);
    let panels = [left, left + width + 14.0].map(|left| Panel {
        rect: Rect { left, top, right: left + width, bottom },
        x: axis(facts, &rows, width),
        y: Axis::covering("", [], 0.0),
    });
    for (row, name) in rows.iter().map(|row| row.name.as_str()).chain(["net, wing empty"]).enumerate() {
        let weight = if row == rows.len() { Weight::Bold } else { Weight::Regular };
        text(
            &mut scene,
            Point::new(EDGE, baseline(top, row)),
            Anchor::Start,
            weight,
            INK,
            &font::fit(name, SMALL_PX, weight, NAME_PX),
        );
    }
    for (side, panel) in panels.iter().enumerate() {
        head(&mut scene, facts, panel, ["heavy point", "light point"][side], points[side]);
        waterfall(&mut scene, facts, panel, &rows, side);
    }
    changes(&mut scene, facts, &rows, top);
    Ok(Picture::new(scene, message, description(facts, &rows)))
}

fn baseline(top: f64, row: usize) -> f64 {
    top + ROW_PX * (row as f64 + 0.5) + 4.0 + 0.36 * SMALL_PX
}

fn text(scene: &mut Scene, at: Point, anchor: Anchor, weight: Weight, colour: Rgb, text: &str) {
    scene.text(Text { at, anchor, size: SMALL_PX, weight, colour, text: text.to_owned() });
}

/// The parts, grouped as they are worn; what is nothing at both points is left out.
fn rows(facts: &Facts<'_>, points: [&Extreme; 2]) -> Vec<Row> {
    let (scenario, diver) = (facts.scenario, facts.scenario.rig());
    let lists = points.map(|point| {
        let now = &point.now;
        (terms(scenario, &now.state, &now.ambient), now.ambient.water_kg_m3)
    });
    let sum = |is_mine: &dyn Fn(Owner) -> bool| {
        lists.each_ref().map(|(list, water_kg_m3)| {
            list.iter().filter(|term| is_mine(term.owner)).map(|term| term.net_kg(*water_kg_m3)).sum()
        })
    };
    let group = |name: &str, roles: &[Role]| Row {
        name: name.into(),
        lift_kg: sum(&|owner| matches!(owner, Owner::Part(i) if roles.contains(&diver.parts[i].role))),
    };
    let mut rows = vec![
        group("diver", &[Role::Person]),
        group("suit", &[Role::Suit]),
        Row { name: "suit gas".into(), lift_kg: sum(&|owner| owner == Owner::Bag(SUIT)) },
        group("gear and empty wing", &[Role::Gear, Role::Wing]),
        group("ballast", &[Role::Ballast]),
    ];
    let shells: Vec<Row> = diver
        .cylinders
        .iter()
        .enumerate()
        .map(|(i, cylinder)| Row {
            name: format!(
                "{}, empty",
                font::fit(&font::clean(cylinder.name()), SMALL_PX, Weight::Regular, NAME_PX - 50.0)
            ),
            lift_kg: sum(&|owner| owner == Owner::Cylinder(i)),
        })
        .collect();
    if shells.len() > OWN_ROWS {
        let both = [0, 1].map(|side| shells.iter().map(|shell| shell.lift_kg[side]).sum());
        rows.push(Row { name: format!("{} cylinders, empty", shells.len()), lift_kg: both });
    } else {
        rows.extend(shells);
    }
    rows.push(Row { name: "gas in cylinders".into(), lift_kg: sum(&|owner| matches!(owner, Owner::Gas(_))) });
    rows.retain(|row| row.lift_kg.iter().any(|kg| kg.abs() > 1e-9));
    rows
}

fn message(facts: &Facts<'_>, rows: &[Row]) -> String {
    let units = facts.units;
    let (heavy, light) = (facts.findings.heavy.bare_kg, facts.findings.light.bare_kg);
    let change = |row: &Row| row.lift_kg[1] - row.lift_kg[0];
    let most = rows.iter().max_by(|a, b| change(a).abs().total_cmp(&change(b).abs()));
    let ends = format!(
        "From {} at the heavy point to {} at the light point",
        units.signed_text(Quantity::Mass, heavy),
        units.signed_text(Quantity::Mass, light)
    );
    match most.filter(|row| change(row).abs() > 0.05) {
        Some(row) if row.name == "gas in cylinders" => {
            format!("{ends}: the gas in the cylinders makes {} of it", units.signed_text(Quantity::Mass, change(row)))
        }
        Some(row) => format!("{ends}: “{}” makes {} of it", row.name, units.signed_text(Quantity::Mass, change(row))),
        None => ends,
    }
}

fn description(facts: &Facts<'_>, rows: &[Row]) -> String {
    let list = |side: usize| {
        let parts = rows
            .iter()
            .map(|row| format!("{} {}", row.name, facts.units.signed_text(Quantity::Mass, row.lift_kg[side])));
        parts.collect::<Vec<_>>().join(", ")
    };
    format!("Heavy point: {}. Light point: {}.", list(0), list(1))
}

/// The axis over all running sums of both points, with room for the numbers beside the bars.
fn axis(facts: &Facts<'_>, rows: &[Row], width: f64) -> Axis {
    let mut sums = vec![0.0];
    for side in 0..2 {
        let mut sum = 0.0;
        for row in rows {
            sum += facts.units.value(Quantity::Mass, row.lift_kg[side]);
            sums.push(sum);
        }
    }
    let mut axis = Axis {
        signed: true,
        ..Axis::covering(format!("running sum, {}", facts.units.symbol(Quantity::Mass)), sums, 0.0)
    };
    if axis.low == axis.high {
        axis.high += 1.0;
    }
    let room = 52.0 / (width - 104.0) * (axis.high - axis.low);
    (axis.low, axis.high) = (axis.low - room, axis.high + room);
    axis
}

fn head(scene: &mut Scene, facts: &Facts<'_>, panel: &Panel, name: &str, at: &Extreme) {
    let x = panel.rect.left + 4.0;
    let place = format!("{} min, {}", clock(at.time_s), facts.units.text(Quantity::Length, at.depth_m));
    let head = Text {
        at: Point::new(x, panel.rect.top - 26.0),
        anchor: Anchor::Start,
        size: BODY_PX,
        weight: Weight::Bold,
        colour: INK,
        text: name.to_owned(),
    };
    scene.text(head);
    text(scene, Point::new(x, panel.rect.top - 8.0), Anchor::Start, Weight::Regular, SOFT, &place);
}

fn waterfall(scene: &mut Scene, facts: &Facts<'_>, panel: &Panel, rows: &[Row], side: usize) {
    let ticks = panel.x.ticks(5);
    panel.draw_x_grid(scene, &ticks);
    panel.draw_x(scene, &ticks);
    let zero = panel.at_x(0.0);
    let row_top = |row: usize| panel.rect.top + 4.0 + ROW_PX * row as f64 + 0.5 * (ROW_PX - BAR_PX);
    scene.line(
        Point::new(panel.rect.left, row_top(rows.len()) - 5.0),
        Point::new(panel.rect.right, row_top(rows.len()) - 5.0),
        Stroke::solid(GRID, 1.0),
    );
    scene.line(Point::new(zero, panel.rect.top), Point::new(zero, panel.rect.bottom), Stroke::solid(BLACK, 1.2));
    let mut sum_kg = 0.0;
    let steps = rows.iter().map(|row| Some(row.lift_kg[side])).chain([None]);
    for (row, step) in steps.enumerate() {
        let is_net = step.is_none();
        let (from_kg, to_kg) = step.map_or((0.0, sum_kg), |step_kg| (sum_kg, sum_kg + step_kg));
        let at = |kg: f64| panel.at_x(facts.units.value(Quantity::Mass, kg));
        let (left, right) = (at(from_kg.min(to_kg)), at(from_kg.max(to_kg)).max(at(from_kg.min(to_kg)) + 1.0));
        let bar = Rect { left, right, top: row_top(row), bottom: row_top(row) + BAR_PX };
        paint(scene, bar, to_kg >= from_kg, is_net);
        let number = facts.units.signed(Quantity::Mass, to_kg - from_kg);
        let weight = if is_net { Weight::Bold } else { Weight::Regular };
        let (x, anchor) = if to_kg >= from_kg { (right + 5.0, Anchor::Start) } else { (left - 5.0, Anchor::End) };
        let half = font::width(&number, SMALL_PX, weight);
        let under = if anchor == Anchor::Start { x } else { x - half };
        let rect = Rect { left: under - 1.0, right: under + half + 1.0, top: bar.top, bottom: bar.bottom };
        scene.fill(rect, PAPER, 0.85);
        text(scene, Point::new(x, baseline(panel.rect.top, row)), anchor, weight, INK, &number);
        if !is_net {
            sum_kg = to_kg;
            let x = at(sum_kg);
            scene.line(Point::new(x, bar.bottom), Point::new(x, row_top(row + 1)), Stroke::solid(RULE, 1.0));
        }
    }
}

/// Floaters are plain, sinkers hatched, the net black.
fn paint(scene: &mut Scene, bar: Rect, floats: bool, is_net: bool) {
    if is_net {
        scene.fill(bar, INK, 1.0);
    } else if floats {
        scene.fill(bar, SKY, 1.0);
    } else {
        scene.fill(bar, VERMILION, 0.45);
        hatch::rect(scene, bar, 5.0, Stroke::solid(VERMILION, 1.2));
    }
}

/// What changes from heavy to light point, in a column of its own.
fn changes(scene: &mut Scene, facts: &Facts<'_>, rows: &[Row], top: f64) {
    let x = WIDTH - EDGE;
    text(scene, Point::new(x, top - 26.0), Anchor::End, Weight::Bold, INK, "change");
    text(scene, Point::new(x, top - 8.0), Anchor::End, Weight::Regular, SOFT, facts.units.symbol(Quantity::Mass));
    let all = rows.iter().map(|row| row.lift_kg[1] - row.lift_kg[0]);
    let net: f64 = all.clone().sum();
    for (row, kg) in all.chain([net]).enumerate() {
        let number = facts.units.signed(Quantity::Mass, kg);
        let is_none = number.chars().all(|c| matches!(c, '0' | '.'));
        let (weight, colour) =
            if row == rows.len() { (Weight::Bold, INK) } else { (Weight::Regular, if is_none { RULE } else { INK }) };
        text(scene, Point::new(x, baseline(top, row)), Anchor::End, weight, colour, &number);
    }
}
