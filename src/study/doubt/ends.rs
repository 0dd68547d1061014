//! The ends of the lead range for one draw of many: two runs, where [`crate::study::lead_bounds`] makes three or four.
//!
//! The load, the net lift at a stop and that of the final ascent are almost straight lines in the lead, with slopes that differ from the
//! pull of lead in water by a few parts in a hundred (see [`crate::study::solve`]). The run of the dive as it is gives one
//! point of every line; a run at the end that is farther away gives the second, and the lines are followed to zero. What
//! is left out is their curvature: over 2000 draws of a dive with four cylinders the ends differed from those of the
//! full search by at most 12 g (a test watches it), which is nothing against doubts of hundreds of grams.

use crate::scenario::Scenario;
use crate::study::probe::StopAt;
use crate::study::solve::{equivalent_lead_kg, lead_ends_from, lead_pull_frac};
use crate::study::{Probe, StudyError};

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

/// A stop at reserve, the final ascent, and the load.
fn lines(scenario: &Scenario, probe: &Probe) -> [Line; 3] {
    let at_stop = |excess_kg, at: &StopAt| Line { excess_kg, pull_frac: lead_pull_frac(at.water_kg_m3(scenario)) };
    let load_kg_m3 = scenario.water().density_kg_m3(probe.load_at.layer, probe.load_at.depth_m);
    let spare_kg = scenario.rig().swim_up_kg - probe.load_kg;
    [
        at_stop(probe.worst_kg, &probe.worst_at),
        at_stop(probe.ascent_kg, &probe.ascent_at),
        Line { excess_kg: spare_kg, pull_frac: lead_pull_frac(load_kg_m3) },
    ]
}

/// The ends of a dive, the least lead by what asks for it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Ends {
    /// Lead that holds every stop, whichever removable cylinders are gone, kg.
    pub stop_kg: f64,
    /// Lead that holds the final ascent, kg.
    pub ascent_kg: f64,
    /// Most lead, kg.
    pub most_kg: f64,
}

/// Both ends of a dive that has been run as it is.
///
/// # Errors
/// As [`crate::study::lead_bounds`].
pub(crate) fn ends(scenario: &Scenario, own: &Probe) -> Result<Ends, StudyError> {
    let own_kg = equivalent_lead_kg(scenario, own);
    let here = lines(scenario, own);
    let step_kg = here.each_ref().map(|line| line.excess_kg / line.pull_frac);
    let [stop_kg, ascent_kg, most_kg] = step_kg;
    let least_kg = stop_kg.max(ascent_kg);
    let far_kg = if least_kg.abs() > most_kg.abs() { least_kg } else { most_kg };
    let at = |[stop_kg, ascent_kg, most_kg]: [f64; 3]| Ends {
        stop_kg: own_kg + stop_kg,
        ascent_kg: own_kg + ascent_kg,
        most_kg: own_kg + most_kg,
    };
    if far_kg.abs() <= NEAR_KG {
        return Ok(at(step_kg));
    }
    let there = scenario.with_lead(own_kg + far_kg, 0.0);
    let probe = Probe::of(&there)?;
    let mut steps = [0.0; 3];
    for ((step, here), far) in steps.iter_mut().zip(&here).zip(lines(&there, &probe)) {
        let slope = (here.excess_kg - far.excess_kg) / far_kg;
        if !PLAUSIBLE.contains(&(slope / here.pull_frac)) {
            return searched(scenario, own);
        }
        *step = here.excess_kg / slope;
    }
    Ok(at(steps))
}

/// The same by the full search.
fn searched(scenario: &Scenario, own: &Probe) -> Result<Ends, StudyError> {
    let [stop_kg, ascent_kg, most_kg] = lead_ends_from(scenario, own)?;
    Ok(Ends { stop_kg, ascent_kg, most_kg })
}
