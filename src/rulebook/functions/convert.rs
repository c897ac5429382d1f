//! Between the SI numbers of the language and the `uom` quantities of physics.

use crate::language::{Argument, Output};
use crate::physics::range::OutOfRange;
use crate::physics::sound::SoundLevel;
use std::marker::PhantomData;
use uom::si::{Dimension, Quantity, SI};

/// Made from one argument.
pub trait FromArgument: Sized {
    /// The value, or words on why the argument does not fit.
    fn from_argument(argument: &Argument) -> Result<Self, String>;
}

type Si<D> = Quantity<D, SI<f64>, f64>;

fn quantity<D: Dimension + ?Sized>(value: f64) -> Si<D> {
    Quantity { dimension: PhantomData, units: PhantomData, value }
}

fn misfit() -> String {
    "an argument of another form is needed".into()
}

impl<D: Dimension + ?Sized> FromArgument for Si<D> {
    fn from_argument(argument: &Argument) -> Result<Self, String> {
        match argument {
            Argument::Number(si) => Ok(quantity(*si)),
            _ => Err(misfit()),
        }
    }
}

impl<D: Dimension + ?Sized> FromArgument for [Si<D>; 3] {
    fn from_argument(argument: &Argument) -> Result<Self, String> {
        match argument {
            Argument::Point(p) => Ok(p.map(quantity)),
            _ => Err(misfit()),
        }
    }
}

impl FromArgument for bool {
    fn from_argument(argument: &Argument) -> Result<Self, String> {
        match argument {
            Argument::Truth(value) => Ok(*value),
            _ => Err(misfit()),
        }
    }
}

impl FromArgument for SoundLevel {
    fn from_argument(argument: &Argument) -> Result<Self, String> {
        match argument {
            Argument::Number(level) => Ok(SoundLevel(*level)),
            _ => Err(misfit()),
        }
    }
}

/// Made from one member of a list argument.
pub trait FromMember: Sized {
    /// All members.
    fn members(argument: &Argument) -> Result<Vec<Self>, String>;
}

impl<D: Dimension + ?Sized> FromMember for Si<D> {
    fn members(argument: &Argument) -> Result<Vec<Self>, String> {
        match argument {
            Argument::Numbers(all) => Ok(all.iter().map(|v| quantity(*v)).collect()),
            _ => Err(misfit()),
        }
    }
}

impl<D: Dimension + ?Sized> FromMember for [Si<D>; 3] {
    fn members(argument: &Argument) -> Result<Vec<Self>, String> {
        match argument {
            Argument::Points(all) => Ok(all.iter().map(|p| p.map(quantity)).collect()),
            _ => Err(misfit()),
        }
    }
}

impl FromMember for SoundLevel {
    fn members(argument: &Argument) -> Result<Vec<Self>, String> {
        match argument {
            Argument::Numbers(all) => Ok(all.iter().map(|level| SoundLevel(*level)).collect()),
            _ => Err(misfit()),
        }
    }
}

/// The members of a list argument.
pub fn many<T: FromMember>(argument: &Argument) -> Result<Vec<T>, String> {
    T::members(argument)
}

/// The word of an argument.
pub fn word(argument: &Argument) -> Result<&str, String> {
    match argument {
        Argument::Word(word) => Ok(word),
        _ => Err(misfit()),
    }
}

/// A result that may have been refused.
pub trait Outcome {
    /// What there is if it was not.
    type Value;
    /// The value, or why it was refused.
    fn outcome(self) -> Result<Self::Value, String>;
}

impl<T> Outcome for Result<T, OutOfRange> {
    type Value = T;
    fn outcome(self) -> Result<T, String> {
        self.map_err(|e| e.to_string())
    }
}

impl<D: Dimension + ?Sized> Outcome for Si<D> {
    type Value = Self;
    fn outcome(self) -> Result<Self, String> {
        Ok(self)
    }
}

impl<D: Dimension + ?Sized> Outcome for [Si<D>; 3] {
    type Value = Self;
    fn outcome(self) -> Result<Self, String> {
        Ok(self)
    }
}

/// Made into an output.
pub trait IntoOutput {
    /// The output.
    fn into_output(self) -> Output;
}

impl<D: Dimension + ?Sized> IntoOutput for Si<D> {
    fn into_output(self) -> Output {
        Output::Number(self.value)
    }
}

impl<D: Dimension + ?Sized> IntoOutput for Vec<Si<D>> {
    fn into_output(self) -> Output {
        Output::Numbers(self.into_iter().map(|q| q.value).collect())
    }
}

impl<D: Dimension + ?Sized> IntoOutput for [Si<D>; 3] {
    fn into_output(self) -> Output {
        Output::Point(self.map(|q| q.value))
    }
}

impl IntoOutput for SoundLevel {
    fn into_output(self) -> Output {
        Output::Number(self.0)
    }
}

impl IntoOutput for bool {
    fn into_output(self) -> Output {
        Output::Truth(self)
    }
}
