//! A scene as SVG. What holds for the whole picture stands once, on its outermost element.

use std::fmt::Write as _;

use crate::report::chart::ChartError;
use crate::report::chart::font::{FAMILY, Weight};
use crate::report::chart::pen::{self, Surface};
use crate::report::chart::scene::{Anchor, Scene, Text};
use crate::report::chart::shape::Point;
use crate::report::chart::style::{Rgb, Stroke};

/// The SVG, with a title and a description for screen readers.
///
/// # Errors
/// What the pen reports.
pub(super) fn svg(scene: &Scene, title: &str, description: &str) -> Result<String, ChartError> {
    let (w, h) = (scene.width, scene.height);
    let data: String = scene.data.iter().map(|(name, value)| format!(" data-{name}=\"{value}\"")).collect();
    let mut page = Page(format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}\" height=\"{h}\" viewBox=\"0 0 {w} {h}\" role=\"img\" \
         font-family=\"{FAMILY}\" fill=\"none\" stroke-linejoin=\"round\"{data}>\n<title>{}</title>\n<desc>{}</desc>\n",
        escape(title),
        escape(description),
    ));
    pen::draw(scene, &mut page)?;
    page.0.push_str("</svg>\n");
    Ok(page.0)
}

struct Page(String);

impl Page {
    /// Writing into memory does not fail.
    fn write(&mut self, text: std::fmt::Arguments<'_>) {
        let _ = self.0.write_fmt(text);
    }

    /// The data of a path through points.
    fn path(&mut self, points: &[Point]) {
        self.0.push_str("<path d=\"M");
        for (i, point) in points.iter().enumerate() {
            self.write(format_args!("{}{} {}", if i == 0 { "" } else { " " }, point.x, point.y));
        }
    }
}

impl Surface for Page {
    fn stroke(&mut self, points: &[Point], stroke: Stroke) {
        self.path(points);
        self.write(format_args!("\" stroke=\"{}\" stroke-width=\"{}\"", hex(stroke.colour), stroke.width));
        let pattern: Vec<_> = stroke.dash.pattern().iter().map(f64::to_string).collect();
        if !pattern.is_empty() {
            self.write(format_args!(" stroke-dasharray=\"{}\"", pattern.join(" ")));
        }
        self.0.push_str("/>\n");
    }

    fn fill(&mut self, outline: &[Point], colour: Rgb, alpha: f64) {
        self.path(outline);
        self.write(format_args!("Z\" fill=\"{}\"", hex(colour)));
        if alpha < 1.0 {
            self.write(format_args!(" fill-opacity=\"{alpha}\""));
        }
        self.0.push_str("/>\n");
    }

    fn disc(&mut self, centre: Point, radius: f64, colour: Rgb) {
        let (x, y) = (centre.x, centre.y);
        self.write(format_args!("<circle cx=\"{x}\" cy=\"{y}\" r=\"{radius}\" fill=\"{}\"/>\n", hex(colour)));
    }

    fn text(&mut self, text: &Text) {
        let anchor = match text.anchor {
            Anchor::Start => "",
            Anchor::Middle => " text-anchor=\"middle\"",
            Anchor::End => " text-anchor=\"end\"",
        };
        let weight = match text.weight {
            Weight::Regular => "",
            Weight::Bold => " font-weight=\"bold\"",
        };
        self.write(format_args!(
            "<text x=\"{}\" y=\"{}\"{anchor} font-size=\"{}\"{weight} fill=\"{}\">{}</text>\n",
            text.at.x,
            text.at.y,
            text.size,
            hex(text.colour),
            escape(&text.text),
        ));
    }
}

fn hex(colour: Rgb) -> String {
    format!("#{:02x}{:02x}{:02x}", colour.0, colour.1, colour.2)
}

fn escape(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}
