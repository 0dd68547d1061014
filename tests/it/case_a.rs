//! A whole dive against an independent implementation, row by row.
//!
//! Source: `tests/reference/case-a/`, computed with CoolProp 8.0.0 (HEOS) and GSW-Python 3.6.23, every tenth second kept.
//! Tolerances: the two equations of state differ by up to 0.35 % in density, which is 0.02 kg of the gas on board, 0.6 %
//! of a pressure, 0.03 L of the wing.

use std::collections::HashMap;

use lightpoint::internals::findings::Findings;
use lightpoint::internals::plan::Plan;
use lightpoint::internals::scenario::Scenario;
use lightpoint::internals::sim::terms::cylinder_kg;
use lightpoint::internals::sim::trace::pressure_pa;
use lightpoint::internals::sim::{self, Sample, Trace};
use lightpoint::internals::units::{ATMOSPHERE_PA, BAR_PA};

const CYLINDERS: [&str; 4] = ["back", "deco50", "oxygen", "argon"];

fn dive() -> (Scenario, Trace) {
    let plan = Plan::load("tests/reference/case-a/plan.toml").and_then(|plan| plan.build());
    let scenario = plan.unwrap_or_else(|problems| panic!("{problems}")).scenario;
    let trace = sim::run(&scenario).expect("runs");
    (scenario, trace)
}

fn reference() -> Vec<HashMap<String, f64>> {
    let mut reader = csv::Reader::from_path("tests/reference/case-a/series.csv").expect("the reference");
    let rows = reader.deserialize();
    rows.map(|row| row.expect("a row of numbers")).collect()
}

#[test]
fn every_row_agrees() {
    let (scenario, trace) = dive();
    let rows = reference();
    assert_eq!(rows.len(), 421, "every tenth second of seventy minutes");
    let near = |name: &str, ours: f64, theirs: f64, tolerance: f64, at: f64| {
        assert!((ours - theirs).abs() < tolerance, "{name} at {at} s: {ours}, not {theirs}");
    };
    for row in rows {
        let at = row["time_s"];
        let now = trace.at(&scenario, at);
        let sample = Sample::of(&now, 0);
        // the profile is the same and the water differs by 2 parts in 10⁷
        near("depth", sample.depth_m, row["depth_m"], 1e-6, at);
        near("ambient pressure", sample.ambient_pa / BAR_PA, row["ambient_bar"], 1e-5, at);
        near("water density", sample.water_kg_m3, row["water_kg_m3"], 1e-3, at);
        near("bare net", sample.bare_kg, row["bare_kg"], 0.02, at);
        near("wing volume", sample.wing_m3 * 1e3, row["wing_l"], 0.03, at);
        near("suit volume", sample.suit_m3 * 1e3, row["suit_l"], 1e-6, at);
        // 0.35 % of what is there
        near("gas carried", sample.carried_gas_kg, row["gas_kg"], 0.0035 * row["gas_kg"], at);
        near("wing gas", sample.wing_kg, row["wing_gas_kg"], 0.0035 * 0.036, at);
        near("suit gas", sample.suit_kg, row["suit_gas_kg"], 0.0035 * 0.111, at);
        near("breathed", sample.breathed_kg, row["breathed_kg"], 0.0035 * row["breathed_kg"] + 1e-6, at);
        near("vented", sample.vented_kg, row["vented_kg"], 0.0035 * 0.125 + 1e-6, at);
        for (i, name) in CYLINDERS.into_iter().enumerate() {
            let bar = (pressure_pa(&scenario, &now, i) - ATMOSPHERE_PA) / BAR_PA;
            let theirs = row[&format!("{name}_bar")];
            near(name, bar, theirs, 0.006 * theirs, at);
            near(name, cylinder_kg(&scenario, &now, i), row[&format!("{name}_kg")], 0.02, at);
        }
    }
}

#[test]
fn heavy_and_light_point_are_the_stated_ones() {
    let (scenario, trace) = dive();
    let findings = Findings::of(&scenario, &trace);
    assert!((findings.heavy.bare_kg + 7.3732).abs() < 0.02 && findings.heavy.time_s == 0.0);
    assert!((findings.light.bare_kg + 3.1034).abs() < 0.02 && findings.light.time_s == 3840.0);
    assert_eq!(findings.light.depth_m, 6.0);
}

/// How often the balance is worked out is part of the contract: an innocent change must not double the work.
#[test]
fn evaluations_are_counted() {
    let (_, trace) = dive();
    assert_eq!((trace.evaluations(), trace.spans().len()), (48, 17));
    assert!(trace.events().is_empty());
}
