//! Figures of the rulebook: what `book` and sheets say of them beside their formula, and reading them from rule files.

use super::error::RulebookProblem;
use super::form::Form;
use super::sources::{Source, SourceUse, read_uses};
use super::subject::{Subject, SubjectText, parse};
use crate::quantity::{self, Dimension, Kind, UnitId};
use crate::source::{NodeId, SharedText, Span};
use crate::terms::nearest;

/// What is known of a figure beside its code; its number is that in the library.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct Figure {
    /// Its name.
    pub name: SharedText,
    /// The system whose folder it stands in.
    pub system: SharedText,
    /// What it is a figure of.
    pub of: Subject,
    /// What it means.
    pub means: SharedText,
    /// The formula as written.
    pub formula: SharedText,
    /// Local names of the formula, as written.
    pub with: Vec<(SharedText, SharedText)>,
    /// The kind under which a builder may give a better known value.
    pub may_be_known: Option<Kind>,
    /// Sources.
    pub sources: Vec<SourceUse>,
    /// Its place.
    pub place: Span,
}

/// A figure as written, before its expressions are checked.
#[derive(Debug, Clone)]
pub(super) struct RawFigure {
    pub name: SharedText,
    pub system: SharedText,
    pub own: bool,
    pub of: SubjectText,
    pub of_node: NodeId,
    pub takes: Vec<(SharedText, Dimension)>,
    pub with: Vec<(SharedText, NodeId)>,
    pub is: NodeId,
    pub unit: Option<UnitId>,
    pub means: SharedText,
    pub may_be_known: Option<Kind>,
    pub sources: Vec<SourceUse>,
    pub replaces: Option<NodeId>,
    pub place: Span,
}

const KEYS: [&str; 10] =
    ["figure", "of", "takes", "with", "is", "show_in", "means", "may_be_known", "sources", "replaces"];

/// Reads one figure.
pub(super) fn read_figure(
    form: &mut Form,
    node: NodeId,
    system: &str,
    own: bool,
    sources: &[Source],
) -> Option<RawFigure> {
    const OF: &str = "a figure";
    form.entries(node, OF, &KEYS);
    let name = form.need_text(node, OF, "figure")?;
    let of_node = form.need(node, OF, "of")?;
    let of_text = form.text(of_node)?;
    let of = match parse(of_text) {
        Ok(of) => of,
        Err(fault) => {
            form.fault(of_node, fault);
            return None;
        }
    };
    let is = form.need(node, OF, "is")?;
    form.text(is)?;
    let means = form.need_text(node, OF, "means")?;
    let mut takes = Vec::new();
    for entry in form.tree.get(node, "takes").and_then(|n| form.tree.entries(n)).unwrap_or_default().to_vec() {
        if let Some(kind) = read_kind(form, entry.value) {
            takes.push(((*entry.key).into(), kind.into()));
        }
    }
    let with = read_with(form, node);
    let unit = match form.tree.get(node, "show_in") {
        None => None,
        Some(at) => {
            let text = form.text(at)?;
            match quantity::unit_at(text) {
                Some(Ok((unit, eaten))) if eaten == text.len() => Some(unit.id),
                _ => {
                    form.form_error(at, "a unit");
                    None
                }
            }
        }
    };
    let may_be_known = form.tree.get(node, "may_be_known").and_then(|n| read_kind(form, n));
    let sources = read_uses(form, form.tree.get(node, "sources"), sources);
    Some(RawFigure {
        name: name.into(),
        system: system.into(),
        own,
        of,
        of_node,
        takes,
        with,
        is,
        unit,
        means: means.into(),
        may_be_known,
        sources,
        replaces: form.tree.get(node, "replaces"),
        place: form.span(node),
    })
}

/// Local names and the nodes of their expressions.
pub(super) fn read_with(form: &mut Form, node: NodeId) -> Vec<(SharedText, NodeId)> {
    let entries = form.tree.get(node, "with").and_then(|n| form.tree.entries(n)).unwrap_or_default().to_vec();
    entries.into_iter().filter(|e| form.text(e.value).is_some()).map(|e| (e.key.into(), e.value)).collect()
}

fn read_kind(form: &mut Form, node: NodeId) -> Option<Kind> {
    let text = form.text(node)?;
    let kind = Kind::named(text);
    if kind.is_none() {
        let nearest = nearest(text, Kind::ALL.iter().map(|k| k.name())).map(str::to_string);
        let span = form.span(node);
        form.error(RulebookProblem::Unknown { what: "kind of quantity", name: text.into(), nearest }, span);
    }
    kind
}
