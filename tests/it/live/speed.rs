//! How fast the page is: a measurement, not a test, since a busy machine would fail it.
//! `cargo test --release --test it live::speed -- --ignored --nocapture`

use serde_json::{Value, json};

use super::{Live, profile, written};

/// Moves of a drag, and how many a second: five seconds of a hand.
const MOVES: usize = 300;
const PER_S: f64 = 60.0;

/// Notes when the page has drawn its first dive: two frames after it says that it works. In ms since the page was opened.
const WHEN_DRAWN: &str = "new MutationObserver((_, observer) => { if (!document.querySelector('[data-ready]')) return; observer.disconnect(); \
    requestAnimationFrame(() => requestAnimationFrame(() => (window.drawn_ms = performance.now()))); \
    }).observe(document, { subtree: true, childList: true, attributes: true })";

fn line(name: &str, mut ms: Vec<f64>) {
    ms.sort_by(f64::total_cmp);
    if ms.is_empty() {
        println!("{name:48} none");
        return;
    }
    let at = |share: f64| ms[((ms.len() - 1) as f64 * share).round() as usize];
    println!(
        "{name:48} {:4} × median {:6.1}  95 % {:6.1}  max {:6.1} ms",
        ms.len(),
        at(0.5),
        at(0.95),
        ms[ms.len() - 1]
    );
}

fn number(event: &Value, key: &str) -> f64 {
    event[key].as_f64().unwrap_or(0.0)
}

/// From a move as it reaches the page's thread to the end of the commit after it: the script, the engine's run, style,
/// layout and paint, until the compositor has the frame. Of moves that change nothing there is no frame. ms.
fn to_frames(events: &[Value]) -> Vec<f64> {
    let of = |name: &str| {
        let named = events.iter().filter(move |event| event["name"] == name && event["ph"] == "X");
        named.collect::<Vec<&Value>>()
    };
    let dispatched = of("EventDispatch");
    let moves: Vec<&&Value> =
        dispatched.iter().filter(|event| event["args"]["data"]["type"] == "pointermove").collect();
    let mut taken = 0.0;
    let mut all = Vec::new();
    for commit in of("LayerTreeHostImpl::CommitComplete") {
        let end = number(commit, "ts") + number(commit, "dur");
        let before = moves.iter().filter(|event| event["pid"] == commit["pid"] && number(event, "ts") < end);
        // the last move before it: the browser hands on one a frame, just before the frame's work
        let Some(start) = before.map(|event| number(event, "ts")).reduce(f64::max).filter(|start| *start > taken)
        else {
            continue;
        };
        taken = start;
        all.push(1e-3 * (end - start));
    }
    all
}

/// From an input as the system gave it to the frame with it on the screen, waits for the screen included. ms.
fn to_screen(events: &[Value]) -> Vec<f64> {
    let is_move = |event: &Value| {
        let kind = event.pointer("/args/event_latency/event_type").and_then(Value::as_str).unwrap_or_default();
        event["name"] == "EventLatency" && ["MOUSE_MOVED", "MOUSE_DRAGGED", "TOUCH_MOVED"].contains(&kind)
    };
    let begins = events.iter().filter(|event| event["ph"] == "b" && is_move(event));
    begins
        .filter_map(|begin| {
            let same = |event: &&Value| {
                event["ph"] == "e"
                    && event["name"] == "EventLatency"
                    && event["id2"] == begin["id2"]
                    && event["id"] == begin["id"]
            };
            let end = events.iter().filter(same).find(|event| number(event, "ts") >= number(begin, "ts"))?;
            Some(1e-3 * (number(end, "ts") - number(begin, "ts")))
        })
        .collect()
}

/// Main-thread work of a sort, each time it was done, ms.
fn work(events: &[Value], names: &[&str]) -> Vec<f64> {
    let done = events.iter().filter(|e| e["ph"] == "X" && names.contains(&e["name"].as_str().unwrap_or_default()));
    done.map(|event| 1e-3 * number(event, "dur")).collect()
}

fn drag(live: &mut Live, name: &str, selector: &str, (wide, high): (f64, f64)) {
    let (x, y, _) = live.place(selector);
    let points: Vec<(f64, f64)> = (0..MOVES)
        .map(|i| {
            let phase = 2.0 * std::f64::consts::PI * i as f64 / 90.0;
            (x + wide * phase.sin(), y + high * phase.sin())
        })
        .collect();
    live.rest();
    live.trace(&["devtools.timeline", "benchmark", "latencyInfo", "input", "cc"]);
    live.mouse("mousePressed", (x, y));
    live.move_at(&points, PER_S);
    live.frames();
    live.mouse("mouseReleased", points[MOVES - 1]);
    let events = live.traced();
    live.rest();
    println!("\n{name}: {MOVES} moves, {PER_S} a second; {} changes", live.ask("bench.state.sets.length"));
    line("from a move in the page to its painted frame", to_frames(&events));
    line("from a move of the hand to the screen", to_screen(&events));
    line("  of it script (one callback)", work(&events, &["FireAnimationFrame", "FunctionCall"]));
    line("  of it style and layout", work(&events, &["UpdateLayoutTree", "Layout"]));
    line("  of it paint", work(&events, &["Paint", "PrePaint", "Layerize", "Commit"]));
    live.button("Reset");
    live.rest();
}

/// Times of one thing done many times in the page, ms.
fn timed(live: &mut Live, expression: &str, times: usize) -> Vec<f64> {
    let script = format!(
        "(async () => {{ const all = []; for (let i = 0; i < {times}; i++) {{ const start = performance.now(); await ({expression}); all.push(performance.now() - start); }} return all; }})()"
    );
    serde_json::from_value(live.ask(&script)).unwrap()
}

#[test]
#[ignore = "a measurement of this machine"]
fn of_drags_and_of_the_engine() {
    let Some(mut live) = Live::new("bench speed") else { return };
    let page = written(live.dir.path(), &[profile("cold-trimix.toml").to_str().unwrap()]);
    println!("the page has {} kB", std::fs::metadata(&page).unwrap().len() / 1000);
    let mut first = Vec::new();
    for _ in 0..5 {
        live.next_tab();
        live.call("Page.addScriptToEvaluateOnNewDocument", json!({ "source": WHEN_DRAWN }));
        live.browser.open(&page, 1280, 720);
        live.wait("window.drawn_ms !== undefined");
        first.push(live.ask("drawn_ms").as_f64().unwrap());
    }
    line("first picture after opening", first);
    live.is_ready();
    let dive = "bench.ask('dive', { moment_s: null, failure_s: null, change: null })";
    line("a dive: read, run, findings, answer", timed(&mut live, dive, 60));
    let change =
        "bench.ask('dive', { moment_s: null, failure_s: 900, change: { control: 'lead', to: 4 + (i % 9) / 2 } })";
    line("a dive with a change and a failure", timed(&mut live, change, 60));
    line("all that takes longer, in this thread", timed(&mut live, "bench.ask('whole')", 5));
    line("the same in the worker", timed(&mut live, "bench.askSlow('whole')", 5));
    line("the plan's text", timed(&mut live, "bench.ask('text')", 20));
    line("the handout", timed(&mut live, "bench.ask('handout', { date: null, paper: 'a4' })", 5));
    drag(&mut live, "the lead on its rail", "#rail [role=slider]", (60.0, 0.0));
    let levels = live.ask("[...document.querySelectorAll('#picture [role=slider]')].map((e, i) => [i, e.getAttribute('aria-label'), e.getAttribute('aria-orientation')])");
    let find = |way: &str, word: &str| {
        let all = levels.as_array().unwrap();
        all.iter()
            .find(|l| l[2] == way && l[1].as_str().unwrap_or_default().to_lowercase().contains(word))
            .map(|l| l[0].clone())
    };
    for (name, way, word, size) in [
        ("the depth of a level", "vertical", "", (0.0, 40.0)),
        ("the length of a level", "horizontal", "bottom", (40.0, 0.0)),
        ("the moment of failure", "horizontal", "fail", (120.0, 0.0)),
    ] {
        let Some(index) = find(way, word) else { continue };
        live.ask(&format!(
            "document.querySelectorAll('#picture [role=slider]')[{index}].dataset.dragged = '{word}{way}'"
        ));
        drag(&mut live, name, &format!("[data-dragged='{word}{way}']"), size);
    }
    assert_eq!(live.ask("bench.problems"), json!(null));
}
