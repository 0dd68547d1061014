//! How much lead: the tables of `ballast`, and its JSON.

use crate::report::measure::{Quantity, UnitSystem, fixed, moment};
use crate::report::table::{Fit, align_numbers, new_table, plain, with_sum};
use crate::report::text::filled;
use crate::rig::{CylinderSet, Role};
use crate::scenario::Scenario;
use crate::sim::Owner;
use crate::study::{Binding, Change, LeadRange, RemovableCylinder, Tried, WaterKind};

/// A change of the rig that closes less of a gap is not worth a line, kg.
pub const WORTH_SHOWING_KG: f64 = 0.01;

/// A mass with two decimals: lead is bought in pieces of half a kilogram or a pound, and differences count.
pub fn lead_text(units: UnitSystem, kg: f64) -> String {
    format!("{} {}", fixed(units.value(Quantity::Mass, kg), 2), units.symbol(Quantity::Mass))
}

fn signed_lead(units: UnitSystem, kg: f64) -> String {
    let text = fixed(units.value(Quantity::Mass, kg), 2);
    if text.starts_with('−') || text == "0.00" { text } else { format!("+{text}") }
}

/// Names of a set of cylinders.
pub(super) fn names(scenario: &Scenario, set: CylinderSet) -> String {
    let names: Vec<_> = set.iter().map(|i| scenario.rig().cylinders[i].name()).collect();
    if names.is_empty() { "no cylinder".into() } else { names.join(", ") }
}

/// Mass of the plan's ballast, kg.
pub fn ballast_kg(scenario: &Scenario) -> f64 {
    scenario.rig().parts.iter().filter(|part| part.role == Role::Ballast).map(|part| part.mass_kg()).sum()
}

/// The sum of one binding moment, each part with its contribution.
pub fn sum_table(units: UnitSystem, scenario: &Scenario, title: &str, binding: &Binding) -> String {
    let mut table = new_table();
    table.set_header([title.to_owned(), format!("lift, {}", units.symbol(Quantity::Mass))]);
    for term in &binding.lines {
        let label = match term.owner {
            Owner::Cylinder(_) => format!("{}, without its gas", term.label),
            Owner::Gas(i) => {
                let then = binding.cylinders.iter().find(|then| then.cylinder == i);
                let gauge = then.map(|then| units.text(Quantity::GaugePressure, then.counted_pa)).unwrap_or_default();
                format!("  its gas, {gauge}")
            }
            Owner::Part(_) | Owner::Hung { .. } | Owner::Bag(_) | Owner::Absorbed | Owner::Metabolised => {
                term.label.clone()
            }
        };
        table.add_row([label, signed_lead(units, term.lift_kg)]);
    }
    table.add_row(["net, wing empty".to_owned(), signed_lead(units, binding.net_kg)]);
    align_numbers(&mut table, 1..2);
    let gone = if binding.gone.is_empty() {
        String::new()
    } else {
        format!("\nnot counted, because it may be gone by then: {}", names(scenario, binding.gone))
    };
    format!("{}{gone}", with_sum(&mut table, Fit::FIRST))
}

/// Gas that shows as none, kg.
const NOT_BREATHED_KG: f64 = 0.005;

/// Why the end of the dive is the light one: the gas that left each cylinder.
pub fn gas_table(units: UnitSystem, range: &LeadRange) -> String {
    let story = &range.heavy_to_light;
    let unit = units.symbol(Quantity::Mass);
    let mut table = new_table();
    table.set_header([
        format!("Gas, {unit}"),
        format!("heaviest\n{}", moment(story.heavy_s)),
        format!("lightest\n{}", moment(story.light_s)),
        "used in\nbetween".to_owned(),
        "still to the\nreserve".to_owned(),
    ]);
    let number = |kg: f64| fixed(units.value(Quantity::Mass, kg), 2);
    let mut sums = [0.0; 4];
    for used in &story.cylinders {
        let columns = [used.heavy_kg, used.light_kg, used.used_kg(), used.to_low_kg()];
        sums.iter_mut().zip(columns).for_each(|(sum, kg)| *sum += kg);
        table.add_row(std::iter::once(used.name.clone()).chain(columns.map(number)));
    }
    table.add_row(std::iter::once("all".to_owned()).chain(sums.map(number)));
    align_numbers(&mut table, 1..5);
    // on a loop nothing is
    let why = match story.breathed_kg < NOT_BREATHED_KG {
        true => {
            "No gas was breathed away on the way: what a loop uses stays on the diver, but for what is vented.".into()
        }
        false => {
            let breathed = lead_text(units, story.breathed_kg);
            format!("The end of the dive is the light one because {breathed} of gas was breathed on the way.")
        }
    };
    format!("{}\n{}", with_sum(&mut table, Fit { fold: 0, leave_out: &[4] }), filled(&why))
}

/// What single changes of the rig do about an empty range, best first.
pub fn changes_table(units: UnitSystem, tried: &[&Tried]) -> String {
    let unit = units.symbol(Quantity::Mass);
    let mut table = new_table();
    table.set_header([
        "One change, simulated".to_owned(),
        format!("closes,\n{unit}"),
        format!("gap left,\n{unit}"),
        format!("least,\n{unit}"),
        format!("most,\n{unit}"),
    ]);
    let number = |kg: f64| fixed(units.value(Quantity::Mass, kg), 2);
    for tried in tried {
        let gap = if tried.gap_kg() <= 0.0 { "none".into() } else { number(tried.gap_kg()) };
        let most = if tried.bounds.most_kg < 0.0 { "none".into() } else { number(tried.bounds.most_kg) };
        let least = number(tried.bounds.low_kg());
        table.add_row([change_text(units, &tried.change), number(tried.closes_kg), gap, least, most]);
    }
    align_numbers(&mut table, 1..5);
    plain(&mut table, Fit { fold: 0, leave_out: &[2] })
}

/// A change in words.
pub(super) fn change_text(units: UnitSystem, change: &Change) -> String {
    match change {
        Change::Ditchable { lead_kg } => format!("{} of the lead ditchable", lead_text(units, *lead_kg)),
        Change::LessSuitGas { suit_gas_m3, cut_frac } => {
            format!("gas in the suit {:.0} % less, {}", cut_frac * 100.0, units.text(Quantity::Volume, *suit_gas_m3))
        }
        Change::HigherReserve { raise_pa } => {
            // a difference of pressures: the gauge's zero does not enter
            let raise = units.value(Quantity::Pressure, *raise_pa);
            format!("reserve {raise:.0} {} higher", units.symbol(Quantity::Pressure))
        }
        Change::Water(WaterKind::Fresh) => "the same dive in fresh water".into(),
        Change::Water(WaterKind::Salt) => "the same dive in sea water".into(),
        Change::Alternative { label, .. } => label.clone(),
    }
}

/// What removable cylinders do: when they turn, what they weigh at the last stop, what losing one means.
pub fn removable_table(units: UnitSystem, scenario: &Scenario, removable: &[RemovableCylinder]) -> String {
    let unit = units.symbol(Quantity::Mass);
    let mut table = new_table();
    table.set_header([
        "Removable\ncylinder".to_owned(),
        "neutral\nat".to_owned(),
        format!("at the last stop, {unit}\nplanned / at reserve"),
        format!("if lost, lightest, {unit}\nat or below the last stop"),
        format!("if lost,\nheaviest, {unit}"),
    ]);
    let loss = |loss: &Option<crate::study::Loss>| {
        loss.map_or("—".into(), |loss| format!("{} at {}", signed_lead(units, loss.bare_kg), moment(loss.time_s)))
    };
    for found in removable {
        table.add_row([
            scenario.rig().cylinders[found.cylinder].name().to_owned(),
            found.neutral_pa.map_or("never".into(), |pa| units.text(Quantity::GaugePressure, pa)),
            found.last_stop.map_or("not carried".into(), |lift| {
                format!("{} / {}", signed_lead(units, lift.planned_kg), signed_lead(units, lift.at_reserve_kg))
            }),
            loss(&found.lightest),
            loss(&found.heaviest),
        ]);
    }
    align_numbers(&mut table, 1..5);
    let text = plain(&mut table, Fit { fold: 0, leave_out: &[4, 3] });
    let note = "if lost: the diver's net with the wing empty, without that cylinder, at the worst moment to lose it";
    format!("{text}{}\n", filled(note))
}
