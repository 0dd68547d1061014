//! The live page in a real headless Chromium, held against the program beside it.
//!
//! Numbers against `run --json` (`numbers`), 50 drags replayed on the command line (`drags`), all by keyboard (`keys`), the
//! plan taken away and read again (`away`), what is wrong told and nothing lost (`wrong`), the class's game, steps back and
//! rigs side by side (`game`), an empty page (`blank`), rules for readers of every sort (`rules`), sizes and letters
//! (`sizes`), speed as a measurement (`speed`), lead moved on the body (`trim`), mishaps
//! switched on (`mishaps`). Every test ends by looking whether the page was quiet: nothing asked of a
//! network, no word on the console, nothing that its policy forbids.

mod away;
mod blank;
mod drags;
mod game;
mod keys;
mod mishaps;
mod numbers;
mod odd;
mod rules;
mod sizes;
mod speed;
mod trim;
mod wrong;

use std::ops::{Deref, DerefMut};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use serde_json::{Value, json};

use crate::browser::{self, Browser};
use crate::command::run_in;

/// Longest wait for the page to be done with something: what takes longest takes under a second on an idle machine.
const PATIENCE: Duration = Duration::from_secs(30);

fn profiles() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("profiles")
}

fn profile(name: &str) -> PathBuf {
    profiles().join(name)
}

/// The page that the program writes, in a folder.
fn written(dir: &Path, args: &[&str]) -> PathBuf {
    let path = dir.join("bench.html");
    let args = [&["bench"], args, &["--no-open", "--out", path.to_str().unwrap()]].concat();
    let output = run_in(dir, &args);
    assert!(output.status.success(), "{args:?}: {}", String::from_utf8_lossy(&output.stderr));
    path
}

/// `run --json` of a plan in its folder.
#[track_caller]
fn result(dir: &Path, name: &str, more: &[String]) -> Value {
    let more: Vec<&str> = more.iter().map(String::as_str).collect();
    let output = run_in(dir, &[&["run", name, "--json", "--no-files"], &more[..]].concat());
    let text = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{name} {more:?}: {text}");
    serde_json::from_slice(&output.stdout).unwrap()
}

/// A browser with a live page in it.
struct Live {
    browser: Browser,
    dir: tempfile::TempDir,
    /// What is open, for messages.
    name: String,
}

impl Live {
    fn new(test: &str) -> Option<Self> {
        let browser = browser::browser(test)?;
        Some(Self { browser, dir: tempfile::tempdir().unwrap(), name: String::new() })
    }

    /// Opens the page of a plan in a tab of its own.
    fn show(&mut self, plan: &Path, size: (u32, u32)) {
        self.show_with(&[plan.to_str().unwrap()], size);
    }

    /// Opens the page that the program writes with these arguments, in a tab of its own.
    fn show_with(&mut self, args: &[&str], size: (u32, u32)) {
        let page = written(self.dir.path(), args);
        self.show_file(&page, size);
        self.name = format!("{args:?} at {} × {}", size.0, size.1);
    }

    fn show_file(&mut self, page: &Path, (width_px, height_px): (u32, u32)) {
        self.name = page.display().to_string();
        self.browser.next_tab();
        self.browser.open(page, width_px, height_px);
        self.is_ready();
    }

    /// Writes a plan's text into a file and opens its page.
    fn show_text(&mut self, name: &str, text: &str, size: (u32, u32)) {
        let path = self.dir.path().join(name);
        std::fs::write(&path, text).unwrap();
        self.show(&path, size);
    }

    /// Waits until the page works, and whatever takes longer is there.
    fn is_ready(&mut self) {
        self.wait("document.querySelector('[data-ready]') !== null");
        self.rest();
    }

    /// Waits until an expression is true.
    #[track_caller]
    fn wait(&mut self, expression: &str) {
        let start = Instant::now();
        while self.browser.ask(expression) != true {
            assert!(start.elapsed() < PATIENCE, "{}: never {expression}; {:?}", self.name, self.browser.heard);
            std::thread::sleep(Duration::from_millis(10));
        }
    }

    /// Waits until nothing is dragged, everything shown belongs to the state, and it is painted.
    fn rest(&mut self) {
        self.wait(
            "!bench.isDragging && (!bench.dive || (bench.whole !== null && !bench.isStale) || Boolean(bench.problems))",
        );
        self.frames();
    }

    /// Lets two frames pass: what was asked for in one is painted with the next.
    fn frames(&mut self) {
        self.browser.ask("new Promise(done => requestAnimationFrame(() => requestAnimationFrame(() => done(0))))");
    }

    /// An answer of the page's engine to a question about the present state.
    #[track_caller]
    fn answer(&mut self, op: &str, more: Value) -> Value {
        let answer = self.browser.ask(&format!("bench.ask({}, {more})", json!(op)));
        assert!(answer.get("ok").is_some(), "{}: {op}: {answer}", self.name);
        answer["ok"].clone()
    }

    /// `run --json` of the state, by the page.
    fn result(&mut self) -> Value {
        self.answer("whole", json!({}))["result"].clone()
    }

    /// The changes made so far: keys and values.
    fn sets(&mut self) -> Vec<(String, String)> {
        let sets = self.browser.ask("bench.state.sets");
        serde_json::from_value(sets).unwrap()
    }

    /// The changes as words for the command line, put together here.
    fn words(&mut self) -> Vec<String> {
        let sets = self.sets();
        sets.into_iter().flat_map(|(key, value)| ["--set".into(), format!("{key}={value}")]).collect()
    }

    /// Changes something by a question of the contract, and waits for all of it.
    #[track_caller]
    fn change(&mut self, change: Value) {
        let good = self.browser.ask(&format!("new Promise(done => bench.change({change}, done))"));
        assert_eq!(good, true, "{}: {change}: {}", self.name, self.browser.ask("bench.problems"));
        self.rest();
    }

    /// The plan's text, as the page carries it, in a file of its own folder, with the file's name.
    fn plan_file(&mut self) -> (tempfile::TempDir, String) {
        let dir = tempfile::tempdir().unwrap();
        let (name, text) = (self.ask("bench.state.name"), self.ask("bench.state.text"));
        let name = name.as_str().unwrap().to_owned();
        std::fs::write(dir.path().join(&name), text.as_str().unwrap()).unwrap();
        (dir, name)
    }

    /// Clicks, or taps on a phone, in the middle of an element.
    #[track_caller]
    fn touch(&mut self, selector: &str) {
        let there = self.ask(&format!("document.querySelector({}) !== null", json!(selector)));
        assert_eq!(there, true, "{}: nothing is {selector}", self.name);
        let (x, y, _) = self.place(selector);
        if self.ask("innerWidth < 600") == true {
            self.tap(x, y)
        } else {
            self.click(x, y)
        }
        self.frames();
    }

    /// Touches the button with these words.
    #[track_caller]
    fn button(&mut self, words: &str) {
        let found = self.ask(&format!(
            "(() => {{ document.querySelector('[data-tested]')?.removeAttribute('data-tested'); \
             const open = document.querySelector('dialog[open]') ?? document; \
             const all = [...open.querySelectorAll('button, [role=button], summary')].filter(e => e.getClientRects().length); \
             const name = e => (e.getAttribute('aria-label') ?? e.textContent).trim().toLowerCase(); \
             const it = all.find(e => name(e) === {0}) ?? all.find(e => name(e).startsWith({0})); \
             it?.setAttribute('data-tested', ''); return it ? null : all.map(name); }})()",
            json!(words.to_lowercase())
        ));
        assert_eq!(found, Value::Null, "{}: no button says {words:?}", self.name);
        self.touch("[data-tested]");
    }

    /// Nothing was asked of a network, nothing said on the console, nothing forbidden tried, and the address has no data.
    #[track_caller]
    fn is_quiet(&mut self) {
        assert_eq!(self.browser.heard, Vec::<String>::new(), "{}", self.name);
        let address = self.browser.ask("location.search + location.hash");
        assert_eq!(address, "", "{}", self.name);
    }
}

impl Deref for Live {
    type Target = Browser;
    fn deref(&self) -> &Browser {
        &self.browser
    }
}

impl DerefMut for Live {
    fn deref_mut(&mut self) -> &mut Browser {
        &mut self.browser
    }
}

/// Whether two answers are the same; what differs, with its place.
///
/// Two builds of one program may differ in the last bit of an `exp` or a `ln`, which the requirement bounds by 1e-9 kg and
/// 1e-6 s. JSON has kilograms, metres, seconds and pascals to a millionth and volumes to 1e-9 m³; a last bit can carry such
/// a number over the edge of its rounding, so by one unit of its last place. Anything else is equal, but for numbers
/// without such a unit (shares, errors of the ledger), which may differ by 1e-9. Where a largest or smallest value is the
/// same and its moment is another, two moments are equal to the last digit, and a last bit chose between them.
fn differences(a: &Value, b: &Value) -> Vec<String> {
    differences_within(a, b, 0.0)
}

/// The same where moments may differ by so much, and depths by what a diver moves in it, 18 m/min at most.
fn differences_within(a: &Value, b: &Value, moment_s: f64) -> Vec<String> {
    fn walk(a: &Value, b: &Value, place: &str, moment_s: f64, found: &mut Vec<String>) {
        match (a, b) {
            // how often the balance was worked out: a root found a last bit earlier or later takes one more or less
            _ if place == ".run.evaluations" => {}
            (Value::Object(_), Value::Object(_)) if is_tie(a, b) => {}
            (Value::Object(one), Value::Object(other)) => {
                for key in one.keys().chain(other.keys().filter(|key| !one.contains_key(*key))) {
                    walk(&a[key.as_str()], &b[key.as_str()], &format!("{place}.{key}"), moment_s, found);
                }
            }
            (Value::Array(one), Value::Array(other)) if one.len() == other.len() => {
                for (i, (one, other)) in one.iter().zip(other).enumerate() {
                    walk(one, other, &format!("{place}[{i}]"), moment_s, found);
                }
            }
            (Value::Number(one), Value::Number(other)) => {
                let (one, other) = (one.as_f64().unwrap(), other.as_f64().unwrap());
                let last_place = if place.ends_with("_m3") || !is_rounded(place) { 1e-9 } else { 1e-6 };
                let located = match place.rsplit('_').next() {
                    Some("s") => moment_s,
                    Some("m") => 0.3 * moment_s,
                    _ => 0.0,
                };
                if !is_same(one, other, f64::max(last_place, located)) {
                    found.push(format!("{place}: {one} against {other}"));
                }
            }
            _ if a == b => {}
            _ => found.push(format!("{place}: {a} against {b}")),
        }
    }
    let mut found = Vec::new();
    walk(a, b, "", moment_s, &mut found);
    found
}

fn is_same(one: f64, other: f64, last_place: f64) -> bool {
    // 1e-12 beside the last place: what stands there is decimal, and its difference is not
    (one - other).abs() <= last_place + 1e-12 + 1e-15 * one.abs()
}

/// Whether two extremes have one value at two moments.
fn is_tie(a: &Value, b: &Value) -> bool {
    let both = |key: &str| Some((a[key].as_f64()?, b[key].as_f64()?));
    let is_elsewhen = both("time_s").is_some_and(|(one, other)| !is_same(one, other, 1e-6));
    let values = ["net_wing_empty_kg", "margin_kg", "load_kg"].map(both);
    is_elsewhen && values.into_iter().flatten().next().is_some_and(|(one, other)| is_same(one, other, 1e-6))
}

fn is_rounded(place: &str) -> bool {
    ["_kg", "_m", "_s", "_pa", ".value"].iter().any(|unit| place.ends_with(unit))
}
