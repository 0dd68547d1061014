//! Repeated weighings of one piece, combined the GUM way.
//!
//! | symbol | meaning | source |
//! | --- | --- | --- |
//! | `q̄` | mean of `n` readings | JCGM 100:2008, 4.2.1 |
//! | `s(q̄) = s/√n` | Type A standard uncertainty, `n − 1` degrees of freedom | JCGM 100:2008, 4.2.3 |
//! | `u_B` | Type B standard uncertainty of the scale, the same in every reading | JCGM 100:2008, 4.3 |
//! | `u² = s(q̄)² + u_B²` | combined | JCGM 100:2008, 5.1.2 |
//! | `ν_eff = u⁴/(s(q̄)⁴/(n − 1))` | Welch and Satterthwaite, `u_B` taken as certain | JCGM 100:2008, G.4.1 |
//! | `U = t(ν_eff)·u` | half-width that covers 95 % | JCGM 100:2008, G.3.2 |
//!
//! The scale's own doubt does not shrink with the number of readings: all share it. Clauses are named from memory.

use statrs::distribution::{ContinuousCDF, StudentsT};
use thiserror::Error;

use crate::estimate::doubt::{mean_and_deviation, normal_quantile, standard_uncertainty};
use crate::estimate::{Doubt, Estimate, Shape};

/// Coverage of the combined doubt.
pub const COVERAGE_FRAC: f64 = 0.95;

/// Why readings cannot be combined.
#[derive(Clone, Copy, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum CombineError {
    /// No reading at all.
    #[error("no reading to combine")]
    None,
    /// One reading says nothing about how readings scatter.
    #[error("one reading without the doubt of its scale: give the doubt, or read it at least twice")]
    Single,
    /// A reading that is no number.
    #[error("reading {number} is {value}, expected a finite number")]
    NotFinite {
        /// Which, counted from 1.
        number: usize,
        /// Its value.
        value: f64,
    },
}

/// Readings combined.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Combined {
    /// Mean of the readings.
    pub mean: f64,
    /// Number of readings.
    pub count: usize,
    /// Standard deviation of a single reading; 0 with one reading.
    pub deviation: f64,
    /// Type A standard uncertainty of the mean.
    pub type_a: f64,
    /// Type B standard uncertainty: the scale.
    pub type_b: f64,
    /// Combined standard uncertainty.
    pub std_uncertainty: f64,
    /// Effective degrees of freedom; infinite where the readings do not scatter.
    pub effective_dof: f64,
    /// Coverage factor: quantile of Student's t, cut down to whole degrees of freedom as JCGM 100:2008, G.4.1 advises.
    pub coverage_factor: f64,
}

impl Combined {
    /// Half-width that covers 95 %.
    pub fn half_width(&self) -> f64 {
        self.coverage_factor * self.std_uncertainty
    }

    /// The value for a gear list: the mean, with a normal doubt that covers 95 % within [`Combined::half_width`].
    ///
    /// For few readings that is wider than the standard uncertainty alone says, as it should be.
    pub fn estimate(&self) -> Estimate {
        let half_width = self.half_width();
        let shape = Shape::Normal { coverage_frac: COVERAGE_FRAC };
        Estimate { value: self.mean, doubt: (half_width > 0.0).then_some(Doubt { half_width, shape }) }
    }
}

/// Combines readings of one piece on one scale.
///
/// # Errors
/// No reading, a single one without the scale's doubt, or a reading that is no number.
///
/// ```
/// use lightpoint::{Doubt, Shape};
/// use lightpoint::internals::estimate::combine::combine;
/// let scale = Doubt { half_width: 0.05, shape: Shape::Rectangular };
/// let plate = combine(&[-2.45, -2.55, -2.50, -2.50], Some(&scale)).unwrap();
/// assert!((plate.mean + 2.5).abs() < 1e-12);
/// assert!((plate.type_b - 0.05 / 3f64.sqrt()).abs() < 1e-12);
/// ```
pub fn combine(readings: &[f64], scale: Option<&Doubt>) -> Result<Combined, CombineError> {
    if let Some((i, &value)) = readings.iter().enumerate().find(|(_, value)| !value.is_finite()) {
        return Err(CombineError::NotFinite { number: i + 1, value });
    }
    let count = readings.len();
    match (count, scale) {
        (0, _) => return Err(CombineError::None),
        (1, None) => return Err(CombineError::Single),
        _ => {}
    }
    let (mean, deviation) = mean_and_deviation(readings);
    let type_a = deviation / (count as f64).sqrt();
    let type_b = scale.map_or(0.0, standard_uncertainty);
    let std_uncertainty = type_a.hypot(type_b);
    let effective_dof =
        if type_a > 0.0 { (count as f64 - 1.0) * (std_uncertainty / type_a).powi(4) } else { f64::INFINITY };
    let coverage_factor = coverage_factor(effective_dof);
    Ok(Combined { mean, count, deviation, type_a, type_b, std_uncertainty, effective_dof, coverage_factor })
}

/// `t_p(ν)` for 95 %, `ν` cut down to a whole number of at least 1; the normal quantile for very many.
fn coverage_factor(effective_dof: f64) -> f64 {
    let p = 0.5 * (1.0 + COVERAGE_FRAC);
    // beyond a million degrees of freedom the two differ by less than 1e-5
    if effective_dof > 1e6 {
        return normal_quantile(p);
    }
    let whole = (effective_dof + 1e-9).floor().max(1.0);
    StudentsT::new(0.0, 1.0, whole).map_or_else(|_| normal_quantile(p), |t| t.inverse_cdf(p))
}
