//! Where things are, as a plan says it: every form of the keys, what is shared, and that weights know nothing of it.

use std::path::Path;

use serde_json::Value;

use crate::command::{Cli, json};
use crate::common::plans;
use lightpoint::internals::estimate::Origin;
use lightpoint::internals::findings::Trim;
use lightpoint::internals::physics::body::{Posture, Shape, Stance};
use lightpoint::internals::physics::place::Point;
use lightpoint::internals::plan::class::Class;
use lightpoint::internals::plan::{Built, Plan};
use lightpoint::internals::rig::Lie;
use lightpoint::internals::sim;

const PLAN: &str = include_str!("../command/plan.toml");
/// What the diver of the plan is: nothing is said of stature or sex, so a usual build of 80 kg.
const NANOMETRE_M: f64 = 1e-9;

fn build(text: &str) -> Built {
    Plan::parse(text, "plan.toml", "profiles")
        .and_then(|plan| plan.build())
        .unwrap_or_else(|problems| panic!("{problems}"))
}

fn built_with(sets: &[(&str, &str)]) -> Built {
    let sets: Vec<_> = sets.iter().map(|(key, value)| ((*key).to_owned(), (*value).to_owned())).collect();
    let plan = Plan::parse(PLAN, "plan.toml", "profiles").unwrap().with_sets(&sets);
    plan.and_then(|plan| plan.build()).unwrap_or_else(|problems| panic!("{problems}"))
}

/// Where a part is.
fn part_at(built: &Built, name: &str) -> Point {
    let part = built.scenario.rig().parts.iter().find(|part| part.name == name).unwrap_or_else(|| panic!("{name}"));
    part.at.unwrap().mass
}

fn lie_of(built: &Built, cylinder: usize) -> Lie {
    built.scenario.rig().cylinders[cylinder].spec().lie.unwrap()
}

fn place_input<'b>(built: &'b Built, path: &str) -> &'b lightpoint::internals::estimate::Input {
    let found = built.places.iter().find(|input| input.path == path);
    found.unwrap_or_else(|| {
        panic!("no {path} in {:?}", built.places.iter().map(|one| one.path.to_string()).collect::<Vec<_>>())
    })
}

fn near(a: Point, b: Point) -> bool {
    let apart = a - b;
    [apart.along_m, apart.left_m, apart.up_m].iter().all(|m| m.abs() < NANOMETRE_M)
}

#[test]
fn every_demonstration_plan_has_a_trim() {
    let mut all: Vec<Built> = plans().iter().map(|path| Plan::load(path).unwrap().build().unwrap()).collect();
    let class = Class::load("profiles/class.toml").unwrap();
    all.extend((0..class.len()).map(|i| class.plan(i).unwrap().build().unwrap()));
    assert!(all.len() >= 10);
    for built in all {
        let trace = sim::run(&built.scenario).unwrap();
        let trim = Trim::of(&built.scenario, &trace).expect("no place is unknown");
        assert!(trim.course.iter().all(|at| at.torque_nm().is_finite() && at.roll_nm().is_finite()));
        // no diver of these is turned by more than 15 kg a metre from the lungs
        assert!(trim.worst().torque_nm().abs() < 150.0, "{:?}", trim.worst());
    }
}

#[test]
fn words_are_places() {
    let usual = built_with(&[]);
    let stature_m = usual.stance.stature_m;
    let of = |word: &str| part_at(&built_with(&[("ballast[1].at", word)]), "lead");
    assert!(near(of("belt"), part_at(&usual, "lead")), "where lead is unless stated");
    // the table of the issue: tail 0.26, thigh 0.42 of stature below the shoulder line; 9 cm to the back, 10 cm aside at 1.75 m
    let scale = stature_m / 1.75;
    assert!(
        (of("tail").along_m + 0.26 * stature_m).abs() < 0.01 * stature_m
            && (of("tail").up_m - 0.09 * scale).abs() < NANOMETRE_M
    );
    assert!(near(of("left thigh"), Point::new(-0.42 * stature_m, 0.10 * scale, 0.0)));
    assert!(near(of("right thigh"), Point::new(-0.42 * stature_m, -0.10 * scale, 0.0)));
    assert!(near(of("thigh"), Point::new(-0.42 * stature_m, 0.0, 0.0)));
    assert!(near(of("  Right   Thigh "), of("right thigh")), "case and blanks are no matter");
    for word in [
        "plate",
        "between the cylinders",
        "shoulders",
        "chest",
        "left hip",
        "knees",
        "ankles",
        "feet",
        "neck",
        "head",
        "weight belt",
        "left belt",
    ] {
        assert!(of(word).is_finite(), "{word}");
    }
    // headward of each other in this order
    let order = ["head", "neck", "shoulders", "chest", "belt", "tail", "hip", "thigh", "knees"];
    let along: Vec<f64> = order.iter().map(|word| of(word).along_m).collect();
    assert!(along.windows(2).all(|pair| pair[0] > pair[1]), "{along:?}");
}

#[test]
fn distances_are_taken_as_written() {
    let built = built_with(&[("ballast[1].at", "{ along = \"-45 ± 3 cm\", up = \"4 cm\", left = \"-12 cm\" }")]);
    assert!(near(part_at(&built, "lead"), Point::new(-0.45, -0.12, 0.04)));
    let along = place_input(&built, "ballast[1].at.along");
    assert_eq!((along.label.as_str(), along.origin), ("lead, along", Origin::Estimated));
    assert!((along.estimate.doubt.unwrap().half_width - 0.03).abs() < 1e-12);
    assert_eq!(place_input(&built, "ballast[1].at.up").estimate.doubt, None);
    // what is not written is as usual, with its doubt
    let part = built_with(&[("ballast[1].at", "{ along = \"-18 in\" }")]);
    let (there, usual) = (part_at(&part, "lead"), part_at(&built_with(&[]), "lead"));
    assert!((there.along_m + 18.0 * 0.0254).abs() < NANOMETRE_M);
    assert_eq!((there.left_m, there.up_m), (usual.left_m, usual.up_m));
    let up = place_input(&part, "ballast[1].at.up");
    assert!(up.origin == Origin::Typical && up.estimate.doubt.is_some());
    // gear keeps its own usual place
    let light = built_with(&[("part.fins.at", "{ up = \"6 cm\" }")]);
    assert_eq!(part_at(&light, "fins").along_m, part_at(&built_with(&[]), "fins").along_m);
    // of what lies over the body nothing is doubtful beside that
    let vest = built_with(&[("part.undergarment.at", "{ along = \"-30 cm\" }")]);
    assert!(part_at(&vest, "undergarment").along_m == -0.30);
    assert!(vest.uncertain_places().all(|input| input.estimate.doubt.unwrap().half_width > 0.0));
}

#[test]
fn suit_and_wing_say_where_their_gas_is() {
    let built = built_with(&[("suit.gas_at", "{ along = \"-50 ± 10 cm\", up = \"5 cm\" }"), ("wing.gas_at", "tail")]);
    let rig = built.scenario.rig();
    assert!(near(rig.suit.unwrap().at().unwrap(), Point::new(-0.50, 0.0, 0.05)));
    assert!(near(rig.wing.unwrap().at().unwrap(), part_at(&built_with(&[("ballast[1].at", "tail")]), "lead")));
    assert_eq!(place_input(&built, "suit.gas_at.along").label, "gas of the suit, along");
}

#[test]
fn cylinders_lie_as_told() {
    let lie = |sets: &[(&str, &str)]| lie_of(&built_with(sets), 0);
    let usual = lie(&[]);
    assert!(usual.valve.left_m == 0.0 && usual.valve.up_m > 0.2, "on the back: {usual:?}");
    let word = |word: &str| lie(&[("cylinder.back.at", word)]).valve;
    assert!(near(word("back"), usual.valve));
    assert!(word("left side").left_m > 0.25 && word("right side").left_m == -word("left side").left_m);
    assert!(word("left stage").up_m < 0.0 && near(word("stage"), word("left stage")), "the first is on the left");
    let told =
        lie(&[("cylinder.back.at", "{ along = \"-9 cm\", left = \"25 cm\" }"), ("cylinder.back.length", "64.5 cm")]);
    assert!((told.valve.along_m + 0.09).abs() < NANOMETRE_M && (told.valve.left_m - 0.25).abs() < NANOMETRE_M);
    assert!(told.valve.up_m == usual.valve.up_m && (told.length_m - 0.645).abs() < NANOMETRE_M);
    // a size knows its length
    assert!((0.5..0.7).contains(&usual.length_m));
}

/// The plan with two cylinders at the sides in place of the one on the back.
fn pair(at: &str) -> Built {
    let text = PLAN.replace(
        "size = \"steel 12 L 232 bar\"",
        &format!("size = \"aluminium 11 L 207 bar\"\ncount = 2\nmanifold = false\n{at}"),
    );
    build(&text)
}

#[test]
fn a_pair_lies_on_both_sides() {
    for at in [
        "",
        "at = \"side\"",
        "at = { left = \"26 cm\" }",
        "at = { along = \"-12 ± 3 cm\", left = \"26 cm\", up = \"2 cm\" }\nlength = \"65 ± 1 cm\"",
    ] {
        let built = pair(at);
        let (one, two) = (lie_of(&built, 0), lie_of(&built, 1));
        assert!(one.valve.left_m > 0.2 && two.valve.left_m == -one.valve.left_m, "{at}: {one:?} {two:?}");
        assert_eq!(
            (one.valve.along_m, one.valve.up_m, one.length_m),
            (two.valve.along_m, two.valve.up_m, two.length_m),
            "{at}"
        );
        // what is said of both is asked once
        let paths: Vec<String> = built.places.iter().map(|input| input.path.to_string()).collect();
        let once = |path: &str| paths.iter().filter(|other| *other == path).count();
        assert!(once("cylinder[1].length") == 1 && once("cylinder[1].at.left") <= 1, "{at}: {paths:?}");
    }
    let stages = pair("at = \"stage\"");
    assert!(lie_of(&stages, 0).valve.left_m > 0.0 && lie_of(&stages, 1).valve.left_m < 0.0);
}

// what hangs on a cylinder pulls at its valve, wherever it would be worn
#[test]
fn what_hangs_on_a_cylinder_is_at_its_valve() {
    let plan = Plan::demonstration(&[]).unwrap().build().unwrap();
    let stage = plan.scenario.rig().cylinders.iter().find(|body| body.name() == "fifty").unwrap();
    assert_eq!(stage.rigging().iter().map(|part| part.at).collect::<Vec<_>>(), [None]);
    // unless it says otherwise itself
    let own = Plan::demonstration(&[(
        "part.regulator.at".into(),
        "{ along = \"-3 cm\", up = \"1 cm\", left = \"2 cm\" }".into(),
    )]);
    let own = own.unwrap().build().unwrap();
    let stage = own.scenario.rig().cylinders.iter().find(|body| body.name() == "fifty").unwrap();
    assert!(near(stage.rigging()[0].at.unwrap().mass, Point::new(-0.03, 0.02, 0.01)));
    // typical gear too: a regulator set for each cylinder that goes
    let short = Plan::load("profiles/ten-lines.toml").unwrap().build().unwrap();
    let hung = short.scenario.rig().cylinders.iter().flat_map(|body| body.rigging());
    assert!(hung.into_iter().all(|part| part.at.is_none()));
}

#[test]
fn posture_bends_the_knees() {
    let at = |posture: &str| {
        let built = built_with(&[("diver.posture", posture)]);
        (part_at(&built, "fins").along_m, built.stance)
    };
    let (straight_m, stance) = at("straight");
    assert_eq!(stance.posture, Posture::Straight);
    let (bent_m, bent) = at("level, knees bent");
    assert!(bent.posture == Posture::KneesBent && bent_m > straight_m + 0.1, "{bent_m} {straight_m}");
    assert_eq!(built_with(&[]).stance, bent, "unless stated");
    // with bent knees it is less sure where they are
    let doubt_m = |posture: &str| {
        let built = built_with(&[("diver.posture", posture)]);
        let fins = built.places.iter().find(|input| input.label == "fins, along").unwrap();
        fins.estimate.doubt.unwrap().half_width
    };
    assert!(doubt_m("level, knees bent") > 2.0 * doubt_m("straight"));
}

#[test]
fn the_body_is_where_its_segments_are() {
    let of = |sets: &[(&str, &str)]| {
        let built = built_with(sets);
        let body = built.scenario.rig().parts[0].clone();
        (body.at.unwrap(), built.stance, body.bulk(101_325.0))
    };
    let (at, stance, bulk) = of(&[]);
    let by_segments = stance.centres(bulk.mass_kg, bulk.volume_m3);
    assert!(near(at.mass, by_segments.mass) && near(at.volume, by_segments.volume));
    // as written it is legs straight; what bent knees change stays
    let (told, ..) = of(&[("diver.buoyancy_ahead", "2 ± 0.5 cm"), ("diver.buoyancy_above", "0 cm")]);
    let straight = Stance { posture: Posture::Straight, ..stance }.centres(bulk.mass_kg, bulk.volume_m3);
    let usual = straight.volume - straight.mass;
    let moved = told.volume - at.volume;
    assert!(near(moved, Point::new(0.02 - usual.along_m, 0.0, -usual.up_m)), "{moved:?}");
    assert!(near(told.mass, at.mass));
    assert_eq!(of(&[("diver.sex", "woman")]).1.shape, Shape::Woman);
}

// one table place, one doubt: a diver whose belt is lower has everything on it lower
#[test]
fn things_at_one_place_move_together() {
    let text = PLAN.replace(
        "[wing]",
        "[[ballast]]\nname = \"second\"\nmass = \"1 kg\"\n\n[[part]]\nname = \"knife\"\nmass = \"0.3 kg\"\nvolume = \"0.1 L\"\n\n\
         [[part]]\nname = \"pouch\"\nmass = \"0.3 kg\"\nvolume = \"0.1 L\"\nat = \"belt\"\n\n\
         [[ballast]]\nname = \"own\"\nmass = \"1 kg\"\nat = { along = \"-40 ± 2 cm\" }\n\n[wing]",
    );
    let plan = Plan::parse(&text, "plan.toml", "").unwrap();
    let built = plan.build().unwrap();
    let belts: Vec<usize> = built
        .uncertain_places()
        .enumerate()
        .filter(|(_, input)| input.label == "belt, along")
        .map(|(i, _)| i)
        .collect();
    let [belt] = belts[..] else { panic!("one doubt for all at the belt: {belts:?}") };
    let mut places = built.central_places();
    places[belt] += 0.02;
    let moved = plan.build_placed(&built.central(), &places, &built).unwrap();
    let on = |name: &str| moved.rig().parts.iter().find(|part| part.name == name).unwrap().at.unwrap().mass;
    for name in ["lead", "second", "knife", "pouch"] {
        assert!(near(on(name), part_at(&built, name) + Point::new(0.02, 0.0, 0.0)), "{name}");
    }
    // and nothing else
    let on_belt = ["lead", "second", "knife", "pouch"];
    for part in built.scenario.rig().parts.iter().filter(|part| !on_belt.contains(&part.name.as_str())) {
        assert!(near(on(&part.name), part.at.unwrap().mass), "{}", part.name);
    }
}

#[test]
fn a_name_of_several_things_is_between_their_places() {
    let built = Plan::demonstration(&[]).unwrap().build().unwrap();
    let alone = |name: &str| {
        let text = PLAN.replace("name = \"harness\"", &format!("name = \"{name}\""));
        part_at(&build(&text), name).along_m * built.stance.stature_m / build(&text).stance.stature_m
    };
    let mean_m = (alone("hood") + alone("gloves") + alone("boots")) / 3.0;
    let there = part_at(&built, "hood, gloves, boots");
    // statures of both divers differ, and with them nothing but the scale
    assert!((there.along_m - mean_m).abs() < 1e-6, "{there:?} {mean_m}");
    let input = built.places.iter().find(|input| input.label == "hood, gloves, boots, along").unwrap();
    // folded arms reach as far headward as the hood
    let half_m = 0.5 * (alone("hood").max(alone("gloves")) - alone("boots"));
    assert!((input.estimate.doubt.unwrap().half_width - half_m).abs() < 1e-6, "{input:?}");
    assert!(input.note.as_deref().unwrap().contains("lists several things"), "{input:?}");
}

#[test]
fn drawn_at_the_middle_it_is_the_plan() {
    for path in plans() {
        let plan = Plan::load(&path).unwrap();
        let built = plan.build().unwrap();
        let drawn = plan.build_draw(&built.central(), &built).unwrap();
        let placed = plan.build_placed(&built.central(), &built.central_places(), &built).unwrap();
        assert!(drawn == placed && drawn.rig() == built.scenario.rig(), "{}", path.display());
        // a number too few or too many is refused
        let mut places = built.central_places();
        places.push(0.0);
        assert!(plan.build_placed(&built.central(), &places, &built).is_err());
    }
}

/// All numbers of a result but those of the trim, and what echoes the plan.
fn without_trim(mut value: Value) -> Value {
    fn strip(value: &mut Value) {
        match value {
            Value::Object(map) => {
                map.retain(|key, _| !key.contains("trim") || key.contains("lung"));
                map.values_mut().for_each(strip);
            }
            Value::Array(list) => list.iter_mut().for_each(strip),
            _ => {}
        }
    }
    strip(&mut value);
    for key in ["sets", "plan", "changed", "source", "notes"] {
        value.as_object_mut().unwrap().remove(key);
    }
    value
}

// where things are bears on the trim alone
#[test]
fn places_change_no_weight() {
    let run = |more: &[&str]| {
        let mut args = vec!["run", "profiles/cold-trimix.toml", "--json", "--no-files"];
        args.extend(more);
        without_trim(json(&args))
    };
    let elsewhere = [
        "--set",
        "ballast[1].at=ankles",
        "--set",
        "ballast[2].at={along=\"-45 cm\"}",
        "--set",
        "cylinder.fifty.at=right side",
        "--set",
        "cylinder.back.length=70 cm",
        "--set",
        "wing.gas_at=tail",
        "--set",
        "suit.gas_at={along=\"-70 ± 20 cm\"}",
        "--set",
        "diver.posture=straight",
        "--set",
        "diver.buoyancy_ahead=2 cm",
        "--set",
        "trim.hold=5 N·m",
        "--set",
        "part.fins.at=head",
    ];
    let (here, there) = (run(&[]), run(&elsewhere));
    let difference = differing(&here, &there, String::new());
    assert!(difference.is_empty(), "{difference:#?}");
}

/// Pointers at which two values differ.
fn differing(one: &Value, two: &Value, at: String) -> Vec<String> {
    match (one, two) {
        (Value::Object(one), Value::Object(two)) if one.keys().eq(two.keys()) => {
            one.iter().flat_map(|(key, value)| differing(value, &two[key], format!("{at}/{key}"))).collect()
        }
        (Value::Array(one), Value::Array(two)) if one.len() == two.len() => one
            .iter()
            .zip(two)
            .enumerate()
            .flat_map(|(i, (one, two))| differing(one, two, format!("{at}/{i}")))
            .collect(),
        _ if one == two => Vec::new(),
        _ => vec![format!("{at}: {one} {two}")],
    }
}

#[test]
fn changes_on_the_command_line_reach_places() {
    for (set, expected) in [
        ("ballast[1].at=tail", None),
        ("ballast.lead.at={along=\"-45 cm\"}", Some("-45.0 cm")),
        ("ballast[1].at={along=\"-45 ± 3 cm\", up=\"4 cm\"}", Some("± 3.0")),
        ("trim.hold=8 ± 2 N·m", Some("8 N·m")),
        ("cylinder.back.at=left side", Some("valve, left side, along")),
        ("trim.place=[{ at = \"belt\", most = \"6 kg\" }, { at = \"tail\" }]", None),
    ] {
        let done = Cli::new(&["check", "plan.toml", "--set", set]).env("COLUMNS", "100").plan(PLAN).ok().stdout;
        let done = done.replace('−', "-");
        assert!(expected.is_none_or(|expected| done.contains(expected)), "{set}: {done}");
    }
    // two changes of one key in a list: the later
    let twice = built_with(&[
        ("ballast[1].at", "tail"),
        ("ballast[1].at", "{ along = \"-45 cm\" }"),
        ("ballast[1].at.along", "-50 cm"),
    ]);
    assert!((part_at(&twice, "lead").along_m + 0.50).abs() < NANOMETRE_M);
    let refused = Cli::new(&["check", "plan.toml", "--set", "ballast[1].at=tial"]).plan(PLAN).refused();
    assert!(
        refused.contains("\"tial\" is no place of the list") && refused.contains("did you mean \"tail\""),
        "{refused}"
    );
}

#[test]
fn plans_side_by_side_and_students_have_places_too() {
    let done = Cli::new(&["compare", "plan.toml", "--set", "ballast[1].at=tail", "other.toml"])
        .plan(PLAN)
        .file("other.toml", PLAN);
    let done = done.run();
    assert_eq!(done.code, 0, "{}", done.stderr);
    let class = include_str!("../../profiles/class.toml").replace(
        "[[student]]\nname = \"Ben\"",
        "[[student]]\nname = \"Zoe\"\ndiver = { mass = \"61 kg\", volume = \"61 L\", posture = \"straight\" }\nwing = { gas_at = \"tail\" }\n\
         ballast = [{ name = \"belt weight\", mass = \"2 kg\", at = { along = \"-40 cm\" } }]\ntrim = { hold = \"6 N·m\" }\n\n\
         [[student]]\nname = \"Ben\"",
    );
    assert!(class.contains("Zoe"));
    let class = Class::parse(&class, "class.toml", Path::new("profiles")).unwrap();
    let zoe = class.plan((0..class.len()).find(|i| class.student(*i) == "Zoe").unwrap()).unwrap().build().unwrap();
    assert!((part_at(&zoe, "belt weight").along_m + 0.40).abs() < NANOMETRE_M);
    assert_eq!((zoe.stance.posture, zoe.trim.hold_nm), (Posture::Straight, 6.0));
}

#[test]
fn check_shows_where_things_are() {
    let check = |more: &[&str], columns: &str| {
        let args: Vec<&str> = ["check", "plan.toml"].iter().chain(more).copied().collect();
        let text = PLAN.replace("ditchable = true", "ditchable = true\nat = { along = \"-42 ± 3 cm\" }");
        Cli::new(&args).env("COLUMNS", columns).plan(&text).ok().stdout
    };
    let places = |text: &str| text[text.find("Where things are").expect("the places")..].to_owned();
    insta::assert_snapshot!("check_places", places(&check(&[], "100")));
    insta::assert_snapshot!("check_places_us_80", places(&check(&["--units", "us"], "80")));
    let narrow = places(&check(&[], "60"));
    assert!(narrow.lines().all(|line| line.chars().count() <= 60), "{narrow}");
}
