//! `lightpoint trim`: where the diver hangs, and where to put the lead.

use std::process::ExitCode;

use crate::answer::TrimFacts;
use crate::cli::CliError;
use crate::cli::args::TrimArgs;
use crate::cli::ballast::pieces;
use crate::cli::load::load;
use crate::cli::output::{figure_files, print, print_json, print_written, write_all};
use crate::report::chart::{TrimLook, lever, trim_torque};
use crate::report::{calibrate, hung, json, text, trim};

/// Runs the command.
pub fn trim(args: &TrimArgs) -> Result<ExitCode, CliError> {
    let mut variation = args.variation.clone();
    if !args.place.is_empty() {
        let places: Vec<String> = args.place.iter().map(|word| format!("{{ at = {word:?} }}")).collect();
        variation.sets.push(("trim.place".into(), format!("[{}]", places.join(", "))));
    }
    let loaded = load(Some(&args.plan), &variation)?;
    let units = loaded.units(args.units);
    let facts = TrimFacts::of(&loaded.plan, &pieces(&args.lead, units)?)?;
    let look = TrimLook { title: &loaded.source.title, note: None, facts: &facts, units };
    let mut written = Vec::new();
    if !args.no_files {
        let mut files = figure_files("lever", &lever(&look)?, args.png)?;
        files.extend(figure_files("torque", &trim_torque(&look)?, args.png)?);
        written = write_all(&loaded.out_dir(args.out.as_deref()), files, &loaded.inputs())?;
    }
    if args.json {
        print_json(&json::trim::result(&loaded.source, &facts))?;
        return Ok(ExitCode::SUCCESS);
    }
    let scenario = &facts.built.scenario;
    let mut out = text::heading(&loaded.source);
    let (first, corrected) = calibrate::around(units, facts.checked.as_ref());
    let first = first.into_iter().chain(hung::repeat_line(facts.checked.as_ref()));
    first.chain(trim::lines(units, &facts)).chain(corrected).for_each(|line| line.write(&mut out));
    out.push_str(&format!("\n{}", trim::tips_table(units, scenario, &facts.trim)));
    if let Some(lead) = &facts.lead {
        out.push_str(&format!("\n{}{}\n", trim::lead_tables(units, lead), text::filled(&trim::rule_of_thumb(units))));
    }
    out.push_str(&format!("\n{}", trim::doubt_table(units, &facts.doubt)));
    print(&format!("{out}\n"))?;
    print_written(&written)?;
    print(if written.is_empty() { "" } else { "\n" })?;
    print(&text::footer(&loaded.notes(&facts.built, units)))?;
    Ok(ExitCode::SUCCESS)
}
