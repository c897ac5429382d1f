//! Steps of a build that cannot be taken back: cutting, welding, paint. A rule says before which of them it must be settled.

use super::error::RulebookProblem;
use super::form::Form;
use crate::source::{NodeId, SharedText};
use crate::terms::nearest;

/// A step that cannot be taken back.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct Event {
    /// Its name, in the trade's words.
    pub name: SharedText,
    /// What is done, and what cannot be undone.
    pub means: SharedText,
    /// Whether it comes from a repository's own rulebook.
    pub own: bool,
}

/// Reads the list of events of a file.
pub(super) fn read_events(form: &mut Form, list: NodeId, own: bool, into: &mut Vec<Event>) {
    const OF: &str = "an event";
    for node in form.list(list) {
        form.entries(node, OF, &["event", "means"]);
        let (Some(name), Some(means)) = (form.need_text(node, OF, "event"), form.need_text(node, OF, "means")) else {
            continue;
        };
        let place = form.span(node);
        if into.iter().any(|event| &*event.name == name) {
            form.error(RulebookProblem::Taken { what: "event", name: name.into() }, place);
            continue;
        }
        into.push(Event { name: name.into(), means: means.into(), own });
    }
}

/// Reads what a rule must be settled before: one event, or a list of them.
pub(super) fn read_before(form: &mut Form, node: Option<NodeId>, events: &[Event]) -> Vec<SharedText> {
    let Some(node) = node else { return Vec::new() };
    let names = if form.tree.scalar(node).is_some() { vec![node] } else { form.list(node) };
    let mut before: Vec<SharedText> = Vec::new();
    for node in names {
        let Some(name) = form.text(node) else { continue };
        if !events.iter().any(|event| &*event.name == name) {
            let nearest = nearest(name, events.iter().map(|event| &*event.name)).map(str::to_string);
            let span = form.span(node);
            form.error(RulebookProblem::Unknown { what: "event", name: name.into(), nearest }, span);
        } else if before.iter().any(|known| &**known == name) {
            let span = form.span(node);
            form.error(RulebookProblem::Taken { what: "event", name: name.into() }, span);
        } else {
            before.push(name.into());
        }
    }
    before
}
