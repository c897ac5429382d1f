//! What functions and tables make, as values: numbers with their uncertainty, and records whose parts are made when they are
//! asked for, since of the two dozen results of a suspension's pose a rule wants one or two.

use super::evidence::Evidence;
use super::function::Output;
use super::number::{Number, Spreads};
use super::types::{FieldNames, Type};
use super::unknown::Unknown;
use super::value::{Reading, Value};
use crate::quantity::{Dimension, Kind};
use std::rc::Rc;

/// A record made by a function or of a table's row.
#[derive(Debug, Clone)]
pub struct Fields {
    names: FieldNames,
    parts: Parts,
}

#[derive(Debug, Clone)]
enum Parts {
    Read(Rc<[Reading]>),
    Made(Rc<Made>),
}

/// The results of a function.
#[derive(Debug)]
struct Made {
    outputs: Vec<Output>,
    uncertainty: Uncertainty,
}

/// The uncertainties of the numbers of an output, from one of them on.
#[derive(Debug, Clone)]
pub(super) struct Uncertainty {
    first: usize,
    spreads: Option<Rc<Spreads>>,
}

impl Uncertainty {
    /// Of exact numbers.
    pub const NONE: Uncertainty = Uncertainty { first: 0, spreads: None };

    /// Of numbers from the first on.
    pub fn of(spreads: Spreads) -> Uncertainty {
        Uncertainty { first: 0, spreads: Some(Rc::new(spreads)) }
    }

    fn behind(&self, numbers: usize) -> Uncertainty {
        Uncertainty { first: self.first + numbers, spreads: self.spreads.clone() }
    }

    fn number(&self, at: usize, si: f64, dimension: Dimension) -> Number {
        let mut number = Number::exact(si, dimension);
        if let Some(spreads) = &self.spreads {
            number.spread = spreads.of_number(self.first + at);
        }
        number
    }
}

impl Fields {
    /// A record of what was read.
    pub(super) fn read(parts: Rc<[Reading]>, names: FieldNames) -> Fields {
        Fields { names, parts: Parts::Read(parts) }
    }

    /// How many parts it has.
    fn len(&self) -> usize {
        match &self.parts {
            Parts::Read(readings) => readings.len(),
            Parts::Made(made) => made.outputs.len(),
        }
    }

    /// One of its parts, by its number.
    pub fn part(&self, at: usize) -> Option<Reading> {
        match &self.parts {
            Parts::Read(readings) => readings.get(at).cloned(),
            Parts::Made(made) => {
                let (output, (_, ty)) = (made.outputs.get(at)?, self.names.get(at)?);
                let before = made.outputs.iter().take(at).map(numbers).sum();
                let value = value_of(output.clone(), ty, &made.uncertainty.behind(before));
                Some(Reading { value, evidence: Evidence::NONE })
            }
        }
    }

    /// Its parts with their names.
    pub fn parts(&self) -> impl Iterator<Item = (&str, Reading)> {
        let names = self.names.iter().map(|(name, _)| &**name);
        names.zip((0..self.len()).filter_map(|at| self.part(at)))
    }
}

/// How many numbers an output has.
fn numbers(output: &Output) -> usize {
    match output {
        Output::Number(_) => 1,
        Output::Numbers(all) => all.len(),
        Output::Point(axes) => axes.len(),
        Output::Truth(_) => 0,
        Output::Fields(all) => all.iter().map(numbers).sum(),
    }
}

/// What a function gave, as a value of its type.
pub(super) fn value_of(output: Output, ty: &Type, uncertainty: &Uncertainty) -> Result<Value, Unknown> {
    match (output, ty) {
        (Output::Number(si), Type::Quantity(dimension)) => Ok(Value::Number(uncertainty.number(0, si, *dimension))),
        (Output::Numbers(all), Type::List(inner)) => {
            let dimension = if let Type::Quantity(d) = **inner { d } else { Kind::Number.into() };
            let one = |(at, si): (usize, &f64)| {
                Reading::known(Value::Number(uncertainty.number(at, *si, dimension)), Evidence::NONE)
            };
            Ok(Value::List(all.iter().enumerate().map(one).collect()))
        }
        (Output::Point(axes), _) => {
            let axis = |at: usize| uncertainty.number(at, axes[at], Kind::Length.into());
            Ok(Value::Point(Rc::new([axis(0), axis(1), axis(2)])))
        }
        (Output::Truth(truth), _) => Ok(Value::Truth(truth, None)),
        (Output::Fields(outputs), Type::Fields(names)) => {
            let made = Made { outputs, uncertainty: uncertainty.clone() };
            Ok(Value::Fields(Fields { names: names.clone(), parts: Parts::Made(Rc::new(made)) }))
        }
        _ => Err(Unknown::none()),
    }
}
