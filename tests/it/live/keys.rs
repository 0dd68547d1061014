//! All of the page by the keyboard alone, and by what a screen reader is told.

use std::collections::BTreeSet;

use serde_json::{Value, json};

use super::{Live, profile};

/// Marks what the Tab key must reach, by numbers; of radio buttons of one name one.
const NUMBER_STOPS: &str = "(() => { const root = document.querySelector('dialog[open]') ?? document; let n = 0; const groups = new Set(); \
    for (const e of document.querySelectorAll('[data-stop]')) e.removeAttribute('data-stop'); \
    for (const e of root.querySelectorAll('a[href], button, input, select, textarea, summary, [tabindex]')) { \
      if (e.tabIndex < 0 || e.disabled || !e.checkVisibility({ visibilityProperty: true }) || !e.getClientRects().length) continue; \
      if (e.type === 'radio') { if (groups.has(e.name)) continue; groups.add(e.name); \
        const on = root.querySelector(`input[name=\"${CSS.escape(e.name)}\"]:checked`) ?? e; on.dataset.stop = n++; continue; } \
      e.dataset.stop = n++; } return n; })()";

/// What is drawn of what has the focus, or of one of the stops: all by which a focus can be shown.
const LOOK: &str = "e => JSON.stringify([e.parentElement, e, ...e.querySelectorAll('*')].filter(Boolean).map(p => { const s = getComputedStyle(p); \
    return [s.outlineStyle, s.outlineColor, s.outlineWidth, s.boxShadow, s.stroke, s.strokeWidth, s.fill, s.opacity, s.backgroundColor, s.borderColor, s.visibility, s.display]; }))";

/// Number, name and look of what has the focus; whether it lies in the window and nothing lies over it.
fn focused(live: &mut Live) -> Value {
    live.ask(&format!(
        "(() => {{ const e = document.activeElement; if (!e || e === document.body) return null; \
           const parts = [e, ...e.querySelectorAll('*')].map(p => p.getBoundingClientRect()).filter(b => b.width && b.height); \
           const seen = parts.some(b => {{ const [x, y] = [b.x + b.width / 2, b.y + b.height / 2]; \
             const at = document.elementFromPoint(x, y); return at && (e.contains(at) || at.contains(e) || at.tagName === 'LABEL'); }}); \
           return {{ stop: e.dataset.stop ?? null, look: ({LOOK})(e), seen, date: e.type === 'date', \
             scrolls: e.scrollHeight > e.clientHeight || e.scrollWidth > e.clientWidth, \
             what: e.tagName + ' ' + (e.getAttribute('aria-label') ?? e.id ?? '') + ' ' + e.textContent.slice(0, 40) }}; }})()"
    ))
}

/// Every stop is reached by Tab, shows that it has the focus, lies in sight; and nothing holds the focus.
fn walk(live: &mut Live, what: &str) -> usize {
    let stops = live.ask(NUMBER_STOPS).as_u64().unwrap() as usize;
    assert!(stops > 0, "{what}: nothing to reach");
    let mut reached = BTreeSet::new();
    let mut before: Option<Value> = None;
    // each stop once, and as many for what else the browser stops at: areas that scroll, its own window
    for _ in 0..2 * stops + 10 {
        live.key("Tab");
        let now = focused(live);
        if let Some(old) = before.take().filter(|old| old["stop"] != now["stop"] && !old["stop"].is_null()) {
            let blurred = live.ask(&format!(
                "(e => e && ({LOOK})(e))(document.querySelector('[data-stop=\"{}\"]'))",
                old["stop"].as_str().unwrap()
            ));
            // of a date the browser itself marks the part that has the focus, out of reach from here
            assert!(old["look"] != blurred || old["date"] == true, "{what}: focus is not seen on {}", old["what"]);
        }
        let Some(stop) = now["stop"].as_str() else {
            assert!(now.is_null() || now["scrolls"] == true, "{what}: the focus is on {}", now["what"]);
            continue;
        };
        assert_eq!(now["seen"], true, "{what}: out of sight: {}", now["what"]);
        // round once
        if !reached.insert(stop.to_owned()) && reached.len() == stops {
            break;
        }
        before = Some(now);
    }
    let missed: Vec<Value> = (0..stops)
        .filter(|stop| !reached.contains(&stop.to_string()))
        .map(|stop| live.ask(&format!("document.querySelector('[data-stop=\"{stop}\"]').outerHTML.slice(0, 120)")))
        .collect();
    assert!(missed.is_empty(), "{what}: never reached: {missed:?}");
    stops
}

/// Everything that can have the focus has a name and a role for those who do not see it.
fn is_named(live: &mut Live, what: &str) {
    for node in live.spoken() {
        let property = |name: &str| {
            let all = node["properties"].as_array().into_iter().flatten();
            all.filter(|one| one["name"] == name).any(|one| one["value"]["value"] == true)
        };
        let role = node["role"]["value"].as_str().unwrap_or_default();
        let name = node["name"]["value"].as_str().unwrap_or_default();
        // an area that scrolls can have the focus without being a control
        let is_control = !["generic", "RootWebArea", "none", "group"].contains(&role);
        assert!(!(property("focusable") && is_control && name.trim().is_empty()), "{what}: no name: {node}");
    }
}

/// What the focused slider says about itself.
const VALUE: &str = "(e => [e.getAttribute('aria-label') ?? e.labels?.[0]?.textContent, \
    e.getAttribute('aria-valuenow') ?? e.value, e.getAttribute('aria-valuetext')])(document.activeElement)";

#[test]
fn reach_every_control() {
    let Some(mut live) = Live::new("bench keys") else { return };
    for name in ["cold-trimix.toml", "ten-lines.toml"] {
        live.show(&profile(name), (1280, 720));
        let stops = walk(&mut live, name);
        is_named(&mut live, name);
        println!("{name}: {stops} stops of the Tab key");
        // and backwards, out of the page: the last one first
        live.ask("document.activeElement.blur()");
        live.key_with_shift("Tab");
        assert_ne!(focused(&mut live), Value::Null, "{name}: backwards");
        live.is_quiet();
    }
}

#[test]
fn move_every_slider() {
    let Some(mut live) = Live::new("bench keys") else { return };
    for name in ["cold-trimix.toml", "single-wetsuit.toml"] {
        live.show(&profile(name), (1280, 720));
        let all = "[...document.querySelectorAll('#bench [role=slider], #bench input[type=range]')].filter(e => !e.closest('dialog') && e.checkVisibility())";
        let count = live.ask(&format!("{all}.length")).as_u64().unwrap();
        assert!(count >= 5, "{name}: {count}");
        for i in 0..count {
            live.ask(&format!("{all}[{i}].focus()"));
            let at_first = live.ask(VALUE);
            let mut moved = Vec::new();
            for (key, back) in [("ArrowRight", "ArrowLeft"), ("ArrowUp", "ArrowDown")] {
                live.key(key);
                live.frames();
                let there = live.ask(VALUE);
                assert_eq!(there[0], at_first[0], "{name}: the focus went away");
                live.key(back);
                live.frames();
                let again = live.ask(VALUE);
                assert_eq!(again[0], at_first[0], "{name}: the focus went away");
                moved.push((there != at_first) || (again != at_first));
            }
            assert!(moved[0] || moved[1], "{name}: no arrow key moves {at_first}");
            live.rest();
        }
        live.is_quiet();
    }
}

#[test]
fn open_and_close_what_opens() {
    let Some(mut live) = Live::new("bench panels by keys") else { return };
    live.show(&profile("cold-trimix.toml"), (1280, 720));
    let openers = "[...document.querySelectorAll('#bench [aria-haspopup=dialog]:not([popovertarget])')].filter(e => !e.disabled && e.checkVisibility())";
    let panels = live.ask(&format!("{openers}.length")).as_u64().unwrap();
    assert!(panels >= 4, "{panels}");
    for i in 0..panels {
        live.ask(&format!("{openers}[{i}].focus()"));
        let what = live.ask("document.activeElement.textContent").as_str().unwrap().to_owned();
        live.key("Enter");
        live.frames();
        let inside = "Boolean(document.activeElement.closest('dialog[open]'))";
        assert_eq!(live.ask(inside), true, "{what}: the focus is in it");
        walk(&mut live, &what);
        is_named(&mut live, &what);
        live.ask("document.querySelector('dialog[open] [data-stop]').focus()");
        live.key("Escape");
        live.frames();
        assert_eq!(live.ask("document.querySelectorAll('dialog[open]').length"), 0, "{what}: Escape closes it");
        let now = live.ask("document.activeElement.outerHTML.slice(0, 80)");
        assert_eq!(
            live.ask(&format!("document.activeElement === {openers}[{i}]")),
            true,
            "{what}: the focus is on {now}"
        );
    }
    folds(&mut live);
    live.is_quiet();
}

/// What unfolds beside its button: with Enter or the space key, and back with the same or with Escape.
fn folds(live: &mut Live) {
    let folds = "[...document.querySelectorAll('#bench [aria-expanded], #bench [popovertarget]:not([popovertargetaction])')] \
                 .filter(e => !e.closest('dialog, [popover]') && !e.disabled && e.checkVisibility())";
    let is_open = "(e => (e.popoverTargetElement ? e.popoverTargetElement.matches(':popover-open') : e.getAttribute('aria-expanded') === 'true'))";
    let count = live.ask(&format!("{folds}.length")).as_u64().unwrap();
    assert!(count >= 4, "{count}");
    for i in 0..count {
        live.ask(&format!("{folds}[{i}].focus()"));
        let what = live.ask("document.activeElement.textContent").as_str().unwrap().to_owned();
        let is_over = live.ask("Boolean(document.activeElement.popoverTargetElement)") == true;
        for (key, open) in
            [("Enter", true), ("Enter", false), (" ", true), (if is_over { "Escape" } else { " " }, false)]
        {
            live.key(key);
            live.frames();
            let now = live.ask(&format!("[{folds}[{i}] === document.activeElement, {is_open}({folds}[{i}])]"));
            assert_eq!(now, json!([true, open]), "{what}: {key:?}");
        }
        if is_over {
            live.key("Enter");
            is_named(live, &what);
            // all in it is reached from its button, and the way on leads out of it
            let inside = live
                .ask(&format!("{folds}[{i}].popoverTargetElement.querySelectorAll('input, button, select').length"))
                .as_u64()
                .unwrap();
            let mut within = 0;
            for _ in 0..inside + 3 {
                live.key("Tab");
                within += u64::from(live.ask("Boolean(document.activeElement.closest('[popover]'))") == true);
            }
            assert!(within > 0 && within <= inside + 1, "{what}: {within} of {inside}");
            live.key("Escape");
            live.frames();
        }
    }
}

/// A value typed is taken with Enter, refused with words, and left with Escape.
#[test]
fn type_values() {
    let Some(mut live) = Live::new("bench typed values") else { return };
    live.show(&profile("cold-trimix.toml"), (1280, 720));
    let field = |label: &str| {
        format!(
            "[...document.querySelectorAll('#bench input')].find(e => e.type !== 'range' && e.labels?.[0]?.textContent.trim().startsWith({}))",
            json!(label)
        )
    };
    let label = live.ask("bench.dive.controls.find(c => c.id === 'suit gas').label");
    let input = field(label.as_str().unwrap());
    live.ask(&format!("{input}.focus()"));
    live.write("14.5");
    live.key("Enter");
    live.rest();
    let sets = live.sets();
    assert!(sets.iter().any(|(key, value)| key == "suit.gas_volume" && value.starts_with("14.5")), "{sets:?}");
    // a comma is a decimal point to half of Europe
    live.write("13,5");
    live.key("Enter");
    live.rest();
    assert!(live.sets().iter().any(|(_, value)| value.starts_with("13.5")));
    // what is no number is told, stays where it was typed, and changes nothing
    let good = live.sets();
    live.write("much");
    live.key("Enter");
    live.frames();
    assert_eq!(live.ask(&format!("[{input}.value, {input}.getAttribute('aria-invalid')]")), json!(["much", "true"]));
    assert_eq!(live.sets(), good);
    live.key("Escape");
    live.frames();
    assert_eq!(live.ask(&format!("Number({input}.value)")), 13.5);
    live.key("ArrowUp");
    live.rest();
    assert_ne!(live.sets(), good, "an arrow key is a step");
    live.is_quiet();
}
