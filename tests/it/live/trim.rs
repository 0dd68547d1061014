//! The trim: lead dragged along the body by hand and by keys, against the program beside it.

use serde_json::{Value, json};

use super::{Live, differences, profile, result};

const PIECE: &str = "document.querySelector('#panel-trim .lever-piece')";

fn open(live: &mut Live) {
    live.button("Trim");
    live.frames();
    live.wait("document.querySelector('#panel-trim[open] .lever-piece') !== null");
    live.rest();
}

/// Where the first piece is: its value, and what is said of it.
fn piece(live: &mut Live) -> (f64, String) {
    let said = live.ask(&format!("[Number({PIECE}.ariaValueNow), {PIECE}.ariaValueText]"));
    serde_json::from_value(said).unwrap()
}

/// The page's answer equals that of the program with the page's words: the whole of it, and the torque of the curve.
fn is_replayed(live: &mut Live, what: &str) {
    let (dir, file) = live.plan_file();
    let words = live.words();
    assert!(words.iter().any(|word| word.contains(".at=")), "{what}: {words:?}");
    assert_eq!(live.answer("words", json!({}))["words"], json!(words), "{what}");
    let there = result(dir.path(), &file, &words);
    assert_eq!(differences(&live.result(), &there), Vec::<String>::new(), "{what}: {words:?}");
    let (head, feet) = (live.ask("bench.dive.trim.head.torque"), live.ask("bench.dive.trim.feet.torque"));
    // the page rounds to 1e-4
    for (shown, key) in [(head, "least_torque_n_m"), (feet, "most_torque_n_m")] {
        let apart_nm = shown.as_f64().unwrap() - there["trim"][key].as_f64().unwrap();
        assert!(apart_nm.abs() < 5.2e-5, "{what}: {key}: {apart_nm}");
    }
}

#[test]
fn lead_moves_by_keys() {
    let Some(mut live) = Live::new("bench trim by keys") else { return };
    live.show(&profile("cold-trimix.toml"), (1280, 720));
    open(&mut live);
    live.ask(&format!("{PIECE}.focus()"));
    let (first, said) = piece(&mut live);
    assert!(said.contains("below the shoulders") && said.contains("at the"), "{said}");
    let before = live.ask("bench.dive.trim.worst.torque");
    let mut at = first.ceil();
    for (key, to) in [("ArrowLeft", -1.0), ("ArrowLeft", -1.0), ("PageDown", -5.0), ("ArrowRight", 1.0)] {
        live.key(key);
        live.rest();
        // the first step goes to a whole centimetre
        at = if at > first { at - 1.0 } else { at + to };
        assert_eq!(piece(&mut live).0, at, "{key}");
    }
    assert_ne!(live.ask("bench.dive.trim.worst.torque"), before);
    is_replayed(&mut live, "keys");
    for (key, end) in [("End", "ariaValueMax"), ("Home", "ariaValueMin")] {
        live.key(key);
        live.rest();
        let end = live.ask(&format!("Number({PIECE}.{end})")).as_f64().unwrap();
        assert_eq!(piece(&mut live).0, end, "{key}");
    }
    is_replayed(&mut live, "the end");
    live.key("Escape");
    live.frames();
    while live.ask("bench.canBack") == true {
        live.button("Back");
        live.rest();
    }
    assert_eq!(live.sets(), []);
    live.is_quiet();
}

#[test]
fn lead_moves_by_hand() {
    let Some(mut live) = Live::new("bench trim by hand") else { return };
    live.show(&profile("cold-trimix.toml"), (1280, 720));
    open(&mut live);
    let (x, y, _) = live.place("#panel-trim .lever-piece");
    let curve = live.ask("document.querySelector('.torque-curve').getAttribute('d')");
    live.pull((x, y), (x - 60.0, y));
    live.frames();
    // the curve moves under the hand; how sure it is comes back at rest
    assert_eq!(live.ask("bench.isDragging"), true);
    assert_ne!(live.ask("document.querySelector('.torque-curve').getAttribute('d')"), curve);
    assert_eq!(live.ask("document.querySelector('.torque-band').getAttribute('display')"), "none");
    assert_eq!(live.ask("document.querySelector('.trim-surer.is-stale') !== null"), true);
    live.mouse("mouseReleased", (x - 60.0, y));
    live.rest();
    assert_eq!(live.ask("document.querySelector('.torque-band').getAttribute('display')"), Value::Null);
    assert_eq!(live.ask("document.querySelector('.trim-surer.is-stale')"), Value::Null);
    is_replayed(&mut live, "hand");
    // near a place of the trade it goes to that
    let tail = live.ask("bench.dive.trim.places.find(p => p.word === 'tail').along").as_f64().unwrap();
    let px = live.ask("(p => (p[0].getBoundingClientRect().x - p[1].getBoundingClientRect().x) / (bench.dive.trim.lead[0].along - bench.dive.trim.lead[1].along))([...document.querySelectorAll('#panel-trim .lever-block')])");
    let (x, y, _) = live.place("#panel-trim .lever-piece");
    let (now, _) = piece(&mut live);
    let to = x + (tail + 1.6 - now) * px.as_f64().unwrap();
    live.pull((x, y), (to, y));
    live.frames();
    live.mouse("mouseReleased", (to, y));
    live.rest();
    let (at, said) = piece(&mut live);
    assert_eq!(at, tail.round(), "{said}");
    assert!(said.ends_with("at the tail"), "{said}");
    // a word from the list is a place too
    live.ask("(s => { s.value = 'belt'; s.dispatchEvent(new Event('change')); })(document.querySelector('.trim-fields select'))");
    live.rest();
    assert!(live.sets().iter().any(|(key, value)| key.ends_with(".at") && value == "belt"));
    is_replayed(&mut live, "word");
    live.is_quiet();
}

/// On a phone: all in sight without going sideways, and the finger moves the lead, not the page.
#[test]
fn lead_moves_on_a_phone() {
    let Some(mut live) = Live::new("bench trim on a phone") else { return };
    live.show(&profile("cold-trimix.toml"), (360, 740));
    open(&mut live);
    for inner in [".panel-body", ".trim-inside"] {
        let over =
            live.ask(&format!("(e => e.scrollWidth - e.clientWidth)(document.querySelector('#panel-trim {inner}'))"));
        assert_eq!(over, 0, "{inner}");
    }
    let height = live.ask("document.querySelector('#panel-trim .lever-reach').getBoundingClientRect().height");
    // WCAG 2.2, 2.5.8: 24 px
    assert!(height.as_f64().unwrap() >= 24.0, "{height}");
    live.ask(&format!("{PIECE}.scrollIntoView({{ block: 'center' }})"));
    live.frames();
    let (x, y, _) = live.place("#panel-trim .lever-piece");
    let before = piece(&mut live).0;
    live.pull((x, y), (x - 40.0, y));
    live.mouse("mouseReleased", (x - 40.0, y));
    live.rest();
    assert_ne!(piece(&mut live).0, before);
    live.keep_picture("trim phone.png");
    live.is_quiet();
}

/// A check of how the diver hung, written down in the form: the plan has it, places move, and the answer is the program's.
#[test]
fn a_check_says_how_the_diver_hung() {
    let Some(mut live) = Live::new("bench, a check of the trim") else { return };
    live.show(&profile("cold-trimix.toml"), (360, 740));
    let before = live.ask("bench.dive.trim.worst.torque");
    live.button("Pool check");
    live.wait("document.querySelector('dialog[open] .checkform') !== null");
    // a form with nothing in it asks for what was seen
    live.ask(
        "[...document.querySelectorAll('dialog[open] button')].find(e => e.textContent.startsWith('Add this')).click()",
    );
    assert!(live.text("dialog[open]").contains("Choose what was seen."));
    let put = |live: &mut Live, label: &str, value: &str| {
        let seen = live.ask(&format!(
            "(e => {{ e.value = {}; e.dispatchEvent(new Event(e.tagName === 'SELECT' ? 'change' : 'input', {{ bubbles: true }})); \
               return [e.value, e.checkVisibility()]; }})([...document.querySelectorAll('dialog[open] input, dialog[open] select')] \
               .find(e => e.labels[0]?.textContent.startsWith({})))",
            json!(value),
            json!(label)
        ));
        assert_eq!(seen, json!([value, true]), "{label}");
    };
    live.ask("[...document.querySelectorAll('dialog[open] summary')].find(e => e.textContent === 'How the diver hung').click()");
    live.frames();
    put(&mut live, "Lead carried", "5");
    put(&mut live, "Gauge of back", "50");
    put(&mut live, "Gauge of argon", "100");
    put(&mut live, "Hung, still", "head down");
    put(&mut live, "By how much", "25 ± 8");
    put(&mut live, "Lead that made it level", "1,5");
    put(&mut live, "Where", "tail");
    let found: Vec<String> = serde_json::from_value(live.ask(include_str!("look.js"))).unwrap();
    assert_eq!(found, Vec::<String>::new());
    live.ask(
        "[...document.querySelectorAll('dialog[open] button')].find(e => e.textContent.startsWith('Add this')).click()",
    );
    live.rest();
    let wrong = live.ask("[...document.querySelectorAll('dialog[open] .ask.is-wrong')].map(e => e.textContent)");
    assert_eq!(wrong, json!([]));
    let text = live.answer("text", json!({}))["text"].as_str().unwrap().to_owned();
    for words in ["hung = \"head down 25 ± 8°\"", "needed = \"1.5 kg at the tail\""] {
        assert!(text.contains(words), "{words} in {text}");
    }
    assert_eq!(live.ask("bench.problems"), Value::Null);
    assert_ne!(live.ask("bench.dive.trim.worst.torque"), before);
    let (dir, file) = live.plan_file();
    let there = result(dir.path(), &file, &[]);
    assert_eq!(differences(&live.result(), &there), Vec::<String>::new());
    live.is_quiet();
}
