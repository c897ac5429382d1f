//! Files and places in them: turns the bytes of a build's files into one located tree.
//!
//! In come file contents through [`Files`]; out comes a [`Tree`] whose every key and value knows its file and byte
//! range, together with every [`SourceError`] found on the way. Only this room turns bytes into lines and columns.
//! It knows nothing of vehicles or rules.

mod files;
mod place;

pub use files::{Files, ReadProblem};
pub use place::{FileId, Position, Sources, Span};
