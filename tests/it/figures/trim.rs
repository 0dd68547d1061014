//! The figures of a dive's trim, of every demonstration plan.

use super::{check, texts_of};
use crate::common::plans;
use lightpoint::internals::answer::{Pieces, TrimFacts};
use lightpoint::internals::plan::Plan;
use lightpoint::internals::report::chart::{self, Picture, TrimLook};
use lightpoint::internals::report::measure::UnitSystem;

fn facts(plan: &Plan) -> TrimFacts {
    TrimFacts::of(plan, &Pieces::Step(0.5)).unwrap()
}

fn look<'a>(plan: &'a Plan, facts: &'a TrimFacts, units: UnitSystem) -> TrimLook<'a> {
    TrimLook { title: plan.title(), note: Some("invented"), facts, units }
}

#[test]
fn they_are_clear() {
    let mut faults = Vec::new();
    for path in plans() {
        let plan = Plan::load(&path).unwrap();
        let facts = facts(&plan);
        for units in [UnitSystem::Metric, UnitSystem::Us] {
            let look = look(&plan, &facts, units);
            let name = |figure: &str| format!("{figure}-{}-{units:?}", plan.name());
            let drawn: [(String, Picture); 3] = [
                (name("lever"), chart::lever(&look).unwrap()),
                (name("lever-upright"), chart::lever_sized(&look, chart::LeverSize::UPRIGHT)),
                (name("trim-torque"), chart::trim_torque(&look).unwrap()),
            ];
            for (name, picture) in &drawn {
                if let Err(fault) = std::panic::catch_unwind(|| check(name, picture)) {
                    faults.push(fault.downcast_ref::<String>().cloned().unwrap_or_default());
                }
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// What the figures are for is in them: the ends in words, what holds, what comes and goes, the doubt.
#[test]
fn they_say_what_matters() {
    let plan = Plan::demonstration(&[]).unwrap();
    let facts = facts(&plan);
    let torque = texts_of(&chart::trim_torque(&look(&plan, &facts, UnitSystem::Metric)).unwrap());
    for words in ["+ feet-heavy, − head-heavy", "a choice, no measured figure", "95 %"] {
        assert!(torque.contains(words), "no '{words}':\n{torque}");
    }
    let cave = plans().into_iter().find(|path| path.ends_with("coastal-cave.toml")).unwrap();
    let cave = Plan::load(cave).unwrap();
    let moved = self::facts(&cave);
    let torque = texts_of(&chart::trim_torque(&look(&cave, &moved, UnitSystem::Metric)).unwrap());
    assert!(!moved.trim.gone.is_empty() && torque.contains(" goes") && torque.contains(" comes"), "{torque}");
    let lever = texts_of(&chart::lever(&look(&plan, &facts, UnitSystem::Metric)).unwrap());
    for words in ["Heavy point, ", "Light point, ", "held level: ", "at rest: ", "that floats", "body ", "wing gas "] {
        assert!(lever.contains(words), "no '{words}':\n{lever}");
    }
    let us = texts_of(&chart::lever(&look(&plan, &facts, UnitSystem::Us)).unwrap());
    assert!(us.contains("lbf·ft") && us.contains(" lb") && !us.contains(" kg"), "{us}");
}
