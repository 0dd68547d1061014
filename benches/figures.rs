//! The figure of a dive, from the recorded run to the bytes of a file.
//!
//! What bounds it: thinning the curves and finding free places for the labels; for the PNG, filling and compressing
//! 1600 × 1200 pixels.

use lightpoint::internals::findings::Findings;
use lightpoint::internals::plan::Plan;
use lightpoint::internals::report::Rows;
use lightpoint::internals::report::chart::{Facts, Figure, PNG_WIDTH_PX, Picture, draw};
use lightpoint::internals::report::measure::UnitSystem;
use lightpoint::internals::scenario::Scenario;
use lightpoint::internals::sim::{self, Trace};

fn main() {
    divan::main();
}

/// The demonstration dive: 70 minutes, four cylinders.
struct Dive {
    title: String,
    scenario: Scenario,
    trace: Trace,
    rows: Rows,
    findings: Findings,
}

impl Dive {
    fn run() -> Self {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/profiles/cold-trimix.toml");
        let plan = Plan::load(std::path::Path::new(path)).expect("a valid plan");
        let scenario = plan.build().expect("a valid plan").scenario;
        let trace = sim::run(&scenario).expect("a run");
        let findings = Findings::of(&scenario, &trace);
        let rows = Rows::for_looking(&scenario, &trace, &findings);
        Self { title: plan.title().into(), scenario, trace, rows, findings }
    }

    fn picture(&self) -> Picture {
        let facts = Facts {
            title: &self.title,
            note: None,
            scenario: &self.scenario,
            rows: &self.rows,
            events: self.trace.events(),
            findings: &self.findings,
            leads: &[],
            units: UnitSystem::Metric,
        };
        draw(Figure::Dive, &facts).expect("a figure")
    }
}

#[divan::bench]
fn svg_of_the_dive(bencher: divan::Bencher) {
    let dive = Dive::run();
    bencher.bench(|| dive.picture().svg());
}

#[divan::bench]
fn png_of_the_dive(bencher: divan::Bencher) {
    let dive = Dive::run();
    bencher.bench(|| dive.picture().png(PNG_WIDTH_PX));
}
