//! The figures a dive was built from: value, doubt, origin.

use crate::estimate::{Doubt, Input, Shape};
use crate::report::measure::fixed;
use crate::report::text::{align_numbers, new_table};

/// A table of all figures, in the order in which the plan is read.
pub fn table(inputs: &[Input]) -> String {
    let mut table = new_table();
    table.set_header(["figure", "value", "doubt", "origin", "from"]);
    for input in inputs {
        let (unit, _) = input.kind.trade_unit();
        table.add_row([
            input.label.clone(),
            format!("{} {unit}", brief(input.kind.to_trade(input.estimate.value))),
            input.estimate.doubt.map_or(String::new(), |doubt| doubt_text(input, &doubt)),
            input.origin.text(),
            input.note.clone().unwrap_or_default(),
        ]);
    }
    align_numbers(&mut table, 1..2);
    table.to_string()
}

/// A doubt in the unit of its figure: `± 0.3`, with the shape when it is not rectangular.
pub fn doubt_text(input: &Input, doubt: &Doubt) -> String {
    let half_width = brief(doubt.half_width / input.kind.trade_unit().1);
    match doubt.shape {
        Shape::Rectangular => format!("± {half_width}"),
        Shape::Triangular => format!("± {half_width} (triangular)"),
        Shape::Normal { coverage_frac } => format!("± {half_width} ({:.0} %)", coverage_frac * 100.0),
    }
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
