//! `lightpoint bench` and `lightpoint handout --live` as files: what is written, what is refused, what stands in the page.
//! What the page does is asked in a browser.

mod behind;

use std::path::Path;

use base64::Engine as _;
use serde_json::Value;
use sha2::{Digest, Sha256};

use crate::command::Cli;
use crate::common::plans;

/// A small plan that is right.
const PLAN: &str = include_str!("../command/plan.toml");
/// A machine without a screen.
const NO_DESKTOP: [(&str, &str); 3] = [("DISPLAY", ""), ("WAYLAND_DISPLAY", ""), ("WSL_DISTRO_NAME", "")];

fn cli(args: &[&str]) -> Cli {
    NO_DESKTOP.iter().fold(Cli::new(args).plan(PLAN), |cli, (name, value)| cli.env(name, value))
}

/// The page's data of a script element, by its name.
fn data<'p>(page: &'p str, kind: &str, id: &str) -> &'p str {
    let open = format!("<script type=\"application/{kind}\" id=\"{id}\">");
    let (_, rest) = page.split_once(&open).unwrap_or_else(|| panic!("no {open}"));
    rest.split_once("</script>").unwrap().0
}

fn begins_with(page: &str) -> Value {
    serde_json::from_str(data(page, "json", "plan")).unwrap()
}

/// The plan of a page, read and run by the program, as JSON.
fn run(name: &str, text: &str, args: &[&str]) -> Value {
    let args = [&["run", name, "--no-files", "--json"], args].concat();
    serde_json::from_str(&Cli::new(&args).file(name, text).ok().stdout).unwrap()
}

#[test]
fn the_page_lies_where_it_was_asked_for() {
    for (args, page) in [
        (&["bench", "plan.toml", "--no-open"][..], "plan-bench.html"),
        (&["bench", "--no-open"], "demonstration-bench.html"),
        (&["bench", "--blank", "--no-open"], "bench.html"),
        (&["bench", "plan.toml", "--no-open", "--out", "new/folder/a.html"], "new/folder/a.html"),
    ] {
        let done = cli(args).ok();
        assert_eq!(done.stdout, format!("wrote {page}\n"));
        let mut files = vec![page.to_owned(), "plan.toml".to_owned()];
        files.sort();
        assert_eq!(done.files(), files);
    }
}

#[test]
fn without_a_desktop_it_says_what_to_do() {
    let done = cli(&["bench", "plan.toml"]).ok();
    assert_eq!(done.stdout, "wrote plan-bench.html\nopen it in a browser: none could be opened from here\n");
}

/// A desktop that opens it, and one that cannot. The opener of the desktop is one of ours.
#[cfg(unix)]
#[test]
fn on_a_desktop_it_is_opened() {
    use std::os::unix::fs::PermissionsExt as _;
    for (code, told) in [(0, "it opens in the browser"), (3, "open it in a browser: none could be opened from here")] {
        let cli = Cli::new(&["bench", "plan.toml"]).plan(PLAN).env("DISPLAY", ":99");
        let desktop = cli.dir().join("desktop");
        std::fs::create_dir(&desktop).unwrap();
        let opener = desktop.join("xdg-open");
        std::fs::write(&opener, format!("#!/bin/sh\necho \"$1\" >{}/opened\nexit {code}\n", desktop.display()))
            .unwrap();
        std::fs::set_permissions(&opener, std::fs::Permissions::from_mode(0o755)).unwrap();
        let page = cli.dir().join("plan-bench.html").canonicalize().unwrap_or(cli.dir().join("plan-bench.html"));
        let done = cli.env("PATH", &desktop.display().to_string()).ok();
        assert_eq!(done.stdout, format!("wrote plan-bench.html\n{told}\n"));
        // by its whole path, whichever folder the opener stands in
        assert_eq!(Path::new(done.read("desktop/opened").trim()).file_name(), page.file_name());
        assert!(Path::new(done.read("desktop/opened").trim()).is_absolute());
    }
}

#[test]
fn it_begins_with_the_plan_as_it_was_asked_for() {
    let page = cli(&["bench", "plan.toml", "--no-open", "--units", "us", "--set", "suit.gas_volume=14 L"]).ok();
    let beginning = begins_with(&page.read("plan-bench.html"));
    let expected = serde_json::json!({
        "state": { "name": "plan.toml", "text": PLAN, "sets": [["suit.gas_volume", "14 L"]], "units": "us" },
        "isBlank": false,
    });
    assert_eq!(beginning, expected);
    let blank = begins_with(&cli(&["bench", "--blank", "--no-open"]).ok().read("bench.html"));
    let expected = serde_json::json!({
        "state": { "name": "plan.toml", "text": "", "sets": [], "units": null },
        "isBlank": true,
    });
    assert_eq!(blank, expected);
    // where nothing is asked for, the units are left to the plan
    let page = cli(&["bench", "plan.toml", "--no-open"]).ok().read("plan-bench.html");
    assert_eq!(begins_with(&page)["state"]["units"], Value::Null);
}

/// The files beside a plan are written into it: alone in another folder it has the same answer, to the last digit.
#[test]
fn the_plan_in_the_page_stands_alone() {
    for plan in plans() {
        let name = plan.file_name().unwrap().to_str().unwrap();
        let path = plan.canonicalize().unwrap();
        let done = cli(&["bench", path.to_str().unwrap(), "--no-open", "--out", "a.html"]).ok();
        let beginning = begins_with(&done.read("a.html"));
        assert_eq!(beginning["state"]["name"], name);
        let alone = run(name, beginning["state"]["text"].as_str().unwrap(), &[]);
        let there: Value = crate::command::json(&["run", path.to_str().unwrap(), "--no-files", "--json"]);
        for key in ["findings", "lead", "run"] {
            assert!(!there[key].is_null(), "{key}");
            assert_eq!(alone[key], there[key], "{name}: {key}");
        }
    }
}

/// What is handed on tells nothing of where it was made. `page/build` holds the engine to the same before it is packed.
#[test]
fn no_place_of_this_machine_is_in_the_page() {
    let path = Path::new("profiles/coastal-cave.toml").canonicalize().unwrap();
    for args in [
        &["bench", path.to_str().unwrap(), "--no-open", "--out", "a.html"][..],
        &["handout", path.to_str().unwrap(), "--live", "--out", "a.html"],
    ] {
        let done = cli(args).ok();
        let page = done.read("a.html");
        let root = env!("CARGO_MANIFEST_DIR");
        for place in [root, path.parent().unwrap().to_str().unwrap(), "/root/", "/home/", ".cargo/registry", ".rustup"]
        {
            assert!(!page.contains(place), "{place} is in the page");
        }
    }
}

/// RFC 1952 says how gzip begins. It is sent by mail and opened on telephones, so it should stay below 0.7 MB,
/// which it does not: 0.92 MB as built now (reading TOML alone is a sixth of the code). It must not grow past what stands.
#[test]
fn the_engine_has_the_size_that_was_set() {
    let page = cli(&["bench", "--blank", "--no-open"]).ok().read("bench.html");
    let packed = base64::engine::general_purpose::STANDARD.decode(data(&page, "octet-stream", "engine")).unwrap();
    assert_eq!(packed[..3], [0x1f, 0x8b, 8]);
    // no name of a file and no time: the same engine is the same bytes
    assert_eq!((packed[3], &packed[4..8]), (0, &[0; 4][..]));
    // about a megabyte, so that the page opens from a message; loop, mishaps and overheads took 79 kB of it
    assert!(packed.len() < 1_080_000, "{} bytes", packed.len());
}

/// Content Security Policy Level 3: nothing is allowed but what is named, and what is named is what is there.
#[test]
fn the_policy_names_what_stands_in_the_page() {
    let page = cli(&["bench", "plan.toml", "--no-open"]).ok().read("plan-bench.html");
    let policy = policy(&page);
    let expected = [
        "default-src 'none'",
        "worker-src blob:",
        "font-src data:",
        "img-src data: blob:",
        "base-uri 'none'",
        "form-action 'none'",
    ];
    for rule in expected {
        assert!(policy.contains(&rule), "{rule}: {policy:?}");
    }
    let rule = |name: &str| *policy.iter().find(|rule| rule.starts_with(name)).unwrap();
    assert_eq!(policy.len(), expected.len() + 2, "{policy:?}");
    let digest =
        |text: &str| format!("'sha256-{}'", base64::engine::general_purpose::STANDARD.encode(Sha256::digest(text)));
    let between = |open: &str, close: &str| page.split_once(open).unwrap().1.split_once(close).unwrap().0.to_owned();
    assert!(rule("script-src").contains(&digest(&between("<script id=\"script\">", "</script>"))));
    assert!(rule("style-src").contains(&digest(&between("<style>", "</style>"))));
    assert!(rule("script-src").ends_with(" 'wasm-unsafe-eval'"));
    assert!(!page.contains("unsafe-inline") && !page.contains("'unsafe-eval'"));
}

fn policy(page: &str) -> Vec<&str> {
    let (_, rest) = page.split_once("Content-Security-Policy\" content=\"").unwrap();
    rest.split_once('"').unwrap().0.split("; ").collect()
}

#[test]
fn the_handout_has_the_bench_behind_it_only_where_that_is_asked_for() {
    let plain = cli(&["handout", "plan.toml"]).ok().read("plan-handout.html");
    let live = cli(&["handout", "plan.toml", "--live", "--set", "suit.gas_volume=14 L"]).ok().read("plan-handout.html");
    assert!(!plain.contains("wasm-unsafe-eval") && !plain.contains("bench"));
    let page: String = serde_json::from_str(data(&live, "json", "bench-page")).unwrap();
    let bench = cli(&["bench", "plan.toml", "--no-open", "--set", "suit.gas_volume=14 L"]).ok().read("plan-bench.html");
    assert_eq!(page, bench, "the same page in a frame");
    // what is allowed in the frame has to be allowed around it
    for rule in policy(&bench) {
        let (name, sources) = rule.split_once(' ').unwrap();
        let around = *policy(&live).iter().find(|rule| rule.starts_with(name)).unwrap();
        assert!(sources.split(' ').all(|source| around.contains(source)), "{rule} in {around}");
    }
}

#[test]
fn bad_input_is_told_as_always_and_nothing_is_written() {
    let refused = |args: &[&str], words: &str| {
        let told = cli(args).refused();
        assert!(told.contains(words), "{args:?}: {told}");
    };
    refused(&["bench", "none.toml"], "none.toml");
    refused(&["bench", "plan.toml", "--set", "suit.gas_volum=14 L"], "suit.gas_volum");
    refused(&["bench", "plan.toml", "--set", "suit.gas_volume=14"], "has no unit");
    refused(&["bench", "plan.toml", "--no-open", "--out", "plan.toml"], "is not overwritten");
    refused(
        &["bench", "plan.toml", "--no-open", "--set", "suit.gas_volume=14 L", "--out", "plan.toml"],
        "is not overwritten",
    );
    refused(
        &["handout", "plan.toml", "--live", "--set", "suit.gas_volume=14 L", "--out", "plan.toml"],
        "is not overwritten",
    );
    refused(&["bench", "plan.toml", "--no-open", "--out", ".."], "name of a file");
    refused(&["bench", "plan.toml", "--blank"], "cannot be used with");
    refused(&["bench", "--blank", "--set", "lead=3 kg"], "cannot be used with");
    refused(&["bench", "plan.toml", "--units", "imperial"], "imperial");
    let broken = cli(&["bench", "broken.toml", "--no-open"])
        .file("broken.toml", PLAN.replace("[dive]", "[dive]\nlast_stop = \"3 kg\""))
        .refused();
    let run = cli(&["run", "broken.toml", "--no-files"])
        .file("broken.toml", PLAN.replace("[dive]", "[dive]\nlast_stop = \"3 kg\""))
        .refused();
    assert_eq!(broken, run, "the same words as everywhere");
}
