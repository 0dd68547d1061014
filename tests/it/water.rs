//! Water and air pressure against TEOS-10, EOS-80, the density of pure water, the depth conventions of the trade, and
//! the standard atmosphere.

use crate::common;
use approx::{assert_abs_diff_eq, assert_relative_eq};
use lightpoint::internals::physics::atmosphere::standard_pressure_pa;
use lightpoint::internals::physics::water::{Brine, INSTRUMENT_PA_M, Layer, Water, density_kg_m3};
use lightpoint::internals::units::REFERENCE_SALINITY_RATIO;
use lightpoint::internals::units::{
    ATMOSPHERE_PA, BAR_PA, DECIBAR_PA, FOOT_M, POUND_PER_CUBIC_FOOT_KG_M3, STANDARD_GRAVITY_M_S2, celsius_to_k,
};
use serde::Deserialize;

/// Absolute Salinities and sea pressures of the TEOS-10 example, g/kg and dbar.
const EXAMPLE: [(f64, f64); 6] =
    [(34.7118, 10.0), (34.8915, 50.0), (35.0256, 125.0), (34.8472, 250.0), (34.7366, 600.0), (34.7324, 1000.0)];

/// Density by practical salinity, in-situ temperature and sea pressure, kg/m³.
fn sea_kg_m3(practical_salinity: f64, celsius: f64, sea_dbar: f64) -> f64 {
    let pressure_pa = ATMOSPHERE_PA + sea_dbar * DECIBAR_PA;
    density_kg_m3(Brine::PracticalSalinity(practical_salinity), celsius_to_k(celsius), pressure_pa)
}

/// A column of one constant density under one atmosphere.
fn constant(density_kg_m3: f64) -> Water {
    let layer = Layer { top_m: 0.0, brine: Brine::Density(density_kg_m3), temperature_k: celsius_to_k(10.0) };
    Water::new(ATMOSPHERE_PA, &[layer]).unwrap()
}

// Seen in the documentation of gsw_rho, www.teos-10.org (version 3.05: 75-term equation), example. It holds the library
// function on which our density stands. Tolerance 1e-12: the same polynomial, thirteen to sixteen figures printed.
#[test]
fn the_density_polynomial_gives_the_printed_example_of_teos_10() {
    let conservative_c = [28.8099, 28.4392, 22.7862, 10.2262, 6.8272, 4.3236];
    let printed = [
        1021.839935738108,
        1022.262457966867,
        1024.427195413316,
        1027.790152759127,
        1029.837779000189,
        1032.002453224572,
    ];
    for (((salinity, dbar), ct), printed) in EXAMPLE.into_iter().zip(conservative_c).zip(printed) {
        assert_relative_eq!(gsw::volume::rho(salinity, ct, dbar).unwrap(), printed, max_relative = 1e-12);
    }
}

// Seen in the documentation of gsw_rho_t_exact, www.teos-10.org, example: the same six waters by in-situ temperature
// and the full Gibbs function. Our density takes in-situ temperature too, and practical salinity. Tolerance 1e-6: the
// 75-term polynomial lies so near the Gibbs function, and the explicit potential temperature adds less than half of it
// (largest of the six: 5.9e-7).
#[test]
fn density_by_in_situ_temperature_gives_the_printed_example_of_teos_10() {
    let in_situ_c = [28.7856, 28.4329, 22.8103, 10.2600, 6.8863, 4.4036];
    let printed = [
        1021.840173185531,
        1022.262689926782,
        1024.427715941676,
        1027.790201811623,
        1029.837714725961,
        1032.002404116447,
    ];
    for (((salinity, dbar), t), printed) in EXAMPLE.into_iter().zip(in_situ_c).zip(printed) {
        let ours = sea_kg_m3(salinity / REFERENCE_SALINITY_RATIO, t, dbar);
        assert_relative_eq!(ours, printed, max_relative = 1e-6);
    }
}

// Seen in Fofonoff and Millard 1983, UNESCO Technical Papers in Marine Science 44, p. 19 (EOS-80, temperatures of
// IPTS-68). Tolerance 0.005 kg/m³: an older formulation of the same sea water, and 25 °C of IPTS-68 is 0.006 °C less
// today, which is 0.002 kg/m³. Measured: 0.0011 kg/m³ at the most.
#[test]
fn density_stays_near_eos_80() {
    for (salinity, t68_c, printed) in
        [(0.0, 5.0, 999.96675), (0.0, 25.0, 997.04796), (35.0, 5.0, 1027.67547), (35.0, 25.0, 1023.34306)]
    {
        assert_abs_diff_eq!(sea_kg_m3(salinity, t68_c, 0.0), printed, epsilon = 0.005);
    }
}

// Computed with the formula of Tanaka et al. 2001, Metrologia 38, 301 (pure water at 1 atm, free of air; the formula
// from memory). Tolerance 0.005 kg/m³: isotopes and dissolved air, which neither formula follows in a lake, change the
// density by a few thousandths; rounding is 0.0001. Measured: 0.0012 kg/m³ at the most.
#[test]
fn fresh_water_stays_near_the_density_of_pure_water() {
    for (celsius, computed) in [(4.0, 999.9749), (10.0, 999.7027), (16.0, 998.9459), (20.0, 998.2067)] {
        assert_abs_diff_eq!(sea_kg_m3(0.0, celsius, 0.0), computed, epsilon = 0.005);
    }
}

/// A row of `seawater_density_gsw.csv`.
#[derive(Deserialize)]
struct Row {
    #[serde(rename = "SP")]
    practical_salinity: f64,
    #[serde(rename = "t_C")]
    celsius: f64,
    #[serde(rename = "p_dbar")]
    sea_dbar: f64,
    #[serde(rename = "SA_ref")]
    absolute_g_kg: f64,
    #[serde(rename = "rho")]
    density_kg_m3: f64,
}

// Computed with GSW-Python 3.6.23; see tests/reference/README.md. Tolerance 1e-6: the same polynomial, but a potential
// temperature without its iteration. Measured: 4.1e-7 at the most. A tenth of a kilogram of lift in a diver of 100 kg
// would need 1e-3.
#[test]
fn density_follows_gsw_over_the_whole_grid() {
    for row in common::rows::<Row>("seawater_density_gsw.csv") {
        let place = format!("salinity {}, {} °C, {} dbar", row.practical_salinity, row.celsius, row.sea_dbar);
        let deviation = sea_kg_m3(row.practical_salinity, row.celsius, row.sea_dbar) / row.density_kg_m3 - 1.0;
        assert!(deviation.abs() < 1e-6, "{place}: {deviation:e}");
        // six decimals printed
        assert_abs_diff_eq!(row.practical_salinity * REFERENCE_SALINITY_RATIO, row.absolute_g_kg, epsilon = 0.6e-6);
    }
}

// Computed with GSW-Python 3.6.23: dp/dz = rho*g from 1 atm, g = 9.80665 m/s², midpoint steps of 5 cm. Tolerance 1e-6,
// as for the density that is integrated.
#[test]
fn pressure_at_depth_follows_the_integral_of_gsw_density() {
    for (salinity, celsius, depth_m, sea_pa) in [
        (35.0, 10.0, 40.0, 402_874.926),
        (35.0, 10.0, 100.0, 1_007_321.285),
        (33.0, 7.0, 40.0, 402_440.387),
        (33.0, 7.0, 100.0, 1_006_237.049),
        (0.0, 10.0, 40.0, 392_186.343),
        (0.0, 10.0, 100.0, 980_603.594),
    ] {
        let brine = Brine::PracticalSalinity(salinity);
        let layer = Layer { top_m: 0.0, brine, temperature_k: celsius_to_k(celsius) };
        let water = Water::new(ATMOSPHERE_PA, &[layer]).unwrap();
        assert_relative_eq!(water.pressure_pa(0, depth_m) - ATMOSPHERE_PA, sea_pa, max_relative = 1e-6);
    }
}

// Seen in a description of EN 13319:2000: a depth gauge shows 10 m for 1 bar, which is water of 1019.7 kg/m³. Tolerance
// 0.01 %: the density is printed with five figures.
#[test]
fn an_instrument_shows_true_depth_in_water_of_en_13319() {
    assert_relative_eq!(INSTRUMENT_PA_M / STANDARD_GRAVITY_M_S2, 1019.7, max_relative = 1e-4);
    let water = constant(1019.7);
    for depth_m in [3.0, 10.0, 30.0, 100.0] {
        assert_relative_eq!(water.depth_of_instrument_m(depth_m).unwrap(), depth_m, max_relative = 1e-4);
        assert_relative_eq!(water.pressure_pa(0, depth_m), ATMOSPHERE_PA + 0.1 * depth_m * BAR_PA, max_relative = 1e-4);
    }
}

// Identity: the same pressure needs more of a lighter water, by the ratio of the densities. EN 13319 as above.
#[test]
fn an_instrument_made_for_the_standard_reads_too_shallow_in_fresh_water() {
    let fresh = constant(999.1);
    let true_m = fresh.depth_of_instrument_m(30.0).unwrap();
    assert_relative_eq!(true_m, 30.0 * 1019.7 / 999.1, max_relative = 1e-4);
}

// Seen in the US Navy Diving Manual: sea water weighs 64 lb/ft³, fresh water 62.4 lb/ft³, and 33 feet of sea water are
// one atmosphere. Tolerance 0.2 %: round figures; 33 ft of 64 lb/ft³ are 0.9980 atm by the manual's own numbers.
#[test]
fn us_navy_water_weighs_what_ours_does() {
    let sea = 64.0 * POUND_PER_CUBIC_FOOT_KG_M3;
    let fresh = 62.4 * POUND_PER_CUBIC_FOOT_KG_M3;
    assert_relative_eq!(sea_kg_m3(35.0, 15.0, 0.0), sea, max_relative = 0.002);
    assert_relative_eq!(sea_kg_m3(0.0, 15.0, 0.0), fresh, max_relative = 0.002);
    let feet = constant(sea).pressure_pa(0, 33.0 * FOOT_M) - ATMOSPHERE_PA;
    assert_relative_eq!(feet, ATMOSPHERE_PA, max_relative = 0.002);
}

// Seen in the tables of ISO 2533:1975 (the ICAO atmosphere), geopotential altitude. Tolerance 0.1 Pa,
// the last printed digit.
#[test]
fn air_pressure_follows_the_standard_atmosphere() {
    for (altitude_m, printed_pa) in [
        (0.0, 101_325.0),
        (500.0, 95_460.8),
        (1000.0, 89_874.6),
        (2000.0, 79_495.2),
        (3000.0, 70_108.5),
        (4000.0, 61_640.2),
    ] {
        assert_abs_diff_eq!(standard_pressure_pa(altitude_m).unwrap(), printed_pa, epsilon = 0.1);
    }
}
