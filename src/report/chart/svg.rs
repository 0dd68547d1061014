//! A scene as SVG. What holds for the whole picture stands once, on its outermost element.

use std::fmt::Write as _;

use crate::report::chart::ChartError;
use crate::report::chart::font::{FAMILY, Weight};
use crate::report::chart::pen::{self, Surface};
use crate::report::chart::scene::{Anchor, Scene, Text};
use crate::report::chart::shape::Point;
use crate::report::chart::style::{Rgb, Stroke};

/// The SVG, with a title and a description for screen readers, and `style` in a style sheet of its own; without one if
/// that is empty.
///
/// # Errors
/// What the pen reports.
pub(super) fn svg(scene: &Scene, title: &str, description: &str, style: &str) -> Result<String, ChartError> {
    let (w, h) = (scene.width, scene.height);
    let data: String = scene.data.iter().map(|(name, value)| format!(" data-{name}=\"{value}\"")).collect();
    let mut page = Page(format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}\" height=\"{h}\" viewBox=\"0 0 {w} {h}\" role=\"img\" \
         font-family=\"{FAMILY}\" fill=\"none\" stroke-linejoin=\"round\"{data}>\n<title>{}</title>\n<desc>{}</desc>\n",
        escape(title),
        escape(description),
    ));
    if !style.is_empty() {
        page.0.push_str(&format!("<style>{}</style>\n", style.trim_end()));
    }
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

    /// The data of a path through points: the first as it is, each other one by its distance from the one before, which
    /// takes fewer digits. Points are whole tenths of a pixel, so nothing is lost.
    fn path(&mut self, points: &[Point]) {
        let Some(first) = points.first() else { return self.0.push_str("<path d=\"") };
        self.write(format_args!("<path d=\"M{} {}", first.x, first.y));
        // no negative nought
        let tenths = |px: f64| (px * 10.0).round() / 10.0 + 0.0;
        for (i, pair) in points.windows(2).enumerate() {
            let (x, y) = (tenths(pair[1].x - pair[0].x), tenths(pair[1].y - pair[0].y));
            let before_x = if i == 0 {
                "l"
            } else if x < 0.0 {
                ""
            } else {
                " "
            };
            let before_y = if y < 0.0 { "" } else { " " };
            self.write(format_args!("{before_x}{x}{before_y}{y}"));
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::chart::style::{BLACK, Dash, VERMILION};

    fn drawn(draw: impl FnOnce(&mut Scene)) -> String {
        let mut scene = Scene::new(100.0, 50.0);
        draw(&mut scene);
        let svg = svg(&scene, "message", "what it shows", "").unwrap();
        // without title and paper
        svg.lines().skip(4).collect::<Vec<_>>().join("\n")
    }

    #[test]
    fn a_broken_line_is_one_path() {
        // a zigzag much longer than its pattern
        let points: Vec<_> = (0..=50).map(|i| Point::new(2.0 * f64::from(i), 40.0 * f64::from(i % 2))).collect();
        let svg = drawn(|scene| {
            scene.curve(&points, Stroke::dashed(VERMILION, 1.8, Dash::OneDot));
        });
        assert_eq!(svg.matches("<path").count(), 1, "{svg}");
        assert!(svg.contains("stroke=\"#d55e00\" stroke-width=\"1.8\" stroke-dasharray=\"11 4 2.5 4\"/>"), "{svg}");
        let whole = drawn(|scene| scene.line(points[0], points[1], Stroke::solid(BLACK, 1.0)));
        assert!(!whole.contains("dash"), "{whole}");
    }

    #[test]
    fn places_are_tenths_of_a_pixel() {
        let svg = drawn(|scene| {
            scene.area(&[Point::new(0.14, 0.26), Point::new(50.0, 3.333), Point::new(7.0, 49.96)], BLACK, 0.25);
            scene.disc(Point::new(10.04, 20.05), 2.8, BLACK);
        });
        let expected = "<path d=\"M0.1 0.3l49.9 3-43 46.7Z\" fill=\"#000000\" fill-opacity=\"0.25\"/>\n\
                        <circle cx=\"10\" cy=\"20.1\" r=\"2.8\" fill=\"#000000\"/>\n</svg>";
        assert_eq!(svg, expected);
    }

    #[test]
    fn texts_are_escaped_and_stand_on_their_point() {
        let text = |anchor, weight| Text {
            at: Point::new(12.3, 45.6),
            anchor,
            size: 13.0,
            weight,
            colour: BLACK,
            text: "a < b & \"c\"".into(),
        };
        let svg = drawn(|scene| {
            scene.text(text(Anchor::Start, Weight::Regular));
            scene.text(text(Anchor::End, Weight::Bold));
        });
        let expected = "<text x=\"12.3\" y=\"45.6\" font-size=\"13\" fill=\"#000000\">a &lt; b &amp; &quot;c&quot;</text>\n\
                        <text x=\"12.3\" y=\"45.6\" text-anchor=\"end\" font-size=\"13\" font-weight=\"bold\" \
                        fill=\"#000000\">a &lt; b &amp; &quot;c&quot;</text>\n</svg>";
        assert_eq!(svg, expected);
    }
}
