//! Mishaps switched on and off, two at once, and what is drawn of them, against the program beside the page.

use serde_json::{Value, json};

use super::{Live, profile};
use crate::command::run_in;

const DRAWN: &str = "[...document.querySelectorAll('.pic-svg g[clip-path=\"url(#pic-clip-net)\"] > .pic-mishap')] \
    .filter(path => path.getAttribute('display') !== 'none' && path.getAttribute('d')).length";

fn open(live: &mut Live) {
    live.button("Mishaps");
    live.wait("document.querySelector('#panel-mishaps[open] .mishap') !== null");
}

fn close(live: &mut Live) {
    live.ask("document.querySelector('#panel-mishaps').close()");
    live.frames();
}

fn names(live: &mut Live) -> Vec<String> {
    serde_json::from_value(live.ask("bench.dive.mishaps?.list.filter(one => one.is_on).map(one => one.name) ?? []"))
        .unwrap()
}

/// Presses the box of a mishap.
fn press(live: &mut Live, label: &str) {
    live.ask(&format!(
        "[...document.querySelectorAll('#panel-mishaps .mishap')].find(row => row.querySelector('b').textContent === {}) \
         .querySelector('input').click()",
        json!(label)
    ));
    live.frames();
}

#[test]
fn mishaps_are_drawn_where_they_are_switched_on() {
    let Some(mut live) = Live::new("bench mishaps") else { return };
    for size in [(1280, 720), (360, 740)] {
        live.show(&profile("cold-trimix.toml"), size);
        assert_eq!(live.ask("bench.dive.mishaps"), Value::Null, "nobody looks");
        open(&mut live);
        // sentences and marks are the program's own
        let (dir, file) = live.plan_file();
        let output = run_in(dir.path(), &["run", &file, "--json", "--no-files", "--mishaps"]);
        let there: Value = serde_json::from_slice(&output.stdout).unwrap();
        let mut texts: Vec<String> =
            there["mishaps"].as_array().unwrap().iter().map(|one| one["text"].to_string()).collect();
        let list = live.ask("bench.dive.mishaps.list");
        let mut shown: Vec<String> = list.as_array().unwrap().iter().map(|one| one["text"].to_string()).collect();
        texts.sort();
        shown.sort();
        assert_eq!(shown, texts);
        assert_eq!(live.ask(DRAWN), 0);
        press(&mut live, "Wing failed and suit flooded");
        press(&mut live, "All lead lost");
        assert_eq!(names(&mut live), ["lead", "wing + suit"]);
        assert_eq!(live.ask(DRAWN), 2);
        live.keep_picture(&format!("mishaps {} px.png", size.0));
        close(&mut live);
        assert_eq!((names(&mut live).len(), live.ask(DRAWN)), (2, json!(2)), "they stay");
        assert_eq!(live.ask("bench.dive.mishaps.list.length"), 2, "only what is drawn is asked for");
        live.keep_picture(&format!("mishaps in the picture {} px.png", size.0));
        // a change of the dive moves them
        let before = live.ask("bench.dive.mishaps.list[0].worst.left");
        live.change(json!({ "control": "lead", "to": 3.0 }));
        live.rest();
        assert_ne!(live.ask("bench.dive.mishaps.list[0].worst.left"), before);
        live.button("Guess first");
        live.frames();
        assert_eq!(live.ask(DRAWN), 0, "they would tell what is to be guessed");
        live.button("Guess first");
        live.frames();
        open(&mut live);
        press(&mut live, "All lead lost");
        press(&mut live, "Wing failed and suit flooded");
        assert_eq!((names(&mut live).len(), live.ask(DRAWN)), (0, json!(0)));
        live.is_quiet();
    }
}

#[test]
fn two_at_once_are_picked_and_five_are_enough() {
    let Some(mut live) = Live::new("bench mishaps at once") else { return };
    live.show(&profile("cold-trimix.toml"), (1280, 720));
    open(&mut live);
    let pick = |live: &mut Live, first: &str, second: &str| {
        live.ask(&format!(
            "for (const [id, name] of [['mishap-first', {}], ['mishap-second', {}]]) {{ \
               const select = document.getElementById(id); select.value = name; select.dispatchEvent(new Event('change')); }}",
            json!(first),
            json!(second)
        ));
        live.button("Draw both at once");
        live.frames();
    };
    pick(&mut live, "suit", "fifty");
    assert_eq!(names(&mut live), ["suit + fifty"]);
    // the other way round it is the same, and is switched off by its own box
    pick(&mut live, "fifty", "suit");
    assert_eq!(names(&mut live), ["suit + fifty"]);
    press(&mut live, "Suit flooded and fifty lost");
    assert_eq!(names(&mut live), Vec::<String>::new());
    for label in ["Wing failed", "Suit flooded", "Fifty lost", "Oxygen lost", "All lead lost"] {
        press(&mut live, label);
    }
    assert_eq!((names(&mut live).len(), live.ask(DRAWN)), (5, json!(5)));
    let off = "[...document.querySelectorAll('#panel-mishaps .mishap input:not(:checked)')].every(box => box.disabled)";
    assert_eq!(live.ask(off), true, "no sixth");
    live.keep_picture("mishaps five.png");
    // another plan has others
    live.ask("bench.open({ name: 'ten.toml', text: bench.state.text })");
    live.rest();
    assert_eq!(names(&mut live), Vec::<String>::new());
    live.is_quiet();
}
