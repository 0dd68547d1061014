//! `lightpoint man`: the manual pages, made from the same arguments as `--help`.

use std::process::ExitCode;

use clap::{Command, CommandFactory as _};
use clap_mangen::Man;

use crate::cli::args::{Args, ManArgs};
use crate::cli::output::{OutFile, print, print_written, write_all};
use crate::cli::{CliError, PROGRAM};

/// Runs the command.
pub fn man(args: &ManArgs) -> Result<ExitCode, CliError> {
    let mut program = Args::command().name(PROGRAM).disable_help_subcommand(true);
    program.build();
    let Some(dir) = &args.out else {
        print(&page(&program))?;
        return Ok(ExitCode::SUCCESS);
    };
    let files = std::iter::once(&program)
        .chain(program.get_subcommands())
        .map(|command| OutFile { name: Man::new(command.clone()).get_filename(), bytes: page(command).into_bytes() })
        .collect();
    print_written(&write_all(dir, files, &[])?)?;
    Ok(ExitCode::SUCCESS)
}

/// One page, as roff.
fn page(command: &Command) -> String {
    let mut roff = Vec::new();
    // writing into memory does not fail
    let _ = Man::new(command.clone()).manual("lightpoint").render(&mut roff);
    String::from_utf8_lossy(&roff).into_owned()
}
