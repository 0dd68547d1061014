//! How a diver hangs at the moment of a check, and what a pitch that was seen there says of the places of things.
//!
//! At rest at a pitch `θ` there is no torque: `Mx·cos θ − Mz·sin θ = 0`, with the moment `M` about the lungs
//! ([`crate::findings::trim`]). That is linear in the places. A pitch seen wrongly by `δ` leaves `(Mx·sin θ + Mz·cos θ)·δ`.

use crate::findings::trim::moment_of;
use crate::physics::bulk::Bulk;
use crate::physics::place::{Moment, Point};
use crate::rig::WING;
use crate::scenario::{LEAD_KG_M3, Scenario};
use crate::sim::{Ambient, Term, terms};
use crate::study::calibrate::check::{Check, WingThen, is_ballast};

/// What a diver wore and how the diver was held neutral when the pitch was seen.
#[derive(Clone, Debug, PartialEq)]
pub struct HungCheck {
    /// Depth, cylinders, lead, water; what was seen of the lead does not count.
    pub check: Check,
    /// Whether the wing held the diver; otherwise it had the gas of the check. What lacks to neutral acts at the lungs.
    pub wing_holds: bool,
    /// Lead that hung at places of its own, kg.
    pub extra: Vec<(f64, Point)>,
    /// Pitch, rad: head up positive.
    pub pitch_rad: f64,
}

impl HungCheck {
    /// Whether lead of the check has to be put somewhere, because the dive has none that it stands for.
    pub fn lead_without_place(check: &Check, scenario: &Scenario) -> Option<f64> {
        let has_ballast = scenario.rig().parts.iter().any(|part| part.role == crate::rig::Role::Ballast);
        check.lead_kg.filter(|kg| *kg > 0.0 && !has_ballast)
    }

    /// Moment about the lungs, what lacks to neutral acting there; `None` where the place of something is not known.
    pub fn moment(&self, scenario: &Scenario) -> Option<Moment> {
        let lungs = scenario.rig().lungs?;
        let noted_m3 = match self.check.wing {
            WingThen::Empty => 0.0,
            WingThen::Gas { gas_m3 } => gas_m3,
        };
        let wing_m3 = if self.wing_holds { self.holding_m3(scenario) } else { noted_m3 };
        let (worn, ambient) = self.worn(scenario, wing_m3);
        let water_kg_m3 = ambient.water_kg_m3;
        let of_extra = |&(kg, at): &(f64, Point)| Moment::of(lead(kg).net_kg(water_kg_m3), at - lungs);
        Some(moment_of(&worn, water_kg_m3, lungs)? + self.extra.iter().map(of_extra).sum())
    }

    /// Gas in the wing that holds the diver neutral, m³, as far as it holds so much.
    fn holding_m3(&self, scenario: &Scenario) -> f64 {
        let Some(wing) = scenario.rig().bags()[WING] else { return 0.0 };
        let capacity_m3 = wing.capacity_m3();
        let (empty_kg, full_kg) = (self.net_kg(scenario, 0.0), self.net_kg(scenario, capacity_m3));
        // gas comes from a cylinder that is read afterwards, so the lift is linear in it
        let share_frac = -empty_kg / (full_kg - empty_kg);
        if share_frac.is_finite() { share_frac.clamp(0.0, 1.0) * capacity_m3 } else { 0.0 }
    }

    /// Net lift with so much gas in the wing, kg.
    fn net_kg(&self, scenario: &Scenario, wing_m3: f64) -> f64 {
        let (worn, ambient) = self.worn(scenario, wing_m3);
        let extra = self.extra.iter().map(|(kg, _)| lead(*kg));
        let bulk: Bulk = worn.iter().map(|term| term.bulk).chain(extra).sum();
        (bulk + Bulk::volume(self.check.more_m3)).net_kg(ambient.water_kg_m3)
    }

    /// What was worn, the lead of the plan as heavy as that of the check; and the water.
    fn worn(&self, scenario: &Scenario, wing_m3: f64) -> (Vec<Term>, Ambient) {
        let (state, ambient) = self.check.then(scenario, wing_m3);
        let mut worn = terms(scenario, &state, &ambient);
        if let Some(lead_kg) = self.check.lead_kg {
            let own_kg: f64 = worn.iter().filter(|term| is_ballast(scenario, term)).map(|term| term.bulk.mass_kg).sum();
            let share_frac = if own_kg > 0.0 { lead_kg / own_kg } else { 0.0 };
            for term in worn.iter_mut().filter(|term| is_ballast(scenario, term)) {
                term.bulk = Bulk { lift_kg: term.bulk.lift_kg * share_frac, ..lead(term.bulk.mass_kg * share_frac) };
            }
        }
        (worn, ambient)
    }

    /// What a moment leaves of the torque at the pitch, kg·m; none at rest.
    pub fn off_kg_m(&self, moment: Moment) -> f64 {
        moment.along_kg_m * self.pitch_rad.cos() - moment.up_kg_m * self.pitch_rad.sin()
    }

    /// What a radian of pitch changes it by, kg·m.
    pub fn stiff_kg_m(&self, moment: Moment) -> f64 {
        moment.along_kg_m * self.pitch_rad.sin() + moment.up_kg_m * self.pitch_rad.cos()
    }
}

/// A mass of lead.
pub fn lead(lead_kg: f64) -> Bulk {
    Bulk::new(lead_kg, lead_kg / LEAD_KG_M3)
}
