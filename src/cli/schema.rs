//! `lightpoint schema`: the JSON Schema of a plan, of a class, or of what the commands print with `--json`.

use std::process::ExitCode;

use crate::cli::CliError;
use crate::cli::args::SchemaArgs;
use crate::cli::output::print_json;
use crate::plan::schema;
use crate::report::json;

/// Runs the command.
pub fn schema(args: &SchemaArgs) -> Result<ExitCode, CliError> {
    print_json(&match (args.result, args.class) {
        (true, _) => json::schema(),
        (false, true) => schema::class_schema(),
        (false, false) => schema::schema(),
    })?;
    Ok(ExitCode::SUCCESS)
}
