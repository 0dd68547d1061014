//! `lightpoint check`: is the plan valid, and where does each figure come from.

use std::process::ExitCode;

use crate::cli::CliError;
use crate::cli::args::CheckArgs;
use crate::cli::load::load;
use crate::cli::output::print;
use crate::report::{inputs, text};

/// Runs the command.
pub fn check(args: &CheckArgs) -> Result<ExitCode, CliError> {
    let loaded = load(Some(&args.plan), &args.variation)?;
    print(&text::heading(&loaded.source.title))?;
    let profile = loaded.scenario.profile();
    print(&format!(
        "The plan is valid: {} legs, {:.0} min, {} cylinders. Nothing was computed.\n\n",
        profile.legs().len(),
        profile.end_s() / crate::units::MINUTE_S,
        loaded.scenario.diver().cylinders.len()
    ))?;
    print(&format!("{}\n\n", inputs::table(&loaded.built.inputs)))?;
    for note in &loaded.notes {
        print(&format!("• {note}\n"))?;
    }
    Ok(ExitCode::SUCCESS)
}
