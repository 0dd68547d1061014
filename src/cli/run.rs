//! `lightpoint run`: simulate, say what was found, write the series, the figures and the result.

use std::path::Path;
use std::process::ExitCode;

use crate::answer::{DiveFacts, MishapFacts, MishapNameError};
use crate::cli::args::{FigureName, RunArgs};
use crate::cli::load::load;
use crate::cli::output::{OutFile, json_text, print, print_written, write_all};
use crate::cli::{CliError, EXIT_FINDING};
use crate::report::chart::{ChartError, Facts, Figure, draw_all};
use crate::report::text::Told;
use crate::report::verdict::Lead;
use crate::report::{Report, Rows, json, series, text, words};

/// Runs the command.
pub fn run(args: &RunArgs) -> Result<ExitCode, CliError> {
    if let Some(every_s) = args.every.filter(|every_s| !(*every_s > 0.0 && every_s.is_finite())) {
        let expected = "a number of seconds above zero is expected".into();
        return Err(CliError::Option { option: "--every", value: every_s.to_string(), expected });
    }
    if let (Some(_), Some(plan)) = (&args.mishaps, args.plan.as_deref().filter(|plan| is_no_file(plan))) {
        let value = plan.display().to_string();
        let expected = format!("a list stands behind an equals sign, --mishaps=\"{value}\"; there is no such plan");
        return Err(CliError::Option { option: "--mishaps", value, expected });
    }
    let loaded = load(args.plan.as_deref(), &args.variation)?;
    let dive = DiveFacts::of(&loaded.plan)?;
    let units = loaded.units(args.units);
    let scenario = &dive.built.scenario;
    let notes = loaded.notes(&dive.built, units);
    let rows = Rows::for_looking(scenario, &dive.trace, &dive.findings);
    let report = Report {
        source: &loaded.source,
        scenario,
        trace: &dive.trace,
        rows: &rows,
        findings: &dive.findings,
        inputs: &dive.built.inputs,
        checked: dive.checked.as_ref(),
        notes: &notes,
        units,
    };
    let trim = dive.trim_doubt.as_ref();
    let lead = Lead { bounds: dive.lead, own: dive.own, trials: &dive.trials, needless: dive.needless, trim };
    let mishaps = match &args.mishaps {
        Some(list) => dive.mishaps(list).map_err(|error| not_a_mishap(list, &error))?,
        None => dive.usual_mishaps(),
    };
    let asked = args.mishaps.is_some().then_some(&mishaps);
    let result_text = json_text(&json::run::result(&report, &lead, &dive.removable, asked));

    let mut written = Vec::new();
    if !args.no_files {
        let rows = Rows::of(scenario, &dive.trace, &dive.findings, args.every.unwrap_or(1.0));
        let mut files = vec![
            OutFile { name: "series.csv".into(), bytes: series::csv(&Report { rows: &rows, ..report })? },
            OutFile { name: "result.json".into(), bytes: result_text.clone().into_bytes() },
        ];
        files.extend(figures(args, &dive, &report, &mishaps)?);
        written = write_all(&loaded.out_dir(args.out.as_deref()), files, &loaded.inputs())?;
    }
    if args.json {
        print(&result_text)?;
    } else {
        print(&text::summary(&report, &lead, &asked.map_or(Told::Unasked(&mishaps), Told::Asked)))?;
        print(&format!("\n{}\n", text::parts_table(&report)))?;
        print_written(&written)?;
        // in the reader's units, which a result does not have
        let shown: Vec<String> = std::iter::once(words::reserve(report.units, scenario)).chain(notes.clone()).collect();
        print(&format!("{}{}", if written.is_empty() { "" } else { "\n" }, text::footer(&shown)))?;
    }
    let failed = args.strict && dive.has_fault();
    Ok(if failed { ExitCode::from(EXIT_FINDING) } else { ExitCode::SUCCESS })
}

/// Whether what stands for the plan is none, and was not meant to be one.
fn is_no_file(plan: &Path) -> bool {
    plan.extension().is_none() && !plan.exists()
}

fn not_a_mishap(list: &str, error: &MishapNameError) -> CliError {
    CliError::Option { option: "--mishaps", value: list.to_owned(), expected: error.to_string() }
}

/// The figures asked for, each as SVG, and as PNG where that is asked for too.
fn figures(
    args: &RunArgs,
    dive: &DiveFacts,
    report: &Report<'_>,
    mishaps: &MishapFacts,
) -> Result<Vec<OutFile>, CliError> {
    let names = match args.figure.as_slice() {
        [] => {
            let usual = [FigureName::Dive, FigureName::Cylinders, FigureName::Gas, FigureName::Loop];
            usual.into_iter().chain(args.mishaps.is_some().then_some(FigureName::Mishaps)).collect()
        }
        asked => {
            let mut unique: Vec<FigureName> = Vec::new();
            asked.iter().for_each(|name| {
                if !unique.contains(name) {
                    unique.push(*name);
                }
            });
            unique
        }
    };
    let leads = if names.contains(&FigureName::Band) { dive.bands()? } else { Vec::new() };
    let facts = Facts {
        title: &report.source.title,
        note: None,
        scenario: report.scenario,
        rows: report.rows,
        events: report.trace.events(),
        findings: report.findings,
        needless_kg: dive.needless.map_or(0.0, |needless| needless.excess_kg()),
        leads: &leads,
        mishaps: &mishaps.found,
        units: report.units,
    };
    let figures: Vec<Figure> = names.into_iter().map(Figure::from).collect();
    let mut files = Vec::new();
    for drawn in draw_all(&figures, &facts, args.png) {
        let drawn = match drawn {
            // one that was not asked for by name and has nothing to show is left out
            Err(ChartError::Nothing { .. }) if args.figure.is_empty() => continue,
            other => other?,
        };
        let name = drawn.figure.name();
        files.push(OutFile { name: format!("{name}.svg"), bytes: drawn.svg.into_bytes() });
        files.extend(drawn.png.map(|bytes| OutFile { name: format!("{name}.png"), bytes }));
    }
    Ok(files)
}
