//! Units for the reader: metric or US customary. Inside, everything is SI.

pub use crate::units::{Quantity, UnitSystem};

impl UnitSystem {
    /// Symbol of the unit.
    pub fn symbol(self, quantity: Quantity) -> &'static str {
        quantity.shown(self).symbol
    }

    /// Usual decimals in text.
    pub fn decimals(self, quantity: Quantity) -> usize {
        quantity.shown(self).decimals
    }

    /// Ending of a column's name: `net_kg`, `depth_ft`.
    pub fn suffix(self, quantity: Quantity) -> &'static str {
        quantity.shown(self).suffix
    }

    /// The number in the reader's unit.
    pub fn value(self, quantity: Quantity, si: f64) -> f64 {
        quantity.shown(self).number(si)
    }

    /// The number with its usual decimals, without the unit.
    pub fn number(self, quantity: Quantity, si: f64) -> String {
        let text = fixed(self.value(quantity, si), self.decimals(quantity));
        // a stop at 6 m is said so; a mass keeps its decimal, because it says how exact it is meant
        if quantity == Quantity::Length { text.strip_suffix(".0").map_or(text.clone(), str::to_owned) } else { text }
    }

    /// The number with a sign, plus or minus, and its usual decimals, without the unit.
    pub fn signed(self, quantity: Quantity, si: f64) -> String {
        let text = self.number(quantity, si);
        if text.starts_with('−') || text.chars().all(|c| matches!(c, '0' | '.')) { text } else { format!("+{text}") }
    }

    /// The number with its unit.
    pub fn text(self, quantity: Quantity, si: f64) -> String {
        format!("{} {}", self.number(quantity, si), self.symbol(quantity))
    }

    /// The number with a sign and its unit.
    pub fn signed_text(self, quantity: Quantity, si: f64) -> String {
        format!("{} {}", self.signed(quantity, si), self.symbol(quantity))
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

/// What is longer than this is told in hours, s.
pub const LONG_S: f64 = 4.0 * 3600.0;

/// A time of the dive as minutes and seconds: `8:07`.
pub fn clock(time_s: f64) -> String {
    let seconds = time_s.round() as i64;
    format!("{}:{:02}", seconds / 60, seconds % 60)
}

/// A moment or a stretch of time with its unit: `8:07 min`, and from [`LONG_S`] on in hours and minutes, `6:52 h`.
pub fn moment(time_s: f64) -> String {
    if time_s > LONG_S { format!("{} h", clock(time_s / 60.0)) } else { format!("{} min", clock(time_s)) }
}

/// A moment of a dive that ends at `end_s` for a sentence: a whole minute where that says enough, `minute 18`, else
/// `2:44 min`, and on a long dive `6:52 h`.
pub fn about(time_s: f64, end_s: f64) -> String {
    match end_s > LONG_S {
        true => format!("{} h", clock(time_s / 60.0)),
        false if time_s < 180.0 => format!("{} min", clock(time_s)),
        false => format!("minute {:.0}", time_s / 60.0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_read_well() {
        assert_eq!(fixed(-0.04, 1), "0.0");
        assert_eq!(fixed(-7.37, 1), "−7.4");
        assert_eq!(UnitSystem::Metric.signed_text(Quantity::Mass, 1.84), "+1.8 kg");
        assert_eq!(UnitSystem::Metric.signed(Quantity::Mass, 0.01), "0.0");
        assert_eq!(UnitSystem::Us.text(Quantity::Length, 30.48), "100 ft");
        assert_eq!(UnitSystem::Metric.text(Quantity::GaugePressure, 50e5 + 101_325.0), "50 bar");
        assert_eq!(UnitSystem::Us.text(Quantity::Temperature, 283.15), "50 °F");
        assert_eq!(clock(487.3), "8:07");
        assert_eq!(moment(3930.0), "65:30 min");
        assert_eq!(moment(24_730.0), "6:52 h");
    }
}
