//! Every plan in `profiles/` builds, and a draw of its central values is the plan itself.

use std::path::Path;

use lightpoint::plan::{Built, Plan};

/// The demonstration plans.
fn profiles() -> Vec<String> {
    let mut found: Vec<String> = std::fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("profiles"))
        .unwrap()
        .map(|entry| entry.unwrap().path().display().to_string())
        .filter(|path| path.ends_with(".toml"))
        .collect();
    found.sort();
    assert!(!found.is_empty());
    found
}

fn built(path: &str) -> (Plan, Built) {
    let plan = Plan::load(path).unwrap_or_else(|problems| panic!("{problems}"));
    let built = plan.build().unwrap_or_else(|problems| panic!("{problems}"));
    (plan, built)
}

#[test]
fn every_profile_builds_and_says_that_it_is_invented() {
    for path in profiles() {
        let (plan, built) = built(&path);
        assert!(plan.title().to_lowercase().contains("invented"), "{path}");
        assert!(built.uncertain().count() >= 5, "{path}: several figures carry a doubt");
        assert!(built.scenario.profile().end_s() > 600.0, "{path}");
        println!("{path}");
        for input in &built.inputs {
            println!("  {} | {} | {:?} | {}", input.path, input.label, input.estimate, input.origin.word());
        }
        for note in &built.notes {
            println!("  note: {note}");
        }
    }
}

#[test]
fn the_central_draw_is_the_plan() {
    for path in profiles() {
        let (plan, built) = built(&path);
        let drawn = plan.build_draw(&built.central(), &built.tables, 1.0).unwrap();
        assert_eq!(drawn.segments(), built.scenario.segments(), "{path}");
        assert_eq!(drawn.diver().parts, built.scenario.diver().parts, "{path}");
        for (a, b) in drawn.diver().cylinders.iter().zip(&built.scenario.diver().cylinders) {
            // fills of a draw come from the gas table, whose error is Isotherm::TABLE_ERROR
            assert!((a.filled_mol / b.filled_mol - 1.0).abs() < 1e-6, "{path}: {}", a.name);
        }
    }
}

/// Not a check but a figure: `cargo test --release --test plan_profiles -- --ignored --nocapture`.
#[test]
#[ignore = "prints a time"]
fn cost_of_a_draw() {
    for path in profiles() {
        let (plan, built) = built(&path);
        let central = built.central();
        let count = 2000;
        let start = std::time::Instant::now();
        for _ in 0..count {
            std::hint::black_box(plan.build_draw(std::hint::black_box(&central), &built.tables, 10.0).unwrap());
        }
        let central_us = start.elapsed().as_secs_f64() / f64::from(count) * 1e6;
        let moved: Vec<f64> = built
            .uncertain()
            .map(|input| input.estimate.value + 0.1 * input.estimate.doubt.unwrap().half_width)
            .collect();
        let start = std::time::Instant::now();
        for _ in 0..count {
            std::hint::black_box(plan.build_draw(std::hint::black_box(&moved), &built.tables, 10.0).unwrap());
        }
        let moved_us = start.elapsed().as_secs_f64() / f64::from(count) * 1e6;
        println!("{path}: {central_us:.1} µs central, {moved_us:.1} µs moved");
    }
}
