//! Mishaps at every moment of a dive, at rest: a wing failed, a suit or a loop flooded, a cylinder or the lead lost, and
//! several of them at once.
//!
//! Two questions, each of every moment at which a mishap can happen. **Too heavy**: with the wing blown up as far as it
//! goes, if it still works, what is left to be swum up on the way straight up (under an overhead, to hover), before and
//! after letting go of what counts; [`FailedWing`] asks it, of which a failed wing alone is one case. **Too light**: with
//! the wing empty, whether the diver stays down, at or below the last stop on the final ascent, gas as planned, as
//! [`crate::findings::hold::ascent`] has it.
//!
//! Nothing is moved in time: what a diver meets on the way there is not asked.

mod mishap;

use std::cmp::Ordering;

use crate::findings::extremes::{SAME_LIFT_KG, below};
use crate::findings::failed_wing::after;
use crate::findings::wing_size::afloat_m3;
use crate::findings::{FailedWing, HoldAt, LettingGo, SwimUp};
use crate::scenario::Scenario;
use crate::sim::{Now, Trace};

pub(crate) use mishap::Befalling;
pub use mishap::{Mishap, Thing};

/// What a diver can do after a mishap, from what is handled to what is not.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum MishapVerdict {
    /// The diver stays where the diver is: the wing holds what is too heavy, or nothing is too light.
    Held,
    /// What is left to swim up stays within the capacity.
    CanSwim,
    /// It does so only after letting go of what is ditchable.
    AfterDitching,
    /// The diver floats up.
    FloatsUp,
    /// It does not, even after letting go of what is ditchable.
    Cannot,
}

/// What the wing must do for a diver whom a mishap made heavier.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WingThen {
    /// What it must hold for the diver to be neutral at the worst moment, m³.
    pub needed_m3: f64,
    /// The most that it can hold then: its capacity, or what its supply gives, m³.
    pub most_m3: f64,
    /// What it must hold at the surface with head and shoulders out, before or after the dive, m³; nothing where the
    /// mishap cannot happen there.
    pub surface_m3: f64,
}

/// A diver whom a mishap makes too heavy.
#[derive(Clone, Debug, PartialEq)]
pub struct Heavy {
    /// What is left to be swum up, with the wing doing what it can.
    pub swim: FailedWing,
    /// Least net lift with the wing empty on the way straight up from the worst moment, kg.
    pub wing_empty_kg: f64,
    /// What the wing must do; `None` where it has failed, or the rig has none.
    pub wing: Option<WingThen>,
}

/// What a mishap makes of a diver; at least one of both.
#[derive(Clone, Debug, PartialEq)]
pub enum Harm {
    /// Too heavy, or as heavy as can be.
    Heavy(Box<Heavy>),
    /// Too light: the lightest moment at or below the last stop on the final ascent, wing empty.
    Light(HoldAt),
    /// Now the one, now the other.
    Both(Box<Heavy>, HoldAt),
}

/// What a mishap would mean, for the whole dive.
#[derive(Clone, Debug, PartialEq)]
pub struct MishapFound {
    /// What goes wrong.
    pub mishap: Mishap,
    /// What it makes of the diver.
    pub harm: Harm,
}

/// One side of a mishap.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Side<'a> {
    /// Too heavy.
    Heavy(&'a Heavy),
    /// Too light.
    Light(&'a HoldAt),
}

impl MishapFound {
    /// Asks every moment of a dive; `None` where the mishap can happen at none.
    pub fn of(scenario: &Scenario, trace: &Trace, mishap: Mishap) -> Option<Self> {
        let befalling = Befalling::new(scenario, mishap);
        let heavy = heavy(scenario, trace, befalling)?;
        let is_heavier = mishap.fails_wing() || befalling.changed_kg(&heavy.swim.worst.now) < -SAME_LIFT_KG;
        let lightest = light(scenario, trace, befalling);
        let lighter = lightest.filter(|at| befalling.changed_kg(&at.now) > SAME_LIFT_KG);
        // what a mishap does not make worse is no harm of its own
        let harm = match lighter {
            Some(light) if is_heavier => Harm::Both(Box::new(heavy), light),
            Some(light) => Harm::Light(light),
            None => Harm::Heavy(Box::new(heavy)),
        };
        Some(Self { mishap, harm })
    }

    /// What the diver can do.
    pub fn verdict(&self) -> MishapVerdict {
        match self.side() {
            Side::Heavy(heavy) => heavy.verdict(),
            Side::Light(at) if at.holds() => MishapVerdict::Held,
            Side::Light(_) => MishapVerdict::FloatsUp,
        }
    }

    /// The worse side: who floats up does not count what is held.
    pub fn side(&self) -> Side<'_> {
        match &self.harm {
            Harm::Heavy(heavy) => Side::Heavy(heavy),
            Harm::Light(light) => Side::Light(light),
            Harm::Both(heavy, light) if light.holds() || heavy.verdict() == MishapVerdict::Cannot => Side::Heavy(heavy),
            Harm::Both(_, light) => Side::Light(light),
        }
    }

    /// Too heavy; `None` where it makes the diver lighter.
    pub fn heavy(&self) -> Option<&Heavy> {
        match &self.harm {
            Harm::Heavy(heavy) | Harm::Both(heavy, _) => Some(heavy),
            Harm::Light(_) => None,
        }
    }

    /// Too light; `None` where it makes the diver heavier on the final ascent, or cannot happen then.
    pub fn light(&self) -> Option<&HoldAt> {
        match &self.harm {
            Harm::Light(light) | Harm::Both(_, light) => Some(light),
            Harm::Heavy(_) => None,
        }
    }

    /// The worst moment.
    pub fn now(&self) -> &Now {
        match self.side() {
            Side::Heavy(heavy) => &heavy.swim.worst.now,
            Side::Light(at) => &at.now,
        }
    }

    /// Net lift with the wing empty at the worst moment, kg; of a heavy diver the least on the way straight up.
    pub fn wing_empty_kg(&self) -> f64 {
        match self.side() {
            Side::Heavy(heavy) => heavy.wing_empty_kg,
            Side::Light(at) => at.bare_kg,
        }
    }

    /// What is left at the worst moment when the wing has done what it can, kg: below zero to be swum up, above zero the
    /// diver floats; nothing where the diver is held.
    pub fn left_kg(&self) -> f64 {
        match self.side() {
            Side::Heavy(heavy) => (-heavy.swim.worst.load_kg).min(0.0),
            Side::Light(at) => at.bare_kg.max(0.0),
        }
    }

    /// The same after letting go of all that counts, kg; `None` where there is nothing, or it would not help.
    pub fn ditched_kg(&self) -> Option<f64> {
        match self.side() {
            Side::Heavy(heavy) if heavy.swim.lets_go.iter().any(LettingGo::counts) => {
                Some((-heavy.swim.worst.ditched_kg).min(0.0))
            }
            _ => None,
        }
    }

    /// Which of two is worse: by what the diver can do, then by how much is left.
    pub fn badness(&self, other: &Self) -> Ordering {
        let left_kg = |found: &Self| found.left_kg().abs();
        self.verdict().cmp(&other.verdict()).then(left_kg(self).total_cmp(&left_kg(other)))
    }
}

impl Heavy {
    /// What the diver can do about too much weight.
    pub fn verdict(&self) -> MishapVerdict {
        match self.swim.verdict {
            SwimUp::CanSwim if self.swim.worst.load_kg <= 0.0 => MishapVerdict::Held,
            SwimUp::CanSwim => MishapVerdict::CanSwim,
            SwimUp::AfterDitching => MishapVerdict::AfterDitching,
            SwimUp::Cannot => MishapVerdict::Cannot,
        }
    }
}

/// Net lift where a moment has the diver, after a mishap and with the wing empty, kg. `None` where it cannot happen then.
pub fn wing_empty_kg(scenario: &Scenario, now: &Now, mishap: Mishap) -> Option<f64> {
    mishap.can_happen(now).then(|| Befalling::new(scenario, mishap).wing_empty(now).here_kg())
}

/// What a mishap leaves at a moment of a leg when the wing has done what it can, kg: below zero to be swum up (the most on
/// the way straight up; under an overhead what is met there), above zero the diver floats with the wing empty, else nothing.
/// `None` where it cannot happen then.
pub fn left_kg(scenario: &Scenario, now: &Now, leg: usize, mishap: Mishap) -> Option<f64> {
    let befalling = Befalling::new(scenario, mishap);
    mishap.can_happen(now).then(|| {
        let load_kg = -befalling.diver(now).heaviest_on_the_way_up(leg).bare_kg;
        match load_kg > 0.0 {
            true => -load_kg,
            false => befalling.wing_empty(now).here_kg().max(0.0),
        }
    })
}

/// The question of too much weight; `None` where the mishap can happen at no moment.
fn heavy(scenario: &Scenario, trace: &Trace, befalling: Befalling<'_>) -> Option<Heavy> {
    let swim = after(scenario, trace, befalling)?;
    let now = &swim.worst.now;
    let surface_m3 = |now: &Now| {
        let lift_kg = befalling.wing_empty(now).bare_kg(0, 0.0);
        afloat_m3(scenario, lift_kg, scenario.rig().head_out_m3)
    };
    let ends = [trace.first(), trace.last()];
    let at_surface = ends.into_iter().filter(|now| befalling.mishap().can_happen(now)).map(surface_m3);
    let wing = (!befalling.mishap().fails_wing() && scenario.rig().wing.is_some()).then(|| WingThen {
        needed_m3: befalling.wing_needed_m3(now),
        most_m3: befalling.wing_most_m3(now),
        surface_m3: at_surface.fold(0.0, f64::max),
    });
    let leg = swim.worst.leg;
    Some(Heavy { wing_empty_kg: befalling.wing_empty(now).heaviest_on_the_way_up(leg).bare_kg, wing, swim })
}

/// The question of too little weight; `None` where the mishap cannot happen on the final ascent.
fn light(scenario: &Scenario, trace: &Trace, befalling: Befalling<'_>) -> Option<HoldAt> {
    let lift_kg = |now: &Now| befalling.wing_empty(now).here_kg();
    let (from_s, end_s) = (scenario.profile().final_ascent_s(), scenario.profile().end_s());
    let mut best: Option<(Now, f64)> = None;
    for span in trace.spans_between(from_s, end_s) {
        if !befalling.mishap().can_happen(span.start()) {
            continue;
        }
        let Some(part) = span.clipped(scenario, from_s, end_s) else { continue };
        let Some(deep) = below(scenario, &part, scenario.last_stop_m()) else { continue };
        let floor_kg = best.map_or(f64::NEG_INFINITY, |(_, kg)| kg);
        best = deep.greatest_above(scenario, floor_kg, lift_kg).or(best);
    }
    best.map(|(now, bare_kg)| HoldAt { now, bare_kg })
}
