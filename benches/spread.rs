//! Cost of a draw, and of ten thousand: a 70-minute dive with four cylinders and 28 uncertain figures in steps of 10 s.
//!
//! What bounds it: a draw is two runs of the dive (one as it is, one at the far end of the lead range) of about 450 steps
//! each, and a step is a handful of polynomials for water and gases. Drawing the figures and building the dive are less
//! than a tenth. So a draw costs what two runs cost, and draws scale with the cores.
//!
//! Target: 10 000 draws in 1.0 s on two cores, so 200 µs a draw and core. Measured: 0.65 s; of the 125 µs of a draw two
//! runs take 120, building 3, drawing the figures 0.5.

#[path = "../tests/it/parts.rs"]
mod parts;
#[path = "../tests/it/uncertain/mod.rs"]
mod uncertain;

use std::sync::atomic::AtomicBool;

use divan::{Bencher, black_box};
use lightpoint::study::Probe;
use lightpoint::study::spread::{Control, Draws, Row, Sequence, Settings, spread};

fn main() {
    divan::main();
}

#[divan::bench(sample_count = 5, sample_size = 1)]
fn ten_thousand_draws(bencher: Bencher) {
    let dive = uncertain::large();
    let settings = Settings { draws: Some(10_000), ..Settings::default() };
    let cancel = AtomicBool::new(false);
    bencher.bench_local(|| {
        let control = Control { cancel: &cancel, progress: |_| {} };
        spread(&dive.inputs, &|values: &[f64]| dive.build(values, 10.0), &settings, control)
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
    bencher.bench_local(|| dive.build(black_box(&values), 10.0));
}

#[divan::bench]
fn one_run(bencher: Bencher) {
    let dive = uncertain::large();
    let scenario = dive.build(&dive.central(), 10.0).expect("a dive");
    bencher.bench_local(|| Probe::of(black_box(&scenario)));
}

#[divan::bench]
fn the_answers_of_a_draw(bencher: Bencher) {
    let dive = uncertain::large();
    let scenario = dive.build(&dive.central(), 10.0).expect("a dive");
    bencher.bench_local(|| Row::of(black_box(&scenario)));
}
