//! The typeface of the figures: embedded, and measured so that labels can be placed without colliding.

use std::sync::LazyLock;

use ttf_parser::gpos::{PairAdjustment, PositioningSubtable};
use ttf_parser::{Face, GlyphId, OutlineBuilder, Tag};

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

fn face(weight: Weight) -> Option<&'static Face<'static>> {
    FACES[weight as usize].as_ref()
}

/// Advance width of a text, px: the sum of its glyphs, kerning left out (it only ever narrows by a little). A sign that
/// the typeface lacks counts as a full square.
pub(super) fn width(text: &str, size: f64, weight: Weight) -> f64 {
    let Some(face) = face(weight) else { return size * text.chars().count() as f64 };
    let units: f64 = text.chars().map(|c| glyph(face, c).1).sum();
    size * units / f64::from(face.units_per_em())
}

/// A text as it is drawn: its glyphs, each with its distance from the beginning, and its width, px. Pairs are kerned.
pub(super) fn set(text: &str, size: f64, weight: Weight) -> (Vec<(GlyphId, f64)>, f64) {
    let Some(face) = face(weight) else { return (Vec::new(), 0.0) };
    let px = size / f64::from(face.units_per_em());
    let mut set: Vec<(GlyphId, f64)> = Vec::new();
    let mut end = 0.0;
    for (glyph, advance) in text.chars().map(|c| glyph(face, c)) {
        end += px * set.last().map_or(0.0, |(before, _)| kerning(face, *before, glyph));
        set.push((glyph, end));
        end += px * advance;
    }
    (set, end)
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
fn glyph(face: &Face<'_>, letter: char) -> (GlyphId, f64) {
    let found = face.glyph_index(letter).and_then(|glyph| Some((glyph, face.glyph_hor_advance(glyph)?)));
    found.map_or((GlyphId(0), f64::from(face.units_per_em())), |(glyph, advance)| (glyph, f64::from(advance)))
}

/// What the typeface changes between two glyphs, units of the typeface: feature `kern` of its table GPOS.
fn kerning(face: &Face<'_>, left: GlyphId, right: GlyphId) -> f64 {
    let Some(positions) = face.tables().gpos else { return 0.0 };
    let Some(feature) = positions.features.find(Tag::from_bytes(b"kern")) else { return 0.0 };
    let lookups = feature.lookup_indices.into_iter().filter_map(|index| positions.lookups.get(index));
    let mut subtables = lookups.flat_map(|lookup| lookup.subtables.into_iter::<PositioningSubtable<'_>>());
    let found = subtables.find_map(|subtable| match subtable {
        PositioningSubtable::Pair(PairAdjustment::Format1 { coverage, sets }) => {
            sets.get(coverage.get(left)?)?.get(right).map(|pair| pair.0)
        }
        PositioningSubtable::Pair(PairAdjustment::Format2 { coverage, classes, matrix }) => {
            coverage.get(left)?;
            matrix.get((classes.0.get(left), classes.1.get(right))).map(|pair| pair.0)
        }
        _ => None,
    });
    found.map_or(0.0, |value| f64::from(value.x_advance))
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

    #[test]
    fn what_a_picture_cannot_show_is_left_out() {
        assert_eq!(clean(" a\u{0}b\tc\u{202e}d\n e "), "a b c d e");
    }
}
