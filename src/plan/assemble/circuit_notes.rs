//! What is possible and odd about a closed circuit: its setpoints, its diluent, its bail-out.

use super::Builder;
use crate::physics::water::{MAX_DEPTH_M, Water};
use crate::plan::loop_note::{LEAST_LOOP_OXYGEN_PA, LoopNote};
use crate::plan::note::{MOST_OXYGEN_PA, Note};
use crate::profile::Profile;
use crate::rig::{BreathingLoop, CylinderSet, MOST_OXYGEN_FRAC};
use crate::scenario::Scenario;

/// The limits hold to their last digit, as those of open circuit.
const ROUNDING_PA: (f64, f64) = (0.05e5, 0.005e5);
/// A setpoint is read to a hundredth of a bar.
const SETPOINT_ROUNDING_PA: f64 = 0.005e5;
/// No diver tells depths apart that are this close, m.
const CLOSE_M: f64 = 0.05;

/// A stretch on the loop with one setpoint: the depths at its ends, m, and the setpoint, Pa.
struct Held {
    start_m: f64,
    end_m: f64,
    setpoint_pa: f64,
}

impl Held {
    fn least_m(&self) -> f64 {
        self.start_m.min(self.end_m)
    }

    fn most_m(&self) -> f64 {
        self.start_m.max(self.end_m)
    }
}

impl Builder<'_, '_> {
    /// Notes what is odd about the loop of a dive that is built.
    pub(super) fn note_loop(&mut self, dive: &Scenario) {
        let Some(circuit) = dive.rig().breathing_loop else { return };
        let held = held(dive.profile());
        if circuit.bail_out.is_empty() {
            self.notes.push(Note::Loop(LoopNote::NoBailOut));
        }
        if held.is_empty() {
            self.notes.push(Note::Loop(LoopNote::NeverBreathed));
            return;
        }
        self.notes.extend(setpoint_notes(&held, dive.water()).map(Note::Loop));
        for i in circuit.diluent.iter() {
            self.notes.extend(diluent_notes(i, &held, dive).map(Note::Loop));
        }
        self.note_bail_out_gas(dive, &held);
        self.notes.extend(away(&circuit, dive).map(Note::Loop));
    }

    /// The gas of each bail-out cylinder at the ends of the depths where it may be needed.
    fn note_bail_out_gas(&mut self, dive: &Scenario, held: &[Held]) {
        let (water, instrument) = (dive.water(), self.is_by_instrument());
        let true_m = |written_m: f64| match instrument && written_m.is_finite() {
            true => water.depth_of_instrument_m(written_m).unwrap_or(written_m),
            false => written_m,
        };
        let list: Vec<(f64, CylinderSet)> = self.bail_out.iter().map(|(from_m, set)| (true_m(*from_m), *set)).collect();
        let deepest_m = held.iter().map(Held::most_m).fold(0.0, f64::max);
        for (from_m, set) in &list {
            let above_m = list.iter().map(|(other_m, _)| *other_m).filter(|other_m| other_m < from_m);
            let (least_m, most_m) = (above_m.fold(0.0, f64::max), from_m.min(deepest_m));
            if least_m > most_m {
                continue;
            }
            for i in set.iter() {
                let cylinder = &dive.rig().cylinders[i];
                let oxygen_pa = |depth_m: f64| cylinder.mix().o2_frac() * ambient_pa(water, depth_m);
                let odd = [
                    (oxygen_pa(most_m) > MOST_OXYGEN_PA + ROUNDING_PA.0).then_some(most_m),
                    (oxygen_pa(least_m) < LEAST_LOOP_OXYGEN_PA - ROUNDING_PA.1).then_some(least_m),
                ];
                for depth_m in odd.into_iter().flatten() {
                    let (name, oxygen_pa) = (cylinder.name().to_owned(), oxygen_pa(depth_m));
                    // a bail-out that is planned is breathed, and told with what is breathed
                    let is_told = |note: &Note| {
                        matches!(note, Note::Oxygen { name: told, oxygen_pa: of, .. }
                            if *told == name && (*of > MOST_OXYGEN_PA) == (oxygen_pa > MOST_OXYGEN_PA))
                    };
                    if !self.notes.iter().any(is_told) {
                        let note = LoopNote::Oxygen { name, is_bail_out: true, oxygen_pa, depth_m };
                        self.notes.push(Note::Loop(note));
                    }
                }
            }
        }
    }

    fn is_by_instrument(&self) -> bool {
        self.plan.file.dive.as_ref().and_then(|dive| dive.depths.as_deref()) == Some("instrument")
    }
}

fn ambient_pa(water: &Water, depth_m: f64) -> f64 {
    water.pressure_pa(water.layer_at(depth_m), depth_m)
}

/// Depth at which there is a pressure, m: the surface where there is more everywhere. By halving, to a millimetre.
fn depth_of_m(water: &Water, pressure_pa: f64) -> f64 {
    let (mut low_m, mut high_m) = (0.0, MAX_DEPTH_M);
    while high_m - low_m > 1e-3 {
        let middle_m = 0.5 * (low_m + high_m);
        match ambient_pa(water, middle_m) < pressure_pa {
            true => low_m = middle_m,
            false => high_m = middle_m,
        }
    }
    if low_m == 0.0 { 0.0 } else { high_m }
}

/// The stretches on the loop, cut where the setpoint changes.
fn held(profile: &Profile) -> Vec<Held> {
    let mut held = Vec::new();
    for (i, leg) in profile.legs().iter().enumerate().filter(|(_, leg)| leg.loop_mol_s.is_some()) {
        let start_s = profile.leg_start(i).0;
        let within = |time_s: &f64| *time_s > start_s && *time_s < leg.end_s;
        let changes = profile.setpoints().iter().map(|set| set.time_s).filter(within);
        let times: Vec<f64> = [start_s].into_iter().chain(changes).chain([leg.end_s]).collect();
        for pair in times.windows(2) {
            let Some(setpoint_pa) = profile.setpoint_pa(pair[0]) else { continue };
            held.push(Held { start_m: profile.depth_m(pair[0]), end_m: profile.depth_m(pair[1]), setpoint_pa });
        }
    }
    held
}

/// One note for each setpoint that cannot be held everywhere, or is high.
fn setpoint_notes<'a>(held: &'a [Held], water: &'a Water) -> impl Iterator<Item = LoopNote> + 'a {
    let mut setpoints: Vec<f64> = held.iter().map(|one| one.setpoint_pa).collect();
    setpoints.sort_by(f64::total_cmp);
    setpoints.dedup();
    setpoints.into_iter().flat_map(move |setpoint_pa| {
        let from_m = depth_of_m(water, setpoint_pa / MOST_OXYGEN_FRAC);
        let at_setpoint = held.iter().filter(|one| one.setpoint_pa == setpoint_pa);
        let least_m = at_setpoint.map(Held::least_m).fold(f64::INFINITY, f64::min);
        let above = (least_m < from_m - CLOSE_M).then_some(LoopNote::AboveAmbient { setpoint_pa, from_m });
        let is_high = setpoint_pa > MOST_OXYGEN_PA + SETPOINT_ROUNDING_PA;
        above.into_iter().chain(is_high.then_some(LoopNote::HighSetpoint(setpoint_pa)))
    })
}

/// What is odd about a cylinder of diluent.
fn diluent_notes<'a>(index: usize, held: &'a [Held], dive: &'a Scenario) -> impl Iterator<Item = LoopNote> + 'a {
    let (cylinder, water) = (&dive.rig().cylinders[index], dive.water());
    let (name, o2_frac) = (cylinder.name(), cylinder.mix().o2_frac());
    let least_m = held.iter().map(Held::least_m).fold(f64::INFINITY, f64::min);
    let most_m = held.iter().map(Held::most_m).fold(0.0, f64::max);
    let is_thin = o2_frac * ambient_pa(water, least_m) < LEAST_LOOP_OXYGEN_PA - ROUNDING_PA.1;
    let above_m = depth_of_m(water, LEAST_LOOP_OXYGEN_PA / o2_frac);
    let thin = is_thin.then(|| LoopNote::ThinDiluent { name: name.into(), above_m });
    let excess_pa = |one: &Held| o2_frac * ambient_pa(water, one.most_m()) - one.setpoint_pa;
    // a way down at a lower setpoint is meant to bring more; what matters is the one that the dive is held at
    let highest_pa = held.iter().map(|one| one.setpoint_pa).fold(0.0, f64::max);
    let at_highest = held.iter().filter(|one| one.setpoint_pa >= highest_pa);
    let richest = at_highest.max_by(|a, b| excess_pa(a).total_cmp(&excess_pa(b)));
    let rich = richest.filter(|one| excess_pa(one) > ROUNDING_PA.0).map(|one| LoopNote::RichDiluent {
        name: name.into(),
        setpoint_pa: one.setpoint_pa,
        below_m: depth_of_m(water, one.setpoint_pa / o2_frac),
    });
    let oxygen_pa = o2_frac * ambient_pa(water, most_m);
    let is_high = oxygen_pa > MOST_OXYGEN_PA + ROUNDING_PA.0;
    let high = is_high.then(|| LoopNote::Oxygen { name: name.into(), is_bail_out: false, oxygen_pa, depth_m: most_m });
    thin.into_iter().chain(rich).chain(high)
}

/// Bail-out cylinders that are not carried at some moment on the loop; one note each, for the first of them.
fn away<'a>(circuit: &'a BreathingLoop, dive: &'a Scenario) -> impl Iterator<Item = LoopNote> + 'a {
    let (profile, rig) = (dive.profile(), dive.rig());
    circuit.bail_out.iter().filter_map(move |index| {
        let own = || profile.changes().iter().filter(move |change| change.cylinder == index);
        let is_carried = |time_s: f64| {
            let last = own().rfind(|change| change.time_s <= time_s);
            last.map_or(rig.cylinders[index].is_carried_at_start(), |change| change.kind.is_carried_after())
        };
        let legs = profile.legs().iter().enumerate().filter(|(_, leg)| leg.loop_mol_s.is_some());
        let moments = legs.flat_map(|(i, leg)| {
            let start_s = profile.leg_start(i).0;
            let within = own().map(|change| change.time_s).filter(move |time_s| (start_s..leg.end_s).contains(time_s));
            [start_s].into_iter().chain(within)
        });
        let first_s = moments.filter(|time_s| !is_carried(*time_s)).fold(f64::INFINITY, f64::min);
        let name = rig.cylinders[index].name().to_owned();
        first_s.is_finite().then_some(LoopNote::BailOutAway { name, time_s: first_s })
    })
}
