//! The band around the curve of the net lift with the wing empty.

use crate::study::doubt::interval::{Interval, symmetric};

/// Draws that the band is made from at most: enough for its ends, and the memory stays bounded
/// (20 000 draws × 120 times × 4 bytes = 9.6 MB).
pub const MAX_BAND_DRAWS: u64 = 20_000;

/// Net lift with the wing empty over time, as an interval of the draws at each time.
#[derive(Clone, Debug, PartialEq)]
pub struct CurveBand {
    /// Times, s.
    pub times_s: Vec<f64>,
    /// Half of the draws lie below, kg.
    pub median_kg: Vec<f64>,
    /// Probabilistically symmetric interval at each time, kg. It holds at each time by itself, not for a whole curve.
    pub interval_kg: Vec<Interval>,
    /// Draws it was made from.
    pub draws: usize,
}

impl CurveBand {
    /// From the curves of the draws, one after the other, a value for each time; NaN after the end of a dive.
    pub(crate) fn of(times_s: &[f64], curves: &[f32], coverage_frac: f64) -> Option<Self> {
        if times_s.is_empty() || curves.is_empty() {
            return None;
        }
        let mut band = Self {
            times_s: Vec::with_capacity(times_s.len()),
            median_kg: Vec::with_capacity(times_s.len()),
            interval_kg: Vec::with_capacity(times_s.len()),
            draws: curves.len() / times_s.len(),
        };
        for (i, &time_s) in times_s.iter().enumerate() {
            let column = curves[i..].iter().step_by(times_s.len());
            let mut sorted: Vec<f64> = column.filter(|value| !value.is_nan()).map(|&value| f64::from(value)).collect();
            if sorted.is_empty() {
                continue;
            }
            sorted.sort_unstable_by(f64::total_cmp);
            band.times_s.push(time_s);
            band.median_kg.push(sorted[sorted.len() / 2]);
            band.interval_kg.push(symmetric(&sorted, coverage_frac));
        }
        Some(band)
    }
}
