//! `calibrate`: runs the rulebook's check pieces, and shakes its limits.

use super::Status;
use super::common::Judging;
use super::in_force::open;
use super::output::Output;
use crate::assess::{calibrate, shake};
use crate::report;
use std::path::Path;

/// What `calibrate` takes.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  tramgauge calibrate                            every piece of every rule and table
  tramgauge calibrate driveline --shake          one system, its limits moved and its comparisons flipped

Exit status: 0 every piece reads what it must and nothing is missing; 1 not so; 2 the rulebook or the call could not be used.")]
pub struct Arguments {
    /// Only rules and tables whose name begins with this
    only: Option<String>,
    /// Also move every limit by 5 % and flip every comparison: some piece must notice each
    #[arg(long)]
    shake: bool,
    /// Columns of the page, from 60 to 120
    #[arg(long, value_name = "COLUMNS")]
    pub width: Option<usize>,
    #[command(flatten)]
    judging: Judging,
}

/// Runs it.
pub fn run(arguments: &Arguments, output: &mut Output) -> Status {
    let mut book = match open(Path::new("."), &arguments.judging.rules) {
        Ok(repository) => repository.book,
        Err(refused) => return refused.told(output, false),
    };
    let day = arguments.judging.day();
    let only = arguments.only.as_deref();
    let result = calibrate(&book, day, only);
    output.text(&report::calibration(&book, &result, output.look));
    let mut sound = result.sound();
    if arguments.shake {
        let shaken = shake(&mut book, day, only);
        output.text(&report::shaking(&book, &shaken, output.look));
        sound &= shaken.unnoticed.is_empty();
    }
    if sound { Status::Clear } else { Status::Held }
}
