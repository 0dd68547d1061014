//! The trim of a dive and its doubt, and the lead that is shared out over places.

use crate::findings::trim::{Lever, Trim, TrimAt, nodes};
use crate::physics::bulk::Bulk;
use crate::physics::place::{Centres, Moment, Point};
use crate::scenario::{LEAD_KG_M3, Scenario};
use crate::sim::{self, Trace};
use crate::study::StudyError;
use crate::study::lead_places::LeadPlace;

/// A place where lead may go.
#[derive(Clone, Debug, PartialEq)]
pub struct LeadSpot {
    /// What it is called.
    pub name: String,
    /// Where it is.
    pub at: Point,
    /// The most that it holds, kg.
    pub most_kg: Option<f64>,
    /// Whether lead there can be dropped under water.
    pub lets_go: bool,
}

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
}

/// The moments of a trace, as its [`Trim::course`] has them, by the places of another rig: what the same dive would do if
/// things hung elsewhere. `None` where the place of something is not known.
pub fn moments_if(placed: &Scenario, scenario: &Scenario, trace: &Trace) -> Option<Vec<Moment>> {
    let lever = Lever::of(placed)?;
    Some(nodes(trace).map(|now| lever.moment(scenario, now)).collect())
}

/// The moments of another dive of the same legs at the times of a course: where something jumps, the first of two before it.
/// `None` where the place of something is not known.
pub fn moments_at(scenario: &Scenario, trace: &Trace, course: &[TrimAt]) -> Option<Vec<Moment>> {
    let lever = Lever::of(scenario)?;
    let is_before = |i: usize| course.get(i + 1).is_some_and(|next| next.time_s == course[i].time_s);
    let now = |i: usize| match is_before(i) {
        true => trace.before(scenario, course[i].time_s),
        false => trace.at(scenario, course[i].time_s),
    };
    Some((0..course.len()).map(|i| lever.moment(scenario, &now(i))).collect())
}
