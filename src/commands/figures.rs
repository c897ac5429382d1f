//! `figures`: what the rulebook can compute, or what it computes for a build.

use super::Status;
use super::common::{Form, Judging, Looks};
use super::in_force::{Refused, open};
use super::judging::judge;
use super::output::Output;
use super::place::build_at;
use crate::report;
use std::path::{Path, PathBuf};

/// What `figures` takes.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  tramgauge figures                              every figure with its meaning and formula
  tramgauge figures builds/marlow                their values for one build
  tramgauge figures builds/marlow --as json      the same, curves in full
  tramgauge figures builds/marlow --room engine.mounting.setback
                                                 how far one value may go, and what stops it")]
pub struct Arguments {
    /// Folder of a build, or its build.yaml
    build: Option<PathBuf>,
    /// Path of a value of the build: tell within which values nothing breaks, and what stops it on either side
    #[arg(long, value_name = "PATH", requires = "build")]
    room: Option<String>,
    #[command(flatten)]
    judging: Judging,
    #[command(flatten)]
    pub looks: Looks,
}

/// Runs it.
pub fn run(arguments: &Arguments, output: &mut Output) -> Status {
    let machine = arguments.looks.form == Form::Json;
    let path = arguments.build.as_deref().unwrap_or(Path::new("."));
    let opened = match open(path, &arguments.judging.rules) {
        Ok(opened) => opened,
        Err(refused) => return refused.told(output, machine),
    };
    let Some(build) = &arguments.build else {
        if machine {
            output.json(&report::listed_figures_json(&opened.repository.book));
        } else {
            output.text(&report::listed_figures(&opened.repository.book, output.look));
        }
        return Status::Clear;
    };
    let build = match build_at(build, &opened.root, &*opened.repository.files) {
        Ok(build) => build,
        Err(words) => return Refused::Call(words).told(output, machine),
    };
    if let Some(path) = &arguments.room {
        return super::room::run(&opened, &build, path, arguments.judging.day(), machine, output);
    }
    let build = judge(&opened.repository, &build, arguments.judging.day(), true);
    if machine {
        output.json(&report::figures_json(&build.assessment, &build.errors));
    } else {
        output.text(&report::errors("spec", &build.errors, &build.spec.sources, output.look));
        output.text(&report::figures(&build.assessment, output.look));
    }
    if build.errors.is_empty() { Status::Clear } else { Status::Unusable }
}
