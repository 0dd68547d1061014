//! What a figure consists of, in drawing order, and its way to SVG.
//!
//! Coordinates are pixels of the finished picture, y downwards. The SVG backend counts in whole pixels, so it draws on
//! a canvas [`FINE`] times as large, which the view box brings back.

use plotters::prelude::*;
use plotters::style::text_anchor::{HPos, Pos, VPos};

use crate::report::chart::ChartError;
use crate::report::chart::font::{self, Weight};
use crate::report::chart::shape::{Point, Rect, dashes, thin};
use crate::report::chart::style::{Rgb, Stroke};

/// Canvas units in a pixel.
pub(super) const FINE: f64 = 10.0;
/// The backend divides sizes by this before it writes them.
const BACKEND_SIZE: f64 = 1.24;
/// The backend puts the baseline of a text that hangs from its top this far down, as a share of the size.
const BACKEND_TOP_EM: f64 = 0.76;
/// A curve loses points that lie this close to the line through their neighbours, px.
const THIN_PX: f64 = 0.2;
/// A broken line has at most so many dashes, which bounds the size of the file: they grow on a jagged curve.
const MOST_DASHES: usize = 250;

/// Where a text stands against its point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

/// A line of text.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Text {
    /// Point on the baseline.
    pub at: Point,
    pub anchor: Anchor,
    pub size: f64,
    pub weight: Weight,
    pub colour: Rgb,
    pub text: String,
}

#[derive(Clone, Debug, PartialEq)]
enum Item {
    Path(Vec<Point>, Stroke),
    Area(Vec<Point>, Rgb, f64),
    Disc(Point, f64, Rgb),
    Text(Text),
}

/// A figure before it becomes a file.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Scene {
    pub width: f64,
    pub height: f64,
    /// Facts for scripts, as `data-` attributes of the SVG: name and value. Lengths are in units of the view box.
    pub data: Vec<(&'static str, f64)>,
    items: Vec<Item>,
}

impl Scene {
    /// An empty picture.
    pub fn new(width: f64, height: f64) -> Self {
        Self { width, height, data: Vec::new(), items: Vec::new() }
    }

    /// A straight line.
    pub fn line(&mut self, from: Point, to: Point, stroke: Stroke) {
        self.path(&[from, to], stroke);
    }

    /// A curve, thinned; returns what was drawn of it.
    pub fn curve(&mut self, points: &[Point], stroke: Stroke) -> Vec<Point> {
        let thinned = thin(points, THIN_PX);
        self.path(&thinned, stroke);
        thinned
    }

    fn path(&mut self, points: &[Point], stroke: Stroke) {
        let pattern = stroke.dash.pattern();
        if pattern.is_empty() {
            self.items.push(Item::Path(points.to_vec(), stroke));
        } else {
            self.items.extend(dashes(points, pattern, MOST_DASHES).into_iter().map(|dash| Item::Path(dash, stroke)));
        }
    }

    /// A filled shape.
    pub fn area(&mut self, points: &[Point], colour: Rgb, alpha: f64) {
        self.items.push(Item::Area(thin(points, THIN_PX), colour, alpha));
    }

    /// A filled rectangle.
    pub fn fill(&mut self, rect: Rect, colour: Rgb, alpha: f64) {
        self.items.push(Item::Area(rect.corners().to_vec(), colour, alpha));
    }

    /// Slanted lines across a rectangle, `gap` px apart, which show in grey what a tint shows in colour.
    pub fn hatch(&mut self, rect: Rect, gap: f64, stroke: Stroke) {
        // lines x + y = c, cut to the rectangle
        let mut c = ((rect.left + rect.top) / gap).ceil() * gap;
        while c < rect.right + rect.bottom {
            let (x0, x1) = ((c - rect.bottom).max(rect.left), (c - rect.top).min(rect.right));
            self.line(Point::new(x0, c - x0), Point::new(x1, c - x1), stroke);
            c += gap;
        }
    }

    /// A filled circle.
    pub fn disc(&mut self, centre: Point, radius: f64, colour: Rgb) {
        self.items.push(Item::Disc(centre, radius, colour));
    }

    /// A line of text.
    pub fn text(&mut self, text: Text) {
        if !text.text.is_empty() {
            self.items.push(Item::Text(text));
        }
    }

    /// The SVG with a title and a description for screen readers.
    ///
    /// # Errors
    /// Whatever the backend reports.
    pub fn svg(&self, title: &str, description: &str) -> Result<String, ChartError> {
        let mut body = String::new();
        {
            let size = ((self.width * FINE) as u32, (self.height * FINE) as u32);
            let area = SVGBackend::with_string(&mut body, size).into_drawing_area();
            area.fill(&WHITE).map_err(drawing)?;
            for item in &self.items {
                draw(&area, item)?;
            }
            area.present().map_err(drawing)?;
        }
        let body = body.split_once(">\n").map_or("", |(_, body)| body).replace("\n</text>", "</text>");
        let (w, h) = (self.width, self.height);
        let data: String = self.data.iter().map(|(name, value)| format!(" data-{name}=\"{value}\"")).collect();
        Ok(format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}\" height=\"{h}\" viewBox=\"0 0 {} {}\" role=\"img\" \
             stroke-linejoin=\"round\" stroke-linecap=\"butt\"{data}>\n<title>{}</title>\n<desc>{}</desc>\n{body}",
            w * FINE,
            h * FINE,
            escape(title),
            escape(description),
        ))
    }
}

type Area<'a> = DrawingArea<SVGBackend<'a>, plotters::coord::Shift>;

fn drawing<E: std::error::Error + Send + Sync>(error: DrawingAreaErrorKind<E>) -> ChartError {
    ChartError::Drawing { message: error.to_string() }
}

fn draw(area: &Area<'_>, item: &Item) -> Result<(), ChartError> {
    let fine = |p: &Point| ((p.x * FINE).round() as i32, (p.y * FINE).round() as i32);
    let solid = |colour: Rgb| RGBColor(colour.0, colour.1, colour.2);
    match item {
        Item::Path(points, stroke) => {
            let style = solid(stroke.colour).stroke_width((stroke.width * FINE).round() as u32);
            area.draw(&PathElement::new(points.iter().map(fine).collect::<Vec<_>>(), style)).map_err(drawing)
        }
        Item::Area(points, colour, alpha) => {
            let style = solid(*colour).mix(*alpha).filled();
            area.draw(&Polygon::new(points.iter().map(fine).collect::<Vec<_>>(), style)).map_err(drawing)
        }
        Item::Disc(centre, radius, colour) => {
            area.draw(&Circle::new(fine(centre), (radius * FINE).round(), solid(*colour).filled())).map_err(drawing)
        }
        Item::Text(text) => {
            let size = text.size * FINE;
            let slant = if text.weight == Weight::Bold { FontStyle::Bold } else { FontStyle::Normal };
            let horizontal = match text.anchor {
                Anchor::Start => HPos::Left,
                Anchor::Middle => HPos::Center,
                Anchor::End => HPos::Right,
            };
            let colour = solid(text.colour);
            let style = TextStyle::from(FontDesc::new(FontFamily::Name(font::FAMILY), size * BACKEND_SIZE, slant))
                .color(&colour)
                .pos(Pos::new(horizontal, VPos::Top));
            let (x, y) = fine(&text.at);
            area.draw_text(&text.text, &style, (x, y - (BACKEND_TOP_EM * size).round() as i32)).map_err(drawing)
        }
    }
}

fn escape(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}
