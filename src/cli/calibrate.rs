//! `lightpoint calibrate`: checks made in the water, brought back into the plan.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use serde_json::Value;

use crate::answer::{AnswerError, CALIBRATION_DRAWS, Calibration, DrawSettings, Pieces, Watch};
use crate::cli::CliError;
use crate::cli::args::{CalibrateArgs, Variation};
use crate::cli::load::{Loaded, load};
use crate::cli::output::{OutputError, print, print_json, write_new};
use crate::cli::watch::{EXIT_CANCELLED, Progress, cancel};
use crate::plan::calibrated::{CalibratedPlan, Left};
use crate::plan::checks::{CheckRow, read_checks};
use crate::report::advice::advice_line;
use crate::report::calibrate::{self as words, CalibrateReport};
use crate::report::doubt::{made_briefly, uncertain};
use crate::report::json;
use crate::report::measure::UnitSystem;
use crate::report::text::{self, Line};

/// Runs the command.
pub fn calibrate(args: &CalibrateArgs) -> Result<ExitCode, CliError> {
    let cancel = cancel();
    let loaded = load(Some(&args.plan), &Variation::default())?;
    let out = out_file(args);
    let built = loaded.plan.build()?;
    if !args.no_files && out.exists() {
        return Err(OutputError::Exists { path: out }.into());
    }
    let names: Vec<&str> = built.scenario.rig().cylinders.iter().map(|one| one.name()).collect();
    let rows = read_checks(&args.checks, &names)?;
    let settings = DrawSettings {
        seed: args.seed,
        threads: args.threads,
        max_draws: CALIBRATION_DRAWS,
        ..DrawSettings::default()
    };
    let shown = Progress::new("draws", None);
    shown.show(0);
    let mut progress = |_, draws| shown.show(draws);
    let watch = Watch { cancel, progress: &mut progress };
    let name = format!("{} (calibrated)", loaded.source.plan);
    let found = Calibration::of(&loaded.plan, &rows, &settings, &Pieces::Usual(loaded.units(args.units)), &name, watch);
    shown.clear();
    let found = match found {
        Err(AnswerError::Cancelled) => {
            eprintln!("ended by Ctrl-C before it was done; nothing is written");
            return Ok(ExitCode::from(EXIT_CANCELLED));
        }
        other => other?,
    };
    let report = CalibrateReport {
        details: args.details,
        units: loaded.units(args.units),
        source: &loaded.source,
        scenario: &found.built.scenario,
        inputs: &found.built.inputs,
        checks: &found.checks,
        calibrated: &found.calibrated,
        written: found.after.as_ref().map(|after| &after.outlook),
    };
    let written = match &found.after {
        Some(_) if !args.no_files => {
            write_new(&out, found.plan.text.as_bytes())?;
            Some(out)
        }
        _ => None,
    };
    if args.json {
        print_json(&result(&report, &found.plan, written.as_deref()))?;
    } else {
        tell(&report, &found, written.as_deref(), &loaded, &rows)?;
    }
    Ok(ExitCode::SUCCESS)
}

/// Beside the plan, unless told otherwise.
fn out_file(args: &CalibrateArgs) -> PathBuf {
    args.out.clone().unwrap_or_else(|| {
        let stem = args.plan.file_stem().map_or("plan".into(), |stem| stem.to_string_lossy());
        args.plan.with_file_name(format!("{stem}-calibrated.toml"))
    })
}

/// What to carry before and after, as `ballast` says it.
fn advice(units: UnitSystem, found: &Calibration) -> impl Iterator<Item = Line> {
    let after = found.after.as_ref().map(|after| ("Advice after", &after.carry));
    std::iter::once(("Advice before", &found.before))
        .chain(after)
        .map(move |(label, carry)| Line { label: label.into(), ..advice_line(units, carry) })
}

fn tell(
    report: &CalibrateReport<'_>,
    found: &Calibration,
    written: Option<&Path>,
    loaded: &Loaded,
    rows: &[CheckRow],
) -> Result<(), CliError> {
    let mut out = text::heading(&loaded.source.title);
    for (line, row) in words::verdicts(report).iter_mut().zip(rows) {
        if let Some(note) = &row.note {
            line.text = format!("{} ({note})", line.text);
        }
        line.write(&mut out);
    }
    if report.details {
        Line::plain("Method", words::method(report.calibrated)).write(&mut out);
    }
    Line::plain("Made from", made_briefly(report.units, &report.calibrated.made, CALIBRATION_DRAWS)).write(&mut out);
    advice(report.units, found).for_each(|line| line.write(&mut out));
    out.push('\n');
    if report.calibrated.moved.is_empty() {
        out.push_str("Nothing moved: what was seen is what the plan expects, or nothing that agrees was seen.\n");
    } else {
        out.push_str(&words::moved_table(report));
        out.push('\n');
    }
    out.push_str(&format!("\n{}\n", words::outlook_table(report)));
    if report.written.is_some() {
        out.push_str(&format!("{}\n", text::filled(words::TIED)));
    }
    print(&format!("{out}\n"))?;
    let mut notes: Vec<String> =
        found.plan.left.iter().filter_map(|(index, left)| left_text(report, *index, left)).collect();
    if let Some(path) = written {
        print(&format!("wrote {}\n\n", path.display()))?;
        let elsewhere = path.parent() != Path::new(&loaded.source.plan).parent();
        if elsewhere && loaded.plan.sources().len() > 1 {
            notes.push("the calibrated plan looks for its gear list and profile beside itself: copy them there".into());
        }
    }
    notes.extend(loaded.notes(&found.built, report.units));
    print(&text::footer(&notes))?;
    Ok(())
}

/// A figure that moved and could not be written into the plan.
fn left_text(report: &CalibrateReport<'_>, index: usize, left: &Left) -> Option<String> {
    let input = uncertain(report.inputs).nth(index)?;
    let moved = report.calibrated.moved.iter().find(|moved| moved.input == index)?;
    let after = words::estimate_text(report.units, input, &moved.after);
    Some(match left {
        Left::Beside { place, text } => {
            let (place, column) = place.rsplit_once(':').unwrap_or((place, ""));
            let (file, line) = place.rsplit_once(':').unwrap_or((place, ""));
            format!(
                "not in the plan itself: {file}, line {line}, column {column} ({}); the checks make it \"{text}\"",
                input.label
            )
        }
        Left::SharedWithList => {
            format!(
                "not written: {} is a typical figure that the gear list uses too; the checks make it {after}",
                input.label
            )
        }
        Left::NoKey => format!("not written: the plan has no key for {}; the checks make it {after}", input.label),
    })
}

fn result(report: &CalibrateReport<'_>, plan: &CalibratedPlan, written: Option<&Path>) -> Value {
    let left = plan.left.iter().filter_map(|(index, left)| left_text(report, *index, left)).collect();
    json::calibrate::result(report, left, written.map(|path| path.display().to_string()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_calibrated_plan_goes_beside_the_old_one() {
        let args = CalibrateArgs {
            plan: "dives/wreck.toml".into(),
            checks: "checks.csv".into(),
            out: None,
            no_files: false,
            details: false,
            seed: 1,
            threads: 0,
            json: false,
            units: None,
        };
        assert_eq!(out_file(&args), PathBuf::from("dives/wreck-calibrated.toml"));
    }
}
