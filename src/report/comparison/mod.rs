//! What changed between two revisions, for a person, for a review comment and for a program.
//!
//! In come [`ComparedBuild`]s, each a comparison that is made already, and the [`Revisions`] that they are of; out come texts. One
//! file for each form, and one for the words that they share.

mod brief;
mod json;
mod markdown;
mod terminal;
mod words;

pub use brief::comparison_brief;
pub use json::comparison_json;
pub(super) use json::{both as both_json, margin_move as margin_move_json};
pub use markdown::{COMMENT_LIMIT, comparison_markdown};
pub use terminal::comparison_terminal;
pub(super) use words::turn;

use super::Trouble;
use crate::assess::Assessment;
use crate::history::compare::{BookChange, Comparison};
use crate::source::Sources;
use jiff::civil::Date;

/// What is compared.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Revisions {
    /// The older side in words.
    pub base: String,
    /// The newer side in words.
    pub head: String,
    /// The day for which both are judged.
    pub day: Date,
    /// How many builds are the same on both sides.
    pub unchanged: usize,
}

/// A build on one side or on both.
pub enum ComparedBuild<'a> {
    /// On both.
    Both(Compared<'a>),
    /// On the newer side only: its path, and how it is judged.
    Added(&'a str, &'a Assessment, &'a [Trouble]),
    /// On the older side only: its path and name.
    Removed(&'a str, Option<&'a str>),
}

/// A build on both sides.
pub struct Compared<'a> {
    /// The path of its build file in the newer revision.
    pub path: &'a str,
    /// The path in the older revision, where that is another.
    pub old_path: Option<&'a str>,
    /// What changed.
    pub comparison: &'a Comparison,
    /// What is wrong with the spec of the older revision.
    pub old_errors: &'a [Trouble],
    /// What is wrong with the spec of the newer revision.
    pub errors: &'a [Trouble],
    /// What the repository's own rules do that changed.
    pub book: Option<BookWords<'a>>,
}

/// What changed rules do, or why that cannot be told.
pub enum BookWords<'a> {
    /// What they do to the older spec.
    Change(&'a BookChange),
    /// The older rules cannot be used: which of terms and rulebook, their texts, and what is wrong.
    Unusable(&'static str, &'a Sources, &'a [Trouble]),
}
