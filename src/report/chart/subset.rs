//! The typeface cut down to the letters of a figure, so that it can travel inside an SVG or a page.
//!
//! A TrueType file is a directory of tables (ISO/IEC 14496-22:2019, clauses 4 and 5; layouts from memory). What is kept:
//! the outlines (`glyf`, and `loca`, where each begins), widths (`hmtx`), the map from letters (`cmap`, as one subtable of
//! format 12), the copyright and the names of the family (`name`), and the heads. Numbers are big-endian.

use std::collections::BTreeSet;

use ttf_parser::{Face, GlyphId, Tag};

/// Names that stay: copyright, family and style, the name for printers (some readers ask for it), the licence, and the
/// family and style of a face that is not one of the usual four.
const NAMES: [u16; 7] = [0, 1, 2, 6, 13, 16, 17];

/// A file with these letters, as far as the face has them; `None` if the face is no TrueType file as this one reads it.
pub(super) fn subset(face: &Face<'_>, letters: &BTreeSet<char>) -> Option<Vec<u8>> {
    let table = |tag: &[u8; 4]| face.raw_face().table(Tag::from_bytes(tag));
    let mut kept = Kept { glyphs: vec![0] };
    let map: Vec<(char, usize)> = letters
        .iter()
        .filter_map(|&letter| face.glyph_index(letter).map(|glyph| (letter, kept.place(glyph.0))))
        .collect();
    let outlines =
        Outlines { starts: table(b"loca")?, glyf: table(b"glyf")?, is_long: u16_at(table(b"head")?, 50)? == 1 };
    let (mut glyf, mut loca) = (Vec::new(), vec![0, 0]);
    let mut next = 0;
    // the parts of a composite glyph join the end of the list
    while let Some(&glyph) = kept.glyphs.get(next) {
        glyf.extend(kept.renumbered(outlines.of(glyph)?)?);
        glyf.resize(glyf.len().next_multiple_of(2), 0);
        loca.extend(u16::try_from(glyf.len() / 2).ok()?.to_be_bytes());
        next += 1;
    }
    let count = u16::try_from(kept.glyphs.len()).ok()?.to_be_bytes();
    let (mut head, mut hhea, mut maxp) = (table(b"head")?.to_vec(), table(b"hhea")?.to_vec(), table(b"maxp")?.to_vec());
    head.get_mut(8..12)?.fill(0); // the sum over the file, set when it is put together
    head.get_mut(50..52)?.fill(0); // short offsets
    hhea.get_mut(34..36)?.copy_from_slice(&count);
    maxp.get_mut(4..6)?.copy_from_slice(&count);
    let mut post = table(b"post")?.get(..32)?.to_vec();
    post.get_mut(..4)?.copy_from_slice(&[0, 3, 0, 0]); // without names of glyphs
    let widths = kept.glyphs.iter().flat_map(|&glyph| {
        let glyph = GlyphId(glyph);
        let advance = face.glyph_hor_advance(glyph).unwrap_or(0).to_be_bytes();
        let bearing = face.glyph_hor_side_bearing(glyph).unwrap_or(0).to_be_bytes();
        [advance, bearing].concat()
    });
    Some(file(&[
        (b"OS/2", table(b"OS/2")?.to_vec()),
        (b"cmap", cmap(&map)),
        (b"glyf", glyf),
        (b"head", head),
        (b"hhea", hhea),
        (b"hmtx", widths.collect()),
        (b"loca", loca),
        (b"maxp", maxp),
        (b"name", names(table(b"name")?)?),
        (b"post", post),
    ]))
}

fn u16_at(data: &[u8], at: usize) -> Option<u16> {
    Some(u16::from_be_bytes(data.get(at..at + 2)?.try_into().ok()?))
}

fn u32_at(data: &[u8], at: usize) -> Option<u32> {
    Some(u32::from_be_bytes(data.get(at..at + 4)?.try_into().ok()?))
}

/// Where the outlines of a face stand.
struct Outlines<'a> {
    starts: &'a [u8],
    glyf: &'a [u8],
    is_long: bool,
}

impl<'a> Outlines<'a> {
    /// The outline of a glyph; empty for a space.
    fn of(&self, glyph: u16) -> Option<&'a [u8]> {
        let start = |index: usize| {
            if self.is_long {
                u32_at(self.starts, 4 * index).map(|at| at as usize)
            } else {
                u16_at(self.starts, 2 * index).map(|at| 2 * usize::from(at))
            }
        };
        self.glyf.get(start(usize::from(glyph))?..start(usize::from(glyph) + 1)?)
    }
}

/// The glyphs that stay, by their old numbers; their new ones are their places.
struct Kept {
    glyphs: Vec<u16>,
}

impl Kept {
    /// The place of a glyph, which joins the list if it is not there.
    fn place(&mut self, glyph: u16) -> usize {
        self.glyphs.iter().position(|one| *one == glyph).unwrap_or_else(|| {
            self.glyphs.push(glyph);
            self.glyphs.len() - 1
        })
    }

    /// An outline with the new numbers of its parts, if it is made of others.
    fn renumbered(&mut self, outline: &[u8]) -> Option<Vec<u8>> {
        const WORDS: u16 = 0x0001;
        const MORE: u16 = 0x0020;
        /// Flags of a scale, of two, and of a matrix, with the bytes that they take.
        const SCALES: [(u16, usize); 3] = [(0x0008, 2), (0x0040, 4), (0x0080, 8)];
        let mut outline = outline.to_vec();
        // a simple glyph has a number of contours, a composite one −1
        if outline.is_empty() || u16_at(&outline, 0)? & 0x8000 == 0 {
            return Some(outline);
        }
        let mut at = 10;
        loop {
            let (flags, part) = (u16_at(&outline, at)?, u16_at(&outline, at + 2)?);
            let place = u16::try_from(self.place(part)).ok()?;
            outline.get_mut(at + 2..at + 4)?.copy_from_slice(&place.to_be_bytes());
            at += if flags & WORDS == 0 { 6 } else { 8 };
            at += SCALES.iter().filter(|(flag, _)| flags & flag != 0).map(|(_, bytes)| bytes).sum::<usize>();
            if flags & MORE == 0 {
                return Some(outline);
            }
        }
    }
}

/// The map from letters to glyphs: runs of letters whose glyphs follow one another.
fn cmap(map: &[(char, usize)]) -> Vec<u8> {
    let mut runs: Vec<[u32; 3]> = Vec::new(); // first letter, last letter, first glyph
    for &(letter, glyph) in map {
        let (letter, glyph) = (u32::from(letter), glyph as u32); // fewer than 65 536
        match runs.last_mut() {
            Some([first, last, start]) if letter == *last + 1 && glyph == *start + (letter - *first) => *last = letter,
            _ => runs.push([letter, letter, glyph]),
        }
    }
    // version 0, one table: Windows, full Unicode, twelve bytes from here; then format 12
    let mut table: Vec<u8> = [0u16, 1, 3, 10, 0, 12, 12, 0].iter().flat_map(|n| n.to_be_bytes()).collect();
    let count = runs.len() as u32;
    table.extend([16 + 12 * count, 0, count].iter().chain(runs.iter().flatten()).flat_map(|n| n.to_be_bytes()));
    table
}

/// The table of names with those alone that stay.
fn names(table: &[u8]) -> Option<Vec<u8>> {
    let (count, store) = (u16_at(table, 2)?, usize::from(u16_at(table, 4)?));
    let records = table.get(6..6 + 12 * usize::from(count))?.chunks_exact(12);
    let stay: Vec<&[u8]> = records.filter(|record| u16_at(record, 6).is_some_and(|id| NAMES.contains(&id))).collect();
    let (mut head, mut text): (Vec<u8>, Vec<u8>) = (Vec::new(), Vec::new());
    for number in [0, stay.len(), 6 + 12 * stay.len()] {
        head.extend(u16::try_from(number).ok()?.to_be_bytes());
    }
    for record in stay {
        let (length, from) = (usize::from(u16_at(record, 8)?), store + usize::from(u16_at(record, 10)?));
        head.extend(record.get(..10)?);
        head.extend(u16::try_from(text.len()).ok()?.to_be_bytes());
        text.extend(table.get(from..from + length)?);
    }
    head.extend(text);
    Some(head)
}

/// Sum of a table as numbers of four bytes, the last one filled up with nothing.
fn sum(bytes: &[u8]) -> u32 {
    let word = |chunk: &[u8]| {
        let mut word = [0; 4];
        word[..chunk.len()].copy_from_slice(chunk);
        u32::from_be_bytes(word)
    };
    bytes.chunks(4).map(word).fold(0, u32::wrapping_add)
}

/// A file of tables, which must be sorted by name.
fn file(tables: &[(&[u8; 4], Vec<u8>)]) -> Vec<u8> {
    let count = tables.len() as u16; // ten
    let power = count.ilog2();
    let range = 16 << power;
    let mut file = vec![0, 1, 0, 0];
    file.extend([count, range, power as u16, 16 * count - range].iter().flat_map(|n| n.to_be_bytes()));
    let mut body: Vec<u8> = Vec::new();
    let start = 12 + 16 * tables.len();
    let mut head = None;
    for (tag, table) in tables {
        let at = start + body.len();
        if *tag == b"head" {
            head = Some(at);
        }
        file.extend_from_slice(*tag);
        file.extend([sum(table), at as u32, table.len() as u32].iter().flat_map(|n| n.to_be_bytes()));
        body.extend(table);
        body.resize(body.len().next_multiple_of(4), 0);
    }
    file.extend(body);
    let whole = 0xB1B0_AFBA_u32.wrapping_sub(sum(&file));
    if let Some(place) = head.and_then(|at| file.get_mut(at + 8..at + 12)) {
        place.copy_from_slice(&whole.to_be_bytes());
    }
    file
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::chart::font::{Weight, face};

    /// What draws a glyph, as text.
    #[derive(Default)]
    struct Strokes(String);

    impl ttf_parser::OutlineBuilder for Strokes {
        fn move_to(&mut self, x: f32, y: f32) {
            self.0 += &format!("M{x} {y}");
        }
        fn line_to(&mut self, x: f32, y: f32) {
            self.0 += &format!("L{x} {y}");
        }
        fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
            self.0 += &format!("Q{x1} {y1} {x} {y}");
        }
        fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
            self.0 += &format!("C{x1} {y1} {x2} {y2} {x} {y}");
        }
        fn close(&mut self) {
            self.0 += "Z";
        }
    }

    fn drawn(face: &Face<'_>, letter: char) -> (String, Option<u16>) {
        let glyph = face.glyph_index(letter).unwrap();
        let mut strokes = Strokes::default();
        face.outline_glyph(glyph, &mut strokes);
        (strokes.0, face.glyph_hor_advance(glyph))
    }

    /// Letters are drawn as before, composites (ä, é) and the space too; what was not asked for is gone. The sum over
    /// a whole file is the number that the standard gives.
    #[test]
    fn letters_stay_as_they_are() {
        let text = "Äé ñ−±·… kg\u{a0}0123456789 fi";
        for weight in [Weight::Regular, Weight::Bold] {
            let whole = face(weight).unwrap();
            let bytes = subset(whole, &text.chars().collect()).unwrap();
            assert!(bytes.len() < 9_000, "{} bytes", bytes.len());
            assert_eq!(sum(&bytes), 0xB1B0_AFBA);
            let small = Face::parse(&bytes, 0).unwrap();
            for letter in text.chars() {
                assert_eq!(drawn(&small, letter), drawn(whole, letter), "{letter:?}");
            }
            assert!(small.glyph_index('Z').is_none());
            let name = |face: &Face<'_>, id: u16| {
                face.names().into_iter().find(|name| name.name_id == id).and_then(|name| name.to_string())
            };
            // copyright and licence, in the words of the whole file
            for id in [0, 13] {
                assert!(name(whole, id).is_some() && name(&small, id) == name(whole, id), "{id}");
            }
        }
    }
}
