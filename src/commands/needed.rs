//! `needed`: what to measure next on a build.

use super::Status;
use super::common::{Form, Judging, Looks};
use super::in_force::{Refused, open};
use super::judging::judge;
use super::output::Output;
use super::place::build_at;
use crate::report;
use std::path::PathBuf;

/// What `needed` takes.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  tramgauge needed builds/marlow                 the most useful measurement first
  tramgauge needed builds/marlow --as json       for a machine

Measurements are ranked by the sum, over the open outcomes, of one over the number of values that are still missing there.")]
pub struct Arguments {
    /// Folder of a build, or its build.yaml
    #[arg(default_value = ".")]
    build: PathBuf,
    #[command(flatten)]
    judging: Judging,
    #[command(flatten)]
    pub looks: Looks,
}

/// Runs it.
pub fn run(arguments: &Arguments, output: &mut Output) -> Status {
    let machine = arguments.looks.form == Form::Json;
    let opened = match open(&arguments.build, &arguments.judging.rules) {
        Ok(opened) => opened,
        Err(refused) => return refused.told(output, machine),
    };
    let build = match build_at(&arguments.build, &opened.root, &*opened.repository.files) {
        Ok(build) => build,
        Err(words) => return Refused::Call(words).told(output, machine),
    };
    let build = judge(&opened.repository, &build, arguments.judging.day(), false);
    if machine {
        output.json(&report::needed_json(&build.judged()));
    } else {
        output.text(&report::errors("spec", &build.errors, &build.spec.sources, output.look));
        output.text(&report::needed(&build.assessment, &build.needed, output.look));
    }
    if build.errors.is_empty() { Status::Clear } else { Status::Unusable }
}
