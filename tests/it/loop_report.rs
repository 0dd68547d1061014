//! A closed circuit wherever a reader looks: the series, the result, the figures that are written, the sheet, a class, the
//! page.
//!
//! Sums by hand are of the demonstration: 1.0 L/min on 15.17 min of way (4 min down, 33 m at 9 m/min, 15 m at 6 m/min, 6 m at
//! 1.5 m/min), 1.2 L/min on 16 min of bottom, 0.8 L/min on 31 min of stops: 59.17 L at 0 °C and 1 atm.

use serde_json::Value;

use crate::command::{Cli, json, number};
use crate::common::plans;

const PLAN: &str = "profiles/closed-circuit.toml";
/// Oxygen that the body takes, L at 0 °C and 1 atm.
const TAKEN_L: f64 = 59.167;
/// Molar volume of the ideal gas there, L.
const MOLAR_L: f64 = 22.414;

fn text(sets: &[(&str, &str)]) -> String {
    let mut text = std::fs::read_to_string(PLAN).unwrap();
    for (from, to) in sets {
        assert!(text.contains(from), "{from} is gone: mend this test");
        text = text.replacen(from, to, 1);
    }
    text
}

fn result(more: &[&str]) -> Value {
    json(&[&["run", PLAN, "--json", "--no-files"], more].concat())
}

/// Rows of the series of a plan, by name of the column.
fn series(plan: &str, more: &[&str]) -> Vec<std::collections::HashMap<String, String>> {
    let done = Cli::new(&[&["run", "plan.toml", "--out", "o", "--figure", "dive", "--every", "10"], more].concat());
    let done = done.plan(plan).ok();
    let text = done.read("o/series.csv");
    csv::Reader::from_reader(text.as_bytes()).deserialize().map(|row| row.unwrap()).collect()
}

#[test]
fn the_series_has_the_loop() {
    let rows = series(&text(&[]), &[]);
    let of = |row: usize, name: &str| -> f64 { rows[row][name].parse().unwrap_or_else(|_| panic!("{name}")) };
    let last = rows.len() - 1;
    // 1.429 g/L: oxygen at 0 °C and 1 atm, a handbook's figure, from memory; real gas, a thousandth heavier
    let taken_g = 1.429 * TAKEN_L;
    assert!((1e3 * of(last, "oxygen_taken_kg") / taken_g - 1.0).abs() < 2e-3, "{}", of(last, "oxygen_taken_kg"));
    assert_eq!(of(0, "oxygen_taken_kg"), 0.0);
    let at = |minute: f64| rows.iter().position(|row| row["time_min"].parse::<f64>().unwrap() >= minute).unwrap();
    // on the bottom the loop is full and at its setpoint
    let bottom = at(15.0);
    assert!((of(bottom, "loop_oxygen_partial_bar") - 1.3).abs() < 1e-4 && (of(bottom, "loop_l") - 6.5).abs() < 1e-3);
    // 6.5 L at 7.1 bar and 284 K: 1.95 mol; 18 % oxygen, half helium: 20 g/mol or a little more
    assert!((0.030..0.045).contains(&of(bottom, "loop_gas_kg")), "{}", of(bottom, "loop_gas_kg"));
    // a cylinder may be called as one likes, and every column still has a name of its own
    let header = Cli::new(&["run", "plan.toml", "--out", "o", "--figure", "dive"]).plan(&text(&[])).ok();
    let header: Vec<String> =
        header.read("o/series.csv").lines().next().unwrap().split(',').map(str::to_owned).collect();
    assert_eq!(header.iter().collect::<std::collections::HashSet<_>>().len(), header.len(), "{header:?}");
    let us = series(&text(&[]), &["--units", "us"]);
    let first = &us[at(15.0).min(us.len() - 1)];
    for name in ["loop_cuft", "loop_gas_lb", "loop_oxygen_partial_bar", "oxygen_taken_lb"] {
        assert!(first.contains_key(name), "{name} in {:?}", first.keys());
    }
    assert!((first["loop_oxygen_partial_bar"].parse::<f64>().unwrap() - 1.3).abs() < 1e-4, "in bar for every reader");
    let open = series(&std::fs::read_to_string("profiles/ten-lines.toml").unwrap(), &[]);
    assert!(open[0].keys().all(|name| !name.contains("loop") && !name.contains("oxygen_taken")));
}

#[test]
fn the_result_has_what_the_loop_used() {
    let plain = result(&[]);
    let found = &plain["findings"]["circuit"];
    let mol = |name: &str| found[name].as_f64().unwrap_or_else(|| panic!("{name} in {found}"));
    assert!((mol("taken_mol") - TAKEN_L / MOLAR_L).abs() < 1e-3, "{}", mol("taken_mol"));
    // a quotient of 0.85; 2.6 kg of 120 L/kg
    assert!((mol("absorbed_mol") - 0.85 * TAKEN_L / MOLAR_L).abs() < 1e-3);
    assert!((mol("absorbs_mol") - 312.0 / MOLAR_L).abs() < 1e-2);
    assert!(mol("oxygen_given_mol") > mol("taken_mol") && mol("diluent_given_mol") > 0.0);
    assert!(found["absorbent_spent"].is_null() && found["left_s"].is_null());
    assert_eq!(found["out"], Value::Array(vec![]));
    assert!(number(&plain, "/findings/circuit/most/oxygen_pa") >= 1.3e5 - 1.0);
    // from 20 min on the diver breathes cylinders: 23.2 L taken by then
    let left = result(&["--set", "loop.bail_out=20 min"]);
    assert_eq!(number(&left, "/findings/circuit/left_s"), 1200.0);
    assert!((number(&left, "/findings/circuit/taken_mol") - 23.2 / MOLAR_L).abs() < 1e-3);
    // 0.2 kg take up 24 L of carbon dioxide, that of 28.235 L of oxygen: 27.667 L are taken after 24:40 min, the rest at 1 L/min
    let spent = result(&["--set", "loop.absorbent=0.2 kg"]);
    let spent_s = number(&spent, "/findings/circuit/absorbent_spent/time_s");
    assert!((spent_s - (24.0 * 60.0 + 40.0 + 60.0 * (28.235 - 27.667))).abs() < 0.1, "{spent_s}");
    // without a loop there is none
    let open = json(&["run", "profiles/ten-lines.toml", "--json", "--no-files"]);
    assert!(open["findings"].as_object().unwrap().contains_key("circuit") && open["findings"]["circuit"].is_null());
}

#[test]
fn a_run_draws_the_loop_where_there_is_one() {
    for path in plans() {
        let name = path.to_str().unwrap();
        let dir = tempfile::tempdir().unwrap();
        let out = dir.path().to_str().unwrap();
        crate::command::quiet(&["run", name, "--out", out]);
        let has_loop = std::fs::read_to_string(&path).unwrap().contains("[loop]");
        assert_eq!(dir.path().join("loop.svg").exists(), has_loop, "{name}");
    }
    let refused = Cli::new(&["run", "plan.toml", "--figure", "loop"]);
    let refused = refused.plan(&std::fs::read_to_string("profiles/ten-lines.toml").unwrap()).refused();
    assert!(refused.contains("a breathing loop that a leg breathes"), "{refused}");
}

#[test]
fn the_sheet_of_a_loop_is_no_check_list() {
    let sheet = |plan: &str| {
        let done = Cli::new(&["handout", "plan.toml", "--out", "page.html"]).plan(plan).ok();
        done.read("page.html")
    };
    let html = sheet(&text(&[]));
    let pack = html.split("id=\"pack\"").nth(1).unwrap().split("</section>").next().unwrap();
    for words in [
        "by the loop: its oxygen",
        "by the loop: its diluent; inflates the wing",
        "if the loop fails",
        "6.5 L of gas in it; setpoint 0.70 bar, 1.30 bar from 4:00 min",
        "no check list for a closed circuit",
        "maker’s instructions come first",
    ] {
        assert!(pack.contains(words), "{words} in {pack}");
    }
    assert!(html.contains("(semi-closed) is left out"));
    // the slider tells the oxygen of every moment: at the setpoint on the bottom
    let data = html.split("id=\"moments\">").nth(1).unwrap().split("</script>").next().unwrap();
    let data: Value = serde_json::from_str(data).unwrap();
    let column = |name: &str| data["columns"].as_array().unwrap().iter().position(|one| one == name).unwrap();
    let rows = data["rows"].as_array().unwrap();
    let at = |minute: f64| {
        let row = rows.iter().find(|row| row[column("time_s")].as_f64().unwrap() >= 60.0 * minute).unwrap();
        row[column("oxygen")].as_f64().unwrap()
    };
    assert!(html.contains("oxygen in the loop") && (at(15.0) - 1.3).abs() < 1e-3, "{}", at(15.0));
    assert!((at(0.0) - 0.7).abs() < 1e-3, "{}", at(0.0));
    let left = sheet(&text(&[("# bail_out = \"20 min\"", "bail_out = \"20 min\"")]));
    assert!(left.contains("off the loop from 20:00 min"));
    let open = sheet(&std::fs::read_to_string("profiles/ten-lines.toml").unwrap());
    assert!(!open.contains("closed circuit") && !open.contains("semi-closed") && !open.contains("in the loop"));
}

#[test]
fn a_student_on_a_loop() {
    let class = text(&[("[site]", "[class]\npieces = [\"2 kg\", \"1 kg\", \"0.5 kg\"]\n[site]")])
        + "\n[[student]]\nname = \"Ana\"\n[[student]]\nname = \"Ben\"\nloop = { absorbent = \"0.2 kg\" }\n";
    let done = Cli::new(&["class", "class.toml", "--no-trials", "--json"]).file("class.toml", &class).ok();
    let answer: Value = serde_json::from_str(&done.stdout).unwrap();
    let kinds = |student: usize| -> Vec<String> {
        let trouble = answer["students"][student]["lead"]["trouble"].as_array().unwrap();
        trouble.iter().map(|one| one["kind"].as_str().unwrap().to_owned()).collect()
    };
    assert!(!kinds(0).contains(&"absorbent-spent".to_owned()), "{:?}", kinds(0));
    assert!(kinds(1).contains(&"absorbent-spent".to_owned()), "{:?}", kinds(1));
    let told = Cli::new(&["class", "class.toml", "--no-trials"]).file("class.toml", &class).ok().stdout;
    assert!(told.contains("Absorbent") && told.contains("Ben: used up before the loop is left"), "{told}");
}
