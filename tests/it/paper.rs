//! The sum on paper beside that of the dive: `ballast --paper`.

use std::path::Path;

use lightpoint::internals::answer::{Paper, PaperColumn, PaperLine, Why};
use lightpoint::internals::sim::Owner;
use lightpoint::internals::study::LeadRange;
use lightpoint::{Built, Plan};
use serde_json::Value;

use crate::command::Cli;

const PLANS: [&str; 4] = ["single-wetsuit", "cold-trimix", "coastal-cave", "mountain-lake"];

fn paper_of(plan: &Plan) -> (Built, LeadRange, Paper) {
    let built = plan.build().expect("a plan");
    let range = LeadRange::of(&built.scenario).expect("a range");
    let paper = Paper::of(plan, &built, &range).expect("sums");
    (built, range, paper)
}

fn loaded(name: &str) -> Plan {
    Plan::load(Path::new(&format!("profiles/{name}.toml"))).expect("a plan")
}

fn line(column: &PaperColumn, wanted: impl Fn(&PaperLine) -> bool) -> &PaperLine {
    column.lines.iter().find(|line| wanted(line)).expect("a line")
}

/// The reasons of each line come to its difference, and all of them with lead's pull to that of the two leads. They are
/// sums of the same numbers, so a nanogram is rounding; the run meets its end to a hundredth of a gram (a tenth more in
/// lead, which pulls nine tenths).
#[test]
fn the_reasons_add_up() {
    for name in PLANS {
        let (_, range, paper) = paper_of(&loaded(name));
        for (column, lead_kg) in [(&paper.end, range.least.lead_kg), (&paper.start, range.most.lead_kg)] {
            for line in &column.lines {
                let told_kg: f64 = line.reasons.iter().map(|reason| reason.lift_kg).sum();
                assert!((told_kg - line.difference_kg()).abs() < 2e-9, "{name}: {line:?}");
            }
            assert_eq!(column.tool_lead_kg, lead_kg);
            let all_kg: f64 = Why::ALL.iter().map(|why| column.reason_kg(*why)).sum();
            let between_kg = column.tool_lead_kg - column.paper_lead_kg;
            assert!((all_kg - between_kg).abs() < 5e-5, "{name}: {all_kg} {between_kg}");
            // a plan as it is written has nothing that was corrected later
            assert!(column.reason_kg(Why::Corrected).abs() < 1e-9, "{name}");
        }
    }
}

/// The lines of the dive are those of `--explain`.
#[test]
fn the_lines_of_the_dive_are_those_of_the_moment() {
    for name in PLANS {
        let (built, range, paper) = paper_of(&loaded(name));
        let ballast = built.scenario.with_lead(1.0, 0.0).rig().parts.len() - 1;
        for (column, bound) in [(&paper.end, &range.least), (&paper.start, &range.most)] {
            let moment = bound.binding.lines.iter().filter(|line| line.owner != Owner::Part(ballast));
            let moment_kg: f64 = moment.map(|line| line.lift_kg).sum();
            assert!((column.tool_kg() - moment_kg).abs() < 1e-9, "{name}: {} {moment_kg}", column.tool_kg());
        }
    }
}

/// Paper itself, by hand: 12 L at 200 bar of air. The rule (common practice): litres × bar × 1.2 g/L.
#[test]
fn paper_counts_as_an_instructor_does() {
    let plan = r#"
        gear = "none"
        [site]
        water = "sea"
        temperature = "20 °C"
        [diver]
        mass = "80 kg"
        in_water = "1.5 kg"
        read_in = "fresh"
        [[part]]
        name = "foam"
        mass = "2 kg"
        foam = { volume = "6 L" }
        [[part]]
        name = "plate"
        in_water = "-2.4 kg"
        [[ballast]]
        name = "lead"
        mass = "4 kg"
        [[cylinder]]
        name = "back"
        size = "steel 12 L 232 bar"
        in_water = "-1.2 kg"
        read_in = "fresh"
        gas = "air"
        fill = "200 bar"
        [dive]
        depth = "18 m"
        time = "20 min"
        reserve = "50 bar"
    "#;
    let (_, _, paper) = paper_of(&Plan::parse(plan, "hand.toml", "").expect("a plan"));
    // 1.5 + 4 − 2.4 − 1.2, cylinder empty
    assert!((paper.end.paper_lead_kg - 1.9).abs() < 1e-9, "{}", paper.end.paper_lead_kg);
    // air of one atmosphere at 20 °C weighs 1.204 g/L (handbook, from memory): 12 × 200 × 1.204 g = 2.890 kg, and what can
    // be swum up is 7 kg; a gram for the last digit of the handbook's
    assert!((paper.start.paper_lead_kg - (1.9 - 2.890 + 7.0)).abs() < 2e-3, "{}", paper.start.paper_lead_kg);
    // gas that stays: 12 × 50 × 1.204 g
    let gas = line(&paper.end, |line| line.owner == Owner::Gas(0));
    let kept = gas.reasons.iter().find(|reason| reason.why == Why::Reserve).expect("is kept");
    assert!((kept.lift_kg + 0.7224).abs() < 1e-3, "{}", kept.lift_kg);
    // a plate that is a reading alone is the same in every water
    let plate = line(&paper.end, |line| line.label == "plate");
    assert!(plate.reasons.is_empty(), "{plate:?}");
    // the body displaces (80 + 1.5)/999.1 m³, and so much more is carried by the sea; 1e-9 kg is rounding
    let body = line(&paper.end, |line| line.label == "diver");
    assert_eq!(body.reasons.len(), 1);
    let more_kg = 81.5 / 999.1 * (paper.end.water_kg_m3 - 999.1);
    assert!((body.difference_kg() - more_kg).abs() < 1e-9, "{body:?}");
    // lead's pull: ρ/11 340 of it
    let pull_kg = paper.end.tool_lead_kg * paper.end.water_kg_m3 / 11_340.0;
    assert!((paper.end.reason_kg(Why::LeadPull) - pull_kg).abs() < 1e-9);
}

/// A set read full, a cylinder that may be gone, and one that is picked up later are told as such.
#[test]
fn cylinders_that_come_and_go_have_their_reasons() {
    let (built, range, paper) = paper_of(&loaded("cold-trimix"));
    let gone = range.least.binding.gone.first().expect("one may be gone");
    let oxygen = line(&paper.end, |line| line.owner == Owner::Cylinder(gone));
    assert_eq!(built.scenario.rig().cylinders[gone].name(), "oxygen");
    assert_eq!(oxygen.tool_kg, 0.0);
    assert!(oxygen.reasons.iter().all(|reason| reason.why == Why::MayBeGone));
    let (_, range, paper) = paper_of(&loaded("coastal-cave"));
    let carried = range.most.binding.carried;
    for line in paper.start.lines.iter().filter(|line| matches!(line.owner, Owner::Cylinder(_))) {
        let is_there = line.owner.cylinder().is_some_and(|i| carried.contains(i));
        assert_eq!(is_there, line.reasons.iter().all(|reason| reason.why != Why::LeftBehind), "{line:?}");
    }
}

/// The numbers of the JSON are those of the text, and are the typed object of the schema (`result_schema` checks it all).
#[test]
fn as_json_only_where_it_is_asked_for() {
    let result = |args: &[&str]| -> Value { serde_json::from_str(&Cli::new(args).ok().stdout).expect("JSON") };
    let plan = std::fs::canonicalize("profiles/cold-trimix.toml").expect("a plan");
    let plan = plan.to_string_lossy();
    assert!(result(&["ballast", &plan, "--json"])["paper"].is_null());
    let told = result(&["ballast", &plan, "--json", "--paper"]);
    let end = &told["paper"]["end"];
    assert_eq!(end["lead_kg"], told["least"]["lead_kg"]);
    let number = |value: &Value| value.as_f64().expect("a number");
    let reasons = |line: &Value| {
        line["reasons"].as_array().expect("reasons").iter().map(|one| number(&one["lift_kg"])).sum::<f64>()
    };
    for line in end["lines"].as_array().expect("lines") {
        // each number is rounded to a milligram
        assert!((number(&line["lift_kg"]) - number(&line["paper_kg"]) - reasons(line)).abs() < 5e-6, "{line}");
    }
}

#[test]
fn the_words_in_both_units() {
    let plan = std::fs::canonicalize("profiles/single-wetsuit.toml").expect("a plan");
    let plan = plan.to_string_lossy();
    let text = Cli::new(&["ballast", &plan, "--paper"]).ok().stdout;
    let from = text.find("  On paper").expect("the answer");
    let to = text.find("• ").expect("notes");
    insta::assert_snapshot!("paper", text[from..to].trim_end());
    let us = Cli::new(&["ballast", &plan, "--paper", "--units", "us"]).ok().stdout;
    assert!(us.contains("lead in lb") && us.contains(" psi"), "{us}");
    assert!(!us.contains(" kg"), "{us}");
}
