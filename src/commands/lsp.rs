//! `lsp`: serves an editor over standard input and output, by the Language Server Protocol.

use super::Status;
use super::common::Judging;
use crate::editor::{Ended, Options, connect, serve};

/// What `lsp` takes.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
An editor starts this itself; README.md shows how to tell it so.")]
pub struct Arguments {
    #[command(flatten)]
    judging: Judging,
    /// Taken for granted: there is no other way to talk to it
    #[arg(long, hide = true)]
    stdio: bool,
}

/// Runs it.
pub fn run(arguments: &Arguments) -> Status {
    let (connection, streams) = connect(std::io::stdin(), std::io::stdout());
    let options = Options { day: &|| arguments.judging.day(), more_rules: arguments.judging.rules.clone() };
    let ended = serve(&connection, &options);
    drop(connection);
    streams.finish();
    match ended {
        Ended::Announced => Status::Clear,
        Ended::Abruptly => Status::Held,
    }
}
