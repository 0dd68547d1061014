//! The answer in plain words, with numbers.

use maud::{Markup, html};

use crate::answer::Carry;
use crate::report::html::Handout;
use crate::report::verdict::{self, Finding, Lead};
use crate::report::{advice, words};
use crate::sim::Happening;

/// The section.
pub(super) fn section(handout: &Handout<'_>) -> Markup {
    let report = handout.report;
    let happened = report
        .trace
        .events()
        .iter()
        .filter(|event| !matches!(event.what, Happening::Moved { .. } | Happening::OutOfGas { .. }));
    let happened: Vec<String> = happened.map(|event| words::event(report, event)).collect();
    html! {
        section aria-labelledby="answer" {
            h2 #answer { "The answer" }
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
                        dd.text { (line.text) }
                    }
                }
            }
            @if !happened.is_empty() {
                ul.happened { @for text in happened { li { (text) } } }
            }
        }
    }
}

/// The lines of a run, with the advice first.
fn lines(handout: &Handout<'_>) -> Vec<Finding> {
    let Carry { range, trials, needless, .. } = handout.carry;
    let lead = Lead { bounds: range.bounds(), own: range.own, trials, needless: *needless };
    let advice = advice::advice_line(handout.report.units, handout.carry);
    let first =
        Finding { label: advice.label, value: String::new(), text: sentence(&advice.text), within: advice.within };
    let found = verdict::lines(handout.report, &lead).into_iter();
    let found = found.map(|line| Finding { text: sentence(&line.text), value: upper(&line.value), ..line });
    std::iter::once(first).chain(found).collect()
}

/// With a capital.
fn upper(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or(String::new(), |first| format!("{}{}", first.to_uppercase(), letters.as_str()))
}

/// Words that the formats share, as a sentence.
fn sentence(words: &str) -> String {
    if words.is_empty() { String::new() } else { format!("{}.", upper(words)) }
}
