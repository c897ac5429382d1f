//! Places in files: which file, which bytes, and the line and column that a person would name.

use super::shared_text::SharedText;
use std::sync::{Arc, OnceLock};

/// One file held in [`Sources`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize, serde::Deserialize)]
pub struct FileId(pub u32);

/// A range of bytes in one file; `start <= end`, both on character boundaries of the file's text.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize, serde::Deserialize)]
pub struct Span {
    /// The file.
    pub file: FileId,
    /// First byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
}

/// Line and column as an editor counts them for a person: both from 1, the column in characters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Position {
    /// Line, from 1.
    pub line: u32,
    /// Column in characters, from 1.
    pub column: u32,
}

/// The texts that places point into, in the order in which they were read.
#[derive(Debug, Clone, Default)]
pub struct Sources {
    files: Vec<File>,
}

#[derive(Debug, Clone)]
struct File {
    name: Arc<str>,
    text: SharedText,
    /// Found when first asked for: most files are read without anyone asking for a line.
    line_starts: OnceLock<Arc<[u32]>>,
}

impl File {
    fn line_starts(&self) -> &[u32] {
        self.line_starts.get_or_init(|| {
            let bytes = self.text.as_bytes();
            let lone_return = |at: usize| bytes[at] == b'\r' && bytes.get(at + 1) != Some(&b'\n');
            let ends_line = |at: &usize| bytes[*at] == b'\n' || lone_return(*at);
            std::iter::once(0).chain((0..bytes.len()).filter(ends_line).map(|at| at as u32 + 1)).collect()
        })
    }
}

impl Sources {
    /// Adds a file under the name by which a person knows it (its path from the repository's root, `/` between parts).
    pub fn add(&mut self, name: &str, text: Arc<str>) -> FileId {
        self.push(name, text.into())
    }

    /// As [`Sources::add`], for a text that lives as long as the program.
    pub fn add_built_in(&mut self, name: &str, text: &'static str) -> FileId {
        self.push(name, SharedText::built_in(text))
    }

    fn push(&mut self, name: &str, text: SharedText) -> FileId {
        self.files.push(File { name: name.into(), text, line_starts: OnceLock::new() });
        FileId(self.files.len() as u32 - 1)
    }

    /// The file's name, as given to [`Sources::add`].
    pub fn name(&self, file: FileId) -> &str {
        &self.files[file.0 as usize].name
    }

    /// The file's whole text.
    pub fn text(&self, file: FileId) -> &str {
        &self.files[file.0 as usize].text
    }

    /// The text of a place.
    pub fn slice(&self, span: Span) -> &str {
        &self.text(span.file)[span.start as usize..span.end as usize]
    }

    /// Line and column of a byte.
    pub fn position(&self, file: FileId, byte: u32) -> Position {
        let f = &self.files[file.0 as usize];
        let starts = f.line_starts();
        let line = starts.partition_point(|start| *start <= byte) - 1;
        let before = &f.text[starts[line] as usize..byte as usize];
        // A byte order mark is nothing that a person sees.
        let before = if line == 0 { before.trim_start_matches('\u{feff}') } else { before };
        let column = before.chars().count() as u32 + 1;
        Position { line: line as u32 + 1, column }
    }

    /// Byte offsets at which the file's lines start; the first is 0.
    pub fn line_starts(&self, file: FileId) -> &[u32] {
        self.files[file.0 as usize].line_starts()
    }

    /// Every file, in the order in which it was added.
    pub fn ids(&self) -> impl Iterator<Item = FileId> + use<> {
        (0..self.files.len() as u32).map(FileId)
    }
}
