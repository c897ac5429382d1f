//! Broken YAML: what the parser says about it in this tool's words, the best place for it, and where to read on.

use std::ops::Range;

use libyaml_safer::Error;

use super::error::{SourceError, SourceProblem, SyntaxProblem};
use super::place::{FileId, Span};
use super::scalar::is_break;

/// Turns the parser's error into one of ours, and says behind which byte reading may go on. `from` is the byte at which
/// the parser began.
pub(super) fn explain(error: &Error, file: FileId, text: &str, from: u32) -> (SourceError, u32) {
    let place = |index: u64| boundary(text, (u64::from(from) + index).min(text.len() as u64) as usize);
    let found = error.problem_mark().map_or(from, |mark| place(mark.index));
    let opened = error.context_mark().map(|mark| place(mark.index));
    let context = error.context().unwrap_or_default();
    let next = text[found as usize..].chars().next();
    let begins_line = text[..found as usize].chars().rev().find(|c| *c != ' ').is_none_or(is_break);
    let problem = match problem(error.problem(), context, next) {
        SyntaxProblem::CannotBegin('\t') if begins_line => SyntaxProblem::Tab,
        SyntaxProblem::Indentation if next == Some(':') => SyntaxProblem::UnexpectedColon,
        SyntaxProblem::Indentation if !begins_line => SyntaxProblem::BehindValue,
        problem => problem,
    };
    // Where something is left open, its beginning is the place; the parser noticed only where the next thing came.
    let (start, other) = match problem {
        SyntaxProblem::MissingColon | SyntaxProblem::OpenQuote => (opened.unwrap_or(found), None),
        SyntaxProblem::OpenList | SyntaxProblem::OpenMap => (found, opened),
        _ => (found, None),
    };
    let mut span = word(text, file, start);
    if problem == SyntaxProblem::Escape {
        let escape = text[start as usize..].chars().take(2).map(char::len_utf8).sum::<usize>();
        span.end = start + escape as u32;
    }
    let other = other.map(|at| Span { file, start: at, end: at + 1 });
    let resume_behind = other.map_or(start, |other| other.start);
    let problem = match problem {
        SyntaxProblem::UnexpectedColon if begins_line => SourceProblem::EmptyKey,
        problem => SourceProblem::Syntax(problem),
    };
    (SourceError { problem, span, other }, resume_behind)
}

/// The parser's words, with what it was doing and the character it stopped at, as one of our problems.
fn problem(words: &str, context: &str, next: Option<char>) -> SyntaxProblem {
    let doing = |what: &str| context.contains(what);
    match words {
        "could not find expected ':'" => SyntaxProblem::MissingColon,
        "did not find expected ',' or ']'" => SyntaxProblem::OpenList,
        "did not find expected ',' or '}'" => SyntaxProblem::OpenMap,
        "did not find expected node content" => SyntaxProblem::MissingValue,
        "found character that cannot start any token" => next.map_or(SyntaxProblem::Other, SyntaxProblem::CannotBegin),
        "block sequence entries are not allowed in this context" => SyntaxProblem::UnexpectedDash,
        "mapping values are not allowed in this context"
        | "mapping keys are not allowed in this context"
        | "found unexpected ':'" => SyntaxProblem::UnexpectedColon,
        "did not find expected key"
        | "did not find expected '-' indicator"
        | "did not find expected <document start>" => SyntaxProblem::Indentation,
        words if words.contains("tab character") => SyntaxProblem::Tab,
        words if words.contains("escape") || words.contains("hexdecimal") => SyntaxProblem::Escape,
        _ if doing("quoted scalar") => SyntaxProblem::OpenQuote,
        _ if doing("block scalar") => SyntaxProblem::BlockHeader,
        _ if doing("anchor") || doing("alias") => SyntaxProblem::AliasName,
        words if words.contains('%') || words.contains("directive") || doing("directive") => SyntaxProblem::Directive,
        words if words.contains("tag") || doing("tag") || doing("parsing a node") => SyntaxProblem::Tag,
        _ => SyntaxProblem::Other,
    }
}

/// Whether the value that ended right before the error is not what was meant.
pub(super) fn breaks_the_value_before(problem: &SourceProblem) -> bool {
    use SyntaxProblem::{BehindValue, OpenList, OpenMap, UnexpectedColon};
    matches!(problem, SourceProblem::Syntax(BehindValue | OpenList | OpenMap | UnexpectedColon))
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

/// The byte behind the `&name` and `!tag` that begin at `start`, and behind what is blank or comment after them; and
/// the place of the tag.
pub(super) fn skip_properties(text: &str, start: u32) -> (u32, Option<Range<u32>>) {
    let mut at = start as usize;
    let mut tag = None;
    while let Some(rest) = text.get(at..) {
        let length = match rest.chars().next() {
            Some(c) if c == ' ' || c == '\t' || is_break(c) => c.len_utf8(),
            Some('#') => rest.find(is_break).unwrap_or(rest.len()),
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
