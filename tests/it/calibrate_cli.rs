//! `lightpoint calibrate` as a user sees it: the truth is found again, the calibrated plan differs in its values alone,
//! contradictions are named, a bad file of checks is told with its place.

use std::path::{Path, PathBuf};

use lightpoint::internals::plan::Plan;
use lightpoint::internals::plan::checks::checks_from;
use lightpoint::internals::study::calibrate::{Check, Gauge, Outcome, WaterThen, WingThen};
use serde_json::Value;
use tempfile::TempDir;

use crate::command::{masked, number, quiet, run};

/// A folder with the demonstration plan and a file of checks.
struct Folder {
    dir: TempDir,
    plan: PathBuf,
}

impl Folder {
    fn new(name: &str) -> Self {
        let dir = tempfile::tempdir().expect("a folder");
        for entry in std::fs::read_dir("profiles").expect("profiles") {
            let entry = entry.expect("an entry").path();
            std::fs::copy(&entry, dir.path().join(entry.file_name().expect("a name"))).expect("copied");
        }
        let plan = dir.path().join(name);
        Self { dir, plan }
    }

    fn checks(&self, text: &str) -> PathBuf {
        let path = self.dir.path().join("checks.csv");
        std::fs::write(&path, text).expect("written");
        path
    }

    fn calibrate(&self, checks: &Path, more: &[&str]) -> String {
        let mut args = vec!["calibrate", text_of(&self.plan), text_of(checks)];
        args.extend(more);
        quiet(&args)
    }

    fn json(&self, checks: &Path, more: &[&str]) -> Value {
        let more: Vec<&str> = more.iter().copied().chain(["--json"]).collect();
        serde_json::from_str(&self.calibrate(checks, &more)).expect("JSON and nothing else")
    }
}

fn text_of(path: &Path) -> &str {
    path.to_str().expect("a path")
}

/// What a scale would read on the diver of a plan with other figures, for three moments of the cold dive; wing empty.
fn truth_csv(sets: &[(&str, &str)]) -> String {
    let sets: Vec<_> = sets.iter().map(|(key, value)| ((*key).to_owned(), (*value).to_owned())).collect();
    let scenario = Plan::demonstration(&sets).expect("a plan").build().expect("a dive").scenario;
    let mut csv = "depth,outcome,doubt,back,fifty,oxygen,argon\n".to_owned();
    for (depth_m, bar) in
        [(3.0, [200.0, 190.0, 180.0, 150.0]), (6.0, [60.0, 40.0, 40.0, 110.0]), (30.0, [150.0, 195.0, 185.0, 130.0])]
    {
        let gauges = bar.iter().enumerate();
        let check = Check {
            label: String::new(),
            depth_m,
            cylinders: gauges.map(|(cylinder, bar)| Gauge { cylinder, gauge_pa: bar * 1e5 }).collect(),
            lead_kg: None,
            wing: WingThen::Empty,
            water: WaterThen::AsPlanned,
            more_m3: 0.0,
            outcome: Outcome::Neutral,
            doubt: lightpoint::internals::estimate::Doubt {
                half_width: 0.1,
                shape: lightpoint::internals::estimate::Shape::Normal { coverage_frac: 0.95 },
            },
        };
        let net_kg = check.predicted(&scenario).net_kg;
        csv += &format!(
            "{depth_m} m,reading {net_kg:.4} kg,0.1 kg (95%),{} bar,{} bar,{} bar,{} bar\n",
            bar[0], bar[1], bar[2], bar[3]
        );
    }
    csv
}

/// A diver whose suit holds a litre more and whose body is a third of a litre larger than planned, both within the doubt of
/// the plan. The lead that the calibrated plan asks for is that of the truth, and it is known far better than before.
#[test]
fn a_known_diver_is_found_again() {
    let truth = [("suit.gas_volume", "13 L"), ("diver.volume", "80.75 L")];
    let folder = Folder::new("cold-trimix.toml");
    let found = folder.json(&folder.checks(&truth_csv(&truth)), &[]);
    let range = |value: &Value, end: &str| number(value, &format!("/answers/least_lead/{end}_kg"));
    let width = |value: &Value| range(value, "high") - range(value, "low");
    let (before, after) = (&found["before"], &found["after"]);
    assert!(found["checks"].as_array().unwrap().iter().all(|check| check["contradicts"].is_null()), "{found}");

    let sets: Vec<_> = truth.iter().map(|(key, value)| ((*key).to_owned(), (*value).to_owned())).collect();
    let scenario = Plan::demonstration(&sets).unwrap().build().unwrap().scenario;
    let least_kg = lightpoint::internals::study::lead_bounds(&scenario).unwrap().least_kg;
    // the scale read to ±0.1 kg three times: what is left is a few tenths, and the truth lies inside
    assert!(range(after, "low") < least_kg && least_kg < range(after, "high"), "{least_kg} kg: {after}");
    assert!(width(after) < 0.25 * width(before), "{} kg, {} kg", width(after), width(before));
    // the plan that was written has the checks in it, and says the same
    let path = folder.dir.path().join("cold-trimix-calibrated.toml");
    let again: Value = serde_json::from_str(&quiet(&["ballast", text_of(&path), "--json"])).expect("JSON");
    let median_kg = number(after, "/answers/least_lead/median_kg");
    // a median of draws against the middle: a tenth of the interval, for the doubts are no normal ones
    assert!(
        (number(&again, "/least/lead_kg") - median_kg).abs() < 0.1 * width(after),
        "{median_kg} kg: {}",
        again["least"]
    );
    assert_eq!(again["corrected"]["used"], 3);
    let moved =
        |key: &str| found["moved"].as_array().unwrap().iter().find(|one| one["key"] == key).cloned().expect(key);
    // each moves towards the truth: they cannot be told apart, so none gets there alone
    assert!(number(&moved("suit.gas_volume"), "/shift_sigmas") > 0.3);
    assert!(number(&moved("diver.volume"), "/shift_sigmas") > 0.1);
}

/// Comments, order and layout stay: every changed line keeps what is not a value, and new lines are typical figures.
#[test]
fn the_calibrated_plan_differs_in_its_values_alone() {
    let folder = Folder::new("cold-trimix.toml");
    // cylinders that nobody weighed, so that typical figures move
    let text = std::fs::read_to_string(&folder.plan).unwrap();
    let mut lines = text.lines().peekable();
    let mut unweighed = String::new();
    while let Some(line) = lines.next() {
        if line.contains("# empty, on a spring scale") {
            assert_eq!(lines.next(), Some("read_in = \"sea\""));
        } else {
            unweighed += line;
            unweighed.push('\n');
        }
    }
    std::fs::write(&folder.plan, unweighed).unwrap();
    let checks = folder.checks(&truth_csv(&[("suit.gas_volume", "13 L")]));
    let found = folder.json(&checks, &["--figures"]);
    let path = folder.dir.path().join("cold-trimix-calibrated.toml");
    assert_eq!(found["written"].as_str(), Some(text_of(&path)));
    let (old, new) = (std::fs::read_to_string(&folder.plan).unwrap(), std::fs::read_to_string(&path).unwrap());
    let mut added = Vec::new();
    let mut fresh = new.lines();
    for line in old.lines() {
        let mut other = fresh.next().expect("as many lines");
        while other != line && other.contains("# typical before the checks") {
            added.push(other);
            other = fresh.next().expect("as many lines");
        }
        assert_eq!(frame(line), frame(other).replace(", gas_fraction = \"\"", ""));
    }
    assert_eq!(fresh.next(), None);
    assert!(added.iter().any(|line| line.starts_with("mass = ")), "{added:?}");
    assert!(new.contains("# with a thick undergarment") && new != old);

    // it loads, and its central values are those that were told, to half of the last digit written: 1/20 of a
    // half-width at most
    let built = Plan::load(&path).expect("a plan").build().expect("a dive");
    for moved in found["moved"].as_array().unwrap() {
        let key = moved["key"].as_str().unwrap();
        if key.ends_with(".external") {
            continue; // written for the calibrated mass of the size; the dive below holds it
        }
        let input = built.inputs.iter().find(|input| input.path == key).expect(key);
        let (value, told) = (input.quantity.si().number(input.estimate.value), number(moved, "/after"));
        let tolerance = 0.05 * number(moved, "/after_half_width");
        assert!((value - told).abs() <= tolerance, "{key}: {value}, not {told}");
    }
    // and its least lead is the middle of what the checks leave: figures that moved by less than a tenth of their sigma
    // are not written, together about a tenth of the lead's own, which is a quarter of its interval's width
    let least_kg = lightpoint::internals::study::lead_bounds(&built.scenario).unwrap().least_kg;
    let median = number(&found["after"], "/answers/least_lead/median_kg");
    let ends = ["low_kg", "high_kg"].map(|end| number(&found["before"], &format!("/answers/least_lead/{end}")));
    let tolerance = 0.1 * (ends[1] - ends[0]) / 3.92;
    assert!((least_kg - median).abs() < tolerance, "{least_kg} kg, {median} kg");
}

/// Line ends of another system stay, and a typical salinity takes the place of the word for its water.
#[test]
fn line_ends_and_typical_figures() {
    let folder = Folder::new("single-wetsuit.toml");
    let text = std::fs::read_to_string(&folder.plan).unwrap().replace('\n', "\r\n");
    std::fs::write(&folder.plan, &text).unwrap();
    let plan = Plan::load(&folder.plan).unwrap();
    let built = plan.build().unwrap();
    let salinity = built.uncertain().position(|input| input.label == "salinity of the sea").expect("typical");
    let better = lightpoint::internals::estimate::Estimate::within(33.0, 0.5);
    let calibrated = plan.calibrated(&built, &[(salinity, better)]);
    assert_eq!(calibrated.written, [salinity]);
    let old = text.lines().find(|line| line.starts_with("water = ")).expect("the word for the water");
    let new = old.replace("water = \"sea\"", "salinity = \"33.00 ± 0.50 PSU\"");
    assert_eq!(calibrated.text, text.replace(old, &new));
    let again = Plan::parse(&calibrated.text, "again.toml", folder.dir.path()).unwrap().build().unwrap();
    let input = again.inputs.iter().find(|input| input.path == "site.salinity").expect("written");
    assert_eq!(input.estimate, better);
}

/// A line without what stands between quotes.
fn frame(line: &str) -> String {
    line.split('"').step_by(2).collect::<Vec<_>>().join("\"\"")
}

/// The checks are written behind the plan, which stays as it is, and may be calibrated again with more of them.
#[test]
fn the_checks_are_written_into_the_plan() {
    let folder = Folder::new("single-wetsuit.toml");
    let old = std::fs::read_to_string(&folder.plan).unwrap();
    let checks = folder
        .checks("depth_ft,outcome,doubt,back_psi,lead,water,note\n10,neutral,0.5 kg,800,1 kg,pool,\"calm, twice\"\n");
    folder.calibrate(&checks, &[]);
    let path = folder.dir.path().join("single-wetsuit-calibrated.toml");
    let new = std::fs::read_to_string(&path).unwrap();
    let added = new.strip_prefix(old.trim_end()).expect("the plan as it was");
    for line in [
        "[[weight_check]]",
        "depth = \"10 ft\"",
        "back = \"800 psi\"",
        "lead = \"1 kg\"",
        "water = \"pool\"",
        "doubt = \"0.5 kg\"",
        "note = \"calm, twice\"",
    ] {
        assert!(added.lines().any(|one| one == line), "{line}: {added}");
    }
    let more = folder.dir.path().join("more.csv");
    std::fs::write(&more, "depth,outcome,back,lead\n5 m,floated,40 bar,1 kg\n").unwrap();
    let found: Value =
        serde_json::from_str(&quiet(&["calibrate", text_of(&path), text_of(&more), "--no-files", "--json"])).unwrap();
    assert_eq!(found["checks"].as_array().unwrap().len(), 2);
    assert_eq!(found["checks"][1]["check"], "Line 2");
}

#[test]
fn nothing_is_overwritten() {
    let folder = Folder::new("cold-trimix.toml");
    let checks = folder.checks(&truth_csv(&[]));
    let path = folder.dir.path().join("cold-trimix-calibrated.toml");
    std::fs::write(&path, "mine").unwrap();
    for out in [&path, &folder.plan] {
        let output = run(&["calibrate", text_of(&folder.plan), text_of(&checks), "--out", text_of(out)]);
        let stderr = String::from_utf8_lossy(&output.stderr);
        assert!(
            output.status.code() == Some(2) && stderr.contains("exists already and is not overwritten"),
            "{stderr}"
        );
    }
    assert_eq!(std::fs::read_to_string(&path).unwrap(), "mine");
}

/// Who could just not stay at 6 m is lighter than nothing there: the least lead cannot lie below what that takes.
#[test]
fn a_one_sided_check_cuts_one_side_off() {
    let folder = Folder::new("cold-trimix.toml");
    let checks = folder.checks(
        "depth,outcome,doubt,back,fifty,oxygen,argon\n6 m,could not stay,0.2 kg,50 bar,30 bar,30 bar,100 bar\n",
    );
    let found = folder.json(&checks, &["--no-files"]);
    assert!(found["written"].is_null());
    let end = |part: &str, end: &str| number(&found[part], &format!("/answers/least_lead/{end}_kg"));
    assert!(end("after", "low") > end("before", "low") + 1.0, "{found}");
    // what is cut off below moves the upper end up a little, by less than a quarter of the whole
    let width_kg = end("before", "high") - end("before", "low");
    assert!((end("after", "high") - end("before", "high")).abs() < 0.25 * width_kg, "{found}");
}

/// Two checks that agree and one with four litres in the wing that is said to be empty.
#[test]
fn a_contradiction_is_named_and_left_out() {
    let folder = Folder::new("cold-trimix.toml");
    let truth = truth_csv(&[]);
    let clean = folder.json(&folder.checks(&truth), &["--no-files"]);
    let wrong = format!("{truth}3 m,reading 3.0 kg,0.1 kg (95%),200 bar,190 bar,180 bar,150 bar\n");
    let checks = folder.checks(&wrong);
    let found = folder.json(&checks, &["--no-files"]);
    let last = &found["checks"][3];
    assert!(last["contradicts"] == "plan" || last["contradicts"] == "other-checks", "{last}");
    assert!(number(last, "/residual") > 3.0);
    let reasons: Vec<&str> = last["reasons"].as_array().unwrap().iter().filter_map(Value::as_str).collect();
    assert!(reasons[0].contains("gas in the suit") && reasons[1].contains("the wing not empty"), "{reasons:?}");
    // it takes no part: the answer is that of the others, to the scatter of the draws
    let low = |value: &Value| number(&value["after"], "/answers/least_lead/low_kg");
    assert!((low(&found) - low(&clean)).abs() < 0.02, "{} kg, {} kg", low(&found), low(&clean));
    let text = folder.calibrate(&checks, &["--no-files"]);
    insta::assert_snapshot!(masked(&text));
}

/// Figures of the gear list are told, not written into the plan.
#[test]
fn the_gear_list_is_left_to_its_owner() {
    let folder = Folder::new("single-wetsuit.toml");
    let list = std::fs::read(folder.dir.path().join("gear.csv")).unwrap();
    let checks =
        folder.checks("depth_m,outcome,doubt,back_bar,lead\n2,neutral,0.2 kg,60,4 kg\n5,neutral,0.2 kg,60,3 kg\n");
    let text = folder.calibrate(&checks, &["--figures"]);
    assert!(text.contains("not in the plan itself") && text.contains("gear.csv, line "), "{text}");
    assert_eq!(std::fs::read(folder.dir.path().join("gear.csv")).unwrap(), list);
    Plan::load(folder.dir.path().join("single-wetsuit-calibrated.toml")).expect("a plan").build().expect("a dive");
}

#[test]
fn bad_checks_are_told_with_their_place() {
    let names = ["back", "deco 1"];
    let told = |text: &str| checks_from(text, "checks.csv", &names).expect_err(text).to_string();
    let all = [
        "depth,outcome\n3 m,neutral\n",
        "depth,outcome,doubt,bak\n3 m,neutral,0.3 kg,200 bar\n",
        "depth,outcome,doubt\n3 m,neutrl,0.3 kg\n3 m,floated,0.3 kg\n3 m,needed 1.2,0.3 kg\n3 m,reading much,0.3 kg\n",
        "depth,outcome,doubt\n3 kg,neutral,0.3 kg\n3,neutral,0.3 kg\n400 m,neutral,0.3 kg\n3 m,neutral,0 kg\n3 m,neutral,\n",
        "depth_fathom,outcome,doubt\n3,neutral,0.3 kg\n",
        "depth,outcome,doubt,wing,water,back\n3 m,neutral,0.3 kg,emty,fesh,200 kg\n3 m,neutral,0.3 kg,3 kg,900 kg/m3,\n",
        "depth,outcome,doubt\n",
        "depth,outcome,doubt\n3 m,,\n",
    ];
    let text: Vec<String> = all.iter().map(|text| told(text)).collect();
    insta::assert_snapshot!(text.join("\n\n"));
}

#[test]
fn checks_in_the_units_of_the_header_and_the_cell() {
    let text = "depth_ft,outcome,doubt_lb,back_psi,deco 1,wing,water,lead\n10,Needed -2 lb,0.5,3000,100 bar,2 L,1025 kg/m3,12 lb\n20,could not stay,1,,50 bar,empty,pool,\n30,,,,,,,12 lb\n";
    let rows = checks_from(text, "checks.csv", &["back", "deco 1"]).expect("checks");
    assert!((rows[0].depth_m - 3.048).abs() < 1e-12); // 10 ft of 0.3048 m, exact by definition
    assert_eq!(rows[0].gauges.len(), 2);
    assert!((rows[0].gauges[1].1 - 100e5).abs() < 1e-6);
    assert!((rows[0].wing_m3 - 0.002).abs() < 1e-15);
    assert!((rows[0].lead_kg.unwrap() - 12.0 * 0.45359237).abs() < 1e-12);
    assert_eq!(rows.len(), 2, "a line of the form that was not filled in is no check");
    assert!(rows[1].gauges.len() == 1 && rows[1].lead_kg.is_none());
    assert!(rows[1].water.unwrap().doubt.is_some(), "the pool's density is a typical figure");
}
