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

use nalgebra::{Cholesky, DMatrix, DVector, Dyn};

/// Checks as straight lines.
#[derive(Clone, Debug)]
pub struct Lines {
    /// Surplus at the middle of all scores, kg.
    pub intercept_kg: DVector<f64>,
    /// Change of the surplus with each score, kg: a row for each check.
    pub slopes_kg: DMatrix<f64>,
    /// Root mean square distance of the draws from the line, kg.
    pub off_line_kg: Vec<f64>,
}

impl Lines {
    /// Least squares through draws: `scores` one row a draw, `surplus_kg` the same, a column for each check. `None`
    /// with too few draws.
    pub fn through(scores: &[Vec<f64>], surplus_kg: &[Vec<f64>], checks: usize) -> Option<Self> {
        let factors = scores.first()?.len();
        let unknowns = factors + 1;
        let (mut normal, mut right) = (DMatrix::zeros(unknowns, unknowns), DMatrix::zeros(unknowns, checks));
        let row = |scores: &[f64]| DVector::from_iterator(unknowns, std::iter::once(1.0).chain(scores.iter().copied()));
        for (scores, surplus_kg) in scores.iter().zip(surplus_kg) {
            let row = row(scores);
            normal.ger(1.0, &row, &row, 1.0);
            right.ger(1.0, &row, &DVector::from_column_slice(surplus_kg), 1.0);
        }
        let solved = Cholesky::new(normal)?.solve(&right);
        let mut squares = vec![0.0; checks];
        for (scores, surplus_kg) in scores.iter().zip(surplus_kg) {
            let fitted = solved.transpose() * row(scores);
            for (sum, (seen, fitted)) in squares.iter_mut().zip(surplus_kg.iter().zip(fitted.iter())) {
                *sum += (seen - fitted).powi(2);
            }
        }
        Some(Self {
            intercept_kg: solved.row(0).transpose(),
            slopes_kg: solved.rows(1, factors).transpose(),
            off_line_kg: squares.iter().map(|sum| (sum / scores.len() as f64).sqrt()).collect(),
        })
    }

    /// Only some of the checks.
    pub fn only(&self, checks: &[usize]) -> Self {
        Self {
            intercept_kg: self.intercept_kg.select_rows(checks),
            slopes_kg: self.slopes_kg.select_rows(checks),
            off_line_kg: checks.iter().map(|&check| self.off_line_kg[check]).collect(),
        }
    }

    /// Covariance of the surpluses before the update, the checks' own variances included, kg².
    pub fn covariance(&self, variance_kg2: &[f64]) -> DMatrix<f64> {
        let own = DMatrix::from_diagonal(&DVector::from_column_slice(variance_kg2));
        &self.slopes_kg * self.slopes_kg.transpose() + own
    }

    /// The update with these variances of the checks, kg². `None` if the checks cannot be told apart numerically.
    pub fn update(&self, variance_kg2: &[f64]) -> Option<Normal> {
        let factors = self.slopes_kg.ncols();
        if variance_kg2.is_empty() {
            return Normal::new(DVector::zeros(factors), DMatrix::identity(factors, factors));
        }
        let inverse = Cholesky::new(self.covariance(variance_kg2))?.inverse();
        let gain = self.slopes_kg.transpose() * inverse;
        let covariance = DMatrix::identity(factors, factors) - &gain * &self.slopes_kg;
        Normal::new(-(&gain * &self.intercept_kg), covariance)
    }
}

/// A normal distribution of all scores together.
#[derive(Clone, Debug)]
pub struct Normal {
    /// Mean.
    pub mean: DVector<f64>,
    /// Covariance.
    pub covariance: DMatrix<f64>,
    root: Cholesky<f64, Dyn>,
}

impl Normal {
    fn new(mean: DVector<f64>, covariance: DMatrix<f64>) -> Option<Self> {
        // rounding may leave it a little unsymmetric
        let covariance = 0.5 * (&covariance + covariance.transpose());
        let root = Cholesky::new(covariance.clone())?;
        Some(Self { mean, covariance, root })
    }

    /// The scores that a point of independent standard normal numbers stands for.
    pub fn point(&self, standard: &[f64]) -> Vec<f64> {
        let at = &self.mean + self.root.l_dirty().lower_triangle() * DVector::from_column_slice(standard);
        at.iter().copied().collect()
    }

    /// Logarithm of the density at a point, but for a constant: `−½(z − m)ᵀP⁻¹(z − m)`.
    pub fn log_density(&self, scores: &[f64]) -> f64 {
        let off = DVector::from_column_slice(scores) - &self.mean;
        -0.5 * off.dot(&self.root.solve(&off))
    }
}
