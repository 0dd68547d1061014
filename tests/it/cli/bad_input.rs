//! Bad input: what is told, with exit code 2, and that nothing is written.

use super::*;

#[test]
fn of_every_sort_is_told_and_nothing_is_written() {
    let changed = |from: &str, to: &str| {
        assert!(PLAN.contains(from), "{from}");
        PLAN.replacen(from, to, 1)
    };
    let run = |more: &[&str]| Cli::new(&[&["run", "plan.toml"], more].concat());
    let ballast = |more: &[&str]| Cli::new(&[&["ballast", "plan.toml"], more].concat());
    let plan = |text: &str| Cli::new(&["run", "plan.toml"]).plan(text);
    let cases = [
        ("wrong-unit", plan(&changed("\"10 ± 2 L\"", "\"10 ± 2 kg\""))),
        ("bare-number", plan(&changed("\"10 ± 2 L\"", "10"))),
        ("unknown-key", plan(&changed("gas_volume", "gas_volum"))),
        (
            "several-problems",
            plan(&changed("gas_volume", "gas_volum").replace("220 bar", "220").replace("\"sea\"", "\"see\"")),
        ),
        ("not-toml", plan(&changed("[suit]", "[suit"))),
        ("missing-file", Cli::new(&["run", "nope.toml"])),
        ("missing-file-beside", plan(&format!("gear_list = \"gear.csv\"\n{PLAN}"))),
        ("folder-for-a-file", Cli::new(&["run", "."])),
        ("step-is-gone", run(&["--step", "1"]).plan(PLAN)),
        ("every-zero", run(&["--every", "0"]).plan(PLAN)),
        ("every-nan", run(&["--every", "NaN"]).plan(PLAN)),
        ("set-no-value", run(&["--set", "suit.gas_volume"]).plan(PLAN)),
        ("set-unknown-key", run(&["--set", "suit.gas_volum=14 L"]).plan(PLAN)),
        ("set-unknown-name", run(&["--set", "cylinder.bakc.fill=200 bar"]).plan(PLAN)),
        ("set-wrong-unit", run(&["--set", "suit.gas_volume=14 bar"]).plan(PLAN)),
        ("figure-unknown", run(&["--figure", "dove"]).plan(PLAN)),
        ("units-unknown", run(&["--units", "imperial"]).plan(PLAN)),
        ("out-is-a-file", run(&["--out", "plan.toml"]).plan(PLAN)),
        ("out-below-a-file", run(&["--out", "plan.toml/out"]).plan(PLAN)),
        ("out-and-no-files", run(&["--out", "o", "--no-files"]).plan(PLAN)),
        ("piece-without-unit", ballast(&["--piece", "1"]).plan(PLAN)),
        ("piece-nothing", ballast(&["--piece", "0 kg"]).plan(PLAN)),
        ("piece-text", ballast(&["--piece", "heavy"]).plan(PLAN)),
        ("own-one-bad", ballast(&["--own", "2 kg, 1 L"]).plan(PLAN)),
        ("own-and-piece", ballast(&["--own", "2 kg", "--piece", "1 kg"]).plan(PLAN)),
        ("ballast-without-plan", Cli::new(&["ballast"])),
        ("compare-alone", Cli::new(&["compare", "plan.toml"]).plan(PLAN)),
        ("compare-missing", Cli::new(&["compare", "plan.toml", "nope.toml"]).plan(PLAN)),
        ("sweep-no-range", Cli::new(&["compare", "plan.toml", "--sweep", "suit.gas_volume"]).plan(PLAN)),
        ("sweep-wrong-unit", Cli::new(&["compare", "plan.toml", "--sweep", "suit.gas_volume=1 kg..2 kg/4"]).plan(PLAN)),
        ("empty-plan", Cli::new(&["run", "plan.toml"]).plan("")),
        ("cylinders-none", Cli::new(&["cylinders", "titanium"])),
        ("new-stages", Cli::new(&["new", "a.toml", "--stages", "5"])),
        ("new-loop-alone", Cli::new(&["new", "a.toml", "--cylinders", "loop", "--stages", "0"])),
        ("new-loop-short", Cli::new(&["new", "a.toml", "--cylinders", "loop", "--stages", "2", "--short"])),
        ("new-no-folder", Cli::new(&["new", "a/b.toml"])),
        ("completions-shell", Cli::new(&["completions", "abacus"])),
        ("unknown-command", Cli::new(&["ballats", "plan.toml"])),
    ];
    let mut all = String::new();
    for (name, cli) in cases {
        all.push_str(&format!("──── {name}\n{}\n", cli.refused()));
    }
    insta::assert_snapshot!("bad-input", all);
}

#[cfg(unix)]
#[test]
fn a_folder_that_cannot_be_written_is_told() {
    use std::os::unix::fs::PermissionsExt as _;
    let cli = Cli::new(&["run", "plan.toml", "--out", "locked"]).plan(PLAN);
    let locked = cli.dir().join("locked");
    std::fs::create_dir(&locked).unwrap();
    std::fs::set_permissions(&locked, std::fs::Permissions::from_mode(0o555)).unwrap();
    if std::fs::write(locked.join("probe"), "").is_ok() {
        eprintln!("left out: this user may write anywhere");
        return;
    }
    assert_eq!(cli.refused(), "error: cannot write locked/series.csv: Permission denied (os error 13)\n");
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_told_and_a_reader_that_went_away_is_no_fault() {
    use std::process::{Command, Stdio};
    let program = env!("CARGO_BIN_EXE_lightpoint");
    let full = std::fs::File::options().write(true).open("/dev/full").unwrap();
    let output = Command::new(program).arg("cylinders").stdout(full).output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).starts_with("error: cannot write to standard output: No space"));

    let mut child = Command::new(program).arg("schema").stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    drop(child.stdout.take()); // as `| head` does
    let output = child.wait_with_output().unwrap();
    assert_eq!((output.status.code(), output.stderr.as_slice()), (Some(0), &b""[..]));
}
