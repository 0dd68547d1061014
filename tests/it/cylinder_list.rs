//! The list of generic cylinder sizes against printed figures: `tests/reference/cylinder_classes.csv`, read in training
//! texts, shop tables, an encyclopaedia and divers' own weighings.
//!
//! A printed mass is that of the shell with or without its valve, and most pages do not say which. Rule: as the page says;
//! where it does not say, with the valve if the writer weighed the cylinder as it is used, or if its own reading in sea
//! water agrees better with the capacity that way; else without, as it is stamped on a shoulder. Valve 0.8 kg: printed are
//! 0.68 to 1.13 kg.

use serde::Deserialize;

use crate::common;
use lightpoint::internals::estimate::Shape;
use lightpoint::internals::physics::gas::{EquationOfState, GasMix};
use lightpoint::internals::plan::catalogue::{Size, size, sizes};
use lightpoint::internals::units::{ATMOSPHERE_PA, BAR_PA, CUBIC_FOOT_M3, POUND_KG};

const VALVE_KG: f64 = 0.8;
const BRASS_KG_M3: f64 = 8500.0;
/// Sea water in which such tables are meant, kg/m³.
const SEA_KG_M3: f64 = 1025.0;

#[derive(Debug, Deserialize)]
struct Printed {
    class: String,
    water_l: Option<f64>,
    material: String,
    bare_kg: Option<f64>,
    with_valve: String,
    empty_kg_in_water: Option<f64>,
    water: String,
    printed_as: String,
    counted: String,
}

impl Printed {
    fn metal_kg_m3(&self) -> f64 {
        if self.material == "steel" { 7850.0 } else { 2700.0 }
    }

    /// By how much its reading and its capacity disagree for a mass of the shell, m³; `None` without both.
    fn gap_m3(&self, shell_kg: f64) -> Option<f64> {
        let displaced_m3 = (shell_kg + VALVE_KG + self.empty_kg_in_water?) / SEA_KG_M3;
        Some(displaced_m3 - external_m3(self.water_l? * 1e-3, shell_kg, self.metal_kg_m3()))
    }

    fn shell_kg(&self) -> Option<f64> {
        let (with, without) = (self.bare_kg? - VALVE_KG, self.bare_kg?);
        let is_with = match self.with_valve.as_str() {
            "yes" => true,
            "no" => false,
            _ if self.printed_as.contains("probably with valve") => true,
            _ if self.water == "sea" => match (self.gap_m3(with), self.gap_m3(without)) {
                (Some(gap_with), Some(gap_without)) => gap_with.abs() < gap_without.abs(),
                _ => false,
            },
            _ => false,
        };
        Some(if is_with { with } else { without })
    }
}

fn external_m3(water_m3: f64, shell_kg: f64, metal_kg_m3: f64) -> f64 {
    water_m3 + shell_kg / metal_kg_m3 + VALVE_KG / BRASS_KG_M3
}

fn printed(classes: &[&str]) -> Vec<Printed> {
    let mut rows: Vec<Printed> = common::rows("cylinder_classes.csv");
    rows.retain(|row| row.counted == "yes" && classes.contains(&row.class.as_str()));
    assert!(!rows.is_empty(), "{classes:?}");
    rows
}

fn shells_kg(classes: &[&str]) -> Vec<f64> {
    let mut shells: Vec<f64> = printed(classes).iter().filter_map(Printed::shell_kg).collect();
    shells.sort_by(f64::total_cmp);
    shells
}

fn median(sorted: &[f64]) -> f64 {
    let half = sorted.len() / 2;
    if sorted.len() % 2 == 1 { sorted[half] } else { (sorted[half - 1] + sorted[half]) / 2.0 }
}

fn named(name: &str) -> &'static Size {
    size(name).unwrap_or_else(|| panic!("no size {name}"))
}

/// The mass of the shell by which a size of the list counts, kg.
fn listed_shell_kg(size: &Size) -> f64 {
    let twins_kg = if size.count > 1 { 2.5 } else { 0.0 };
    (size.mass_kg - twins_kg) / f64::from(size.count) - VALVE_KG
}

/// Sizes whose figures are medians, with the classes they are medians of, how many figures those have, and the half-width
/// that they deserve, kg: 13 % of a steel shell and 9 % of an aluminium one (twice the scatter of printed masses within a
/// class, 6.5 and 4.6 %), 15 % for one figure, and less or more where a class itself says so.
const MEDIANS: [(&str, &[&str], usize, f64); 12] = [
    ("steel 10 L 232 bar", &["steel 10 L 232 bar"], 2, 0.13 * 11.4),
    ("steel 12 L 232 bar", &["steel 12 L 232 bar", "steel 12 L 171 mm", "steel 12 L 203 mm"], 7, 1.7),
    ("steel 12 L 232 bar 171 mm", &["steel 12 L 171 mm"], 2, 1.0),
    ("steel 12 L 232 bar 203 mm", &["steel 12 L 203 mm"], 2, 2.5),
    ("steel 15 L 232 bar", &["steel 15 L 232 bar"], 5, 2.4),
    ("steel 18 L 232 bar", &["steel 18 L 232 bar"], 1, 0.15 * 19.7),
    ("aluminium 5.7 L 207 bar", &["aluminium 40 cuft"], 1, 0.15 * 6.94),
    ("aluminium 7 L 200 bar", &["aluminium 50 cuft"], 1, 0.15 * 8.95),
    ("aluminium 10 L 200 bar", &["aluminium 10 L 200 bar"], 3, 0.09 * 13.2),
    ("aluminium 11 L 207 bar", &["aluminium 80 cuft"], 6, 1.1),
    ("aluminium 12 L 200 bar", &["aluminium 12 L 200 bar"], 2, 0.09 * 16.1),
    ("steel 120 cuft", &["steel 120 cuft HP"], 1, 0.15 * 17.78),
];

#[test]
fn masses_are_the_medians_of_what_is_printed() {
    for (name, classes, count, half_width_kg) in MEDIANS {
        let (size, shells) = (named(name), shells_kg(classes));
        assert_eq!(shells.len(), count, "{name}: {shells:?}");
        // the list rounds a shell to 0.1 kg
        let off_kg = listed_shell_kg(size) - median(&shells);
        assert!(off_kg.abs() <= 0.051, "{name}: {off_kg} off the median of {shells:?}");
        let says = if count == 1 { "the one printed figure".to_owned() } else { format!("median of {count} printed") };
        assert!(size.provenance.contains(&says), "{name}: {}", size.provenance);
        // with the valve's 0.25 kg in quadrature, rounded to 0.1 kg
        let doubt_kg = half_width_kg.hypot(0.25);
        assert!((size.mass_doubt_kg - doubt_kg).abs() <= 0.051, "{name}: {} {doubt_kg}", size.mass_doubt_kg);
    }
}

/// Figures of no class of print are of memory, say so, and are doubted by 15 % of the shell.
#[test]
fn what_is_from_memory_says_so_and_is_doubted_more() {
    let mut found = 0;
    for size in sizes().iter().filter(|size| size.provenance.contains("from memory")) {
        let shell_kg = f64::from(size.count) * 0.15 * listed_shell_kg(size);
        assert!(size.mass_doubt_kg >= shell_kg - 0.05, "{}: {}", size.name, size.mass_doubt_kg);
        found += 1;
    }
    assert!(found > 20, "{found}");
    for size in sizes() {
        let known = ["from memory", "printed"].iter().any(|word| size.provenance.contains(word));
        assert!(known, "{}: {}", size.name, size.provenance);
        assert_eq!(size.mass().doubt.map(|doubt| doubt.shape), Some(Shape::Normal { coverage_frac: 0.95 }));
    }
}

/// Every printed figure of a class that the list has lies within its doubt but one in twenty or so: 95 % is meant.
#[test]
fn the_doubt_covers_what_is_printed() {
    let (mut inside, mut all) = (0, 0);
    for (name, classes, _, _) in MEDIANS {
        let size = named(name);
        for shell_kg in shells_kg(classes) {
            all += 1;
            inside += usize::from((shell_kg - listed_shell_kg(size)).abs() <= size.mass_doubt_kg);
        }
    }
    // 31 figures at 95 %: three outside or fewer in 93 of 100 such lists
    assert!(all >= 30 && all - inside <= 3, "{inside} of {all}");
}

/// Empty readings in sea water, printed beside mass and capacity, come back. Tolerance 0.05 lb, the rounding of the list,
/// where reading, mass and capacity agree; `Some` is by how many kilograms they do not, and no figures can mend that.
#[test]
fn printed_readings_come_back() {
    for (name, class, capacity_l, empty_lb, known_gap_kg) in [
        ("aluminium 80 cuft", "aluminium 80 cuft", 11.03, 4.0, None),
        ("aluminium 80 cuft wide", "aluminium 80 cuft", 11.14, 4.1, None),
        ("aluminium 72 cuft", "aluminium 72 cuft", 10.0, 3.6, None),
        ("aluminium 63 cuft", "aluminium 63 cuft", 8.72, 0.8, Some(0.82)),
        ("aluminium 50 cuft", "aluminium 50 cuft", 6.96, 2.25, None),
        ("steel 45 cuft", "steel 45 cuft LP", 8.41, 1.4, None),
        ("steel 53 cuft", "steel 53 cuft LP", 8.72, 1.4, None),
        ("steel 71 cuft", "steel 71 cuft 228 bar", 9.0, -4.6, None),
        ("steel 72 cuft", "steel 72 cuft LP", 11.96, 3.5, Some(-0.97)),
        ("steel 76 cuft", "steel 76 cuft LP", 11.96, 1.5, None),
        ("steel 95 cuft", "steel 95 cuft 228 bar", 11.96, -6.0, None),
    ] {
        let rows = printed(&[class]);
        let row = rows.iter().find(|row| row.water_l == Some(capacity_l)).unwrap_or_else(|| panic!("{class}"));
        assert!((row.empty_kg_in_water.unwrap() - empty_lb * POUND_KG).abs() < 0.01, "{name}: the row's reading");
        let size = named(name);
        assert!((listed_shell_kg(size) - row.shell_kg().unwrap()).abs() < 0.006, "{name}: the row's mass");
        assert!((size.water_m3 - capacity_l * 1e-3).abs() < 1e-9, "{name}");
        let lift_kg = SEA_KG_M3 * size.external_m3 - size.mass_kg;
        let off_kg = lift_kg - empty_lb * POUND_KG - known_gap_kg.unwrap_or(0.0);
        assert!(off_kg.abs() < 0.05 * POUND_KG, "{name}: {lift_kg} kg, {off_kg} off");
    }
}

/// Water, metal, valve, and of twins manifold and bands: that is the whole outside. Where a printed reading decides it
/// instead, paint, boot and the printed figures' own rounding are left, 3 %.
#[test]
fn the_outside_is_water_and_metal() {
    for size in sizes() {
        let count = f64::from(size.count);
        let one_m3 = external_m3(size.water_m3 / count, listed_shell_kg(size), size.metal_kg_m3());
        let twins_m3 = if size.count > 1 { 1.0 / BRASS_KG_M3 + 1.5 / 7850.0 } else { 0.0 };
        let off_m3 = size.external_m3 - count * one_m3 - twins_m3;
        let by_reading = size.provenance.contains("they agree best");
        // two decimals of a litre are kept
        let most_m3 = if by_reading { 0.03 * size.external_m3 } else { 0.011e-3 };
        assert!(off_m3.abs() <= most_m3, "{}: {off_m3} m³", size.name);
    }
}

/// Rated volume at rated pressure. In print the rated volume of older sizes is the ideal gas's, of newer ones the real
/// gas's, which holds 2 to 6 % less at these pressures; steel sizes up to 104 cubic feet have theirs at 10 % above the
/// rated pressure. Tolerance 4 %, as doubted, and 3 % more for those printed with their capacity.
#[test]
fn a_rated_volume_is_what_the_size_holds() {
    let rated: Vec<&Size> = sizes().iter().filter(|size| size.rated_m3.is_some()).collect();
    assert_eq!(rated.len(), 22);
    for size in rated {
        let rated_m3 = size.rated_m3.unwrap();
        assert!(size.name.contains(&format!("{:.0} cuft", rated_m3 / CUBIC_FOOT_M3)), "{}", size.name);
        let over = if size.material == "steel" && rated_m3 < 105.0 * CUBIC_FOOT_M3 && size.name != "steel 100 cuft" {
            1.1
        } else {
            1.0
        };
        let density = |pa: f64| GasMix::AIR.molar_density_mol_m3(pa, 294.15, EquationOfState::Gerg2008).unwrap();
        let held = density(size.working_pa * over + ATMOSPHERE_PA) / density(ATMOSPHERE_PA) * size.water_m3;
        let off = held / rated_m3 - 1.0;
        assert!((-0.07..0.04).contains(&off), "{}: {off}", size.name);
    }
}

/// Rated pressures of older steel sizes, not those of the 10 % overfill. Source: the
/// column `working_bar` of the reference rows.
#[test]
fn working_pressures_are_the_rated_ones() {
    for (name, bar) in [
        ("steel 45 cuft", 139.0),
        ("steel 53 cuft", 155.0),
        ("steel 71 cuft", 207.0),
        ("steel 72 cuft", 155.0),
        ("steel 76 cuft", 165.0),
        ("steel 95 cuft", 207.0),
    ] {
        // half a bar is rounding between psi and bar
        assert!((named(name).working_pa / BAR_PA - bar).abs() <= 0.5, "{name}: {}", named(name).working_pa);
    }
}

#[test]
fn the_classes_of_the_trade_are_there() {
    for cubic_feet in [6, 13, 19, 30, 40, 63, 80, 100] {
        named(&format!("aluminium {cubic_feet} cuft"));
        named(&format!("Aluminum {cubic_feet} cuft"));
    }
    for cubic_feet in [85, 100, 104, 120, 130] {
        named(&format!("steel {cubic_feet} cuft"));
    }
}
