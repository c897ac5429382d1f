//! The syntax tree of an expression, as written; every part with its range in the expression's text.

use crate::quantity::{Exponents, Kind, UnitId};
use std::ops::Range;

/// One expression.
#[derive(Debug, Clone, PartialEq)]
pub struct Expr {
    /// What it is.
    pub form: Form,
    /// Bytes of the expression's text.
    pub range: Range<usize>,
    /// How many parts lie on the longest way down, this one included.
    pub height: usize,
}

/// A name with its place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Word {
    /// The name.
    pub text: String,
    /// Bytes of the expression's text.
    pub range: Range<usize>,
}

/// Arithmetic of two numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub enum Arithmetic {
    /// Sum.
    Plus,
    /// Difference.
    Minus,
    /// Product.
    Times,
    /// Quotient.
    Over,
}

/// Comparison of two values.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub enum Comparison {
    /// `<`
    Below,
    /// `<=`
    AtMost,
    /// `>`
    Above,
    /// `>=`
    AtLeast,
    /// `=`
    Equal,
    /// `!=`
    Unequal,
}

impl Comparison {
    /// The sign as written.
    pub fn sign(self) -> &'static str {
        match self {
            Comparison::Below => "<",
            Comparison::AtMost => "<=",
            Comparison::Above => ">",
            Comparison::AtLeast => ">=",
            Comparison::Equal => "=",
            Comparison::Unequal => "!=",
        }
    }

    /// The comparison that holds where this one does not.
    #[must_use]
    pub fn flipped(self) -> Comparison {
        match self {
            Comparison::Below => Comparison::AtLeast,
            Comparison::AtMost => Comparison::Above,
            Comparison::Above => Comparison::AtMost,
            Comparison::AtLeast => Comparison::Below,
            Comparison::Equal => Comparison::Unequal,
            Comparison::Unequal => Comparison::Equal,
        }
    }
}

/// Which end of a set of values is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub enum Extreme {
    /// The smallest.
    Least,
    /// The largest.
    Greatest,
}

/// What is gathered over a list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub enum Gather {
    /// Their sum.
    Total,
    /// Their extreme.
    Extreme(Extreme),
    /// All of them.
    List,
}

/// Which neighbours of an item are wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub enum Neighbour {
    /// The item before.
    Before,
    /// The item after.
    After,
    /// All items before, nearest last.
    AllBefore,
    /// All items after, nearest first.
    AllAfter,
}

/// `NAME in LIST where CONDITION`.
#[derive(Debug, Clone, PartialEq)]
pub struct Members {
    /// The name given to each member.
    pub name: Word,
    /// The list.
    pub list: Box<Expr>,
    /// Which members count.
    pub condition: Option<Box<Expr>>,
}

/// `NAME from A to B`.
#[derive(Debug, Clone, PartialEq)]
pub struct Span {
    /// The name of the running value.
    pub name: Word,
    /// Where it begins.
    pub from: Box<Expr>,
    /// Where it ends.
    pub to: Box<Expr>,
}

/// What an expression is.
#[derive(Debug, Clone, PartialEq)]
pub enum Form {
    /// A number with or without a unit; in SI.
    Number {
        /// Value in SI.
        si: f64,
        /// Exponents of the unit.
        exponents: Exponents,
        /// Kind of the unit, where it has only one.
        kind: Option<Kind>,
        /// The unit; none for a plain number.
        unit: Option<UnitId>,
    },
    /// Text in quotes.
    Text(String),
    /// A date.
    Date(jiff::civil::Date),
    /// `yes` or `no`.
    YesNo(bool),
    /// A name.
    Name(String),
    /// A key or figure of something.
    Field(Box<Expr>, Word),
    /// A named item of a list.
    Item(Box<Expr>, Word),
    /// A call of a function, or of a figure with parameters where `of` is given.
    Call {
        /// The thing whose figure is called.
        of: Option<Box<Expr>>,
        /// Function or figure.
        name: Word,
        /// Arguments in order.
        arguments: Vec<Expr>,
    },
    /// `look_up(table.column, key: value)`.
    LookUp {
        /// The table.
        table: Word,
        /// The column.
        column: Word,
        /// Key columns and their values.
        keys: Vec<(Word, Expr)>,
    },
    /// `rows(table, key: value)`.
    Rows {
        /// The table.
        table: Word,
        /// Key columns and their values.
        keys: Vec<(Word, Expr)>,
    },
    /// `-x`.
    Negative(Box<Expr>),
    /// `not x`.
    Not(Box<Expr>),
    /// Arithmetic.
    Arithmetic(Arithmetic, Box<Expr>, Box<Expr>),
    /// `x ^ n`, n a number of halves.
    Power(Box<Expr>, i8),
    /// Comparison.
    Comparison(Comparison, Box<Expr>, Box<Expr>),
    /// Conjunction.
    And(Box<Expr>, Box<Expr>),
    /// Disjunction.
    Or(Box<Expr>, Box<Expr>),
    /// `x is given`.
    IsGiven(Box<Expr>),
    /// `x is none`.
    IsNone(Box<Expr>),
    /// `x is WORD`.
    IsA(Box<Expr>, Word),
    /// `x in LIST`.
    In(Box<Expr>, Box<Expr>),
    /// `if C then A else B`.
    If(Box<Expr>, Box<Expr>, Box<Expr>),
    /// `a otherwise b`.
    Otherwise(Box<Expr>, Box<Expr>),
    /// `best of a, b`.
    Best(Vec<Expr>),
    /// `least of a, b`, `greatest of a, b`.
    ExtremeOf(Extreme, Vec<Expr>),
    /// `any x in L has C`.
    Any(Members, Box<Expr>),
    /// `each x in L has C`.
    Each(Members, Box<Expr>),
    /// `total of E for x in L`.
    Gather(Gather, Box<Expr>, Members),
    /// `count of x in L`.
    Count(Members),
    /// `first x in L where C`.
    First(Members),
    /// `users of x`.
    Users(Box<Expr>),
    /// `along x.feed`.
    Along(Box<Expr>, Word),
    /// `throughout z from A to B has C`.
    Throughout(Span, Box<Expr>),
    /// `curve z from A to B of E`.
    Curve(Span, Box<Expr>),
    /// `greatest of E over z from A to B`.
    ExtremeOver(Extreme, Box<Expr>, Span),
    /// `assume E`.
    Assume(Box<Expr>),
    /// `[a, b]`.
    List(Vec<Expr>),
}

impl Form {
    /// The height of the highest part directly below.
    pub fn height_below(&self) -> usize {
        let members = |m: &Members| m.list.height.max(m.condition.as_ref().map_or(0, |c| c.height));
        let span = |s: &Span| s.from.height.max(s.to.height);
        let all = |e: &[Expr]| e.iter().map(|e| e.height).max().unwrap_or(0);
        match self {
            Form::Number { .. } | Form::Text(_) | Form::Date(_) | Form::YesNo(_) | Form::Name(_) => 0,
            Form::Field(a, _)
            | Form::Item(a, _)
            | Form::Negative(a)
            | Form::Not(a)
            | Form::Power(a, _)
            | Form::IsGiven(a)
            | Form::IsNone(a)
            | Form::IsA(a, _)
            | Form::Users(a)
            | Form::Along(a, _)
            | Form::Assume(a) => a.height,
            Form::Call { of, arguments, .. } => all(arguments).max(of.as_ref().map_or(0, |o| o.height)),
            Form::LookUp { keys, .. } | Form::Rows { keys, .. } => keys.iter().map(|k| k.1.height).max().unwrap_or(0),
            Form::Arithmetic(_, a, b)
            | Form::Comparison(_, a, b)
            | Form::And(a, b)
            | Form::Or(a, b)
            | Form::In(a, b)
            | Form::Otherwise(a, b) => a.height.max(b.height),
            Form::If(a, b, c) => a.height.max(b.height).max(c.height),
            Form::Best(e) | Form::ExtremeOf(_, e) | Form::List(e) => all(e),
            Form::Any(m, e) | Form::Each(m, e) | Form::Gather(_, e, m) => members(m).max(e.height),
            Form::Count(m) | Form::First(m) => members(m),
            Form::Throughout(s, e) | Form::Curve(s, e) | Form::ExtremeOver(_, e, s) => span(s).max(e.height),
        }
    }
}
