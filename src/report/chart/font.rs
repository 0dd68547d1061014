//! The typeface of the figures: embedded, and measured so that labels can be placed without colliding.

use std::collections::BTreeSet;
use std::sync::LazyLock;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use ttf_parser::{Face, GlyphId, OutlineBuilder};

use crate::report::chart::subset;

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

static FACES: LazyLock<[Option<Face<'static>>; 2]> =
    LazyLock::new(|| [Face::parse(REGULAR, 0).ok(), Face::parse(SEMIBOLD, 0).ok()]);

pub(super) fn face(weight: Weight) -> Option<&'static Face<'static>> {
    FACES[weight as usize].as_ref()
}

/// The typeface as rules of a style sheet, each weight with the letters that it is used for, so that a reader without it
/// sees the same letters. What is not used takes no room.
pub(super) fn rules(regular: &BTreeSet<char>, bold: &BTreeSet<char>) -> String {
    let rule = |letters: &BTreeSet<char>, weight: Weight, number: u32| {
        let file = face(weight).filter(|_| !letters.is_empty()).and_then(|face| subset::subset(face, letters))?;
        Some(format!(
            "@font-face{{font-family:\"Open Sans\";font-weight:{number};src:url(data:font/ttf;base64,{})}}\n",
            STANDARD.encode(file)
        ))
    };
    [rule(regular, Weight::Regular, 400), rule(bold, Weight::Bold, 700)].into_iter().flatten().collect()
}

/// Advance width of a text, px: the sum of its glyphs. Our files have no kerning; that of a reader's own only ever narrows
/// by a little. A sign that the typeface lacks counts as a full square.
pub(super) fn width(text: &str, size: f64, weight: Weight) -> f64 {
    size / units_per_em(weight) * text.chars().map(|letter| glyph(letter, weight).1).sum::<f64>()
}

/// The glyphs of a text, each with its distance from the beginning, px.
pub(super) fn glyphs(text: &str, size: f64, weight: Weight) -> impl Iterator<Item = (GlyphId, f64)> {
    let px = size / units_per_em(weight);
    text.chars().scan(0.0, move |end, letter| {
        let (glyph, advance) = glyph(letter, weight);
        let from = *end;
        *end += px * advance;
        Some((glyph, from))
    })
}

/// Draws the outline of a glyph, in units of the typeface, y upwards.
pub(super) fn outline(glyph: GlyphId, weight: Weight, pen: &mut impl OutlineBuilder) {
    if let Some(face) = face(weight) {
        face.outline_glyph(glyph, pen); // nothing for a space
    }
}

/// Units of the typeface in the size of a text.
pub(super) fn units_per_em(weight: Weight) -> f64 {
    face(weight).map_or(1.0, |face| f64::from(face.units_per_em()))
}

/// The glyph of a letter and its width, units of the typeface.
fn glyph(letter: char, weight: Weight) -> (GlyphId, f64) {
    let found = face(weight).and_then(|face| {
        let glyph = face.glyph_index(letter)?;
        Some((glyph, f64::from(face.glyph_hor_advance(glyph)?)))
    });
    found.unwrap_or((GlyphId(0), units_per_em(weight)))
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

    /// Letters are set one after the other, which is right only for files without kerning. Capitals are as high as the
    /// files say.
    #[test]
    fn the_files_have_no_kerning() {
        for weight in [Weight::Regular, Weight::Bold] {
            let face = face(weight).unwrap();
            assert!(face.tables().kern.is_none());
            assert!(face.tables().gpos.is_none_or(|table| table.features.is_empty()));
            assert_eq!((face.units_per_em(), face.capital_height()), (2048, Some(1462)));
        }
    }

    /// Every sign that the figures themselves write has a glyph.
    #[test]
    fn no_sign_of_ours_is_lacking() {
        for weight in [Weight::Regular, Weight::Bold] {
            for sign in (' '..='~').chain("−±·°…“”×\u{a0}éüß".chars()) {
                assert!(face(weight).unwrap().glyph_index(sign).is_some(), "{sign:?}");
            }
        }
    }

    #[test]
    fn what_a_picture_cannot_show_is_left_out() {
        assert_eq!(clean(" a\u{0}b\tc\u{202e}d\n e "), "a b c d e");
    }
}
