//! How far a check may surprise before something is wrong.
//!
//! A guess that nobody measured may be farther off than it admits; a figure that was measured should not be. So where a
//! check is off by more than [`SURPRISE`] standard deviations, the variance of the guesses is multiplied by one factor
//! until it is that many, `k = ((a/2)² − v_m)/v_t`, and by [`MOST_WIDENED`] at most. What even that does not explain
//! contradicts the plan. (Our own rule.)

/// Standard deviations that a check may be off.
pub const SURPRISE: f64 = 2.0;
/// Largest factor for the variance of guesses: three times the doubt.
pub const MOST_WIDENED: f64 = 9.0;

/// What a check was expected to be, and how sure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expected {
    /// Prediction less what was seen, kg; 0 where a one-sided check agrees.
    pub off_kg: f64,
    /// Variance that comes from guesses, kg²: `v_t`.
    pub guessed_kg2: f64,
    /// The rest of the variance, that of the check included, kg²: `v_m`.
    pub known_kg2: f64,
}

impl Expected {
    /// How many standard deviations it is off.
    pub fn surprise(&self) -> f64 {
        self.off_kg.abs() / (self.guessed_kg2 + self.known_kg2).sqrt()
    }

    /// The factor for the variance of guesses that explains it; `None` if none up to [`MOST_WIDENED`] does.
    ///
    /// ```
    /// use lightpoint::internals::study::calibrate::surprise::Expected;
    /// let expected = |off_kg| Expected { off_kg, guessed_kg2: 3.0, known_kg2: 1.0 };
    /// assert_eq!(expected(3.9).widened(), Some(1.0));
    /// assert_eq!(expected(5.0).widened(), Some((2.5 * 2.5 - 1.0) / 3.0));
    /// assert_eq!(expected(11.0).widened(), None);
    /// ```
    pub fn widened(&self) -> Option<f64> {
        if self.surprise() <= SURPRISE {
            return Some(1.0);
        }
        let factor = ((self.off_kg / SURPRISE).powi(2) - self.known_kg2) / self.guessed_kg2;
        (self.guessed_kg2 > 0.0 && factor <= MOST_WIDENED).then_some(factor)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // v_t = 2, v_m = 0.5: a deviation of √2.5; the rule begins at 2 and ends at 2·√((9·2 + 0.5)/2.5) deviations
    #[test]
    fn guesses_widen_from_two_deviations_up_to_nine_times_their_variance() {
        let expected = |surprise: f64| Expected { off_kg: -surprise * 2.5f64.sqrt(), guessed_kg2: 2.0, known_kg2: 0.5 };
        let end = 2.0 * (18.5f64 / 2.5).sqrt();
        assert_eq!(expected(1.9).widened(), Some(1.0));
        let widened = expected(2.1).widened().unwrap();
        // then it is two deviations off
        let after = 2.1 * 2.5f64.sqrt() / (2.0 * widened + 0.5).sqrt();
        assert!(widened > 1.0 && (after - SURPRISE).abs() < 1e-12, "{widened} {after}");
        let most = expected(end - 0.1).widened().unwrap();
        assert!(most > 8.0 && most < MOST_WIDENED, "{most}");
        assert_eq!(expected(end + 0.1).widened(), None);
    }

    #[test]
    fn what_was_measured_does_not_widen() {
        let expected = |off_kg| Expected { off_kg, guessed_kg2: 0.0, known_kg2: 1.0 };
        assert_eq!((expected(1.9).widened(), expected(2.1).widened()), (Some(1.0), None));
    }
}
