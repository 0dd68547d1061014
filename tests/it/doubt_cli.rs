//! `lightpoint doubt` as a user sees it: same answer for any number of threads, one draw again, Ctrl-C, messages.

use std::process::Command;

use serde_json::Value;

use crate::command::{json, masked, number, quiet, run};

const PLAN: &str = "profiles/single-wetsuit.toml";

/// Word for word the same, the whole JSON with all bands and indices.
#[test]
fn the_number_of_threads_changes_nothing() {
    let with = |threads: &str| quiet(&["doubt", PLAN, "--draws", "5000", "--json", "--no-files", "--threads", threads]);
    let one = with("1");
    assert_eq!(one, with("2"));
    assert_eq!(one, with("8"));
}

#[test]
fn the_seed_gives_other_draws_and_the_same_answer() {
    let low = |seed: &str| {
        let value = json(&["doubt", PLAN, "--draws", "5000", "--json", "--no-files", "--no-weigh", "--seed", seed]);
        assert_eq!(value["seed"].to_string(), seed);
        (
            number(&value, "/outlook/answers/least_lead/low_kg"),
            number(&value, "/outlook/answers/least_lead/numerical_kg"),
        )
    };
    let ((first, doubt), (second, _)) = (low("1"), low("2"));
    assert_ne!(first, second);
    // both scatter by the doubt that is told, twice a standard deviation: four of them apart is not chance
    assert!((first - second).abs() < 2.0 * 2f64.sqrt() * doubt, "{first} kg and {second} kg");
}

/// A run of two draws holds exactly the draws 0 and 1: their mean is its mean.
#[test]
fn a_draw_can_be_made_again_alone() {
    let both = json(&["doubt", PLAN, "--draws", "2", "--json", "--no-files", "--no-weigh"]);
    let alone = |draw: &str| json(&["doubt", PLAN, "--draw", draw, "--json"]);
    let (zero, one) = (alone("0"), alone("1"));
    for answer in ["least_lead", "most_lead", "heavy_point", "light_point", "hold_at_reserve"] {
        let of = |value: &Value| number(value, &format!("/answers/{answer}_kg"));
        let mean = number(&both, &format!("/outlook/answers/{answer}/mean_kg"));
        // the JSON of many draws is rounded to a millionth
        assert!((0.5 * (of(&zero) + of(&one)) - mean).abs() < 1e-6, "{answer}");
    }
}

/// The figures of a draw, set by hand in a plan that has only such figures, give that draw's answers.
#[test]
fn the_figures_of_a_draw_give_its_answers() {
    let dir = tempfile::tempdir().expect("a folder");
    let plan = dir.path().join("plain.toml");
    std::fs::write(&plan, PLAIN).expect("written");
    let plan = plan.to_str().expect("a path");
    let draw = json(&["doubt", plan, "--draw", "7", "--json"]);
    let sets: Vec<String> = draw["inputs"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|input| {
            // a plan has no such units
            let (value, unit) = match (number(input, "/value"), input["unit"].as_str().unwrap()) {
                (value, "1") => (value * 100.0, "%"),
                (value, "m³/s") => (value * 60_000.0, "L/min"),
                other => other,
            };
            format!("{}={value} {unit}", input["key"].as_str().unwrap())
        })
        .collect();
    assert_eq!(sets.len(), 5, "{sets:?}");
    let mut args = vec!["ballast", plan, "--json"];
    sets.iter().for_each(|set| args.extend(["--set", set]));
    let ballast = json(&args);
    // the quick search for the ends differs from the full one by at most 12 g (see the library), the step by 1 g
    for (end, key) in [("least", "least_lead"), ("most", "most_lead")] {
        let (full, quick) =
            (number(&ballast, &format!("/{end}/lead_kg")), number(&draw, &format!("/answers/{key}_kg")));
        assert!((full - quick).abs() < 0.013, "{end}: {full} and {quick}");
    }
}

/// No typical figure with a doubt: water by density, cylinder by its own figures and fill temperature.
const PLAIN: &str = r#"title = "Plain (invented)"
[site]
density = "1020 ± 3 kg/m3"
temperature = "10 °C"
[diver]
mass = "80 kg"
volume = "80.5 ± 0.5 L"
lung_trim = "1 L"
head_out = "8 L"
[suit]
mass = "3 kg"
volume = "3 L"
gas_volume = "9 ± 1 L"
supply = "back"
[[ballast]]
name = "lead"
mass = "6 kg"
density = "11340 kg/m3"
[wing]
mass = "1.5 kg"
volume = "1.4 L"
capacity = "18 L"
supply = "back"
[[cylinder]]
name = "back"
water = "12 L"
mass = "15 ± 0.2 kg"
external = "14.1 L"
gas = "air"
fill = "210 bar"
fill_temperature = "20 °C"
[breathing]
rate = "18 ± 2 L/min"
[dive]
last_stop = "5 m"
[[dive.leg]]
to = "25 m"
over = "2 min"
breathe = "back"
[[dive.leg]]
stay = "15 min"
[[dive.leg]]
to = "5 m"
speed = "9 m/min"
[[dive.leg]]
stay = "3 min"
[[dive.leg]]
to = "0 m"
speed = "9 m/min"
"#;

/// Knowing the most important figure exactly, said by `doubt` to narrow the interval to so much, does so when the plan
/// is written that way.
#[test]
fn what_weighing_is_worth_is_what_it_gives() {
    let dir = tempfile::tempdir().expect("a folder");
    let path = dir.path().join("plain.toml");
    std::fs::write(&path, PLAIN).expect("written");
    let plan = path.to_str().expect("a path");
    let found = json(&["doubt", plan, "--json", "--no-files", "--draws", "8192"]);
    let first = &found["what_to_weigh"]["factors"][0];
    assert_eq!(first["name"], "suit, gas volume");
    let told = number(first, "/half_width_if_known/least_lead_kg");
    let known =
        json(&["doubt", plan, "--json", "--no-files", "--no-weigh", "--draws", "8192", "--set", "suit.gas_volume=9 L"]);
    let answers = &known["outlook"]["answers"]["least_lead"];
    let given = 0.5 * (number(answers, "/high_kg") - number(answers, "/low_kg"));
    let before = number(&found, "/what_to_weigh/half_width/least_lead_kg");
    assert!(told < 0.8 * before);
    // each half-width comes from 2048 or 8192 draws and scatters by about two parts in a hundred
    assert!((told - given).abs() < 0.06 * given, "told {told} kg, given {given} kg");
}

#[test]
fn the_answer_as_text() {
    let text = quiet(&["doubt", PLAN, "--no-files", "--draws", "4096"]);
    insta::assert_snapshot!(masked(&text));
}

/// Without a number of draws it is made from a few hundred runs, and says so.
#[test]
fn the_certified_answer_as_text() {
    insta::assert_snapshot!(masked(&quiet(&["doubt", PLAN, "--no-files"])));
}

/// A text without its line ends.
fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn the_answer_says_how_it_was_made() {
    let certified = json(&["doubt", PLAN, "--no-files", "--json"]);
    assert_eq!(certified["made"]["how"], "certified");
    // one run at the middle, two for each of the 17 sources of doubt, 256 to hold against
    assert_eq!(certified["made"]["runs"], 1 + 2 * 17 + 256);
    assert!(number(&certified, "/made/off_kg") < 0.025 && number(&certified, "/made/off_at_far_ends_kg") < 0.1);
    let dry = &certified["outlook"]["risks"]["out_of_gas"];
    assert!(dry["frac"].is_null() && number(dry, "/high_frac") >= 0.01 && number(dry, "/low_frac") == 0.0, "{dry}");
    let trials = json(&["doubt", PLAN, "--no-files", "--json", "--no-weigh", "--draws", "256"]);
    assert_eq!(trials["made"]["how"], "trials");
    assert!(trials["made"]["not_certified"].is_null());
    // a small suit bottle runs dry in some draws: no curve follows that
    let args = ["doubt", "profiles/cold-trimix.toml", "--no-files", "--no-weigh", "--tolerance", "0.3 kg"];
    let set = ["--set", "cylinder.argon.fill=15 ± 10 bar"];
    let text = quiet(&[&args[..], &set[..]].concat());
    assert!(flat(&text).contains("each was run, because the answers bend"), "{text}");
}

#[test]
fn us_units_everywhere() {
    let text = quiet(&["doubt", PLAN, "--no-files", "--draws", "1024", "--units", "us"]);
    assert!(text.contains(" lb") && !text.contains(" kg") && !text.contains(" L\n"), "{text}");
}

#[test]
fn files_are_written() {
    let dir = tempfile::tempdir().expect("a folder");
    let out = dir.path().to_str().expect("a path");
    let written = |more: &[&str], names: &[&str]| {
        let text = quiet(&[&["doubt", PLAN, "--draws", "2048", "--out", out], more].concat());
        for name in names {
            let size = std::fs::metadata(dir.path().join(name)).expect(name).len();
            assert!(size > 1000 && text.contains(name), "{name}: {size} bytes");
        }
        assert_eq!(std::fs::read_dir(dir.path()).expect("a folder").count(), names.len());
    };
    // a PNG only where it is asked for
    let drawn = ["doubt.json", "doubt.svg", "doubt-over-time.svg", "weigh.svg"];
    written(&[], &drawn);
    written(&["--png"], &[&drawn[..], &["doubt.png", "doubt-over-time.png", "weigh.png"]].concat());
    let svg = std::fs::read_to_string(dir.path().join("doubt-over-time.svg")).expect("text");
    assert!(svg.contains("95 % of the draws"));
}

/// A plan in which nothing has a doubt.
pub fn exact() -> String {
    let without_doubt = |line: &str| match (line.find(" ± "), line.rfind(' ')) {
        (Some(from), Some(unit)) => format!("{}{}\n", &line[..from], &line[unit..]),
        _ => format!("{line}\n"),
    };
    PLAIN.lines().map(without_doubt).collect()
}

#[test]
fn a_plan_without_doubt_is_told_so() {
    let dir = tempfile::tempdir().expect("a folder");
    let plan = dir.path().join("exact.toml");
    std::fs::write(&plan, exact()).expect("written");
    let text = quiet(&["doubt", plan.to_str().expect("a path")]);
    assert!(text.contains("Nothing in this plan has a doubt"), "{text}");
}

#[test]
fn failed_draws_are_counted_and_told() {
    // the light weighs 1.7 kg and cannot read below that: some draws imply a negative volume
    let plan = "profiles/cold-trimix.toml";
    let set = "part[6].in_water=-1.5 ± 0.4 kg";
    let text = quiet(&["doubt", plan, "--no-files", "--no-weigh", "--draws", "2048", "--set", set]);
    let text = flat(&text);
    assert!(text.contains("draws gave no result: a drawn figure is impossible: negative-volume"), "{text}");
    let draw = text.split("--draw ").nth(1).and_then(|rest| rest.split_whitespace().next()).expect("a draw number");
    let alone = quiet(&["doubt", plan, "--draw", draw, "--set", set]);
    assert!(flat(&alone).contains("a drawn figure is impossible: negative-volume"), "{alone}");
}

#[test]
fn options_out_of_range_are_told() {
    for (args, expected) in [
        (["--tolerance", "0.05"], "--tolerance \"0.05\": a mass from 1 g upwards"),
        (["--tolerance", "9 digits"], "--tolerance \"9 digits\": "),
        (["--draws", "0"], "--draws \"0\": 1 to 5000000 draws can be made"),
    ] {
        let output = run(&["doubt", PLAN, "--no-files", args[0], args[1]]);
        let stderr = String::from_utf8_lossy(&output.stderr);
        assert!(output.status.code() == Some(2) && stderr.contains(expected), "{stderr}");
    }
}

/// Ctrl-C ends it with what is there, and says so.
#[cfg(unix)]
#[test]
fn ctrl_c_shows_what_is_there() {
    use std::process::Stdio;
    let child = Command::new(env!("CARGO_BIN_EXE_lightpoint"))
        .args(["doubt", PLAN, "--no-files", "--draws", "5000000"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("starts");
    // time enough for the first draws; five million take minutes
    std::thread::sleep(std::time::Duration::from_secs(4));
    let killed = Command::new("kill").args(["-INT", &child.id().to_string()]).status().expect("kill");
    assert!(killed.success());
    let output = child.wait_with_output().expect("ends");
    let text = String::from_utf8_lossy(&output.stdout);
    assert!(output.status.success(), "{output:?}");
    assert!(text.contains("ended early by Ctrl-C") && text.contains("Least lead"), "{text}");
    assert!(output.stderr.is_empty());
}
