//! The generic cylinder sizes that a plan may name: `data/cylinders.csv`, built into the program.

use std::sync::LazyLock;

use crate::estimate::Estimate;
use crate::plan::typical::{SIZE_EXTERNAL_DOUBT, SIZE_MASS_DOUBT, SIZE_WATER_DOUBT, material};
use crate::units::{BAR_PA, LITRE_M3};

/// A generic cylinder size. Figures of twins are of the set, manifold and bands included.
#[derive(Clone, Debug, PartialEq)]
pub struct Size {
    /// Name, as a plan writes it.
    pub name: String,
    /// Another spelling, if there is one.
    pub alias: String,
    /// Water capacity, m³.
    pub water_m3: f64,
    /// Mass, empty, with valve, kg.
    pub mass_kg: f64,
    /// Displaced volume with valve, m³.
    pub external_m3: f64,
    /// Gauge pressure that it is made for, Pa.
    pub working_pa: f64,
    /// What its shell is made of.
    pub material: String,
    /// How many cylinders it has: 2 for twins.
    pub count: u32,
    /// Where the figures come from.
    pub provenance: String,
}

impl Size {
    /// Density of the shell's metal, kg/m³.
    pub fn metal_kg_m3(&self) -> f64 {
        material(&self.material).map_or(f64::NAN, |metal| metal.estimate.value)
    }

    /// Mass with its doubt.
    pub fn mass(&self) -> Estimate {
        Estimate::within(self.mass_kg, SIZE_MASS_DOUBT * self.mass_kg)
    }

    /// Displaced volume with the doubt that a known mass leaves.
    pub fn external(&self) -> Estimate {
        Estimate::within(self.external_m3, SIZE_EXTERNAL_DOUBT * self.external_m3)
    }

    /// Water capacity with its doubt.
    pub fn water(&self) -> Estimate {
        Estimate::within(self.water_m3, SIZE_WATER_DOUBT * self.water_m3)
    }
}

/// The sizes, in the order of the data file.
pub fn sizes() -> &'static [Size] {
    static SIZES: LazyLock<Vec<Size>> = LazyLock::new(|| read(include_str!("../../data/cylinders.csv")));
    &SIZES
}

/// A size by its name or alias; case and spaces do not matter.
pub fn size(name: &str) -> Option<&'static Size> {
    // as written first: studies ask for the same names many thousand times
    let exact = sizes().iter().find(|size| size.name == name);
    exact.or_else(|| sizes().iter().find(|size| same(&size.name, name) || same(&size.alias, name)))
}

fn same(a: &str, b: &str) -> bool {
    fn letters(text: &str) -> impl Iterator<Item = char> {
        text.chars().filter(|c| !c.is_whitespace()).flat_map(char::to_lowercase)
    }
    !a.is_empty() && letters(a).eq(letters(b))
}

/// The data file is part of the program and a test reads every row, so a row that does not parse is left out here.
fn read(text: &str) -> Vec<Size> {
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(text.as_bytes());
    reader.records().filter_map(|record| row(&record.ok()?)).collect()
}

fn row(record: &csv::StringRecord) -> Option<Size> {
    let number = |i: usize| record.get(i)?.parse::<f64>().ok();
    Some(Size {
        name: record.get(0)?.to_owned(),
        alias: record.get(1)?.to_owned(),
        water_m3: number(2)? * LITRE_M3,
        mass_kg: number(3)?,
        external_m3: number(4)? * LITRE_M3,
        working_pa: number(5)? * BAR_PA,
        material: record.get(6)?.to_owned(),
        count: record.get(7)?.parse().ok()?,
        provenance: record.get(8)?.to_owned(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_is_read_and_plausible() {
        let lines = include_str!("../../data/cylinders.csv").lines().filter(|line| !line.starts_with('#')).count();
        assert_eq!(sizes().len(), lines - 1);
        for size in sizes() {
            let valves_kg = 0.8 * f64::from(size.count);
            let metal_m3 = (size.mass_kg - valves_kg) / size.metal_kg_m3() + valves_kg / 8500.0;
            // what is neither water, shell nor valve is manifold, bands, paint and boot: a few per cent either way
            let rest = (size.external_m3 - size.water_m3 - metal_m3) / size.external_m3;
            assert!((-0.03..0.03).contains(&rest), "{}: {rest}", size.name);
            assert!(size.count == 1 || size.name.starts_with("twin "), "{}", size.name);
            let twins = sizes().iter().filter(|other| same(&other.name, &size.name)).count();
            assert_eq!(twins, 1, "{}", size.name);
            assert!(!size.provenance.is_empty());
        }
    }

    #[test]
    fn derived_external_volumes_follow_their_formula() {
        for size in sizes().iter().filter(|s| s.count == 1 && s.provenance.starts_with("typical shell")) {
            let expected_m3 = size.water_m3 + (size.mass_kg - 0.8) / size.metal_kg_m3() + 0.8 / 8500.0;
            // the file keeps two decimals of a litre
            assert!((size.external_m3 - expected_m3).abs() <= 0.006e-3, "{}", size.name);
        }
    }

    // The table of in-water weights of cylinder classes (sea water, lb) from a printed training text, from which the
    // US classes were derived: reading them back must give the printed empty reading. Tolerance: the file's rounding
    // to 10 g and 10 mL, which is 0.05 lb.
    #[test]
    fn the_printed_readings_come_back() {
        for (name, empty_lb) in [("aluminium 80 cuft", 4.0), ("steel 71 cuft", -4.6), ("steel 76 cuft", 1.5)] {
            let size = size(name).unwrap();
            let lift_lb = (1025.0 * size.external_m3 - size.mass_kg) / crate::units::POUND_KG;
            assert!((lift_lb - empty_lb).abs() < 0.05, "{name}: {lift_lb}");
        }
    }

    #[test]
    fn names_forgive_case_and_spaces() {
        assert_eq!(size("Aluminum 80 CUFT"), size("aluminium 80 cuft"));
        assert!(size("steel 12L 232bar").is_some());
        assert!(size("steel 13 L").is_none());
    }
}
