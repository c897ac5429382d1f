//! Pure computations, typed with `uom`, one file for each topic; each states formula, symbols, source and range of validity.

pub mod range;
