//! Reads entries of rule files: keys that must or may be there, texts, lists; every misfit becomes an error at its place.

use super::error::{RulebookError, RulebookProblem};
use crate::language::Fault;
use crate::source::{Content, Entry, NodeId, Sources, Span, Tree, place_in};
use crate::terms::nearest;

/// Reads from one tree and gathers errors.
pub(super) struct Form<'a> {
    pub tree: &'a Tree,
    pub texts: &'a Sources,
    pub errors: Vec<RulebookError>,
}

impl<'a> Form<'a> {
    pub fn new(tree: &'a Tree, texts: &'a Sources) -> Form<'a> {
        Form { tree, texts, errors: Vec::new() }
    }

    pub fn span(&self, node: NodeId) -> Span {
        self.tree.node(node).span
    }

    pub fn error(&mut self, problem: RulebookProblem, span: Span) {
        self.errors.push(RulebookError::new(problem, span));
    }

    pub fn form_error(&mut self, node: NodeId, expected: impl Into<String>) {
        self.error(RulebookProblem::Form { expected: expected.into() }, self.span(node));
    }

    /// A fault in the expression that a scalar holds.
    pub fn fault(&mut self, node: NodeId, fault: Fault) {
        let span = place_in(self.texts, self.tree.node(node), fault.range);
        self.error(RulebookProblem::Expression(fault.problem), span);
    }

    /// The entries of a map whose keys are all among `known`.
    pub fn entries(&mut self, node: NodeId, of: &'static str, known: &[&'static str]) -> Vec<Entry> {
        let Some(entries) = self.tree.entries(node) else {
            self.form_error(node, format!("a map ({of})"));
            return Vec::new();
        };
        let entries = entries.to_vec();
        for entry in &entries {
            if !known.contains(&&*entry.key) {
                let nearest = nearest(&entry.key, known.iter().copied()).map(str::to_string);
                self.error(RulebookProblem::UnknownKey { key: entry.key.to_string(), of, nearest }, entry.key_span);
            }
        }
        entries
    }

    /// The node of a key that must be there.
    pub fn need(&mut self, node: NodeId, of: &'static str, key: &'static str) -> Option<NodeId> {
        let found = self.tree.get(node, key);
        if found.is_none() {
            let whole = self.span(node);
            let line_end = self.texts.slice(whole).find('\n').map_or(whole.end, |n| whole.start + n as u32);
            self.error(RulebookProblem::MissingKey { key, of }, Span { end: line_end.min(whole.end), ..whole });
        }
        found
    }

    /// The text of a scalar.
    pub fn text(&mut self, node: NodeId) -> Option<&'a str> {
        match &self.tree.node(node).content {
            Content::Scalar(scalar) if !self.tree.node(node).is_unwritten() => Some(&scalar.text),
            _ => {
                self.form_error(node, "a text");
                None
            }
        }
    }

    /// The text of a key that must be there.
    pub fn need_text(&mut self, node: NodeId, of: &'static str, key: &'static str) -> Option<&'a str> {
        let found = self.need(node, of, key)?;
        self.text(found)
    }

    /// The text of a key that may be there.
    pub fn maybe_text(&mut self, node: NodeId, key: &str) -> Option<&'a str> {
        let found = self.tree.get(node, key)?;
        self.text(found)
    }

    /// The members of a list.
    pub fn list(&mut self, node: NodeId) -> Vec<NodeId> {
        match self.tree.items(node) {
            Some(items) => items.to_vec(),
            None => {
                self.form_error(node, "a list");
                Vec::new()
            }
        }
    }
}
