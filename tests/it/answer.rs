//! Answers from plans: the same facts as the parts below them give, and long ones that can be ended.

use std::sync::atomic::{AtomicBool, Ordering};

use lightpoint::Control;
use lightpoint::internals::answer::{
    AnswerError, Answers, BallastFacts, DiveFacts, DoubtFacts, DrawSettings, Key, Pieces, Stage, Sweep, Swept, Watch,
};
use lightpoint::internals::plan::Plan;

use crate::common::plans;

fn set(key: &str, value: &str) -> (String, String) {
    (key.to_owned(), value.to_owned())
}

/// A plan changed twice is the plan read with both changes, in name and text too.
#[test]
fn changes_add_up() {
    let (first, second) = (set("suit.gas_volume", "14 L"), set("breathing.bottom", "23 L/min"));
    let path = plans().into_iter().find(|path| path.ends_with("cold-trimix.toml")).unwrap();
    let both = Plan::load_with(&path, &[first.clone(), second.clone()]).unwrap();
    assert_eq!(Plan::load(&path).unwrap().with_sets(&[first.clone(), second.clone()]).unwrap(), both);
    assert_eq!(Plan::load_with(&path, &[first]).unwrap().with_sets(&[second]).unwrap(), both);
    // a change that names nothing is told with the plan's name
    let told = both.with_sets(&[set("cylinder.nobody.fill", "200 bar")]).unwrap_err();
    assert!(told.list[0].message.contains("nobody"), "{}", told.list[0].message);
}

/// A sweep's point is the dive with that value, to the gram to which the quick search for lead goes.
#[test]
fn a_sweep_is_many_dives() {
    let plan = Plan::demonstration(&[]).unwrap();
    let swept = Swept { key: "suit.gas_volume".into(), unit: "L".into(), numbers: vec![8.0, 12.0] };
    let sweep = Sweep::of(&plan, &swept, &[Key::LeastLead, Key::Heavy]).unwrap();
    assert_eq!(sweep.points.len(), 2);
    for point in &sweep.points {
        let dive = DiveFacts::of(&plan.with_sets(&[set(&swept.key, &format!("{} L", point.at))]).unwrap()).unwrap();
        let figures = point.figures.as_ref().unwrap();
        assert!((figures[0].unwrap() - dive.lead.least_kg).abs() < 1e-3);
        assert_eq!(figures[1], Some(dive.findings.heavy.bare_kg));
    }
    let [a, b] = [0, 1].map(|i| sweep.points[i].figures.as_ref().unwrap()[0].unwrap());
    assert!(b > a + 1.0, "four litres more in the suit take kilograms of lead: {a} {b}");
}

/// The band begins at the least lead and narrows with every kilogram more.
#[test]
fn the_band_narrows_with_lead() {
    for path in plans() {
        let dive = DiveFacts::of(&Plan::load(&path).unwrap()).unwrap();
        let bands = dive.bands().unwrap();
        assert_eq!(bands[0].lead_kg, dive.lead.low_kg());
        let (light, heavy) = (&bands[0], &bands[bands.len() - 1]);
        assert!(!light.stops.is_empty() && light.stops.len() == heavy.stops.len(), "{}", path.display());
        // more lead means more gas in the wing, which grows and shrinks with depth
        for (a, b) in light.stops.iter().zip(&heavy.stops) {
            // on a loop a breath trims nothing
            let is_none = a.up_m == 0.0 && b.up_m == 0.0 && path.ends_with("closed-circuit.toml");
            assert!(b.up_m < a.up_m || is_none, "{}: {b:?} against {a:?}", path.display());
        }
    }
}

/// The searches of two answers meet; pieces that make no sense are told.
#[test]
fn the_lead_of_two_answers_is_one() {
    for path in plans() {
        let plan = Plan::load(&path).unwrap();
        let (dive, ballast) = (DiveFacts::of(&plan).unwrap(), BallastFacts::of(&plan, &Pieces::Step(0.5)).unwrap());
        let bounds = ballast.carry.range.bounds();
        // the quick search ends within half a gram
        assert!((bounds.least_kg - dive.lead.least_kg).abs() < 1e-3, "{}", path.display());
        assert!((bounds.most_kg - dive.lead.most_kg).abs() < 1e-3, "{}", path.display());
        assert_eq!(ballast.tried.is_empty(), !bounds.is_empty(), "{}", path.display());
        assert_eq!(ballast.removable, dive.removable, "{}", path.display());
        assert!(BallastFacts::of(&plan, &Pieces::Step(0.0)).is_err());
    }
}

/// Ended before the first draws there is nothing; ended later, what is there by then.
#[test]
fn a_long_answer_can_be_ended() {
    let plan = Plan::demonstration(&[]).unwrap();
    let settings = DrawSettings { draws: Some(4096), ..DrawSettings::default() };
    let cancel = AtomicBool::new(true);
    let mut nothing = |_: Stage, _: u64| {};
    let ended = DoubtFacts::of(&plan, settings.clone(), true, Watch { cancel: &cancel, progress: &mut nothing });
    assert!(matches!(ended, Err(AnswerError::Cancelled)), "{ended:?}");

    let cancel = AtomicBool::new(false);
    let mut stages = Vec::new();
    let mut progress = |stage: Stage, _: u64| {
        stages.push(stage);
        cancel.store(true, Ordering::Relaxed);
    };
    let found =
        DoubtFacts::of(&plan, settings, true, Watch { cancel: &cancel, progress: &mut progress }).unwrap().unwrap();
    assert!(!found.study.rows.is_empty() && found.study.draws < 4096, "{} draws", found.study.draws);
    assert!(found.next.is_none(), "what to weigh next is not looked at");
    assert!(stages.iter().all(|stage| *stage == Stage::Draws));
}

/// One value answers all questions, each as its own part does; errors are those of the library.
#[test]
fn questions_are_asked_of_one_value() {
    let load = |name: &str| Plan::load(plans().into_iter().find(|path| path.ends_with(name)).unwrap()).unwrap();
    let plan = load("single-wetsuit.toml");
    let ask = Answers::of(&plan);
    let pieces = Pieces::Step(0.5);
    assert_eq!(ask.dive().unwrap(), DiveFacts::of(&plan).unwrap());
    assert_eq!(ask.ballast(&pieces).unwrap(), BallastFacts::of(&plan, &pieces).unwrap());

    let heavier = plan.with_sets(&[set("ballast.belt weight.mass", "1.5 kg")]).unwrap();
    let comparison = ask.beside(&[&heavier]).unwrap();
    let heavy_kg: Vec<f64> = comparison.dives.iter().map(|dive| dive.findings.heavy.bare_kg).collect();
    assert_eq!(heavy_kg[0], ask.dive().unwrap().findings.heavy.bare_kg);
    assert_eq!(heavy_kg[1], DiveFacts::of(&heavier).unwrap().findings.heavy.bare_kg);
    assert!(ask.beside(&[]).is_err(), "one dive alone");

    let cancel = AtomicBool::new(false);
    let settings = DrawSettings { draws: Some(64), ..DrawSettings::default() };
    let mut made = 0;
    let doubt = ask.doubt(&settings, Control { cancel: &cancel, progress: |count| made = count }).unwrap().unwrap();
    assert_eq!(doubt.study.draws, 64);
    assert!(made >= 64, "{made}");

    let checks = std::path::Path::new("profiles/single-wetsuit-checks.csv");
    let control = || Control { cancel: &cancel, progress: |_| {} };
    let found = ask.calibration(checks, &DrawSettings::default(), &pieces, control()).unwrap();
    assert_eq!(found.checked.checks.len(), 2);
    assert!(!found.checked.correction.moved.is_empty());

    cancel.store(true, Ordering::Relaxed);
    let ended = ask.calibration(checks, &DrawSettings::default(), &pieces, control()).unwrap_err();
    assert_eq!(ended, AnswerError::Cancelled);
    assert_eq!(lightpoint::Error::from(ended).to_string(), "ended before it was done");
    let none = ask.ballast(&Pieces::Step(0.0)).unwrap_err();
    assert_eq!(lightpoint::Error::from(none.clone()).to_string(), none.to_string());
}
