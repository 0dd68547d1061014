//! The living sentence: what is wrong first, in one or two short clauses. It says nothing that [`crate::report::verdict`]
//! does not, and its mark is a breach where a line of that is.

use crate::answer::{Checked, LeadTrials, Needless, Quick};
use crate::findings::{Beyond, FailedWing, Findings, Hold, SwimUp};
use crate::report::advice::{not_known, of_100};
use crate::report::bench::{Mark, Sentence};
use crate::report::fins::{self, Fins};
use crate::report::measure::{Quantity, UnitSystem, about, moment};
use crate::report::verdict::Finding;
use crate::report::{circuit, words};
use crate::scenario::Scenario;
use crate::sim::{Event, Happening};
use crate::study::{LeadBounds, OwnLead, OwnVerdict};

/// Letters of a sentence: two lines of the page.
const MOST_LETTERS: usize = 140;
/// Letters of a name in it.
const NAME_LETTERS: usize = 30;
/// Lead that nobody can weigh, kg.
const GRAM_KG: f64 = 1e-3;

/// What one run tells.
pub(super) struct Run<'a> {
    scenario: &'a Scenario,
    found: &'a Findings,
    events: &'a [Event],
    bounds: LeadBounds,
    own: &'a OwnLead,
    end_s: f64,
}

impl<'a> Run<'a> {
    pub fn of(quick: &'a Quick) -> Self {
        let Quick { built, trace, findings, lead, own, .. } = quick;
        let (events, end_s) = (trace.events(), trace.last().state.time_s);
        Self { scenario: &built.scenario, found: findings, events, bounds: *lead, own, end_s }
    }
}

/// A clause.
struct Clause {
    text: String,
    /// the plan does not meet it
    is_breach: bool,
    /// it is about the lead that is carried, so that may be named before it
    of_lead: bool,
    /// the same where there is little room
    short: Option<String>,
    /// it is told whatever else is
    is_last_word: bool,
}

impl Clause {
    fn breach(text: String) -> Self {
        Self { text, is_breach: true, of_lead: false, short: None, is_last_word: false }
    }

    fn told(text: String) -> Self {
        Self { text, is_breach: false, of_lead: false, short: None, is_last_word: false }
    }

    fn of_lead(self) -> Self {
        Self { of_lead: true, ..self }
    }

    /// Letters that it takes behind others, at least.
    fn least_letters(&self) -> usize {
        "; ".len() + self.short.as_ref().unwrap_or(&self.text).chars().count()
    }
}

/// From one run. Never a tick: what is met the trials tell.
pub(super) fn of_run(units: UnitSystem, run: &Run<'_>) -> Sentence {
    let first: Vec<Clause> = out_of_gas(run).into_iter().chain(of_loop(run)).collect();
    let is_dry = !first.is_empty();
    let clauses: Vec<Clause> = first.into_iter().chain(breaches(units, run)).chain(short_supply(run)).collect();
    let mark = if clauses.iter().any(|clause| clause.is_breach) { Mark::Breach } else { Mark::None };
    // what is met with gas that is not there is not met
    let good = if is_dry { Vec::new() } else { met(units, run, false) };
    Sentence { mark, text: sentence(units, run, clauses.into_iter().chain(good).collect()) }
}

/// From all that is known; `lines` are those of the verdict.
pub(super) fn of_whole(
    units: UnitSystem,
    run: &Run<'_>,
    trials: &LeadTrials,
    needless: Option<&Needless>,
    checked: Option<&Checked>,
    lines: &[Finding],
) -> Sentence {
    let repeat = checked.and_then(repeat);
    let dry: Vec<Clause> = out_of_gas(run).into_iter().chain(of_loop(run)).collect();
    let unknown = trials.is_wide_guess().then(|| {
        let (value, _) = not_known(units, run.bounds.least_kg, trials);
        Clause::breach(format!("not known yet: {value}"))
    });
    // what nobody knows and what no gas is there for is not praised
    let is_told = repeat.is_none() && dry.is_empty() && unknown.is_none();
    let is_broken = repeat.is_some() || lines.iter().any(|line| line.within == Some(false));
    let mut clauses: Vec<Clause> = repeat.into_iter().chain(dry).chain(unknown).chain(breaches(units, run)).collect();
    clauses.extend(needless.map(|needless| needless_lead(units, needless)));
    let has_shortage = short_supply(run).is_some();
    clauses.extend(short_supply(run));
    let unsure = unsure(run, trials);
    let is_unsure = unsure.is_some() || trials.is_guess();
    if is_told {
        clauses.extend(unsure.filter(|_| !is_broken));
        clauses.extend(met(units, run, needless.is_some()));
    }
    let is_met = ["Lead", "Failed wing", "Staying down", "Wing"]
        .iter()
        .all(|label| lines.iter().any(|line| line.label == *label && line.within == Some(true)));
    let mark = match is_broken {
        true => Mark::Breach,
        false if is_met && needless.is_none() && !is_unsure && !has_shortage => Mark::Met,
        false => Mark::None,
    };
    Sentence { mark, text: sentence(units, run, clauses) }
}

/// The first clause and the next that has room; of what is not met a third one too.
fn sentence(units: UnitSystem, run: &Run<'_>, clauses: Vec<Clause>) -> String {
    let carried = match run.own.ballast_kg.abs() < GRAM_KG {
        true => "without lead".to_owned(),
        false => format!("with {}", units.text(Quantity::Mass, run.own.ballast_kg)),
    };
    let mut text = String::new();
    let (mut has_lead, mut count) = (false, 0);
    for (i, clause) in clauses.iter().enumerate() {
        // what comes in any case keeps its room
        let kept: usize = clauses[i + 1..].iter().filter(|later| later.is_last_word).map(Clause::least_letters).sum();
        if count >= if clause.is_breach { 3 } else { 2 } {
            break;
        }
        let said = match clause.of_lead && !has_lead {
            true => format!("{carried} {}", clause.text),
            false => clause.text.clone(),
        };
        let ways = std::iter::once(said.as_str()).chain(clause.short.as_deref());
        let mut joined = ways.map(|said| if count == 0 { said.to_owned() } else { format!("{text}; {said}") });
        let Some(joined) = joined.find(|joined| count == 0 || joined.chars().count() + kept < MOST_LETTERS) else {
            continue;
        };
        (text, has_lead, count) = (joined, has_lead || clause.of_lead, count + 1);
    }
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).chain(['.']).collect())
}

fn clipped(name: &str) -> String {
    match name.chars().count() > NAME_LETTERS {
        true => name.chars().take(NAME_LETTERS - 1).chain(['…']).collect(),
        false => name.to_owned(),
    }
}

/// A check that contradicts.
fn repeat(checked: &Checked) -> Option<Clause> {
    let verdict = checked.correction.verdicts.iter().find(|verdict| verdict.against.is_some());
    let verdict = verdict.filter(|_| checked.correction.contradicts())?;
    Some(Clause::breach(format!("repeat the check in the water: {} contradicts", clipped(&verdict.label))))
}

/// The first shortage of gas to breathe.
fn out_of_gas(run: &Run<'_>) -> Option<Clause> {
    run.events.iter().find_map(|event| match event.what {
        Happening::OutOfGas { source, .. } => {
            let cylinders = &run.scenario.rig().cylinders;
            let names: Vec<&str> = source.iter().map(|i| cylinders[i].name()).collect();
            let are = if names.len() > 1 { "are" } else { "is" };
            let when = about(event.time_s, run.end_s);
            Some(Clause::breach(format!("out of gas at {when}: {} {are} empty", clipped(&names.join(" and ")))))
        }
        Happening::OxygenOut | Happening::DiluentOut => Some(Clause::breach(circuit::ran_out(event, run.end_s))),
        _ => None,
    })
}

/// What is wrong with the gas of a loop.
fn of_loop(run: &Run<'_>) -> Option<Clause> {
    run.found.circuit.as_ref().and_then(|found| circuit::worst(found, run.end_s)).map(Clause::breach)
}

/// Suit or wing that cannot be filled, where no line tells it.
fn short_supply(run: &Run<'_>) -> Option<Clause> {
    run.events.iter().find_map(|event| {
        let what = match event.what {
            Happening::SuitSupplyEmpty => "the suit cannot be filled any more",
            Happening::WingShort if run.found.wing.is_enough() => "the wing cannot hold the diver",
            _ => return None,
        };
        Some(Clause::told(format!("{what} at {}", about(event.time_s, run.end_s))))
    })
}

/// What one run does not meet, in the order of its weight.
fn breaches(units: UnitSystem, run: &Run<'_>) -> Vec<Clause> {
    let mut clauses: Vec<Clause> = Vec::new();
    let wings = std::iter::once(&run.found.failed_wing).chain(&run.found.failed_wing_with_suit);
    let broken = wings.filter(|wing| wing.verdict != SwimUp::CanSwim).take(1);
    clauses.extend(broken.map(|wing| Clause::breach(too_heavy(run, wing)).of_lead()));
    let floats = floats(units, run);
    clauses.extend(floats);
    clauses.extend(run.bounds.is_empty().then(|| no_lead(units, run)));
    clauses.extend(small_wing(units, run));
    let says_lead = clauses.iter().any(|clause| clause.of_lead);
    if run.own.verdict() != OwnVerdict::Fits && !says_lead && !run.bounds.is_empty() {
        clauses.insert(0, Clause::breach("the lead is not within its range".into()).of_lead());
    }
    clauses
}

/// When a failed wing is too much.
fn too_heavy(run: &Run<'_>, wing: &FailedWing) -> String {
    let what = match run.scenario.rig().wing {
        Some(_) => "a failed wing is too much".to_owned(),
        None => format!("the diver is too heavy {}", Fins::of(run.scenario).to_swim_up()),
    };
    let beyond = wing.whole_beyond();
    let ditching = match (wing.verdict, wing.lets_go.is_empty()) {
        (SwimUp::AfterDitching, _) => ", unless weight is dropped",
        (_, true) => "",
        (_, false) if beyond.len() > 1 => ", at worst even after ditching",
        (_, false) => ", even after ditching",
    };
    format!("{what} {}{ditching}", when(&beyond, wing.beyond_s(), run.end_s))
}

/// From when to when.
fn when(beyond: &[Beyond], all_s: f64, end_s: f64) -> String {
    let [one] = beyond else { return format!("{} times, {} in all", beyond.len(), moment(all_s)) };
    let (from, until) = (about(one.start_s, end_s), about(one.end_s, end_s));
    match (one.start_s <= 1.0, one.end_s >= end_s - 1.0) {
        (true, true) => "from start to end".into(),
        (true, false) => format!("until {until}"),
        (false, true) => format!("from {from} to the end"),
        (false, false) if from == until => format!("at {from}"),
        (false, false) => match (from.strip_prefix("minute "), until.strip_prefix("minute ")) {
            (Some(_), Some(until)) => format!("from {from} to {until}"),
            // two ways of telling time in one breath confuse
            _ => format!("from {} to {}", moment(one.start_s), moment(one.end_s)),
        },
    }
}

/// Where the diver floats up, with the wing empty.
fn floats(units: UnitSystem, run: &Run<'_>) -> Option<Clause> {
    let lightest = run.found.lightest_hold();
    let depth = |m: f64| units.text(Quantity::Length, m);
    if !lightest.holds() {
        let amount = words::small(units, lightest.bare_kg);
        let stop = stop_of(run.found);
        let (from_s, to_s) = stop.map_or((lightest.time_s(), lightest.time_s()), |stop| (stop.start_s, stop.end_s));
        let is_overhead = fins::is_under(run.scenario, from_s, to_s);
        let (floats_up, by) = (fins::floats_up(is_overhead), fins::by(is_overhead));
        let text = match stop {
            Some(stop) => format!("the diver {floats_up} at {} {by} {amount} at reserve", depth(stop.depth_m)),
            None => {
                format!("the diver {floats_up} {by} {amount} at {} on the way up", depth(lightest.now.state.depth_m))
            }
        };
        let short = stop.map(|_| format!("at reserve the diver {floats_up} {by} {amount}"));
        return Some(Clause { short, ..Clause::breach(text).of_lead() });
    }
    if run.own.hold_margin_kg >= -GRAM_KG {
        return None;
    }
    let amount = words::small(units, run.own.hold_margin_kg);
    let text = format!("the diver floats up by {amount} once a cylinder that may go is gone");
    Some(Clause::breach(text).of_lead())
}

/// The stop at which the diver is lightest; `None` where that is the way up.
fn stop_of(found: &Findings) -> Option<&Hold> {
    let lightest = found.lightest_hold();
    found.holds.iter().rev().find(|stop| stop.at_reserve == lightest)
}

fn no_lead(units: UnitSystem, run: &Run<'_>) -> Clause {
    let LeadBounds { least_kg, most_kg } = run.bounds;
    let mass = |kg: f64| units.text(Quantity::Mass, kg);
    let why = match most_kg >= 0.0 {
        true => {
            let to_swim_up = Fins::of(run.scenario).to_swim_up();
            format!("{} to stay down, {} {to_swim_up}", mass(least_kg), mass(most_kg))
        }
        false => "even without any the diver is too heavy".into(),
    };
    let short = Some("no lead is right".into());
    Clause { short, is_last_word: true, ..Clause::breach(format!("no lead is right: {why}")) }
}

fn small_wing(units: UnitSystem, run: &Run<'_>) -> Option<Clause> {
    let wing = &run.found.wing;
    let litres = |m3: f64| units.text(Quantity::Volume, m3);
    let text = match wing.capacity_m3 {
        _ if wing.is_enough() => return None,
        Some(has_m3) => format!("the wing of {} is too small, {} is needed", litres(has_m3), litres(wing.needed_m3)),
        None => format!("there is no wing, {} of one is needed", litres(wing.needed_m3)),
    };
    Some(Clause::breach(text))
}

fn needless_lead(units: UnitSystem, needless: &Needless) -> Clause {
    let text = format!("{} more than needed is carried", units.text(Quantity::Mass, needless.excess_kg()));
    Clause::breach(text).of_lead()
}

/// In how few trials a lead that fits does what it should.
fn unsure(run: &Run<'_>, trials: &LeadTrials) -> Option<Clause> {
    let lead_kg = run.own.equivalent_lead_kg;
    let (holds, swims) = (trials.holds_frac(lead_kg), trials.swims_frac(lead_kg));
    if trials.is_sure(lead_kg) {
        return None;
    }
    let text = match holds <= swims {
        true => format!("the diver stays down in {} with all doubt", of_100(holds)),
        false => {
            let swim_up = Fins::of(run.scenario).swim_up();
            format!("the diver can {swim_up} in {} with all doubt", of_100(swims))
        }
    };
    Some(Clause::told(text).of_lead())
}

/// What is met as written: swimming up, staying down.
fn met(units: UnitSystem, run: &Run<'_>, is_needless: bool) -> Vec<Clause> {
    let mut clauses = Vec::new();
    let (found, fins) = (run.found, Fins::of(run.scenario));
    if found.failed_wing.verdict == SwimUp::CanSwim {
        let text = match run.scenario.rig().wing {
            Some(_) => format!("a failed wing can be {} all through", fins.swum_up()),
            None => format!("the diver can {} all through", fins.swim_up()),
        };
        clauses.push(Clause::told(text).of_lead());
    }
    let lightest = found.lightest_hold();
    if lightest.holds() && run.own.hold_margin_kg >= -GRAM_KG {
        clauses.push(Clause::told(holds(units, run, is_needless)).of_lead());
    }
    clauses
}

fn holds(units: UnitSystem, run: &Run<'_>, is_needless: bool) -> String {
    let found = run.found;
    if let Some(before) = found.ascent.before {
        let (amount, when) = (words::small(units, before.bare_kg), about(before.time_s(), run.end_s));
        let floats = fins::floats(fins::is_under(run.scenario, before.time_s(), before.time_s()));
        return format!("every stop holds, but before the ascent the diver {floats} {amount} at {when}");
    }
    let spare = words::small(units, found.lightest_hold().margin_kg());
    match stop_of(found) {
        _ if is_needless => "every stop holds".into(),
        Some(_) => format!("every stop holds, {spare} to spare at reserve"),
        None => format!("every stop holds, {spare} to spare on the way up"),
    }
}
