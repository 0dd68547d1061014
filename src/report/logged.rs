//! What the gauges of a dive say of the breathing rates: words and table.

use crate::answer::Logged;
use crate::report::calibrate::estimate_text;
use crate::report::doubt::uncertain;
use crate::report::measure::{Quantity, UnitSystem, moment};
use crate::report::table::{Fit, align_numbers, new_table, plain};
use crate::report::text::Line;
use crate::study::calibrate::Moved;

/// Whether a figure is a breathing rate.
pub(super) fn is_rate(found: &Logged, moved: &Moved) -> bool {
    uncertain(&found.built.inputs).nth(moved.input).is_some_and(|input| input.quantity == Quantity::FlowRate)
}

/// The rates before and after, the first line first.
pub fn lines(units: UnitSystem, found: &Logged) -> Vec<Line> {
    let correction = &found.correction;
    let off: Vec<&str> =
        correction.verdicts.iter().filter(|one| one.against.is_some()).map(|one| one.label.as_str()).collect();
    let mut lines = Vec::new();
    if !off.is_empty() {
        let mut names = off;
        names.dedup();
        let text = format!(
            "{} fits neither the plan nor the others and is left out: look at the time, the cylinder and the fill",
            names.join(", ")
        );
        lines.push(Line { label: "Does not fit".into(), text, within: Some(false) });
    }
    for moved in correction.moved.iter().filter(|moved| is_rate(found, moved)) {
        let Some(input) = uncertain(&found.built.inputs).nth(moved.input) else { continue };
        let after = estimate_text(units, input, &moved.after);
        let text = format!("{}: {after} now, was {}", input.label, estimate_text(units, input, &moved.before));
        lines.push(Line::plain("Breathing", text));
    }
    if !correction.moved.iter().any(|moved| is_rate(found, moved)) {
        lines.push(Line::plain("Breathing", "as planned; nothing moved".into()));
    }
    lines
}

/// Every reading beside what was planned.
pub fn table(units: UnitSystem, found: &Logged) -> String {
    let mut table = new_table();
    table.set_header(["time", "cylinder", "planned", "read", "corrected"]);
    let pressure = |pa: f64| units.text(Quantity::Pressure, pa);
    for one in &found.readings {
        let name = found.built.scenario.rig().cylinders[one.cylinder].name().to_owned();
        let [planned, seen, corrected] = [one.planned_pa, one.seen_pa, one.corrected_pa].map(pressure);
        table.add_row([moment(one.time_s), name, planned, seen, corrected]);
    }
    align_numbers(&mut table, 2..5);
    plain(&mut table, Fit { fold: 1, leave_out: &[4] }).trim_end().to_owned()
}
