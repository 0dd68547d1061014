//! The page by the rules of axe-core, which looks for what keeps readers of any sort out (WCAG and good practice).

use std::path::Path;

use serde_json::{Value, json};

use super::{Live, profile};
use crate::browser::left_out;

/// The tool's text, from the page's development packages: it is no part of the page or the program.
fn axe(test: &str) -> Option<String> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("page/node_modules/axe-core/axe.min.js");
    let text = std::fs::read_to_string(path).ok();
    if text.is_none() {
        left_out(test, "axe-core in page/node_modules (npm ci in page/)");
    }
    text
}

/// What is against a rule on the page as it stands.
fn broken(live: &mut Live, axe: &str) -> Vec<String> {
    if live.ask("typeof window.axe") != "object" {
        // past the page's policy, which holds for what the page itself runs
        live.ask(&format!("{axe}; 0"));
    }
    let found = live.ask(
        "axe.run(document.querySelector('dialog[open]') ?? document.querySelector(':popover-open') ?? document, { resultTypes: ['violations'], elementRef: false }) \
         .then(r => r.violations.flatMap(v => v.nodes.map(n => `${v.id} (${v.impact}): ${n.target.join(' ')}: ${n.any.concat(n.all, n.none).map(c => c.message).join('; ')}`)))",
    );
    serde_json::from_value(found).unwrap()
}

#[test]
fn are_kept_everywhere() {
    let test = "bench rules";
    let Some(axe) = axe(test) else { return };
    let Some(mut live) = Live::new(test) else { return };
    let mut all = Vec::new();
    for (dark, size) in [(false, (1280, 720)), (true, (1280, 720)), (false, (360, 740)), (true, (360, 740))] {
        live.prefer(dark, true);
        live.show(&profile("cold-trimix.toml"), size);
        let mut look = |live: &mut Live, what: &str| {
            live.frames();
            let place = format!("{what}, {} px, {}", size.0, if dark { "dark" } else { "light" });
            live.keep_picture(&format!("rules {place}.png"));
            all.extend(broken(live, &axe).into_iter().map(|words| format!("{place}: {words}")));
        };
        look(&mut live, "page");
        let openers = "[...document.querySelectorAll('#bench [aria-haspopup=dialog]')].filter(e => !e.disabled && e.checkVisibility())";
        let panels = live.ask(&format!("{openers}.length")).as_u64().unwrap();
        assert!(panels >= 4, "{panels}");
        for i in 0..panels {
            let what = live.ask(&format!("(e => (e.click(), e.textContent))({openers}[{i}])"));
            look(&mut live, what.as_str().unwrap());
            live.ask("document.querySelector('dialog[open]')?.close(); document.querySelector(':popover-open')?.hidePopover()");
        }
        live.ask("bench.setFailure(900); bench.setBand(true); bench.freeze()");
        live.rest();
        look(&mut live, "with a failure, a band and a frozen rig");
        live.ask("bench.open({ name: 'plan.toml', text: 'title = 1' })");
        look(&mut live, "with problems");
        live.button("Guess first");
        look(&mut live, "guess");
        live.button("Reveal");
        look(&mut live, "reveal");
    }
    for (dark, size) in [(false, (1280, 720)), (true, (360, 740))] {
        live.prefer(dark, true);
        live.show_with(&["--blank"], size);
        live.frames();
        all.extend(broken(&mut live, &axe).into_iter().map(|words| format!("blank, {} px: {words}", size.0)));
    }
    assert!(all.is_empty(), "{} in all:\n{}", all.len(), all.join("\n"));
}

/// Who wants little motion gets none: nothing on the page moves by itself.
#[test]
fn little_motion_is_none() {
    let Some(mut live) = Live::new("bench motion") else { return };
    live.prefer(false, true);
    live.show(&profile("cold-trimix.toml"), (1280, 720));
    live.ask("bench.change({ control: 'lead', to: 3 }); bench.setFailure(600)");
    live.frames();
    let moving = live.ask("document.getAnimations().map(a => [a.effect.target.className.baseVal ?? a.effect.target.className, a.effect.getTiming().duration])");
    let moving: Vec<(Value, f64)> = serde_json::from_value(moving).unwrap();
    // some styles turn motion off by a length that nobody sees
    assert!(moving.iter().all(|(_, duration_ms)| *duration_ms < 1.0), "{moving:?}");
    assert_eq!(live.ask("matchMedia('(prefers-reduced-motion: reduce)').matches"), json!(true));
    live.is_quiet();
}
