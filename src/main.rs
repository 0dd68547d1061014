//! The command-line tool: parse, run, exit code.

use std::process::ExitCode;

fn main() -> ExitCode {
    lightpoint::internals::cli::main()
}
