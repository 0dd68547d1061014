//! The rules of the house, held on the syntax tree of `src`. `house/rules.rs` has them as data; each rule's own file ends in
//! planted offences that it must catch.

mod habits;
mod imports;
mod numbers;
mod page;
mod rules;
mod source;
mod sums;
mod words;

use std::path::Path;

use rules::{ALLOWANCES, Allowance};
use source::{Offence, Source};

/// Holds one rule over all files, less what is allowed for now. An allowance must be used up, so that the table shrinks with
/// the work.
#[track_caller]
fn hold(rule: &str, check: impl Fn(&Source) -> Vec<Offence>) {
    let found: Vec<Offence> = source::all().values().flat_map(check).collect();
    assert!(found.iter().all(|offence| offence.rule == rule));
    let allowances: Vec<&Allowance> = ALLOWANCES.iter().filter(|allowance| allowance.rule == rule).collect();
    let told = judge(&found, &allowances);
    assert!(told.is_empty(), "{} in all:\n{}", told.len(), told.join("\n"));
}

fn judge(found: &[Offence], allowances: &[&Allowance]) -> Vec<String> {
    let mut used = vec![0; allowances.len()];
    let mut told = vec![];
    for offence in found {
        let place = |allowance: &Allowance| match allowance.place.ends_with('/') {
            true => offence.file.starts_with(allowance.place),
            false => offence.file == allowance.place,
        };
        let covers = |allowance: &&Allowance| place(allowance) && offence.what.contains(allowance.what);
        match allowances.iter().position(covers) {
            Some(at) => used[at] += 1,
            None => told.push(format!("{}:{}: {}", offence.file, offence.line, offence.what)),
        }
    }
    for (allowance, used) in allowances.iter().zip(used) {
        let Allowance { place, what, times, since, why, .. } = allowance;
        match used.cmp(times) {
            std::cmp::Ordering::Greater => {
                told.push(format!("{place} ({what}): {used} and not the {times} of {since}: {why}"))
            }
            std::cmp::Ordering::Less => {
                told.push(format!("{place} ({what}): only {used} of {times} are left: mend rules.rs"))
            }
            std::cmp::Ordering::Equal => {}
        }
    }
    told
}

#[test]
fn imports_go_one_way() {
    let root = imports::Root::of(&source::all());
    hold("imports", |source| imports::edges(source, &root));
}

/// Every feature on: more names than that nobody reads through, and each is a promise.
#[test]
fn the_front_page_can_be_read() {
    let count = imports::Root::of(&source::all()).count();
    assert!((60..=95).contains(&count), "{count} names on the front page");
}

#[test]
fn printing_and_files_have_their_places() {
    hold("habits", habits::offences);
}

#[test]
fn public_numbers_say_their_unit() {
    hold("numbers", numbers::offences);
}

#[test]
fn the_word_is_not_used() {
    hold("words", words::offences);
}

/// What is no Rust and goes to the reader all the same: plans, styles, scripts, lists.
#[test]
fn the_word_is_not_used_in_other_files() {
    fn walk(dir: &Path, wrong: &mut Vec<String>) {
        for entry in std::fs::read_dir(dir).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                walk(&path, wrong);
            } else if path.extension().is_some_and(|extension| extension != "rs") {
                let text = std::fs::read_to_string(&path).unwrap();
                wrong.extend(words::word_in(&text).map(|word| format!("{}: {word}", path.display())));
            }
        }
    }
    let mut wrong = vec![];
    ["src", "data", "profiles"].iter().for_each(|folder| walk(Path::new(folder), &mut wrong));
    assert!(wrong.is_empty(), "{wrong:?}");
}

#[test]
fn one_sum() {
    hold("sums", sums::offences);
}

#[test]
fn an_allowance_covers_so_much_and_no_more() {
    let offence = |file: &str, what: &str| Offence { rule: "sums", file: file.into(), line: 1, what: what.into() };
    let allow = |place, what, times| Allowance { rule: "sums", place, what, times, since: "", why: "" };
    let told = |found: &[Offence], allowance: Allowance| judge(found, &[&allowance]).len();
    let found = [offence("sim/balance.rs", "a"), offence("sim/balance.rs", "b")];
    assert_eq!(told(&found, allow("sim/balance.rs", "", 2)), 0);
    assert_eq!(told(&found, allow("sim/", "", 2)), 0);
    assert_eq!(told(&found, allow("sim/balance.rs", "", 1)), 1, "too many");
    assert_eq!(told(&found, allow("sim/balance.rs", "", 3)), 1, "a stale allowance");
    assert_eq!(told(&found, allow("sim/balance.rs", "a", 1)), 1, "one is not covered");
    assert_eq!(told(&found, allow("plan/", "", 0)), 2, "another place");
}

/// Every allowance says when and why.
#[test]
fn allowances_have_a_date_and_a_reason() {
    for Allowance { place, since, why, times, .. } in ALLOWANCES {
        assert!(since.len() == 10 && why.len() > 10 && *times > 0, "{place}");
        let there = Path::new("src").join(place);
        assert!(there.exists(), "{place} is gone: mend rules.rs");
    }
}

/// Every problem code stands in the developers' guide.
#[test]
fn problem_codes_are_explained() {
    let guide = std::fs::read_to_string("DEVELOPERS.md").unwrap();
    let codes = lightpoint::internals::plan::ProblemCode::ALL.iter().map(|code| code.as_str());
    let missing: Vec<&str> = codes.filter(|code| !guide.contains(&format!("| `{code}` |"))).collect();
    assert!(missing.is_empty(), "not in DEVELOPERS.md: {missing:?}");
}
