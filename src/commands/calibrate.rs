//! `calibrate`: runs the rulebook's check pieces, and shakes its limits.

use super::Status;
use super::common::Judging;
use super::in_force::{open_with_pieces, rulebook_in};
use super::output::Output;
use crate::assess::{calibrate, shake};
use crate::report;
use jiff::civil::{Date, date};
use std::mem::ManuallyDrop;
use std::path::{Path, PathBuf};

/// The day for which check pieces are written; what they read must not change with the calendar.
const PIECES_DAY: Date = date(2026, 6, 1);

/// What `calibrate` takes.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  tramgauge calibrate                            every piece of every rule and table
  tramgauge calibrate driveline --shake          one system, its limits moved and its comparisons flipped
  tramgauge calibrate --from .                   rule files that are being written, in a checkout of this program

Check pieces are written for 2026-06-01 and judged for that day, unless --on says otherwise.

Exit status: 0 every piece reads what it must and nothing is missing; 1 not so; 2 the rulebook or the call could not be used.")]
pub struct Arguments {
    /// Only rules and tables whose name begins with this
    only: Option<String>,
    /// Also move every limit by 5 % and flip every comparison: some piece must notice each
    #[arg(long)]
    shake: bool,
    /// Use the folders schema and rules below this folder in place of the built-in ones
    #[arg(long, value_name = "FOLDER")]
    from: Option<PathBuf>,
    /// Columns of the page, from 60 to 120
    #[arg(long, value_name = "COLUMNS")]
    pub width: Option<usize>,
    #[command(flatten)]
    judging: Judging,
}

/// Runs it.
pub fn run(arguments: &Arguments, output: &mut Output) -> Status {
    let loaded = match &arguments.from {
        Some(folder) => rulebook_in(folder),
        None => open_with_pieces(Path::new("."), &arguments.judging.rules)
            .map(|opened| ManuallyDrop::into_inner(opened.repository).book),
    };
    let mut book = match loaded {
        Ok(book) => book,
        Err(refused) => return refused.told(output, false),
    };
    let day = arguments.judging.on.unwrap_or(PIECES_DAY);
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
