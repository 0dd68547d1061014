//! Each cylinder through the dive: its own lift, and when it turns from sinker to floater.

use crate::findings::hold::low_mol;
use crate::scenario::Scenario;
use crate::sim::Trace;

/// The moment at which a cylinder turns buoyant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Turn {
    /// When, s, interpolated between rows.
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
    /// Row at which it is first carried; `None` if it never is.
    pub first: Option<usize>,
    /// Row at which it is last carried.
    pub last: Option<usize>,
    /// Own lift at the first of these rows, kg.
    pub first_kg: f64,
    /// Own lift at the last of these rows, kg.
    pub last_kg: f64,
    /// Absolute pressure at the last of these rows, Pa.
    pub last_pa: f64,
    /// Own lift at its low pressure in the water of the last of these rows, kg.
    pub low_kg: f64,
    /// Gas that left it during the dive, kg.
    pub used_kg: f64,
    /// The first moment, while carried, at which it turns from sinker to floater.
    pub turn: Option<Turn>,
    /// Absolute pressure at which it is neutral in the water of the last of these rows, Pa; `None` if it floats or
    /// sinks at every pressure that it can have.
    pub neutral_pa: Option<f64>,
}

/// All cylinders of a trace, in the diver's order.
pub fn cylinders(scenario: &Scenario, trace: &Trace) -> Vec<CylinderFinding> {
    (0..scenario.diver().cylinders.len()).map(|i| cylinder(scenario, trace, i)).collect()
}

/// Own lift of a cylinder at a row, kg.
pub fn lift_kg(scenario: &Scenario, trace: &Trace, sample: usize, cylinder: usize) -> f64 {
    let row = &trace.samples()[sample];
    scenario.diver().cylinders[cylinder].lift_kg(row.water_kg_m3, trace.cylinder(sample, cylinder).amount_mol)
}

fn cylinder(scenario: &Scenario, trace: &Trace, cylinder: usize) -> CylinderFinding {
    let body = &scenario.diver().cylinders[cylinder];
    let rows = trace.samples();
    let carried = |i: &usize| rows[*i].carried.contains(cylinder);
    let first = (0..rows.len()).find(carried);
    let last = (0..rows.len()).rev().find(carried);
    let lift = |sample: usize| lift_kg(scenario, trace, sample, cylinder);
    let end = last.unwrap_or(0);
    let row = &rows[end];
    let low_kg = body.lift_kg(row.water_kg_m3, low_mol(scenario, row.layer, cylinder));
    CylinderFinding {
        cylinder,
        first,
        last,
        first_kg: lift(first.unwrap_or(0)),
        last_kg: lift(end),
        last_pa: trace.cylinder(end, cylinder).pressure_pa,
        low_kg,
        used_kg: body.gas_kg(body.filled_mol - trace.cylinder(rows.len() - 1, cylinder).amount_mol),
        turn: turn(scenario, trace, cylinder),
        neutral_pa: neutral_pa(scenario, row.layer, row.water_kg_m3, cylinder),
    }
}

fn turn(scenario: &Scenario, trace: &Trace, cylinder: usize) -> Option<Turn> {
    let rows = trace.samples();
    let lift = |sample: usize| lift_kg(scenario, trace, sample, cylinder);
    (1..rows.len()).find_map(|i| {
        let (before, here) = (&rows[i - 1], &rows[i]);
        if !before.carried.contains(cylinder) || !here.carried.contains(cylinder) {
            return None;
        }
        let (before_kg, here_kg) = (lift(i - 1), lift(i));
        (before_kg <= 0.0 && here_kg > 0.0).then(|| {
            let share = -before_kg / (here_kg - before_kg);
            let between = |a: f64, b: f64| a + share * (b - a);
            Turn {
                time_s: between(before.time_s, here.time_s),
                depth_m: between(before.depth_m, here.depth_m),
                pressure_pa: between(
                    trace.cylinder(i - 1, cylinder).pressure_pa,
                    trace.cylinder(i, cylinder).pressure_pa,
                ),
            }
        })
    })
}

/// `ρ·V_ext − m_shell = n·M`, turned into a pressure.
fn neutral_pa(scenario: &Scenario, layer: usize, water_kg_m3: f64, cylinder: usize) -> Option<f64> {
    let body = &scenario.diver().cylinders[cylinder];
    let gas_kg = water_kg_m3 * body.external_m3 - body.shell_kg;
    let density = gas_kg / scenario.molar_kg_mol(cylinder) / body.water_m3;
    let full = body.filled_mol / body.water_m3;
    (density > 0.0 && density <= full).then(|| scenario.isotherm(layer, cylinder).pressure_pa(density))
}
