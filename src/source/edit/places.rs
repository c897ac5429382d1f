//! Where a path leads in a file's layout: to a value, or to the gap where one can be put in.

use std::ops::Range;

use super::super::place::Span;
use super::super::scalar::is_break;
use super::super::tree::{Content, Entry, NodeId};
use super::{EditProblem, EditStep, EditedFile, TextEdit};

/// The end of a path.
pub(super) enum Reached {
    /// It is written. `flow`: within braces or brackets.
    Value { node: NodeId, flow: bool },
    /// It is not.
    Gap(Gap),
}

/// Where the first step of a path that is not written would begin.
pub(super) struct Gap {
    /// The map, list or unwritten value that is there; nothing in a file that says nothing.
    pub(super) at: Option<NodeId>,
    /// The key in front of that.
    pub(super) key: Option<Span>,
    /// Whether it stands within braces or brackets, or is them itself.
    pub(super) flow: bool,
    /// How many steps of the path are written.
    pub(super) taken: usize,
}

/// Follows a path as far as it is written.
pub(super) fn walk(file: &EditedFile, path: &[EditStep]) -> Result<Reached, EditProblem> {
    let Some(mut at) = file.root else {
        return Ok(Reached::Gap(Gap { at: None, key: None, flow: false, taken: 0 }));
    };
    let (mut key, mut flow) = (None, false);
    for (taken, step) in path.iter().enumerate() {
        flow |= file.bracketed(at);
        let gap = Gap { at: Some(at), key, flow, taken };
        let node = file.tree.node(at);
        let here = range(node.span);
        match (step, &node.content) {
            (_, Content::Scalar(_)) if node.is_unwritten() && !matches!(step, EditStep::At(_)) => {
                return Ok(Reached::Gap(gap));
            }
            (EditStep::Key { key: wanted, .. }, Content::Map(entries)) => {
                let Some(entry) = entries.iter().find(|entry| *entry.key == **wanted) else {
                    return Ok(Reached::Gap(gap));
                };
                if !file.is_own(at, entry) {
                    let last = taken + 1 == path.len();
                    return if last { Ok(Reached::Gap(gap)) } else { Err(EditProblem::Shared(here)) };
                }
                if file.between(entry) != Between::Nothing {
                    return Err(EditProblem::Shared(range(entry.key_span)));
                }
                (at, key) = (entry.value, Some(entry.key_span));
            }
            (EditStep::Item { .. }, Content::List(items)) => {
                let Some(item) = file.below(at, step) else { return Ok(Reached::Gap(gap)) };
                let index = items.iter().position(|other| *other == item).unwrap_or_default();
                file.item_alone(at, index)?;
                (at, key) = (item, None);
            }
            (EditStep::At(index), Content::List(items)) => {
                let item = items.get(*index).ok_or(EditProblem::NoSuchItem(here))?;
                file.item_alone(at, *index)?;
                (at, key) = (*item, None);
            }
            _ => return Err(EditProblem::Occupied(here)),
        }
    }
    Ok(Reached::Value { node: at, flow })
}

/// Takes an entry out of its map.
pub(super) fn removal(file: &EditedFile, path: &[EditStep]) -> Result<TextEdit, EditProblem> {
    let Some((EditStep::Key { key, .. }, above)) = path.split_last() else { return Err(EditProblem::Layout(0..0)) };
    let (Reached::Value { node: map, flow }, Reached::Value { .. }) = (walk(file, above)?, walk(file, path)?) else {
        return Err(EditProblem::Layout(0..0));
    };
    let doubtful = || EditProblem::Layout(range(file.tree.node(map).span));
    let entries: Vec<&Entry> =
        file.tree.entries(map).unwrap_or_default().iter().filter(|entry| file.is_own(map, entry)).collect();
    let at = entries.iter().position(|entry| *entry.key == **key).ok_or_else(doubtful)?;
    let (Some(entry), true) = (entries.get(at), entries.len() > 1) else { return Err(doubtful()) };
    let end = file.end_of(entry).ok_or_else(doubtful)?;
    let start = entry.key_span.start as usize;
    let range = if flow || file.bracketed(map) {
        match (at.checked_sub(1).and_then(|before| entries.get(before)), entries.get(at + 1)) {
            (Some(before), _) => file.end_of(before).ok_or_else(doubtful)?..end,
            (None, Some(after)) => start..after.key_span.start as usize,
            (None, None) => return Err(doubtful()),
        }
    } else {
        let line = file.line_start(start);
        if !file.text[line..start].bytes().all(|b| b == b' ') {
            return Err(doubtful());
        }
        line..file.next_line(end)
    };
    if (flow || file.bracketed(map)) && file.text[range.clone()].contains('#') {
        return Err(doubtful());
    }
    Ok(TextEdit { range, text: String::new() })
}

/// What stands between a key and its value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Between {
    /// The colon, blanks and comments.
    Nothing,
    /// An anchor or a tag too.
    Property,
    /// The value is not there: an alias stands for it.
    Elsewhere,
}

pub(super) fn range(span: Span) -> Range<usize> {
    span.start as usize..span.end as usize
}

impl EditedFile {
    /// Whether a list or map stands in brackets or braces.
    pub(super) fn bracketed(&self, node: NodeId) -> bool {
        let span = self.tree.node(node).span;
        let first = self.text.as_bytes().get(span.start as usize);
        match self.tree.node(node).content {
            Content::Map(_) => first == Some(&b'{'),
            Content::List(_) => first == Some(&b'['),
            Content::Scalar(_) => false,
        }
    }

    /// Whether an entry is written in the map itself, not taken in with `<<`.
    pub(super) fn is_own(&self, map: NodeId, entry: &Entry) -> bool {
        range(self.tree.node(map).span).contains(&(entry.key_span.start as usize))
    }

    pub(super) fn between(&self, entry: &Entry) -> Between {
        let value = self.tree.node(entry.value).span;
        let Some(text) = self.text.get(entry.key_span.end as usize..value.start as usize) else {
            return Between::Elsewhere;
        };
        let Some(behind) = text.trim_start().strip_prefix(':') else { return Between::Elsewhere };
        match first_token(behind) {
            None => Between::Nothing,
            Some(at) if behind[at..].starts_with(['&', '!']) => Between::Property,
            Some(_) => Between::Elsewhere,
        }
    }

    /// Where an entry ends; nothing if that is not certain.
    pub(super) fn end_of(&self, entry: &Entry) -> Option<usize> {
        let from = entry.key_span.end as usize;
        if self.between(entry) != Between::Elsewhere {
            return Some((self.tree.node(entry.value).span.end as usize).max(from));
        }
        let colon = from + self.text.get(from..)?.find(|c: char| !c.is_whitespace())?;
        let behind = self.text.get(colon..)?.strip_prefix(':')?;
        let at = first_token(behind).filter(|at| behind[*at..].starts_with('*'))?;
        let length = behind[at..].find(|c: char| c.is_whitespace() || ",[]{}".contains(c));
        Some(colon + 1 + at + length.unwrap_or(behind.len() - at))
    }

    /// Refuses an item that is an alias or has an anchor.
    fn item_alone(&self, list: NodeId, index: usize) -> Result<(), EditProblem> {
        let span = self.tree.node(list).span;
        let items = self.tree.items(list).unwrap_or_default();
        let shared = || EditProblem::Shared(range(span));
        let mut from = span.start as usize;
        for (at, item) in items.iter().enumerate() {
            let item = self.tree.node(*item);
            let (start, end) = (item.span.start as usize, item.span.end as usize);
            // Where an item before it is an alias its end is not known; a dash or comma stands there in any case.
            let text = self.text.get(from..start).filter(|_| end <= span.end as usize);
            let blank = |text: &str| {
                let mut rest = text;
                while let Some(at) = first_token(rest) {
                    match rest[at..].chars().next() {
                        Some('-' | ',' | '[') => rest = &rest[at + 1..],
                        _ => return false,
                    }
                }
                true
            };
            let alone = text.is_some_and(blank);
            if at == index {
                return if alone { Ok(()) } else { Err(shared()) };
            }
            if !alone {
                from = self.behind_alias(from).ok_or_else(shared)?;
            } else {
                from = end.max(from);
            }
        }
        Err(shared())
    }

    /// The end of the alias, or of the anchor and what it names, that comes next.
    fn behind_alias(&self, from: usize) -> Option<usize> {
        let rest = self.text.get(from..)?;
        let at = rest.find(['*', '&'])?;
        let length = rest[at..].find(|c: char| c.is_whitespace() || ",[]{}".contains(c)).unwrap_or(rest.len() - at);
        rest[at..].starts_with('*').then_some(from + at + length)
    }

    /// The first byte of the line that a byte stands on, behind a byte order mark.
    pub(super) fn line_start(&self, at: usize) -> usize {
        let before = self.text.get(..at).unwrap_or_default();
        let start = before.rfind(is_break).map_or(0, |at| at + before[at..].chars().next().map_or(1, char::len_utf8));
        if start == 0 && self.text.starts_with('\u{feff}') { '\u{feff}'.len_utf8().min(at) } else { start }
    }

    /// Bytes between the start of the line and a byte; what stands there is blanks and dashes wherever it matters.
    pub(super) fn column(&self, at: usize) -> usize {
        at - self.line_start(at)
    }

    /// Where the line that a byte stands on ends, before its break.
    pub(super) fn line_end(&self, at: usize) -> usize {
        let rest = self.text.get(at..).unwrap_or_default();
        at + rest.find(is_break).unwrap_or(rest.len())
    }

    /// The first byte of the next line, or the end of the file.
    pub(super) fn next_line(&self, at: usize) -> usize {
        let end = self.line_end(at);
        let rest = &self.text[end..];
        end + if rest.starts_with("\r\n") { 2 } else { rest.chars().next().map_or(0, char::len_utf8) }
    }
}

/// The first byte that is neither a blank nor part of a comment.
pub(super) fn first_token(text: &str) -> Option<usize> {
    let mut at = 0;
    loop {
        at += text[at..].find(|c: char| !(c == ' ' || c == '\t' || is_break(c)))?;
        let comment =
            text[at..].starts_with('#') && text[..at].ends_with(|c: char| c == ' ' || c == '\t' || is_break(c));
        if !comment {
            return Some(at);
        }
        at += text[at..].find(is_break)?;
    }
}
