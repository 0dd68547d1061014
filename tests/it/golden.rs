//! Every plan in `profiles/`, run: numbers by tolerance, evaluations exactly.
//!
//! These are our own earlier results, not outside numbers: they show that nothing moved unnoticed. After a change that
//! is meant to move them, `LIGHTPOINT_REDRAW=1 cargo test --release --test it golden::` writes them anew.

use crate::common::plans;
use lightpoint::internals::findings::Findings;
use lightpoint::internals::plan::Plan;
use lightpoint::internals::scenario::{Settings, TOLERANCE_KG};
use lightpoint::internals::study::lead_bounds;

/// A gram: what the search for lead promises.
const GRAM_KG: f64 = 1e-3;
const FILE: &str = "tests/golden.csv";

/// The numbers of a plan, by name; the first is how often the run worked out the balance.
fn numbers(path: &std::path::Path, tolerance_kg: f64) -> Vec<(&'static str, f64)> {
    let scenario = Plan::load(path).and_then(|plan| plan.build()).unwrap_or_else(|p| panic!("{p}")).scenario;
    let settings = Settings { tolerance_kg, ..*scenario.settings() };
    let scenario = scenario.with_settings(settings).expect("another tolerance");
    let trace = lightpoint::internals::sim::run(&scenario).expect("runs");
    let findings = Findings::of(&scenario, &trace);
    let bounds = lead_bounds(&scenario).expect("closes");
    vec![
        ("evaluations", trace.evaluations() as f64),
        ("heavy_kg", findings.heavy.bare_kg),
        ("light_kg", findings.light.bare_kg),
        ("load_kg", findings.failed_wing.worst.load_kg),
        ("hold_planned_kg", findings.last_hold().planned.bare_kg),
        ("hold_at_reserve_kg", findings.last_hold().at_reserve.bare_kg),
        ("least_kg", bounds.least_kg),
        ("most_kg", bounds.most_kg),
        // a litre of wing lifts about a kilogram
        ("wing_l", findings.wing.needed_m3 * 1e3),
    ]
}

/// A hundredth of the tolerance changes no mass by more than the tolerance, 0.1 g (0.1 mL of the wing, which is as much);
/// a lead by 0.1 g over what a kilogram of it pulls, 0.91.
#[test]
fn a_finer_tolerance_is_the_same_dive() {
    for path in plans() {
        let (usual, finer) = (numbers(&path, TOLERANCE_KG), numbers(&path, 0.01 * TOLERANCE_KG));
        for ((what, usual), (_, finer)) in usual.into_iter().zip(finer).skip(1) {
            assert!((usual - finer).abs() < 1.1 * TOLERANCE_KG, "{}, {what}: {usual} against {finer}", path.display());
        }
    }
}

#[test]
fn plans_give_what_they_gave() {
    let mut found = Vec::new();
    for path in &plans() {
        let name = path.file_stem().unwrap().to_string_lossy().into_owned();
        found.extend(numbers(path, TOLERANCE_KG).into_iter().map(|(what, value)| (name.clone(), what, value)));
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
        let tolerance = if *what == "evaluations" { 0.5 } else { GRAM_KG };
        assert!((value - expected).abs() < tolerance, "{plan}, {what}: {value}, earlier {expected}");
    }
}
