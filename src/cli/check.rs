//! `lightpoint check`: is the plan valid, where does each figure come from, and where are things on the diver.

use std::process::ExitCode;

use crate::answer::Ready;
use crate::cli::CliError;
use crate::cli::args::CheckArgs;
use crate::cli::load::load;
use crate::cli::output::print;
use crate::plan::Note;
use crate::report::{calibrate, inputs, text};

/// Runs the command.
pub fn check(args: &CheckArgs) -> Result<ExitCode, CliError> {
    let loaded = load(Some(&args.plan), &args.variation)?;
    let Ready { built, checked } = Ready::of(&loaded.plan)?;
    print(&text::heading(&loaded.source))?;
    print(&format!("{}\n\n", text::filled(&inputs::valid_text(&built.scenario))))?;
    let units = loaded.units(args.units);
    if let Some(advice) = inputs::weigh_first(units, &built.inputs) {
        print(&format!("{}\n\n", text::filled(&capital(&format!("{advice}.")))))?;
    }
    if let Some(checked) = &checked {
        let (first, corrected) = calibrate::around(units, Some(checked));
        let mut lines = String::new();
        let said = first.into_iter().chain(corrected).chain(calibrate::verdicts(units, false, checked));
        said.chain(calibrate::moved_lines(units, checked)).for_each(|line| line.write(&mut lines));
        print(&format!("{lines}\n{}\n", inputs::checked_table(units, &checked.before, &built.inputs)))?;
    } else {
        print(&format!("{}\n", inputs::table(units, &built.inputs)))?;
    }
    print(&format!("{}\n\n", text::filled(&inputs::places_text(&built.places))))?;
    print(&format!("{}\n", inputs::places_table(units, &built.places)))?;
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
