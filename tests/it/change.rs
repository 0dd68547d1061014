//! What can be changed by hand: every set of every control, level and cylinder gives a plan that builds, and the value
//! comes back from it. The same sets do the same to the file on disk.

use std::path::Path;

use crate::common::plans;
use lightpoint::internals::findings::Trim;
use lightpoint::internals::plan::begin::{Answers, CylinderAnswer, UnitAnswer, begin, choices, with_check};
use lightpoint::internals::plan::change::controls::{Control, To, controls, fill_control, set_control};
use lightpoint::internals::plan::change::cylinders::{move_cylinder, moves, undo_move};
use lightpoint::internals::plan::change::levels::{LevelTo, levels, move_level};
use lightpoint::internals::plan::change::place;
use lightpoint::internals::plan::change::{Sets, merged};
use lightpoint::internals::plan::inside::written_in;
use lightpoint::internals::plan::{Built, Plan};
use lightpoint::internals::profile::Move;
use lightpoint::internals::rig::{Part, Role};
use lightpoint::internals::sim::Owner;
use lightpoint::internals::units::{Quantity, UnitSystem};

const SYSTEMS: [UnitSystem; 2] = [UnitSystem::Metric, UnitSystem::Us];

/// The plans in `profiles/`, and the same with their files written in.
fn all() -> Vec<(std::path::PathBuf, Plan)> {
    let read = |path: &Path| Plan::load(path).unwrap_or_else(|problems| panic!("{problems}"));
    plans().into_iter().map(|path| (path.clone(), read(&path))).collect()
}

fn built(plan: &Plan) -> Built {
    plan.build().unwrap_or_else(|problems| panic!("{problems}"))
}

/// The plan with sets, read from memory and from the disk: both the same.
fn with(path: &Path, plan: &Plan, sets: &Sets) -> (Plan, Built) {
    let changed = plan.with_sets(sets).unwrap_or_else(|problems| panic!("{sets:?}: {problems}"));
    let on_disk = Plan::load_with(path, sets).unwrap_or_else(|problems| panic!("{sets:?}: {problems}"));
    assert_eq!(changed.file(), on_disk.file(), "{sets:?}");
    let built = changed.build().unwrap_or_else(|problems| panic!("{sets:?}: {problems}"));
    assert_eq!(built.scenario.segments(), self::built(&on_disk).scenario.segments(), "{sets:?}");
    (changed, built)
}

/// Values to try, in the reader's unit: the ends, the middle and what it is.
fn values(control: &Control) -> Vec<f64> {
    let (low, high) = match control.id.split(' ').next() {
        // what a dive can do without: more than that is another dive, and the plan says so
        Some("depth") => (12.0, 30.0),
        Some("time") => (20.0, 40.0),
        // a body that neither sinks nor floats by more than bodies do
        Some("mass" | "volume") => {
            let now = control.unit.number(control.value);
            (0.98 * now, 1.02 * now)
        }
        _ => (control.min, control.max),
    };
    let step = |share: f64| low + ((high - low) * share / control.step).round() * control.step;
    vec![step(0.1), step(0.5), step(0.8)]
}

/// Every figure comes back as it was set, to half of its last digit and a little for the float (of a sum of lead: that for
/// each entry).
#[test]
fn controls_set_what_they_say() {
    let mut tried = 0;
    for (path, plan) in all() {
        let own = built(&plan);
        for units in SYSTEMS {
            for control in controls(&plan, &own, units).into_iter().filter(|control| control.choices.is_empty()) {
                for number in values(&control) {
                    let si = number * control.unit.factor + control.unit.zero;
                    let sets = set_control(&plan, &own, &control.id, To::Value(si), units)
                        .unwrap_or_else(|told| panic!("{path:?} {}: {told}", control.id));
                    let (changed, built) = with(&path, &plan, &sets);
                    let after = controls(&changed, &built, units);
                    let after = after.iter().find(|one| one.id == control.id).unwrap_or_else(|| panic!("{sets:?}"));
                    // the coarsest digit that a plan of profiles/ is written with, whatever the reader's unit: 1 bar, 1 ft,
                    // 0.1 °C, 0.1 L, 0.1 mm; else a tenth of the reader's unit
                    let coarse = match control.quantity {
                        Quantity::Pressure => 1e5,
                        Quantity::Length if control.unit.symbol == "mm" => 1e-4,
                        Quantity::Length if control.id.starts_with("at ") => 1e-2,
                        Quantity::Length => 0.3048,
                        Quantity::Temperature => 0.1,
                        _ => 0.1 * control.unit.factor,
                    };
                    let within = 0.5001 * coarse;
                    assert!(
                        (after.value - si).abs() <= within,
                        "{path:?} {}: {si} {} {sets:?}",
                        control.id,
                        after.value
                    );
                    tried += 1;
                }
            }
        }
    }
    assert!(tried > 300, "{tried}");
}

/// A doubt stays as it is written; typical figures keep theirs and become guesses.
#[test]
fn doubts_stay_beside_their_values() {
    let trimix = Plan::demonstration(&[]).unwrap();
    let own = built(&trimix);
    let set = |plan: &Plan, own: &Built, id: &str, si: f64| {
        set_control(plan, own, id, To::Value(si), UnitSystem::Metric).unwrap()
    };
    let pair = |key: &str, value: &str| vec![(key.to_owned(), value.to_owned())];
    assert_eq!(set(&trimix, &own, "suit gas", 0.014), pair("suit.gas_volume", "14 ± 1.5 L"));
    assert_eq!(set(&trimix, &own, "breathing bottom", 22e-3 / 60.0), pair("breathing.bottom", "22 ± 3 L/min"));
    assert_eq!(set(&trimix, &own, "salinity", 30.0), pair("site.salinity", "30 ± 1 PSU"));
    assert_eq!(set(&trimix, &own, "fill back", 200e5), pair("cylinder.back.fill", "200 bar"));
    assert_eq!(set(&trimix, &own, "lead", 6.0), pair("ballast.\"belt weight\".mass", "2.5 kg"));
    // the belt of 4 kg first, then the tail weight
    let less = set(&trimix, &own, "lead", 0.5);
    assert_eq!(less[0].1, "0 kg");
    assert_eq!(less[1], ("ballast.\"tail weight\".mass".to_owned(), "0.5 kg".to_owned()));
    let ten = Plan::load("profiles/ten-lines.toml").unwrap();
    let own = built(&ten);
    assert_eq!(set(&ten, &own, "lead", 6.0), pair("ballast", "[{ name = \"lead\", mass = \"6 kg\" }]"));
    assert_eq!(set(&ten, &own, "swim up", 9.0), pair("diver.swim_up", "9 kg (guess)"));
    assert_eq!(set(&ten, &own, "wing", 0.020), pair("wing.capacity", "20 ± 4 L (95%, guess)"));
    let rates = set(&ten, &own, "breathing bottom", 20e-3 / 60.0);
    assert_eq!(rates[1], ("breathing.bottom".to_owned(), "20 ± 7.65 L/min (95%, guess)".to_owned()));
    assert_eq!(rates[3], ("breathing.stop".to_owned(), "13 ± 5.85 L/min (95%, guess)".to_owned()));
    assert!(set_control(&ten, &own, "nothing", To::Value(1.0), UnitSystem::Metric).is_err());
    assert!(set_control(&ten, &own, "lead", To::Choice("sea"), UnitSystem::Metric).is_err());
    assert!(set_control(&ten, &own, "lead", To::Value(f64::NAN), UnitSystem::Metric).is_err());
}

/// The pieces of ballast of a dive.
fn ballast(built: &Built) -> Vec<&Part> {
    built.scenario.rig().parts.iter().filter(|part| part.role == Role::Ballast).collect()
}

fn trim(built: &Built) -> Trim {
    let trace = lightpoint::internals::sim::run(&built.scenario).unwrap();
    Trim::of(&built.scenario, &trace).unwrap()
}

/// Lead goes along the body as far as it is told and no other way, nothing else moves, and the torque of the diver held level
/// changes by what the lead weighs in water times the way (statics, M = b·r).
#[test]
fn lead_moves_along_the_body() {
    let mut tried = 0;
    for (path, plan) in all() {
        let own = built(&plan);
        let before = trim(&own);
        for (i, units) in (0..plan.file().ballast.len()).zip(SYSTEMS.into_iter().cycle()) {
            let id = format!("at ballast {}", i + 1);
            let to_m = ballast(&own)[i].at.unwrap().mass.along_m - 0.254;
            let sets = set_control(&plan, &own, &id, To::Value(to_m), units).unwrap();
            assert!(sets.len() == 1 && sets[0].0.starts_with("ballast"), "{sets:?}");
            let (changed, after) = with(&path, &plan, &sets);
            let [old, new] = [&own, &after].map(|built| ballast(built)[i].at.unwrap().mass);
            // written to a tenth of a centimetre or an inch; where the plan writes whole centimetres, to these
            assert!((new.along_m - to_m).abs() <= 0.0051, "{path:?}: {sets:?}");
            // across the body to a tenth of a centimetre or an inch
            let across_m = (new.up_m - old.up_m).abs().max((new.left_m - old.left_m).abs());
            assert!(across_m <= 0.5001 * 0.00254, "{path:?}: {sets:?}");
            let moved = trim(&after);
            let owner = Owner::Part(own.scenario.rig().parts.iter().position(|part| part == ballast(&own)[i]).unwrap());
            let lift_kg = before.pulls_heavy.iter().find(|pull| pull.owner == owner).unwrap().lift_kg;
            let turned_nm = moved.heavy.torque_nm() - before.heavy.torque_nm();
            // 9.80665 m/s² by definition; sums of some twenty terms of up to 1e3 N·m leave 1e-10
            assert!((turned_nm - 9.80665 * lift_kg * (new.along_m - old.along_m)).abs() < 1e-9, "{path:?} {turned_nm}");
            // and back: as it was, to what is written
            let back = set_control(&changed, &after, &id, To::Value(old.along_m), units).unwrap();
            let (_, back) = with(&path, &plan, &merged(&sets, back));
            assert!((ballast(&back)[i].at.unwrap().mass.along_m - old.along_m).abs() <= 0.0051);
            tried += 1;
        }
    }
    assert!(tried >= 5, "{tried}"); // of the pieces in profiles/
}

/// A place by its word, doubts beside distances, and lead that was added by hand.
#[test]
fn lead_goes_to_places() {
    let trimix = Plan::demonstration(&[]).unwrap();
    let own = built(&trimix);
    let set = |plan: &Plan, own: &Built, id: &str, to| set_control(plan, own, id, to, UnitSystem::Metric);
    let sets = set(&trimix, &own, "place ballast 1", To::Choice("plate")).unwrap();
    assert_eq!(sets, [("ballast.\"belt weight\".at".to_owned(), "plate".to_owned())]);
    let (changed, after) = with(Path::new("profiles/cold-trimix.toml"), &trimix, &sets);
    let plate = place::marks(&after).into_iter().find(|mark| mark.word == "plate").unwrap();
    assert_eq!(ballast(&after)[0].at.unwrap().mass, plate.at);
    let found = controls(&changed, &after, UnitSystem::Metric);
    let chosen = found.iter().find(|control| control.id == "place ballast 1").unwrap();
    assert_eq!(chosen.chosen.as_deref(), Some("plate"));
    assert!(set(&trimix, &own, "place ballast 1", To::Choice("moon")).is_err());
    assert!(set(&trimix, &own, "place ballast 1", To::Value(1.0)).is_err());
    assert!(set(&trimix, &own, "at ballast 1", To::Choice("belt")).is_err());
    // written distances keep what stands beside them; metres are too coarse for a hand
    let moved = |at: &str| {
        let plan = trimix.with_sets(&[("ballast[1].at".to_owned(), at.to_owned())]).unwrap();
        set(&plan, &built(&plan), "at ballast 1", To::Value(-0.5)).unwrap()[0].1.clone()
    };
    assert_eq!(
        moved("{ along = \"-12 ± 3 cm\", up = \"4 cm\", left = \"1 cm\" }"),
        "{ along = \"-50 ± 3 cm\", up = \"4 cm\", left = \"1 cm\" }"
    );
    assert_eq!(moved("{ along = \"-0.1 m\" }"), "{ along = \"-50 cm\" }");
    assert_eq!(moved("{ along = \"-0.1 ± 0.05 m (guess)\" }"), "{ along = \"-50 ± 5 cm (guess)\" }");
    // lead that the plan never had
    let path = Path::new("profiles/ten-lines.toml");
    let ten = Plan::load(path).unwrap();
    let lead = set(&ten, &built(&ten), "lead", To::Value(6.0)).unwrap();
    let (with_lead, built_lead) = with(path, &ten, &lead);
    let sets = merged(&lead, set(&with_lead, &built_lead, "at ballast 1", To::Value(-0.5)).unwrap());
    let (moved, after) = with(path, &ten, &sets);
    assert_eq!(ballast(&after)[0].at.unwrap().mass.along_m, -0.5);
    let sets = merged(&sets, set(&moved, &after, "lead", To::Value(5.0)).unwrap());
    let (_, after) = with(path, &ten, &sets);
    assert_eq!(ballast(&after)[0].at.unwrap().mass.along_m, -0.5, "{sets:?}");
}

/// Another water and back again is the plan as it was; the place keeps its name and its air.
#[test]
fn another_water_and_back() {
    for (path, plan) in all() {
        let own = built(&plan);
        for word in ["sea", "fresh"] {
            let sets = set_control(&plan, &own, "water", To::Choice(word), UnitSystem::Metric).unwrap();
            let (changed, after) = with(&path, &plan, &sets);
            let water = after.scenario.water();
            assert_eq!(water.surface_pa(), own.scenario.water().surface_pa(), "{path:?}");
            // TEOS-10 at salinity 0 is below, at 35 above 1005 kg/m³ at every temperature of water
            assert_eq!(water.density_kg_m3(0, 0.0) > 1005.0, word == "sea", "{path:?}");
            let name = |plan: &Plan| plan.file().site.as_ref().and_then(|site| site.name.clone());
            assert_eq!(name(&plan), name(&changed));
            let back = set_control(&changed, &after, "water", To::Choice("written"), UnitSystem::Metric).unwrap();
            let (back, _) = with(&path, &plan, &merged(&sets, back));
            assert_eq!(plan.file(), back.file(), "{path:?}");
        }
    }
}

/// Every level goes to other depths and lengths, and all else of the dive stays: the depths of the other levels, and how
/// long each is.
#[test]
fn levels_move() {
    let mut tried = 0;
    for (path, plan) in all() {
        let own = built(&plan);
        let before = levels(&plan, &own);
        assert!(!before.is_empty(), "{path:?}");
        for (at, level) in before.iter().enumerate() {
            for (units, to) in [
                (UnitSystem::Metric, LevelTo::Depth(level.depth_m + 0.7)),
                (UnitSystem::Us, LevelTo::Depth(level.depth_m - 1.1)),
                (UnitSystem::Metric, LevelTo::Length(level.end_s - level.start_s + 90.0)),
                (UnitSystem::Us, LevelTo::Length(0.5 * (level.end_s - level.start_s))),
            ] {
                let sets = move_level(&plan, &own, &level.id, to, units)
                    .unwrap_or_else(|told| panic!("{path:?} {}: {told}", level.id));
                let (changed, built) = with(&path, &plan, &sets);
                let after = levels(&changed, &built);
                assert_eq!(after.len(), before.len(), "{path:?} {sets:?}");
                for (i, (old, new)) in before.iter().zip(&after).enumerate() {
                    let (old_s, new_s) = (old.end_s - old.start_s, new.end_s - new.start_s);
                    // half a foot, the coarsest digit of a depth; half a second and the float of a clock
                    match to {
                        LevelTo::Depth(depth_m) if i == at => assert!((new.depth_m - depth_m).abs() < 0.16, "{sets:?}"),
                        _ => assert!((new.depth_m - old.depth_m).abs() < 1e-9, "{path:?} {sets:?}"),
                    }
                    match to {
                        LevelTo::Length(length_s) if i == at => assert!((new_s - length_s).abs() < 0.51, "{sets:?}"),
                        // the time of a short dive counts the way down as well
                        LevelTo::Depth(_) if level.id == "bottom" => {}
                        _ => assert!((new_s - old_s).abs() < 0.02, "{path:?} {sets:?} {old_s} {new_s}"),
                    }
                }
                tried += 1;
            }
        }
    }
    // four each of the seventeen levels in profiles/
    assert!(tried >= 60, "{tried}");
}

/// The last stop moves along where it is written, legs keep their words, rows their columns.
#[test]
fn levels_are_written_as_the_plan_has_them() {
    let trimix = Plan::demonstration(&[]).unwrap();
    let own = built(&trimix);
    let move_to = |plan: &Plan, own: &Built, id: &str, to| move_level(plan, own, id, to, UnitSystem::Metric).unwrap();
    let pair = |key: &str, value: &str| (key.to_owned(), value.to_owned());
    let sets = move_to(&trimix, &own, "leg 12", LevelTo::Depth(5.04));
    assert_eq!(sets, [pair("dive.leg[11].to", "5 m"), pair("dive.last_stop", "5 m")]);
    let sets = move_to(&trimix, &own, "leg 2", LevelTo::Length(1500.0));
    assert_eq!(sets, [pair("dive.leg[2].stay", "25 min")]);
    // two levels at one depth with a way of some speed between them
    assert!(move_level(&trimix, &own, "leg 12", LevelTo::Depth(9.0), UnitSystem::Metric).is_err());
    let ten = Plan::load("profiles/ten-lines.toml").unwrap();
    let own = built(&ten);
    assert_eq!(move_to(&ten, &own, "stop 1", LevelTo::Depth(6.0)), [pair("dive.stops", "[\"6 m 3 min\"]")]);
    assert_eq!(move_to(&ten, &own, "stop 1", LevelTo::Length(330.0)), [pair("dive.stops", "[\"5 m 5.5 min\"]")]);
    // 18 m at 18 m/min take a minute
    assert_eq!(move_to(&ten, &own, "bottom", LevelTo::Length(1200.0)), [pair("dive.time", "21 min")]);
    let cave = Plan::load("profiles/coastal-cave.toml").unwrap();
    let own = built(&cave);
    let level = levels(&cave, &own).remove(0);
    // 48 to 56 min at 24 m: the eighth row ends it
    assert_eq!(level.id, "row 8");
    let sets = move_to(&cave, &own, &level.id, LevelTo::Length(600.0));
    assert!(sets[0].1.contains("\n58,24,back,17,,,\n70,22,") && sets[0].1.starts_with("# Invented"), "{}", sets[0].1);
}

/// A cylinder left by hand is there, and gone after it is undone; with two hands the list has both.
#[test]
fn cylinders_come_and_go() {
    let path = Path::new("profiles/cold-trimix.toml");
    let plan = Plan::load(path).unwrap();
    let own = built(&plan);
    assert!(moves(&plan, &own).is_empty());
    let left = move_cylinder(&plan, &own, "oxygen", Move::Leave, 1000.4).unwrap();
    assert_eq!(left[0].1, "[{ at = \"16:40\", leave = \"oxygen\" }]");
    // it is breathed later, so that leaving it alone is no dive
    let alone = plan.with_sets(&left).unwrap();
    assert!(alone.build().is_err());
    let taken = merged(&left, move_cylinder(&alone, &own, "oxygen", Move::Take, 1800.0).unwrap());
    let (changed, after) = with(path, &plan, &taken);
    let found = moves(&changed, &after);
    let facts: Vec<(f64, Move, bool)> = found.iter().map(|one| (one.time_s, one.kind, one.is_ours)).collect();
    assert_eq!(facts, [(1000.0, Move::Leave, true), (1800.0, Move::Take, true)]);
    let undone = merged(&taken, undo_move(&changed, &after, "oxygen", 1800.0).unwrap());
    let alone = plan.with_sets(&undone).unwrap();
    let undone = merged(&undone, undo_move(&alone, &own, "oxygen", 1000.0).unwrap());
    let (back, _) = with(path, &plan, &undone);
    assert_eq!(back.file(), plan.file());
    assert!(undo_move(&plan, &own, "oxygen", 1000.0).is_err());
    assert!(move_cylinder(&plan, &own, "none", Move::Leave, 1000.0).is_err());
    // those of the rows of a cave are not ours
    let cave = Plan::load("profiles/coastal-cave.toml").unwrap();
    let found = moves(&cave, &built(&cave));
    assert!(found.len() == 6 && found.iter().all(|one| !one.is_ours));
}

#[test]
fn every_cylinder_has_its_fill() {
    for (path, plan) in all() {
        let own = built(&plan);
        let ids: Vec<String> = controls(&plan, &own, UnitSystem::Metric).into_iter().map(|one| one.id).collect();
        for cylinder in &own.scenario.rig().cylinders {
            let id = fill_control(&plan, cylinder.name()).unwrap();
            assert!(ids.contains(&id), "{path:?} {id}");
        }
    }
}

/// A plan with its files written in is the same dive with the same figures.
#[test]
fn a_plan_with_its_files_written_in_is_the_same_dive() {
    for (path, plan) in all() {
        let own = built(&plan);
        let text = plan.written_in();
        let alone = Plan::parse(&text, "alone.toml", "/nowhere").unwrap_or_else(|problems| panic!("{problems}"));
        let after = built(&alone);
        assert_eq!(own.scenario.segments(), after.scenario.segments(), "{path:?}");
        assert_eq!(own.scenario.rig(), after.scenario.rig(), "{path:?}");
        assert_eq!(own.checks, after.checks, "{path:?}");
        let figures =
            |built: &Built| -> Vec<_> { built.inputs.iter().map(|one| (one.label.clone(), one.estimate)).collect() };
        assert_eq!(figures(&own), figures(&after), "{path:?}");
        assert_eq!(alone.written_in(), text, "{path:?}");
        let folder = path.parent().unwrap();
        let read = |name: &str| std::fs::read_to_string(folder.join(name)).ok();
        assert_eq!(written_in(&std::fs::read_to_string(&path).unwrap(), &read).unwrap(), text);
    }
}

/// What is wrong in a list that stands in the plan is told with its line there.
#[test]
fn a_list_in_the_plan_has_places() {
    let text = "gear_list = \"\"\"\nname,mass,volume\nfins,2 kg,1 L\nmask,3 hg,1 L\n\"\"\"\n[diver]\nmass = \"80 kg\"\n[[part]]\npiece = \
                \"mask\"\n[[cylinder]]\nsize = \"steel 12 L 232 bar\"\ngas = \"air\"\nfill = \"200 bar\"\n[dive]\nprofile = \
                \"\"\"\ntime_min,depth_m\n0,0\n2,x\n\"\"\"\n[[weight_check]]\ndepth = \"3 m\"\noutcome = \"neutral\"\nback = \"50 \
                bar\"\nrig = \"\"\"\n[diver]\nmas = \"80 kg\"\n\"\"\"\n";
    let told = Plan::parse(text, "plan.toml", "").and_then(|plan| plan.build()).unwrap_err().to_string();
    for place in ["plan.toml (gear_list):3:6", "plan.toml (dive.profile):3:3", "plan.toml (weight_check[1].rig):2:1"] {
        assert!(told.contains(place), "{told}");
    }
}

/// The plan of a few answers is a plan of few lines, and the ten-line plan comes out of its own answers.
#[test]
fn answers_become_a_plan() {
    let answers = Answers {
        title: "Steel 12, 7 mm (invented)".into(),
        mass: "80 kg".into(),
        suit: "wet 7 mm".into(),
        cylinders: vec![CylinderAnswer {
            size: "steel 12 L 232 bar".into(),
            gas: "air".into(),
            fill: "200 bar".into(),
            ..CylinderAnswer::default()
        }],
        depth: "18 m".into(),
        time: "30 min".into(),
        ..Answers::default()
    };
    let read = |answers: &Answers| Plan::parse(&begin(answers), "begun.toml", "");
    let ten = Plan::load("profiles/ten-lines.toml").unwrap();
    assert_eq!(read(&answers).unwrap().file(), ten.file());
    let more = Answers {
        units: "us".into(),
        age: "34".into(),
        sex: "woman".into(),
        height: "1.7 m".into(),
        suit: "dry membrane light".into(),
        gas_volume: "9 L".into(),
        cylinders: vec![
            CylinderAnswer { count: "2".into(), ..answers.cylinders[0].clone() },
            CylinderAnswer {
                size: "aluminium 11 L 207 bar".into(),
                gas: "nitrox 50".into(),
                ..answers.cylinders[0].clone()
            },
        ],
        water: "1010 kg/m3".into(),
        temperature: "8 °C".into(),
        stops: Some(vec!["6 m 5 min".into(), " ".into()]),
        lead: "6 kg".into(),
        check: [("depth", "3 m"), ("lead", "5 kg"), ("back", "50 bar"), ("outcome", "neutral"), ("note", "")]
            .map(|(key, value)| (key.to_owned(), value.to_owned()))
            .into(),
        ..answers
    };
    let plan = read(&more).unwrap_or_else(|problems| panic!("{}\n{problems}", begin(&more)));
    let own = built(&plan);
    assert_eq!((own.checks.len(), own.scenario.rig().cylinders.len()), (1, 2));
    assert_eq!(own.scenario.rig().cylinders[1].name(), "stage 1");
    insta::assert_snapshot!(begin(&more));
    // nothing and nonsense are told by the plan itself
    for answers in [
        Answers::default(),
        Answers { mass: "a lot".into(), age: "old".into(), suit: "tweed".into(), water: "beer".into(), ..more.clone() },
    ] {
        let told = read(&answers).and_then(|plan| plan.build()).unwrap_err();
        assert!(told.list.len() > 2, "{told}");
    }
}

/// A unit makes a closed circuit of them, with the usual gear beside it.
#[test]
fn answers_become_a_plan_on_a_loop() {
    let cylinder = |size: &str, gas: &str| CylinderAnswer {
        size: size.into(),
        gas: gas.into(),
        fill: "180 bar".into(),
        ..CylinderAnswer::default()
    };
    let answers = Answers {
        mass: "80 kg".into(),
        suit: "dry membrane light".into(),
        unit: Some(UnitAnswer {
            mass: "12 kg".into(),
            in_water: "-4 ± 1 kg".into(),
            read_in: "pool".into(),
            volume: String::new(),
            absorbent: "2.5 kg".into(),
        }),
        cylinders: vec![
            cylinder("steel 3 L 232 bar", "oxygen"),
            cylinder("steel 3 L 232 bar", "air"),
            cylinder("aluminium 11 L 207 bar", "air"),
            CylinderAnswer { name: "second".into(), ..cylinder("aluminium 7 L 200 bar", "nitrox 50") },
        ],
        depth: "30 m".into(),
        time: "25 min".into(),
        ..Answers::default()
    };
    let text = begin(&answers);
    insta::assert_snapshot!(text);
    let own = built(&Plan::parse(&text, "begun.toml", "").unwrap());
    let rig = own.scenario.rig();
    let names: Vec<&str> = rig.cylinders.iter().map(|cylinder| cylinder.name()).collect();
    assert_eq!(names, ["oxygen", "diluent", "stage 1", "second"]);
    let circuit = rig.breathing_loop.unwrap();
    assert_eq!((circuit.supply().len(), circuit.bail_out.len()), (2, 2));
    assert!(own.scenario.profile().legs().iter().all(|leg| leg.loop_mol_s.is_some()));
    assert!(rig.parts.iter().any(|part| part.name.contains("fins")), "the usual gear");
    assert!([2, 3].iter().all(|&i| rig.cylinders[i].is_removable()) && !rig.cylinders[1].is_removable());
    // who knows nothing of the unit is told what is missing
    let bare = Answers { unit: Some(UnitAnswer::default()), ..answers };
    let told = Plan::parse(&begin(&bare), "begun.toml", "").and_then(|plan| plan.build()).unwrap_err();
    assert!(told.list.iter().any(|one| one.path.to_string().starts_with("part[1]")), "{told}");
}

/// Everything that is offered is taken.
#[test]
fn choices_are_words_of_the_plan() {
    let choices = choices();
    let plan = |suit: &str, size: &str, gas: &str, water: &str| Answers {
        mass: "80 kg".into(),
        suit: suit.into(),
        water: water.into(),
        cylinders: vec![CylinderAnswer {
            size: size.into(),
            gas: gas.into(),
            fill: "100 bar".into(),
            ..CylinderAnswer::default()
        }],
        depth: "5 m".into(),
        time: "10 min".into(),
        ..Answers::default()
    };
    let check = |answers: Answers| _ = built(&Plan::parse(&begin(&answers), "begun.toml", "").unwrap());
    let size = choices.sizes[0].name;
    choices.suits.iter().for_each(|suit| check(plan(suit, size, "air", "sea")));
    choices.sizes.iter().for_each(|size| check(plan("swimwear", size.name, "air", "sea")));
    choices.gases.iter().for_each(|gas| check(plan("swimwear", size, gas, "sea")));
    choices.waters.iter().for_each(|water| check(plan("swimwear", size, "air", water)));
    let gear = choices.gear.iter().map(|name| (*name).to_owned()).collect();
    check(Answers { gear, ..plan("swimwear", size, "air", "sea") });
    let groups: std::collections::BTreeSet<&str> = choices.sizes.iter().map(|size| size.group).collect();
    assert!(groups.contains("steel") && groups.contains("twin steel") && groups.contains("aluminium"), "{groups:?}");
}

#[test]
fn a_check_comes_behind_the_others() {
    let fields: Vec<(String, String)> =
        [("depth", "3 m"), ("stage 1", "50 bar"), ("note", " ")].map(|(k, v)| (k.to_owned(), v.to_owned())).into();
    let one = "[[weight_check]]\ndepth = \"3 m\"\n\"stage 1\" = \"50 bar\"\n";
    assert_eq!(with_check("title = \"a\"\n", &fields), format!("title = \"a\"\n\n{one}"));
    assert_eq!(with_check(&format!("{one}# end\n"), &fields).matches("[[weight_check]]").count(), 2);
    assert_eq!(with_check("a = = b", &fields), format!("a = = b\n\n{one}"));
    let inline = with_check("weight_check = [{ depth = \"1 m\" }]\n", &fields);
    assert_eq!(inline.matches("depth").count(), 2, "{inline}");
}
