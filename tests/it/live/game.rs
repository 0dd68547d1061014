//! The class's game, steps back, rigs side by side, units.

use serde_json::{Value, json};

use super::{Live, profile, profiles};
use crate::browser::Browser;

/// All letters that are drawn, and what stands in fields.
const LETTERS: &str = "(() => { const all = []; const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT); \
    for (let node = walker.nextNode(); node; node = walker.nextNode()) { const e = node.parentElement; \
      if (e.getClientRects().length && e.checkVisibility({ visibilityProperty: true, opacityProperty: true })) all.push(node.textContent); } \
    for (const field of document.querySelectorAll('input, textarea')) if (field.checkVisibility()) all.push(field.value); \
    return all.join('\\n'); })()";

/// All that is told by the screen or by a screen reader.
fn told(browser: &mut Browser) -> String {
    let spoken = browser.spoken();
    let parts = |node: &Value| -> Vec<String> {
        let own = [&node["name"]["value"], &node["value"]["value"], &node["description"]["value"]];
        let more = node["properties"].as_array().into_iter().flatten().filter(|one| one["name"] == "valuetext");
        own.into_iter()
            .chain(more.map(|one| &one["value"]["value"]))
            .map(|value| value.as_str().unwrap_or_default().to_owned())
            .collect()
    };
    let mut all: Vec<String> = spoken.iter().flat_map(parts).collect();
    all.push(browser.ask(LETTERS).as_str().unwrap().to_owned());
    all.join("\n")
}

/// A number as the page writes it, without its sign, as a whole number among others: "0.5" is not in "10.52".
fn has_number(text: &str, number: &str) -> bool {
    text.match_indices(number).any(|(at, _)| {
        let before = text[..at].chars().next_back();
        let after = text[at + number.len()..].chars().next();
        !before.is_some_and(|c| c.is_ascii_digit() || c == '.') && !after.is_some_and(|c| c.is_ascii_digit())
    })
}

#[test]
fn a_guess_tells_nothing_before_it_is_revealed() {
    let Some(mut live) = Live::new("bench guess") else { return };
    for name in ["cold-trimix.toml", "single-wetsuit.toml"] {
        for size in [(1280, 720), (360, 740)] {
            live.show(&profile(name), size);
            let before = told(&mut live);
            let dive = live.ask("bench.dive");
            // the answers: two points and what lead is right
            let number = |value: &Value| format!("{:.1}", value.as_f64().unwrap().abs());
            let numbers = [&dive["heavy"]["net"], &dive["light"]["net"], &dive["lead"]["least"], &dive["lead"]["most"]]
                .map(number);
            let words =
                [&dive["heavy"]["text"], &dive["light"]["text"], &dive["lead"]["text"], &dive["sentence"]["text"]];
            // it does not begin hidden: otherwise this would test nothing
            assert!(numbers.iter().any(|number| has_number(&before, number)), "{}: {numbers:?}", live.name);
            live.button("Guess first");
            live.frames();
            let hidden = told(&mut live);
            for words in words {
                assert!(!hidden.contains(words.as_str().unwrap()), "{}: {words}", live.name);
            }
            for number in &numbers {
                // a number of the plan may happen to be the same: "5.0" is a limit and an extra volume too
                let elsewhere = live
                    .ask(&format!("bench.dive.controls.some(c => Number(c.value).toFixed(1) === {})", json!(number)));
                assert!(elsewhere == true || !has_number(&hidden, number), "{}: {number} in {hidden}", live.name);
            }
            let curves = "[...document.querySelectorAll('#picture path')].filter(p => p.checkVisibility({ visibilityProperty: true, opacityProperty: true }) \
                          && p.getBoundingClientRect().width > 0.5 * document.querySelector('#picture').clientWidth).length";
            let while_guessing = live.ask(curves).as_u64().unwrap();
            // the depth is shown, the net is not; revealed there are more
            live.browser.keep_picture(&format!("guess-{}-{name}.png", size.0));
            let places = "bench.setGuess({ ...bench.guess, heavy: { time_s: bench.dive.heavy.time_s + 300, net: bench.dive.heavy.net + 1.3 }, \
                          light: { time_s: bench.dive.light.time_s - 60, net: bench.dive.light.net - 0.7 }, lead: bench.dive.lead.most + 1.9 })";
            live.ask(places);
            live.frames();
            live.button("Reveal");
            live.frames();
            assert_eq!(live.ask("bench.guess.isRevealed"), true);
            let shown = told(&mut live);
            // by how much: the differences that were put in
            for number in
                ["1.3", "0.7"].into_iter().chain(["1.9"].into_iter().filter(|_| dive["lead"]["crossed"] == false))
            {
                assert!(has_number(&shown, number), "{}: off by {number}, in {shown}", live.name);
            }
            assert!(numbers.iter().any(|number| has_number(&shown, number)), "{}", live.name);
            assert!(live.ask(curves).as_u64().unwrap() > while_guessing, "{}: the curve is back", live.name);
            live.browser.keep_picture(&format!("revealed-{}-{name}.png", size.0));
            live.is_quiet();
        }
    }
}

#[test]
fn back_reset_freeze_and_units() {
    let Some(mut live) = Live::new("bench steps") else { return };
    live.show(&profile("cold-trimix.toml"), (1280, 720));
    let as_opened = live.ask("bench.dive");
    assert_eq!(live.ask("[bench.canBack, bench.state.sets.length]"), json!([false, 0]));
    let net = |live: &mut Live| live.ask("bench.dive.curve.net");
    let mut nets = vec![net(&mut live)];
    for (control, to) in [("lead", 4.0), ("suit gas", 14.0), ("lead", 3.0)] {
        live.change(json!({ "control": control, "to": to }));
        nets.push(net(&mut live));
    }
    assert!(nets.windows(2).all(|pair| pair[0] != pair[1]));
    // the dive as it was opened stays to compare with
    assert_eq!(live.ask("bench.ghost.curve.net"), nets[0]);
    // a rig kept, one step on, the kept one taken back
    live.button("Freeze");
    live.change(json!({ "control": "swim up", "to": 9 }));
    assert_eq!(live.ask("[bench.frozen.length, bench.frozen[0].dive.curve.net]"), json!([1, nets[3]]));
    live.ask("bench.restore(0)");
    live.rest();
    assert_eq!(net(&mut live), nets[3]);
    live.button("Back");
    live.rest();
    assert_eq!(live.ask("bench.dive.limit"), 9.0);
    for i in [3, 2, 1, 0] {
        live.button("Back");
        live.rest();
        assert_eq!(net(&mut live), nets[i], "step {i}");
    }
    assert_eq!(live.ask("[bench.canBack, bench.state.sets.length]"), json!([false, 0]));
    // reset is a step as well
    live.change(json!({ "control": "lead", "to": 4 }));
    live.button("Reset");
    live.rest();
    assert_eq!(live.ask("bench.dive"), as_opened);
    live.button("Back");
    live.rest();
    assert_eq!(net(&mut live), nets[1]);
    // three are kept at most
    for lead in [2.0, 3.0, 4.5, 6.0] {
        live.change(json!({ "control": "lead", "to": lead }));
        live.ask("bench.freeze()");
    }
    assert_eq!(live.ask("bench.frozen.length"), 3);
    units(&mut live);
    live.is_quiet();
}

/// Pounds and feet are the same dive: 0.453 592 37 kg and 0.3048 m by the agreement of 1959, times of no unit.
fn units(live: &mut Live) {
    let at = |live: &mut Live, path: &str| live.ask(&format!("bench.dive.{path}")).as_f64().unwrap();
    let both = [
        ("heavy.net", 0.453_592_37),
        ("light.depth", 0.3048),
        ("lead.least", 0.453_592_37),
        ("limit", 0.453_592_37),
        ("end_s", 1.0),
    ];
    let metric = both.map(|(path, _)| at(live, path));
    let exact = live.ask("bench.dive.exact");
    let result = live.result();
    live.button("Units");
    live.rest();
    assert_eq!(live.ask("bench.dive.units.system"), "us");
    for ((path, size), before) in both.iter().zip(metric) {
        let after = at(live, path);
        // a ten-thousandth: numbers of the picture are rounded to four decimals in each unit
        assert!((after * size - before).abs() < 1e-4, "{path}: {before} and {after}");
    }
    // what is exact stays in SI, whatever is read
    assert_eq!(live.ask("bench.dive.exact"), exact);
    assert_eq!(live.result()["findings"], result["findings"]);
    // what is read out comes a moment after what is shown
    live.wait("[...document.querySelectorAll('[aria-live]')].every(e => !e.textContent.includes(' kg'))");
    let screen = live.ask(LETTERS).as_str().unwrap().to_owned();
    let number = |text: &str, unit: &str| text.contains(&format!(" {unit}")) || text.contains(&format!("\n{unit}"));
    assert!(number(&screen, "lb") && !number(&screen, "kg"), "{screen}");
    live.button("Units");
    live.rest();
    assert_eq!(live.ask("bench.dive.units.system"), "metric");
}

/// The page of a plan with changes begins with them.
#[test]
fn changes_of_the_command_line_come_along() {
    let Some(mut live) = Live::new("bench --set") else { return };
    let plan = profiles().join("cold-trimix.toml");
    let plan = plan.to_str().unwrap();
    live.show_with(&[plan, "--set", "suit.gas_volume=14 L", "--units", "us"], (1280, 720));
    assert_eq!(live.ask("bench.state.sets"), json!([["suit.gas_volume", "14 L"]]));
    assert_eq!(live.ask("bench.dive.units.system"), "us");
    let there = super::result(&profiles(), "cold-trimix.toml", &["--set".into(), "suit.gas_volume=14 L".into()]);
    assert_eq!(super::differences(&live.result(), &there), Vec::<String>::new());
    live.is_quiet();
}
