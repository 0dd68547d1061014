//! What flows on a stretch on the loop, row by row of the table.

use super::{
    JUST_DRY_MOL, Lacks, NO_GAS_FRAC, ROUNDS, SAME_FRAC, SAME_SETPOINT_FRAC, Stretch, held_frac, inert, oxygen_frac,
    with_oxygen,
};
use crate::rig::{CylinderSet, LOOP, MAX_BAG_GASES, MOST_OXYGEN_FRAC};
use crate::scenario::{OnLoop, QuickLoop};
use crate::sim::control::{Limits, available_mol};
use crate::sim::state::{Air, State};

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

pub(super) struct Breathing<'a> {
    pub air: &'a Air<'a>,
    pub stretch: Stretch,
    pub limits: Limits,
    pub full_m3: f64,
    /// shares of what the diluents give
    pub diluent_frac: [f64; MAX_BAG_GASES],
    pub diluents: CylinderSet,
    pub oxygens: CylinderSet,
}

impl Breathing<'_> {
    pub fn run(&self, state: &mut State) -> Lacks {
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
        std::array::from_fn(|slot| before[slot] + diluent_mol * self.diluent_frac[slot])
    }

    /// What flows if the setpoint is held to the end.
    fn held(&self, before: &[f64; MAX_BAG_GASES], taken_mol: f64, diluent_most_mol: f64) -> Course {
        let OnLoop { setpoint_pa, .. } = self.stretch.on_loop;
        let (from_pa, to_pa) = (self.stretch.from_pa, self.air.ambient.pressure_pa);
        let (oxygen_0, inert_0) = (before[QuickLoop::OXYGEN_SLOT], inert(before));
        let share_1 = held_frac(setpoint_pa, to_pa);
        let diluent_oxygen = self.diluent_frac[QuickLoop::OXYGEN_SLOT];
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
        // only a loop that answers at once can be below its setpoint here
        let (flushed, inert_s) = if self.stretch.length_s > 0.0 { (0.0, inert_0) } else { self.flush(before, share_0) };
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
        let full = self.full_m3 * self.mol_m3(before, share);
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
        let diluent_oxygen = self.diluent_frac[QuickLoop::OXYGEN_SLOT];
        let left = |diluent: f64| oxygen_0 + oxygen_in + diluent * diluent_oxygen - taken_mol;
        let mut diluent = 0.0;
        let per_mol_m3 = self.air.bag(LOOP, &self.diluent_frac).volume_m3;
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
            let wanted = (inert_1 - inert_0).max(0.0) / (1.0 - self.diluent_frac[QuickLoop::OXYGEN_SLOT]);
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
