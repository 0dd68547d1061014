//! The page in windows of many sizes, with large letters, with plans that nobody drew first.

use serde_json::{Value, json};

use super::{Live, odd, profile};

/// Text of each plan, and the name for messages: three of the profiles, and the odd ones.
fn plans() -> Vec<(String, String)> {
    let own = ["cold-trimix.toml", "ten-lines.toml", "coastal-cave.toml"];
    let own = own.map(|name| (name.to_owned(), String::new()));
    own.into_iter().chain(odd::plans().into_iter().map(|(name, text)| (name.to_owned(), text))).collect()
}

fn open(live: &mut Live, name: &str, text: &str, size: (u32, u32)) {
    if text.is_empty() { live.show(&profile(name), size) } else { live.show_text(name, text, size) }
}

/// What is wrong with the letters: `look.js` says what it looks for.
fn letters(live: &mut Live) -> Vec<String> {
    serde_json::from_value(live.ask(include_str!("look.js"))).unwrap()
}

/// Whether the page is as wide as the window and, where it must be, as high; what is not, in words.
fn overflow(live: &mut Live, and_height: bool) -> Vec<String> {
    let [inner_width, width, inner_height, height]: [f64; 4] = serde_json::from_value(live.ask(
        "(d => [d.clientWidth, Math.max(d.scrollWidth, document.body.scrollWidth), d.clientHeight, Math.max(d.scrollHeight, document.body.scrollHeight)])(document.documentElement)",
    ))
    .unwrap();
    let mut found = Vec::new();
    if width > inner_width {
        found.push(format!("{width} px wide in {inner_width}"));
    }
    if and_height && height > inner_height {
        found.push(format!("{height} px high in {inner_height}"));
    }
    found
}

/// Sizes the window anew, as by a hand or a turned tablet; the page draws what follows.
fn resize(live: &mut Live, (width_px, height_px): (u32, u32)) {
    live.size(width_px, height_px);
    live.frames();
    // what is observed to have changed its size is drawn again, and may change another: until nothing moves any more
    const TEXTS: &str = "[...document.querySelectorAll('svg text')].map(text => { \
                         const { x, y, width } = text.getBoundingClientRect(); return [text.textContent, x, y, width]; })";
    let mut before = serde_json::Value::Null;
    for _ in 0..50 {
        live.frames();
        let now = live.ask(TEXTS);
        if now == before {
            return;
        }
        before = now;
    }
    panic!("{}: the picture does not come to rest", live.name);
}

#[test]
fn all_is_seen_at_once_on_a_laptop() {
    let Some(mut live) = Live::new("bench on laptops") else { return };
    let mut all = Vec::new();
    for (name, text) in plans() {
        open(&mut live, &name, &text, (1280, 720));
        for size in [(1280, 720), (1920, 1080)] {
            resize(&mut live, size);
            live.keep_picture(&format!("size {name} {}.png", size.0));
            let found = [overflow(&mut live, true), letters(&mut live)].concat();
            all.extend(found.into_iter().map(|words| format!("{name} at {} × {}: {words}", size.0, size.1)));
        }
        // in the middle of a drag and with a failed wing too
        resize(&mut live, (1280, 720));
        live.ask("bench.setFailure(0.3 * bench.dive.end_s)");
        live.frames();
        let found = [overflow(&mut live, true), letters(&mut live)].concat();
        all.extend(found.into_iter().map(|words| format!("{name} with a failure: {words}")));
        live.is_quiet();
    }
    assert!(all.is_empty(), "{} in all:\n{}", all.len(), all.join("\n"));
}

#[test]
fn a_phone_shows_it_and_the_sentence_stays() {
    let Some(mut live) = Live::new("bench on phones") else { return };
    let mut all = Vec::new();
    for (name, text) in plans() {
        open(&mut live, &name, &text, (360, 740));
        live.keep_picture(&format!("size {name} 360.png"));
        let mut found = [overflow(&mut live, false), letters(&mut live)].concat();
        // wherever one has scrolled to, the sentence is there, and not over the half of the window
        for share in [0.0, 0.4, 1.0] {
            live.ask(&format!(
                "scrollTo({{ top: {share} * document.documentElement.scrollHeight, behavior: 'instant' }})"
            ));
            live.frames();
            let [top, bottom, is_on_top]: [f64; 3] = serde_json::from_value(live.ask(
                "(e => { const b = e.getBoundingClientRect(); const at = document.elementFromPoint(b.x + b.width / 2, b.y + Math.min(b.height, 20) / 2); \
                 return [b.top, b.bottom, Number(e.contains(at))]; })(document.querySelector('#verdict'))",
            ))
            .unwrap();
            if top < -1.0 || bottom > 370.0 || is_on_top != 1.0 {
                found.push(format!("scrolled by {share}: the sentence lies at {top} to {bottom}, on top: {is_on_top}"));
            }
        }
        all.extend(found.into_iter().map(|words| format!("{name}: {words}")));
        live.is_quiet();
    }
    // a tablet held upright
    open(&mut live, "cold-trimix.toml", "", (768, 1024));
    let found = [overflow(&mut live, false), letters(&mut live)].concat();
    all.extend(found.into_iter().map(|words| format!("on a tablet: {words}")));
    assert!(all.is_empty(), "{} in all:\n{}", all.len(), all.join("\n"));
}

/// WCAG 2.1, 1.4.4: text of twice the size loses nothing. Twice in two ways: the reader's own size of letters, and the
/// whole page enlarged, which leaves half the pixels.
#[test]
fn letters_of_twice_the_size_fit() {
    let Some(mut live) = Live::new("bench with large letters") else { return };
    let mut all = Vec::new();
    for (name, text) in plans() {
        live.letters_px(16);
        open(&mut live, &name, &text, (640, 360));
        let found = [overflow(&mut live, false), letters(&mut live)].concat();
        all.extend(found.into_iter().map(|words| format!("{name}, enlarged: {words}")));
        // the reader's own setting: what media queries call a rem grows with it
        live.letters_px(32);
        for size in [(1280, 720), (768, 1024)] {
            resize(&mut live, size);
            live.keep_picture(&format!("letters {name} {}.png", size.0));
            let found = [overflow(&mut live, false), letters(&mut live)].concat();
            all.extend(found.into_iter().map(|words| format!("{name}, letters of 200 % at {}: {words}", size.0)));
        }
        live.is_quiet();
    }
    assert!(all.is_empty(), "{} in all:\n{}", all.len(), all.join("\n"));
}

/// The axes stay as they are while a drag lasts: what moves is the dive.
#[test]
fn axes_stay_while_a_drag_lasts() {
    let Some(mut live) = Live::new("bench axes") else { return };
    live.show(&profile("cold-trimix.toml"), (1280, 720));
    let ticks = "[...document.querySelectorAll('#picture svg text')].filter(t => /^[−+]?[0-9.:]+( .*)?$/.test(t.textContent) && !t.closest('[role=slider]') \
                 && t.checkVisibility({ visibilityProperty: true, opacityProperty: true })).map(t => t.textContent + ' at ' + Math.round(t.getBoundingClientRect().y))";
    let before = live.ask(ticks);
    let before: Vec<String> = serde_json::from_value(before).unwrap();
    assert!(before.len() >= 8, "{before:?}");
    let (x, y, _) = live.place("#rail [role=slider]");
    live.pull((x, y), (x - 60.0, y));
    live.frames();
    assert_eq!(live.ask("[bench.isDragging, bench.isStale]"), json!([true, true]));
    let net = live.ask("bench.dive.curve.net");
    let within: Vec<String> = serde_json::from_value(live.ask(ticks)).unwrap();
    // numbers of the dive itself may come and go; those of the axes are among both
    let kept = before.iter().filter(|tick| within.contains(tick)).count();
    assert!(kept * 10 >= before.len() * 8, "{before:?}\n{within:?}");
    // what takes longer says that it is of before
    assert_ne!(live.ask("document.querySelectorAll('.is-old, .is-stale, [data-stale]').length"), 0);
    live.mouse("mouseReleased", (x - 60.0, y));
    live.rest();
    assert_ne!(live.ask("bench.ghost.curve.net"), net);
    assert_eq!(live.ask("document.querySelectorAll('.is-old, .is-stale, [data-stale]').length"), 0);
    assert_ne!(live.ask("bench.whole"), Value::Null);
    live.is_quiet();
}
