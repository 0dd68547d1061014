//! The net lift with the wing empty and its doubt over time.

use crate::report::chart::panel::{Axis, LEFT, Panel, WIDTH};
use crate::report::chart::place::{Label, Placer};
use crate::report::chart::scene::Scene;
use crate::report::chart::shape::{Point, Rect};
use crate::report::chart::style::{BLACK, BLUE, Dash, SKY, SMALL_PX, Stroke, VERMILION};
use crate::report::chart::timeline::Watch;
use crate::report::chart::title::{Heading, heading};
use crate::report::chart::{ChartError, Picture, font};
use crate::report::measure::{Quantity, UnitSystem};

const HEIGHT: f64 = 500.0;

/// The net lift with the wing empty with a band of doubt; all columns have the same length.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DoubtOverTime<'a> {
    /// Message of the picture.
    pub title: &'a str,
    /// What it is of.
    pub subject: &'a str,
    /// What the band is, such as `95 % of the draws`.
    pub band: &'a str,
    /// Time, s.
    pub time_s: &'a [f64],
    /// Lower end of the band, kg.
    pub low_kg: &'a [f64],
    /// Middle of the band, kg.
    pub middle_kg: &'a [f64],
    /// Upper end of the band, kg.
    pub high_kg: &'a [f64],
    /// Swim-up capacity, kg.
    pub capacity_kg: f64,
    /// What that is called.
    pub limit: &'a str,
    /// Units of the reader.
    pub units: UnitSystem,
}

/// Draws the band around the net lift with the wing empty.
///
/// # Errors
/// Empty columns, or a fault of the drawing library.
pub fn doubt_over_time(asked: &DoubtOverTime<'_>) -> Result<Picture, ChartError> {
    let columns = [asked.low_kg, asked.middle_kg, asked.high_kg];
    let rows = columns.iter().map(|column| column.len()).fold(asked.time_s.len(), usize::min);
    if rows == 0 {
        return Err(ChartError::Nothing { figure: "doubt-over-time", missing: "a series" });
    }
    let units = asked.units;
    let title = font::clean(asked.title);
    let mut scene = Scene::new(WIDTH, HEIGHT);
    let top = heading(&mut scene, &Heading { message: &title, subject: asked.subject, note: None }) + 22.0;
    let rect = Rect { left: LEFT, top, right: WIDTH - 26.0, bottom: HEIGHT - 52.0 };
    let mass = |kg: f64| units.value(Quantity::Mass, kg);
    let time = |s: f64| units.value(Quantity::Duration, s);
    let x = Watch::of(asked.time_s[rows - 1]).axis();
    let values =
        columns.iter().flat_map(|column| column[..rows].iter()).copied().chain([0.0, -asked.capacity_kg]).map(mass);
    let y_title = format!("net lift with the wing empty, {} (+ floats, − sinks)", units.symbol(Quantity::Mass));
    let mut y = Axis { signed: true, ..Axis::covering(y_title, values, 0.0) };
    let span = y.high - y.low;
    (y.low, y.high) = (y.low - 0.10 * span, y.high + 0.10 * span);
    let panel = Panel { rect, x, y };
    let points = |column: &[f64]| -> Vec<Point> {
        asked.time_s.iter().zip(column).take(rows).map(|(s, kg)| panel.at(time(*s), mass(*kg))).collect()
    };
    let [low, middle, high] = columns.map(points);
    let outline: Vec<Point> = low.iter().chain(high.iter().rev()).copied().collect();
    scene.area(&outline, SKY, 0.35);
    let ticks = panel.x.minute_ticks(10);
    panel.draw_x_grid(&mut scene, &ticks);
    panel.draw_y(&mut scene);
    panel.draw_x(&mut scene, &ticks);
    let mut placer = Placer::new(rect.grown(-2.0));
    let limit = -mass(asked.capacity_kg);
    for (value, stroke) in [(0.0, Stroke::solid(BLACK, 1.2)), (limit, Stroke::dashed(VERMILION, 2.0, Dash::Long))] {
        let (from, to) = (Point::new(rect.left, panel.at_y(value)), Point::new(rect.right, panel.at_y(value)));
        scene.line(from, to, stroke);
        placer.keep_curve(&[from, to]);
    }
    for side in [&low, &high] {
        placer.keep_curve(&scene.curve(side, Stroke::solid(BLUE, 1.0)));
    }
    placer.keep_curve(&scene.curve(&middle, Stroke::solid(BLUE, 2.4)));
    let name = format!("{} {}", asked.limit, units.text(Quantity::Mass, asked.capacity_kg));
    let at = Point::new(rect.left + 0.85 * rect.width(), panel.at_y(limit));
    placer.put(&mut scene, at, 0.25, &[Label::plain(name)]);
    placer.put(
        &mut scene,
        middle[rows * 2 / 5],
        0.75,
        &[Label::plain("middle"), Label::plain("middle").sized(SMALL_PX)],
    );
    placer.put(&mut scene, high[rows * 3 / 5], 0.75, &[Label::plain(font::clean(asked.band))]);
    Ok(Picture::new(scene, title, "Net lift with the wing empty over time, with a band of doubt around it."))
}
