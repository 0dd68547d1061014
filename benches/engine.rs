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

use lightpoint::internals::scenario::Settings;
use lightpoint::internals::sim::{self, Run};

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

#[divan::bench]
fn make_a_scenario() -> lightpoint::internals::scenario::Scenario {
    support::case_a(Settings::default())
}
