//! The series as CSV: one row a step, columns named with their units.

use crate::findings::cylinders::lift_kg;
use crate::report::Report;
use crate::report::measure::Measure;

/// Why a series could not be written.
pub type SeriesError = csv::Error;

/// The CSV of a run. Of the rows closer than `every_s` to the one before only those are kept at which something
/// changes: the first, the last, and both sides of a change. Cylinder columns are empty while it is not carried.
///
/// # Errors
/// As the CSV writer; writing into memory does not fail in practice.
pub fn csv(report: &Report<'_>, every_s: Option<f64>) -> Result<Vec<u8>, SeriesError> {
    let mut writer = csv::Writer::from_writer(Vec::with_capacity(1 << 20));
    writer.write_record(header(report))?;
    let mut line: Vec<String> = Vec::new();
    for row in kept(report, every_s) {
        line.clear();
        fill(report, row, &mut line);
        writer.write_record(&line)?;
    }
    writer.into_inner().map_err(|error| csv::Error::from(error.into_error()))
}

fn kept(report: &Report<'_>, every_s: Option<f64>) -> Vec<usize> {
    let samples = report.trace.samples();
    let last = samples.len() - 1;
    let mut next_s = 0.0;
    (0..samples.len())
        .filter(|&i| {
            let Some(every_s) = every_s else { return true };
            let time_s = samples[i].time_s;
            let twin = |j: usize| samples.get(j).is_some_and(|other| other.time_s == time_s);
            let due = time_s >= next_s - 1e-9;
            if due {
                next_s = (time_s / every_s + 1e-9).floor() * every_s + every_s;
            }
            due || i == last || twin(i + 1) || (i > 0 && twin(i - 1))
        })
        .collect()
}

/// Names of the columns.
pub fn header(report: &Report<'_>) -> Vec<String> {
    let units = report.units;
    let named = |name: &str, measure: Measure| format!("{name}_{}", units.suffix(measure));
    let mut columns = vec![
        named("time", Measure::Time),
        named("depth", Measure::Depth),
        named("ambient", Measure::AbsolutePressure),
        named("water_density", Measure::Density),
        named("net_wing_empty", Measure::Mass),
        named("net", Measure::Mass),
        named("wing", Measure::Volume),
        named("suit", Measure::Volume),
        named("foam", Measure::Volume),
        named("cylinder_gas", Measure::Mass),
        named("wing_gas", Measure::Mass),
        named("suit_gas", Measure::Mass),
        named("breathed", Measure::Mass),
        named("vented", Measure::Mass),
        named("swim_up_load", Measure::Mass),
        named("band_up", Measure::Depth),
        named("band_down", Measure::Depth),
    ];
    for name in column_names(report.scenario.diver().cylinders.iter().map(|c| c.name.as_str())) {
        columns.push(named(&name, Measure::GaugePressure));
        columns.push(named(&name, Measure::Mass));
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
    let sample = &report.trace.samples()[row];
    let band = &report.findings.bands[row];
    let mut put = |measure: Measure, decimals: usize, si: f64| {
        // "+ 0.0" turns a negative zero into a plain one
        line.push(format!("{:.decimals$}", units.value(measure, si) + 0.0));
    };
    put(Measure::Time, 5, sample.time_s);
    put(Measure::Depth, 4, sample.depth_m);
    put(Measure::AbsolutePressure, 5, sample.ambient_pa);
    put(Measure::Density, 4, sample.water_kg_m3);
    put(Measure::Mass, 5, sample.bare_kg);
    put(Measure::Mass, 5, sample.net_kg);
    put(Measure::Volume, 5, sample.wing_m3);
    put(Measure::Volume, 5, sample.suit_m3);
    put(Measure::Volume, 5, sample.foam_m3);
    put(Measure::Mass, 5, sample.carried_gas_kg);
    put(Measure::Mass, 6, sample.wing_kg);
    put(Measure::Mass, 6, sample.suit_kg);
    put(Measure::Mass, 5, sample.breathed_kg);
    put(Measure::Mass, 6, sample.vented_kg);
    put(Measure::Mass, 5, report.findings.failed_wing.loads_kg[row]);
    put(Measure::Depth, 3, band.up_m);
    match band.down_m {
        Some(down_m) => put(Measure::Depth, 3, down_m),
        None => line.push(String::new()),
    }
    for (i, cylinder) in report.trace.cylinders(row).iter().enumerate() {
        if sample.carried.contains(i) {
            line.push(format!("{:.3}", units.value(Measure::GaugePressure, cylinder.pressure_pa)));
            let lift_kg = lift_kg(report.scenario, report.trace, row, i);
            line.push(format!("{:.5}", units.value(Measure::Mass, lift_kg) + 0.0));
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
