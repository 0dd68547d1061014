//! How the draws are made, when they stop, how they are watched.

use std::sync::atomic::AtomicBool;

use crate::study::doubt::draw::Sequence;
use crate::study::doubt::interval::tolerance_of;

/// When a run may stop by itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Tolerance {
    /// When least and most lead, heavy and light point are known to so many significant digits of their standard
    /// uncertainty (JCGM 101:2008, 7.9.2).
    Digits(u32),
    /// When they are known to so many kg.
    Kg(f64),
}

impl Tolerance {
    /// What a quantity with this standard uncertainty must be known to, kg.
    pub(crate) fn kg(self, std_uncertainty: f64) -> f64 {
        match self {
            Tolerance::Digits(digits) => tolerance_of(std_uncertainty, digits),
            Tolerance::Kg(kg) => kg,
        }
    }
}

/// How the draws are made.
#[derive(Clone, Debug, PartialEq)]
pub struct Settings {
    /// Seed of all draws.
    pub seed: u64,
    /// How the unit cube is filled.
    pub sequence: Sequence,
    /// Number of draws, all of them run; `None`: as many as `tolerance` asks for.
    pub draws: Option<u64>,
    /// Whether a surrogate that has been held against true runs may stand in for trials. Not where `draws` asks for them.
    pub stand_in: bool,
    /// When to stop without a number of draws. By default at 0.05 kg, a tenth of the smallest usual piece of lead, and
    /// what two digits of a standard uncertainty of 1 to 10 kg come to.
    pub tolerance: Tolerance,
    /// Draws after which a run stops anyway.
    pub max_draws: u64,
    /// The same where each draw is a run of the dive; not more than `max_draws`.
    pub max_runs: u64,
    /// Threads; 0: one for each core.
    pub threads: usize,
    /// Coverage of the intervals.
    pub coverage_frac: f64,
    /// Times for the band around the curve, s, in rising order; empty: no band.
    pub band_times_s: Vec<f64>,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            seed: 1,
            sequence: Sequence::default(),
            draws: None,
            stand_in: true,
            tolerance: Tolerance::Kg(0.05),
            max_draws: 1_000_000,
            max_runs: 1_000_000,
            threads: 0,
            coverage_frac: 0.95,
            band_times_s: Vec::new(),
        }
    }
}

/// How a run is watched and ended from outside.
pub struct Control<'a, P: FnMut(u64)> {
    /// Set to end the run; what is there by then is the result.
    pub cancel: &'a AtomicBool,
    /// Called now and then with the number of draws made.
    pub progress: P,
}
