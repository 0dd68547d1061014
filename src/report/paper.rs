//! The sum on paper beside the program's: the tables of `ballast --paper`.

use crate::answer::{Paper, PaperColumn, PaperLine, Reason, Why};
use crate::report::fins::Fins;
use crate::report::measure::{Quantity, UnitSystem, fixed, moment};
use crate::report::table::{Fit, align_numbers, new_table, with_sum};
use crate::report::text::{Line, filled};
use crate::scenario::Scenario;
use crate::sim::Owner;

/// A reason that rounds to nothing in the reader's unit is not told.
const TOLD: f64 = 0.005;

/// How paper counts, below its tables.
const RULES: &str = "Paper counts as is common practice, by no standard: a reading in water as it is, whatever the water \
    was, or a volume as fresh water; a cylinder full at the start and empty at the end; gas as litres × bar × its weight \
    at the surface, 1.2 g/L for air; foam and suit gas as at the surface; lead with all its mass. Write your own sum \
    beside it: where yours is another, its rule is.";

/// A reason: a word or two for a line, and what they mean.
fn words(why: Why) -> (&'static str, &'static str) {
    match why {
        Why::Reserve => ("kept", "gas that is left then; paper empties the cylinder"),
        Why::NotUsed => ("not breathed", "gas that the dive leaves; paper empties the cylinder"),
        Why::Breathed => ("breathed", "gas used before the heaviest moment"),
        Why::RealGas => ("real gas", "not litres × bar"),
        Why::Temperature => ("temperature", "filled at one, read in the water at another"),
        Why::BodyInWater => ("follows water", "the body in this water, not as read"),
        Why::Water => ("this water", "the rest in this water, not as read"),
        Why::Squeezed => ("squeezed", "foam and suit at depth"),
        Why::GasWeight => ("has weight", "the gas in suit and loop"),
        Why::MayBeGone => ("may be gone", "a removable cylinder"),
        Why::LeftBehind => ("left behind", "a cylinder, by then"),
        Why::PickedUp => ("picked up", "a cylinder, by then"),
        Why::Corrected => ("corrected", "a figure, since it was written down"),
        Why::LeadPull => ("lead's pull", "less than its mass"),
    }
}

/// The answer in a line.
pub fn answer(units: UnitSystem, paper: &Paper) -> Line {
    let (end, start) = (&paper.end, &paper.start);
    let symbol = units.symbol(Quantity::Mass);
    let text = format!(
        "staying down takes {} {symbol}, a failed wing allows {}; the run of the dive says {} and {}",
        lead(units, end.paper_lead_kg, "none"),
        lead(units, start.paper_lead_kg, "no lead"),
        lead(units, end.tool_lead_kg, "none"),
        lead(units, start.tool_lead_kg, "no lead"),
    );
    Line::plain("On paper", text)
}

/// Nobody carries less than no lead.
fn lead(units: UnitSystem, kg: f64, none: &str) -> String {
    if kg < 0.0 { none.into() } else { number(units, kg) }
}

fn number(units: UnitSystem, kg: f64) -> String {
    fixed(units.value(Quantity::Mass, kg), 2)
}

fn signed(units: UnitSystem, kg: f64) -> String {
    let text = number(units, kg);
    if text.starts_with('−') || text == "0.00" { text } else { format!("+{text}") }
}

fn is_told(units: UnitSystem, kg: f64) -> bool {
    units.value(Quantity::Mass, kg).abs() >= TOLD
}

/// What each reason comes to, from the lead on paper to the lead of the run.
pub fn reasons(units: UnitSystem, paper: &Paper) -> String {
    let mut table = new_table();
    let unit = units.symbol(Quantity::Mass);
    table.set_header([
        format!("From paper to the dive,\nlead in {unit}"),
        "staying\ndown".to_owned(),
        "swimming\nup".to_owned(),
    ]);
    let columns = [&paper.end, &paper.start];
    let row = |label: String, cells: [String; 2]| [vec![label], cells.to_vec()].concat();
    table.add_row(row("on paper".into(), columns.map(|column| number(units, column.paper_lead_kg))));
    for why in Why::ALL {
        let sums_kg = columns.map(|column| column.reason_kg(why));
        if sums_kg.iter().any(|kg| is_told(units, *kg)) {
            let (word, meaning) = words(why);
            table.add_row(row(format!("{word}: {meaning}"), sums_kg.map(|kg| signed(units, kg))));
        }
    }
    table.add_row(row("by the run of the dive".into(), columns.map(|column| number(units, column.tool_lead_kg))));
    align_numbers(&mut table, 1..3);
    with_sum(&mut table, Fit::FIRST)
}

/// The column of the end: empty cylinders, the least lead.
pub fn end(units: UnitSystem, scenario: &Scenario, paper: &Paper) -> String {
    column(units, scenario, &paper.end, "End, empty cylinders", "lightest moment")
}

/// The column of the start: full cylinders, the most lead.
pub fn start(units: UnitSystem, scenario: &Scenario, paper: &Paper) -> String {
    column(units, scenario, &paper.start, "Start, full cylinders", "heaviest moment")
}

fn column(units: UnitSystem, scenario: &Scenario, column: &PaperColumn, title: &str, what: &str) -> String {
    let mut table = new_table();
    let unit = units.symbol(Quantity::Mass);
    table.set_header([format!("{title},\n{unit}"), "paper".into(), "the dive".into(), "why".into()]);
    for line in &column.lines {
        let why = told(units, &line.reasons);
        table.add_row([label(units, line), signed(units, line.paper_kg), signed(units, line.tool_kg), why]);
    }
    let (paper_kg, tool_kg) = (column.paper_kg(), column.tool_kg());
    table.add_row(["all without lead".into(), signed(units, paper_kg), signed(units, tool_kg), String::new()]);
    if column.capacity_kg > 0.0 {
        let capacity = signed(units, column.capacity_kg);
        table.add_row([format!("can be {}", Fins::of(scenario).swum_up()), capacity.clone(), capacity, String::new()]);
    }
    let pull = told(units, &[Reason { why: Why::LeadPull, lift_kg: column.lead_pull_kg }]);
    let leads = [column.paper_lead_kg, column.tool_lead_kg].map(|kg| number(units, kg));
    let [on_paper, here] = leads;
    table.add_row(["lead".into(), on_paper, here, pull]);
    align_numbers(&mut table, 1..4);
    let place = format!(
        "The dive: its {what}, {} at {}, wing empty, in water of {}.",
        moment(column.time_s),
        units.text(Quantity::Length, column.at_m),
        units.text(Quantity::Density, column.water_kg_m3),
    );
    format!("{}\n{}", with_sum(&mut table, Fit::FIRST), filled(&place))
}

/// The reasons of a line, one below the other.
fn told(units: UnitSystem, reasons: &[Reason]) -> String {
    let shown = reasons.iter().filter(|reason| is_told(units, reason.lift_kg));
    let one = |reason: &Reason| format!("{} {}", words(reason.why).0, signed(units, reason.lift_kg));
    shown.map(one).collect::<Vec<_>>().join("\n")
}

fn label(units: UnitSystem, line: &PaperLine) -> String {
    let gauge = |pa: Option<f64>| pa.map_or("—".into(), |pa| units.number(Quantity::GaugePressure, pa));
    match line.owner {
        Owner::Cylinder(_) => format!("{}, no gas", line.label),
        Owner::Gas(_) => {
            let (paper, here) = (gauge(line.paper_pa), gauge(line.tool_pa));
            let shown = if paper == here { paper } else { format!("{paper} / {here}") };
            format!("  gas, {shown} {}", units.symbol(Quantity::GaugePressure))
        }
        Owner::Hung { .. } => format!("  {}", line.label),
        Owner::Part(_) | Owner::Bag(_) | Owner::Absorbed | Owner::Metabolised => line.label.clone(),
    }
}

/// How paper counts.
pub fn rules() -> String {
    filled(RULES)
}
