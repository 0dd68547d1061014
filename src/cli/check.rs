//! `lightpoint check`: is the plan valid, and where does each figure come from.

use std::process::ExitCode;

use crate::cli::CliError;
use crate::cli::args::CheckArgs;
use crate::cli::load::load;
use crate::report::{inputs, text};

/// Runs the command.
pub fn check(args: &CheckArgs) -> Result<ExitCode, CliError> {
    let loaded = load(Some(&args.plan), &args.variation)?;
    anstream::print!("{}", text::heading(&loaded.source.title));
    let profile = loaded.scenario.profile();
    anstream::println!(
        "The plan is valid: {} legs, {:.0} min, {} cylinders. Nothing was computed.\n",
        profile.legs().len(),
        profile.end_s() / crate::units::MINUTE_S,
        loaded.scenario.diver().cylinders.len()
    );
    anstream::println!("{}\n", inputs::table(&loaded.built.inputs));
    for note in &loaded.notes {
        anstream::println!("• {note}");
    }
    Ok(ExitCode::SUCCESS)
}
