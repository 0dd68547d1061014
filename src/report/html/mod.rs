//! The handout: one page that needs nothing else, for student and team.
//!
//! Order of reading: [`page`] the whole · `answer` what was found, in plain words · `figure` the dive and the moments
//! under the pointer · `moments` the numbers behind it · `tables` parts, cylinders, side by side · `pool` the first check
//! in confined water · `foot` assumptions, limits and where the page comes from · `escape` what must not be read as code.
//!
//! The page may load nothing and connect to nothing: its content security policy names the digests of its own style
//! and script, lets it read the typeface that stands in it, and forbids the rest.

mod answer;
mod escape;
mod figure;
mod foot;
mod moments;
mod pool;
mod tables;

use maud::{DOCTYPE, Markup, PreEscaped, html};

use crate::answer::Carry;
use crate::report::chart::{self, ChartError};
use crate::report::{CAUTIONS, Report, VERSION};
use crate::scenario::Scenario;
use crate::study::Comparison;
use crate::study::removable::RemovableCylinder;

/// The script, as it is sent.
const SCRIPT: &str = include_str!("script.js");
/// The style, as it is sent, without the size of the paper.
const STYLE: &str = include_str!("style.css");

/// Paper that the page is printed on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paper {
    /// 210 × 297 mm.
    A4,
    /// 8.5 × 11 in.
    Letter,
}

impl Paper {
    /// As CSS knows it.
    fn name(self) -> &'static str {
        match self {
            Paper::A4 => "A4",
            Paper::Letter => "letter",
        }
    }
}

/// A second plan beside the first.
#[derive(Clone, Copy, Debug)]
pub struct Beside<'a> {
    /// Its facts.
    pub report: &'a Report<'a>,
    /// Both plans, the first one first.
    pub comparison: &'a Comparison,
}

/// What a handout is made from.
#[derive(Clone, Copy, Debug)]
pub struct Handout<'a> {
    /// The facts of the run.
    pub report: &'a Report<'a>,
    /// How much lead, and what to carry.
    pub carry: &'a Carry,
    /// Mass of the pieces that the advice is rounded up to, kg.
    pub piece_kg: f64,
    /// The cylinders that may be left, lost or handed off.
    pub removable: &'a [RemovableCylinder],
    /// The same rig in a pool.
    pub pool: &'a Scenario,
    /// A second plan.
    pub beside: Option<Beside<'a>>,
    /// Date as the user gave it.
    pub date: Option<&'a str>,
    /// Paper for the print.
    pub paper: Paper,
}

/// The page.
///
/// # Errors
/// A fault of the drawing library.
pub fn page(handout: &Handout<'_>) -> Result<String, ChartError> {
    let report = handout.report;
    let title = &report.source.title;
    let body = html! {
        body {
            main.compared[handout.beside.is_some()] {
                (top(handout))
                (answer::section(handout))
                @if handout.beside.is_some() { (tables::side_by_side(handout)) }
                (figure::section(handout)?)
                div.pair {
                    (tables::parts(handout))
                    (tables::cylinders(handout))
                }
                (pool::section(handout))
                (foot::section(handout))
            }
            script type="application/json" id="moments" { (escape::json(&moments::data(handout))) }
            script { (PreEscaped(SCRIPT)) }
        }
    };
    // every letter that stands in the page, and those that the script may put together
    let letters: String = (' '..='~').chain(body.0.chars()).collect();
    let style =
        format!("@page {{ size: {}; margin: 11mm 12mm; }}\n{}{STYLE}", handout.paper.name(), chart::typeface(&letters));
    let policy = format!(
        "default-src 'none'; script-src {}; style-src {}; font-src data:; img-src data:; base-uri 'none'; form-action \
         'none'",
        escape::digest(SCRIPT),
        escape::digest(&style)
    );
    let markup = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(policy);
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="referrer" content="no-referrer";
                meta name="generator" content={ "lightpoint " (VERSION) };
                // so that no browser asks for an icon
                link rel="icon" href="data:,";
                title { (title) }
                style { (PreEscaped(&style)) }
            }
            (body)
        }
    };
    Ok(markup.into_string())
}

/// Title and cautions.
fn top(handout: &Handout<'_>) -> Markup {
    let source = handout.report.source;
    html! {
        header {
            h1 { (source.title) }
            @if let Some(note) = &source.note { p.note { (note) } }
            @if let Some(beside) = &handout.beside {
                p.note { b { "A" } " " (source.title) ". " b { "B" } " " (beside.report.source.title) "." }
            }
            p.cautions { (CAUTIONS) }
        }
    }
}
