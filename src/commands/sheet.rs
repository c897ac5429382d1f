//! `sheet`: figures and findings of a build as one page for screen and print, or for machines.

use super::Status;
use super::common::Judging;
use super::earlier::Earlier;
use super::in_force::{Refused, open};
use super::judging::judge;
use super::output::{Output, refuse};
use super::place::build_at;
use crate::history::Git;
use crate::report::{self, SheetOptions};
use crate::terms::nearest;
use std::path::{Path, PathBuf};

/// What `sheet` takes.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  tramgauge sheet builds/marlow --to marlow.html     one page; open it in a browser, print it from there
  tramgauge sheet builds/marlow --compare HEAD~3 --to marlow.html
                                                     the same beside what it was three commits ago
  tramgauge sheet builds/marlow --brief --to marlow.html
                                                     what to take to the car
  tramgauge sheet builds/marlow --system brakes --system fuel --to marlow.html
                                                     two systems alone
  tramgauge sheet builds/marlow --as json            what the page shows, for a machine
  tramgauge sheet builds/marlow --as csv             the figures, for a spreadsheet")]
pub struct Arguments {
    /// Folder of a build, or its build.yaml
    #[arg(default_value = ".")]
    build: PathBuf,
    /// Form of the answer
    #[arg(long = "as", value_name = "FORM", default_value = "html")]
    form: SheetForm,
    /// File to write; without it the answer goes to standard output
    #[arg(long, value_name = "FILE")]
    to: Option<PathBuf>,
    /// Show beside each value what it was at that revision: a commit, branch or tag, as git names it
    #[arg(long, value_name = "REVISION")]
    compare: Option<String>,
    /// System to show, as the table of outcomes names it; can be given several times; without it all are shown
    #[arg(long = "system", value_name = "SYSTEM")]
    systems: Vec<String>,
    /// Leave out the workings of findings, the rules that hold and the tables of figures
    #[arg(long)]
    brief: bool,
    #[command(flatten)]
    judging: Judging,
}

/// The form of a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum SheetForm {
    /// One page without script or network.
    Html,
    /// All of it for a machine.
    Json,
    /// The figures for a spreadsheet.
    Csv,
}

/// Runs it.
pub fn run(arguments: &Arguments, output: &mut Output) -> Status {
    let machine = arguments.form == SheetForm::Json;
    if arguments.form != SheetForm::Html && (arguments.brief || !arguments.systems.is_empty()) {
        refuse(
            "--system and --brief choose what stands on the page; json and csv hold everything: leave the one or the other out",
        );
        return Status::Unusable;
    }
    let opened = match open(&arguments.build, &arguments.judging.rules) {
        Ok(opened) => opened,
        Err(refused) => return refused.told(output, machine),
    };
    let path = match build_at(&arguments.build, &opened.root, &*opened.repository.files) {
        Ok(path) => path,
        Err(words) => return Refused::Call(words).told(output, machine),
    };
    let build = judge(&opened.repository, &path, arguments.judging.day(), true);
    let judged = build.judged();
    let known = report::systems_of(&judged);
    if let Some(unknown) = arguments.systems.iter().find(|s| !known.contains(&s.as_str())) {
        let meant =
            nearest(unknown, known.iter().copied()).map_or(".".to_string(), |near| format!(", did you mean {near}?"));
        refuse(&format!("this build has no system {unknown}{meant} It has {}", known.join(", ")));
        return Status::Unusable;
    }
    let earlier = arguments.compare.as_deref().map(|name| Earlier::find(name, &opened, &build, &arguments.judging));
    let earlier = match earlier.transpose() {
        Ok(earlier) => earlier,
        Err(refused) => return refused.told(output, machine),
    };
    earlier.iter().flat_map(Earlier::cautions).for_each(|words| refuse(&words));
    let before = earlier.as_ref().map(|earlier| earlier.shown(&build));
    let revision = revision(&opened.root);
    let options = SheetOptions {
        revision: revision.as_deref(),
        before: before.as_ref(),
        systems: &arguments.systems,
        brief: arguments.brief,
    };
    let text = match arguments.form {
        SheetForm::Html => report::sheet(&judged, &options),
        SheetForm::Json => {
            let text = serde_json::to_string_pretty(&report::sheet_json(&judged, &options)).unwrap_or_default();
            format!("{}\n", report::escaped(&text))
        }
        SheetForm::Csv => report::figures_csv(&build.assessment, before.as_ref()),
    };
    match &arguments.to {
        None => output.text(&text),
        Some(file) => {
            if let Err(error) = std::fs::write(file, text) {
                refuse(&format!("{}: {error}", file.display()));
                return Status::Unusable;
            }
        }
    }
    if build.errors.is_empty() { Status::Clear } else { Status::Unusable }
}

/// The commit that is checked out; none outside of a repository, or before its first commit.
fn revision(root: &Path) -> Option<String> {
    let git = Git::around(root).ok()?;
    if !git.has_commits() {
        return None;
    }
    git.resolve("HEAD").ok().map(|revision| revision.commit)
}
