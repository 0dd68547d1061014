//! Rows of a dive for tables, curves and pages: the series, with what a wing failure would mean at each.

use crate::findings::failed_wing::load_kg;
use crate::findings::{Findings, SuitUse};
use crate::scenario::Scenario;
use crate::sim::trace::cylinders_at;
use crate::sim::{CylinderAt, Now, Sample, Trace};

/// Rows of a dive. Nothing is found from them; they are for looking at.
#[derive(Clone, Debug, PartialEq)]
pub struct Rows {
    moments: Vec<Now>,
    samples: Vec<Sample>,
    cylinders: Vec<CylinderAt>,
    cylinder_count: usize,
    /// Load after a wing failure at each row, kg.
    pub loads_kg: Vec<f64>,
    /// The same with the suit as a second lift, where the plan allows that.
    pub loads_with_suit_kg: Option<Vec<f64>>,
}

impl Rows {
    /// Rows at whole multiples of `every_s`, at both ends of every stretch of the run, and at every moment that a finding
    /// names.
    pub fn of(scenario: &Scenario, trace: &Trace, findings: &Findings, every_s: f64) -> Self {
        Self::at(scenario, trace, findings, every_s, &findings.times_s())
    }

    /// Rows for figures and pages: some five hundred at whole seconds, and those of [`Rows::of`].
    pub fn for_looking(scenario: &Scenario, trace: &Trace, findings: &Findings) -> Self {
        const ROWS: f64 = 480.0;
        Self::of(scenario, trace, findings, (trace.last().state.time_s / ROWS).ceil().max(1.0))
    }

    /// The same with other moments beside the multiples.
    pub fn at(scenario: &Scenario, trace: &Trace, findings: &Findings, every_s: f64, also_s: &[f64]) -> Self {
        let series = trace.series(scenario, every_s, also_s);
        let (moments, legs): (Vec<Now>, Vec<usize>) = series.into_iter().unzip();
        let loads =
            |suit| moments.iter().zip(&legs).map(|(now, leg)| load_kg(scenario, now, *leg, suit)).collect::<Vec<f64>>();
        Self {
            loads_kg: loads(SuitUse::Kept),
            loads_with_suit_kg: findings.failed_wing_with_suit.as_ref().map(|_| loads(SuitUse::AsLift)),
            samples: moments.iter().zip(&legs).map(|(now, leg)| Sample::of(now, *leg)).collect(),
            cylinders: moments.iter().flat_map(|now| cylinders_at(scenario, now)).collect(),
            cylinder_count: scenario.rig().cylinders.len(),
            moments,
        }
    }

    /// The rows in order of time; never empty. Where something jumps there are two with the same time, before and after.
    pub fn samples(&self) -> &[Sample] {
        &self.samples
    }

    /// The moment of a row.
    pub fn now(&self, row: usize) -> &Now {
        &self.moments[row]
    }

    /// A cylinder at a row.
    pub fn cylinder(&self, row: usize, cylinder: usize) -> CylinderAt {
        self.cylinders[row * self.cylinder_count + cylinder]
    }

    /// All cylinders at a row, in the diver's order.
    pub fn cylinders(&self, row: usize) -> &[CylinderAt] {
        &self.cylinders[row * self.cylinder_count..(row + 1) * self.cylinder_count]
    }

    /// The row nearest to a time; of two at one time the later.
    pub fn nearest(&self, time_s: f64) -> usize {
        let after = self.samples.partition_point(|row| row.time_s <= time_s);
        let before = after.saturating_sub(1);
        match self.samples.get(after) {
            Some(row) if row.time_s - time_s < time_s - self.samples[before].time_s => after,
            _ => before,
        }
    }

    /// The row of a moment that is known: of two at one time the one with its net lift.
    pub fn row_of(&self, time_s: f64, bare_kg: f64) -> usize {
        let later = self.nearest(time_s);
        let off = |row: usize| (self.samples[row].bare_kg - bare_kg).abs();
        match later.checked_sub(1) {
            Some(earlier)
                if self.samples[earlier].time_s == self.samples[later].time_s && off(earlier) < off(later) =>
            {
                earlier
            }
            _ => later,
        }
    }

    /// The first row.
    pub fn first(&self) -> &Sample {
        &self.samples[0]
    }

    /// The last row.
    pub fn last(&self) -> &Sample {
        &self.samples[self.samples.len() - 1]
    }
}
