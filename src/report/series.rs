//! The series as CSV: columns named with their units.

use std::fmt::Write as _;

use crate::findings::Band;
use crate::report::Report;
use crate::report::measure::Quantity;
use crate::sim::terms::cylinder_kg;
use crate::units::BAR_PA;

/// Why a series could not be written.
pub type SeriesError = csv::Error;

/// The rows of a report as CSV. Columns of a cylinder are empty while it is not carried; those of a breathing loop are
/// there where the diver has one, its oxygen's partial pressure in bar for every reader.
///
/// # Errors
/// As the CSV writer; writing into memory does not fail in practice.
pub fn csv(report: &Report<'_>) -> Result<Vec<u8>, SeriesError> {
    let mut writer = csv::Writer::from_writer(Vec::with_capacity(1 << 20));
    writer.write_record(header(report))?;
    let mut line = Fields { writer: &mut writer, text: String::new() };
    for row in 0..report.rows.samples().len() {
        fill(report, row, &mut line)?;
        line.end()?;
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
    if report.scenario.rig().breathing_loop.is_some() {
        columns.extend([
            named("loop", Quantity::Volume),
            named("loop_gas", Quantity::Mass),
            "loop_oxygen_partial_bar".to_owned(),
            named("oxygen_taken", Quantity::Mass),
        ]);
    }
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

fn fill(report: &Report<'_>, row: usize, line: &mut Fields<'_>) -> Result<(), SeriesError> {
    let units = report.units;
    let sample = &report.rows.samples()[row];
    let band = Band::of(report.scenario, sample);
    let mut put = |quantity: Quantity, decimals: u32, si: f64| line.put(units.value(quantity, si), decimals);
    put(Quantity::Duration, 5, sample.time_s)?;
    put(Quantity::Length, 4, sample.depth_m)?;
    put(Quantity::Pressure, 5, sample.ambient_pa)?;
    put(Quantity::Density, 4, sample.water_kg_m3)?;
    put(Quantity::Mass, 5, sample.bare_kg)?;
    put(Quantity::Mass, 5, sample.net_kg)?;
    put(Quantity::Volume, 5, sample.wing_m3)?;
    put(Quantity::Volume, 5, sample.suit_m3)?;
    put(Quantity::Volume, 5, sample.foam_m3)?;
    put(Quantity::Mass, 5, sample.carried_gas_kg)?;
    put(Quantity::Mass, 6, sample.wing_kg)?;
    put(Quantity::Mass, 6, sample.suit_kg)?;
    put(Quantity::Mass, 5, sample.breathed_kg)?;
    put(Quantity::Mass, 6, sample.vented_kg)?;
    put(Quantity::Mass, 5, report.rows.loads_kg[row])?;
    put(Quantity::Length, 3, band.up_m)?;
    match band.down_m {
        Some(down_m) => put(Quantity::Length, 3, down_m)?,
        None => line.skip()?,
    }
    if report.scenario.rig().breathing_loop.is_some() {
        line.put(units.value(Quantity::Volume, sample.loop_m3), 5)?;
        line.put(units.value(Quantity::Mass, sample.loop_kg), 6)?;
        line.put(sample.loop_oxygen_pa / BAR_PA, 5)?;
        line.put(units.value(Quantity::Mass, sample.metabolised_kg), 6)?;
    }
    for (i, cylinder) in report.rows.cylinders(row).iter().enumerate() {
        if sample.carried.contains(i) {
            line.put(units.value(Quantity::GaugePressure, cylinder.pressure_pa), 3)?;
            let lift_kg = cylinder_kg(report.scenario, report.rows.now(row), i);
            line.put(units.value(Quantity::Mass, lift_kg), 5)?;
        } else {
            line.skip()?;
            line.skip()?;
        }
    }
    Ok(())
}

/// The fields of a line, as they are written.
struct Fields<'a> {
    writer: &'a mut csv::Writer<Vec<u8>>,
    text: String,
}

impl Fields<'_> {
    /// A number with a fixed count of decimals.
    fn put(&mut self, value: f64, decimals: u32) -> Result<(), SeriesError> {
        self.text.clear();
        write_fixed(&mut self.text, value, decimals);
        self.writer.write_field(&self.text)
    }

    fn skip(&mut self) -> Result<(), SeriesError> {
        self.writer.write_field("")
    }

    fn end(&mut self) -> Result<(), SeriesError> {
        self.writer.write_record(None::<&[u8]>)
    }
}

/// As `format!("{:.decimals$}")`, without a negative zero, by way of whole numbers: a series has some hundred thousand
/// numbers, and exact decimals of a binary fraction are most of the work of writing it. Only what lies within a
/// ten-thousandth of half a last place may round the other way.
fn write_fixed(text: &mut String, value: f64, decimals: u32) {
    /// Up to here a product has some four figures behind the point, and is rounded as the number itself would be.
    const MOST: f64 = 1e12;
    let one = 10u64.pow(decimals);
    let scaled = (value.abs() * one as f64).round();
    let written = if scaled < MOST {
        let whole = scaled as u64;
        let sign = if value < 0.0 && whole > 0 { "-" } else { "" };
        let digits = decimals as usize;
        write!(text, "{sign}{}.{:0digits$}", whole / one, whole % one)
    } else {
        write!(text, "{value:.*}", decimals as usize)
    };
    debug_assert!(written.is_ok(), "a String takes all");
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fixed_decimals_are_those_of_the_standard_library() {
        let fixed = |value: f64, decimals: u32| {
            let mut text = String::new();
            write_fixed(&mut text, value, decimals);
            text
        };
        let mut value = 1.234_567_89e-9;
        while value < 1e20 {
            for (value, decimals) in [(value, 3), (-value, 4), (value, 5), (-value, 6)] {
                let usual = format!("{value:.*}", decimals as usize);
                let is_zero = usual.trim_start_matches('-').chars().all(|c| matches!(c, '0' | '.'));
                let usual = if is_zero { usual.trim_start_matches('-') } else { &usual };
                assert_eq!(fixed(value, decimals), usual);
            }
            value *= 1.618;
        }
        assert_eq!(
            (fixed(-0.0, 3), fixed(-0.0004, 3), fixed(7.0, 5)),
            ("0.000".into(), "0.000".into(), "7.00000".into())
        );
        assert_eq!(fixed(f64::NAN, 3), "NaN");
    }

    #[test]
    fn column_names_are_plain_and_differ() {
        let names = column_names(["Back gas", "back-gas", "O₂ 6 m"].into_iter());
        assert_eq!(names, ["back_gas", "back_gas_2", "o__6_m"]);
    }
}
