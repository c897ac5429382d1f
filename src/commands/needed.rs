//! `needed`: what to measure next on a build.

use super::Status;
use super::common::{Form, Judging, Looks};
use super::in_force::{Refused, open};
use super::judging::judge;
use super::output::{Output, refuse};
use super::place::build_at;
use super::take;
use crate::assess::{before, budget, round};
use crate::report;
use crate::rulebook::Rulebook;
use crate::terms::nearest;
use std::path::PathBuf;

/// What `needed` takes.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  tramgauge needed builds/marlow                 the most useful measurement first
  tramgauge needed builds/marlow --as json       for a machine
  tramgauge needed builds/marlow --before paint  what must be settled before a step that cannot be taken back
  tramgauge needed builds/marlow --round >list   a walk around the car, with blanks
  tramgauge needed builds/marlow --take list     write the filled list into the spec

Measurements are ranked by the sum, over the open outcomes, of one over the number of values that are still missing there.")]
pub struct Arguments {
    /// Folder of a build, or its build.yaml
    #[arg(default_value = ".")]
    build: PathBuf,
    /// Step before which all must be settled; `book --events` lists them
    #[arg(long, value_name = "STEP")]
    before: Option<String>,
    /// A walk around the car by place and tool, with blanks to fill in; with --before, for that step
    #[arg(long)]
    round: bool,
    /// Write a filled list of --round into the files of the spec, as measured on the day of --on
    #[arg(long, value_name = "FILE", conflicts_with_all = ["round", "before", "form"])]
    take: Option<PathBuf>,
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
    let book = &opened.repository.book;
    if let Some(words) = arguments.before.as_ref().and_then(|step| unknown_step(book, step)) {
        return Refused::Call(words).told(output, machine);
    }
    if let Some(list) = &arguments.take {
        return take::run(&opened, &build, list, arguments.judging.day(), output);
    }
    let build = judge(&opened.repository, &build, arguments.judging.day(), false);
    let found = arguments.before.as_ref().map(|step| before(&build.assessment, &build.spec, step));
    if arguments.round {
        let only = |path: &str| found.as_ref().is_none_or(|found| found.settle.iter().any(|one| one.path == path));
        let round = round(&build.assessment, &build.spec, &only);
        if machine {
            output.json(&report::round_json(&build.judged(), &round));
        } else {
            output.text(&report::round(&build.assessment, &round, &arguments.build.display().to_string()));
            if !build.errors.is_empty() {
                refuse("the spec has errors; inspect tells them");
            }
        }
    } else if machine {
        output.json(&match &found {
            Some(found) => report::before_json(&build.judged(), found),
            None => report::needed_json(&build.judged(), &budget(&build.assessment, &build.spec)),
        });
    } else {
        output.text(&report::errors("spec", &build.errors, &build.spec.sources, output.look));
        output.text(&match &found {
            Some(found) => report::before(&build.assessment, found, output.look),
            None => {
                let budget = budget(&build.assessment, &build.spec);
                report::needed(&build.assessment, &build.needed, &budget, output.look)
            }
        });
    }
    if build.errors.is_empty() { Status::Clear } else { Status::Unusable }
}

/// Words for a step that the rulebook does not have: the nearest, and all of them.
fn unknown_step(book: &Rulebook, step: &str) -> Option<String> {
    if book.event(step).is_some() {
        return None;
    }
    let names: Vec<&str> = book.events.iter().map(|event| &*event.name).collect();
    let way = nearest(step, names.iter().copied()).map_or(String::new(), |near| format!("; did you mean {near}?"));
    Some(format!("there is no step {step}{way} (the steps are {})", names.join(", ")))
}
