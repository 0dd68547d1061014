//! The JSON Schema of what the commands print takes every result, each in the form of its command, and refuses any other.

use std::sync::LazyLock;

use jsonschema::Validator;
use serde_json::{Map, Value};

use crate::command::{Cli, json};
use crate::common::plans;
use crate::doubt_cli::exact;

static SCHEMA: LazyLock<Value> = LazyLock::new(|| json(&["schema", "--result"]));

/// Of one form, or of the whole.
fn validator(form: Option<&str>) -> Validator {
    let mut schema = SCHEMA.clone();
    if let Some(form) = form {
        let map = schema.as_object_mut().unwrap();
        map.remove("oneOf");
        map.insert("$ref".into(), format!("#/$defs/{form}").into());
    }
    jsonschema::draft202012::new(&schema).expect("a valid schema")
}

/// Results by the form that they must have: of every demonstration plan, and of what else a command can print.
static RESULTS: LazyLock<Vec<(&str, Vec<Value>)>> = LazyLock::new(|| {
    let paths: Vec<String> = plans().iter().map(|path| path.to_str().unwrap().to_owned()).collect();
    let of_each = |before: &[&str], after: &[&str]| -> Vec<Value> {
        paths.iter().map(|path| json(&[before, &[path.as_str()], after, &["--json"]].concat())).collect()
    };
    let with = |mut list: Vec<Value>, more: &[&[&str]]| {
        list.extend(more.iter().map(|args| json(args)));
        list
    };
    let wet = "profiles/single-wetsuit.toml";
    let all: Vec<&str> = std::iter::once("compare").chain(paths.iter().take(6).map(String::as_str)).collect();
    let set = ["--set", "suit.gas_volume=14 L"];
    let trimix = "profiles/cold-trimix.toml";
    let sweep = ["--sweep", "diver.swim_up=4 kg..8 kg/2", "--no-files"];
    let bands = ["--finding", "band_down", "--finding", "band_up"];
    vec![
        (
            "RunResult",
            with(
                of_each(&["run"], &["--no-files"]),
                &[
                    &["run", "--json", "--no-files"],
                    &["run", "--json", "--no-files", "--units", "us"],
                    &["run", "profiles/coastal-cave.toml", "--json", "--no-files", "--mishaps=usual, wing + lead"],
                ],
            )
            .into_iter()
            .chain([checked("run")])
            .collect(),
        ),
        (
            "BallastResult",
            with(
                [of_each(&["ballast"], &[]), of_each(&["ballast", "--paper"], &[])].concat(),
                &[&["ballast", wet, "--own", "1 kg", "--json"]],
            )
            .into_iter()
            .chain([checked("ballast")])
            .collect(),
        ),
        (
            "TrimResult",
            with(of_each(&["trim"], &["--no-files"]), &[&["trim", wet, "--place", "tail", "--json", "--no-files"]])
                .into_iter()
                .chain([checked("trim")])
                .collect(),
        ),
        (
            "ListResult",
            vec![
                json(&[&all[..], &["--list", "--json", "--no-files"]].concat()),
                json(&[&["compare", trimix, "--list", "--json", "--no-files"], &set[..]].concat()),
            ],
        ),
        (
            "CompareResult",
            vec![
                json(&[&all[..], &["--json", "--no-files"]].concat()),
                json(&[&["compare", trimix, "--json", "--no-files"], &set[..]].concat()),
            ],
        ),
        (
            "SweepResult",
            with(of_each(&["compare"], &sweep), &[&[&["compare", wet, "--json"], &sweep[..], &bands[..]].concat()]),
        ),
        (
            "DoubtResult",
            with(
                of_each(&["doubt"], &["--no-files", "--tolerance", "0.1 kg"]),
                &[
                    &["doubt", wet, "--draws", "64", "--no-weigh", "--json", "--no-files"],
                    &["doubt", wet, "--tolerance", "2 digits", "--no-weigh", "--json", "--no-files"],
                ],
            ),
        ),
        ("DrawResult", of_each(&["doubt"], &["--draw", "3"])),
        ("CertainResult", vec![certain(&["--json"]), certain(&["--draw", "3", "--json"])]),
        ("CalibrateResult", calibrations(&paths)),
        ("LoggedResult", logged()),
        (
            "ClassResult",
            vec![
                json(&["class", "profiles/class.toml", "--json"]),
                json(&["class", "profiles/class.toml", "--json", "--own", "3 x 2 kg, 2 x 1 kg"]),
                json(&["class", "profiles/class.toml", "--json", "--no-trials"]),
            ],
        ),
    ]
});

/// What `doubt` says of a plan in which nothing has a doubt.
fn certain(more: &[&str]) -> Value {
    let done = Cli::new(&[&["doubt", "plan.toml"], more].concat()).plan(&exact()).ok();
    serde_json::from_str(&done.stdout).expect("JSON and nothing else")
}

/// The gauge of a dive, read three times, once far off.
fn logged() -> Vec<Value> {
    let done = Cli::new(&["calibrate", "plan.toml", "gauges.csv", "--no-files", "--json"])
        .plan(&std::fs::read_to_string("profiles/ten-lines.toml").unwrap())
        .file("gauges.csv", "time,back\n10 min,170 bar\n20:00,140 bar\n30 min,5 bar\n")
        .ok();
    vec![serde_json::from_str(&done.stdout).expect("JSON and nothing else")]
}

/// A plan with checks, one of which contradicts.
fn checked(command: &str) -> Value {
    let check = |lead: &str, outcome: &str| {
        format!(
            "[[weight_check]]\ndepth = \"3 m\"\nwater = \"pool\"\nlead = \"{lead}\"\nback = \"50 bar\"\noutcome = \"{outcome}\"\n"
        )
    };
    let text = std::fs::read_to_string("profiles/ten-lines.toml").unwrap();
    let text = format!("{text}{}{}", check("3 kg", "neutral"), check("40 kg", "floated"));
    let done = Cli::new(&[command, "plan.toml", "--json"]).plan(&text).ok();
    serde_json::from_str(&done.stdout).expect("JSON and nothing else")
}

/// Each plan with a check in numbers; the wet suit diver's with those of the demonstration, which are one-sided too, and
/// with one that contradicts.
fn calibrations(plans: &[String]) -> Vec<Value> {
    let folder = tempfile::tempdir().unwrap();
    let file = |name: &str, text: &str| {
        let path = folder.path().join(name);
        std::fs::write(&path, text).unwrap();
        path.to_str().unwrap().to_owned()
    };
    let calibrate = |plan: &str, checks: &str| json(&["calibrate", plan, checks, "--no-files", "--json"]);
    let mut found: Vec<Value> = plans
        .iter()
        .map(|plan| {
            let names: Vec<String> = json(&["run", plan, "--no-files", "--json"])["findings"]["cylinders"]
                .as_array()
                .unwrap()
                .iter()
                .map(|cylinder| cylinder["name"].as_str().unwrap().to_owned())
                .collect();
            let heads: String = names.iter().map(|name| format!(",{name}")).collect();
            let gauges = ",60 bar".repeat(names.len());
            let checks = file("one.csv", &format!("depth,outcome,doubt{heads}\n6 m,needed 0.5 kg,0.3 kg{gauges}\n"));
            calibrate(plan, &checks)
        })
        .collect();
    let wet = "profiles/single-wetsuit.toml";
    found.push(calibrate(wet, "profiles/single-wetsuit-checks.csv"));
    let off = file("off.csv", "depth,outcome,doubt,back\n3 m,needed 25 kg,0.3 kg,40 bar\n");
    found.push(calibrate(wet, &off));
    assert!(found.last().unwrap()["checks"][0]["contradicts"].is_string());
    found
}

/// Changes one object after the other, the deepest too, and looks at the whole each time.
fn with_each_object(
    whole: &Value,
    change: &dyn Fn(&mut Map<String, Value>) -> bool,
    look: &mut dyn FnMut(&str, &Value),
) {
    fn pointers(value: &Value, at: &str, found: &mut Vec<String>) {
        match value {
            Value::Object(map) => {
                found.push(at.to_owned());
                map.iter().for_each(|(key, inner)| pointers(inner, &format!("{at}/{key}"), found));
            }
            Value::Array(list) => {
                list.iter().enumerate().for_each(|(i, inner)| pointers(inner, &format!("{at}/{i}"), found));
            }
            _ => {}
        }
    }
    let mut found = Vec::new();
    pointers(whole, "", &mut found);
    for pointer in found {
        let mut changed = whole.clone();
        if change(changed.pointer_mut(&pointer).and_then(Value::as_object_mut).unwrap()) {
            look(&pointer, &changed);
        }
    }
}

#[test]
fn every_result_has_the_form_of_its_command_and_no_other() {
    assert_eq!(SCHEMA["$schema"], "https://json-schema.org/draft/2020-12/schema");
    assert!(jsonschema::meta::is_valid(&SCHEMA));
    assert_eq!(SCHEMA["oneOf"].as_array().unwrap().len(), RESULTS.len());
    let whole = validator(None);
    for (form, results) in RESULTS.iter() {
        let validator = validator(Some(form));
        for result in results {
            let errors: Vec<String> =
                validator.iter_errors(result).map(|error| format!("{}: {error}", error.instance_path())).collect();
            assert!(errors.is_empty(), "{form} of {}: {errors:#?}", result["plan"]["title"]);
            assert!(whole.is_valid(result), "{form}: more than one form, or none");
        }
    }
}

/// Another key, a key less, a key of another name: in every object of every form.
#[test]
fn a_key_more_or_less_breaks_it() {
    let take_first = |map: &mut Map<String, Value>| {
        let first = map.keys().next().cloned();
        first.and_then(|key| map.shift_remove(&key))
    };
    for (form, results) in RESULTS.iter() {
        let validator = validator(Some(form));
        let refused = |change: &dyn Fn(&mut Map<String, Value>) -> bool, what: &str| {
            let mut count = 0;
            with_each_object(&results[0], change, &mut |at, changed| {
                assert!(!validator.is_valid(changed), "{form}: {what} at {at:?}");
                count += 1;
            });
            count
        };
        let count = refused(&|map| map.insert("surprise".into(), Value::from(1)).is_none(), "another key");
        assert!(count > 1 || *form == "CertainResult", "{form}: {count} objects");
        // the first key of every object is always there
        refused(&|map| take_first(map).is_some(), "a key less");
        refused(
            &|map| take_first(map).is_some_and(|value| map.insert("surprise".into(), value).is_none()),
            "a key of another name",
        );
        for (key, other) in [("schema", Value::from(1)), ("command", Value::from("new"))] {
            let mut changed = results[0].clone();
            changed[key] = other;
            assert!(!validator.is_valid(&changed), "{form}: another {key}");
        }
    }
}

/// What is tried where no lead is right stands in the JSON as in the table, line by line.
#[test]
fn tried_changes_are_those_of_the_table() {
    let plan = "profiles/cold-trimix.toml";
    // lines so long that no cell is folded
    let text = Cli::new(&["ballast", &std::fs::canonicalize(plan).unwrap().to_string_lossy()])
        .env("COLUMNS", "160")
        .ok()
        .stdout;
    let table: Vec<&str> =
        text.lines().skip_while(|line| !line.contains("gap left")).skip_while(|line| !line.starts_with('─')).collect();
    let result = json(&["ballast", plan, "--json"]);
    let tried = result["tried"].as_array().unwrap();
    assert!(tried.len() > 2, "{tried:?}");
    let mut lines = table[1..].iter().take_while(|line| !line.is_empty());
    // what closes less than ten grams is no line of the table
    for change in tried.iter().filter(|change| change["closes_kg"].as_f64().unwrap() > 0.01) {
        let line = lines.next().expect("a line for each");
        let number = |key: &str| format!("{:.2}", change[key].as_f64().unwrap()).replace('-', "−");
        let gap = if change["gap_kg"] == 0.0 { "none".to_owned() } else { number("gap_kg") };
        let cells: Vec<&str> = line.split("  ").map(str::trim).filter(|cell| !cell.is_empty()).collect();
        let least = format!("{:.2}", change["least_kg"].as_f64().unwrap().max(0.0));
        let most = if change["most_kg"].as_f64().unwrap() < 0.0 { "none".to_owned() } else { number("most_kg") };
        let expected = [change["text"].as_str().unwrap(), &number("closes_kg"), &gap, &least, &most];
        assert_eq!(cells, expected, "{line}");
    }
    assert_eq!(lines.next(), None, "a line that the JSON does not have");
}
