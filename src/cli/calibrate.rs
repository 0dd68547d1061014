//! `lightpoint calibrate`: checks made in the water, brought back into the plan.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use serde_json::Value;

use crate::answer::{AnswerError, CALIBRATION_DRAWS, Calibration, DrawSettings, Pieces, Watch};
use crate::cli::CliError;
use crate::cli::args::{CalibrateArgs, Variation};
use crate::cli::load::{Loaded, load};
use crate::cli::logged::logged;
use crate::cli::output::{OutputError, print, print_json, write_new};
use crate::cli::watch::{EXIT_CANCELLED, Progress, cancel};
use crate::estimate::{Estimate, Input};
use crate::plan::calibrated::{CalibratedPlan, Left};
use crate::plan::checks::log::is_log;
use crate::plan::checks::read_checks;
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
    if is_log(&args.checks) {
        return logged(args, &loaded, out);
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
        found: &found,
    };
    let (text, is_other) = match args.figures {
        true => {
            let CalibratedPlan { text, written, places_written, .. } = &found.with_figures;
            (text, !written.is_empty() || !places_written.is_empty())
        }
        false => (&found.with_checks, found.checked.is_used()),
    };
    let written = match is_other && !args.no_files {
        true => {
            write_new(&out, text.as_bytes())?;
            Some(out)
        }
        false => None,
    };
    if args.json {
        print_json(&result(args, &report, written.as_deref()))?;
    } else {
        tell(args, &report, written.as_deref(), &loaded)?;
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
    [("Advice before", &found.before), ("Advice after", &found.after)].into_iter().map(move |(label, asked)| Line {
        label: label.into(),
        ..advice_line(units, &asked.built.scenario, &asked.carry)
    })
}

fn tell(
    args: &CalibrateArgs,
    report: &CalibrateReport<'_>,
    written: Option<&Path>,
    loaded: &Loaded,
) -> Result<(), CliError> {
    let (units, found) = (report.units, report.found);
    let checked = &found.checked;
    let mut out = text::heading(&loaded.source);
    let (first, corrected) = words::around(units, Some(checked));
    first.into_iter().chain(advice(units, found)).chain(corrected).for_each(|line| line.write(&mut out));
    words::verdicts(units, args.details, checked).iter().for_each(|line| line.write(&mut out));
    words::moved_lines(units, checked).iter().for_each(|line| line.write(&mut out));
    if args.details {
        let made = made_briefly(units, &found.after.study.made, CALIBRATION_DRAWS);
        Line::plain("Made from", made).write(&mut out);
        if !checked.correction.moved.is_empty() {
            out.push_str(&format!("\n{}\n", words::moved_table(report)));
        }
    }
    out.push_str(&format!("\n{}\n", words::outlook_table(report)));
    print(&format!("{out}\n"))?;
    let mut notes: Vec<String> = Vec::new();
    if args.figures {
        notes.extend(all_left(report));
        notes.push(words::TIED.into());
    }
    if let Some(path) = written {
        print(&format!("wrote {}\n\n", path.display()))?;
        let elsewhere = path.parent() != Path::new(&loaded.source.plan).parent();
        if elsewhere && loaded.plan.files_beside().next().is_some() {
            notes.push("the calibrated plan looks for its gear list and profile beside itself: copy them there".into());
        }
    }
    notes.extend(loaded.notes(&found.before.built, units));
    print(&text::footer(&notes))?;
    Ok(())
}

/// What moved and could not be written into the plan.
fn all_left(report: &CalibrateReport<'_>) -> Vec<String> {
    let Calibration { checked, with_figures, .. } = report.found;
    let mut list = Vec::new();
    for (left, before, moved) in [
        (&with_figures.left, &checked.before, &checked.correction.moved),
        (&with_figures.places_left, &checked.hung.before, &checked.hung.moved),
    ] {
        for (index, left) in left {
            let input = uncertain(before).nth(*index);
            let moved = moved.iter().find(|moved| moved.input == *index);
            list.extend(input.zip(moved).map(|(input, moved)| left_text(report.units, input, &moved.after, left)));
        }
    }
    list
}

/// A figure that moved and could not be written into the plan.
fn left_text(units: UnitSystem, input: &Input, after: &Estimate, left: &Left) -> String {
    let after = words::estimate_text(units, input, after);
    match left {
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
        Left::SharedPlace => {
            format!(
                "not written: {} is of a usual place at which several things are; the checks make it {after}",
                input.label
            )
        }
        Left::NoKey => format!("not written: the plan has no key for {}; the checks make it {after}", input.label),
    }
}

fn result(args: &CalibrateArgs, report: &CalibrateReport<'_>, written: Option<&Path>) -> Value {
    let left = if args.figures { all_left(report) } else { vec![] };
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
            figures: false,
            details: false,
            seed: 1,
            threads: 0,
            json: false,
            units: None,
        };
        assert_eq!(out_file(&args), PathBuf::from("dives/wreck-calibrated.toml"));
    }
}
