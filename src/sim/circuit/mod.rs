//! A breathing loop while it is breathed: metabolism, diluent, oxygen, and what is too much.
//!
//! At ambient pressure `p` the loop is kept full, so its amount of gas is `N = K·p`, `K = V·ρₘ(p)/p` (nearly constant), and
//! its share of oxygen is held at `x = s/p`, `s` the setpoint, or at [`MOST_OXYGEN_FRAC`] where `s` asks for more. What the
//! body takes, `M`, goes out of the oxygen. `I = (1 − x)·N` is all that is not oxygen.
//!
//! | | diluent | oxygen | vented |
//! | --- | --- | --- | --- |
//! | deeper: `I` must grow | `ΔI/(1 − f)`, `f` its share of oxygen | what is missing to `x·N` | – |
//! | level | – | `M` | – |
//! | shallower: `I` must shrink | – | `M` and what is vented of it | `−ΔI`, and `∫ x/(1 − x) (−dI)` of oxygen |
//! | oxygen is above the setpoint, or there is none | what volume is missing | – | what volume is too much |
//!
//! Without venting the way does not matter. With it the loop's composition at each moment is that of `x`, so the integral
//! has a closed form, `s·[a·ln(u₀/u₁) + 2·(K₀ − K₁)]` with `u = p − s` and `K = a + b·u`, exact for a `K` that is linear in the
//! pressure. In the last row the other gases' share grows as `d ln(1 − x) = M/N dt`. Each step lies within one row, or
//! several without venting; where rows meet is an event (`sim::events`).

mod breathing;

use crate::rig::{CylinderSet, LOOP, MAX_BAG_GASES, MOST_OXYGEN_FRAC};
use crate::scenario::{OnLoop, QuickLoop};
use crate::sim::circuit::breathing::Breathing;
use crate::sim::control::{DRY_MOL, Limits, available_mol};
use crate::sim::state::{Air, Now, State, Unmet};

/// Partial pressure that a loop without any setpoint is filled to before the dive, Pa: less than any diluent has.
pub(crate) const NO_SETPOINT_PA: f64 = 0.0;
/// Shares of oxygen closer than this are the same: rounding.
const SAME_FRAC: f64 = 1e-10;
/// An amount of gas that is none, relative to the loop's: rounding.
const NO_GAS_FRAC: f64 = 1e-13;
/// A partial pressure of oxygen that is as good as the setpoint, relative to it.
pub(crate) const SAME_SETPOINT_FRAC: f64 = 1e-6;
/// Oxygen that is missing where a cylinder has just run dry, mol: a third of a milligram, more than that moment is located
/// to. The way there was one on which the setpoint was held.
const JUST_DRY_MOL: f64 = 1e-5;
/// Rounds in which diluent and composition find each other; the density hardly knows the composition, so each gains three
/// figures.
const ROUNDS: usize = 6;

/// Time on the loop that ends where the diver now is.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Stretch {
    pub on_loop: OnLoop,
    /// How long, s.
    pub length_s: f64,
    /// Ambient pressure at its start, Pa.
    pub from_pa: f64,
}

/// What a loop asked for and could not have.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Lacks {
    /// Share of the body's oxygen that was not in the loop.
    breath_frac: f64,
    /// Gas volume that is missing, m³.
    volume_m3: f64,
    /// By how much oxygen is below the setpoint, Pa.
    oxygen_pa: f64,
}

impl Lacks {
    /// Writes it where the run keeps such things.
    #[inline]
    pub fn note(self, unmet: &mut Unmet) {
        unmet.breath_frac = unmet.breath_frac.max(self.breath_frac);
        unmet.bag_m3[LOOP] = self.volume_m3;
        unmet.oxygen_pa = self.oxygen_pa;
    }
}

/// The share of oxygen at which a loop is held at an ambient pressure.
#[inline]
pub(crate) fn held_frac(setpoint_pa: f64, ambient_pa: f64) -> f64 {
    (setpoint_pa / ambient_pa).min(MOST_OXYGEN_FRAC)
}

/// The share of oxygen in a loop's gas; nothing in an empty one.
#[inline]
pub(crate) fn oxygen_frac(mol: &[f64; MAX_BAG_GASES]) -> f64 {
    let all_mol: f64 = mol.iter().sum();
    if all_mol > 0.0 { mol[QuickLoop::OXYGEN_SLOT] / all_mol } else { 0.0 }
}

/// Partial pressure of oxygen in the loop, Pa; nothing without one.
#[inline]
pub fn oxygen_pa(now: &Now) -> f64 {
    oxygen_frac(&now.state.bag_mol[LOOP]) * now.ambient.pressure_pa
}

/// How far a loop's oxygen is above what it is held at, relative to that.
#[inline]
pub(crate) fn above_setpoint_frac(now: &Now, setpoint_pa: f64) -> f64 {
    oxygen_frac(&now.state.bag_mol[LOOP]) / held_frac(setpoint_pa, now.ambient.pressure_pa) - 1.0
}

/// Whether a loop's oxygen is above what it is held at, by more than rounding.
#[inline]
pub(crate) fn is_above_setpoint(now: &Now, setpoint_pa: f64) -> bool {
    above_setpoint_frac(now, setpoint_pa) > SAME_SETPOINT_FRAC
}

/// What a loop holds before the dive: filled on the shore with diluent and oxygen to the first setpoint; that gas is not
/// taken out of the cylinders, which count from then on.
pub(crate) fn at_start_mol(air: &Air<'_>) -> [f64; MAX_BAG_GASES] {
    let Some(circuit) = &air.scenario.gases().circuit else { return [0.0; MAX_BAG_GASES] };
    let setpoint_pa = air.scenario.profile().setpoint_pa(0.0).unwrap_or(NO_SETPOINT_PA);
    let diluent = circuit.mean_frac(circuit.circuit.diluent);
    let share = held_frac(setpoint_pa, air.ambient.pressure_pa).max(diluent[QuickLoop::OXYGEN_SLOT]);
    let one = with_oxygen(&diluent, share);
    let per_mol_m3 = air.bag(LOOP, &one).volume_m3;
    one.map(|part| part * circuit.circuit.volume_m3 / per_mol_m3)
}

/// The loop answers at once to a depth, a setpoint or a supply.
pub(crate) fn settle(air: &Air<'_>, state: &mut State, on_loop: OnLoop, limits: Limits) -> Lacks {
    breathe(air, state, Stretch { on_loop, length_s: 0.0, from_pa: air.ambient.pressure_pa }, limits)
}

/// Breathes the loop up to where the diver now is.
pub(crate) fn breathe(air: &Air<'_>, state: &mut State, stretch: Stretch, limits: Limits) -> Lacks {
    let Some(circuit) = &air.scenario.gases().circuit else { return Lacks::default() };
    let open = |of: CylinderSet| {
        CylinderSet::of(of.and(state.carried).iter().filter(|&i| available_mol(air, state, i, limits) > DRY_MOL))
    };
    let (diluents, oxygens) = (open(circuit.circuit.diluent), open(circuit.circuit.oxygen));
    let loop_ = Breathing {
        air,
        stretch,
        limits,
        full_m3: circuit.circuit.volume_m3,
        diluent_frac: circuit.mean_frac(diluents),
        diluents,
        oxygens,
    };
    loop_.run(state)
}

/// One gas of a composition by the shares of the others, and so much oxygen.
#[inline]
fn with_oxygen(like: &[f64; MAX_BAG_GASES], oxygen: f64) -> [f64; MAX_BAG_GASES] {
    let inert = inert(like);
    let mut mixed = like.map(|part| if inert > 0.0 { part / inert * (1.0 - oxygen) } else { 0.0 });
    mixed[QuickLoop::OXYGEN_SLOT] = if inert > 0.0 { oxygen } else { 1.0 };
    mixed
}

/// All that is not oxygen.
#[inline]
fn inert(mol: &[f64; MAX_BAG_GASES]) -> f64 {
    mol[QuickLoop::OXYGEN_SLOT + 1..].iter().sum()
}
