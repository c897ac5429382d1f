//! Places as an editor counts them: lines from 0, and characters in units of UTF-8, UTF-16 or UTF-32, as client and
//! server agree. The one place that knows these units.

use std::ops::Range;

use lsp_types::{ClientCapabilities, Position, PositionEncodingKind, Range as PositionRange};

use crate::source::{Sources, Span};

/// In what a position's characters are counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Encoding {
    /// Bytes.
    Utf8,
    /// Units of two bytes: what a client takes for granted that says nothing.
    #[default]
    Utf16,
    /// Characters.
    Utf32,
}

impl Encoding {
    /// The first that the client offers and is known here.
    pub fn negotiated(client: &ClientCapabilities) -> Encoding {
        let offered = client.general.as_ref().and_then(|g| g.position_encodings.as_deref()).unwrap_or_default();
        let known = [Encoding::Utf8, Encoding::Utf16, Encoding::Utf32];
        offered.iter().find_map(|kind| known.into_iter().find(|e| e.kind() == *kind)).unwrap_or_default()
    }

    /// Its name in the protocol.
    pub fn kind(self) -> PositionEncodingKind {
        match self {
            Encoding::Utf8 => PositionEncodingKind::UTF8,
            Encoding::Utf16 => PositionEncodingKind::UTF16,
            Encoding::Utf32 => PositionEncodingKind::UTF32,
        }
    }

    fn units(self, character: char) -> u32 {
        match self {
            Encoding::Utf8 => character.len_utf8() as u32,
            Encoding::Utf16 => character.len_utf16() as u32,
            Encoding::Utf32 => 1,
        }
    }
}

/// A text with its lines.
#[derive(Clone, Copy)]
pub struct Lines<'a> {
    text: &'a str,
    starts: &'a [u32],
    encoding: Encoding,
}

impl<'a> Lines<'a> {
    /// The lines of a file.
    pub fn of(sources: &'a Sources, file: crate::source::FileId, encoding: Encoding) -> Lines<'a> {
        Lines { text: sources.text(file), starts: sources.line_starts(file), encoding }
    }

    /// The position of a byte; of one inside a character, that of the character.
    pub fn position(&self, byte: u32) -> Position {
        let byte = byte.min(self.text.len() as u32);
        let line = self.starts.partition_point(|start| *start <= byte).saturating_sub(1);
        let start = self.starts.get(line).copied().unwrap_or(0);
        let rest = self.text.get(start as usize..).unwrap_or_default();
        let before = rest.char_indices().take_while(|(at, c)| at + c.len_utf8() <= (byte - start) as usize);
        Position { line: line as u32, character: before.map(|(_, c)| self.encoding.units(c)).sum() }
    }

    /// The positions of a range of bytes.
    pub fn range(&self, range: Range<u32>) -> PositionRange {
        PositionRange { start: self.position(range.start), end: self.position(range.end) }
    }

    /// The byte of a position. Beyond the end of a line it is the line's end, beyond the last line the text's; inside a
    /// character its first.
    pub fn byte(&self, position: Position) -> u32 {
        let Some(start) = self.starts.get(position.line as usize) else { return self.text.len() as u32 };
        let next = self.starts.get(position.line as usize + 1).map_or(self.text.len(), |next| *next as usize);
        let line = self.text.get(*start as usize..next).unwrap_or_default().trim_end_matches(['\n', '\r']);
        let mut left = position.character;
        let mut byte = *start;
        for character in line.chars() {
            let units = self.encoding.units(character);
            if units > left {
                break;
            }
            left -= units;
            byte += character.len_utf8() as u32;
        }
        byte
    }

    /// The bytes of a range, put in order.
    pub fn bytes(&self, range: PositionRange) -> Range<usize> {
        let (a, b) = (self.byte(range.start), self.byte(range.end));
        a.min(b) as usize..a.max(b) as usize
    }
}

/// The positions of a place.
pub fn range_of(sources: &Sources, span: Span, encoding: Encoding) -> PositionRange {
    Lines::of(sources, span.file, encoding).range(span.start..span.end)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sources(text: &str) -> Sources {
        let mut sources = Sources::default();
        sources.add("a", text.into());
        sources
    }

    fn lines(sources: &Sources, encoding: Encoding) -> Lines<'_> {
        Lines::of(sources, crate::source::FileId(0), encoding)
    }

    #[test]
    fn characters_are_counted_as_agreed() {
        // 🔧 takes 4 bytes, 2 units of UTF-16; ° takes 2 bytes, 1 unit.
        let sources = sources("a: 🔧 3°\r\nb: 1\rc");
        for (encoding, expected) in [(Encoding::Utf8, 11), (Encoding::Utf16, 8), (Encoding::Utf32, 7)] {
            let lines = lines(&sources, encoding);
            let end = lines.position(11);
            assert_eq!((end.line, end.character), (0, expected));
            assert_eq!(lines.byte(end), 11);
            assert_eq!(lines.position(13), Position { line: 1, character: 0 });
            assert_eq!(lines.position(18), Position { line: 2, character: 0 });
            assert_eq!(lines.byte(Position { line: 0, character: 99 }), 11);
            assert_eq!(lines.byte(Position { line: 99, character: 0 }), 19);
            assert_eq!(lines.byte(Position { line: u32::MAX, character: u32::MAX }), 19);
        }
        let utf_16 = lines(&sources, Encoding::Utf16);
        assert_eq!(utf_16.byte(Position { line: 0, character: 4 }), 3, "inside a pair: its first byte");
        assert_eq!(utf_16.position(5), Position { line: 0, character: 3 }, "inside a character: before it");
    }

    #[test]
    fn every_place_comes_back() {
        let sources = sources("é🔧\n\tx: \"½ in\"\r\n\r\rlast: 3 µm");
        for encoding in [Encoding::Utf8, Encoding::Utf16, Encoding::Utf32] {
            let lines = lines(&sources, encoding);
            for (byte, character) in lines.text.char_indices().filter(|(_, c)| *c != '\n') {
                // What lies between the characters of a line break is the end of the line before.
                let _ = character;
                assert_eq!(lines.byte(lines.position(byte as u32)), byte as u32, "{encoding:?} {byte}");
            }
        }
    }
}
