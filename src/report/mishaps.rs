//! What goes wrong on a dive, in words.

use crate::answer::MishapFacts;
use crate::findings::mishaps::{Heavy, Side};
use crate::findings::{HoldAt, Mishap, MishapFound, MishapVerdict, Thing};
use crate::report::fins::{self, Fins};
use crate::report::measure::{Quantity, UnitSystem, moment};
use crate::report::table::{Fit, align_numbers, new_table, plain};
use crate::report::text::{Line, filled};
use crate::report::words::{self, capital};
use crate::rig::Role;
use crate::scenario::Scenario;

/// Labels of the two lines that answer: one thing alone, and several at once.
pub const LABELS: [&str; 2] = ["One mishap", "Two at once"];
/// The second where more than two things were named together.
const MORE: &str = "Several at once";
/// Label of the line of an answer that did not ask for mishaps.
const UNASKED: &str = "Mishaps";

/// What a mishap is called: `wing failed and suit flooded`.
pub fn name(scenario: &Scenario, mishap: Mishap) -> String {
    let has_part = || {
        let lead = scenario.rig().parts.iter().filter(|part| part.role == Role::Ballast);
        lead.filter(|part| part.ditchable).count() > 0
    };
    let one = |thing| match thing {
        Thing::Wing => "wing failed".to_owned(),
        Thing::Suit => "suit flooded".into(),
        Thing::Loop => "loop flooded".into(),
        Thing::Cylinder(i) => format!("{} lost", scenario.rig().cylinders[i].name()),
        Thing::DitchableLead => "ditchable lead lost".into(),
        Thing::Lead if has_part() && mishap.can_slip(scenario) => "lead lost".into(),
        Thing::Lead => "all lead lost".into(),
    };
    mishap.things().into_iter().map(one).collect::<Vec<_>>().join(" and ")
}

/// What a diver can do, in a few words.
pub fn verdict(scenario: &Scenario, found: &MishapFound) -> &'static str {
    let is_overhead = is_overhead(scenario, found);
    match (found.verdict(), found.side()) {
        (MishapVerdict::Held, Side::Heavy(heavy)) if heavy.wing.is_some() => "the wing holds",
        (MishapVerdict::Held, Side::Heavy(_)) => "floats by itself",
        (MishapVerdict::Held, Side::Light(_)) => "stays down",
        (MishapVerdict::CanSwim, _) if is_overhead => "can hover",
        (MishapVerdict::CanSwim, _) => "can swim up",
        (MishapVerdict::AfterDitching, _) => "after ditching",
        (MishapVerdict::FloatsUp, _) if is_overhead => "at the ceiling",
        (MishapVerdict::FloatsUp, _) => "floats up",
        (MishapVerdict::Cannot, _) if is_overhead => "cannot hover",
        (MishapVerdict::Cannot, _) => "cannot swim up",
    }
}

/// Whether the worst moment lies under an overhead.
fn is_overhead(scenario: &Scenario, found: &MishapFound) -> bool {
    match found.side() {
        Side::Heavy(heavy) => scenario.is_overhead(heavy.swim.worst.leg),
        Side::Light(at) => fins::is_under(scenario, at.time_s(), at.time_s()),
    }
}

/// What a diver does who is too light: `floats up by 0.4 kg`, `presses against the ceiling with 0.4 kg`.
pub(super) fn lighter(units: UnitSystem, scenario: &Scenario, found: &MishapFound) -> String {
    let is_overhead = is_overhead(scenario, found);
    let small = words::small(units, found.left_kg());
    format!("{} {} {small}", fins::floats_up(is_overhead), fins::by(is_overhead))
}

/// A mishap in a sentence, its name first.
pub fn sentence(units: UnitSystem, scenario: &Scenario, found: &MishapFound) -> String {
    let said = match found.side() {
        Side::Heavy(heavy) => too_heavy(units, scenario, found, heavy),
        Side::Light(at) => too_light(units, scenario, found, at),
    };
    format!("{}: {said}", name(scenario, found.mishap))
}

fn too_light(units: UnitSystem, scenario: &Scenario, found: &MishapFound, at: &HoldAt) -> String {
    let when = words::at(units, at.time_s(), at.now.state.depth_m);
    match at.holds() {
        true => format!("the diver stays down, {} to spare {when}, wing empty", words::small(units, at.bare_kg)),
        false => format!("the diver {} {when}, wing empty", lighter(units, scenario, found)),
    }
}

fn too_heavy(units: UnitSystem, scenario: &Scenario, found: &MishapFound, heavy: &Heavy) -> String {
    let mass = |kg: f64| units.text(Quantity::Mass, kg);
    let worst = &heavy.swim.worst;
    let when = words::at(units, worst.time_s, worst.depth_m);
    if worst.load_kg <= 0.0 {
        return match &heavy.wing {
            None => format!("nothing to swim up, the diver floats by {} {when}", words::small(units, worst.load_kg)),
            Some(_) => format!("the diver is held by the wing, {}{}", wing(units, heavy, &when), surface(units, heavy)),
        };
    }
    let limit = mass(heavy.swim.capacity_kg);
    let is_overhead = is_overhead(scenario, found);
    let load = words::small(units, worst.load_kg);
    let load = match is_overhead {
        true => format!("the fins must hold {load} to hover under the overhead"),
        false => format!("{load} to swim up"),
    };
    let first = match &heavy.wing {
        None => format!("{load} {when}"),
        Some(_) => format!("{load}, {}", wing(units, heavy, &when)),
    };
    let ditched = found.ditched_kg().map(|kg| match kg < 0.0 {
        true => words::small(units, kg),
        false => "nothing is left".into(),
    });
    let then = match (found.verdict(), ditched) {
        (MishapVerdict::CanSwim, _) => return format!("{first}; within the limit of {limit}{}", surface(units, heavy)),
        (MishapVerdict::AfterDitching, Some(left)) => {
            format!("{left} after letting go of what is ditchable, within it")
        }
        (_, Some(left)) => format!("{left} after letting go of what is ditchable, still more"),
        (_, None) if heavy.swim.lets_go.is_empty() => "nothing that is left is marked as ditchable".into(),
        (_, None) => "nothing that can be let go of helps".into(),
    };
    let more = if is_overhead && found.ditched_kg().is_some() { fins::LIGHTER } else { "" };
    format!("{first}; more than the limit of {limit}; {then}{more}{}", surface(units, heavy))
}

/// What the wing does: `it must hold 19.9 of 20.0 L at …`.
fn wing(units: UnitSystem, heavy: &Heavy, when: &str) -> String {
    let Some(wing) = heavy.wing else { return when.to_owned() };
    let litres = |m3: f64| units.text(Quantity::Volume, m3);
    match wing.needed_m3 > wing.most_m3 {
        true => format!(
            "as the wing would have to hold {} and holds {} {when}",
            litres(wing.needed_m3),
            litres(wing.most_m3)
        ),
        false => {
            let needed = units.number(Quantity::Volume, wing.needed_m3.max(0.0));
            format!("which must hold {needed} of {} {when}", litres(wing.most_m3))
        }
    }
}

/// What the surface asks of the wing, where that is more than it has.
fn surface(units: UnitSystem, heavy: &Heavy) -> String {
    let too_much = heavy.wing.filter(|wing| wing.surface_m3 > wing.most_m3);
    too_much.map_or(String::new(), |wing| {
        let needed = units.text(Quantity::Volume, wing.surface_m3);
        format!("; head and shoulders out of the water at the surface would take {needed}")
    })
}

/// The answer: the worst thing that goes wrong alone, then the worst of several at once. A mark only where something is
/// beyond what the diver can do.
pub fn lines(units: UnitSystem, scenario: &Scenario, facts: &MishapFacts) -> Vec<Line> {
    let line = |(found, label): (Option<&MishapFound>, &str)| {
        let found = found?;
        let label = if found.mishap.things().len() > 2 { MORE } else { label };
        Some(Line { label: label.into(), text: capital(&sentence(units, scenario, found)), within: within(found) })
    };
    let mut lines: Vec<Line> = facts.worst(scenario).into_iter().zip(LABELS).filter_map(line).collect();
    if !facts.never.is_empty() {
        let names: Vec<String> = facts.never.iter().map(|mishap| name(scenario, *mishap)).collect();
        let text = format!("{}: at no moment of this dive is it there to be lost", names.join("; "));
        lines.push(Line::plain("Cannot happen", text));
    }
    lines
}

/// The line of a run that did not ask for mishaps: the worst that nobody expects.
pub fn unasked(units: UnitSystem, scenario: &Scenario, facts: &MishapFacts) -> Option<Line> {
    let found = facts.beyond(scenario)?;
    let text = format!("{}. More: lightpoint run --mishaps", capital(&sentence(units, scenario, found)));
    // who floats without lead that is needed breaks no limit of the plan
    let within = within(found).filter(|_| matches!(found.side(), Side::Heavy(_)));
    Some(Line { label: UNASKED.into(), text, within })
}

/// What the wing must hold after a mishap that makes the diver heavier, m³.
fn wing_m3(found: &MishapFound) -> Option<f64> {
    match found.side() {
        Side::Heavy(heavy) => heavy.wing.map(|wing| wing.needed_m3.max(wing.surface_m3)),
        Side::Light(_) => None,
    }
}

/// Beyond what the diver can do. Nothing is ticked: that one mishap is handled makes no other.
pub(super) fn within(found: &MishapFound) -> Option<bool> {
    (found.verdict() >= MishapVerdict::AfterDitching).then_some(false)
}

/// All mishaps that were asked for, the worst first.
pub fn table(units: UnitSystem, scenario: &Scenario, facts: &MishapFacts) -> String {
    let unit = units.symbol(Quantity::Mass);
    let mut table = new_table();
    table.set_header([
        "Mishap".to_owned(),
        "then".into(),
        format!("left,\n{unit}"),
        format!("ditched,\n{unit}"),
        format!("wing,\n{}", units.symbol(Quantity::Volume)),
        format!("wing empty,\n{unit}"),
        "worst at".into(),
        units.symbol(Quantity::Length).to_owned(),
    ]);
    let signed = |kg: f64| units.signed(Quantity::Mass, kg);
    for found in &facts.found {
        let state = &found.now().state;
        table.add_row([
            name(scenario, found.mishap),
            verdict(scenario, found).into(),
            signed(found.left_kg()),
            found.ditched_kg().map_or("—".into(), signed),
            wing_m3(found).map_or("—".into(), |m3| units.number(Quantity::Volume, m3)),
            signed(found.wing_empty_kg()),
            moment(state.time_s),
            units.number(Quantity::Length, state.depth_m),
        ]);
    }
    align_numbers(&mut table, 2..8);
    let limit = units.text(Quantity::Mass, scenario.rig().swim_up_kg);
    let load = Fins::of(scenario).to_swim_up();
    let has = scenario.rig().wing.map_or(String::new(), |wing| {
        let has = units.text(Quantity::Volume, wing.capacity_m3());
        format!(" wing: what it must hold, at the surface with head and shoulders out too (it has {has}).")
    });
    let note = format!(
        "at the worst moment of each. left: when the wing, if it works, has done what it can; below zero {load} \
(limit {limit}), above zero the diver floats. ditched: the same after letting go of what is ditchable.{has} wing empty: \
the diver with no gas in the wing"
    );
    format!("{}{}\n", plain(&mut table, Fit { fold: 0, leave_out: &[5, 7, 6, 4, 3] }), filled(&note))
}
