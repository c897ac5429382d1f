//! `book`: the rulebook, listed, or one rule of it.

use super::Status;
use super::common::{Form, Looks};
use super::in_force::open_with_pieces;
use super::output::{Output, refuse};
use crate::report::{self, Listed};
use crate::terms::nearest;
use std::path::{Path, PathBuf};

/// What `book` takes.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  tramgauge book                                 every rule, by system
  tramgauge book NAME                            one rule with its reasons and sources
  tramgauge book --functions                     what expressions can call
  tramgauge book --as json                       all of it, with sources and check pieces")]
pub struct Arguments {
    /// Name of a rule
    rule: Option<String>,
    /// List the functions that expressions can call
    #[arg(long, conflicts_with_all = ["tables", "sources", "events", "rule"])]
    functions: bool,
    /// List the tables with their rows
    #[arg(long, conflicts_with_all = ["sources", "events", "rule"])]
    tables: bool,
    /// List the sources
    #[arg(long, conflicts_with_all = ["events", "rule"])]
    sources: bool,
    /// List the steps that cannot be taken back, before which rules must be settled
    #[arg(long, conflicts_with = "rule")]
    events: bool,
    /// Folder with more rules, beside shop-rules/ at the repository's root; can be given several times
    #[arg(long, value_name = "FOLDER")]
    rules: Vec<PathBuf>,
    #[command(flatten)]
    pub looks: Looks,
}

/// Runs it.
pub fn run(arguments: &Arguments, output: &mut Output) -> Status {
    let machine = arguments.looks.form == Form::Json;
    let opened = match open_with_pieces(Path::new("."), &arguments.rules) {
        Ok(opened) => opened,
        Err(refused) => return refused.told(output, machine),
    };
    let book = &opened.repository.book;
    let Some(name) = &arguments.rule else {
        let listed = match arguments {
            Arguments { functions: true, .. } => Listed::Functions,
            Arguments { tables: true, .. } => Listed::Tables,
            Arguments { sources: true, .. } => Listed::Sources,
            Arguments { events: true, .. } => Listed::Events,
            _ => Listed::Rules,
        };
        if machine {
            output.json(&report::book_json(book));
        } else {
            output.text(&report::book(book, listed, output.look));
        }
        return Status::Clear;
    };
    let Some(rule) = book.rule(name) else {
        let way = nearest(name, book.rules.iter().map(|r| &*r.name))
            .map_or(String::new(), |n| format!("; did you mean {n}?"));
        refuse(&format!("there is no rule {name}{way}"));
        return Status::Unusable;
    };
    if machine {
        output.json(&report::rule_json(book, rule));
    } else {
        output.text(&report::rule(book, rule, output.look));
    }
    Status::Clear
}
