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
    let built = loaded.plan.build()?;
    print(&text::heading(&loaded.source.title))?;
    let profile = built.scenario.profile();
    let valid = format!(
        "The plan is valid: {}, {:.0} min, {}. Nothing was computed.",
        counted(profile.legs().len(), "leg"),
        profile.end_s() / crate::units::MINUTE_S,
        counted(built.scenario.rig().cylinders.len(), "cylinder")
    );
    print(&format!("{}\n\n", text::filled(&valid)))?;
    let units = loaded.units(args.units);
    if let Some(advice) = inputs::weigh_first(units, &built.inputs) {
        print(&format!("{}\n\n", text::filled(&capital(&format!("{advice}.")))))?;
    }
    print(&format!("{}\n", inputs::table(units, &built.inputs)))?;
    if let Some(changed) = &loaded.changed {
        print(&format!("{}\n", text::filled(&format!("• {changed}"))))?;
    }
    // the table has told typical figures and guesses already
    for note in built.notes.iter().filter(|note| !matches!(note, Note::Typical(_) | Note::Guesses(_))) {
        print(&format!("{}\n", text::filled(&format!("• {}", note.text(units)))))?;
    }
    Ok(ExitCode::SUCCESS)
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

fn counted(number: usize, what: &str) -> String {
    format!("{number} {what}{}", if number == 1 { "" } else { "s" })
}
