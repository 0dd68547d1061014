//! The only conversion factors and physical constants of the program.
//!
//! Inside, everything is SI: metre, second, kilogram, pascal, kelvin, mole. A factor here turns one of the named unit
//! into SI by multiplication; temperatures have functions because their scales have different zeros.
//!
//! Factors marked *exact* are exact by definition (Source: NIST Special Publication 811 (2008), Appendix B; the pound
//! and the foot by the international yard and pound agreement of 1959).

mod quantity;

pub use quantity::{Quantity, Shown, Unit, UnitSystem};

/// Standard acceleration of free fall, m/s². Exact by convention (3rd CGPM 1901; ISO 80000-3).
pub const STANDARD_GRAVITY_M_S2: f64 = 9.806_65;
/// Molar gas constant, J/(mol·K). Exact since the 2019 revision of the SI (CODATA 2018).
pub const GAS_CONSTANT_J_MOL_K: f64 = 8.314_462_618;
/// Standard atmosphere, Pa. Exact by definition (10th CGPM 1954); gauge pressures are counted from it.
pub const ATMOSPHERE_PA: f64 = 101_325.0;
/// Zero of the Celsius scale, K. Exact by definition.
pub const ZERO_CELSIUS_K: f64 = 273.15;

/// Pascals in a bar. Exact.
pub const BAR_PA: f64 = 1e5;
/// Pascals in a millibar, which is a hectopascal. Exact.
pub const MILLIBAR_PA: f64 = 100.0;
/// Pascals in a pound-force per square inch: lb × g₀ / in². Exact by its parts.
pub const PSI_PA: f64 = POUND_KG * STANDARD_GRAVITY_M_S2 / (INCH_M * INCH_M);
/// Metres in a millimetre. Exact.
pub const MILLIMETRE_M: f64 = 1e-3;
/// Metres in a centimetre. Exact.
pub const CENTIMETRE_M: f64 = 1e-2;
/// Metres in an inch. Exact.
pub const INCH_M: f64 = 0.0254;
/// Metres in a foot. Exact.
pub const FOOT_M: f64 = 0.3048;
/// Kilograms in a pound (avoirdupois). Exact.
pub const POUND_KG: f64 = 0.453_592_37;
/// Kilograms in an ounce (avoirdupois). Exact.
pub const OUNCE_KG: f64 = POUND_KG / 16.0;
/// Cubic metres in a litre. Exact.
pub const LITRE_M3: f64 = 1e-3;
/// Cubic metres in a cubic foot. Exact.
pub const CUBIC_FOOT_M3: f64 = FOOT_M * FOOT_M * FOOT_M;
/// Cubic metres in a cubic inch. Exact.
pub const CUBIC_INCH_M3: f64 = INCH_M * INCH_M * INCH_M;
/// Square metres in a square foot. Exact.
pub const SQUARE_FOOT_M2: f64 = FOOT_M * FOOT_M;
/// Seconds in a minute. Exact.
pub const MINUTE_S: f64 = 60.0;
/// Seconds in an hour. Exact.
pub const HOUR_S: f64 = 3600.0;
/// Kilograms per cubic metre in a pound per cubic foot. Exact by its parts.
pub const POUND_PER_CUBIC_FOOT_KG_M3: f64 = POUND_KG / CUBIC_FOOT_M3;
/// Newton metres in a pound-force foot: lb × g₀ × ft. Exact by its parts.
pub const POUND_FOOT_NM: f64 = POUND_KG * STANDARD_GRAVITY_M_S2 * FOOT_M;
/// Pascals in a decibar, the unit of sea pressure in TEOS-10. Exact.
pub const DECIBAR_PA: f64 = 1e4;

/// Grams of salt per kilogram of reference-composition sea water and unit of practical salinity: `S_R = u_PS·S_P`.
/// Source: Millero et al. 2008, Deep-Sea Research I 55, 50; TEOS-10 manual, section 2.4.
pub const REFERENCE_SALINITY_RATIO: f64 = 35.165_04 / 35.0;

/// Kelvin from degrees Celsius.
pub fn celsius_to_k(celsius: f64) -> f64 {
    celsius + ZERO_CELSIUS_K
}

/// Degrees Celsius from kelvin.
pub fn k_to_celsius(temperature_k: f64) -> f64 {
    temperature_k - ZERO_CELSIUS_K
}

/// Kelvin from degrees Fahrenheit.
pub fn fahrenheit_to_k(fahrenheit: f64) -> f64 {
    (fahrenheit - 32.0) / 1.8 + ZERO_CELSIUS_K
}

/// Degrees Fahrenheit from kelvin.
pub fn k_to_fahrenheit(temperature_k: f64) -> f64 {
    (temperature_k - ZERO_CELSIUS_K) * 1.8 + 32.0
}

#[cfg(test)]
mod tests {
    use super::*;

    // NIST SP 811 (2008), Appendix B.9, as printed there (seven figures): from memory.
    #[test]
    fn factors_agree_with_the_printed_table() {
        for (ours, printed) in [
            (PSI_PA, 6.894_757e3),
            (CUBIC_FOOT_M3, 2.831_685e-2),
            (CUBIC_INCH_M3, 1.638_706e-5),
            (POUND_PER_CUBIC_FOOT_KG_M3, 1.601_846e1),
            (OUNCE_KG, 2.834_952e-2),
        ] {
            assert!((ours / printed - 1.0).abs() < 5e-7, "{ours} against {printed}");
        }
    }

    #[test]
    fn temperatures_meet_at_minus_forty() {
        assert!((celsius_to_k(-40.0) - fahrenheit_to_k(-40.0)).abs() < 1e-12);
        assert!((k_to_fahrenheit(fahrenheit_to_k(77.0)) - 77.0).abs() < 1e-12);
        assert!((k_to_celsius(fahrenheit_to_k(77.0)) - 25.0).abs() < 1e-12);
    }
}
