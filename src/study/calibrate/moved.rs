//! What the checks make of each input, and how it is written back.

use crate::estimate::doubt::{normal_quantile, standard_uncertainty};
use crate::estimate::{Doubt, Estimate, Shape};

/// Shift of the mean, in standard uncertainties before, from which an input counts as moved.
pub const MOVED_SIGMAS: f64 = 0.1;
/// Share of its standard uncertainty that an input must lose to count as moved.
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
}

/// What became of an input; `None` if it did not move.
pub(crate) fn moved(input: usize, before: Estimate, mean: f64, deviation: f64) -> Option<Moved> {
    let doubt = before.doubt?;
    let std_before = standard_uncertainty(&doubt);
    let shift_sigmas = (mean - before.value) / std_before;
    let still = shift_sigmas.abs() < MOVED_SIGMAS && deviation > (1.0 - NARROWED_FRAC) * std_before;
    (!still).then(|| Moved {
        input,
        before,
        after: written(before.value, &doubt, mean, deviation),
        std_before,
        std_after: deviation,
        shift_sigmas,
    })
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

    #[test]
    fn a_calibrated_doubt_stays_within_the_limits() {
        let before = Estimate::within(2.0, 1.0);
        let middle = moved(0, before, 2.1, 0.1).unwrap();
        assert_eq!(middle.after.value, 2.1);
        assert!(matches!(middle.after.doubt.unwrap().shape, Shape::Normal { .. }));
        let edge = moved(0, before, 2.9, 0.1).unwrap().after;
        let half_width = edge.doubt.unwrap().half_width;
        assert_eq!(edge.value, 2.9);
        assert!(half_width <= 0.1 + 1e-12 && half_width > 0.09);
        assert_eq!(moved(0, before, 2.01, 0.57), None);
    }
}
