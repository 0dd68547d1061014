//! `lightpoint schema`: the JSON Schema of a plan.

use std::process::ExitCode;

use crate::cli::CliError;
use crate::cli::output::print;
use crate::plan::schema;

/// Runs the command.
pub fn schema() -> Result<ExitCode, CliError> {
    print(&format!("{:#}\n", schema::schema()))?;
    Ok(ExitCode::SUCCESS)
}
