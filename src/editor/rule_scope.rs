//! What a word in a rule file means: the subject of its rule or figure, a key below it, a figure, a function.
//!
//! In come the text of a rule file and a byte; out comes the dotted word there and the records that what stands before its last
//! dot can be. It goes by lines, so that it knows its way in expressions that are not finished.

use std::ops::Range;

use crate::rulebook::Rulebook;
use crate::terms::{Field, FieldType, ListId, ListMembers, RecordId, Types};

/// A dotted word in an expression.
pub struct Word<'t> {
    /// What stands before the last dot up to the place; nothing if there is no dot.
    pub base: Option<&'t str>,
    /// The part in which the place lies, as far as it is written.
    pub part: &'t str,
    /// Bytes of that part.
    pub range: Range<usize>,
}

/// What a rule or figure is about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Subject<'t> {
    /// The name of each member, where it is about the members of a list.
    pub name: Option<&'t str>,
    /// The path of the list or section.
    pub path: &'t str,
}

/// What a dotted word leads to.
#[derive(Debug, Clone, PartialEq)]
pub enum Leads {
    /// One of these records.
    Records(Vec<RecordId>),
    /// A list.
    List(ListId),
}

/// The dotted word at a byte; nothing in a comment.
pub fn word_at(text: &str, byte: usize) -> Option<Word<'_>> {
    let line = text.get(..byte)?.rfind('\n').map_or(0, |at| at + 1);
    if text.get(line..byte)?.contains(" #") {
        return None;
    }
    let of_word = |c: char| c.is_ascii_alphanumeric() || c == '_';
    let before = text.get(line..byte)?;
    let chain = before
        .rfind(|c: char| !(of_word(c) || c == '.'))
        .map_or(0, |at| at + before.get(at..).and_then(|rest| rest.chars().next()).map_or(1, char::len_utf8));
    let written = before.get(chain..)?;
    let (base, start) = match written.rfind('.') {
        Some(dot) => (written.get(..dot), line + chain + dot + 1),
        None => (None, line + chain),
    };
    let rest = text.get(byte..)?;
    let end = byte + rest.find(|c: char| !of_word(c)).unwrap_or(rest.len());
    Some(Word { base, part: text.get(start..end)?, range: start..end })
}

/// What the rule or figure around a byte is about.
pub fn subject_at(text: &str, byte: usize) -> Option<Subject<'_>> {
    let starts = |line: &str| ["- rule:", "- figure:"].iter().any(|key| line.trim_start().starts_with(key));
    let lines: Vec<&str> = text.lines().collect();
    let at = text.get(..byte)?.matches('\n').count();
    let first = (0..=at.min(lines.len().saturating_sub(1))).rev().find(|n| lines.get(*n).is_some_and(|l| starts(l)))?;
    let entry = lines.iter().skip(first).enumerate().take_while(|(n, line)| *n == 0 || !starts(line));
    let written = entry
        .map(|(_, line)| line.trim_start().trim_start_matches("- "))
        .find_map(|line| line.strip_prefix("for:").or_else(|| line.strip_prefix("of:")))?;
    let written = written.split(" #").next()?.trim().trim_matches(['"', '\'']);
    let written = written.split(" where ").next()?.trim();
    Some(match written.split_once(" in ") {
        Some((name, path)) => Subject { name: Some(name.trim()), path: path.trim() },
        None => Subject { name: None, path: written },
    })
}

/// What the words before a dot lead to, from the subject or from the top of a spec.
pub fn leads(types: &Types, subject: Option<&Subject>, base: &str) -> Option<Leads> {
    let mut parts = base.split('.');
    let first = parts.next()?;
    let mut at = match subject.filter(|subject| subject.name == Some(first)) {
        Some(subject) => Leads::Records(members(types, &path(types, subject.path)?)?),
        None => key(types, &Leads::Records(vec![types.root()]), first)?,
    };
    for part in parts {
        at = key(types, &at, part)?;
    }
    Some(at)
}

/// What a plain path from the top of a spec leads to; `build` is the whole.
pub fn path(types: &Types, path: &str) -> Option<Leads> {
    path.split('.').try_fold(Leads::Records(vec![types.root()]), |at, part| key(types, &at, part))
}

/// The keys of records, each name once.
pub fn fields<'t>(types: &'t Types, records: &[RecordId]) -> Vec<&'t Field> {
    let mut found: Vec<&Field> = Vec::new();
    for field in records.iter().flat_map(|record| &types.record(*record).fields) {
        if !found.iter().any(|known| known.name == field.name) {
            found.push(field);
        }
    }
    found
}

/// The numbers of the figures of records.
pub fn figures(book: &Rulebook, records: &[RecordId]) -> Vec<usize> {
    let of = |figure: &crate::language::FigureCode| figure.records.iter().any(|record| records.contains(record));
    book.library.figures.iter().enumerate().filter(|(_, figure)| of(figure)).map(|(number, _)| number).collect()
}

/// The records of a list's members.
pub fn members(types: &Types, at: &Leads) -> Option<Vec<RecordId>> {
    let Leads::List(list) = at else { return None };
    match &types.list(*list).members {
        ListMembers::Records(records) => Some(records.clone()),
        ListMembers::Values(_) => None,
    }
}

fn key(types: &Types, at: &Leads, name: &str) -> Option<Leads> {
    let Leads::Records(records) = at else { return None };
    if matches!(name, "before" | "after") {
        let list = records.iter().find_map(|record| types.record(*record).in_list)?;
        return Some(Leads::Records(members(types, &Leads::List(list))?));
    }
    let field = records.iter().find_map(|record| {
        let record = types.record(*record);
        record.field(record.slot(name)?)
    })?;
    match &field.ty {
        FieldType::Record(record) => Some(Leads::Records(vec![*record])),
        FieldType::List(list) => Some(Leads::List(*list)),
        FieldType::Reference(list) => Some(Leads::Records(members(types, &Leads::List(*list))?)),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_and_subjects_are_found() {
        let text = "rules:\n  - rule: shop.x\n    for: pump in fuel.pumps where pump.place = x  # all\n    holds: pump.draws_from.low";
        let word = word_at(text, text.len()).map(|w| (w.base, w.part));
        assert_eq!(word, Some((Some("pump.draws_from"), "low")));
        let at = text.find("draws").unwrap_or(0) + 2;
        assert_eq!(word_at(text, at).map(|w| (w.base, w.part)), Some((Some("pump"), "draws_from")));
        assert_eq!(word_at(text, text.find("all").unwrap_or(0)).map(|w| w.part), None);
        assert_eq!(subject_at(text, text.len()), Some(Subject { name: Some("pump"), path: "fuel.pumps" }));
        assert_eq!(subject_at("  - figure: a\n    of: brakes\n", 5), Some(Subject { name: None, path: "brakes" }));
        assert_eq!(subject_at("tables:\n", 3), None);
        assert!(word_at("é.ü", 3).is_some());
    }
}
