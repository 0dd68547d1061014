//! The checks as straight lines in the scores of all unknowns.
//!
//! Every unknown has a standard normal score `z`, the quantile of its coordinate: `x = F⁻¹(Φ(z))`. So the prior is
//! `z ~ N(0, 1)` exactly, whatever the shape of the doubt, and no update can carry a rectangular or triangular input past
//! its limits. A check `c` is a surplus `s_c ≈ a_c + Σ g_cj·z_j` that was seen to be `0 ± σ_c`. Checks are nearly straight
//! lines in the figures, so that is the line that is looked for, by secants to either side of the middle; the line in the
//! scores is what correlates with it, and what is left counts as noise of the check.

use crate::estimate::cholesky::dot;
use crate::study::calibrate::check::Check;
use crate::study::calibrate::unknowns::Unknowns;

/// How far to either side a secant reaches, in scores.
const REACH: f64 = 1.0;

/// Checks as straight lines.
#[derive(Clone, Debug, PartialEq)]
pub struct Lines {
    /// Surplus where every score is 0, kg.
    pub intercept_kg: Vec<f64>,
    /// Change of the surplus with each score, kg: a row for each check.
    pub slopes_kg: Vec<Vec<f64>>,
    /// Change of the surplus with each figure, over its standard deviation, kg.
    pub figure_slopes_kg: Vec<Vec<f64>>,
    /// What the curve of the check in the figures leaves, as a standard deviation over the prior, kg.
    pub curve_kg: Vec<f64>,
    /// The same with what a line in the scores leaves of figures whose doubt is not normal, kg.
    pub off_line_kg: Vec<f64>,
}

impl Lines {
    /// Of checks in their rigs, around the middle of all doubts. `None` where that makes no dive.
    ///
    /// With `f±` the surplus and `x±` the figure, over its deviation, at a score of one to either side, `b = (f₊ − f₋)/(x₊ − x₋)`
    /// is the slope in the figure and `g = ρ·b` that in the score, with which the figure correlates by `ρ`. What is left has
    /// the variance `b² − g²`, and `½q²` with `q = f₊ + f₋ − 2f₀`, the variance of `½q(z² − 1)`.
    pub(crate) fn through(unknowns: &Unknowns<'_>, checks: &[(usize, Check)]) -> Option<Self> {
        let count = unknowns.count();
        let mut lines = Self {
            intercept_kg: vec![0.0; checks.len()],
            slopes_kg: vec![vec![0.0; count]; checks.len()],
            figure_slopes_kg: vec![vec![0.0; count]; checks.len()],
            curve_kg: vec![0.0; checks.len()],
            off_line_kg: vec![0.0; checks.len()],
        };
        let rigs = checks.iter().map(|(rig, _)| *rig).max().map_or(0, |last| last + 1);
        for rig in 0..rigs {
            let which: Vec<usize> = (0..checks.len()).filter(|&c| checks[c].0 == rig).collect();
            let seen: Vec<&Check> = which.iter().map(|&c| &checks[c].1).collect();
            if seen.is_empty() {
                continue;
            }
            let mut scores = vec![0.0; count];
            let middle_kg = unknowns.surplus_kg(rig, &seen, &scores)?;
            for &unknown in unknowns.of_rig(rig) {
                let mut aside = |score: f64| {
                    scores[unknown] = score;
                    let found = unknowns.surplus_kg(rig, &seen, &scores);
                    scores[unknown] = 0.0;
                    found
                };
                // a figure that can move to one side only, or nowhere, is as straight as what is known of it
                let (up, down) = (aside(REACH), aside(-REACH));
                for (i, &c) in which.iter().enumerate() {
                    let f = middle_kg[i];
                    let (above, below) = match (&up, &down) {
                        (Some(up), Some(down)) => (up[i], down[i]),
                        (Some(up), None) => (up[i], 2.0 * f - up[i]),
                        (None, Some(down)) => (2.0 * f - down[i], down[i]),
                        (None, None) => (f, f),
                    };
                    let shape = unknowns.shapes[unknown];
                    let figure = shape.offset_at_score(REACH) / shape.standard_uncertainty();
                    let slope_kg = (above - below) / (2.0 * figure);
                    lines.figure_slopes_kg[c][unknown] = slope_kg;
                    lines.slopes_kg[c][unknown] = slope_kg * shape.linear_frac();
                    let left_frac = 1.0 - shape.linear_frac().powi(2);
                    let curve_kg2 = 0.5 * (above + below - 2.0 * f).powi(2);
                    lines.curve_kg[c] += curve_kg2;
                    lines.off_line_kg[c] += slope_kg * slope_kg * left_frac + curve_kg2;
                }
            }
            which.iter().zip(middle_kg).for_each(|(&c, f)| lines.intercept_kg[c] = f);
        }
        lines.off_line_kg.iter_mut().chain(&mut lines.curve_kg).for_each(|variance| *variance = variance.sqrt());
        Some(lines)
    }

    /// The same lines through what the checks are at these scores, instead of through the middle. A check whose rig makes
    /// no dive there keeps its line. The largest change of an intercept, kg.
    pub(crate) fn shift_to(&mut self, unknowns: &Unknowns<'_>, checks: &[(usize, Check)], scores: &[f64]) -> f64 {
        let mut most_kg = 0.0f64;
        let rigs = checks.iter().map(|(rig, _)| *rig).max().map_or(0, |last| last + 1);
        for rig in 0..rigs {
            let which: Vec<usize> = (0..checks.len()).filter(|&c| checks[c].0 == rig).collect();
            let seen: Vec<&Check> = which.iter().map(|&c| &checks[c].1).collect();
            let Some(surplus_kg) = unknowns.surplus_kg(rig, &seen, scores).filter(|_| !seen.is_empty()) else {
                continue;
            };
            for (&c, surplus_kg) in which.iter().zip(surplus_kg) {
                let intercept_kg = surplus_kg - dot(&self.slopes_kg[c], scores);
                most_kg = most_kg.max((intercept_kg - self.intercept_kg[c]).abs());
                self.intercept_kg[c] = intercept_kg;
            }
        }
        most_kg
    }

    /// Only some of the checks.
    pub fn only(&self, checks: &[usize]) -> Self {
        Self {
            intercept_kg: checks.iter().map(|&check| self.intercept_kg[check]).collect(),
            slopes_kg: checks.iter().map(|&check| self.slopes_kg[check].clone()).collect(),
            figure_slopes_kg: checks.iter().map(|&check| self.figure_slopes_kg[check].clone()).collect(),
            curve_kg: checks.iter().map(|&check| self.curve_kg[check]).collect(),
            off_line_kg: checks.iter().map(|&check| self.off_line_kg[check]).collect(),
        }
    }

    /// As lines in the figures, by which checks are judged: those are straight whatever the shapes of the doubts.
    pub fn in_figures(&self) -> Self {
        Self { slopes_kg: self.figure_slopes_kg.clone(), off_line_kg: self.curve_kg.clone(), ..self.clone() }
    }

    /// The same in scores of these standard deviations, so that each has the deviation 1 again.
    pub fn scaled(&self, deviations: &[f64]) -> Self {
        let mut lines = self.clone();
        for slopes in &mut lines.slopes_kg {
            slopes.iter_mut().zip(deviations).for_each(|(slope, deviation)| *slope *= deviation);
        }
        lines
    }

    /// Covariance of the surpluses before the update, the checks' own variances included, kg²: `G·Gᵀ + R`.
    pub fn covariance(&self, variance_kg2: &[f64]) -> Vec<Vec<f64>> {
        let mut rows: Vec<Vec<f64>> =
            self.slopes_kg.iter().map(|a| self.slopes_kg.iter().map(|b| dot(a, b)).collect()).collect();
        variance_kg2.iter().enumerate().for_each(|(c, variance)| rows[c][c] += variance);
        rows
    }
}
