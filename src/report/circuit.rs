//! What a breathing loop used, in words.

use crate::findings::Circuit;
use crate::findings::circuit::{LEAST_OXYGEN_PA, LoopTime, MOST_OXYGEN_PA, left_s};
use crate::report::Report;
use crate::report::measure::{Quantity, UnitSystem, about, fixed, moment};
use crate::report::words::{at, free_gas, from_to, loop_shortage};
use crate::rig::{MOST_OXYGEN_FRAC, STANDARD_MOL_M3};
use crate::sim::Event;
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
        Some(absorbs_mol) if absorbs_mol < circuit.absorbed_mol => format!(
            "; {} of carbon dioxide for an absorbent that takes up {}",
            gas(circuit.absorbed_mol),
            gas(absorbs_mol)
        ),
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

/// What must stand beside a loop on paper.
pub const CAUTION: &str = "This sheet is no check list for a closed circuit: training on the unit and its maker’s \
                           instructions come first.";
/// What the model leaves out of a loop.
pub const LIMIT: &str = "The loop keeps its volume and its setpoint, and its absorbent works until it has taken up what the \
                         plan says; a loop that lets gas out all the time (semi-closed) is left out.";

/// What it is set to: its gas, the setpoint and its changes, the share of the absorbent that the dive uses, and when it is
/// left.
pub fn settings(report: &Report<'_>, circuit: &Circuit) -> String {
    let (units, profile) = (report.units, report.scenario.profile());
    let mut told: Vec<String> = Vec::new();
    let volume_m3 = report.scenario.rig().breathing_loop.map(|of| of.volume_m3);
    told.extend(volume_m3.map(|m3| format!("{} of gas in it", units.text(Quantity::Volume, m3))));
    let steps = profile.setpoints().iter().map(|at| match at.time_s > 0.0 {
        true => format!("{} from {}", partial(at.pressure_pa), moment(at.time_s)),
        false => partial(at.pressure_pa),
    });
    let steps: Vec<String> = steps.collect();
    told.extend((!steps.is_empty()).then(|| format!("setpoint {}", steps.join(", "))));
    let absorbent =
        circuit.absorbent_frac().map(|share| format!("the dive takes {} % of the absorbent", fixed(100.0 * share, 0)));
    told.extend(absorbent);
    told.extend(left_s(profile).map(|time_s| format!("off the loop from {}", moment(time_s))));
    told.join("; ")
}

/// What ran out, for a title or a sentence: `the loop's oxygen is used up at minute 31`.
pub fn ran_out(event: &Event, end_s: f64) -> String {
    let (what, _) = loop_shortage(&event.what);
    format!("{what} is used up at {}", about(event.time_s, end_s))
}

/// The worst that is wrong with what it gives to breathe, in a few words: `the loop's oxygen falls below 0.16 bar at minute
/// 3`; nothing where nothing is. What ran out [`ran_out`] tells.
pub fn worst(circuit: &Circuit, end_s: f64) -> Option<String> {
    let low = circuit.too_little.first().map(|time| (format!("falls below {}", partial(LEAST_OXYGEN_PA)), time));
    let high = circuit.too_much.first().map(|time| (format!("rises above {}", partial(MOST_OXYGEN_PA)), time));
    match low.or(high) {
        Some((what, time)) if time.start_s < 1.0 => Some(format!("the loop's oxygen {what} from the start")),
        Some((what, time)) => Some(format!("the loop's oxygen {what} at {}", about(time.start_s, end_s))),
        None => circuit.spent.map(|spent| format!("the absorbent is used up at {}", about(spent.time_s, end_s))),
    }
}

/// What is wrong with it, worst first; nothing where nothing is.
pub fn faults(units: UnitSystem, circuit: &Circuit) -> Vec<String> {
    let mut faults = Vec::new();
    let when = |times: &[LoopTime]| -> String {
        let one = |time: &LoopTime| format!("from {}", from_to(time.start_s, time.end_s));
        let shown: Vec<String> = times.iter().take(2).map(one).collect();
        let more = if times.len() > 2 { format!(" and {} more times", times.len() - 2) } else { String::new() };
        format!("{}{more}", shown.join(", "))
    };
    if !circuit.too_little.is_empty() {
        faults.push(format!("oxygen is below {} {}", partial(LEAST_OXYGEN_PA), when(&circuit.too_little)));
    }
    if !circuit.too_much.is_empty() {
        faults.push(format!("oxygen is above {} {}", partial(MOST_OXYGEN_PA), when(&circuit.too_much)));
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
