//! Finds a part of a scalar's text in the file: the way back through quotes, escapes, folds and indentation.
//!
//! In come a scalar's node and a range of its text; out comes the range of file bytes which says it. What is written
//! and what is meant differ only in blanks, line breaks and escapes, so the two are walked side by side; wherever they
//! cannot be matched the whole value is named, which is never wrong.

use std::ops::Range;

use super::place::{Sources, Span};
use super::tree::{Content, Node, ScalarStyle};

/// The place of `range`, bytes of the scalar's text, in the file. The whole node if it is not a scalar or the range
/// does not lie on character boundaries inside its text.
pub fn place_in(sources: &Sources, node: &Node, range: Range<usize>) -> Span {
    let Content::Scalar(scalar) = &node.content else { return node.span };
    if scalar.text.get(range.clone()).is_none() {
        return node.span;
    }
    let within = |start: usize, end: usize| Span {
        file: node.span.file,
        start: node.span.start + start as u32,
        end: node.span.start + end as u32,
    };
    let raw = sources.slice(node.span);
    if raw == &*scalar.text {
        return within(range.start, range.end);
    }
    let Some(pieces) = pieces(raw, &scalar.text, scalar.style) else { return node.span };
    let start = match pieces.iter().find(|piece| piece.text.end > range.start) {
        Some(piece) => piece.raw_at(range.start),
        None => pieces.last().map_or(0, |piece| piece.raw.end),
    };
    let end = match pieces.iter().find(|piece| piece.text.end >= range.end && piece.text.start < range.end) {
        Some(piece) if range.end < piece.text.end => piece.raw_at(range.end),
        Some(piece) => piece.raw.end,
        None => start,
    };
    within(start, end.max(start))
}

/// A stretch of text and the stretch of the file that says it.
pub(super) struct Piece {
    pub(super) text: Range<usize>,
    pub(super) raw: Range<usize>,
    /// Whether it is written byte by byte as it is meant.
    same: bool,
}

impl Piece {
    /// Where a byte of the text stands; the start of the piece if it is not written as it is meant.
    fn raw_at(&self, byte: usize) -> usize {
        if self.same { self.raw.start + byte.saturating_sub(self.text.start) } else { self.raw.start }
    }

    /// The byte of the text which a byte of the file says.
    pub(super) fn text_at(&self, byte: usize) -> usize {
        if self.same { self.text.start + byte.saturating_sub(self.raw.start) } else { self.text.start }
    }
}

/// Matches `raw`, a scalar as written, with the text it means; nothing where they do not agree.
pub(super) fn pieces(raw: &str, text: &str, style: ScalarStyle) -> Option<Vec<Piece>> {
    let double = style == ScalarStyle::Quoted && raw.starts_with('"');
    let single = style == ScalarStyle::Quoted && !double;
    let (first, last) = match style {
        ScalarStyle::Plain => (0, raw.len()),
        ScalarStyle::Quoted => (1, raw.len().checked_sub(1)?),
        ScalarStyle::Block => (raw.find(is_break).unwrap_or(raw.len()), raw.len()),
    };
    let raw = raw.get(..last)?;
    let mut found: Vec<Piece> = Vec::new();
    let (mut at_raw, mut at_text) = (first, 0);
    let mut joined_line = false;
    while at_text < text.len() {
        let rest = raw.get(at_raw..)?;
        let Some(next) = rest.chars().next() else {
            // A block keeps line breaks that lie behind its last written character.
            let blank = text[at_text..].chars().all(is_space);
            found.push(Piece { text: at_text..text.len(), raw: raw.len()..raw.len(), same: false });
            return blank.then_some(found);
        };
        let (taken, said) = if double && next == '\\' {
            let escape = escape_length(rest)?;
            joined_line = escape.1;
            (escape.0, if joined_line { 0 } else { text[at_text..].chars().next()?.len_utf8() })
        } else if single && rest.starts_with("''") {
            (2, 1)
        } else if is_space(next) {
            let taken = run(rest);
            let said = if double { said_by_blanks(&rest[..taken], joined_line) } else { run(&text[at_text..]) };
            joined_line = false;
            (taken, said)
        } else {
            joined_line = false;
            if !text[at_text..].starts_with(next) {
                return None;
            }
            (next.len_utf8(), next.len_utf8())
        };
        let same = text.get(at_text..at_text + said)? == raw.get(at_raw..at_raw + taken)?;
        match found.last_mut() {
            // Runs of ordinary characters are kept as one piece.
            Some(piece) if same && piece.same && piece.raw.end == at_raw => {
                piece.text.end += said;
                piece.raw.end += taken;
            }
            _ if said == 0 => {}
            _ => found.push(Piece { text: at_text..at_text + said, raw: at_raw..at_raw + taken, same }),
        }
        at_raw += taken;
        at_text += said;
    }
    Some(found)
}

/// Bytes that an escape takes, and whether it is the one that joins two lines and says nothing.
fn escape_length(rest: &str) -> Option<(usize, bool)> {
    let kind = rest.chars().nth(1)?;
    Some(match kind {
        'x' => (4, false),
        'u' => (6, false),
        'U' => (10, false),
        '\r' if rest[2..].starts_with('\n') => (3, true),
        _ => (1 + kind.len_utf8(), is_break(kind)),
    })
}

/// How many bytes blanks and breaks between two parts of a double-quoted text say: one break is a blank, each further
/// one a break; after a joined line blanks say nothing.
fn said_by_blanks(blanks: &str, joined_line: bool) -> usize {
    let breaks = blanks.chars().filter(|c| is_break(*c)).count() - blanks.matches("\r\n").count();
    match (joined_line, breaks) {
        (true, breaks) => breaks,
        (false, 0) => blanks.len(),
        (false, breaks) => (breaks - 1).max(1),
    }
}

fn run(text: &str) -> usize {
    text.find(|c| !is_space(c)).unwrap_or(text.len())
}

fn is_space(c: char) -> bool {
    c == ' ' || c == '\t' || is_break(c)
}

/// YAML 1.1 counts these as line breaks.
pub(super) fn is_break(c: char) -> bool {
    matches!(c, '\n' | '\r' | '\u{85}' | '\u{2028}' | '\u{2029}')
}
