//! Files that were read when the program was built: their tree, packed, and their texts, put together again without reading.

use super::place::Sources;
use super::tree::{NodeId, Tree};

/// Files read into one tree.
#[derive(Debug, Clone)]
pub struct ReadFiles {
    /// Their texts, in order.
    pub sources: Sources,
    /// Their tree.
    pub tree: Tree,
    /// The top node of each file; none for one that says nothing.
    pub roots: Vec<Option<NodeId>>,
}

/// Packs a tree with the top node of each file; for the build script.
pub fn pack(tree: &Tree, roots: &[Option<NodeId>]) -> Option<Vec<u8>> {
    postcard::to_stdvec(&(tree, roots)).ok()
}

/// Puts packed files together with their names and texts, which must be those that were read; nothing if the bytes are no
/// packed tree.
pub fn unpack(packed: &'static [u8], files: &[(&str, &'static str)]) -> Option<ReadFiles> {
    let (tree, roots): (Tree, Vec<Option<NodeId>>) = postcard::from_bytes(packed).ok()?;
    let mut sources = Sources::default();
    for (name, text) in files {
        sources.add_built_in(name, text);
    }
    Some(ReadFiles { sources, tree, roots })
}
