//! The gas: what the wing holds against what it can hold, in litres and in lift; and below, what pressure alone would do
//! to the gas of wing, suit and foam.

use crate::physics::bulk::Bulk;
use crate::report::chart::boyle::{self, Ghost};
use crate::report::chart::ends::Ends;
use crate::report::chart::panel::{Axis, EDGE, LEFT, Panel, WIDTH};
use crate::report::chart::place::{Label, Placer};
use crate::report::chart::scene::Scene;
use crate::report::chart::shape::{Point, Rect};
use crate::report::chart::style::{
    BLACK, BLUE, BLUE_TEXT, Dash, INK, ORANGE, SKY, SMALL_PX, Stroke, VERMILION, VERMILION_TEXT,
};
use crate::report::chart::timeline::{column, depth_panel, watch};
use crate::report::chart::title::{Heading, heading};
use crate::report::chart::{ChartError, Facts, Picture, hatch};
use crate::report::measure::Quantity;

const HEIGHT: f64 = 640.0;
/// Height of the strip of depth, px.
const DEPTH_PX: f64 = 58.0;
/// Height of the panel of what pressure alone would do, px.
const BOYLE_PX: f64 = 128.0;
/// From a panel to the next one, px: room for the title of the lower one.
const GAP_PX: f64 = 40.0;
/// Room for the labels of the second axis, px.
const SECOND_PX: f64 = 58.0;
/// A volume below this is none, m³.
pub(super) const NOTHING_M3: f64 = 1e-6;

/// Draws it.
pub(super) fn draw(facts: &Facts<'_>) -> Result<Picture, ChartError> {
    let rig = facts.scenario.rig();
    let has_foam = facts.rows.samples().iter().any(|row| row.foam_m3 > NOTHING_M3);
    if rig.wing.is_none() && rig.suit.is_none() && !has_foam {
        return Err(ChartError::Nothing { figure: "gas", missing: "a wing, a dry suit or foam" });
    }
    let ghosts = boyle::ghosts(facts);
    let message = message(facts);
    let mut scene = Scene::new(WIDTH, HEIGHT);
    let top = heading(&mut scene, &Heading { message: &message, subject: facts.title, note: facts.note });
    let bottom = HEIGHT - 52.0;
    let ends = Ends::set(&ghosts.iter().map(Ghost::texts).collect::<Vec<_>>(), BOYLE_PX);
    let right = WIDTH - EDGE - if ghosts.is_empty() { SECOND_PX } else { ends.margin.max(SECOND_PX) };
    let x = watch(facts).axis();
    let ticks = x.minute_ticks(8);
    let above = Rect { left: LEFT, top: top + 22.0, right, bottom: top + 22.0 + DEPTH_PX };
    let split = if ghosts.is_empty() { bottom } else { bottom - BOYLE_PX - GAP_PX };
    let middle = Rect { left: LEFT, top: above.bottom + GAP_PX, right, bottom: split };
    depth_panel(&mut scene, facts, above, &x, &ticks, &[]);

    let panel = Panel { rect: middle, x: x.clone(), y: volume_axis(facts) };
    panel.draw_x_grid(&mut scene, &ticks);
    panel.draw_y(&mut scene);
    second_axis(&mut scene, facts, &panel);
    wing(&mut scene, facts, &panel);
    if ghosts.is_empty() {
        panel.draw_x(&mut scene, &ticks);
    } else {
        let below = Rect { left: LEFT, top: bottom - BOYLE_PX, right, bottom };
        boyle::draw(&mut scene, facts, &ghosts, (below, &x, &ticks), &ends);
    }
    let description = "Gas volume of the wing over the time of the dive against its capacity, in litres and in lift, with \
                       the depth above; below, what pressure alone would do to the gas of wing, suit and foam.";
    Ok(Picture::new(scene, message, description))
}

fn message(facts: &Facts<'_>) -> String {
    let (wing, units) = (&facts.findings.wing, facts.units);
    let text = |m3: f64| units.text(Quantity::Volume, m3);
    match wing.capacity_m3 {
        Some(_) if wing.needed_m3 <= NOTHING_M3 => "The wing stays empty: at no moment is gas needed in it".into(),
        Some(capacity_m3) if wing.is_enough() => {
            format!("The wing of {} is large enough: {} is needed", text(capacity_m3), text(wing.needed_m3))
        }
        Some(capacity_m3) => {
            format!("The wing of {} is too small: {} is needed", text(capacity_m3), text(wing.needed_m3))
        }
        None if wing.neutral_m3 > NOTHING_M3 => {
            format!("No wing: one would have to hold {} at the heaviest moment", text(wing.neutral_m3))
        }
        None => "No wing, and none is needed under water".into(),
    }
}

fn volume_axis(facts: &Facts<'_>) -> Axis {
    let wing = &facts.findings.wing;
    let needed_m3 = if wing.capacity_m3.is_some() { wing.needed_m3 } else { wing.neutral_m3 };
    let most_m3 = needed_m3.max(wing.capacity_m3.unwrap_or(0.0));
    let title = match wing.capacity_m3 {
        Some(_) => "gas in the wing",
        None => "gas that a wing would need",
    };
    let title = format!("{title}, {}", facts.units.symbol(Quantity::Volume));
    Axis::covering(title, [0.0, facts.units.value(Quantity::Volume, most_m3)], 0.16)
}

/// The lift of the volumes, in the water at the surface: in a dive through several waters it differs by up to three in a
/// hundred, which an axis does not show.
fn second_axis(scene: &mut Scene, facts: &Facts<'_>, panel: &Panel) {
    let ratio = lift_of(facts, 1.0) / facts.units.value(Quantity::Volume, 1.0);
    panel.draw_right(scene, &format!("lift, {}", facts.units.symbol(Quantity::Mass)), ratio);
}

/// What a volume lifts at the surface, in the reader's unit.
fn lift_of(facts: &Facts<'_>, volume_m3: f64) -> f64 {
    facts.units.value(Quantity::Mass, Bulk::volume(volume_m3).net_kg(facts.scenario.water().density_kg_m3(0, 0.0)))
}

/// The filled band of the wing's gas, what it cannot hold, and its limits.
fn wing(scene: &mut Scene, facts: &Facts<'_>, panel: &Panel) {
    let rows = facts.rows.samples();
    let curve = |volume_m3: &dyn Fn(usize) -> f64| -> Vec<Point> {
        let values = column(facts, Quantity::Volume, volume_m3);
        values.iter().map(|(time, volume)| panel.at(*time, *volume)).collect()
    };
    let (held, needed) = (curve(&|i| rows[i].wing_m3), curve(&|i| rows[i].wing_needed_m3));
    let floor = panel.at_y(0.0);
    let base = [Point::new(held[held.len() - 1].x, floor), Point::new(held[0].x, floor)];
    scene.area(&held.iter().copied().chain(base).collect::<Vec<_>>(), SKY, 0.45);
    let mut placer = Placer::new(panel.rect.grown(-2.0));
    if facts.findings.wing.neutral_m3 > rows.iter().map(|row| row.wing_m3).fold(0.0, f64::max) + NOTHING_M3 {
        let missing: Vec<Point> = needed.iter().chain(held.iter().rev()).copied().collect();
        scene.area(&missing, ORANGE, 0.35);
        let span = (held[0].x, held[held.len() - 1].x);
        hatch::between(scene, [&needed, &held], span, 9.0, Stroke::solid(ORANGE, 1.0));
        placer.keep_curve(&scene.curve(&needed, Stroke::dashed(VERMILION, 1.8, Dash::Dots)));
    }
    if facts.findings.wing.capacity_m3.is_some() {
        placer.keep_curve(&scene.curve(&held, Stroke::solid(BLUE, 2.4)));
    }
    if held.len() == 1 {
        scene.disc(held[0], 4.0, BLUE);
    }
    scene.line(base[1], Point::new(panel.rect.right, floor), Stroke::solid(BLACK, 1.2));
    let limits = limits(scene, &mut placer, facts, panel);
    for (at, prefer, label) in limits {
        placer.put(scene, at, prefer, &[label]);
    }
    name_most(scene, &mut placer, facts, panel);
}

/// The moment that takes most gas under water.
fn name_most(scene: &mut Scene, placer: &mut Placer, facts: &Facts<'_>, panel: &Panel) {
    let (wing, units) = (&facts.findings.wing, facts.units);
    if wing.neutral_m3 <= NOTHING_M3 {
        let at = panel.at(0.5 * panel.x.high, 0.0);
        placer.put(scene, at, 0.75, &[Label::plain("no gas is needed in it under water").sized(SMALL_PX)]);
        return;
    }
    let at = panel.at(units.value(Quantity::Duration, wing.neutral_s), units.value(Quantity::Volume, wing.neutral_m3));
    scene.disc(at, 4.5, BLUE);
    let volume = units.text(Quantity::Volume, wing.neutral_m3);
    let when = format!("{}, {}", watch(facts).text(wing.neutral_s), units.text(Quantity::Length, wing.neutral_m));
    let variants = [Label::headed(format!("most under water {volume}"), when), Label::bold(format!("most {volume}"))];
    placer.put(scene, at, 0.9, &variants.map(|label| label.sized(SMALL_PX).coloured(BLUE_TEXT)));
}

/// Capacity and needed size of the wing as lines; their labels come later.
fn limits(scene: &mut Scene, placer: &mut Placer, facts: &Facts<'_>, panel: &Panel) -> Vec<(Point, f64, Label)> {
    let (wing, units) = (&facts.findings.wing, facts.units);
    let mut labels = Vec::new();
    let Some(capacity_m3) = wing.capacity_m3 else { return labels };
    let mut line = |m3: f64, stroke: Stroke, text: String, (share, prefer): (f64, f64), colour| {
        let y = panel.at_y(units.value(Quantity::Volume, m3));
        let (from, to) = (Point::new(panel.rect.left, y), Point::new(panel.rect.right, y));
        scene.line(from, to, stroke);
        placer.keep_curve(&[from, to]);
        let at = Point::new(panel.rect.left + share * panel.rect.width(), y);
        labels.push((at, prefer, Label::plain(text).sized(SMALL_PX).coloured(colour)));
    };
    let told = |m3: f64| {
        let lift = crate::report::measure::fixed(lift_of(facts, m3), 1);
        format!("{} ({lift} {})", units.text(Quantity::Volume, m3), units.symbol(Quantity::Mass))
    };
    let text = format!("the wing holds {}", told(capacity_m3));
    line(capacity_m3, Stroke::solid(BLACK, 2.0), text, (0.75, 0.75), INK);
    if wing.surface_m3 > wing.neutral_m3 {
        let text = format!("needed at the surface, head out: {}", told(wing.surface_m3));
        line(wing.surface_m3, Stroke::dashed(VERMILION, 1.6, Dash::Short), text, (0.6, 0.25), VERMILION_TEXT);
    }
    labels
}
