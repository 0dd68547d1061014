//! The figure of a dive, from the recorded run to the bytes of a file, and all that `run` writes.
//!
//! What bounds it: thinning the curves and finding free places for the labels; for the PNG, filling and compressing
//! 1600 × 1200 pixels. The whole of `run` is bound by its three figures and by the 4 200 rows of its series, some 300 bytes
//! each; the run itself is a hundredth of it.

use lightpoint::internals::answer::DiveFacts;
use lightpoint::internals::findings::Findings;
use lightpoint::internals::plan::Plan;
use lightpoint::internals::report::chart::{Facts, Figure, PNG_WIDTH_PX, Picture, draw, draw_all};
use lightpoint::internals::report::measure::UnitSystem;
use lightpoint::internals::report::verdict::Lead;
use lightpoint::internals::report::{Report, Rows, Source, json, series};
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
            needless_kg: 0.0,
            leads: &[],
            mishaps: &[],
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

/// What `lightpoint run PLAN` makes: the plan read, the run, the series, the result, three figures as SVG; but for the
/// writing of the files.
#[divan::bench]
fn a_run_with_its_files(bencher: divan::Bencher) {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/profiles/cold-trimix.toml");
    bencher.bench(|| files(path));
}

fn files(path: &str) -> (Vec<u8>, String, usize) {
    let plan = Plan::load(std::path::Path::new(path)).expect("a valid plan");
    let dive = DiveFacts::of(&plan).expect("a dive");
    let (scenario, units) = (&dive.built.scenario, UnitSystem::Metric);
    let source = Source {
        title: plan.title().into(),
        plan: path.into(),
        sha256: String::new(),
        note: None,
        takes_the_sea: false,
    };
    let looked_at = Rows::for_looking(scenario, &dive.trace, &dive.findings);
    let report = Report {
        source: &source,
        scenario,
        trace: &dive.trace,
        rows: &looked_at,
        findings: &dive.findings,
        checked: None,
        inputs: &dive.built.inputs,
        notes: &[],
        units,
    };
    let lead = Lead { bounds: dive.lead, own: dive.own, trials: &dive.trials, needless: dive.needless, trim: None };
    let result = json::run::result(&report, &lead, &dive.removable, None).to_string();
    let rows = Rows::of(scenario, &dive.trace, &dive.findings, 1.0);
    let series = series::csv(&Report { rows: &rows, ..report }).expect("a series");
    let facts = Facts {
        title: plan.title(),
        note: None,
        scenario,
        rows: &looked_at,
        events: dive.trace.events(),
        findings: &dive.findings,
        needless_kg: 0.0,
        leads: &[],
        mishaps: &[],
        units,
    };
    let drawn = draw_all(&[Figure::Dive, Figure::Cylinders, Figure::Gas], &facts, false);
    (series, result, drawn.into_iter().map(|drawn| drawn.expect("a figure").svg.len()).sum())
}
