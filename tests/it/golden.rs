//! Every plan in `profiles/`, run: numbers by tolerance, steps exactly.
//!
//! These are our own earlier results, not outside numbers: they show that nothing moved unnoticed. After a change that
//! is meant to move them, `LIGHTPOINT_REDRAW=1 cargo test --release --test it golden::` writes them anew.

use crate::common::plans;
use lightpoint::findings::Findings;
use lightpoint::plan::Plan;
use lightpoint::scenario::Settings;
use lightpoint::study::lead_bounds;

/// A gram: what the search for lead promises.
const TOLERANCE_KG: f64 = 1e-3;
const FILE: &str = "tests/golden.csv";

/// The numbers of a plan, by name; the first is the count of steps.
fn numbers(path: &std::path::Path, step_s: f64) -> Vec<(&'static str, f64)> {
    let scenario = Plan::load(path).and_then(|plan| plan.build()).unwrap_or_else(|p| panic!("{p}")).scenario;
    let settings = Settings { step_s, ..*scenario.settings() };
    let scenario = scenario.with_settings(settings).expect("another step");
    let trace = lightpoint::sim::run(&scenario).expect("runs");
    let findings = Findings::of(&scenario, &trace);
    let bounds = lead_bounds(&scenario).expect("closes");
    vec![
        ("steps", trace.steps() as f64),
        ("heavy_kg", findings.heavy.bare_kg),
        ("light_kg", findings.light.bare_kg),
        ("load_kg", findings.failed_wing.worst.load_kg),
        ("hold_planned_kg", findings.last_hold().planned.bare_kg),
        ("hold_drained_kg", findings.last_hold().drained.bare_kg),
        ("least_kg", bounds.least_kg),
        ("most_kg", bounds.most_kg),
        // a litre of wing lifts about a kilogram
        ("wing_l", findings.wing.needed_m3 * 1e3),
    ]
}

/// Halving the step changes no finding by more than 2 g (2 mL of the wing, which is as much).
#[test]
fn half_the_step_is_the_same_dive() {
    for path in plans() {
        for ((what, whole), (_, half)) in numbers(&path, 1.0).into_iter().zip(numbers(&path, 0.5)).skip(1) {
            assert!((whole - half).abs() < 0.002, "{}, {what}: {whole} against {half}", path.display());
        }
    }
}

#[test]
fn plans_give_what_they_gave() {
    let mut found = Vec::new();
    for path in &plans() {
        let name = path.file_stem().unwrap().to_string_lossy().into_owned();
        found.extend(numbers(path, 1.0).into_iter().map(|(what, value)| (name.clone(), what, value)));
    }
    if std::env::var_os("LIGHTPOINT_REDRAW").is_some() {
        let lines: String = found.iter().map(|(plan, what, value)| format!("{plan},{what},{value:.6}\n")).collect();
        std::fs::write(FILE, format!("plan,what,value\n{lines}")).unwrap();
    }
    let kept = std::fs::read_to_string(FILE).expect("earlier results");
    let kept: Vec<&str> = kept.lines().skip(1).collect();
    assert_eq!(kept.len(), found.len(), "plans were added or removed");
    for (line, (plan, what, value)) in kept.iter().zip(&found) {
        let expected: f64 = line.rsplit(',').next().unwrap().parse().unwrap();
        assert!(line.starts_with(&format!("{plan},{what},")), "{line} against {plan}, {what}");
        let tolerance = if *what == "steps" { 0.5 } else { TOLERANCE_KG };
        assert!((value - expected).abs() < tolerance, "{plan}, {what}: {value}, earlier {expected}");
    }
}
