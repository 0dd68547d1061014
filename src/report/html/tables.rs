//! Parts at heavy and light point, cylinders through the dive.

use maud::{Markup, html};

use crate::findings::CylinderFinding;
use crate::report::balance::{Line, LineKind, lines};
use crate::report::html::Handout;
use crate::report::measure::{Quantity, UnitSystem, fixed, moment};
use crate::report::{Report, words};
use crate::sim::Happening;

/// Two decimals with a sign: the table is there to be added up by hand.
fn signed2(units: UnitSystem, kg: f64) -> String {
    let text = fixed(units.value(Quantity::Mass, kg), 2);
    if text.starts_with('−') || text == "0.00" { text } else { format!("+{text}") }
}

/// A line with its lifts in each column of the table.
struct Row {
    name: String,
    kind: LineKind,
    lift_kg: Vec<Option<f64>>,
}

/// The lines of one plan, or of two joined by what they are and how they are called.
fn rows(handout: &Handout<'_>) -> Vec<Row> {
    let at = |report: &Report<'_>| {
        let moments = [&report.findings.heavy.now, &report.findings.light.now];
        lines(report.scenario, &moments)
    };
    let mut rows: Vec<Row> = at(handout.report).into_iter().map(row).collect();
    let Some(beside) = &handout.beside else { return rows };
    let theirs = at(beside.report);
    rows.iter_mut().for_each(|row| row.lift_kg.extend([None, None]));
    let mut after = 0;
    for line in theirs {
        let same = |row: &Row| {
            uncounted(&row.name) == uncounted(&line.name)
                && std::mem::discriminant(&row.kind) == std::mem::discriminant(&line.kind)
        };
        match rows.iter().position(same) {
            Some(place) if rows[place].lift_kg[2..] == [None, None] => {
                rows[place].lift_kg.splice(2.., line.lift_kg);
                if rows[place].name != line.name {
                    rows[place].name = format!("{} (B {})", rows[place].name, line.name);
                }
                after = place + 1;
            }
            _ => {
                let lift_kg = [None, None].into_iter().chain(line.lift_kg).collect();
                rows.insert(after.min(rows.len()), Row { name: line.name, kind: line.kind, lift_kg });
                after += 1;
            }
        }
    }
    rows
}

/// A part's name without how many there are.
fn uncounted(name: &str) -> &str {
    match name.split_once(" × ") {
        Some((count, rest)) if count.chars().all(|c| c.is_ascii_digit()) => rest,
        _ => name,
    }
}

fn row(line: Line) -> Row {
    Row { name: line.name, kind: line.kind, lift_kg: line.lift_kg }
}

/// The two-column table of parts with sums.
pub(super) fn parts(handout: &Handout<'_>) -> Markup {
    let units = handout.report.units;
    let rows = rows(handout);
    let plans: Vec<&Report<'_>> =
        std::iter::once(handout.report).chain(handout.beside.as_ref().map(|beside| beside.report)).collect();
    let name = |i: usize| if plans.len() > 1 { ["A ", "B "][i] } else { "" };
    let columns = 2 * plans.len();
    let sum = |column: usize| rows.iter().filter_map(|row| row.lift_kg[column]).sum::<f64>();
    html! {
        section aria-labelledby="parts" {
            h2 #parts { "What lifts and what sinks" }
            table.parts.two[plans.len() > 1] {
                thead { tr {
                    th scope="col" { "lift in water, " (units.symbol(Quantity::Mass)) }
                    @for (i, plan) in plans.iter().enumerate() {
                        @for (label, at) in [("heavy point", plan.findings.heavy), ("light point", plan.findings.light)] {
                            th.number scope="col" {
                                (name(i)) (label) br;
                                span.when {
                                    span { (moment(at.time_s)) "," } " "
                                    span { (units.text(Quantity::Length, at.depth_m)) }
                                }
                            }
                        }
                    }
                } }
                tbody {
                    @for row in &rows { tr {
                        th scope="row" { (row.name) }
                        @for lift in &row.lift_kg {
                            td.number { @match lift { Some(kg) => (signed2(units, *kg)), None => "—" } }
                        }
                    } }
                }
                tfoot { tr {
                    th scope="row" { "net, wing empty" }
                    @for column in 0..columns { td.number { (signed2(units, sum(column))) } }
                } }
            }
            p.small { "Plus floats, minus sinks; — not carried then." }
        }
    }
}

/// Each cylinder through the dive.
pub(super) fn cylinders(handout: &Handout<'_>) -> Markup {
    let report = handout.report;
    let (units, diver) = (report.units, report.scenario.rig());
    html! {
        section aria-labelledby="cylinders" {
            h2 #cylinders { "The cylinders through the dive" }
            table.cylinders {
                thead { tr {
                    th scope="col" { "cylinder" }
                    th.number colspan="2" scope="colgroup" { "when first carried" }
                    th.number colspan="2" scope="colgroup" { "when last carried" }
                } }
                @for finding in &report.findings.cylinders {
                    tbody {
                        tr {
                            th scope="rowgroup" { (diver.cylinders[finding.cylinder].name()) }
                            @match (finding.first, finding.last) {
                                (Some(_), Some(_)) => {
                                    td.number {
                                        (units.text(Quantity::GaugePressure, finding.first_pa))
                                    }
                                    td.number { (units.signed_text(Quantity::Mass, finding.first_kg)) }
                                    td.number { (units.text(Quantity::GaugePressure, finding.last_pa)) }
                                    td.number { (units.signed_text(Quantity::Mass, finding.last_kg)) }
                                }
                                _ => td.number colspan="4" { "never carried" },
                            }
                        }
                        @if finding.first.is_some() { tr { td.story colspan="5" { (story(handout, finding)) } } }
                    }
                }
            }
            p.small { "Pressures at the water’s temperature; lift is the cylinder’s own, with its gas and what hangs on it." }
        }
    }
}

/// What a cylinder does through the dive.
fn story(handout: &Handout<'_>, finding: &CylinderFinding) -> String {
    let report = handout.report;
    let units = report.units;
    let lift = |kg: f64| units.signed_text(Quantity::Mass, kg);
    let mut parts = Vec::new();
    parts.push(match finding.turn {
        Some(turn) => format!(
            "Turns from sinker to floater {} with {} left.",
            words::at(units, turn.time_s, turn.depth_m),
            units.text(Quantity::GaugePressure, turn.pressure_pa)
        ),
        None if finding.first_kg > 0.0 && finding.last_kg > 0.0 => "Floats all through.".into(),
        None if finding.first_kg <= 0.0 && finding.last_kg <= 0.0 => "Sinks all through.".into(),
        None => String::new(),
    });
    // what rounds to nothing is nothing
    if finding.used_kg >= 0.005 {
        parts.push(format!("Gives {} of gas.", crate::report::lead::lead_text(units, finding.used_kg)));
    }
    for event in report.trace.events() {
        if let Happening::Moved { cylinder, kind, lift_kg, .. } = event.what
            && cylinder == finding.cylinder
        {
            let verb = words::moved(kind);
            let verb = format!("{}{}", verb[..1].to_uppercase(), &verb[1..]);
            let when = words::at(units, event.time_s, event.depth_m);
            parts.push(format!("{verb} {when} ({}).", lift(lift_kg)));
        }
    }
    let removable = handout.removable.iter().find(|removable| removable.cylinder == finding.cylinder);
    if let Some(loss) = removable.and_then(|removable| removable.lightest) {
        parts.push(format!(
            "If it is lost, at worst {}, the net with the wing empty is {}.",
            words::at(units, loss.time_s, loss.depth_m),
            lift(loss.bare_kg)
        ));
    }
    parts.retain(|part| !part.is_empty());
    parts.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_are_not_part_of_a_name() {
        assert_eq!(uncounted("4 × belt weight"), "belt weight");
        assert_eq!(uncounted("10 mm × 2 hood"), "10 mm × 2 hood");
    }
}
