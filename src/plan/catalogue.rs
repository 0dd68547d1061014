//! The generic cylinder shapes that a plan may name: `data/cylinders.csv`, built into the program.

use std::sync::LazyLock;

use crate::estimate::Estimate;
use crate::plan::typical::{SHAPE_EXTERNAL_DOUBT, SHAPE_MASS_DOUBT, SHAPE_WATER_DOUBT, material};
use crate::units::{BAR_PA, LITRE_M3};

/// A generic cylinder shape. Figures of twins are of the set, manifold and bands included.
#[derive(Clone, Debug, PartialEq)]
pub struct Shape {
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

impl Shape {
    /// Density of the shell's metal, kg/m³.
    pub fn metal_kg_m3(&self) -> f64 {
        material(&self.material).map_or(f64::NAN, |metal| metal.estimate.value)
    }

    /// Mass with its doubt.
    pub fn mass(&self) -> Estimate {
        Estimate::within(self.mass_kg, SHAPE_MASS_DOUBT * self.mass_kg)
    }

    /// Displaced volume with the doubt that a known mass leaves.
    pub fn external(&self) -> Estimate {
        Estimate::within(self.external_m3, SHAPE_EXTERNAL_DOUBT * self.external_m3)
    }

    /// Water capacity with its doubt.
    pub fn water(&self) -> Estimate {
        Estimate::within(self.water_m3, SHAPE_WATER_DOUBT * self.water_m3)
    }
}

/// The shapes, in the order of the data file.
pub fn shapes() -> &'static [Shape] {
    static SHAPES: LazyLock<Vec<Shape>> = LazyLock::new(|| read(include_str!("../../data/cylinders.csv")));
    &SHAPES
}

/// A shape by its name or alias; case and spaces do not matter.
pub fn shape(name: &str) -> Option<&'static Shape> {
    // as written first: studies ask for the same names many thousand times
    let exact = shapes().iter().find(|shape| shape.name == name);
    exact.or_else(|| shapes().iter().find(|shape| same(&shape.name, name) || same(&shape.alias, name)))
}

fn same(a: &str, b: &str) -> bool {
    fn letters(text: &str) -> impl Iterator<Item = char> {
        text.chars().filter(|c| !c.is_whitespace()).flat_map(char::to_lowercase)
    }
    !a.is_empty() && letters(a).eq(letters(b))
}

/// The data file is part of the program and a test reads every row, so a row that does not parse is left out here.
fn read(text: &str) -> Vec<Shape> {
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(text.as_bytes());
    reader.records().filter_map(|record| row(&record.ok()?)).collect()
}

fn row(record: &csv::StringRecord) -> Option<Shape> {
    let number = |i: usize| record.get(i)?.parse::<f64>().ok();
    Some(Shape {
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
        assert_eq!(shapes().len(), lines - 1);
        for shape in shapes() {
            let valves_kg = 0.8 * f64::from(shape.count);
            let metal_m3 = (shape.mass_kg - valves_kg) / shape.metal_kg_m3() + valves_kg / 8500.0;
            // what is neither water, shell nor valve is manifold, bands, paint and boot: a few per cent either way
            let rest = (shape.external_m3 - shape.water_m3 - metal_m3) / shape.external_m3;
            assert!((-0.03..0.03).contains(&rest), "{}: {rest}", shape.name);
            assert!(shape.count == 1 || shape.name.starts_with("twin "), "{}", shape.name);
            let twins = shapes().iter().filter(|other| same(&other.name, &shape.name)).count();
            assert_eq!(twins, 1, "{}", shape.name);
            assert!(!shape.provenance.is_empty());
        }
    }

    #[test]
    fn derived_external_volumes_follow_their_formula() {
        for shape in shapes().iter().filter(|s| s.count == 1 && s.provenance.starts_with("typical shell")) {
            let expected_m3 = shape.water_m3 + (shape.mass_kg - 0.8) / shape.metal_kg_m3() + 0.8 / 8500.0;
            // the file keeps two decimals of a litre
            assert!((shape.external_m3 - expected_m3).abs() <= 0.006e-3, "{}", shape.name);
        }
    }

    // The table of in-water weights of cylinder classes (sea water, lb) from a printed training text, from which the
    // US classes were derived: reading them back must give the printed empty reading. Tolerance: the file's rounding
    // to 10 g and 10 mL, which is 0.05 lb.
    #[test]
    fn the_printed_readings_come_back() {
        for (name, empty_lb) in [("aluminium 80 cuft", 4.0), ("steel 71 cuft", -4.6), ("steel 76 cuft", 1.5)] {
            let shape = shape(name).unwrap();
            let lift_lb = (1025.0 * shape.external_m3 - shape.mass_kg) / crate::units::POUND_KG;
            assert!((lift_lb - empty_lb).abs() < 0.05, "{name}: {lift_lb}");
        }
    }

    #[test]
    fn names_forgive_case_and_spaces() {
        assert_eq!(shape("Aluminum 80 CUFT"), shape("aluminium 80 cuft"));
        assert!(shape("steel 12L 232bar").is_some());
        assert!(shape("steel 13 L").is_none());
    }
}
