//! The first check in confined water: what to do, what the model predicts, and room for what was seen, in the form in
//! which it is typed in afterwards.

use maud::{Markup, html};

use crate::findings::pool_check::{AT_EASE, CheckAt, Contents, FULL, JUST_HOLDS};
use crate::findings::wing_size::afloat_m3;
use crate::findings::{PoolCheck, Rest};
use crate::report::html::{Handout, lead};
use crate::report::measure::{Quantity, UnitSystem, fixed};
use crate::rig::CylinderSet;
use crate::scenario::Scenario;
use crate::units::ATMOSPHERE_PA;

/// Waters whose densities differ by less are one column, kg/m³: half a kilogram on a hundred litres.
const SAME_WATER_KG_M3: f64 = 5.0;

/// Columns of the file of checks; one for the pressure of each cylinder follows.
pub const COLUMNS: [&str; 6] = ["depth", "lead", "wing", "water", "outcome", "doubt"];
/// Words for the outcome of a check.
pub const OUTCOMES: [&str; 5] = ["neutral", "needed 0.5 kg", "reading -1.5 kg", "could stay", "could not stay"];

/// A water in which the check may be made.
struct Place<'a> {
    scenario: &'a Scenario,
    /// Name for the table.
    name: &'static str,
    /// Word for the column `water`.
    word: &'static str,
}

/// The section.
pub(super) fn section(handout: &Handout<'_>) -> Markup {
    let places = places(handout);
    html! {
        section.check aria-labelledby="check" {
            h2 #check { "First check in confined water" @if handout.beside.is_some() { " (plan A)" } }
            p.of { (handout.report.source.title) }
            p.who {
                @for field in ["Diver", "Partner", "Place"] { span.field { (field) span.blank {} } }
                span.field {
                    "Date"
                    @match handout.date { Some(date) => time datetime=(date) { (date) }, None => span.blank {} }
                }
            }
            p {
                "With a partner, where one can stand up, with the cylinders of this sheet and "
                (lead_words(handout)) " on the scale. "
                "Let the suit settle, breathe normally, hold still, and write down what happens."
            }
            table.cards.steps {
                thead { tr {
                    th scope="col" { "do this" }
                    @for place in &places { th scope="col" { "predicted, " (place.name) } }
                    th.seen scope="col" { "seen" }
                } }
                tbody {
                    @for step in steps(handout) { tr {
                        th scope="row" { (step.what) @if step.is_practice { "\u{a0}*" } }
                        @for place in &places { td data-name=(place.name) { (step.predicted(handout, place)) } }
                        td.seen data-name="seen" {}
                    } }
                }
            }
            p.small {
                "* Common practice: a rightly weighted diver rests easily at " (depth(handout, AT_EASE)) " with "
                (gauge(handout, AT_EASE)) ", and only just at " (depth(handout, JUST_HOLDS)) " with "
                (gauge(handout, JUST_HOLDS)) "."
            }
            (form(handout))
        }
    }
}

/// The lead of the check.
fn lead_words(handout: &Handout<'_>) -> String {
    let units = handout.report.units;
    match &handout.check.advised {
        Some(choice) => format!("the advised {}", lead::lead(units, choice)),
        None => format!("the plan’s own {} of lead (none is advised)", lead::mass(units, handout.check.lead_kg)),
    }
}

fn depth(handout: &Handout<'_>, at: CheckAt) -> String {
    handout.report.units.text(Quantity::Length, at.depth_m)
}

fn gauge(handout: &Handout<'_>, at: CheckAt) -> String {
    match at.contents {
        Contents::Gauge(gauge_pa) => handout.report.units.text(Quantity::GaugePressure, gauge_pa + ATMOSPHERE_PA),
        Contents::Filled | Contents::Low => "as filled".into(),
    }
}

/// The plan's own water, and a pool where that is something else.
fn places<'a>(handout: &Handout<'a>) -> Vec<Place<'a>> {
    let (here, pool) = (&handout.check.here, &handout.check.pool);
    let density = |scenario: &Scenario| scenario.water().density_kg_m3(0, 0.0);
    let mut places = vec![Place { scenario: here, name: "in the plan’s water", word: "as planned" }];
    if (density(here) - density(pool)).abs() > SAME_WATER_KG_M3 {
        places.push(Place { scenario: pool, name: "in a pool", word: "pool" });
    }
    places
}

/// What is on the diver when the dive starts, and at its last stop.
fn carried(handout: &Handout<'_>) -> (CylinderSet, CylinderSet) {
    let report = handout.report;
    let last = report.findings.last_hold().at_reserve.now.state.carried;
    (report.scenario.rig().carried_at_start(), last)
}

/// A step of the check.
struct Step {
    what: String,
    is_practice: bool,
    at: CheckAt,
    carried: CylinderSet,
    kind: Kind,
}

#[derive(Clone, Copy, PartialEq)]
enum Kind {
    Surface,
    Hover,
    Rest,
    SwimUp,
}

fn steps(handout: &Handout<'_>) -> Vec<Step> {
    let (start, end) = carried(handout);
    let depth = |at: CheckAt| depth(handout, at);
    let step = |what: String, at: CheckAt, carried: CylinderSet, kind: Kind| Step {
        what,
        is_practice: kind == Kind::Rest,
        at,
        carried,
        kind,
    };
    let surface = CheckAt { depth_m: 0.0, contents: Contents::Filled };
    let rest = |at: CheckAt| format!("Cylinders at {}, wing empty: rest at {}.", gauge(handout, at), depth(at));
    let mut steps = vec![
        step("Full cylinders: float upright, head and shoulders out.".into(), surface, start, Kind::Surface),
        step(format!("Full cylinders: hover at {}.", depth(FULL)), FULL, start, Kind::Hover),
        step(
            format!("The same, with a line to hold and lead that drops: empty the wing, swim up from {}.", depth(FULL)),
            FULL,
            start,
            Kind::SwimUp,
        ),
        step(rest(AT_EASE), AT_EASE, end, Kind::Rest),
        step(rest(JUST_HOLDS), JUST_HOLDS, end, Kind::Rest),
    ];
    if handout.report.scenario.rig().wing.is_none() {
        steps.retain(|step| step.kind == Kind::Rest || step.kind == Kind::SwimUp);
    }
    steps
}

impl Step {
    /// What the model predicts for it in a water.
    fn predicted(&self, handout: &Handout<'_>, place: &Place<'_>) -> String {
        let units = handout.report.units;
        let check = PoolCheck::of(place.scenario, self.carried, self.at);
        let mass = |kg: f64| units.text(Quantity::Mass, kg.abs());
        match self.kind {
            Kind::Surface | Kind::Hover => {
                let above_m3 = if self.kind == Kind::Surface { place.scenario.rig().head_out_m3 } else { 0.0 };
                let needed_m3 = afloat_m3(place.scenario, check.bare_kg, above_m3);
                wing(units, needed_m3, place.scenario.rig().wing.map(|wing| wing.capacity_m3()))
            }
            Kind::Rest => match check.rest() {
                Rest::StaysDown => format!("stays down with {} to spare", mass(check.bare_kg)),
                Rest::WithTheLungs => {
                    format!("just stays down: {} too light, within what a breath trims", mass(check.bare_kg))
                }
                Rest::FloatsUp => format!("floats up, {} too light", mass(check.bare_kg)),
            },
            Kind::SwimUp => {
                let limit = place.scenario.rig().swim_up_kg;
                let load = (-check.bare_kg).max(0.0);
                // nobody is asked to try in the water what the sheet itself says is too much
                let (verdict, advice) = if load <= limit { ("within", "") } else { ("beyond", ": leave this out") };
                format!("{} to swim up, {verdict} the limit of {}{advice}", mass(load), mass(limit))
            }
        }
    }
}

/// How full the wing is.
fn wing(units: UnitSystem, needed_m3: f64, capacity_m3: Option<f64>) -> String {
    let needed = units.text(Quantity::Volume, needed_m3);
    match capacity_m3.filter(|capacity_m3| *capacity_m3 > 0.0) {
        Some(capacity_m3) if needed_m3 > capacity_m3 => {
            format!(
                "not possible: the wing would need {needed} and holds {}",
                units.text(Quantity::Volume, capacity_m3)
            )
        }
        Some(capacity_m3) if needed_m3 > 0.0 => {
            let share = fixed(100.0 * needed_m3 / capacity_m3, 0);
            format!("{needed} in the wing, {share} % of it")
        }
        _ => "wing empty".into(),
    }
}

/// Class of a column that needs more room than others.
fn wide(column: &str) -> Option<&'static str> {
    (column == "outcome").then_some("wide-column")
}

/// Names of the columns of the form.
fn columns<'a>(handout: &Handout<'a>) -> Vec<&'a str> {
    let names = handout.report.scenario.rig().cylinders.iter().map(|cylinder| cylinder.name());
    COLUMNS.into_iter().chain(names).collect()
}

/// The lines that are known beforehand, and one that is left free.
fn checks(handout: &Handout<'_>) -> Vec<Option<Vec<String>>> {
    let places = places(handout);
    let checks = [FULL, AT_EASE, JUST_HOLDS].map(|at| Some(filled_in(handout, &places, at)));
    checks.into_iter().chain([None]).collect()
}

/// Room for what was seen: each row is one line of the file.
fn form(handout: &Handout<'_>) -> Markup {
    let columns = columns(handout);
    html! {
        h3 { "What was seen" }
        p.small {
            "Outcome: "
            @for (i, word) in OUTCOMES.iter().enumerate() { @if i > 0 { ", " } code { (word) } }
            " (so much more lead was needed; a scale that held the whole diver, minus sinks). Doubt: how sure, such as "
            code { "0.3 kg" } ". Under a cylinder’s name: what its gauge read; empty, it was not carried."
        }
        table.cards.form {
            thead { tr { @for column in &columns { th scope="col" class=[wide(column)] { (column) } } } }
            tbody {
                @for check in &checks(handout) { tr.free[check.is_none()] {
                    // the name stands beside each cell where the page is too narrow for a table
                    @for (i, column) in columns.iter().enumerate() {
                        td data-name=(column) { @if let Some(values) = check { (values[i]) } }
                    }
                } }
            }
        }
    }
}

/// The lines of the form as a file has them, with what is still to be written left empty.
pub(super) fn lines(handout: &Handout<'_>) -> String {
    csv(&columns(handout), &checks(handout))
}

/// The values of a check that are known beforehand, in the order of the columns.
fn filled_in(handout: &Handout<'_>, places: &[Place<'_>], at: CheckAt) -> Vec<String> {
    let report = handout.report;
    let units = report.units;
    let (_, on) = carried(handout);
    let is_full = at.contents == Contents::Filled;
    let breathable = report.scenario.down_to_reserve();
    // no guess where the check may be made in either of two waters
    let water = if places.len() == 1 { places[0].word } else { "" };
    let mut values = vec![
        units.text(Quantity::Length, at.depth_m),
        crate::report::lead::lead_text(units, handout.check.lead_kg),
        if is_full { String::new() } else { "empty".into() },
        water.into(),
        String::new(),
        String::new(),
    ];
    values.extend((0..report.scenario.rig().cylinders.len()).map(|i| match at.contents {
        // a gauge is read in the water; only the pressures that the check asks for are known beforehand
        Contents::Gauge(gauge_pa) if on.contains(i) && breathable.contains(i) => {
            units.text(Quantity::GaugePressure, gauge_pa + ATMOSPHERE_PA)
        }
        _ => String::new(),
    }));
    values
}

/// Columns and lines as text.
fn csv(columns: &[&str], checks: &[Option<Vec<String>>]) -> String {
    let cell = |text: &str| {
        let needs_quotes = text.contains([',', '"', '\n', '\r']);
        if needs_quotes { format!("\"{}\"", text.replace('"', "\"\"")) } else { text.to_owned() }
    };
    let head = columns.iter().map(|name| cell(name)).collect::<Vec<_>>().join(",");
    let lines = checks.iter().flatten().map(|values| values.iter().map(|v| cell(v)).collect::<Vec<_>>().join(","));
    std::iter::once(head).chain(lines).collect::<Vec<_>>().join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_read_back_as_written() {
        let columns = ["depth", "a \"named\", one"];
        let text = csv(&columns, &[Some(vec!["3.0 m".into(), "200 bar".into()]), None]);
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        assert_eq!(reader.headers().unwrap(), columns.as_slice());
        let rows: Vec<_> = reader.records().map(Result::unwrap).collect();
        assert_eq!(rows, [csv::StringRecord::from(vec!["3.0 m", "200 bar"])]);
    }

    #[test]
    fn a_wing_that_is_too_small_is_named() {
        let text = |needed_m3| wing(UnitSystem::Metric, needed_m3, Some(0.010));
        assert_eq!(text(0.0), "wing empty");
        assert_eq!(text(0.005), "5.0 L in the wing, 50 % of it");
        assert_eq!(text(0.012), "not possible: the wing would need 12.0 L and holds 10.0 L");
    }
}
