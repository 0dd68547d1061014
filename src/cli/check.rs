//! `lightpoint check`: is the plan valid, and where does each figure come from.

use std::process::ExitCode;

use crate::cli::CliError;
use crate::cli::args::CheckArgs;
use crate::cli::load::load;
use crate::cli::output::print;
use crate::plan::Note;
use crate::report::{inputs, text};

/// Runs the command.
pub fn check(args: &CheckArgs) -> Result<ExitCode, CliError> {
    let loaded = load(Some(&args.plan), &args.variation)?;
    print(&text::heading(&loaded.source.title))?;
    let profile = loaded.scenario.profile();
    let some = |count: usize, thing: &str| format!("{count} {thing}{}", if count == 1 { "" } else { "s" });
    print(&format!(
        "The plan is valid: {}, {:.0} min, {}. Nothing was computed.\n\n",
        some(profile.legs().len(), "leg"),
        profile.end_s() / crate::units::MINUTE_S,
        some(loaded.scenario.diver().cylinders.len(), "cylinder")
    ))?;
    print(&format!("{}\n\n", inputs::table(&loaded.built.inputs)))?;
    // that typical figures are used stands in the table
    let typical = |note: &str| {
        loaded.built.notes.iter().any(|known| matches!(known, Note::Typical(_)) && known.to_string() == note)
    };
    for note in loaded.notes.iter().filter(|note| !typical(note)) {
        print(&format!("• {note}\n"))?;
    }
    Ok(ExitCode::SUCCESS)
}
