//! What the terminal shows of a run: the answer first, then the two-column table.

use std::collections::HashMap;
use std::fmt::Write as _;
use std::sync::OnceLock;

use crate::answer::MishapFacts;
use crate::report::balance::lines;
use crate::report::calibrate;
use crate::report::measure::{Quantity, moment};
use crate::report::table::{Fit, align_numbers, new_table, with_sum};
use crate::report::verdict::{self, Finding, Lead};
use crate::report::{CAUTIONS, Report, Source, VERSION, mishaps, trim, words};
use crate::sim::Event;
use anstyle::{AnsiColor, Style};

const BOLD: Style = Style::new().bold();
const DIM: Style = Style::new().dimmed();
/// Beyond a limit. The words say it too: colour never stands alone.
const BEYOND: Style = AnsiColor::Red.on_default().bold();
const WITHIN: Style = AnsiColor::Green.on_default().bold();

/// Widest line of running text where nobody says how wide the terminal is, in characters.
const USUAL_WIDTH: usize = 80;
/// What is still readable: narrower no table fits, wider no eye finds the next line.
const WIDTHS: std::ops::RangeInclusive<usize> = 40..=160;
static WIDTH: OnceLock<usize> = OnceLock::new();

/// Makes lines as wide as the terminal; to be called once, before anything is written.
pub fn set_width(columns: usize) {
    let _ = WIDTH.set(columns.clamp(*WIDTHS.start(), *WIDTHS.end()));
}

/// Characters in a line.
pub fn width() -> usize {
    *WIDTH.get().unwrap_or(&USUAL_WIDTH)
}

/// Width of the labels on the left.
const LABEL: usize = 17;

/// The summary: title and the answer, what is wrong first. Styled with ANSI codes, to be stripped where they are not
/// wanted.
/// What a run tells of mishaps comes first where they were asked for, after all else where not.
pub fn summary(report: &Report<'_>, lead: &Lead<'_>, mishaps: &Told<'_>) -> String {
    let mut out = heading(report.source);
    if let Told::Asked(facts) = mishaps {
        mishaps::lines(report.units, report.scenario, facts).iter().for_each(|line| line.write(&mut out));
        let _ = writeln!(out, "\n{}", mishaps::table(report.units, report.scenario, facts));
    }
    let (first, corrected) = calibrate::around(report.units, report.checked);
    first.iter().for_each(|line| line.write(&mut out));
    let mut unasked = match mishaps {
        Told::Unasked(facts) => mishaps::unasked(report.units, report.scenario, facts),
        Told::Asked(_) => None,
    };
    for Finding { label, value, text, within } in verdict::lines(report, lead) {
        // what is wrong stands first
        if within != Some(false) {
            unasked.take_if(|line| line.within == Some(false)).iter().for_each(|line| line.write(&mut out));
        }
        let more = if label == verdict::TRIM { trim::AT_A_TERMINAL } else { "" };
        let text = match text.as_str() {
            "" => value,
            // where and when belong to the number
            place if place.starts_with("at ") => format!("{value} {place}"),
            _ => format!("{value}; {text}"),
        };
        Line { label, text: text + more, within }.write(&mut out);
    }
    unasked.iter().for_each(|line| line.write(&mut out));
    corrected.iter().for_each(|line| line.write(&mut out));
    events(report, &mut out);
    out
}

/// The mishaps of a run.
#[derive(Clone, Copy, Debug)]
pub enum Told<'a> {
    /// Those that were asked for, all of them.
    Asked(&'a MishapFacts),
    /// The usual ones: told only where one is beyond what the diver can do.
    Unasked(&'a MishapFacts),
}

/// A labelled line of the answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Label on the left.
    pub label: String,
    /// The answer.
    pub text: String,
    /// Within or beyond a limit; `None` when there is none to meet.
    pub within: Option<bool>,
}

impl Line {
    /// A line without a limit.
    pub fn plain(label: &str, text: String) -> Self {
        Self { label: label.into(), text, within: None }
    }

    /// Writes it, wrapped, with a mark that says within or beyond without colour.
    pub fn write(&self, out: &mut String) {
        let (mark, style) = match self.within {
            None => ("  ", Style::new()),
            Some(true) => ("✓ ", WITHIN),
            Some(false) => ("! ", BEYOND),
        };
        let indent = " ".repeat(LABEL + 4);
        let wrapped = wrapped(&self.text, textwrap::Options::new(width() - LABEL - 4));
        let body = wrapped.replace('\n', &format!("\n{indent}"));
        let _ = writeln!(out, "{style}{mark}{style:#}{BOLD}{:<LABEL$}{BOLD:#}  {body}", self.label);
    }
}

/// Title line of an output; what water is taken where none is written belongs to every answer.
pub fn heading(source: &Source) -> String {
    let title = &match source.takes_the_sea {
        true => format!("{}, in the sea: no site is written", source.title),
        false => source.title.clone(),
    };
    let version = format!("lightpoint {VERSION}");
    if title.chars().count() + 2 + version.chars().count() <= width() {
        return format!("{BOLD}{title}{BOLD:#}  {DIM}{version}{DIM:#}\n\n");
    }
    format!("{BOLD}{}{BOLD:#}\n\n", filled(title))
}

fn events(report: &Report<'_>, out: &mut String) {
    // a shortage of gas is a line of the answer
    let told = |event: &&Event| !event.what.is_out_of_gas();
    let events: Vec<&Event> = report.trace.events().iter().filter(told).collect();
    if !events.is_empty() {
        out.push('\n');
    }
    for event in events {
        let text = format!("• {}", words::event(report.units, report.scenario, event));
        let _ = writeln!(out, "{}", wrapped(&text, textwrap::Options::new(width()).subsequent_indent("  ")));
    }
}

/// The two-column table of every part at the heavy and the light point, with sums.
pub fn parts_table(report: &Report<'_>) -> String {
    let (units, findings) = (report.units, report.findings);
    let rows = [&findings.heavy.now, &findings.light.now];
    let unit = units.symbol(Quantity::Mass);
    let mut table = new_table();
    table.set_header([
        format!("Lift in water, {unit}"),
        format!("heavy point\n{}", moment(findings.heavy.time_s)),
        format!("light point\n{}", moment(findings.light.time_s)),
    ]);
    let number = |kg: Option<f64>| kg.map_or("—".into(), |kg| signed2(report, kg));
    let mut sums = [0.0, 0.0];
    for line in lines(report.scenario, &rows) {
        table.add_row([line.name.clone(), number(line.lift_kg[0]), number(line.lift_kg[1])]);
        for (sum, lift) in sums.iter_mut().zip(&line.lift_kg) {
            *sum += lift.unwrap_or(0.0);
        }
    }
    table.add_row(["net, wing empty".to_owned(), signed2(report, sums[0]), signed2(report, sums[1])]);
    align_numbers(&mut table, 1..3);
    let text = with_sum(&mut table, Fit::FIRST);
    let note = "positive floats, negative sinks; — not carried then";
    format!("{text}\n{DIM}{note}{DIM:#}\n")
}

/// Two decimals with a sign: the table is there to be added up by hand.
fn signed2(report: &Report<'_>, kg: f64) -> String {
    let text = crate::report::measure::fixed(report.units.value(Quantity::Mass, kg), 2);
    if text.starts_with('−') || text == "0.00" { text } else { format!("+{text}") }
}

/// Running text as wide as the terminal.
pub fn filled(text: &str) -> String {
    wrapped(text, textwrap::Options::new(width()))
}

/// Wrapped text in which no number loses its unit to the next line.
fn wrapped(text: &str, options: textwrap::Options<'_>) -> String {
    // head-heavy is one word
    let options = options.word_splitter(textwrap::WordSplitter::NoHyphenation);
    const UNITS: [&str; 17] =
        ["N·m", "lbf·ft", "kg", "lb", "m", "ft", "L", "cu", "bar", "psi", "min", "h", "s", "g", "%", "°C", "°F"];
    // a blank that textwrap does not break at
    const TIED: char = '\u{a0}';
    let mut tied = String::with_capacity(text.len());
    let mut words = text.split(' ').peekable();
    while let Some(word) = words.next() {
        tied.push_str(word);
        let Some(next) = words.peek() else { break };
        let unit = next.trim_end_matches(|c: char| c.is_ascii_punctuation() && c != '%');
        let is_number = word.chars().next_back().is_some_and(|c| c.is_ascii_digit());
        let is_one = is_number && UNITS.contains(&unit) || word == "cu" && unit == "ft";
        tied.push(if is_one { TIED } else { ' ' });
    }
    textwrap::fill(&tied, options).replace(TIED, " ")
}

/// Remarks below a table, each told once and numbered.
#[derive(Clone, Debug, Default)]
pub struct Footnotes {
    notes: Vec<String>,
    numbers: HashMap<String, usize>,
}

impl Footnotes {
    /// The mark of a remark, `[2]`; nothing for an empty one.
    pub fn mark(&mut self, note: &str) -> String {
        if note.is_empty() {
            return String::new();
        }
        let number = self.numbers.get(note).copied().unwrap_or_else(|| {
            self.notes.push(note.to_owned());
            self.numbers.insert(note.to_owned(), self.notes.len());
            self.notes.len()
        });
        format!("[{number}]")
    }

    /// The remarks in lines.
    pub fn text(&self) -> String {
        let mut out = String::new();
        for (index, note) in self.notes.iter().enumerate() {
            let wrap = textwrap::Options::new(width()).subsequent_indent("     ");
            let _ = writeln!(out, "{}", textwrap::fill(&format!("{:<4} {note}", format!("[{}]", index + 1)), wrap));
        }
        out
    }
}

/// Notes on how the plan was read, and the cautions; the end of an output.
pub fn footer(notes: &[String]) -> String {
    let mut out = String::new();
    let wrap = textwrap::Options::new(width()).subsequent_indent("  ");
    for note in notes {
        let _ = writeln!(out, "{}", wrapped(&format!("• {note}"), wrap.clone()));
    }
    if !notes.is_empty() {
        out.push('\n');
    }
    let _ = writeln!(out, "{DIM}{}{DIM:#}", textwrap::fill(CAUTIONS, width()));
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_keeps_its_unit() {
        let text =
            "largest load 12.2 kg, limit 7.0 kg; from 0:00 to 41:32 min or 9:35 h, 100 % of it, at 9 m, 0.35 cu ft";
        for width in 12..60 {
            let lines = wrapped(text, textwrap::Options::new(width));
            for unit in ["kg", "kg;", "min", "h,", "%", "m,", "cu", "ft"] {
                let is_first = lines.lines().any(|line| line.split(' ').next() == Some(unit));
                assert!(!is_first, "{unit} at {width}: {lines}");
            }
            assert!(lines.lines().all(|line| line.chars().count() <= width), "{width}: {lines}");
            assert_eq!(lines.replace('\n', " "), text);
        }
    }
}
