//! What is possible and odd: each a note of one line, never a refusal. The limits are common practice or our own
//! judgement; who dives past them has reasons, but more often a sign or a unit is wrong.

use super::Builder;
use crate::physics::water::Water;
use crate::plan::note::{LEAST_OXYGEN_PA, MOST_OXYGEN_PA, Note};
use crate::rig::{Part, Role};
use crate::scenario::{Scenario, Segment};
use crate::units::MINUTE_S;

/// Pure oxygen at 6 m of sea water is 1.62 bar, and the trade calls it 1.6: the limits hold to their last digit.
const OXYGEN_ROUNDING_PA: (f64, f64) = (0.05e5, 0.005e5);
/// Air has 0.9 % of argon; more than this was put in.
const ARGON_FRAC: f64 = 0.02;
/// Material and gas of the largest suits, m³.
const LARGE_SUIT_M3: f64 = 0.040;
/// A body at mid-lung floats by 5 kg at the most; 3 kg of doubt on top.
const FLOATING_BODY_KG: f64 = 8.0;
/// Nobody swims faster; a bag that runs away does.
const FAST_M_S: f64 = 30.0 / MINUTE_S;
/// Denser by so little is the rounding of two equal waters, kg/m³.
const DENSER_KG_M3: f64 = 0.05;

impl Builder<'_, '_> {
    /// Notes what is odd about a dive that is built.
    pub(super) fn note_what_is_odd(&mut self, dive: &Scenario) {
        let surface_kg_m3 = dive.water().density_kg_m3(0, 0.0);
        self.note_gases(dive);
        self.note_loop(dive);
        let rig = dive.rig();
        let reserves = rig.cylinders.iter().filter(|one| one.reserve_gauge_pa() > one.fill_gauge_pa());
        self.notes.extend(reserves.map(|one| Note::ReserveAboveFill(one.name().to_owned())));
        let lift_kg = |part: &Part| part.bulk(dive.water().surface_pa()).net_kg(surface_kg_m3);
        for part in rig.all_parts() {
            let lift_kg = lift_kg(part);
            // one that is worn and hung is told once
            let is_told = |note: &Note| matches!(note, Note::FloatingRegulator { name, .. } if *name == part.name);
            if part.name.to_lowercase().contains("regulator") && lift_kg > 0.0 && !self.notes.iter().any(is_told) {
                self.notes.push(Note::FloatingRegulator { name: part.name.clone(), lift_kg });
            }
            if part.role == Role::Person && lift_kg > FLOATING_BODY_KG {
                self.notes.push(Note::FloatingBody { lift_kg });
            }
        }
        let of_suit = rig.parts.iter().filter(|part| part.role == Role::Suit);
        let material_m3: f64 = of_suit.map(|part| part.bulk(dive.water().surface_pa()).volume_m3).sum();
        let volume_m3 = material_m3 + rig.suit.map_or(0.0, |suit| suit.kept_m3());
        if volume_m3 > LARGE_SUIT_M3 {
            self.notes.push(Note::LargeSuit { volume_m3 });
        }
        self.notes.extend(fastest(dive));
        self.notes.extend(dense_above(dive.water()));
    }

    /// One note a cylinder, for its worst moment.
    fn note_gases(&mut self, dive: &Scenario) {
        for (i, cylinder) in dive.rig().cylinders.iter().enumerate() {
            let breathed = || dive.segments().iter().filter(|segment| segment.source.contains(i));
            let oxygen = |depth_m: f64, segment: &Segment| {
                (cylinder.mix().o2_frac() * dive.water().pressure_pa(segment.layer, depth_m), depth_m)
            };
            let ends = || breathed().flat_map(|one| [oxygen(one.start_m, one), oxygen(one.end_m, one)]);
            let most = ends().max_by(|a, b| a.0.total_cmp(&b.0));
            let least = ends().min_by(|a, b| a.0.total_cmp(&b.0));
            let is_high = |(oxygen_pa, _): &(f64, f64)| *oxygen_pa > MOST_OXYGEN_PA + OXYGEN_ROUNDING_PA.0;
            let is_low = |(oxygen_pa, _): &(f64, f64)| *oxygen_pa < LEAST_OXYGEN_PA - OXYGEN_ROUNDING_PA.1;
            let odd = most.filter(is_high).into_iter().chain(least.filter(is_low));
            let name = cylinder.name();
            self.notes.extend(odd.map(|(oxygen_pa, depth_m)| Note::Oxygen { name: name.into(), oxygen_pa, depth_m }));
            if cylinder.mix().ar_frac() > ARGON_FRAC && breathed().next().is_some() {
                self.notes.push(Note::ArgonBreathed(name.to_owned()));
            }
        }
    }
}

fn fastest(dive: &Scenario) -> Option<Note> {
    let speed_m_s = |one: &Segment| (one.end_m - one.start_m).abs() / (one.end_s - one.start_s);
    let fastest = dive.segments().iter().max_by(|a, b| speed_m_s(a).total_cmp(&speed_m_s(b)))?;
    let (speed_m_s, start_s) = (speed_m_s(fastest), fastest.start_s);
    // a way given by depth and time may come out a rounding above
    (speed_m_s > FAST_M_S * (1.0 + 1e-9)).then_some(Note::Fast { speed_m_s, start_s })
}

fn dense_above(water: &Water) -> impl Iterator<Item = Note> + '_ {
    (1..water.layer_count()).filter_map(|below| {
        let depth_m = water.layer_span_m(below).0;
        let excess_kg_m3 = water.density_kg_m3(below - 1, depth_m) - water.density_kg_m3(below, depth_m);
        (excess_kg_m3 > DENSER_KG_M3).then_some(Note::DenseAbove { depth_m })
    })
}
