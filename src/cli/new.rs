//! `lightpoint new`: a starter plan.

use std::path::Path;
use std::process::ExitCode;

use crate::cli::CliError;
use crate::cli::args::{CylindersChoice, NewArgs, SuitChoice, Units};
use crate::cli::output::{print, write_new};
use crate::plan::listed::FromReadings;
use crate::plan::said::SaidCheck;
use crate::plan::starter::{self, Starter};
use crate::report::text::filled;

/// Runs the command.
pub fn new(args: &NewArgs) -> Result<ExitCode, CliError> {
    if let Some(list) = &args.readings {
        return from_readings(args, list);
    }
    let starter = Starter {
        suit: match args.suit {
            SuitChoice::Dry => starter::Suit::Dry,
            SuitChoice::Wet => starter::Suit::Wet,
        },
        cylinders: match args.cylinders {
            CylindersChoice::Single => starter::Cylinders::Single,
            CylindersChoice::Twin => starter::Cylinders::Twin,
            CylindersChoice::Sidemount => starter::Cylinders::Sidemount,
            CylindersChoice::Loop => starter::Cylinders::Loop,
        },
        stages: stages(args)?,
        units: match args.units {
            Units::Metric => starter::Units::Metric,
            Units::Us => starter::Units::Us,
        },
    };
    let file = shown(&args.file);
    if args.short {
        let text = starter.short_text().ok_or_else(|| CliError::Option {
            option: "--short",
            value: "with sidemount or stages".into(),
            expected: "a short plan has one cylinder or twins, or a loop with one stage; leave --short out".into(),
        })?;
        write_new(&args.file, (text + &check(args, &starter.cylinder_names())?).as_bytes())?;
        print(&format!(
            "wrote {file}\n\nAll that it leaves out is typical, and wide. Write your own mass, suit, cylinder and dive, then:\n  \
             lightpoint ballast {file}\n  lightpoint check {file}\n"
        ))?;
        return Ok(ExitCode::SUCCESS);
    }
    let text = starter.text() + &check(args, &starter.cylinder_names())?;
    write_new(&args.file, text.as_bytes())?;
    print(&format!(
        "wrote {file}\n\nWeigh your cylinders first of all: empty, in water, on a spring scale. The other figures are\n\
         typical too, not yours: replace those marked *** first, then:\n  lightpoint run {file}\n  lightpoint ballast \
         {file}\n"
    ))?;
    Ok(ExitCode::SUCCESS)
}

/// Stages of the rig: none unless asked for. What is breathed if a loop fails is one at least.
fn stages(args: &NewArgs) -> Result<u32, CliError> {
    match (args.cylinders, args.stages) {
        (CylindersChoice::Loop, Some(0)) => Err(CliError::Option {
            option: "--stages",
            value: "0".into(),
            expected: "a loop needs one at least, to breathe from if it fails".into(),
        }),
        (CylindersChoice::Loop, stages) => Ok(stages.unwrap_or(1)),
        (_, stages) => Ok(stages.unwrap_or(0)),
    }
}

/// A plan of a list of readings.
fn from_readings(args: &NewArgs, list: &Path) -> Result<ExitCode, CliError> {
    let stem = args.file.file_stem().map_or("Readings".into(), |stem| stem.to_string_lossy().into_owned());
    let FromReadings { mut text, taken, missing, cylinders } = FromReadings::of(list, &stem)?;
    text.push_str(&check(args, &cylinders)?);
    if let Units::Us = args.units {
        text = text.replacen("\ntitle = ", "\nunits = \"us\"\ntitle = ", 1);
    }
    write_new(&args.file, text.as_bytes())?;
    let file = shown(&args.file);
    let mut out = format!("wrote {file}\n\nTaken from the list:\n");
    taken.iter().for_each(|line| out.push_str(&format!("{}\n", listed(line))));
    out.push_str("\nNot in it:\n");
    missing.iter().for_each(|line| out.push_str(&format!("{}\n", listed(line))));
    out.push_str(&format!("\nIt runs as it is:\n  lightpoint ballast {file}\n  lightpoint check {file}\n"));
    print(&out)?;
    Ok(ExitCode::SUCCESS)
}

/// A line of a list, folded under its mark.
fn listed(line: &str) -> String {
    filled(&format!("• {line}"))
}

/// A path as a shell takes it.
fn shown(path: &Path) -> String {
    let path = path.display().to_string();
    if path.contains(char::is_whitespace) { format!("\"{path}\"") } else { path }
}

/// The table of the check that was asked for.
fn check(args: &NewArgs, cylinders: &[String]) -> Result<String, CliError> {
    let Some(line) = &args.weight_check else { return Ok(String::new()) };
    let names: Vec<&str> = cylinders.iter().map(String::as_str).collect();
    let said = SaidCheck::of(line, &names).map_err(|expected| CliError::Option {
        option: "--weight-check",
        value: line.clone(),
        expected: format!("{expected}. Write lead, water, depth and gauges, such as \"6 kg, fresh, 3 m, 50 bar\""),
    })?;
    Ok(said.table())
}
