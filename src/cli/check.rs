//! `lightpoint check`: is the plan valid, and where does each figure come from.

use std::process::ExitCode;

use crate::cli::CliError;
use crate::cli::args::CheckArgs;
use crate::cli::load::load;
use crate::plan::Note;
use crate::report::{inputs, text};

/// Runs the command.
pub fn check(args: &CheckArgs) -> Result<ExitCode, CliError> {
    let loaded = load(Some(&args.plan), &args.variation)?;
    anstream::print!("{}", text::heading(&loaded.source.title));
    let profile = loaded.scenario.profile();
    anstream::println!(
        "The plan is valid: {}, {:.0} min, {}. Nothing was computed.\n",
        counted(profile.legs().len(), "leg"),
        profile.end_s() / crate::units::MINUTE_S,
        counted(loaded.scenario.diver().cylinders.len(), "cylinder")
    );
    anstream::println!("{}", inputs::table(&loaded.built.inputs));
    // the table has told the typical figures already
    for note in loaded.built.notes.iter().filter(|note| !matches!(note, Note::Typical(_))) {
        anstream::println!("• {note}");
    }
    Ok(ExitCode::SUCCESS)
}

fn counted(number: usize, what: &str) -> String {
    format!("{number} {what}{}", if number == 1 { "" } else { "s" })
}
