//! Doubts as distributions: their quantile functions and standard uncertainties.
//!
//! | doubt | distribution, `a` the half-width | standard uncertainty | source |
//! | --- | --- | --- | --- |
//! | rectangular | even over `±a` | `a/√3` | JCGM 100:2008, 4.3.7 |
//! | triangular | falling evenly to zero at `±a` | `a/√6` | JCGM 100:2008, 4.3.9 |
//! | normal, coverage `P` | normal, `P` of it within `±a` | `a/z`, `z` the quantile of `(1 + P)/2` | JCGM 100:2008, 4.3.4 to 4.3.6 |
//!
//! The clauses are named from memory.

use statrs::distribution::{ContinuousCDF, Normal};

use crate::estimate::{Doubt, Shape};

/// Quantile of the standard normal distribution, for `0 < p < 1`.
pub fn normal_quantile(p: f64) -> f64 {
    Normal::standard().inverse_cdf(p)
}

/// Distribution function of the standard normal distribution.
pub fn normal_share(z: f64) -> f64 {
    Normal::standard().cdf(z)
}

/// Standard uncertainty of a doubt: the standard deviation of its distribution.
///
/// ```
/// use lightpoint::{Doubt, Shape};
/// use lightpoint::internals::estimate::doubt::standard_uncertainty;
/// let normal = Doubt { half_width: 1.96, shape: Shape::Normal { coverage_frac: 0.95 } };
/// assert!((standard_uncertainty(&normal) - 1.0).abs() < 1e-4);
/// ```
pub fn standard_uncertainty(doubt: &Doubt) -> f64 {
    Quantile::of(doubt).standard_uncertainty()
}

/// Mean and standard deviation with `n − 1` (JCGM 100:2008, 4.2; JCGM 101:2008, 7.6), summed in the order given. The
/// deviation of a single value is 0.
pub fn mean_and_deviation(values: &[f64]) -> (f64, f64) {
    let count = values.len() as f64;
    let mean = values.iter().sum::<f64>() / count;
    let squares: f64 = values.iter().map(|value| (value - mean).powi(2)).sum();
    (mean, if values.len() > 1 { (squares / (count - 1.0)).sqrt() } else { 0.0 })
}

/// `E[x·z]/σ` of a triangular doubt. A test works it out again.
const TRIANGLE_LINEAR_FRAC: f64 = 0.996_294_733_180_514_5;

/// A doubt made ready to be drawn from many times: the offset from the central value at a probability.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Quantile {
    /// Even over `±a`.
    Rectangular(f64),
    /// Triangular over `±a`.
    Triangular(f64),
    /// Normal with this standard deviation.
    Normal(f64),
}

impl Quantile {
    /// The quantile function of a doubt.
    pub fn of(doubt: &Doubt) -> Self {
        match doubt.shape {
            Shape::Rectangular => Self::Rectangular(doubt.half_width),
            Shape::Triangular => Self::Triangular(doubt.half_width),
            Shape::Normal { coverage_frac } => {
                Self::Normal(doubt.half_width / normal_quantile(0.5 * (1.0 + coverage_frac)))
            }
        }
    }

    /// Standard deviation of the distribution.
    pub fn standard_uncertainty(&self) -> f64 {
        match *self {
            Self::Rectangular(a) => a / 3f64.sqrt(),
            Self::Triangular(a) => a / 6f64.sqrt(),
            Self::Normal(sigma) => sigma,
        }
    }

    /// Correlation of the value with its own score, `E[x·z]/σ`: how much of it a straight line in the score explains. For a
    /// rectangle `√(3/π)`; a triangle has no such short form.
    pub fn linear_frac(&self) -> f64 {
        match self {
            Self::Rectangular(_) => (3.0 / std::f64::consts::PI).sqrt(),
            Self::Triangular(_) => TRIANGLE_LINEAR_FRAC,
            Self::Normal(_) => 1.0,
        }
    }

    /// Offset at a standard normal score: that of `p = Φ(z)`.
    pub fn offset_at_score(&self, score: f64) -> f64 {
        match *self {
            Self::Normal(sigma) => sigma * score,
            // in the far tail, where it would round to 0 or 1, the last number before that
            _ => self.offset(normal_share(score).clamp(f64::MIN_POSITIVE, 1.0 - f64::EPSILON)),
        }
    }

    /// Offset from the central value that the share `p` of all values stays below, for `0 < p < 1`.
    ///
    /// Rectangular `a·(2p − 1)`; triangular `a·(√(2p) − 1)` below the middle and its mirror image above; normal `σ·z(p)`.
    pub fn offset(&self, p: f64) -> f64 {
        match *self {
            Self::Rectangular(a) => a * (2.0 * p - 1.0),
            Self::Triangular(a) if p < 0.5 => a * ((2.0 * p).sqrt() - 1.0),
            Self::Triangular(a) => a * (1.0 - (2.0 * (1.0 - p)).sqrt()),
            Self::Normal(sigma) => sigma * normal_quantile(p),
        }
    }
}
