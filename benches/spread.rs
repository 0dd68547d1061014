//! Cost of a draw, and of ten thousand: a 70-minute dive with four cylinders and 28 uncertain figures.
//!
//! What bounds it: a draw is two runs of the dive (one as it is, one at the far end of the lead range), and a run works
//! out the balance some hundred times, each a handful of polynomials for water and gases. So a draw costs what two runs
//! cost, and draws scale with the cores.

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
        spread(&dive.inputs, &|values: &[f64]| dive.build(values), &settings, control)
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
