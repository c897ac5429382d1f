//! Where file contents come from: the disk below a repository's root, memory, later git's index.

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

    /// Paths of all files below `folder` (`""` is the root) whose name ends in `.yaml`, sorted.
    ///
    /// # Errors
    /// See [`ReadProblem`].
    fn list(&self, folder: &str) -> Result<Vec<String>, ReadProblem>;
}
