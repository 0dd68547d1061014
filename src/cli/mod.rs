//! The command line: one file per command. [`args`] what may be typed · `load` plan to scenario · `output` files ·
//! `show` problems, and the only place that knows `miette`.
//!
//! Exit codes: 0 done · 1 a finding that the user asked to fail on · 2 bad input, or an output that cannot be written.
//! 130 ended by Ctrl-C with nothing to show.

pub mod args;
mod ballast;
mod bench;
mod calibrate;
mod check;
mod class;
mod compare;
mod completions;
mod cylinders;
mod doubt;
mod handout;
mod list;
mod load;
mod logged;
mod man;
mod new;
mod output;
mod run;
mod schema;
mod show;
pub mod sweep;
mod trim;
mod watch;

use std::process::ExitCode;

use clap::Parser;

use crate::answer::AnswerError;

pub use args::{Args, Command};

/// Name of the program.
const PROGRAM: &str = "lightpoint";
/// A finding that the user asked to fail on.
pub const EXIT_FINDING: u8 = 1;
/// Bad input, or an output that cannot be written.
pub const EXIT_BAD_INPUT: u8 = 2;

/// Why a command stopped.
#[derive(Debug, thiserror::Error)]
pub enum CliError {
    /// Something is wrong with a plan or a file beside it.
    #[error("the plan has problems")]
    Problems(#[from] crate::plan::Problems),
    /// There is no answer.
    #[error(transparent)]
    Answer(AnswerError),
    /// A figure could not be drawn.
    #[error(transparent)]
    Chart(#[from] crate::report::chart::ChartError),
    /// The series could not be written.
    #[error(transparent)]
    Series(#[from] crate::report::series::SeriesError),
    /// An output could not be written.
    #[error(transparent)]
    Output(#[from] output::OutputError),
    /// An option's value is out of range.
    #[error("{option} \"{value}\": {expected}")]
    Option {
        /// The option as typed.
        option: &'static str,
        /// The value as typed.
        value: String,
        /// What would be valid.
        expected: String,
    },
}

impl From<AnswerError> for CliError {
    fn from(error: AnswerError) -> Self {
        match error {
            AnswerError::Problems(problems) => Self::Problems(problems),
            other => Self::Answer(other),
        }
    }
}

/// Parses the arguments, runs the command, and says how it went.
pub fn main() -> ExitCode {
    let args = Args::parse();
    // POSIX: COLUMNS overrides what the terminal says
    let asked = std::env::var("COLUMNS").ok().and_then(|columns| columns.parse().ok());
    let terminal = || terminal_size::terminal_size_of(std::io::stdout()).map(|(width, _)| width.0.into());
    if let Some(columns) = asked.or_else(terminal) {
        crate::report::text::set_width(columns);
    }
    match dispatch(args.command) {
        Ok(code) => code,
        Err(error) => {
            show::error(&error);
            ExitCode::from(EXIT_BAD_INPUT)
        }
    }
}

fn dispatch(command: Command) -> Result<ExitCode, CliError> {
    match command {
        Command::Run(args) => run::run(&args),
        Command::Ballast(args) => ballast::ballast(&args),
        Command::Trim(args) => trim::trim(&args),
        Command::Handout(args) => handout::handout(&args),
        Command::Bench(args) => bench::bench(&args),
        Command::Compare(args) => compare::compare(&args),
        Command::Doubt(args) => doubt::doubt(&args),
        Command::Calibrate(args) => calibrate::calibrate(&args),
        Command::Check(args) => check::check(&args),
        Command::Class(args) => class::class(&args),
        Command::Cylinders(args) => cylinders::cylinders(&args),
        Command::New(args) => new::new(&args),
        Command::Schema(args) => schema::schema(&args),
        Command::Completions(args) => completions::completions(&args),
        Command::Man(args) => man::man(&args),
    }
}
