//! `lightpoint completions`: what a shell needs to complete commands and options.

use std::process::ExitCode;

use clap::CommandFactory as _;

use crate::cli::args::{Args, CompletionsArgs};
use crate::cli::output::print;
use crate::cli::{CliError, PROGRAM};

/// Runs the command.
pub fn completions(args: &CompletionsArgs) -> Result<ExitCode, CliError> {
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut Args::command(), PROGRAM, &mut script);
    print(&String::from_utf8_lossy(&script))?;
    Ok(ExitCode::SUCCESS)
}
