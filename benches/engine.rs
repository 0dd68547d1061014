//! The engine: one 70-minute dive with four cylinders.
//!
//! What bounds it: at a step the ambient pressure, the water's density and the ambient density of each gas are
//! polynomials of degree 3 to 5 (none of them at constant depth), the balance is a handful of sums; recording adds one
//! polynomial of degree 11 for the pressure of each cylinder and the writing of some 300 bytes. GERG-2008 and TEOS-10 are
//! called only while the scenario is made.
//!
//! Measured on a machine with two cores, medians of several runs: recorded at 1 s 0.60 to 0.63 ms (150 ns a step; limit 1 ms), not
//! recorded at 10 s 45 to 54 µs (limit 60 µs), all findings of a trace at 1 s 0.87 to 0.89 ms, making the scenario 41 to
//! 59 µs.

#[path = "../tests/it/parts.rs"]
mod parts;
#[path = "../tests/it/support/mod.rs"]
mod support;

use lightpoint::scenario::Settings;
use lightpoint::sim::{self, Moment, SimError, Watch};

fn main() {
    divan::main();
}

/// Keeps the heaviest moment, as a study would.
struct Heaviest(f64);

impl Watch for Heaviest {
    fn moment(&mut self, at: &Moment<'_>) -> Result<(), SimError> {
        self.0 = self.0.min(at.now.balance.bare_kg());
        Ok(())
    }
}

#[divan::bench]
fn recorded_1_s(bencher: divan::Bencher) {
    let dive = support::case_a(Settings::default());
    bencher.bench(|| sim::run(&dive));
}

#[divan::bench]
fn not_recorded_10_s(bencher: divan::Bencher) {
    let dive = support::case_a(Settings { step_s: 10.0, ..Settings::default() });
    bencher.bench(|| {
        let mut heaviest = Heaviest(0.0);
        sim::drive(&dive, &mut heaviest).map(|()| heaviest.0)
    });
}

#[divan::bench]
fn findings_1_s(bencher: divan::Bencher) {
    let dive = support::case_a(Settings::default());
    let trace = sim::run(&dive).expect("runs");
    bencher.bench(|| lightpoint::findings::Findings::of(&dive, &trace));
}

#[divan::bench]
fn make_a_scenario() -> lightpoint::scenario::Scenario {
    support::case_a(Settings::default())
}
