//! Sources of limits, and the use that a rule makes of one.

use super::error::RulebookProblem;
use super::form::Form;
use crate::source::{NodeId, SharedText};
use crate::terms::nearest;

/// What sort of text a source is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum SourceKind {
    /// Law.
    Regulation,
    /// A published standard.
    Standard,
    /// A handbook or textbook.
    Handbook,
    /// The rule book of a sport.
    Sport,
    /// Common practice of the trade; nothing is cited.
    Practice,
}

impl SourceKind {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            SourceKind::Regulation => "regulation",
            SourceKind::Standard => "standard",
            SourceKind::Handbook => "handbook",
            SourceKind::Sport => "sport",
            SourceKind::Practice => "practice",
        }
    }
}

/// Where limits come from.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct Source {
    /// Its name in rule files.
    pub name: SharedText,
    /// What sort of text it is.
    pub kind: SourceKind,
    /// Its title.
    pub title: SharedText,
    /// Its edition or year.
    pub edition: Option<SharedText>,
}

/// Whether the text behind a figure was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum TextSeen {
    /// The text, or a faithful copy, was read.
    Read,
    /// The figure is recalled.
    Memory,
    /// There is no text: common practice.
    Practice,
}

/// One use of a source.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct SourceUse {
    /// The source's name.
    pub source: SharedText,
    /// The clause, page or table.
    pub clause: Option<SharedText>,
    /// Whether the text was read.
    pub text: TextSeen,
}

/// Reads the list of sources.
pub(super) fn read_sources(form: &mut Form, list: NodeId, into: &mut Vec<Source>) {
    for node in form.list(list) {
        form.entries(node, "a source", &["source", "kind", "title", "edition"]);
        let (Some(name), Some(kind_node), Some(title)) = (
            form.need_text(node, "a source", "source"),
            form.need(node, "a source", "kind"),
            form.need_text(node, "a source", "title"),
        ) else {
            continue;
        };
        let kind = match form.text(kind_node) {
            Some("regulation") => SourceKind::Regulation,
            Some("standard") => SourceKind::Standard,
            Some("handbook") => SourceKind::Handbook,
            Some("sport") => SourceKind::Sport,
            Some("practice") => SourceKind::Practice,
            _ => {
                form.form_error(kind_node, "one of regulation, standard, handbook, sport, practice");
                continue;
            }
        };
        let edition = form.maybe_text(node, "edition").map(Into::into);
        let place = form.span(node);
        if into.iter().any(|s| &*s.name == name) {
            form.error(RulebookProblem::Taken { what: "source", name: name.into() }, place);
            continue;
        }
        into.push(Source { name: name.into(), kind, title: title.into(), edition });
    }
}

/// Reads the `sources` of a rule, figure or table.
pub(super) fn read_uses(form: &mut Form, node: Option<NodeId>, sources: &[Source]) -> Vec<SourceUse> {
    let Some(list) = node else { return Vec::new() };
    let mut uses = Vec::new();
    for item in form.list(list) {
        let (name_node, clause, text) = if form.tree.entries(item).is_some() {
            form.entries(item, "a use of a source", &["source", "clause", "text"]);
            let Some(name) = form.need(item, "a use of a source", "source") else { continue };
            (name, form.maybe_text(item, "clause"), form.tree.get(item, "text"))
        } else {
            (item, None, None)
        };
        let Some(name) = form.text(name_node) else { continue };
        let Some(source) = sources.iter().find(|s| &*s.name == name) else {
            let nearest = nearest(name, sources.iter().map(|s| &*s.name)).map(str::to_string);
            let span = form.span(name_node);
            form.error(RulebookProblem::Unknown { what: "source", name: name.into(), nearest }, span);
            continue;
        };
        let seen = match (source.kind, text.and_then(|t| form.text(t))) {
            (SourceKind::Practice, None) => TextSeen::Practice,
            (_, Some("read")) => TextSeen::Read,
            (_, Some("memory")) => TextSeen::Memory,
            _ => {
                form.form_error(item, "`text: read` or `text: memory` beside the source");
                continue;
            }
        };
        uses.push(SourceUse { source: name.into(), clause: clause.map(Into::into), text: seen });
    }
    uses
}
