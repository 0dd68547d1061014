//! The outside checks of whole dives once more, through the commands as a user types them.
//!
//! W2 and W3: gas masses of W1, computed with CoolProp 8.0.0 (HEOS air), and Boyle's and Archimedes' laws; see
//! `tests/it/whole_dives.rs`, which asks the engine. Here the lead is what `ballast` says, so its answer is checked too.

use serde_json::Value;

use crate::command::{json, number, quiet};

const PLAN: &str = "tests/square/w3.toml";

/// The least lead of the plan with some changes, kg.
fn least_kg(sets: &[&str]) -> f64 {
    let mut args = vec!["ballast", PLAN, "--json"];
    sets.iter().for_each(|set| args.extend(["--set", set]));
    number(&json(&args), "/least/lead_kg")
}

/// The run of the plan with its least lead.
fn run_at_least(sets: &[&str]) -> Value {
    let lead = format!("ballast.lead.mass={} kg", least_kg(sets));
    let mut args = vec!["run", PLAN, "--json", "--no-files", "--set", &lead];
    sets.iter().for_each(|set| args.extend(["--set", set]));
    json(&args)
}

/// A foam without gas is a rigid suit.
const RIGID: &str = "suit.foam.gas_fraction=0 %";

/// Tolerance 0.05 kg as W2 states it: 0.3 % of the gas, and the wing's own gas.
#[test]
fn w2_rigid_suit_by_run_and_ballast() {
    let result = run_at_least(&[RIGID]);
    assert!((number(&result, "/findings/heavy_point/net_wing_empty_kg") + 2.372).abs() < 0.05);
    assert_eq!(number(&result, "/findings/heavy_point/time_s"), 0.0);
    // at the end of the stop, where the gas is what counts as at reserve, the diver is neutral: to the 0.4 bar by which
    // the equations of state differ at 60 bar (12 L × 0.4 bar is 6 g)
    assert!(number(&result, "/findings/holds/0/planned/margin_kg").abs() < 0.01);
    assert!((number(&result, "/findings/wing/under_water_m3") - 2.314e-3).abs() < 0.05e-3);
    assert_eq!(result["findings"]["failed_wing"]["verdict"], "can-swim");
}

/// Tolerance 0.05 kg and 0.1 min as W3 states them.
#[test]
fn w3_foam_suit_by_run_and_ballast() {
    let result = run_at_least(&[]);
    assert!((number(&result, "/findings/heavy_point/net_wing_empty_kg") + 7.655).abs() < 0.05);
    assert!((number(&result, "/findings/failed_wing/spans/0/start_s") / 60.0 - 1.151).abs() < 0.1);
    assert!((number(&result, "/findings/failed_wing/spans/0/end_s") / 60.0 - 8.121).abs() < 0.1);
    assert!((number(&result, "/findings/light_point/time_s") / 60.0 - (24.5 + 25.0 / 9.0)).abs() < 1e-5);
    // W2 again by difference: at 30 m the foam has lost 15 L × 0.838 × (1.01325/1.51325 − 1.01325/4.01325)
    let rigid = number(&run_at_least(&[RIGID]), "/findings/failed_wing/worst_load_kg");
    assert!(rigid < number(&result, "/findings/failed_wing/worst_load_kg") - 4.0);
}

/// W4: the diver who is neutral at 5 m is 1.314 kg too light at 3 m and 0.535 kg heavy at 6 m. Through `ballast`: a last
/// stop at 3 m takes as much more lead as 1.314 kg of lift is, one at 6 m takes 0.535 kg less, with lead's pull of
/// 1 − 1025/11 340. Tolerance 0.05 kg as W4 states it. The other stop is made by moving the stop of the dive.
#[test]
fn w4_another_last_stop_by_ballast() {
    let pull = 1.0 - 1025.0 / 11_340.0;
    let at_five = least_kg(&[]);
    for (depth, kg) in [("3 m", 1.314), ("6 m", -0.535)] {
        let moved = least_kg(&[&format!("dive.leg[3].to={depth}")]);
        let expected = at_five + kg / pull;
        assert!((moved - expected).abs() < 0.05, "{depth}: {moved} kg, not {expected}");
    }
}

/// The comparison tells the same differences as two runs.
#[test]
fn compare_holds_dives_against_one_another() {
    let both = json(&["compare", PLAN, "--set", RIGID, "--json", "--no-files"]);
    let foam = json(&["run", PLAN, "--json", "--no-files"]);
    let rigid = json(&["run", PLAN, "--json", "--no-files", "--set", RIGID]);
    for (i, result) in [foam, rigid].iter().enumerate() {
        for (key, path) in [
            ("heavy_point_kg", "/findings/heavy_point/net_wing_empty_kg"),
            ("light_point_kg", "/findings/light_point/net_wing_empty_kg"),
            ("least_lead_kg", "/lead/least_kg"),
            ("most_lead_kg", "/lead/most_kg"),
            ("largest_wing_volume_m3", "/findings/wing/needed_m3"),
        ] {
            // both are printed to a millionth; the quick search for lead ends within half a gram either way
            let (a, b) = (number(&both, &format!("/dives/{i}/{key}")), number(result, path));
            assert!((a - b).abs() < 1e-3, "{key}: {a} against {b}");
        }
    }
}

/// Machines read SI, whatever the reader's units are: the same text, to the last letter.
#[test]
fn json_is_si_whatever_the_reader_wants() {
    for args in [
        &["run", PLAN, "--no-files"][..],
        &["ballast", PLAN, "--piece", "0.5 kg"],
        &["compare", PLAN, "--set", RIGID, "--no-files"],
        &["doubt", PLAN, "--no-files", "--draws", "512"],
    ] {
        let with = |units: &str| quiet(&[args, &["--json", "--units", units]].concat());
        let metric = with("metric");
        assert_eq!(metric, with("us"), "{args:?}");
        let result: serde_json::Value = serde_json::from_str(&metric).unwrap();
        assert_eq!(result["schema"], 2, "{args:?}");
        every_key(&result, &mut |key| {
            let end = key.rsplit('_').next().unwrap();
            assert!(!["min", "bar", "psi", "l", "lb", "ft", "cuft", "c", "f"].contains(&end), "{args:?}: {key}");
        });
    }
}

/// Every key of every object in a value.
fn every_key(value: &serde_json::Value, look: &mut impl FnMut(&str)) {
    match value {
        serde_json::Value::Object(map) => map.iter().for_each(|(key, inner)| {
            look(key);
            every_key(inner, look);
        }),
        serde_json::Value::Array(list) => list.iter().for_each(|inner| every_key(inner, look)),
        _ => {}
    }
}

/// The same plan written in feet, pounds, cubic feet, psi and °F gives the same findings within 0.1 g, and volumes within
/// what 0.1 g of water fills.
#[test]
fn metric_and_us_plans_are_one_dive() {
    let metric = json(&["run", PLAN, "--json", "--no-files"]);
    let us = json(&["run", "tests/square/w3-us.toml", "--json", "--no-files"]);
    for path in [
        "/findings/heavy_point/net_wing_empty_kg",
        "/findings/light_point/net_wing_empty_kg",
        "/findings/failed_wing/worst_load_kg",
        "/findings/holds/0/planned/margin_kg",
        "/findings/holds/0/at_reserve/margin_kg",
        "/findings/cylinders/0/last_kg",
        "/lead/least_kg",
        "/lead/most_kg",
    ] {
        let (a, b) = (number(&metric, path), number(&us, path));
        assert!((a - b).abs() < 1e-4, "{path}: {a} against {b}");
    }
    let (a, b) = (number(&metric, "/findings/wing/needed_m3"), number(&us, "/findings/wing/needed_m3"));
    assert!((a - b).abs() < 1e-7, "{a} against {b}");
}
