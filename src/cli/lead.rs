//! The control band against lead, for its figure.

use crate::cli::CliError;
use crate::findings::{Band, hold::holds};
use crate::report::chart::{BandAtLead, StopBand};
use crate::scenario::Scenario;
use crate::sim;
use crate::study::lead_bounds;

/// Lead from the least to this much more, kg: what a cautious diver may add without need.
const NEEDLESS_KG: f64 = 8.0;
/// Points of the figure: one every half kilogram.
const POINTS: usize = 17;

/// The control band at each stop, with the plan's ballast replaced by more and more lead.
pub fn bands(scenario: &Scenario) -> Result<Vec<BandAtLead>, CliError> {
    let from_kg = lead_bounds(scenario)?.low_kg();
    (0..POINTS)
        .map(|i| {
            let lead_kg = from_kg + NEEDLESS_KG * i as f64 / (POINTS - 1) as f64;
            let dive = scenario.with_lead(lead_kg, 0.0);
            let trace = sim::run(&dive)?;
            let at = |hold: &crate::findings::Hold| {
                let band = Band::of_now(&dive, &hold.planned.now);
                StopBand { depth_m: hold.depth_m, up_m: band.up_m, down_m: band.down_m }
            };
            Ok(BandAtLead { lead_kg, stops: holds(&dive, &trace).iter().map(at).collect() })
        })
        .collect()
}
