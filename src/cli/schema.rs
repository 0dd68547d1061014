//! `lightpoint schema`: the JSON Schema of a plan, or of what the commands print with `--json`.

use std::process::ExitCode;

use crate::cli::CliError;
use crate::cli::args::SchemaArgs;
use crate::cli::output::print_json;
use crate::plan::schema;
use crate::report::json;

/// Runs the command.
pub fn schema(args: &SchemaArgs) -> Result<ExitCode, CliError> {
    print_json(&if args.result { json::schema() } else { schema::schema() })?;
    Ok(ExitCode::SUCCESS)
}
