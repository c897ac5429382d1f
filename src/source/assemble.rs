//! Puts the tree together from the parts that the parser finds, in the order in which they stand in the file.
//!
//! In come scalars, aliases, and beginnings and ends of lists and maps; out come nodes in a [`Tree`]. Here aliases are
//! shared, `<<` is taken in, keys given twice are found, and the limits are kept that make every later walk safe:
//! each alias counts with all that it stands for.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

use super::duplicate;
use super::error::{SourceError, SourceProblem};
use super::parts::PART_KEY;
use super::place::Span;
use super::tree::{ALIAS_LIMIT, Content, DEPTH_LIMIT, Entry, NodeId, Scalar, ScalarStyle, Tree, WALK_LIMIT};

/// A long text costs a walk as much as a node for each stretch of this many bytes.
const BYTES_AS_A_NODE: usize = 32;

/// How many nodes may still come, in all the files of one build.
pub(super) struct Budget {
    pub(super) nodes: u64,
    pub(super) aliased: u64,
    /// Whether a key was met that may name a part's data sheet.
    pub(super) names_parts: bool,
}

impl Default for Budget {
    fn default() -> Self {
        Self { nodes: WALK_LIMIT, aliased: ALIAS_LIMIT, names_parts: false }
    }
}

/// The tree as far as it is read.
pub(super) struct Assembly<'a> {
    pub(super) tree: &'a mut Tree,
    pub(super) errors: Vec<SourceError>,
    budget: &'a mut Budget,
    anchors: BTreeMap<String, (NodeId, Extent)>,
    stack: Vec<Open>,
    /// Whether what is open ends only because reading ended.
    cut_off: bool,
    top: Option<NodeId>,
}

/// How far a walk from a node goes.
#[derive(Clone, Copy)]
struct Extent {
    nodes: u64,
    levels: u16,
}

/// A list or map whose end has not come yet.
struct Open {
    span: Span,
    bracketed: bool,
    extent: Extent,
    anchor: Option<String>,
    content: OpenContent,
}

enum OpenContent {
    List(Vec<NodeId>),
    Map { entries: Vec<Entry>, key: Key, taken_in: Vec<(NodeId, Span)> },
}

/// Where a map stands between a key and its value.
enum Key {
    Awaited,
    Read(Cow<'static, str>, Span),
    /// `<<`
    TakeIn,
    /// Reported already; its value is dropped.
    Unusable,
}

impl<'a> Assembly<'a> {
    pub(super) fn new(tree: &'a mut Tree, budget: &'a mut Budget) -> Self {
        Self {
            tree,
            errors: Vec::new(),
            budget,
            anchors: BTreeMap::new(),
            stack: Vec::new(),
            cut_off: false,
            top: None,
        }
    }

    pub(super) fn error(&mut self, problem: SourceProblem, span: Span) {
        self.errors.push(SourceError { problem, span, other: None });
    }

    /// The place of the key whose value comes next.
    pub(super) fn key_awaiting_value(&self) -> Option<Span> {
        match &self.stack.last()?.content {
            OpenContent::Map { key: Key::Read(_, span), .. } => Some(*span),
            _ => None,
        }
    }

    pub(super) fn scalar(
        &mut self,
        mut text: String,
        style: ScalarStyle,
        span: Span,
        anchor: Option<String>,
    ) -> Result<(), SourceProblem> {
        let long = (text.len() / BYTES_AS_A_NODE) as u64;
        // The parser leaves room behind each text; for a file of short ones that is more than the texts.
        text.shrink_to_fit();
        let text: Cow<'static, str> = Cow::Owned(text);
        if self.awaits_key() {
            let extent = Extent { nodes: long, levels: 0 };
            self.spend(extent.nodes)?;
            if let Some(anchor) = anchor {
                let node = self.tree.push(span, Content::Scalar(Scalar { text: text.clone(), style }));
                self.anchors.insert(anchor, (node, extent));
            }
            let key = match (&*text, style) {
                ("", ScalarStyle::Plain) => Err(SourceProblem::EmptyKey),
                ("<<", ScalarStyle::Plain) => Ok(Key::TakeIn),
                _ => Ok(Key::Read(text, span)),
            };
            self.set_key(key, span, extent);
            return Ok(());
        }
        let extent = Extent { nodes: 1 + long, levels: 0 };
        self.spend(extent.nodes)?;
        let node = self.tree.push(span, Content::Scalar(Scalar { text, style }));
        if let Some(anchor) = anchor {
            self.anchors.insert(anchor, (node, extent));
        }
        self.add(node, span, extent);
        Ok(())
    }

    pub(super) fn alias(&mut self, name: &str, span: Span) -> Result<(), SourceProblem> {
        let Some((node, extent)) = self.anchors.get(name).copied() else {
            self.error(SourceProblem::UnknownAlias(name.into()), span);
            return self.stand_in(span);
        };
        if self.stack.len() + usize::from(extent.levels) > usize::from(DEPTH_LIMIT) {
            self.error(SourceProblem::TooDeep, span);
            return self.stand_in(span);
        }
        self.budget.aliased = self.budget.aliased.checked_sub(extent.nodes).ok_or(SourceProblem::AliasesMultiply)?;
        self.spend(extent.nodes)?;
        if self.awaits_key() {
            let key = match self.tree.scalar(node) {
                Some(scalar) => Ok(Key::Read(scalar.text.clone(), span)),
                None => Err(SourceProblem::ComplexKey),
            };
            self.set_key(key, span, extent);
        } else {
            self.add(node, span, extent);
        }
        Ok(())
    }

    pub(super) fn open_list(
        &mut self,
        span: Span,
        anchor: Option<String>,
        bracketed: bool,
    ) -> Result<(), SourceProblem> {
        self.open(OpenContent::List(Vec::new()), span, anchor, bracketed)
    }

    pub(super) fn open_map(
        &mut self,
        span: Span,
        anchor: Option<String>,
        bracketed: bool,
    ) -> Result<(), SourceProblem> {
        let content = OpenContent::Map { entries: Vec::new(), key: Key::Awaited, taken_in: Vec::new() };
        self.open(content, span, anchor, bracketed)
    }

    fn open(
        &mut self,
        content: OpenContent,
        span: Span,
        anchor: Option<String>,
        bracketed: bool,
    ) -> Result<(), SourceProblem> {
        if self.stack.len() >= usize::from(DEPTH_LIMIT) {
            return Err(SourceProblem::TooDeep);
        }
        self.spend(1)?;
        let extent = Extent { nodes: 1, levels: 1 };
        let span = Span { end: span.start, ..span };
        self.stack.push(Open { span, bracketed, extent, anchor, content });
        Ok(())
    }

    /// Ends the innermost list or map; `end` counts if that is a bracket's.
    pub(super) fn close(&mut self, end: u32) -> Result<(), SourceProblem> {
        let Some(Open { mut span, bracketed, extent, anchor, content }) = self.stack.pop() else { return Ok(()) };
        if bracketed {
            span.end = end.max(span.end);
        }
        let content = match content {
            OpenContent::List(items) => Content::List(items),
            OpenContent::Map { mut entries, taken_in, .. } => {
                duplicate::remove(&mut entries, &mut self.errors);
                if !taken_in.is_empty() {
                    self.take_in(&mut entries, &taken_in);
                }
                Content::Map(entries)
            }
        };
        let node = self.tree.push(span, content);
        if let Some(anchor) = anchor {
            self.anchors.insert(anchor, (node, extent));
        }
        self.add(node, span, extent);
        Ok(())
    }

    /// Ends everything that is open, and gives the top node. A key still without its value is dropped.
    pub(super) fn finish(&mut self) -> Option<NodeId> {
        self.cut_off = true;
        while !self.stack.is_empty() {
            // Without a bracket's end the place reaches to the last child.
            let _ = self.close(0);
        }
        self.cut_off = false;
        self.top.take()
    }

    /// Takes back the value that was added last to the innermost open list or map, which turned out to be broken.
    pub(super) fn take_back_last(&mut self) {
        match self.stack.last_mut().map(|open| &mut open.content) {
            Some(OpenContent::List(items)) => drop(items.pop()),
            Some(OpenContent::Map { entries, key: Key::Awaited, .. }) => drop(entries.pop()),
            _ => {}
        }
    }

    fn spend(&mut self, nodes: u64) -> Result<(), SourceProblem> {
        self.budget.nodes = self.budget.nodes.checked_sub(nodes).ok_or(SourceProblem::TooManyValues)?;
        Ok(())
    }

    fn awaits_key(&self) -> bool {
        matches!(self.stack.last(), Some(Open { content: OpenContent::Map { key: Key::Awaited, .. }, .. }))
    }

    fn set_key(&mut self, new: Result<Key, SourceProblem>, at: Span, of: Extent) {
        let new = new.unwrap_or_else(|problem| {
            self.error(problem, at);
            Key::Unusable
        });
        self.budget.names_parts |= matches!(&new, Key::Read(key, _) if &**key == PART_KEY);
        if let Some(Open { span, extent, content: OpenContent::Map { key, .. }, .. }) = self.stack.last_mut() {
            span.end = span.end.max(at.end);
            extent.nodes += of.nodes;
            *key = new;
        }
    }

    /// An unwritten value in place of an alias that cannot be followed.
    fn stand_in(&mut self, span: Span) -> Result<(), SourceProblem> {
        if self.awaits_key() {
            if let Some(Open { content: OpenContent::Map { key, .. }, .. }) = self.stack.last_mut() {
                *key = Key::Unusable;
            }
            return Ok(());
        }
        self.scalar(String::new(), ScalarStyle::Plain, span, None)
    }

    /// Hands a finished node to the list or map around it; `at` is where it is used, which for an alias is not where
    /// it is written.
    fn add(&mut self, node: NodeId, at: Span, of: Extent) {
        let Some(Open { span, extent, content, .. }) = self.stack.last_mut() else {
            self.top = self.top.or(Some(node));
            return;
        };
        span.end = span.end.max(at.end);
        extent.nodes += of.nodes;
        extent.levels = extent.levels.max(of.levels + 1);
        match content {
            OpenContent::List(items) => items.push(node),
            OpenContent::Map { entries, key, taken_in } => match std::mem::replace(key, Key::Awaited) {
                Key::Read(key, key_span) => entries.push(Entry { key, key_span, value: node }),
                Key::TakeIn => taken_in.push((node, at)),
                Key::Unusable => {}
                Key::Awaited => {
                    *key = Key::Unusable;
                    // Had reading gone on, it might have turned out otherwise.
                    if !self.cut_off {
                        self.error(SourceProblem::ComplexKey, at);
                    }
                }
            },
        }
    }

    /// Adds the entries that `<<` names, as far as the map does not give the keys itself.
    fn take_in(&mut self, entries: &mut Vec<Entry>, taken_in: &[(NodeId, Span)]) {
        let mut given: BTreeSet<Cow<'static, str>> = entries.iter().map(|entry| entry.key.clone()).collect();
        for (node, span) in taken_in {
            let maps = match &self.tree.node(*node).content {
                Content::Map(_) => std::slice::from_ref(node),
                Content::List(items) if items.iter().all(|item| self.tree.entries(*item).is_some()) => items,
                _ => {
                    self.errors.push(SourceError { problem: SourceProblem::BadMerge, span: *span, other: None });
                    continue;
                }
            };
            for entry in maps.iter().filter_map(|map| self.tree.entries(*map)).flatten() {
                if given.insert(entry.key.clone()) {
                    entries.push(entry.clone());
                }
            }
        }
    }
}
