//! What stands above a figure: its message, broken into lines where it reads best, and what it is a picture of.

use crate::report::chart::font::{self, LEADING_EM, Weight, fit, width};
use crate::report::chart::panel::EDGE;
use crate::report::chart::scene::{Anchor, Scene, Text};
use crate::report::chart::shape::Point;
use crate::report::chart::style::{BODY_PX, INK, SOFT, TITLE_PX};

/// Share of the width that a title may fill: a reader without the typeface may see a wider one (DejaVu Sans Bold is
/// wider by a sixth).
const WIDER_FRAC: f64 = 0.83;

/// What stands above a figure.
#[derive(Clone, Copy, Debug)]
pub(super) struct Heading<'a> {
    /// The message of the picture.
    pub message: &'a str,
    /// What the picture is of.
    pub subject: &'a str,
    /// A short remark in the user's words, or "invented".
    pub note: Option<&'a str>,
}

/// Draws title and subject; returns where the rest may begin.
pub(super) fn heading(scene: &mut Scene, heading: &Heading<'_>) -> f64 {
    let room = scene.width - 2.0 * EDGE;
    let lines = title(heading.message, TITLE_PX, WIDER_FRAC * room, 3);
    let mut y = EDGE + 2.0;
    let mut row = |text: &str, size: f64, weight: Weight, colour| {
        y += size * if weight == Weight::Bold { 1.25 } else { LEADING_EM + 0.1 };
        scene.text(Text {
            at: Point::new(EDGE, y - size * font::DESCENT_EM),
            anchor: Anchor::Start,
            size,
            weight,
            colour,
            text: text.to_owned(),
        });
    };
    for line in &lines {
        row(line, TITLE_PX, Weight::Bold, INK);
    }
    let subject = font::clean(heading.subject);
    let subject = match heading.note.map(font::clean).filter(|note| !note.is_empty()) {
        Some(note) => {
            // the note must survive a long title
            let note = font::fit(&note, BODY_PX, Weight::Regular, 0.5 * room);
            let left = room - font::width(&format!(" · {note}"), BODY_PX, Weight::Regular);
            format!("{} · {note}", font::fit(&subject, BODY_PX, Weight::Regular, 0.9 * left))
        }
        None => font::fit(&subject, BODY_PX, Weight::Regular, 0.9 * room),
    };
    row(&subject, BODY_PX, Weight::Regular, SOFT);
    y + 14.0
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
fn title(text: &str, size: f64, max_px: f64, max_lines: usize) -> Vec<String> {
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
    const UNITS: [&str; 12] = ["kg", "lb", "m", "ft", "L", "bar", "psi", "min", "cu", "h", "N·m", "lbf·ft"];
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
}
