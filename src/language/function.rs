//! Functions that expressions can call: the language sees names, types and a call on SI numbers; what is computed is the
//! caller's affair.

use super::types::Type;
use crate::quantity::Dimension;

/// What a function takes for one parameter.
#[derive(Debug, Clone, PartialEq)]
pub enum ParameterType {
    /// One number.
    Number(Dimension),
    /// A list of numbers.
    Numbers(Dimension),
    /// A point.
    Point,
    /// A list of points.
    Points,
    /// One of these words.
    Word(&'static [&'static str]),
    /// A condition.
    Truth,
}

/// One parameter.
#[derive(Debug, Clone, PartialEq)]
pub struct Parameter {
    /// Its name, for messages and the printed list.
    pub name: &'static str,
    /// What it takes.
    pub ty: ParameterType,
}

/// An argument in SI.
#[derive(Debug, Clone, PartialEq)]
pub enum Argument {
    /// One number.
    Number(f64),
    /// A list of numbers.
    Numbers(Vec<f64>),
    /// A point.
    Point([f64; 3]),
    /// A list of points.
    Points(Vec<[f64; 3]>),
    /// A word.
    Word(String),
    /// A condition.
    Truth(bool),
}

/// What a function gives, in SI; the shape follows its [`Function::gives`].
#[derive(Debug, Clone, PartialEq)]
pub enum Output {
    /// One number.
    Number(f64),
    /// A list of numbers.
    Numbers(Vec<f64>),
    /// A point.
    Point([f64; 3]),
    /// True or false.
    Truth(bool),
    /// A record of named fields, in the order of the type.
    Fields(Vec<Output>),
}

/// The call itself: arguments in order; an error is a range that was left, in words.
pub type Call = fn(&[Argument]) -> Result<Output, String>;

/// A function that expressions can call.
#[derive(Clone)]
pub struct Function {
    /// Its name, snake_case.
    pub name: &'static str,
    /// What it computes, in a line.
    pub says: &'static str,
    /// Its parameters.
    pub takes: Vec<Parameter>,
    /// What it gives.
    pub gives: Type,
    /// The call.
    pub call: Call,
}

impl std::fmt::Debug for Function {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Function").field("name", &self.name).finish_non_exhaustive()
    }
}
