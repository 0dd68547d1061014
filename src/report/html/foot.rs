//! Limits of what the sheet says; and small, at its end, what only who made it needs: where it comes from, how it was
//! computed, and how the check is brought back.

use maud::{Markup, html};

use crate::physics::gas::EquationOfState;
use crate::report::html::{Handout, pool};
use crate::report::measure::UnitSystem;
use crate::report::{Report, VERSION, circuit};

/// What the model leaves out.
const LIMITS: [&str; 5] = [
    "No decompression is planned here: the profile is the diver’s own.",
    "The diver is at rest and level; swimming, currents, and gas that runs to the higher end are left out.",
    "Gas has the water’s temperature at once; suit and wing work perfectly until they are said to fail.",
    "Undergarments neither creep nor flood; gas that the body takes up or gives off, below 1 %, is left out.",
    "The swim-up limit is a figure to plan with: what a diver can swim up is found out in confined water.",
];

/// The section.
pub(super) fn section(handout: &Handout<'_>) -> Markup {
    html! {
        section.foot aria-labelledby="limits" {
            h2 #limits { "What this sheet leaves out" } " "
            ul.small {
                @for limit in LIMITS { li { (limit) " " } }
                @if handout.report.scenario.rig().breathing_loop.is_some() { li { (circuit::LIMIT) " " } }
            }
        }
        footer {
            (made(handout))
            (notes(handout))
            p {
                "To bring the check back, save its lines as " code { "checks.csv" } " and run "
                code { "lightpoint calibrate " (handout.report.source.file_name()) " checks.csv" } ". "
            }
            details.copy {
                summary { "The lines of the check, to copy and fill in" }
                pre { (pool::lines(handout)) }
            }
        }
    }
}

/// Program, equations and plans.
fn made(handout: &Handout<'_>) -> Markup {
    let report = handout.report;
    let gas = match report.scenario.settings().equation {
        EquationOfState::Gerg2008 => "real gas (GERG-2008)",
        EquationOfState::Ideal => "ideal gas",
    };
    html! {
        p {
            "For who made it: lightpoint " (VERSION) " · " (gas) " · "
            (if report.units == UnitSystem::Metric { "metric units" } else { "US customary units" })
            " · " (origin("plan", report))
            @if let Some(beside) = &handout.beside { " · " (origin("plan B", beside.report)) }
            ". "
        }
    }
}

/// How the plans were read, as far as that does not concern the diver.
fn notes(handout: &Handout<'_>) -> Markup {
    let own = handout.report.notes.iter();
    let theirs = handout.beside.iter().flat_map(|beside| beside.report.notes);
    let theirs = theirs.filter(|note| !handout.report.notes.contains(note)).map(|note| format!("plan B: {note}"));
    let notes: Vec<String> = own.filter(|note| !handout.mind.contains(note)).cloned().chain(theirs).collect();
    html! { @for note in &notes { p { (super::answer::upper(note)) ". " } } }
}

fn origin(label: &str, report: &Report<'_>) -> Markup {
    html! { (label) " " b { (report.source.file_name()) } ", SHA-256 " code.sum { (report.source.sha256) } }
}
