//! The ends of the lead range for one draw of many: two runs, where [`crate::study::lead_bounds`] makes three or four.
//!
//! The load and the net lift at the last stop are almost straight lines in the lead, with slopes that differ from the
//! pull of lead in water by a few parts in a hundred (see [`crate::study::solve`]). The run of the dive as it is gives one
//! point of both lines; a run at the end that is farther away gives the second, and the lines are followed to zero. What
//! is left out is their curvature: over 2000 draws of a dive with four cylinders the ends differed from those of the
//! full search by at most 12 g (a test watches it), which is nothing against doubts of hundreds of grams.

use crate::scenario::Scenario;
use crate::study::solve::{equivalent_lead_kg, lead_bounds_from, lead_pull_frac, stop_water_kg_m3};
use crate::study::{LeadBounds, Probe, StudyError};

/// Distance to an end below which the pull of lead in water is good enough without a second run, kg: with slopes wrong by
/// two parts in a hundred it leaves 2 g.
const NEAR_KG: f64 = 0.1;
/// Slopes that can come from gas in the wing, relative to the pull of lead; anything else is a kink between the runs,
/// and the full search takes over.
const PLAUSIBLE: std::ops::RangeInclusive<f64> = 0.8..=1.25;

/// What must become zero at an end, and what a kilogram of lead takes off it.
struct Line {
    excess_kg: f64,
    pull_frac: f64,
}

fn least(scenario: &Scenario, probe: &Probe) -> Line {
    Line { excess_kg: probe.worst_kg, pull_frac: lead_pull_frac(stop_water_kg_m3(scenario, probe)) }
}

fn most(scenario: &Scenario, probe: &Probe) -> Line {
    let water_kg_m3 = scenario.water().density_kg_m3(probe.load_at.layer, probe.load_at.depth_m);
    Line { excess_kg: scenario.rig().swim_up_kg - probe.load_kg, pull_frac: lead_pull_frac(water_kg_m3) }
}

/// Both ends of a dive that has been run as it is.
///
/// # Errors
/// As [`lead_bounds_from`].
pub(crate) fn ends(scenario: &Scenario, own: &Probe) -> Result<LeadBounds, StudyError> {
    let own_kg = equivalent_lead_kg(scenario, own);
    let lines = [least(scenario, own), most(scenario, own)];
    let step_kg = lines.each_ref().map(|line| line.excess_kg / line.pull_frac);
    let far_kg = if step_kg[0].abs() > step_kg[1].abs() { step_kg[0] } else { step_kg[1] };
    let at = |steps: [f64; 2]| LeadBounds { least_kg: own_kg + steps[0], most_kg: own_kg + steps[1] };
    if far_kg.abs() <= NEAR_KG {
        return Ok(at(step_kg));
    }
    let there = scenario.with_lead(own_kg + far_kg, 0.0);
    let probe = Probe::of(&there)?;
    let mut steps = [0.0; 2];
    for ((step, here), far) in steps.iter_mut().zip(&lines).zip([least(&there, &probe), most(&there, &probe)]) {
        let slope = (here.excess_kg - far.excess_kg) / far_kg;
        if !PLAUSIBLE.contains(&(slope / here.pull_frac)) {
            return lead_bounds_from(scenario, own);
        }
        *step = here.excess_kg / slope;
    }
    Ok(at(steps))
}
