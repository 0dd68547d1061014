//! Draws of the scores, what they predict for the checks, and what they are worth.

use std::fmt::Display;

use rayon::prelude::*;

use crate::estimate::doubt::{normal_quantile, normal_share};
use crate::estimate::{Estimate, Input};
use crate::scenario::Scenario;
use crate::study::calibrate::check::Check;
use crate::study::calibrate::linear::{Lines, Normal};
use crate::study::calibrate::moved::{self, Moved};
use crate::study::calibrate::verdict::{Verdict, judge};
use crate::study::calibrate::{CalibrateError, DRAWS, ENOUGH_EFFECTIVE, MAX_WEIGHTED};
use crate::study::doubt::draw::unit_point;
use crate::study::doubt::run::Dives;
use crate::study::doubt::stand_in::CERTIFYING;
use crate::study::doubt::{Draws, Made, Row, Sequence, Settings, StandIn};

/// The scores of a draw from the plan.
pub(crate) fn standard_normals(seed: u64, draw: u64, draws: &Draws) -> Vec<f64> {
    let point = unit_point(Sequence::Sobol, seed, draw, draws.factors().len());
    point.into_iter().map(normal_quantile).collect()
}

/// The coordinate of a score. In the far tail, where it would round to 0 or 1, the last number before that.
fn inside(score: f64) -> f64 {
    normal_share(score).clamp(f64::MIN_POSITIVE, 1.0 - f64::EPSILON)
}

/// The coordinates of the scores of all factors.
fn coordinates(scores: &[f64]) -> Vec<f64> {
    scores.iter().map(|&score| inside(score)).collect()
}

/// Variances of the checks, kg²: their own, and the distance from the line as noise.
pub(crate) fn variances_kg2(sigma_kg: &[f64], lines: &Lines) -> Vec<f64> {
    sigma_kg.iter().zip(&lines.off_line_kg).map(|(sigma, off)| sigma.powi(2) + off.powi(2)).collect()
}

/// Independent draws that weighted ones are worth: `(Σw)²/Σw²`.
pub(crate) fn effective(weights: &[f64]) -> f64 {
    let squares: f64 = weights.iter().map(|w| w * w).sum();
    if squares > 0.0 { weights.iter().sum::<f64>().powi(2) / squares } else { 0.0 }
}

/// `count` draws in proportion to their weights, at even distances along the sum of the weights.
pub(crate) fn resampled(weights: &[f64], count: usize) -> Vec<usize> {
    let total: f64 = weights.iter().sum();
    let (mut chosen, mut passed) = (Vec::with_capacity(count), 0.0);
    for (i, weight) in weights.iter().enumerate() {
        passed += weight;
        while chosen.len() < count && (chosen.len() as f64 + 0.5) * total < passed * count as f64 {
            chosen.push(i);
        }
    }
    chosen
}

/// A draw: the scores of the factors, and the surplus of each check; `None` if its dive fails.
pub(crate) struct Point {
    pub scores: Vec<f64>,
    pub surplus_kg: Option<Vec<f64>>,
}

pub(crate) struct Model<'a, F, C> {
    pub draws: &'a Draws,
    pub checks: &'a [Check],
    pub build: &'a F,
    pub cancelled: &'a C,
}

impl<F, E, C> Model<'_, F, C>
where
    F: Fn(&[f64]) -> Result<Scenario, E> + Sync,
    E: Display,
    C: Fn() -> bool + Sync,
{
    fn values(&self, scores: &[f64]) -> Vec<f64> {
        self.draws.values_at(&coordinates(scores))
    }

    pub fn points(
        &self,
        scores: impl Fn(u64) -> Vec<f64> + Sync,
        which: std::ops::Range<u64>,
    ) -> Result<Vec<Point>, CalibrateError> {
        let points = which.into_par_iter().map(|i| {
            let scores = scores(i);
            let scenario = if (self.cancelled)() { None } else { (self.build)(&self.values(&scores)).ok() };
            let surplus_kg = scenario
                .map(|scenario| self.checks.iter().map(|check| check.predicted(&scenario).surplus_kg()).collect());
            Point { scores, surplus_kg }
        });
        let points = points.collect();
        if (self.cancelled)() { Err(CalibrateError::Cancelled) } else { Ok(points) }
    }

    /// Judges the checks along straight lines through the values themselves: those are nearly straight whatever the
    /// shapes of the doubts, so the curve of a rectangular doubt against its normal score does not blur the verdict.
    pub fn judged(
        &self,
        prior: &[Point],
        central: &Scenario,
        sigma_kg: &[f64],
    ) -> Result<Vec<Verdict>, CalibrateError> {
        let score = |(i, z): (usize, &f64)| self.draws.score(i, inside(*z));
        let lines = self.lines(prior, |scores| scores.iter().enumerate().map(score).collect())?;
        Ok(judge(self.checks, central, &lines, &variances_kg2(sigma_kg, &lines)))
    }

    pub fn lines(&self, points: &[Point], scores_of: impl Fn(&[f64]) -> Vec<f64>) -> Result<Lines, CalibrateError> {
        let (mut scores, mut surplus_kg) = (Vec::new(), Vec::new());
        for point in points {
            if let Some(surplus) = &point.surplus_kg {
                scores.push(scores_of(&point.scores));
                surplus_kg.push(surplus.clone());
            }
        }
        let too_few = CalibrateError::TooFew { left: scores.len(), of: points.len() };
        // a line through half of the draws says little about the others
        if 2 * scores.len() < points.len() {
            return Err(too_few);
        }
        Lines::through(&scores, &surplus_kg, self.checks.len()).ok_or(too_few)
    }

    /// Draws from a proposal with weights, more and more until they are worth enough.
    pub fn weighted(
        &self,
        proposal: &Normal,
        seed: u64,
        used: &[usize],
    ) -> Result<(Vec<Point>, Vec<f64>), CalibrateError> {
        let mut points: Vec<Point> = Vec::new();
        loop {
            let from = points.len() as u64;
            let scores = |i: u64| proposal.point(&standard_normals(seed, i, self.draws));
            points.append(&mut self.points(scores, from..(2 * from).max(DRAWS))?);
            let log_weight = |point: &Point| {
                let Some(surplus_kg) = &point.surplus_kg else { return f64::NEG_INFINITY };
                let prior = -0.5 * point.scores.iter().map(|z| z * z).sum::<f64>();
                let seen: f64 = used.iter().map(|&c| self.checks[c].log_likelihood(surplus_kg[c])).sum();
                prior + seen - proposal.log_density(&point.scores)
            };
            let logs: Vec<f64> = points.par_iter().map(log_weight).collect();
            let largest = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            let weights: Vec<f64> =
                logs.iter().map(|log| if log.is_finite() { (log - largest).exp() } else { 0.0 }).collect();
            if effective(&weights) >= ENOUGH_EFFECTIVE || points.len() as u64 >= MAX_WEIGHTED {
                return Ok((points, weights));
            }
        }
    }

    /// Weighted mean and deviation of every input, and which of them moved.
    pub fn moved(&self, inputs: &[Input], points: &[Point], weights: &[f64]) -> Vec<Moved> {
        let uncertain: Vec<Estimate> =
            inputs.iter().map(|input| input.estimate).filter(|estimate| estimate.doubt.is_some()).collect();
        let values: Vec<Vec<f64>> = points.iter().map(|point| self.values(&point.scores)).collect();
        let total: f64 = weights.iter().sum();
        let weighted =
            |of: &dyn Fn(&[f64]) -> f64| values.iter().zip(weights).map(|(x, w)| w * of(x)).sum::<f64>() / total;
        let mut moved: Vec<Moved> = uncertain
            .into_iter()
            .enumerate()
            .filter_map(|(i, before)| {
                let mean = weighted(&|x| x[i]);
                let deviation = weighted(&|x| (x[i] - mean).powi(2)).sqrt();
                moved::moved(i, before, mean, deviation)
            })
            .collect();
        moved.sort_by(|a, b| b.shift_sigmas.abs().total_cmp(&a.shift_sigmas.abs()));
        moved
    }

    /// What can stand in for the runs of these draws and of draws from the plan: it is held against runs of both.
    pub fn made(&self, after: &[&[f64]], settings: &Settings) -> Made {
        if !settings.stand_in {
            return Made::Trials { refused: None };
        }
        let dives = Dives { draws: self.draws, build: self.build };
        let settings = Settings { band_times_s: Vec::new(), ..settings.clone() };
        let apart = (after.len() / (CERTIFYING as usize / 2)).max(1);
        let points: Vec<Vec<f64>> = after.iter().step_by(apart).map(|scores| coordinates(scores)).collect();
        let certified = StandIn::certified(&dives, &settings, self.cancelled).and_then(|mut stand_in| {
            stand_in.also_at(&dives, &points, &settings, self.cancelled)?;
            Ok(stand_in)
        });
        match certified {
            Ok(stand_in) => Made::StandIn(Box::new(stand_in)),
            Err(why) => Made::Trials { refused: Some(why) },
        }
    }

    /// The answers of some draws, run or from what stands in for runs; those whose dive fails are left out.
    pub fn rows(&self, scores: &[&[f64]], stand_in: Option<&StandIn>) -> Vec<Row> {
        let row = |scores: &&[f64]| {
            if let Some(stand_in) = stand_in {
                return Some(stand_in.row(&self.draws.scores(&coordinates(scores))));
            }
            let scenario = if (self.cancelled)() { None } else { (self.build)(&self.values(scores)).ok() };
            scenario.and_then(|scenario| Row::of(&scenario).ok())
        };
        let rows: Vec<Option<Row>> = scores.par_iter().map(row).collect();
        rows.into_iter().flatten().collect()
    }
}
