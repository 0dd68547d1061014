//! The numbers of the moments that the page shows: the series, thinned, in the reader's units.

use serde_json::{Value, json};

use crate::findings::elsewhere::Elsewhere;
use crate::report::balance::{Line, LineKind, lines};
use crate::report::html::Handout;
use crate::report::measure::{LONG_S, Quantity};
use crate::report::{Report, words};
use crate::rig::Role;
use crate::scenario::Scenario;
use crate::sim::{Happening, Now};
use crate::units::BAR_PA;

/// Everything that the script needs.
pub(super) fn data(handout: &Handout<'_>) -> Value {
    let report = handout.report;
    let units = report.units;
    let marks = marks(report);
    let rows = report.rows.samples().len();
    let moments: Vec<&Now> = (0..rows).map(|row| report.rows.now(row)).collect();
    let lines = lines(report.scenario, &moments);
    let groups = groups(report, &lines);
    let overheads = report.scenario.profile().overhead_times();
    let overheads: Vec<[f64; 2]> = overheads.iter().map(|time| [time.start_s, time.end_s]).collect();
    let unit = |quantity: Quantity| json!([units.symbol(quantity), units.decimals(quantity)]);
    json!({
        "units": {
            "mass": unit(Quantity::Mass), "depth": unit(Quantity::Length), "volume": unit(Quantity::Volume),
            "gauge": unit(Quantity::GaugePressure),
            "ambient": [units.symbol(Quantity::Pressure), 2],
            // oxygen is told in bar to every reader
            "oxygen": ["bar", 2],
        },
        "limit": number(handout, Quantity::Mass, report.findings.failed_wing.capacity_kg),
        "ditchable": can_ditch(report.scenario),
        // a hair above the last stop is at it: depths are rounded
        "lastStop": number(handout, Quantity::Length, report.scenario.last_stop_m()) - 2e-4,
        "ascentS": report.scenario.profile().final_ascent_s(),
        // from when to when there is no way straight up, s
        "overheads": overheads,
        "inHours": report.trace.last().state.time_s > LONG_S,
        "groups": groups.iter().map(|group| group.name.as_str()).collect::<Vec<_>>(),
        "marks": marks.iter().map(|mark| json!([mark.label, mark.row])).collect::<Vec<_>>(),
        "columns": COLUMNS,
        "rows": (0..rows).map(|row| one(handout, row, &groups)).collect::<Vec<_>>(),
    })
}

/// Whether there is anything to let go of under water.
fn can_ditch(scenario: &Scenario) -> bool {
    let rig = scenario.rig();
    rig.parts.iter().any(|part| part.ditchable) || rig.cylinders.iter().any(|cylinder| cylinder.is_ditchable())
}

/// Names of the columns of a row; the last two are lists, by cylinder and by group.
const COLUMNS: [&str; 14] = [
    "time_s",
    "depth",
    "ambient",
    "bare",
    "net",
    "wing",
    "suit",
    "oxygen",
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

fn one(handout: &Handout<'_>, row: usize, groups: &[Group]) -> Value {
    let report = handout.report;
    let sample = &report.rows.samples()[row];
    let mass = |kg: f64| number(handout, Quantity::Mass, kg);
    let ditched_kg = -Elsewhere::of(report.scenario, report.rows.now(row))
        .after_ditching(sample.leg)
        .heaviest_on_the_way_up(sample.leg)
        .bare_kg;
    let gauge = report.rows.cylinders(row).iter().enumerate().map(|(cylinder, at)| {
        sample.carried.contains(cylinder).then(|| number(handout, Quantity::GaugePressure, at.pressure_pa))
    });
    let other = handout.beside.as_ref().and_then(|beside| bare_kg_at(beside.report, sample.time_s));
    json!([
        sample.time_s,
        number(handout, Quantity::Length, sample.depth_m),
        number(handout, Quantity::Pressure, sample.ambient_pa),
        mass(sample.bare_kg),
        mass(sample.net_kg),
        number(handout, Quantity::Volume, sample.wing_m3),
        number(handout, Quantity::Volume, sample.suit_m3),
        (sample.loop_oxygen_pa / BAR_PA * 1e4).round() / 1e4,
        mass(report.rows.loads_kg[row]),
        mass(ditched_kg),
        report.rows.loads_with_suit_kg.as_ref().map(|loads_kg| mass(loads_kg[row])),
        other.map(mass),
        gauge.collect::<Vec<_>>(),
        groups.iter().map(|group| group.lift_kg[row].map(mass)).collect::<Vec<_>>(),
    ])
}

/// Net lift with the wing empty of another dive at a time, kg; `None` after its end.
fn bare_kg_at(other: &Report<'_>, time_s: f64) -> Option<f64> {
    let is_within = time_s <= other.trace.last().state.time_s;
    is_within.then(|| other.trace.at(other.scenario, time_s).balance.bare_kg())
}

/// What lifts or sinks, as one bar.
struct Group {
    name: String,
    /// Net lift at each row, kg; `None` when it is not carried then.
    lift_kg: Vec<Option<f64>>,
}

/// Parts by what they are for, the suit with its gas, each cylinder by itself.
fn groups(report: &Report<'_>, lines: &[Line]) -> Vec<Group> {
    let suit = if report.scenario.rig().suit.is_some() { "suit with its gas" } else { "suit" };
    let mut groups: Vec<(LineKind, Group)> = Vec::new();
    for line in lines {
        let (key, name) = match line.kind {
            LineKind::Part(Role::Person) => (LineKind::Part(Role::Person), "diver"),
            LineKind::Part(Role::Suit) | LineKind::SuitGas => (LineKind::SuitGas, suit),
            LineKind::Part(Role::Gear | Role::Wing) => (LineKind::Part(Role::Gear), "gear, empty wing"),
            LineKind::Part(Role::Ballast) => (LineKind::Part(Role::Ballast), "ballast"),
            LineKind::Loop => (LineKind::Loop, "loop with its gas"),
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
    row: usize,
}

fn marks(report: &Report<'_>) -> Vec<Mark> {
    let found = report.findings;
    let stop = found.last_hold().planned;
    let named = [
        ("heavy point", found.heavy.time_s, found.heavy.bare_kg),
        ("largest load", found.failed_wing.worst.time_s, found.failed_wing.worst.now.balance.bare_kg()),
        ("light point", found.light.time_s, found.light.bare_kg),
        ("last stop, lightest", stop.time_s(), stop.now.balance.bare_kg()),
    ];
    let mut marks = vec![Mark { label: "start".into(), row: 0 }];
    marks.extend(
        named.map(|(label, time_s, bare_kg)| Mark { label: label.into(), row: report.rows.row_of(time_s, bare_kg) }),
    );
    for event in report.trace.events() {
        if let Happening::Moved { cylinder, kind, .. } = event.what {
            let name = report.scenario.rig().cylinders[cylinder].name();
            let row = report.rows.nearest(event.time_s);
            marks.push(Mark { label: format!("{name} {}", words::moved(kind)), row });
        }
    }
    marks.sort_by_key(|mark| mark.row);
    // one moment, one button
    let mut unique: Vec<Mark> = Vec::new();
    for mark in marks {
        match unique.last_mut().filter(|last| last.row == mark.row) {
            Some(last) => last.label = format!("{}, {}", last.label, mark.label),
            None => unique.push(mark),
        }
    }
    unique
}
