//! Contents of objects by their names, from one `git cat-file --batch` that stays open.

use super::error::GitError;
use super::git::{Git, is_object};
use crate::source::ReadProblem;
use std::io::{BufRead, BufReader, Read, Write};
use std::process::{Child, ChildStdin, ChildStdout, Stdio};
use std::sync::{Mutex, PoisonError};

/// Reads objects; started when the first is asked for.
pub(super) struct Objects {
    git: Git,
    open: Mutex<Option<Batch>>,
}

struct Batch {
    child: Child,
    asks: ChildStdin,
    answers: BufReader<ChildStdout>,
}

impl Objects {
    pub(super) fn new(git: &Git) -> Objects {
        Objects { git: git.clone(), open: Mutex::new(None) }
    }

    /// The content of a file's object, if it has at most `limit` bytes.
    pub(super) fn read(&self, object: &str, limit: u64) -> Result<Vec<u8>, ReadProblem> {
        let unreadable = |error: GitError| ReadProblem::Unreadable(error.message());
        if !is_object(object) {
            return Err(unreadable(GitError::Unknown("objects")));
        }
        let mut open = self.open.lock().unwrap_or_else(PoisonError::into_inner);
        let mut batch = match open.take() {
            Some(batch) => batch,
            None => Batch::start(&self.git).map_err(unreadable)?,
        };
        let content = batch.read(object, limit);
        // After anything unexpected the next answer could be taken for another's.
        if content.is_ok() {
            *open = Some(batch);
        }
        content
    }
}

impl Batch {
    fn start(git: &Git) -> Result<Batch, GitError> {
        let started = |error: std::io::Error| GitError::NotStarted(error.to_string());
        let mut command = git.command(["cat-file", "--batch"]);
        command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::null());
        let mut child = command.spawn().map_err(started)?;
        match (child.stdin.take(), child.stdout.take()) {
            (Some(asks), Some(answers)) => Ok(Batch { child, asks, answers: BufReader::new(answers) }),
            _ => Err(GitError::Unknown("objects")),
        }
    }

    fn read(&mut self, object: &str, limit: u64) -> Result<Vec<u8>, ReadProblem> {
        let broken = |error: std::io::Error| ReadProblem::Unreadable(error.to_string());
        let unknown = || ReadProblem::Unreadable(GitError::Unknown("an object").message());
        writeln!(self.asks, "{object}").and_then(|()| self.asks.flush()).map_err(broken)?;
        let mut head = String::new();
        self.answers.by_ref().take(1024).read_line(&mut head).map_err(broken)?;
        let size = match head.split_whitespace().collect::<Vec<_>>()[..] {
            [_, "blob", size] => size.parse::<u64>().map_err(|_| unknown())?,
            [_, "missing"] => {
                return Err(ReadProblem::Unreadable("its content is not in this copy of the repository".into()));
            }
            _ => return Err(unknown()),
        };
        if size > limit {
            return Err(ReadProblem::TooLarge { limit, size });
        }
        let mut content = vec![0; size as usize];
        let mut end = [0];
        self.answers.read_exact(&mut content).and_then(|()| self.answers.read_exact(&mut end)).map_err(broken)?;
        Ok(content)
    }
}

impl Drop for Batch {
    fn drop(&mut self) {
        // It has nothing to lose; waiting keeps it from being left behind.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
