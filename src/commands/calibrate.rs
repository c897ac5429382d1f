//! `calibrate`: runs the rulebook's check pieces, and shakes its limits.

#![allow(clippy::print_stdout)]

use super::Status;
use super::in_force::{Refused, rulebook, rulebook_in};
use crate::assess::{PieceVerdict, calibrate, shake};
use crate::rulebook::RulebookError;
use crate::source::{Sources, Span};

/// What `calibrate` takes.
#[derive(clap::Args)]
pub struct Arguments {
    /// Only rules and tables whose name begins with this
    only: Option<String>,
    /// Also move every limit by 5 % and flip every comparison: some piece must notice each
    #[arg(long)]
    shake: bool,
    /// Use the `schema` and `rules` folders below this folder in place of the built-in ones
    #[arg(long, value_name = "FOLDER")]
    from: Option<std::path::PathBuf>,
}

fn place(texts: &Sources, span: Span) -> String {
    let at = texts.position(span.file, span.start);
    format!("{}:{}:{}", texts.name(span.file), at.line, at.column)
}

fn show_errors(texts: &Sources, errors: &[RulebookError]) {
    for error in errors {
        println!("{}: {}", place(texts, error.span), error.message());
        if let Some(help) = error.help() {
            println!("    {help}");
        }
    }
}

/// Runs it.
pub fn run(arguments: &Arguments) -> Status {
    let loaded = match &arguments.from {
        Some(folder) => rulebook_in(folder),
        None => rulebook(&[], &[]),
    };
    let mut book = match loaded {
        Ok(book) => book,
        Err(Refused::Rules(texts, errors)) => {
            show_errors(&texts, &errors);
            println!("{} errors in the rulebook", errors.len());
            return Status::Unusable;
        }
        Err(Refused::File(name, problem)) => {
            println!("{name}: {problem:?}");
            return Status::Unusable;
        }
        Err(Refused::Terms(refused)) => {
            for error in &refused.errors {
                println!("{}: {}", place(&refused.sources, error.span), error.message());
            }
            return Status::Unusable;
        }
    };
    let day = jiff::civil::date(2026, 6, 1);
    let only = arguments.only.as_deref();
    let result = calibrate(&book, day, only);
    for piece in &result.pieces {
        match &piece.verdict {
            PieceVerdict::Reads => {}
            PieceVerdict::Differs(what) => println!(
                "{}: {} piece {} must read {} but reads {what}",
                place(&book.texts, piece.place),
                piece.of,
                piece.number,
                piece.expected
            ),
            PieceVerdict::Unusable(why) => {
                println!("{}: {} piece {}: {why}", place(&book.texts, piece.place), piece.of, piece.number);
            }
        }
    }
    for (of, what, span) in &result.gaps {
        println!("{}: {of}: {what}", place(&book.texts, *span));
    }
    println!(
        "{} pieces of {} rules, {} figures, {} tables; {} gaps",
        result.pieces.len(),
        book.rules.len(),
        book.figures.len(),
        book.tables.len(),
        result.gaps.len()
    );
    let mut sound = result.sound();
    if arguments.shake {
        let report = shake(&mut book, day, only);
        for unnoticed in &report.unnoticed {
            println!(
                "{}: {}: {} and no piece notices",
                place(&book.texts, unnoticed.place),
                unnoticed.of,
                unnoticed.what
            );
        }
        println!("{} changes tried, {} unnoticed", report.tried, report.unnoticed.len());
        sound &= report.unnoticed.is_empty();
    }
    if sound { Status::Clear } else { Status::Held }
}
