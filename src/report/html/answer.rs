//! The answer in plain words, with numbers.

use maud::{Markup, html};

use crate::findings::SwimUp;
use crate::report::html::Handout;
use crate::report::lead::lead_text;
use crate::report::measure::{Quantity, UnitSystem, fixed};
use crate::report::words;
use crate::sim::Happening;
use crate::study::{LeadRange, Verdict};

/// A line of the answer.
struct Line {
    label: &'static str,
    /// The number that matters.
    value: String,
    /// What it means.
    text: String,
    /// Within or beyond a limit; `None` where there is none to meet.
    within: Option<bool>,
}

/// The section.
pub(super) fn section(handout: &Handout<'_>) -> Markup {
    let report = handout.report;
    let happened = report.trace.events().iter().filter(|event| !matches!(event.what, Happening::Moved { .. }));
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

fn lines(handout: &Handout<'_>) -> Vec<Line> {
    let (units, found) = (handout.report.units, handout.report.findings);
    let lift = |kg: f64| units.signed_text(Quantity::Mass, kg);
    let (heavy, light, last, wing) = (&found.heavy, &found.light, found.last_hold(), &found.wing);
    let mut lines = vec![
        lead(handout),
        Line {
            label: "Heavy point",
            value: lift(heavy.bare_kg),
            text: format!(
                "The heaviest moment of the dive with the wing empty, {}.",
                words::at(units, heavy.time_s, heavy.depth_m)
            ),
            within: None,
        },
        Line {
            label: "Light point",
            value: lift(light.bare_kg),
            text: format!(
                "The lightest moment at or below the last stop with the wing empty, {}: the diver {}.",
                words::at(units, light.time_s, light.depth_m),
                if light.bare_kg <= 0.0 { "stays down" } else { "floats up" }
            ),
            within: None,
        },
        failed_wing("Failed wing", units, &found.failed_wing),
    ];
    if let Some(with_suit) = &found.failed_wing_with_suit {
        lines.push(failed_wing("with the suit", units, with_suit));
    }
    for hold in found.holds.iter().filter(|hold| hold.depth_m > last.depth_m && !hold.planned.holds()) {
        lines.push(hold_line("Stop", units, hold));
    }
    lines.push(hold_line("Last stop", units, last));
    lines.push(Line {
        label: "Wing",
        value: units.text(Quantity::Volume, wing.needed_m3),
        text: sentence(&words::wing(units, wing)),
        within: Some(wing.is_enough()),
    });
    lines
}

fn failed_wing(label: &'static str, units: UnitSystem, finding: &crate::findings::FailedWing) -> Line {
    Line {
        label,
        value: units.text(Quantity::Mass, finding.worst.load_kg.max(0.0)),
        text: sentence(&words::failed_wing(units, finding)),
        within: Some(finding.verdict == SwimUp::CanSwim),
    }
}

fn hold_line(label: &'static str, units: UnitSystem, hold: &crate::findings::Hold) -> Line {
    Line {
        label,
        value: format!(
            "{} {}",
            units.text(Quantity::Mass, hold.at_reserve.margin_kg().abs()),
            if hold.at_reserve.holds() { "to spare" } else { "too light" }
        ),
        text: format!(
            "With the wing empty at {}: {}.",
            units.text(Quantity::Length, hold.depth_m),
            words::hold(units, hold)
        ),
        within: Some(hold.planned.holds() && hold.at_reserve.holds()),
    }
}

fn lead(handout: &Handout<'_>) -> Line {
    let (units, range) = (handout.report.units, handout.range);
    let bounds = range.bounds();
    let value = if bounds.is_empty() {
        "no lead is right".to_owned()
    } else {
        let number = |kg: f64| fixed(units.value(Quantity::Mass, kg), 2);
        format!("{} to {} {}", number(bounds.low_kg()), number(bounds.most_kg), units.symbol(Quantity::Mass))
    };
    Line {
        label: "Lead",
        value,
        text: format!("{} {}", advice(handout), own(units, range)),
        within: Some(!bounds.is_empty()),
    }
}

/// Words that the formats share, as a sentence.
fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or(String::new(), |first| format!("{}{}.", first.to_uppercase(), letters.as_str()))
}

/// What to carry, in words.
fn advice(handout: &Handout<'_>) -> String {
    let (units, range, advice) = (handout.report.units, handout.range, handout.advice);
    let carry = advice.lead.as_ref().map_or(range.bounds().low_kg(), |choice| choice.lead_kg);
    let carry = lead_text(units, carry);
    let pieces = lead_text(units, handout.piece_kg);
    let first = match advice.verdict {
        Verdict::Fits => return format!("Carry {carry}: the least, rounded up to pieces of {pieces}."),
        Verdict::PiecesTooCoarse => format!("In pieces of {pieces} the least is {carry}, above the most."),
        Verdict::PiecesTooFew => "The pieces that are there do not reach the least.".to_owned(),
        Verdict::NoLeadIsRight if range.bounds().low_kg() <= 0.0 => {
            "Even without lead a failed wing is more than the diver can swim up.".to_owned()
        }
        Verdict::NoLeadIsRight => format!(
            "Staying down at the last stop takes {} more than a failed wing allows.",
            lead_text(units, -range.bounds().width_kg())
        ),
    };
    let Some(ditch) = &advice.ditch else { return first };
    let needed = lead_text(units, ditch.needed_kg);
    let second = if ditch.lead_kg <= 0.0 {
        format!("The rig must become lighter by what {needed} of lead pulls.")
    } else if ditch.is_enough {
        format!("Of {} at least {needed} must be ditchable.", lead_text(units, ditch.lead_kg))
    } else {
        format!("Ditching lead is not enough: the rig must become lighter by what {needed} of lead pulls.")
    };
    format!("{first} {second}")
}

/// What the plan's own lead does.
fn own(units: UnitSystem, range: &LeadRange) -> String {
    let own = &range.own;
    let amount = |kg: f64| units.text(Quantity::Mass, kg.abs());
    let hold = match own.hold_margin_kg {
        kg if kg >= -1e-3 => format!("holds the last stop at reserve with {} to spare", amount(kg)),
        kg => format!("floats off the last stop at reserve by {}", amount(kg)),
    };
    let swim = match own.swim_margin_kg {
        kg if kg >= -1e-3 => format!("can be swum up with {} to spare", amount(kg)),
        kg => format!("exceeds the swim-up limit by {}", amount(kg)),
    };
    format!("This plan carries {}: it {hold} and {swim}.", lead_text(units, own.ballast_kg))
}
