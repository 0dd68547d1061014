//! The bench: one page that holds a plan and the engine, compiled to WebAssembly, and computes again while it is changed.
//!
//! `page/` has the sources of script, style and engine, `page/build` makes the files in `assets/bench/`, and this puts them
//! together. The page loads nothing and sends nothing: its content security policy names the digests of its own style and
//! script, allows WebAssembly and a worker made from the script itself, and forbids the rest.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use maud::{Markup, PreEscaped, html};
use serde_json::json;

use crate::report::CAUTIONS;
use crate::report::html::{escape, under};
use crate::report::measure::UnitSystem;

/// The engine, WebAssembly under gzip.
static ENGINE: &[u8] = include_bytes!("../../assets/bench/engine.wasm.gz");
/// The script, as it is sent.
pub(super) const SCRIPT: &str = include_str!("../../assets/bench/bench.js");
/// The style, as it is sent.
pub(super) const STYLE: &str = include_str!("../../assets/bench/bench.css");
/// What the script fills; in double braces what is filled in here.
const SKELETON: &str = include_str!("../../assets/bench/page.html");

/// What a bench begins with.
#[derive(Clone, Copy, Debug)]
pub struct Live<'a> {
    /// Title of the page.
    pub title: &'a str,
    /// Name of the plan's file, without its folder.
    pub name: &'a str,
    /// The plan's text, with the files beside it written in; empty on a page that begins with questions.
    pub text: &'a str,
    /// Changes on top of it.
    pub sets: &'a [(String, String)],
    /// Units that were asked for; else the plan's.
    pub units: Option<UnitSystem>,
    /// Whether the page begins with questions.
    pub is_blank: bool,
}

/// The page.
pub fn page(live: &Live<'_>) -> String {
    let policy = policy(&[], &[]);
    let body = html! {
        body {
            (PreEscaped(SKELETON.replace("{{cautions}}", &html! { (CAUTIONS) }.into_string())))
            // the page can write itself anew with another state: its script looks for this element as it stands here
            (state(live))
            script type="application/octet-stream" id="engine" { (PreEscaped(STANDARD.encode(ENGINE))) }
            script id="script" { (PreEscaped(SCRIPT)) }
        }
    };
    under(live.title, &policy, &[STYLE], &body)
}

/// What the script begins with.
fn state(live: &Live<'_>) -> Markup {
    let units = live.units.map(|units| match units {
        UnitSystem::Metric => "metric",
        UnitSystem::Us => "us",
    });
    let state = json!({
        "state": { "name": live.name, "text": live.text, "sets": live.sets, "units": units },
        "isBlank": live.is_blank,
    });
    html! { script type="application/json" id="plan" { (escape::json(&state)) } }
}

/// The policy of a page that is a bench, or has one in a frame; with the digests of more scripts and styles.
pub(super) fn policy(scripts: &[String], styles: &[String]) -> String {
    let scripts = [scripts, &[escape::digest(SCRIPT)]].concat().join(" ");
    let styles = [styles, &[escape::digest(STYLE)]].concat().join(" ");
    format!(
        "default-src 'none'; script-src {scripts} 'wasm-unsafe-eval'; style-src {styles}; worker-src blob:; font-src data:; \
         img-src data: blob:; base-uri 'none'; form-action 'none'"
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn live(text: &str) -> String {
        let sets = [("suit.gas_volume".to_owned(), text.to_owned())];
        page(&Live { title: text, name: text, text, sets: &sets, units: None, is_blank: false })
    }

    #[test]
    fn what_is_sent_cannot_end_its_element() {
        for (text, what) in [(SCRIPT, "script"), (STYLE, "style")] {
            let lower = text.to_lowercase();
            assert!(!lower.contains(&format!("</{what}")) && !lower.contains("<!--"), "{what}");
        }
        // the script may have double braces of its own, and comes after the plan
        let page = live("");
        let skeleton = page.split("<body>").nth(1).and_then(|body| body.split("id=\"plan\"").next()).unwrap();
        assert!(!skeleton.contains("{{"), "a place that nothing fills");
    }

    /// The same elements whatever a plan holds, and its text comes back as it was.
    #[test]
    fn a_plan_is_data() {
        let hostile = "</script><script>alert(1)</script> <!-- \"q\" 'a' & \u{2028} <img src=x onerror=alert(2)>";
        let (plain, page) = (live("plain"), live(hostile));
        for tag in ["<script", "</script", "<img", "<!--"] {
            assert_eq!(page.matches(tag).count(), plain.matches(tag).count(), "{tag}");
        }
        let (_, data) = page.split_once("id=\"plan\">").unwrap();
        let (data, _) = data.split_once("</script>").unwrap();
        let state: serde_json::Value = serde_json::from_str(data).unwrap();
        assert_eq!(state["state"]["text"], hostile);
        assert_eq!(state["state"]["sets"], json!([["suit.gas_volume", hostile]]));
    }
}
