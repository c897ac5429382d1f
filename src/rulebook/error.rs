//! What can be wrong with a rulebook: data with a place in a rule file; the words are made here.

use crate::language::Problem;
use crate::source::{SourceError, Span};

/// One error of a rulebook.
#[derive(Debug, Clone)]
pub struct RulebookError {
    /// What is wrong.
    pub problem: RulebookProblem,
    /// Where, in a rule file.
    pub span: Span,
    /// Another place that it is about.
    pub other: Option<Span>,
}

/// What is wrong with a rulebook.
#[derive(Debug, Clone)]
pub enum RulebookProblem {
    /// The file itself cannot be read.
    Source(SourceError),
    /// A fault in an expression.
    Expression(Problem),
    /// A key that such an entry does not have.
    UnknownKey {
        /// The key.
        key: String,
        /// What the entry is.
        of: &'static str,
        /// The nearest known key.
        nearest: Option<String>,
    },
    /// A key that such an entry needs.
    MissingKey {
        /// The key.
        key: &'static str,
        /// What the entry is.
        of: &'static str,
    },
    /// A value of another form than is needed.
    Form {
        /// What belongs here.
        expected: String,
    },
    /// A name that is taken.
    Taken {
        /// What carries it.
        what: &'static str,
        /// The name.
        name: String,
    },
    /// A name that does not lead anywhere.
    Unknown {
        /// What was to be found.
        what: &'static str,
        /// The name.
        name: String,
        /// The nearest known name.
        nearest: Option<String>,
    },
    /// A quantity that cannot be read; the quantity room's words.
    Quantity {
        /// What is wrong.
        message: String,
        /// The way out.
        help: Option<String>,
    },
}

impl RulebookError {
    /// An error at a place.
    pub fn new(problem: RulebookProblem, span: Span) -> RulebookError {
        RulebookError { problem, span, other: None }
    }

    /// What is wrong, in words.
    pub fn message(&self) -> String {
        match &self.problem {
            RulebookProblem::Source(error) => error.message(),
            RulebookProblem::Expression(problem) => problem.to_string(),
            RulebookProblem::UnknownKey { key, of, .. } => format!("{of} has no key `{key}`"),
            RulebookProblem::MissingKey { key, of } => format!("{of} needs the key `{key}`"),
            RulebookProblem::Form { expected } => format!("{expected} belongs here"),
            RulebookProblem::Taken { what, name } => format!("there is already a {what} `{name}`"),
            RulebookProblem::Unknown { what, name, .. } => format!("there is no {what} `{name}`"),
            RulebookProblem::Quantity { message, .. } => message.clone(),
        }
    }

    /// The way out, where one can be named.
    pub fn help(&self) -> Option<String> {
        match &self.problem {
            RulebookProblem::Source(error) => error.help().map(str::to_string),
            RulebookProblem::Expression(problem) => problem.help(),
            RulebookProblem::UnknownKey { nearest, .. } | RulebookProblem::Unknown { nearest, .. } => {
                nearest.as_ref().map(|n| format!("did you mean `{n}`?"))
            }
            RulebookProblem::Taken { what, .. } => Some(format!(
                "to stand in for a built-in {what}, say so: `replaces: {{name: ..., reason: ..., by: ...}}`"
            )),
            RulebookProblem::Quantity { help, .. } => help.clone(),
            RulebookProblem::MissingKey { .. } | RulebookProblem::Form { .. } => None,
        }
    }
}
