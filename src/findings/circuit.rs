//! A breathing loop over the dive: what it used, how far its oxygen stayed from the setpoint, when its absorbent is spent.

use crate::profile::Profile;
use crate::rig::{BreathingLoop, MOST_OXYGEN_FRAC, STANDARD_MOL_M3};
use crate::scenario::Scenario;
use crate::sim::circuit::oxygen_pa;
use crate::sim::{Event, Happening, Now, Span, Trace};
use crate::units::BAR_PA;

/// Partial pressure of oxygen below which nobody counts on staying awake, Pa: common practice of the trade, from memory.
pub const LEAST_OXYGEN_PA: f64 = 0.16 * BAR_PA;
/// Partial pressure of oxygen above which nobody plans to breathe, Pa: common practice of the trade, from memory.
pub const MOST_OXYGEN_PA: f64 = 1.6 * BAR_PA;
/// A partial pressure that is rounding beside a limit, Pa.
const ROUNDING_PA: f64 = 1.0;

/// The oxygen of a loop at a moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OxygenAt {
    /// Its partial pressure, Pa.
    pub pressure_pa: f64,
    /// When, s.
    pub time_s: f64,
    /// Where, m.
    pub depth_m: f64,
}

/// A time during which a loop is breathed and something holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoopTime {
    /// Start, s.
    pub start_s: f64,
    /// Depth at the start, m.
    pub start_m: f64,
    /// End, s.
    pub end_s: f64,
    /// Depth at the end, m.
    pub end_m: f64,
}

/// A loop over the whole dive.
#[derive(Clone, Debug, PartialEq)]
pub struct Circuit {
    /// Oxygen that the body took, mol.
    pub taken_mol: f64,
    /// Gas that the oxygen cylinders gave, to all that they feed, mol.
    pub oxygen_mol: f64,
    /// Gas that the diluent cylinders gave, to all that they feed, mol.
    pub diluent_mol: f64,
    /// Carbon dioxide that the absorbent took up, mol.
    pub absorbed_mol: f64,
    /// What it can take up, mol; `None` where nobody says.
    pub absorbs_mol: Option<f64>,
    /// When and where it has taken that up; `None` where it does not.
    pub spent: Option<OxygenAt>,
    /// Least partial pressure of oxygen while it is breathed.
    pub least: OxygenAt,
    /// Greatest partial pressure of oxygen while it is breathed.
    pub most: OxygenAt,
    /// Times at which the ambient pressure is too low for the setpoint, which is then held at [`MOST_OXYGEN_FRAC`].
    pub too_shallow: Vec<LoopTime>,
    /// Times below [`LEAST_OXYGEN_PA`].
    pub too_little: Vec<LoopTime>,
    /// Times above [`MOST_OXYGEN_PA`].
    pub too_much: Vec<LoopTime>,
    /// What ran out, and when.
    pub out: Vec<Event>,
}

impl Circuit {
    /// Asks a dive; `None` without a loop, or where no leg breathes it.
    pub fn of(scenario: &Scenario, trace: &Trace) -> Option<Self> {
        let circuit = scenario.rig().breathing_loop.filter(|_| scenario.profile().has_loop_legs())?;
        let last = &trace.last().state;
        let given =
            |of: crate::rig::CylinderSet| of.iter().map(|i| scenario.filled_mol(i) - last.cylinder_mol[i]).sum();
        let (mut least, mut most): (Option<OxygenAt>, Option<OxygenAt>) = (None, None);
        for span in on_loop(trace) {
            most = extreme(scenario, span, most, 1.0).or(most);
            least = extreme(scenario, span, least, -1.0).or(least);
        }
        let absorbed = |now: &Now| absorbed_mol(&circuit, now);
        let spent = circuit.absorbs_mol.and_then(|absorbs_mol| {
            let past = |now: &Now| absorbed(now) - absorbs_mol;
            on_loop(trace).find_map(|span| span.zeros(scenario, past).first().map(at))
        });
        let times = |is: &dyn Fn(&Now, f64) -> f64| times(scenario, trace, is);
        let is_out = |event: &&Event| matches!(event.what, Happening::OxygenOut | Happening::DiluentOut);
        Some(Self {
            taken_mol: last.metabolised_mol,
            oxygen_mol: given(circuit.oxygen),
            diluent_mol: given(circuit.diluent),
            absorbed_mol: absorbed(trace.last()),
            absorbs_mol: circuit.absorbs_mol,
            spent,
            least: least?,
            most: most?,
            too_shallow: times(&|now, setpoint_pa| setpoint_pa / MOST_OXYGEN_FRAC - now.ambient.pressure_pa),
            too_little: times(&|now, _| LEAST_OXYGEN_PA - oxygen_pa(now)),
            too_much: times(&|now, _| oxygen_pa(now) - MOST_OXYGEN_PA),
            out: trace.events().iter().filter(is_out).copied().collect(),
        })
    }

    /// Share of the absorbent that is used; `None` where nobody says what it can take up.
    pub fn absorbent_frac(&self) -> Option<f64> {
        self.absorbs_mol.map(|absorbs_mol| self.absorbed_mol / absorbs_mol)
    }

    /// Oxygen that the body took, as a volume at 0 °C and 1 atm, m³.
    pub fn taken_m3(&self) -> f64 {
        self.taken_mol / STANDARD_MOL_M3
    }

    /// Carbon dioxide that the absorbent took up, as a volume at 0 °C and 1 atm, m³.
    pub fn absorbed_m3(&self) -> f64 {
        self.absorbed_mol / STANDARD_MOL_M3
    }
}

/// Carbon dioxide that a loop's absorbent has taken up at a moment, mol: the quotient of the oxygen that the body took.
pub fn absorbed_mol(circuit: &BreathingLoop, now: &Now) -> f64 {
    now.state.metabolised_mol * circuit.quotient_frac
}

fn on_loop(trace: &Trace) -> impl Iterator<Item = &Span> {
    trace.spans().iter().filter(|span| span.segment.on_loop.is_some())
}

fn at(now: &Now) -> OxygenAt {
    OxygenAt { pressure_pa: oxygen_pa(now), time_s: now.state.time_s, depth_m: now.state.depth_m }
}

/// Where a span goes beyond the greatest (sign +1) or the least (sign −1) partial pressure so far. A loop is held at one
/// for long: of moments that differ by rounding the first is told.
fn extreme(scenario: &Scenario, span: &Span, so_far: Option<OxygenAt>, sign: f64) -> Option<OxygenAt> {
    let floor_pa = so_far.map_or(f64::NEG_INFINITY, |at| sign * at.pressure_pa + ROUNDING_PA);
    let (now, value_pa) = span.greatest_above(scenario, floor_pa, |now| sign * oxygen_pa(now))?;
    let is_as_much = |node: &&Now| sign * oxygen_pa(node) > value_pa - ROUNDING_PA;
    Some(at(span.nodes().iter().find(is_as_much).unwrap_or(&now)))
}

/// The times on the loop during which something, asked with the setpoint, is above zero.
fn times(scenario: &Scenario, trace: &Trace, is: &dyn Fn(&Now, f64) -> f64) -> Vec<LoopTime> {
    let mut found: Vec<LoopTime> = Vec::new();
    for span in on_loop(trace).filter(|span| !span.is_instant()) {
        let Some(setpoint_pa) = span.segment.on_loop.map(|on_loop| on_loop.setpoint_pa) else { continue };
        let over = |now: &Now| is(now, setpoint_pa) - ROUNDING_PA;
        let zeros = span.zeros(scenario, over);
        let edges: Vec<Now> = std::iter::once(*span.start()).chain(zeros).chain([*span.end()]).collect();
        for pair in edges.windows(2) {
            let (from, to) = (&pair[0].state, &pair[1].state);
            if over(&span.at(scenario, 0.5 * (from.time_s + to.time_s))) <= 0.0 {
                continue;
            }
            match found.last_mut() {
                Some(open) if open.end_s >= from.time_s => (open.end_s, open.end_m) = (to.time_s, to.depth_m),
                _ => found.push(LoopTime {
                    start_s: from.time_s,
                    start_m: from.depth_m,
                    end_s: to.time_s,
                    end_m: to.depth_m,
                }),
            }
        }
    }
    found
}

/// When the loop is left for good, s; `None` where the dive ends on it or has no leg on it.
pub fn left_s(profile: &Profile) -> Option<f64> {
    let last = profile.legs().iter().rposition(|leg| leg.loop_mol_s.is_some())?;
    (last + 1 < profile.legs().len()).then(|| profile.legs()[last].end_s)
}
