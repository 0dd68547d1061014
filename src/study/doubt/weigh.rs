//! What to weigh next: where the doubt of the answers comes from, and what knowing a figure exactly would be worth.

use std::fmt::Display;
use std::sync::atomic::Ordering;

use crate::estimate::Figures;
use crate::scenario::Scenario;
use crate::study::StudyError;
use crate::study::doubt::answer::{Answer, Row};
use crate::study::doubt::draw::{BLOCK, Draws, Factor};
use crate::study::doubt::index::{Indices, Pair, indices};
use crate::study::doubt::interval::symmetric;
use crate::study::doubt::run::{Dives, DoubtStudy, threads};
use crate::study::doubt::settings::{Control, Settings};
use crate::study::side_by_side::side_by_side;
use crate::study::surrogate::Surrogate;

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
    /// Half-width of each answer's coverage interval as things are, kg.
    pub half_width_kg: Vec<f64>,
    /// Share of each answer's variance that a straight line through the factors explains.
    pub linear_frac: Vec<f64>,
    /// Dives run.
    pub runs: u64,
    /// Pairs of points left out because one of their dives failed.
    pub failed_pairs: u64,
}

/// Shares of variance for every factor, and for those that matter the intervals if they were known.
///
/// Where a surrogate stands in for the trials of `doubt_study`, it answers for the pairs of points too and nothing is run.
/// Otherwise the pairs are run, and an additive quadratic fitted to the trials by least squares tells what a factor does
/// by itself. Either way a factor that is known takes its own effect out of every draw, `y − fᵢ(sᵢ)`, and the interval of
/// what is left is what would remain; the draws are those that are there already.
///
/// `None` if it was cancelled, if there is no uncertain input, or if too many dives fail.
///
/// # Errors
/// Threads that cannot be started.
pub fn weigh_next<'a, F, E, P>(
    figures: impl Into<Figures<'a>>,
    build: &F,
    settings: &Settings,
    study: &DoubtStudy,
    mut control: Control<'_, P>,
) -> Result<Option<WeighNext>, StudyError>
where
    F: Fn(&[f64]) -> Result<Scenario, E> + Sync,
    E: Display,
    P: FnMut(u64),
{
    let draws = Draws::new(figures, settings.sequence, settings.seed);
    let dives = Dives { draws: &draws, build };
    let pool = threads(settings.threads)?;
    let count = draws.factors().len();
    let cancel = control.cancel;
    let cancelled = || cancel.load(Ordering::Relaxed);
    let answers = |point: &[f64]| {
        let row = match study.stand_in() {
            Some(stand_in) => stand_in.row(&draws.scores(point)),
            None => dives.at(point, &[]).ok()?.row,
        };
        Some(ANSWERS.iter().map(|answer| answer.of(&row)).collect())
    };
    let score = |i, p| draws.score(i, p);
    let pair = |i: u64| if cancelled() { None } else { Pair::evaluate(settings.seed, i, count, answers, score) };
    let pairs: Vec<Option<Pair>> = pool.install(|| side_by_side((0..PAIRS).collect(), pair));
    let runs = if study.stand_in().is_some() { 0 } else { PAIRS * (count as u64 + 2) };
    (control.progress)(runs);
    let pairs: Vec<Pair> = pairs.into_iter().flatten().collect();
    let by_answer: Option<Vec<Indices>> = pool
        .install(|| side_by_side((0..ANSWERS.len()).collect(), |answer| indices(&pairs, answer)))
        .into_iter()
        .collect();
    let known = pool.install(|| Known::of(&draws, study, settings.coverage_frac));
    let (Some(by_answer), Some(known), false) = (by_answer, known, count == 0 || cancelled()) else {
        return Ok(None);
    };
    let weighing = |(i, factor): (usize, &Factor)| {
        let mut weighing = Weighing {
            factor: factor.clone(),
            first: by_answer.iter().map(|indices| indices.first[i]).collect(),
            total: by_answer.iter().map(|indices| indices.total[i]).collect(),
            known_half_width_kg: None,
        };
        if weighing.largest_total() >= WORTH_A_LOOK {
            weighing.known_half_width_kg = Some(known.half_widths_kg(i));
        }
        weighing
    };
    let mut factors: Vec<Weighing> =
        pool.install(|| side_by_side(draws.factors().iter().enumerate().collect(), weighing));
    let weight = |one: &Weighing| one.total_of(Answer::Least).max(one.total_of(Answer::Most));
    factors.sort_by(|a, b| weight(b).total_cmp(&weight(a)));
    Ok(Some(WeighNext {
        factors,
        half_width_kg: known.half_width_kg,
        linear_frac: by_answer.iter().map(|indices| indices.linear_frac).collect(),
        runs,
        failed_pairs: PAIRS - pairs.len() as u64,
    }))
}

/// Draws from which half-widths are compared, at most: enough for two parts in a hundred of their ratio.
const COMPARED_DRAWS: usize = 4 * BLOCK as usize;

/// What would be left of the intervals if a factor were known.
struct Known<'a> {
    rows: &'a [Row],
    /// scores of the factors in each row
    scores: Vec<Vec<f64>>,
    /// what the factors do to the numbers of a row
    effects: Surrogate,
    coverage_frac: f64,
    /// of all rows of the study, and of those compared, kg
    half_width_kg: Vec<f64>,
    compared_kg: Vec<f64>,
}

impl<'a> Known<'a> {
    fn of(draws: &Draws, study: &'a DoubtStudy, coverage_frac: f64) -> Option<Self> {
        let rows = &study.rows[..study.rows.len().min(COMPARED_DRAWS)];
        let numbers: Vec<u64> = study.row_draws().take(rows.len()).collect();
        let scores: Vec<Vec<f64>> = side_by_side(numbers, |draw| draws.scores(&draws.coordinates(draw)));
        let effects = match study.stand_in() {
            Some(stand_in) => stand_in.figures().clone(),
            None => {
                let seen = scores.iter().zip(rows).map(|(scores, row)| (scores.as_slice(), row.figures()));
                Surrogate::fitted(draws.factors().len(), seen)?
            }
        };
        let half_width = |answer: &Answer| Some(study.outlook.summary(*answer)?.symmetric.half_width());
        let half_width_kg: Option<Vec<f64>> = ANSWERS.iter().map(half_width).collect();
        let mut known =
            Self { rows, scores, effects, coverage_frac, half_width_kg: half_width_kg?, compared_kg: Vec::new() };
        known.compared_kg = known.compared(|row, _| *row);
        Some(known)
    }

    /// Half-widths over the compared rows, each changed by `with`.
    fn compared(&self, with: impl Fn(&Row, &[f64]) -> Row) -> Vec<f64> {
        let rows: Vec<Row> = self.rows.iter().zip(&self.scores).map(|(row, scores)| with(row, scores)).collect();
        let half_width = |answer: &Answer| {
            let mut values: Vec<f64> = rows.iter().map(|row| answer.of(row)).collect();
            values.sort_unstable_by(f64::total_cmp);
            symmetric(&values, self.coverage_frac).half_width()
        };
        ANSWERS.iter().map(half_width).collect()
    }

    /// Half-widths with a factor known, kg: the ratio of the compared rows, applied to the intervals of the study.
    fn half_widths_kg(&self, factor: usize) -> Vec<f64> {
        let without = |row: &Row, scores: &[f64]| {
            let mut figures = row.figures();
            for (answer, figure) in figures.iter_mut().enumerate() {
                *figure -= self.effects.effect(factor, answer, scores[factor]);
            }
            Row::from_figures(figures)
        };
        let known_kg = self.compared(without);
        let ratio = |i: usize| if self.compared_kg[i] > 0.0 { known_kg[i] / self.compared_kg[i] } else { 1.0 };
        self.half_width_kg.iter().enumerate().map(|(i, half_width_kg)| half_width_kg * ratio(i)).collect()
    }
}
