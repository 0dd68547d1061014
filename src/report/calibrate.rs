//! What checks in the water changed: the words and tables of `calibrate`.

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
use crate::study::calibrate::{Against, Calibrated, LINEAR_FRAC, Method, Moved, Reason, Verdict};
use crate::study::doubt::{Answer, Outlook, Risk};

/// What a report of a calibration is made from.
#[derive(Clone, Copy, Debug)]
pub struct CalibrateReport<'a> {
    /// Whether the statistics are shown too.
    pub details: bool,
    /// Units for the reader.
    pub units: UnitSystem,
    /// Where it comes from.
    pub source: &'a Source,
    /// The dive, every figure at its central value.
    pub scenario: &'a Scenario,
    /// Every figure that the dive was built from.
    pub inputs: &'a [Input],
    /// The checks.
    pub checks: &'a [Check],
    /// What they say.
    pub calibrated: &'a Calibrated,
    /// What the calibrated plan says by itself, if there is one.
    pub written: Option<&'a Outlook>,
}

/// Which method was used, and why.
pub fn method(calibrated: &Calibrated) -> String {
    let off = fixed(calibrated.off_line_frac, 2);
    match calibrated.method {
        Method::LinearGaussian => format!(
            "linear-Gaussian, in closed form: no check is one-sided, and all lie on a straight line to within {off} of \
             their own standard uncertainty (up to {LINEAR_FRAC} would do)"
        ),
        Method::Weighted { draws, effective, one_sided } => {
            let why = if one_sided {
                "a check bounds the lift on one side only".to_owned()
            } else {
                format!("a check lies off a straight line by {off} of its own standard uncertainty")
            };
            format!("{draws} weighted draws, worth {effective:.0} independent ones, because {why}")
        }
    }
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
    }
}

fn off_text(report: &CalibrateReport<'_>, verdict: &Verdict) -> String {
    let units = report.units;
    let size = lead_text(units, verdict.off_kg.abs());
    let residual = if report.details { format!(" (residual {})", fixed(verdict.residual, 1)) } else { String::new() };
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
pub fn verdicts(report: &CalibrateReport<'_>) -> Vec<Line> {
    let units = report.units;
    let one = |(check, verdict): (&Check, &Verdict)| {
        let depth = units.text(Quantity::Length, check.depth_m);
        let what = format!("at {depth}, {}: {}", outcome_text(units, check.outcome), off_text(report, verdict));
        let text = match verdict.against {
            None => format!("{what}; agrees"),
            Some(against) => {
                let whom = match against {
                    Against::Plan => "the plan, with all the doubt that it has",
                    Against::OtherChecks => "the other checks",
                };
                let reasons: Vec<String> = verdict
                    .reasons
                    .iter()
                    .enumerate()
                    .map(|(i, reason)| format!("{}. {}", i + 1, reason_text(units, report.scenario, check, *reason)))
                    .collect();
                format!("{what}; CONTRADICTS {whom}, and is left out. Likely, in this order: {}", reasons.join("; "))
            }
        };
        Line { label: check.label.clone(), text, within: Some(verdict.against.is_none()) }
    };
    report.checks.iter().zip(&report.calibrated.verdicts).map(one).collect()
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
    uncertain(report.inputs).nth(moved.input)
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
    for moved in &report.calibrated.moved {
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
    let mut columns =
        vec![("the plan as it was", &report.calibrated.before), ("with the checks", &report.calibrated.after)];
    columns.extend(report.written.map(|written| ("the calibrated plan", written)));
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
    plain(&mut table, Fit { fold: 0, leave_out: &[3, 1] }).trim_end().to_owned()
}

/// Why the calibrated plan is less sure than the checks are.
pub const TIED: &str = "The calibrated plan is less sure than the plan with its checks: a check ties figures together (one \
heavier means the other lighter), and a plan has no words for that. Calibrate the old plan with all checks, not the calibrated \
one again.";
