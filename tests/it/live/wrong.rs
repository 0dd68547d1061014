//! What is wrong is told in the terminal's words, and nothing is lost by it.

use serde_json::{Value, json};

use super::{Live, profile};
use crate::command::Cli;

fn folded(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What `lightpoint check` says about a plan that stands alone in its folder, on lines that are never broken.
fn on_the_terminal(text: &str) -> String {
    let told = Cli::new(&["check", "plan.toml"]).plan(text).env("COLUMNS", "4000").refused();
    folded(&told)
}

/// Plans with problems, by name: those of `tests/bad_plans` that are text and need no file beside them.
fn bad_plans() -> Vec<(String, String)> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/bad_plans");
    let mut plans: Vec<(String, String)> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|extension| extension == "toml"))
        .filter_map(|path| {
            let name = path.file_stem().unwrap().to_string_lossy().into_owned();
            std::fs::read_to_string(&path).ok().map(|text| (name, text))
        })
        .filter(|(_, text)| !text.contains(".csv"))
        .collect();
    plans.sort();
    assert!(plans.len() > 30, "{}", plans.len());
    plans
}

/// Pastes a text onto the page, where nothing is being written.
fn paste(live: &mut Live, text: &str) {
    live.ask(&format!(
        "(() => {{ document.activeElement.blur(); const clipboardData = new DataTransfer(); clipboardData.setData('text/plain', {}); \
          document.body.dispatchEvent(new ClipboardEvent('paste', {{ clipboardData, bubbles: true, cancelable: true }})); }})()",
        json!(text)
    ));
    live.frames();
}

/// Drops files onto the page.
fn drop_files(live: &mut Live, files: &[(&str, &str)]) {
    live.ask(&format!(
        "(() => {{ const dataTransfer = new DataTransfer(); for (const [name, text] of {}) dataTransfer.items.add(new File([text], name)); \
          for (const kind of ['dragenter', 'dragover', 'drop']) \
            document.querySelector('#picture').dispatchEvent(new DragEvent(kind, {{ dataTransfer, bubbles: true, cancelable: true }})); }})()",
        json!(files)
    ));
    live.frames();
}

/// What is drawn: the dive, and whether its curve is there. The page may give it less room beside what is wrong.
const DRAWN: &str = "JSON.stringify([bench.dive, [...document.querySelectorAll('#picture path')].some(p => \
                     p.getBoundingClientRect().width > 0.5 * document.querySelector('#picture').clientWidth)])";
/// All that can be read on the page, or in the panel over it.
const READ: &str = "(document.querySelector('dialog[open]') ?? document.body).innerText";

#[test]
fn is_told_in_the_terminals_words() {
    let Some(mut live) = Live::new("bench problems") else { return };
    live.show(&profile("cold-trimix.toml"), (1280, 720));
    let good = live.ask(DRAWN);
    let state = live.ask("bench.state");
    for (name, text) in bad_plans() {
        let told = on_the_terminal(&text);
        let opened = live.ask(&format!("bench.open({{ name: 'plan.toml', text: {} }})", json!(text)));
        assert_eq!(opened, false, "{name}");
        let found = live.ask("bench.problems.problems");
        let found = found.as_array().unwrap_or_else(|| panic!("{name}: no problems"));
        assert!(!found.is_empty(), "{name}");
        let read = folded(live.ask(READ).as_str().unwrap());
        for problem in found {
            for words in [&problem["message"], &problem["help"]].into_iter().filter_map(Value::as_str).map(folded) {
                assert!(told.contains(&words), "{name}: the terminal does not say {words:?}: {told}");
                assert!(read.contains(&words), "{name}: the page does not show {words:?}: {read}");
            }
            if let Some(line) = problem["line"].as_u64() {
                let column = problem["column"].as_u64().map_or(String::new(), |column| format!(":{column}"));
                // what is written in a list inside of the plan is counted from there
                let source = problem["source"].as_str().unwrap();
                assert!(told.contains(&format!("{source}:{line}{column}")), "{name}: line {line}{column}: {told}");
            }
        }
        // one message for one message
        assert_eq!(told.matches('×').count(), found.len(), "{name}: {told}");
        assert!(live.ask(DRAWN) == good, "{name}: the last good picture stays");
        assert_eq!(live.ask("bench.state"), state, "{name}");
    }
    live.is_quiet();
}

#[test]
fn pasted_or_dropped_keeps_the_picture() {
    let Some(mut live) = Live::new("bench paste and drop") else { return };
    live.show(&profile("cold-trimix.toml"), (1280, 720));
    live.change(json!({ "control": "lead", "to": 4 }));
    let (good, state) = (live.ask(DRAWN), live.ask("bench.state"));
    let text = std::fs::read_to_string(profile("ten-lines.toml")).unwrap();
    let broken = text.replace("fill = \"200 bar\"", "fill = \"200\"").replace("kind = ", "kin = ");
    let told = on_the_terminal(&broken);
    for by_drop in [false, true] {
        if by_drop {
            drop_files(&mut live, &[("plan.toml", &broken)])
        } else {
            paste(&mut live, &broken)
        }
        live.wait("Boolean(bench.problems)");
        let problems = live.ask("bench.problems.problems");
        let read = folded(live.ask(READ).as_str().unwrap());
        for problem in problems.as_array().unwrap() {
            let words = folded(problem["message"].as_str().unwrap());
            assert!(told.contains(&words) && read.contains(&words), "{words} in {told} and in {read}");
        }
        assert!(live.ask(DRAWN) == good, "the last good picture stays");
        assert_eq!(live.ask("bench.state"), state);
        // what was brought can be mended where it shows: nothing of it is lost
        let kept = live
            .ask("[...document.querySelectorAll('dialog[open] textarea')].some(area => area.value.includes('kin = '))");
        assert_eq!(kept, true, "the broken text can be mended");
        live.key("Escape");
    }
    // a good one opens, and "back" brings the one before with its changes
    drop_files(&mut live, &[("ten-lines.toml", &text)]);
    live.wait("bench.state.name === 'ten-lines.toml'");
    live.rest();
    assert_eq!(live.ask("bench.problems"), Value::Null);
    live.button("Back");
    live.rest();
    assert_eq!(live.ask("bench.state.text"), state["text"]);
    assert_eq!(live.ask("bench.state.sets"), state["sets"]);
    // a plan with its lists
    let read = |name: &str| std::fs::read_to_string(profile(name)).unwrap();
    let (lake, gear) = (read("mountain-lake.toml"), read("gear.csv"));
    drop_files(&mut live, &[("gear.csv", &gear), ("mountain-lake.toml", &lake)]);
    live.wait("bench.state.name === 'mountain-lake.toml'");
    live.rest();
    live.is_quiet();
}

/// What was typed outlives a problem, a reload, another page and the way back to this one.
#[test]
fn nothing_typed_is_lost() {
    let Some(mut live) = Live::new("bench keeps") else { return };
    live.show(&profile("cold-trimix.toml"), (1280, 720));
    live.change(json!({ "control": "suit gas", "to": 14 }));
    live.button("Freeze");
    live.change(json!({ "control": "lead", "to": 4 }));
    let looks = "({ sets: bench.state.sets, text: bench.state.text, frozen: bench.frozen.map(f => [f.label, f.sets]), net: bench.dive.curve.net })";
    let state = live.ask(looks);
    // a broken plan in the making, in the editor
    let area = "document.querySelector('dialog[open] textarea')";
    live.button("Plan text");
    live.ask(&format!("{area}.focus()"));
    let text = live.ask(&format!("{area}.value")).as_str().unwrap().replace("gas = \"oxygen\"", "gas = \"oxigen\"");
    live.write(&text);
    live.wait("document.querySelector('dialog[open]').innerText.includes('oxigen')");
    let read = folded(live.ask(READ).as_str().unwrap());
    assert!(read.contains("problem"), "{read}");
    live.reload();
    live.is_ready();
    assert_eq!(live.ask(looks), state, "after a reload");
    live.button("Plan text");
    assert_eq!(live.ask(&format!("{area}.value")), text, "the text in the making, after a reload");
    live.key("Escape");
    live.travel(-1);
    live.travel(1);
    live.is_ready();
    assert_eq!(live.ask(looks), state, "after a way back");
    live.button("Plan text");
    assert_eq!(live.ask(&format!("{area}.value")), text, "the text in the making, after a way back");
    live.key("Escape");
    live.is_quiet();
    // a new tab has none of it: it was kept in the session alone
    let page = live.dir.path().join("bench.html");
    live.show_file(&page, (1280, 720));
    assert_eq!(live.ask("[bench.state.sets.length, localStorage.length]"), json!([0, 0]));
    // but for who asks for it
    live.change(json!({ "control": "lead", "to": 3 }));
    live.button("Take away");
    live.button("Keep it on this device");
    live.button("Yes, keep them");
    live.show_file(&page, (1280, 720));
    assert_eq!(live.ask("[bench.state.sets.length, localStorage.length]"), json!([1, 1]));
    live.button("Take away");
    live.button("Forget it on this device");
    live.show_file(&page, (1280, 720));
    assert_eq!(live.ask("[bench.state.sets.length, localStorage.length]"), json!([0, 0]));
    live.is_quiet();
}
