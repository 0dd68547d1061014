//! The lengths of the generic cylinder sizes against printed ones: `tests/reference/cylinder_classes.csv`. A length is
//! that of the shell, from its bottom to the neck, without the valve; of twins, of one.
//!
//! Printed lengths are those of training texts and of an encyclopaedia. It says "height without valve"; those of the texts
//! are taken so too, because with the volumes of the shells they leave no room for a valve. Shop tables do not say it, and
//! only their diameters count.

use std::f64::consts::PI;

use serde::Deserialize;

use crate::common;
use lightpoint::internals::estimate::Shape;
use lightpoint::internals::plan::catalogue::{Size, size, sizes};

/// A shell is longer than a cylinder of its volume, because its ends are round: by so many diameters, by the middle of
/// what is printed, and so many more or fewer for 95 %. Common practice has no rule for it: fitted to [`FITTED`].
const ENDS: f64 = 0.38;
const ENDS_DOUBT: f64 = 0.18;
const VALVE_M3: f64 = 0.8 / 8500.0;

#[derive(Debug, Deserialize)]
struct Printed {
    class: String,
    water_l: Option<f64>,
    material: String,
    bare_kg: Option<f64>,
    diameter_mm: Option<f64>,
    length_mm: Option<f64>,
    kind_of_source: String,
    counted: String,
}

impl Printed {
    /// Diameter and length, m, where the page has both and can be meant without the valve.
    fn outside_m(&self) -> Option<(f64, f64)> {
        let is_meant = self.counted == "yes" && self.kind_of_source != "shop table";
        Some((self.diameter_mm.filter(|_| is_meant)? * 1e-3, self.length_mm? * 1e-3))
    }

    /// Outer volume of the shell by its capacity and its mass as printed, m³. Whether the valve is in that mass makes 0.1 L
    /// of steel and 0.3 L of aluminium: less than 0.07 diameters of length.
    fn shell_m3(&self) -> Option<f64> {
        let metal_kg_m3 = if self.material == "steel" { 7850.0 } else { 2700.0 };
        Some(self.water_l? * 1e-3 + self.bare_kg? / metal_kg_m3)
    }
}

/// Sizes whose length is printed, with the class of the row and its capacity, L.
const PRINTED: [(&str, &str, f64); 15] = [
    ("aluminium 80 cuft", "aluminium 80 cuft", 11.03),
    ("aluminium 80 cuft wide", "aluminium 80 cuft", 11.14),
    ("aluminium 72 cuft", "aluminium 72 cuft", 10.0),
    ("aluminium 50 cuft", "aluminium 50 cuft", 6.96),
    ("steel 45 cuft", "steel 45 cuft LP", 8.41),
    ("steel 53 cuft", "steel 53 cuft LP", 8.72),
    ("steel 71 cuft", "steel 71 cuft 228 bar", 9.0),
    ("steel 72 cuft", "steel 72 cuft LP", 11.96),
    ("steel 76 cuft", "steel 76 cuft LP", 11.96),
    ("steel 95 cuft", "steel 95 cuft 228 bar", 11.96),
    ("steel 12 L 232 bar 203 mm", "steel 12 L 203 mm", 12.0),
    ("steel 15 L 232 bar", "steel 15 L 232 bar", 15.0),
    ("steel 18 L 232 bar", "steel 18 L 232 bar", 18.0),
    ("aluminium 10 L 200 bar", "aluminium 10 L 200 bar", 10.0),
    ("aluminium 12 L 200 bar", "aluminium 12 L 200 bar", 12.0),
];

/// The seven to which the formula was fitted, with length and diameter, mm, as read in a printed table of a training text.
const FITTED: [(&str, f64, f64); 7] = [
    ("aluminium 80 cuft", 671.0, 184.0),
    ("aluminium 72 cuft", 660.0, 175.0),
    ("aluminium 50 cuft", 483.0, 175.0),
    ("steel 45 cuft", 485.0, 173.0),
    ("steel 71 cuft", 520.0, 174.0),
    ("steel 76 cuft", 665.0, 172.0),
    ("steel 95 cuft", 635.0, 178.0),
];

fn named(name: &str) -> &'static Size {
    size(name).unwrap_or_else(|| panic!("no size {name}"))
}

/// Outer volume of one shell of a size: without valves, and of twins without the manifold's brass and the bands' steel.
fn shell_m3(size: &Size) -> f64 {
    let twins_m3 = if size.count > 1 { 1.0 / 8500.0 + 1.5 / 7850.0 } else { 0.0 };
    (size.external_m3 - twins_m3) / f64::from(size.count) - VALVE_M3
}

fn cylinder_m(shell_m3: f64, diameter_m: f64) -> f64 {
    shell_m3 / (PI * diameter_m.powi(2) / 4.0)
}

/// By how many diameters a shell is longer than a cylinder of its volume.
fn ends(shell_m3: f64, diameter_m: f64, length_m: f64) -> f64 {
    (length_m - cylinder_m(shell_m3, diameter_m)) / diameter_m
}

fn computed_m(size: &Size, diameter_m: f64) -> f64 {
    cylinder_m(shell_m3(size), diameter_m) + ENDS * diameter_m
}

fn is_printed(size: &Size) -> bool {
    let name = size.name.strip_prefix("twin ").unwrap_or(&size.name);
    PRINTED.iter().any(|(printed, _, _)| *printed == name)
}

/// A diameter in the words of a provenance: `others have 203 mm`.
fn other_m(size: &Size) -> Option<f64> {
    let (_, rest) = size.length_provenance.split_once("others have ")?;
    Some(rest.strip_suffix(" mm")?.parse::<f64>().ok()? * 1e-3)
}

#[test]
fn printed_lengths_come_back() {
    let rows: Vec<Printed> = common::rows("cylinder_classes.csv");
    for (name, class, water_l) in PRINTED {
        let size = named(name);
        let of_class = rows.iter().filter(|row| row.class == class && row.water_l == Some(water_l));
        let found: Vec<(f64, f64)> = of_class.filter_map(Printed::outside_m).collect();
        assert!(!found.is_empty(), "{name}");
        let middle_m = found.iter().map(|(_, length_m)| length_m).sum::<f64>() / found.len() as f64;
        assert!((size.length_m - middle_m).abs() < 1e-9, "{name}: {found:?}");
        for (diameter_m, length_m) in &found {
            assert!((size.length_m - length_m).abs() <= size.length_doubt_m, "{name}: {length_m} m");
            // of those who print one class, some round to whole centimetres
            assert!((size.diameter_m - diameter_m).abs() < 0.005, "{name}: {diameter_m} m");
        }
        assert!(size.length_provenance.contains("printed"), "{name}: {}", size.length_provenance);
        // our own judgement: two makes of a class differ by 10 mm in print
        assert!((size.length_doubt_m - 0.015).abs() < 1e-9, "{name}");
    }
    for (name, length_mm, diameter_mm) in FITTED {
        let size = named(name);
        assert!((size.length_m * 1e3 - length_mm).abs() < 1e-6 && (size.diameter_m * 1e3 - diameter_mm).abs() < 1e-6);
    }
}

/// The formula against the seven to which it was fitted, by the volumes of the list.
#[test]
fn the_formula_fits_the_seven() {
    for (name, length_mm, diameter_mm) in FITTED {
        let off = ends(shell_m3(named(name)), diameter_mm * 1e-3, length_mm * 1e-3) - ENDS;
        assert!(off.abs() <= ENDS_DOUBT, "{name}: {off} D");
    }
}

/// The formula against printed rows to which it was not fitted. Two lie outside: steel 10 L, whose length
/// fits another diameter than the printed one, and aluminium of 171 bar, a light make. Aluminium 63 cuft leaves no room
/// for its shell and cannot be right.
#[test]
fn the_formula_holds_for_other_printed_ones() {
    let fitted = |row: &Printed| {
        PRINTED.iter().any(|(name, class, water_l)| {
            FITTED.iter().any(|(fitted, _, _)| fitted == name) && row.class == *class && row.water_l == Some(*water_l)
        })
    };
    let (mut impossible, mut outside, mut all) = (Vec::new(), Vec::new(), 0);
    for row in common::rows::<Printed>("cylinder_classes.csv").into_iter().filter(|row| !fitted(row)) {
        let (Some((diameter_m, length_m)), Some(shell_m3)) = (row.outside_m(), row.shell_m3()) else { continue };
        let ends = ends(shell_m3, diameter_m, length_m);
        match ends - ENDS {
            _ if ends <= 0.0 => impossible.push(row.class),
            off if off.abs() > ENDS_DOUBT => outside.push((row.class, off)),
            _ => {}
        }
        all += 1;
    }
    assert_eq!(impossible, ["aluminium 63 cuft"]);
    // 17 rows at 95 %: two outside or fewer in 95 of 100 such lists
    assert!(all - impossible.len() >= 17 && outside.len() <= 2, "{outside:?} of {all}");
}

/// Every other length is the formula's, to 5 mm, and its doubt covers the scatter of the formula, and the other diameter
/// in which a class is sold.
#[test]
fn other_lengths_are_computed() {
    let mut count = 0;
    for size in sizes().iter().filter(|size| !is_printed(size) && size.count == 1) {
        let length_m = computed_m(size, size.diameter_m);
        assert!((size.length_m - length_m).abs() <= 0.0025 + 1e-9, "{}: {length_m} m", size.name);
        assert!(size.length_provenance.starts_with("computed from the volume of the shell"), "{}", size.name);
        // to whole millimetres
        let scatter_m = ENDS_DOUBT * size.diameter_m;
        match other_m(size) {
            None => assert!((size.length_doubt_m - scatter_m).abs() <= 0.0005 + 1e-9, "{}", size.name),
            // and rounded up to 5 mm
            Some(other_m) => {
                let over_m = size.length_doubt_m - (computed_m(size, other_m) - size.length_m).abs().max(scatter_m);
                assert!((0.0..0.005).contains(&over_m), "{}: {over_m} m", size.name);
            }
        }
        count += 1;
    }
    assert_eq!(count, 34);
    // the list's own 12 L of 171 and 203 mm lie within the doubt of the one that does not say which
    let open = named("steel 12 L 232 bar");
    for known in ["steel 12 L 232 bar 171 mm", "steel 12 L 232 bar 203 mm"] {
        assert!((named(known).length_m - open.length_m).abs() <= open.length_doubt_m, "{known}");
    }
}

/// Diameters are printed somewhere for that metal, or said to be from memory.
#[test]
fn diameters_are_printed_or_from_memory() {
    let rows: Vec<Printed> = common::rows("cylinder_classes.csv");
    for size in sizes() {
        let is_same = |row: &Printed| {
            row.material == size.material
                && row.diameter_mm.is_some_and(|mm| (mm * 1e-3 - size.diameter_m).abs() < 1e-9)
        };
        let is_from_memory = size.length_provenance.contains("diameter from memory");
        assert!(is_from_memory || rows.iter().any(is_same), "{}: {} m", size.name, size.diameter_m);
    }
}

#[test]
fn every_length_is_plausible() {
    for size in sizes() {
        assert!(size.length_m > size.diameter_m && size.length_m < 1.0, "{}", size.name);
        // the shell has room in a box of its length: a round end takes from none to a whole diameter
        let ends = ends(shell_m3(size), size.diameter_m, size.length_m);
        assert!((0.0..1.0).contains(&ends), "{}: {ends} D", size.name);
        let estimate = size.length();
        assert_eq!(estimate.value, size.length_m);
        let doubt = estimate.doubt.unwrap();
        assert_eq!((doubt.half_width, doubt.shape), (size.length_doubt_m, Shape::Normal { coverage_frac: 0.95 }));
        if let Some(single) = size.name.strip_prefix("twin ") {
            let single = named(single);
            let outside = |size: &Size| (size.diameter_m, size.length_m, size.length_doubt_m);
            assert_eq!(outside(size), outside(single), "{}", size.name);
            assert_eq!(size.length_provenance, single.length_provenance);
        }
    }
}
