//! The control band at each stop against lead.

use crate::answer::{AnswerError, DiveFacts};
use crate::findings::hold::holds;
use crate::findings::{Band, Hold};
use crate::sim;

/// Lead from the least to this much more, kg: what a cautious diver may add without need.
const NEEDLESS_KG: f64 = 8.0;
/// Amounts of lead: one every half kilogram.
const POINTS: usize = 17;

/// The control band at a stop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StopBand {
    /// Depth of the stop, m.
    pub depth_m: f64,
    /// Upwards, m.
    pub up_m: f64,
    /// Downwards, m; `None` when the lungs can trim any squeeze.
    pub down_m: Option<f64>,
}

/// The control band at each stop of a dive made with an amount of lead.
#[derive(Clone, Debug, PartialEq)]
pub struct BandAtLead {
    /// Lead, kg.
    pub lead_kg: f64,
    /// The stops; in the same order at every lead.
    pub stops: Vec<StopBand>,
}

impl DiveFacts {
    /// The control band at each stop, with the plan's ballast replaced by more and more lead, from the least on.
    ///
    /// # Errors
    /// As [`crate::sim::run`].
    pub fn bands(&self) -> Result<Vec<BandAtLead>, AnswerError> {
        let from_kg = self.lead.low_kg();
        (0..POINTS)
            .map(|i| {
                let lead_kg = from_kg + NEEDLESS_KG * i as f64 / (POINTS - 1) as f64;
                let dive = self.built.scenario.with_lead(lead_kg, 0.0);
                let trace = sim::run(&dive)?;
                let at = |hold: &Hold| {
                    let band = Band::of_now(&dive, &hold.planned.now);
                    StopBand { depth_m: hold.depth_m, up_m: band.up_m, down_m: band.down_m }
                };
                Ok(BandAtLead { lead_kg, stops: holds(&dive, &trace).iter().map(at).collect() })
            })
            .collect()
    }
}
