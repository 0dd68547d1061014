//! The units that a plan may use, by physical kind.

use crate::estimate::Kind;
use crate::physics::water::REFERENCE_SALINITY_RATIO;
use crate::units::*;

/// A unit: its spellings, and `SI = factor·number + zero`.
#[derive(Debug, PartialEq)]
pub struct Unit {
    /// Spellings; the first is the one shown.
    pub names: &'static [&'static str],
    /// SI units in one of it.
    pub factor: f64,
    /// SI value of its zero (temperatures only).
    pub zero: f64,
}

impl Unit {
    const fn of(names: &'static [&'static str], factor: f64) -> Self {
        Self { names, factor, zero: 0.0 }
    }

    /// A number of this unit, SI.
    pub fn si(&self, number: f64) -> f64 {
        number * self.factor + self.zero
    }
}

/// A physical kind as a type.
pub trait Dimension {
    /// The same as a value.
    const KIND: Kind;
    /// What is measured, for messages.
    const NAME: &'static str;
    /// A quantity as a plan would write it.
    const EXAMPLE: &'static str;
    /// Its units.
    const UNITS: &'static [Unit];
}

macro_rules! dimension {
    ($(#[$doc:meta])* $name:ident, $text:literal, $example:literal, [$(($($spelling:literal)|+, $factor:expr)),+ $(,)?]) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq)]
        pub enum $name {}
        impl Dimension for $name {
            const KIND: Kind = Kind::$name;
            const NAME: &'static str = $text;
            const EXAMPLE: &'static str = $example;
            const UNITS: &'static [Unit] = &[$(Unit::of(&[$($spelling),+], $factor)),+];
        }
    };
}

dimension!(
    /// Mass, kg.
    Mass, "mass", "13.4 kg",
    [("kg", 1.0), ("g", 1e-3), ("lb" | "lbs", POUND_KG), ("oz", OUNCE_KG)]
);
dimension!(
    /// Volume, m³.
    Volume, "volume", "10.5 L",
    [
        ("L" | "l" | "dm3" | "dm³" | "litre" | "litres" | "liter" | "liters", LITRE_M3),
        ("mL" | "ml" | "cm3" | "cm³", LITRE_M3 / 1e3),
        ("m3" | "m³", 1.0),
        ("cuft" | "cu ft" | "ft3" | "ft³", CUBIC_FOOT_M3),
        ("cuin" | "cu in" | "in3" | "in³", CUBIC_INCH_M3),
    ]
);
dimension!(
    /// Length or depth, m.
    Length, "length", "21 m",
    [("m", 1.0), ("ft", FOOT_M), ("cm", 1e-2), ("mm", 1e-3), ("in", INCH_M)]
);
dimension!(
    /// Area, m².
    Area, "area", "2.0 m2",
    [("m2" | "m²", 1.0), ("cm2" | "cm²", 1e-4), ("sqft" | "sq ft" | "ft2" | "ft²", SQUARE_FOOT_M2)]
);
dimension!(
    /// Pressure, Pa.
    Pressure, "pressure", "220 bar",
    [
        ("bar", BAR_PA),
        ("psi", PSI_PA),
        ("mbar" | "hPa", MILLIBAR_PA),
        ("MPa", 1e6),
        ("kPa", 1e3),
        ("Pa", 1.0),
        ("atm", ATMOSPHERE_PA),
    ]
);
dimension!(
    /// Duration, s.
    Duration, "time", "22 min",
    [("min", MINUTE_S), ("s" | "sec", 1.0), ("h", HOUR_S)]
);
dimension!(
    /// Speed, m/s.
    Speed, "speed", "9 m/min",
    [("m/min", 1.0 / MINUTE_S), ("ft/min", FOOT_M / MINUTE_S), ("m/s", 1.0)]
);
dimension!(
    /// Volume per time, m³/s.
    FlowRate, "breathing rate", "18 L/min",
    [
        ("L/min" | "l/min", LITRE_M3 / MINUTE_S),
        ("cuft/min" | "cu ft/min" | "ft3/min" | "ft³/min", CUBIC_FOOT_M3 / MINUTE_S),
    ]
);
dimension!(
    /// Density, kg/m³.
    Density, "density", "1025 kg/m3",
    [
        ("kg/m3" | "kg/m³", 1.0),
        ("kg/L" | "kg/l" | "g/cm3" | "g/cm³" | "g/mL" | "g/ml", 1e3),
        ("lb/cuft" | "lb/ft3" | "lb/ft³" | "lb/cu ft", POUND_PER_CUBIC_FOOT_KG_M3),
    ]
);
dimension!(
    /// Share of a whole.
    Fraction, "share", "74 %",
    [("%", 0.01)]
);
dimension!(
    /// Practical salinity; `g/kg` is reference-composition salinity and converted.
    Salinity, "salinity", "35 PSU",
    [("PSU" | "psu", 1.0), ("g/kg", 1.0 / REFERENCE_SALINITY_RATIO)]
);

/// Temperature, K.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Temperature {}

/// Kelvin in a degree Fahrenheit.
const FAHRENHEIT_K: f64 = 1.0 / 1.8;

impl Dimension for Temperature {
    const KIND: Kind = Kind::Temperature;
    const NAME: &'static str = "temperature";
    const EXAMPLE: &'static str = "7 °C";
    const UNITS: &'static [Unit] = &[
        Unit { names: &["°C", "C", "degC", "ºC"], factor: 1.0, zero: ZERO_CELSIUS_K },
        Unit { names: &["°F", "F", "degF", "ºF"], factor: FAHRENHEIT_K, zero: ZERO_CELSIUS_K - 32.0 * FAHRENHEIT_K },
        Unit { names: &["K"], factor: 1.0, zero: 0.0 },
    ];
}

/// The units of a physical kind.
pub(crate) fn units_of(kind: Kind) -> &'static [Unit] {
    match kind {
        Kind::Mass => Mass::UNITS,
        Kind::Volume => Volume::UNITS,
        Kind::Length => Length::UNITS,
        Kind::Area => Area::UNITS,
        Kind::Pressure => Pressure::UNITS,
        Kind::Temperature => Temperature::UNITS,
        Kind::Duration => Duration::UNITS,
        Kind::Speed => Speed::UNITS,
        Kind::FlowRate => FlowRate::UNITS,
        Kind::Density => Density::UNITS,
        Kind::Fraction => Fraction::UNITS,
        Kind::Salinity => Salinity::UNITS,
    }
}

/// The units of a kind in words: `kg, g, lb or oz`.
pub fn unit_list<D: Dimension>() -> String {
    let names: Vec<&str> = D::UNITS.iter().map(|unit| unit.names[0]).collect();
    crate::plan::words::any_of(&names)
}

/// The unit of a table column, by its last word in the header: `depth_ft` has feet.
pub(crate) fn column_unit<D: Dimension>(suffix: &str) -> Option<&'static Unit> {
    let wanted = suffix.replace("_per_", "/").replace('_', "/");
    D::UNITS.iter().find(|unit| unit.names.iter().any(|name| name.eq_ignore_ascii_case(&wanted)))
}
