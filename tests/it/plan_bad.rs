//! One bad plan per problem code, with the whole text that a user gets kept as a snapshot.

use std::path::{Path, PathBuf};

use lightpoint::internals::plan::{Plan, ProblemCode, Problems};

fn problems_of(path: &Path) -> Problems {
    match Plan::load(path).and_then(|plan| plan.build().map(drop)) {
        Err(problems) => problems,
        Ok(()) => panic!("{} should not build", path.display()),
    }
}

fn bad_plans() -> Vec<PathBuf> {
    // relative, so that the messages are the same on every machine; tests run in the package's root
    let mut found: Vec<PathBuf> =
        std::fs::read_dir("tests/bad_plans").unwrap().map(|entry| entry.unwrap().path()).collect();
    found.retain(|path| path.extension().is_some_and(|extension| extension == "toml"));
    found.sort();
    found
}

#[test]
fn messages() {
    for path in bad_plans() {
        let name = path.file_stem().unwrap().to_string_lossy().into_owned();
        insta::assert_snapshot!(name, problems_of(&path).to_string());
    }
}

#[test]
fn every_code_is_reached() {
    // made by the tests below, and one that only a fault of the program can reach
    let elsewhere = [ProblemCode::TooLarge, ProblemCode::BadSet, ProblemCode::Refused];
    let mut reached: Vec<ProblemCode> = Vec::new();
    for path in bad_plans() {
        let name = path.file_stem().unwrap().to_string_lossy().into_owned();
        let problems = problems_of(&path);
        assert!(!problems.list.is_empty());
        for code in ProblemCode::ALL.iter().filter(|code| code.as_str() == name) {
            assert!(problems.list.iter().any(|problem| problem.code == *code), "{name}");
        }
        reached.extend(problems.list.iter().map(|problem| problem.code));
    }
    for code in ProblemCode::ALL {
        assert!(reached.contains(code) != elsewhere.contains(code), "{code}");
    }
}

#[test]
fn codes_are_stable_kebab_case_and_unique() {
    let texts: Vec<&str> = ProblemCode::ALL.iter().map(|code| code.as_str()).collect();
    for (i, text) in texts.iter().enumerate() {
        assert!(text.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-'), "{text}");
        assert!(!texts[..i].contains(text), "{text}");
    }
}

#[test]
fn a_huge_file_is_refused_with_its_size() {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join("huge.toml");
    let file = std::fs::File::create(&path).unwrap();
    file.set_len(100_000_000).unwrap(); // sparse: nothing is written
    let problems = Plan::load(&path).unwrap_err();
    std::fs::remove_file(&path).unwrap();
    assert_eq!(problems.list[0].code, ProblemCode::TooLarge);
    assert!(problems.to_string().contains("100.0 MB, more than the 2 MB"), "{problems}");
}

#[test]
fn a_plan_that_is_missing_is_told() {
    let problems = Plan::load("no/such/plan.toml").unwrap_err();
    assert_eq!(problems.list[0].code, ProblemCode::Unreadable);
    assert!(problems.to_string().starts_with("no/such/plan.toml: cannot be read"), "{problems}");
    // a folder is no plan either
    assert!(Plan::load("tests").is_err());
}

#[test]
fn a_set_that_names_nothing_is_told() {
    let set = |key: &str, value: &str| {
        let sets = [(key.to_owned(), value.to_owned())];
        Plan::demonstration(&sets).and_then(|plan| plan.build().map(drop)).unwrap_err()
    };
    let problems = set("cylinder.bakc.fill", "200 bar");
    assert_eq!(problems.list[0].code, ProblemCode::BadSet);
    insta::assert_snapshot!("set_unknown_name", problems.to_string());
    insta::assert_snapshot!("set_unknown_key", set("suit.gasvolume", "12 L").to_string());
    insta::assert_snapshot!("set_bare_number", set("suit.gas_volume", "12").to_string());
}

#[test]
fn key_paths_point_at_their_values() {
    let text = "[site]\nwater = \"sea\"\ntemperature = \"100 °C\"\n\n[[part]]\nname = \"a\"\nmass = \"1 kg\"\nvolume = \"1 L\"\n\n[[part]]\nname = \"b\"\nmass = \"-1 kg\"\nvolume = \"1 L\"\n";
    let problems = Plan::parse(text, "plan.toml", "").unwrap().build().unwrap_err();
    let at = |path: &str| {
        let problem = problems.list.iter().find(|problem| problem.path == path).unwrap_or_else(|| panic!("{path}"));
        let span = problem.span.clone();
        (&text[span.clone()], problems.sources[0].line_column(span.start))
    };
    assert_eq!(at("site.temperature"), ("\"100 °C\"", (3, 15)));
    assert_eq!(at("part[2].mass"), ("\"-1 kg\"", (12, 8)));
}
