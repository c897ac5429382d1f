//! The builds of a repository: where they stand, and one of them read against the terms in force.

use super::Repository;
use crate::source::{self, Content, Files, ReadProblem, SourceError, WatchedFiles};
use crate::terms::{Spec, TermsError, build_spec};
use std::collections::BTreeSet;

/// The name of a build's first file.
pub const BUILD_FILE: &str = "build.yaml";

/// A build as read, with everything that is wrong with it.
pub struct SpecRead {
    /// The spec, as far as it can be read.
    pub spec: Spec,
    /// What is wrong with its files.
    pub source_errors: Vec<SourceError>,
    /// What the terms do not allow.
    pub terms_errors: Vec<TermsError>,
}

/// Paths of the build files of a folder (`""` is the root), sorted: that of the folder itself, or else all that are found below it.
///
/// # Errors
/// If the folder cannot be listed.
pub fn builds_below(files: &dyn Files, folder: &str) -> Result<Vec<String>, ReadProblem> {
    let folder = folder.trim_matches('/');
    let own = if folder.is_empty() { BUILD_FILE.to_string() } else { format!("{folder}/{BUILD_FILE}") };
    if files.read(&own) != Err(ReadProblem::Missing) {
        return Ok(vec![own]);
    }
    let found = files.list(folder)?;
    Ok(found.into_iter().filter(|path| path.rsplit('/').next() == Some(BUILD_FILE)).collect())
}

impl Repository {
    /// As [`builds_below`]; those that are found further below only where the settings look for builds.
    ///
    /// # Errors
    /// As [`builds_below`].
    pub fn builds_below(&self, folder: &str) -> Result<Vec<String>, ReadProblem> {
        let own = |path: &String| path.strip_suffix(BUILD_FILE).is_some_and(|f| f.trim_end_matches('/') == folder);
        let mut found = builds_below(&*self.files, folder)?;
        found.retain(|path| own(path) || self.settings.looks_at(path));
        Ok(found)
    }
}

/// The paths of all files that a build is read from, whether they are there or not, and of all that it may name as evidence.
pub fn files_of(files: &dyn Files, path: &str) -> BTreeSet<String> {
    let watched = WatchedFiles::new(files);
    let read = source::read_build(&watched, path);
    let mut paths = watched.asked();
    // Which texts name evidence only the terms can tell; a text that happens to be such a path costs a judgement, no more.
    for node in read.tree.nodes() {
        if let Content::Scalar(scalar) = &node.content
            && scalar.text.contains('.')
        {
            paths.insert(scalar.text.to_string());
        }
    }
    paths
}

/// Reads a build file and its sections, as far as they can be read.
pub fn read_build(repository: &Repository, path: &str) -> SpecRead {
    read_build_in(repository, &*repository.files, path)
}

/// As [`read_build`], from other files than the repository's: as the build would be with them.
pub fn read_build_in(repository: &Repository, files: &dyn Files, path: &str) -> SpecRead {
    let mut read = source::read_build(files, path);
    repository.settings.complete(&mut read);
    let source_errors = read.errors.clone();
    let (spec, terms_errors) = build_spec(&repository.book.library.terms, read);
    SpecRead { spec, source_errors, terms_errors }
}
