//! Events of a breathing loop: its oxygen meets the setpoint, the setpoint can be held or not, no oxygen is left.

use super::{SAME_TIME_S, Search};
use crate::rig::{LOOP, MOST_OXYGEN_FRAC};
use crate::scenario::{OnLoop, QuickLoop};
use crate::sim::circuit::{self, above_setpoint_frac, is_above_setpoint};
use crate::sim::control::Limits;
use crate::sim::locate::{Close, zero};
use crate::sim::state::Now;

impl Search<'_> {
    /// A loop that had too much oxygen is at its setpoint: from then on oxygen is let in.
    pub(super) fn setpoint_met_s(&self) -> Option<f64> {
        let OnLoop { setpoint_pa, .. } = self.segment.on_loop?;
        if !is_above_setpoint(self.knot, setpoint_pa) {
            return self.setpoint_reached_s(setpoint_pa);
        }
        let is_above = |now: &Now| is_above_setpoint(now, setpoint_pa);
        let pair = self.nodes.windows(2).find(|pair| is_above(&pair[0]) && !is_above(&pair[1]))?;
        // half of what counts as above, so that what is held there lies on the far side
        let above = |now: &Now| above_setpoint_frac(now, setpoint_pa) - 0.5 * circuit::SAME_SETPOINT_FRAC;
        Some(self.zero_between_s(pair, Close::to(SAME_TIME_S, 0.0), above))
    }

    /// A loop that lacked oxygen has come up to its setpoint, by what expands out of a dry cylinder on the way up.
    fn setpoint_reached_s(&self, setpoint_pa: f64) -> Option<f64> {
        let above = |now: &Now| above_setpoint_frac(now, setpoint_pa);
        if above(self.knot) > -circuit::SAME_SETPOINT_FRAC {
            return None;
        }
        let pair = self.nodes.windows(2).find(|pair| above(&pair[0]) < 0.0 && above(&pair[1]) >= 0.0)?;
        Some(self.zero_between_s(pair, Close::to(SAME_TIME_S, 0.0), above))
    }

    /// A loop without supply of oxygen has none left for the body.
    pub(super) fn oxygen_gone_s(&self) -> Option<f64> {
        const SOME_MOL: f64 = 1e-9;
        let OnLoop { oxygen_mol_s, .. } = self.segment.on_loop?;
        let held_mol = |now: &Now| now.state.bag_mol[LOOP][QuickLoop::OXYGEN_SLOT];
        // what is left, and below zero what the body did not get
        let left_mol = |now: &Now| match now.state.unmet.breath_frac {
            missing_frac if missing_frac > 0.0 => {
                -missing_frac * oxygen_mol_s * (now.state.time_s - self.knot.state.time_s)
            }
            _ => held_mol(now),
        };
        if held_mol(self.knot) < SOME_MOL {
            return None;
        }
        let node = self.nodes[1..].iter().position(|now| left_mol(now) < 0.0)?;
        let before = if node == 0 { held_mol(self.knot) } else { left_mol(&self.nodes[node]) };
        let ends = [
            (self.nodes[node].state.time_s, before),
            (self.nodes[node + 1].state.time_s, left_mol(&self.nodes[node + 1])),
        ];
        let look = |t: f64| Ok::<_, std::convert::Infallible>(left_mol(&self.step(t, Limits::Real)));
        let Ok(time_s) = zero(ends[0], ends[1], Close::to(SAME_TIME_S, 0.0), look);
        Some(time_s)
    }

    /// The ambient pressure passes the one below which a loop's setpoint cannot be held.
    pub(super) fn setpoint_possible_s(&self) -> Option<f64> {
        let OnLoop { setpoint_pa, .. } = self.segment.on_loop?;
        let past = |now: &Now| now.ambient.pressure_pa - setpoint_pa / MOST_OXYGEN_FRAC;
        let pair = self.nodes.windows(2).find(|pair| (past(&pair[0]) > 0.0) != (past(&pair[1]) > 0.0))?;
        let ends = [&pair[0], &pair[1]].map(|now| (now.state.time_s, past(now)));
        let look = |t: f64| {
            let depth_m = self.segment.depth_m(t);
            let pressure_pa = self.scenario.water().pressure_pa(self.segment.layer, depth_m);
            Ok::<_, std::convert::Infallible>(pressure_pa - setpoint_pa / MOST_OXYGEN_FRAC)
        };
        let Ok(time_s) = zero(ends[0], ends[1], Close::to(SAME_TIME_S, 0.0), look);
        Some(time_s)
    }
}
