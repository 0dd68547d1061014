//! The figures a dive was built from: value, doubt, origin.

use crate::estimate::{Doubt, Input, Origin, Shape};
use crate::report::measure::{Quantity, UnitSystem, fixed};
use crate::report::table::{Fit, align_numbers, new_table, plain};
use crate::report::text::Footnotes;
use crate::scenario::Scenario;
use crate::units::MINUTE_S;

/// What to weigh before all else: cylinders that are known by their class alone. One weighing in water, empty, takes away
/// most of what their class leaves open. `None` when every cylinder was weighed.
pub fn weigh_first(units: UnitSystem, inputs: &[Input]) -> Option<String> {
    let by_class = |input: &&Input| {
        let reading = input.path.parent().field("in_water");
        input.path.first() == "cylinder"
            && input.path.last() == "mass"
            && input.origin == Origin::Typical
            && !inputs.iter().any(|other| other.path == reading)
    };
    let named = inputs.iter().filter(by_class).map(|input| {
        let name = input.label.strip_suffix(", mass").unwrap_or(&input.label);
        let doubt = input.estimate.doubt.map(|doubt| width_in(units, Quantity::Mass, doubt.half_width));
        doubt
            .map_or(name.to_owned(), |width| format!("{name} (± {} {})", fixed(width, 1), units.symbol(Quantity::Mass)))
    });
    let named: Vec<String> = named.collect();
    (!named.is_empty()).then(|| {
        format!(
            "weigh first of all, empty, in water, on a spring scale: {}; so much do cylinders of one class differ",
            named.join(", ")
        )
    })
}

/// What a plan that is right comes to, before anything is computed.
pub fn valid_text(scenario: &Scenario) -> String {
    let counted = |number: usize, what: &str| format!("{number} {what}{}", if number == 1 { "" } else { "s" });
    let profile = scenario.profile();
    format!(
        "The plan is valid: {}, {:.0} min, {}. No dive was computed.",
        counted(profile.legs().len(), "leg"),
        profile.end_s() / MINUTE_S,
        counted(scenario.rig().cylinders.len(), "cylinder")
    )
}

/// A table of all figures in the reader's units, in the order in which the plan is read, with where they come from below
/// it.
pub fn table(units: UnitSystem, inputs: &[Input]) -> String {
    let mut table = new_table();
    let mut sources = Footnotes::default();
    table.set_header(["figure", "value", "doubt", "origin", "from"]);
    for input in inputs {
        let [value, doubt] = shown_figure(units, input);
        let source = sources.mark(input.note.as_deref().unwrap_or_default());
        table.add_row([input.label.clone(), value, doubt, input.origin.text(), source]);
    }
    align_numbers(&mut table, 1..2);
    format!("{}\n{}", plain(&mut table, Fit { fold: 0, leave_out: &[4, 3] }), sources.text())
}

/// The same with what checks in the water left of each figure; `after` are the same figures in the same order.
pub fn checked_table(units: UnitSystem, before: &[Input], after: &[Input]) -> String {
    let mut table = new_table();
    let mut sources = Footnotes::default();
    table.set_header(["figure", "before", "doubt", "checked", "doubt", "origin", "from"]);
    for (input, corrected) in before.iter().zip(after) {
        let [value, doubt] = shown_figure(units, input);
        let is_same = input.estimate == corrected.estimate;
        let [now, left] = if is_same { [String::new(), String::new()] } else { shown_figure(units, corrected) };
        let source = sources.mark(input.note.as_deref().unwrap_or_default());
        table.add_row([input.label.clone(), value, doubt, now, left, input.origin.text(), source]);
    }
    align_numbers(&mut table, 1..2);
    align_numbers(&mut table, 3..4);
    format!("{}\n{}", plain(&mut table, Fit { fold: 0, leave_out: &[6, 5, 2] }), sources.text())
}

/// What the table of places is about, and how much of it nobody measured.
pub fn places_text(places: &[Input]) -> String {
    let typical = places.iter().filter(|input| input.origin == Origin::Typical).count();
    let all = places.len();
    let counted = match all - typical {
        0 => format!("all {all} figures are typical"),
        written => format!("{written} of {all} figures from the plan, {typical} typical"),
    };
    format!(
        "Where things are, for the trim: from the middle of the shoulder line, along headward, up to the back, left to the \
         diver's left; {counted}."
    )
}

/// A table of where things are in the reader's units, with where that comes from below it.
pub fn places_table(units: UnitSystem, places: &[Input]) -> String {
    let mut table = new_table();
    let mut sources = Footnotes::default();
    table.set_header(["place", "value", "doubt", "origin", "from"]);
    for input in places {
        let [value, doubt] = shown_place(units, input);
        let source = sources.mark(input.note.as_deref().unwrap_or_default());
        table.add_row([input.label.clone(), value, doubt, input.origin.text(), source]);
    }
    align_numbers(&mut table, 1..2);
    format!("{}\n{}", plain(&mut table, Fit { fold: 0, leave_out: &[4, 3] }), sources.text())
}

/// Value and doubt of a distance on the diver, to the tenth of a centimetre or inch; of any other figure as it is.
fn shown_place(units: UnitSystem, input: &Input) -> [String; 2] {
    if input.quantity != Quantity::Length {
        return shown_figure(units, input);
    }
    let shown = units.short_length();
    let tenths = |si_m: f64| fixed(si_m / shown.factor, 1);
    let doubt = input.estimate.doubt;
    let doubt = doubt.map(|doubt| format!("± {}{}", tenths(doubt.half_width), shape_text(&doubt)));
    [format!("{} {}", tenths(input.estimate.value), shown.symbol), doubt.unwrap_or_default()]
}

/// Value and doubt of a figure.
pub(super) fn shown_figure(units: UnitSystem, input: &Input) -> [String; 2] {
    let (unit, scale) = shown_unit(units, input);
    let shown = input.quantity.shown(units);
    let value = shown.number(input.estimate.value) * shown.factor / scale;
    let doubt = input.estimate.doubt.map_or(String::new(), |doubt| doubt_text(units, input, &doubt));
    [format!("{} {unit}", brief(value)), doubt]
}

/// The unit in which a figure is shown, and its size: the reader's, but millimetres for what is thin: neoprene is sold by
/// them everywhere.
fn shown_unit(units: UnitSystem, input: &Input) -> (&'static str, f64) {
    if input.quantity == Quantity::Length && input.estimate.value.abs() < 0.1 && input.estimate.value != 0.0 {
        ("mm", 1e-3)
    } else {
        let shown = input.quantity.shown(units);
        (shown.symbol, shown.factor)
    }
}

/// A doubt in the unit of its figure: `± 0.3`, with the shape when it is not rectangular.
fn doubt_text(units: UnitSystem, input: &Input, doubt: &Doubt) -> String {
    format!("± {}{}", brief(doubt.half_width / shown_unit(units, input).1), shape_text(doubt))
}

/// The shape of a doubt behind its half-width; nothing for a rectangular one.
fn shape_text(doubt: &Doubt) -> String {
    match doubt.shape {
        Shape::Rectangular => String::new(),
        Shape::Triangular => " (triangular)".into(),
        Shape::Normal { coverage_frac } => format!(" ({:.0} %)", coverage_frac * 100.0),
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
    format!("± {text} {}{}", units.symbol(quantity), shape_text(doubt))
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
