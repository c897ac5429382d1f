//! Quantities as a builder writes them: kinds, units, reading, printing, uncertainty, and designations.
//!
//! In comes text (`1-3/4 in`, `0.6° ± 0.2°`), out comes a value in SI with its dimension, the author's unit and what is
//! known of its uncertainty; and back. Unit factors come from `uom`. It knows nothing of YAML.

mod kind;

pub use kind::{Dimension, Exponents, Kind};
