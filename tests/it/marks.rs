//! Marks and words that cannot mislead: a tick only beside what the plan itself meets, needless lead named, nothing that is
//! dangerous praised, no lead below zero, and one caution.

use crate::command::quiet;

/// What `run` or `ballast` prints about a plan of the repository with some figures changed.
fn said(command: &str, plan: &str, sets: &[&str]) -> String {
    let plan = format!("profiles/{plan}.toml");
    let mut args = vec![command, &plan];
    sets.iter().for_each(|set| args.extend(["--set", set]));
    if command == "run" {
        args.push("--no-files");
    }
    quiet(&args)
}

/// The lines of the answer with their marks: wrapped lines put together again.
fn answer(text: &str) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for line in text.lines().skip(2).take_while(|line| !line.is_empty()) {
        match line.strip_prefix("                     ") {
            Some(more) => lines.last_mut().expect("a line before").push_str(&format!(" {more}")),
            None => lines.push(line.to_owned()),
        }
    }
    lines
}

fn line<'a>(lines: &'a [String], label: &str) -> &'a str {
    lines
        .iter()
        .find(|line| line[4..].starts_with(label) || line.contains(label))
        .unwrap_or_else(|| panic!("no {label} in {lines:#?}"))
}

#[test]
fn twelve_kilograms_where_four_are_enough_are_not_ticked() {
    let text = said("run", "single-wetsuit", &["ballast[1].mass=3 kg"]);
    let lines = answer(&text);
    let needless = line(&lines, "Needless lead");
    assert!(needless.starts_with("! ") && needless.contains("8.9 kg more than needed"), "{needless}");
    for cost in ["of wing", "of load to swim up", "of room to drift up", "beyond the swim-up limit"] {
        assert!(needless.contains(cost), "{cost}: {needless}");
    }
    let lead = line(&lines, "Lead ");
    assert!(lead.starts_with("! ") && lead.contains("too much to swim up"), "{lead}");
    // it stays down by a lot, which is no merit
    let down = line(&lines, "Staying down");
    assert!(!down.contains("to spare") && down.contains("more than staying down takes"), "{down}");
}

#[test]
fn what_is_wrong_comes_first() {
    for (plan, sets) in [
        ("cold-trimix", vec![]),
        ("coastal-cave", vec![]),
        ("single-wetsuit", vec!["ballast[1].mass=3 kg"]),
        ("single-wetsuit", vec!["ballast[1].mass=0 kg"]),
        ("single-wetsuit", vec!["wing.capacity=3 L"]),
        ("mountain-lake", vec!["breathing.bottom=70 L/min"]),
    ] {
        let lines = answer(&said("run", plan, &sets));
        let wrong = lines.iter().take_while(|line| line.starts_with("! ")).count();
        assert!(wrong > 0, "{plan} {sets:?}: {lines:#?}");
        assert!(lines[wrong..].iter().all(|line| !line.starts_with("! ")), "{plan} {sets:?}: {lines:#?}");
    }
    let lines = answer(&said("run", "single-wetsuit", &[]));
    assert!(lines.iter().all(|line| !line.starts_with("! ")), "{lines:#?}");
    assert!(lines[0].starts_with("  Lead "), "the first line is the answer: {}", lines[0]);
}

#[test]
fn out_of_gas_is_a_breach_told_once() {
    let text = said("run", "mountain-lake", &["breathing.bottom=70 L/min"]);
    let lines = answer(&text);
    assert!(lines[0].starts_with("! Out of gas") && lines[0].contains("are missing"), "{}", lines[0]);
    assert_eq!(text.to_lowercase().matches("out of gas").count(), 1, "{text}");
    assert!(!text.contains('✓'), "nothing is met with gas that is not there: {text}");
}

#[test]
fn a_dive_out_of_gas_gets_no_advice() {
    let text = said("ballast", "mountain-lake", &["breathing.bottom=70 L/min"]);
    let lines = answer(&text);
    assert!(lines[0].starts_with("! Advice") && lines[0].contains("runs out of gas"), "{}", lines[0]);
    let result = crate::command::json(&[
        "ballast",
        "profiles/mountain-lake.toml",
        "--json",
        "--set",
        "breathing.bottom=70 L/min",
    ]);
    assert!(result["advised_kg"].is_null());
    let usual = crate::command::json(&["ballast", "profiles/mountain-lake.toml", "--json"]);
    assert!(usual["advised_kg"].is_number(), "{usual}");
}

#[test]
fn no_lead_is_told_in_plain_words() {
    // a plan whose diver is too heavy without lead, one that needs none, one that has none
    for (plan, sets) in [
        ("coastal-cave", vec![]),
        ("coastal-cave", vec!["diver.swim_up=1 kg"]),
        ("cold-trimix", vec!["diver.volume=74 L"]),
        ("single-wetsuit", vec!["diver.in_water=-6 kg"]),
        ("single-wetsuit", vec!["ballast[1].mass=0 kg"]),
        ("mountain-lake", vec!["diver.volume=70 L"]),
    ] {
        for command in ["run", "ballast"] {
            let text = said(command, plan, &sets);
            for nonsense in [
                "least none",
                "not even without lead",
                "less than none",
                "there is no lead to ditch",
                "by 0.0 kg",
                "0.0 kg to spare",
            ] {
                assert!(!text.contains(nonsense), "{command} {plan} {sets:?}: \"{nonsense}\" in\n{text}");
            }
            for line in answer(&text)
                .iter()
                .filter(|line| ["Lead ", "Least", "Most", "Advice", "Ditch"].iter().any(|label| line.contains(label)))
            {
                // a lift may be below zero, a lead may not
                assert!(!line.contains('−') || line.contains("bar"), "{command} {plan} {sets:?}: {line}");
            }
        }
    }
}

#[test]
fn an_advice_has_no_tick_and_says_its_risks() {
    let lines = answer(&said("ballast", "single-wetsuit", &[]));
    assert!(lines[0].starts_with("  Advice") && lines[0].contains("stays down in 9"), "{}", lines[0]);
    assert!(lines[0].contains("trials"), "{}", lines[0]);
    // it holds as it stands, but not in 95 of 100 trials
    assert!(line(&lines, "The plan's own").starts_with("  The plan's own     4.00 kg: stays down"), "{lines:#?}");
}

#[test]
fn cautions_stand_once_and_nothing_is_called_safe() {
    for plan in ["cold-trimix", "coastal-cave", "single-wetsuit", "mountain-lake"] {
        for command in ["run", "ballast"] {
            let text = said(command, plan, &[]);
            assert_eq!(text.matches("not a decompression planner").count(), 1, "{command} {plan}");
            assert!(!text.to_lowercase().contains("safe"), "{command} {plan}");
        }
    }
}

#[test]
fn at_reserve_says_what_it_covers() {
    let text = said("run", "cold-trimix", &[]).replace("\n  ", " ");
    assert!(
        text.contains(
            "at reserve means: back, fifty, oxygen at 30 bar, or less where less is left; argon only inflates"
        ),
        "{text}"
    );
}

/// What a share of trials belongs to is said: never a bare "in 1 of 100 trials" behind "floats up".
#[test]
fn trials_say_what_is_good_in_them() {
    for plan in ["cold-trimix", "coastal-cave", "single-wetsuit", "mountain-lake"] {
        let lines = answer(&said("ballast", plan, &[]));
        let own = line(&lines, "The plan's own");
        // in the cave nobody swims up
        let swims = if plan == "coastal-cave" { "can be held by the fins in " } else { "can be swum up in " };
        assert!(own.contains("stays down in ") && own.contains(swims), "{own}");
        assert!(!own.contains("(in "), "{own}");
    }
}

/// A tick beside the lead asks for 95 of 100 trials on both sides, and for no needless lead; what is within the range but
/// not that sure has none, and says so.
#[test]
fn a_lead_that_may_well_be_wrong_has_no_tick() {
    for (mass, mark) in [("0.7 kg", "! "), ("0.9 kg", "  "), ("1.125 kg", "✓ "), ("1.75 kg", "! ")] {
        let set = format!("ballast[1].mass={mass}");
        let run = answer(&said("run", "single-wetsuit", &[&set]));
        let ballast = answer(&said("ballast", "single-wetsuit", &[&set]));
        let lead = line(&run, "Lead ");
        assert_eq!(&lead[..mark.len()], mark, "{mass}: {lead}");
        assert_eq!(lead.contains("with all doubt it stays down in "), mark == "  ", "{mass}: {lead}");
        let own = line(&ballast, "The plan's own");
        assert_eq!(&own[..mark.len()], mark, "{mass}: {own}");
    }
}

/// `ballast` counts what hangs on a clip as `run` does, and says which of it counts.
#[test]
fn ballast_tells_the_cylinders_that_can_be_let_go_of() {
    let lines =
        answer(&said("ballast", "cold-trimix", &["cylinder.argon.ditchable=true", "cylinder.oxygen.ditchable=true"]));
    let beside = line(&lines, "beside lead");
    assert!(beside.contains("argon −") && beside.contains("oxygen −"), "{beside}");
    // the oxygen is breathed at the last stops; the argon never
    let (_, oxygen) = beside.split_once("oxygen").unwrap();
    assert!(oxygen.contains("does not count: the plan still breathes of its"), "{beside}");
    assert_eq!(beside.matches("does not count").count(), 1, "{beside}");
    // what goes with the lead need not be lead: the argon's own pull less
    let needed_kg = |sets: &[&str]| {
        let ditchable = answer(&said("ballast", "cold-trimix", sets));
        let text = line(&ditchable, "Ditchable").to_owned();
        let (_, from) = text.split_once("at least ").unwrap();
        from.split_once(" kg").unwrap().0.parse::<f64>().unwrap()
    };
    let pull_kg: f64 = beside.split_once("argon −").unwrap().1.split_once(" kg").unwrap().0.parse().unwrap();
    let less_kg = needed_kg(&[]) - needed_kg(&["cylinder.argon.ditchable=true"]);
    // the pull is told to 0.1 kg, and a kilogram of lead pulls 0.91
    assert!((less_kg - pull_kg / 0.91).abs() < 0.07, "{less_kg} for {pull_kg}");
}
