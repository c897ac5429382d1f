//! The repository around a path on the disk, opened for a command; and the words for a refusal.

use super::Status;
use super::output::{Output, refuse};
use super::place::{root_of, words};
use crate::history::GitError;
use crate::report::{self, Trouble};
use crate::repository::{self, Repository, RuleFolder, SettingsError, rulebook_below};
use crate::rulebook::Rulebook;
use crate::source::{DiskFiles, Files, Sources};
use std::mem::ManuallyDrop;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A repository on the disk.
pub struct Opened {
    /// Its root.
    pub root: PathBuf,
    /// What it holds; it lives as long as the program, and the system takes its memory back faster than it could be given.
    pub repository: ManuallyDrop<Repository>,
}

/// Why a command has no rulebook.
pub enum Refused {
    /// A file or folder cannot be read.
    Call(String),
    /// The settings, the terms or the rules are wrong: which of them, their texts, and everything that is wrong.
    Wrong(&'static str, Sources, Vec<Trouble>),
}

impl From<repository::Refused> for Refused {
    fn from(refused: repository::Refused) -> Refused {
        match refused {
            repository::Refused::Unreadable(name, problem) => Refused::Call(format!("{name}: {}", words(&problem))),
            repository::Refused::NotText(name) => Refused::Call(format!("{name}: this is not UTF-8 text")),
            repository::Refused::Settings(texts, errors) => {
                let mut errors: Vec<Trouble> = errors.iter().map(settings_trouble).collect();
                errors.sort_by_key(|e| (e.span.file, e.span.start, e.span.end));
                Refused::Wrong("settings", texts, errors)
            }
            repository::Refused::Terms(refused) => {
                Refused::Wrong("terms", refused.sources, refused.errors.iter().map(Trouble::from).collect())
            }
            repository::Refused::Rulebook(texts, errors) => {
                Refused::Wrong("rulebook", texts, errors.iter().map(Trouble::from).collect())
            }
        }
    }
}

impl From<GitError> for Refused {
    fn from(error: GitError) -> Refused {
        Refused::Call(error.message())
    }
}

fn settings_trouble(error: &SettingsError) -> Trouble {
    match error {
        SettingsError::Source(error) => Trouble::from(error),
        SettingsError::Terms(error) => Trouble::from(error),
        SettingsError::Folder { span, .. } => {
            Trouble { message: error.message(), remedy: error.help(), span: *span, other: None }
        }
    }
}

/// Opens the repository around a path for judging; `rules` are folders with more rules.
///
/// # Errors
/// See [`Refused`].
pub fn open(path: &Path, rules: &[PathBuf]) -> Result<Opened, Refused> {
    open_by(path, rules, false)
}

/// As [`open`], with the check pieces of the built-in rules.
///
/// # Errors
/// See [`Refused`].
pub fn open_with_pieces(path: &Path, rules: &[PathBuf]) -> Result<Opened, Refused> {
    open_by(path, rules, true)
}

fn open_by(path: &Path, rules: &[PathBuf], pieces: bool) -> Result<Opened, Refused> {
    let root = root_of(path).map_err(Refused::Call)?;
    let files: Arc<dyn Files> = Arc::new(DiskFiles::new(root.clone()));
    let repository = ManuallyDrop::new(Repository::open(files, &rule_folders(rules), pieces)?);
    Ok(Opened { root, repository })
}

/// Folders with more rules, as the command line names them.
pub fn rule_folders(folders: &[PathBuf]) -> Vec<RuleFolder> {
    let one = |folder: &PathBuf| RuleFolder {
        files: Arc::new(DiskFiles::new(folder.clone())),
        shown: folder.display().to_string(),
    };
    folders.iter().map(one).collect()
}

/// Loads a rulebook from the folders `schema` and `rules` below a folder, in place of the built-in one.
///
/// # Errors
/// See [`Refused`].
pub fn rulebook_in(folder: &Path) -> Result<Rulebook, Refused> {
    Ok(rulebook_below(&DiskFiles::new(folder.to_path_buf()))?)
}

impl Refused {
    /// Says why, in the form asked for, and gives the exit status.
    pub fn told(&self, output: &mut Output, machine: bool) -> Status {
        match self {
            Refused::Call(words) => refuse(words),
            Refused::Wrong(of, texts, errors) if machine => {
                let mut told = serde_json::Map::new();
                told.insert(format!("{of}_errors"), report::errors_json(errors, texts));
                output.json(&serde_json::Value::Object(told));
            }
            Refused::Wrong(of, texts, errors) => {
                let text = report::errors(of, errors, texts, output.look);
                output.text(&text);
            }
        }
        Status::Unusable
    }

    /// Says why on standard error, a line each, and gives the exit status.
    pub fn told_aside(&self) -> Status {
        match self {
            Refused::Call(words) => refuse(words),
            Refused::Wrong(of, texts, errors) => report::brief_errors(of, errors, texts).lines().for_each(refuse),
        }
        Status::Unusable
    }
}
