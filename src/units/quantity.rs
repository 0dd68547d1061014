//! What is measured: its name, the units in which a plan may have it, the units in which a reader sees it.

use super::*;

/// What is measured. Inside, its value is SI; each variant says which unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Quantity {
    /// Mass or lift, kg.
    Mass,
    /// Volume, m³.
    Volume,
    /// Length, distance or depth, m.
    Length,
    /// Area, m².
    Area,
    /// Pressure as it is, Pa: absolute in a result; what a gauge shows where a plan has it.
    Pressure,
    /// Absolute pressure that is shown as a gauge reads it, Pa.
    GaugePressure,
    /// Partial pressure of a gas, Pa: absolute everywhere.
    PartialPressure,
    /// Temperature, K.
    Temperature,
    /// Time, s.
    Duration,
    /// Speed, m/s.
    Speed,
    /// Volume a time, m³/s.
    FlowRate,
    /// Density, kg/m³.
    Density,
    /// Share of a whole, 1.
    Fraction,
    /// Practical salinity, 1.
    Salinity,
    /// Torque, N·m.
    Torque,
    /// Volume of gas that a mass takes up, m³/kg.
    SpecificVolume,
}

/// Which units the reader wants.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum UnitSystem {
    /// kg, m, L, bar, °C.
    #[default]
    Metric,
    /// lb, ft, cu ft, psi, °F.
    Us,
}

/// A unit that a plan may use: its spellings, and `SI = factor·number + zero`.
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

/// A unit in which a reader sees a quantity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shown {
    /// Its symbol.
    pub symbol: &'static str,
    /// Ending of a column's name: `net_kg`, `depth_ft`.
    pub suffix: &'static str,
    /// Usual decimals in text.
    pub decimals: usize,
    /// SI units in one of it.
    pub factor: f64,
    /// SI value of its zero: of a scale of temperature, of a gauge.
    pub zero: f64,
}

impl Shown {
    const fn of(symbol: &'static str, suffix: &'static str, decimals: usize, factor: f64) -> Self {
        Self { symbol, suffix, decimals, factor, zero: 0.0 }
    }

    const fn from(self, zero: f64) -> Self {
        Self { zero, ..self }
    }

    /// An SI value as a number of this unit.
    pub fn number(&self, si: f64) -> f64 {
        (si - self.zero) / self.factor
    }

    /// A number of this unit, SI.
    pub fn si(&self, number: f64) -> f64 {
        number * self.factor + self.zero
    }
}

/// Kelvin in a degree Fahrenheit.
const FAHRENHEIT_K: f64 = 1.0 / 1.8;
/// Zero of the Fahrenheit scale, K.
const ZERO_FAHRENHEIT_K: f64 = ZERO_CELSIUS_K - 32.0 * FAHRENHEIT_K;
/// Cubic metres a second in a litre a minute.
const LITRE_MIN_M3_S: f64 = LITRE_M3 / MINUTE_S;
/// Cubic metres a second in a cubic foot a minute.
const CUBIC_FOOT_MIN_M3_S: f64 = CUBIC_FOOT_M3 / MINUTE_S;

macro_rules! units {
    ($(($($spelling:literal)|+, $factor:expr)),+ $(,)?) => {
        &[$(Unit::of(&[$($spelling),+], $factor)),+]
    };
}

const MASS: &[Unit] = units![("kg", 1.0), ("g", 1e-3), ("lb" | "lbs", POUND_KG), ("oz", OUNCE_KG)];
const VOLUME: &[Unit] = units![
    ("L" | "l" | "dm3" | "dm³" | "litre" | "litres" | "liter" | "liters", LITRE_M3),
    ("mL" | "ml" | "cm3" | "cm³", LITRE_M3 / 1e3),
    ("m3" | "m³", 1.0),
    ("cuft" | "cu ft" | "ft3" | "ft³", CUBIC_FOOT_M3),
    ("cuin" | "cu in" | "in3" | "in³", CUBIC_INCH_M3),
];
const LENGTH: &[Unit] = units![("m", 1.0), ("ft", FOOT_M), ("cm", CENTIMETRE_M), ("mm", MILLIMETRE_M), ("in", INCH_M)];
const AREA: &[Unit] =
    units![("m2" | "m²", 1.0), ("cm2" | "cm²", 1e-4), ("sqft" | "sq ft" | "ft2" | "ft²", SQUARE_FOOT_M2)];
const PRESSURE: &[Unit] = units![
    ("bar", BAR_PA),
    ("psi", PSI_PA),
    ("mbar" | "hPa", MILLIBAR_PA),
    ("MPa", 1e6),
    ("kPa", 1e3),
    ("Pa", 1.0),
    ("atm", ATMOSPHERE_PA),
];
const TEMPERATURE: &[Unit] = &[
    Unit { names: &["°C", "C", "degC", "ºC"], factor: 1.0, zero: ZERO_CELSIUS_K },
    Unit { names: &["°F", "F", "degF", "ºF"], factor: FAHRENHEIT_K, zero: ZERO_FAHRENHEIT_K },
    Unit { names: &["K"], factor: 1.0, zero: 0.0 },
];
const DURATION: &[Unit] = units![("min", MINUTE_S), ("s" | "sec", 1.0), ("h", HOUR_S)];
const SPEED: &[Unit] = units![("m/min", 1.0 / MINUTE_S), ("ft/min", FOOT_M / MINUTE_S), ("m/s", 1.0)];
const FLOW_RATE: &[Unit] = units![
    ("L/min" | "l/min", LITRE_MIN_M3_S),
    ("cuft/min" | "cu ft/min" | "ft3/min" | "ft³/min", CUBIC_FOOT_MIN_M3_S),
];
const DENSITY: &[Unit] = units![
    ("kg/m3" | "kg/m³", 1.0),
    ("kg/L" | "kg/l" | "g/cm3" | "g/cm³" | "g/mL" | "g/ml", 1e3),
    ("lb/cuft" | "lb/ft3" | "lb/ft³" | "lb/cu ft", POUND_PER_CUBIC_FOOT_KG_M3),
];
const FRACTION: &[Unit] = units![("%", 0.01)];
/// Gas of 0 °C and 1 atm for each mass of what takes it up.
const SPECIFIC_VOLUME: &[Unit] =
    units![("L/kg" | "l/kg", LITRE_M3), ("cuft/lb" | "cu ft/lb" | "ft3/lb" | "ft³/lb", CUBIC_FOOT_M3 / POUND_KG),];
/// A newton metre has many spellings and one meaning.
const TORQUE: &[Unit] =
    units![("N·m" | "N m" | "Nm" | "N*m", 1.0), ("lbf·ft" | "lbf ft" | "lb ft" | "ft lb" | "ft lbf", POUND_FOOT_NM)];
// g/kg is reference-composition salinity, and converted
const SALINITY: &[Unit] = units![("PSU" | "psu", 1.0), ("g/kg", 1.0 / REFERENCE_SALINITY_RATIO)];

impl UnitSystem {
    /// The unit in which a reader sees the length of what is worn: a cylinder's, a place on the body.
    pub fn short_length(self) -> Shown {
        match self {
            Self::Metric => Shown::of("cm", "cm", 0, CENTIMETRE_M),
            Self::Us => Shown::of("in", "in", 0, INCH_M),
        }
    }
}

impl Quantity {
    /// Largest amount that a plan may have of it, SI: generous, and far below where numbers lose their sense. A diver
    /// with everything weighs below 300 kg and displaces below 0.4 m³.
    pub fn most(self) -> f64 {
        match self {
            Self::Mass => 1000.0,
            Self::Volume => 1.0,
            Self::Length => 10_000.0,
            Self::Area => 10.0,
            // five times the fill of any cylinder
            Self::Pressure | Self::GaugePressure | Self::PartialPressure => 2e8,
            Self::Temperature => 1000.0,
            // a hundred days
            Self::Duration => 100.0 * 24.0 * HOUR_S,
            // a free fall of a kilometre ends at 140 m/s
            Self::Speed => 140.0,
            Self::FlowRate => 1.0,
            // osmium, the densest there is, has 22 600
            Self::Density => 25_000.0,
            Self::Fraction => 1.0,
            Self::Salinity => 1000.0,
            // three hundred kilograms at an arm of a third of a metre
            Self::Torque => 1000.0,
            // a kilogram takes up less than its own mass, half a cubic metre of carbon dioxide
            Self::SpecificVolume => 1.0,
        }
    }

    /// What is measured, for messages, and a value as a plan has it.
    fn words(self) -> (&'static str, &'static str) {
        match self {
            Self::Mass => ("mass", "13.4 kg"),
            Self::Volume => ("volume", "10.5 L"),
            Self::Length => ("length", "21 m"),
            Self::Area => ("area", "2.0 m2"),
            Self::Pressure | Self::GaugePressure => ("pressure", "220 bar"),
            Self::PartialPressure => ("partial pressure", "1.3 bar"),
            Self::Temperature => ("temperature", "7 °C"),
            Self::Duration => ("time", "22 min"),
            Self::Speed => ("speed", "9 m/min"),
            Self::FlowRate => ("breathing rate", "18 L/min"),
            Self::Density => ("density", "1025 kg/m3"),
            Self::Fraction => ("share", "74 %"),
            Self::Salinity => ("salinity", "35 PSU"),
            Self::Torque => ("torque", "10 N·m"),
            Self::SpecificVolume => ("volume for each mass", "120 L/kg"),
        }
    }

    /// What is measured, for messages.
    pub fn name(self) -> &'static str {
        self.words().0
    }

    /// A value as a plan has it.
    pub fn example(self) -> &'static str {
        self.words().1
    }

    /// The units that a plan may use.
    pub fn units(self) -> &'static [Unit] {
        match self {
            Self::Mass => MASS,
            Self::Volume => VOLUME,
            Self::Length => LENGTH,
            Self::Area => AREA,
            Self::Pressure | Self::GaugePressure | Self::PartialPressure => PRESSURE,
            Self::Temperature => TEMPERATURE,
            Self::Duration => DURATION,
            Self::Speed => SPEED,
            Self::FlowRate => FLOW_RATE,
            Self::Density => DENSITY,
            Self::Fraction => FRACTION,
            Self::Salinity => SALINITY,
            Self::Torque => TORQUE,
            Self::SpecificVolume => SPECIFIC_VOLUME,
        }
    }

    /// The unit in which a reader sees it. Where both systems say it alike, it is the metric one.
    pub fn shown(self, system: UnitSystem) -> Shown {
        use UnitSystem::{Metric, Us};
        match (system, self) {
            (Metric, Self::Mass) => Shown::of("kg", "kg", 1, 1.0),
            (Us, Self::Mass) => Shown::of("lb", "lb", 1, POUND_KG),
            (Metric, Self::Volume) => Shown::of("L", "l", 1, LITRE_M3),
            (Us, Self::Volume) => Shown::of("cu ft", "cuft", 2, CUBIC_FOOT_M3),
            (Metric, Self::Length) => Shown::of("m", "m", 1, 1.0),
            (Us, Self::Length) => Shown::of("ft", "ft", 0, FOOT_M),
            (Metric, Self::Area) => Shown::of("m²", "m2", 1, 1.0),
            (Us, Self::Area) => Shown::of("sq ft", "sqft", 0, SQUARE_FOOT_M2),
            (Metric, Self::Pressure) => Shown::of("bar", "bar", 0, BAR_PA),
            (Us, Self::Pressure) => Shown::of("psi", "psi", 0, PSI_PA),
            // the trade gives partial pressures in bar or in atmospheres, which are alike here, and never in psi
            (_, Self::PartialPressure) => Shown::of("bar", "bar", 2, BAR_PA),
            (_, Self::GaugePressure) => Self::Pressure.shown(system).from(ATMOSPHERE_PA),
            (Metric, Self::Temperature) => Shown::of("°C", "c", 0, 1.0).from(ZERO_CELSIUS_K),
            (Us, Self::Temperature) => Shown::of("°F", "f", 0, FAHRENHEIT_K).from(ZERO_FAHRENHEIT_K),
            (_, Self::Duration) => Shown::of("min", "min", 1, MINUTE_S),
            (Metric, Self::Speed) => Shown::of("m/min", "m_min", 0, 1.0 / MINUTE_S),
            (Us, Self::Speed) => Shown::of("ft/min", "ft_min", 0, FOOT_M / MINUTE_S),
            (Metric, Self::FlowRate) => Shown::of("L/min", "l_min", 0, LITRE_MIN_M3_S),
            (Us, Self::FlowRate) => Shown::of("cu ft/min", "cuft_min", 2, CUBIC_FOOT_MIN_M3_S),
            (Metric, Self::Density) => Shown::of("kg/m³", "kg_m3", 1, 1.0),
            (Us, Self::Density) => Shown::of("lb/cu ft", "lb_cuft", 2, POUND_PER_CUBIC_FOOT_KG_M3),
            (_, Self::Fraction) => Shown::of("%", "percent", 0, 0.01),
            (_, Self::Salinity) => Shown::of("PSU", "psu", 0, 1.0),
            (Metric, Self::Torque) => Shown::of("N·m", "n_m", 0, 1.0),
            (Us, Self::Torque) => Shown::of("lbf·ft", "lbf_ft", 0, POUND_FOOT_NM),
            (Metric, Self::SpecificVolume) => Shown::of("L/kg", "l_kg", 0, LITRE_M3),
            (Us, Self::SpecificVolume) => Shown::of("cu ft/lb", "cuft_lb", 2, CUBIC_FOOT_M3 / POUND_KG),
        }
    }

    /// The SI unit in which machines read it.
    pub fn si(self) -> Shown {
        match self {
            Self::Mass => Shown::of("kg", "kg", 6, 1.0),
            Self::Volume => Shown::of("m³", "m3", 9, 1.0),
            Self::Length => Shown::of("m", "m", 6, 1.0),
            Self::Area => Shown::of("m²", "m2", 9, 1.0),
            Self::Pressure | Self::PartialPressure => Shown::of("Pa", "pa", 6, 1.0),
            Self::GaugePressure => Shown::of("Pa", "pa", 6, 1.0).from(ATMOSPHERE_PA),
            Self::Temperature => Shown::of("K", "k", 6, 1.0),
            Self::Duration => Shown::of("s", "s", 6, 1.0),
            Self::Speed => Shown::of("m/s", "m_s", 9, 1.0),
            Self::FlowRate => Shown::of("m³/s", "m3_s", 12, 1.0),
            Self::Density => Shown::of("kg/m³", "kg_m3", 6, 1.0),
            Self::Fraction => Shown::of("1", "frac", 9, 1.0),
            Self::Salinity => Shown::of("PSU", "psu", 6, 1.0),
            Self::Torque => Shown::of("N·m", "n_m", 6, 1.0),
            Self::SpecificVolume => Shown::of("m³/kg", "m3_kg", 9, 1.0),
        }
    }

    /// The metric unit in which the trade says it.
    pub fn trade(self) -> Shown {
        self.shown(UnitSystem::Metric)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ALL: [Quantity; 16] = [
        Quantity::Mass,
        Quantity::Volume,
        Quantity::Length,
        Quantity::Area,
        Quantity::Pressure,
        Quantity::GaugePressure,
        Quantity::PartialPressure,
        Quantity::Temperature,
        Quantity::Duration,
        Quantity::Speed,
        Quantity::FlowRate,
        Quantity::Density,
        Quantity::Fraction,
        Quantity::Salinity,
        Quantity::Torque,
        Quantity::SpecificVolume,
    ];

    /// What is shown can be written: each symbol is a spelling of the same unit, and no spelling has two meanings.
    #[test]
    fn shown_units_are_units_of_the_plan() {
        for quantity in ALL {
            for system in [UnitSystem::Metric, UnitSystem::Us] {
                let shown = quantity.shown(system);
                let unit = quantity.units().iter().find(|unit| unit.names.contains(&shown.symbol));
                let unit = unit.unwrap_or_else(|| panic!("{quantity:?}: {}", shown.symbol));
                assert_eq!(unit.factor, shown.factor, "{quantity:?}");
                let zero = if quantity == Quantity::GaugePressure { ATMOSPHERE_PA } else { unit.zero };
                assert_eq!(zero, shown.zero, "{quantity:?}");
                assert!((shown.number(unit.si(12.5) + shown.zero - unit.zero) - 12.5).abs() < 1e-9, "{quantity:?}");
            }
            let names: Vec<&str> = quantity.units().iter().flat_map(|unit| unit.names).copied().collect();
            let unique: std::collections::HashSet<&&str> = names.iter().collect();
            assert_eq!(unique.len(), names.len(), "{quantity:?}");
        }
        for system in [UnitSystem::Metric, UnitSystem::Us] {
            let shown = system.short_length();
            let unit = Quantity::Length.units().iter().find(|unit| unit.names.contains(&shown.symbol));
            assert_eq!(unit.map(|unit| unit.factor), Some(shown.factor), "{}", shown.symbol);
        }
    }
}
