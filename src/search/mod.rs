//! Searching along one number: a root, the lowest point of a dip, the turn of an answer.
//!
//! In comes a function and where to look; out comes a place. What the number means is the caller's affair.

mod dip;
mod root;
mod turn;

pub use dip::lowest_about;
pub use root::root_between;
pub use turn::turning_between;
