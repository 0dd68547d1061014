//! The handout: one page that needs nothing else, for student and team.
//!
//! Order of reading: [`page`] the whole · `lead` its first line, and how sure that is · `answer` what was found, in plain
//! words · `figure` the dive and the moments under the pointer · `moments` the numbers behind it · `pack` what to pack ·
//! `differ` two plans held against each other · `pool` the first check in confined water · `tables` parts and cylinders ·
//! `trim` where the lead goes · `foot` limits and where the page comes from · `escape` what must not be read as code · `together` the pages of a class
//! in one file · `sheet` all of it put together from the facts.
//!
//! On paper it is three pages: the first is the diver's, the second where the lead goes, the third the form for the pool. The
//! figure takes what room the words of the first leave. A comparison has what differs in front, and what to pack on the third.
//!
//! The page may load nothing and connect to nothing: its content security policy names the digests of its own style
//! and script, lets it read the typeface that stands in it, and forbids the rest.

mod answer;
mod differ;
pub(super) mod escape;
mod figure;
mod foot;
mod lead;
#[cfg(feature = "program")]
mod live;
mod moments;
mod pack;
mod pool;
mod sheet;
mod tables;
mod together;
mod trim;

use maud::{DOCTYPE, Markup, PreEscaped, html};

use crate::answer::{Carry, FirstCheck, TrimFacts};
use crate::report::chart::{self, ChartError};
use crate::report::measure::UnitSystem;
use crate::report::{Report, VERSION};
use crate::study::Comparison;
use crate::study::removable::RemovableCylinder;

#[cfg(feature = "program")]
pub use live::page_live;
pub use sheet::{Sheet, Side};
pub use together::{part, together};

/// With more cylinders than this, or more rows of the table of parts, the last page has small letters.
const MANY_CYLINDERS: usize = 5;
const MANY_ROWS: usize = 22;

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
    /// What readers of these units have at hand.
    pub fn usual(units: UnitSystem) -> Self {
        if units == UnitSystem::Us { Self::Letter } else { Self::A4 }
    }

    /// As CSS knows it.
    fn name(self) -> &'static str {
        match self {
            Paper::A4 => "A4",
            Paper::Letter => "letter",
        }
    }

    /// Height between the margins of the style, as CSS writes it.
    fn room(self) -> &'static str {
        match self {
            Paper::A4 => "275mm",
            Paper::Letter => "257.4mm",
        }
    }
}

/// A second plan beside the first.
#[derive(Clone, Copy, Debug)]
pub struct Beside<'a> {
    /// Its facts.
    pub report: &'a Report<'a>,
    /// Sizes of its cylinders as the plan names them, in the diver's order.
    pub sizes: &'a [Option<String>],
    /// Both plans, the first one first.
    pub comparison: &'a Comparison,
}

/// What a handout is made from.
#[derive(Clone, Copy, Debug)]
pub struct Handout<'a> {
    /// The facts of the run.
    pub report: &'a Report<'a>,
    /// Sizes of the cylinders as the plan names them, in the diver's order.
    pub sizes: &'a [Option<String>],
    /// Of the report's notes those that the diver should mind; the others are for who writes the plan.
    pub mind: &'a [String],
    /// How much lead, and what to carry.
    pub carry: &'a Carry,
    /// The cylinders that may be left, lost or handed off.
    pub removable: &'a [RemovableCylinder],
    /// The first check in confined water.
    pub check: &'a FirstCheck,
    /// Where the diver hangs, and where the lead goes.
    pub trim: &'a TrimFacts,
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
    let body = html! { body { (alive(handout)?) } };
    Ok(document(&handout.report.source.title, &style(handout.paper, &body), &body, &escape::digest(SCRIPT)))
}

/// The sheets, and the script that moves the slider.
fn alive(handout: &Handout<'_>) -> Result<Markup, ChartError> {
    Ok(html! {
        (sheets(handout)?)
        script type="application/json" id="moments" { (escape::json(&moments::data(handout))) }
        script { (PreEscaped(SCRIPT)) }
    })
}

/// What of the page stands on paper: the diver's sheet, and the form for the pool.
fn sheets(handout: &Handout<'_>) -> Result<Markup, ChartError> {
    Ok(html! {
        main.compared[handout.beside.is_some()] {
            div.sheet {
                (top(handout))
                @if handout.beside.is_some() { (differ::section(handout)) }
                (lead::section(handout))
                div.first {
                    (figure::section(handout)?)
                    (answer::section(handout))
                }
                @if handout.beside.is_none() { (pack::section(handout)) }
            }
            div.hangs { (trim::section(handout)?) }
            div.pool.dense[is_dense(handout)] {
                @if handout.beside.is_some() { (pack::section(handout)) }
                (pool::section(handout))
                div.pair {
                    (tables::parts(handout))
                    (tables::cylinders(handout))
                }
                (foot::section(handout))
            }
        }
    })
}

/// The style with every letter that stands in the page, and those that the script may put together.
fn style(paper: Paper, body: &Markup) -> String {
    let letters: String = (' '..='~').chain(body.0.chars()).collect();
    let typeface = chart::typeface(&letters);
    let (name, room) = (paper.name(), paper.room());
    format!("@page {{ size: {name}; margin: 11mm 12mm; }}\n:root {{ --room: {room}; }}\n{typeface}{STYLE}")
}

/// A whole document that loads nothing; `scripts` are those that its policy allows.
fn document(title: &str, style: &str, body: &Markup, scripts: &str) -> String {
    let policy = format!(
        "default-src 'none'; script-src {scripts}; style-src {}; font-src data:; img-src data:; base-uri 'none'; form-action \
         'none'",
        escape::digest(style)
    );
    under(title, &policy, &[style], body)
}

/// A whole document under a policy.
pub(super) fn under(title: &str, policy: &str, styles: &[&str], body: &Markup) -> String {
    let markup = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(policy);
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                meta name="referrer" content="no-referrer";
                meta name="generator" content={ "lightpoint " (VERSION) };
                // so that no browser asks for an icon
                link rel="icon" href="data:,";
                title { (title) }
                @for style in styles { style { (PreEscaped(style)) } }
            }
            (body)
        }
    };
    markup.into_string()
}

/// Whether the last page needs small letters to hold its tables.
fn is_dense(handout: &Handout<'_>) -> bool {
    let rig = handout.report.scenario.rig();
    rig.cylinders.len() > MANY_CYLINDERS || rig.parts.len() + rig.cylinders.len() > MANY_ROWS
}

/// Title, and what the plan's author wrote about it.
fn top(handout: &Handout<'_>) -> Markup {
    let source = handout.report.source;
    html! {
        header {
            h1 { (source.title) }
            p.note {
                @if source.takes_the_sea { "In the sea: no site is written. " }
                @if let Some(note) = &source.note { (note) " " }
                @if let Some(date) = handout.date { time datetime=(date) { (date) } }
            }
            @if let Some(beside) = &handout.beside {
                p.note { b { "Plan A" } " " (source.title) ". " b { "Plan B" } " " (beside.report.source.title) "." }
            }
        }
    }
}
