//! What the page shows of a plan beside its dive: what can be changed in it, and how it calls its gases.

use lightpoint::UnitSystem;
use lightpoint::internals::plan::Plan;
use lightpoint::internals::plan::change::controls::{self, controls, fill_control};
use lightpoint::internals::plan::change::cylinders::moves;
use lightpoint::internals::plan::change::levels::levels;
use lightpoint::internals::plan::change::place::marks;
use lightpoint::internals::plan::file::{CylinderTable, Gas};
use lightpoint::internals::report::bench::{Control, ControlChoice, ControlValue, Level, PlaceMark, PlanCylinder};

use crate::plans::Opened;

/// All of it.
pub struct About {
    /// What can be set.
    pub controls: Vec<Control>,
    /// Level stretches of the dive.
    pub levels: Vec<Level>,
    /// The cylinders, in the diver's order.
    pub cylinders: Vec<PlanCylinder>,
    /// Places of the trade on the diver.
    pub marks: Vec<PlaceMark>,
}

impl About {
    /// Of a plan.
    pub fn of(opened: &Opened, units: UnitSystem) -> Self {
        let (plan, built) = (&opened.plan, opened.as_written());
        Self {
            controls: controls(plan, built, units).into_iter().map(control).collect(),
            levels: self::levels(plan, built).into_iter().map(level).collect(),
            cylinders: cylinders(opened),
            marks: marks(built).into_iter().map(|mark| PlaceMark { word: mark.word.into(), at: mark.at }).collect(),
        }
    }
}

fn control(of: controls::Control) -> Control {
    let choices: Vec<ControlChoice> =
        of.choices.into_iter().map(|(value, label)| ControlChoice { value: value.into(), label }).collect();
    let is_choice = !choices.is_empty();
    let scale = 10_f64.powi(i32::try_from(of.decimals).unwrap_or(0));
    let shown = |number: f64| (number * scale).round() / scale;
    Control {
        value: match is_choice {
            true => ControlValue::Word(of.chosen.unwrap_or_default()),
            false => ControlValue::Number(shown(of.unit.number(of.value))),
        },
        unit: if is_choice { String::new() } else { of.unit.symbol.to_owned() },
        id: of.id,
        group: of.group.word(),
        label: of.label,
        min: of.min,
        max: of.max,
        step: of.step,
        decimals: of.decimals,
        is_typical: of.is_typical,
        cylinder: of.cylinder,
        choices: is_choice.then_some(choices),
    }
}

fn level(of: lightpoint::internals::plan::change::levels::Level) -> Level {
    let what = if of.is_stop {
        "stop"
    } else if of.is_bottom {
        "the bottom"
    } else {
        "level"
    };
    Level {
        what: what.to_owned(),
        id: of.id,
        start_s: of.start_s,
        end_s: of.end_s,
        depth_m: of.depth_m,
        moves_depth: of.moves_depth,
        moves_length: of.moves_length,
    }
}

fn cylinders(opened: &Opened) -> Vec<PlanCylinder> {
    let (plan, built) = (&opened.plan, opened.as_written());
    let moves = moves(plan, built);
    let bodies = built.scenario.rig().cylinders.iter().enumerate();
    bodies
        .zip(plan.cylinder_tables())
        .map(|((i, body), table)| PlanCylinder {
            gas: gas(table),
            control: fill_control(plan, body.name()),
            ours_s: moves.iter().filter(|one| one.cylinder == i && one.is_ours).map(|one| one.time_s).collect(),
        })
        .collect()
}

/// A gas as the plan calls it.
fn gas(table: &CylinderTable) -> String {
    match &table.gas {
        Some(Gas::Name(name)) => name.clone(),
        Some(Gas::Shares(shares)) => {
            let named = [("O₂", &shares.o2), ("He", &shares.he), ("Ar", &shares.ar), ("N₂", &shares.n2)];
            let parts =
                named.into_iter().filter_map(|(name, share)| Some(format!("{} {name}", share.as_ref()?.text())));
            parts.collect::<Vec<_>>().join(", ")
        }
        None => String::new(),
    }
}

/// The changes of a plan as words for the command line, and the whole line for a POSIX shell.
pub fn words(plan: &Plan, name: &str) -> (Vec<String>, String) {
    let words: Vec<String> =
        plan.sets().iter().flat_map(|(key, value)| ["--set".to_owned(), format!("{key}={value}")]).collect();
    let line: Vec<String> =
        ["lightpoint", "run", name].into_iter().map(str::to_owned).chain(words.iter().cloned()).collect();
    let line: Vec<String> = line.iter().map(|word| quoted(word)).collect();
    (words, line.join(" "))
}

/// A word as a POSIX shell takes it: in single quotes wherever a letter could mean something (IEEE Std 1003.1, 2.2.2).
fn quoted(word: &str) -> String {
    let is_plain = |c: char| c.is_ascii_alphanumeric() || "-_./=,:".contains(c);
    if !word.is_empty() && word.chars().all(is_plain) {
        return word.to_owned();
    }
    format!("'{}'", word.replace('\'', r"'\''"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_pass_through_a_shell() {
        assert_eq!(quoted("dive.reserve=30"), "dive.reserve=30");
        assert_eq!(quoted("a=12 ± 1 L"), "'a=12 ± 1 L'");
        assert_eq!(quoted("it's"), r"'it'\''s'");
        assert_eq!(quoted(""), "''");
    }
}
