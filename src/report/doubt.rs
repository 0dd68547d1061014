//! How sure the answers are: the words and the table of `doubt`.

use crate::estimate::Input;
use crate::report::Source;
use crate::report::fins::Fins;
use crate::report::inputs::{half_width_text, value_text};
use crate::report::lead::{ballast_kg, lead_text};
use crate::report::measure::{Quantity, UnitSystem, fixed};
use crate::report::table::{Fit, align_numbers, new_table, plain};
use crate::report::text::{Line, filled};
use crate::scenario::Scenario;
use crate::study::doubt::stand_in::CERTIFYING;
use crate::study::doubt::{
    Answer, Certificate, Chance, DoubtStudy, Failure, Interval, Made, Outlook, Refusal, Risk, Row, Settings, Stopped,
    Tolerance,
};

/// What a report of doubt is made from.
#[derive(Clone, Copy, Debug)]
pub struct DoubtReport<'a> {
    /// Units for the reader.
    pub units: UnitSystem,
    /// Where it comes from.
    pub source: &'a Source,
    /// The dive, every figure at its central value.
    pub scenario: &'a Scenario,
    /// Every figure that the dive was built from.
    pub inputs: &'a [Input],
    /// How the draws were made.
    pub settings: &'a Settings,
    /// What they say.
    pub study: &'a DoubtStudy,
}

/// A share in per cent, with more places towards the ends.
pub fn percent(frac: f64) -> String {
    let from_end = frac.min(1.0 - frac);
    let is_whole = (100.0 * frac - (100.0 * frac).round()).abs() < 1e-9;
    let decimals = match from_end {
        _ if is_whole => 0,
        0.0995.. => 0,
        0.00095.. => 1,
        _ => 2,
    };
    format!("{} %", fixed(100.0 * frac, decimals))
}

/// A chance with its own doubt.
pub fn chance_text(chance: &Chance) -> String {
    let nth = |count: f64| format!("1 in {:.0}", 1.0 / count);
    if chance.is_below_floor() {
        return format!("in fewer than {} of the draws", nth(chance.floor_frac));
    }
    if chance.is_above_ceiling() {
        return format!("in all but fewer than {} of the draws", nth(chance.floor_frac));
    }
    let limit = |frac: f64| format!("{} %", fixed(100.0 * frac, if chance.of > 2000 { 2 } else { 1 }));
    if chance.hits == 0 {
        return format!("in none of {} draws, so in less than {}", chance.of, limit(chance.confidence.high));
    }
    if chance.hits == chance.of {
        return format!("in all of {} draws, so in more than {}", chance.of, limit(chance.confidence.low));
    }
    let (low, high) = (percent(chance.confidence.low), percent(chance.confidence.high));
    format!("in {} of the draws ({} to {high})", percent(chance.frac()), low.trim_end_matches(" %"))
}

/// A chance as a share alone.
pub fn share_text(chance: &Chance) -> String {
    if chance.is_below_floor() {
        return format!("< {}", percent(chance.floor_frac));
    }
    if chance.is_above_ceiling() {
        return format!("> {}", percent(1.0 - chance.floor_frac));
    }
    percent(chance.frac())
}

/// An interval of masses.
pub fn interval_text(units: UnitSystem, interval: &Interval) -> String {
    let number = |kg: f64| fixed(units.value(Quantity::Mass, kg), 2);
    format!("{} to {} {}", number(interval.low), number(interval.high), units.symbol(Quantity::Mass))
}

fn lift(units: UnitSystem, kg: f64) -> String {
    let text = lead_text(units, kg);
    if text.starts_with('−') { text } else { format!("+{text}") }
}

/// What is said of an answer, and whether it is a lift, which has a sign.
fn name(answer: Answer) -> (&'static str, bool) {
    match answer {
        Answer::Least => ("Least lead", false),
        Answer::Most => ("Most lead", false),
        Answer::Range => ("Lead range", true),
        Answer::Heavy => ("Heavy point", true),
        Answer::Light => ("Light point", true),
        Answer::Load => ("Swim-up load", false),
        Answer::HoldPlanned => ("Hold, as planned", true),
        Answer::HoldAtReserve => ("Hold, at reserve", true),
    }
}

/// The answers with their coverage intervals, in lines.
pub fn intervals(units: UnitSystem, outlook: &Outlook, central: &Row) -> Vec<Line> {
    let shown = [
        Answer::Least,
        Answer::Most,
        Answer::Heavy,
        Answer::Light,
        Answer::Load,
        Answer::HoldPlanned,
        Answer::HoldAtReserve,
    ];
    let line = |answer: Answer| {
        let summary = outlook.summary(answer)?;
        let (label, signed) = name(answer);
        let one = |kg: f64| if signed { lift(units, kg) } else { lead_text(units, kg) };
        // nobody carries less than none
        let carried = |kg: f64| if matches!(answer, Answer::Least | Answer::Most) { kg.max(0.0) } else { kg };
        let number = |kg: f64| one(kg).rsplit_once(' ').map_or_else(String::new, |(number, _)| number.to_owned());
        let text = format!(
            "{} to {}; middle {}, with every figure as written {}",
            number(carried(summary.symmetric.low)),
            one(carried(summary.symmetric.high)),
            number(carried(summary.median)),
            number(carried(answer.of(central))),
        );
        let remark = match answer {
            Answer::Least if summary.symmetric.high < 0.0 => " (no lead is needed)",
            Answer::Least if summary.symmetric.low < 0.0 => " (in some draws no lead is needed)",
            Answer::Most if summary.symmetric.high < 0.0 => " (too heavy even without lead)",
            Answer::Most if summary.symmetric.low < 0.0 => " (in some draws too heavy even without lead)",
            _ => "",
        };
        Some(Line::plain(label, text + remark))
    };
    shown.into_iter().filter_map(line).collect()
}

/// How often things go well, in lines: a tick stands beside what is good in all but as many draws as the coverage interval
/// leaves out.
fn risks(outlook: &Outlook, coverage_frac: f64, fins: Fins) -> Vec<Line> {
    let swum_up = fins.swum_up();
    let words = |risk: Risk| match risk {
        Risk::CannotSwimUp => (fins.label(), "from everywhere after a wing failure, nothing let go of".to_owned()),
        Risk::CannotHold => ("Stays down", "at every stop, cylinders at reserve and wing empty".to_owned()),
        Risk::RangeEmpty => ("A lead is right", format!("there is a lead that stays down and can be {swum_up}")),
        Risk::OutOfGas => ("Gas is enough", "for every leg".to_owned()),
    };
    outlook
        .risks
        .iter()
        .map(|(risk, chance)| {
            let (label, what) = words(*risk);
            let within = Some(chance.frac() <= 1.0 - coverage_frac);
            Line { label: label.into(), text: format!("{what}: {}", chance_text(&chance.of_the_contrary())), within }
        })
        .collect()
}

/// The lead that is right most often, and the plan's own.
pub fn best_lead(units: UnitSystem, outlook: &Outlook, scenario: &Scenario) -> Vec<Line> {
    let best = match outlook.lead.best() {
        None => "none: in no draw is any lead right".to_owned(),
        Some(best) => {
            let lead = lead_text(units, best.lead_kg);
            format!("{lead} meets both ends oftenest, {}", chance_text(&best.chance))
        }
    };
    let own = lead_text(units, ballast_kg(scenario));
    vec![
        Line::plain("Best lead", best),
        Line::plain("The plan's own", format!("{own} meets both ends {}", chance_text(&outlook.own_lead))),
    ]
}

/// What the answers are made from: how many runs, why no more, and what they leave open.
pub fn made(report: &DoubtReport<'_>) -> String {
    let (study, units) = (report.study, report.units);
    let tolerance = match report.settings.tolerance {
        Tolerance::Kg(kg) => format!("of {}", mass3(units, kg)),
        Tolerance::Digits(1) => "of one digit of each standard uncertainty".to_owned(),
        Tolerance::Digits(digits) => format!("of {digits} digits of each standard uncertainty"),
    };
    let why = match study.stopped {
        Stopped::Tolerance => format!("enough for the tolerance {tolerance}"),
        Stopped::Fixed => "as many as asked for".to_owned(),
        Stopped::MaxDraws => format!("the most that are made; the tolerance {tolerance} is not met"),
        Stopped::Cancelled => "ended early by Ctrl-C: these figures are what was there by then".to_owned(),
    };
    let open = [Answer::Least, Answer::Most]
        .iter()
        .filter_map(|answer| study.outlook.summary(*answer)?.numerical)
        .map(|numerical| 2.0 * numerical.largest())
        .reduce(f64::max)
        .map_or(String::new(), |kg| format!("; more of them would shift an end by about {}", mass3(units, kg)));
    let (draws, seed) = (study.draws, report.settings.seed);
    match &study.made {
        Made::Trials { refused } => {
            let refused = refused
                .as_ref()
                .map_or(String::new(), |why| format!("; each was run, because {}", refusal_text(units, why)));
            format!("{draws} trials with seed {seed}, {why}{open}{refused}")
        }
        Made::StandIn(stand_in) => {
            let Certificate { runs, inside_kg, outer_kg } = stand_in.certificate();
            format!(
                "{runs} runs, certified: curves through {} of them were held against the other {CERTIFYING} and are off \
                 by {}, with every figure at a far end by {}; from the curves {draws} draws with seed {seed}, \
                 {why}{open}",
                runs - CERTIFYING,
                mass3(units, *inside_kg),
                mass3(units, *outer_kg),
            )
        }
    }
}

/// The same in few words, for answers that were made from so many draws.
pub fn made_briefly(units: UnitSystem, made: &Made, draws: u64) -> String {
    match made {
        Made::StandIn(stand_in) => format!("{} runs, certified", stand_in.certificate().runs),
        Made::Trials { refused: None } => format!("{draws} trials"),
        Made::Trials { refused: Some(why) } => {
            format!("{draws} trials; each was run, because {}", refusal_text(units, why))
        }
    }
}

/// Why nothing could stand in for the trials.
pub(super) fn refusal_text(units: UnitSystem, refusal: &Refusal) -> String {
    match refusal {
        Refusal::Failed { reason } => format!("some figures at their ends make no dive: {reason}"),
        Refusal::OutOfGas { count, runs } => format!("{count} of {runs} tried first ran out of gas"),
        Refusal::Off { off_kg, limit_kg, outer } => {
            let place = if *outer { " with every figure at a far end" } else { "" };
            format!(
                "the answers bend: curves through a few runs are off by {}{place}, more than {}",
                mass3(units, *off_kg),
                mass3(units, *limit_kg)
            )
        }
        Refusal::Cancelled => "they were ended".to_owned(),
    }
}

fn mass3(units: UnitSystem, kg: f64) -> String {
    format!("{} {}", fixed(units.value(Quantity::Mass, kg), 3), units.symbol(Quantity::Mass))
}

/// Draws that gave no result, in words.
pub fn failures(study: &DoubtStudy) -> Vec<String> {
    let one = |failure: &Failure| {
        let draws = if failure.count == 1 { "draw gave" } else { "draws gave" };
        let (count, first) = (failure.count, failure.first_draw);
        format!("{count} {draws} no result: {}; to look at the first: --draw {first}", failure.reason)
    };
    study.failures.iter().map(one).collect()
}

/// Why there is nothing about what to weigh next although it was asked for.
pub fn not_weighed(study: &DoubtStudy) -> &'static str {
    if study.stopped == Stopped::Cancelled {
        "What to weigh next was not looked at."
    } else {
        "What to weigh next could not be told: ended by Ctrl-C, or too many draws failed."
    }
}

/// What the lines below it are.
pub fn lead_in(report: &DoubtReport<'_>) -> String {
    let share = percent(report.settings.coverage_frac);
    let from = match &report.study.made {
        Made::Trials { .. } => format!("{} trials", report.study.draws),
        Made::StandIn(stand_in) => format!("{} runs, certified,", stand_in.certificate().runs),
    };
    let count = uncertain(report.inputs).count();
    format!("{}\n\n", filled(&format!("{share} coverage intervals from {from} of {count} uncertain figures")))
}

/// The answer of `doubt`, in lines.
pub fn answer(report: &DoubtReport<'_>) -> Vec<Line> {
    let (outlook, coverage_frac) = (&report.study.outlook, report.settings.coverage_frac);
    let mut lines = intervals(report.units, outlook, &report.study.central);
    lines.extend(risks(outlook, coverage_frac, Fins::of(report.scenario)));
    lines.extend(best_lead(report.units, outlook, report.scenario));
    lines.push(Line { label: "Made from".into(), text: made(report), within: None });
    let within = Some(false);
    lines.extend(failures(report.study).into_iter().map(|text| Line { label: "Failed".into(), text, within }));
    lines
}

/// One draw: its inputs as rows of a table, and its answers in lines.
pub fn draw_table(units: UnitSystem, inputs: &[Input], values: &[f64]) -> String {
    let mut table = new_table();
    table.set_header(["figure", "drawn", "central", "doubt"]);
    for (input, value) in uncertain(inputs).zip(values) {
        table.add_row([
            input.label.clone(),
            value_text(units, input.quantity, *value),
            value_text(units, input.quantity, input.estimate.value),
            input.estimate.doubt.map_or(String::new(), |doubt| half_width_text(units, input.quantity, &doubt)),
        ]);
    }
    align_numbers(&mut table, 1..3);
    plain(&mut table, Fit { fold: 0, leave_out: &[3] }).trim_end().to_owned()
}

/// The answers of one draw.
pub fn draw_answers(units: UnitSystem, row: &Row) -> Vec<Line> {
    let one = |answer: Answer| {
        let (label, signed) = name(answer);
        let kg = answer.of(row);
        Line::plain(label, if signed { lift(units, kg) } else { lead_text(units, kg) })
    };
    let mut lines: Vec<Line> = Answer::ALL.into_iter().map(one).collect();
    let is_so = |risk: &Risk| row.has(*risk);
    let risks: Vec<&str> = Risk::ALL.into_iter().filter(is_so).map(Risk::label).collect();
    // what else may be wrong nobody asked
    let (text, within) = match risks.is_empty() {
        true => (format!("none of these: {}", Risk::ALL.map(Risk::label).join("; ")), None),
        false => (risks.join("; "), Some(false)),
    };
    lines.push(Line { label: "What is wrong".into(), text, within });
    lines
}

/// The figures with a doubt.
pub fn uncertain(inputs: &[Input]) -> impl Iterator<Item = &Input> {
    inputs.iter().filter(|input| input.estimate.doubt.is_some())
}
