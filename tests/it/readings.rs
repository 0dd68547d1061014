//! A plan from a list of readings, `new --readings`, and pieces that were read in water but never weighed.

use lightpoint::internals::study::{lead_bounds, lead_pull_frac};
use lightpoint::{Body, Bulk, Plan};

use crate::command::Cli;

/// An invented list.
pub const LIST: &str = "\
piece,in_water,water,pressure,mass,gas,count,note
diver,1.2 ± 0.3 kg,pool,,82 kg,,,swimwear and mask (invented)
wet suit 7 mm,6.1 kg,pool,,,,,
\"plate, harness\",-2.4 kg,pool,,,,,
regulator,-1.1 kg,pool,,1.3 kg,,2,
\"twin steel 12 L 232 bar\",-9.1 kg,fresh,220 bar,,air,,with bands and manifold (invented)
\"stage, aluminium 80 cuft\",1.6 kg,sea,empty,,nitrox 50,,
weights,-3.65 kg,pool,,,,,
";

fn plan_of(list: &str) -> String {
    let done = Cli::new(&["new", "plan.toml", "--readings", "list.csv"]).file("list.csv", list).ok();
    assert!(done.stdout.contains("wrote plan.toml"), "{}", done.stdout);
    done.read("plan.toml")
}

#[test]
fn a_list_becomes_a_plan_that_runs() {
    let done = Cli::new(&["new", "plan.toml", "--readings", "list.csv"]).file("list.csv", LIST).ok();
    let text = done.read("plan.toml");
    insta::assert_snapshot!("readings", text);
    insta::assert_snapshot!("readings_told", done.stdout);
    for command in ["ballast", "check", "run"] {
        let files = ["--no-files"].into_iter().take(usize::from(command == "run"));
        let args: Vec<&str> = [command, "plan.toml"].into_iter().chain(files).collect();
        Cli::new(&args).plan(&text).ok();
    }
    let built = Plan::parse(&text, "plan.toml", "").expect("a plan").build().expect("a dive");
    let rig = built.scenario.rig();
    // lead by its reading: 3.65/(1 − 997/11340) kg; two decimals are written
    let lead_kg: f64 = 3.65 / lead_pull_frac(997.0);
    let ballast = rig.parts.iter().find(|part| part.name == "weights").expect("lead");
    assert!((ballast.mass_kg() - lead_kg).abs() < 0.006, "{} {lead_kg}", ballast.mass_kg());
    // the set was read full: its reading comes back with the gas of 220 bar at 20 °C, which the cylinder is filled with
    let set = &rig.cylinders[0];
    assert_eq!((set.name(), set.count()), ("back", 2));
    let gas_kg = set.gas_kg(built.scenario.filled_mol(0));
    let full_kg = Bulk::new(set.shell_kg() + gas_kg, set.external_m3()).net_kg(999.1);
    assert!((full_kg + 9.1).abs() < 1e-6, "{full_kg}");
    // the suit is foam: its reading at the surface, less at depth
    let suit = rig.parts.iter().find(|part| part.name == "wet suit 7 mm").expect("a suit");
    assert!(matches!(suit.body, Body::Foam { .. }));
    assert!((suit.bulk(101_325.0).net_kg(997.0) - 6.1).abs() < 1e-9);
}

#[test]
fn nothing_but_a_piece_is_enough() {
    let text = plan_of("piece,in_water,water\ncamera,-1.2 kg,pool\n");
    assert!(text.contains("(guess)"), "{text}");
    Cli::new(&["ballast", "plan.toml"]).plan(&text).ok();
    // semicolons and decimal commas, units in the head
    let text = plan_of("piece;in_water_kg;water\ncamera;-1,2;pool\n");
    assert!(text.contains("in_water = \"-1.2 kg ± 0.2 kg (95%)\""), "{text}");
}

/// What is in no list is told with its place, all of it at once; nothing is written.
#[test]
fn bad_lists_are_told() {
    let list = "\
piece,in_water,water,pressure,mass,count
,1 kg,pool,,,
plate,-2.4,pool,,,
fins,-0.3 kg,,,,
buoy,,,,,
suit,5 kg,pool,,,
lead,2 kg,pool,,,
old set,-5 kg,pool,200 bar,,
\"steel 12 L 232 bar\",-3 kg,pol,full,,0
anchor,-4 kg,sea,,3 kg,
anchor,-4 kg,sea,,5 kg,
anchor,-4 kg,sea,,5 kg,
";
    let told = Cli::new(&["new", "plan.toml", "--readings", "list.csv"]).file("list.csv", list).refused();
    insta::assert_snapshot!("bad_readings", told);
    for (list, what) in [
        ("", "missing"),
        ("piece,in_water,water\n", "there is no piece"),
        ("piece,reading,water\nfins,-1 kg,pool\n", "reading"),
        ("piece,in_water,water,gas\n\"steel 12 L 232 bar\",-3 kg,pool,steam\n", "not a gas"),
    ] {
        let told = Cli::new(&["new", "plan.toml", "--readings", "list.csv"]).file("list.csv", list).refused();
        assert!(told.contains(what), "{list}: {told}");
    }
    let told = Cli::new(&["new", "plan.toml", "--readings", "none.csv"]).refused();
    assert!(told.contains("none.csv"), "{told}");
}

fn with_part(part: &str) -> Plan {
    let text = format!(
        r#"
        gear = "none"
        [site]
        density = "1025.5 kg/m3"
        temperature = "10 °C"
        [diver]
        mass = "80 kg"
        volume = "78 L"
        [[part]]
        name = "the piece"
        {part}
        [[cylinder]]
        name = "back"
        size = "steel 12 L 232 bar"
        gas = "air"
        fill = "200 bar"
        [dive]
        depth = "18 m"
        time = "25 min"
    "#
    );
    Plan::parse(&text, "invented.toml", "").expect("a plan")
}

fn least_kg(part: &str) -> f64 {
    lead_bounds(&with_part(part).build().expect("a dive").scenario).expect("a range").least_kg
}

/// +15 kg read in fresh water and taken as fixed in the sea makes the least lead 0.44 kg too low where the piece has no
/// mass at all. By Archimedes `V = B/ρ`, and the sea carries `V·(ρ' − ρ)` more, which takes lead that pulls as much. Least
/// leads are met to half a gram, so two of them differ by a gram more or less; a fifth gram for the gas that more lead takes.
#[test]
fn a_reading_that_does_not_follow_the_water_costs_lead() {
    let fixed_kg = least_kg("in_water = \"15 kg\"");
    let light_kg = least_kg("mass = \"0 kg\"\nin_water = \"15 kg\"\nread_in = \"fresh\"");
    let more_kg = 15.0 / 999.1 * (1025.5 - 999.1) / lead_pull_frac(1025.5);
    assert_eq!(format!("{more_kg:.2}"), "0.44");
    assert!((light_kg - fixed_kg - more_kg).abs() < 1.2e-3, "{} {more_kg}", light_kg - fixed_kg);
    // never weighed, its mass is typical: a quarter of the reading, so that the volume is a quarter more
    let typical_kg = least_kg("in_water = \"15 kg\"\nread_in = \"fresh\"");
    assert!((typical_kg - fixed_kg - 1.25 * more_kg).abs() < 1.2e-3, "{}", typical_kg - fixed_kg);
    // in the water of the reading nothing moves
    let here_kg = least_kg("in_water = \"15 kg\"\nread_in = \"site\"");
    assert!((here_kg - fixed_kg).abs() < 1.2e-3, "{here_kg} {fixed_kg}");
}

/// The doubt of the mass is one of the figures, is typical, and no draw makes a piece that is none.
#[test]
fn the_typical_mass_is_a_figure_with_its_doubt() {
    let plan = with_part("in_water = \"-0.3 ± 0.3 kg\"\nread_in = \"pool\"");
    let built = plan.build().expect("a dive");
    let mass = built.uncertain().find(|input| input.path == "part[1].mass").expect("a figure");
    assert!((mass.estimate.value - 0.48).abs() < 1e-12 && mass.note.as_deref().unwrap().contains("judgement"));
    let central = built.central();
    let places: Vec<usize> = ["part[1].mass", "part[1].in_water"]
        .iter()
        .map(|path| built.uncertain().position(|input| input.path == *path).expect("a figure"))
        .collect();
    for mass_kg in [0.33, 0.48, 0.63] {
        for lift_kg in [-0.6, -0.3, 0.0, 0.3] {
            let mut draw = central.clone();
            (draw[places[0]], draw[places[1]]) = (mass_kg, lift_kg);
            let scenario = plan.build_draw(&draw, &built).expect("a dive");
            let part = scenario.rig().parts.iter().find(|part| part.name == "the piece").expect("the piece");
            assert!((part.bulk(101_325.0).net_kg(997.0) - lift_kg).abs() < 1e-9);
        }
    }
    // without the water of the reading it is the same in every water, as ever
    let bare = with_part("in_water = \"-0.3 kg\"").build().expect("a dive");
    let part = bare.scenario.rig().parts.iter().find(|part| part.name == "the piece").expect("the piece");
    assert_eq!(part.body, Body::Reading { lift_kg: -0.3 });
    assert!(with_part("foam = {}\nin_water = \"3 kg\"").build().is_err());
    let foam = with_part("foam = {}\nin_water = \"3 kg\"\nread_in = \"pool\"").build().expect("a dive");
    let part = foam.scenario.rig().parts.iter().find(|part| part.name == "the piece").expect("the piece");
    assert!((part.mass_kg() - 1.29).abs() < 1e-9, "0.43 of what it lifts: {}", part.mass_kg());
}

/// A check in a line becomes the table that a plan takes, for every kind of new plan.
#[test]
fn a_weight_check_is_written_into_the_plan() {
    let check = "6 kg, fresh, 3 m, 50 bar";
    for options in [vec![], vec!["--short"], vec!["--suit", "wet"], vec!["--readings", "one.csv"]] {
        let args = [vec!["new", "plan.toml", "--weight-check", check], options.clone()].concat();
        let text =
            Cli::new(&args).file("one.csv", "piece,in_water,water\ncamera,-1.2 kg,pool\n").ok().read("plan.toml");
        assert!(text.ends_with(
            "\n[[weight_check]]\nwater = \"fresh\"\ndepth = \"3 m\"\nlead = \"6 kg\"\nback = \"50 bar\"\noutcome = \"neutral\"\n"
        ));
        let told = Cli::new(&["check", "plan.toml"]).plan(&text).ok().stdout;
        assert!(told.contains("Check 1"), "{options:?}: {told}");
    }
    let side = ["new", "plan.toml", "--cylinders", "sidemount", "--weight-check"];
    let text = Cli::new(&[&side[..], &["6 kg, pool, 3 m, left 80 bar, right 90 bar"]].concat()).ok().read("plan.toml");
    Cli::new(&["check", "plan.toml"]).plan(&text).ok();
    for (line, what) in [(check, "several cylinders"), ("6 kg, pool, left 80 bar", "the depth (3 m) is missing")] {
        let told = Cli::new(&[&side[..], &[line]].concat()).refused();
        assert!(told.contains(what), "{told}");
    }
}
