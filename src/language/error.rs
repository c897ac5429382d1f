//! What can be wrong with an expression: data with a range of its text; the words are made here and nowhere else.

use std::ops::Range;

/// A fault in an expression, with the characters (bytes of the expression's text) that it is about.
#[derive(Debug, Clone, PartialEq)]
pub struct Fault {
    /// What is wrong.
    pub problem: Problem,
    /// Where, in bytes of the expression's text.
    pub range: Range<usize>,
}

impl Fault {
    /// A fault over a range.
    pub fn new(problem: Problem, range: Range<usize>) -> Fault {
        Fault { problem, range }
    }
}

/// What is wrong with an expression.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Problem {
    /// A character that no part of the language begins with.
    #[error("`{0}` has no meaning here")]
    Character(char),
    /// Text without its closing quote.
    #[error("this text has no closing quote")]
    OpenText,
    /// A number that cannot be read.
    #[error("`{0}` is not a number")]
    Number(String),
    /// A unit that is unknown or ambiguous; the quantity room's words.
    #[error("{message}")]
    Unit {
        /// What is wrong with the unit.
        message: String,
        /// The way out.
        help: Option<String>,
    },
    /// Something else was expected.
    #[error("{expected} belongs here, not {found}")]
    Expected {
        /// What belongs here.
        expected: &'static str,
        /// What stands here.
        found: String,
    },
    /// The expression is nested too deeply.
    #[error("this expression is nested more than {0} deep")]
    TooDeep(usize),
    /// A name that nothing has.
    #[error("nothing here is called `{name}`")]
    UnknownName {
        /// The name.
        name: String,
        /// The nearest known one.
        nearest: Option<String>,
    },
    /// A key or figure which the thing does not have.
    #[error("{on} has no `{name}`")]
    UnknownField {
        /// The key asked for.
        name: String,
        /// What was asked.
        on: String,
        /// The nearest known one.
        nearest: Option<String>,
    },
    /// A function that is not registered.
    #[error("there is no function `{name}`")]
    UnknownFunction {
        /// The name.
        name: String,
        /// The nearest known one.
        nearest: Option<String>,
    },
    /// A table that the rulebook does not have.
    #[error("there is no table `{name}`")]
    UnknownTable {
        /// The name.
        name: String,
        /// The nearest known one.
        nearest: Option<String>,
    },
    /// A column that the table does not have.
    #[error("table `{table}` has no column `{name}`")]
    UnknownColumn {
        /// The table.
        table: String,
        /// The column asked for.
        name: String,
        /// The nearest known one.
        nearest: Option<String>,
    },
    /// A choice word that the key does not allow.
    #[error("`{word}` is none of its choices")]
    UnknownChoice {
        /// The word.
        word: String,
        /// The nearest allowed one.
        nearest: Option<String>,
        /// All allowed ones.
        choices: Vec<String>,
    },
    /// Two quantities that do not go together; the quantity room's words.
    #[error("{message}")]
    Mismatch {
        /// What does not go together.
        message: String,
        /// The way out, with the missing factor where it can be computed.
        help: Option<String>,
    },
    /// A value of another type than is needed.
    #[error("{expected} belongs here, but this is {found}")]
    WrongType {
        /// What belongs here.
        expected: String,
        /// What this is.
        found: String,
    },
    /// A call with the wrong number of arguments.
    #[error("`{name}` takes {takes}, but {given} are given")]
    ArgumentCount {
        /// The function or figure.
        name: String,
        /// What it takes, in words.
        takes: String,
        /// How many are given.
        given: usize,
    },
    /// A key column of a table left out, or one too many.
    #[error("table `{table}` is looked up by {keys}; {what}")]
    TableKeys {
        /// The table.
        table: String,
        /// Its key columns.
        keys: String,
        /// What is missing or too much.
        what: String,
    },
    /// Figures that rest on each other in a circle.
    #[error("this figure rests on itself: {0}")]
    Circle(String),
    /// A figure which is itself faulty.
    #[error("figure `{0}` cannot be used: it has a fault of its own")]
    FaultyFigure(String),
    /// A name given twice.
    #[error("`{0}` already means something here")]
    Shadowed(String),
    /// A figure or path with no neighbours.
    #[error("`{0}` asks for neighbours in an ordered list, but this is no item of one")]
    NoNeighbours(String),
}

impl Problem {
    /// The way out, where one can be named.
    pub fn help(&self) -> Option<String> {
        match self {
            Problem::UnknownName { nearest, .. }
            | Problem::UnknownField { nearest, .. }
            | Problem::UnknownFunction { nearest, .. }
            | Problem::UnknownTable { nearest, .. }
            | Problem::UnknownColumn { nearest, .. } => nearest.as_ref().map(|n| format!("did you mean `{n}`?")),
            Problem::UnknownChoice { nearest, choices, .. } => Some(match nearest {
                Some(n) => format!("did you mean \"{n}\"?"),
                None => format!("it may be: {}", choices.join(", ")),
            }),
            Problem::Unit { help, .. } | Problem::Mismatch { help, .. } => help.clone(),
            Problem::OpenText => Some("close it with the same quote".into()),
            Problem::Circle(_) => Some("let one of them be computed from written values alone".into()),
            Problem::Shadowed(_) => Some("choose another name".into()),
            _ => None,
        }
    }
}
