//! Sobol' indices: which share of a variance comes from which factor.
//!
//! With `f` the answer and `V` its variance over all factors, factor `i` has
//!
//! | index | meaning | estimator |
//! | --- | --- | --- |
//! | first-order `Sᵢ` | share of `V` that vanishes on average once the factor is known | `E[f(B)·(f(Aᵢ) − f(A))]/V`, Saltelli et al. 2010 |
//! | total `Tᵢ` | share of `V` that is left on average once all others are known | `E[(f(A) − f(Aᵢ))²]/2V`, Jansen 1999 |
//!
//! `A` and `B` are independent points, and `Aᵢ` is `A` with the coordinate `i` of `B`. (Saltelli et al., Comput. Phys.
//! Commun. 181, 259; Jansen, Comput. Phys. Commun. 117, 35; both from memory.) A factor counts as a whole, so inputs
//! that share one error share one index. `Tᵢ > Sᵢ` tells of interplay with other factors.
//!
//! The buoyancy of a diver is nearly linear in its inputs, and of a straight line `L = Σ bᵢsᵢ` both indices are known:
//! `bᵢ²/V`. So only the rest is left to the sampling: `VTᵢ = bᵢ² + E[(Δf)² − (ΔL)²]/2`, and likewise for `Sᵢ`. The
//! slopes `bᵢ` come from the same points, all of them at once by least squares: taken one by one they would carry each
//! other's accidental correlation, which in many dimensions is as large as the indices of the small factors. For a
//! function that is not linear this changes nothing but the scatter.

use crate::estimate::cholesky::LeastSquares;
use crate::study::doubt::draw::{Sequence, unit_point};

/// Shares of one answer's variance by factor.
#[derive(Clone, Debug, PartialEq)]
pub struct Indices {
    /// Variance of the answer.
    pub variance: f64,
    /// First-order index of each factor, with its standard error.
    pub first: Vec<(f64, f64)>,
    /// Total index of each factor, with its standard error.
    pub total: Vec<(f64, f64)>,
    /// Share of the variance that a straight line through the factors explains.
    pub linear_frac: f64,
}

/// Everything that the estimators need of one pair of points: the answers at `A`, at `B` and at every `Aᵢ`, and the
/// scores of the factors at `A` and `B`.
#[derive(Clone, Debug)]
pub struct Pair {
    /// `f(A)`, one value for each answer.
    pub at_a: Vec<f64>,
    /// `f(B)`.
    pub at_b: Vec<f64>,
    /// `f(Aᵢ)` for each factor.
    pub mixed: Vec<Vec<f64>>,
    /// Score of each factor at `A`: its value with mean 0 and standard deviation 1.
    pub score_a: Vec<f64>,
    /// Score of each factor at `B`.
    pub score_b: Vec<f64>,
}

impl Pair {
    /// Evaluates pair number `index` in a cube of as many dimensions as there are factors. `None` if any point has no
    /// answer.
    pub fn evaluate(
        seed: u64,
        index: u64,
        factors: usize,
        answers: impl Fn(&[f64]) -> Option<Vec<f64>>,
        score: impl Fn(usize, f64) -> f64,
    ) -> Option<Self> {
        let both = unit_point(Sequence::Sobol, seed, index, 2 * factors);
        let (a, b) = both.split_at(factors);
        let mut point = a.to_vec();
        let mut mixed = Vec::with_capacity(factors);
        for i in 0..factors {
            point[i] = b[i];
            mixed.push(answers(&point)?);
            point[i] = a[i];
        }
        let scores = |at: &[f64]| at.iter().enumerate().map(|(i, &p)| score(i, p)).collect();
        Some(Self { at_a: answers(a)?, at_b: answers(b)?, mixed, score_a: scores(a), score_b: scores(b) })
    }
}

/// The indices of one answer from many pairs; `None` with fewer than two pairs. All are zero when the
/// answer does not vary.
pub fn indices(pairs: &[Pair], answer: usize) -> Option<Indices> {
    let count = pairs.len() as f64;
    let factors = pairs.first()?.mixed.len();
    if pairs.len() < 2 {
        return None;
    }
    let mean = pairs.iter().map(|pair| pair.at_a[answer] + pair.at_b[answer]).sum::<f64>() / (2.0 * count);
    let both = |pair: &Pair| [pair.at_a[answer] - mean, pair.at_b[answer] - mean];
    let slopes = slopes(pairs, answer, mean).unwrap_or_else(|| vec![0.0; factors]);
    let line = |scores: &[f64]| slopes.iter().zip(scores).map(|(b, s)| b * s).sum::<f64>();
    // of the variance, too, the straight line's part Σbᵢ² is known
    let curved = |pair: &Pair| {
        let of = |f: f64, scores: &[f64]| f * f - line(scores).powi(2);
        of(both(pair)[0], &pair.score_a) + of(both(pair)[1], &pair.score_b)
    };
    let straight: f64 = slopes.iter().map(|b| b * b).sum();
    let variance = straight + pairs.iter().map(curved).sum::<f64>() / (2.0 * count);
    // rounding of an answer that does not vary at all has no source
    if variance.is_nan() || variance <= 1e-12 * mean * mean {
        let none = vec![(0.0, 0.0); factors];
        return Some(Indices { variance: 0.0, first: none.clone(), total: none, linear_frac: 1.0 });
    }
    let share = |i: usize, rest: &dyn Fn(&Pair) -> f64| {
        let values: Vec<f64> = pairs.iter().map(rest).collect();
        let (mean, deviation) = super::interval::mean_and_deviation(&values);
        ((slopes[i].powi(2) + mean) / variance, deviation / count.sqrt() / variance)
    };
    let (mut first, mut total) = (Vec::with_capacity(factors), Vec::with_capacity(factors));
    for (i, slope) in slopes.iter().enumerate() {
        let change = |pair: &Pair| pair.mixed[i][answer] - pair.at_a[answer];
        let straight = |pair: &Pair| slope * (pair.score_b[i] - pair.score_a[i]);
        first.push(share(i, &|pair| both(pair)[1] * change(pair) - line(&pair.score_b) * straight(pair)));
        total.push(share(i, &|pair| 0.5 * (change(pair).powi(2) - straight(pair).powi(2))));
    }
    let off_line = |f: f64, scores: &[f64]| (f - line(scores)).powi(2);
    let rest: f64 = pairs
        .iter()
        .map(|pair| off_line(both(pair)[0], &pair.score_a) + off_line(both(pair)[1], &pair.score_b))
        .sum::<f64>()
        / (2.0 * count);
    Some(Indices { variance, first, total, linear_frac: 1.0 - rest / variance })
}

/// Slopes of the straight line through all points, by least squares; `None` where there are too few of them.
fn slopes(pairs: &[Pair], answer: usize, mean: f64) -> Option<Vec<f64>> {
    let mut fit = LeastSquares::new(pairs.first()?.mixed.len() + 1, 1);
    for pair in pairs {
        for (scores, value) in [(&pair.score_a, pair.at_a[answer]), (&pair.score_b, pair.at_b[answer])] {
            let row: Vec<f64> = std::iter::once(1.0).chain(scores.iter().copied()).collect();
            fit.add(&row, &[value - mean]);
        }
    }
    Some(fit.solve().ok()?.swap_remove(0).split_off(1))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Of a straight line both indices are `bᵢ²/Σb²`, whatever the number of factors: here thirty-three with 256 pairs, two
    /// large and the rest small, as in a real plan. The line is found exactly; what is left is the mean of the squares of the
    /// scores, which 32-bit coordinates know to 1e-7.
    #[test]
    fn many_factors_of_a_straight_line() {
        let slope = |i: usize| match i {
            0 => 0.9,
            1 => 0.8,
            _ => 0.1 / (i as f64),
        };
        let count = 33;
        let score = |_: usize, p: f64| (p - 0.5) * 12f64.sqrt();
        let line = |point: &[f64]| Some(vec![(0..count).map(|i| slope(i) * score(i, point[i])).sum::<f64>()]);
        let pairs: Vec<Pair> = (0..256).filter_map(|i| Pair::evaluate(1, i, count, line, score)).collect();
        let found = indices(&pairs, 0).unwrap();
        let variance: f64 = (0..count).map(|i| slope(i).powi(2)).sum();
        for i in 0..count {
            let expected = slope(i).powi(2) / variance;
            assert!((found.first[i].0 - expected).abs() < 1e-6, "first {i}: {} not {expected}", found.first[i].0);
            assert!((found.total[i].0 - expected).abs() < 1e-6, "total {i}: {} not {expected}", found.total[i].0);
        }
    }
}
