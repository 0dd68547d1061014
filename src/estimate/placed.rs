//! What is known of many distances together, after checks that bear on several of them.

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

    /// Standard uncertainty of each distance, m.
    pub fn standard_m(&self) -> Vec<f64> {
        let of = |i: usize| self.moves.iter().map(|moved| moved[i] * moved[i]).sum::<f64>().sqrt();
        (0..self.mean.len()).map(of).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

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
