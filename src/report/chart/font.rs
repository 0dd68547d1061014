//! The typeface of the figures: embedded, and measured so that labels can be placed without colliding.

use std::sync::{Arc, LazyLock};

use resvg::usvg::fontdb;
use skrifa::instance::{LocationRef, Size};
use skrifa::{FontRef, MetadataProvider};

/// Open Sans, Apache License 2.0, see `assets/README.md`.
static REGULAR: &[u8] = include_bytes!("../../../assets/OpenSans-Regular.ttf");
static SEMIBOLD: &[u8] = include_bytes!("../../../assets/OpenSans-Semibold.ttf");

/// The family as the SVG names it. Those before the generic one have the same widths.
pub(super) const FAMILY: &str = "Open Sans, Noto Sans, sans-serif";
/// Height of capitals above the baseline, as a share of the size.
pub(super) const CAP_EM: f64 = 0.72;
/// Depth of descenders below the baseline, as a share of the size.
pub(super) const DESCENT_EM: f64 = 0.24;
/// Distance of baselines, as a share of the size.
pub(super) const LEADING_EM: f64 = 1.28;

/// Weight of a text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Weight {
    Regular,
    Bold,
}

static FACES: LazyLock<[Option<FontRef<'static>>; 2]> =
    LazyLock::new(|| [FontRef::new(REGULAR).ok(), FontRef::new(SEMIBOLD).ok()]);

/// The embedded faces for whoever draws the SVG.
pub(super) static DATABASE: LazyLock<Arc<fontdb::Database>> = LazyLock::new(|| {
    let mut database = fontdb::Database::new();
    for data in [REGULAR, SEMIBOLD] {
        database.load_font_source(fontdb::Source::Binary(Arc::new(data)));
    }
    database.set_sans_serif_family("Open Sans");
    Arc::new(database)
});

/// Advance width of a text, px: the sum of its glyphs, kerning left out (it only ever narrows by a little). A sign that
/// the typeface lacks counts as a full square.
pub(super) fn width(text: &str, size: f64, weight: Weight) -> f64 {
    let Some(face) = &FACES[weight as usize] else { return size * text.chars().count() as f64 };
    let (charmap, metrics) = (face.charmap(), face.glyph_metrics(Size::new(1.0), LocationRef::default()));
    let advance = |c: char| charmap.map(c).and_then(|glyph| metrics.advance_width(glyph)).unwrap_or(1.0);
    size * text.chars().map(|c| f64::from(advance(c))).sum::<f64>()
}

/// A text without what a picture cannot show: control and direction characters become spaces, runs of spaces one.
pub(super) fn clean(text: &str) -> String {
    let hidden = |c: char| {
        c.is_control()
            || matches!(c, '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}')
            || matches!(c, '\u{feff}' | '\u{fffe}' | '\u{ffff}')
    };
    let spaced: String = text.chars().map(|c| if hidden(c) { ' ' } else { c }).collect();
    spaced.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The text, shortened with an ellipsis until it fits.
pub(super) fn fit(text: &str, size: f64, weight: Weight, max_px: f64) -> String {
    if width(text, size, weight) <= max_px {
        return text.to_owned();
    }
    let mut short = String::new();
    let room = max_px - width("…", size, weight);
    let mut used = 0.0;
    for c in text.chars() {
        used += width(c.encode_utf8(&mut [0; 4]), size, weight);
        if used > room {
            break;
        }
        short.push(c);
    }
    format!("{}…", short.trim_end())
}

/// The text in at most `max_lines` lines, the last one shortened where needed; never empty.
pub(super) fn wrap(text: &str, size: f64, weight: Weight, max_px: f64, max_lines: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split(' ') {
        let line = lines.last_mut().expect("there is always a line");
        let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
        if line.is_empty() || width(&longer, size, weight) <= max_px {
            *line = longer;
        } else {
            lines.push(word.to_owned());
        }
    }
    if lines.len() > max_lines {
        let rest = lines.split_off(max_lines - 1).join(" ");
        lines.push(rest);
    }
    lines.iter().map(|line| fit(line, size, weight, max_px)).collect()
}

/// A title in at most `max_lines` lines: whole where it fits, else broken after its first statement, else in lines of
/// even length. A number keeps its unit.
pub(super) fn title(text: &str, size: f64, max_px: f64, max_lines: usize) -> Vec<String> {
    let text = glued(text);
    let fits = |line: &str| width(line, size, Weight::Bold) <= max_px;
    if fits(&text) {
        return vec![text];
    }
    let statements =
        ["; ", ": "].iter().find_map(|mark| text.split_once(mark).map(|(a, b)| (format!("{a}{}", mark.trim()), b)));
    if let Some((first, second)) = statements.filter(|(a, b)| max_lines > 1 && fits(a) && fits(b)) {
        return vec![first, second.to_owned()];
    }
    let lines = wrap(&text, size, Weight::Bold, max_px, max_lines);
    let (mut even, mut narrow_px) = (lines.clone(), max_px);
    while narrow_px > 0.6 * max_px {
        narrow_px -= 8.0;
        let narrow = wrap(&text, size, Weight::Bold, narrow_px, lines.len());
        if narrow.concat().len() != even.concat().len() || narrow.last().is_some_and(|line| line.ends_with('…')) {
            break;
        }
        even = narrow;
    }
    even
}

/// The text with spaces that do not break between a number and its unit.
fn glued(text: &str) -> String {
    const UNITS: [&str; 9] = ["kg", "lb", "m", "ft", "L", "bar", "psi", "min", "cu"];
    let mut glued = String::new();
    let mut before = "";
    for word in text.split(' ') {
        let bare = word.trim_matches(|c: char| !c.is_alphanumeric());
        let is_unit = before.ends_with(|c: char| c.is_ascii_digit()) && UNITS.contains(&bare) || before == "cu";
        let is_moment = before == "minute" && bare.starts_with(|c: char| c.is_ascii_digit());
        if !glued.is_empty() {
            glued.push(if is_unit || is_moment { '\u{a0}' } else { ' ' });
        }
        glued.push_str(word);
        before = word;
    }
    glued
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn widths_are_the_typefaces_own() {
        // 2048 units to the em; digits 1171 wide, the space 532 (table `hmtx` as fontTools 4 reads it)
        assert!((width("12", 2048.0, Weight::Regular) - 2.0 * 1171.0).abs() < 1.0);
        assert!((width(" ", 2048.0, Weight::Regular) - 532.0).abs() < 1.0);
        assert!(width("lift", 14.0, Weight::Bold) > width("lift", 14.0, Weight::Regular));
    }

    #[test]
    fn long_texts_are_wrapped_then_shortened() {
        let text = "one two three four five six seven";
        let lines = wrap(text, 10.0, Weight::Regular, 60.0, 2);
        assert_eq!(lines.len(), 2);
        assert!(lines.iter().all(|line| width(line, 10.0, Weight::Regular) <= 60.0), "{lines:?}");
        assert!(lines[1].ends_with('…'));
        assert_eq!(wrap("", 10.0, Weight::Regular, 60.0, 2), [""]);
        let word = "w".repeat(300);
        assert!(width(&wrap(&word, 10.0, Weight::Regular, 60.0, 1)[0], 10.0, Weight::Regular) <= 60.0);
    }

    #[test]
    fn titles_break_after_their_first_statement() {
        let text = "Beyond the limit until minute 8; the last stop holds with 1.1 kg to spare";
        assert_eq!(title(text, 10.0, 9999.0, 3).len(), 1);
        let lines = title(text, 10.0, 250.0, 3);
        assert_eq!(lines, ["Beyond the limit until minute\u{a0}8;", "the last stop holds with 1.1\u{a0}kg to spare"]);
        let lines = title("one two three four five six seven eight nine ten", 10.0, 200.0, 3);
        let widths: Vec<_> = lines.iter().map(|line| width(line, 10.0, Weight::Bold)).collect();
        assert!(lines.len() == 2 && (widths[0] - widths[1]).abs() < 0.3 * widths[0], "{lines:?}");
    }

    #[test]
    fn what_a_picture_cannot_show_is_left_out() {
        assert_eq!(clean(" a\u{0}b\tc\u{202e}d\n e "), "a b c d e");
    }
}
