//! `terms`: the bundled JSON Schema of a spec, with a repository's own terms and what may be given under `known`; or that of an
//! inspection's answer.

use super::Status;
use super::in_force::open;
use super::output::Output;
use std::path::{Path, PathBuf};

/// The JSON Schema of what `inspect --as json` writes.
const INSPECTION: &str = include_str!("../../schema/forms/inspection.json");

/// What `terms` takes.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  tramgauge terms                                JSON Schema, draft 2020-12
  tramgauge terms > spec.schema.json             for an editor that takes such schemas
  tramgauge terms --inspection                   JSON Schema of what `inspect --as json` writes")]
pub struct Arguments {
    /// Folder with more rules, beside shop-rules/ at the repository's root; can be given several times
    #[arg(long, value_name = "FOLDER")]
    rules: Vec<PathBuf>,
    /// Print the JSON Schema of what `inspect --as json` writes instead
    #[arg(long, conflicts_with = "rules")]
    inspection: bool,
}

/// Runs it.
pub fn run(arguments: &Arguments, output: &mut Output) -> Status {
    if arguments.inspection {
        output.text(INSPECTION);
        return Status::Clear;
    }
    match open(Path::new("."), &arguments.rules) {
        Ok(opened) => {
            output.json(&opened.repository.book.library.terms.bundle());
            Status::Clear
        }
        Err(refused) => refused.told(output, false),
    }
}
