//! Lays the data sheets of parts below the records that name them.
//!
//! In come the located tree of a build, the sheets that its files name, and the types; out comes the same tree, in which such a
//! record has the keys of its sheet behind its own. Its own win, key by key, down through records; a list, a point or a
//! quantity in its long form is one value and wins whole. Every value keeps its file and place. A record within
//! another that names a data sheet of its own is another part, and takes nothing from the sheet around it.

use std::collections::BTreeMap;

use super::check::kind_of;
use super::spec::date_of;
use super::types::{FieldType, ListMembers, RecordId, Types};
use crate::source::{CHAIN_LIMIT, Content, DEPTH_LIMIT, Entry, NodeId, PART_KEY, Parts, Tree};

/// The key that says when a part was changed.
pub(super) const CHANGED_KEY: &str = "changed";

/// The top of the tree with all sheets laid below their records; the tree grows, and nothing in it changes.
pub(super) fn lay(types: &Types, tree: &mut Tree, root: NodeId, parts: &Parts) -> NodeId {
    if parts.is_empty() {
        return root;
    }
    Layer { types, tree, parts, laid: BTreeMap::new() }.record(types.root(), root, 0)
}

struct Layer<'a> {
    types: &'a Types,
    tree: &'a mut Tree,
    parts: &'a Parts,
    /// Each sheet as a record of each type that it was used for, with what lies below it.
    laid: BTreeMap<(NodeId, RecordId), NodeId>,
}

impl Layer<'_> {
    /// The record with its sheets, and with those of what stands in it.
    fn record(&mut self, ty: RecordId, node: NodeId, depth: u16) -> NodeId {
        let types = self.types;
        let record = types.record(ty);
        let count = self.tree.entries(node).map_or(0, <[Entry]>::len);
        // Sheets within sheets, in records within themselves, could reach deeper than any walk may go.
        if count == 0 || depth > DEPTH_LIMIT {
            return node;
        }
        let mut entries: Option<Vec<Entry>> = None;
        for at in 0..count {
            let Some(entry) = self.tree.entries(node).and_then(|entries| entries.get(at)) else { break };
            let value = entry.value;
            let Some(field) = record.slot(&entry.key).and_then(|slot| record.field(slot)) else { continue };
            let with = self.value(&field.ty, value, depth + 1);
            if with != value {
                let own = entries.get_or_insert_with(|| self.tree.entries(node).unwrap_or_default().to_vec());
                if let Some(entry) = own.get_mut(at) {
                    entry.value = with;
                }
            }
        }
        if let Some(sheet) = self.sheet_of(ty, node) {
            let below = match self.laid.get(&(sheet, ty)) {
                Some(known) => *known,
                None => {
                    let below = self.record(ty, sheet, depth + 1);
                    self.laid.insert((sheet, ty), below);
                    below
                }
            };
            let own = entries.unwrap_or_else(|| self.tree.entries(node).unwrap_or_default().to_vec());
            entries = Some(self.merged(ty, own, below));
        }
        match entries {
            Some(entries) => self.tree.push(self.tree.node(node).span, Content::Map(entries)),
            None => node,
        }
    }

    fn sheet_of(&self, ty: RecordId, node: NodeId) -> Option<NodeId> {
        if !self.types.record(ty).takes_part {
            return None;
        }
        self.parts.sheet(self.tree.get(node, PART_KEY)?)
    }

    fn value(&mut self, ty: &FieldType, node: NodeId, depth: u16) -> NodeId {
        match ty {
            FieldType::Record(record) => self.record(*record, node, depth),
            FieldType::List(list) => match &self.types.list(*list).members {
                ListMembers::Records(records) => self.items(records, node, depth),
                ListMembers::Values(_) => node,
            },
            _ => node,
        }
    }

    fn items(&mut self, records: &[RecordId], node: NodeId, depth: u16) -> NodeId {
        let Some(items) = self.tree.items(node).map(<[NodeId]>::to_vec) else { return node };
        let with: Vec<NodeId> = items
            .iter()
            .map(|item| match self.kind(*item, records) {
                Some(record) => self.record(record, *item, depth + 1),
                None => *item,
            })
            .collect();
        if with == items { node } else { self.tree.push(self.tree.node(node).span, Content::List(with)) }
    }

    /// The type of an item: by its own naming key, else by that of its sheet, or of that one's base.
    fn kind(&self, item: NodeId, records: &[RecordId]) -> Option<RecordId> {
        if let [only] = records {
            return Some(*only);
        }
        let base = |node: &NodeId| self.parts.sheet(self.tree.get(*node, PART_KEY)?);
        let chain = std::iter::successors(Some(item), base).take(CHAIN_LIMIT + 1);
        chain.filter_map(|node| kind_of(self.types, self.tree, node, records)).next()
    }

    /// A record's own entries, with those of a sheet behind them.
    fn merged(&mut self, ty: RecordId, mut own: Vec<Entry>, sheet: NodeId) -> Vec<Entry> {
        let types = self.types;
        let record = types.record(ty);
        let below = self.tree.entries(sheet).unwrap_or_default().to_vec();
        for entry in below.into_iter().filter(|entry| &*entry.key != PART_KEY) {
            let Some(at) = own.iter().position(|known| known.key == entry.key) else {
                own.push(entry);
                continue;
            };
            let field = record.slot(&entry.key).and_then(|slot| record.field(slot));
            if let Some(FieldType::Record(inner)) = field.map(|field| &field.ty) {
                own[at].value = self.both(*inner, own[at].value, entry.value);
            } else if &*entry.key == CHANGED_KEY && self.is_later(entry.value, own[at].value) {
                own[at] = entry;
            }
        }
        own
    }

    /// A record given on both sides.
    fn both(&mut self, ty: RecordId, own: NodeId, sheet: NodeId) -> NodeId {
        let (Some(entries), Some(_)) = (self.tree.entries(own), self.tree.entries(sheet)) else { return own };
        if self.types.record(ty).takes_part && entries.iter().any(|entry| &*entry.key == PART_KEY) {
            return own;
        }
        let entries = entries.to_vec();
        let merged = self.merged(ty, entries, sheet);
        self.tree.push(self.tree.node(own).span, Content::Map(merged))
    }

    /// Of two days on which a part was changed the later counts, whoever wrote it.
    fn is_later(&self, one: NodeId, other: NodeId) -> bool {
        let day = |node| self.tree.scalar(node).and_then(|scalar| date_of(&scalar.text));
        day(one).zip(day(other)).is_some_and(|(one, other)| one > other)
    }
}
