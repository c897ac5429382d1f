//! Values while rules are evaluated, and what a comparison has to say beyond yes or no.

use super::evidence::Evidence;
use super::made::Fields;
use super::number::{Number, Spread};
use super::syntax::Comparison;
use super::unknown::Unknown;
use crate::quantity::{Designation, Dimension, UnitId};
use crate::source::SharedText;
use crate::terms::PlaceId;
use jiff::civil::Date;
use std::rc::Rc;
use std::sync::Arc;

/// A known value.
#[derive(Debug, Clone)]
pub enum Value {
    /// A number.
    Number(Number),
    /// True or false, with the comparison that decided.
    Truth(bool, Option<Rc<Decision>>),
    /// Text.
    Text(Arc<str>),
    /// One of a key's choices.
    Choice(Arc<[SharedText]>, u16),
    /// A date.
    Date(Date),
    /// Three lengths.
    Point(Rc<[Number; 3]>),
    /// A trade designation.
    Designation(Arc<Designation>),
    /// A record of the spec.
    Place(PlaceId),
    /// A list.
    List(Rc<[Reading]>),
    /// A record made by a physics function or a table row.
    Fields(Fields),
    /// A curve.
    Curve(Rc<Curve>),
}

/// A computed curve: samples in ascending order of the running value; a gap where the result is unknown.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    /// Name of the running value.
    pub over: Rc<str>,
    /// Running value, SI.
    pub x: Vec<f64>,
    /// Result, SI.
    pub y: Vec<Option<f64>>,
    /// Dimension of the running value.
    pub x_dimension: Dimension,
    /// Dimension of the result.
    pub y_dimension: Dimension,
    /// The unit in which the running value is shown; without one its usual one.
    pub x_unit: Option<UnitId>,
    /// The unit in which the result is shown; without one its usual one.
    pub y_unit: Option<UnitId>,
}

/// What evaluating an expression gives: the value or the reasons why it is unknown, and what that rests on.
#[derive(Debug, Clone)]
pub struct Reading {
    /// Value or reasons.
    pub value: Result<Value, Unknown>,
    /// What it rests on.
    pub evidence: Evidence,
}

impl Reading {
    /// A known value.
    pub fn known(value: Value, evidence: Evidence) -> Reading {
        Reading { value: Ok(value), evidence }
    }

    /// An unknown one.
    pub fn unknown(unknown: Unknown, evidence: Evidence) -> Reading {
        Reading { value: Err(unknown), evidence }
    }

    /// The value in words; a question mark for an unknown one.
    pub fn shown(&self) -> String {
        self.value.as_ref().map_or_else(|_| "?".into(), Value::shown)
    }

    /// The number, where this is a known one.
    pub fn number(&self) -> Option<&Number> {
        match &self.value {
            Ok(Value::Number(n)) => Some(n),
            _ => None,
        }
    }
}

/// The comparison of numbers that decided a truth: both sides and how far apart they stand.
#[derive(Debug, Clone)]
pub struct Decision {
    /// The comparison's number in its rulebook (see [`super::Code`]).
    pub code: u32,
    /// Left side.
    pub left: Number,
    /// The comparison.
    pub comparison: Comparison,
    /// Right side.
    pub right: Number,
    /// How far the comparison is from turning, SI: positive where it holds.
    pub margin: f64,
    /// Margin as a share of the limit, where the limit has a true zero and is not zero.
    pub share: Option<f64>,
    /// Expanded uncertainty of the difference of both sides, SI; zero where none is stated.
    pub uncertainty: f64,
    /// The spec value that contributes most to it.
    pub largest: Option<PlaceId>,
    /// What each uncertain spec value contributes to it.
    pub spread: Spread,
    /// Running values of sweeps at which it decided, outermost first.
    pub at: Vec<(Rc<str>, Number)>,
    /// Members of lists which decided, outermost quantifier first.
    pub members: Vec<PlaceId>,
}

impl Decision {
    /// How near to turning, for finding the tightest: the share where there is one, else only the sign.
    pub fn tightness(&self) -> f64 {
        self.share.unwrap_or(if self.margin >= 0.0 { f64::INFINITY } else { -1.0 })
    }
}

impl Value {
    /// The word of a text or a choice.
    pub fn word(&self) -> Option<&str> {
        match self {
            Value::Text(text) => Some(text),
            Value::Choice(choices, at) => choices.get(usize::from(*at)).map(|word| &**word),
            _ => None,
        }
    }

    /// The value in words.
    pub fn shown(&self) -> String {
        match self {
            Value::Number(n) => n.shown(),
            Value::Truth(t, _) => if *t { "yes" } else { "no" }.into(),
            Value::Text(text) => text.to_string(),
            Value::Choice(choices, i) => choices.get(usize::from(*i)).map_or(String::new(), ToString::to_string),
            Value::Date(date) => date.to_string(),
            Value::Point(p) => format!("[{}, {}, {}]", p[0].shown(), p[1].shown(), p[2].shown()),
            Value::Designation(d) => d.to_string(),
            Value::Place(_) => "an item".into(),
            Value::List(items) => {
                let shown: Vec<_> = items
                    .iter()
                    .map(|r| match &r.value {
                        Ok(v) => v.shown(),
                        Err(_) => "unknown".into(),
                    })
                    .collect();
                format!("[{}]", shown.join(", "))
            }
            Value::Fields(fields) => {
                let one = |(name, part): (&str, Reading)| format!("{name} {}", part.shown());
                fields.parts().map(one).collect::<Vec<_>>().join(", ")
            }
            Value::Curve(c) => format!("a curve of {} points", c.x.len()),
        }
    }
}
