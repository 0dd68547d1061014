//! What a figure consists of, in drawing order. Coordinates are pixels of the finished picture, y downwards.

use crate::report::chart::font::Weight;
use crate::report::chart::shape::{Point, Rect, thin};
use crate::report::chart::style::{Rgb, Stroke};

/// A curve loses points that lie this close to the line through their neighbours, px.
const THIN_PX: f64 = 0.25;
/// The same for the edge of a shape, which a curve or nothing but a tint makes: three times as much, half a stroke's width.
const THIN_AREA_PX: f64 = 0.75;

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

/// A thing that is drawn.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Item {
    /// A line through points.
    Path(Vec<Point>, Stroke),
    /// A filled shape: its corners, its colour, and how much of that covers what is below.
    Area(Vec<Point>, Rgb, f64),
    /// A filled circle: its centre and radius.
    Disc(Point, f64, Rgb),
    Text(Text),
}

/// A figure before it becomes a file.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Scene {
    pub width: f64,
    pub height: f64,
    /// Facts for scripts, as `data-` attributes of the SVG: name and value.
    pub data: Vec<(&'static str, f64)>,
    items: Vec<Item>,
}

impl Scene {
    /// An empty picture.
    pub fn new(width: f64, height: f64) -> Self {
        Self { width, height, data: Vec::new(), items: Vec::new() }
    }

    /// What is drawn, in that order.
    pub fn items(&self) -> &[Item] {
        &self.items
    }

    /// A straight line.
    pub fn line(&mut self, from: Point, to: Point, stroke: Stroke) {
        self.items.push(Item::Path(vec![from, to], stroke));
    }

    /// A curve, thinned; returns what was drawn of it.
    pub fn curve(&mut self, points: &[Point], stroke: Stroke) -> Vec<Point> {
        let thinned = thin(points, THIN_PX);
        self.items.push(Item::Path(thinned.clone(), stroke));
        thinned
    }

    /// A filled shape.
    pub fn area(&mut self, points: &[Point], colour: Rgb, alpha: f64) {
        self.items.push(Item::Area(thin(points, THIN_AREA_PX), colour, alpha));
    }

    /// A filled rectangle.
    pub fn fill(&mut self, rect: Rect, colour: Rgb, alpha: f64) {
        self.items.push(Item::Area(rect.corners().to_vec(), colour, alpha));
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
}
