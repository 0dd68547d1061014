//! What the draws of one quantity say: mean, standard uncertainty, coverage intervals, and how well they are known.

use statrs::distribution::{Beta, ContinuousCDF};

pub use crate::estimate::doubt::mean_and_deviation;

/// A closed interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl Interval {
    /// Half of its width.
    pub fn half_width(&self) -> f64 {
        0.5 * (self.high - self.low)
    }

    /// Whether a value lies in it.
    pub fn contains(&self, value: f64) -> bool {
        (self.low..=self.high).contains(&value)
    }
}

/// The draws of one quantity, summed up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Summary {
    /// Mean, the estimate of the quantity (JCGM 101:2008, 7.6).
    pub mean: f64,
    /// Standard deviation, its standard uncertainty (JCGM 101:2008, 7.6).
    pub std_uncertainty: f64,
    /// Half of the draws lie below.
    pub median: f64,
    /// As many draws below as above it: the probabilistically symmetric coverage interval (JCGM 101:2008, 7.7).
    pub symmetric: Interval,
    /// The shortest coverage interval (JCGM 101:2008, 7.7).
    pub shortest: Interval,
    /// How well the figures above are known; `None` with fewer than two whole blocks of draws.
    pub numerical: Option<Numerical>,
}

/// Standard deviations of the average over blocks, which is what the number of draws leaves open.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Numerical {
    /// Of the mean.
    pub mean: f64,
    /// Of the standard uncertainty.
    pub std_uncertainty: f64,
    /// Of the lower end of the symmetric interval.
    pub low: f64,
    /// Of its upper end.
    pub high: f64,
}

impl Numerical {
    /// The largest of the four.
    pub fn largest(&self) -> f64 {
        self.mean.max(self.std_uncertainty).max(self.low).max(self.high)
    }
}

impl Summary {
    /// Sums up values in any order; `None` without any. `numerical` is left out.
    pub fn of(values: &[f64], coverage_frac: f64) -> Option<Self> {
        if values.is_empty() {
            return None;
        }
        let (mean, std_uncertainty) = mean_and_deviation(values);
        let mut sorted = values.to_vec();
        sorted.sort_unstable_by(f64::total_cmp);
        Some(Self {
            mean,
            std_uncertainty,
            median: sorted[sorted.len() / 2],
            symmetric: symmetric(&sorted, coverage_frac),
            shortest: shortest(&sorted, coverage_frac),
            numerical: None,
        })
    }
}

/// Number of steps between the ends of an interval that holds the share `coverage_frac` of `count` sorted values:
/// `q = pM` rounded half up, at most `M − 1` (JCGM 101:2008, 7.7.1).
fn steps(count: usize, coverage_frac: f64) -> usize {
    ((coverage_frac * count as f64 + 0.5).floor() as usize).min(count - 1)
}

/// The probabilistically symmetric interval of sorted values: from the `r`-th to the `(r + q)`-th, with
/// `r = (M − q)/2`, rounded up when that is no whole number (JCGM 101:2008, 7.7.2).
pub fn symmetric(sorted: &[f64], coverage_frac: f64) -> Interval {
    let q = steps(sorted.len(), coverage_frac);
    // counted from 1 in the source
    let r = (sorted.len() - q).div_ceil(2);
    Interval { low: sorted[r - 1], high: sorted[r - 1 + q] }
}

/// The shortest interval of sorted values over `q` steps (JCGM 101:2008, 7.7.3). Of equal ones the lowest.
pub fn shortest(sorted: &[f64], coverage_frac: f64) -> Interval {
    let q = steps(sorted.len(), coverage_frac);
    let mut best = Interval { low: sorted[0], high: sorted[q] };
    for pair in sorted[q..].iter().zip(sorted) {
        let here = Interval { low: *pair.1, high: *pair.0 };
        if here.high - here.low < best.high - best.low {
            best = here;
        }
    }
    best
}

/// A share of the draws, with its doubt.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Chance {
    /// Draws that count.
    pub hits: usize,
    /// All draws that gave a result.
    pub of: usize,
    /// 95 % confidence interval for the probability, after Clopper and Pearson: it covers at least so often. For
    /// scrambled Sobol' points, which scatter less than independent ones, it is too wide rather than too narrow.
    pub confidence: Interval,
    /// The smallest probability, of being so or of not being so, that these draws can tell; below it only the limit is
    /// known. 0 for draws that were run.
    pub floor_frac: f64,
}

impl Chance {
    /// `hits` of `of` draws that were run.
    ///
    /// ```
    /// use lightpoint::internals::study::doubt::Chance;
    /// // none in 1000: the exact upper limit is 1 − 0.025^(1/1000)
    /// let chance = Chance::new(0, 1000);
    /// assert_eq!(chance.confidence.low, 0.0);
    /// assert!((chance.confidence.high - (1.0 - 0.025f64.powf(1e-3))).abs() < 1e-9);
    /// ```
    pub fn new(hits: usize, of: usize) -> Self {
        Self::between([hits; 3], of, 0.0)
    }

    /// Draws that were not run but worked out, each a little off: so many count for certain, as they are, and at most.
    pub(crate) fn between([surely, hits, at_most]: [usize; 3], of: usize, floor_frac: f64) -> Self {
        let quantile = |a: usize, b: usize, p: f64| {
            Beta::new(a as f64, b as f64).map_or(f64::NAN, |distribution| distribution.inverse_cdf(p))
        };
        let low = if surely == 0 { 0.0 } else { quantile(surely, of - surely + 1, 0.025) };
        let high = if at_most == of { 1.0 } else { quantile(at_most + 1, of - at_most, 0.975) };
        let mut chance = Self { hits, of, confidence: Interval { low, high }, floor_frac };
        if chance.is_below_floor() {
            chance.confidence = Interval { low: 0.0, high: high.max(floor_frac) };
        } else if chance.is_above_ceiling() {
            chance.confidence = Interval { low: low.min(1.0 - floor_frac), high: 1.0 };
        }
        chance
    }

    /// The chance that it does not happen.
    #[must_use]
    pub fn of_the_contrary(&self) -> Self {
        let Interval { low, high } = self.confidence;
        Self { hits: self.of - self.hits, confidence: Interval { low: 1.0 - high, high: 1.0 - low }, ..*self }
    }

    /// The share itself; 0 without draws. Not to be told where [`Chance::is_below_floor`] or
    /// [`Chance::is_above_ceiling`].
    pub fn frac(&self) -> f64 {
        if self.of == 0 { 0.0 } else { self.hits as f64 / self.of as f64 }
    }

    /// Whether all that is known is that it happens less often than the floor.
    pub fn is_below_floor(&self) -> bool {
        self.frac() < self.floor_frac
    }

    /// Whether all that is known is that it fails to happen less often than the floor.
    pub fn is_above_ceiling(&self) -> bool {
        1.0 - self.frac() < self.floor_frac
    }
}

/// The numerical tolerance of a value given with so many significant digits: with `u = c·10ˡ`, `c` a whole number of
/// that many digits, it is `½·10ˡ` (JCGM 101:2008, 7.9.2).
///
/// ```
/// use lightpoint::internals::study::doubt::tolerance_of;
/// assert!((tolerance_of(0.83, 2) - 0.005).abs() < 1e-15);
/// assert!((tolerance_of(12.0, 1) - 5.0).abs() < 1e-15);
/// ```
pub fn tolerance_of(std_uncertainty: f64, digits: u32) -> f64 {
    if std_uncertainty.is_nan() || std_uncertainty <= 0.0 {
        return 0.0;
    }
    // rounding to the digits first: 0.999 with one digit is 1·10⁰, not 9·10⁻¹
    let exponent = std_uncertainty.log10().floor() as i32 - (digits as i32 - 1);
    let whole = (std_uncertainty / 10f64.powi(exponent)).round();
    let exponent = if whole >= 10f64.powi(digits as i32) { exponent + 1 } else { exponent };
    0.5 * 10f64.powi(exponent)
}

#[cfg(test)]
mod tests {
    use super::*;

    // JCGM 101:2008, 7.7.2, by hand: M = 100, p = 0.95 gives q = 95, r = (100 − 95)/2 rounded up to 3.
    #[test]
    fn order_statistics_are_those_of_the_standard() {
        let sorted: Vec<f64> = (1..=100).map(f64::from).collect();
        assert_eq!(symmetric(&sorted, 0.95), Interval { low: 3.0, high: 98.0 });
        let skewed: Vec<f64> = sorted.iter().map(|x| x * x).collect();
        assert_eq!(shortest(&skewed, 0.95), Interval { low: 1.0, high: 96.0 * 96.0 });
    }

    #[test]
    fn a_few_values_do_not_panic() {
        for count in 1..5 {
            let values: Vec<f64> = (0..count).map(f64::from).collect();
            let summary = Summary::of(&values, 0.95).unwrap();
            assert!(summary.symmetric.low <= summary.median && summary.median <= summary.symmetric.high);
        }
        assert_eq!(Summary::of(&[], 0.95), None);
    }

    #[test]
    fn below_the_floor_only_the_limit_is_told() {
        let rare = Chance::between([0, 3, 9], 1000, 0.01);
        assert!(rare.is_below_floor() && !rare.is_above_ceiling());
        assert_eq!(rare.confidence.low, 0.0);
        // nine of a thousand reach above the floor: 9/1000 after Clopper and Pearson is below 1.71 % (handbook table)
        assert!(rare.confidence.high > 0.01 && rare.confidence.high < 0.0171, "{rare:?}");
        let usual = Chance::between([995, 998, 1000], 1000, 0.01);
        assert!(usual.is_above_ceiling() && usual.confidence.high == 1.0 && usual.confidence.low <= 0.99);
        assert!(!Chance::new(0, 1000).is_below_floor());
    }

    #[test]
    fn tolerances_follow_the_rounded_figure() {
        assert_eq!(tolerance_of(0.9999, 2), 0.05);
        assert_eq!(tolerance_of(0.0, 2), 0.0);
    }
}
