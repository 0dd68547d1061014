//! The engine: one 70-minute dive with four cylinders.
//!
//! What bounds it: a run works out the balance some hundred times, at both ends of every stretch and at three moments
//! inside of each that moves; each time the ambient pressure, the water's density and the ambient density of each gas are
//! polynomials of degree 3 to 5 (none of them at constant depth) and the balance is a handful of sums. A series adds one
//! polynomial of degree 11 for the pressure of each cylinder and the writing of some 300 bytes a row. GERG-2008 and
//! TEOS-10 are called only while the scenario is made.

#[path = "../tests/it/parts.rs"]
mod parts;
#[path = "../tests/it/support/mod.rs"]
mod support;

use lightpoint::internals::profile::{Leg, Profile};
use lightpoint::internals::scenario::{Scenario, Settings};
use lightpoint::internals::sim::{self, Run};
use lightpoint::internals::study::{Probe, lead_bounds_from};

fn main() {
    divan::main();
}

#[divan::bench]
fn a_run_that_is_kept(bencher: divan::Bencher) {
    let dive = support::case_a(Settings::default());
    bencher.bench(|| sim::run(&dive));
}

/// Pulled span by span, of which only the heaviest start is kept.
#[divan::bench]
fn a_run_that_is_not_kept(bencher: divan::Bencher) {
    let dive = support::case_a(Settings::default());
    bencher.bench(|| {
        Run::new(&dive).try_fold(0.0f64, |heaviest_kg, span| {
            Ok::<_, sim::SimError>(heaviest_kg.min(span?.start().balance.bare_kg()))
        })
    });
}

#[divan::bench]
fn rows_every_second(bencher: divan::Bencher) {
    let dive = support::case_a(Settings::default());
    let trace = sim::run(&dive).expect("runs");
    bencher.bench(|| trace.series(&dive, 1.0, &[]));
}

#[divan::bench]
fn findings(bencher: divan::Bencher) {
    let dive = support::case_a(Settings::default());
    let trace = sim::run(&dive).expect("runs");
    bencher.bench(|| lightpoint::internals::findings::Findings::of(&dive, &trace));
}

/// What `run` answers, the plan parsed and the tables kept: the run, its findings, the lead range (a run or two more).
#[divan::bench]
fn run_findings_and_lead_range(bencher: divan::Bencher) {
    let dive = support::case_a(Settings::default());
    bencher.bench(|| {
        let trace = sim::run(&dive).expect("runs");
        let findings = lightpoint::internals::findings::Findings::of(&dive, &trace);
        let probe = Probe::of_trace(&dive, &trace);
        (findings, lead_bounds_from(&dive, &probe))
    });
}

/// The same dive cut into legs of one second: what fixed steps would cost, for comparison.
#[divan::bench]
fn a_run_in_steps_of_a_second(bencher: divan::Bencher) {
    let dive = support::case_a(Settings::default());
    let profile = dive.profile();
    let mut legs = Vec::new();
    for (i, leg) in profile.legs().iter().enumerate() {
        let (start_s, start_m) = profile.leg_start(i);
        let count = (leg.end_s - start_s).round().max(1.0);
        for k in 1..=(count as usize) {
            let share = k as f64 / count;
            let (end_s, end_m) = (start_s + share * (leg.end_s - start_s), start_m + share * (leg.end_m - start_m));
            legs.push(Leg { end_s, end_m, ..*leg });
        }
    }
    let profile = Profile::new(profile.start_m(), legs, profile.changes().to_vec()).expect("a profile");
    let cut = Scenario::new(dive.rig().clone(), dive.water().clone(), profile, *dive.settings()).expect("a dive");
    bencher.bench(|| sim::run(&cut));
}

#[divan::bench]
fn make_a_scenario() -> lightpoint::internals::scenario::Scenario {
    support::case_a(Settings::default())
}
