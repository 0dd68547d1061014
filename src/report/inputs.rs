//! The figures a dive was built from: value, doubt, origin.

use crate::estimate::{Doubt, Input, Shape};
use crate::report::measure::{Quantity, UnitSystem, fixed};
use crate::report::text::{Footnotes, align_numbers, new_table, plain};

/// A table of all figures, in the order in which the plan is read, with where they come from below it.
pub fn table(inputs: &[Input]) -> String {
    let mut table = new_table();
    let mut sources = Footnotes::default();
    table.set_header(["figure", "value", "doubt", "origin", "from"]);
    for input in inputs {
        let (unit, scale) = shown_unit(input);
        let trade = input.quantity.trade();
        let value = trade.number(input.estimate.value) * trade.factor / scale;
        table.add_row([
            input.label.clone(),
            format!("{} {unit}", brief(value)),
            input.estimate.doubt.map_or(String::new(), |doubt| doubt_text(input, &doubt)),
            input.origin.text(),
            sources.mark(input.note.as_deref().unwrap_or_default()),
        ]);
    }
    align_numbers(&mut table, 1..2);
    format!("{}\n{}", plain(&table), sources.text())
}

/// The unit in which a figure is shown, and its size: the trade's, but millimetres for what is thin.
fn shown_unit(input: &Input) -> (&'static str, f64) {
    if input.quantity == Quantity::Length && input.estimate.value.abs() < 0.1 && input.estimate.value != 0.0 {
        ("mm", 1e-3)
    } else {
        let trade = input.quantity.trade();
        (trade.symbol, trade.factor)
    }
}

/// A doubt in the unit of its figure: `± 0.3`, with the shape when it is not rectangular.
pub fn doubt_text(input: &Input, doubt: &Doubt) -> String {
    let half_width = brief(doubt.half_width / shown_unit(input).1);
    match doubt.shape {
        Shape::Rectangular => format!("± {half_width}"),
        Shape::Triangular => format!("± {half_width} (triangular)"),
        Shape::Normal { coverage_frac } => format!("± {half_width} ({:.0} %)", coverage_frac * 100.0),
    }
}

/// A figure in the reader's units, as number and symbol.
pub fn value_in(units: UnitSystem, quantity: Quantity, si: f64) -> (f64, &'static str) {
    (units.value(quantity, si), units.symbol(quantity))
}

/// A difference of two figures in the reader's units, as a number.
pub fn width_in(units: UnitSystem, quantity: Quantity, si: f64) -> f64 {
    si / quantity.shown(units).factor
}

/// A figure with its unit.
pub fn value_text(units: UnitSystem, quantity: Quantity, si: f64) -> String {
    let (value, symbol) = value_in(units, quantity, si);
    format!("{} {symbol}", brief(value))
}

/// A half-width with three significant figures and its unit: `± 0.3 L`.
pub fn half_width_text(units: UnitSystem, quantity: Quantity, doubt: &Doubt) -> String {
    let width = width_in(units, quantity, doubt.half_width);
    let decimals = (2 - width.abs().log10().floor() as i64).clamp(0, 9) as usize;
    let text = fixed(width, decimals);
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    let shape = match doubt.shape {
        Shape::Rectangular => String::new(),
        Shape::Triangular => " (triangular)".into(),
        Shape::Normal { coverage_frac } => format!(" ({:.0} %)", coverage_frac * 100.0),
    };
    format!("± {text} {}{shape}", units.symbol(quantity))
}

/// Four significant figures, without trailing zeros.
pub fn brief(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return fixed(value, 0);
    }
    let decimals = (3 - value.abs().log10().floor() as i64).clamp(0, 9) as usize;
    let text = fixed(value, decimals);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn brief_numbers() {
        for (value, text) in [(10.5, "10.5"), (84.0, "84"), (-0.00123456, "−0.001235"), (11_340.0, "11340"), (0.0, "0")]
        {
            assert_eq!(brief(value), text);
        }
    }
}
