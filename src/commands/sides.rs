//! The two sides of a comparison: builds of each, read by the newer side's terms, and whether what is in force for all of them
//! changed.

use super::in_force::Refused;
use super::place::words;
use crate::assess::{Assessment, Request, assess_cases};
use crate::history::Revision;
use crate::history::compare::{BookChange, Named, book_change};
use crate::report::{BookWords, Trouble};
use crate::repository::{self, Repository, RuleFolder, Settings, builds_below};
use crate::rulebook::Rulebook;
use crate::source::{Files, ReadProblem, read_build};
use crate::terms::{Held, Spec, build_spec};
use jiff::civil::Date;
use std::sync::Arc;

/// Digits of a commit's name that are shown.
const SHOWN_DIGITS: usize = 10;

/// A build of one side.
pub struct Side {
    /// The path of its build file.
    pub path: String,
    /// Its spec.
    pub spec: Spec,
    /// What is wrong with it.
    pub errors: Vec<Trouble>,
}

impl Side {
    /// A build with what its side's settings say, read by the newer side's terms.
    pub fn read(files: &dyn Files, settings: &Settings, book: &Rulebook, path: String) -> Side {
        let mut read = read_build(files, &path);
        settings.complete(&mut read);
        let mut errors: Vec<Trouble> = read.errors.iter().map(Trouble::from).collect();
        let (spec, terms_errors) = build_spec(&book.library.terms, read);
        errors.extend(terms_errors.iter().map(Trouble::from));
        errors.sort_by_key(|e| (e.span.file, e.span.start, e.span.end));
        Side { path, spec, errors }
    }

    /// The build's name, if it has one.
    pub fn name(&self) -> Option<&str> {
        match self.spec.find("build.name").map(|place| self.spec.held(place)) {
            Some(Held::Text(name)) => Some(name),
            _ => None,
        }
    }

    /// By what it is known again on the other side.
    pub fn named(&self) -> Named {
        Named { path: self.path.clone(), name: self.name().map(str::to_string) }
    }
}

/// The older side: its settings, and its rulebook where that is another than the newer one's.
pub struct Older {
    /// Its settings; those of a repository that says none where they cannot be read.
    pub settings: Settings,
    /// The repository as it was, or why it cannot be opened; nothing where what is in force did not change.
    pub changed: Option<Result<Repository, Refused>>,
}

impl Older {
    /// Looks at what was in force; `more_rules` count on both sides.
    ///
    /// # Errors
    /// If a file of either side cannot be read.
    pub fn open(old: &Arc<dyn Files>, new: &Repository, more_rules: &[RuleFolder]) -> Result<Older, Refused> {
        let settings = Settings::read(&**old).unwrap_or_default();
        let both = [&settings, &new.settings];
        let changed = in_force(&**old, both)? != in_force(&*new.files, both)?;
        let changed = changed.then(|| Repository::open(old.clone(), more_rules, false).map_err(Refused::from));
        Ok(Older { settings, changed })
    }

    /// What the changed rules make of a build of the older side that they did not before.
    pub fn rules_moved(&self, path: &str, by_new: &Assessment, day: Date) -> Option<BookChange> {
        let Some(Ok(older)) = &self.changed else { return None };
        let read = repository::read_build(older, path);
        Some(book_change(&judged(&read.spec, &older.book, day), by_new))
    }

    /// What the changed rules do, in the form that reports take; `moved` is what [`Older::rules_moved`] gave.
    pub fn book<'a>(&'a self, moved: Option<&'a BookChange>) -> Option<BookWords<'a>> {
        match (moved, &self.changed) {
            (Some(change), _) => Some(BookWords::Change(change)),
            (None, Some(Err(Refused::Wrong(of, texts, troubles)))) => Some(BookWords::Unusable(of, texts, troubles)),
            _ => None,
        }
    }
}

/// What is in force for all builds by the settings of either side, as texts: own rules, own terms, the settings themselves.
fn in_force(files: &dyn Files, settings: [&Settings; 2]) -> Result<Vec<(String, Vec<u8>)>, Refused> {
    let Ok(paths) = files.list("") else { return Ok(Vec::new()) };
    let read = |path: String| match files.read(&path) {
        Ok(bytes) => Ok((path, bytes)),
        Err(problem) => Err(Refused::Call(format!("{path}: {}", words(&problem)))),
    };
    paths.into_iter().filter(|path| settings.iter().any(|s| s.is_in_force(path))).map(read).collect()
}

/// The paths of the builds of one side.
///
/// # Errors
/// If a folder cannot be listed.
pub fn builds(files: &dyn Files, settings: &Settings, folders: &[&str]) -> Result<Vec<String>, Refused> {
    let mut paths: Vec<String> = Vec::new();
    for folder in folders {
        match builds_below(files, folder) {
            Ok(found) => paths.extend(found.into_iter().filter(|path| !folder.is_empty() || settings.looks_at(path))),
            // A folder that came or went stands on one side only.
            Err(ReadProblem::Missing) => {}
            Err(problem) => return Err(Refused::Call(format!("{folder}: {}", words(&problem)))),
        }
    }
    paths.sort();
    paths.dedup();
    Ok(paths)
}

/// A spec judged as it is compared: with reasons, in its load cases, without figures.
pub fn judged(spec: &Spec, book: &Rulebook, day: Date) -> Assessment {
    assess_cases(&Request { spec, rulebook: book, day, figures: false, explained: true, only: None })
}

/// The digits by which a commit is shown.
pub fn short(commit: &str) -> &str {
    commit.get(..SHOWN_DIGITS).unwrap_or(commit)
}

/// A revision as it was named, with its commit.
pub fn revision_words(revision: &Revision) -> String {
    format!("{} ({})", revision.name, short(&revision.commit))
}
