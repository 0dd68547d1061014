//! The numbers of the moments that the page shows: the series, thinned, in the reader's units.

use serde_json::{Value, json};

use crate::diver::Role;
use crate::findings::elsewhere::Elsewhere;
use crate::report::balance::{Line, LineKind, lines};
use crate::report::html::Handout;
use crate::report::measure::Quantity;
use crate::report::{Report, words};
use crate::sim::{Happening, Trace};

/// At most about so many rows by time; moments that matter come on top.
const ROWS: f64 = 480.0;

/// Everything that the script needs.
pub(super) fn data(handout: &Handout<'_>) -> Value {
    let report = handout.report;
    let units = report.units;
    let marks = marks(report);
    let rows = kept(report, &marks);
    let lines = lines(report.scenario, report.trace, &rows);
    let groups = groups(report, &lines);
    let unit = |quantity: Quantity| json!([units.symbol(quantity), units.decimals(quantity)]);
    let place = |sample: usize| rows.binary_search(&sample).unwrap_or(0);
    json!({
        "units": {
            "mass": unit(Quantity::Mass), "depth": unit(Quantity::Length), "volume": unit(Quantity::Volume),
            "gauge": unit(Quantity::GaugePressure),
            "ambient": [units.symbol(Quantity::Pressure), 2],
        },
        "limit": number(handout, Quantity::Mass, report.findings.failed_wing.capacity_kg),
        "ditchable": report.scenario.fixed().ditchable_kg > 0.0,
        "groups": groups.iter().map(|group| group.name.as_str()).collect::<Vec<_>>(),
        "marks": marks.iter().map(|mark| json!([mark.label, place(mark.sample)])).collect::<Vec<_>>(),
        "columns": COLUMNS,
        "rows": rows.iter().enumerate().map(|(i, &row)| one(handout, row, i, &groups)).collect::<Vec<_>>(),
    })
}

/// Names of the columns of a row; the last two are lists, by cylinder and by group.
const COLUMNS: [&str; 13] = [
    "time_s",
    "depth",
    "ambient",
    "bare",
    "net",
    "wing",
    "suit",
    "load",
    "load_ditched",
    "load_suit",
    "other",
    "gauge",
    "lift",
];

/// A number in the reader's unit, to a ten-thousandth of it: far finer than what is shown.
fn number(handout: &Handout<'_>, quantity: Quantity, si: f64) -> f64 {
    (handout.report.units.value(quantity, si) * 1e4).round() / 1e4 + 0.0
}

fn one(handout: &Handout<'_>, row: usize, i: usize, groups: &[Group]) -> Value {
    let report = handout.report;
    let sample = &report.trace.samples()[row];
    let mass = |kg: f64| number(handout, Quantity::Mass, kg);
    let found = report.findings;
    let ditched_kg = -Elsewhere::of(report.scenario, sample).after_ditching().heaviest_on_the_way_up().0;
    let gauge = report.trace.cylinders(row).iter().enumerate().map(|(cylinder, at)| {
        sample.carried.contains(cylinder).then(|| number(handout, Quantity::GaugePressure, at.pressure_pa))
    });
    let other = handout.beside.as_ref().and_then(|beside| bare_kg_at(beside.report.trace, sample.time_s));
    json!([
        sample.time_s,
        number(handout, Quantity::Length, sample.depth_m),
        number(handout, Quantity::Pressure, sample.ambient_pa),
        mass(sample.bare_kg),
        mass(sample.net_kg),
        number(handout, Quantity::Volume, sample.wing_m3),
        number(handout, Quantity::Volume, sample.suit_m3),
        mass(found.failed_wing.loads_kg[row]),
        mass(ditched_kg),
        found.failed_wing_with_suit.as_ref().map(|with_suit| mass(with_suit.loads_kg[row])),
        other.map(mass),
        gauge.collect::<Vec<_>>(),
        groups.iter().map(|group| group.lift_kg[i].map(mass)).collect::<Vec<_>>(),
    ])
}

/// Net lift with the wing empty at a time between the rows of another trace, kg; `None` after its end.
fn bare_kg_at(trace: &Trace, time_s: f64) -> Option<f64> {
    let rows = trace.samples();
    let after = rows.partition_point(|row| row.time_s < time_s);
    let here = rows.get(after)?;
    let before = &rows[after.saturating_sub(1)];
    let span_s = here.time_s - before.time_s;
    let share = if span_s > 0.0 { (time_s - before.time_s) / span_s } else { 1.0 };
    Some(before.bare_kg + share * (here.bare_kg - before.bare_kg))
}

/// What lifts or sinks, as one bar.
struct Group {
    name: String,
    /// Net lift at each row, kg; `None` when it is not carried then.
    lift_kg: Vec<Option<f64>>,
}

/// Parts by what they are for, the suit with its gas, each cylinder by itself.
fn groups(report: &Report<'_>, lines: &[Line]) -> Vec<Group> {
    let suit = if report.scenario.diver().suit_gas.is_some() { "suit with its gas" } else { "suit" };
    let mut groups: Vec<(LineKind, Group)> = Vec::new();
    for line in lines {
        let (key, name) = match line.kind {
            LineKind::Part(Role::Person) => (LineKind::Part(Role::Person), "diver"),
            LineKind::Part(Role::Suit) | LineKind::SuitGas => (LineKind::SuitGas, suit),
            LineKind::Part(Role::Gear | Role::Wing) => (LineKind::Part(Role::Gear), "gear, empty wing"),
            LineKind::Part(Role::Ballast) => (LineKind::Part(Role::Ballast), "ballast"),
            LineKind::Cylinder(_) => (line.kind, line.name.as_str()),
        };
        match groups.iter_mut().find(|(other, _)| *other == key) {
            Some((_, group)) => {
                for (sum, lift) in group.lift_kg.iter_mut().zip(&line.lift_kg) {
                    *sum = sum.zip(*lift).map(|(a, b)| a + b);
                }
            }
            None => groups.push((key, Group { name: name.to_owned(), lift_kg: line.lift_kg.clone() })),
        }
    }
    groups.into_iter().map(|(_, group)| group).collect()
}

/// A moment to jump to.
struct Mark {
    label: String,
    sample: usize,
}

fn marks(report: &Report<'_>) -> Vec<Mark> {
    let found = report.findings;
    let mut marks = vec![
        Mark { label: "start".into(), sample: 0 },
        Mark { label: "heavy point".into(), sample: found.heavy.sample },
        Mark { label: "largest load".into(), sample: found.failed_wing.worst.sample },
        Mark { label: "light point".into(), sample: found.light.sample },
        Mark { label: "last stop, lightest".into(), sample: found.last_hold().planned.sample },
    ];
    for event in report.trace.events() {
        if let Happening::Moved { cylinder, kind, .. } = event.what {
            let after = report.trace.samples().iter().rposition(|row| row.time_s <= event.time_s).unwrap_or(0);
            let name = &report.scenario.diver().cylinders[cylinder].name;
            marks.push(Mark { label: format!("{name} {}", words::moved(kind)), sample: after });
        }
    }
    marks.sort_by_key(|mark| mark.sample);
    // one moment, one button
    let mut unique: Vec<Mark> = Vec::new();
    for mark in marks {
        match unique.last_mut().filter(|last| last.sample == mark.sample) {
            Some(last) => last.label = format!("{}, {}", last.label, mark.label),
            None => unique.push(mark),
        }
    }
    unique
}

/// The rows that are kept: about [`ROWS`] in even steps of whole seconds, both sides of every jump, every moment that
/// is named.
fn kept(report: &Report<'_>, marks: &[Mark]) -> Vec<usize> {
    let samples = report.trace.samples();
    let found = report.findings;
    let every_s = (report.trace.last().time_s / ROWS).ceil().max(1.0);
    let mut next_s = 0.0;
    let mut rows: Vec<usize> = Vec::new();
    for (i, sample) in samples.iter().enumerate() {
        let is_twin = |j: usize| samples.get(j).is_some_and(|other| other.time_s == sample.time_s);
        if sample.time_s >= next_s - 1e-9 {
            next_s = ((sample.time_s / every_s + 1e-9).floor() + 1.0) * every_s;
            rows.push(i);
        } else if is_twin(i + 1) || (i > 0 && is_twin(i - 1)) {
            rows.push(i);
        }
    }
    rows.extend(marks.iter().map(|mark| mark.sample));
    rows.extend([samples.len() - 1]);
    rows.extend(found.holds.iter().flat_map(|hold| [hold.planned.sample, hold.drained.sample]));
    rows.sort_unstable();
    rows.dedup();
    rows
}
