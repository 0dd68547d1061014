//! The pen: a scene drawn through plotters, and the only file that knows plotters and its limits.
//!
//! plotters counts in whole numbers: here they are tenths of a pixel, so that a point is off by at most 0.05 px, a
//! quarter of what thinning a curve may move it. plotters has no broken lines: [`Line`] is an element of ours beside
//! those of the library, and hands the whole line with its pattern to the surface. What a surface gets is in pixels.

use std::convert::Infallible;

use plotters::element::{Circle, Drawable, PointCollection, Polygon, Text as TextElement};
use plotters::prelude::IntoDrawingArea as _;
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{Color as _, FontDesc, FontFamily, FontStyle, RGBColor, TextStyle};
use plotters_backend::{BackendColor, BackendCoord, BackendStyle, BackendTextStyle, DrawingBackend, DrawingErrorKind};

use crate::report::chart::ChartError;
use crate::report::chart::font::{self, Weight};
use crate::report::chart::scene::{Anchor, Item, Scene, Text};
use crate::report::chart::shape::{Point, Rect};
use crate::report::chart::style::{PAPER, Rgb, Stroke};

/// Whole numbers of plotters in a pixel.
const GRID: f64 = 10.0;

/// What a pen draws on. Lengths are pixels of the picture, y downwards.
pub(super) trait Surface {
    /// A line through points, broken after its pattern.
    fn stroke(&mut self, points: &[Point], stroke: Stroke);
    /// A closed shape, filled.
    fn fill(&mut self, outline: &[Point], colour: Rgb, alpha: f64);
    /// A circle, filled.
    fn disc(&mut self, centre: Point, radius: f64, colour: Rgb);
    /// A line of text.
    fn text(&mut self, text: &Text);
}

/// Draws a scene on white paper.
///
/// # Errors
/// What plotters reports.
pub(super) fn draw(scene: &Scene, surface: &mut impl Surface) -> Result<(), ChartError> {
    let sheet = Sheet { surface, size: (grid(scene.width) as u32, grid(scene.height) as u32) };
    let area = sheet.into_drawing_area();
    let paper = Rect { left: 0.0, top: 0.0, right: scene.width, bottom: scene.height };
    let fill = |points: &[Point], colour: Rgb, alpha: f64| {
        Polygon::new(points.iter().map(|point| on_grid(*point)).collect::<Vec<_>>(), solid(colour).mix(alpha))
    };
    area.draw(&fill(&paper.corners(), PAPER, 1.0)).map_err(drawing)?;
    for item in scene.items() {
        match item {
            Item::Path(points, stroke) => area.draw(&Line::new(points, *stroke)),
            Item::Area(points, colour, alpha) => area.draw(&fill(points, *colour, *alpha)),
            Item::Disc(centre, radius, colour) => {
                area.draw(&Circle::new(on_grid(*centre), grid(*radius), solid(*colour).filled()))
            }
            Item::Text(text) => area.draw(&TextElement::new(text.text.as_str(), on_grid(text.at), text_style(text))),
        }
        .map_err(drawing)?;
    }
    area.present().map_err(drawing)
}

fn drawing(error: impl std::error::Error) -> ChartError {
    ChartError::Drawing { message: error.to_string() }
}

fn grid(px: f64) -> i32 {
    (px * GRID).round() as i32
}

fn on_grid(point: Point) -> BackendCoord {
    (grid(point.x), grid(point.y))
}

fn px((x, y): BackendCoord) -> Point {
    Point::new(f64::from(x) / GRID, f64::from(y) / GRID)
}

fn solid(colour: Rgb) -> RGBColor {
    RGBColor(colour.0, colour.1, colour.2)
}

fn rgb(colour: BackendColor) -> Rgb {
    Rgb(colour.rgb.0, colour.rgb.1, colour.rgb.2)
}

fn text_style(text: &Text) -> TextStyle<'static> {
    let weight = match text.weight {
        Weight::Regular => FontStyle::Normal,
        Weight::Bold => FontStyle::Bold,
    };
    let side = match text.anchor {
        Anchor::Start => HPos::Left,
        Anchor::Middle => HPos::Center,
        Anchor::End => HPos::Right,
    };
    TextStyle {
        font: FontDesc::new(FontFamily::Name(font::FAMILY), text.size, weight),
        color: solid(text.colour).to_backend_color(),
        pos: Pos::new(side, VPos::Bottom), // the point is on the baseline
    }
}

/// A polyline with a pattern.
struct Line {
    points: Vec<BackendCoord>,
    stroke: Stroke,
}

impl Line {
    fn new(points: &[Point], stroke: Stroke) -> Self {
        Self { points: points.iter().map(|point| on_grid(*point)).collect(), stroke }
    }
}

impl<'a> PointCollection<'a, BackendCoord> for &'a Line {
    type Point = &'a BackendCoord;
    type IntoIter = &'a [BackendCoord];

    fn point_iter(self) -> Self::IntoIter {
        &self.points
    }
}

impl<S: Surface> Drawable<Sheet<'_, S>> for Line {
    fn draw<I: Iterator<Item = BackendCoord>>(&self, points: I, sheet: &mut Sheet<'_, S>, _: (u32, u32)) -> Done {
        sheet.surface.stroke(&points.map(px).collect::<Vec<_>>(), self.stroke);
        Ok(())
    }
}

type Done = Result<(), DrawingErrorKind<Infallible>>;

/// A surface as plotters sees it: what it draws with elements of its own arrives here.
struct Sheet<'a, S> {
    surface: &'a mut S,
    size: (u32, u32),
}

impl<S: Surface> DrawingBackend for Sheet<'_, S> {
    type ErrorType = Infallible;

    fn get_size(&self) -> (u32, u32) {
        self.size
    }

    fn ensure_prepared(&mut self) -> Done {
        Ok(())
    }

    fn present(&mut self) -> Done {
        Ok(())
    }

    fn draw_pixel(&mut self, (x, y): BackendCoord, colour: BackendColor) -> Done {
        self.fill_polygon([(x, y), (x + 1, y), (x + 1, y + 1), (x, y + 1)], &colour)
    }

    fn fill_polygon<B: BackendStyle, I: IntoIterator<Item = BackendCoord>>(&mut self, outline: I, style: &B) -> Done {
        let outline: Vec<_> = outline.into_iter().map(px).collect();
        self.surface.fill(&outline, rgb(style.color()), style.color().alpha);
        Ok(())
    }

    fn draw_circle<B: BackendStyle>(&mut self, centre: BackendCoord, radius: u32, style: &B, _: bool) -> Done {
        self.surface.disc(px(centre), f64::from(radius) / GRID, rgb(style.color()));
        Ok(())
    }

    fn draw_text<B: BackendTextStyle>(&mut self, text: &str, style: &B, at: BackendCoord) -> Done {
        self.surface.text(&Text {
            at: px(at),
            anchor: match style.anchor().h_pos {
                HPos::Left => Anchor::Start,
                HPos::Center => Anchor::Middle,
                HPos::Right => Anchor::End,
            },
            size: style.size(),
            weight: if matches!(style.style(), FontStyle::Bold) { Weight::Bold } else { Weight::Regular },
            colour: rgb(style.color()),
            text: text.to_owned(),
        });
        Ok(())
    }
}
