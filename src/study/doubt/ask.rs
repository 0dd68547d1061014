//! What a study asks of one dive. Everything that a study of many dives knows of the engine stands here and in `ends`.

use crate::scenario::Scenario;
use crate::sim::Span;
use crate::study::doubt::answer::{Parts, Row};
use crate::study::doubt::ends::ends;
use crate::study::probe::LetGo;
use crate::study::solve::lead_pull_frac;
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
    let mut curve = Curve::new(scenario, times_s);
    let probe = Probe::along(scenario, LetGo::Nothing, |span| curve.look(span))?;
    let ends = ends(scenario, &probe)?;
    let at = &probe.worst_at;
    let mut parts = Parts {
        least_ascent_kg: ends.ascent_kg,
        most_kg: ends.most_kg,
        heavy_kg: probe.heavy_kg,
        light_kg: probe.light_kg,
        load_kg: probe.load_kg,
        ascent_spare_kg: -probe.ascent_kg,
        stop_spare_kg: -probe.at_reserve_kg,
        swim_up_spare_kg: scenario.rig().swim_up_kg - probe.load_kg,
        pull_frac: lead_pull_frac(at.water_kg_m3(scenario)),
        ..Parts::default()
    };
    for (n, lift_kg) in at.removable_kg(scenario).enumerate() {
        match parts.removable_kg.get_mut(n) {
            Some(place) => *place = lift_kg,
            None => parts.more_kg += lift_kg.min(0.0),
        }
    }
    // with nothing gone: what the sinkers lift is put back
    parts.least_stop_kg = ends.stop_kg + parts.sinkers_kg() / parts.pull_frac;
    parts.deciding_spare_kg = -probe.worst_kg - parts.sinkers_kg();
    let row = Row::made_of(parts, probe.out_of_gas);
    Ok(Asked { row, curve_kg: curve.finish() })
}

/// Net lift with the wing empty at given times of one run.
struct Curve<'a> {
    scenario: &'a Scenario,
    times_s: &'a [f64],
    values_kg: Vec<f32>,
}

impl<'a> Curve<'a> {
    fn new(scenario: &'a Scenario, times_s: &'a [f64]) -> Self {
        Self { scenario, times_s, values_kg: Vec::with_capacity(times_s.len()) }
    }

    /// Asks a span for the times in it.
    fn look(&mut self, span: &Span) {
        while let Some(&wanted_s) = self.times_s.get(self.values_kg.len()).filter(|wanted| **wanted <= span.end_s()) {
            self.values_kg.push(span.at(self.scenario, wanted_s).balance.bare_kg() as f32);
        }
    }

    /// The values, with NaN where the dive was over.
    fn finish(mut self) -> Vec<f32> {
        self.values_kg.resize(self.times_s.len(), f32::NAN);
        self.values_kg
    }
}
