//! The lower rooms: from text to a checked rulebook.
//!
//! They are a crate of their own, so that the build script of the whole can load the built-in rulebook with them and put it
//! into the program checked: what a start of the program costs is then only to unpack it.

pub mod language;
pub mod physics;
pub mod quantity;
pub mod rulebook;
pub mod search;
pub mod source;
pub mod terms;
