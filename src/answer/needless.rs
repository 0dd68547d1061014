//! Needless lead: what is carried beyond what any stop, with the doubt in it, can ask for, and what it costs.

use crate::answer::{AnswerError, LeadTrials};
use crate::findings::{Band, Findings};
use crate::scenario::Scenario;
use crate::sim;
use crate::study::{LeadBounds, lead_pull_frac};

/// Lead that is carried above the upper end of the least before it is called needless, kg: the smallest usual piece.
pub const PIECE_KG: f64 = 0.5;

/// Lead that is carried for nothing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Needless {
    /// Lead carried, kg: what pulls as much as the plan's ballast.
    pub carried_kg: f64,
    /// Least lead, not below zero, kg.
    pub least_kg: f64,
    /// Upper end of its 95 % interval, not below zero, kg.
    pub upper_kg: f64,
    /// What the diver is heavier by than needed at the lightest moment without any lead, kg; zero where lead is needed.
    pub sinks_without_kg: f64,
    /// With the lead that is carried.
    pub carried: Burden,
    /// With the least lead.
    pub least: Burden,
}

impl Needless {
    /// What is carried above the least, kg.
    pub fn excess_kg(&self) -> f64 {
        self.carried_kg - self.least_kg
    }
}

/// What lead costs a diver.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Burden {
    /// Largest wing volume under water, m³.
    pub wing_m3: f64,
    /// How far the diver may drift up at the last stop, m.
    pub band_up_m: f64,
    /// Largest load after a failed wing, kg.
    pub load_kg: f64,
    /// Time beyond the swim-up capacity, s.
    pub beyond_s: f64,
}

impl Burden {
    fn of(scenario: &Scenario, findings: &Findings) -> Self {
        Self {
            wing_m3: findings.wing.neutral_m3,
            band_up_m: Band::of_now(scenario, &findings.last_hold().planned.now).up_m,
            load_kg: findings.failed_wing.worst.load_kg,
            beyond_s: findings.failed_wing.beyond_s(),
        }
    }
}

impl Needless {
    /// Of a dive whose lead was looked for; `None` where what is carried only covers the least and its doubt.
    ///
    /// # Errors
    /// As [`crate::sim::run`].
    pub fn of(
        scenario: &Scenario,
        findings: &Findings,
        carried_kg: f64,
        bounds: LeadBounds,
        trials: &LeadTrials,
    ) -> Result<Option<Self>, AnswerError> {
        let (least_kg, upper_kg) = (bounds.low_kg(), trials.upper_kg());
        if carried_kg <= upper_kg.max(least_kg) + PIECE_KG {
            return Ok(None);
        }
        let light = scenario.with_lead(least_kg, 0.0);
        let found = Findings::of(&light, &sim::run(&light)?);
        let water_kg_m3 = found.lightest_hold().now.ambient.water_kg_m3;
        Ok(Some(Self {
            carried_kg,
            least_kg,
            upper_kg,
            sinks_without_kg: (-bounds.least_kg).max(0.0) * lead_pull_frac(water_kg_m3),
            carried: Burden::of(scenario, findings),
            least: Burden::of(&light, &found),
        }))
    }
}
