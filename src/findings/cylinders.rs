//! Each cylinder through the dive: its own lift, and when it turns from sinker to floater.

use crate::findings::hold::reserve_mol;
use crate::scenario::Scenario;
use crate::sim::terms::{cylinder_bulk, cylinder_kg};
use crate::sim::trace::pressure_pa;
use crate::sim::{Now, Span, Trace};

/// The moment at which a cylinder turns buoyant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Turn {
    /// When, s.
    pub time_s: f64,
    /// Where, m.
    pub depth_m: f64,
    /// Absolute pressure in the cylinder then, Pa.
    pub pressure_pa: f64,
}

/// A cylinder through the dive.
#[derive(Clone, Debug, PartialEq)]
pub struct CylinderFinding {
    /// Index in the diver's list.
    pub cylinder: usize,
    /// The moment from which it is carried; `None` if it never is.
    pub first: Option<Now>,
    /// The last moment at which it is carried.
    pub last: Option<Now>,
    /// Own lift at the first of these, kg.
    pub first_kg: f64,
    /// Absolute pressure at the first of these, Pa.
    pub first_pa: f64,
    /// Own lift at the last of these, kg.
    pub last_kg: f64,
    /// Absolute pressure at the last of these, Pa.
    pub last_pa: f64,
    /// Own lift at its reserve in the water of the last of these, kg.
    pub low_kg: f64,
    /// Gas that left it during the dive, kg.
    pub used_kg: f64,
    /// The first moment, while carried, at which it turns from sinker to floater.
    pub turn: Option<Turn>,
    /// Absolute pressure at which it is neutral in the water of the last of these, Pa; `None` if it floats or
    /// sinks at every pressure that it can have.
    pub neutral_pa: Option<f64>,
}

/// All cylinders of a trace, in the diver's order.
pub fn cylinders(scenario: &Scenario, trace: &Trace) -> Vec<CylinderFinding> {
    (0..scenario.rig().cylinders.len()).map(|i| cylinder(scenario, trace, i)).collect()
}

fn cylinder(scenario: &Scenario, trace: &Trace, cylinder: usize) -> CylinderFinding {
    let body = &scenario.rig().cylinders[cylinder];
    let carried = |span: &&Span| span.start().state.carried.contains(cylinder);
    let first = trace.spans().iter().find(carried).map(|span| *span.start());
    let last = trace.spans().iter().rfind(carried).map(|span| *span.end());
    let (begin, end) = (first.as_ref().unwrap_or(trace.first()), last.as_ref().unwrap_or(trace.first()));
    let (layer, water_kg_m3) = (end.ambient.layer, end.ambient.water_kg_m3);
    CylinderFinding {
        cylinder,
        first_kg: cylinder_kg(scenario, begin, cylinder),
        first_pa: pressure_pa(scenario, begin, cylinder),
        last_kg: cylinder_kg(scenario, end, cylinder),
        last_pa: pressure_pa(scenario, end, cylinder),
        low_kg: cylinder_bulk(scenario, cylinder, reserve_mol(scenario, layer, cylinder)).net_kg(water_kg_m3),
        used_kg: body.gas_kg(scenario.filled_mol(cylinder) - trace.last().state.cylinder_mol[cylinder]),
        turn: turn(scenario, trace, cylinder),
        neutral_pa: neutral_pa(scenario, layer, water_kg_m3, cylinder),
        first,
        last,
    }
}

fn turn(scenario: &Scenario, trace: &Trace, cylinder: usize) -> Option<Turn> {
    let lift = |now: &Now| cylinder_kg(scenario, now, cylinder);
    let turn_at = |now: &Now| Turn {
        time_s: now.state.time_s,
        depth_m: now.state.depth_m,
        pressure_pa: pressure_pa(scenario, now, cylinder),
    };
    let mut before: Option<f64> = None;
    for span in trace.spans() {
        if !span.start().state.carried.contains(cylinder) {
            before = None;
            continue;
        }
        // at an interface of the water the lift jumps
        if before.is_some_and(|before_kg| before_kg <= 0.0) && lift(span.start()) > 0.0 {
            return Some(turn_at(span.start()));
        }
        if lift(span.start()) <= 0.0
            && let Some(now) = span.zeros(scenario, lift).first()
        {
            return Some(turn_at(now));
        }
        before = Some(lift(span.end()));
    }
    None
}

/// `ρ·V_ext − m_shell = n·M`, turned into a pressure.
fn neutral_pa(scenario: &Scenario, layer: usize, water_kg_m3: f64, cylinder: usize) -> Option<f64> {
    let body = &scenario.rig().cylinders[cylinder];
    let gas_kg = cylinder_bulk(scenario, cylinder, 0.0).net_kg(water_kg_m3);
    let density = gas_kg / scenario.molar_kg_mol(cylinder) / body.water_m3();
    let full = scenario.filled_mol(cylinder) / body.water_m3();
    (density > 0.0 && density <= full).then(|| scenario.isotherm(layer, cylinder).pressure_pa(density))
}
