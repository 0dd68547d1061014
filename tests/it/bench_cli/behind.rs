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
    // what is read out comes a moment after what is shown
    wait(browser, "document.querySelector('main [aria-live]').textContent !== ''");
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

/// Nothing on the console, and nothing asked of a network. A worker made of the page's own script has an address that
/// begins with `blob:` and leads nowhere but into the page.
fn is_quiet(browser: &Browser, when: &str) {
    let loud: Vec<&String> = browser.heard.iter().filter(|heard| !heard.starts_with("request: blob:")).collect();
    assert!(loud.is_empty(), "{when}: {loud:?}");
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
    is_quiet(&browser, "opened");
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
