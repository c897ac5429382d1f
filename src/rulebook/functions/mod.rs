//! The register: which computations of `physics` expressions can call, under which names, with which kinds.
//!
//! One file for each system, one line for each function. The line names the kind of every parameter and of the result; the
//! macro turns SI numbers into `uom` quantities and back, so that a line whose kinds do not fit the function's types does
//! not compile.

mod brakes;
mod convert;
mod driveline;
mod fuel;
mod parts;

use crate::language::Function;
use std::sync::{Arc, LazyLock};

/// Every registered function, in the order of systems.
pub fn functions() -> Arc<[Function]> {
    static ALL: LazyLock<Arc<[Function]>> =
