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

use crate::rig::{CylinderSet, LOOP, MAX_BAG_GASES, MOST_OXYGEN_FRAC};
use crate::scenario::{OnLoop, QuickLoop};
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
        diluent: circuit.mean_frac(diluents),
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

/// What comes in and goes out of the loop on a stretch, mol.
#[derive(Clone, Copy, Debug, Default)]
struct Flows {
    diluent: f64,
    oxygen: f64,
    vented_inert: f64,
    vented_oxygen: f64,
    /// what is left in the end of oxygen
    oxygen_left: f64,
}

impl Flows {
    /// The same with no more oxygen than there is; what is missing is missing in the loop.
    fn with_oxygen_most(self, most_mol: f64) -> Self {
        let short = (self.oxygen - most_mol).max(0.0).min(self.oxygen_left);
        Self { oxygen: self.oxygen - short, oxygen_left: self.oxygen_left - short, ..self }
    }
}

/// How a stretch goes.
#[derive(Clone, Copy, Debug)]
enum Course {
    /// The setpoint is held to the end.
    Held(Flows),
    /// Oxygen is above the setpoint, or would be.
    Rich,
    /// Oxygen is below the setpoint from the start, for want of it.
    Lean,
}

struct Breathing<'a> {
    air: &'a Air<'a>,
    stretch: Stretch,
    limits: Limits,
    full_m3: f64,
    /// shares of what the diluents give
    diluent: [f64; MAX_BAG_GASES],
    diluents: CylinderSet,
    oxygens: CylinderSet,
}

impl Breathing<'_> {
    fn run(&self, state: &mut State) -> Lacks {
        let before = state.bag_mol[LOOP];
        let taken_mol = self.stretch.on_loop.oxygen_mol_s * self.stretch.length_s;
        let available = |set: CylinderSet| set.iter().map(|i| available_mol(self.air, state, i, self.limits)).sum();
        let (oxygen_mol, diluent_mol): (f64, f64) = (available(self.oxygens), available(self.diluents));
        let flows = match self.held(&before, taken_mol, diluent_mol) {
            Course::Held(flows) if flows.oxygen <= oxygen_mol + JUST_DRY_MOL => flows.with_oxygen_most(oxygen_mol),
            Course::Held(_) | Course::Lean => self.unheld(&before, taken_mol, oxygen_mol, diluent_mol),
            Course::Rich => self.unheld(&before, taken_mol, 0.0, diluent_mol),
        };
        self.apply(state, &flows, taken_mol)
    }

    /// Molar density of the loop's gas with the other gases of `like` and a share of oxygen, mol/m³.
    #[inline]
    fn mol_m3(&self, like: &[f64; MAX_BAG_GASES], oxygen_frac: f64) -> f64 {
        1.0 / self.air.bag(LOOP, &with_oxygen(like, oxygen_frac)).volume_m3
    }

    /// The loop with some diluent more, without its oxygen.
    #[inline]
    fn diluted(&self, before: &[f64; MAX_BAG_GASES], diluent_mol: f64) -> [f64; MAX_BAG_GASES] {
        std::array::from_fn(|slot| before[slot] + diluent_mol * self.diluent[slot])
    }

    /// What flows if the setpoint is held to the end.
    fn held(&self, before: &[f64; MAX_BAG_GASES], taken_mol: f64, diluent_most_mol: f64) -> Course {
        let OnLoop { setpoint_pa, .. } = self.stretch.on_loop;
        let (from_pa, to_pa) = (self.stretch.from_pa, self.air.ambient.pressure_pa);
        let (oxygen_0, inert_0) = (before[QuickLoop::OXYGEN_SLOT], inert(before));
        let share_1 = held_frac(setpoint_pa, to_pa);
        let diluent_oxygen = self.diluent[QuickLoop::OXYGEN_SLOT];
        // diluent, until its gases and the volume agree
        let (mut diluent, mut inert_1) = (0.0, inert_0);
        for _ in 0..ROUNDS {
            let all_1 = self.full_m3 * self.mol_m3(&self.diluted(before, diluent), share_1);
            inert_1 = (1.0 - share_1) * all_1;
            let wanted = (inert_1 - inert_0).max(0.0) / (1.0 - diluent_oxygen);
            let more = wanted - diluent;
            diluent = wanted;
            if more.abs() <= NO_GAS_FRAC * all_1 {
                break;
            }
        }
        let slack = NO_GAS_FRAC * (inert_0 + oxygen_0);
        if inert_1 >= inert_0 - slack {
            let diluent = diluent.min(diluent_most_mol);
            let inert_1 = inert_0 + diluent * (1.0 - diluent_oxygen);
            let oxygen_left = inert_1 * share_1 / (1.0 - share_1);
            let oxygen = oxygen_left - oxygen_0 + taken_mol - diluent * diluent_oxygen;
            let flows = Flows { diluent, oxygen: oxygen.max(0.0), oxygen_left, ..Flows::default() };
            return if oxygen >= -slack { Course::Held(flows) } else { Course::Rich };
        }
        // shallower, or a higher setpoint: from where the loop begins on the course of the setpoint
        let share_0 = held_frac(setpoint_pa, from_pa);
        let begins = oxygen_frac(before);
        // what is found to be at the setpoint lies within this of it
        if begins > share_0 * (1.0 + 2.0 * SAME_SETPOINT_FRAC) {
            return Course::Rich;
        }
        // oxygen that comes a little at a time does not flush at once
        if begins < share_0 * (1.0 - 2.0 * SAME_SETPOINT_FRAC) && self.stretch.length_s > 0.0 {
            return Course::Lean;
        }
        let (flushed, inert_s) = self.flush(before, share_0);
        let vented_on_the_way = self.vented_oxygen(share_0, share_1, inert_s, inert_1);
        let oxygen_left = inert_1 * share_1 / (1.0 - share_1);
        let vented_oxygen = flushed + vented_on_the_way;
        let oxygen = oxygen_left - oxygen_0 + taken_mol + vented_oxygen;
        let flows = Flows {
            diluent: 0.0,
            oxygen: oxygen.max(0.0),
            vented_inert: inert_0 - inert_1,
            vented_oxygen,
            oxygen_left,
        };
        if oxygen >= -slack { Course::Held(flows) } else { Course::Rich }
    }

    /// Raises the share of oxygen at one pressure: a loop that is not full takes oxygen without giving any; in a full one
    /// what flows in mixes and as much goes, which takes `N·ln(y₀/y₁)`, `y = 1 − x`. Gives the oxygen that is vented, and the
    /// other gases that stay.
    fn flush(&self, before: &[f64; MAX_BAG_GASES], share: f64) -> (f64, f64) {
        let (oxygen_0, inert_0) = (before[QuickLoop::OXYGEN_SLOT], inert(before));
        let all_0 = oxygen_0 + inert_0;
        let is_here = self.stretch.from_pa == self.air.ambient.pressure_pa;
        let full = if is_here { self.full_m3 * self.mol_m3(before, share) } else { all_0 };
        let inert_1 = (1.0 - share) * full;
        if oxygen_frac(before) >= share - SAME_FRAC || inert_1 >= inert_0 {
            return (0.0, inert_0);
        }
        let filled = all_0.max(full.min(inert_0 / (1.0 - share)));
        let flows_in = filled - all_0 + 0.5 * (filled + full) * (inert_0 / filled / (1.0 - share)).ln();
        ((flows_in - (share * full - oxygen_0)).max(0.0), inert_1)
    }

    /// Oxygen that is vented while the other gases fall along the course of the setpoint, mol: `∫ x/(1 − x) (−dI)`.
    fn vented_oxygen(&self, share_0: f64, share_1: f64, inert_0: f64, inert_1: f64) -> f64 {
        let setpoint_pa = self.stretch.on_loop.setpoint_pa;
        let (from_pa, to_pa) = (self.stretch.from_pa, self.air.ambient.pressure_pa);
        let middle_pa = 0.5 * (from_pa + to_pa);
        if held_frac(setpoint_pa, middle_pa) >= MOST_OXYGEN_FRAC || to_pa >= from_pa {
            // one composition
            let share = if to_pa >= from_pa { share_0 } else { share_1 };
            return share / (1.0 - share) * (inert_0 - inert_1);
        }
        let [u_0, u_1] = [from_pa, to_pa].map(|pressure_pa| (1.0 - held_frac(setpoint_pa, pressure_pa)) * pressure_pa);
        let [k_0, k_1] = [inert_0 / u_0, inert_1 / u_1];
        let slope = (k_0 - k_1) / (u_0 - u_1);
        setpoint_pa * ((k_1 - slope * u_1) * (u_0 / u_1).ln() + 2.0 * (k_0 - k_1))
    }

    /// What flows if so much oxygen is let in, whatever becomes of the setpoint.
    fn unheld(&self, before: &[f64; MAX_BAG_GASES], taken_mol: f64, oxygen_in: f64, diluent_most_mol: f64) -> Flows {
        let oxygen_0 = before[QuickLoop::OXYGEN_SLOT];
        let after = (oxygen_0 + oxygen_in - taken_mol).max(0.0);
        let mut mol = *before;
        mol[QuickLoop::OXYGEN_SLOT] = after;
        let volume_m3 = self.air.bag(LOOP, &mol).volume_m3;
        if volume_m3 > self.full_m3 {
            return self.overfull(before, taken_mol - oxygen_in, oxygen_in);
        }
        let diluent_oxygen = self.diluent[QuickLoop::OXYGEN_SLOT];
        let left = |diluent: f64| oxygen_0 + oxygen_in + diluent * diluent_oxygen - taken_mol;
        let mut diluent = 0.0;
        let per_mol_m3 = self.air.bag(LOOP, &self.diluent).volume_m3;
        if per_mol_m3 > 0.0 {
            for _ in 0..ROUNDS {
                let mut here = self.diluted(before, diluent);
                here[QuickLoop::OXYGEN_SLOT] = left(diluent);
                let more = (self.full_m3 - self.air.bag(LOOP, &here).volume_m3) / per_mol_m3;
                diluent = (diluent + more).max(0.0);
                if more.abs() <= NO_GAS_FRAC * diluent {
                    break;
                }
            }
            if left(diluent) < 0.0 {
                diluent = self.without_oxygen(before);
            }
        }
        let diluent = diluent.min(diluent_most_mol);
        Flows { diluent, oxygen: oxygen_in, oxygen_left: left(diluent).max(0.0), ..Flows::default() }
    }

    /// Diluent that fills a loop up in which the body takes all the oxygen that there is.
    fn without_oxygen(&self, before: &[f64; MAX_BAG_GASES]) -> f64 {
        let inert_0 = inert(before);
        let mut diluent = 0.0;
        for _ in 0..ROUNDS {
            let inert_1 = self.full_m3 * self.mol_m3(&self.diluted(before, diluent), 0.0);
            let wanted = (inert_1 - inert_0).max(0.0) / (1.0 - self.diluent[QuickLoop::OXYGEN_SLOT]);
            let more = wanted - diluent;
            diluent = wanted;
            if more.abs() <= NO_GAS_FRAC * inert_1 {
                break;
            }
        }
        diluent
    }

    /// What flows out of a loop that swells more than the body takes, `taken_mol` of oxygen net of what flows in.
    fn overfull(&self, before: &[f64; MAX_BAG_GASES], taken_mol: f64, oxygen_in: f64) -> Flows {
        let (oxygen_0, inert_0) = (before[QuickLoop::OXYGEN_SLOT], inert(before));
        let all_0 = oxygen_0 + inert_0;
        let mut inert_share = inert_0 / all_0;
        let mut all_1 = all_0;
        for _ in 0..ROUNDS {
            all_1 = self.full_m3 * self.mol_m3(before, 1.0 - inert_share);
            let mean =
                if (all_1 - all_0).abs() > 1e-9 * all_0 { (all_1 / all_0).ln() / (all_1 - all_0) } else { 1.0 / all_0 };
            let next = (inert_0 / all_0 * (taken_mol * mean).exp()).min(1.0);
            let is_same = (next - inert_share).abs() <= NO_GAS_FRAC;
            inert_share = next;
            if is_same {
                break;
            }
        }
        let inert_1 = (inert_share * all_1).min(inert_0);
        let oxygen_left = (all_1 - inert_1).clamp(0.0, (oxygen_0 - taken_mol).max(0.0));
        let vented_oxygen = (oxygen_0 - taken_mol - oxygen_left).max(0.0);
        Flows { diluent: 0.0, oxygen: oxygen_in, vented_inert: inert_0 - inert_1, vented_oxygen, oxygen_left }
    }

    /// Moves the gas. What the body took is what the balance of oxygen leaves, so that nothing appears or vanishes.
    fn apply(&self, state: &mut State, flows: &Flows, wanted_mol: f64) -> Lacks {
        let scenario = self.air.scenario;
        let oxygen_in = self.draw(state, self.oxygens, flows.oxygen);
        let diluent_in = self.draw(state, self.diluents, flows.diluent);
        let before = state.bag_mol[LOOP];
        let inert_0 = inert(&before);
        let kept_frac = if inert_0 > 0.0 { 1.0 - flows.vented_inert / inert_0 } else { 1.0 };
        let Some(bag) = &scenario.gases().bags[LOOP] else { return Lacks::default() };
        for (slot, &gas) in bag.gases().iter().enumerate() {
            let (stays, goes) = if slot == QuickLoop::OXYGEN_SLOT {
                (flows.oxygen_left, flows.vented_oxygen)
            } else {
                let goes = before[slot] * (1.0 - kept_frac);
                (before[slot] + oxygen_in[slot] + diluent_in[slot] - goes, goes)
            };
            state.bag_mol[LOOP][slot] = stays;
            state.vented.add(&scenario.gases().mixes[gas], goes);
        }
        let oxygen = QuickLoop::OXYGEN_SLOT;
        let taken_mol =
            before[oxygen] + oxygen_in[oxygen] + diluent_in[oxygen] - flows.vented_oxygen - flows.oxygen_left;
        state.metabolised_mol += taken_mol;
        self.lacks(state, taken_mol, wanted_mol)
    }

    fn lacks(&self, state: &State, taken_mol: f64, wanted_mol: f64) -> Lacks {
        // rounding of amounts as large as the loop's
        let missing_mol = wanted_mol - taken_mol;
        let all_mol: f64 = state.bag_mol[LOOP].iter().sum();
        let breath_frac = if missing_mol > 1e-9 * all_mol { (missing_mol / wanted_mol).clamp(0.0, 1.0) } else { 0.0 };
        let short_m3 = self.full_m3 - self.air.bag(LOOP, &state.bag_mol[LOOP]).volume_m3;
        let ambient_pa = self.air.ambient.pressure_pa;
        let wanted_frac = held_frac(self.stretch.on_loop.setpoint_pa, ambient_pa);
        let below_frac = wanted_frac - oxygen_frac(&state.bag_mol[LOOP]);
        Lacks {
            breath_frac,
            volume_m3: if short_m3 > ROUNDING_M3 { short_m3 } else { 0.0 },
            oxygen_pa: if below_frac > SAME_SETPOINT_FRAC * wanted_frac { below_frac * ambient_pa } else { 0.0 },
        }
    }

    /// Takes an amount out of some cylinders, even shares; one that runs dry leaves its share to the others. Gives it by the
    /// slots of the loop.
    fn draw(&self, state: &mut State, from: CylinderSet, wanted_mol: f64) -> [f64; MAX_BAG_GASES] {
        let Some(circuit) = &self.air.scenario.gases().circuit else { return [0.0; MAX_BAG_GASES] };
        let (mut got, mut missing_mol, mut open) = ([0.0; MAX_BAG_GASES], wanted_mol, from);
        while missing_mol > 0.0 && !open.is_empty() {
            let share_mol = missing_mol / open.len() as f64;
            let mut dry = CylinderSet::EMPTY;
            for i in open.iter() {
                let here_mol = share_mol.min(available_mol(self.air, state, i, self.limits));
                state.cylinder_mol[i] -= here_mol;
                missing_mol -= here_mol;
                for (got, share) in got.iter_mut().zip(circuit.mean_frac(CylinderSet::of([i]))) {
                    *got += here_mol * share;
                }
                if here_mol < share_mol {
                    dry = dry.with(i);
                }
            }
            if dry.is_empty() {
                break;
            }
            open = open.minus(dry);
        }
        got
    }
}

/// A gas volume that is no shortage but rounding, m³: a ten-thousandth of a litre.
const ROUNDING_M3: f64 = 1e-7;
