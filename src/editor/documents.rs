//! The texts that are open in the editor, as far as they have been typed.
//!
//! In come openings, incremental changes and closings; out come the text now, its version and its lines, and all texts below a
//! folder as files, to be laid over those on the disk: a build is read from what the builder sees.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use lsp_types::TextDocumentContentChangeEvent;

use super::position::{Encoding, Lines};
use crate::source::{FileId, MemoryFiles, Sources};

/// One open text.
#[derive(Debug, Clone)]
pub struct Document {
    /// Its address as the client writes it.
    pub uri: String,
    /// The client's number of this state of it.
    pub version: i32,
    /// Holds the text alone, for its lines.
    text: Sources,
}

impl Document {
    fn new(uri: &str, version: i32, text: &str) -> Document {
        Document { uri: uri.to_owned(), version, text: held(text) }
    }

    /// The text now.
    pub fn text(&self) -> &str {
        self.text.text(FileId(0))
    }

    /// The text with its lines.
    pub fn lines(&self, encoding: Encoding) -> Lines<'_> {
        Lines::of(&self.text, FileId(0), encoding)
    }
}

fn held(text: &str) -> Sources {
    let mut sources = Sources::default();
    sources.add("", text.into());
    sources
}

/// All open texts, by their paths.
#[derive(Debug, Clone, Default)]
pub struct Documents {
    open: BTreeMap<PathBuf, Document>,
}

impl Documents {
    /// Takes a text as open.
    pub fn open(&mut self, path: PathBuf, uri: &str, version: i32, text: &str) {
        self.open.insert(path, Document::new(uri, version, text));
    }

    /// Forgets a text; what counts again is the file.
    pub fn close(&mut self, path: &Path) {
        self.open.remove(path);
    }

    /// Changes a text, each change on what the one before has left. A text that is not open is not changed.
    pub fn change(
        &mut self,
        path: &Path,
        version: i32,
        changes: &[TextDocumentContentChangeEvent],
        encoding: Encoding,
    ) {
        let Some(document) = self.open.get_mut(path) else { return };
        document.version = version;
        for change in changes {
            let text = match change.range {
                None => change.text.clone(),
                Some(range) => {
                    let bytes = document.lines(encoding).bytes(range);
                    let text = document.text();
                    let (before, after) = (text.get(..bytes.start), text.get(bytes.end..));
                    [before.unwrap_or_default(), &change.text, after.unwrap_or_default()].concat()
                }
            };
            document.text = held(&text);
        }
    }

    /// The open text of a path.
    pub fn get(&self, path: &Path) -> Option<&Document> {
        self.open.get(path)
    }

    /// All open texts below a folder, by their paths from it.
    pub fn below(&self, root: &Path) -> MemoryFiles {
        let below = self.open.iter().filter_map(|(path, document)| {
            let path = path.strip_prefix(root).ok()?.to_str()?;
            Some((path.replace('\\', "/"), document.text().as_bytes().to_vec()))
        });
        MemoryFiles { files: below.collect() }
    }
}
