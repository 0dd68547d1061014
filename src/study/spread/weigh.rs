//! What to weigh next: where the doubt of the answers comes from, and what knowing a figure exactly would be worth.

use std::fmt::Display;
use std::sync::atomic::Ordering;

use rayon::prelude::*;

use crate::estimate::Input;
use crate::scenario::Scenario;
use crate::study::StudyError;
use crate::study::spread::answer::{Answer, Row};
use crate::study::spread::draw::{BLOCK, Draws, Factor};
use crate::study::spread::index::{Indices, Pair, indices};
use crate::study::spread::interval::Summary;
use crate::study::spread::run::{Control, Settings, threads};

/// Pairs of points for the indices; with `k` factors they take `k + 2` draws each. On the dives tried the standard
/// errors were 0.01 for first-order and 0.002 for total indices, because the answers are nearly linear.
pub const PAIRS: u64 = 128;
/// Total index in at least one answer above which it is computed what knowing the factor would be worth. Removing three
/// hundredths of the variance narrows an interval by 1.5 %, as much as its ends scatter over one block of draws.
pub const WORTH_A_LOOK: f64 = 0.03;
/// The answers that are looked at.
pub const ANSWERS: [Answer; 5] = [Answer::Least, Answer::Most, Answer::Range, Answer::Heavy, Answer::Light];

/// A factor and what it does to the answers, in the order of [`ANSWERS`].
#[derive(Clone, Debug, PartialEq)]
pub struct Weighing {
    /// The factor.
    pub factor: Factor,
    /// First-order index of each answer, with its standard error.
    pub first: Vec<(f64, f64)>,
    /// Total index of each answer, with its standard error.
    pub total: Vec<(f64, f64)>,
    /// Half-width of each answer's coverage interval if this factor were known exactly, kg; `None` where the factor is
    /// too small to matter.
    pub known_half_width_kg: Option<Vec<f64>>,
}

impl Weighing {
    /// Total index of an answer.
    pub fn total_of(&self, answer: Answer) -> f64 {
        ANSWERS.iter().position(|one| *one == answer).map_or(0.0, |i| self.total[i].0)
    }

    /// The largest total index over the answers.
    pub fn largest_total(&self) -> f64 {
        self.total.iter().map(|total| total.0).fold(0.0, f64::max)
    }
}

/// What to weigh next.
#[derive(Clone, Debug, PartialEq)]
pub struct WeighNext {
    /// The factors, the largest total index of least or most lead first.
    pub factors: Vec<Weighing>,
    /// Half-width of each answer's coverage interval as things are, kg, from the same draws.
    pub half_width_kg: Vec<f64>,
    /// Share of each answer's variance that a straight line through the factors explains.
    pub linear_frac: Vec<f64>,
    /// Dives run.
    pub runs: u64,
    /// Pairs of points left out because one of their dives failed.
    pub failed_pairs: u64,
}

/// Shares of variance for every factor, and for those that matter the intervals with the factor at its central value
/// and all others drawn as before: run, not estimated.
///
/// `None` if it was cancelled, if there is no uncertain input, or if too many dives fail.
///
/// # Errors
/// Threads that cannot be started.
pub fn weigh_next<F, E, P>(
    inputs: &[Input],
    build: &F,
    settings: &Settings,
    mut control: Control<'_, P>,
) -> Result<Option<WeighNext>, StudyError>
where
    F: Fn(&[f64]) -> Result<Scenario, E> + Sync,
    E: Display,
    P: FnMut(u64),
{
    let draws = Draws::new(inputs, settings.sequence, settings.seed);
    let study = Study { draws: &draws, build, coverage_frac: settings.coverage_frac };
    let pool = threads(settings.threads)?;
    let count = draws.factors().len();
    let cancelled = || control.cancel.load(Ordering::Relaxed);
    let evaluate = |i: u64| if cancelled() { None } else { study.pair(settings.seed, i) };
    let pairs: Vec<Option<Pair>> = pool.install(|| (0..PAIRS).into_par_iter().map(evaluate).collect());
    let mut runs = PAIRS * (count as u64 + 2);
    (control.progress)(runs);
    let pairs: Vec<Pair> = pairs.into_iter().flatten().collect();
    let by_answer: Option<Vec<Indices>> = (0..ANSWERS.len()).map(|answer| indices(&pairs, answer)).collect();
    let (Some(by_answer), false) = (by_answer, count == 0 || control.cancel.load(Ordering::Relaxed)) else {
        return Ok(None);
    };
    let Some(half_width_kg) = pool.install(|| study.half_widths_kg(None)) else { return Ok(None) };
    runs += BLOCK;
    let mut factors = Vec::with_capacity(count);
    for (i, factor) in draws.factors().iter().enumerate() {
        let mut weighing = Weighing {
            factor: factor.clone(),
            first: by_answer.iter().map(|indices| indices.first[i]).collect(),
            total: by_answer.iter().map(|indices| indices.total[i]).collect(),
            known_half_width_kg: None,
        };
        if weighing.largest_total() >= WORTH_A_LOOK {
            weighing.known_half_width_kg = pool.install(|| study.half_widths_kg(Some(i)));
            runs += BLOCK;
            (control.progress)(runs);
        }
        if control.cancel.load(Ordering::Relaxed) {
            return Ok(None);
        }
        factors.push(weighing);
    }
    let weight = |one: &Weighing| one.total_of(Answer::Least).max(one.total_of(Answer::Most));
    factors.sort_by(|a, b| weight(b).total_cmp(&weight(a)));
    Ok(Some(WeighNext {
        factors,
        half_width_kg,
        linear_frac: by_answer.iter().map(|indices| indices.linear_frac).collect(),
        runs,
        failed_pairs: PAIRS - pairs.len() as u64,
    }))
}

struct Study<'a, F> {
    draws: &'a Draws,
    build: &'a F,
    coverage_frac: f64,
}

impl<F, E> Study<'_, F>
where
    F: Fn(&[f64]) -> Result<Scenario, E> + Sync,
{
    fn answers(&self, coordinates: &[f64]) -> Option<Vec<f64>> {
        let scenario = (self.build)(&self.draws.values_at(coordinates)).ok()?;
        let row = Row::of(&scenario).ok()?;
        Some(ANSWERS.iter().map(|answer| answer.of(&row)).collect())
    }

    fn pair(&self, seed: u64, index: u64) -> Option<Pair> {
        let answers = |point: &[f64]| self.answers(point);
        Pair::evaluate(seed, index, self.draws.factors().len(), answers, |i, p| self.draws.score(i, p))
    }

    /// Half-widths of the intervals over the first block of draws, with one factor at its central value.
    fn half_widths_kg(&self, known: Option<usize>) -> Option<Vec<f64>> {
        let one = |draw: u64| {
            let mut point = self.draws.coordinates(draw);
            if let Some(i) = known {
                point[i] = 0.5; // the middle of every distribution is its central value
            }
            self.answers(&point)
        };
        let rows: Vec<Option<Vec<f64>>> = (0..BLOCK).into_par_iter().map(one).collect();
        let of_answer = |answer: usize| {
            let values: Vec<f64> = rows.iter().flatten().map(|row| row[answer]).collect();
            Summary::of(&values, self.coverage_frac).map(|summary| summary.symmetric.half_width())
        };
        (0..ANSWERS.len()).map(of_answer).collect()
    }
}
