//! Every command fits the width there is: 60, 80, 100 and 120 columns, and 80 in a pipe; no word and no number is split.

use crate::command::Cli;

/// What each command prints about plans of the repository.
fn commands() -> Vec<Vec<String>> {
    let plan =
        |name: &str| std::fs::canonicalize(format!("profiles/{name}")).expect("a plan").to_string_lossy().into_owned();
    let (trimix, wet, cave) = (plan("cold-trimix.toml"), plan("single-wetsuit.toml"), plan("coastal-cave.toml"));
    let checks = plan("single-wetsuit-checks.csv");
    let checked = plan("../tests/command/checked.toml");
    let words = |words: &[&str]| words.iter().map(|word| (*word).to_owned()).collect();
    vec![
        words(&["run", &trimix, "--no-files"]),
        words(&["run", &cave, "--no-files"]),
        words(&["ballast", &trimix, "--explain"]),
        words(&["ballast", &wet]),
        words(&["compare", &trimix, &wet, &cave, "--no-files"]),
        words(&["compare", &trimix, &wet, &cave, &plan("mountain-lake.toml"), "--no-files"]),
        words(&["compare", "--list", &trimix, &wet, &cave, "--no-files"]),
        words(&["ballast", &cave, "--paper"]),
        words(&["ballast", &trimix, "--paper", "--units", "us"]),
        words(&["compare", &trimix, "--sweep", "suit.gas_volume=6 L..16 L/5", "--no-files"]),
        words(&["doubt", &wet, "--no-files", "--details"]),
        words(&["doubt", &wet, "--draw", "3"]),
        words(&["calibrate", &wet, &checks, "--no-files", "--details"]),
        words(&["check", &trimix]),
        words(&["check", &checked]),
        words(&["ballast", &checked]),
        words(&["run", &checked, "--no-files", "--units", "us"]),
        words(&["cylinders"]),
        words(&["cylinders", "--units", "us"]),
        words(&["class", &plan("class.toml")]),
        words(&["class", &plan("class.toml"), "--no-trials", "--own", "9 x 2 kg, 3 x 1 kg"]),
        words(&["run", &trimix, "--no-files", "--mishaps"]),
    ]
}

fn printed(words: &[String], columns: Option<&str>) -> String {
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    let cli = Cli::new(&words);
    columns.map_or(cli, |columns| Cli::new(&words).env("COLUMNS", columns)).ok().stdout
}

#[test]
fn every_command_fits() {
    for words in commands() {
        for (columns, width) in [(Some("60"), 60), (Some("80"), 80), (None, 80), (Some("100"), 100), (Some("120"), 120)]
        {
            let text = printed(&words, columns);
            for line in text.lines() {
                let long = line.chars().count();
                assert!(long <= width, "{words:?} at {width}: {long} characters\n{line}");
            }
        }
    }
}

/// The words and the numbers of a text; rules of tables are none.
fn tokens(text: &str) -> std::collections::BTreeSet<&str> {
    text.split_whitespace().filter(|token| !token.starts_with('─')).collect()
}

#[test]
fn no_word_and_no_number_is_split() {
    for words in commands() {
        let wide = printed(&words, Some("160"));
        let narrow = printed(&words, Some("60"));
        // what is left out is said below a table, whose names are words of its head
        let of_wide = tokens(&wide);
        let own = ["left", "out,", "because", "the", "lines", "are", "short:"];
        for token in tokens(&narrow) {
            let bare = token.trim_end_matches(';');
            let is_known = of_wide.contains(token) || of_wide.contains(bare) || own.contains(&token);
            assert!(is_known, "{words:?}: \"{token}\" is not a word of\n{wide}");
        }
    }
}

#[test]
fn snapshots_at_three_widths() {
    let all = commands();
    for columns in ["60", "80", "120"] {
        // the folder of the checkout is no part of what is printed here
        insta::assert_snapshot!(format!("run_{columns}"), printed(&all[0], Some(columns)));
        insta::assert_snapshot!(format!("ballast_{columns}"), printed(&all[2], Some(columns)));
        insta::assert_snapshot!(
            format!("cylinders_{columns}"),
            printed(all.iter().find(|words| words[0] == "cylinders").expect("cylinders"), Some(columns))
        );
    }
}
