//! `lightpoint compare`: dives side by side, and a finding against a changing quantity.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use crate::answer::SideBySide;
use crate::cli::CliError;
use crate::cli::args::{CompareArgs, Variation};
use crate::cli::load::{Loaded, load};
use crate::cli::output::{OutFile, figure_files, json_text, print, print_written, write_all};
use crate::cli::{list, sweep};
use crate::report::chart::{self, Compared};
use crate::report::{Rows, Source, compare as words, json, text};

/// Plans that can stand side by side.
const MOST_BESIDE: usize = 6;

/// Runs the command.
pub fn compare(args: &CompareArgs) -> Result<ExitCode, CliError> {
    if let Some(asked) = &args.sweep {
        return sweep::sweep(args, asked);
    }
    if args.list {
        return list::list(args);
    }
    let dives = dives(args)?;
    let SideBySide { built, comparison } = SideBySide::of(dives.iter().map(|dive| &dive.plan))?;
    let labels = labels(args, &dives);
    let units = dives[0].units(args.units);
    let looks = built.iter().zip(&comparison.dives);
    let rows: Vec<Rows> =
        looks.map(|(one, dive)| Rows::for_looking(&one.scenario, &dive.trace, &dive.findings)).collect();
    let names = names(args, &dives);
    let compared: Vec<Compared<'_>> = names
        .iter()
        .zip(comparison.dives.iter().zip(&rows))
        .map(|(label, (dive, rows))| Compared { label, rows, findings: &dive.findings })
        .collect();
    let what = if args.plans.len() == 1 { dives[0].source.title.clone() } else { format!("{} plans", names.len()) };
    let subject = format!("{what}; a disc is the heavy point, a ring the light point");
    let sources: Vec<&Source> = dives.iter().map(|dive| &dive.source).collect();
    let value_text = json_text(&json::compare::result(&labels, &sources, &comparison));
    let written = if args.no_files {
        Vec::new()
    } else {
        let picture = chart::compare(&compared, &subject, units)?;
        let mut files = figure_files("compare", &picture, args.png)?;
        files.push(OutFile { name: "compare.json".into(), bytes: value_text.clone().into_bytes() });
        write_all(&out_dir(args), files, &inputs(&dives))?
    };
    if args.json {
        print(&value_text)?;
        return Ok(ExitCode::SUCCESS);
    }
    print(&format!("{}{}", text::heading(&dives[0].source), words::table(units, &labels, &comparison)))?;
    for (label, dive) in labels.iter().zip(&comparison.dives) {
        if !dive.unweighed.is_empty() {
            let names = dive.unweighed.join(", ");
            let note = format!("• {label}: not in the weight on land, known only by a reading in water: {names}");
            print(&format!("{}\n", text::filled(&note)))?;
        }
    }
    print("\n")?;
    print_written(&written)?;
    print(&format!("{}{}", if written.is_empty() { "" } else { "\n" }, text::footer(&[])))?;
    Ok(ExitCode::SUCCESS)
}

/// The dives: each plan as it is, or one plan as it is and with the changes of `--set`.
fn dives(args: &CompareArgs) -> Result<Vec<Loaded>, CliError> {
    let plain = Variation::default();
    if let ([plan], false) = (args.plans.as_slice(), args.variation.sets.is_empty()) {
        return Ok(vec![load(Some(plan), &plain)?, load(Some(plan), &args.variation)?]);
    }
    if args.plans.len() < 2 {
        return Err(CliError::Option {
            option: "PLAN",
            value: args.plans.iter().map(|plan| plan.display().to_string()).collect(),
            expected: "one plan needs something to be held against: a second plan, --set KEY=VALUE or --sweep".into(),
        });
    }
    if args.plans.len() > MOST_BESIDE {
        return Err(CliError::Option {
            option: "PLAN",
            value: format!("{} plans", args.plans.len()),
            expected: format!("{MOST_BESIDE} can stand side by side; add --list for a row each"),
        });
    }
    args.plans.iter().map(|plan| load(Some(plan), &args.variation)).collect()
}

/// Short names of the dives: the files', or what was set.
fn labels(args: &CompareArgs, dives: &[Loaded]) -> Vec<String> {
    if args.plans.len() == 1 {
        let sets: Vec<_> = args.variation.sets.iter().map(|(key, value)| format!("{key} = {value}")).collect();
        return vec![dives[0].stem.clone(), sets.join(", ")];
    }
    // plans of one name in different folders are told apart by their paths
    let unique = |i: usize| dives.iter().filter(|dive| dive.stem == dives[i].stem).count() == 1;
    (0..dives.len()).map(|i| if unique(i) { dives[i].stem.clone() } else { dives[i].source.plan.clone() }).collect()
}

/// Names of the dives for the figure: their titles, or what was set. Plans of one title go by their short names.
fn names(args: &CompareArgs, dives: &[Loaded]) -> Vec<String> {
    if args.plans.len() == 1 {
        let mut labels = labels(args, dives);
        labels[0] = "as the plan has it".into();
        return labels;
    }
    let mut titles: Vec<&str> = dives.iter().map(|dive| dive.source.title.as_str()).collect();
    titles.sort_unstable();
    titles.dedup();
    if titles.len() < dives.len() {
        return labels(args, dives);
    }
    dives.iter().map(|dive| dive.source.title.clone()).collect()
}

/// Folder for the files.
pub fn out_dir(args: &CompareArgs) -> PathBuf {
    args.out.clone().unwrap_or_else(|| Path::new("lightpoint-out").join("compare"))
}

fn inputs(dives: &[Loaded]) -> Vec<PathBuf> {
    dives.iter().flat_map(Loaded::inputs).collect()
}
