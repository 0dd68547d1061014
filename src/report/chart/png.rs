//! A scene as PNG, with the embedded typeface and no other.

use tiny_skia::{Color, FillRule, LineJoin, Paint, Path, PathBuilder, Pixmap, StrokeDash, Transform};
use ttf_parser::OutlineBuilder;

use crate::report::chart::ChartError;
use crate::report::chart::font;
use crate::report::chart::pen::{self, Surface};
use crate::report::chart::scene::{Anchor, Scene, Text};
use crate::report::chart::shape::Point;
use crate::report::chart::style::{Rgb, Stroke};

/// Widest PNG, px: 20 000 px are 1.7 m at 300 dpi.
pub(super) const MAX_WIDTH_PX: u32 = 20_000;

/// The PNG, on white.
///
/// # Errors
/// A width out of range, no memory for the pixels, or what pen and encoder report.
pub(super) fn png(scene: &Scene, width_px: u32) -> Result<Vec<u8>, ChartError> {
    if !(1..=MAX_WIDTH_PX).contains(&width_px) {
        return Err(ChartError::Width { width_px });
    }
    let raster = |message: String| ChartError::Raster { message };
    let scale = f64::from(width_px) / scene.width;
    let height_px = (scene.height * scale).round().clamp(1.0, f64::from(MAX_WIDTH_PX)) as u32;
    let mut pixmap = Pixmap::new(width_px, height_px).ok_or_else(|| raster("no memory for its pixels".into()))?;
    pixmap.fill(Color::WHITE);
    let mut page = Page { pixmap, scale: scale as f32 };
    pen::draw(scene, &mut page)?;
    encode(&page.pixmap).map_err(|error| raster(error.to_string()))
}

/// Opaque pixels, quickly: flat colour compresses well without filtering; the lowest level makes 148 KB in 4 ms of a
/// dive figure of 1600 × 1200 px, the usual one 79 KB in 18 ms.
fn encode(pixmap: &Pixmap) -> Result<Vec<u8>, png::EncodingError> {
    let rgb: Vec<u8> = pixmap.data().chunks_exact(4).flat_map(|rgba| [rgba[0], rgba[1], rgba[2]]).collect();
    let mut file = Vec::new();
    let mut encoder = png::Encoder::new(&mut file, pixmap.width(), pixmap.height());
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_filter(png::Filter::NoFilter);
    encoder.set_deflate_compression(png::DeflateCompression::Level(1));
    let mut writer = encoder.write_header()?;
    writer.write_image_data(&rgb)?;
    writer.finish()?;
    Ok(file)
}

struct Page {
    pixmap: Pixmap,
    /// Pixels of the PNG in a pixel of the picture.
    scale: f32,
}

impl Page {
    fn transform(&self) -> Transform {
        Transform::from_scale(self.scale, self.scale)
    }

    /// Fills a path; one without any extent is none.
    fn fill_path(&mut self, path: Option<Path>, colour: Rgb, alpha: f64) {
        if let Some(path) = path {
            let transform = self.transform();
            self.pixmap.fill_path(&path, &paint(colour, alpha), FillRule::Winding, transform, None);
        }
    }
}

impl Surface for Page {
    fn stroke(&mut self, points: &[Point], stroke: Stroke) {
        let Some(path) = polyline(points, false) else { return };
        let pattern: Vec<f32> = stroke.dash.pattern().iter().map(|px| *px as f32).collect();
        let stroke_px = tiny_skia::Stroke {
            width: stroke.width as f32,
            line_join: LineJoin::Round,
            dash: StrokeDash::new(pattern, 0.0), // none for the empty pattern of a whole line
            ..tiny_skia::Stroke::default()
        };
        let transform = self.transform();
        self.pixmap.stroke_path(&path, &paint(stroke.colour, 1.0), &stroke_px, transform, None);
    }

    fn fill(&mut self, outline: &[Point], colour: Rgb, alpha: f64) {
        self.fill_path(polyline(outline, true), colour, alpha);
    }

    fn disc(&mut self, centre: Point, radius: f64, colour: Rgb) {
        self.fill_path(PathBuilder::from_circle(centre.x as f32, centre.y as f32, radius as f32), colour, 1.0);
    }

    fn text(&mut self, text: &Text) {
        let (glyphs, width) = font::set(&text.text, text.size, text.weight);
        let left = match text.anchor {
            Anchor::Start => text.at.x,
            Anchor::Middle => text.at.x - 0.5 * width,
            Anchor::End => text.at.x - width,
        };
        let unit = text.size / font::units_per_em(text.weight);
        let mut ink = Ink { path: PathBuilder::new(), unit: unit as f32, x: 0.0, y: text.at.y as f32 };
        for (glyph, from) in glyphs {
            ink.x = (left + from) as f32;
            font::outline(glyph, text.weight, &mut ink);
        }
        self.fill_path(ink.path.finish(), text.colour, 1.0);
    }
}

fn paint(colour: Rgb, alpha: f64) -> Paint<'static> {
    let mut paint = Paint::default();
    paint.set_color_rgba8(colour.0, colour.1, colour.2, (255.0 * alpha).round() as u8);
    paint
}

fn polyline(points: &[Point], is_closed: bool) -> Option<Path> {
    let mut path = PathBuilder::new();
    let (first, rest) = points.split_first()?;
    path.move_to(first.x as f32, first.y as f32);
    rest.iter().for_each(|point| path.line_to(point.x as f32, point.y as f32));
    if is_closed {
        path.close();
    }
    path.finish()
}

/// Outlines of glyphs, put where their text stands. A typeface's y goes upwards.
struct Ink {
    path: PathBuilder,
    /// Size of a unit of the typeface, px.
    unit: f32,
    x: f32,
    y: f32,
}

impl Ink {
    fn at(&self, x: f32, y: f32) -> (f32, f32) {
        (self.x + self.unit * x, self.y - self.unit * y)
    }
}

impl OutlineBuilder for Ink {
    fn move_to(&mut self, x: f32, y: f32) {
        let (x, y) = self.at(x, y);
        self.path.move_to(x, y);
    }

    fn line_to(&mut self, x: f32, y: f32) {
        let (x, y) = self.at(x, y);
        self.path.line_to(x, y);
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        let ((x1, y1), (x, y)) = (self.at(x1, y1), self.at(x, y));
        self.path.quad_to(x1, y1, x, y);
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        let ((x1, y1), (x2, y2), (x, y)) = (self.at(x1, y1), self.at(x2, y2), self.at(x, y));
        self.path.cubic_to(x1, y1, x2, y2, x, y);
    }

    fn close(&mut self) {
        self.path.close();
    }
}
