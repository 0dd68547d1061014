//! Units for the reader: metric or US customary. Inside, everything is SI.

use crate::units::{
    ATMOSPHERE_PA, BAR_PA, CUBIC_FOOT_M3, FOOT_M, LITRE_M3, MINUTE_S, POUND_KG, POUND_PER_CUBIC_FOOT_KG_M3, PSI_PA,
    k_to_celsius, k_to_fahrenheit,
};

/// Which units the reader wants.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum UnitSystem {
    /// kg, m, L, bar, °C.
    #[default]
    Metric,
    /// lb, ft, cu ft, psi, °F.
    Us,
}

/// What is measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Measure {
    /// Mass or lift, from kg.
    Mass,
    /// Depth or distance, from m.
    Depth,
    /// Gas volume of wing, suit or lungs, from m³.
    Volume,
    /// Gauge pressure of a cylinder, from absolute Pa.
    GaugePressure,
    /// Absolute pressure, from Pa.
    AbsolutePressure,
    /// Water density, from kg/m³.
    Density,
    /// Temperature, from K.
    Temperature,
    /// Breathing rate, from m³/s.
    Rate,
    /// Time of the dive, from s, in minutes.
    Time,
}

/// Symbol, ending of a column name, decimals in text.
type Unit = (&'static str, &'static str, usize);

impl UnitSystem {
    fn unit(self, measure: Measure) -> Unit {
        match (self, measure) {
            (Self::Metric, Measure::Mass) => ("kg", "kg", 1),
            (Self::Us, Measure::Mass) => ("lb", "lb", 1),
            (Self::Metric, Measure::Depth) => ("m", "m", 1),
            (Self::Us, Measure::Depth) => ("ft", "ft", 0),
            (Self::Metric, Measure::Volume) => ("L", "l", 1),
            (Self::Us, Measure::Volume) => ("cu ft", "cuft", 2),
            (Self::Metric, Measure::GaugePressure | Measure::AbsolutePressure) => ("bar", "bar", 0),
            (Self::Us, Measure::GaugePressure | Measure::AbsolutePressure) => ("psi", "psi", 0),
            (Self::Metric, Measure::Density) => ("kg/m³", "kg_m3", 1),
            (Self::Us, Measure::Density) => ("lb/cu ft", "lb_cuft", 2),
            (Self::Metric, Measure::Temperature) => ("°C", "c", 0),
            (Self::Us, Measure::Temperature) => ("°F", "f", 0),
            (Self::Metric, Measure::Rate) => ("L/min", "l_min", 0),
            (Self::Us, Measure::Rate) => ("cu ft/min", "cuft_min", 2),
            (_, Measure::Time) => ("min", "min", 1),
        }
    }

    /// Symbol of the unit.
    pub fn symbol(self, measure: Measure) -> &'static str {
        self.unit(measure).0
    }

    /// Usual decimals in text.
    pub fn decimals(self, measure: Measure) -> usize {
        self.unit(measure).2
    }

    /// Ending of a column's name: `net_kg`, `depth_ft`.
    pub fn suffix(self, measure: Measure) -> &'static str {
        self.unit(measure).1
    }

    /// The number in the reader's unit.
    pub fn value(self, measure: Measure, si: f64) -> f64 {
        match (self, measure) {
            (Self::Metric, Measure::Mass | Measure::Depth | Measure::Density) => si,
            (Self::Us, Measure::Mass) => si / POUND_KG,
            (Self::Us, Measure::Depth) => si / FOOT_M,
            (Self::Metric, Measure::Volume) => si / LITRE_M3,
            (Self::Us, Measure::Volume) => si / CUBIC_FOOT_M3,
            (Self::Metric, Measure::GaugePressure) => (si - ATMOSPHERE_PA) / BAR_PA,
            (Self::Us, Measure::GaugePressure) => (si - ATMOSPHERE_PA) / PSI_PA,
            (Self::Metric, Measure::AbsolutePressure) => si / BAR_PA,
            (Self::Us, Measure::AbsolutePressure) => si / PSI_PA,
            (Self::Us, Measure::Density) => si / POUND_PER_CUBIC_FOOT_KG_M3,
            (Self::Metric, Measure::Temperature) => k_to_celsius(si),
            (Self::Us, Measure::Temperature) => k_to_fahrenheit(si),
            (Self::Metric, Measure::Rate) => si / LITRE_M3 * MINUTE_S,
            (Self::Us, Measure::Rate) => si / CUBIC_FOOT_M3 * MINUTE_S,
            (_, Measure::Time) => si / MINUTE_S,
        }
    }

    /// The number with its usual decimals, without the unit.
    pub fn number(self, measure: Measure, si: f64) -> String {
        let text = fixed(self.value(measure, si), self.unit(measure).2);
        // a stop at 6 m is said so; a mass keeps its decimal, because it says how exact it is meant
        if measure == Measure::Depth { text.strip_suffix(".0").map_or(text.clone(), str::to_owned) } else { text }
    }

    /// The number with a sign, plus or minus, and its usual decimals, without the unit.
    pub fn signed(self, measure: Measure, si: f64) -> String {
        let text = self.number(measure, si);
        if text.starts_with('−') || text.chars().all(|c| matches!(c, '0' | '.')) { text } else { format!("+{text}") }
    }

    /// The number with its unit.
    pub fn text(self, measure: Measure, si: f64) -> String {
        format!("{} {}", self.number(measure, si), self.symbol(measure))
    }

    /// The number with a sign and its unit.
    pub fn signed_text(self, measure: Measure, si: f64) -> String {
        format!("{} {}", self.signed(measure, si), self.symbol(measure))
    }
}

/// A number with a fixed count of decimals, a true minus sign, and no negative zero.
pub fn fixed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        None => text,
        Some(rest) if rest.chars().all(|c| matches!(c, '0' | '.')) => rest.to_owned(),
        Some(rest) => format!("−{rest}"),
    }
}

/// A time of the dive as minutes and seconds: `8:07`.
pub fn clock(time_s: f64) -> String {
    let seconds = time_s.round() as i64;
    format!("{}:{:02}", seconds / 60, seconds % 60)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_read_well() {
        assert_eq!(fixed(-0.04, 1), "0.0");
        assert_eq!(fixed(-7.37, 1), "−7.4");
        assert_eq!(UnitSystem::Metric.signed_text(Measure::Mass, 1.84), "+1.8 kg");
        assert_eq!(UnitSystem::Metric.signed(Measure::Mass, 0.01), "0.0");
        assert_eq!(UnitSystem::Us.text(Measure::Depth, 30.48), "100 ft");
        assert_eq!(UnitSystem::Metric.text(Measure::GaugePressure, 50e5 + 101_325.0), "50 bar");
        assert_eq!(UnitSystem::Us.text(Measure::Temperature, 283.15), "50 °F");
        assert_eq!(clock(487.3), "8:07");
    }
}
