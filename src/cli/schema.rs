//! `lightpoint schema`: the JSON Schema of a plan, or of the result of a run.

use std::process::ExitCode;

use crate::cli::CliError;
use crate::cli::args::SchemaArgs;
use crate::cli::output::print;
use crate::plan::schema;
use crate::report::json;

/// Runs the command.
pub fn schema(args: &SchemaArgs) -> Result<ExitCode, CliError> {
    let schema = if args.result { json::schema() } else { schema::schema() };
    print(&format!("{schema:#}\n"))?;
    Ok(ExitCode::SUCCESS)
}
