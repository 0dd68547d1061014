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
    let pixmap = pixels(scene, width_px)?;
    encode(&pixmap).map_err(|error| ChartError::Raster { message: error.to_string() })
}

fn pixels(scene: &Scene, width_px: u32) -> Result<Pixmap, ChartError> {
    if !(1..=MAX_WIDTH_PX).contains(&width_px) {
        return Err(ChartError::Width { width_px });
    }
    let scale = f64::from(width_px) / scene.width;
    let height_px = (scene.height * scale).round().clamp(1.0, f64::from(MAX_WIDTH_PX)) as u32;
    let mut pixmap = Pixmap::new(width_px, height_px)
        .ok_or_else(|| ChartError::Raster { message: "no memory for its pixels".into() })?;
    pixmap.fill(Color::WHITE);
    let mut page = Page { pixmap, scale: scale as f32 };
    pen::draw(scene, &mut page)?;
    Ok(page.pixmap)
}

/// Opaque pixels, quickly: flat colour compresses well without filtering; the lowest level makes 148 KB in 4 ms of a
/// dive figure of 1600 × 1200 px, the usual one 79 KB in 18 ms.
fn encode(pixmap: &Pixmap) -> Result<Vec<u8>, png::EncodingError> {
    let mut rgb = vec![0; pixmap.data().len() / 4 * 3];
    for (rgb, rgba) in rgb.chunks_exact_mut(3).zip(pixmap.data().chunks_exact(4)) {
        rgb.copy_from_slice(&rgba[..3]);
    }
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
        let width = font::width(&text.text, text.size, text.weight);
        let left = match text.anchor {
            Anchor::Start => text.at.x,
            Anchor::Middle => text.at.x - 0.5 * width,
            Anchor::End => text.at.x - width,
        };
        let unit = text.size / font::units_per_em(text.weight);
        let mut ink = Ink { path: PathBuilder::new(), unit: unit as f32, x: 0.0, y: text.at.y as f32 };
        for (glyph, from) in font::glyphs(&text.text, text.size, text.weight) {
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

#[cfg(test)]
mod tests {
    use std::f64::consts::{PI, TAU};

    use super::*;
    use crate::report::chart::font::Weight;
    use crate::report::chart::shape::Rect;
    use crate::report::chart::style::{BLACK, Dash, VERMILION};

    const SIDE: f64 = 100.0;
    /// Pixels of the PNG in a pixel of the picture.
    const SCALE: f64 = 2.0;

    /// How much of the paper a drawing covers with black, in square px of the picture.
    fn ink(draw: impl FnOnce(&mut Scene)) -> f64 {
        let mut scene = Scene::new(SIDE, SIDE);
        draw(&mut scene);
        let pixmap = pixels(&scene, (SIDE * SCALE) as u32).unwrap();
        let covered = |grey: u8| 1.0 - f64::from(grey) / 255.0;
        pixmap.pixels().iter().map(|pixel| covered(pixel.red())).sum::<f64>() / (SCALE * SCALE)
    }

    /// Against areas from plane geometry. The rasteriser takes four lines a pixel row: an edge is off by at most an
    /// eighth of a pixel of the PNG, so an area by at most its outline times a sixteenth of a px.
    fn assert_ink(what: &str, found: f64, area: f64, outline_px: f64) {
        assert!((found - area).abs() <= outline_px / 16.0, "{what}: {found} against {area}");
    }

    #[test]
    fn shapes_have_their_areas() {
        let rect = Rect { left: 10.1, top: 20.2, right: 60.5, bottom: 50.9 };
        let area = rect.width() * rect.height();
        let outline = 2.0 * (rect.width() + rect.height());
        assert_ink("rectangle", ink(|scene| scene.fill(rect, BLACK, 1.0)), area, outline);
        assert_ink("half covering", ink(|scene| scene.fill(rect, BLACK, 0.5)), 0.5 * area, outline);
        let triangle = [Point::new(10.0, 10.0), Point::new(90.0, 30.0), Point::new(40.0, 80.0)];
        assert_ink("triangle", ink(|scene| scene.area(&triangle, BLACK, 1.0)), 2500.0, 230.0);
        let disc = ink(|scene| scene.disc(Point::new(50.3, 49.7), 20.4, BLACK));
        assert_ink("disc", disc, PI * 20.4 * 20.4, TAU * 20.4);
    }

    #[test]
    fn lines_have_their_width_and_their_share() {
        let (from, to) = (Point::new(10.0, 20.0), Point::new(70.0, 80.0));
        let length = 60.0 * 2.0_f64.sqrt();
        let line = |stroke| ink(|scene| scene.line(from, to, stroke));
        assert_ink("whole line", line(Stroke::solid(BLACK, 2.4)), 2.4 * length, 2.0 * length);
        // 13 px drawn, 5 px free: four whole times in 84.9 px, then 12.9 px drawn
        let drawn = 4.0 * 13.0 + (length - 4.0 * 18.0);
        assert_ink("broken line", line(Stroke::dashed(BLACK, 2.4, Dash::Long)), 2.4 * drawn, 2.0 * length);
    }

    /// A thin line is as dark wherever it stands between two pixels: its place is not rounded to them.
    #[test]
    fn places_are_finer_than_pixels() {
        let centre = |y: f64| {
            let mut scene = Scene::new(SIDE, SIDE);
            scene.line(Point::new(0.0, y), Point::new(SIDE, y), Stroke::solid(BLACK, 2.0));
            let pixmap = pixels(&scene, (SIDE * SCALE) as u32).unwrap();
            let column = (0..pixmap.height()).map(|row| (row, 255 - pixmap.pixel(100, row).unwrap().red()));
            let (sum, moment) = column.fold((0.0, 0.0), |(sum, moment), (row, ink)| {
                (sum + f64::from(ink), moment + f64::from(ink) * (f64::from(row) + 0.5))
            });
            moment / sum / SCALE
        };
        for tenth in 0..10 {
            let y = 40.0 + 0.1 * f64::from(tenth);
            // an eighth of a pixel of the PNG for each edge, as above
            assert!((centre(y) - y).abs() <= 1.0 / 16.0, "{} for {y}", centre(y));
        }
    }

    #[test]
    fn texts_stand_on_their_point() {
        let box_of = |anchor: Anchor| {
            let mut scene = Scene::new(SIDE, SIDE);
            let at = Point::new(50.0, 60.0);
            scene.text(Text { at, anchor, size: 20.0, weight: Weight::Bold, colour: BLACK, text: "HEH".into() });
            let pixmap = pixels(&scene, (SIDE * SCALE) as u32).unwrap();
            let dark = pixmap.pixels().iter().enumerate().filter(|(_, pixel)| pixel.red() < 128);
            let width = pixmap.width() as usize;
            dark.fold((f64::MAX, 0.0_f64, f64::MAX, 0.0_f64), |(left, right, top, bottom), (i, _)| {
                let (x, y) = ((i % width) as f64 / SCALE, (i / width) as f64 / SCALE);
                (left.min(x), right.max(x + 0.5), top.min(y), bottom.max(y + 0.5))
            })
        };
        // letters without a curve, of 0.714 em (table `OS/2`, sCapHeight 1462 of 2048); they
        // begin and end a tenth of an em within their width
        let width = font::width("HEH", 20.0, Weight::Bold);
        for (anchor, left) in [(Anchor::Start, 50.0), (Anchor::Middle, 50.0 - 0.5 * width), (Anchor::End, 50.0 - width)]
        {
            let (l, r, top, bottom) = box_of(anchor);
            assert!((bottom - 60.0).abs() <= 0.5 && (top - (60.0 - 0.714 * 20.0)).abs() <= 0.5, "{top} to {bottom}");
            assert!(l - left > 0.5 && l - left < 3.0 && left + width - r > 0.5 && left + width - r < 3.0, "{l} to {r}");
        }
    }

    #[test]
    fn colours_are_those_of_the_palette() {
        let mut scene = Scene::new(SIDE, SIDE);
        scene.fill(Rect { left: 0.0, top: 0.0, right: SIDE, bottom: SIDE }, VERMILION, 1.0);
        let pixel = pixels(&scene, 100).unwrap().pixel(50, 50).unwrap();
        assert_eq!(Rgb(pixel.red(), pixel.green(), pixel.blue()), VERMILION);
    }
}
