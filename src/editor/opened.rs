//! One repository in which files are open: its rulebook, its builds, and which of them have to be judged anew.
//!
//! In come paths that have changed; out come, step by step, diagnostics by file. A step is one build or one reading of the
//! rulebook, so that whoever types never waits for more than one of them.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::rc::Rc;
use std::sync::Arc;

use jiff::civil::Date;
use lsp_types::Diagnostic;

use super::diagnostics::{self, ByFile, Making};
use super::documents::Documents;
use super::judged::Judged;
use crate::repository::{BUILD_FILE, Repository, RuleFolder, Settings};
use crate::rulebook::Rulebook;
use crate::source::{DiskFiles, Files, MemoryFiles, OverlayFiles, ReadProblem};

/// Paths of files of which something else may be to be said than before.
pub type Touched = BTreeSet<String>;

/// A repository with open files.
pub struct Opened {
    /// Its root.
    pub root: PathBuf,
    disk: Arc<DiskFiles>,
    more_rules: Vec<PathBuf>,
    /// Settings and rulebook as they were when last without errors; none before they are first read.
    in_force: Option<Repository>,
    /// Whether its own rules have changed since they were read.
    rules_changed: bool,
    /// What is wrong with its own rules.
    wrong_rules: ByFile,
    builds: BTreeMap<String, Build>,
    /// Whether all of its builds have been looked for.
    listed: bool,
}

/// A build of an open repository.
#[derive(Default)]
pub struct Build {
    changed: bool,
    files: Vec<String>,
    /// The build now; kept while one of its files is open.
    pub now: Option<Rc<Judged>>,
    /// The same when its YAML could last be read to the end.
    pub good: Option<Rc<Judged>>,
    said: ByFile,
}

impl Opened {
    /// A repository of which nothing is read yet.
    pub fn new(root: PathBuf, more_rules: &[PathBuf]) -> Opened {
        Opened {
            disk: Arc::new(DiskFiles::new(root.clone())),
            root,
            more_rules: more_rules.to_vec(),
            in_force: None,
            rules_changed: true,
            wrong_rules: ByFile::new(),
            builds: BTreeMap::new(),
            listed: false,
        }
    }

    /// Its files as they are in the editor.
    pub fn files(&self, documents: &Documents) -> OverlayFiles {
        OverlayFiles { over: documents.below(&self.root), below: self.disk.clone() }
    }

    /// The rulebook in force.
    pub fn book(&self) -> Option<&Rulebook> {
        self.in_force.as_ref().map(|repository| &repository.book)
    }

    /// The builds that are known, by the paths of their build files.
    pub fn builds(&self) -> impl Iterator<Item = (&str, &Build)> {
        self.builds.iter().map(|(path, build)| (path.as_str(), build))
    }

    /// The first build that a file is part of.
    pub fn build_of(&self, path: &str) -> Option<(&str, &Build)> {
        self.builds().find(|(_, build)| build.files.iter().any(|file| file == path))
    }

    /// Whether a path is that of a file that is in force for all builds: a rule file, a terms file, the settings.
    pub fn is_in_force(&self, path: &str) -> bool {
        let usual = Settings::default();
        self.in_force.as_ref().map_or(&usual, |repository| &repository.settings).is_in_force(path)
            || usual.is_in_force(path)
    }

    /// Takes note that a file has been opened, typed in, closed, or changed on the disk.
    pub fn changed(&mut self, path: &str, documents: &Documents) {
        if self.is_in_force(path) {
            self.rules_changed = true;
            return;
        }
        let files = self.files(documents);
        for candidate in near(path) {
            if !self.builds.contains_key(&candidate) && exists(&files, &candidate) {
                self.builds.insert(candidate, Build { changed: true, ..Build::default() });
            }
        }
        for (build, state) in &mut self.builds {
            let folder = build.strip_suffix(BUILD_FILE).unwrap_or(build);
            // A file of its folder may be a section that was missing, or data that a part refers to.
            state.changed |= path.starts_with(folder) || state.files.iter().any(|file| file == path);
        }
    }

    /// Has everything judged anew.
    pub fn all_changed(&mut self) {
        self.builds.values_mut().for_each(|build| build.changed = true);
    }

    /// Reads the rulebook if it has to be read.
    fn settle_rules(&mut self, documents: &Documents, making: &Making) -> Option<Touched> {
        if !self.rules_changed {
            return None;
        }
        self.rules_changed = false;
        let mut touched: Touched = self.wrong_rules.keys().cloned().collect();
        let files: Arc<dyn Files> = Arc::new(self.files(documents));
        let folder = |path: &PathBuf| RuleFolder {
            files: Arc::new(DiskFiles::new(path.clone())),
            shown: path.display().to_string(),
        };
        let more: Vec<RuleFolder> = self.more_rules.iter().map(folder).collect();
        match Repository::open(files, &more, false) {
            Ok(repository) => {
                self.wrong_rules = ByFile::new();
                self.in_force = Some(repository);
                self.all_changed();
            }
            Err(refused) => {
                self.wrong_rules = diagnostics::of_refused(&refused, making);
                if self.in_force.is_none() {
                    // The built-in rules still hold for what is typed while the own ones are put right.
                    let none: Arc<dyn Files> = Arc::new(MemoryFiles::default());
                    self.in_force = Repository::open(none, &[], false).ok();
                    self.all_changed();
                }
            }
        }
        touched.extend(self.wrong_rules.keys().cloned());
        Some(touched)
    }

    /// Judges a build.
    fn judge(&mut self, path: &str, documents: &Documents, day: Date, making: &Making) -> Touched {
        let files = self.files(documents);
        let Some(build) = self.builds.get_mut(path) else { return Touched::new() };
        build.changed = false;
        let mut touched: Touched = build.said.keys().cloned().collect();
        let Some(repository) = self.in_force.as_mut().filter(|_| exists(&files, path)) else {
            self.builds.remove(path);
            return touched;
        };
        repository.files = Arc::new(files);
        let judged = Rc::new(Judged::new(repository, path, day));
        build.said = diagnostics::of_build(&judged, making);
        build.files.clone_from(&judged.files);
        let open = build.files.iter().any(|file| documents.get(&self.root.join(file)).is_some());
        if judged.sound() || build.good.is_none() {
            build.good = open.then(|| judged.clone());
        }
        build.now = open.then_some(judged);
        touched.extend(build.said.keys().cloned());
        touched
    }

    /// Brings everything up to date that a file is part of.
    pub fn settle(&mut self, path: &str, documents: &Documents, day: Date, making: &Making) -> Touched {
        let mut touched = self.settle_rules(documents, making).unwrap_or_default();
        let mine = |(build, state): (&String, &Build)| {
            let part = near(path).any(|near| near == *build) || state.files.iter().any(|file| file == path);
            (state.changed && part).then(|| build.clone())
        };
        let mine: Vec<String> = self.builds.iter().filter_map(mine).collect();
        for build in mine {
            touched.extend(self.judge(&build, documents, day, making));
        }
        touched
    }

    /// Does one step of what is to be done, if there is one. What is open comes first; `all` says whether builds are wanted
    /// of which nothing is open.
    pub fn step(&mut self, documents: &Documents, day: Date, making: &Making, all: bool) -> Option<Touched> {
        let rules = self.settle_rules(documents, making);
        if rules.is_some() {
            return rules;
        }
        let changed = |wanted: &dyn Fn(&str, &Build) -> bool| {
            let mut builds = self.builds.iter().filter(|(_, state)| state.changed);
            builds.find(|(path, state)| wanted(path, state)).map(|(path, _)| path.clone())
        };
        let open = |path: &str, state: &Build| {
            let mut files = state.files.iter().map(String::as_str).chain([path]);
            // Before it is first read, nobody knows what its files are.
            state.files.is_empty() || files.any(|file| documents.get(&self.root.join(file)).is_some())
        };
        let next = changed(&open).or_else(|| if self.listed && all { changed(&|_, _| true) } else { None });
        if let Some(next) = next {
            return Some(self.judge(&next, documents, day, making));
        }
        if self.listed || !all {
            return None;
        }
        self.listed = true;
        for path in self.files(documents).list("").unwrap_or_default() {
            let wanted = self.in_force.as_ref().is_none_or(|repository| repository.settings.looks_at(&path));
            if wanted && path.rsplit('/').next() == Some(BUILD_FILE) {
                self.builds.entry(path).or_insert_with(|| Build { changed: true, ..Build::default() });
            }
        }
        Some(Touched::new())
    }

    /// Everything that is to be said now of a file: what several builds say of one that they share is said once.
    pub fn said_of(&self, path: &str) -> Vec<Diagnostic> {
        let mut all: Vec<Diagnostic> = Vec::new();
        for said in self.builds.values().map(|build| &build.said).chain([&self.wrong_rules]) {
            let Some(more) = said.get(path) else { continue };
            if all.is_empty() {
                all.clone_from(more);
                continue;
            }
            let new: Vec<Diagnostic> = more.iter().filter(|d| !all.contains(d)).cloned().collect();
            all.extend(new);
        }
        all
    }

    /// The path of a file from the root, as builds name it.
    pub fn path_below(&self, path: &Path) -> Option<String> {
        Some(path.strip_prefix(&self.root).ok()?.to_str()?.replace('\\', "/"))
    }
}

/// Where the build file of a file could be: beside it, or in a folder above.
fn near(path: &str) -> impl Iterator<Item = String> + '_ {
    let folders = path.rmatch_indices('/').map(|(at, _)| path.get(..=at).unwrap_or_default()).chain([""]);
    folders.map(|folder| format!("{folder}{BUILD_FILE}"))
}

fn exists(files: &dyn Files, path: &str) -> bool {
    !matches!(files.read(path), Err(ReadProblem::Missing | ReadProblem::Outside))
}
