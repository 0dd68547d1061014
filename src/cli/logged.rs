//! `lightpoint calibrate` with gauges read during a dive: planned against actual.

use std::path::PathBuf;
use std::process::ExitCode;

use crate::answer::Logged;
use crate::cli::CliError;
use crate::cli::args::CalibrateArgs;
use crate::cli::load::Loaded;
use crate::cli::output::{print, print_json, write_new};
use crate::plan::checks::log::read_log;
use crate::report::{json, logged as words, text};

/// Answers, and writes the plan with the corrected breathing rates to `out`.
pub fn logged(args: &CalibrateArgs, loaded: &Loaded, out: PathBuf) -> Result<ExitCode, CliError> {
    let built = loaded.plan.build()?;
    let names: Vec<&str> = built.scenario.rig().cylinders.iter().map(|one| one.name()).collect();
    let rows = read_log(&args.checks, &names, built.scenario.profile().end_s())?;
    let found = Logged::of(&loaded.plan, &rows)?;
    let units = loaded.units(args.units);
    let written = match !args.no_files && !found.plan.written.is_empty() {
        true => {
            write_new(&out, found.plan.text.as_bytes())?;
            Some(out.display().to_string())
        }
        false => None,
    };
    if args.json {
        print_json(&json::logged::result(&loaded.source, &found, written))?;
        return Ok(ExitCode::SUCCESS);
    }
    let mut shown = text::heading(&loaded.source);
    words::lines(units, &found).iter().for_each(|line| line.write(&mut shown));
    shown.push_str(&format!("\n{}\n", words::table(units, &found)));
    print(&format!("{shown}\n"))?;
    if let Some(path) = written {
        print(&format!("wrote {path}\n\n"))?;
    }
    print(&text::footer(&loaded.notes(&found.built, units)))?;
    Ok(ExitCode::SUCCESS)
}
