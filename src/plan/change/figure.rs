//! A figure written again with another value: the unit, the doubt and the remark that stand beside it stay.

use crate::estimate::{Estimate, Shape};
use crate::plan::unit::{LIFT_WATER_KG_M3, Length, unit_named};
use crate::plan::written::{Written, grammar};
use crate::units::{MINUTE_S, Quantity, Unit, UnitSystem};

/// Decimals with which figures are written, by unit: finer than anybody measures or drags, and no more.
const DECIMALS: [(&str, usize); 17] = [
    ("kg", 2),
    ("lb", 1),
    ("L", 1),
    ("m3", 4),
    ("cuft", 2),
    ("m", 1),
    ("cm", 0),
    ("mm", 1),
    ("in", 1),
    ("MPa", 1),
    ("atm", 1),
    ("°C", 1),
    ("°F", 1),
    ("cuft/min", 2),
    ("kg/L", 4),
    ("lb/cuft", 2),
    ("h", 3),
];
/// A unit of this length or longer is too coarse for a place on the diver, m.
const COARSE_M: f64 = 0.1;
/// Of these a whole number is enough.
const WHOLE: [&str; 8] = ["g", "mL", "bar", "psi", "mbar", "kPa", "Pa", "ft"];

/// Decimals of a unit; one where nothing else is said.
pub(super) fn decimals(unit: &Unit) -> usize {
    let name = unit.names[0];
    let known = DECIMALS.iter().find(|(known, _)| *known == name).map(|(_, decimals)| *decimals);
    known.unwrap_or(usize::from(!WHOLE.contains(&name)))
}

/// Decimals of a quantity in a unit: setpoints are read finer than gauges.
pub(super) fn decimals_of(quantity: Quantity, unit: &Unit) -> usize {
    if quantity == Quantity::PartialPressure { 2 } else { decimals(unit) }
}

/// A number with at most so many decimals, without zeros that say nothing.
pub(super) fn number(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".into() } else { text.to_owned() }
}

/// A value in a unit: `4.5 kg`.
pub(super) fn in_unit(si: f64, unit: &Unit) -> String {
    with_decimals(si, unit, decimals(unit))
}

fn with_decimals(si: f64, unit: &Unit, decimals: usize) -> String {
    format!("{} {}", number((si - unit.zero) / unit.factor, decimals), unit.names[0])
}

/// The unit in which a reader writes a quantity.
pub(super) fn reader_unit(quantity: Quantity, system: UnitSystem) -> &'static Unit {
    unit_named(quantity, quantity.shown(system).symbol).unwrap_or(&quantity.units()[0])
}

/// A value as the plan would write it: like `old`, which keeps all that stands behind its number, or in the reader's unit.
pub(super) fn written_like(old: Option<&str>, quantity: Quantity, si: f64, system: UnitSystem) -> String {
    let usual = || match quantity {
        Quantity::Duration => time(si),
        _ => {
            let unit = reader_unit(quantity, system);
            with_decimals(si, unit, decimals_of(quantity, unit))
        }
    };
    let Some(old) = old.map(str::trim) else { return usual() };
    if quantity == Quantity::Duration && (old.contains(':') || old.ends_with("min")) {
        return time(si);
    }
    let Ok(parts) = grammar::parts(old) else { return usual() };
    let (value, unit) = match unit_named(quantity, parts.unit) {
        Some(unit) => ((si - unit.zero) / unit.factor, unit),
        // a wing's lift in place of its volume
        None => match unit_named(Quantity::Mass, parts.unit) {
            Some(unit) if quantity == Quantity::Volume => (si * LIFT_WATER_KG_M3 / unit.factor, unit),
            _ => return usual(),
        },
    };
    let behind = old.trim_start_matches(['+', '-', '−', ' ']);
    let digits = behind.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(behind.len());
    let rest = &behind[digits..];
    match rest.starts_with(['e', 'E']) {
        // an exponent is a part of the number
        true => in_unit(si, unit),
        false => format!("{}{rest}", number(value, decimals_of(quantity, unit))),
    }
}

/// A time: minutes where a decimal says it, else as a clock has it.
pub(super) fn time(si: f64) -> String {
    let seconds = si.round().max(0.0);
    let tenth = 0.1 * MINUTE_S;
    if (seconds / tenth).fract() == 0.0 {
        return format!("{} min", number(seconds / MINUTE_S, 1));
    }
    format!("{}:{:02}", (seconds / MINUTE_S).floor(), seconds % MINUTE_S)
}

/// A value in the place of a typical one: with the doubt of that, and marked as a guess.
pub(super) fn guess(si: f64, typical: &Estimate, quantity: Quantity, system: UnitSystem) -> String {
    let unit = reader_unit(quantity, system);
    marked(si, typical, unit, decimals(unit))
}

/// A typical figure written out as it is.
pub(super) fn as_typical(typical: &Estimate, quantity: Quantity) -> String {
    // one that nobody touched stays what it was
    marked(typical.value, typical, reader_unit(quantity, UnitSystem::Metric), 6)
}

/// Unit for places on the diver: centimetres or inches.
fn hand_unit(system: UnitSystem) -> &'static Unit {
    let name = if system == UnitSystem::Us { "in" } else { "cm" };
    unit_named(Quantity::Length, name).unwrap_or(&Quantity::Length.units()[0])
}

/// A distance on the diver that nobody wrote: a guess with the half-width (95 %) of what is usual, to a millimetre.
pub(super) fn usual_distance(si: f64, half_width_m: f64, system: UnitSystem) -> String {
    let unit = hand_unit(system);
    match half_width_m > 0.0 {
        true => marked(si, &Estimate::normal(si, half_width_m), unit, 1),
        false => format!("{} {}", number(si / unit.factor, 1), unit.names[0]),
    }
}

/// A written distance on the diver, moved: its doubt stays, and its unit, unless that is too coarse.
pub(super) fn distance(old: &Written<Length>, si: f64, system: UnitSystem) -> String {
    let unit = grammar::parts(old.text()).ok().and_then(|parts| unit_named(Quantity::Length, parts.unit));
    let is_fine = unit.is_some_and(|unit| unit.factor < COARSE_M);
    let unit = hand_unit(system);
    match old.estimate() {
        Ok(estimate) if !is_fine => {
            let text = marked(si, &estimate, unit, decimals(unit));
            if old.is_guess() { text } else { text.replace(" (guess)", "").replace(", guess)", ")") }
        }
        _ => written_like(Some(old.text()), Quantity::Length, si, system),
    }
}

fn marked(si: f64, typical: &Estimate, unit: &Unit, decimals: usize) -> String {
    let name = unit.names[0];
    let value = number((si - unit.zero) / unit.factor, decimals);
    let Some(doubt) = typical.doubt else { return format!("{value} {name} (guess)") };
    let half_width = doubt.half_width / unit.factor;
    // three digits
    let fine = (2 - half_width.log10().floor() as i64).clamp(0, 9) as usize;
    let half_width = number(half_width, fine);
    let remark = match doubt.shape {
        Shape::Rectangular => "guess".to_owned(),
        Shape::Triangular => "triangular, guess".to_owned(),
        Shape::Normal { coverage_frac } => format!("{}%, guess", number(coverage_frac * 100.0, 2)),
    };
    format!("{value} ± {half_width} {name} ({remark})")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::LITRE_M3;

    #[test]
    fn what_stands_behind_the_number_stays() {
        let volume = |old: &str| written_like(Some(old), Quantity::Volume, 14.04 * LITRE_M3, UnitSystem::Us);
        assert_eq!(volume("12 ± 1.5 L"), "14 ± 1.5 L");
        assert_eq!(volume("12 L ± 10 % (95%, guess)"), "14 L ± 10 % (95%, guess)");
        assert_eq!(volume("12000 mL"), "14040 mL");
        assert_eq!(volume("1.2e1 L"), "14 L");
        // 14.04 L of sea water of 1025 kg/m³ are 14.39 kg, 31.7 lb
        assert_eq!(volume("40 lb"), "31.7 lb");
        let depth = |old: Option<&str>| written_like(old, Quantity::Length, 30.48, UnitSystem::Us);
        assert_eq!((depth(None).as_str(), depth(Some("20m")).as_str()), ("100 ft", "30.5m"));
        let celsius = written_like(Some("-1 ± 2 °C"), Quantity::Temperature, 268.15, UnitSystem::Metric);
        assert_eq!(celsius, "-5 ± 2 °C");
    }

    #[test]
    fn times_are_minutes_or_a_clock() {
        let time = |seconds: f64| written_like(None, Quantity::Duration, seconds, UnitSystem::Metric);
        assert_eq!([time(90.0), time(1230.0), time(100.2), time(1200.0)], ["1.5 min", "20.5 min", "1:40", "20 min"]);
    }

    #[test]
    fn typical_figures_keep_their_doubt_as_guesses() {
        let typical = Estimate::normal(9.5 * LITRE_M3, 4.5 * LITRE_M3);
        let written = guess(11.0 * LITRE_M3, &typical, Quantity::Volume, UnitSystem::Metric);
        assert_eq!(written, "11 ± 4.5 L (95%, guess)");
        assert_eq!(guess(8.0, &Estimate::exact(7.0), Quantity::Mass, UnitSystem::Metric), "8 kg (guess)");
        let rate = 17.0 * LITRE_M3 / MINUTE_S;
        assert_eq!(
            as_typical(&Estimate::normal(rate, 0.45 * rate), Quantity::FlowRate),
            "17 ± 7.65 L/min (95%, guess)"
        );
    }
}
