//! From a file's bytes to text that the YAML parser can take.
//!
//! In come bytes; out comes the text in [`Sources`], and errors where it is not UTF-8 or holds what YAML does not
//! allow. [`Masked`] hides from the parser what it cannot bear.

use super::error::{SourceError, SourceProblem};
use super::place::{FileId, Sources, Span};
use super::scalar::pieces;
use super::tree::ScalarStyle;

/// Adds the file to `sources`; errors if its text is not fit for parsing.
pub(super) fn add_readable(sources: &mut Sources, name: &str, bytes: &[u8]) -> (FileId, Vec<SourceError>) {
    let (file, problem, start) = match std::str::from_utf8(bytes) {
        Ok(text) => {
            let file = sources.add(name, text.into());
            let Some((start, character)) = forbidden(text).next() else { return (file, Vec::new()) };
            let count = forbidden(text).count();
            (file, SourceProblem::ControlCharacter { character, count }, start)
        }
        Err(error) => {
            let file = sources.add(name, String::from_utf8_lossy(bytes).into());
            let count = bytes.utf8_chunks().filter(|chunk| !chunk.invalid().is_empty()).count();
            let utf_16 = bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]);
            (file, SourceProblem::NotUtf8 { count, utf_16 }, error.valid_up_to())
        }
    };
    let length = sources.text(file)[start..].chars().next().map_or(0, char::len_utf8);
    let span = Span { file, start: start as u32, end: (start + length) as u32 };
    (file, vec![SourceError { problem, span, other: None }])
}

/// Characters that YAML 1.2 allows nowhere: outside c-printable (production 1), and byte order marks behind the first
/// character, which nobody sees.
fn forbidden(text: &str) -> impl Iterator<Item = (usize, char)> + '_ {
    // Most texts hold none, which a look at the bytes that could begin one tells sooner than reading them all.
    let bytes = text.as_bytes();
    let control = |b: u8| (b < 0x20 && !matches!(b, b'\t' | b'\n' | b'\r')) || b == 0x7f;
    let begins_one = |at: usize, b: u8| {
        let next = bytes.get(at + 1).copied().unwrap_or(0);
        (b == 0xc2 && next < 0xa0) || (b == 0xef && next >= 0xbb)
    };
    let any = bytes.iter().fold(false, |any, b| any | control(*b))
        || bytes.iter().enumerate().any(|(at, b)| *b >= 0xc2 && begins_one(at, *b));
    let searched = if any { text } else { "" };
    searched.char_indices().filter(|(at, c)| match c {
        '\t' | '\n' | '\r' | '\u{85}' => false,
        '\u{feff}' => *at > 0,
        '\u{fffe}' | '\u{ffff}' => true,
        c => c.is_control(),
    })
}

/// A text as the parser sees it. The parser gives up on a tag directly before a comma, so the `!` of everything that
/// could be one is hidden from it, byte for byte, and put back into what it finds.
pub(super) struct Masked<'a> {
    text: &'a str,
    hidden: Option<(String, Vec<u32>)>,
}

impl<'a> Masked<'a> {
    pub(super) fn new(text: &'a str) -> Self {
        let offsets = if text.contains('!') { tags_before_commas(text) } else { Vec::new() };
        if offsets.is_empty() {
            return Self { text, hidden: None };
        }
        let mut bytes = text.as_bytes().to_vec();
        for offset in &offsets {
            bytes[*offset as usize] = b'x';
        }
        Self { text, hidden: String::from_utf8(bytes).ok().map(|parsed| (parsed, offsets)) }
    }

    /// What the parser is to see: of the same length, with the same places.
    pub(super) fn parsed(&self) -> &str {
        self.hidden.as_ref().map_or(self.text, |(parsed, _)| parsed)
    }

    /// A scalar's text with the hidden bytes put back, and the tag that it begins with if hiding made it part of the
    /// scalar.
    pub(super) fn restore(&self, text: String, style: ScalarStyle, span: Span) -> (String, Option<Span>) {
        let Some((parsed, offsets)) = &self.hidden else { return (text, None) };
        let (from, to) = (offsets.partition_point(|o| *o < span.start), offsets.partition_point(|o| *o < span.end));
        let inside = &offsets[from..to];
        let raw = parsed.get(span.start as usize..span.end as usize).unwrap_or_default();
        let (false, Some(pieces)) = (inside.is_empty(), pieces(raw, &text, style)) else { return (text, None) };
        let mut bytes = text.clone().into_bytes();
        let mut pieces = pieces.iter().peekable();
        for offset in inside {
            let at_raw = (offset - span.start) as usize;
            while pieces.next_if(|piece| piece.raw.end <= at_raw).is_some() {}
            let at = pieces.peek().filter(|piece| piece.raw.contains(&at_raw)).map(|piece| piece.text_at(at_raw));
            if let Some(byte) = at.and_then(|at| bytes.get_mut(at)) {
                *byte = b'!';
            }
        }
        let tag = (inside[0] == span.start && style == ScalarStyle::Plain).then_some(span);
        (String::from_utf8(bytes).unwrap_or(text), tag)
    }
}

/// The bytes of every `!` that could begin a tag which ends at a comma.
fn tags_before_commas(text: &str) -> Vec<u32> {
    let bytes = text.as_bytes();
    let mut offsets = Vec::new();
    let mut start = 0;
    for word in bytes.split(|b| matches!(b, b' ' | b'\t' | b'\n' | b'\r')) {
        let reach = word.iter().rposition(|b| *b == b',').unwrap_or(0);
        for at in (0..reach).filter(|at| word[*at] == b'!') {
            // Behind these it is part of a word or of an escape.
            let inside =
                at > 0 && (word[at - 1].is_ascii_alphanumeric() || matches!(word[at - 1], b'_' | b'-' | b'\\'));
            if !inside {
                offsets.push((start + at) as u32);
            }
        }
        start += word.len() + 1;
    }
    offsets
}
