//! One file for each command: arguments in, rooms called, exit status out.

mod calibrate;
mod in_force;

use clap::{Parser, Subcommand};
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
#[derive(Parser)]
#[command(name = "tramgauge", version, about)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Run the check pieces of the rulebook
    Calibrate(calibrate::Arguments),
}

/// Runs the program on the arguments of this process.
pub fn run() -> Status {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => {
            let shown = error.print();
            return if error.use_stderr() || shown.is_err() { Status::Unusable } else { Status::Clear };
        }
    };
    match arguments.command {
        Command::Calibrate(arguments) => calibrate::run(&arguments),
    }
}
