//! What to weigh next: the doubt of an answer as it is, and as it would be with one figure more known.

use crate::report::chart::font::{self, Weight};
use crate::report::chart::panel::{Axis, EDGE, Panel, WIDTH};
use crate::report::chart::scene::{Anchor, Scene, Text};
use crate::report::chart::shape::{Point, Rect};
use crate::report::chart::style::{BLUE, BLUE_TEXT, GRID, INK, PAPER, RULE, Rgb, SMALL_PX, SOFT, Stroke};
use crate::report::chart::title::{Heading, heading};
use crate::report::chart::{ChartError, Picture};
use crate::report::measure::{Quantity, UnitSystem, fixed};

const ROW_PX: f64 = 34.0;
const NAME_PX: f64 = 280.0;
const REMARK_PX: f64 = 150.0;
const ARROW_PX: f64 = 18.0;
/// More rows than this nobody weighs before the next dive.
const ROWS: usize = 5;

/// A figure that can be known better.
#[derive(Clone, Debug, PartialEq)]
pub struct ToWeigh {
    /// What to do: `weigh the twin set`.
    pub deed: String,
    /// Half-width of the answer's interval once that is done, kg.
    pub then_kg: f64,
}

/// What a picture of what to weigh shows.
#[derive(Clone, Debug, PartialEq)]
pub struct WeighFigure<'a> {
    /// Message of the picture.
    pub title: &'a str,
    /// What it is of.
    pub subject: &'a str,
    /// The answer whose doubt it is, such as `least lead`.
    pub answer: &'a str,
    /// Half-width of its interval as things are, kg.
    pub now_kg: f64,
    /// What can be done, the most useful first; at most five are shown.
    pub deeds: Vec<ToWeigh>,
    /// Units of the reader.
    pub units: UnitSystem,
}

/// Draws what each deed would make of the doubt.
///
/// # Errors
/// Nothing to do, or a fault of the drawing library.
pub fn to_weigh(figure: &WeighFigure<'_>) -> Result<Picture, ChartError> {
    let rows = &figure.deeds[..figure.deeds.len().min(ROWS)];
    if rows.is_empty() {
        return Err(ChartError::Nothing { figure: "weigh", missing: "a figure with a doubt" });
    }
    let title = font::clean(figure.title);
    let mut scene = Scene::new(WIDTH, 200.0);
    let top = heading(&mut scene, &Heading { message: &title, subject: figure.subject, note: None }) + 30.0;
    let bottom = top + ROW_PX * rows.len() as f64 + 6.0;
    scene.height = bottom + 52.0;
    let value = |kg: f64| figure.units.value(Quantity::Mass, kg);
    let unit = figure.units.symbol(Quantity::Mass);
    let x = Axis::covering(format!("doubt of the {}, ± {unit}", figure.answer), [0.0, value(figure.now_kg)], 0.06);
    let rect = Rect { left: EDGE + NAME_PX + 14.0, top, right: WIDTH - EDGE - REMARK_PX, bottom };
    let panel = Panel { rect, x, y: Axis::between("", 0.0, 1.0) };
    let ticks = panel.x.ticks(6);
    panel.draw_x_grid(&mut scene, &ticks);
    panel.draw_x(&mut scene, &ticks);
    let now = panel.at_x(value(figure.now_kg));
    scene.line(Point::new(now, top), Point::new(now, bottom), Stroke::solid(INK, 1.2));
    text(
        &mut scene,
        Point::new(now, top - 8.0),
        Anchor::Middle,
        INK,
        &format!("now ±{}", fixed(value(figure.now_kg), 2)),
    );
    for (n, row) in rows.iter().enumerate() {
        let y = top + ROW_PX * (n as f64 + 0.5) + 2.0;
        let baseline = y + 0.36 * SMALL_PX;
        let then = panel.at_x(value(row.then_kg));
        scene.line(Point::new(rect.left, y), Point::new(then, y), Stroke::solid(GRID, 1.0));
        scene.line(Point::new(then, y), Point::new(now, y), Stroke::solid(BLUE, 4.0));
        scene.disc(Point::new(now, y), 5.5, RULE);
        scene.disc(Point::new(now, y), 3.2, PAPER);
        scene.disc(Point::new(then, y), 6.5, BLUE);
        let deed = font::fit(&font::clean(&row.deed), SMALL_PX, Weight::Regular, NAME_PX);
        text(&mut scene, Point::new(rect.left - 14.0, baseline), Anchor::End, INK, &deed);
        let colour = if n == 0 { BLUE_TEXT } else { SOFT };
        let result = format!("±{} {unit}", fixed(value(row.then_kg), 2));
        text(&mut scene, Point::new(WIDTH - EDGE, baseline), Anchor::End, colour, &result);
        let x = WIDTH - EDGE - font::width(&result, SMALL_PX, Weight::Regular) - 8.0;
        arrow(&mut scene, Point::new(x - ARROW_PX, y), colour);
        let start = format!("±{}", fixed(value(figure.now_kg), 2));
        text(&mut scene, Point::new(x - ARROW_PX - 8.0, baseline), Anchor::End, colour, &start);
    }
    let description = format!(
        "Half-width of the interval of the {}: as things are, and with one figure more known exactly.",
        figure.answer
    );
    Ok(Picture::new(scene, title, description))
}

/// An arrow to the right from a point; the typeface has none.
fn arrow(scene: &mut Scene, from: Point, colour: Rgb) {
    let tip = Point::new(from.x + ARROW_PX, from.y);
    scene.line(from, Point::new(tip.x - 4.0, tip.y), Stroke::solid(colour, 1.2));
    scene.area(&[tip, Point::new(tip.x - 6.0, tip.y - 3.5), Point::new(tip.x - 6.0, tip.y + 3.5)], colour, 1.0);
}

fn text(scene: &mut Scene, at: Point, anchor: Anchor, colour: Rgb, text: &str) {
    scene.text(Text { at, anchor, size: SMALL_PX, weight: Weight::Regular, colour, text: text.to_owned() });
}
