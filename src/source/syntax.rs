//! Broken YAML: what the parser says about it in this tool's words, the best place for it, and where to read on.

use std::ops::Range;

use libyaml_safer::Error;

use super::error::{SourceError, SourceProblem, SyntaxProblem};
use super::place::{FileId, Span};

/// Turns the parser's error into one of ours, and says behind which byte reading may go on. `from` is the byte at which the
/// parser began.
pub(super) fn explain(error: &Error, file: FileId, text: &str, from: u32) -> (SourceError, u32) {
    let place = |index: u64| boundary(text, (u64::from(from) + index).min(text.len() as u64) as usize);
    let found = error.problem_mark().map_or(from, |mark| place(mark.index));
    let opened = error.context_mark().map(|mark| place(mark.index));
    let context = error.context().unwrap_or_default();
    let problem = match (error.problem(), context) {
        (_, c)
            if c.contains("quoted scalar")
                && !error.problem().contains("escape")
                && !error.problem().contains("hex") =>
        {
            SyntaxProblem::OpenQuote
        }
        (_, c) if c.contains("quoted scalar") => SyntaxProblem::Escape,
        ("could not find expected ':'", _) => SyntaxProblem::MissingColon,
        ("mapping values are not allowed in this context" | "mapping keys are not allowed in this context", _) => {
            SyntaxProblem::UnexpectedColon
        }
        ("found unexpected ':'", _) => SyntaxProblem::UnexpectedColon,
        ("block sequence entries are not allowed in this context", _) => SyntaxProblem::UnexpectedDash,
        ("did not find expected ',' or ']'", _) => SyntaxProblem::OpenList,
        ("did not find expected ',' or '}'", _) => SyntaxProblem::OpenMap,
        ("did not find expected key" | "did not find expected '-' indicator", _) => SyntaxProblem::Indentation,
        ("did not find expected <document start>", _) => SyntaxProblem::Indentation,
        ("found character that cannot start any token", _) => {
            SyntaxProblem::CannotBegin(text[found as usize..].chars().next().unwrap_or(' '))
        }
        (p, _) if p.contains("tab character") => SyntaxProblem::Tab,
        ("did not find expected node content", _) => SyntaxProblem::MissingValue,
        (_, c) if c.contains("block scalar") => SyntaxProblem::BlockHeader,
        (_, c) if c.contains("anchor") || c.contains("alias") => SyntaxProblem::AliasName,
        (p, c) if p.contains("directive") || c.contains("directive") || c.contains('%') => SyntaxProblem::Directive,
        (p, c) if p.contains("tag") || c.contains("tag") => SyntaxProblem::Tag,
        _ => SyntaxProblem::Other,
    };
    // Where something is left open, its beginning is the place; the parser noticed only where the next thing came.
    let (start, other) = match problem {
        SyntaxProblem::MissingColon | SyntaxProblem::OpenQuote => (opened.unwrap_or(found), None),
        SyntaxProblem::OpenList | SyntaxProblem::OpenMap => (found, opened),
        _ => (found, None),
    };
    let span = word(text, file, start);
    let other = other.map(|at| Span { file, start: at, end: at + 1 });
    let resume_behind = other.map_or(start, |other| other.start);
    (SourceError { problem: SourceProblem::Syntax(problem), span, other }, resume_behind)
}

/// The first line behind `byte` that looks like a key on the left margin.
pub(super) fn next_key_line(text: &str, byte: u32) -> Option<u32> {
    let mut start = byte as usize;
    loop {
        start += text.get(start..)?.find('\n')? + 1;
        let line = text[start..].lines().next()?;
        let name = line.split(':').next()?;
        let is_name = !name.is_empty() && name.chars().all(|c| c.is_alphanumeric() || matches!(c, '_' | '-'));
        let behind = &line[name.len()..];
        if is_name && (behind.trim_end() == ":" || behind.starts_with(": ") || behind.starts_with(":\t")) {
            return Some(start as u32);
        }
    }
}

/// The byte behind the `&name` and `!tag` that begin at `start`, and behind what is blank or comment after them; and the
/// place of the tag.
pub(super) fn skip_properties(text: &str, start: u32) -> (u32, Option<Range<u32>>) {
    let mut at = start as usize;
    let mut tag = None;
    while let Some(rest) = text.get(at..) {
        let length = match rest.chars().next() {
            Some(' ' | '\t' | '\n' | '\r' | '\u{85}' | '\u{2028}' | '\u{2029}') => {
                rest.chars().next().map_or(0, char::len_utf8)
            }
            Some('#') => rest.find('\n').unwrap_or(rest.len()),
            Some(first @ ('&' | '!')) => {
                let ends = |c: char| c.is_whitespace() || matches!(c, ',' | ']' | '}');
                let length = rest.find(ends).unwrap_or(rest.len());
                if first == '!' {
                    tag = Some(at as u32..(at + length) as u32);
                }
                length
            }
            _ => break,
        };
        at += length;
    }
    (at as u32, tag)
}

/// The word that begins at a byte, so that there is something to underline; or what is there at all.
fn word(text: &str, file: FileId, start: u32) -> Span {
    let rest = text.get(start as usize..).unwrap_or_default();
    let ends = |c: char| c.is_whitespace() || matches!(c, ',' | ':' | '[' | ']' | '{' | '}');
    let first = rest.chars().next().filter(|c| !c.is_whitespace()).map_or(0, char::len_utf8);
    let length = rest.find(ends).unwrap_or(rest.len()).max(first);
    Span { file, start, end: start + length as u32 }
}

fn boundary(text: &str, mut byte: usize) -> u32 {
    while !text.is_char_boundary(byte) {
        byte -= 1;
    }
    byte as u32
}
