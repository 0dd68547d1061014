//! The command line as a user sees it. Texts are kept as snapshots, numbers are compared within a tolerance.

mod bad_input;

use crate::command::{Cli, without_numbers};
use clap::CommandFactory as _;
use lightpoint::internals::cli::Args;
use serde_json::Value;

/// A small plan that is right.
const PLAN: &str = include_str!("../command/plan.toml");

fn json(text: &str) -> Value {
    serde_json::from_str(text).unwrap_or_else(|error| panic!("{error}: {text}"))
}

mod help {
    use super::*;

    #[test]
    fn of_the_program_and_of_every_command() {
        insta::assert_snapshot!("help", Cli::new(&["--help"]).ok().stdout);
        for command in Args::command().get_subcommands() {
            let name = command.get_name();
            insta::assert_snapshot!(format!("help-{name}"), Cli::new(&[name, "--help"]).ok().stdout);
        }
    }

    #[test]
    fn lines_are_at_most_a_hundred_characters_wide() {
        for args in [vec!["--help"], vec!["run", "--help"], vec!["ballast", "--help"], vec!["new", "--help"]] {
            let text = Cli::new(&args).ok().stdout;
            let widest = text.lines().map(|line| line.chars().count()).max().unwrap();
            assert!(widest <= 100, "{args:?}: {widest}");
        }
    }

    #[test]
    fn version() {
        assert_eq!(Cli::new(&["--version"]).ok().stdout, format!("lightpoint {}\n", env!("CARGO_PKG_VERSION")));
    }

    #[test]
    fn without_a_command_the_help_is_shown_as_an_error() {
        let done = Cli::new(&[]).run();
        assert_eq!((done.code, done.stdout.as_str()), (2, ""));
        assert!(done.stderr.contains("Usage: lightpoint <COMMAND>"));
    }
}

mod run {
    use super::*;

    #[test]
    fn the_demonstration_without_files() {
        let done = Cli::new(&["run", "--no-files"]).ok();
        assert!(done.files().is_empty());
        insta::assert_snapshot!(without_numbers(&done.stdout));
    }

    #[test]
    fn the_demonstration_with_its_files() {
        let done = Cli::new(&["run"]).ok();
        let said: Vec<&str> = done.stdout.lines().filter_map(|line| line.strip_prefix("wrote ")).collect();
        let mut sorted = said.clone();
        sorted.sort_unstable();
        assert_eq!(sorted, done.files(), "what is said is what is there");
        insta::assert_snapshot!(said.join("\n"));
        assert!(done.read("lightpoint-out/demonstration/dive.svg").starts_with("<svg"));
        assert_eq!(json(&done.read("lightpoint-out/demonstration/result.json"))["program"], "lightpoint");
        // a row for every second, the start and the header
        let result = json(&done.read("lightpoint-out/demonstration/result.json"));
        let seconds = result["run"]["duration_s"].as_f64().unwrap();
        let series = done.read("lightpoint-out/demonstration/series.csv");
        assert!(series.lines().filter(|line| !line.starts_with('#')).count() as f64 >= seconds + 2.0);
    }

    #[test]
    fn a_plan_goes_into_a_folder_of_its_name_or_the_one_asked_for() {
        let done = Cli::new(&["run", "plan.toml", "--figure", "balance", "--figure", "balance"]).plan(PLAN).ok();
        let made = ["balance.svg", "result.json", "series.csv"];
        let mut expected: Vec<String> = made.iter().map(|name| format!("lightpoint-out/plan/{name}")).collect();
        expected.push("plan.toml".into());
        assert_eq!(done.files(), expected);
        // a PNG only where it is asked for
        let done = Cli::new(&["run", "plan.toml", "--figure", "balance", "--png"]).plan(PLAN).ok();
        expected.insert(0, "lightpoint-out/plan/balance.png".into());
        assert_eq!(done.files(), expected);
        let done = Cli::new(&["run", "plan.toml", "--out", "a/b", "--figure", "gas"]).plan(PLAN).ok();
        assert!(done.files().contains(&"a/b/gas.svg".to_owned()), "{:?}", done.files());
    }

    #[test]
    fn every_thins_the_series_out() {
        let rows = |args: &[&str]| {
            let done = Cli::new(args).plan(PLAN).ok();
            done.read("o/series.csv").lines().filter(|line| !line.starts_with('#')).count()
        };
        let all = rows(&["run", "plan.toml", "--out", "o"]);
        let some = rows(&["run", "plan.toml", "--out", "o", "--every", "60"]);
        // the ends of legs are kept as well, so that nothing turns in between
        assert!(some * 10 < all && some >= all / 60, "{some} of {all}");
    }

    #[test]
    fn the_summary_tells_what_the_result_holds() {
        // exact by definition: 1 lb = 0.45359237 kg (international yard and pound agreement, 1959)
        for (units, unit, in_kg) in [("metric", "kg", 1.0), ("us", "lb", 0.453_592_37)] {
            let text = Cli::new(&["run", "--no-files", "--units", units]).ok().stdout;
            let result = json(&Cli::new(&["run", "--no-files", "--units", units, "--json"]).ok().stdout);
            for (label, key) in [("Heavy point", "heavy_point"), ("Light point", "light_point")] {
                let line = text.lines().find(|line| line.contains(label)).unwrap();
                let shown = line.split_whitespace().nth_back_to(unit);
                let held = result["findings"][key]["net_wing_empty_kg"].as_f64().unwrap() / in_kg;
                // shown with one decimal
                assert!((shown - held).abs() <= 0.05 + 1e-9, "{label}: {shown} {held}");
            }
        }
    }

    /// The number before a unit.
    trait BeforeUnit {
        fn nth_back_to(self, unit: &str) -> f64;
    }

    impl<'t, I: Iterator<Item = &'t str>> BeforeUnit for I {
        fn nth_back_to(self, unit: &str) -> f64 {
            let words: Vec<&str> = self.collect();
            let at = words.iter().position(|word| *word == unit).unwrap();
            words[at - 1].replace('−', "-").parse().unwrap()
        }
    }

    #[test]
    fn json_is_one_value_and_nothing_else() {
        for args in [
            vec!["run", "--json"],
            vec!["run", "plan.toml", "--json", "--no-files", "--units", "us"],
            vec!["ballast", "plan.toml", "--json"],
        ] {
            let done = Cli::new(&args).plan(PLAN).ok();
            assert!(json(&done.stdout).is_object(), "{args:?}");
            assert!(done.stdout.ends_with("}\n"), "{args:?}");
        }
        // what is printed is what is written
        let done = Cli::new(&["run", "plan.toml", "--json", "--out", "o"]).plan(PLAN).ok();
        assert_eq!(done.stdout, done.read("o/result.json"));
    }

    #[test]
    fn strict_fails_on_findings_only() {
        let strict = ["run", "plan.toml", "--no-files", "--strict"];
        assert_eq!(Cli::new(&strict).plan(PLAN).run().code, 0);
        let heavy = [&strict[..], &["--set", "ballast.lead.mass=20 kg"]].concat();
        let done = Cli::new(&heavy).plan(PLAN).run();
        assert_eq!((done.code, done.stderr.as_str()), (1, ""));
        assert!(done.stdout.contains("! Failed wing"), "{}", done.stdout);
        let light = [&strict[..], &["--set", "ballast.lead.mass=100 g"]].concat();
        assert_eq!(Cli::new(&light).plan(PLAN).run().code, 1);
        // the same without --strict is no failure
        Cli::new(&["run", "plan.toml", "--no-files", "--set", "ballast.lead.mass=20 kg"]).plan(PLAN).ok();
    }

    #[test]
    fn changes_are_told_and_the_file_stays() {
        let done = Cli::new(&["run", "plan.toml", "--no-files", "--set", "suit.gas_volume=\"7 L\""]).plan(PLAN).ok();
        assert!(done.stdout.contains("changed for this run only: suit.gas_volume = \"7 L\""), "{}", done.stdout);
        assert_eq!(done.read("plan.toml"), PLAN);
    }

    #[test]
    fn an_input_is_not_overwritten() {
        let plan = PLAN.split("[[dive.leg]]").next().unwrap().replace("[dive]", "[dive]\nprofile = \"series.csv\"");
        let profile = "time,depth_m,breathe\n0:00,0,back\n2:00,18,\n20:00,18,\n22:00,5,\n25:00,5,\n27:00,0,\n";
        let cli = Cli::new(&["run", "plan.toml", "--out", "."]).plan(&plan).file("series.csv", profile);
        insta::assert_snapshot!(cli.refused());
        // elsewhere it is no obstacle
        let done = Cli::new(&["run", "plan.toml", "--out", "o"]).plan(&plan).file("series.csv", profile).ok();
        assert_eq!(done.read("series.csv"), profile);
    }
}

#[test]
fn pipes_and_no_color_get_no_codes() {
    let escape = '\u{1b}';
    for args in [vec!["run", "--no-files"], vec!["ballast", "plan.toml"], vec!["check", "plan.toml"], vec!["--help"]] {
        let done = Cli::new(&args).plan(PLAN).ok();
        assert!(!done.stdout.contains(escape), "{args:?}");
        let done = Cli::new(&args).plan(PLAN).env("NO_COLOR", "1").ok();
        assert!(!done.stdout.contains(escape), "{args:?}");
    }
    let problem = Cli::new(&["run", "plan.toml", "--set", "suit.gas_volume=3"]).plan(PLAN).refused();
    assert!(!problem.contains(escape), "{problem}");
    // asked for, they come
    let done = Cli::new(&["run", "--no-files"]).env("CLICOLOR_FORCE", "1").ok();
    assert!(done.stdout.contains(escape));
}

#[test]
fn check_lists_every_figure_and_computes_nothing() {
    let done = Cli::new(&["check", "plan.toml"]).plan(PLAN).ok();
    assert_eq!(done.files(), ["plan.toml"]);
    insta::assert_snapshot!(done.stdout.replace(env!("CARGO_PKG_VERSION"), "VERSION"));
}

mod cylinders {
    use super::*;

    #[test]
    fn all_words_must_be_in_the_name() {
        insta::assert_snapshot!(Cli::new(&["cylinders", "steel", "12"]).ok().stdout);
        assert_eq!(
            Cli::new(&["cylinders", "STEEL 12"]).ok().stdout,
            Cli::new(&["cylinders", "12", "steel"]).ok().stdout
        );
        // the other spelling finds the same
        let aluminum = Cli::new(&["cylinders", "aluminum"]).ok().stdout;
        assert_eq!(aluminum, Cli::new(&["cylinders", "aluminium"]).ok().stdout);
    }

    #[test]
    fn in_us_units() {
        let text = Cli::new(&["cylinders", "80", "--units", "us"]).ok().stdout;
        insta::assert_snapshot!(text);
    }

    #[test]
    fn every_shape_of_the_list_is_there() {
        let text = Cli::new(&["cylinders"]).env("COLUMNS", "160").ok().stdout;
        for size in lightpoint::internals::plan::catalogue::sizes() {
            assert!(text.contains(&size.name), "{}", size.name);
        }
    }
}

mod ballast {
    use super::*;

    #[test]
    fn the_answer() {
        insta::assert_snapshot!(without_numbers(&Cli::new(&["ballast", "plan.toml"]).plan(PLAN).ok().stdout));
    }

    #[test]
    fn with_the_sums() {
        let done = Cli::new(&["ballast", "plan.toml", "--explain"]).plan(PLAN).ok();
        insta::assert_snapshot!(without_numbers(&done.stdout));
        // each table adds up: its rows between the rules give the last line
        let tables: Vec<&str> = done.stdout.split("\n At the ").skip(1).collect();
        assert_eq!(tables.len(), 2);
        for table in tables {
            let mut parts = table.split("──\n");
            let rows = parts.nth(1).unwrap();
            let last = |line: &str| -> Option<f64> { line.split_whitespace().last()?.replace('−', "-").parse().ok() };
            let count = rows.lines().filter_map(last).count();
            let sum: f64 = rows.lines().filter_map(last).sum();
            let net = last(parts.next().unwrap().lines().next().unwrap()).unwrap();
            // each row is rounded to 10 g
            assert!((sum - net).abs() <= 0.005 * (count + 1) as f64, "{sum} {net}\n{table}");
        }
    }

    #[test]
    fn with_pieces_that_are_there() {
        let advised = |args: &[&str]| {
            let all = [&["ballast", "plan.toml", "--json"], args].concat();
            let result = json(&Cli::new(&all).plan(PLAN).ok().stdout);
            (result["least"]["lead_kg"].as_f64().unwrap(), result["advised_kg"].as_f64())
        };
        let (least, by_half) = advised(&[]);
        let by_half = by_half.unwrap();
        // the lead that holds in 95 of 100 trials, rounded up: more than the least, in whole halves
        assert!(by_half >= least + 0.5 && (by_half * 2.0).fract() == 0.0, "{by_half} {least}");
        let (_, by_pound) = advised(&["--piece", "1 lb"]);
        let pounds = by_pound.unwrap() / 0.453_592_37;
        assert!((pounds - pounds.round()).abs() < 1e-3, "{pounds}");
        let us = json(&Cli::new(&["ballast", "plan.toml", "--json", "--units", "us"]).plan(PLAN).ok().stdout);
        let pounds = us["advised_kg"].as_f64().unwrap() / 0.453_592_37;
        // JSON rounds to a millionth of a kilogram
        assert!((pounds - pounds.round()).abs() < 3e-6, "whole pounds unless told otherwise: {pounds}");
        let (_, own) = advised(&["--own", "6 kg, 3 kg,1.5 kg"]);
        // of all sums of the pieces the first that reaches what is wanted, which fine pieces tell
        let wanted = advised(&["--piece", "0.01 kg"]).1.unwrap();
        let sums = [1.5, 3.0, 4.5, 6.0, 7.5, 9.0, 10.5];
        assert_eq!(own, sums.into_iter().find(|sum| *sum >= wanted - 0.01), "{wanted}");
        assert_eq!(advised(&["--own", "1 kg, 1 kg"]).1, None);
        let done = Cli::new(&["ballast", "plan.toml", "--own", "1 kg, 1 kg"]).plan(PLAN).ok();
        assert!(done.stdout.contains("the pieces that are there do not reach"), "{}", done.stdout);
    }

    #[test]
    fn when_no_lead_is_right() {
        let done = Cli::new(&["ballast", "plan.toml", "--set", "diver.swim_up=2 kg"]).plan(PLAN).ok();
        insta::assert_snapshot!(without_numbers(&done.stdout));
    }
}

mod compare {
    use super::*;

    #[test]
    fn a_plan_and_its_variant() {
        let done = Cli::new(&["compare", "plan.toml", "--set", "suit.gas_volume=14 L"]).plan(PLAN).ok();
        insta::assert_snapshot!(without_numbers(&done.stdout));
        let made = |endings: &[&str]| -> Vec<String> {
            endings.iter().map(|ending| format!("lightpoint-out/compare/compare.{ending}")).collect()
        };
        // a PNG only where it is asked for
        assert_eq!(done.files()[..2], made(&["json", "svg"]));
        let done = Cli::new(&["compare", "plan.toml", "--set", "suit.gas_volume=14 L", "--png"]).plan(PLAN).ok();
        assert_eq!(done.files()[..3], made(&["json", "png", "svg"]));
    }

    #[test]
    fn a_sweep() {
        let args = ["compare", "plan.toml", "--sweep", "suit.gas_volume=8 L..12 L/2", "--no-files"];
        insta::assert_snapshot!(without_numbers(&Cli::new(&args).plan(PLAN).ok().stdout));
        let files = |more: &[&str]| {
            let args = [&args[..4], &["--out", "o"], more].concat();
            Cli::new(&args)
                .plan(PLAN)
                .ok()
                .files()
                .into_iter()
                .filter(|name| name.starts_with("o/"))
                .collect::<Vec<_>>()
        };
        assert_eq!(files(&[]), ["o/sweep.csv", "o/sweep.svg"]);
        assert_eq!(files(&["--png"]), ["o/sweep.csv", "o/sweep.png", "o/sweep.svg"]);
    }

    /// The numbers of a sweep as JSON are those of its table.
    #[test]
    fn a_sweep_for_machines() {
        let args = ["compare", "plan.toml", "--sweep", "suit.gas_volume=8 L..12 L/2", "--out", "o", "--json"];
        let done = Cli::new(&args).plan(PLAN).ok();
        let result = json(&done.stdout);
        assert_eq!(result["findings"], serde_json::json!(["least_lead_kg", "most_lead_kg"]));
        let csv = done.read("o/sweep.csv");
        let mut reader = csv::Reader::from_reader(csv.as_bytes());
        let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
        assert_eq!(rows.len(), 3);
        for (row, point) in rows.iter().zip(result["points"].as_array().unwrap()) {
            let told = std::iter::once(&point["at"]).chain(point["values"].as_array().unwrap());
            for (cell, value) in row.iter().zip(told) {
                // the table has two places of a kilogram
                assert!((cell.parse::<f64>().unwrap() - value.as_f64().unwrap()).abs() <= 0.005001, "{row:?} {point}");
            }
        }
    }
}

mod new {
    use super::*;

    #[test]
    fn a_plan_that_runs() {
        let done = Cli::new(&["new", "my plan.toml", "--suit", "wet", "--cylinders", "twin", "--stages", "1"]).ok();
        assert_eq!(done.files(), ["my plan.toml"]);
        insta::assert_snapshot!(done.stdout);
        Cli::new(&["run", "plan.toml", "--no-files"]).plan(&done.read("my plan.toml")).ok();
    }

    #[test]
    fn its_text() {
        insta::assert_snapshot!("starter", Cli::new(&["new", "a.toml"]).ok().read("a.toml"));
        let us = Cli::new(&["new", "a.toml", "--cylinders", "sidemount", "--stages", "2", "--units", "us"]).ok();
        insta::assert_snapshot!("starter-us", us.read("a.toml"));
        insta::assert_snapshot!(
            "starter-loop",
            Cli::new(&["new", "a.toml", "--cylinders", "loop"]).ok().read("a.toml")
        );
        let short = Cli::new(&["new", "a.toml", "--cylinders", "loop", "--short", "--suit", "wet"]).ok();
        insta::assert_snapshot!("starter-loop-short", short.read("a.toml"));
    }

    /// This check surprises by a hair: nothing counts 1.0 times as doubtful.
    #[test]
    fn on_a_loop_with_a_check() {
        let check = "6 kg, pool, 3 m, oxygen 150 bar, diluent 150 bar, stage 1 200 bar";
        let plan = Cli::new(&["new", "a.toml", "--cylinders", "loop", "--weight-check", check]).ok().read("a.toml");
        let answer = Cli::new(&["ballast", "plan.toml"]).plan(&plan).ok().stdout;
        assert!(answer.contains("by 1 check") && !answer.contains("1.0 times"), "{answer}");
    }

    #[test]
    fn a_file_that_is_there_stays() {
        let cli = Cli::new(&["new", "plan.toml"]).plan("mine");
        let path = cli.dir().join("plan.toml");
        let done = cli.run();
        assert_eq!(done.code, 2);
        assert_eq!(done.stderr, "error: plan.toml exists already and is not overwritten\n");
        assert_eq!(std::fs::read_to_string(path).unwrap(), "mine");
    }
}

#[test]
fn the_schema_is_the_one_of_the_library() {
    assert_eq!(json(&Cli::new(&["schema"]).ok().stdout), lightpoint::internals::plan::schema::schema());
}

#[test]
fn every_shell_gets_its_completions() {
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let script = Cli::new(&["completions", shell]).ok().stdout;
        for word in ["lightpoint", "ballast", "no-files"] {
            assert!(script.contains(word), "{shell}: {word}");
        }
    }
}

#[test]
fn a_manual_page_for_every_command() {
    let main = Cli::new(&["man"]).ok().stdout;
    let done = Cli::new(&["man", "--out", "man1"]).ok();
    assert_eq!(done.read("man1/lightpoint.1"), main);
    assert!(main.contains(".TH lightpoint 1") && main.contains("lightpoint\\-run(1)"), "{main}");
    for command in Args::command().get_subcommands() {
        let page = done.read(&format!("man1/lightpoint-{}.1", command.get_name()));
        assert!(page.contains(".SH SYNOPSIS"), "{page}");
        assert!(page.contains(&format!("lightpoint {}", command.get_name())), "{page}");
    }
}
