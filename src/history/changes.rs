//! Which paths differ between two states of a repository, renames understood.

use super::error::GitError;
use super::git::{Git, Revision};

/// The newer of two states.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Head {
    /// A revision.
    Revision(Revision),
    /// What is staged.
    Staged,
    /// The working tree, as far as git follows its files.
    WorkingTree,
}

/// One path that differs.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Change {
    /// Where it stood; none for a new one.
    pub before: Option<String>,
    /// Where it stands; none for one that is gone.
    pub after: Option<String>,
}

impl Change {
    /// The paths that it is about.
    pub fn paths(&self) -> impl Iterator<Item = &str> {
        self.before.as_deref().into_iter().chain(self.after.as_deref())
    }
}

impl Git {
    /// What differs from a revision, or without one from the last commit, where there is one.
    ///
    /// # Errors
    /// If git refuses.
    pub fn changes(&self, base: Option<&Revision>, head: &Head) -> Result<Vec<Change>, GitError> {
        let mut arguments = vec!["diff", "-z", "--name-status", "--find-renames", "--no-ext-diff", "--no-relative"];
        if *head == Head::Staged {
            arguments.push("--cached");
        }
        arguments.push("--end-of-options");
        let base = match (base, head) {
            (Some(base), _) => Some(base.commit.as_str()),
            // Without a first commit everything staged is new, which git knows if no commit is named.
            (None, Head::Staged) => None,
            (None, _) => Some("HEAD"),
        };
        arguments.extend(base);
        if let Head::Revision(head) = head {
            arguments.push(&head.commit);
        }
        arguments.push("--");
        read(&self.run(arguments)?)
    }
}

fn read(answer: &[u8]) -> Result<Vec<Change>, GitError> {
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    let mut parts = answer.split(|byte| *byte == 0);
    let mut changes = Vec::new();
    while let Some(status) = parts.next().filter(|status| !status.is_empty()) {
        let (Some(letter), Some(path)) = (status.first(), parts.next()) else {
            return Err(GitError::Unknown("what has changed"));
        };
        let path = text(path);
        changes.push(match letter {
            b'A' => Change { before: None, after: Some(path) },
            b'D' => Change { before: Some(path), after: None },
            b'R' | b'C' => {
                let Some(after) = parts.next() else { return Err(GitError::Unknown("what has changed")) };
                // What a copy was made from still stands.
                Change { before: (*letter == b'R').then_some(path), after: Some(text(after)) }
            }
            _ => Change { before: Some(path.clone()), after: Some(path) },
        });
    }
    changes.sort();
    Ok(changes)
}
