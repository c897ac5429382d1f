//! Where file contents come from: the disk below a repository's root, memory, or memory laid over something else.
//!
//! In comes a path from the repository's root; out come the file's bytes or a [`ReadProblem`]. Nothing outside the
//! root is ever opened, whatever a spec asks for, and nothing larger than [`FILE_LIMIT`] is read.

use std::collections::{BTreeMap, BTreeSet};
use std::io::Read;
use std::path::{Component, Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

/// The largest file that is read, in bytes (2 MiB): far above any written spec, far below what could hurt.
pub const FILE_LIMIT: u64 = 2 * 1024 * 1024;

/// Folders nested deeper than this are not searched by [`DiskFiles::list`].
const FOLDER_DEPTH: usize = 32;

/// Why a file could not be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ReadProblem {
    /// There is no such file.
    Missing,
    /// The path leads out of the repository, by `..` or by a link.
    Outside,
    /// The file is larger than the limit, in bytes.
    TooLarge {
        /// The largest size that is read.
        limit: u64,
        /// The size found.
        size: u64,
    },
    /// It is a folder, a device, or the system refused; the system's words.
    Unreadable(String),
}

/// Gives file contents by their path from the repository's root (`/` between the parts, no `..` left in it).
pub trait Files: Send + Sync {
    /// The bytes of the file.
    ///
    /// # Errors
    /// See [`ReadProblem`].
    fn read(&self, path: &str) -> Result<Vec<u8>, ReadProblem>;

    /// The bytes of a file of any sort, piece by piece, if it has at most `limit` of them. It may have grown by the time that they
    /// are read, so whoever reads counts.
    ///
    /// # Errors
    /// See [`ReadProblem`].
    fn open(&self, path: &str, limit: u64) -> Result<Box<dyn Read + '_>, ReadProblem>;

    /// Paths of all files below `folder` (`""` is the root) whose name ends in `.yaml`, sorted.
    ///
    /// # Errors
    /// See [`ReadProblem`].
    fn list(&self, folder: &str) -> Result<Vec<String>, ReadProblem>;

    /// The path of the file that a link leads to, where that can be told; `None` if the path is no link.
    fn leads_to(&self, _path: &str) -> Option<String> {
        None
    }
}

/// Files on the disk below a repository's root.
#[derive(Debug, Clone)]
pub struct DiskFiles {
    root: PathBuf,
}

impl DiskFiles {
    /// Reads below `root`; a root that does not exist makes every file [`ReadProblem::Missing`].
    pub fn new(root: PathBuf) -> Self {
        let root = root.canonicalize().unwrap_or(root);
        Self { root }
    }

    /// The place on the disk, with every link followed, once it is proven to lie below the root.
    fn resolve(&self, path: &str) -> Result<PathBuf, ReadProblem> {
        if !stays_inside(path) {
            return Err(ReadProblem::Outside);
        }
        let real = self.root.join(path).canonicalize().map_err(|error| problem(&error))?;
        if real.starts_with(&self.root) { Ok(real) } else { Err(ReadProblem::Outside) }
    }

    /// A plain file below the root, and its size, which is within the limit.
    fn opened(&self, path: &str, limit: u64) -> Result<(std::fs::File, u64), ReadProblem> {
        let real = self.resolve(path)?;
        let metadata = real.metadata().map_err(|error| problem(&error))?;
        // Reading a pipe or a device could wait for ever.
        if !metadata.is_file() {
            return Err(ReadProblem::Unreadable("it is not a plain file".to_owned()));
        }
        let size = metadata.len();
        if size > limit {
            return Err(ReadProblem::TooLarge { limit, size });
        }
        Ok((std::fs::File::open(&real).map_err(|error| problem(&error))?, size))
    }

    fn collect(&self, folder: &Path, prefix: &str, depth: usize, found: &mut Vec<String>) -> Result<(), ReadProblem> {
        for entry in std::fs::read_dir(folder).map_err(|error| problem(&error))? {
            let entry = entry.map_err(|error| problem(&error))?;
            let Ok(name) = entry.file_name().into_string() else { continue };
            if name.starts_with('.') {
                continue;
            }
            let path = if prefix.is_empty() { name } else { format!("{prefix}/{name}") };
            // A link to a folder is not followed: it could lead round in a circle.
            let kind = entry.file_type().map_err(|error| problem(&error))?;
            if kind.is_dir() {
                if depth < FOLDER_DEPTH {
                    self.collect(&entry.path(), &path, depth + 1, found)?;
                }
            } else if path.ends_with(".yaml") && self.resolve(&path).is_ok_and(|real| real.is_file()) {
                found.push(path);
            }
        }
        Ok(())
    }
}

impl Files for DiskFiles {
    fn read(&self, path: &str) -> Result<Vec<u8>, ReadProblem> {
        let (file, size) = self.opened(path, FILE_LIMIT)?;
        let mut bytes = Vec::with_capacity(size as usize);
        file.take(FILE_LIMIT + 1).read_to_end(&mut bytes).map_err(|error| problem(&error))?;
        within(bytes.len(), FILE_LIMIT)?;
        Ok(bytes)
    }

    fn open(&self, path: &str, limit: u64) -> Result<Box<dyn Read + '_>, ReadProblem> {
        Ok(Box::new(self.opened(path, limit)?.0))
    }

    fn list(&self, folder: &str) -> Result<Vec<String>, ReadProblem> {
        let mut found = Vec::new();
        self.collect(&self.resolve(folder)?, folder.trim_matches('/'), 0, &mut found)?;
        found.sort();
        Ok(found)
    }
}

/// Files held in memory: an editor's unsaved text, check pieces, tests.
#[derive(Debug, Clone, Default)]
pub struct MemoryFiles {
    /// Contents by path from the root.
    pub files: BTreeMap<String, Vec<u8>>,
}

impl MemoryFiles {
    /// Holds the texts given by path.
    pub fn from_texts<'a>(texts: impl IntoIterator<Item = (&'a str, &'a str)>) -> Self {
        let files = texts.into_iter().map(|(path, text)| (path.to_owned(), text.as_bytes().to_vec())).collect();
        Self { files }
    }
}

impl MemoryFiles {
    fn held(&self, path: &str, limit: u64) -> Result<&[u8], ReadProblem> {
        if !stays_inside(path) {
            return Err(ReadProblem::Outside);
        }
        let bytes = self.files.get(path).ok_or(ReadProblem::Missing)?;
        within(bytes.len(), limit)?;
        Ok(bytes)
    }
}

impl Files for MemoryFiles {
    fn read(&self, path: &str) -> Result<Vec<u8>, ReadProblem> {
        self.held(path, FILE_LIMIT).map(<[u8]>::to_vec)
    }

    fn open(&self, path: &str, limit: u64) -> Result<Box<dyn Read + '_>, ReadProblem> {
        Ok(Box::new(self.held(path, limit)?))
    }

    fn list(&self, folder: &str) -> Result<Vec<String>, ReadProblem> {
        let folder = folder.trim_matches('/');
        let below = |path: &str| folder.is_empty() || path.strip_prefix(folder).is_some_and(|p| p.starts_with('/'));
        Ok(self.files.keys().filter(|path| below(path) && path.ends_with(".yaml")).cloned().collect())
    }
}

/// Files in memory laid over others: an editor's unsaved text over what is on the disk.
#[derive(Clone)]
pub struct OverlayFiles {
    /// What is read first.
    pub over: MemoryFiles,
    /// What is read where `over` has no such file.
    pub below: Arc<dyn Files>,
}

impl Files for OverlayFiles {
    fn read(&self, path: &str) -> Result<Vec<u8>, ReadProblem> {
        match self.over.read(path) {
            Err(ReadProblem::Missing) => self.below.read(path),
            found => found,
        }
    }

    fn open(&self, path: &str, limit: u64) -> Result<Box<dyn Read + '_>, ReadProblem> {
        match self.over.open(path, limit) {
            Err(ReadProblem::Missing) => self.below.open(path, limit),
            found => found,
        }
    }

    fn list(&self, folder: &str) -> Result<Vec<String>, ReadProblem> {
        let over = self.over.list(folder)?;
        let mut all = match self.below.list(folder) {
            Err(ReadProblem::Missing) if !over.is_empty() => Vec::new(),
            below => below?,
        };
        all.extend(over);
        all.sort();
        all.dedup();
        Ok(all)
    }
}

/// Files of which is noted what is asked for, whether it is there or not.
pub struct WatchedFiles<'a> {
    below: &'a dyn Files,
    asked: Mutex<BTreeSet<String>>,
}

impl<'a> WatchedFiles<'a> {
    /// Watches these files.
    pub fn new(below: &'a dyn Files) -> Self {
        Self { below, asked: Mutex::default() }
    }

    fn note(&self, path: &str) {
        let mut asked = self.asked.lock().unwrap_or_else(PoisonError::into_inner);
        asked.insert(path.to_owned());
        asked.extend(self.below.leads_to(path));
    }

    /// The paths of all files that were asked for, and those that links among them lead to.
    pub fn asked(self) -> BTreeSet<String> {
        self.asked.into_inner().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Files for WatchedFiles<'_> {
    fn read(&self, path: &str) -> Result<Vec<u8>, ReadProblem> {
        self.note(path);
        self.below.read(path)
    }

    fn open(&self, path: &str, limit: u64) -> Result<Box<dyn Read + '_>, ReadProblem> {
        self.note(path);
        self.below.open(path, limit)
    }

    fn list(&self, folder: &str) -> Result<Vec<String>, ReadProblem> {
        self.below.list(folder)
    }

    fn leads_to(&self, path: &str) -> Option<String> {
        self.below.leads_to(path)
    }
}

fn within(length: usize, limit: u64) -> Result<(), ReadProblem> {
    let size = length as u64;
    if size > limit { Err(ReadProblem::TooLarge { limit, size }) } else { Ok(()) }
}

fn stays_inside(path: &str) -> bool {
    Path::new(path).components().all(|part| matches!(part, Component::Normal(_) | Component::CurDir))
}

fn problem(error: &std::io::Error) -> ReadProblem {
    use std::io::ErrorKind::{NotADirectory, NotFound};
    match error.kind() {
        NotFound | NotADirectory => ReadProblem::Missing,
        _ => ReadProblem::Unreadable(error.to_string()),
    }
}
