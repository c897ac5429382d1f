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

/// Characters outside YAML 1.2, production 1 (c-printable).
fn forbidden(text: &str) -> impl Iterator<Item = (usize, char)> + '_ {
    // Most files are plain: the bytes that could begin such a character are looked for first.
    let suspicious = |b: &u8| (*b < 0x20 && !matches!(b, b'\t' | b'\n' | b'\r')) || matches!(b, 0x7f | 0xc2 | 0xef);
    let any = text.bytes().any(|b| suspicious(&b));
    let allowed = |c: char| match c {
        '\t' | '\n' | '\r' | '\u{85}' => true,
        '\u{fffe}' | '\u{ffff}' => false,
        c => !c.is_control(),
    };
    let searched = if any { text } else { "" };
    searched.char_indices().filter(move |(_, c)| !allowed(*c))
}

/// A text as the parser sees it. The parser gives up on a tag directly before a comma, so the `!` of everything that could
/// be one is hidden from it, byte for byte, and put back into what it finds.
pub(super) struct Masked<'a> {
    text: &'a str,
    hidden: Option<(String, Vec<u32>)>,
}

impl<'a> Masked<'a> {
    pub(super) fn new(text: &'a str) -> Self {
        if !text.contains('!') {
            return Self { text, hidden: None };
        }
        let bytes = text.as_bytes();
        let before = |at: usize| {
            at == 0
                || matches!(
                    bytes[at - 1],
                    b' ' | b'\t' | b'\n' | b'\r' | b'[' | b'{' | b',' | b':' | b'?' | b'\'' | b'"'
                )
        };
        let offsets: Vec<u32> = text
            .match_indices('!')
            .map(|(at, _)| at)
            .filter(|at| {
                before(*at) && text[*at..].split([' ', '\t', '\n', '\r']).next().is_some_and(|tag| tag.contains(','))
            })
            .map(|at| at as u32)
            .collect();
        if offsets.is_empty() {
            return Self { text, hidden: None };
        }
        let mut parsed = text.to_owned();
        for at in &offsets {
            parsed.replace_range(*at as usize..=*at as usize, "x");
        }
        Self { text, hidden: Some((parsed, offsets)) }
    }

    /// What the parser is to see: of the same length, with the same places.
    pub(super) fn parsed(&self) -> &str {
        self.hidden.as_ref().map_or(self.text, |(parsed, _)| parsed)
    }

    /// A scalar's text with the hidden bytes put back, and the tag that it begins with if hiding made it part of the
    /// scalar.
    pub(super) fn restore(&self, text: String, style: ScalarStyle, span: Span) -> (String, Option<Span>) {
        let Some((parsed, offsets)) = &self.hidden else { return (text, None) };
        let Some(raw) = parsed.get(span.start as usize..span.end as usize) else { return (text, None) };
        let Some(pieces) = pieces(raw, &text, style) else { return (text, None) };
        let mut restored = text;
        let mut tag = None;
        for offset in offsets.iter().filter(|offset| (span.start..span.end).contains(offset)) {
            if *offset == span.start && style == ScalarStyle::Plain {
                tag = Some(span);
            }
            let at_raw = (offset - span.start) as usize;
            if let Some(piece) = pieces.iter().find(|piece| piece.raw.contains(&at_raw)) {
                let at = piece.text.start + (at_raw - piece.raw.start);
                restored.replace_range(at..=at, "!");
            }
        }
        (restored, tag)
    }
}
