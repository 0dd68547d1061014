//! What a study asks of one dive. Everything that a study of many dives knows of the engine stands here and in `ends`.

use crate::scenario::Scenario;
use crate::sim::{Moment, SimError, Watch};
use crate::study::spread::answer::Row;
use crate::study::spread::ends::ends;
use crate::study::{Probe, StudyError};

/// What one dive says.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Asked {
    /// The answers.
    pub row: Row,
    /// Net lift with the wing empty at the times asked for, kg; NaN where the dive was over.
    pub curve_kg: Vec<f32>,
}

impl Asked {
    /// Without a curve.
    pub fn only(row: Row) -> Self {
        Self { row, curve_kg: Vec::new() }
    }
}

/// Runs a dive for its answers, and for the curve of its net lift with the wing empty at some times (s, rising).
///
/// # Errors
/// A run that fails, or a search for the lead that does not close.
pub(crate) fn ask(scenario: &Scenario, times_s: &[f64]) -> Result<Asked, StudyError> {
    let mut watch = StudyWatch { out_of_gas: false, curve: CurveWatch::new(times_s) };
    let probe = Probe::watched(scenario, &mut watch)?;
    let bounds = ends(scenario, &probe)?;
    let row = Row {
        least_kg: bounds.least_kg,
        most_kg: bounds.most_kg,
        heavy_kg: probe.heavy_kg,
        light_kg: probe.light_kg,
        load_kg: probe.load_kg,
        hold_planned_kg: -probe.planned_kg,
        hold_drained_kg: -probe.drained_kg,
        hold_worst_kg: -probe.worst_kg,
        swim_up_spare_kg: scenario.diver().swim_up_kg - probe.load_kg,
        out_of_gas: watch.out_of_gas,
    };
    Ok(Asked { row, curve_kg: watch.curve.finish() })
}

/// Notes a shortage of breathing gas, and the curve.
struct StudyWatch<'a> {
    out_of_gas: bool,
    curve: CurveWatch<'a>,
}

impl Watch for StudyWatch<'_> {
    #[inline]
    fn moment(&mut self, at: &Moment<'_>) -> Result<(), SimError> {
        self.out_of_gas |= at.now.state.unmet.breath_frac > 0.0;
        self.curve.moment(at);
        Ok(())
    }
}

/// Reads the curve of one run at given times, linear between moments.
struct CurveWatch<'a> {
    times_s: &'a [f64],
    values_kg: Vec<f32>,
    before: Option<(f64, f64)>,
}

impl<'a> CurveWatch<'a> {
    fn new(times_s: &'a [f64]) -> Self {
        Self { times_s, values_kg: Vec::with_capacity(times_s.len()), before: None }
    }

    /// The values, with NaN where the dive was over.
    fn finish(mut self) -> Vec<f32> {
        self.values_kg.resize(self.times_s.len(), f32::NAN);
        self.values_kg
    }

    #[inline]
    fn moment(&mut self, at: &Moment<'_>) {
        if self.times_s.is_empty() {
            return;
        }
        let (time_s, bare_kg) = (at.now.state.time_s, at.now.balance.bare_kg());
        while let Some(&wanted_s) = self.times_s.get(self.values_kg.len()).filter(|wanted| **wanted <= time_s) {
            let value = match self.before {
                Some((before_s, before_kg)) if time_s > before_s => {
                    before_kg + (bare_kg - before_kg) * (wanted_s - before_s) / (time_s - before_s)
                }
                _ => bare_kg,
            };
            self.values_kg.push(value as f32);
        }
        self.before = Some((time_s, bare_kg));
    }
}
