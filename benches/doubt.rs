//! Cost of the uncertainty study and of a calibration: the demonstration plans as a whole, and the parts of a draw.
//!
//! What bounds it: `2k + 1` runs for the surrogate of `k` factors and 256 to hold it against, so about 300 trials, each
//! two runs of the dive (one as it is, one at the far end of the lead range). The 32 768 draws from the surrogate cost half
//! a microsecond each, a fifth of the whole. Where nothing can stand in, 8192 trials and more are made.
//!
//! A trial of the 70-minute dive with four cylinders and 28 uncertain figures works out the balance some forty times in
//! each of its two runs, and half as often again to locate the heaviest, the lightest and the worst moment; the failed
//! wing's way up is asked only where it can be the worst. Drawing the figures and building the dive are an eighth.

#[path = "../tests/it/parts.rs"]
mod parts;
#[path = "../tests/it/uncertain/mod.rs"]
mod uncertain;

use std::sync::atomic::AtomicBool;

use divan::{Bencher, black_box};
use lightpoint::internals::estimate::{Doubt, Shape};
use lightpoint::internals::plan::Plan;
use lightpoint::internals::study::Probe;
use lightpoint::internals::study::calibrate::{Check, Gauge, Outcome, RigThen, Take, WaterThen, WingThen, correct};
use lightpoint::internals::study::doubt::{Control, Draws, Row, Sequence, Settings, doubt_study, weigh_next};

fn main() {
    divan::main();
}

const PLANS: [&str; 4] = ["single-wetsuit", "cold-trimix", "coastal-cave", "mountain-lake"];

/// What `doubt` does with a plan that is read, but for words and files.
fn study(bencher: Bencher, name: &str, settings: &Settings) {
    let plan = Plan::load(format!("profiles/{name}.toml")).expect("a plan");
    let built = plan.build().expect("a dive");
    let end_s = built.scenario.profile().end_s();
    let band_times_s = (0..120).map(|i| end_s * f64::from(i) / 119.0).collect();
    let settings = Settings { band_times_s, ..settings.clone() };
    let build = |values: &[f64]| plan.build_draw(values, &built);
    let cancel = AtomicBool::new(false);
    let control = || Control { cancel: &cancel, progress: |_| {} };
    bencher.bench_local(|| {
        let found = doubt_study(&built.inputs, &build, &settings, control()).expect("a study");
        weigh_next(&built.inputs, &build, &settings, &found, control())
    });
}

#[divan::bench(args = PLANS, sample_count = 10, sample_size = 1)]
fn the_whole_study(bencher: Bencher, name: &str) {
    study(bencher, name, &Settings::default());
}

#[divan::bench(args = PLANS, sample_count = 1, sample_size = 1)]
fn the_whole_study_by_trials(bencher: Bencher, name: &str) {
    study(bencher, name, &Settings { stand_in: false, ..Settings::default() });
}

/// Two checks, one of them one-sided, on the wet suit diver.
#[divan::bench]
fn a_correction(bencher: Bencher) {
    let plan = Plan::load("profiles/single-wetsuit.toml").expect("a plan");
    let built = plan.build().expect("a dive");
    let check = |depth_m: f64, outcome: Outcome, half_width: f64| Check {
        label: format!("at {depth_m} m"),
        depth_m,
        cylinders: vec![Gauge { cylinder: 0, gauge_pa: 4e6 }],
        lead_kg: Some(4.0),
        wing: WingThen::Empty,
        water: WaterThen::AsPlanned,
        more_m3: 0.0,
        outcome,
        doubt: Doubt { half_width, shape: Shape::Rectangular },
    };
    let checks = [check(3.0, Outcome::Needed { lead_kg: 0.4 }, 0.3), check(5.0, Outcome::CouldStay, 0.2)];
    let checks = checks.map(|check| (0, check));
    let build = |values: &[f64]| plan.build_draw(values, &built).map_err(|error| error.to_string());
    bencher.bench_local(|| {
        let rig = RigThen { inputs: &built.inputs, build: &build };
        correct(&[rig], black_box(&checks), Take::Agreeing)
    });
}

#[divan::bench(sample_count = 5, sample_size = 1)]
fn ten_thousand_draws(bencher: Bencher) {
    let dive = uncertain::large();
    let settings = Settings { draws: Some(10_000), ..Settings::default() };
    let cancel = AtomicBool::new(false);
    bencher.bench_local(|| {
        let control = Control { cancel: &cancel, progress: |_| {} };
        doubt_study(&dive.inputs, &|values: &[f64]| dive.build(values), &settings, control)
    });
}

#[divan::bench]
fn draw_the_figures(bencher: Bencher) {
    let draws = Draws::new(&uncertain::large().inputs, Sequence::Sobol, 1);
    bencher.bench_local(|| draws.values(black_box(1234)));
}

#[divan::bench]
fn build_the_dive(bencher: Bencher) {
    let dive = uncertain::large();
    let values = Draws::new(&dive.inputs, Sequence::Sobol, 1).values(1234);
    bencher.bench_local(|| dive.build(black_box(&values)));
}

#[divan::bench]
fn one_run(bencher: Bencher) {
    let dive = uncertain::large();
    let scenario = dive.build(&dive.central()).expect("a dive");
    bencher.bench_local(|| Probe::of(black_box(&scenario)));
}

#[divan::bench]
fn the_answers_of_a_draw(bencher: Bencher) {
    let dive = uncertain::large();
    let scenario = dive.build(&dive.central()).expect("a dive");
    bencher.bench_local(|| Row::of(black_box(&scenario)));
}
