//! Puts what is not written into its gap: a key between its neighbours, an item behind the last, with all that they need around.

use super::super::scalar::is_break;
use super::super::tree::{Content, Entry, NodeId};
use super::habits::Habits;
use super::places::{Gap, range};
use super::{EditProblem, EditStep, EditedFile, NewValue, TextEdit, written};

/// The edit that puts a value at a path whose first unwritten step is at `gap`.
pub(super) fn into_gap(
    file: &EditedFile,
    gap: &Gap,
    path: &[EditStep],
    value: &NewValue,
) -> Result<TextEdit, EditProblem> {
    let steps = path.get(gap.taken..).unwrap_or_default();
    let doubtful = EditProblem::Layout(gap.at.map_or(0..0, |at| range(file.tree.node(at).span)));
    let inserting = Inserting { file, habits: Habits::of(file), steps, value };
    let edit = match gap.at {
        None => inserting.at_the_end(),
        Some(at) => match &file.tree.node(at).content {
            Content::Scalar(_) => inserting.for_nothing(at, gap),
            Content::Map(entries) => inserting.entry(at, entries, gap.flow),
            Content::List(items) => inserting.item(at, items, gap.flow),
        },
    };
    edit.ok_or(doubtful)
}

struct Inserting<'a> {
    file: &'a EditedFile,
    habits: Habits,
    steps: &'a [EditStep],
    value: &'a NewValue,
}

impl Inserting<'_> {
    fn at_the_end(&self) -> Option<TextEdit> {
        let end = self.file.text.len();
        let entry = self.lines(self.steps, 0)?;
        self.line_at(end, &entry)
    }

    /// Fills in a value behind a key that has none.
    fn for_nothing(&self, at: NodeId, gap: &Gap) -> Option<TextEdit> {
        let start = self.file.tree.node(at).span.start as usize;
        let key = gap.key?;
        if gap.flow {
            let text = format!(" {}", self.in_braces(self.steps)?);
            return Some(TextEdit { range: start..start, text });
        }
        let column = self.file.column(key.start as usize);
        let end = self.file.line_end(start);
        Some(TextEdit { range: end..end, text: self.behind_key(self.steps, column)? })
    }

    fn entry(&self, map: NodeId, entries: &[Entry], flow: bool) -> Option<TextEdit> {
        let file = self.file;
        let own: Vec<&Entry> = entries.iter().filter(|entry| file.is_own(map, entry)).collect();
        let Some(EditStep::Key { behind, .. }) = self.steps.first() else { return None };
        let before = behind.iter().rev().find_map(|key| own.iter().find(|entry| *entry.key == **key));
        if flow {
            return self.in_flow_map(map, &own, before.copied(), !behind.is_empty());
        }
        let first = own.first()?;
        let column = file.column(first.key_span.start as usize);
        if let (None, false) = (before, behind.is_empty())
            && let Some(at) = self.above(first)
        {
            return self.line_at(at, &self.lines(self.steps, column)?);
        }
        let last = before.copied().or(own.last().copied())?;
        let end = file.end_of(last)?;
        let at = self.behind_subtree(end, column)?;
        let mut text = self.lines(self.steps, column)?;
        if column == 0 && self.steps.len() > 1 && self.habits.parted {
            text = format!("{}{text}", self.habits.line_end);
        }
        self.line_at(at, &text)
    }

    /// The line above the first entry of a section and its comments; nothing where a dash or the top of the file is there.
    fn above(&self, first: &Entry) -> Option<usize> {
        let file = self.file;
        let mut at = file.line_start(first.key_span.start as usize);
        let key = &file.text[at..first.key_span.start as usize];
        if key.is_empty() || !key.bytes().all(|b| b == b' ') {
            return None;
        }
        while at > 0 {
            let before = file.line_start(at - 1);
            // Of a two-byte break the second byte belongs to the line that it ends.
            let before = if file.text[..at].ends_with("\r\n") { file.line_start(at - 2) } else { before };
            if !file.text[before..at].trim_start().starts_with('#') {
                break;
            }
            at = before;
        }
        Some(at)
    }

    fn in_flow_map(&self, map: NodeId, own: &[&Entry], before: Option<&Entry>, ordered: bool) -> Option<TextEdit> {
        if !self.file.bracketed(map) {
            return None;
        }
        let entry = self.in_braces(self.steps)?;
        let entry = entry.strip_prefix('{')?.strip_suffix('}')?;
        let open = self.file.tree.node(map).span.start as usize + 1;
        let (at, text) = match (before, own.last().copied()) {
            (None, None) => (open, entry.to_owned()),
            (None, Some(_)) if ordered => (open, format!("{entry}, ")),
            (Some(last), _) | (None, Some(last)) => {
                let end = self.file.end_of(last)?;
                // A comma right behind a colon would be taken for a part of the key.
                match (self.file.tree.node(last.value).is_unwritten(), self.file.text.as_bytes().get(end)) {
                    (true, Some(b' ')) => (end + 1, format!(", {entry}")),
                    (true, _) => (end, format!(" , {entry}")),
                    (false, _) => (end, format!(", {entry}")),
                }
            }
        };
        Some(TextEdit { range: at..at, text })
    }

    fn item(&self, list: NodeId, items: &[NodeId], flow: bool) -> Option<TextEdit> {
        let file = self.file;
        let span = range(file.tree.node(list).span);
        let Some((EditStep::Item { naming, name }, rest)) = self.steps.split_first() else { return None };
        let braces = |this: &Self| this.item_in_braces(naming, name, rest);
        if flow {
            if !file.bracketed(list) {
                return None;
            }
            let inner = file.text.get(span.start + 1..span.end.checked_sub(1)?)?;
            let used = inner.trim_end().trim_end_matches(',').trim_end().len();
            let at = span.start + 1 + if items.is_empty() { 0 } else { used };
            let comma = if items.is_empty() { "" } else { ", " };
            return Some(TextEdit { range: at..at, text: format!("{comma}{}", braces(self)?) });
        }
        let column = file.column(span.start);
        let dash_line = file.text.get(file.line_start(span.start)..span.start)?;
        if !dash_line.bytes().all(|b| b == b' ' || b == b'-') {
            return None;
        }
        let last = file.tree.node(*items.last()?).span.start as usize;
        let first = file.tree.node(*items.first()?).span.start as usize;
        let dash =
            file.text.get(span.start..first).filter(|dash| dash.len() > 1 && dash[1..].bytes().all(|b| b == b' '));
        let dash = dash.unwrap_or("- ");
        let blanks = " ".repeat(column);
        let text = if file.text.as_bytes().get(last) == Some(&b'{') {
            format!("{blanks}{dash}{}", braces(self)?)
        } else {
            format!("{blanks}{dash}{}", self.item_lines(naming, name, rest, column + dash.len())?)
        };
        let at = self.behind_subtree(span.end, column)?;
        self.line_at(at, &text)
    }

    /// Where a line goes that follows what ends at `end`, in a map or list at `column`: behind the comments that belong to it.
    fn behind_subtree(&self, end: usize, column: usize) -> Option<usize> {
        let file = self.file;
        let rest = file.text.get(end..file.line_end(end))?.trim_start();
        if !(rest.is_empty() || rest.starts_with('#')) {
            return None;
        }
        let mut at = file.next_line(end);
        while at < file.text.len() {
            let line = &file.text[at..file.line_end(at)];
            let words = line.trim_start_matches(' ');
            if !words.starts_with('#') || line.len() - words.len() <= column {
                break;
            }
            at = file.next_line(at);
        }
        Some(at)
    }

    /// Puts lines in at the start of a line, or behind a last line that has no break.
    fn line_at(&self, at: usize, lines: &str) -> Option<TextEdit> {
        let text = &self.file.text;
        let before = text.get(..at)?;
        let fresh = before.is_empty() || before == "\u{feff}" || before.ends_with(is_break);
        let line_end = self.habits.line_end;
        let text = if fresh { format!("{lines}{line_end}") } else { format!("{line_end}{lines}") };
        Some(TextEdit { range: at..at, text })
    }

    /// `key: …` with everything below it, at a column, without a last break.
    fn lines(&self, steps: &[EditStep], column: usize) -> Option<String> {
        let (EditStep::Key { key, .. }, rest) = steps.split_first()? else { return None };
        let key = written::text(key, false, None);
        Some(format!("{}{key}:{}", " ".repeat(column), self.behind_key(rest, column)?))
    }

    /// What stands behind a key at a column.
    fn behind_key(&self, steps: &[EditStep], column: usize) -> Option<String> {
        match steps.split_first() {
            None => Some(format!(" {}", written::value(self.value, false, None))),
            Some((EditStep::Key { .. }, _)) => {
                Some(format!("{}{}", self.habits.line_end, self.lines(steps, column + self.habits.section)?))
            }
            Some((EditStep::Item { naming, name }, rest)) => {
                let column = column + self.habits.list;
                let item = self.item_lines(naming, name, rest, column + 2)?;
                Some(format!("{}{}- {item}", self.habits.line_end, " ".repeat(column)))
            }
            Some((EditStep::At(_), _)) => None,
        }
    }

    /// `naming: name` and below it, at `column`, the rest.
    fn item_lines(&self, naming: &str, name: &str, rest: &[EditStep], column: usize) -> Option<String> {
        let line_end = self.habits.line_end;
        let head = format!("{}: {}", written::text(naming, false, None), written::text(name, false, None));
        if !rest.is_empty() {
            return Some(format!("{head}{line_end}{}", self.lines(rest, column)?));
        }
        let NewValue::Map(entries) = self.value else { return None };
        let mut lines = head;
        for (key, value) in entries {
            let key = written::text(key, false, None);
            lines += &format!("{line_end}{}{key}: {}", " ".repeat(column), written::value(value, false, None));
        }
        Some(lines)
    }

    /// Everything in braces on one line.
    fn in_braces(&self, steps: &[EditStep]) -> Option<String> {
        match steps.split_first() {
            None => Some(written::value(self.value, true, None)),
            Some((EditStep::Key { key, .. }, rest)) => {
                Some(format!("{{{}: {}}}", written::text(key, true, None), self.in_braces(rest)?))
            }
            Some((EditStep::Item { naming, name }, rest)) => {
                Some(format!("[{}]", self.item_in_braces(naming, name, rest)?))
            }
            Some((EditStep::At(_), _)) => None,
        }
    }

    fn item_in_braces(&self, naming: &str, name: &str, rest: &[EditStep]) -> Option<String> {
        let more = self.in_braces(rest)?;
        let more = more.strip_prefix('{')?.strip_suffix('}')?;
        let comma = if more.is_empty() { "" } else { ", " };
        Some(format!("{{{}: {}{comma}{more}}}", written::text(naming, true, None), written::text(name, true, None)))
    }
}
