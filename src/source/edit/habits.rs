//! The habits of a file: how its lines end and how far it indents.

use super::super::scalar::is_break;
use super::super::tree::{Content, NodeId};
use super::EditedFile;

/// What new lines follow.
pub(super) struct Habits {
    pub(super) line_end: &'static str,
    /// Blanks that a section's keys stand in from the section's own.
    pub(super) section: usize,
    /// Blanks that a list's dashes stand in from its key.
    pub(super) list: usize,
    /// Whether blank lines part the sections at the left margin.
    pub(super) parted: bool,
}

/// What files do that show no habit of their own.
const USUAL: usize = 2;

impl Habits {
    pub(super) fn of(file: &EditedFile) -> Habits {
        let text = &file.text;
        let line_end = match text.find(is_break) {
            Some(at) if text[at..].starts_with("\r\n") => "\r\n",
            Some(at) if text[at..].starts_with('\r') => "\r",
            _ => "\n",
        };
        let (mut section, mut list) = (None, None);
        if let Some(root) = file.root {
            look(file, root, &mut section, &mut list);
        }
        let parted = text.contains(&format!("{line_end}{line_end}"));
        Habits { line_end, section: section.unwrap_or(USUAL), list: list.unwrap_or(USUAL), parted }
    }
}

/// Finds the first section in lines and the first list in lines, in the order of the file.
fn look(file: &EditedFile, at: NodeId, section: &mut Option<usize>, list: &mut Option<usize>) {
    if section.is_some() && list.is_some() {
        return;
    }
    match &file.tree.node(at).content {
        Content::Scalar(_) => {}
        Content::List(items) => {
            for item in items {
                look(file, *item, section, list);
            }
        }
        Content::Map(entries) => {
            for entry in entries {
                let (key, value) = (entry.key_span, file.tree.node(entry.value).span);
                let from = |start: u32| {
                    let apart = file.text.get(key.end as usize..value.start as usize)?.contains(is_break);
                    let by = file.column(start as usize).checked_sub(file.column(key.start as usize))?;
                    (apart && !file.bracketed(entry.value)).then_some(by)
                };
                match &file.tree.node(entry.value).content {
                    Content::Map(_) => *section = section.or_else(|| from(value.start).filter(|by| *by > 0)),
                    Content::List(_) => *list = list.or_else(|| from(value.start)),
                    Content::Scalar(_) => {}
                }
                look(file, entry.value, section, list);
            }
        }
    }
}
