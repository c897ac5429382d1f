//! One file for each command: arguments in, rooms called, exit status out.

mod answers;
mod book;
mod calibrate;
mod common;
mod compare;
mod earlier;
mod figures;
mod form;
mod hook;
mod in_force;
mod inspect;
mod judging;
mod lsp;
mod needed;
mod output;
mod place;
mod reckon;
mod room;
mod scope;
mod sheet;
mod sides;
mod start;
mod take;
mod terms;
mod tries;
mod workers;

use clap::{Parser, Subcommand};
use output::{Output, refuse};
use std::process::ExitCode;

/// Exit status of a run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Status {
    /// Nothing at or above the holding class.
    Clear,
    /// Something is.
    Held,
    /// A spec, a rulebook or the call itself could not be used.
    Unusable,
}

impl From<Status> for ExitCode {
    fn from(status: Status) -> ExitCode {
        ExitCode::from(match status {
            Status::Clear => 0,
            Status::Held => 1,
            Status::Unusable => 2,
        })
    }
}

/// Checks the written specification of a one-off vehicle build and explains what it finds.
///
/// It checks numbers on paper; local codes and licensed inspection decide.
#[derive(Parser)]
#[command(name = "tramgauge", version, about, max_term_width = 100)]
#[command(after_help = "\
Examples:
  tramgauge start builds/marlow                  a commented new spec
  tramgauge inspect builds/marlow                judge it
  tramgauge needed builds/marlow                 what to measure next")]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Judge builds
    Inspect(inspect::Arguments),
    /// Show what a change of a spec did, between two revisions
    Compare(compare::Arguments),
    /// List the rulebook, or show one rule with its reasons and sources
    Book(book::Arguments),
    /// List figures, or show their values for a build
    Figures(figures::Arguments),
    /// Show figures and findings of a build as one page for screen and print
    Sheet(sheet::Arguments),
    /// Show what to measure next on a build
    Needed(needed::Arguments),
    /// Put the hook that judges what is staged into a repository, or take it out
    Hook(hook::Arguments),
    /// Write a commented new spec
    Start(start::Arguments),
    /// Print the JSON Schema of a spec
    Terms(terms::Arguments),
    /// Run the check pieces of the rulebook
    Calibrate(calibrate::Arguments),
    /// Evaluate one expression with its working
    Reckon(reckon::Arguments),
    /// Serve an editor, by the Language Server Protocol
    Lsp(lsp::Arguments),
}

impl Command {
    fn width(&self) -> Option<usize> {
        match self {
            Command::Inspect(a) => a.width,
            Command::Compare(a) => a.width,
            Command::Book(a) => a.looks.width,
            Command::Figures(a) => a.looks.width,
            Command::Needed(a) => a.looks.width,
            Command::Reckon(a) => a.looks.width,
            Command::Calibrate(a) => a.width,
            Command::Hook(a) => a.width(),
            Command::Sheet(_) | Command::Start(_) | Command::Terms(_) | Command::Lsp(_) => None,
        }
    }
}

/// Runs the program on the arguments of this process.
pub fn run() -> Status {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) if error.use_stderr() => {
            let words = error.render().to_string();
            refuse_whole(words.strip_prefix("error: ").unwrap_or(&words));
            return Status::Unusable;
        }
        Err(asked) => {
            let mut output = Output::new(None);
            output.text(&asked.render().to_string());
            return finish(output, Status::Clear);
        }
    };
    let mut output = Output::new(arguments.command.width());
    let status = match &arguments.command {
        Command::Inspect(a) => inspect::run(a, &mut output),
        Command::Compare(a) => compare::run(a, &mut output),
        Command::Book(a) => book::run(a, &mut output),
        Command::Figures(a) => figures::run(a, &mut output),
        Command::Needed(a) => needed::run(a, &mut output),
        Command::Sheet(a) => sheet::run(a, &mut output),
        Command::Hook(a) => hook::run(a, &mut output),
        Command::Start(a) => start::run(a, &mut output),
        Command::Terms(a) => terms::run(a, &mut output),
        Command::Calibrate(a) => calibrate::run(a, &mut output),
        Command::Reckon(a) => reckon::run(a, &mut output),
        Command::Lsp(a) => lsp::run(a),
    };
    finish(output, status)
}

/// Says line by line what is wrong with the arguments.
fn refuse_whole(words: &str) {
    for line in words.lines().filter(|line| !line.trim().is_empty()) {
        refuse(line);
    }
}

fn finish(output: Output, status: Status) -> Status {
    match output.finish() {
        Ok(()) => status,
        Err(words) => {
            refuse(&words);
            Status::Unusable
        }
    }
}
