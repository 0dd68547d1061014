//! The slow answer: how sure the lead is, what to carry, what would help.

use serde::Serialize;
use serde_json::Value;

use crate::answer::{DoubtFacts, WholeFacts};
use crate::report::advice::{self, piece_list};
use crate::report::bench::sentence::{Run, of_whole};
use crate::report::bench::surer;
use crate::report::bench::{LabelledLine, Mark, Sentence, Shown, seconds};
use crate::report::lead::{WORTH_SHOWING_KG, change_text, lead_text};
use crate::report::measure::{Quantity, UnitSystem, fixed};
use crate::report::verdict::{self, Finding, Lead};
use crate::report::{Report, Rows, Source, calibrate, json, weigh};
use crate::study::Tried;
use crate::study::doubt::Answer;

/// Pieces that are named as what to weigh next.
const NEXT: usize = 5;

/// What the plan alone tells.
#[derive(Clone, Copy, Debug)]
pub struct WholeAsk<'a> {
    /// Where the dive comes from.
    pub source: &'a Source,
    /// What the reader must know about how the plan was read, as `run` has it.
    pub notes: &'a [String],
    /// Units for the reader.
    pub units: UnitSystem,
}

/// What texts say of commands, and what stands for it on the page, which has none.
const ON_THE_PAGE: [(&str, &str); 9] = [
    (". More: lightpoint trim", ""),
    (". What to do: lightpoint ballast", ""),
    ("with the form of lightpoint handout", "with the form of the sheet"),
    ("or weigh in water what lightpoint doubt names", "or weigh in water what stands under what to weigh next"),
    (": lightpoint doubt says what to weigh", ", by what stands under what to weigh next"),
    (" (lightpoint run says where)", ""),
    (": lightpoint calibrate)", ")"),
    ("what lightpoint doubt names", "what stands under what to weigh next"),
    ("lightpoint check lists them", "the plan lists them"),
];

/// A text without commands.
pub(super) fn on_the_page(text: &str) -> String {
    ON_THE_PAGE.iter().fold(text.to_owned(), |text, (at_a_terminal, here)| text.replace(at_a_terminal, here))
}

/// The slow answer.
#[derive(Serialize)]
pub struct Whole {
    /// The living sentence, with all that is known.
    pub sentence: Sentence,
    lines: Vec<VerdictLine>,
    advice: Vec<LabelledLine>,
    pieces: Option<String>,
    lead: Interval,
    checked: Option<Vec<LabelledLine>>,
    band: Option<Band>,
    next: Vec<Named>,
    alternatives: Vec<Named>,
    trim: Option<surer::Trimmed>,
    result: Value,
}

/// A line of the verdict.
#[derive(Serialize)]
struct VerdictLine {
    label: String,
    value: String,
    text: String,
    mark: Mark,
}

/// The 95 % interval of the least lead.
#[derive(Serialize)]
struct Interval {
    low: f64,
    high: f64,
}

/// The band of doubt around a curve.
#[derive(Serialize)]
pub(super) struct Band {
    pub time_s: Vec<f64>,
    pub low: Vec<f64>,
    pub high: Vec<f64>,
}

#[derive(Serialize)]
struct Named {
    name: String,
    text: String,
}

/// All that is known of a dive.
pub fn whole(ask: &WholeAsk<'_>, facts: &WholeFacts) -> Whole {
    let (dive, units) = (&facts.dive, ask.units);
    let (scenario, shown) = (&dive.built.scenario, Shown { units });
    // no line and no result reads rows: the ends of the stretches are enough
    let rows = Rows::at(scenario, &dive.trace, &dive.findings, f64::MAX, &[]);
    let report = Report {
        source: ask.source,
        scenario,
        trace: &dive.trace,
        rows: &rows,
        findings: &dive.findings,
        inputs: &dive.built.inputs,
        checked: dive.checked.as_ref(),
        notes: ask.notes,
        units,
    };
    let trim = dive.trim_doubt.as_ref();
    let lead = Lead { bounds: dive.lead, own: dive.own, trials: &dive.trials, needless: dive.needless, trim };
    let lines = verdict::lines(&report, &lead);
    let interval = dive.trials.interval();
    Whole {
        sentence: of_whole(
            units,
            &Run::of(&dive.quick),
            &dive.trials,
            dive.needless.as_ref(),
            dive.checked.as_ref(),
            &lines,
        ),
        advice: advice::lines(units, scenario, &facts.carry).into_iter().map(LabelledLine::of).collect(),
        pieces: pieces(units, facts),
        lead: Interval { low: shown.mass(interval.low), high: shown.mass(interval.high) },
        checked: checked(units, facts),
        band: facts.doubt.as_ref().and_then(|doubt| band(shown, doubt)),
        next: facts.doubt.as_ref().map_or(Vec::new(), |doubt| next(units, doubt)),
        alternatives: facts
            .tried
            .iter()
            .filter(|tried| tried.closes_kg > WORTH_SHOWING_KG)
            .map(|tried| alternative(units, tried))
            .collect(),
        trim: surer::trim(shown, facts),
        result: json::run::result(&report, &lead, &dive.removable, None),
        lines: shown_lines(units, facts, lines),
    }
}

/// The lines of the verdict, as `run` has them: before all else that a check must be repeated.
fn shown_lines(units: UnitSystem, facts: &WholeFacts, lines: Vec<Finding>) -> Vec<VerdictLine> {
    let (repeat, _) = calibrate::around(units, facts.dive.checked.as_ref());
    let first = repeat.map(|line| VerdictLine {
        mark: Mark::of(line.within),
        label: line.label,
        value: String::new(),
        text: on_the_page(&line.text),
    });
    let shown = lines.into_iter().map(|line| VerdictLine {
        mark: Mark::of(line.within),
        label: line.label,
        value: line.value,
        text: on_the_page(&line.text),
    });
    first.into_iter().chain(shown).collect()
}

/// The lead to carry in pieces; `None` where none is advised.
fn pieces(units: UnitSystem, facts: &WholeFacts) -> Option<String> {
    let choice = facts.carry.advised().filter(|choice| !choice.pieces_kg.is_empty())?;
    Some(piece_list(&choice.pieces_kg, |kg| fixed(units.value(Quantity::Mass, kg), 2)))
}

/// What checks in the water did.
fn checked(units: UnitSystem, facts: &WholeFacts) -> Option<Vec<LabelledLine>> {
    let checked = facts.dive.checked.as_ref()?;
    let (first, corrected) = calibrate::around(units, Some(checked));
    let lines = first.into_iter().chain(corrected).chain(calibrate::verdicts(units, false, checked));
    Some(lines.chain(calibrate::moved_lines(units, checked)).map(LabelledLine::of).collect())
}

fn band(shown: Shown, doubt: &DoubtFacts) -> Option<Band> {
    let band = doubt.study.band.as_ref().filter(|band| !band.times_s.is_empty())?;
    Some(Band {
        time_s: band.times_s.iter().map(|s| seconds(*s)).collect(),
        low: band.interval_kg.iter().map(|one| shown.mass(one.low)).collect(),
        high: band.interval_kg.iter().map(|one| shown.mass(one.high)).collect(),
    })
}

/// What to weigh next, what tells most first.
fn next(units: UnitSystem, doubt: &DoubtFacts) -> Vec<Named> {
    let Some(next) = &doubt.next else { return Vec::new() };
    let now_kg = weigh::half_width_kg(next, Answer::Least);
    let deeds = weigh::deeds(&doubt.built.inputs, next, Answer::Least).into_iter();
    deeds
        .filter(|deed| weigh::is_worth_saying(now_kg, deed.then_kg))
        .take(NEXT)
        .map(|deed| Named {
            text: format!("least lead ± {} then, ± {} now", lead_text(units, deed.then_kg), lead_text(units, now_kg)),
            name: on_the_page(&deed.deed),
        })
        .collect()
}

/// What a single change does where no lead is right.
fn alternative(units: UnitSystem, tried: &Tried) -> Named {
    let mass = |kg: f64| lead_text(units, kg);
    let closes = format!("closes {} of the gap", mass(tried.closes_kg));
    let text = match tried.gap_kg() <= 0.0 {
        true => {
            let (low, most) = (mass(tried.bounds.low_kg()), mass(tried.bounds.most_kg));
            let span = if low == most { low } else { format!("{low} to {most}") };
            format!("{closes}: {span} is right then")
        }
        false => format!("{closes}, {} is left", mass(tried.gap_kg())),
    };
    Named { name: change_text(units, &tried.change), text }
}
