//! Two plans held against each other: what was changed, what that changes, and what stays.

use std::collections::HashSet;

use maud::{Markup, html};

use crate::estimate::Input;
use crate::report::calibrate::estimate_text;
use crate::report::html::answer::upper;
use crate::report::html::{Handout, pack};
use crate::report::lead::ballast_kg;
use crate::report::measure::{Quantity, UnitSystem};
use crate::report::{Report, lead};
use crate::study::compare::Key;

/// Figures of a comparison that a student needs.
const FOUND: [Key; 11] = [
    Key::LeastLead,
    Key::MostLead,
    Key::Heavy,
    Key::Light,
    Key::Load,
    Key::Beyond,
    Key::StayingDown,
    Key::Wing,
    Key::BandUp,
    Key::BandDown,
    Key::LandWeight,
];
/// At most so many changes are listed.
const LISTED: usize = 8;

/// Something that differs: what it is, in plan A, in plan B.
struct Change {
    label: String,
    values: [String; 2],
}

/// The section.
pub(super) fn section(handout: &Handout<'_>) -> Markup {
    let Some(beside) = &handout.beside else { return html! {} };
    let changes = changes(handout, beside.report, beside.sizes);
    let (differ, same): (Vec<Found>, Vec<Found>) = found(handout).into_iter().partition(|found| !found.is_same);
    let same: Vec<&str> = same.iter().map(|found| found.label).collect();
    html! {
        section.differ aria-labelledby="differ" {
            h2 #differ { "What differs" }
            div.two {
                table.changes {
                    thead { tr { th scope="col" { "changed" } th scope="col" { "A" } th scope="col" { "B" } } }
                    tbody {
                        @for change in changes.iter().take(LISTED) { tr {
                            th scope="row" { (change.label) }
                            @for value in &change.values { td { (value) } }
                        } }
                    }
                }
                @if !differ.is_empty() { table.beside {
                    thead { tr {
                        th scope="col" { "and so" }
                        @for column in ["A", "B", "B less A"] { th.number scope="col" { (column) } }
                    } }
                    tbody {
                        @for found in &differ { tr {
                            th scope="row" { (upper(found.label)) ", " (found.unit) }
                            @for value in &found.values { td.number { (value) } }
                        } }
                    }
                } }
            }
            @if changes.is_empty() { p { "The two plans have the same figures." } }
            @if changes.len() > LISTED { p.small { "And " (changes.len() - LISTED) " more changes." } }
            @if !same.is_empty() { p.small { "Hardly any difference: " (same.join(", ")) "." } }
        }
    }
}

/// What was changed: lead, cylinders, water and dive in words, then every other figure.
fn changes(handout: &Handout<'_>, theirs: &Report<'_>, their_sizes: &[Option<String>]) -> Vec<Change> {
    let own = handout.report;
    let units = own.units;
    let of_both = |label: &str, words: &dyn Fn(&Report<'_>) -> String| {
        let values = [own, theirs].map(words);
        (values[0] != values[1]).then(|| Change { label: label.into(), values })
    };
    let mut rows: Vec<Change> = Vec::new();
    rows.extend(of_both("lead", &|report| lead::lead_text(units, ballast_kg(report.scenario))));
    let mut seen = HashSet::new();
    for name in names(own).chain(names(theirs)).filter(|name| seen.insert(*name)) {
        let values = [(own, handout.sizes), (theirs, their_sizes)].map(|(report, sizes)| cylinder(report, sizes, name));
        rows.extend((values[0] != values[1]).then(|| Change { label: name.into(), values }));
    }
    rows.extend(of_both("water", &|report| pack::water(units, report.scenario.water())));
    rows.extend(of_both("dive", &pack::dive));
    let told: Vec<String> = rows.iter().map(|row| row.label.clone()).collect();
    for input in own.inputs.iter().chain(theirs.inputs).filter(|input| !is_told(input, &told)) {
        if seen.insert(input.label.as_str()) {
            rows.extend(of_both(&input.label, &|report| figure(units, report, &input.label)));
        }
    }
    rows
}

/// Whether a figure is part of what is told in words already.
fn is_told(input: &Input, told: &[String]) -> bool {
    let is_there = |label: &str| told.iter().any(|one| one == label);
    match input.path.first() {
        "ballast" => is_there("lead"),
        "site" => is_there("water"),
        "dive" => is_there("dive"),
        "cylinder" => told.iter().any(|name| input.label.starts_with(&format!("{name}, "))),
        _ => false,
    }
}

fn names<'a>(report: &Report<'a>) -> impl Iterator<Item = &'a str> + use<'a> {
    report.scenario.rig().cylinders.iter().map(|cylinder| cylinder.name())
}

/// A cylinder of a plan in one line.
fn cylinder(report: &Report<'_>, sizes: &[Option<String>], name: &str) -> String {
    let place = names(report).position(|own| own == name);
    place.map_or("—".into(), |index| pack::in_short(report, sizes, index))
}

/// A figure of a plan with its doubt.
fn figure(units: UnitSystem, report: &Report<'_>, label: &str) -> String {
    let input = report.inputs.iter().find(|input| input.label == label);
    input.map_or("—".into(), |input| estimate_text(units, input, &input.estimate))
}

/// A finding of both.
struct Found {
    label: &'static str,
    unit: &'static str,
    /// A, B, and B less A.
    values: [String; 3],
    /// Whether the difference is less than is shown.
    is_same: bool,
}

fn found(handout: &Handout<'_>) -> Vec<Found> {
    let Some(beside) = &handout.beside else { return Vec::new() };
    let units = handout.report.units;
    let rows = beside.comparison.rows.iter().filter(|row| FOUND.contains(&row.key));
    let one = |row: &crate::study::compare::Row| {
        let quantity = row.key.quantity();
        let is_signed = matches!(row.key, Key::Heavy | Key::Light);
        let is_lead = matches!(row.key, Key::LeastLead | Key::MostLead);
        let values = [row.values[0], row.values[1]].map(|value| match value {
            // nobody carries less than none
            Some(kg) if is_lead && kg < 0.0 => "none".into(),
            value => shown(units, quantity, value, is_signed),
        });
        let difference = shown(units, quantity, row.differences[1], true);
        Found {
            label: row.key.label(),
            unit: units.symbol(quantity),
            is_same: values[0] == values[1] || is_nothing(&difference),
            values: [values[0].clone(), values[1].clone(), difference],
        }
    };
    rows.map(one).collect()
}

/// Whether a number shows as zero.
fn is_nothing(number: &str) -> bool {
    number.chars().all(|c| matches!(c, '0' | '.'))
}

fn shown(units: UnitSystem, quantity: Quantity, value: Option<f64>, is_signed: bool) -> String {
    match value {
        None => "—".to_owned(),
        Some(value) if is_signed => units.signed(quantity, value),
        Some(value) => units.number(quantity, value),
    }
}
