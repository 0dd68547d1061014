//! What is taken away works without the page: the plan with the changes in it, and a copy of the page itself.

use serde_json::{Value, json};

use super::{Live, differences, profile, result};
use crate::command::run_in;
use crate::common::plans;

/// An answer without what says how its figures came in: by the plan, or by a change beside it.
fn without_way(mut result: Value) -> Value {
    result["plan"].as_object_mut().unwrap().remove("sha256");
    for input in result["inputs"].as_array_mut().unwrap() {
        input.as_object_mut().unwrap().remove("origin");
    }
    let notes = result["notes"].as_array_mut().unwrap();
    notes.retain(|note| !note.as_str().unwrap().starts_with("changed for this run only: "));
    result
}

/// One step of every number that can be changed, where it has room.
fn change_some(live: &mut Live) {
    // but for the water by other keys: these take the place of the one that is written, with the remark beside it
    let controls = live.ask("bench.dive.controls.filter(c => c.choices === null && !['salinity', 'density'].includes(c.id)).map(c => [c.id, c.value, c.min, c.max, c.step, c.decimals])");
    let mut changed = 0;
    for control in controls.as_array().unwrap() {
        let number = |i: usize| control[i].as_f64().unwrap();
        let to = if number(1) + number(4) <= number(3) { number(1) + number(4) } else { number(1) - number(4) };
        let to = format!("{to:.*}", control[5].as_u64().unwrap() as usize).parse::<f64>().unwrap();
        // a change that leaves no dive is told and does not stay
        let good =
            live.ask(&format!("new Promise(done => bench.change({{ control: {}, to: {to} }}, done))", control[0]));
        changed += usize::from(good == true);
    }
    assert!(changed >= 4, "{}: {controls}", live.name);
    live.rest();
}

fn comments(text: &str) -> Vec<String> {
    let all = text.lines().filter_map(|line| line.split_once('#')).map(|(_, words)| words.trim().to_owned());
    all.filter(|words| !words.is_empty()).collect()
}

#[test]
fn the_plan_gives_the_same_answer() {
    let Some(mut live) = Live::new("bench plan taken away") else { return };
    let folder = live.take_downloads();
    for plan in plans() {
        live.show(&plan, (1280, 720));
        change_some(&mut live);
        let asked = live.answer("text", json!({}))["text"].as_str().unwrap().to_owned();
        live.button("Take away");
        live.button("Save the plan");
        let (name, text) = live.downloaded(&folder);
        assert_eq!(text, asked, "{name}");
        assert_eq!(Some(name.as_str()), plan.file_name().and_then(|name| name.to_str()));
        // alone in a folder: lists and recorded dives are written in
        let dir = tempfile::tempdir().unwrap();
        std::fs::write(dir.path().join(&name), &text).unwrap();
        let check = run_in(dir.path(), &["check", &name]);
        assert!(check.status.success(), "{name}: {}", String::from_utf8_lossy(&check.stderr));
        let here = without_way(live.result());
        let found = differences(&here, &without_way(result(dir.path(), &name, &[])));
        assert_eq!(found, Vec::<String>::new(), "{name}");
        // and remarks of its author
        for comment in comments(&std::fs::read_to_string(&plan).unwrap()) {
            assert!(text.contains(&comment), "{name}: lost: # {comment}");
        }
        live.is_quiet();
    }
}

#[test]
fn the_page_opens_as_it_was() {
    let Some(mut live) = Live::new("bench page taken away") else { return };
    let folder = live.take_downloads();
    live.show(&profile("cold-trimix.toml"), (1280, 720));
    live.change(json!({ "control": "suit gas", "to": 14 }));
    live.button("Freeze");
    live.change(json!({ "control": "lead", "to": 3.5 }));
    // a title in which somebody tries to write code must not break out of the page
    let nasty = "</script><script>window.ran = 1</script> <!-- & \u{2028}";
    live.ask(&format!(
        "bench.open({{ name: bench.state.name, text: bench.ask('text').ok.text.replace('title = \"', t => t + {}) }})",
        json!(nasty)
    ));
    live.rest();
    live.change(json!({ "control": "lead", "to": 4.5 }));
    live.ask("bench.setFailure(900)");
    live.rest();
    let looks = "({ state: bench.state, dive: bench.dive, frozen: bench.frozen, sentence: document.querySelector('#verdict p').textContent })";
    let before = live.ask(looks);
    live.button("Take away");
    live.button("Save this page");
    let (name, html) = live.downloaded(&folder);
    assert!(name.ends_with(".html"), "{name}");
    let original = std::fs::read_to_string(live.dir.path().join("bench.html")).unwrap();
    let policy =
        |html: &str| html.split("Content-Security-Policy").nth(1).unwrap().split('>').next().unwrap().to_owned();
    assert_eq!(policy(&html), policy(&original), "the same policy holds");
    assert!(html.len() < original.len() + 50_000, "{} against {}", html.len(), original.len());
    live.is_quiet();
    let copy = live.dir.path().join(&name);
    std::fs::write(&copy, &html).unwrap();
    live.show_file(&copy, (1280, 720));
    let after = live.ask(looks);
    let found = differences(&before, &after);
    assert_eq!(found, Vec::<String>::new());
    assert_eq!(live.ask("[window.ran === undefined, document.scripts.length]"), json!([true, 3]));
    live.is_quiet();
}
