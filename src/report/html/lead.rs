//! The first line of the page, which is its answer: the lead to carry, or why none is advised; and how sure that is.

use maud::{Markup, html};

use crate::answer::Carry;
use crate::report::advice::{of_100, piece_list};
use crate::report::fins::Fins;
use crate::report::html::Handout;
use crate::report::measure::{Quantity, UnitSystem, fixed};
use crate::study::doubt::Interval;
use crate::study::{Choice, Verdict};

/// Ends of an interval that are closer than this are one figure, kg: below what is shown of it.
const NO_WIDTH_KG: f64 = 0.05;

/// The lead in words.
pub(super) struct Headline {
    /// In large letters.
    pub words: String,
    /// What that means, in sentences.
    pub text: String,
    /// Whether something is wrong with it.
    pub is_breach: bool,
}

/// The section.
pub(super) fn section(handout: &Handout<'_>) -> Markup {
    let Headline { words, text, is_breach } =
        headline(handout.report.units, handout.carry, Fins::of(handout.report.scenario));
    html! {
        section.lead.beyond[is_breach] aria-labelledby="lead" {
            h2 #lead {
                @if is_breach { span.mark role="img" aria-label="beyond" { "!" } " " }
                @if handout.beside.is_some() { "Plan A: " }
                (words)
            }
            @if !text.is_empty() { p { (text) } }
        }
    }
}

/// A mass of lead: as many decimals as its pieces need.
pub(super) fn mass(units: UnitSystem, kg: f64) -> String {
    format!("{} {}", short(units, kg), units.symbol(Quantity::Mass))
}

/// The same without its unit.
pub(super) fn short(units: UnitSystem, kg: f64) -> String {
    let text = fixed(units.value(Quantity::Mass, kg), 2);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// The pieces, the heaviest first, alike ones counted: `2 × 2 + 1 kg`; `None` where one piece or none is all of it.
pub(super) fn pieces(units: UnitSystem, choice: &Choice) -> Option<String> {
    let list = piece_list(&choice.pieces_kg, |kg| short(units, kg));
    (choice.pieces_kg.len() > 1).then(|| format!("{list} {}", units.symbol(Quantity::Mass)))
}

/// `4.5 kg of lead (2 × 2 + 0.5 kg)`.
pub(super) fn lead(units: UnitSystem, choice: &Choice) -> String {
    if choice.pieces_kg.is_empty() {
        return "no lead".into();
    }
    let pieces = pieces(units, choice).map_or(String::new(), |pieces| format!(" ({pieces})"));
    format!("{} of lead{pieces}", mass(units, choice.lead_kg))
}

fn risks(carry: &Carry, lead_kg: f64, fins: Fins) -> String {
    let (holds, swims) = (carry.trials.holds_frac(lead_kg), carry.trials.swims_frac(lead_kg));
    let swim_up = fins.swim_up();
    format!("stays down in {} and can {swim_up} with a failed wing in {}", of_100(holds), of_100(swims))
}

/// What to say first.
pub(super) fn headline(units: UnitSystem, carry: &Carry, fins: Fins) -> Headline {
    let advice = &carry.advice;
    let wrong = |words: &str, text: String| Headline { words: words.into(), text, is_breach: true };
    if let Some(choice) = carry.advised() {
        let text = format!("With it the diver {}.", risks(carry, choice.lead_kg, fins));
        return Headline { words: format!("Carry {}", lead(units, choice)), text, is_breach: false };
    }
    if carry.is_dry {
        return wrong("The dive runs out of gas", "No lead is advised before that is mended.".into());
    }
    if carry.is_disputed {
        let text = "A check in the water contradicts the figures of this plan; both answers stand below. Make the check \
                    again before anybody dives with either.";
        return wrong("Repeat the check: no lead is advised", text.into());
    }
    if advice.verdict == Verdict::NoLeadIsRight {
        return wrong("No lead is right for this rig and dive", none_right(units, carry, fins));
    }
    if carry.is_withheld() {
        return wrong(
            "No lead is advised yet",
            "More of the doubt comes from typical figures than from what is known of this rig. First make the check in \
             confined water that stands on this sheet, and bring the result back."
                .into(),
        );
    }
    match (advice.verdict, &advice.lead, &advice.barely) {
        (Verdict::DoubtTooWide, Some(sure), Some(barely)) => wrong(
            "Between two risks: no lead covers the whole doubt",
            format!(
                "With {} the diver {}; with {} the diver {}. First weigh more of the rig in water, or make the check in confined water.",
                mass(units, sure.lead_kg),
                risks(carry, sure.lead_kg, fins),
                mass(units, barely.lead_kg),
                risks(carry, barely.lead_kg, fins)
            ),
        ),
        (Verdict::PiecesTooCoarse, _, Some(barely)) => wrong(
            "Finer pieces of lead are needed",
            format!(
                "{} is the least in the usual pieces, and more than can be {}.",
                mass(units, barely.lead_kg),
                fins.swum_up()
            ),
        ),
        _ => wrong("The pieces of lead that are there are too few", String::new()),
    }
}

/// Why no lead is right, and what would have to be let go of.
fn none_right(units: UnitSystem, carry: &Carry, fins: Fins) -> String {
    let bounds = carry.range.bounds();
    let least = if bounds.least_kg > 0.0 {
        format!("Staying down takes {}", units.text(Quantity::Mass, bounds.least_kg))
    } else {
        "Staying down takes no lead".into()
    };
    let most = if bounds.most_kg >= 0.0 {
        format!("with a failed wing only {} can be {}", units.text(Quantity::Mass, bounds.most_kg), fins.swum_up())
    } else {
        format!("with a failed wing the rig is too heavy {} even without lead", fins.to_swim_up())
    };
    let go = match &carry.advice.ditch {
        Some(ditch) if ditch.is_enough && ditch.lead_kg > 0.0 => format!(
            " With {} carried, at least {} of it must be ditchable.",
            mass(units, ditch.lead_kg),
            ditch.choice.as_ref().map_or(mass(units, ditch.needed_kg), |choice| mass(units, choice.lead_kg))
        ),
        _ => String::new(),
    };
    format!("{least}; {most}. The rig or the dive must change.{go}")
}

/// How sure the lead is, in a sentence or two that a student can use.
pub(super) fn how_sure(handout: &Handout<'_>) -> String {
    let (units, carry) = (handout.report.units, handout.carry);
    if handout.report.inputs.iter().all(|input| input.estimate.doubt.is_none()) {
        return "The plan states every figure as exact, so nothing can be said about how sure the lead is.".into();
    }
    let Interval { low, high } = carry.trials.interval();
    let interval = if high <= 0.0 {
        "staying down takes no lead in more than 95 of 100 trials".to_owned()
    } else if high - low <= NO_WIDTH_KG {
        format!("staying down takes {} in 95 of 100 trials", mass(units, high))
    } else {
        let low = if low < NO_WIDTH_KG { "none".into() } else { units.text(Quantity::Mass, low) };
        format!("staying down takes between {low} and {} of lead in 95 of 100 trials", units.text(Quantity::Mass, high))
    };
    let why =
        format!("Weights and volumes are known only so well. With all of them varied within their doubt, {interval}.");
    let typical = carry.trials.typical_frac;
    if typical >= 0.01 {
        let share = fixed(100.0 * typical, 0);
        format!("{why} Typical figures, not measured on this rig, make {share} % of that doubt.")
    } else {
        why
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lead_is_told_in_its_pieces() {
        let choice = |pieces_kg: &[f64]| Choice { lead_kg: pieces_kg.iter().sum(), pieces_kg: pieces_kg.to_vec() };
        let metric = |pieces_kg: &[f64]| lead(UnitSystem::Metric, &choice(pieces_kg));
        assert_eq!(metric(&[2.0, 2.0, 0.5]), "4.5 kg of lead (2 × 2 + 0.5 kg)");
        assert_eq!(metric(&[2.0]), "2 kg of lead");
        assert_eq!(metric(&[]), "no lead");
        // a pound is 0.453 592 37 kg (international yard and pound agreement, 1959)
        let pounds = choice(&[4.0, 4.0, 2.0].map(|lb| lb * 0.453_592_37));
        assert_eq!(lead(UnitSystem::Us, &pounds), "10 lb of lead (2 × 4 + 2 lb)");
        assert_eq!(mass(UnitSystem::Metric, 10.0), "10 kg");
    }
}
