//! What to carry, and why: the lines of `ballast`, which page and calibration use too.

use std::fmt::Write as _;

use crate::answer::{Carry, LeadTrials};
use crate::report::fins::{self, Fins};
use crate::report::lead::{lead_text, names};
use crate::report::measure::{Quantity, UnitSystem, fixed, moment};
use crate::report::text::Line;
use crate::report::words;
use crate::scenario::Scenario;
use crate::study::doubt::Interval;
use crate::study::{Bound, Choice, Ditch, LeadRange, OwnVerdict, Verdict, lead_pull_frac};

/// The answer of `ballast`, the advice first.
pub fn lines(units: UnitSystem, scenario: &Scenario, carry: &Carry) -> Vec<Line> {
    let range = &carry.range;
    let fins = Fins::of(scenario);
    let mut lines = vec![advice_line(units, scenario, carry), own_line(units, carry, fins)];
    // what typical figures say of a rig that nobody measured comes after how little that is
    if carry.is_withheld() && !carry.is_dry && carry.advice.verdict == Verdict::NoLeadIsRight {
        let (value, text) = not_known(units, range.least.lead_kg, &carry.trials);
        lines.insert(
            0,
            Line {
                label: crate::report::verdict::NOT_KNOWN.into(),
                text: format!("{value}; {text}"),
                within: Some(false),
            },
        );
    }
    lines.extend(carry.needless.as_ref().map(|needless| {
        let found = crate::report::verdict::needless_lead(units, needless, fins);
        Line { label: found.label, text: format!("{}; {}", found.value, found.text), within: found.within }
    }));
    lines.push(Line::plain(
        "Least",
        format!("{}, {}", least_text(units, range), why(units, scenario, &range.least, true)),
    ));
    let Interval { low, high } = carry.trials.interval();
    if high - low > 0.05 {
        let how = if carry.trials.is_by_slopes { "cases, by slopes: the dive is long" } else { "trials" };
        let text = format!("{} to {} in 95 of 100 {how}", lead_text(units, low), lead_text(units, high));
        lines.push(Line::plain("  how sure", text));
    }
    if range.least_as_planned.lead_kg + 1e-3 < range.least.lead_kg {
        let lead = lead_text(units, range.least_as_planned.lead_kg.max(0.0));
        lines.push(Line::plain("  as planned", format!("{lead} with every cylinder that the plan carries then")));
    }
    lines.push(Line::plain(
        "Most",
        format!("{}, {}", most_text(units, range, fins), why(units, scenario, &range.most, false)),
    ));
    if let Some(ditch) = &carry.advice.ditch {
        lines.extend(ditch_lines(units, scenario, range, ditch));
    }
    lines
}

fn least_text(units: UnitSystem, range: &LeadRange) -> String {
    if range.least.lead_kg >= 0.0 {
        return lead_text(units, range.least.lead_kg);
    }
    let margin = words::small(units, range.least.without_lead_kg());
    format!("no lead is needed: without any the diver stays down with {margin} to spare")
}

fn most_text(units: UnitSystem, range: &LeadRange, fins: Fins) -> String {
    if range.most.lead_kg >= 0.0 {
        return lead_text(units, range.most.lead_kg);
    }
    let over = words::small(units, range.most.lead_kg * lead_pull_frac(range.most.binding.water_kg_m3));
    format!("even without lead the diver is {over} too heavy {}", fins.to_swim_up())
}

/// Which moment and which case binds an end.
fn why(units: UnitSystem, scenario: &Scenario, bound: &Bound, is_least: bool) -> String {
    let binding = &bound.binding;
    let when = moment(binding.time_s);
    let depth = units.text(Quantity::Length, binding.at_m);
    if !is_least {
        let from = units.text(Quantity::Length, binding.depth_m);
        let place = match (scenario.is_overhead(binding.leg), from == depth) {
            (true, _) => format!("at {depth} under the overhead"),
            (false, true) => format!("at {depth}"),
            (false, false) => format!("from {from}, heaviest at {depth}"),
        };
        return format!("bound by a wing failure at {when} {place}, carrying {}", names(scenario, binding.carried));
    }
    let pressures: Vec<_> = binding
        .cylinders
        .iter()
        .filter(|then| binding.carried.contains(then.cylinder))
        .map(|then| {
            let name = scenario.rig().cylinders[then.cylinder].name();
            format!("{name} {}", units.text(Quantity::GaugePressure, then.counted_pa))
        })
        .collect();
    let gone = if binding.gone.is_empty() {
        "nothing gone".to_owned()
    } else {
        format!("{} gone", names(scenario, binding.gone))
    };
    format!("bound by staying down at {depth} at {when} with {gone} and {}", pressures.join(", "))
}

/// `in 97 of 100 trials`: whole hundredths, never rounded up to all.
pub(super) fn of_100(share: f64) -> String {
    match (share * 100.0).floor() {
        hundred if hundred >= 100.0 => "all trials".into(),
        none if none < 1.0 => "less than 1 of 100 trials".into(),
        some => format!("{some:.0} of 100 trials"),
    }
}

/// In how many trials a lead does what it should.
fn risks(trials: &LeadTrials, lead_kg: f64, fins: Fins) -> String {
    let (holds, swims) = (of_100(trials.holds_frac(lead_kg)), of_100(trials.swims_frac(lead_kg)));
    format!("stays down in {holds}, can be {} in {swims}", fins.swum_up())
}

/// What the doubt of all figures makes of a lead.
pub(super) fn with_doubt(trials: &LeadTrials, lead_kg: f64, fins: Fins) -> String {
    format!("with all doubt it {}", risks(trials, lead_kg, fins))
}

/// A choice of lead with its pieces.
fn choice_text(units: UnitSystem, choice: &Choice) -> String {
    let mut text = if choice.pieces_kg.is_empty() { "no lead".to_owned() } else { lead_text(units, choice.lead_kg) };
    if choice.pieces_kg.len() > 1 {
        let _ = write!(text, " ({})", piece_list(&choice.pieces_kg, |kg| fixed(units.value(Quantity::Mass, kg), 2)));
    }
    text
}

/// How wide the least lead is where most of its doubt comes from typical figures, and what makes it narrower.
pub(super) fn not_known(units: UnitSystem, least_kg: f64, trials: &LeadTrials) -> (String, String) {
    let Interval { low, high } = trials.interval();
    let (low, high) = (lead_text(units, low), lead_text(units, high));
    let number = |kg: f64| fixed(units.value(Quantity::Mass, kg), 1);
    let (half, unit) = (number(trials.half_width_kg()), units.symbol(Quantity::Mass));
    let value = match least_kg > 0.0 {
        true => format!("least lead {} ± {half} {unit}", number(least_kg)),
        false => format!("least lead ± {half} {unit}"),
    };
    // never rounded up to all of it
    let percent = (trials.typical_frac * 100.0).min(if trials.typical_frac < 0.999 { 99.0 } else { 100.0 });
    // one of another rig leaves what only this one has
    let again = if trials.is_checked { " with this rig" } else { "" };
    let text = format!(
        "{low} to {high} in 95 of 100 trials, and typical figures make up {percent:.0} % of that doubt. First a check in \
         the pool{again}, with the form of lightpoint handout; or weigh in water what lightpoint doubt names"
    );
    (value, text)
}

/// What to carry, in a line. Never a tick: it is not what the plan carries.
pub fn advice_line(units: UnitSystem, scenario: &Scenario, carry: &Carry) -> Line {
    let fins = Fins::of(scenario);
    let Carry { range, trials, advice, .. } = carry;
    let risks = |choice: &Choice| risks(trials, choice.lead_kg, fins);
    let line = |text: String, within| Line { label: "Advice".into(), text, within };
    if carry.is_dry {
        let text = "none: the dive runs out of gas (lightpoint run says where); mend that first".to_owned();
        return line(text, Some(false));
    }
    if carry.is_disputed {
        return line("none until the check is repeated".to_owned(), Some(false));
    }
    if carry.is_withheld() && advice.verdict != Verdict::NoLeadIsRight {
        let (value, text) = not_known(units, range.least.lead_kg, trials);
        return line(format!("none yet: {value}; {text}"), Some(false));
    }
    match (advice.verdict, &advice.lead, &advice.barely) {
        (Verdict::Fits, Some(lead), _) => line(format!("carry {}: {}", choice_text(units, lead), risks(lead)), None),
        (Verdict::DoubtTooWide, Some(sure), Some(barely)) => line(
            format!(
                "between two risks: {} {}; {} {}. First make the doubt smaller: lightpoint doubt says what to weigh",
                choice_text(units, sure),
                risks(sure),
                choice_text(units, barely),
                risks(barely)
            ),
            Some(false),
        ),
        (Verdict::PiecesTooCoarse, _, Some(barely)) => line(
            format!(
                "{} is the least in these pieces, but more than can be {}: use finer pieces",
                choice_text(units, barely),
                fins.swum_up()
            ),
            Some(false),
        ),
        (Verdict::NoLeadIsRight, ..) => {
            let text = match (range.most.lead_kg < 0.0, range.least.lead_kg > 0.0) {
                (true, true) => {
                    format!("{}, and staying down takes {}", most_text(units, range, fins), least_text(units, range))
                }
                (true, false) => most_text(units, range, fins),
                _ => {
                    let gap = lead_text(units, range.bounds().gap_kg());
                    format!("staying down takes {gap} more than can be {}", fins.swum_up())
                }
            };
            line(format!("no lead is right: {text}"), Some(false))
        }
        _ => line("the pieces that are there do not reach what staying down takes".to_owned(), Some(false)),
    }
}

/// Pieces, the heaviest first, alike ones counted: `2 × 2.00 + 1.00`.
pub(super) fn piece_list(pieces_kg: &[f64], number: impl Fn(f64) -> String) -> String {
    let alike = pieces_kg.chunk_by(|a, b| a == b).map(|run| {
        let each = number(run[0]);
        if run.len() > 1 { format!("{} × {each}", run.len()) } else { each }
    });
    alike.collect::<Vec<_>>().join(" + ")
}

/// What the plan's own lead does.
fn own_line(units: UnitSystem, carry: &Carry, fins: Fins) -> Line {
    let own = &carry.range.own;
    let hold = if own.hold_margin_kg >= -1e-3 {
        "stays down at every stop".to_owned()
    } else {
        fins.too_light(&words::small(units, own.hold_margin_kg))
    };
    let swim = if own.swim_margin_kg >= -1e-3 {
        format!("can be {}", fins.swum_up())
    } else {
        format!("is {} more than can be {}", words::small(units, own.swim_margin_kg), fins.swum_up())
    };
    let carried = if own.ballast_kg.abs() < 1e-3 { "no lead".into() } else { lead_text(units, own.ballast_kg) };
    let trials = &carry.trials;
    let doubt = with_doubt(trials, own.equivalent_lead_kg, fins);
    let is_met = match own.verdict() {
        OwnVerdict::Fits if carry.needless.is_some() || !trials.is_sure(own.equivalent_lead_kg) => None,
        verdict => Some(verdict == OwnVerdict::Fits),
    };
    Line { label: "The plan's own".into(), text: format!("{carried}: {hold} and {swim}; {doubt}"), within: is_met }
}

fn ditch_lines(units: UnitSystem, scenario: &Scenario, range: &LeadRange, ditch: &Ditch) -> Vec<Line> {
    let needed = lead_text(units, ditch.needed_kg);
    let with = lead_text(units, ditch.lead_kg);
    let things = words::lets_go(units, scenario, &range.lets_go);
    let beside = (!things.is_empty()).then(|| Line::plain("  beside lead", things));
    let line = |text: String, within| Line { label: "Ditchable".into(), text, within };
    let alone = |text: String| std::iter::once(line(text, Some(false))).chain(beside.clone()).collect();
    if ditch.lead_kg <= 0.0 {
        let text = format!(
            "without any lead there is none to let go of: the rig must become lighter by what {needed} of lead pulls"
        );
        return alone(text);
    }
    if !ditch.is_enough {
        let text =
            format!("letting go of all of {with} is too little: {needed} would have to go, so the rig must change");
        return alone(text);
    }
    let rounded = ditch
        .choice
        .as_ref()
        .map_or(String::new(), |choice| format!(" ({} in pieces)", lead_text(units, choice.lead_kg)));
    let has_kg = range.own.ditchable_kg;
    let has = if has_kg > 0.0 {
        format!("{} of the plan's lead is", lead_text(units, has_kg))
    } else {
        "none of the plan's lead is".into()
    };
    let fins = Fins::of(scenario);
    let text = format!(
        "of {with} at least {needed}{rounded} must be ditchable, to be {} from anywhere; {has}{}",
        fins.swum_up(),
        fins.lighter_way_out()
    );
    let mut lines = vec![line(text, (has_kg < ditch.needed_kg).then_some(false))];
    lines.extend(beside);
    for stop in &ditch.stops {
        let is_overhead = fins::is_under(scenario, stop.start_s, stop.end_s);
        let one = |bare_kg: f64| words::margin(units, bare_kg, is_overhead);
        lines.push(Line {
            label: format!("  then at {}", units.text(Quantity::Length, stop.depth_m)),
            text: format!("as planned {}; at reserve {}", one(stop.planned_kg), one(stop.at_reserve_kg)),
            within: (stop.planned_kg > 0.0).then_some(false),
        });
    }
    lines
}
