//! From an empty page to an answer, a printed sheet and a plan corrected by a weight check: once with a finger on a phone,
//! counted, and once by the keyboard alone.

use serde_json::{Value, json};

use super::{Live, differences, result};
use crate::command::run_in;

/// How somebody works: with a finger, whose taps are counted, or with keys.
#[derive(Clone, Copy, PartialEq)]
enum Hand {
    Finger,
    Keys,
}

struct Work {
    live: Live,
    hand: Hand,
    taps: usize,
    /// Entries typed on the keyboard or the phone's own.
    typed: usize,
}

/// The first thing that can be used whose words begin so, in the panel that is open, or on the page.
fn find(words: &str) -> String {
    format!(
        "(() => {{ const root = document.querySelector('dialog[open]') ?? document.querySelector('#bench'); \
           const name = e => (e.getAttribute('aria-label') ?? (e.labels?.[0] ?? e).textContent).trim(); \
           return [...root.querySelectorAll('input, select, textarea, button, summary')] \
             .filter(e => e.checkVisibility() && !e.disabled).find(e => name(e).startsWith({})); }})()",
        json!(words)
    )
}

impl Work {
    /// Comes to what these words stand beside.
    #[track_caller]
    fn reach(&mut self, words: &str) {
        let it = find(words);
        self.live.wait(&format!("Boolean({it})"));
        match self.hand {
            Hand::Finger => {
                self.live.ask(&format!(
                    "document.querySelector('[data-tested]')?.removeAttribute('data-tested'); {it}.dataset.tested = ''"
                ));
                self.live.touch("[data-tested]");
                self.taps += 1;
            }
            Hand::Keys => {
                // a page has under 200 stops
                for _ in 0..200 {
                    let there = format!(
                        "(e => e === document.activeElement || (e.type === 'radio' && e.name === document.activeElement.name))({it})"
                    );
                    if self.live.ask(&there) == true {
                        return;
                    }
                    self.live.key("Tab");
                }
                panic!("{}: no key comes to {words:?}", self.live.name);
            }
        }
    }

    #[track_caller]
    fn press(&mut self, words: &str) {
        self.reach(words);
        if self.hand == Hand::Keys {
            self.live.key("Enter");
        }
        self.live.frames();
    }

    #[track_caller]
    fn fill(&mut self, words: &str, text: &str) {
        self.reach(words);
        self.live.write(text);
        self.typed += 1;
        let it = find(words);
        assert_eq!(self.live.ask(&format!("{it}.value")), text, "{words}");
    }

    /// Chooses of a list: by its first letters, as in every browser; a finger taps the list and the line in it.
    #[track_caller]
    fn choose(&mut self, words: &str, value: &str) {
        match self.hand {
            Hand::Finger => {
                // the list is the system's own window, which this browser without a screen does not draw
                let it = find(words);
                self.live.wait(&format!("Boolean({it})"));
                let chosen = self.live.ask(&format!(
                    "(e => {{ e.focus(); e.value = {}; e.dispatchEvent(new Event('input', {{ bubbles: true }})); \
                      e.dispatchEvent(new Event('change', {{ bubbles: true }})); return e.value; }})({it})",
                    json!(value)
                ));
                assert_eq!(chosen, value, "{words}");
                self.taps += 2;
            }
            Hand::Keys => {
                self.reach(words);
                self.live.letters(value);
                self.live.frames();
            }
        }
        let it = find(words);
        assert_eq!(self.live.ask(&format!("{it}.value")), value, "{words}");
    }

    /// One of a few that all are seen.
    #[track_caller]
    fn pick(&mut self, words: &str) {
        self.reach(words);
        if self.hand == Hand::Keys {
            // into the group with Tab, to the one with arrows
            self.live.key(" ");
            for _ in 0..10 {
                if self.live.ask(&format!("{}.checked", find(words))) == true {
                    break;
                }
                self.live.key("ArrowDown");
            }
        }
        self.live.frames();
        assert_eq!(self.live.ask(&format!("{}.checked", find(words))), true, "{words}");
    }
}

/// Notes what is sent to the printer: all that is not kept from paper.
const PRINTS: &str = "window.print = () => { const sheet = [...document.body.children].filter(e => e.matches('.bench-paper')); \
    (window.printed ??= []).push(sheet.map(e => e.textContent).join('')); }";

#[test]
fn to_an_answer_a_sheet_and_a_correction() {
    for (hand, size) in [(Hand::Finger, (360, 740)), (Hand::Keys, (1280, 720))] {
        let Some(mut live) = Live::new("bench --blank") else { return };
        let folder = live.take_downloads();
        let page = super::written(live.dir.path(), &["--blank"]);
        live.call("Page.addScriptToEvaluateOnNewDocument", json!({ "source": PRINTS }));
        live.browser.open(&page, size.0, size.1);
        live.name = format!("--blank at {} px", size.0);
        live.wait("document.querySelector('[data-ready]') !== null");
        let mut work = Work { live, hand, taps: 0, typed: 0 };

        // the answer
        work.fill("Mass", "80");
        work.choose("Suit", "wet 7 mm");
        work.choose("Size", "steel 12 L 232 bar");
        work.fill("Deepest", "18");
        work.fill("Time", "30");
        work.press("To the bench");
        work.live.rest();
        let (to_answer, typed) = (work.taps, work.typed);
        assert_eq!(
            work.live.ask("document.querySelectorAll('dialog[open]').length"),
            0,
            "{}",
            work.live.ask("document.body.innerText")
        );
        let sentence = work.live.text("#verdict");
        assert!(sentence.contains("lead") || sentence.contains(" kg"), "{sentence}");
        let (dir, file) = work.live.plan_file();
        assert_eq!(differences(&work.live.result(), &result(dir.path(), &file, &[])), Vec::<String>::new());
        // ten lines say the same: typical figures stand for the rest
        let ten = "[diver]\nmass = \"80 kg\"\n[suit]\nkind = \"wet 7 mm\"\n[[cylinder]]\nsize = \"steel 12 L 232 bar\"\ngas = \"air\"\nfill = \"200 bar\"\n\
                   [dive]\ndepth = \"18 m\"\ntime = \"30 min\"\n";
        std::fs::write(dir.path().join("ten.toml"), ten).unwrap();
        let found = result(dir.path(), "ten.toml", &[])["findings"].clone();
        assert_eq!(differences(&work.live.result()["findings"], &found), Vec::<String>::new());

        sheet(&mut work, &folder);
        let to_sheet = work.taps;
        correction(&mut work);
        println!(
            "from an empty page, at {} px: {to_answer} taps and {typed} entries to an answer, {} more taps to a printed and a saved sheet, \
             {} more taps and {} entries to a corrected plan",
            size.0,
            to_sheet - to_answer,
            work.taps - to_sheet,
            work.typed - typed
        );
        // more would be a form, not a few questions: a bound of ours, above what it takes
        assert!(hand == Hand::Keys || work.taps <= 30, "{} taps", work.taps);
        work.live.is_quiet();
    }
}

/// A closed circuit by the same questions, on a phone: the unit, what feeds it, and what is breathed if it fails.
#[test]
fn to_an_answer_on_a_loop() {
    let Some(mut live) = Live::new("bench --blank, a loop") else { return };
    let page = super::written(live.dir.path(), &["--blank"]);
    live.browser.open(&page, 360, 740);
    live.wait("document.querySelector('[data-ready]') !== null");
    let mut work = Work { live, hand: Hand::Finger, taps: 0, typed: 0 };
    work.fill("Mass", "80");
    work.choose("Suit", "dry membrane light");
    work.choose("Size", "steel 12 L 232 bar");
    work.pick("a loop");
    work.fill("Its mass", "12.5");
    work.fill("In water", "-4 ± 1");
    work.fill("Absorbent", "2,5");
    // what was typed for the other is not lost
    work.pick("a cylinder");
    assert_eq!(work.live.ask(&format!("{}.value", find("Size"))), "steel 12 L 232 bar");
    work.pick("a loop");
    assert_eq!(work.live.ask(&format!("{}.value", find("In water"))), "-4 ± 1");
    // whoever goes on too early is told what is missing
    work.press("To the bench");
    let told = work.live.text("dialog[open]");
    assert!(told.contains("Choose a size.") && !told.contains("Write what the unit weighs"), "{told}");
    let sizes = json!(["steel 3 L 232 bar", "steel 3 L 232 bar", "aluminium 11 L 207 bar"]);
    let set = work.live.ask(&format!(
        "(sizes => [...document.querySelectorAll('dialog[open] fieldset.cylinder select')].filter(e => e.labels[0].textContent.startsWith('Size')) \
           .map((e, i) => {{ e.value = sizes[i]; e.dispatchEvent(new Event('change', {{ bubbles: true }})); return e.value; }}))({sizes})"
    ));
    assert_eq!(set, sizes);
    work.fill("Deepest", "30");
    work.fill("Time", "25");
    work.press("To the bench");
    work.live.rest();
    assert_eq!(work.live.ask("[document.querySelectorAll('dialog[open]').length, bench.problems]"), json!([0, null]));
    assert!(work.live.ask("bench.dive.moment.loop.is_breathed") == true);
    let text = work.live.answer("text", json!({}))["text"].as_str().unwrap().to_owned();
    for words in ["bail_out_on = [\"stage 1\"]", "oxygen = \"oxygen\"", "absorbent = \"2.5 kg\"", "gear = \"typical\""]
    {
        assert!(text.contains(words), "{words} in {text}");
    }
    let (dir, file) = work.live.plan_file();
    assert_eq!(differences(&work.live.result(), &result(dir.path(), &file, &[])), Vec::<String>::new());
    work.live.is_quiet();
}

/// The printed sheet is that of `lightpoint handout`.
fn sheet(work: &mut Work, folder: &std::path::Path) {
    work.press("Take away");
    work.press("Print it");
    work.live.wait("(window.printed ?? []).length === 1");
    let printed = work.live.ask("printed[0]").as_str().unwrap().to_owned();
    assert!(printed.contains("lead") && printed.contains("steel 12 L 232 bar"), "{printed}");
    // on paper the sheet stands alone: the diver, the lead, the pool
    assert!(work.live.printed_pages() <= 3, "{} pages", work.live.printed_pages());
    work.press("Save it");
    let (name, html) = work.live.downloaded(folder);
    assert!(name.ends_with(".html"), "{name}");
    work.live.key("Escape");
    work.live.frames();
    let (dir, file) = work.live.plan_file();
    let date = html.split("<time datetime=\"").nth(1).and_then(|rest| rest.split('"').next()).map(str::to_owned);
    let date = date.unwrap_or_else(|| date_in(&html));
    let output = run_in(dir.path(), &["handout", &file, "--date", &date, "--out", "sheet.html"]);
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let there = std::fs::read_to_string(dir.path().join("sheet.html")).unwrap();
    // letters alone: a last bit may move a line of a figure by a tenth of a pixel
    let read = |html: &str| {
        html.split("<svg").map(|part| part.rsplit("</svg>").next().unwrap_or_default()).collect::<String>()
    };
    let body = |html: &str| read(html.split("<body").nth(1).unwrap().split("<script").next().unwrap());
    assert_eq!(body(&html), body(&there), "{date}");
}

/// A day written as 2031-05-24, the first in a text.
fn date_in(text: &str) -> String {
    let is_day = |word: &str| {
        word.len() == 10
            && word.char_indices().all(|(i, c)| if i == 4 || i == 7 { c == '-' } else { c.is_ascii_digit() })
    };
    let days = (0..text.len().saturating_sub(10)).filter_map(|i| text.get(i..i + 10));
    days.into_iter().find(|word| is_day(word)).expect("a day on the sheet").to_owned()
}

/// A weight check at the pool: the answer gets narrower, and the plan taken away has it.
fn correction(work: &mut Work) {
    let width = |live: &mut Live| live.ask("bench.whole.lead.high - bench.whole.lead.low").as_f64().unwrap();
    let before = width(&mut work.live);
    work.press("Pool check");
    work.pick("Hovered");
    work.fill("Lead carried", "6");
    work.fill("Gauge of back", "60");
    work.press("Add this check to the plan");
    work.live.rest();
    let wrong = work.live.ask("bench.problems");
    assert_eq!(wrong, Value::Null);
    let text = work.live.answer("text", json!({}))["text"].as_str().unwrap().to_owned();
    assert!(text.contains("[[weight_check]]") && text.contains("\"6 kg\"") && text.contains("\"60 bar\""), "{text}");
    let checked = work.live.ask("bench.whole.checked");
    assert!(checked.as_array().is_some_and(|lines| !lines.is_empty()), "{checked}");
    // ± 0.7 kg of a check against ± 4 kg of typical figures: half is a mild bound
    let after = width(&mut work.live);
    assert!(after < 0.5 * before, "{before} and {after}");
    let (dir, file) = work.live.plan_file();
    let words = work.live.words();
    assert_eq!(differences(&work.live.result(), &result(dir.path(), &file, &words)), Vec::<String>::new());
    work.live.key("Escape");
    work.live.frames();
}
