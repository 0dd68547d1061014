//! The trim of a dive and its doubt, and the lead that is shared out over places.

use crate::findings::trim::{Lever, Trim, TrimAt, nodes};
use crate::physics::bulk::Bulk;
use crate::physics::place::{Centres, Moment};
use crate::rig::LeadSpot;
use crate::scenario::{LEAD_KG_M3, Scenario};
use crate::sim::{self, Trace};
use crate::study::StudyError;
use crate::study::lead_places::LeadPlace;

/// A dive with its lead at the lungs, where it turns nothing, and what a kilogram does at each place: the lead's own place
/// bears on nothing but the trim.
#[derive(Clone, Debug, PartialEq)]
pub struct WithoutLead {
    /// When, s, and where, m.
    pub times_s: Vec<f64>,
    /// Torque without the lead at each of those moments, pitch and roll, N·m.
    pub base_nm: Vec<[f64; 2]>,
    /// The places.
    pub places: Vec<LeadPlace>,
}

impl WithoutLead {
    /// Runs the dive with so much lead, kg. `None` where the place of something is not known.
    ///
    /// # Errors
    /// A run that fails.
    pub fn of(scenario: &Scenario, lead_kg: f64, spots: &[LeadSpot]) -> Result<Option<Self>, StudyError> {
        let Some(lungs) = scenario.rig().lungs else { return Ok(None) };
        let dive = scenario.with_lead_at(lead_kg, lungs);
        let trace = sim::run(&dive)?;
        let Some(trim) = Trim::of(&dive, &trace) else { return Ok(None) };
        let both = |moment: Moment| [moment.pitch_torque_nm(), moment.roll_torque_nm()];
        let kilogram = Bulk::new(1.0, 1.0 / LEAD_KG_M3);
        let waters: Vec<f64> = nodes(&trace).map(|now| now.ambient.water_kg_m3).collect();
        let place = |spot: &LeadSpot| {
            let arm = Centres::at(spot.at - lungs);
            LeadPlace {
                name: spot.name.clone(),
                lets_go: spot.lets_go,
                most_kg: spot.most_kg,
                per_kg_nm: waters.iter().map(|water_kg_m3| both(arm.moment(&kilogram, *water_kg_m3))).collect(),
            }
        };
        Ok(Some(Self {
            times_s: trim.course.iter().map(|at| at.time_s).collect(),
            base_nm: trim.course.iter().map(|at| both(at.moment)).collect(),
            places: spots.iter().map(place).collect(),
        }))
    }

    /// Torque over the dive with so much at each place, held level, N·m.
    pub fn pitch_nm(&self, at_kg: &[f64]) -> Vec<f64> {
        let of = |(t, base): (usize, &[f64; 2])| {
            base[0] + self.places.iter().zip(at_kg).map(|(place, kg)| kg * place.per_kg_nm[t][0]).sum::<f64>()
        };
        self.base_nm.iter().enumerate().map(of).collect()
    }
}

/// The moments of a trace by the places of another rig, in the order of [`Trim::course`]: what the same dive would do if things
/// hung elsewhere. `None` where the place of something is not known.
pub fn moments_if(placed: &Scenario, scenario: &Scenario, trace: &Trace) -> Option<Vec<Moment>> {
    let lever = Lever::of(placed)?;
    Some(nodes(trace).map(|now| lever.moment(scenario, now)).collect())
}

/// The moments of another dive of the same profile at those of a course: where something jumps, the first of two of one time
/// is before the jump. `None` where the place of something is not known.
pub fn moments_at(scenario: &Scenario, trace: &Trace, course: &[TrimAt]) -> Option<Vec<Moment>> {
    let lever = Lever::of(scenario)?;
    let of = |i: usize| {
        let time_s = course[i].time_s;
        let jumps_next = course.get(i + 1).is_some_and(|next| next.time_s == time_s);
        let has_jumped = i > 0 && course[i - 1].time_s == time_s;
        let now = if jumps_next && !has_jumped { trace.before(scenario, time_s) } else { trace.at(scenario, time_s) };
        lever.moment(scenario, &now)
    };
    Some((0..course.len()).map(of).collect())
}
