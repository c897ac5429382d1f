//! One form for everything that can be wrong with a spec, a rulebook, the terms or an expression: words and places.

use crate::language::Fault;
use crate::rulebook::{RulebookError, RulebookProblem};
use crate::source::{SourceError, Span};
use crate::terms::{SchemaError, SchemaProblem, SettingError, TermsError};

/// Something wrong, ready to be shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Trouble {
    /// What is wrong, in one sentence.
    pub message: String,
    /// The way out, where one can be told.
    pub remedy: Option<String>,
    /// Where.
    pub span: Span,
    /// Another place that it is about, with what is said there.
    pub other: Option<(Span, &'static str)>,
}

impl From<&SourceError> for Trouble {
    fn from(error: &SourceError) -> Trouble {
        Trouble {
            message: error.message(),
            remedy: error.help().map(str::to_string),
            span: error.span,
            other: error.other.map(|span| (span, error.other_words())),
        }
    }
}

impl From<&TermsError> for Trouble {
    fn from(error: &TermsError) -> Trouble {
        Trouble {
            message: error.message(),
            remedy: error.help(),
            span: error.span,
            other: error.other.map(|span| (span, error.other_words())),
        }
    }
}

impl From<&SettingError> for Trouble {
    fn from(error: &SettingError) -> Trouble {
        match error {
            SettingError::Form(words, span) => {
                Trouble { message: (*words).to_string(), remedy: None, span: *span, other: None }
            }
            SettingError::Source(error) => Trouble::from(error),
            SettingError::Terms(error) => Trouble::from(error),
        }
    }
}

impl From<&RulebookError> for Trouble {
    fn from(error: &RulebookError) -> Trouble {
        if let RulebookProblem::Source(source) = &error.problem {
            return Trouble::from(source);
        }
        Trouble {
            message: error.message(),
            remedy: error.help(),
            span: error.span,
            other: error.other.map(|span| (span, "this is meant")),
        }
    }
}

impl From<&SchemaError> for Trouble {
    fn from(error: &SchemaError) -> Trouble {
        let (remedy, other) = match &error.problem {
            SchemaProblem::Source(source) => return Trouble::from(source),
            SchemaProblem::DefinedTwice { first, .. } => (None, Some((*first, "first here"))),
            _ => (None, None),
        };
        Trouble { message: error.message(), remedy, span: error.span, other }
    }
}

impl Trouble {
    /// A fault in an expression that stands alone in a text.
    pub fn in_expression(fault: &Fault, text: Span) -> Trouble {
        let byte = |at: usize| (text.start + at as u32).min(text.end);
        let span = Span { file: text.file, start: byte(fault.range.start), end: byte(fault.range.end) };
        Trouble { message: fault.problem.to_string(), remedy: fault.problem.help(), span, other: None }
    }
}
