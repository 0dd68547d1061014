//! The generic cylinder sizes that a plan may name: `data/cylinders.csv`, built into the program.

use std::sync::LazyLock;

use crate::estimate::{Doubt, Estimate, Shape};
use crate::plan::typical::{SIZE_EXTERNAL_DOUBT, material};
use crate::plan::words::did_you_mean;
use crate::units::{BAR_PA, CUBIC_FOOT_M3, LITRE_M3, MILLIMETRE_M, PSI_PA};

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
    /// Gas at the surface by which the trade names it, m³, where it is sold so.
    pub rated_m3: Option<f64>,
    /// What its shell is made of.
    pub material: String,
    /// How many cylinders it has: 2 for twins.
    pub count: u32,
    /// Half-width of the mass, kg, for 95 %: so much do cylinders of this class differ.
    pub mass_doubt_kg: f64,
    /// Half-width of the water capacity, m³.
    pub water_doubt_m3: f64,
    /// Where these figures come from.
    pub provenance: String,
    /// Outer diameter of the shell, of twins of one, m.
    pub diameter_m: f64,
    /// Length of the shell from its bottom to the neck, without the valve, of twins of one, m.
    pub length_m: f64,
    /// Half-width of the length, m, for 95 %.
    pub length_doubt_m: f64,
    /// Where diameter and length come from.
    pub length_provenance: String,
}

impl Size {
    /// Density of the shell's metal, kg/m³.
    pub fn metal_kg_m3(&self) -> f64 {
        material(&self.material).map_or(f64::NAN, |metal| metal.estimate.value)
    }

    /// Mass with its doubt, normal for 95 %.
    pub fn mass(&self) -> Estimate {
        let doubt = Doubt { half_width: self.mass_doubt_kg, shape: Shape::Normal { coverage_frac: 0.95 } };
        Estimate { value: self.mass_kg, doubt: Some(doubt) }
    }

    /// Displaced volume with the doubt that a known mass leaves.
    pub fn external(&self) -> Estimate {
        Estimate::within(self.external_m3, SIZE_EXTERNAL_DOUBT * self.external_m3)
    }

    /// Water capacity with its doubt.
    pub fn water(&self) -> Estimate {
        Estimate::within(self.water_m3, self.water_doubt_m3)
    }

    /// Length of the shell, of twins of one, with its doubt, normal for 95 %.
    pub fn length(&self) -> Estimate {
        let doubt = Doubt { half_width: self.length_doubt_m, shape: Shape::Normal { coverage_frac: 0.95 } };
        Estimate { value: self.length_m, doubt: Some(doubt) }
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

/// What to write instead of a size that is not in the list: another spelling, or the sizes that are nearest to it.
pub(crate) fn instead_of(wanted: &str) -> Option<String> {
    let near = Wanted::of(wanted).map(|wanted| wanted.nearest()).unwrap_or_default();
    match near.as_slice() {
        [] => did_you_mean(wanted, sizes().iter().flat_map(|size| [size.name.as_str(), size.alias.as_str()])),
        near => {
            let names: Vec<String> = near.iter().map(|size| format!("\"{}\"", size.name)).collect();
            Some(format!(
                "the nearest of the list: {}; or give water, mass and external of your own",
                crate::plan::words::any_of(&names)
            ))
        }
    }
}

/// How many sizes are named in place of one that is not there.
const NAMED: usize = 3;
/// A size whose capacity differs by more than this factor is not near.
const NEAR_RATIO: f64 = 1.6;

/// What the name of a size says, as far as it says it.
struct Wanted {
    /// of one cylinder, in litres, or in cubic feet
    capacity: (f64, bool),
    pressure_bar: Option<f64>,
    material: Option<&'static str>,
    is_twin: bool,
}

impl Wanted {
    fn of(name: &str) -> Option<Self> {
        let words = split(name);
        let has = |starts: &[&str]| words.iter().any(|word| starts.iter().any(|start| word.starts_with(start)));
        let material = match (has(&["st"]), has(&["al"])) {
            (true, false) => Some("steel"),
            (false, true) => Some("aluminium"),
            _ => None,
        };
        let before = |units: &[&str]| {
            let at = words.iter().position(|word| units.contains(&word.as_str()))?;
            words.get(at.checked_sub(1)?)?.parse::<f64>().ok()
        };
        let pressure_bar = before(&["bar"]).or_else(|| before(&["psi"]).map(|psi| psi * PSI_PA / BAR_PA));
        let litres = before(&["l", "litre", "litres", "liter", "liters", "ltr"]);
        let feet = before(&["cuft", "cu", "cf", "ft3"]);
        let first = || words.iter().find_map(|word| word.parse::<f64>().ok());
        let capacity = match (litres, feet, first()) {
            (Some(litres), ..) => (litres, false),
            (None, Some(feet), _) => (feet, true),
            // by its bare number a cylinder is called in litres up to the largest there are, and in cubic feet above
            (None, None, Some(number)) => (number, number > 24.0),
            (None, None, None) => return None,
        };
        let is_twin = has(&["twin", "double", "d"]) || words.iter().any(|word| word == "x");
        Some(Self { capacity, pressure_bar, material, is_twin })
    }

    /// The sizes that are like it, the nearest first.
    fn nearest(&self) -> Vec<&'static Size> {
        let mut found: Vec<(f64, &Size)> =
            sizes().iter().filter_map(|size| Some((self.distance(size)?, size))).collect();
        found.sort_by(|a, b| a.0.total_cmp(&b.0));
        found.into_iter().take(NAMED).map(|(_, size)| size).collect()
    }

    /// How unlike a size is, as sum of logarithms; `None` when it is another thing altogether.
    fn distance(&self, size: &Size) -> Option<f64> {
        let (number, is_cubic_feet) = self.capacity;
        let own = match (is_cubic_feet, size.rated_m3) {
            (true, Some(rated_m3)) => rated_m3 / CUBIC_FOOT_M3,
            (false, None) => size.water_m3 / f64::from(size.count) / LITRE_M3,
            _ => return None,
        };
        let off = (own / number).ln().abs();
        let is_other_material = self.material.is_some_and(|material| material != size.material);
        if is_other_material || off.is_nan() || off > NEAR_RATIO.ln() || self.is_twin != (size.count > 1) {
            return None;
        }
        let pressure_off = self.pressure_bar.map_or(0.0, |bar| (size.working_pa / BAR_PA / bar.max(1.0)).ln().abs());
        // a litre more or less changes the weighting more than the pressure does
        Some(off + 0.5 * pressure_off)
    }
}

/// Words and numbers of a name, apart even where they stand together: `12L` is `12` and `l`.
fn split(name: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    let mut kind = None;
    for c in name.to_lowercase().replace(',', ".").chars() {
        let now = match c {
            c if c.is_ascii_digit() || c == '.' => Some(true),
            c if c.is_alphabetic() || c == '³' => Some(false),
            _ => None,
        };
        if now.is_some() {
            if now != kind {
                words.push(String::new());
            }
            if let Some(last) = words.last_mut() {
                last.push(c);
            }
        }
        kind = now;
    }
    words
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
    let water_m3 = number(2)? * LITRE_M3;
    Some(Size {
        name: record.get(0)?.to_owned(),
        alias: record.get(1)?.to_owned(),
        water_m3,
        mass_kg: number(3)?,
        external_m3: number(4)? * LITRE_M3,
        working_pa: number(7).map_or(number(5)? * BAR_PA, |psi| psi * PSI_PA),
        rated_m3: number(6).map(|cubic_feet| cubic_feet * CUBIC_FOOT_M3),
        material: record.get(8)?.to_owned(),
        count: record.get(9)?.parse().ok()?,
        mass_doubt_kg: number(10)?,
        water_doubt_m3: number(11)? / 100.0 * water_m3,
        provenance: record.get(12)?.to_owned(),
        diameter_m: number(13)? * MILLIMETRE_M,
        length_m: number(14)? * MILLIMETRE_M,
        length_doubt_m: number(15)? * MILLIMETRE_M,
        length_provenance: record.get(16)?.to_owned(),
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
            assert!(size.count == 1 || size.name.starts_with("twin "), "{}", size.name);
            let twins = sizes().iter().filter(|other| same(&other.name, &size.name)).count();
            assert_eq!(twins, 1, "{}", size.name);
            assert!(!size.provenance.is_empty());
            assert!(size.mass_doubt_kg > 0.0 && size.mass_doubt_kg < 0.2 * size.mass_kg, "{}", size.name);
        }
    }

    #[test]
    fn names_forgive_case_and_spaces() {
        assert_eq!(size("Aluminum 80 CUFT"), size("aluminium 80 cuft"));
        assert!(size("steel 12L 232bar").is_some());
        assert!(size("steel 13 L").is_none());
    }

    /// What is suggested is of the material and near in capacity: not the name that is spelt most alike.
    #[test]
    fn a_near_size_is_named() {
        let first = |wanted: &str| Wanted::of(wanted).map(|wanted| wanted.nearest()).unwrap_or_default();
        for (wanted, expected) in [
            ("steel 13 L 232 bar", "steel 12 L 232 bar"),
            ("steel 12 L 200 bar", "steel 12 L 232 bar"),
            ("12L steel", "steel 12 L 232 bar"),
            ("steel 14,5 L", "steel 15 L 232 bar"),
            ("twin steel 9 L 232 bar", "twin steel 8.5 L 232 bar"),
            ("alu 11.1 L", "aluminium 11 L 207 bar"),
            ("AL80", "aluminium 80 cuft"),
            ("steel 119 cuft", "steel 120 cuft"),
            ("al 33 cuft", "aluminium 30 cuft"),
            ("steel 10 L 300", "steel 10 L 232 bar"),
        ] {
            let found = first(wanted);
            assert_eq!(found.first().map(|size| size.name.as_str()), Some(expected), "{wanted}");
        }
        for nothing in ["steel", "steel 400 L", "aluminium 900 cuft", "titanium"] {
            assert!(first(nothing).is_empty(), "{nothing}");
        }
        assert!(instead_of("stele 12 L 232 bar").unwrap().contains("steel 12 L 232 bar"));
    }
}
