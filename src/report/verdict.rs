//! The answer of a run in lines that every format shows: what is wrong first, needless lead next, then what is met.
//!
//! A tick stands only beside what the plan itself meets, and nothing that is beyond need is praised.

use crate::answer::{LeadTrials, Needless, TrimDoubt};
use crate::findings::{Hold, HoldAt, SwimUp};
use crate::report::advice::{not_known, with_doubt};
use crate::report::fins::{self, Fins};
use crate::report::measure::{Quantity, UnitSystem, moment};
use crate::report::{Report, circuit, words};
use crate::sim::Happening;
use crate::study::{LeadBounds, OwnLead, OwnVerdict};

/// The lead of a dive, as far as the answer of a run tells it.
#[derive(Clone, Copy, Debug)]
pub struct Lead<'a> {
    /// The least and the most.
    pub bounds: LeadBounds,
    /// The plan's own against them.
    pub own: OwnLead,
    /// How sure they are.
    pub trials: &'a LeadTrials,
    /// What is carried for nothing.
    pub needless: Option<Needless>,
    /// How sure the trim is, where that was asked.
    pub trim: Option<&'a TrimDoubt>,
}

/// Label of how little typical figures say.
pub const NOT_KNOWN: &str = "Not known yet";
/// Label of the line of the trim.
pub const TRIM: &str = "Trim";

/// A line of the answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// What it is about.
    pub label: String,
    /// What matters, in a few words.
    pub value: String,
    /// What that means.
    pub text: String,
    /// Whether the plan meets it; `None` where there is nothing to meet.
    pub within: Option<bool>,
}

impl Finding {
    /// From its parts.
    pub(super) fn of(label: String, value: String, text: String, within: Option<bool>) -> Self {
        Self { label, value, text, within }
    }

    fn new(label: impl Into<String>, value: String, text: String, within: Option<bool>) -> Self {
        Self { label: label.into(), value, text, within }
    }
}

/// All lines: breaches first, needless lead after them, then what is met and what is only told, each in the order of a
/// dive.
pub fn lines(report: &Report<'_>, lead: &Lead<'_>) -> Vec<Finding> {
    let (units, found) = (report.units, report.findings);
    let mut lines = out_of_gas(report);
    let fins = Fins::of(report.scenario);
    lines.push(range(units, lead, fins));
    lines.push(failed_wing("Failed wing", report, &found.failed_wing));
    if let Some(with_suit) = &found.failed_wing_with_suit {
        lines.push(failed_wing("with suit as lift", report, with_suit));
    }
    lines.push(staying_down(report, lead.needless.is_some()));
    lines.push(wing(report));
    lines.extend(breathing_loop(report));
    // what the plan meets with gas that is not there it does not meet, and what guesses meet nobody has seen
    if lines[0].label == OUT_OF_GAS || lead.trials.is_wide_guess() {
        lines.iter_mut().filter(|line| line.within == Some(true)).for_each(|line| line.within = None);
    }
    let (mut breaches, mut rest): (Vec<_>, Vec<_>) = lines.into_iter().partition(|line| line.within == Some(false));
    if lead.trials.is_wide_guess() {
        // what typical figures say of a rig that nobody measured comes after how little that is
        let at = breaches.iter().take_while(|line| line.label == OUT_OF_GAS).count();
        let (value, text) = not_known(units, lead.bounds.least_kg, lead.trials);
        breaches.insert(at, Finding::new(NOT_KNOWN, value, text, Some(false)));
    }
    breaches.extend(lead.needless.as_ref().map(|needless| needless_lead(units, needless, fins)));
    rest.extend(told(report));
    rest.extend(found.trim.as_ref().map(|trim| {
        let (value, text) = crate::report::trim::one_line(units, trim, lead.trim);
        Finding::new(TRIM, value, text, None)
    }));
    breaches.append(&mut rest);
    breaches
}

/// The breathing loop: its oxygen, what is wrong with it, what is used. No mark praises a loop.
fn breathing_loop(report: &Report<'_>) -> Option<Finding> {
    let circuit = report.findings.circuit.as_ref()?;
    let faults = circuit::faults(report.units, circuit);
    let is_wrong = !faults.is_empty();
    let told = faults.into_iter().chain(circuit::too_shallow(report.units, circuit));
    let text: Vec<String> = told.chain([circuit::used(report.units, circuit)]).collect();
    Some(Finding::new("Loop", circuit::oxygen(circuit), text.join("; "), is_wrong.then_some(false)))
}

/// Heavy and light point, and the cylinders that float.
fn told(report: &Report<'_>) -> Vec<Finding> {
    let (units, found) = (report.units, report.findings);
    let under = fins::hover_or_be_held(units, found);
    let lift = |kg: f64| units.signed_text(Quantity::Mass, kg);
    let (heavy, light) = (&found.heavy, &found.light);
    let told = vec![
        Finding::new(
            "Heavy point",
            lift(heavy.bare_kg),
            format!("{}, wing empty", words::at(units, heavy.time_s, heavy.depth_m)),
            None,
        ),
        Finding::new(
            "Light point",
            lift(light.bare_kg),
            format!("{}, wing empty, at or below the last stop", words::at(units, light.time_s, light.depth_m)),
            None,
        ),
        Finding::new("Floaters", words::floaters(report), String::new(), None),
    ];
    let under = under.map(|(value, text)| Finding::new(OVERHEAD, value, text, None));
    under.into_iter().chain(told).collect()
}

/// Label of the line of the overheads.
const OVERHEAD: &str = "Overhead";
const OUT_OF_GAS: &str = "Out of gas";

/// A shortage of gas: from when, of what, how much.
fn out_of_gas(report: &Report<'_>) -> Vec<Finding> {
    let cylinders = &report.scenario.rig().cylinders;
    let line = |event: &crate::sim::Event| match event.what {
        Happening::OutOfGas { source, missing_m3, .. } => {
            let names: Vec<_> = source.iter().map(|i| cylinders[i].name()).collect();
            let names = names.join(" and ");
            let missing = words::free_gas(report.units, missing_m3);
            let when = words::at(report.units, event.time_s, event.depth_m);
            let text = format!("{missing} are missing for what the plan breathes from it, measured at the surface");
            Some(Finding::new(OUT_OF_GAS, format!("{names} {when}"), text, Some(false)))
        }
        Happening::OxygenOut | Happening::DiluentOut => {
            let (what, text) = words::loop_shortage(&event.what);
            let when = words::at(report.units, event.time_s, event.depth_m);
            Some(Finding::new(OUT_OF_GAS, format!("{what} {when}"), text.into(), Some(false)))
        }
        _ => None,
    };
    report.trace.events().iter().filter_map(line).collect()
}

/// The range, and the plan's own lead in it.
fn range(units: UnitSystem, lead: &Lead<'_>, fins: Fins) -> Finding {
    let Lead { bounds, own, .. } = lead;
    let mut found = range_of_run(units, *bounds, own, fins);
    if bounds.is_empty() {
        found.text += ". What to do: lightpoint ballast";
    } else if found.within.is_none() {
        // a tick only where the doubt leaves room for it too
        let is_sure = lead.trials.is_sure(own.equivalent_lead_kg);
        found.within = (lead.needless.is_none() && is_sure).then_some(true);
        if !is_sure {
            found.text += &format!("; {}", with_doubt(lead.trials, own.equivalent_lead_kg, fins));
        }
    }
    found
}

/// The same as far as one run tells it; whether a lead within the range is met the trials decide.
pub(super) fn range_of_run(units: UnitSystem, bounds: LeadBounds, own: &OwnLead, fins: Fins) -> Finding {
    let mass = |kg: f64| units.text(Quantity::Mass, kg);
    let (carries, to_swim_up) = (mass(own.ballast_kg), fins.to_swim_up());
    let least = least_words(units, bounds.least_kg);
    if bounds.is_empty() {
        let most = if bounds.most_kg >= 0.0 {
            format!("a failed wing allows {}", mass(bounds.most_kg))
        } else {
            format!("a failed wing is too much {to_swim_up} even without lead")
        };
        let text = format!("{least}, {most}; the plan carries {carries}");
        return Finding::new("Lead", "no lead is right".into(), text, Some(false));
    }
    let span = format!("{} to {}", units.number(Quantity::Mass, bounds.low_kg()), mass(bounds.most_kg));
    let verdict = match own.verdict() {
        OwnVerdict::Fits => return Finding::new("Lead", format!("{carries} is within {span}"), least, None),
        OwnVerdict::TooLittle => "too little to stay down".to_owned(),
        OwnVerdict::TooMuch => format!("too much {to_swim_up}"),
        OwnVerdict::Neither => format!("too little to stay down and too much {to_swim_up}"),
    };
    Finding::new("Lead", format!("{carries} is {verdict}"), format!("right is {span}; {least}"), Some(false))
}

/// What staying down takes, in words that name no lead below zero.
fn least_words(units: UnitSystem, least_kg: f64) -> String {
    if least_kg > 0.0 {
        format!("staying down takes {}", units.text(Quantity::Mass, least_kg))
    } else {
        "staying down takes no lead".into()
    }
}

/// Lead carried for nothing, and what it costs.
pub(super) fn needless_lead(units: UnitSystem, needless: &Needless, fins: Fins) -> Finding {
    let mass = |kg: f64| units.text(Quantity::Mass, kg);
    let (carried, least) = (&needless.carried, &needless.least);
    let least_text = match needless.sinks_without_kg {
        sinks if sinks > 0.0 => format!("without any the diver is {} heavier than staying down takes", mass(sinks)),
        _ => format!("staying down takes {}, with its doubt {}", mass(needless.least_kg), mass(needless.upper_kg)),
    };
    let mut costs = vec![
        format!("{} of wing", units.text(Quantity::Volume, carried.wing_m3 - least.wing_m3)),
        format!("{} of load {}", mass(carried.load_kg - least.load_kg), fins.to_swim_up()),
    ];
    let band_m = least.band_up_m - carried.band_up_m;
    if band_m >= 0.05 {
        costs.push(format!("{} of room to drift up at the last stop", units.text(Quantity::Length, band_m)));
    }
    let beyond_s = carried.beyond_s - least.beyond_s;
    if beyond_s >= 30.0 {
        costs.push(format!("{} more beyond the {}", moment(beyond_s), fins.limit()));
    }
    let value = format!("{} more than needed", mass(needless.excess_kg()));
    Finding::new("Needless lead", value, format!("{least_text}. It costs {}", listed(&costs)), Some(false))
}

/// `a, b and c`.
fn listed(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

fn failed_wing(label: &str, report: &Report<'_>, finding: &crate::findings::FailedWing) -> Finding {
    let units = report.units;
    let (load, limit) = (finding.worst.load_kg.max(0.0), finding.capacity_kg);
    let mass = |kg: f64| units.text(Quantity::Mass, kg);
    let place = if report.scenario.is_overhead(finding.worst.leg) { " under the overhead" } else { "" };
    let numbers = format!("largest load {}{place}, limit {}", mass(load), mass(limit));
    if finding.verdict == SwimUp::CanSwim {
        return Finding::new(label, fins::all_through(Fins::of(report.scenario)).into(), numbers, Some(true));
    }
    let value = fins::too_heavy(finding);
    let remedy = match (finding.verdict, finding.lets_go.is_empty()) {
        (SwimUp::AfterDitching, _) => format!(
            "within the limit after letting go of what is ditchable ({} then)",
            units.text(Quantity::Mass, finding.worst.ditched_kg.max(0.0))
        ),
        (_, true) => "and nothing on the diver is marked as ditchable".into(),
        (_, false) => format!(
            "even after letting go of all that is ditchable ({} then)",
            units.text(Quantity::Mass, finding.worst.ditched_kg.max(0.0))
        ),
    };
    let things = words::lets_go(units, report.scenario, &finding.lets_go);
    let things = if things.is_empty() { things } else { format!(". To let go of: {things}") };
    Finding::new(label, value, format!("{numbers}; {remedy}{}{things}", fins::lighter_way_out(finding)), Some(false))
}

/// Whether the diver stays down: every stop at reserve, the final ascent as planned.
/// What is heavier than it must be has nothing to spare.
fn staying_down(report: &Report<'_>, is_needless: bool) -> Finding {
    let (units, found) = (report.units, report.findings);
    let lightest = found.lightest_hold();
    let stop = found.holds.iter().rev().find(|stop| stop.at_reserve == lightest);
    let is_overhead = match stop {
        Some(stop) => fins::is_under(report.scenario, stop.start_s, stop.end_s),
        None => fins::is_under(report.scenario, lightest.time_s(), lightest.time_s()),
    };
    let place = |at: &HoldAt, stop: Option<&Hold>| match stop {
        Some(stop) => format!("at {} with cylinders at reserve", units.text(Quantity::Length, stop.depth_m)),
        None => format!("{} with the gas as planned", words::at(units, at.time_s(), at.now.state.depth_m)),
    };
    let (value, text) = if lightest.holds() {
        let spare = words::small(units, lightest.margin_kg());
        (
            if is_needless {
                format!("holds, {spare} more than staying down takes")
            } else {
                format!("holds, {spare} to spare")
            },
            format!("with the wing empty, nearest to floating {}", place(&lightest, stop)),
        )
    } else {
        (words::margin(units, lightest.bare_kg, is_overhead), format!("with the wing empty {}", place(&lightest, stop)))
    };
    let mut text = text;
    let last = found.last_hold();
    let last_is_under = fins::is_under(report.scenario, last.start_s, last.end_s);
    if stop.is_none_or(|stop| stop.depth_m != last.depth_m) {
        text += &format!(
            "; last stop, {}: {}",
            units.text(Quantity::Length, last.depth_m),
            words::hold(units, last, last_is_under)
        );
    } else if !is_needless {
        text += &format!(" ({} as planned)", words::margin(units, last.planned.bare_kg, last_is_under));
    }
    if let Some(before) = found.ascent.before {
        let when = words::at(units, before.time_s(), before.now.state.depth_m);
        let floats = fins::floats(fins::is_under(report.scenario, before.time_s(), before.time_s()));
        text += &format!("; before the ascent the diver {floats} {} {when}", words::small(units, before.bare_kg));
    }
    if let Some(salt) = found.holds.iter().filter_map(|stop| stop.salt_side).find(|side| !side.holds()) {
        text += &format!(
            "; in the salt water just below a stop on the interface the diver floats by {} at reserve",
            words::small(units, salt.bare_kg)
        );
    }
    // what is met by far too much is no merit
    let met = if lightest.holds() && is_needless { None } else { Some(lightest.holds()) };
    Finding::new("Staying down", value, text, met)
}

fn wing(report: &Report<'_>) -> Finding {
    let (units, wing) = (report.units, &report.findings.wing);
    let litres = |m3: f64| units.text(Quantity::Volume, m3);
    let needs = format!(
        "{} under water, {} at the surface with head and shoulders out",
        litres(wing.neutral_m3),
        litres(wing.surface_m3)
    );
    let (value, within) = match wing.capacity_m3 {
        None => (format!("needs {}; the plan has no wing", litres(wing.needed_m3)), wing.is_enough()),
        Some(has_m3) if wing.is_enough() => {
            (format!("needs {} of its {}", litres(wing.needed_m3), litres(has_m3)), true)
        }
        Some(has_m3) => (format!("{} is too small, {} is needed", litres(has_m3), litres(wing.needed_m3)), false),
    };
    Finding::new("Wing", value, needs, Some(within))
}
