//! Why git could not answer, as data with its words.

/// Why git could not answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum GitError {
    /// The program cannot be started; the system's words.
    NotStarted(String),
    /// There is no repository with a working tree around that folder; git's words.
    NoRepository(String),
    /// There is no such revision.
    NoRevision(String),
    /// Git refused; its words.
    Refused(String),
    /// Git answered in a form that is not known.
    Unknown(&'static str),
}

impl GitError {
    /// What is wrong, in one sentence without a full stop.
    pub fn message(&self) -> String {
        match self {
            GitError::NotStarted(words) => format!("git cannot be started: {words}"),
            GitError::NoRepository(words) => format!("git finds no repository here: {words}"),
            GitError::NoRevision(name) => format!("there is no revision {name} in this repository"),
            GitError::Refused(words) => format!("git refuses: {words}"),
            GitError::Unknown(what) => format!("git's answer about {what} has a form that is not known here"),
        }
    }
}
