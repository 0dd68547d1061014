//! An additive quadratic in place of many runs.
//!
//! `f(s) ≈ f(0) + Σᵢ (bᵢ·sᵢ + qᵢ·sᵢ²)`
//!
//! | symbol | meaning |
//! | --- | --- |
//! | `f` | what a run answers, several quantities at once |
//! | `sᵢ` | score of factor `i`: its value less its middle, over its standard deviation |
//! | `bᵢ`, `qᵢ` | from three runs: at the middle of all factors, and with factor `i` alone at its [`LOW`] and its high point |
//!
//! So `k` factors take `2k + 1` runs. What two factors do only together is left out, and so is what bends within a factor
//! more than a parabola does; [`Surrogate`] does not know how much that is, which is why nobody may use one that has not
//! been held against runs at other points.

use crate::estimate::cholesky::LeastSquares;

/// Coordinate of the low point of a factor; the high one is `1 − LOW`. Between the two lie 95 % of its values, so the
/// parabola goes through the ends of what an interval of 95 % is made from.
pub const LOW: f64 = 0.025;

/// The points at which a surrogate of so many factors needs answers, in the unit cube: the middle, then the low and the
/// high point of each factor.
pub fn design(factors: usize) -> Vec<Vec<f64>> {
    let middle = vec![0.5; factors];
    let mut points = vec![middle.clone()];
    for i in 0..factors {
        for at in [LOW, 1.0 - LOW] {
            let mut point = middle.clone();
            point[i] = at;
            points.push(point);
        }
    }
    points
}

/// An additive quadratic of several answers.
#[derive(Clone, Debug, PartialEq)]
pub struct Surrogate {
    /// answers at the middle
    middle: Vec<f64>,
    /// slope of every answer, then its curvature, for each factor
    effects: Vec<(Vec<f64>, Vec<f64>)>,
}

impl Surrogate {
    /// Through the answers at the points of [`design`], in that order. `score` gives the score of a factor at a
    /// coordinate; it is 0 at one half.
    pub fn through(answers: &[Vec<f64>], score: impl Fn(usize, f64) -> f64) -> Self {
        let Some((middle, pairs)) = answers.split_first() else { return Self { middle: vec![], effects: vec![] } };
        let effect = |(i, pair): (usize, &[Vec<f64>])| {
            let (low, high) = (score(i, LOW), score(i, 1.0 - LOW));
            let bend = |(rise_low, rise_high): (f64, f64)| {
                let (to_low, to_high) = (rise_low / low, rise_high / high);
                let curvature = (to_high - to_low) / (high - low);
                (to_low - curvature * low, curvature)
            };
            let rises = |a: usize| (pair[0][a] - middle[a], pair[1][a] - middle[a]);
            (0..middle.len()).map(|a| bend(rises(a))).unzip()
        };
        Self { middle: middle.clone(), effects: pairs.chunks_exact(2).enumerate().map(effect).collect() }
    }

    /// By least squares through answers at any points, as scores and answers. `None` where they do not determine it.
    pub fn fitted<'a, const ANSWERS: usize>(
        factors: usize,
        seen: impl Iterator<Item = (&'a [f64], [f64; ANSWERS])>,
    ) -> Option<Self> {
        let mut fit = LeastSquares::new(1 + 2 * factors, ANSWERS);
        let mut row = vec![1.0; 1 + 2 * factors];
        for (scores, answers) in seen {
            for (i, score) in scores.iter().enumerate() {
                (row[1 + 2 * i], row[2 + 2 * i]) = (*score, score * score);
            }
            fit.add(&row, &answers);
        }
        let found = fit.solve().ok()?;
        let effect = |i: usize| found.iter().map(|one| (one[1 + 2 * i], one[2 + 2 * i])).unzip();
        Some(Self { middle: found.iter().map(|one| one[0]).collect(), effects: (0..factors).map(effect).collect() })
    }

    /// Writes the answers at these scores into `out`.
    pub fn write(&self, scores: &[f64], out: &mut [f64]) {
        out.copy_from_slice(&self.middle);
        for ((slopes, curvatures), &score) in self.effects.iter().zip(scores) {
            for ((sum, slope), curvature) in out.iter_mut().zip(slopes).zip(curvatures) {
                *sum += score * (slope + score * curvature);
            }
        }
    }

    /// The answers at these scores.
    pub fn at(&self, scores: &[f64]) -> Vec<f64> {
        let mut out = vec![0.0; self.middle.len()];
        self.write(scores, &mut out);
        out
    }

    /// What one factor adds to an answer at this score, compared with its middle.
    pub fn effect(&self, factor: usize, answer: usize, score: f64) -> f64 {
        let (slopes, curvatures) = &self.effects[factor];
        score * (slopes[answer] + score * curvatures[answer])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `2 + 3x − y/2 + x² − 2z²` at scores; `x` goes from −2 to 2, `y` and `z` from −1 to 3.
    fn quadratic(scores: &[f64]) -> Vec<f64> {
        let (x, y, z) = (scores[0], scores[1], scores[2]);
        vec![2.0 + 3.0 * x - 0.5 * y + x * x - 2.0 * z * z, x + y + z]
    }

    /// Scores that are not even about the middle.
    fn score(factor: usize, p: f64) -> f64 {
        if factor == 0 { 4.0 * (p - 0.5) } else { if p < 0.5 { 2.0 * p - 1.0 } else { 6.0 * (p - 0.5) } }
    }

    #[test]
    fn three_runs_a_factor_find_a_quadratic() {
        let at = |point: &Vec<f64>| quadratic(&point.iter().enumerate().map(|(i, &p)| score(i, p)).collect::<Vec<_>>());
        let points = design(3);
        assert_eq!(points.len(), 7);
        let surrogate = Surrogate::through(&points.iter().map(at).collect::<Vec<_>>(), score);
        for scores in [[0.0, 0.0, 0.0], [1.5, -0.7, 2.9], [-3.0, 4.0, -5.0]] {
            for (said, expected) in surrogate.at(&scores).iter().zip(quadratic(&scores)) {
                assert!((said - expected).abs() < 1e-12, "{said} at {scores:?}, not {expected}");
            }
        }
        // what x alone adds at 1.5: 3·1.5 + 1.5²
        assert!((surrogate.effect(0, 0, 1.5) - 6.75).abs() < 1e-12);
        assert!((surrogate.effect(2, 1, -4.0) + 4.0).abs() < 1e-12);
    }

    #[test]
    fn least_squares_find_it_too() {
        let scores: Vec<[f64; 3]> =
            (0..40u32).map(|i| [1, 7, 13].map(|step| f64::from(i * step % 40) / 10.0 - 2.0)).collect();
        let seen = scores.iter().map(|scores| {
            let answers = quadratic(scores);
            (scores.as_slice(), [answers[0], answers[1]])
        });
        let surrogate = Surrogate::fitted(3, seen).unwrap();
        for (said, expected) in surrogate.at(&[1.5, -0.7, 2.9]).iter().zip(quadratic(&[1.5, -0.7, 2.9])) {
            assert!((said - expected).abs() < 1e-9, "{said}, not {expected}");
        }
        assert_eq!(Surrogate::fitted(3, std::iter::empty::<(&[f64], [f64; 2])>()), None);
    }
}
