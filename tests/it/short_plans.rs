//! Plans of a few lines: typical figures for what they leave out, a dive by depth and time, guesses.

use lightpoint::internals::answer::{LeadTrials, Pieces};
use lightpoint::internals::estimate::{Input, Origin, Shape};
use lightpoint::internals::plan::starter::{Cylinders, Starter, Suit, Units};
use lightpoint::internals::plan::{Built, Note, Plan, ProblemCode};
use lightpoint::internals::rig::Role;
use lightpoint::internals::sim;
use lightpoint::{BallastFacts, Estimate};

use crate::command::Cli;

/// The plan of ten lines, with a suit of some kind, and more about the diver.
fn ten_lines(kind: &str, diver: &str) -> String {
    format!(
        "title = \"Ten lines (invented)\"\n[diver]\nmass = \"80 kg\"\n{diver}\n[suit]\nkind = \"{kind}\"\n[[cylinder]]\n\
         size = \"steel 12 L 232 bar\"\ngas = \"air\"\nfill = \"200 bar\"\n[dive]\ndepth = \"18 m\"\ntime = \"30 min\"\n"
    )
}

fn plan(text: &str) -> Plan {
    Plan::parse(text, "plan.toml", "").unwrap_or_else(|problems| panic!("{problems}"))
}

fn built(text: &str) -> Built {
    plan(text).build().unwrap_or_else(|problems| panic!("{problems}"))
}

fn codes(text: &str) -> Vec<ProblemCode> {
    let found = Plan::parse(text, "plan.toml", "").and_then(|plan| plan.build().map(drop));
    found.map_or_else(|problems| problems.list.iter().map(|problem| problem.code).collect(), |()| Vec::new())
}

fn input<'b>(built: &'b Built, path: &str) -> &'b Input {
    built.inputs.iter().find(|input| input.path == path).unwrap_or_else(|| panic!("no {path}"))
}

fn parts(built: &Built) -> Vec<&str> {
    built.scenario.rig().parts.iter().map(|part| part.name.as_str()).collect()
}

/// Half-width for 95 % of the least lead, kg, and the least lead.
fn least(text: &str) -> (f64, f64) {
    let (plan, built) = (plan(text), built(text));
    let trace = sim::run(&built.scenario).unwrap();
    let trials = LeadTrials::of(&plan, &built, &trace).unwrap();
    let bounds = lightpoint::lead_bounds(&built.scenario).unwrap();
    (trials.half_width_kg(), bounds.least_kg)
}

/// What a plan in ten lines leaves open. The numbers were worked out in quadrature from the doubts of the tables, apart from
/// this program, as lift: ± 3.6 kg in a wet suit of 5 mm, 3.8 in 7 mm, 5.6 to 6.0 in a dry one, the body known by its mass
/// alone; ± 2.8 and 5.3 with sex, height and age. A kilogram of lead pulls 0.91 kg in the sea, so the lead is as much wider.
/// They are sums of a few rounded doubts, at the surface and for 75 kg, with ± 4 and ± 4.5 kg for a dry suit's net lift; here its
/// gas has the ± 4.5 and ± 5 L of the table and has grown with 80 kg, foam is squeezed at the last stop, and water and all
/// small gear are in it: tolerance 0.5 kg.
#[test]
fn a_plan_in_ten_lines_is_as_wide_as_it_must_be() {
    let known = "sex = \"man\"\nheight = \"1.80 m\"\nage = 40";
    for (kind, diver, low_kg, high_kg) in [
        ("wet 5 mm", "", 3.6, 3.6),
        ("wet 7 mm", "", 3.8, 3.8),
        ("dry membrane light", "", 5.6, 6.0),
        ("dry membrane heavy", "", 5.6, 6.0),
        ("wet 5 mm", known, 2.8, 2.8),
        ("dry membrane light", known, 5.3, 5.3),
    ] {
        let (half_width_kg, least_kg) = least(&ten_lines(kind, diver));
        println!("{kind}, {diver:?}: least {least_kg:.2} ± {half_width_kg:.2} kg");
        // 1 − 1025.8/11 340 of lead in sea water of 15 °C
        let lift_kg = 0.91 * half_width_kg;
        assert!(lift_kg > low_kg - 0.5 && lift_kg < high_kg + 0.5, "{kind}, {diver}: {half_width_kg}");
    }
}

#[test]
fn everything_left_out_is_typical_and_listed() {
    let built = built(&ten_lines("wet 7 mm", ""));
    for path in [
        "site.salinity",
        "site.temperature",
        "diver.in_water",
        "suit.foam.volume",
        "suit.density",
        "wing.in_water",
        "wing.capacity",
        "breathing.bottom",
        "dive.descent_speed",
        "dive.ascent_speed",
        "dive.last_stop",
        "gear.\"rubber fins\".in_water",
        "gear.\"regulator set\".in_water",
    ] {
        let input = input(&built, path);
        assert_eq!(input.origin, Origin::Typical, "{path}");
        let source = input.note.as_deref().expect("a source");
        assert!(source.starts_with("typical") || source == "common practice", "{path}: {source}");
    }
    // the doubts are normal ones for 95 %
    let shape = |path: &str| input(&built, path).estimate.doubt.unwrap().shape;
    assert_eq!(shape("diver.in_water"), Shape::Normal { coverage_frac: 0.95 });
    // one diver's rates err together
    assert_eq!(input(&built, "breathing.bottom").group.as_deref(), Some("breathing"));
    assert_eq!(input(&built, "breathing.stop").group.as_deref(), Some("breathing"));
    assert!(built.notes.contains(&Note::NoSite));
    assert_eq!(built.scenario.rig().cylinders[0].name(), "back");
    assert_eq!(
        parts(&built),
        ["diver", "steel plate and harness", "rubber fins", "mask", "regulator set", "suit", "wing (empty)"]
    );
}

/// The dive of the built plan as (end, depth), closed form: 18 m/min down, 9 m/min up.
fn course(text: &str) -> Vec<(f64, f64)> {
    built(text).scenario.profile().legs().iter().map(|leg| (leg.end_s, leg.end_m)).collect()
}

#[track_caller]
fn same(found: &[(f64, f64)], expected: &[(f64, f64)]) {
    assert_eq!(found.len(), expected.len(), "{found:?}");
    for (a, b) in found.iter().zip(expected) {
        assert!((a.0 - b.0).abs() < 1e-6 && (a.1 - b.1).abs() < 1e-9, "{found:?}");
    }
}

fn dive(keys: &str) -> String {
    let text = ten_lines("wet 7 mm", "");
    let at = text.find("[dive]").unwrap();
    format!("{}[dive]\n{keys}\n", &text[..at])
}

#[test]
fn depth_and_time_are_a_dive() {
    let usual = course(&dive("depth = \"30 m\"\ntime = \"25 min\""));
    let (to_stop_s, up_s) = (25.0 / 9.0 * 60.0, 5.0 / 9.0 * 60.0);
    let at_stop_s = 1500.0 + to_stop_s;
    let expected = [(100.0, 30.0), (1500.0, 30.0), (at_stop_s, 5.0), (at_stop_s + 180.0, 5.0)];
    same(&usual[..4], &expected);
    same(&usual[4..], &[(at_stop_s + 180.0 + up_s, 0.0)]);
    assert_eq!(built(&dive("depth = \"30 m\"\ntime = \"25 min\"")).scenario.last_stop_m(), 5.0);
    // stops in any order, the minutes without the way
    let stops = "depth = \"30 m\"\ntime = \"25 min\"\nstops = [\"6 m 10 min\", \"9 m 3 min\"]";
    let listed = course(&dive(stops));
    let at_nine_s = 1500.0 + 21.0 / 9.0 * 60.0;
    let at_six_s = at_nine_s + 180.0 + 20.0;
    same(
        &listed[2..],
        &[
            (at_nine_s, 9.0),
            (at_nine_s + 180.0, 9.0),
            (at_six_s, 6.0),
            (at_six_s + 600.0, 6.0),
            (at_six_s + 640.0, 0.0),
        ],
    );
    assert_eq!(built(&dive(stops)).scenario.last_stop_m(), 6.0);
    // speeds of its own, a last stop of its own, no stop at all, no deeper than the usual stop, all the time on the way down
    let own = "depth = \"20 m\"\ntime = \"10 min\"\ndescent_speed = \"10 m/min\"\nascent_speed = \"7 m/min\"\nlast_stop = \"6 m\"";
    same(&course(&dive(own)), &[(120.0, 20.0), (600.0, 20.0), (720.0, 6.0), (900.0, 6.0), (900.0 + 360.0 / 7.0, 0.0)]);
    same(
        &course(&dive("depth = \"18 m\"\ntime = \"5 min\"\nstops = []")),
        &[(60.0, 18.0), (300.0, 18.0), (420.0, 0.0)],
    );
    same(&course(&dive("depth = \"4.5 m\"\ntime = \"5 min\"")), &[(15.0, 4.5), (300.0, 4.5), (330.0, 0.0)]);
    same(&course(&dive("depth = \"18 m\"\ntime = \"1 min\"\nstops = []")), &[(60.0, 18.0), (180.0, 0.0)]);
}

/// The same dive by its legs is the same dive, by true depths and by those of an instrument.
#[test]
fn a_short_dive_is_the_dive_of_its_legs() {
    for depths in ["true", "instrument"] {
        let short = dive(&format!("depths = \"{depths}\"\ndepth = \"27 m\"\ntime = \"20 min\"\nstops = \"6 m 5 min\""));
        let legs = dive(&format!(
            "depths = \"{depths}\"\nlast_stop = \"6 m\"\n[[dive.leg]]\nto = \"27 m\"\nspeed = \"18 m/min\"\n[[dive.leg]]\n\
             stay = \"18.5 min\"\n[[dive.leg]]\nto = \"6 m\"\nspeed = \"9 m/min\"\n[[dive.leg]]\nstay = \"5 min\"\n\
             [[dive.leg]]\nto = \"0 m\"\nspeed = \"9 m/min\"\n"
        ));
        let (short, legs) = (built(&short).scenario, built(&legs).scenario);
        assert_eq!(short.last_stop_m(), legs.last_stop_m(), "{depths}");
        for (a, b) in short.profile().legs().iter().zip(legs.profile().legs()) {
            assert!((a.end_s - b.end_s).abs() < 1e-6 && (a.end_m - b.end_m).abs() < 1e-9, "{depths}: {a:?} {b:?}");
            assert_eq!((a.source, a.rate_m3_s), (b.source, b.rate_m3_s), "{depths}");
        }
    }
}

#[test]
fn a_short_dive_that_is_none_is_refused() {
    use ProblemCode as P;
    let bad = |keys: &str| codes(&dive(keys));
    let good = "depth = \"30 m\"\ntime = \"25 min\"\n";
    assert_eq!(bad(good), []);
    assert_eq!(bad("depth = \"30 m\""), [P::MissingKey]);
    assert_eq!(bad("time = \"30 min\""), [P::MissingKey]);
    assert_eq!(bad("depth = \"30 m\"\ntime = \"1.5 min\""), [P::Time]);
    assert_eq!(bad("depth = \"30 m\"\ntime = \"0 min\""), [P::Time]);
    assert_eq!(bad("depth = \"30 m\"\ntime = \"-5 min\""), [P::Time]);
    assert_eq!(bad("depth = \"0 m\"\ntime = \"5 min\""), [P::Depth]);
    assert_eq!(bad("depth = \"400 m\"\ntime = \"50 min\""), [P::Depth]);
    assert_eq!(bad("depth = \"30 ± 1 m\"\ntime = \"25 min\""), [P::Doubt]);
    assert_eq!(bad("depth = \"30 m (guess)\"\ntime = \"25 min\""), [P::Doubt]);
    for stop in ["6 m", "6 m 0 min", "0 m 3 min", "30 m 3 min", "31 m 3 min", "6 m 3 min 2", "6 kg 3 min", "-6 m 3 min"]
    {
        let codes = bad(&format!("{good}stops = \"{stop}\""));
        assert!(codes.contains(&P::Stop) || codes == [P::Depth], "{stop}: {codes:?}");
    }
    assert_eq!(bad(&format!("{good}stops = [\"6 m 3 min\", \"6 m 4 min\"]")), [P::Stop]);
    assert_eq!(bad(&format!("{good}stops = 6")), [P::WrongType]);
    assert_eq!(bad(&format!("{good}[[dive.leg]]\nstay = \"5 min\"")), [P::WhichKeys]);
    assert_eq!(bad(&format!("{good}start = \"3 m\"")), [P::WhichKeys]);
    assert_eq!(bad(&format!("{good}ascent_speed = \"0 m/min\"")), [P::OutOfRange]);
    assert_eq!(bad(&format!("{good}breathe = \"bakc\"")), [P::UnknownCylinder]);
    assert_eq!(bad(&format!("{good}last_stop = \"40 m\"")), [P::LastStop]);
    let legs = "[[dive.leg]]\nto = \"9 m\"\nover = \"1 min\"\n[[dive.leg]]\nto = \"0 m\"\nover = \"1 min\"\n";
    assert_eq!(bad(&format!("stops = \"6 m 3 min\"\n{legs}")), [P::WhichKeys]);
    assert_eq!(bad(&format!("breathe = \"back\"\n{legs}")), [P::WhichKeys]);
}

#[test]
fn what_is_written_wins_over_the_kind() {
    let suit = |keys: &str| {
        let text = ten_lines("$KIND", "height = \"1.80 m\"").replace("kind = \"$KIND\"", keys);
        built(&text)
    };
    let of_suit = |built: &Built| -> Vec<(String, f64)> {
        let parts = built.scenario.rig().parts.iter().filter(|part| part.role == Role::Suit);
        parts.map(|part| (part.name.clone(), part.mass_kg())).collect()
    };
    let kept_l = |built: &Built| built.scenario.rig().suit.unwrap().kept_m3() * 1e3;
    let light = suit("kind = \"dry membrane light\"");
    assert_eq!(of_suit(&light), [("suit".into(), 3.5), ("undergarment".into(), 1.2)]);
    // 9.5 L of 75 kg and 1.75 m, grown with √(180·80/(175·75))
    assert!((kept_l(&light) - 9.5 * (180.0 * 80.0 / (175.0 * 75.0f64)).sqrt()).abs() < 1e-9);
    let own = suit("kind = \"dry membrane light\"\ngas_volume = \"8 L\"\nmass = \"4 kg\"\nundergarment = \"1.7 kg\"");
    assert_eq!(of_suit(&own), [("suit".into(), 4.0), ("undergarment".into(), 1.7)]);
    assert!((kept_l(&own) - 8.0).abs() < 1e-12);
    // half-way between light and heavy underwear
    let half = suit("kind = \"dry membrane\"\nundergarment = \"1.7 kg\"");
    assert!((kept_l(&half) / kept_l(&light) - 11.0 / 9.5).abs() < 1e-9);
    let neoprene = suit("kind = \"dry neoprene\"");
    assert!((of_suit(&neoprene).iter().map(|(_, kg)| kg).sum::<f64>() - 6.2).abs() < 1e-9, "5 kg and light underwear");
    let sheet =
        suit("kind = \"wet 7 mm\"\ndensity = \"250 kg/m3\"\nfoam = { volume = \"8 L\", gas_fraction = \"70 %\" }");
    assert_eq!(of_suit(&sheet), [("suit".into(), 2.0)]);
    assert_eq!(of_suit(&suit("kind = \"wet 7 mm\"\nmass = \"3.1 kg\"")), [("suit".into(), 3.1)]);
    assert_eq!(of_suit(&suit("kind = \"swimwear\"")), []);
    assert!(suit("kind = \"swimwear\"").scenario.rig().suit.is_none());
    for (keys, code) in [
        ("kind = \"wet\"", ProblemCode::UnknownWord),
        ("kind = \"dry membrane\"", ProblemCode::MissingKey),
        ("kind = \"wet 7 mm\"\nundergarment = \"2 kg\"", ProblemCode::WhichKeys),
        ("kind = \"swimwear\"\ngas_volume = \"2 L\"", ProblemCode::WhichKeys),
        ("kind = \"wet 7 mm\"\nsupply = \"back\"", ProblemCode::MissingKey),
    ] {
        let text = ten_lines("$KIND", "").replace("kind = \"$KIND\"", keys);
        assert_eq!(codes(&text), [code], "{keys}");
    }
}

/// Typical gear stands only where a plan lists none, and one word decides otherwise.
#[test]
fn gear_is_typical_only_where_none_is_listed() {
    let short = ten_lines("wet 7 mm", "");
    let has = |text: &str| {
        let built = built(text);
        let told = built.notes.iter().any(|note| matches!(note, Note::TypicalGear(_)));
        let (plate, wing) = (parts(&built).contains(&"steel plate and harness"), built.scenario.rig().wing.is_some());
        assert_eq!(told, plate, "a note where it is, and only there");
        (plate, wing)
    };
    let with = |more: &str| format!("{short}{more}");
    assert_eq!(has(&short), (true, true));
    assert_eq!(has(&format!("gear = \"none\"\n{short}")), (false, false));
    // what goes with the suit, weights, a wing whose capacity alone is known
    assert_eq!(has(&with("[[part]]\nname = \"hood\"\n[[part]]\nname = \"gloves 3 mm\"")), (true, true));
    assert_eq!(has(&with("[[ballast]]\nname = \"belt\"\nmass = \"2 kg\"")), (true, true));
    assert_eq!(has(&with("[wing]\ncapacity = \"14 L\"")), (true, true));
    // a plan that begins to list lists all
    assert_eq!(has(&with("[[part]]\nname = \"rubber fins\"")), (false, false));
    assert_eq!(has(&with("[wing]\nmass = \"1 kg\"\nvolume = \"1 L\"")), (false, true));
    assert_eq!(has(&short.replace("kind = \"wet 7 mm\"", "mass = \"2 kg\"\nvolume = \"6 L\"")), (false, false));
    // and both, if it says so
    let both =
        format!("gear = \"typical\"\n{}", with("[[part]]\nname = \"camera\"\nmass = \"2 kg\"\nvolume = \"2 L\""));
    assert_eq!(has(&both), (true, true));
    assert_eq!(codes(&format!("gear = \"some\"\n{short}")), [ProblemCode::UnknownWord]);
}

#[test]
fn twins_have_their_regulators_and_stages_take_theirs_along() {
    let twin = built(&ten_lines("wet 7 mm", "").replace("steel 12 L 232 bar", "twin steel 12 L 232 bar"));
    assert!(parts(&twin).contains(&"twin regulator set"));
    let stage = "[[cylinder]]\nname = \"stage\"\nsize = \"aluminium 80 cuft\"\ngas = \"nitrox 50\"\nfill = \"200 bar\"\nremovable = true\n";
    let text = ten_lines("wet 7 mm", "").replace("size = \"steel", "name = \"back\"\nsize = \"steel");
    let built = built(&text.replace("[dive]", &format!("{stage}[dive]")));
    let rig = built.scenario.rig();
    assert!(rig.cylinders[0].rigging().is_empty() && rig.cylinders[1].rigging().len() == 1);
    // breathed is the one called back
    assert!(built.scenario.profile().legs().iter().all(|leg| leg.source.contains(0)));
}

#[test]
fn parts_are_known_by_their_names() {
    let part = |keys: &str| format!("{}[[part]]\n{keys}\n", ten_lines("wet 7 mm", ""));
    let built = built(&part("name = \"Canister light\"\ncount = 2"));
    let light = built.scenario.rig().parts.iter().find(|part| part.name == "Canister light").unwrap();
    assert_eq!((light.count, light.mass_kg()), (2, 4.0));
    assert_eq!(input(&built, "part[1].in_water").origin, Origin::Typical);
    // figures of its own are as they always were
    let own = self::built(&part("name = \"mask\"\nin_water = \"0.2 kg\""));
    assert!(own.notes.iter().any(|note| matches!(note, Note::BareReadings(names) if names == &["mask"])));
    let near = Plan::parse(&part("name = \"ruber fins\""), "plan.toml", "").unwrap().build().unwrap_err().to_string();
    assert!(near.contains("did you mean \"rubber fins\"?"), "{near}");
    assert_eq!(codes(&part("name = \"camera\"")), [ProblemCode::WhichKeys]);
}

#[test]
fn a_draw_of_the_central_values_is_the_plan_and_far_ones_are_dives() {
    let sidemount = ten_lines("dry neoprene", "sex = \"woman\"\nheight = \"1.65 m\"");
    for text in [
        ten_lines("wet 5 mm two-piece", ""),
        ten_lines("dry membrane heavy", "sex = \"man\"\nheight = \"1.80 m\"\nage = 52"),
        format!("{sidemount}[[part]]\nname = \"hood 7 mm\"\n[[part]]\nname = \"boots\"\n"),
        ten_lines("swimwear", "").replace("80 kg", "80 ± 2 kg (guess)"),
    ] {
        let (plan, built) = (plan(&text), built(&text));
        let drawn = plan.build_draw(&built.central(), &built).unwrap();
        assert_eq!(drawn.segments(), built.scenario.segments());
        assert_eq!(drawn.rig().parts, built.scenario.rig().parts);
        assert_eq!(drawn.rig().suit, built.scenario.rig().suit);
        // each figure alone, 3.5 standard deviations away: one in 2 000
        for (i, input) in built.uncertain().enumerate() {
            let doubt = input.estimate.doubt.unwrap();
            let far = match doubt.shape {
                Shape::Normal { .. } => 3.5 / 1.96 * doubt.half_width,
                _ => doubt.half_width,
            };
            for value in [input.estimate.value - far, input.estimate.value + far] {
                let mut values = built.central();
                values[i] = value;
                let dive = plan.build_draw(&values, &built);
                assert!(dive.is_ok(), "{} at {value}: {:?}", input.label, dive.err());
            }
        }
    }
}

/// A guess counts as a typical figure, and one that was bettered is none any more.
#[test]
fn guesses_are_told_apart_and_dropped_when_they_are_bettered() {
    let text = ten_lines("wet 7 mm", "volume = \"79.8 ± 0.5 L (guess)\"");
    let built = built(&text);
    let volume = input(&built, "diver.volume");
    assert_eq!(volume.origin, Origin::Typical);
    assert!(volume.note.as_deref().unwrap().contains("guess"));
    assert!(built.notes.iter().any(|note| matches!(note, Note::Guesses(labels) if labels == &["diver, volume"])));
    let index = built.uncertain().position(|input| input.path == "diver.volume").unwrap();
    let better = Estimate::normal(0.0801, 0.0003);
    let calibrated = plan(&text).calibrated(&built, &[(index, better)]);
    assert_eq!(calibrated.written, [index]);
    assert!(calibrated.text.contains("volume = \"80.10 ± 0.30 L (95%)\"") && !calibrated.text.contains("guess"));
    // the body's typical lift becomes a reading of its own, with its water
    let text = ten_lines("wet 7 mm", "");
    let built = self::built(&text);
    let index = built.uncertain().position(|input| input.path == "diver.in_water").unwrap();
    let calibrated = plan(&text).calibrated(&built, &[(index, Estimate::normal(1.5, 0.4))]);
    let again = self::built(&calibrated.text);
    assert_eq!(input(&again, "diver.in_water").origin, Origin::Estimated, "{}", calibrated.text);
    assert_eq!(input(&again, "diver.in_water").estimate.value, 1.5);
}

#[test]
fn the_short_starter_runs_with_every_command() {
    for units in [Units::Metric, Units::Us] {
        for suit in [Suit::Dry, Suit::Wet] {
            for (cylinders, stages) in [(Cylinders::Single, 0), (Cylinders::Twin, 0), (Cylinders::Loop, 1)] {
                let text = Starter { suit, cylinders, stages, units }.short_text().expect("a short one");
                let facts =
                    BallastFacts::of(&plan(&text), &Pieces::Step(0.5)).unwrap_or_else(|e| panic!("{e}\n{text}"));
                assert!(facts.carry.is_withheld(), "typical figures choose no lead");
                assert!(!["$", "<", "|"].iter().any(|left| text.contains(left)), "{text}");
                let written = text.lines().filter(|line| !line.starts_with('#') && !line.starts_with('['));
                // a loop needs its unit, what feeds it, and what is breathed if it fails
                let most = if cylinders == Cylinders::Loop { 26 } else { 10 };
                assert!((8..=most).contains(&written.count()), "{text}");
            }
        }
    }
    let text = ten_lines("wet 7 mm", "");
    for (command, more) in [
        ("check", vec![]),
        ("run", vec!["--no-files"]),
        ("ballast", vec!["--explain"]),
        ("handout", vec![]),
        ("compare", vec!["--set", "suit.kind=wet 5 mm", "--no-files"]),
        ("doubt", vec!["--draws", "2048", "--no-files"]),
    ] {
        let args: Vec<&str> = [command, "plan.toml"].into_iter().chain(more).collect();
        let out = Cli::new(&args).plan(&text).ok().stdout;
        assert!(!out.is_empty(), "{command}");
        if matches!(command, "run" | "ballast") {
            let first = out.lines().nth(2).unwrap();
            assert!(
                first.starts_with("! ") && first.contains("least lead") || first.contains("Not known yet"),
                "{out}"
            );
            let text = out.split_whitespace().collect::<Vec<_>>().join(" ");
            assert!(text.contains(" ± ") && text.contains("First a check in the pool"), "{out}");
            assert!(text.contains("no site is written: the sea at sea level is taken, 35 ± 3 PSU, 15 ± 8 °C"), "{out}");
        }
    }
    let new = Cli::new(&["new", "a.toml", "--short", "--suit", "wet"]).ok();
    assert!(new.read("a.toml").contains("kind = \"wet 5 mm\""));
}
