//! Real gas against CoolProp and against the handbook table of compressibility factors.
//!
//! The program's equation of state is GERG-2008. CoolProp takes the reference equation of each pure gas and mixes them
//! by its own rules, so neither is the other's copy; the tolerances say how far two good equations may lie apart.

use crate::common;
use aga8::composition::Composition;
use aga8::gerg2008::Gerg2008;
use approx::assert_relative_eq;
use lightpoint::internals::physics::gas::{EquationOfState, GasError, GasMix};
use lightpoint::internals::physics::isotherm::{AMBIENT_RANGE_PA, Isotherm};
use lightpoint::internals::units::{BAR_PA, GAS_CONSTANT_J_MOL_K, PSI_PA, fahrenheit_to_k};
use serde::Deserialize;

const REAL: EquationOfState = EquationOfState::Gerg2008;

/// A row of `gas_density_coolprop.csv`.
#[derive(Deserialize)]
struct Row {
    mix: String,
    #[serde(rename = "xO2")]
    o2_frac: f64,
    #[serde(rename = "xHe")]
    he_frac: f64,
    #[serde(rename = "xN2")]
    n2_frac: f64,
    #[serde(rename = "xAr")]
    ar_frac: f64,
    #[serde(rename = "T_K")]
    temperature_k: f64,
    #[serde(rename = "p_kPa")]
    pressure_kpa: f64,
    rho_kg_m3: f64,
    #[serde(rename = "Z")]
    z: f64,
}

impl Row {
    fn gas_mix(&self) -> GasMix {
        GasMix::with_argon(self.o2_frac, self.he_frac, self.ar_frac).unwrap()
    }

    fn pressure_pa(&self) -> f64 {
        self.pressure_kpa * 1e3
    }

    fn molar_density_mol_m3(&self) -> f64 {
        self.rho_kg_m3 / self.gas_mix().molar_kg_mol()
    }

    fn place(&self) -> String {
        format!("{} at {} K, {} kPa", self.mix, self.temperature_k, self.pressure_kpa)
    }
}

fn grid() -> Vec<Row> {
    common::rows("gas_density_coolprop.csv")
}

/// Relative tolerances of density and of pressure by mixture.
///
/// Reason: in CoolProp each pure gas has a longer equation of its own than in GERG-2008, and the mixing rules differ;
/// the tolerance is the next step above what the two differ by. A quarter of a percent of the gas in a full 12 L
/// cylinder is 8 g, far below what a diver can weigh. The pair helium-oxygen stands on few measurements in both
/// equations. Pressure answers density by more than one to one where the gas is stiff (1.1 to 1.4 at 300 bar), which
/// only heliox needs.
///
/// Largest deviation measured over the grid (each at 300 bar), density and pressure:
/// He 0.137 and 0.156 %, O₂ 0.173 and 0.216 %, N₂ 0.006 and 0.009 %, Ar 0.179 and 0.214 %, air with argon 0.063 and
/// 0.083 %, air of two gases 0.061 and 0.081 %, 32 % nitrox 0.085 and 0.112 %, 50 % nitrox 0.118 and 0.153 %, trimix
/// 18/45 0.195 and 0.243 %, 21/35 0.145 and 0.183 %, 10/70 0.335 and 0.402 %, heliox 16 1.105 and 1.284 %. Up to
/// 40 bar the largest of all is 0.072 %.
fn tolerances(mix: &str) -> (f64, f64) {
    match mix {
        "He" | "O2" | "N2" | "Ar" | "air_dry" | "air_O2N2" | "ean32" | "ean50" => (0.0025, 0.0025),
        "tx18_45" | "tx21_35" | "tx10_70" => (0.005, 0.005),
        "heliox16" => (0.012, 0.014),
        other => panic!("no tolerance for {other}"),
    }
}

// Computed with CoolProp 8.0.0 (HEOS); see tests/reference/README.md.
#[test]
fn density_follows_coolprop_over_the_whole_grid() {
    for row in grid() {
        let density = row.gas_mix().molar_density_mol_m3(row.pressure_pa(), row.temperature_k, REAL).unwrap();
        let deviation = density / row.molar_density_mol_m3() - 1.0;
        assert!(deviation.abs() < tolerances(&row.mix).0, "{}: {:+.3} %", row.place(), 100.0 * deviation);
    }
}

// Computed with CoolProp 8.0.0 (HEOS).
#[test]
fn pressure_from_density_follows_coolprop_over_the_whole_grid() {
    for row in grid() {
        let isotherm = Isotherm::new(row.gas_mix(), row.temperature_k, REAL).unwrap();
        let (of_density, of_pressure) = tolerances(&row.mix);
        let deviation = isotherm.pressure_pa(row.molar_density_mol_m3()) / row.pressure_pa() - 1.0;
        assert!(deviation.abs() < of_pressure, "{}: pressure {:+.3} %", row.place(), 100.0 * deviation);
        let deviation = isotherm.density_mol_m3(row.pressure_pa()) / row.molar_density_mol_m3() - 1.0;
        assert!(deviation.abs() < of_density, "{}: density {:+.3} %", row.place(), 100.0 * deviation);
    }
}

// Computed with CoolProp 8.0.0 (HEOS). Tolerance 0.1 %: at ambient pressure every gas is nearly ideal, and the
// equations differ by 0.072 % at the most (trimix 21/35, 40 bar, 0 °C).
#[test]
fn ambient_density_follows_coolprop() {
    let mut rows = 0;
    for row in grid().iter().filter(|row| AMBIENT_RANGE_PA.contains(&row.pressure_pa())) {
        let isotherm = Isotherm::new(row.gas_mix(), row.temperature_k, REAL).unwrap();
        let deviation = isotherm.ambient_mol_m3(row.pressure_pa()) / row.molar_density_mol_m3() - 1.0;
        assert!(deviation.abs() < 0.001, "{}: {:+.4} %", row.place(), 100.0 * deviation);
        rows += 1;
    }
    // 12 mixtures, 9 temperatures, the 11 pressures from 1 to 40 bar
    assert_eq!(rows, 12 * 9 * 11);
}

// Computed with CoolProp 8.0.0 (HEOS): its Z needs a molar mass and a gas constant, and ours must give the same Z from
// its density. Tolerance: the density is printed with five decimals, which is 0.003 % for helium at 1 bar.
#[test]
fn molar_mass_and_gas_constant_are_those_of_the_grid() {
    for row in grid() {
        assert_relative_eq!(row.gas_mix().n2_frac(), row.n2_frac, epsilon = 1e-12);
        let z = row.pressure_pa() / (row.molar_density_mol_m3() * GAS_CONSTANT_J_MOL_K * row.temperature_k);
        let rounding_frac = 0.5e-5 / row.rho_kg_m3 + 0.5e-6 / row.z;
        // 1e-5: molar masses are tabulated to five or six figures
        assert_relative_eq!(z, row.z, max_relative = rounding_frac + 1e-5);
    }
}

/// Pressures of the handbook table, bar absolute.
const TABLE_BAR: [f64; 12] = [1.0, 5.0, 10.0, 20.0, 40.0, 60.0, 80.0, 100.0, 150.0, 200.0, 250.0, 300.0];

/// Holds Z of dry air, by a molar density at a pressure in Pa, against a row of the handbook table.
///
/// Source: Perry's Chemical Engineers' Handbook, table of compressibility factors of air; from memory. Tolerance 0.15
/// %: four printed decimals, and a table older than either equation (CoolProp 8.0.0 lies within 0.093 % of it, ours
/// within 0.088 %).
fn hold_against_table(temperature_k: f64, printed: [f64; 12], molar_density_mol_m3: impl Fn(f64) -> f64) {
    for (bar, printed) in TABLE_BAR.into_iter().zip(printed) {
        let pressure_pa = bar * BAR_PA;
        let z = pressure_pa / (molar_density_mol_m3(pressure_pa) * GAS_CONSTANT_J_MOL_K * temperature_k);
        assert!((z / printed - 1.0).abs() < 0.0015, "{bar} bar, {temperature_k} K: Z = {z:.5}, printed {printed}");
    }
}

// Perry's Chemical Engineers' Handbook, from memory.
#[test]
fn air_at_300_k_follows_the_handbook_table() {
    let printed = [0.9999, 0.9987, 0.9974, 0.9950, 0.9917, 0.9901, 0.9903, 0.9930, 1.0074, 1.0326, 1.0669, 1.1089];
    hold_against_table(300.0, printed, |p| GasMix::AIR.molar_density_mol_m3(p, 300.0, REAL).unwrap());
}

// Perry's Chemical Engineers' Handbook, from memory. 250 K is colder than a state of the program may be, so this row
// holds the equation that the program uses, composed like its air.
#[test]
fn air_at_250_k_follows_the_handbook_table() {
    let printed = [0.9992, 0.9957, 0.9911, 0.9822, 0.9671, 0.9549, 0.9463, 0.9411, 0.9450, 0.9713, 1.0152, 1.0702];
    assert!(matches!(GasMix::AIR.molar_density_mol_m3(1e5, 250.0, REAL), Err(GasError::Temperature { .. })));
    let mut equation = Gerg2008::new();
    let air = Composition {
        oxygen: GasMix::AIR.o2_frac(),
        nitrogen: GasMix::AIR.n2_frac(),
        argon: GasMix::AIR.ar_frac(),
        ..Composition::default()
    };
    equation.set_composition(&air).unwrap();
    equation.t = 250.0;
    hold_against_table(250.0, printed, |p| {
        // the crate counts in kPa and mol/L
        let mut state = equation;
        state.p = p / 1e3;
        state.density(0).unwrap();
        state.d * 1e3
    });
}

// Perry's Chemical Engineers' Handbook, from memory.
#[test]
fn air_at_350_k_follows_the_handbook_table() {
    let printed = [1.0000, 1.0002, 1.0004, 1.0014, 1.0038, 1.0075, 1.0121, 1.0183, 1.0377, 1.0635, 1.0947, 1.1303];
    hold_against_table(350.0, printed, |p| GasMix::AIR.molar_density_mol_m3(p, 350.0, REAL).unwrap());
}

// Computed with CoolProp 8.0.0: at 232 bar and 20 °C Z of 18/45 is 1.1346, while the mole-weighted mean of the pure
// gases is 1.0685. That linear rule is 4 to 6 % low for helium mixtures (4.7 % heliox 16, 4.8 % 10/70, 5.5 % 21/35,
// 5.8 % 18/45); the program must not follow it. Tolerances as over the whole grid; the linear rule misses by more than
// three times as much.
#[test]
fn helium_mixtures_are_not_the_weighted_mean_of_the_pure_gases() {
    let z = |mix: GasMix| {
        let density = mix.molar_density_mol_m3(232.0 * BAR_PA, 293.15, REAL).unwrap();
        232.0 * BAR_PA / (density * GAS_CONSTANT_J_MOL_K * 293.15)
    };
    let [z_o2, z_he, z_n2] = [GasMix::OXYGEN, GasMix::HELIUM, GasMix::new(0.0, 0.0).unwrap()].map(z);
    let mut seen = 0;
    for row in grid().iter().filter(|r| r.temperature_k == 293.15 && r.pressure_kpa == 23_200.0) {
        let mix = row.gas_mix();
        if mix.he_frac() == 0.0 || mix.he_frac() == 1.0 {
            continue;
        }
        let linear = mix.o2_frac() * z_o2 + mix.he_frac() * z_he + mix.n2_frac() * z_n2;
        let (tolerance, _) = tolerances(&row.mix);
        assert!((z(mix) / row.z - 1.0).abs() < tolerance, "{}: {}", row.place(), z(mix));
        let low_frac = 1.0 - linear / row.z;
        assert!((0.04..0.06).contains(&low_frac), "{}: linear rule {low_frac}", row.place());
        assert!(low_frac > 3.0 * tolerance, "{}: the two rules are told apart", row.place());
        if row.mix == "tx18_45" {
            assert_relative_eq!(linear, 1.0685, max_relative = 0.005);
            assert_relative_eq!(z(mix), 1.1346, max_relative = 0.005);
        }
        seen += 1;
    }
    assert_eq!(seen, 4, "three trimixes and a heliox");
}

// Computed with CoolProp 8.0.0 (1.20008 kg/m³). Tolerance 0.2 %; the two equations differ by less than 0.01 % here, the
// rest is room for another dry air (0.06 % by its argon and carbon dioxide).
#[test]
fn dry_air_of_a_us_fill_station_weighs_1_2001() {
    let density = GasMix::AIR.molar_density_mol_m3(14.7 * PSI_PA, fahrenheit_to_k(70.0), REAL).unwrap();
    assert_relative_eq!(density * GasMix::AIR.molar_kg_mol(), 1.2001, max_relative = 0.002);
}
