//! `lightpoint new`: a starter plan.

use std::process::ExitCode;

use crate::cli::CliError;
use crate::cli::args::{CylindersChoice, NewArgs, SuitChoice, Units};
use crate::cli::output::{print, write_new};
use crate::plan::starter::{self, Starter};

/// Runs the command.
pub fn new(args: &NewArgs) -> Result<ExitCode, CliError> {
    let starter = Starter {
        suit: match args.suit {
            SuitChoice::Dry => starter::Suit::Dry,
            SuitChoice::Wet => starter::Suit::Wet,
        },
        cylinders: match args.cylinders {
            CylindersChoice::Single => starter::Cylinders::Single,
            CylindersChoice::Twin => starter::Cylinders::Twin,
            CylindersChoice::Sidemount => starter::Cylinders::Sidemount,
        },
        stages: args.stages,
        units: match args.units {
            Units::Metric => starter::Units::Metric,
            Units::Us => starter::Units::Us,
        },
    };
    let path = args.file.display().to_string();
    let file = if path.contains(char::is_whitespace) { format!("\"{path}\"") } else { path };
    if args.short {
        let text = starter.short_text().ok_or_else(|| CliError::Option {
            option: "--short",
            value: "with sidemount or stages".into(),
            expected: "a short plan has one cylinder or twins; leave --short out".into(),
        })?;
        write_new(&args.file, text.as_bytes())?;
        print(&format!(
            "wrote {file}\n\nAll that it leaves out is typical, and wide. Write your own mass, suit, cylinder and dive, then:\n  \
             lightpoint ballast {file}\n  lightpoint check {file}\n"
        ))?;
        return Ok(ExitCode::SUCCESS);
    }
    write_new(&args.file, starter.text().as_bytes())?;
    print(&format!(
        "wrote {file}\n\nWeigh your cylinders first of all: empty, in water, on a spring scale. The other figures are\n\
         typical too, not yours: replace those marked *** first, then:\n  lightpoint run {file}\n  lightpoint ballast \
         {file}\n"
    ))?;
    Ok(ExitCode::SUCCESS)
}
