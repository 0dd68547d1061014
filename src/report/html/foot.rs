//! Assumptions, limits, and where the page comes from.

use maud::{Markup, html};

use crate::physics::gas::EquationOfState;
use crate::report::html::Handout;
use crate::report::measure::UnitSystem;
use crate::report::{Report, VERSION};

/// What the model leaves out.
const LIMITS: [&str; 5] = [
    "Plans no decompression: the profile is the diver’s own.",
    "The diver is at rest and level; swimming, trim and currents are left out, save where the way up is asked for.",
    "Gas has the water’s temperature at once; suit and wing are controlled perfectly until they are said to fail.",
    "Undergarments neither creep nor flood; what the body adds to breathed gas, below 1 % of it, is left out.",
    "The swim-up limit is a figure to plan with, not a promise: what a diver can swim up is found out in confined water.",
];

/// The section.
pub(super) fn section(handout: &Handout<'_>) -> Markup {
    let report = handout.report;
    let settings = report.scenario.settings();
    let gas = match settings.equation {
        EquationOfState::Gerg2008 => "real gas (GERG-2008)",
        EquationOfState::Ideal => "ideal gas",
    };
    html! {
        section.foot aria-labelledby="limits" {
            h2 #limits { "Assumptions and limits" }
            ul.small {
                @for note in report.notes { li { (note) } }
                @if let Some(beside) = &handout.beside {
                    @for note in beside.report.notes.iter().filter(|note| !report.notes.contains(note)) {
                        li { "plan B: " (note) }
                    }
                }
                @for limit in LIMITS { li { (limit) } }
            }
        }
        footer {
            p {
                (origin("Plan", report))
                @if let Some(beside) = &handout.beside { " · " (origin("Plan B", beside.report)) }
            }
            p {
                "lightpoint " (VERSION) " · " (gas) " · "
                (if report.units == UnitSystem::Metric { "metric units" } else { "US customary units" })
                " · date " @match handout.date { Some(date) => time datetime=(date) { (date) }, None => span.blank {} }
            }
        }
    }
}

fn origin(label: &str, report: &Report<'_>) -> Markup {
    html! { (label) " " b { (report.source.file_name()) } ", SHA-256 " code.sum { (report.source.sha256) } }
}
