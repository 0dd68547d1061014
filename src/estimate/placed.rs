//! What is known of many distances together, after checks that bear on several of them.

use statrs::distribution::{Continuous, ContinuousCDF, Normal};

/// Standard deviations below zero from which on nothing above it is left.
const CUT_OFF: f64 = 3.0;

/// Distances whose doubts are normal and tied together.
#[derive(Clone, Debug, PartialEq)]
pub struct PlaceTies {
    /// Middle of each, m.
    pub mean: Vec<f64>,
    /// For each independent source of doubt, what one standard uncertainty of it moves each distance by, m: the columns of a
    /// root of the covariance.
    pub moves: Vec<Vec<f64>>,
}

impl PlaceTies {
    /// Of distances that nothing ties: their middles and standard uncertainties, m.
    pub fn free(mean: Vec<f64>, standard_m: &[f64]) -> Self {
        let count = mean.len();
        let one = |i: usize| {
            let mut moved = vec![0.0; count];
            moved[i] = standard_m[i];
            moved
        };
        Self { moves: (0..count).map(one).collect(), mean }
    }

    /// The same after one more thing is known: that a sum of them `Σ gᵢ·xᵢ` is what it is now plus `surplus`, within a standard
    /// uncertainty of `noise`.
    ///
    /// A Kalman update with the covariance kept as its root (Potter's form): with `h = Mᵀ·g`, `s = h·h + noise²`,
    /// `x ← x + M·h·surplus/s`, `M ← M·(I − γ·h·hᵀ)`, `γ = 1/(s + noise·√s)`.
    ///
    /// Source: Potter's square-root update, as text books of Kalman filters give it (from memory); the test checks it against
    /// the update of the covariance itself.
    #[must_use]
    pub fn knowing(&self, slope: &[f64], surplus: f64, noise: f64) -> Self {
        let along = |moved: &[f64]| -> f64 { moved.iter().zip(slope).map(|(m, g)| m * g).sum() };
        let h: Vec<f64> = self.moves.iter().map(|moved| along(moved)).collect();
        let variance = h.iter().map(|h| h * h).sum::<f64>() + noise * noise;
        if variance <= 0.0 {
            return self.clone();
        }
        let gamma = 1.0 / (variance + noise * variance.sqrt());
        let mut gain = vec![0.0; self.mean.len()];
        for (moved, h) in self.moves.iter().zip(&h) {
            gain.iter_mut().zip(moved).for_each(|(gain, m)| *gain += m * h);
        }
        let mean = self.mean.iter().zip(&gain).map(|(x, gain)| x + gain * surplus / variance).collect();
        let shrunk = |(moved, h): (&Vec<f64>, &f64)| -> Vec<f64> {
            moved.iter().zip(&gain).map(|(m, gain)| m - gamma * gain * h).collect()
        };
        Self { mean, moves: self.moves.iter().zip(&h).map(shrunk).collect() }
    }

    /// The same after it is known that a sum `y = Σ gᵢ·xᵢ + e`, now `value`, is above zero; `e` is what else is unknown of it, of
    /// a variance of its own. By the moments of a normal distribution cut off at zero:
    ///
    /// ```text
    /// α = −y/s    λ = φ(α)/(1 − Φ(α))    mean y + s·λ    variance s²·(1 − λ·(λ − α))
    /// ```
    ///
    /// `None` where it is as good as impossible, beyond [`CUT_OFF`] standard deviations below zero.
    ///
    /// Source: moments of the truncated normal distribution (from memory, held against numbers worked out by hand).
    pub fn above_zero(&self, slope: &[f64], value: f64, other_variance: f64) -> Option<Self> {
        let along = |moved: &Vec<f64>| -> f64 { moved.iter().zip(slope).map(|(m, g)| m * g).sum() };
        let variance = self.moves.iter().map(|moved| along(moved).powi(2)).sum::<f64>() + other_variance;
        let s = variance.sqrt();
        if variance <= 0.0 || -value > CUT_OFF * s {
            return (value > 0.0).then(|| self.clone());
        }
        let normal = Normal::standard();
        let alpha = -value / s;
        let lambda = normal.pdf(alpha) / normal.sf(alpha);
        let left = 1.0 - lambda * (lambda - alpha);
        if 1.0 - left < 1e-9 {
            return Some(self.clone()); // above it already
        }
        // the measurement with the same effect: of the noise r² and the surplus that give this mean and this variance
        let noise_variance = variance * left / (1.0 - left);
        let surplus = s * lambda * (variance + noise_variance) / variance;
        Some(self.knowing(slope, surplus, (noise_variance + other_variance).sqrt()))
    }

    /// Standard uncertainty of each distance, m.
    pub fn standard_m(&self) -> Vec<f64> {
        let of = |i: usize| self.moves.iter().map(|moved| moved[i] * moved[i]).sum::<f64>().sqrt();
        (0..self.mean.len()).map(of).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // N(−1, 1) cut off at zero: λ = φ(1)/(1 − Φ(1)) = 0.241971/0.158655 = 1.525135, mean 0.525135, variance 1 − λ(λ − 1) = 0.199098
    #[test]
    fn what_is_above_zero_is_a_normal_distribution_cut_off() {
        let of =
            |own: f64, other: f64| PlaceTies::free(vec![-1.0], &[own.sqrt()]).above_zero(&[1.0], -1.0, other).unwrap();
        let all = of(1.0, 0.0);
        assert!((all.mean[0] - 0.525_135).abs() < 1e-5 && (all.standard_m()[0].powi(2) - 0.199_098).abs() < 1e-5);
        // half of the variance is of something else: half of the shift is its own
        assert!((of(0.5, 0.5).mean[0] - (-1.0 + 0.5 * 1.525_135)).abs() < 1e-5);
        let sure = PlaceTies::free(vec![9.0], &[1.0]);
        assert_eq!(sure.above_zero(&[1.0], 9.0, 0.0), Some(sure.clone()));
        assert_eq!(sure.above_zero(&[1.0], -3.1, 0.0), None);
    }

    // against the update of the covariance itself: K = P·g/(gᵀPg + r²), P ← P − K·gᵀ·P
    #[test]
    fn the_root_is_updated_as_the_covariance_is() {
        let before = PlaceTies::free(vec![1.0, -2.0, 0.5], &[0.3, 0.1, 0.2]).knowing(&[1.0, 0.5, 0.0], 0.2, 0.1);
        let (g, r, surplus) = ([0.4, -1.0, 2.0], 0.15, -0.3);
        let p = |ties: &PlaceTies, i: usize, j: usize| ties.moves.iter().map(|m| m[i] * m[j]).sum::<f64>();
        let pg: Vec<f64> = (0..3).map(|i| (0..3).map(|j| p(&before, i, j) * g[j]).sum()).collect();
        let s: f64 = (0..3).map(|i| g[i] * pg[i]).sum::<f64>() + r * r;
        let after = before.knowing(&g, surplus, r);
        for i in 0..3 {
            assert!((after.mean[i] - before.mean[i] - pg[i] / s * surplus).abs() < 1e-14);
            for j in 0..3 {
                assert!((p(&after, i, j) - (p(&before, i, j) - pg[i] * pg[j] / s)).abs() < 1e-14, "{i} {j}");
            }
        }
    }
}
