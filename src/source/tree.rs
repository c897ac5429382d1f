//! The located tree: what the files of a build say, every key and value with its place.
//!
//! An arena of nodes, filled by `parse_file` and `read_build`, read by everyone above. Aliases share nodes, so the tree
//! is a graph without circles; its makers bound its depth ([`DEPTH_LIMIT`]) and the number of nodes that a walk through
//! all aliases meets ([`WALK_LIMIT`], [`ALIAS_LIMIT`]), so a plain recursive walk is safe.

use serde::{Deserialize, Serialize};
use std::borrow::Cow;

use super::place::{FileId, Sources, Span};

/// No node lies deeper below the root than this, aliases followed.
pub const DEPTH_LIMIT: u16 = 64;

/// A walk over one build, following every alias, meets at most this many nodes (long texts count more than once). A
/// build of the largest size that is read has about half as many.
pub const WALK_LIMIT: u64 = 1_000_000;

/// Of these, at most so many are met through aliases: a few lines of them could otherwise stand for billions.
pub const ALIAS_LIMIT: u64 = 100_000;

/// A node's index in its [`Tree`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub struct NodeId(pub u32);

/// All nodes of one build, or of one file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct Tree {
    nodes: Vec<Node>,
    root: NodeId,
}

/// A value and its place.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct Node {
    /// Scalars: exactly the bytes of the value as written, with its quotes. Lists and maps: from the first dash, key or
    /// bracket to the end of the last child or bracket. Nothing written: an empty range where it would stand.
    pub span: Span,
    /// What is written there.
    pub content: Content,
}

/// What a value is.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub enum Content {
    /// A text, number, date or nothing.
    Scalar(Scalar),
    /// Members in order.
    List(Vec<NodeId>),
    /// Entries in the order written; keys are unique.
    Map(Vec<Entry>),
}

/// One value without parts.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Scalar {
    /// The text meant: quotes, escapes, folds and indentation taken away. Empty and plain: nothing is written. That of a
    /// built-in file stands in the program itself.
    #[serde(borrow)]
    pub text: Cow<'static, str>,
    /// How it is written.
    pub style: ScalarStyle,
}

/// How a scalar is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum ScalarStyle {
    /// Bare.
    Plain,
    /// In single or double quotes.
    Quoted,
    /// Below a `|` or `>`.
    Block,
}

/// A key and its value.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Entry {
    /// The key's text.
    #[serde(borrow)]
    pub key: Cow<'static, str>,
    /// The key's place, with its quotes.
    pub key_span: Span,
    /// The value.
    pub value: NodeId,
}

impl Default for Tree {
    fn default() -> Self {
        Self::new()
    }
}

impl Tree {
    /// A tree whose root is an empty map at the start of the first file.
    pub fn new() -> Self {
        let span = Span { file: FileId(0), start: 0, end: 0 };
        Self { nodes: vec![Node { span, content: Content::Map(Vec::new()) }], root: NodeId(0) }
    }

    /// The node of an id that this tree gave out.
    pub fn node(&self, id: NodeId) -> &Node {
        &self.nodes[id.0 as usize]
    }

    /// The top of the tree; always a map.
    pub fn root(&self) -> NodeId {
        self.root
    }

    /// The value of a key; nothing if `map` is not a map or has no such key.
    pub fn get(&self, map: NodeId, key: &str) -> Option<NodeId> {
        self.entry(map, key).map(|entry| entry.value)
    }

    /// The entry of a key; nothing if `map` is not a map or has no such key.
    pub fn entry(&self, map: NodeId, key: &str) -> Option<&Entry> {
        self.entries(map)?.iter().find(|entry| *entry.key == *key)
    }

    /// The entries, if the node is a map.
    pub fn entries(&self, id: NodeId) -> Option<&[Entry]> {
        match &self.node(id).content {
            Content::Map(entries) => Some(entries),
            _ => None,
        }
    }

    /// The members, if the node is a list.
    pub fn items(&self, id: NodeId) -> Option<&[NodeId]> {
        match &self.node(id).content {
            Content::List(items) => Some(items),
            _ => None,
        }
    }

    /// The scalar, if the node is one.
    pub fn scalar(&self, id: NodeId) -> Option<&Scalar> {
        match &self.node(id).content {
            Content::Scalar(scalar) => Some(scalar),
            _ => None,
        }
    }

    /// How many nodes the tree holds; ids run from 0 to one less.
    pub fn len(&self) -> usize {
        self.nodes.len()
    }

    /// Whether there is nothing but the empty root.
    pub fn is_empty(&self) -> bool {
        self.nodes.len() <= 1
    }

    /// Every node, children before what they stand in.
    pub fn nodes(&self) -> impl Iterator<Item = &Node> {
        self.nodes.iter()
    }

    pub(super) fn reserve(&mut self, nodes: usize) {
        self.nodes.reserve(nodes);
    }

    /// Adds a node; its children must have been added before.
    pub fn push(&mut self, span: Span, content: Content) -> NodeId {
        self.nodes.push(Node { span, content });
        NodeId(self.nodes.len() as u32 - 1)
    }

    /// Makes a map the top of the tree.
    pub fn set_root(&mut self, root: NodeId) {
        debug_assert!(self.entries(root).is_some(), "the root is a map");
        self.root = root;
    }
}

impl Node {
    /// Whether nothing is written where a value would stand.
    pub fn is_unwritten(&self) -> bool {
        matches!(&self.content, Content::Scalar(s) if s.text.is_empty() && s.style == ScalarStyle::Plain)
    }
}

/// The rest of the line behind a value that is empty because a `#` right behind it began a comment, as in
/// `thread: #10-32`; only if something follows the `#` without a blank, which a comment meant as one rarely does.
pub fn commented_value(sources: &Sources, value: &Node) -> Option<Span> {
    if !value.is_unwritten() {
        return None;
    }
    let rest = sources.text(value.span.file).get(value.span.end as usize..)?;
    let line = rest.lines().next()?;
    let written = line.trim_start_matches([' ', '\t']);
    let blanks = line.len() - written.len();
    if blanks == 0 || !written.strip_prefix('#')?.starts_with(|c: char| c.is_ascii_alphanumeric() || c == '-') {
        return None;
    }
    let start = value.span.end + blanks as u32;
    Some(Span { file: value.span.file, start, end: start + written.trim_end().len() as u32 })
}
