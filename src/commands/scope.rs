//! What `inspect` is to judge: builds on the disk or as they are staged, with all that is found or only what is new.

use super::in_force::{Opened, Refused, open, rule_folders};
use super::place::{below_root, builds_at, root_of, words};
use crate::history::{Git, GitFiles, Head, Since, Touched};
use crate::repository::{BUILD_FILE, Repository, Settings, builds_below, files_of};
use crate::source::{Files, ReadProblem};
use std::collections::{BTreeMap, BTreeSet};
use std::mem::ManuallyDrop;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// What is to be judged.
pub struct Scope {
    /// The repositories, by their roots.
    pub repositories: BTreeMap<PathBuf, Opened>,
    builds: BTreeSet<(PathBuf, String)>,
    head: Head,
    since: BTreeMap<PathBuf, Since>,
}

impl Scope {
    /// Builds as they lie on the disk; without paths those in this folder.
    ///
    /// # Errors
    /// If there are none, or a repository cannot be opened.
    pub fn on_disk(paths: &[PathBuf], rules: &[PathBuf]) -> Result<Scope, Refused> {
        let here = [PathBuf::from(".")];
        let mut repositories = BTreeMap::new();
        let mut builds = BTreeSet::new();
        for path in if paths.is_empty() { &here } else { paths } {
            let root = root_of(path).map_err(Refused::Call)?;
            if !repositories.contains_key(&root) {
                repositories.insert(root.clone(), open(path, rules)?);
            }
            if let Some(opened) = repositories.get(&root) {
                let found = builds_at(path, &root, &opened.repository).map_err(Refused::Call)?;
                builds.extend(found.into_iter().map(|build| (root.clone(), build)));
            }
        }
        Ok(Scope { repositories, builds, head: Head::WorkingTree, since: BTreeMap::new() })
    }

    /// Builds as they are staged, as far as that touches them; without paths those of the whole repository. Where none is touched,
    /// no repository is opened, so that whoever commits something else does not wait.
    ///
    /// # Errors
    /// If git refuses, or what is staged makes a repository that cannot be opened.
    pub fn staged(paths: &[PathBuf], rules: &[PathBuf]) -> Result<Scope, Refused> {
        let git = Git::around(paths.iter().find(|path| path.exists()).map_or(Path::new("."), PathBuf::as_path))?;
        let root = git.root().to_path_buf();
        let mut scope = Scope {
            repositories: BTreeMap::new(),
            builds: BTreeSet::new(),
            head: Head::Staged,
            since: BTreeMap::new(),
        };
        let changes = git.changes(None, &Head::Staged)?;
        if changes.is_empty() {
            return Ok(scope);
        }
        let files: Arc<dyn Files> = Arc::new(GitFiles::staged(&git)?);
        let settings = Settings::read(&*files)?;
        let touched = Touched::new(&changes, &settings);
        for build in staged_builds(paths, &root, &*files, &settings)? {
            if touched.all() || touched.reaches(&files_of(&*files, &build)) {
                scope.builds.insert((root.clone(), build));
            }
        }
        if touched.all() || !scope.builds.is_empty() {
            let repository = ManuallyDrop::new(Repository::open(files, &rule_folders(rules), false)?);
            scope.repositories.insert(root.clone(), Opened { root, repository });
        }
        Ok(scope)
    }

    /// Leaves out what a revision had already.
    ///
    /// # Errors
    /// If there is no such revision.
    pub fn only_since(&mut self, name: &str) -> Result<(), Refused> {
        for root in self.repositories.keys() {
            let since = Since::new(&Git::around(root)?, name, &self.head)?;
            self.since.insert(root.clone(), since);
        }
        Ok(())
    }

    /// The builds, sorted, each with its repository.
    pub fn builds(&self) -> Vec<(&Opened, &str)> {
        self.builds.iter().filter_map(|(root, path)| Some((self.repositories.get(root)?, path.as_str()))).collect()
    }

    /// The revision since which only what is new counts.
    pub fn since(&self, root: &Path) -> Option<&Since> {
        self.since.get(root)
    }
}

/// The builds that are staged below these paths.
fn staged_builds(
    paths: &[PathBuf],
    root: &Path,
    files: &dyn Files,
    settings: &Settings,
) -> Result<BTreeSet<String>, Refused> {
    let mut builds = BTreeSet::new();
    if paths.is_empty() {
        let all = files.list("").map_err(|problem| Refused::Call(words(&problem)))?;
        let is_build = |path: &String| path.rsplit('/').next() == Some(BUILD_FILE) && settings.looks_at(path);
        builds.extend(all.into_iter().filter(is_build));
    }
    for path in paths {
        let below = below_root(path, root).map_err(Refused::Call)?;
        let folder = below.strip_suffix(BUILD_FILE).map_or(below.as_str(), |folder| folder.trim_end_matches('/'));
        let own = if folder.is_empty() { BUILD_FILE.to_string() } else { format!("{folder}/{BUILD_FILE}") };
        match builds_below(files, folder) {
            Ok(found) => builds.extend(found.into_iter().filter(|build| *build == own || settings.looks_at(build))),
            // Nothing is staged there.
            Err(ReadProblem::Missing) => {}
            Err(problem) => return Err(Refused::Call(format!("{}: {}", path.display(), words(&problem)))),
        }
    }
    Ok(builds)
}
