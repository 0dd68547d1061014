//! The bench behind a handout, in a real browser.

use crate::browser::{self, Browser};
use crate::common::plans;

use super::cli;

/// A handout with a bench behind it, opened in a window.
fn open(browser: &mut Browser, args: &[&str]) -> tempfile::TempDir {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("a.html");
    let plan = plans()[0].canonicalize().unwrap();
    let fixed = ["handout", plan.to_str().unwrap(), "--out", path.to_str().unwrap()];
    cli(&[&fixed, args].concat()).ok();
    browser.open(&path, 1280, 720);
    dir
}

/// Until an expression is true; a busy machine takes its time.
fn wait(browser: &mut Browser, until: &str) {
    let asked = browser.ask(&format!(
        "new Promise(done => {{ const end = Date.now() + 30000; const look = () => ({until}) ? done(true) \
         : Date.now() > end ? done(false) : setTimeout(look, 20); look(); }})"
    ));
    assert_eq!(asked, true, "{until}");
}

#[test]
fn a_button_opens_it_and_the_sheet_is_as_before() {
    let Some(mut browser) = browser::browser("a_button_opens_it_and_the_sheet_is_as_before") else { return };
    let _plain = open(&mut browser, &[]);
    let (pages, words) = (browser.printed_pages(), browser.text("main"));
    let _live = open(&mut browser, &["--live"]);
    assert_eq!(browser.text("main"), words);
    assert_eq!(browser.printed_pages(), pages, "nothing of the bench is on paper");
    assert_eq!(browser.ask("document.getElementById('bench-frame').srcdoc"), "", "not made before it is asked for");

    let (x, y, _) = browser.place("#bench-open");
    browser.click(x, y);
    let frame = "document.getElementById('bench-frame').contentDocument";
    wait(&mut browser, &format!("{frame}?.getElementById('bench')?.dataset.ready !== undefined"));
    // it has the whole window, and its own style
    let size =
        browser.ask("(b => [b.width, innerWidth])(document.getElementById('bench-window').getBoundingClientRect())");
    assert_eq!(size[0], size[1]);
    assert_eq!(browser.ask(&format!("{frame}.styleSheets.length")), 1);
    assert_eq!(browser.heard, Vec::<String>::new());
    assert_eq!(browser.printed_pages(), pages, "open or not");

    // Escape, or the button: and the sheet is there again, with the button in focus
    browser.press("Escape", 27);
    wait(&mut browser, "!document.getElementById('bench-window').open");
    assert_eq!(browser.ask("document.activeElement.id"), "bench-open");
    browser.click(x, y);
    wait(&mut browser, "document.getElementById('bench-window').open");
    let (x, y, _) = browser.place("#bench-close");
    browser.click(x, y);
    wait(&mut browser, "!document.getElementById('bench-window').open");
}

/// The handout in a frame of the bench: its own style and its slider, under both policies.
#[test]
fn a_handout_in_a_frame_has_its_style_and_its_slider() {
    let Some(mut browser) = browser::browser("a_handout_in_a_frame_has_its_style_and_its_slider") else { return };
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("a.html");
    cli(&["bench", "--no-open", "--out", path.to_str().unwrap()]).ok();
    browser.open(&path, 1280, 720);
    wait(&mut browser, "document.getElementById('bench').dataset.ready !== undefined");
    for paper in ["a4", "letter"] {
        let seen = browser.ask(&format!(
            "(async () => {{ \
               const html = (await bench.askSlow('handout', {{ date: '2031-05-24', paper: '{paper}' }})).ok.html; \
               const frame = document.createElement('iframe'); frame.srcdoc = html; \
               await new Promise(done => {{ frame.onload = done; document.body.append(frame); }}); \
               const page = frame.contentDocument; await page.fonts.ready; \
               return [page.styleSheets[0].cssRules.length > 50, page.getElementById('moment').hidden, \
                       Array.from(page.fonts, font => font.status).sort()[0]]; }})()"
        ));
        // the slider's panel is hidden until the script runs; a face that is not used is not loaded
        assert_eq!(seen[0], true, "{paper}: the style");
        assert_eq!(seen[1], false, "{paper}: the script");
        assert_eq!(seen[2], "loaded", "{paper}: the typeface");
        assert_eq!(browser.heard, Vec::<String>::new(), "{paper}");
    }
}
