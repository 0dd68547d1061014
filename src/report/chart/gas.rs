//! The gas: what wing, suit and foam hold, what the wing could and should hold, and what Boyle would do to it.

use crate::report::chart::ends::{End, Ends};
use crate::report::chart::font::Weight;
use crate::report::chart::panel::{Axis, EDGE, LEFT, Panel, WIDTH};
use crate::report::chart::place::{Label, Placer};
use crate::report::chart::scene::Scene;
use crate::report::chart::shape::{Point, Rect};
use crate::report::chart::style::{BLACK, BLUE, Dash, GREEN, INK, PURPLE, SMALL_PX, SOFT, Stroke, VERMILION};
use crate::report::chart::timeline::{column, depth_panel, time_axis};
use crate::report::chart::title::{Heading, heading};
use crate::report::chart::{ChartError, Facts, Picture};
use crate::report::measure::Quantity;
use crate::sim::Sample;

const HEIGHT: f64 = 560.0;
/// A volume below this is none, m³.
const NOTHING_M3: f64 = 1e-6;
/// A ghost curve that ends closer than this to what really happens is left out, as a share of it.
const SAME_FRAC: f64 = 0.05;

/// A volume over time.
struct Bag {
    name: &'static str,
    stroke: Stroke,
    volume_m3: fn(&Sample) -> f64,
    /// whether gas goes in and out: then Boyle alone would do something else
    controlled: bool,
}

const BAGS: [Bag; 3] = [
    Bag { name: "wing", stroke: Stroke::solid(BLUE, 2.4), volume_m3: |row| row.wing_m3, controlled: true },
    Bag {
        name: "suit gas",
        stroke: Stroke::dashed(GREEN, 2.2, Dash::OneDot),
        volume_m3: |row| row.suit_m3,
        controlled: true,
    },
    Bag {
        name: "foam",
        stroke: Stroke::dashed(PURPLE, 2.2, Dash::Short),
        volume_m3: |row| row.foam_m3,
        controlled: false,
    },
];

/// Draws it.
pub(super) fn draw(facts: &Facts<'_>) -> Result<Picture, ChartError> {
    let rows = facts.rows.samples();
    let largest = |bag: &Bag| rows.iter().map(bag.volume_m3).fold(0.0, f64::max);
    let has = |bag: &Bag| match bag.name {
        "wing" => facts.scenario.rig().wing.is_some(),
        "suit gas" => facts.scenario.rig().suit.is_some(),
        _ => largest(bag) > NOTHING_M3,
    };
    let bags: Vec<&Bag> = BAGS.iter().filter(|bag| has(bag)).collect();
    if bags.is_empty() {
        return Err(ChartError::Nothing { figure: "gas", missing: "a wing, a dry suit or foam" });
    }
    let message = message(facts);
    let mut scene = Scene::new(WIDTH, HEIGHT);
    let top = heading(&mut scene, &Heading { message: &message, subject: facts.title, note: facts.note });
    let bottom = HEIGHT - 52.0;
    let texts: Vec<_> = bags.iter().map(|bag| (bag.name.to_owned(), remark(facts, bag))).collect();
    let split = top + 0.26 * (bottom - top);
    let ends = Ends::set(&texts, bottom - split);
    let right = WIDTH - EDGE - ends.margin;
    let x = time_axis(facts);
    let ticks = x.minute_ticks(8);
    let above = Rect { left: LEFT, top: top + 22.0, right, bottom: split };
    let below = Rect { left: LEFT, top: split + 46.0, right, bottom };
    depth_panel(&mut scene, facts, above, &x);

    let panel = Panel { rect: below, x, y: volume_axis(facts, &bags) };
    panel.draw_x_grid(&mut scene, &ticks);
    panel.draw_y(&mut scene);
    panel.draw_x(&mut scene, &ticks);
    let mut placer = Placer::new(below.grown(-2.0));
    // hidden from labels first, so that none lands on a curve drawn later
    let limits = limits(&mut scene, &mut placer, facts, &panel);
    let ghosts: Vec<_> = bags
        .iter()
        .filter(|bag| bag.controlled)
        .flat_map(|bag| ghosts(&mut scene, &mut placer, facts, &panel, bag))
        .collect();
    let lasts: Vec<End> = bags
        .iter()
        .zip(&texts)
        .map(|(bag, (name, remark))| {
            let points: Vec<_> = column(facts, Quantity::Volume, |i| (bag.volume_m3)(&rows[i]))
                .iter()
                .map(|(time, volume)| panel.at(*time, *volume))
                .collect();
            placer.keep_curve(&scene.curve(&points, bag.stroke));
            let at = points[points.len() - 1];
            let end = (points.len() > 1).then_some(at);
            if end.is_none() {
                scene.disc(at, 4.0, bag.stroke.colour);
            }
            End { at: end, wanted_y: at.y, stroke: bag.stroke, name: name.clone(), remark: remark.clone() }
        })
        .collect();
    ends.draw(&mut scene, &panel, &lasts);
    for (at, label) in limits {
        placer.put(&mut scene, at, 0.75, &[label]);
    }
    for (at, variants) in ghosts {
        placer.put(&mut scene, at, 0.0, &variants);
    }
    Ok(Picture::new(
        scene,
        message,
        "Gas volume of wing, suit and foam over the time of the dive, with the depth above.",
    ))
}

fn remark(facts: &Facts<'_>, bag: &Bag) -> String {
    let rows = facts.rows.samples();
    let volumes = || rows.iter().map(bag.volume_m3);
    let (low, high) = (volumes().fold(f64::INFINITY, f64::min), volumes().fold(0.0, f64::max));
    let unit = facts.units.symbol(Quantity::Volume);
    let number = |m3: f64| facts.units.number(Quantity::Volume, m3);
    if number(low) == number(high) {
        format!("{} {unit}", number(high))
    } else {
        format!("{} to {} {unit}", number(low), number(high))
    }
}

fn message(facts: &Facts<'_>) -> String {
    let (wing, units) = (&facts.findings.wing, facts.units);
    let text = |m3: f64| units.text(Quantity::Volume, m3);
    match wing.capacity_m3 {
        Some(capacity_m3) if wing.is_enough() => {
            format!("The wing of {} is large enough: {} is needed", text(capacity_m3), text(wing.needed_m3))
        }
        Some(capacity_m3) => {
            format!("The wing of {} is too small: {} is needed", text(capacity_m3), text(wing.needed_m3))
        }
        None if wing.neutral_m3 > NOTHING_M3 => format!("No wing, but {} of it is needed", text(wing.needed_m3)),
        None => "No wing, and none is needed under water".into(),
    }
}

fn volume_axis(facts: &Facts<'_>, bags: &[&Bag]) -> Axis {
    let rows = facts.rows.samples();
    let wing = &facts.findings.wing;
    let volumes = bags.iter().flat_map(|bag| rows.iter().map(bag.volume_m3));
    let all = volumes.chain([wing.needed_m3, wing.capacity_m3.unwrap_or(0.0), 0.0]);
    let title = format!("gas volume at depth, {}", facts.units.symbol(Quantity::Volume));
    let values: Vec<f64> = all.map(|m3| facts.units.value(Quantity::Volume, m3)).collect();
    let axis = Axis::covering(title, values, 0.14);
    Axis { low: axis.low.min(0.0), ..axis }
}

/// Capacity and needed size of the wing as lines; their labels come later.
fn limits(scene: &mut Scene, placer: &mut Placer, facts: &Facts<'_>, panel: &Panel) -> Vec<(Point, Label)> {
    let (wing, units) = (&facts.findings.wing, facts.units);
    let mut labels = Vec::new();
    let mut line = |m3: f64, stroke: Stroke, name: &str, share: f64| {
        let y = panel.at_y(units.value(Quantity::Volume, m3));
        let (from, to) = (Point::new(panel.rect.left, y), Point::new(panel.rect.right, y));
        scene.line(from, to, stroke);
        placer.keep_curve(&[from, to]);
        let at = Point::new(panel.rect.left + share * panel.rect.width(), y);
        labels.push((
            at,
            Label::plain(format!("{name} {}", units.text(Quantity::Volume, m3))).sized(SMALL_PX).coloured(INK),
        ));
    };
    if let Some(capacity_m3) = wing.capacity_m3 {
        line(capacity_m3, Stroke::dashed(BLACK, 1.6, Dash::Long), "the wing holds", 0.85);
    }
    if wing.needed_m3 > NOTHING_M3 {
        let at_surface =
            if wing.surface_m3 >= wing.neutral_m3 { "needed, head out at the surface:" } else { "needed:" };
        line(wing.needed_m3, Stroke::dashed(VERMILION, 1.6, Dash::Short), at_surface, 0.5);
    }
    labels
}

/// What Boyle alone would make of a bag: on the way down nothing added, on the way up nothing vented.
fn ghosts(
    scene: &mut Scene,
    placer: &mut Placer,
    facts: &Facts<'_>,
    panel: &Panel,
    bag: &Bag,
) -> Vec<(Point, [Label; 2])> {
    let rows = facts.rows.samples();
    let deepest = rows.iter().map(|row| row.ambient_pa).fold(0.0, f64::max);
    let at_bottom = |row: &Sample| row.ambient_pa >= deepest * (1.0 - 1e-9);
    let Some(arrive) = rows.iter().position(at_bottom) else { return Vec::new() };
    let leave = rows.iter().rposition(at_bottom).unwrap_or(arrive);
    let mut labels = Vec::new();
    for (from, to, what) in [(0, arrive, "nothing added"), (leave, rows.len() - 1, "nothing vented")] {
        let start = &rows[from];
        let volume_m3 = |row: &Sample| (bag.volume_m3)(start) * start.ambient_pa / row.ambient_pa;
        let (ghost_m3, real_m3) = (volume_m3(&rows[to]), (bag.volume_m3)(&rows[to]));
        if from >= to || ghost_m3 < NOTHING_M3 || (ghost_m3 - real_m3).abs() < SAME_FRAC * ghost_m3.max(real_m3) {
            continue;
        }
        let points: Vec<_> = rows[from..=to]
            .iter()
            .map(|row| {
                (facts.units.value(Quantity::Duration, row.time_s), facts.units.value(Quantity::Volume, volume_m3(row)))
            })
            .collect();
        let runs = panel.clipped(&points);
        for run in &runs {
            placer.keep_curve(&scene.curve(run, Stroke::dashed(bag.stroke.colour, 1.3, Dash::Dots)));
        }
        if let Some(at) = runs.last().and_then(|run| run.last()) {
            let name = format!("{}, {what}", bag.name);
            let volume = facts.units.text(Quantity::Volume, ghost_m3);
            let place = format!("{volume} at {}", facts.units.text(Quantity::Length, rows[to].depth_m));
            let two_lines = [name.clone(), place.clone()].map(|text| (text, Weight::Regular)).to_vec();
            let variants = [Label::plain(format!("{name}: {place}")), Label { lines: two_lines, ..Label::plain("") }];
            labels.push((*at, variants.map(|label| label.sized(SMALL_PX).coloured(SOFT))));
        }
    }
    labels
}
