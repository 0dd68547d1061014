//! The handout with a bench behind it: a button on the screen opens it over the whole window.
//!
//! The bench is a page of its own and stands in a frame, made when it is first opened: so neither's style, names or history
//! are the other's, and the sheet opens as quickly as without it. Nothing of it is on paper.

use maud::{PreEscaped, html};
use serde_json::Value;

use crate::report::chart::ChartError;
use crate::report::html::{Handout, SCRIPT, alive, escape, style, under};
use crate::report::live::{self, Live};

/// What opens and closes it, as it is sent.
const OPENER: &str = include_str!("live.js");
/// How these two look, as it is sent.
const STYLE: &str = include_str!("live.css");

/// The page of the handout, and the same dive to be changed.
///
/// # Errors
/// A fault of the drawing library.
pub fn page_live(handout: &Handout<'_>, bench: &Live<'_>) -> Result<String, ChartError> {
    let body = html! {
        body {
            (alive(handout)?)
            // without a script it would do nothing
            button.bench-open #bench-open type="button" hidden { "Try it: change this dive" }
            dialog.bench-window #bench-window aria-label="This dive, to be changed" {
                p {
                    "What is changed here is not on the sheet. "
                    button #bench-close type="button" { "Back to the sheet" }
                }
                iframe #bench-frame title="The dive, computed again while it is changed" {}
            }
            script type="application/json" id="bench-page" { (escape::json(&Value::from(live::page(bench)))) }
            script { (PreEscaped(OPENER)) }
        }
    };
    let style = style(handout.paper, &body);
    let scripts = [SCRIPT, OPENER].map(escape::digest);
    let policy = live::policy(&scripts, &[&style, STYLE].map(escape::digest));
    Ok(under(&handout.report.source.title, &policy, &[&style, STYLE], &body))
}
