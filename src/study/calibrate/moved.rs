//! What the checks make of each input, and how it is written back.

use crate::estimate::doubt::{Quantile, normal_quantile, standard_uncertainty};
use crate::estimate::{Doubt, Estimate, Shape};

/// Shift of the mean, in standard uncertainties before, from which an input counts as moved.
pub const MOVED_SIGMAS: f64 = 0.1;
/// Share of its standard uncertainty that an input must lose, or gain, to count as moved.
pub const NARROWED_FRAC: f64 = 0.05;
/// Coverage of a calibrated doubt.
const COVERAGE_FRAC: f64 = 0.95;

/// An input that the checks moved or narrowed.
#[derive(Clone, Debug, PartialEq)]
pub struct Moved {
    /// Which, counted among the inputs with a doubt.
    pub input: usize,
    /// As the plan has it.
    pub before: Estimate,
    /// As a calibrated plan would have it.
    pub after: Estimate,
    /// Standard uncertainty before and after, SI.
    pub std_before: f64,
    /// Standard uncertainty after, SI.
    pub std_after: f64,
    /// Shift of the value in standard uncertainties before.
    pub shift_sigmas: f64,
    /// What its shift lifts the diver at the checks, kg: the mean over them. Figures that err together share it.
    pub took_kg: f64,
}

/// What became of an input; `None` if it did not move. A guess may be less sure than before, where a check surprised.
pub(crate) fn moved(input: usize, before: Estimate, [mean, deviation]: [f64; 2], took_kg: f64) -> Option<Moved> {
    let doubt = before.doubt?;
    let std_before = standard_uncertainty(&doubt);
    let shift_sigmas = (mean - before.value) / std_before;
    let still = shift_sigmas.abs() < MOVED_SIGMAS && (deviation / std_before - 1.0).abs() < NARROWED_FRAC;
    (!still).then(|| Moved {
        input,
        before,
        after: written(before.value, &doubt, mean, deviation),
        std_before,
        std_after: deviation,
        shift_sigmas,
        took_kg,
    })
}

/// Value and standard deviation of a figure whose score is normal. The value is that of the middle score: for these all
/// figures together are what the checks say, which for their means they would not be. The deviation is that of
/// `F⁻¹(Φ(s))`, by Simpson's rule over eight deviations to either side.
pub(crate) fn value_and_deviation(before: &Estimate, mean: f64, deviation: f64) -> [f64; 2] {
    const STEPS: u32 = 160;
    const REACH: f64 = 8.0;
    let Some(quantile) = before.doubt.as_ref().map(Quantile::of) else { return [before.value, 0.0] };
    if let Quantile::Normal(sigma) = quantile {
        return [before.value + sigma * mean, sigma * deviation];
    }
    let node = |i: u32| {
        let z = REACH * (2.0 * f64::from(i) / f64::from(STEPS) - 1.0);
        let simpson = [2.0, 4.0][(i % 2) as usize] * if i == 0 || i == STEPS { 0.5 } else { 1.0 };
        (simpson * (-0.5 * z * z).exp(), quantile.offset_at_score(mean + deviation * z))
    };
    let sum = |of: &dyn Fn(f64) -> f64| (0..=STEPS).map(node).map(|(weight, x)| weight * of(x)).sum::<f64>();
    let all = sum(&|_| 1.0);
    let first = sum(&|x| x) / all;
    [before.value + quantile.offset_at_score(mean), (sum(&|x| (x - first).powi(2)) / all).sqrt()]
}

/// The estimate to be written: normal with 95 % coverage.
///
/// A rectangular or triangular doubt says that nothing lies outside its limits, and a mass stays above zero because its
/// limits do. So where three standard deviations would pass a limit, the calibrated doubt is rectangular, `±√3·σ` or as far
/// as the nearer limit. The mean stays: many figures pulled back a little each would take back what the checks found.
fn written(value_before: f64, before: &Doubt, mean: f64, deviation: f64) -> Estimate {
    let normal = Estimate {
        value: mean,
        doubt: Some(Doubt {
            half_width: normal_quantile(0.5 * (1.0 + COVERAGE_FRAC)) * deviation,
            shape: Shape::Normal { coverage_frac: COVERAGE_FRAC },
        }),
    };
    if matches!(before.shape, Shape::Normal { .. }) {
        return normal;
    }
    let (least, most) = (value_before - before.half_width, value_before + before.half_width);
    if mean - 3.0 * deviation >= least && mean + 3.0 * deviation <= most {
        return normal;
    }
    let reach = 3f64.sqrt() * deviation;
    Estimate::within(mean, reach.min(mean - least).min(most - mean))
}

#[cfg(test)]
mod tests {
    use super::*;

    // The prior itself is a rectangle of ±1, a triangle of ±1: deviations 1/√3 and 1/√6. Simpson's rule with steps of a tenth
    // of a deviation; the kink of the triangle costs a part in a thousand.
    #[test]
    fn scores_of_the_prior_give_its_moments() {
        for (before, deviation) in
            [(Estimate::within(5.0, 1.0), 3f64.sqrt().recip()), (Estimate::triangular(5.0, 1.0), 6f64.sqrt().recip())]
        {
            let [mean, found] = value_and_deviation(&before, 0.0, 1.0);
            assert!((mean - 5.0).abs() < 1e-12 && (found / deviation - 1.0).abs() < 1e-3, "{mean} {found}");
        }
    }

    // E[x·z]/σ by the same rule: how much of a figure a straight line in its score explains
    #[test]
    fn a_score_explains_most_of_its_figure() {
        for before in [Estimate::within(0.0, 2.0), Estimate::triangular(0.0, 2.0)] {
            let quantile = Quantile::of(&before.doubt.unwrap());
            let node = |i: u32| {
                let z = f64::from(i) / 100.0 - 8.0;
                let weight = if i % 2 == 1 { 4.0 } else { 2.0 } * (-0.5 * z * z).exp();
                (weight, weight * z * quantile.offset_at_score(z))
            };
            let (all, both) = (0..=1600).map(node).fold((0.0, 0.0), |(a, b), (c, d)| (a + c, b + d));
            let found = both / all / quantile.standard_uncertainty();
            assert!((found - quantile.linear_frac()).abs() < 1e-6, "{found}");
        }
    }

    #[test]
    fn a_calibrated_doubt_stays_within_the_limits() {
        let before = Estimate::within(2.0, 1.0);
        let middle = moved(0, before, [2.1, 0.1], 0.0).unwrap();
        assert_eq!(middle.after.value, 2.1);
        assert!(matches!(middle.after.doubt.unwrap().shape, Shape::Normal { .. }));
        let edge = moved(0, before, [2.9, 0.1], 0.0).unwrap().after;
        let half_width = edge.doubt.unwrap().half_width;
        assert_eq!(edge.value, 2.9);
        assert!(half_width <= 0.1 + 1e-12 && half_width > 0.09);
        assert_eq!(moved(0, before, [2.01, 0.57], 0.0), None);
    }
}
