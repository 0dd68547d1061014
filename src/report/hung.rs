//! What checks of how the diver hung say, and what they moved, in lines.

use crate::answer::{Checked, HungExpected, HungFound, HungSeen, HungVerdict};
use crate::report::calibrate::estimate_text;
use crate::report::lead::lead_text;
use crate::report::measure::{Quantity, UnitSystem};
use crate::report::text::Line;
use crate::report::trim;
use crate::study::calibrate::Against;
use crate::study::calibrate::surprise::SURPRISE;

/// Distances that are named.
const NAMED: usize = 3;

/// By how many checks the places are corrected; `None` where there is none.
pub(super) fn corrected_text(found: &HungFound) -> Option<String> {
    let (used, all) = found.used();
    let counted = |count: usize| format!("{count} check{} of the trim", if count == 1 { "" } else { "s" });
    match (used, all) {
        (_, 0) => None,
        (0, 1) => Some("places by no check: the only one of the trim contradicts and was left out".into()),
        (0, _) => Some("places by no check: none of the trim fits".into()),
        _ if used < all => Some(format!("places by {used} of {}", counted(all))),
        _ => Some(format!("places by {}", counted(all))),
    }
}

/// What was seen, in words: `hung head down 20° ± 10°`.
pub(super) fn seen_text(units: UnitSystem, seen: &HungSeen) -> String {
    match seen {
        HungSeen::Pitch(row) => {
            let (pitch_deg, half_deg) = (row.pitch_rad.to_degrees(), row.half_width_rad.to_degrees());
            let way = match () {
                () if pitch_deg == 0.0 => "level".to_owned(),
                () if pitch_deg > 0.0 => format!("head up {pitch_deg:.0}°"),
                () => format!("head down {:.0}°", -pitch_deg),
            };
            format!("hung {way} ± {half_deg:.0}°")
        }
        HungSeen::Needed(needed) => {
            let kg = needed.lead.value;
            let more = if kg < 0.0 { "less " } else { "" };
            format!("level took {} {more}at the {}", lead_text(units, kg.abs()), needed.place)
        }
    }
}

/// What the plan expects, in words.
pub(super) fn expected_text(units: UnitSystem, expected: HungExpected) -> String {
    match expected {
        HungExpected::Hang(hang) => trim::hang(hang),
        HungExpected::Needed { lead_kg: kg } if kg < 0.0 => format!("{} less there", lead_text(units, -kg)),
        HungExpected::Needed { lead_kg: kg } => format!("{} there", lead_text(units, kg)),
    }
}

/// What `trim` says first where a check contradicts.
pub fn repeat_line(checked: Option<&Checked>) -> Option<Line> {
    let against = checked?.hung.verdicts.iter().filter(|verdict| verdict.against.is_some());
    let names: Vec<&str> = against.map(|verdict| verdict.label.as_str()).collect();
    let text = format!(
        "{} contradicts the places of this plan. Repeat the check before you trust either; it is left out of what follows",
        names.join(", ")
    );
    (!names.is_empty()).then(|| Line { label: "Repeat the check".into(), text, within: Some(false) })
}

fn verdict_line(units: UnitSystem, verdict: &HungVerdict) -> Line {
    let depth = units.text(Quantity::Length, verdict.depth_m);
    let (seen, expected) = (seen_text(units, &verdict.seen), expected_text(units, verdict.expected));
    let what = format!("at {depth}, {seen}; expected {expected}");
    let mut text = match verdict.against {
        None if verdict.residual_ratio.abs() > SURPRISE => format!("{what}: more than the doubt admits"),
        None => format!("{what}; agrees"),
        Some(against) => {
            let whom = match against {
                Against::Plan => "the plan, with all the doubt that its places have",
                Against::OtherChecks => "the other checks",
            };
            format!("{what}; CONTRADICTS {whom}, and is left out. Repeat it, still and without a hand or a fin moving")
        }
    };
    if let Some(remark) = &verdict.remark {
        text += &format!(" ({remark})");
    }
    let is_fine = verdict.residual_ratio.abs() <= SURPRISE;
    let within = if verdict.against.is_some() { Some(false) } else { is_fine.then_some(true) };
    Line { label: verdict.label.clone(), text, within }
}

/// The verdict on every check of how the diver hung, and the distances that moved most.
pub fn lines(units: UnitSystem, checked: &Checked) -> Vec<Line> {
    let found = &checked.hung;
    let mut lines: Vec<Line> = found.verdicts.iter().map(|verdict| verdict_line(units, verdict)).collect();
    for (i, moved) in found.moved.iter().take(NAMED).enumerate() {
        let Some(input) = found.before.get(moved.input) else { continue };
        let text = format!(
            "{} is {} now, was {}",
            input.label,
            estimate_text(units, input, &moved.after),
            estimate_text(units, input, &moved.before)
        );
        lines.push(Line::plain(if i == 0 { "Places moved" } else { "" }, text));
    }
    let more = found.moved.len().saturating_sub(NAMED);
    if more > 0 {
        lines.push(Line::plain("", format!("and {more} more, each by less")));
    }
    if found.moved.is_empty() && found.used().0 > 0 {
        lines.push(Line::plain("Places moved", "none by as much as a tenth of its doubt".into()));
    }
    lines
}
