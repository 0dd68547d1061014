//! What checks in the water changed: the lines that every answer has of it, and the words and tables of `calibrate`.

use crate::answer::{Asked, Calibration, Checked, Dispute};
use crate::estimate::{Estimate, Input, Shape};
use crate::report::Source;
use crate::report::doubt::{interval_text, share_text, uncertain};
use crate::report::inputs::{value_in, width_in};
use crate::report::lead::lead_text;
use crate::report::measure::{Quantity, UnitSystem, fixed};
use crate::report::table::{Fit, align_numbers, new_table, plain};
use crate::report::text::Line;
use crate::scenario::Scenario;
use crate::study::calibrate::check::{Check, Outcome, WingThen};
use crate::study::calibrate::surprise::SURPRISE;
use crate::study::calibrate::{Against, Moved, Reason, Verdict};
use crate::study::doubt::{Answer, Outlook, Risk};

/// Figures that are named beside the sum of what moved.
const NAMED: usize = 2;

/// What a report of a calibration is made from.
#[derive(Clone, Copy, Debug)]
pub struct CalibrateReport<'a> {
    /// Whether the statistics are shown too.
    pub details: bool,
    /// Units for the reader.
    pub units: UnitSystem,
    /// Where it comes from.
    pub source: &'a Source,
    /// What was found.
    pub found: &'a Calibration,
}

/// What every answer says of the checks behind it: before all else that one must be repeated, and behind the findings by
/// how many the answer is corrected.
pub fn around(units: UnitSystem, checked: Option<&Checked>) -> (Option<Line>, Option<Line>) {
    let first = checked.filter(|checked| checked.correction.contradicts());
    let corrected = checked.map(|checked| Line::plain("Corrected", corrected_text(checked)));
    (first.map(|checked| repeat_line(units, checked)), corrected)
}

/// `by 1 check`, and how.
pub fn corrected_text(checked: &Checked) -> String {
    let of_lead = (!checked.checks.is_empty()).then(|| corrected_lead(checked));
    let of_trim = super::hung::corrected_text(&checked.hung);
    of_lead.into_iter().chain(of_trim).collect::<Vec<_>>().join("; ")
}

fn corrected_lead(checked: &Checked) -> String {
    let (used, all) = checked.used();
    let counted = |count: usize| format!("{count} check{}", if count == 1 { "" } else { "s" });
    let mut text = match used {
        0 => {
            format!("by no check: {} and was left out", if all == 1 { "the only one contradicts" } else { "none fits" })
        }
        _ if used < all => format!("by {used} of {}", counted(all)),
        _ => format!("by {}", counted(all)),
    };
    let times = checked.correction.widened.sqrt();
    // a surprise so small that it changes no figure that is shown is none
    if times >= 1.05 {
        text += &format!(
            "; {} surprised, so figures that nobody measured count as {} times as doubtful as they say",
            if used == 1 { "it" } else { "one" },
            fixed(times, 1)
        );
    }
    text
}

/// Both answers where a check contradicts.
fn repeat_line(units: UnitSystem, checked: &Checked) -> Line {
    let names: Vec<&str> = checked
        .correction
        .verdicts
        .iter()
        .filter(|verdict| verdict.against.is_some())
        .map(|verdict| verdict.label.as_str())
        .collect();
    let mut text = format!("{} contradicts", names.join(", "));
    if let Some(Dispute { by_figures_kg, by_checks_kg }) = checked.dispute {
        let lead = |kg: f64| lead_text(units, kg.max(0.0));
        let figures = lead(by_figures_kg);
        text += &match by_checks_kg {
            Some(kg) => format!(": least lead {figures} by the figures alone, {} if it is right", lead(kg)),
            None => format!(": least lead {figures} by the figures alone; no such diver is possible if it is right"),
        };
    }
    text += ". Repeat the check before you trust either; it is left out of what follows";
    Line { label: "Repeat the check".into(), text, within: Some(false) }
}

/// What the checks moved: of weights in three lines, the sum, and the figures that took most of it; and of places.
pub fn moved_lines(units: UnitSystem, checked: &Checked) -> Vec<Line> {
    let of_lead = moved_weights(units, checked);
    of_lead.into_iter().chain(super::hung::lines(units, checked)).collect()
}

fn moved_weights(units: UnitSystem, checked: &Checked) -> Vec<Line> {
    let correction = &checked.correction;
    if !correction.is_used() {
        return vec![];
    }
    // small figures move too
    let sum_kg: f64 = correction.moved.iter().map(|moved| moved.took_kg).sum::<f64>() + correction.elsewhere_kg;
    let side = if sum_kg >= 0.0 { "lighter" } else { "heavier" };
    let sum = match sum_kg.abs() < 5e-3 {
        true => "what was seen is what the figures say".to_owned(),
        false => format!("the diver is {} {side} than the figures say", lead_text(units, sum_kg.abs())),
    };
    let mut lines = vec![Line::plain("What was found", sum)];
    for moved in correction.moved.iter().filter(|moved| moved.took_kg.abs() >= 5e-3).take(NAMED) {
        let Some(input) = uncertain(&checked.before).nth(moved.input) else { continue };
        let text = format!(
            "{} of it: {} is {} now, was {}",
            lead_text(units, moved.took_kg.abs()),
            input.label,
            estimate_text(units, input, &moved.after),
            estimate_text(units, input, &moved.before)
        );
        lines.push(Line::plain("", text));
    }
    if correction.elsewhere_kg.abs() >= 5e-3 {
        let kg = lead_text(units, correction.elsewhere_kg.abs());
        lines.push(Line::plain("", format!("{kg} of it: what only the rig of the check has")));
    }
    lines
}

/// What a check found, in words.
pub(super) fn outcome_text(units: UnitSystem, outcome: Outcome) -> String {
    match outcome {
        Outcome::Neutral => "neutral".into(),
        Outcome::Needed { lead_kg } if lead_kg < 0.0 => format!("needed {} less lead", lead_text(units, -lead_kg)),
        Outcome::Needed { lead_kg } => format!("needed {} more lead", lead_text(units, lead_kg)),
        Outcome::Reading { lift_kg } if lift_kg < 0.0 => {
            format!("hung with {} on the scale", lead_text(units, -lift_kg))
        }
        Outcome::Reading { lift_kg } => format!("floated with {} on the scale", lead_text(units, lift_kg)),
        Outcome::CouldStay => "could stay".into(),
        Outcome::CouldNotStay => "could not stay".into(),
        Outcome::Gauge { gauge_pa, .. } => format!("the gauge at {}", units.text(Quantity::GaugePressure, gauge_pa)),
    }
}

fn off_text(units: UnitSystem, details: bool, verdict: &Verdict) -> String {
    let size = lead_text(units, verdict.off_kg.abs());
    let residual = if details { format!(" (residual {})", fixed(verdict.residual, 1)) } else { String::new() };
    let side = if verdict.off_kg >= 0.0 { "lighter" } else { "heavier" };
    if verdict.off_kg.abs() < 5e-4 {
        format!("as expected{residual}")
    } else {
        format!("{size} {side} than expected{residual}")
    }
}

/// A reason with the size that would explain all of it.
pub(super) fn reason_text(units: UnitSystem, scenario: &Scenario, check: &Check, reason: Reason) -> String {
    let volume = |m3: f64| units.text(Quantity::Volume, m3);
    match reason {
        Reason::TrappedGas(m3) if scenario.rig().suit.is_some() => {
            format!("{} more gas in the suit than it keeps, trapped", volume(m3))
        }
        Reason::TrappedGas(m3) => format!("{} of gas trapped in suit or gear", volume(m3)),
        Reason::WingNotEmpty(m3) if check.wing == WingThen::Empty => {
            format!("the wing not empty, {} in it", volume(m3))
        }
        Reason::WingNotEmpty(m3) => format!("{} more in the wing than noted", volume(m3)),
        Reason::SuitSqueezed(m3) => format!("{} less gas in the suit than it keeps", volume(m3)),
        Reason::LessInWing(m3) => format!("{} less in the wing than noted", volume(m3)),
        Reason::WrongWater(kg_m3) => format!("water of {}", units.text(Quantity::Density, kg_m3)),
        Reason::WrongPiece(kg) => {
            let way = if kg > 0.0 { "too light" } else { "too heavy" };
            format!("a wrong piece or wrong lead, by {} {way} in the water", lead_text(units, kg.abs()))
        }
    }
}

/// The verdict on every check, in lines.
pub fn verdicts(units: UnitSystem, details: bool, checked: &Checked) -> Vec<Line> {
    let one = |((check, verdict), remark): ((&Check, &Verdict), &Option<String>)| {
        let depth = units.text(Quantity::Length, check.depth_m);
        let seen = match check.outcome {
            Outcome::Neutral if check.depth_m == 0.0 => "eye level".into(),
            outcome => outcome_text(units, outcome),
        };
        let what = format!("at {depth}, {seen}: {}", off_text(units, details, verdict));
        let mut text = match verdict.against {
            None if verdict.residual.abs() > SURPRISE => format!("{what}: more than the doubt admits"),
            None => format!("{what}; agrees"),
            Some(against) => {
                let whom = match against {
                    Against::Plan => "the plan, with all the doubt that it has",
                    Against::OtherChecks => "the other checks",
                };
                let scenario = &checked.scenario_before;
                let reasons: Vec<String> = verdict
                    .reasons
                    .iter()
                    .enumerate()
                    .map(|(i, reason)| format!("{}. {}", i + 1, reason_text(units, scenario, check, *reason)))
                    .collect();
                format!("{what}; CONTRADICTS {whom}, and is left out. Likely, in this order: {}", reasons.join("; "))
            }
        };
        if let Some(remark) = remark {
            text += &format!(" ({remark})");
        }
        // what surprised is used, and is no tick
        let is_fine = verdict.residual.abs() <= SURPRISE;
        let within = if verdict.against.is_some() { Some(false) } else { is_fine.then_some(true) };
        Line { label: check.label.clone(), text, within }
    };
    checked.checks.iter().zip(&checked.correction.verdicts).zip(&checked.remarks).map(one).collect()
}

/// An estimate with two digits of its doubt.
pub fn estimate_text(units: UnitSystem, input: &Input, estimate: &Estimate) -> String {
    let (value, symbol) = value_in(units, input.quantity, estimate.value);
    let Some(doubt) = estimate.doubt else { return format!("{} {symbol}", fixed(value, 2)) };
    let half_width = width_in(units, input.quantity, doubt.half_width);
    let decimals = (1 - half_width.log10().floor() as i64).clamp(0, 9) as usize;
    let shape = match doubt.shape {
        Shape::Rectangular => String::new(),
        Shape::Triangular => " (triangular)".into(),
        Shape::Normal { coverage_frac } => format!(" ({:.0} %)", coverage_frac * 100.0),
    };
    format!("{} ± {} {symbol}{shape}", fixed(value, decimals), fixed(half_width, decimals))
}

/// The figure that moved.
pub(super) fn input_of<'a>(report: &CalibrateReport<'a>, moved: &Moved) -> Option<&'a Input> {
    uncertain(&report.found.checked.before).nth(moved.input)
}

/// What moved and by how much.
pub fn moved_table(report: &CalibrateReport<'_>) -> String {
    let units = report.units;
    let mut table = new_table();
    // the key, and the shift against the doubt before, are for those who ask for them
    let shown = |row: [String; 5]| {
        row.into_iter().enumerate().filter(|(i, _)| report.details || !matches!(i, 1 | 4)).map(|(_, cell)| cell)
    };
    table.set_header(shown(["What moved", "key", "before", "after", "shift, σ"].map(str::to_owned)));
    for moved in &report.found.checked.correction.moved {
        let Some(input) = input_of(report, moved) else { continue };
        let shift = fixed(moved.shift_sigmas, 2);
        table.add_row(shown([
            input.label.clone(),
            input.path.to_string(),
            estimate_text(units, input, &moved.before),
            estimate_text(units, input, &moved.after),
            if shift.starts_with('−') { shift } else { format!("+{shift}") },
        ]));
    }
    if !report.details {
        return plain(&mut table, Fit { fold: 0, leave_out: &[1] }).trim_end().to_owned();
    }
    align_numbers(&mut table, 4..5);
    let text = plain(&mut table, Fit { fold: 0, leave_out: &[1, 4, 2] });
    format!("{text}σ: the standard uncertainty of the figure before")
}

/// The intervals before and after.
pub fn outlook_table(report: &CalibrateReport<'_>) -> String {
    let units = report.units;
    let outlook = |asked: &'_ Asked| -> Outlook { asked.study.outlook.clone() };
    let (before, after) = (outlook(&report.found.before), outlook(&report.found.after));
    let columns = [("the plan as it was", &before), ("with the checks", &after)];
    let mut table = new_table();
    table.set_header(std::iter::once("95 % intervals").chain(columns.iter().map(|(name, _)| *name)));
    let interval = |answer: Answer| {
        move |outlook: &Outlook| outlook.summary(answer).map_or("—".into(), |s| interval_text(units, &s.symmetric))
    };
    let chance = |risk: Risk| {
        move |outlook: &Outlook| {
            let found = outlook.risks.iter().find(|(one, _)| *one == risk);
            found.map_or("—".into(), |(_, chance)| share_text(chance))
        }
    };
    let best = |outlook: &Outlook| {
        outlook
            .lead
            .best()
            .map_or("none".into(), |best| format!("{}, {}", lead_text(units, best.lead_kg), share_text(&best.chance)))
    };
    let mut row = |label: &str, of: &dyn Fn(&Outlook) -> String| {
        table.add_row(std::iter::once(label.to_owned()).chain(columns.iter().map(|(_, outlook)| of(outlook))));
    };
    row("least lead", &interval(Answer::Least));
    row("most lead", &interval(Answer::Most));
    row("heavy point", &interval(Answer::Heavy));
    row("light point", &interval(Answer::Light));
    row("cannot swim up somewhere", &chance(Risk::CannotSwimUp));
    row("cannot hold the last stop", &chance(Risk::CannotHold));
    row("no lead is right", &chance(Risk::RangeEmpty));
    row("best lead, its chance to meet both", &best);
    align_numbers(&mut table, 1..columns.len() + 1);
    plain(&mut table, Fit { fold: 0, leave_out: &[1] }).trim_end().to_owned()
}

/// Why a plan with the figures is less sure than the plan with its checks.
pub const TIED: &str = "A plan with the corrected figures is less sure than the plan with its checks: a check ties figures together \
(one heavier means the other lighter), and figures alone have no words for that.";
