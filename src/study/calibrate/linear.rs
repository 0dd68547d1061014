//! The checks as straight lines in the scores of the factors, and the update that follows in closed form.
//!
//! Every factor has a standard normal score `z`, the quantile of its coordinate: `x = F⁻¹(Φ(z))`. So the prior is
//! `z ~ N(0, 1)` exactly, whatever the shape of the doubt, and no update can carry a rectangular or triangular input past
//! its limits. A check `c` is a surplus `s_c ≈ a_c + Σ g_cj·z_j` that was seen to be `0 ± σ_c`. Then, with `G` the
//! slopes and `R` the variances of the checks,
//!
//! `K = Gᵀ(G·Gᵀ + R)⁻¹` · `m = −K·a` · `P = I − K·G`
//!
//! are the gain, the mean and the covariance after all checks together: the linear-Gaussian update (for example Tarantola
//! 2005, Inverse Problem Theory, section 3.2; from memory).

use crate::estimate::cholesky::{Cholesky, LeastSquares, dot};

/// Checks as straight lines.
#[derive(Clone, Debug)]
pub struct Lines {
    /// Surplus at the middle of all scores, kg.
    pub intercept_kg: Vec<f64>,
    /// Change of the surplus with each score, kg: a row for each check.
    pub slopes_kg: Vec<Vec<f64>>,
    /// Root mean square distance of the draws from the line, kg.
    pub off_line_kg: Vec<f64>,
}

impl Lines {
    /// Least squares through draws: `scores` one row a draw, `surplus_kg` the same, a column for each check. `None`
    /// with too few draws.
    pub fn through(scores: &[Vec<f64>], surplus_kg: &[Vec<f64>], checks: usize) -> Option<Self> {
        let factors = scores.first()?.len();
        let mut fit = LeastSquares::new(factors + 1, checks);
        let mut row = vec![1.0; factors + 1];
        for (scores, surplus_kg) in scores.iter().zip(surplus_kg) {
            row[1..].copy_from_slice(scores);
            fit.add(&row, surplus_kg);
        }
        let (mut intercept_kg, mut slopes_kg) = (Vec::with_capacity(checks), Vec::with_capacity(checks));
        for mut coefficients in fit.solve().ok()? {
            slopes_kg.push(coefficients.split_off(1));
            intercept_kg.push(coefficients[0]);
        }
        let off_line_kg = |c: usize| {
            let off_kg = |(scores, surplus_kg): (&Vec<f64>, &Vec<f64>)| {
                (surplus_kg[c] - intercept_kg[c] - dot(&slopes_kg[c], scores)).powi(2)
            };
            (scores.iter().zip(surplus_kg).map(off_kg).sum::<f64>() / scores.len() as f64).sqrt()
        };
        let off_line_kg = (0..checks).map(off_line_kg).collect();
        Some(Self { intercept_kg, slopes_kg, off_line_kg })
    }

    /// Only some of the checks.
    pub fn only(&self, checks: &[usize]) -> Self {
        Self {
            intercept_kg: checks.iter().map(|&check| self.intercept_kg[check]).collect(),
            slopes_kg: checks.iter().map(|&check| self.slopes_kg[check].clone()).collect(),
            off_line_kg: checks.iter().map(|&check| self.off_line_kg[check]).collect(),
        }
    }

    /// Covariance of the surpluses before the update, the checks' own variances included, kg²: `G·Gᵀ + R`.
    pub fn covariance(&self, variance_kg2: &[f64]) -> Vec<Vec<f64>> {
        let mut rows: Vec<Vec<f64>> =
            self.slopes_kg.iter().map(|a| self.slopes_kg.iter().map(|b| dot(a, b)).collect()).collect();
        variance_kg2.iter().enumerate().for_each(|(c, variance)| rows[c][c] += variance);
        rows
    }

    /// The update of so many factors with these variances of the checks, kg². `None` if the checks cannot be told apart
    /// numerically.
    ///
    /// `P = I − Gᵀ(G·Gᵀ + R)⁻¹G`, and with `G·Gᵀ + R = L·Lᵀ` and `W = L⁻¹G` simply `P = I − Wᵀ·W`, which stays symmetric.
    pub fn update(&self, factors: usize, variance_kg2: &[f64]) -> Option<Normal> {
        let root = Cholesky::of(&self.covariance(variance_kg2)).ok()?;
        let pulled = root.solve(&self.intercept_kg);
        let columns: Vec<Vec<f64>> = (0..factors)
            .map(|j| root.forward(&self.slopes_kg.iter().map(|slopes| slopes[j]).collect::<Vec<f64>>()))
            .collect();
        let covariance = columns
            .iter()
            .enumerate()
            .map(|(i, a)| columns.iter().enumerate().map(|(j, b)| f64::from(u8::from(i == j)) - dot(a, b)).collect())
            .collect();
        let mean = (0..factors).map(|j| -self.slopes_kg.iter().zip(&pulled).map(|(g, p)| g[j] * p).sum::<f64>());
        Normal::new(mean.collect(), covariance)
    }
}

/// A normal distribution of all scores together.
#[derive(Clone, Debug)]
pub struct Normal {
    /// Mean.
    pub mean: Vec<f64>,
    /// Covariance, row by row.
    pub covariance: Vec<Vec<f64>>,
    root: Cholesky,
}

impl Normal {
    fn new(mean: Vec<f64>, covariance: Vec<Vec<f64>>) -> Option<Self> {
        let root = Cholesky::of(&covariance).ok()?;
        Some(Self { mean, covariance, root })
    }

    /// The scores that a point of independent standard normal numbers stands for: `m + L·z`.
    pub fn point(&self, standard: &[f64]) -> Vec<f64> {
        self.mean.iter().zip(self.root.times(standard)).map(|(mean, off)| mean + off).collect()
    }

    /// Logarithm of the density at a point, but for a constant: `−½(z − m)ᵀP⁻¹(z − m)`.
    pub fn log_density(&self, scores: &[f64]) -> f64 {
        let off: Vec<f64> = scores.iter().zip(&self.mean).map(|(z, mean)| z - mean).collect();
        let scaled = self.root.forward(&off);
        -0.5 * dot(&scaled, &scaled)
    }

    /// Variance of a sum of scores with these slopes: `gᵀPg`.
    pub fn variance_of(&self, slopes: &[f64]) -> f64 {
        self.covariance.iter().zip(slopes).map(|(row, slope)| slope * dot(row, slopes)).sum()
    }
}
