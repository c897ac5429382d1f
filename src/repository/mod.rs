//! A repository opened: its files, the rulebook in force there, and its builds, wherever the files come from.
//!
//! In come [`Files`], from the disk, git's index, a revision or an editor's memory; out comes a [`Repository`], or what
//! is wrong with its own terms and rules. It knows nothing of the working folder, the command line or output forms.

mod builds;
mod rules;
mod settings;

pub use builds::{BUILD_FILE, SpecRead, builds_below, files_of, read_build, read_build_in};
pub use rules::{RuleFolder, rulebook_below};
pub use settings::{OWN_RULES, SETTINGS_FILE, Settings, SettingsError, Stage};

use crate::rulebook::{Rulebook, RulebookError};
use crate::source::{Files, ReadProblem, Sources};
use crate::terms::SchemaRefused;
use std::sync::Arc;

/// A repository with the rulebook in force there.
pub struct Repository {
    /// Its files, by their paths from its root.
    pub files: Arc<dyn Files>,
    /// What it sets.
    pub settings: Settings,
    /// The built-in rulebook with the repository's own on top.
    pub book: Rulebook,
}

/// Why a repository cannot be opened.
#[derive(Debug)]
pub enum Refused {
    /// A file or folder, by the name that whoever asked for it knows, cannot be read.
    Unreadable(String, ReadProblem),
    /// A file is not UTF-8 text.
    NotText(String),
    /// Its settings are wrong: their text, and everything that is wrong.
    Settings(Sources, Vec<SettingsError>),
    /// Its own terms are wrong.
    Terms(SchemaRefused),
    /// Its own rules are wrong: their texts, and everything that is wrong.
    Rulebook(Sources, Vec<RulebookError>),
}

impl Repository {
    /// Opens a repository; `more_rules` are further folders of rules; `pieces` says whether the check pieces of the built-in
    /// rules are wanted, which judging does not need.
    ///
    /// # Errors
    /// See [`Refused`].
    pub fn open(files: Arc<dyn Files>, more_rules: &[RuleFolder], pieces: bool) -> Result<Repository, Refused> {
        let settings = Settings::read(&*files)?;
        let book = rules::in_force(&*files, &settings, more_rules, pieces)?;
        Ok(Repository { files, settings, book })
    }
}
