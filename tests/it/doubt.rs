//! Propagation of distributions, held against worked examples, closed forms and handbook tables.

use std::f64::consts::PI;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};

use crate::uncertain::{self, Uncertain, input, normal};
use lightpoint::internals::estimate::combine::{CombineError, combine};
use lightpoint::internals::estimate::doubt::{Quantile, normal_quantile, standard_uncertainty};
use lightpoint::internals::estimate::{Doubt, Estimate, Input, Shape};
use lightpoint::internals::scenario::Scenario;
use lightpoint::internals::study::doubt::{
    Answer, BLOCK, Control, DoubtStudy, Draws, Interval, Pair, Risk, Row, Sequence, Settings, Stopped, Summary,
    doubt_study, indices, one, weigh_next,
};
use lightpoint::internals::study::{Probe, lead_bounds_from};

/// A run without anybody watching.
fn run(dive: &Uncertain, settings: &Settings) -> DoubtStudy {
    let cancel = AtomicBool::new(false);
    let control = Control { cancel: &cancel, progress: |_| {} };
    doubt_study(&dive.inputs, &|values: &[f64]| dive.build(values), settings, control).expect("a study")
}

/// Draws of a formula instead of a dive.
fn formula(estimates: &[Estimate], count: u64, f: impl Fn(&[f64]) -> f64) -> Summary {
    let inputs: Vec<Input> =
        estimates.iter().map(|&estimate| input("x", lightpoint::internals::units::Quantity::Mass, estimate)).collect();
    let draws = Draws::new(&inputs, Sequence::Sobol, 11);
    let values: Vec<f64> = (0..count).map(|draw| f(&draws.values(draw))).collect();
    Summary::of(&values, 0.95).expect("values")
}

/// A normal doubt from its standard uncertainty.
fn normal_u(value: f64, u: f64) -> Estimate {
    normal(value, normal_quantile(0.975) * u)
}

// Handbook tables of the normal and of Student's t distribution, from memory, four or more figures as printed.
#[test]
fn quantiles_are_those_of_handbook_tables() {
    for (p, z) in [(0.975, 1.959_964), (0.995, 2.575_829), (0.9, 1.281_552), (0.5, 0.0)] {
        assert!((normal_quantile(p) - z).abs() < 1e-6, "z({p})");
    }
    // t for 95 %, two-sided, through the coverage factor of n readings with n − 1 degrees of freedom
    for (dof, t) in [(1, 12.706), (2, 4.303), (4, 2.776), (10, 2.228), (30, 2.042)] {
        let readings: Vec<f64> = (0..=dof).map(|i| f64::from(i % 2)).collect();
        let factor = combine(&readings, None).expect("readings").coverage_factor;
        assert!((factor - t).abs() < 6e-4, "t({dof}) = {factor}");
    }
}

#[test]
fn quantile_functions_have_the_spread_they_claim() {
    for shape in [Shape::Rectangular, Shape::Triangular, Shape::Normal { coverage_frac: 0.95 }] {
        let doubt = Doubt { half_width: 2.0, shape };
        let quantile = Quantile::of(&doubt);
        // midpoint rule over the quantile function: ∫x² dp; its error is below 1e-4 for the normal tail
        let n = 200_000;
        let square = |i: i32| quantile.offset((f64::from(i) + 0.5) / f64::from(n)).powi(2);
        let variance = (0..n).map(square).sum::<f64>() / f64::from(n);
        assert!((variance.sqrt() / standard_uncertainty(&doubt) - 1.0).abs() < 1e-4, "{shape:?}");
        assert!(quantile.offset(0.5).abs() < 1e-12 && (quantile.offset(0.2) + quantile.offset(0.8)).abs() < 1e-9);
    }
}

// JCGM 101:2008, 9.2 (additive model), from memory: four normal inputs of standard deviation 1 give u = 2.0 and ±3.92
// (9.2.2); four rectangular ones ±3.88 (9.2.3); with one of standard deviation 10 instead (9.2.4) u = 10.1 and ±17.0,
// where the law of propagation alone would say ±19.8.
// Tolerance: the figures are printed to two decimals, or one; the draws scatter by less than that.
#[test]
fn the_additive_model_of_the_standard() {
    let sum = |x: &[f64]| x.iter().sum();
    let rectangular = |u: f64| Estimate::within(0.0, 3f64.sqrt() * u);
    for (estimates, u, end, tolerance) in [
        ([normal_u(0.0, 1.0); 4], 2.0, 3.92, 0.01),
        ([rectangular(1.0); 4], 2.0, 3.88, 0.01),
        ([rectangular(1.0), rectangular(1.0), rectangular(1.0), rectangular(10.0)], 10.15, 17.0, 0.06),
    ] {
        let summary = formula(&estimates, 200 * BLOCK, sum);
        assert!(summary.mean.abs() < 1e-3 * u);
        assert!((summary.std_uncertainty / u - 1.0).abs() < 2e-3);
        for interval in [summary.symmetric, summary.shortest] {
            // the shortest interval may slide a little to either side: only its width is well known
            assert!((interval.half_width() - end).abs() < tolerance, "{interval:?} against {end}");
        }
        assert!((summary.symmetric.low + end).abs() < tolerance && (summary.symmetric.high - end).abs() < tolerance);
    }
}

// JCGM 101:2008, 9.3 (mass calibration), inputs and results from memory: 1.2341 mg, u = 0.0754 mg, shortest interval
// [1.0834, 1.3825] mg; first-order propagation would say 0.0539 mg.
// Tolerance: 0.0005 for estimate and u as printed; 0.003 for the ends of the shortest interval, which is flat there.
#[test]
fn the_mass_calibration_of_the_standard() {
    let limits = |low: f64, high: f64| Estimate::within(0.5 * (low + high), 0.5 * (high - low));
    let estimates = [
        normal_u(100_000.0, 0.050),
        normal_u(1.234, 0.020),
        limits(1.10, 1.30),
        limits(7000.0, 9000.0),
        limits(7950.0, 8050.0),
    ];
    let model = |x: &[f64]| (x[0] + x[1]) * (1.0 + (x[2] - 1.2) * (1.0 / x[3] - 1.0 / x[4])) - 100_000.0;
    let summary = formula(&estimates, 100 * BLOCK, model);
    assert!((summary.mean - 1.2341).abs() < 5e-4, "{summary:?}");
    assert!((summary.std_uncertainty - 0.0754).abs() < 5e-4, "{summary:?}");
    assert!((summary.shortest.low - 1.0834).abs() < 3e-3, "{summary:?}");
    assert!((summary.shortest.high - 1.3825).abs() < 3e-3, "{summary:?}");
}

// JCGM 100:2008, 4.4.3 (twenty readings of a temperature), from memory: mean 100.145 °C, s = 1.489 °C,
// s(mean) = 0.333 °C. The readings as remembered give these figures to the digits printed, which is the check on memory.
#[test]
fn the_repeated_readings_of_the_guide() {
    let readings = [
        96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07, 100.33, 100.42, 100.68, 100.95, 101.11,
        101.20, 101.57, 101.84, 102.36, 102.72,
    ];
    let combined = combine(&readings, None).expect("readings");
    assert!((combined.mean - 100.145).abs() < 5e-4);
    assert!((combined.deviation - 1.489).abs() < 5e-4);
    assert!((combined.type_a - 0.333).abs() < 5e-4);
    assert!((combined.coverage_factor - 2.093).abs() < 6e-4); // t for 19 degrees of freedom, handbook table
}

// By hand: readings 2.4 2.5 2.6 on a scale of ±0.1: s = 0.1, s(mean) = 0.1/√3 = 0.057735; the scale 0.1/√3 as well;
// together 0.081650; degrees of freedom 2·(√2)⁴ = 8, t = 2.306.
#[test]
fn type_a_and_type_b_are_combined() {
    let scale = Doubt { half_width: 0.1, shape: Shape::Rectangular };
    let piece = combine(&[2.4, 2.5, 2.6], Some(&scale)).expect("readings");
    assert!((piece.std_uncertainty - 0.081_649_66).abs() < 1e-8);
    assert!((piece.effective_dof - 8.0).abs() < 1e-9);
    assert!((piece.half_width() - 2.306 * 0.081_649_66).abs() < 1e-4);
    assert_eq!(combine(&[2.5], Some(&scale)).expect("one reading").coverage_factor, normal_quantile(0.975));
    assert_eq!(combine(&[2.5], None), Err(CombineError::Single));
    assert_eq!(combine(&[], Some(&scale)), Err(CombineError::None));
    assert!(matches!(combine(&[1.0, f64::NAN], None), Err(CombineError::NotFinite { number: 2, .. })));
}

// f = sin x₁ + a·sin²x₂ + b·x₃⁴·sin x₁ on (−π, π)³, after Ishigami and Homma 1990 (from memory). By integration, with
// E[x⁴] = π⁴/5 and E[x⁸] = π⁸/9:
//   V₁ = ½(1 + bπ⁴/5)²,  V₂ = a²/8,  V₃ = 0,  V₁₃ = ½b²π⁸(1/9 − 1/25),
// and T₁ = (V₁ + V₁₃)/V, T₂ = V₂/V, T₃ = V₁₃/V.
// Tolerance: four standard errors as the estimator itself states them, and these must be small.
#[test]
fn ishigami_in_closed_form() {
    let (a, b) = (7.0, 0.1);
    let f = |x: &[f64]| x[0].sin() + a * x[1].sin().powi(2) + b * x[2].powi(4) * x[0].sin();
    let answers = |p: &[f64]| Some(vec![f(&p.iter().map(|p| PI * (2.0 * p - 1.0)).collect::<Vec<_>>())]);
    let score = |_: usize, p: f64| 12f64.sqrt() * (p - 0.5);
    let pairs: Vec<Pair> = (0..8 * BLOCK).map(|i| Pair::evaluate(5, i, 3, answers, score).expect("a value")).collect();
    let found = indices(&pairs, 0).expect("a variance");

    let v1 = 0.5 * (1.0 + b * PI.powi(4) / 5.0).powi(2);
    let v2 = a * a / 8.0;
    let v13 = 0.5 * b * b * PI.powi(8) * (1.0 / 9.0 - 1.0 / 25.0);
    let v = v1 + v2 + v13;
    // the usual printed values, from memory
    assert!((v1 / v - 0.3139).abs() < 1e-4 && (v2 / v - 0.4424).abs() < 1e-4 && (v13 / v - 0.2437).abs() < 1e-4);
    assert!((found.variance / v - 1.0).abs() < 0.01);
    for (i, (first, total)) in [(v1, v1 + v13), (v2, v2), (0.0, v13)].into_iter().enumerate() {
        for ((index, error), expected) in [(found.first[i], first / v), (found.total[i], total / v)] {
            assert!(error < 0.02, "standard error {error}");
            assert!((index - expected).abs() < 4.0 * error + 1e-3, "{i}: {index} ± {error} against {expected}");
        }
    }
}

// A straight line: the share of each input is its own variance over their sum, and knowing it takes exactly that away.
// The small dive is linear in its lifts to some parts in a thousand, and all its doubts are normal.
#[test]
fn shares_of_a_nearly_linear_dive() {
    let dive = uncertain::small();
    let cancel = AtomicBool::new(false);
    let control = Control { cancel: &cancel, progress: |_| {} };
    let build = |values: &[f64]| dive.build(values);
    let settings = Settings::default();
    let found = run(&dive, &settings);
    let next = weigh_next(&dive.inputs, &build, &settings, &found, control).expect("threads").expect("a result");
    let variance = |half_width: f64| half_width * half_width;
    let parts = [("body lift", 1.2), ("suit lift", 1.0), ("gear lift", 0.4), ("cylinder mass", 0.3)];
    let all: f64 = parts.iter().map(|part| variance(part.1)).sum();
    for (name, half_width) in parts {
        let found = next.factors.iter().find(|one| one.factor.label == name).expect("a factor");
        let share = variance(half_width) / all;
        assert!((found.total_of(Answer::Least) - share).abs() < 0.005, "{name}: {found:?} against {share}");
        let known = found.known_half_width_kg.as_ref().expect("large enough")[0];
        let narrowed = known / next.half_width_kg[0];
        // ends of 8192 draws scatter by about 1 %
        assert!((narrowed - (1.0 - share).sqrt()).abs() < 0.04, "{name}: {narrowed} against {share}");
    }
    assert_eq!(next.factors[0].factor.label, "body lift");
    assert!(next.linear_frac[0] > 0.99);
}

#[test]
fn the_same_to_the_last_bit_for_any_number_of_threads() {
    let dive = uncertain::large();
    let settings = |threads| Settings {
        draws: Some(700),
        seed: 42,
        threads,
        band_times_s: (0..60).map(|i| f64::from(i) * 70.0).collect(),
        ..Settings::default()
    };
    let runs = [1, 2, 8].map(|threads| run(&dive, &settings(threads)));
    assert_eq!(runs[0], runs[1]);
    assert_eq!(runs[0], runs[2]);
    let bits = |study: &DoubtStudy| -> Vec<u64> {
        study.rows.iter().flat_map(|row| Answer::ALL.map(|answer| answer.of(row).to_bits())).collect()
    };
    assert_eq!(bits(&runs[0]), bits(&runs[2]));

    let cancel = AtomicBool::new(false);
    let weighed = [1, 8].map(|threads| {
        let control = Control { cancel: &cancel, progress: |_| {} };
        let small = uncertain::small();
        let build = |values: &[f64]| small.build(values);
        weigh_next(&small.inputs, &build, &settings(threads), &run(&small, &settings(threads)), control)
    });
    assert_eq!(weighed[0], weighed[1]);

    // a draw alone is that draw
    let draws = Draws::new(&dive.inputs, Sequence::Sobol, 42);
    let (values, row) = one(&draws, &|values: &[f64]| dive.build(values), 471);
    assert_eq!(row.expect("a result"), runs[0].rows[471]);
    assert_eq!(values, draws.values(471));
}

#[test]
fn it_stops_by_itself_when_the_ends_are_known() {
    let dive = uncertain::small();
    let found = run(&dive, &Settings { threads: 2, ..Settings::default() });
    assert_eq!(found.stopped, Stopped::Tolerance);
    let summary = found.outlook.summary(Answer::Least).expect("a summary");
    assert!(2.0 * summary.numerical.expect("blocks").largest() <= 0.05);
    // closed form: u = √(Σu²), normal, so the interval is ±√(1.2² + 1 + 0.4² + 0.3²) = ±1.640 over the pull of lead
    let half_width = 1.640_122 / (1.0 - 1025.0 / 11_340.0);
    // the numerical tolerance of both ends, and what the wing's gas bends (about 1 %)
    assert!((summary.symmetric.half_width() - half_width).abs() < 0.05 + 0.01 * half_width, "{summary:?}");
    let too_few = run(&dive, &Settings { max_draws: BLOCK, ..Settings::default() });
    assert_eq!((too_few.stopped, too_few.draws), (Stopped::MaxDraws, BLOCK));
}

#[test]
fn failed_draws_are_counted_and_a_cancelled_run_keeps_what_it_has() {
    let dive = uncertain::small();
    let build = |values: &[f64]| -> Result<Scenario, String> {
        if values[0] > -0.5 { Err(format!("body lift {} is too much", values[0])) } else { dive.build(values) }
    };
    let cancel = AtomicBool::new(false);
    let settings = Settings { draws: Some(2048), ..Settings::default() };
    let found =
        doubt_study(&dive.inputs, &build, &settings, Control { cancel: &cancel, progress: |_| {} }).expect("runs");
    assert_eq!(found.failures.len(), 1, "one reason, whatever its numbers: {:?}", found.failures);
    assert_eq!(found.rows.len() + found.failed(), 2048);
    // share above the mean by 0.5/(1.2/1.96) standard deviations, from the normal distribution: 20.7 %
    assert!((found.failed() as f64 / 2048.0 - 0.207).abs() < 0.005, "{}", found.failed());

    let made = AtomicU64::new(0);
    let progress = |draws: u64| {
        made.store(draws, Ordering::Relaxed);
        cancel.store(draws >= 1000, Ordering::Relaxed);
    };
    let found =
        doubt_study(&dive.inputs, &build, &Settings::default(), Control { cancel: &cancel, progress }).expect("runs");
    assert_eq!(found.stopped, Stopped::Cancelled);
    assert!(found.draws >= 1000 && found.draws < 2048 && found.draws == made.load(Ordering::Relaxed));
    assert!(found.outlook.summary(Answer::Least).is_some());

    let never = |_: &[f64]| -> Result<Scenario, String> { Err("no dive".into()) };
    cancel.store(false, Ordering::Relaxed);
    let control = Control { cancel: &cancel, progress: |_| {} };
    assert!(doubt_study(&dive.inputs, &never, &settings, control).is_err());
}

#[test]
fn running_out_of_gas_is_a_counted_result() {
    let mut dive = uncertain::small();
    let rate = dive.inputs.iter_mut().find(|input| input.label == "rate").expect("the rate");
    // 12 L at 200 bar over 28 minutes at up to 3 bar: between 25 and 45 L/min some draws run out, some do not
    rate.estimate = Estimate::within(35e-3 / 60.0, 10e-3 / 60.0);
    let found = run(&dive, &Settings { draws: Some(1024), ..Settings::default() });
    let out = found.outlook.risks.iter().find(|(risk, _)| *risk == Risk::OutOfGas).expect("the risk").1;
    assert!(out.hits > 100 && out.hits < 900, "{out:?}");
    assert_eq!(found.rows.len(), 1024);
}

// The quick search against the full search. Tolerance: what its documentation promises, 12 g.
#[test]
fn quick_answers_are_near_the_full_ones() {
    let dive = uncertain::large();
    let draws = Draws::new(&dive.inputs, Sequence::Sobol, 1);
    for draw in 0..60 {
        let values = draws.values(draw);
        let dive = dive.build(&values).expect("a dive");
        let row = Row::of(&dive).expect("runs");
        let full = lead_bounds_from(&dive, &Probe::of(&dive).expect("runs")).expect("closes");
        assert!((full.least_kg - row.least_kg).abs() < 12e-3 && (full.most_kg - row.most_kg).abs() < 12e-3);
    }
}

// The band at a time is the interval of the curve's values there.
#[test]
fn the_band_holds_the_curve() {
    let dive = uncertain::small();
    let times_s: Vec<f64> = (0..=28).map(|i| f64::from(i) * 60.0).collect();
    let found = run(&dive, &Settings { draws: Some(2048), band_times_s: times_s.clone(), ..Settings::default() });
    let band = found.band.expect("a band");
    assert_eq!((band.draws, &band.times_s), (2048, &times_s));
    let scenario = dive.build(&dive.central()).expect("a dive");
    let central = lightpoint::internals::sim::run(&scenario).expect("runs");
    for (i, time_s) in times_s.iter().enumerate() {
        let bare_kg = central.at(&scenario, *time_s).balance.bare_kg();
        assert!((band.median_kg[i] - bare_kg).abs() < 0.02, "at {time_s} s");
        // ±1.640 kg from the lifts, and a little from the gas breathed; ends of 2048 draws scatter by 0.05 kg
        assert!((band.interval_kg[i].half_width() - 1.66).abs() < 0.12, "at {time_s} s: {:?}", band.interval_kg[i]);
    }
}

/// The truth of a dive, and a plan of it whose figures are off by errors from their own doubts.
fn plan_of_a_known_truth(case: u64) -> (Uncertain, f64) {
    let mut dive = uncertain::small();
    let truth = dive.build(&dive.central()).expect("a dive");
    let least_kg = Row::of(&truth).expect("runs").least_kg;
    let measured = Draws::new(&dive.inputs, Sequence::Random, 777).values(case);
    for (input, value) in dive.inputs.iter_mut().zip(measured) {
        input.estimate.value = value;
    }
    (dive, least_kg)
}

// 1000 plans made with errors from their own doubts: the 95 % interval of the least lead holds the truth in 95 % of them.
// Tolerance: three binomial standard deviations, 3·√(0.95·0.05/1000) = 2.1 %, and 0.4 % because 256 draws give an
// interval that holds 243/257 = 94.6 % on average.
#[test]
fn intervals_cover_the_truth_as_often_as_they_say() {
    let settings = Settings { draws: Some(256), ..Settings::default() };
    let cancel = AtomicBool::new(false);
    let covers = |case: u64| {
        let (dive, least_kg) = plan_of_a_known_truth(case);
        let settings = Settings { seed: case, ..settings.clone() };
        let build = |values: &[f64]| dive.build(values);
        let found =
            doubt_study(&dive.inputs, &build, &settings, Control { cancel: &cancel, progress: |_| {} }).expect("runs");
        found.outlook.summary(Answer::Least).expect("a summary").symmetric.contains(least_kg)
    };
    let held = (0..1000).filter(|&case| covers(case)).count();
    assert!((held as f64 / 1000.0 - 0.95).abs() < 0.025, "held in {held} of 1000");
}

/// `cargo test --release --test it -- --ignored --nocapture million`
#[test]
#[ignore = "a measurement, half a minute in a release build"]
fn a_million_draws_fit_into_200_mb() {
    let dive = uncertain::small();
    let cancel = AtomicBool::new(false);
    let settings = Settings { draws: Some(1_000_000), ..Settings::default() };
    let build = |values: &[f64]| dive.build(values);
    let found =
        doubt_study(&dive.inputs, &build, &settings, Control { cancel: &cancel, progress: |_| {} }).expect("runs");
    assert_eq!(found.rows.len(), 1_000_000);
    // the largest memory of this process so far, where the system tells it
    let Ok(status) = std::fs::read_to_string("/proc/self/status") else { return };
    let line = status.lines().find(|line| line.starts_with("VmHWM")).expect("a line");
    println!("{line}");
    let kb: f64 = line.split_whitespace().nth(1).and_then(|kb| kb.parse().ok()).expect("a number");
    assert!(kb < 200e3, "{line}");
}

/// The evidence for scrambled Sobol' points: `cargo test --release --test it -- --ignored --nocapture doubt::`.
#[test]
#[ignore = "a measurement, half a minute in a release build"]
fn which_sequence_converges_faster() {
    let dive = uncertain::large();
    println!(
        "standard deviation over 24 runs of the 70-minute dive, kg: ends of the 95 % intervals of least and most lead"
    );
    for blocks in [1, 4] {
        for sequence in [Sequence::Sobol, Sequence::Random] {
            let ends: Vec<[f64; 5]> = (0..24)
                .map(|seed| {
                    let draws = Some(blocks * BLOCK);
                    let found = run(&dive, &Settings { sequence, draws, seed: 1000 + seed, ..Settings::default() });
                    let [least, most] = [Answer::Least, Answer::Most].map(|a| *found.outlook.summary(a).expect("rows"));
                    let (a, b): (Interval, Interval) = (least.symmetric, most.symmetric);
                    [a.low, a.high, b.low, b.high, least.mean]
                })
                .collect();
            let scatter = [0, 1, 2, 3, 4].map(|i| {
                let values: Vec<f64> = ends.iter().map(|ends| ends[i]).collect();
                Summary::of(&values, 0.95).expect("values").std_uncertainty
            });
            println!("{:6} draws {sequence:?}: ends {:.4?}, mean {:.6}", blocks * BLOCK, &scatter[..4], scatter[4]);
        }
    }
}
