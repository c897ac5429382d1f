//! Quantities as a builder writes them: kinds, units, reading, printing, uncertainty, and designations.
//!
//! In comes text (`1-3/4 in`, `0.6° ± 0.2°`), out comes a value in SI with its dimension, the author's unit and what is
//! known of its uncertainty; and back. Unit factors come from `uom`. It knows nothing of YAML.

mod algebra;
mod atoms;
mod designation;
mod error;
mod kind;
mod number;
mod parse;
mod show;
mod unit;
mod unit_text;

pub use algebra::{Mismatch, Operation};
pub use designation::{
    Construction, Designation, DesignationError, DesignationKind, DesignationProblem, Fitting, Part, PartType, Thread,
    ThreadForm, Tyre, Wire,
};
pub use error::{QuantityError, QuantityProblem, UnitError, UnitProblem};
pub use kind::{Dimension, Exponents, Kind};
pub use parse::{Written, parse};
pub use show::{Digits, ShownParts, cut_off, in_one_unit, number, show, show_give_or_take, show_parts};
pub use unit::{Unit, UnitId, usual_units};
pub use unit_text::unit_at;
