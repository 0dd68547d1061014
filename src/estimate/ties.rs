//! Figures that were seen together: what checks in the water make of the doubts of a plan.
//!
//! Every independent source of doubt has a standard normal score `z`, the quantile of its coordinate: `x = F⁻¹(Φ(z))`. A
//! check ties the scores together (one figure heavier means another lighter), so after it they are
//!
//! `s = m + R·z`,  `z ~ N(0, I)`,
//!
//! with the mean `m` and a root `R` of the covariance, `P = R·Rᵀ`. `R` comes from one check after the other by
//! [`Root::see`], each of which changes `R` by a matrix of rank one that is as near to none as can be; so `zⱼ` stands for
//! what is left of the doubt of figure `j`.

use crate::estimate::cholesky::dot;
use crate::estimate::doubt::{Quantile, normal_quantile, normal_share};
use crate::estimate::{Estimate, Input};

/// Scores farther out than this are not told apart from it: one in 10¹⁵ lies beyond.
const FARTHEST: f64 = 8.0;

/// The mean of some scores and a root of their covariance.
#[derive(Clone, Debug, PartialEq)]
pub struct Root {
    /// Mean `m`.
    pub mean: Vec<f64>,
    /// Root `R`, row by row.
    pub rows: Vec<Vec<f64>>,
}

impl Root {
    /// Independent scores with these standard deviations, and mean 0.
    pub fn independent(deviations: &[f64]) -> Self {
        let row = |i: usize| (0..deviations.len()).map(|j| if i == j { deviations[i] } else { 0.0 }).collect();
        Self { mean: vec![0.0; deviations.len()], rows: (0..deviations.len()).map(row).collect() }
    }

    /// Takes in that `intercept + slopes·s` was seen to be `0 ± √variance`.
    ///
    /// With `h = Rᵀg` and `q = hᵀh + r`: `m ← m − R·h·(a + gᵀm)/q` and `R ← R·(I − α·h·hᵀ)`, `α = (1 − √(r/q))/hᵀh`.
    /// (Potter's square root of the update of a normal distribution: Bierman 1977, Factorization Methods for Discrete
    /// Sequential Estimation, section II; from memory.)
    pub fn see(&mut self, intercept: f64, slopes: &[f64], variance: f64) {
        let h = self.pulled(slopes);
        let square = dot(&h, &h);
        if square <= 0.0 {
            return; // nothing that it says depends on any of them
        }
        let q = square + variance;
        let off = (intercept + dot(slopes, &self.mean)) / q;
        let alpha = (1.0 - (variance / q).sqrt()) / square;
        for (mean, row) in self.mean.iter_mut().zip(&mut self.rows) {
            let along = dot(row, &h);
            *mean -= along * off;
            row.iter_mut().zip(&h).for_each(|(r, h)| *r -= alpha * along * h);
        }
    }

    /// `Rᵀg`: what a sum of scores with these slopes has of each `z`. The square of its length is the variance of the sum.
    pub fn pulled(&self, slopes: &[f64]) -> Vec<f64> {
        let mut h = vec![0.0; slopes.len()];
        for (row, slope) in self.rows.iter().zip(slopes).filter(|(_, slope)| **slope != 0.0) {
            h.iter_mut().zip(row).for_each(|(h, r)| *h += slope * r);
        }
        h
    }

    /// Variance of a sum of scores with these slopes.
    pub fn variance_of(&self, slopes: &[f64]) -> f64 {
        let h = self.pulled(slopes);
        dot(&h, &h)
    }

    /// The scores that a point of independent standard normal numbers stands for: `m + R·z`.
    pub fn scores(&self, z: &[f64]) -> Vec<f64> {
        self.mean.iter().zip(&self.rows).map(|(mean, row)| mean + dot(row, z)).collect()
    }

    /// Standard deviation of one score.
    pub fn deviation(&self, index: usize) -> f64 {
        dot(&self.rows[index], &self.rows[index]).sqrt()
    }
}

/// On which side of the limit something was seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// At the limit itself.
    Both,
    /// At most there.
    Below,
    /// At least there.
    Above,
}

/// What a check says beyond the normal distribution of the scores that is near it: because it is one-sided, or because it
/// is a straight line in the figures, and not in their scores, where a doubt is not normal.
#[derive(Clone, Debug, PartialEq)]
pub struct Look {
    /// What was seen.
    pub side: Side,
    /// Standard uncertainty of the check, kg.
    pub sigma_kg: f64,
    /// The surplus of the check as a line in the figures, each less its middle and over its deviation: where all are 0, kg.
    pub intercept_kg: f64,
    /// What it changes by with each of them, kg.
    pub slopes_kg: Vec<f64>,
    /// The same as a line in the scores, less what was seen, for which the root was made: where all are 0, kg.
    pub site_kg: f64,
    /// What it changes by with each score, kg.
    pub site_slopes_kg: Vec<f64>,
    /// One over the variance that it was given there, 1/kg².
    pub site_precision: f64,
}

impl Look {
    /// Logarithm of the likelihood of the figures `x` over that of the normal factor of their scores `s`, but for a constant:
    /// `ln L(x) + ½λ·y(s)²`.
    fn log_weight(&self, figures: &[f64], scores: &[f64]) -> f64 {
        let surplus_kg = self.intercept_kg + dot(&self.slopes_kg, figures);
        let scaled = surplus_kg / self.sigma_kg;
        let likelihood = match self.side {
            Side::Both => -0.5 * scaled * scaled,
            Side::Below => normal_share(-scaled).max(f64::MIN_POSITIVE).ln(),
            Side::Above => normal_share(scaled).max(f64::MIN_POSITIVE).ln(),
        };
        let site_kg = self.site_kg + dot(&self.site_slopes_kg, scores);
        likelihood + 0.5 * self.site_precision * site_kg * site_kg
    }
}

/// The doubtful figures of a plan as checks in the water tie them together.
#[derive(Clone, Debug, PartialEq)]
pub struct Ties {
    /// The figures with a doubt as they were before the checks, in their order.
    pub before: Vec<Estimate>,
    /// Their scores after the checks, one for each independent source of doubt.
    pub root: Root,
    /// The shape of each source's doubt.
    pub shapes: Vec<Quantile>,
    /// What checks say beyond the normal distribution of the scores; empty where that says all.
    pub looks: Vec<Look>,
}

impl Ties {
    /// The scores at a point of the unit cube, each strictly between 0 and 1.
    pub fn scores_at(&self, coordinates: &[f64]) -> Vec<f64> {
        let z: Vec<f64> = coordinates.iter().map(|&p| normal_quantile(p)).collect();
        self.root.scores(&z).into_iter().map(|score| score.clamp(-FARTHEST, FARTHEST)).collect()
    }

    /// Logarithm of what a draw at this point of the unit cube is worth, but for a constant.
    pub fn log_weight(&self, coordinates: &[f64]) -> f64 {
        let scores = self.scores_at(coordinates);
        let figure = |(shape, score): (&Quantile, &f64)| shape.offset_at_score(*score) / shape.standard_uncertainty();
        let figures: Vec<f64> = self.shapes.iter().zip(&scores).map(figure).collect();
        self.looks.iter().map(|look| look.log_weight(&figures, &scores)).sum()
    }
}

/// The figures that a dive is built from, and what ties them together.
#[derive(Clone, Copy, Debug)]
pub struct Figures<'a> {
    /// Every figure.
    pub inputs: &'a [Input],
    /// What checks say of those with a doubt.
    pub ties: Option<&'a Ties>,
}

impl<'a> From<&'a [Input]> for Figures<'a> {
    fn from(inputs: &'a [Input]) -> Self {
        Self { inputs, ties: None }
    }
}

impl<'a, const N: usize> From<&'a [Input; N]> for Figures<'a> {
    fn from(inputs: &'a [Input; N]) -> Self {
        Self { inputs, ties: None }
    }
}

impl<'a> From<&'a Vec<Input>> for Figures<'a> {
    fn from(inputs: &'a Vec<Input>) -> Self {
        Self { inputs, ties: None }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // The conditional normal distribution in closed form: y = x₁ + 2x₂, u = (1, 3), seen to be 0 ± 2 where 5 was expected.
    // Var y = 1 + 36 = 37, gains 1/41 and 18/41; the deviation of y falls to √(37·4/41).
    #[test]
    fn one_sum_is_seen() {
        let mut root = Root::independent(&[1.0, 3.0]);
        root.see(5.0, &[1.0, 2.0], 4.0);
        assert!((root.mean[0] + 5.0 / 41.0).abs() < 1e-14 && (root.mean[1] + 5.0 * 18.0 / 41.0).abs() < 1e-14);
        assert!((root.deviation(0) - (1.0f64 - 1.0 / 41.0).sqrt()).abs() < 1e-14);
        assert!((root.deviation(1) - (9.0f64 - 18.0 * 18.0 / 41.0).sqrt()).abs() < 1e-14);
        assert!((root.variance_of(&[1.0, 2.0]) - 37.0 * 4.0 / 41.0).abs() < 1e-13);
    }

    // Two looks at one thing are as good as one with half the variance, in any order.
    #[test]
    fn the_order_of_checks_does_not_matter() {
        let slopes = [0.5, -1.5, 0.0];
        let seen = |list: &[(f64, f64)]| {
            let mut root = Root::independent(&[1.0, 1.0, 2.0]);
            list.iter().for_each(|(intercept, variance)| root.see(*intercept, &slopes, *variance));
            root
        };
        let (a, b, once) = (seen(&[(1.0, 2.0), (3.0, 2.0)]), seen(&[(3.0, 2.0), (1.0, 2.0)]), seen(&[(2.0, 1.0)]));
        for i in 0..3 {
            assert!((a.mean[i] - b.mean[i]).abs() < 1e-14 && (a.mean[i] - once.mean[i]).abs() < 1e-14);
            assert!((a.deviation(i) - b.deviation(i)).abs() < 1e-14);
            assert!((a.deviation(i) - once.deviation(i)).abs() < 1e-14);
        }
        assert_eq!((a.mean[2], a.deviation(2)), (0.0, 2.0));
    }
}
