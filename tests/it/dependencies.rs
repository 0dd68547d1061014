//! What the program is built from: licences, sources and duplicates, by the rules of `deny.toml`.
//!
//! `cargo deny check bans licenses sources` reads the same file, but it is 211 crates to build, nearly as many as the
//! program itself. Only what the machine at hand builds is looked at, so that nothing has to be fetched: crates for other
//! systems are left to `cargo deny`.

use std::collections::{BTreeMap, BTreeSet};
use std::process::Command;

use serde_json::Value;
use spdx::{Expression, LicenseReq, ParseMode};

fn output(program: &str, args: &[&str]) -> String {
    let output = Command::new(program).args(args).current_dir(env!("CARGO_MANIFEST_DIR")).output().expect(program);
    assert!(output.status.success(), "{program} {args:?}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).expect("UTF-8")
}

/// All packages that are built for this machine, tests and tools of the build included, our own left out. `cargo metadata`
/// lists optional crates of crates too, so what is built comes from `cargo tree`.
fn packages() -> Vec<Value> {
    let about = output("rustc", &["-vV"]);
    let host = about.lines().find_map(|line| line.strip_prefix("host: ")).expect("a host");
    let (cargo, here) = (env!("CARGO"), ["--offline", "--locked", "--all-features"]);
    let tree = output(cargo, &[&["tree", "--workspace", "--prefix", "none", "--format", "{p}"], &here[..]].concat());
    let built: BTreeSet<(&str, &str)> =
        tree.lines().filter_map(|line| line.split_once(" v")).map(|(name, rest)| (name, first_word(rest))).collect();
    let args = [&["metadata", "--format-version", "1", "--filter-platform", host], &here[..]].concat();
    let metadata: Value = serde_json::from_str(&output(cargo, &args)).expect("JSON");
    let ours = metadata["workspace_members"].as_array().expect("a list");
    let packages = metadata["packages"].as_array().expect("a list").iter();
    let found: Vec<Value> = packages
        .filter(|package| built.contains(&(text(package, "name"), text(package, "version"))))
        .filter(|package| !ours.contains(&package["id"]))
        .cloned()
        .collect();
    assert!(found.len() > 50, "a tree of dependencies");
    found
}

fn first_word(text: &str) -> &str {
    text.split(' ').next().unwrap_or_default()
}

fn rules() -> toml::Table {
    let text = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/deny.toml")).expect("deny.toml");
    text.parse().expect("TOML")
}

fn text<'a>(value: &'a Value, key: &str) -> &'a str {
    value[key].as_str().unwrap_or_default()
}

/// A list of strings in the rules.
fn words(of: &toml::Value) -> Vec<&str> {
    of.as_array().expect("a list").iter().map(|word| word.as_str().expect("a text")).collect()
}

/// Whether a licence expression can be met with these licences.
fn is_met(expression: &str, allowed: &[&str]) -> bool {
    let expression = Expression::parse_mode(expression, ParseMode::LAX).unwrap_or_else(|error| panic!("{error}"));
    expression.evaluate(|required: &LicenseReq| allowed.contains(&required.to_string().as_str()))
}

#[test]
fn a_licence_that_is_not_allowed_is_found() {
    assert!(is_met("MIT/Apache-2.0", &["Apache-2.0"]) && is_met("MIT OR GPL-3.0-only", &["MIT"]));
    assert!(is_met("Apache-2.0 WITH LLVM-exception", &["Apache-2.0 WITH LLVM-exception"]));
    assert!(!is_met("Apache-2.0 WITH LLVM-exception", &["Apache-2.0"]));
    assert!(!is_met("GPL-3.0-only", &["MIT"]) && !is_met("MIT AND GPL-3.0-only", &["MIT"]));
}

#[test]
fn licences_are_allowed() {
    let rules = rules();
    let licences = rules["licenses"].as_table().expect("a table");
    let list = |key: &str| licences[key].as_array().expect("a list");
    let of =
        |entries: &'static str, name: &str| list(entries).iter().find(|entry| entry["crate"].as_str() == Some(name));
    let mut wrong = vec![];
    for package in packages() {
        let name = text(&package, "name");
        let mut allowed = words(&licences["allow"]);
        if let Some(exception) = of("exceptions", name) {
            allowed.extend(words(&exception["allow"]));
        }
        let clarified = of("clarify", name).map(|entry| entry["expression"].as_str().expect("a text"));
        let expression = clarified.unwrap_or(text(&package, "license"));
        if expression.is_empty() || !is_met(expression, &allowed) {
            wrong.push(format!("{name} {}: \"{expression}\"", text(&package, "version")));
        }
    }
    assert!(wrong.is_empty(), "licences that are not in deny.toml: {wrong:#?}");
}

/// What is clarified by hand is still the text that was read: its checksum is the one in the rules.
#[test]
fn clarified_licences_are_as_they_were_read() {
    let rules = rules();
    for entry in rules["licenses"]["clarify"].as_array().expect("a list") {
        let name = entry["crate"].as_str().expect("a name");
        let packages = packages();
        let package = packages.iter().find(|package| text(package, "name") == name).unwrap_or_else(|| {
            panic!("{name} is clarified in deny.toml and no longer used");
        });
        assert_eq!(text(package, "license"), "", "{name} has a licence field now: take it out of deny.toml");
        let folder = std::path::Path::new(text(package, "manifest_path")).parent().expect("a folder");
        for file in entry["license-files"].as_array().expect("a list") {
            let bytes = std::fs::read(folder.join(file["path"].as_str().expect("a path"))).expect("the licence");
            let found = i64::from(twox_hash::XxHash32::oneshot(0, &bytes));
            assert_eq!(found, file["hash"].as_integer().expect("a number"), "{name}: {found:#x}");
        }
    }
}

/// Everything comes from the default registry: nothing from a repository or a folder.
#[test]
fn sources_are_the_registry() {
    assert_eq!(rules()["sources"]["unknown-registry"].as_str(), Some("deny"));
    assert_eq!(rules()["sources"]["unknown-git"].as_str(), Some("deny"));
    let mut sources: Vec<String> = packages().iter().map(|package| text(package, "source").to_owned()).collect();
    sources.sort();
    sources.dedup();
    assert!(sources.len() == 1 && sources[0].starts_with("registry+"), "{sources:?}");
}

/// One version of each, but for those whose reason stands in the rules.
#[test]
fn duplicates_are_known() {
    let rules = rules();
    let mut versions: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for package in packages() {
        versions.entry(text(&package, "name").into()).or_default().push(text(&package, "version").into());
    }
    let skipped: Vec<(&str, &str)> = rules["bans"]["skip"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|entry| entry["crate"].as_str().and_then(|of| of.split_once('@')).expect("name@version"))
        .collect();
    let is = |version: &String, at: &str| version.split('+').next() == Some(at);
    for (name, at) in &skipped {
        let list = versions.get(*name).map_or(&[][..], Vec::as_slice);
        let needed = list.len() > 1 && list.iter().any(|version| is(version, at));
        assert!(needed, "{name}@{at} is skipped in deny.toml for nothing: {list:?} are built");
    }
    let mut wrong = vec![];
    for (name, list) in &mut versions {
        list.retain(|version| !skipped.iter().any(|(of, at)| of == name && is(version, at)));
        if list.len() != 1 {
            wrong.push(format!("{name}: {list:?} beside those in deny.toml"));
        }
    }
    assert!(wrong.is_empty(), "more than one version: {wrong:#?}");
}
