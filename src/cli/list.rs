//! `lightpoint compare --list`: any number of plans, a row each.

use std::path::PathBuf;
use std::process::ExitCode;

use crate::answer::{Listed, MOST_LISTED};
use crate::cli::args::{CompareArgs, Units, Variation};
use crate::cli::compare::out_dir;
use crate::cli::load::{Loaded, load};
use crate::cli::output::{OutFile, json_text, print, print_written, write_all};
use crate::cli::{CliError, EXIT_BAD_INPUT, show};
use crate::report::list::{self as words, Row};
use crate::report::{json, text};
use crate::units::UnitSystem;

/// One plan of the list.
struct Asked {
    label: String,
    found: Result<(Loaded, Listed), CliError>,
}

/// Runs the command. A plan with problems is told, and the rows of the others stand.
pub fn list(args: &CompareArgs) -> Result<ExitCode, CliError> {
    let wanted = wanted(args)?;
    let asked: Vec<Asked> = Listed::each(&wanted, |(label, path, variation)| Asked {
        label: label.clone(),
        found: load(Some(path), variation).and_then(|loaded| {
            let listed = Listed::of(&loaded.plan)?;
            Ok((loaded, listed))
        }),
    });
    let good = || asked.iter().filter_map(|one| one.found.as_ref().ok());
    let plan_units = || good().next().map_or(UnitSystem::default(), |(loaded, _)| loaded.units(None));
    let units = args.units.map_or_else(plan_units, |units: Units| units.into());
    let row = |one: &'_ Asked| (one.label.clone(), one.found.as_ref().ok().map(|(_, listed)| listed.clone()));
    let kept: Vec<_> = asked.iter().map(row).collect();
    let rows: Vec<Row<'_>> = kept.iter().map(|(label, listed)| Row { label, listed: listed.as_ref() }).collect();
    let named = asked.iter().map(|one| match &one.found {
        Ok((loaded, listed)) => json::list::Entry::Found(&one.label, &loaded.source, listed),
        Err(error) => json::list::Entry::Failed(&one.label, told(error)),
    });
    let value_text = json_text(&json::list::result(named));
    let is_bad = asked.iter().any(|one| one.found.is_err());
    let written = if args.no_files || good().next().is_none() {
        Vec::new()
    } else {
        let files = vec![
            OutFile { name: "list.csv".into(), bytes: words::csv(units, &rows)? },
            OutFile { name: "list.json".into(), bytes: value_text.clone().into_bytes() },
        ];
        let inputs: Vec<PathBuf> = good().flat_map(|(loaded, _)| loaded.inputs()).chain(args.plans.clone()).collect();
        write_all(&out_dir(args), files, &inputs)?
    };
    if args.json {
        print(&value_text)?;
    } else {
        print(&format!("{}{}\n\n", words::table(units, &rows), text::filled(words::MEANING)))?;
        print_written(&written)?;
        print(&format!("{}{}", if written.is_empty() { "" } else { "\n" }, text::footer(&[])))?;
    }
    for Asked { label, found } in &asked {
        if let Err(error) = found {
            show::of(label, error);
        }
    }
    Ok(if is_bad { ExitCode::from(EXIT_BAD_INPUT) } else { ExitCode::SUCCESS })
}

/// Each plan with its short name and its changes: with `--set` and one plan, as it is and changed.
fn wanted(args: &CompareArgs) -> Result<Vec<(String, PathBuf, Variation)>, CliError> {
    if args.plans.len() > MOST_LISTED {
        return Err(CliError::Option {
            option: "PLAN",
            value: format!("{} plans", args.plans.len()),
            expected: format!("a list has at most {MOST_LISTED}"),
        });
    }
    let stem = |path: &PathBuf| path.file_stem().map_or_else(String::new, |stem| stem.to_string_lossy().into_owned());
    if let ([plan], false) = (args.plans.as_slice(), args.variation.sets.is_empty()) {
        let sets: Vec<_> = args.variation.sets.iter().map(|(key, value)| format!("{key} = {value}")).collect();
        let changed = (sets.join(", "), plan.clone(), args.variation.clone());
        return Ok(vec![(stem(plan), plan.clone(), Variation::default()), changed]);
    }
    // plans of one name in different folders are told apart by their paths
    let mut times = std::collections::HashMap::new();
    args.plans.iter().for_each(|path| *times.entry(stem(path)).or_insert(0) += 1);
    let label = |path: &PathBuf| if times[&stem(path)] == 1 { stem(path) } else { path.display().to_string() };
    Ok(args.plans.iter().map(|path| (label(path), path.clone(), args.variation.clone())).collect())
}

/// What is wrong, in a line.
fn told(error: &CliError) -> String {
    match error {
        CliError::Problems(problems) => {
            let messages: Vec<&str> = problems.list.iter().map(|problem| problem.message.as_str()).collect();
            messages.join("; ")
        }
        other => other.to_string(),
    }
}
