//! CSV texts taken apart, every cell with its place: line and bytes.
//!
//! `csv-core` decides where a cell ends (RFC 4180: commas, or semicolons as in countries of the decimal comma; quotes,
//! either kind of line end). As it is fed one cell at a
//! time, its place is known without a second parser. Spaces around a cell do not count, empty lines and lines that begin
//! with `#` are passed over. Every byte is looked at a fixed number of times.

use std::borrow::Cow;
use std::ops::Range;

use csv_core::{ReadFieldResult, Reader, ReaderBuilder};

/// A cell.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Cell<'t> {
    /// Its text, without quotes.
    pub text: Cow<'t, str>,
    /// Its bytes, quotes included.
    pub span: Range<usize>,
}

/// The cells of a line, or of several when a quoted cell holds line ends.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Record<'t> {
    /// Line on which it begins, from 1.
    pub line: usize,
    /// The cells.
    pub cells: Vec<Cell<'t>>,
}

impl Record<'_> {
    /// Bytes of the whole.
    pub fn span(&self) -> Range<usize> {
        match (self.cells.first(), self.cells.last()) {
            (Some(first), Some(last)) => first.span.start..last.span.end,
            _ => 0..0,
        }
    }
}

/// The records of a text that have something in them.
pub(crate) struct Records<'t> {
    text: &'t str,
    reader: Reader,
    /// bytes taken so far
    at: usize,
    /// the line on which byte `counted` stands
    line: usize,
    counted: usize,
    /// what stands between cells
    divider: char,
    /// a cell without its quotes
    unquoted: Vec<u8>,
}

/// How a cell ended.
enum End {
    /// More cells follow in the record.
    Cell,
    Record,
    Text,
}

impl<'t> Records<'t> {
    /// Of a text.
    pub fn of(text: &'t str) -> Self {
        let divider = divider(text);
        let reader = ReaderBuilder::new().comment(Some(b'#')).delimiter(divider as u8).build();
        Self { text, reader, at: 0, line: 1, counted: 0, divider, unquoted: vec![0; 64] }
    }

    /// Whether semicolons stand between the cells, and so commas in the numbers.
    pub fn has_decimal_commas(&self) -> bool {
        self.divider == ';'
    }

    /// The next cell; its bytes begin at `start` or behind.
    fn cell(&mut self, start: usize) -> (End, Cell<'t>) {
        let mut written = 0;
        let end = loop {
            let rest = &self.text.as_bytes()[self.at..];
            let (result, taken, put) = self.reader.read_field(rest, &mut self.unquoted[written..]);
            self.at += taken;
            written += put;
            match result {
                ReadFieldResult::InputEmpty => {} // the next call is given nothing, which says that this is the end
                ReadFieldResult::OutputFull => self.unquoted.resize(2 * self.unquoted.len(), 0),
                ReadFieldResult::Field { record_end: true } => break End::Record,
                ReadFieldResult::Field { record_end: false } => break End::Cell,
                ReadFieldResult::End => break End::Text,
            }
        };
        let written_here = &self.text[start.min(self.at)..self.at];
        let whole = match end {
            End::Cell => written_here.strip_suffix(self.divider).unwrap_or(written_here),
            End::Record | End::Text => written_here,
        };
        let from = start + (whole.len() - whole.trim_start().len());
        let bare = whole.trim();
        let text = if bare.contains('"') {
            let text = std::str::from_utf8(&self.unquoted[..written]).unwrap_or_default();
            Cow::Owned(text.trim().to_owned())
        } else {
            Cow::Borrowed(bare)
        };
        // an empty cell is where it would stand
        let span = if bare.is_empty() {
            start..start + whole.trim_end_matches(['\r', '\n']).len()
        } else {
            from..from + bare.len()
        };
        (end, Cell { text, span })
    }

    /// Where the next record begins, behind line ends and comments.
    fn beginning(&self) -> usize {
        let bytes = self.text.as_bytes();
        let mut at = self.at;
        loop {
            match bytes.get(at) {
                Some(b'\r' | b'\n') => at += 1,
                Some(b'#') => at += self.text[at..].find('\n').unwrap_or(self.text.len() - at),
                _ => return at,
            }
        }
    }

    fn line_at(&mut self, byte: usize) -> usize {
        self.line += self.text.as_bytes()[self.counted..byte].iter().filter(|byte| **byte == b'\n').count();
        self.counted = byte;
        self.line
    }
}

/// What divides the cells: semicolons if the header has some and no comma.
fn divider(text: &str) -> char {
    let header = text.lines().find(|line| !line.trim().is_empty() && !line.starts_with('#')).unwrap_or_default();
    if header.contains(';') && !header.contains(',') { ';' } else { ',' }
}

impl<'t> Iterator for Records<'t> {
    type Item = Record<'t>;

    fn next(&mut self) -> Option<Record<'t>> {
        loop {
            let start = self.beginning();
            let mut cells: Vec<Cell<'t>> = Vec::new();
            let mut from = start;
            loop {
                let (end, cell) = self.cell(from);
                match end {
                    End::Text => return None,
                    End::Cell => cells.push(cell),
                    End::Record => {
                        cells.push(cell);
                        break;
                    }
                }
                from = self.at;
            }
            if cells.iter().any(|cell| !cell.text.is_empty()) {
                return Some(Record { line: self.line_at(start), cells });
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn cells(text: &str) -> Vec<Vec<String>> {
        Records::of(text).map(|record| record.cells.into_iter().map(|cell| cell.text.into_owned()).collect()).collect()
    }

    /// Comments and empty lines before the header and between rows do not move the places of cells.
    #[test]
    fn comments_do_not_move_places() {
        let text = "# first\r\n\n# second\ntime, depth\n# between\n\n1 min,\" 5, m \"\n   \n,,\n2 min,\n# last";
        let records: Vec<Record> = Records::of(text).collect();
        let places: Vec<(usize, &str)> = records.iter().map(|record| (record.line, &text[record.span()])).collect();
        assert_eq!(places, [(4, "time, depth"), (7, "1 min,\" 5, m \""), (10, "2 min,")]);
        assert_eq!(records[1].cells[1].text, "5, m");
        assert_eq!(&text[records[0].cells[1].span.clone()], "depth");
        assert_eq!(records[2].cells[1].span, text.find("2 min,").unwrap() + 6..text.find("2 min,").unwrap() + 6);
    }

    #[test]
    fn quotes_hold_commas_lines_and_quotes() {
        assert_eq!(cells("\"a\nb\",\"c \"\"d\"\"\"\r\ne,5\" pipe"), [["a\nb", "c \"d\""], ["e", "5\" pipe"]]);
        assert_eq!(Records::of("\"a\nb\"\nc").map(|record| record.line).collect::<Vec<_>>(), [1, 3]);
        assert_eq!(cells("a,\"not closed\nb"), [["a", "not closed\nb"]]);
        assert!(cells("").is_empty() && cells("\n\r\n#").is_empty());
    }

    proptest! {
        /// Against the `csv` crate, which reads the same grammar but keeps no places.
        #[test]
        fn cells_are_those_of_the_csv_crate(text in "[ab,\"\n\r# ]{0,60}") {
            let mut reader = csv::ReaderBuilder::new()
                .has_headers(false)
                .flexible(true)
                .trim(csv::Trim::All)
                .comment(Some(b'#'))
                .from_reader(text.as_bytes());
            let expected: Vec<Vec<String>> = reader
                .records()
                .map(|record| record.unwrap().iter().map(str::to_owned).collect::<Vec<_>>())
                .filter(|cells| cells.iter().any(|cell| !cell.is_empty()))
                .collect();
            prop_assert_eq!(cells(&text), expected);
            for record in Records::of(&text) {
                prop_assert_eq!(text[..record.span().start].matches('\n').count() + 1, record.line);
            }
        }
    }
}
