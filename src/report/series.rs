//! The series as CSV: columns named with their units.

use crate::findings::Band;
use crate::report::Report;
use crate::report::measure::Quantity;
use crate::sim::terms::cylinder_kg;

/// Why a series could not be written.
pub type SeriesError = csv::Error;

/// The rows of a report as CSV. Cylinder columns are empty while it is not carried.
///
/// # Errors
/// As the CSV writer; writing into memory does not fail in practice.
pub fn csv(report: &Report<'_>) -> Result<Vec<u8>, SeriesError> {
    let mut writer = csv::Writer::from_writer(Vec::with_capacity(1 << 20));
    writer.write_record(header(report))?;
    let mut line: Vec<String> = Vec::new();
    for row in 0..report.rows.samples().len() {
        line.clear();
        fill(report, row, &mut line);
        writer.write_record(&line)?;
    }
    writer.into_inner().map_err(|error| csv::Error::from(error.into_error()))
}

/// Names of the columns.
pub fn header(report: &Report<'_>) -> Vec<String> {
    let units = report.units;
    let named = |name: &str, quantity: Quantity| format!("{name}_{}", units.suffix(quantity));
    let mut columns = vec![
        named("time", Quantity::Duration),
        named("depth", Quantity::Length),
        named("ambient", Quantity::Pressure),
        named("water_density", Quantity::Density),
        named("net_wing_empty", Quantity::Mass),
        named("net", Quantity::Mass),
        named("wing", Quantity::Volume),
        named("suit", Quantity::Volume),
        named("foam", Quantity::Volume),
        named("cylinder_gas", Quantity::Mass),
        named("wing_gas", Quantity::Mass),
        named("suit_gas", Quantity::Mass),
        named("breathed", Quantity::Mass),
        named("vented", Quantity::Mass),
        named("swim_up_load", Quantity::Mass),
        named("band_up", Quantity::Length),
        named("band_down", Quantity::Length),
    ];
    for name in column_names(report.scenario.rig().cylinders.iter().map(|c| c.name())) {
        columns.push(named(&name, Quantity::GaugePressure));
        columns.push(named(&name, Quantity::Mass));
    }
    columns
}

/// Names that are ASCII letters, digits and underscores only, and differ from one another.
fn column_names<'a>(names: impl Iterator<Item = &'a str>) -> Vec<String> {
    let mut taken: Vec<String> = Vec::new();
    for name in names {
        let plain: String =
            name.chars().map(|c| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '_' }).collect();
        let mut unique = plain.clone();
        let mut number = 2;
        while taken.contains(&unique) {
            unique = format!("{plain}_{number}");
            number += 1;
        }
        taken.push(unique);
    }
    taken
}

fn fill(report: &Report<'_>, row: usize, line: &mut Vec<String>) {
    let units = report.units;
    let sample = &report.rows.samples()[row];
    let band = Band::of(report.scenario, sample);
    let mut put = |quantity: Quantity, decimals: usize, si: f64| {
        // "+ 0.0" turns a negative zero into a plain one
        line.push(format!("{:.decimals$}", units.value(quantity, si) + 0.0));
    };
    put(Quantity::Duration, 5, sample.time_s);
    put(Quantity::Length, 4, sample.depth_m);
    put(Quantity::Pressure, 5, sample.ambient_pa);
    put(Quantity::Density, 4, sample.water_kg_m3);
    put(Quantity::Mass, 5, sample.bare_kg);
    put(Quantity::Mass, 5, sample.net_kg);
    put(Quantity::Volume, 5, sample.wing_m3);
    put(Quantity::Volume, 5, sample.suit_m3);
    put(Quantity::Volume, 5, sample.foam_m3);
    put(Quantity::Mass, 5, sample.carried_gas_kg);
    put(Quantity::Mass, 6, sample.wing_kg);
    put(Quantity::Mass, 6, sample.suit_kg);
    put(Quantity::Mass, 5, sample.breathed_kg);
    put(Quantity::Mass, 6, sample.vented_kg);
    put(Quantity::Mass, 5, report.rows.loads_kg[row]);
    put(Quantity::Length, 3, band.up_m);
    match band.down_m {
        Some(down_m) => put(Quantity::Length, 3, down_m),
        None => line.push(String::new()),
    }
    for (i, cylinder) in report.rows.cylinders(row).iter().enumerate() {
        if sample.carried.contains(i) {
            line.push(format!("{:.3}", units.value(Quantity::GaugePressure, cylinder.pressure_pa)));
            let lift_kg = cylinder_kg(report.scenario, report.rows.now(row), i);
            line.push(format!("{:.5}", units.value(Quantity::Mass, lift_kg) + 0.0));
        } else {
            line.extend([String::new(), String::new()]);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn column_names_are_plain_and_differ() {
        let names = column_names(["Back gas", "back-gas", "O₂ 6 m"].into_iter());
        assert_eq!(names, ["back_gas", "back_gas_2", "o__6_m"]);
    }
}
