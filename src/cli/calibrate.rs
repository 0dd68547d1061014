//! `lightpoint calibrate`: checks made in the water, brought back into the plan.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use serde_json::{Value, json};

use crate::cli::CliError;
use crate::cli::args::{CalibrateArgs, Variation};
use crate::cli::load::{Loaded, load};
use crate::cli::output::{OutputError, print, write_new};
use crate::cli::watch::{EXIT_CANCELLED, Progress, cancel};
use crate::estimate::{Doubt, Shape};
use crate::plan::checks::{CheckRow, OutcomeRow, read_checks};
use crate::plan::refined::{Left, RefinedPlan};
use crate::plan::{Built, Plan};
use crate::report::calibrate::{self as words, CalibrateReport};
use crate::report::doubt::{made_briefly, uncertain};
use crate::report::measure::UnitSystem;
use crate::report::text::{self, Line};
use crate::scenario::Scenario;
use crate::study::doubt::{normal_quantile, standard_uncertainty};
use crate::study::refine::{Check, DRAWS, Gauge, Outcome, RefineError, WaterThen, WingThen, refine as study};
use crate::study::spread::{Control, Outlook, Settings, spread};
use crate::study::{Advice, LeadRange, Pieces};

/// Pieces of lead for the advice, kg: what `ballast` rounds up to unless told otherwise.
const PIECE_KG: f64 = 0.5;

/// Runs the command.
pub fn calibrate(args: &CalibrateArgs) -> Result<ExitCode, CliError> {
    let cancel = cancel();
    let loaded = load(Some(&args.plan), &Variation::default())?;
    let out = out_file(args);
    if !args.no_files && out.exists() {
        return Err(OutputError::Exists { path: out }.into());
    }
    let names: Vec<&str> = loaded.built.scenario.rig().cylinders.iter().map(|one| one.name()).collect();
    let rows = read_checks(&args.checks, &names)?;
    let checks: Vec<Check> = rows.iter().map(|row| check(row, &loaded.built.scenario)).collect();
    let settings = Settings { seed: args.seed, threads: args.threads, max_draws: DRAWS, ..Settings::default() };
    let build = |values: &[f64]| loaded.plan.build_draw(values, &loaded.built);
    let progress = Progress::new("draws", None);
    let refined = {
        progress.show(0);
        let control = Control { cancel, progress: |draws| progress.show(draws) };
        study(&loaded.built.inputs, &checks, &build, &settings, control)
    };
    progress.clear();
    let refined = match refined {
        Err(RefineError::Cancelled) => {
            eprintln!("ended by Ctrl-C before it was done; nothing is written");
            return Ok(ExitCode::from(EXIT_CANCELLED));
        }
        other => other?,
    };
    let values: Vec<_> = refined.moved.iter().map(|moved| (moved.input, moved.after)).collect();
    let plan = loaded.plan.refined(&loaded.built, &values);
    let after = if plan.written.is_empty() { None } else { Some(run_again(&loaded, &plan, &settings)?) };
    let report = CalibrateReport {
        units: args.units.into(),
        source: &loaded.source,
        scenario: &loaded.built.scenario,
        inputs: &loaded.built.inputs,
        checks: &checks,
        refined: &refined,
        written: after.as_ref().map(|(_, outlook)| outlook),
    };
    let written = match &after {
        Some(_) if !args.no_files => {
            write_new(&out, plan.text.as_bytes())?;
            Some(out)
        }
        _ => None,
    };
    let advice = advice(report.units, &loaded.built.scenario, after.as_ref().map(|(built, _)| &built.scenario))?;
    if args.json {
        print_json(&report, &plan, written.as_deref())?;
    } else {
        tell(&report, &plan, &advice, written.as_deref(), &loaded, &rows)?;
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

/// A row as a check. What is not known of the water counts with the doubt of the row.
fn check(row: &CheckRow, scenario: &Scenario) -> Check {
    let mut check = Check {
        label: format!("Line {}", row.line),
        depth_m: row.depth_m,
        cylinders: row.gauges.iter().map(|&(cylinder, gauge_pa)| Gauge { cylinder, gauge_pa }).collect(),
        lead_kg: row.lead_kg,
        wing: if row.wing_m3 > 0.0 { WingThen::Gas { gas_m3: row.wing_m3 } } else { WingThen::Empty },
        water: row.water.map_or(WaterThen::AsPlanned, |water| WaterThen::Density { water_kg_m3: water.value }),
        outcome: match row.outcome {
            OutcomeRow::Neutral => Outcome::Neutral,
            OutcomeRow::Needed(lead_kg) => Outcome::Needed { lead_kg },
            OutcomeRow::Reading(lift_kg) => Outcome::Reading { lift_kg },
            OutcomeRow::CouldStay => Outcome::CouldStay,
            OutcomeRow::CouldNotStay => Outcome::CouldNotStay,
        },
        doubt: row.doubt,
    };
    if let Some(water) = row.water.and_then(|water| water.doubt) {
        // u² = u_check² + (V·u_ρ)², JCGM 100:2008, 5.1.2 (from memory)
        let lift_kg = check.predicted(scenario).volume_m3 * standard_uncertainty(&water);
        let std_kg = check.sigma_kg().hypot(lift_kg);
        let coverage_frac = 0.95;
        let half_width = std_kg * normal_quantile(0.5 * (1.0 + coverage_frac));
        check.doubt = Doubt { half_width, shape: Shape::Normal { coverage_frac } };
    }
    check
}

/// The calibrated plan, read and run as any other.
fn run_again(loaded: &Loaded, refined: &RefinedPlan, settings: &Settings) -> Result<(Built, Outlook), CliError> {
    let name = format!("{} (calibrated)", loaded.source.plan);
    let dir = Path::new(&loaded.source.plan).parent().unwrap_or(Path::new("")).to_owned();
    let plan = Plan::parse(&refined.text, &name, dir)?;
    let built = plan.build()?;
    let control = Control { cancel: cancel(), progress: |_| {} };
    let build = |values: &[f64]| plan.build_draw(values, &built);
    let found = spread(&built.inputs, &build, settings, control)?;
    Ok((built, found.outlook))
}

/// What to carry before and after, as `ballast` says it.
fn advice(units: UnitSystem, before: &Scenario, after: Option<&Scenario>) -> Result<Vec<Line>, CliError> {
    let one = |label: &str, scenario: &Scenario| -> Result<Line, CliError> {
        let range = LeadRange::of(scenario)?;
        let advice = Advice::of(scenario, &range, &Pieces::Step(PIECE_KG))?;
        Ok(Line { label: label.into(), ..words::advice(units, &range, &advice) })
    };
    let mut lines = vec![one("Advice before", before)?];
    if let Some(after) = after {
        lines.push(one("Advice after", after)?);
    }
    Ok(lines)
}

fn tell(
    report: &CalibrateReport<'_>,
    plan: &RefinedPlan,
    advice: &[Line],
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
    Line::plain("Method", words::method(report.refined)).write(&mut out);
    Line::plain("Made from", made_briefly(report.units, &report.refined.made, DRAWS)).write(&mut out);
    advice.iter().for_each(|line| line.write(&mut out));
    out.push('\n');
    if report.refined.moved.is_empty() {
        out.push_str("Nothing moved: what was seen is what the plan expects, or nothing that agrees was seen.\n");
    } else {
        out.push_str(&words::moved_table(report));
        out.push('\n');
    }
    out.push_str(&format!("\n{}\n", words::outlook_table(report)));
    if report.written.is_some() {
        out.push_str(&format!("{}\n", textwrap::fill(words::TIED, 100)));
    }
    print(&format!("{out}\n"))?;
    let mut notes: Vec<String> = plan.left.iter().filter_map(|(index, left)| left_text(report, *index, left)).collect();
    if let Some(path) = written {
        print(&format!("wrote {}\n\n", path.display()))?;
        let elsewhere = path.parent() != Path::new(&loaded.source.plan).parent();
        if elsewhere && loaded.plan.sources().len() > 1 {
            notes.push("the calibrated plan looks for its gear list and profile beside itself: copy them there".into());
        }
    }
    notes.extend(loaded.notes.iter().cloned());
    print(&text::footer(&notes))?;
    Ok(())
}

/// A figure that moved and could not be written into the plan.
fn left_text(report: &CalibrateReport<'_>, index: usize, left: &Left) -> Option<String> {
    let input = uncertain(report.inputs).nth(index)?;
    let moved = report.refined.moved.iter().find(|moved| moved.input == index)?;
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

fn print_json(report: &CalibrateReport<'_>, plan: &RefinedPlan, written: Option<&Path>) -> Result<(), CliError> {
    let left: Vec<Value> =
        plan.left.iter().filter_map(|(index, left)| left_text(report, *index, left)).map(Value::from).collect();
    let path = written.map(|path| path.display().to_string());
    let value = words::json(report, vec![("not_written", json!(left)), ("written", json!(path))]);
    print(&format!("{}\n", serde_json::to_string_pretty(&value).unwrap_or_default()))?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_refined_plan_goes_beside_the_old_one() {
        let args = CalibrateArgs {
            plan: "dives/wreck.toml".into(),
            checks: "checks.csv".into(),
            out: None,
            no_files: false,
            seed: 1,
            threads: 0,
            json: false,
            units: crate::cli::args::Units::Metric,
        };
        assert_eq!(out_file(&args), PathBuf::from("dives/wreck-calibrated.toml"));
    }
}
