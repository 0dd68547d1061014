//! What a plan and the files beside it may be written like: units for the reader, names of gases, semicolons, readings of
//! full cylinders, lift of wings, one problem for one slip, bounds on every figure.

use lightpoint::internals::plan::checks::checks_from;
use lightpoint::internals::plan::unit::*;
use lightpoint::internals::plan::written::Written;
use lightpoint::internals::plan::{Built, Plan, ProblemCode, Problems};
use lightpoint::internals::units::{ATMOSPHERE_PA, POUND_KG};

use crate::command::Cli;

const PLAN: &str = include_str!("../command/plan.toml");

fn build(text: &str) -> Result<Built, Problems> {
    Plan::parse(text, "plan.toml", "profiles").and_then(|plan| plan.build())
}

fn problems(text: &str) -> Problems {
    build(text).map(|_| ()).unwrap_err()
}

/// The test's plan with one text in place of another, which must be there.
fn with(old: &str, new: &str) -> String {
    assert!(PLAN.contains(old), "{old}");
    PLAN.replacen(old, new, 1)
}

#[test]
fn the_plan_says_which_units_its_reader_wants() {
    let us = format!("units = \"us\"\n{PLAN}");
    let run = |plan: &str, more: &[&str]| {
        let args: Vec<&str> = ["run", "plan.toml", "--no-files"].iter().chain(more).copied().collect();
        Cli::new(&args).plan(plan).ok().stdout
    };
    assert!(run(&us, &[]).contains(" lb") && run(&us, &[]).contains(" ft"), "the plan's word");
    assert_eq!(run(&us, &[]), run(PLAN, &["--units", "us"]));
    assert_eq!(run(&us, &["--units", "metric"]), run(PLAN, &[]), "the option goes first");
    for command in ["ballast", "check"] {
        let of = |plan: &str, more: &[&str]| {
            let args: Vec<&str> = [command, "plan.toml"].iter().chain(more).copied().collect();
            Cli::new(&args).plan(plan).ok().stdout
        };
        assert_eq!(of(&us, &[]), of(PLAN, &["--units", "us"]), "{command}");
        assert_eq!(of(&us, &["--units", "metric"]), of(PLAN, &[]), "{command}");
        assert_ne!(of(&us, &[]), of(PLAN, &[]), "{command}");
    }
    let told = problems(&format!("units = \"imperial\"\n{PLAN}")).to_string();
    assert!(told.contains("units is \"imperial\", but must be metric or us [unknown-word]"), "{told}");
}

#[test]
fn check_is_in_the_units_asked_for() {
    let us = Cli::new(&["check", "plan.toml", "--units", "us"]).plan(PLAN).ok().stdout;
    // 80 kg are 176.4 lb
    assert!(us.contains("diver, mass") && us.contains("176.4 lb"), "{us}");
    for metric in [" kg", " bar ", " L ", "°C"] {
        assert!(
            !us.lines().take_while(|line| !line.starts_with("[1]")).any(|line| line.contains(metric)),
            "{metric}\n{us}"
        );
    }
}

#[test]
fn a_new_plan_keeps_its_units() {
    let new = Cli::new(&["new", "a.toml", "--units", "us"]).ok();
    let text = new.read("a.toml");
    assert!(text.contains("\nunits = \"us\"\n") && !new.stdout.contains("--units"));
    assert!(Cli::new(&["run", "plan.toml", "--no-files"]).plan(&text).ok().stdout.contains(" lb"));
    let metric = Cli::new(&["new", "a.toml"]).ok();
    assert!(!metric.read("a.toml").contains("\nunits ="));
    // the first thing that all of these say to do
    let first = "weigh your cylinders first of all: empty, in water";
    assert!(text.to_lowercase().contains(first) && metric.stdout.to_lowercase().contains(first));
    let check = Cli::new(&["check", "plan.toml"]).plan(PLAN).ok().stdout;
    assert!(check.contains("Weigh first of all, empty, in water, on a spring scale: "), "{check}");
    let weighed = with("gas = \"nitrox 32\"", "gas = \"nitrox 32\"\nin_water = \"-0.6 kg\"\nread_in = \"pool\"");
    let weighed = Cli::new(&["check", "plan.toml"]).plan(&weighed).ok().stdout;
    assert!(!weighed.contains("Weigh first of all"), "{weighed}");
}

#[test]
fn gases_and_units_as_people_write_them() {
    for gas in ["EAN32", "nitrox32", "Nitrox 32", "eanx 32"] {
        let built = build(&with("gas = \"nitrox 32\"", &format!("gas = \"{gas}\""))).unwrap_or_else(|p| panic!("{p}"));
        assert_eq!(built.scenario.rig().cylinders[0].mix().o2_frac(), 0.32, "{gas}");
    }
    let built = build(&with("gas = \"nitrox 32\"", "gas = \"18/45\"")).unwrap_or_else(|p| panic!("{p}"));
    assert_eq!(built.scenario.rig().cylinders[0].mix().he_frac(), 0.45);
    let si = |text: &str| Written::<Pressure>::parse(text).estimate().ok().map(|estimate| estimate.value);
    assert_eq!(si("200 Bar"), si("200 bar"));
    assert_eq!(si("200 BAR"), si("200 bar"));
    assert_eq!(si("3000 PSI"), si("3000 psi"));
    assert_eq!(Written::<Mass>::parse("2 KG").estimate().unwrap().value, 2.0);
    assert_eq!(Written::<Length>::parse("20 M").estimate().unwrap().value, 20.0);
    // a thousandth or a million: not guessed
    assert!(si("20 mpa").is_none() && si("20 MPa").is_some() && si("20 Mbar").is_none());
}

/// Semicolons between cells and commas in numbers are the same list, profile and checks as commas and points.
#[test]
fn semicolons_and_decimal_commas_are_read() {
    let built = |gear: &str, profile: &str| {
        let dir = tempfile::tempdir().unwrap();
        std::fs::write(dir.path().join("gear.csv"), gear).unwrap();
        std::fs::write(dir.path().join("dive.csv"), profile).unwrap();
        let dive = PLAN.find("[dive]").unwrap();
        let text = format!(
            "gear_list = \"gear.csv\"\n{}[dive]\nprofile = \"dive.csv\"\n[[part]]\npiece = \"lamp, 1,5 W\"\n",
            &PLAN[..dive]
        );
        Plan::parse(&text, "plan.toml", dir.path()).and_then(|plan| plan.build()).unwrap_or_else(|p| panic!("{p}"))
    };
    let points = built(
        "name,mass,in_water,read_in,doubt,note\n\"lamp, 1,5 W\",1.25 kg,-0.42 kg; -0.4 kg,pool,0.05 kg,\"old, 2,5 years\"\n",
        "time_min,depth_m,breathe\n0,0,back\n2.5,20.5,back\n20,20.5,back\n24,0,back\n",
    );
    let commas = built(
        "# a spreadsheet's\nname;mass;in_water;read_in;doubt;note\nlamp, 1,5 W;1,25 kg;\"-0,42 kg; -0,4 kg\";pool;0,05 kg;old, 2,5 years\n",
        "time_min;depth_m;breathe\n0;0;back\n2,5;20,5;back\n20;20,5;back\n24;0;back\n",
    );
    assert_eq!(points.scenario, commas.scenario);
    let notes = |built: &Built| built.inputs.iter().filter_map(|input| input.note.clone()).collect::<Vec<_>>();
    assert_eq!(notes(&points), notes(&commas), "commas of words stay");
    let checks = |text: &str| checks_from(text, "checks.csv", &["back"]).unwrap_or_else(|p| panic!("{p}"));
    assert_eq!(
        checks("depth;outcome;doubt;back;note\n3,5 m;needed -0,4 kg;0,3 kg;40 bar;a, b\n"),
        checks("depth,outcome,doubt,back,note\n3.5 m,needed -0.4 kg,0.3 kg,40 bar,\"a, b\"\n")
    );
    // a thousand with its separator stays refused
    assert!(checks_from("depth;outcome;doubt;back\n3 m;neutral;0,3 kg;1.000,5 bar\n", "c", &["back"]).is_err());
}

#[test]
fn one_slip_is_one_problem() {
    for (old, new) in [("[[cylinder]]", "[[cylinders]]"), ("[wing]", "[wings]"), ("[breathing]", "[breathng]")] {
        let told = problems(&PLAN.replace(old, new));
        assert_eq!(told.list.len(), 1, "{told}");
        assert_eq!(told.list[0].code, ProblemCode::UnknownKey);
    }
    let (cut, rest) = PLAN.split_once("[[dive.leg]]").unwrap();
    let legs = format!("{cut}[[dive.legs]]{}", rest.replace("[[dive.leg]]", "[[dive.legs]]"));
    assert_eq!(problems(&legs).list.len(), 1, "{}", problems(&legs));
    let sets = [("dive.leg.1.to".to_owned(), "20 m".to_owned())];
    let told = Plan::parse_with(PLAN, "plan.toml", "", &sets).unwrap_err().to_string();
    assert!(told.contains("write dive.leg[1].to"), "{told}");
}

/// Two steel cylinders as an encyclopaedia prints them: 16 kg empty and −1.2 kg in water, 19 kg full and −4.3 kg (12 L of
/// 200 bar); 20 kg, −1.4 kg, 23.8 kg, −5.2 kg (15 L). Source: `tests/reference/cylinder_classes.csv`. The full reading
/// gives the empty one. Tolerance 0.35 kg: the page's own gas is 3.1 and 3.8 kg by its readings, 3.0
/// and 3.8 kg by its masses, where air of 200 bar and 20 °C in these capacities has 2.8 and 3.5 kg.
#[test]
fn a_full_reading_is_an_empty_one_with_its_gas() {
    for (litres, mass_kg, empty_kg, full_kg) in [(12.0, 16.0, -1.2, -4.3), (15.0, 20.0, -1.4, -5.2)] {
        let back = |reading: &str| {
            let own = format!(
                "water = \"{litres} L\"\nmass = \"{mass_kg} kg\"\n{reading}\nread_in = \"fresh\"\ngas = \"air\""
            );
            let size = PLAN.lines().find(|line| line.starts_with("size = ")).unwrap();
            let text = with(size, &own).replacen("gas = \"nitrox 32\"\n", "", 1);
            build(&text)
        };
        let lift_kg = |built: Built| {
            let one = &built.scenario.rig().cylinders[0];
            999.1 * one.external_m3() - one.shell_kg()
        };
        let full = format!("in_water = \"{full_kg} kg\"\nread_at = \"200 bar\"");
        let found_kg = lift_kg(back(&full).unwrap_or_else(|p| panic!("{p}")));
        assert!((found_kg - empty_kg).abs() < 0.35, "{litres} L: {found_kg}");
        let empty = format!("in_water = \"{empty_kg} kg\"");
        assert!((lift_kg(back(&empty).unwrap_or_else(|p| panic!("{p}"))) - empty_kg).abs() < 1e-9);
        // the full one without its pressure makes no steel cylinder, and is told so
        let told = back(&format!("in_water = \"{full_kg} kg\"")).map(|_| ()).unwrap_err().to_string();
        assert!(told.contains("makes sense only full") && told.contains("read_at = \""), "{told}");
        // who knows better says so
        assert!(back(&format!("in_water = \"{full_kg} kg\"\nread_at = \"0 bar\"")).is_err(), "no room for its metal");
    }
    let alone = problems(&with("gas = \"nitrox 32\"", "gas = \"nitrox 32\"\nread_at = \"200 bar\"")).to_string();
    assert!(alone.contains("read_at is there without in_water"), "{alone}");
}

/// 40 lb are 18.144 kg and lift as much as 17.70 L of sea water of 1025 kg/m³.
#[test]
fn a_wing_may_be_given_by_its_lift() {
    let capacity = PLAN.lines().find(|line| line.starts_with("capacity = ")).unwrap();
    let litres = |text: &str| {
        let built = build(&with(capacity, &format!("capacity = \"{text}\""))).unwrap_or_else(|p| panic!("{p}"));
        built.scenario.rig().wing.unwrap().capacity_m3() * 1e3
    };
    assert!((litres("40 lb") - 40.0 * POUND_KG / 1.025).abs() < 1e-9);
    assert!((litres("18 kg") - 18.0 / 1.025).abs() < 1e-9);
    assert!((litres("18 ± 2 kg") - 18.0 / 1.025).abs() < 1e-9);
    assert!((litres("18 L") - 18.0).abs() < 1e-9);
    let told = problems(&with(capacity, "capacity = \"18 bar\"")).to_string();
    assert!(told.contains("\"bar\" is not a unit of volume"), "{told}");
    // no other volume is a lift
    assert!(Written::<Volume>::parse("18 kg").estimate().is_err());
}

/// Every figure has an upper bound, and the problem says it.
#[test]
fn impossible_amounts_are_refused_with_their_bound() {
    for (old, new, bound) in [
        ("mass = \"80 kg\"", "mass = \"1e308 kg\"", "must be at most 1000 kg"),
        ("mass = \"80 kg\"", "mass = \"1001 kg\"", "must be at most 1000 kg"),
        ("gas_volume = \"10 ± 2 L\"", "gas_volume = \"1001 L\"", "must be at most 1000 L"),
        ("gas_volume = \"10 ± 2 L\"", "gas_volume = \"10 ± 1e9 L\"", "the doubt of gas volume is more than 1000 L"),
        ("density = \"1.35 ± 0.15 kg/L\"", "density = \"1e-300 kg/L\"", "must be between 10 and 25000 kg/m³"),
        ("in_water = \"1 ± 0.5 kg\"", "in_water = \"-1e9 kg\"", "must be at least -1000 kg"),
    ] {
        let told = problems(&with(old, new)).to_string();
        assert!(told.contains(bound) && told.contains("[out-of-range]"), "{new}: {told}");
    }
    assert!(build(PLAN).unwrap().scenario.water().surface_pa() == ATMOSPHERE_PA);
}

#[test]
fn lead_may_be_counted() {
    let told = |own: &str| Cli::new(&["ballast", "plan.toml", "--own", own]).plan(PLAN).ok().stdout;
    assert_eq!(told("6 x 2 kg"), told("2 kg, 2 kg, 2 kg, 2 kg, 2 kg, 2 kg"));
    assert_eq!(told("3 x 2 kg, 4 x 1 kg"), told("2 kg, 2 kg, 2 kg, 1 kg, 1 kg, 1 kg, 1 kg"));
}

/// Found by machine: a layer thinner than any number of the run ended it.
#[test]
fn a_layer_has_a_thickness() {
    let (site, rest) = (PLAN.find("[site]").unwrap(), PLAN.find("[diver]").unwrap());
    let layers = |from: &str| {
        let layers = format!(
            "[[site.layer]]\nwater = \"fresh\"\ntemperature = \"8 °C\"\n[[site.layer]]\nfrom = \"{from}\"\nwater = \"sea\"\ntemperature = \"8 °C\"\n"
        );
        build(&format!("{}{layers}{}", &PLAN[..site], &PLAN[rest..]))
    };
    assert!(layers("1 cm").is_ok());
    let told = layers("1e-308 m").map(|_| ()).unwrap_err().to_string();
    assert!(told.contains("each at least 1 cm thick [layer-order]"), "{told}");
}
