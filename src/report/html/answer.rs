//! The answer in plain words, with numbers.

use maud::{Markup, html};

use crate::answer::Carry;
use crate::report::html::{Handout, lead};
use crate::report::text::Line;
use crate::report::verdict::{self, Finding, Lead, NOT_KNOWN, TRIM};
use crate::report::{CAUTIONS, calibrate, words};
use crate::sim::Happening;

/// What the shared words add for who sits at a terminal.
const AT_A_TERMINAL: &str = ". What to do: ";

/// The section.
pub(super) fn section(handout: &Handout<'_>) -> Markup {
    let report = handout.report;
    let happened = report
        .trace
        .events()
        .iter()
        .filter(|event| !(matches!(event.what, Happening::Moved { .. }) || event.what.is_out_of_gas()));
    let happened: Vec<String> = happened.map(|event| words::event(report.units, report.scenario, event)).collect();
    html! {
        section.found aria-labelledby="answer" {
            h2 #answer { @if handout.beside.is_some() { "Plan A as it stands" } @else { "The plan as it stands" } }
            dl.answer {
                @for line in lines(handout) {
                    div.beyond[line.within == Some(false)] {
                        dt {
                            @match line.within {
                                Some(true) => span.mark role="img" aria-label="within" { "✓" },
                                Some(false) => span.mark role="img" aria-label="beyond" { "!" },
                                None => {},
                            }
                            (line.label)
                        }
                        dd.value { (line.value) }
                        @if !line.text.is_empty() { dd.text { (line.text) } }
                    }
                }
                div.sure {
                    dt { "How sure" }
                    dd.text { (lead::how_sure(handout)) }
                }
            }
            @if !happened.is_empty() {
                ul.happened { @for text in happened { li { (upper(&text)) "." } } }
            }
            p.cautions { (CAUTIONS) }
        }
    }
}

/// The lines of a run.
fn lines(handout: &Handout<'_>) -> Vec<Finding> {
    let Carry { range, trials, needless, .. } = handout.carry;
    let trim = Some(&handout.trim.doubt);
    let lead = Lead { bounds: range.bounds(), own: range.own, trials, needless: *needless, trim };
    let (first, corrected) = calibrate::around(handout.report.units, handout.report.checked);
    let as_found = |line: Line| {
        // what matters in a few words, the rest below it
        let parts = line.text.split_once(": ").or_else(|| line.text.split_once("; "));
        let (value, text) = parts.map_or((line.text.as_str(), ""), |(value, text)| (value, text));
        Finding::of(line.label, value.to_owned(), text.to_owned(), line.within)
    };
    // the page's headline says the one, a section of its own the other
    let is_told = |line: &Finding| line.label == NOT_KNOWN || line.label == TRIM;
    let found = verdict::lines(handout.report, &lead).into_iter().filter(|line| !is_told(line));
    let found = first.into_iter().map(as_found).chain(found).chain(corrected.map(as_found));
    let found = found.map(|line| Finding {
        label: upper(&line.label),
        value: upper(&line.value),
        text: sentence(line.text.split(AT_A_TERMINAL).next().unwrap_or_default()),
        within: line.within,
    });
    found.collect()
}

/// With a capital.
pub(super) fn upper(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or(String::new(), |first| format!("{}{}", first.to_uppercase(), letters.as_str()))
}

/// Words that the formats share, as a sentence.
fn sentence(words: &str) -> String {
    if words.is_empty() { String::new() } else { format!("{}.", upper(words)) }
}
