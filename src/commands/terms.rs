//! `terms`: the bundled JSON Schema of a spec, with a repository's own terms and what may be given under `known`; or that of an
//! inspection's answer, or of a repository's settings.

use super::Status;
use super::in_force::{Refused, open};
use super::output::Output;
use crate::repository;
use crate::terms::Terms;
use std::path::{Path, PathBuf};

/// The JSON Schema of what `inspect --as json` writes.
const INSPECTION: &str = include_str!("../../schema/forms/inspection.json");

/// The JSON Schema of a comparison's answer.
const COMPARISON: &str = include_str!("../../schema/forms/comparison.json");

/// What `terms` takes.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  tramgauge terms                                JSON Schema, draft 2020-12
  tramgauge terms > spec.schema.json             for an editor that takes such schemas
  tramgauge terms --settings                     of the settings file of a repository, tramgauge.yaml
  tramgauge terms --inspection                   JSON Schema of what `inspect --as json` writes
  tramgauge terms --comparison                   JSON Schema of what `compare --as json` writes")]
pub struct Arguments {
    /// Folder with more rules, beside shop-rules/ at the repository's root; can be given several times
    #[arg(long, value_name = "FOLDER")]
    rules: Vec<PathBuf>,
    /// Print the JSON Schema of what `inspect --as json` writes instead
    #[arg(long, conflicts_with = "rules")]
    inspection: bool,
    /// Print the JSON Schema of what `compare --as json` writes instead; it refers to that of inspect as inspection.json
    #[arg(long, conflicts_with_all = ["rules", "inspection"])]
    comparison: bool,
    /// Print the JSON Schema of the settings file of a repository, tramgauge.yaml, instead
    #[arg(long, conflicts_with_all = ["rules", "inspection", "comparison"])]
    settings: bool,
}

/// Runs it.
pub fn run(arguments: &Arguments, output: &mut Output) -> Status {
    if arguments.inspection {
        output.text(INSPECTION);
        return Status::Clear;
    }
    if arguments.comparison {
        output.text(COMPARISON);
        return Status::Clear;
    }
    if arguments.settings {
        return match Terms::of_settings() {
            Ok(terms) => {
                output.json(&terms.bundle());
                Status::Clear
            }
            Err(refused) => Refused::from(repository::Refused::Terms(refused)).told(output, false),
        };
    }
    match open(Path::new("."), &arguments.rules) {
        Ok(opened) => {
            output.json(&opened.repository.book.library.terms.bundle());
            Status::Clear
        }
        Err(refused) => refused.told(output, false),
    }
}
