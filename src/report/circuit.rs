//! What a breathing loop used, in words.

use crate::findings::Circuit;
use crate::findings::circuit::{LEAST_OXYGEN_PA, LoopTime, MOST_OXYGEN_PA};
use crate::report::measure::{Quantity, UnitSystem, clock, fixed, moment};
use crate::report::words::{at, free_gas};
use crate::rig::{MOST_OXYGEN_FRAC, STANDARD_MOL_M3};
use crate::units::BAR_PA;

/// A partial pressure of oxygen: in bar for every reader, as the trade speaks of it everywhere.
pub fn partial(pressure_pa: f64) -> String {
    format!("{} bar", fixed(pressure_pa / BAR_PA, 2))
}

/// The first line: between which partial pressures the loop's oxygen stays.
pub fn oxygen(circuit: &Circuit) -> String {
    let (least, most) = (partial(circuit.least.pressure_pa), partial(circuit.most.pressure_pa));
    match least == most {
        true => format!("oxygen at {least}"),
        false => format!("oxygen {} to {most}", least.trim_end_matches(" bar")),
    }
}

/// What is used, at 0 °C and one atmosphere.
pub fn used(units: UnitSystem, circuit: &Circuit) -> String {
    let gas = |mol: f64| free_gas(units, mol / STANDARD_MOL_M3);
    let absorbent = match circuit.absorbs_mol {
        Some(absorbs_mol) => {
            format!("; the absorbent takes up {} of {} of carbon dioxide", gas(circuit.absorbed_mol), gas(absorbs_mol))
        }
        None => String::new(),
    };
    format!(
        "the body takes {} of oxygen; the cylinders give {} of oxygen and {} of diluent, wing and suit included{absorbent}",
        gas(circuit.taken_mol),
        gas(circuit.oxygen_mol),
        gas(circuit.diluent_mol),
    )
}

/// What is wrong with it, worst first; nothing where nothing is.
pub fn faults(units: UnitSystem, circuit: &Circuit) -> Vec<String> {
    let mut faults = Vec::new();
    let when = |times: &[LoopTime]| -> String {
        let one = |time: &LoopTime| format!("{} to {}", clock(time.start_s), moment(time.end_s));
        let shown: Vec<String> = times.iter().take(2).map(one).collect();
        let more = if times.len() > 2 { format!(" and {} more times", times.len() - 2) } else { String::new() };
        format!("{}{more}", shown.join(", "))
    };
    if !circuit.too_little.is_empty() {
        faults.push(format!("oxygen falls below {} {}", partial(LEAST_OXYGEN_PA), when(&circuit.too_little)));
    }
    if !circuit.too_much.is_empty() {
        faults.push(format!("oxygen rises above {} {}", partial(MOST_OXYGEN_PA), when(&circuit.too_much)));
    }
    if let Some(spent) = circuit.spent {
        faults.push(format!("the absorbent is used up {}", at(units, spent.time_s, spent.depth_m)));
    }
    faults
}

/// Where the setpoint is above what the water's pressure allows.
pub fn too_shallow(units: UnitSystem, circuit: &Circuit) -> Option<String> {
    let deepest_m = circuit.too_shallow.iter().flat_map(|time| [time.start_m, time.end_m]).fold(0.0, f64::max);
    let percent = fixed(100.0 * MOST_OXYGEN_FRAC, 0);
    (!circuit.too_shallow.is_empty()).then(|| {
        format!(
            "down to {} the setpoint is more than the water's pressure allows, and is held at {percent} % oxygen",
            units.text(Quantity::Length, deepest_m)
        )
    })
}
