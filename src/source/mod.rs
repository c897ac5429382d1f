//! Files and places in them: turns the bytes of a build's files into one located tree.
//!
//! In come file contents through [`Files`]; out comes a [`Tree`] whose every key and value knows its file and byte
//! range, together with every [`SourceError`] found on the way. Only this room turns bytes into lines and columns.
//! It knows nothing of vehicles or rules.

mod assemble;
mod duplicate;
mod edit;
mod error;
mod files;
mod later;
mod packed;
mod parts;
mod place;
mod scalar;
mod sections;
mod shared_text;
mod syntax;
#[cfg(test)]
mod tests;
mod text;
mod tree;
mod yaml;

pub use edit::{EditProblem, EditStep, EditedFile, NewValue, TextEdit, apply};
pub use error::{PartProblem, SectionProblem, SourceError, SourceProblem, SyntaxProblem, USED_HERE};
pub use files::{DiskFiles, FILE_LIMIT, Files, MemoryFiles, OverlayFiles, ReadProblem, WatchedFiles};
pub use later::Later;
pub use packed::{ReadFiles, pack, unpack};
pub use parts::{CHAIN_LIMIT, PART_KEY, PART_LIMIT, Parts, names_a_sheet};
pub use place::{FileId, Position, Sources, Span};
pub use scalar::place_in;
pub use sections::{BUILD_LIMIT, ReadBuild, SECTION_LIMIT, read_build};
pub use shared_text::SharedText;
pub use tree::{
    ALIAS_LIMIT, Content, DEPTH_LIMIT, Entry, Node, NodeId, Scalar, ScalarStyle, Tree, WALK_LIMIT, commented_value,
};
pub use yaml::parse_file;
