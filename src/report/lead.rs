//! How much lead: the words and tables of `ballast`.

use std::fmt::Write as _;

use crate::report::measure::{Quantity, UnitSystem, clock, fixed};
use crate::report::text::{Line, align_numbers, new_table, plain, with_sum};
use crate::rig::{CylinderSet, Role};
use crate::scenario::Scenario;
use crate::sim::Owner;
use crate::study::{
    Advice, Binding, Bound, Change, Ditch, LeadBounds, LeadRange, OwnVerdict, RemovableCylinder, Tried, Verdict,
    WaterKind,
};

/// A mass with two decimals: lead is bought in pieces of half a kilogram or a pound, and differences count.
pub fn lead_text(units: UnitSystem, kg: f64) -> String {
    format!("{} {}", fixed(units.value(Quantity::Mass, kg), 2), units.symbol(Quantity::Mass))
}

fn signed_lead(units: UnitSystem, kg: f64) -> String {
    let text = fixed(units.value(Quantity::Mass, kg), 2);
    if text.starts_with('−') || text == "0.00" { text } else { format!("+{text}") }
}

/// Names of a set of cylinders.
pub(super) fn names(scenario: &Scenario, set: CylinderSet) -> String {
    let names: Vec<_> = set.iter().map(|i| scenario.rig().cylinders[i].name()).collect();
    if names.is_empty() { "no cylinder".into() } else { names.join(", ") }
}

/// Mass of the plan's ballast, kg.
pub fn ballast_kg(scenario: &Scenario) -> f64 {
    scenario.rig().parts.iter().filter(|part| part.role == Role::Ballast).map(|part| part.mass_kg()).sum()
}

/// The range in one line, for the summary of a run.
pub fn range_line(units: UnitSystem, scenario: &Scenario, bounds: &LeadBounds) -> Line {
    let mass = |kg: f64| units.text(Quantity::Mass, kg);
    let own = mass(ballast_kg(scenario));
    let text = if bounds.is_empty() {
        let least = if bounds.least_kg > 0.0 { mass(bounds.least_kg) } else { "none".into() };
        let most = if bounds.most_kg >= 0.0 { mass(bounds.most_kg) } else { "less than none".into() };
        format!(
            "no lead is right: holding the last stop at reserve takes {least}, swimming up allows {most}; the plan \
             carries {own}. What to do: lightpoint ballast"
        )
    } else {
        format!(
            "{} to {} holds the last stop at reserve, whichever removable cylinder is gone, and can be swum up; the plan \
             carries {own}",
            mass(bounds.low_kg()),
            mass(bounds.most_kg)
        )
    };
    Line { label: "Lead".into(), text, within: Some(!bounds.is_empty()) }
}

/// The answer of `ballast`, in lines.
pub fn answer(units: UnitSystem, scenario: &Scenario, range: &LeadRange, advice: &Advice) -> Vec<Line> {
    let mut lines = vec![
        Line::plain(
            "Least",
            format!("{}, {}", lead_text(units, range.least.lead_kg.max(0.0)), why(units, scenario, &range.least, true)),
        ),
        Line::plain("Most", format!("{}, {}", most_text(units, range), why(units, scenario, &range.most, false))),
    ];
    if range.least.lead_kg < 0.0 {
        let margin = units.text(Quantity::Mass, -range.least.without_lead_kg());
        lines[0].text = format!(
            "none: without lead the diver still stays down with {margin} to spare, {}",
            why(units, scenario, &range.least, true)
        );
    }
    if range.least_as_planned.lead_kg + 1e-3 < range.least.lead_kg {
        let text = format!(
            "{} with every cylinder that the plan carries then",
            lead_text(units, range.least_as_planned.lead_kg.max(0.0))
        );
        lines.push(Line::plain("  as planned", text));
    }
    lines.push(advice_line(units, range, advice));
    lines.push(own_line(units, range));
    if let Some(ditch) = &advice.ditch {
        lines.extend(ditch_lines(units, range, ditch));
    }
    lines
}

fn most_text(units: UnitSystem, range: &LeadRange) -> String {
    if range.most.lead_kg >= 0.0 { lead_text(units, range.most.lead_kg) } else { "not even without lead".into() }
}

/// Which moment and which case binds an end.
fn why(units: UnitSystem, scenario: &Scenario, bound: &Bound, is_least: bool) -> String {
    let binding = &bound.binding;
    let when = format!("{} min", clock(binding.time_s));
    let depth = units.text(Quantity::Length, binding.at_m);
    if !is_least {
        let from = units.text(Quantity::Length, binding.depth_m);
        let place = if from == depth { format!("at {depth}") } else { format!("from {from}, heaviest at {depth}") };
        return format!("bound by a wing failure at {when} {place}, carrying {}", names(scenario, binding.carried));
    }
    let gone = if binding.gone.is_empty() {
        "nothing gone".to_owned()
    } else {
        format!("{} gone", names(scenario, binding.gone))
    };
    let pressures: Vec<_> = binding
        .cylinders
        .iter()
        .filter(|then| binding.carried.contains(then.cylinder))
        .map(|then| {
            let name = scenario.rig().cylinders[then.cylinder].name();
            format!("{name} {}", units.text(Quantity::GaugePressure, then.counted_pa))
        })
        .collect();
    format!("bound by the stop at {depth} at {when} with {gone} and {}", pressures.join(", "))
}

/// What to carry, in a line.
pub fn advice_line(units: UnitSystem, range: &LeadRange, advice: &Advice) -> Line {
    let pieces = advice.lead.as_ref().map(|choice| {
        let mut text = lead_text(units, choice.lead_kg);
        if choice.pieces_kg.len() > 1 {
            let _ = write!(text, " ({})", piece_list(units, &choice.pieces_kg));
        }
        text
    });
    let carry = pieces.unwrap_or_else(|| lead_text(units, range.bounds().low_kg()));
    let (text, within) = match advice.verdict {
        Verdict::Fits => (format!("carry {carry}: the least, rounded up to pieces that exist"), true),
        Verdict::PiecesTooCoarse => {
            (format!("{carry} is the least in these pieces, but above the most: use finer pieces"), false)
        }
        Verdict::PiecesTooFew => ("the pieces that are there do not reach the least".to_owned(), false),
        Verdict::NoLeadIsRight => {
            let gap = lead_text(units, -range.bounds().width_kg());
            (format!("no lead is right: the least exceeds the most by {gap}"), false)
        }
    };
    Line { label: "Advice".into(), text, within: Some(within) }
}

/// Pieces, the heaviest first, alike ones counted: `2 × 2.00 + 1.00`.
fn piece_list(units: UnitSystem, pieces_kg: &[f64]) -> String {
    let alike = pieces_kg.chunk_by(|a, b| a == b).map(|run| {
        let each = fixed(units.value(Quantity::Mass, run[0]), 2);
        if run.len() > 1 { format!("{} × {each}", run.len()) } else { each }
    });
    alike.collect::<Vec<_>>().join(" + ")
}

fn own_line(units: UnitSystem, range: &LeadRange) -> Line {
    let own = &range.own;
    let margin = |kg: f64, good: &str, bad: &str| {
        let amount = units.text(Quantity::Mass, kg.abs());
        if kg >= -1e-3 { format!("{good} {amount} to spare") } else { format!("{bad} by {amount}") }
    };
    let carried = lead_text(units, own.ballast_kg);
    let hold = margin(own.hold_margin_kg, "holds the last stop at reserve with", "floats off the last stop at reserve");
    let swim = margin(own.swim_margin_kg, "can be swum up with", "exceeds the swim-up capacity");
    Line {
        label: "The plan's own".into(),
        text: format!("{carried}: {hold}; {swim}"),
        within: Some(own.verdict() == OwnVerdict::Fits),
    }
}

fn ditch_lines(units: UnitSystem, range: &LeadRange, ditch: &Ditch) -> Vec<Line> {
    let needed = lead_text(units, ditch.needed_kg);
    let with = lead_text(units, ditch.lead_kg);
    let how = if ditch.is_enough {
        let rounded = ditch
            .choice
            .as_ref()
            .map_or(String::new(), |choice| format!(" ({} in pieces)", lead_text(units, choice.lead_kg)));
        format!("of {with} at least {needed}{rounded} must be ditchable, to be swum up from anywhere")
    } else if ditch.lead_kg > 0.0 {
        format!("even all of {with} ditched is too little: {needed} would have to go, so the rig must change")
    } else {
        format!("there is no lead to ditch: the rig must become lighter by what {needed} of lead pulls")
    };
    let has = range.own.ditchable_kg;
    let own = if has > 0.0 { format!("; the plan can ditch {}", lead_text(units, has)) } else { String::new() };
    let mut lines =
        vec![Line { label: "Ditchable".into(), text: format!("{how}{own}"), within: Some(ditch.is_enough) }];
    if ditch.is_enough {
        for stop in &ditch.stops {
            let one = |kg: f64| {
                let amount = units.text(Quantity::Mass, kg.abs());
                if kg <= 0.0 { format!("holds with {amount} to spare") } else { format!("floats up by {amount}") }
            };
            lines.push(Line {
                label: format!("  then at {}", units.text(Quantity::Length, stop.depth_m)),
                text: format!("as planned {}; at reserve {}", one(stop.planned_kg), one(stop.at_reserve_kg)),
                within: Some(stop.planned_kg <= 0.0 && stop.at_reserve_kg <= 0.0),
            });
        }
    }
    lines
}

/// The sum of one binding moment, each part with its contribution.
pub fn sum_table(units: UnitSystem, scenario: &Scenario, title: &str, binding: &Binding) -> String {
    let mut table = new_table();
    table.set_header([title.to_owned(), format!("lift, {}", units.symbol(Quantity::Mass))]);
    for term in &binding.lines {
        let label = match term.owner {
            Owner::Cylinder(_) => format!("{}, without its gas", term.label),
            Owner::Gas(i) => {
                let then = binding.cylinders.iter().find(|then| then.cylinder == i);
                let gauge = then.map(|then| units.text(Quantity::GaugePressure, then.counted_pa)).unwrap_or_default();
                format!("  its gas, {gauge}")
            }
            Owner::Part(_) | Owner::Bag(_) => term.label.clone(),
        };
        table.add_row([label, signed_lead(units, term.lift_kg)]);
    }
    table.add_row(["net, wing empty".to_owned(), signed_lead(units, binding.net_kg)]);
    align_numbers(&mut table, 1..2);
    let gone = if binding.gone.is_empty() {
        String::new()
    } else {
        format!("\nnot counted, because it may be gone by then: {}", names(scenario, binding.gone))
    };
    format!("{}{gone}", with_sum(&table))
}

/// Why the end of the dive is the light one: the gas that left each cylinder.
pub fn gas_table(units: UnitSystem, range: &LeadRange) -> String {
    let story = &range.heavy_to_light;
    let unit = units.symbol(Quantity::Mass);
    let mut table = new_table();
    table.set_header([
        format!("Gas, {unit}"),
        format!("heaviest\n{} min", clock(story.heavy_s)),
        format!("lightest\n{} min", clock(story.light_s)),
        "used in\nbetween".to_owned(),
        "still to the\nreserve".to_owned(),
    ]);
    let number = |kg: f64| fixed(units.value(Quantity::Mass, kg), 2);
    let mut sums = [0.0; 4];
    for used in &story.cylinders {
        let columns = [used.heavy_kg, used.light_kg, used.used_kg(), used.to_low_kg()];
        sums.iter_mut().zip(columns).for_each(|(sum, kg)| *sum += kg);
        table.add_row(std::iter::once(used.name.clone()).chain(columns.map(number)));
    }
    table.add_row(std::iter::once("all".to_owned()).chain(sums.map(number)));
    align_numbers(&mut table, 1..5);
    let breathed = lead_text(units, story.breathed_kg);
    format!(
        "{}\nThe end of the dive is the light one because {breathed} of gas was breathed on the way.",
        with_sum(&table)
    )
}

/// What single changes of the rig do about an empty range, best first.
pub fn changes_table(units: UnitSystem, tried: &[Tried]) -> String {
    let unit = units.symbol(Quantity::Mass);
    let mut table = new_table();
    table.set_header([
        "One change, simulated".to_owned(),
        format!("closes,\n{unit}"),
        format!("gap left,\n{unit}"),
        format!("least,\n{unit}"),
        format!("most,\n{unit}"),
    ]);
    let number = |kg: f64| fixed(units.value(Quantity::Mass, kg), 2);
    for tried in tried {
        let gap = if tried.gap_kg() <= 0.0 { "none".into() } else { number(tried.gap_kg()) };
        table.add_row([
            change_text(units, &tried.change),
            number(tried.closes_kg),
            gap,
            number(tried.bounds.low_kg()),
            number(tried.bounds.most_kg),
        ]);
    }
    align_numbers(&mut table, 1..5);
    plain(&table)
}

/// A change in words.
pub(super) fn change_text(units: UnitSystem, change: &Change) -> String {
    match change {
        Change::Ditchable { lead_kg } => format!("{} of the lead ditchable", lead_text(units, *lead_kg)),
        Change::LessSuitGas { suit_gas_m3, cut_frac } => {
            format!("suit loft {:.0} % less, {}", cut_frac * 100.0, units.text(Quantity::Volume, *suit_gas_m3))
        }
        Change::HigherReserve { raise_pa } => {
            // a difference of pressures: the gauge's zero does not enter
            let raise = units.value(Quantity::Pressure, *raise_pa);
            format!("reserve {raise:.0} {} higher", units.symbol(Quantity::Pressure))
        }
        Change::Water(WaterKind::Fresh) => "the same dive in fresh water".into(),
        Change::Water(WaterKind::Salt) => "the same dive in sea water".into(),
        Change::Alternative { label, .. } => label.clone(),
    }
}

/// What removable cylinders do: when they turn, what they weigh at the last stop, what losing one means.
pub fn removable_table(units: UnitSystem, scenario: &Scenario, removable: &[RemovableCylinder]) -> String {
    let unit = units.symbol(Quantity::Mass);
    let mut table = new_table();
    table.set_header([
        "Removable\ncylinder".to_owned(),
        "neutral\nat".to_owned(),
        format!("at the last stop, {unit}\nplanned / at reserve"),
        format!("if lost, lightest, {unit}\nat or below the last stop"),
        format!("if lost,\nheaviest, {unit}"),
    ]);
    let loss = |loss: &Option<crate::study::Loss>| {
        loss.map_or("—".into(), |loss| format!("{} at {} min", signed_lead(units, loss.bare_kg), clock(loss.time_s)))
    };
    for found in removable {
        table.add_row([
            scenario.rig().cylinders[found.cylinder].name().to_owned(),
            found.neutral_pa.map_or("never".into(), |pa| units.text(Quantity::GaugePressure, pa)),
            found.last_stop.map_or("not carried".into(), |lift| {
                format!("{} / {}", signed_lead(units, lift.planned_kg), signed_lead(units, lift.at_reserve_kg))
            }),
            loss(&found.lightest),
            loss(&found.heaviest),
        ]);
    }
    align_numbers(&mut table, 1..5);
    let text = plain(&table);
    format!(
        "{text}if lost: the diver's net with the wing empty, without that cylinder, at the worst moment to lose it\n"
    )
}
