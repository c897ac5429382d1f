//! Runs the `git` binary: arguments as an array, no shell, the environment as it was inherited.
//!
//! Inside a hook git names the index and the repository by variables whose paths can be relative to the working folder.
//! There nothing is cleared and the folder is not changed; what a commit of single files stages is found only that way.

use super::error::GitError;
use jiff::civil::Date;
use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// Variables by which git tells those it starts where they are.
const PLACED_BY: [&str; 4] = ["GIT_DIR", "GIT_INDEX_FILE", "GIT_WORK_TREE", "GIT_COMMON_DIR"];

/// Git in the repository around a folder.
#[derive(Debug, Clone)]
pub struct Git {
    /// The folder in which it is started; the working folder if there is none.
    folder: Option<PathBuf>,
    root: PathBuf,
}

/// A commit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Revision {
    /// As it was asked for.
    pub name: String,
    /// The name of its object, in hexadecimal digits.
    pub commit: String,
}

impl Git {
    /// Git in the repository around a path: a folder, or a file in one.
    ///
    /// # Errors
    /// If git cannot be started, or finds no repository with a working tree there.
    pub fn around(path: &Path) -> Result<Git, GitError> {
        let placed = PLACED_BY.iter().any(|name| std::env::var_os(name).is_some());
        let folder = if path.is_dir() { path } else { path.parent().unwrap_or(path) };
        let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
        let mut git = Git { folder: (!placed).then(|| folder.to_path_buf()), root: PathBuf::new() };
        let top = git.run(["rev-parse", "--show-toplevel"]).map_err(|error| match error {
            GitError::Refused(words) => GitError::NoRepository(words),
            other => other,
        })?;
        let top = PathBuf::from(text_path(&top));
        // The same folder goes by one name everywhere, also where it was reached through a link.
        git.root = top.canonicalize().unwrap_or(top);
        if !placed {
            git.folder = Some(git.root.clone());
        }
        Ok(git)
    }

    /// The top folder of the working tree.
    pub fn root(&self) -> &Path {
        &self.root
    }

    /// The commit of that name: a branch, a tag, `HEAD~2`, and whatever else git understands.
    ///
    /// # Errors
    /// [`GitError::NoRevision`] if there is none. A name that looks like an option never reaches git.
    pub fn resolve(&self, name: &str) -> Result<Revision, GitError> {
        let none = || GitError::NoRevision(name.to_string());
        if name.is_empty() || name.starts_with('-') || name.contains('\0') {
            return Err(none());
        }
        let parsed = |name: &str| match self.run(["rev-parse", "--verify", "--quiet", "--end-of-options", name]) {
            Ok(answer) => {
                let object = String::from_utf8_lossy(&answer).trim().to_string();
                if is_object(&object) { Ok(object) } else { Err(none()) }
            }
            Err(GitError::Refused(_)) => Err(none()),
            Err(other) => Err(other),
        };
        let object = parsed(name)?;
        let commit = parsed(&format!("{object}^{{commit}}"))?;
        Ok(Revision { name: name.to_string(), commit })
    }

    /// The day on which a commit was made, as its author's clock said.
    ///
    /// # Errors
    /// If git refuses, or says no day.
    pub fn day(&self, revision: &Revision) -> Result<Date, GitError> {
        let answer = self.run(["show", "--no-patch", "--format=%cs", "--end-of-options", &revision.commit])?;
        String::from_utf8_lossy(&answer).trim().parse().map_err(|_| GitError::Unknown("the day of a commit"))
    }

    /// Whether there is a first commit.
    pub fn has_commits(&self) -> bool {
        self.run(["rev-parse", "--verify", "--quiet", "HEAD"]).is_ok()
    }

    /// A path that git keeps for itself, such as `hooks`, wherever settings and linked worktrees put it.
    ///
    /// # Errors
    /// If git refuses.
    pub fn own_path(&self, name: &str) -> Result<PathBuf, GitError> {
        let answer = self.run(["rev-parse", "--git-path", name])?;
        let path = PathBuf::from(text_path(&answer));
        // It is told from where git was started.
        Ok(if path.is_absolute() { path } else { self.folder.as_deref().unwrap_or(Path::new("")).join(path) })
    }

    /// What git answers; its words if it refuses.
    pub(super) fn run<I: AsRef<OsStr>>(&self, arguments: impl IntoIterator<Item = I>) -> Result<Vec<u8>, GitError> {
        let output = self
            .command(arguments)
            .stdin(Stdio::null())
            .output()
            .map_err(|error| GitError::NotStarted(error.to_string()))?;
        if output.status.success() {
            return Ok(output.stdout);
        }
        let words = String::from_utf8_lossy(&output.stderr);
        let first = words.lines().map(str::trim).find(|line| !line.is_empty()).unwrap_or("it does not say why");
        Err(GitError::Refused(first.trim_start_matches("fatal: ").trim_start_matches("error: ").to_string()))
    }

    /// Git with these arguments, not yet started.
    pub(super) fn command<I: AsRef<OsStr>>(&self, arguments: impl IntoIterator<Item = I>) -> Command {
        let mut command = Command::new("git");
        command.args(arguments);
        if let Some(folder) = &self.folder {
            command.current_dir(folder);
        }
        // Looking must neither wait for a lock that a commit holds nor fetch what a partial clone left out.
        command.env("GIT_OPTIONAL_LOCKS", "0").env("GIT_NO_LAZY_FETCH", "1").env("GIT_LITERAL_PATHSPECS", "0");
        command
    }
}

/// Whether that is the name of an object.
pub(super) fn is_object(name: &str) -> bool {
    name.len() >= 40 && name.bytes().all(|byte| byte.is_ascii_hexdigit())
}

/// A path as git prints it on a line; it may hold line ends of its own.
#[cfg(unix)]
fn text_path(answer: &[u8]) -> std::ffi::OsString {
    use std::os::unix::ffi::OsStringExt;
    std::ffi::OsString::from_vec(answer.strip_suffix(b"\n").unwrap_or(answer).to_vec())
}

#[cfg(not(unix))]
fn text_path(answer: &[u8]) -> std::ffi::OsString {
    String::from_utf8_lossy(answer).trim_end_matches(['\r', '\n']).into()
}
