//! Many plans as a list: `compare --list`.

use std::path::Path;

use serde_json::Value;

use crate::command::Cli;

fn profile(name: &str) -> String {
    let path = std::fs::canonicalize(Path::new("profiles").join(name)).expect("a plan");
    path.to_string_lossy().into_owned()
}

const BAD: &str = "[diver]\nmass = \"80 miles\"\n";

/// The rows are those of single answers, in the order given, and one bad plan leaves them standing.
#[test]
fn one_bad_plan_leaves_the_others() {
    let (wet, lake) = (profile("single-wetsuit.toml"), profile("mountain-lake.toml"));
    let done = Cli::new(&["compare", "--list", &lake, "bad.toml", &wet, "--json"]).file("bad.toml", BAD).run();
    assert_eq!(done.code, 2);
    assert!(done.stderr.contains("bad.toml") && done.stderr.contains("miles"), "{}", done.stderr);
    let result: Value = serde_json::from_str(&done.stdout).expect("JSON");
    let list = result["list"].as_array().expect("a list");
    assert_eq!(
        list.iter().map(|row| row["label"].as_str().unwrap()).collect::<Vec<_>>(),
        ["mountain-lake", "bad", "single-wetsuit"]
    );
    assert!(list[1]["dive"].is_null() && list[1]["failed"].as_str().unwrap().contains("miles"));
    for (row, plan) in [(&list[0], &lake), (&list[2], &wet)] {
        let single: Value = serde_json::from_str(&Cli::new(&["ballast", plan, "--json"]).ok().stdout).expect("JSON");
        let figures = &row["dive"];
        for (one, other) in [("least_lead_kg", "least"), ("most_lead_kg", "most")] {
            // a list is content with half a gram, the range is met to a hundredth of one
            let difference = figures[one].as_f64().unwrap() - single[other]["lead_kg"].as_f64().unwrap();
            assert!(difference.abs() < 0.6e-3, "{plan} {one}: {difference}");
        }
        assert_eq!(row["dive"]["carried_kg"], single["own_kg"]);
        assert!(row["failed"].is_null());
    }
    let names: Vec<String> = done.files();
    assert!(names.iter().any(|name| name.ends_with("list.csv")), "{names:?}");
}

/// More than six only as a list; a hundred rows come out in their order.
#[test]
fn any_number_in_their_order() {
    let wet = profile("single-wetsuit.toml");
    let seven = vec![wet.as_str(); 7];
    let refused = Cli::new(&[&["compare"], seven.as_slice()].concat()).run();
    assert_eq!(refused.code, 2);
    assert!(refused.stderr.contains("--list"), "{}", refused.stderr);
    let trimix = profile("cold-trimix.toml");
    let many: Vec<&str> = (0..100).map(|i| if i % 3 == 0 { trimix.as_str() } else { wet.as_str() }).collect();
    let done = Cli::new(&[&["compare", "--list", "--no-files", "--json"], many.as_slice()].concat()).ok();
    let result: Value = serde_json::from_str(&done.stdout).expect("JSON");
    let titles = result["list"].as_array().unwrap().iter().map(|row| row["dive"]["plan"]["file"].as_str().unwrap());
    assert!(titles.eq(many.iter().copied()));
}

#[test]
fn as_text() {
    let plans = ["coastal-cave.toml", "cold-trimix.toml", "mountain-lake.toml", "single-wetsuit.toml"].map(profile);
    let plans: Vec<&str> = plans.iter().map(String::as_str).collect();
    let done = Cli::new(&[&["compare", "--list", "--no-files"], plans.as_slice()].concat()).ok();
    insta::assert_snapshot!("list", done.stdout);
    let changed = Cli::new(&["compare", "--list", "--no-files", plans[3], "--set", "diver.mass=70 kg"]).ok().stdout;
    assert!(changed.contains("diver.mass") && changed.contains("70"), "{changed}");
}
