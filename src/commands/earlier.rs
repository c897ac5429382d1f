//! A build as it was at a revision, held against what it is in the working tree.

use super::common::Judging;
use super::in_force::{Opened, Refused, rule_folders};
use super::judging::Build;
use super::sides::{Older, Side, builds, revision_words, short};
use crate::history::compare::{Asked, BookChange, Comparison, Named, compare, match_builds};
use crate::history::{Git, GitError, GitFiles, Head, Revision};
use crate::report::{Compared, SheetBefore};
use crate::source::{Files, ReadProblem};
use std::sync::Arc;

/// The build at the revision, with the comparison.
pub struct Earlier {
    revision: Revision,
    older: Older,
    side: Side,
    comparison: Comparison,
    book: Option<BookChange>,
}

impl Earlier {
    /// Finds the build at a revision, wherever it stood there, and compares what it says there with what it says now. As for `compare`,
    /// both are read and judged by what is in force now.
    ///
    /// # Errors
    /// If git knows no such revision, or the build is not there.
    pub fn find(name: &str, opened: &Opened, build: &Build, judging: &Judging) -> Result<Earlier, Refused> {
        let git = Git::around(&opened.root).map_err(|error| explained(&error))?;
        if git.root() != opened.root {
            let words =
                format!("--compare: git's repository is {}, not {}", git.root().display(), opened.root.display());
            return Err(Refused::Call(words));
        }
        let revision = git.resolve(name).map_err(|error| explained(&error))?;
        let files: Arc<dyn Files> = Arc::new(GitFiles::at(&git, &revision)?);
        let (repository, day) = (&opened.repository, judging.day());
        let older = Older::open(&files, repository, &rule_folders(&judging.rules))?;
        let read = |path: String| Side::read(&*files, &older.settings, &repository.book, path);
        // What stands there and cannot be read is told as an error of the spec.
        let side = if files.read(&build.path) != Err(ReadProblem::Missing) {
            read(build.path.clone())
        } else {
            let all = builds(&*files, &repository.settings, &[""])?;
            let there: Vec<Side> = all.into_iter().map(read).collect();
            match counterpart(&git, &revision, opened, build, &there)? {
                Some(at) => there.into_iter().nth(at),
                None => None,
            }
            .ok_or_else(|| missing(&build.path, &revision))?
        };
        let old_day = git.day(&revision).unwrap_or(day).min(day);
        let asked = Asked { old: &side.spec, new: &build.spec, book: &repository.book, day, old_day };
        let comparison = compare(&asked);
        let book = older.rules_moved(&side.path, &comparison.before, day);
        Ok(Earlier { revision, older, side, comparison, book })
    }

    /// What a sheet shows of it.
    pub fn shown<'a>(&'a self, build: &'a Build) -> SheetBefore<'a> {
        SheetBefore {
            name: &self.revision.name,
            commit: &self.revision.commit,
            short: short(&self.revision.commit),
            compared: Compared {
                path: &build.path,
                old_path: (self.side.path != build.path).then_some(&self.side.path),
                comparison: &self.comparison,
                old_errors: &self.side.errors,
                errors: &build.errors,
                book: self.older.book(self.book.as_ref()),
            },
        }
    }

    /// What whoever asked should know although the page can be made.
    pub fn cautions(&self) -> Vec<String> {
        let at = revision_words(&self.revision);
        let errors = match self.side.errors.len() {
            0 => None,
            1 => Some(format!("the spec at {at} has an error; what it hides is compared as if it were not written")),
            n => Some(format!("the spec at {at} has {n} errors; what they hide is compared as if it were not written")),
        };
        let rules = match &self.older.changed {
            Some(Err(Refused::Wrong(of, ..))) => {
                Some(format!("the {of} in force at {at} cannot be used; both sides are judged by what is in force now"))
            }
            Some(Err(Refused::Call(words))) => Some(format!("what was in force at {at} cannot be read: {words}")),
            _ => None,
        };
        errors.into_iter().chain(rules).collect()
    }
}

/// The build under another path, as git or its name tells; its number among those that are there.
fn counterpart(
    git: &Git,
    revision: &Revision,
    opened: &Opened,
    build: &Build,
    there: &[Side],
) -> Result<Option<usize>, Refused> {
    let repository = &opened.repository;
    let paths = builds(&*repository.files, &repository.settings, &[""])?;
    let others = paths.into_iter().filter(|path| *path != build.path);
    let others =
        others.map(|path| Side::read(&*repository.files, &repository.settings, &repository.book, path).named());
    let own = Named { path: build.path.clone(), name: build.assessment.name.clone() };
    let now: Vec<_> = std::iter::once(own).chain(others).collect();
    let then: Vec<_> = there.iter().map(Side::named).collect();
    let renamed = git.changes(Some(revision), &Head::WorkingTree)?.into_iter();
    let renamed: Vec<_> = renamed.filter_map(|change| Some((change.before?, change.after?))).collect();
    Ok(match_builds(&then, &now, &renamed).into_iter().find(|pair| pair.new == Some(0)).and_then(|pair| pair.old))
}

fn missing(path: &str, revision: &Revision) -> Refused {
    Refused::Call(format!(
        "{path} is not there at {}, nor a build of its name; name a revision that has it, or leave --compare out",
        revision_words(revision)
    ))
}

/// Git's words with the way out.
fn explained(error: &GitError) -> Refused {
    let way = match error {
        GitError::NoRevision(_) => "; `git log --oneline` and `git branch --all` list what can be named",
        GitError::NoRepository(_) => "; --compare needs a repository in which the build was committed",
        GitError::NotStarted(_) => "; --compare needs it",
        GitError::Refused(_) | GitError::Unknown(_) => "",
    };
    Refused::Call(format!("{}{way}", error.message()))
}
