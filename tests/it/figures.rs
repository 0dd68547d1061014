//! The figures: text that keeps clear of other text, of curves and of the edges; names that cannot break the picture;
//! sizes; PNG from the same SVG.
//!
//! Every figure that is tested is also written to `target/tmp/figures`, to be looked at.

mod circuits;
mod dives;
mod studies;
mod trim;

use std::sync::Arc;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use dives::Dive;
use lightpoint::internals::report::chart::{self, ChartError, Facts, Figure, Picture};
use lightpoint::internals::report::measure::UnitSystem;
use resvg::usvg::{self, Node, fontdb};

/// Free space around the ink of every text, px: half of what separates two words.
const CLEAR_PX: f32 = 1.5;
/// Largest SVG, bytes: what a page can carry inline five times without getting slow on a phone, typeface included.
const MAX_BYTES: usize = 80_000;

fn facts(dive: &Dive, units: UnitSystem) -> Facts<'_> {
    Facts {
        title: dive.title,
        note: Some("invented"),
        scenario: &dive.scenario,
        rows: &dive.rows,
        events: dive.trace.events(),
        findings: &dive.findings,
        needless_kg: 0.0,
        leads: &dive.leads,
        mishaps: &dive.mishaps,
        units,
    }
}

/// The boxes around the ink of the texts, and the curves of an SVG, as an independent renderer sees them, px.
struct Seen {
    size: (f32, f32),
    texts: Vec<(String, usvg::Rect)>,
    curves: Vec<Vec<(f32, f32)>>,
}

/// The picture as a reader sees it who has no typeface but the one in the file.
fn tree(svg: &str) -> usvg::Tree {
    let mut fonts = fontdb::Database::new();
    for data in svg.split("url(data:font/ttf;base64,").skip(1) {
        let (data, _) = data.split_once(')').unwrap();
        fonts.load_font_data(STANDARD.decode(data).unwrap());
    }
    assert_eq!(fonts.len(), 2, "a regular and a bold face");
    let options = usvg::Options { fontdb: Arc::new(fonts), ..usvg::Options::default() };
    usvg::Tree::from_str(svg, &options).unwrap()
}

fn see(svg: &str) -> Seen {
    let tree = tree(svg);
    let mut seen = Seen { size: (tree.size().width(), tree.size().height()), texts: Vec::new(), curves: Vec::new() };
    walk(tree.root(), &mut seen);
    seen
}

fn walk(group: &usvg::Group, seen: &mut Seen) {
    for node in group.children() {
        match node {
            Node::Group(group) => walk(group, seen),
            Node::Text(text) => {
                let words = text.chunks().iter().map(|chunk| chunk.text()).collect::<String>();
                seen.texts.push((words, text.flattened().abs_bounding_box()));
            }
            Node::Path(path) => {
                // data are drawn at least this heavy; grid, ticks and leaders are thinner
                let is_data = path.stroke().is_some_and(|stroke| {
                    let scaled = stroke.width().get() * path.abs_transform().sx;
                    scaled > 1.25
                });
                if is_data {
                    let at = path.abs_transform();
                    let points = path.data().points().iter().map(|p| (p.x * at.sx + at.tx, p.y * at.sy + at.ty));
                    seen.curves.push(points.collect());
                }
            }
            Node::Image(_) => panic!("no figure has an image"),
        }
    }
}

/// Whether a straight line meets a box, by halving it down to half a pixel.
fn meets(rect: usvg::Rect, a: (f32, f32), b: (f32, f32)) -> bool {
    let (left, right) = (a.0.min(b.0), a.0.max(b.0));
    let (top, bottom) = (a.1.min(b.1), a.1.max(b.1));
    if right < rect.left() || left > rect.right() || bottom < rect.top() || top > rect.bottom() {
        return false;
    }
    if right - left < 0.5 && bottom - top < 0.5 {
        return true;
    }
    let middle = (0.5 * (a.0 + b.0), 0.5 * (a.1 + b.1));
    meets(rect, a, middle) || meets(rect, middle, b)
}

fn check(name: &str, picture: &Picture) {
    let svg = picture.svg().unwrap();
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("figures");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join(format!("{name}.svg")), &svg).unwrap();
    std::fs::write(folder.join(format!("{name}.png")), picture.png(chart::PNG_WIDTH_PX).unwrap()).unwrap();
    let mut faults = Vec::new();
    if svg.len() > MAX_BYTES {
        faults.push(format!("{} bytes", svg.len()));
    }
    let seen = see(&svg);
    for disc in svg.split("<circle ").skip(1) {
        let number = |name: &str| -> f32 {
            let rest = disc.split_once(&format!("{name}=\"")).unwrap().1;
            rest.split_once('"').unwrap().0.parse().unwrap()
        };
        let (x, y, r) = (number("cx"), number("cy"), number(" r"));
        if x - r < 0.0 || y - r < 0.0 || x + r > seen.size.0 || y + r > seen.size.1 {
            faults.push(format!("a disc leaves the picture: {x} {y} {r}"));
        }
    }
    if seen.texts.len() < 6 {
        faults.push(format!("only {} texts", seen.texts.len()));
    }
    for (i, (text, rect)) in seen.texts.iter().enumerate() {
        if rect.left() < 1.0
            || rect.top() < 1.0
            || rect.right() > seen.size.0 - 1.0
            || rect.bottom() > seen.size.1 - 1.0
        {
            faults.push(format!("'{text}' leaves the picture: {rect:?}"));
        }
        for (other, theirs) in &seen.texts[i + 1..] {
            let across = rect.right().min(theirs.right()) - rect.left().max(theirs.left());
            let down = rect.bottom().min(theirs.bottom()) - rect.top().max(theirs.top());
            if across > -CLEAR_PX && down > -CLEAR_PX {
                faults.push(format!("'{text}' is too near to '{other}': {across} × {down} px"));
            }
        }
        let crossed = seen.curves.iter().any(|curve| curve.windows(2).any(|pair| meets(*rect, pair[0], pair[1])));
        if crossed {
            faults.push(format!("a curve runs through '{text}'"));
        }
    }
    assert!(faults.is_empty(), "{name}:\n{}", faults.join("\n"));
}

fn each(figure: Figure) {
    let mut faults = Vec::new();
    for (n, dive) in dives::all().iter().enumerate() {
        for units in [UnitSystem::Metric, UnitSystem::Us] {
            let name = format!("{}-{n}-{}", figure.name(), if units == UnitSystem::Us { "us" } else { "metric" });
            match chart::draw(figure, &facts(dive, units)) {
                Ok(picture) => {
                    if let Err(fault) = std::panic::catch_unwind(|| check(&name, &picture)) {
                        faults.push(fault.downcast_ref::<String>().cloned().unwrap_or_default());
                    }
                }
                Err(ChartError::Nothing { .. }) => {}
                Err(other) => panic!("{name}: {other}"),
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn dive_figures_are_clear() {
    each(Figure::Dive);
}

#[test]
fn cylinder_figures_are_clear() {
    each(Figure::Cylinders);
}

#[test]
fn gas_figures_are_clear() {
    each(Figure::Gas);
}

#[test]
fn balance_figures_are_clear() {
    each(Figure::Balance);
}

#[test]
fn band_figures_are_clear() {
    each(Figure::Band);
}

/// The texts of a picture, one after the other.
fn texts_of(picture: &Picture) -> String {
    see(&picture.svg().unwrap()).texts.into_iter().map(|(text, _)| text.replace('\u{a0}', " ") + "\n").collect()
}

/// The texts of a figure, one after the other.
fn texts(figure: Figure, dive: &Dive) -> String {
    texts_of(&chart::draw(figure, &facts(dive, UnitSystem::Metric)).unwrap())
}

fn assert_says(figure: Figure, dive: &Dive, words: &[&str]) {
    let texts = texts(figure, dive);
    for words in words {
        assert!(texts.contains(words), "{} of '{}' does not say '{words}':\n{texts}", figure.name(), dive.title);
    }
}

/// A label that finds no place is left out; what a figure is for must not be.
#[test]
fn what_matters_is_named() {
    let (trimix, single, cave, jagged) = (dives::trimix(), dives::single(), dives::cave(), dives::jagged());
    let always = ["heavy point", "light point", "swim-up limit", "last stop"];
    for dive in [&trimix, &single, &cave, &jagged, &dives::short(), &dives::bare(), &dives::point()] {
        assert_says(Figure::Dive, dive, &always);
        if !dive.findings.failed_wing.beyond.is_empty() {
            assert_says(Figure::Dive, dive, &["eyond the swim-up limit", "beyond the limit"]);
        }
        // what the title says of the last stop is drawn
        assert_says(Figure::Dive, dive, &["at reserve"]);
    }
    // a limit that is broken leads the title
    assert_says(Figure::Dive, &dives::too_light(6.3), &["With cylinders at reserve the diver floats at", "too light"]);
    assert_says(Figure::Dive, &dives::too_light(5.6), &["iver floats at", "floats, "]);
    assert_says(Figure::Dive, &dives::ten_hours(), &["time, h", " h, "]);
    let moves = [
        "first stage left",
        "second stage left",
        "received",
        "second stage picked up",
        "handed off",
        "first stage picked up",
    ];
    assert_says(Figure::Dive, &cave, &moves);
    assert_says(Figure::Dive, &cave, &["denser water below 9 m", "least lift on the way"]);
    assert_says(Figure::Dive, &dives::out_of_gas(), &["out of gas at", "wing falls short at"]);
    let turns: Vec<_> = trimix.findings.cylinders.iter().filter_map(|cylinder| cylinder.turn).collect();
    assert!(!turns.is_empty(), "the aluminium stage of this dive turns from sinker to floater");
    for turn in turns {
        let clock = lightpoint::internals::report::measure::clock(turn.time_s);
        assert_says(Figure::Cylinders, &trimix, &[&format!("floats from {clock} min")]);
    }
    let partings = ["left 14:00", "picked up 55:00", "handed off 60:00", "picked up 66:00", "bailout of the partner"];
    assert_says(Figure::Cylinders, &cave, &partings);
    assert_says(Figure::Cylinders, &dives::eight(), &["float from the start"]);
    let capacity = ["the wing holds 20.0 L", "needed", "lift, kg", "nothing vented", "nothing added"];
    assert_says(Figure::Gas, &trimix, &capacity);
    assert_says(Figure::Balance, &trimix, &["gas of back gas", "gas of oxygen", "all the rest"]);
    assert_says(Figure::Balance, &single, &["foam that swells"]);
    assert_says(Figure::Band, &single, &["this plan, 4.0 kg", "More lead narrows the control band"]);
}

/// The bridge leads from the heavy to the light point, within the rounding of the numbers in the picture.
#[test]
fn the_bridge_arrives() {
    for dive in dives::all() {
        let svg = chart::draw(Figure::Balance, &facts(&dive, UnitSystem::Metric)).unwrap().svg().unwrap();
        let description = svg.split_once("<desc>").unwrap().1.split_once("</desc>").unwrap().0;
        let (start, rest) = description.split_once(". Changes: ").unwrap();
        let (changes, end) = rest.split_once(". Light point ").unwrap();
        let numbers = |text: &str| -> Vec<f64> {
            text.split(" kg")
                .filter_map(|part| part.rsplit(' ').next())
                .filter_map(|number| number.replace('−', "-").parse().ok())
                .collect()
        };
        let (start, changes, end) = (numbers(start), numbers(changes), numbers(end));
        assert!((start[0] - dive.findings.heavy.bare_kg).abs() <= 0.051 && !changes.is_empty(), "{description}");
        let arrived = start[0] + changes.iter().sum::<f64>();
        let rounding = 0.05 * (changes.len() + 2) as f64;
        assert!((arrived - end[0]).abs() <= rounding, "{}: {arrived}\n{description}", dive.title);
        assert!((end[0] - dive.findings.light.bare_kg).abs() <= 0.051, "{description}");
    }
}

#[test]
fn names_cannot_break_out() {
    let dive = dives::long_names();
    // without a loop there is no figure of it
    for figure in Figure::ALL.into_iter().filter(|figure| *figure != Figure::Loop) {
        let svg = chart::draw(figure, &facts(&dive, UnitSystem::Metric)).unwrap().svg().unwrap();
        assert!(!svg.contains("<script") && !svg.contains("<b>"), "{}", figure.name());
        assert!(!svg.to_lowercase().contains("safe"));
    }
    let control = Facts {
        title: "bell \u{7} and \u{0} null \u{ffff}",
        note: Some("\u{1b}[31m"),
        ..facts(&dive, UnitSystem::Metric)
    };
    see(&chart::draw(Figure::Dive, &control).unwrap().svg().unwrap());
}

#[test]
fn pngs_have_the_size_asked_for_and_ink() {
    let dive = dives::single();
    let picture = chart::draw(Figure::Dive, &facts(&dive, UnitSystem::Metric)).unwrap();
    let png = picture.png(400).unwrap();
    // PNG signature, then the header chunk with width and height (ISO/IEC 15948, clauses 5.2 and 11.2.2; from memory)
    assert_eq!(png[..8], [0x89, b'P', b'N', b'G', 0x0d, 0x0a, 0x1a, 0x0a]);
    assert_eq!(png[16..24], [0, 0, 1, 144, 0, 0, 1, 44]);
    let pixels = resvg::tiny_skia::Pixmap::decode_png(&png).unwrap();
    let dark = pixels.pixels().iter().filter(|p| p.red() < 100 && p.green() < 100 && p.blue() < 100).count();
    assert!(dark > 500, "{dark} dark pixels: the text is missing");
    for width_px in [0, 20_001] {
        assert_eq!(picture.png(width_px), Err(ChartError::Width { width_px }));
    }
}

/// The PNG against what an independent reader of SVG (resvg, which sets text by HarfBuzz's rules) makes of the same
/// figure: pixel by pixel but for the edges of discs, whose circles it approximates by other curves.
#[test]
fn svg_and_png_are_the_same_picture() {
    use resvg::tiny_skia::{Color, Pixmap, Transform};
    let open = [dives::trimix(), dives::cave(), dives::long_names(), dives::jagged(), dives::out_of_gas()];
    for dive in open.into_iter().chain(circuits::all().into_iter().take(2)) {
        for figure in Figure::ALL {
            let picture = match chart::draw(figure, &facts(&dive, UnitSystem::Metric)) {
                Ok(picture) => picture,
                Err(ChartError::Nothing { .. }) => continue,
                Err(other) => panic!("{other}"),
            };
            let ours = Pixmap::decode_png(&picture.png(800).unwrap()).unwrap();
            let mut theirs = Pixmap::new(ours.width(), ours.height()).unwrap();
            theirs.fill(Color::WHITE);
            resvg::render(&tree(&picture.svg().unwrap()), Transform::default(), &mut theirs.as_mut());
            let apart: Vec<u8> = ours.data().iter().zip(theirs.data()).map(|(a, b)| a.abs_diff(*b)).collect();
            // measured: 127 of 480 000 pixels at most differ by a sixteenth or more (four colours each), none by a quarter
            let most = apart.len() / 2000;
            let visibly = apart.iter().filter(|d| **d >= 16).count();
            let worst = apart.iter().max().copied();
            assert!(visibly <= most && worst < Some(64), "{} of '{}': {visibly} {worst:?}", figure.name(), dive.title);
        }
    }
}

#[test]
fn drawing_all_is_drawing_each() {
    let dive = circuits::all().remove(0);
    let facts = facts(&dive, UnitSystem::Metric);
    for with_png in [false, true] {
        for drawn in chart::draw_all(&Figure::ALL, &facts, with_png).into_iter().map(Result::unwrap) {
            let picture = chart::draw(drawn.figure, &facts).unwrap();
            assert_eq!(drawn.svg, picture.svg().unwrap());
            assert_eq!(drawn.png, with_png.then(|| picture.png(chart::PNG_WIDTH_PX).unwrap()));
            assert_eq!(Figure::of_name(drawn.figure.name()), Some(drawn.figure));
        }
    }
    let without = Facts { leads: &[], ..facts };
    assert!(matches!(chart::draw(Figure::Band, &without), Err(ChartError::Nothing { figure: "band", .. })));
    assert_eq!(Figure::of_name("none"), None);
}
