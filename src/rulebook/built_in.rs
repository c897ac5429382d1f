//! The built-in rule files, taken into the program when it is built: their texts, and their tree already read.

use crate::source::{ReadFiles, unpack};

/// Path from the project's root, and text.
pub const BUILT_IN: &[(&str, &str)] = include!(concat!(env!("OUT_DIR"), "/rule_files.rs"));

/// The tree of the built-in files and the top node of each, packed by the build script.
const PACKED: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/rule_tree.bin"));

/// The same without check pieces, stock specs and coverage, which judging does not need.
const LEAN: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/rule_tree_lean.bin"));

/// The built-in files as read.
pub(super) fn unpacked() -> Option<ReadFiles> {
    unpack(PACKED, BUILT_IN)
}

/// The built-in files as read, without what judging does not need.
pub(super) fn unpacked_for_judging() -> Option<ReadFiles> {
    unpack(LEAN, BUILT_IN)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::{Sources, Tree, parse_file};

    #[test]
    fn the_packed_tree_is_what_reading_the_texts_gives() {
        let (mut texts, mut tree) = (Sources::default(), Tree::new());
        let mut roots = Vec::new();
        for (name, text) in BUILT_IN {
            let (root, errors) = parse_file(&mut texts, name, text.as_bytes(), &mut tree);
            assert!(errors.is_empty(), "{name}: {errors:?}");
            roots.push(root);
        }
        let read = unpacked().unwrap_or_else(|| panic!("the packed tree can be unpacked"));
        assert_eq!(tree, read.tree);
        assert_eq!(roots, read.roots);
    }
}
