//! `terms`: the bundled JSON Schema of a spec, with a repository's own terms and what may be given under `known`.

use super::Status;
use super::in_force::open;
use super::output::Output;
use std::path::{Path, PathBuf};

/// What `terms` takes.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  tramgauge terms                                JSON Schema, draft 2020-12
  tramgauge terms > spec.schema.json             for an editor that takes such schemas")]
pub struct Arguments {
    /// Folder with more rules, beside shop-rules/ at the repository's root; can be given several times
    #[arg(long, value_name = "FOLDER")]
    rules: Vec<PathBuf>,
}

/// Runs it.
pub fn run(arguments: &Arguments, output: &mut Output) -> Status {
    match open(Path::new("."), &arguments.rules) {
        Ok(opened) => {
            output.json(&opened.repository.book.library.terms.bundle());
            Status::Clear
        }
        Err(refused) => refused.told(output, false),
    }
}
