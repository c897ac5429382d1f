//! What is staged, or stands in a revision, as [`Files`].

use super::error::GitError;
use super::git::{Git, Revision};
use super::objects::Objects;
use crate::source::{FILE_LIMIT, Files, ReadProblem};
use std::collections::BTreeMap;
use std::io::{Cursor, Read};

/// How many links may lead from one to the next.
const MOST_LINKS: usize = 40;

/// Files as git stores them: staged, or in a revision.
pub struct GitFiles {
    entries: BTreeMap<String, Entry>,
    objects: Objects,
}

struct Entry {
    kind: Kind,
    object: String,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    File,
    Link,
    /// Another repository.
    Submodule,
    /// Two sides of a merge, not settled yet.
    Unmerged,
}

impl GitFiles {
    /// What is staged: what the next commit will hold.
    ///
    /// # Errors
    /// If git refuses.
    pub fn staged(git: &Git) -> Result<GitFiles, GitError> {
        let listed = git.run(["ls-files", "--stage", "-z", "--full-name", "--", ":/"])?;
        let mut entries = BTreeMap::new();
        for line in listed.split(|byte| *byte == 0).filter(|line| !line.is_empty()) {
            // mode, object, stage, a tab, the path
            let Some((head, path)) = halves(line) else { return Err(GitError::Unknown("what is staged")) };
            let (Some(mode), Some(object), Some(stage)) = (head.first(), head.get(1), head.get(2)) else {
                return Err(GitError::Unknown("what is staged"));
            };
            // A name that is no UTF-8 cannot be written in a spec either.
            let Ok(path) = std::str::from_utf8(path) else { continue };
            let kind = if *stage == "0" { kind(mode) } else { Kind::Unmerged };
            entries.insert(path.to_string(), Entry { kind, object: object.to_string() });
        }
        Ok(GitFiles { entries, objects: Objects::new(git) })
    }

    /// What stands in a revision.
    ///
    /// # Errors
    /// If git refuses.
    pub fn at(git: &Git, revision: &Revision) -> Result<GitFiles, GitError> {
        let listed = git.run(["ls-tree", "-r", "-z", "--full-tree", "--end-of-options", &revision.commit])?;
        let mut entries = BTreeMap::new();
        for line in listed.split(|byte| *byte == 0).filter(|line| !line.is_empty()) {
            // mode, type, object, a tab, the path
            let Some((head, path)) = halves(line) else { return Err(GitError::Unknown("a revision")) };
            let (Some(mode), Some(object)) = (head.first(), head.get(2)) else {
                return Err(GitError::Unknown("a revision"));
            };
            let Ok(path) = std::str::from_utf8(path) else { continue };
            entries.insert(path.to_string(), Entry { kind: kind(mode), object: object.to_string() });
        }
        Ok(GitFiles { entries, objects: Objects::new(git) })
    }

    /// Whether a path stands there, as whatever it may be.
    pub fn holds(&self, path: &str) -> bool {
        self.entries.contains_key(path)
    }

    /// The file that a path leads to, with links followed as a disk would.
    fn resolve(&self, path: &str) -> Result<(String, &Entry), ReadProblem> {
        let mut path = settled(path).ok_or(ReadProblem::Outside)?;
        for _ in 0..MOST_LINKS {
            let Some((end, entry)) = self.first_on_the_way(&path) else { return Err(ReadProblem::Missing) };
            let (at, rest) = path.split_at(end);
            match entry.kind {
                Kind::File if rest.is_empty() => return Ok((path, entry)),
                Kind::File => return Err(ReadProblem::Missing),
                Kind::Submodule => {
                    let words = format!("it lies in the submodule {at}, whose content this repository does not hold");
                    return Err(ReadProblem::Unreadable(words));
                }
                Kind::Unmerged => {
                    let words = "its merge is not settled; settle it and add the file".to_string();
                    return Err(ReadProblem::Unreadable(words));
                }
                Kind::Link => {
                    let target = self.objects.read(&entry.object, FILE_LIMIT)?;
                    let target = String::from_utf8(target).map_err(|_| ReadProblem::Missing)?;
                    if target.starts_with('/') {
                        return Err(ReadProblem::Outside);
                    }
                    let folder = at.rsplit_once('/').map_or("", |(folder, _)| folder);
                    path = settled(&format!("{folder}/{target}{rest}")).ok_or(ReadProblem::Outside)?;
                }
            }
        }
        Err(ReadProblem::Unreadable("its links lead round in a circle".into()))
    }

    /// The entry that is the path, or in whose place a folder on the way to it would stand, and where in the path it ends.
    fn first_on_the_way(&self, path: &str) -> Option<(usize, &Entry)> {
        let ends = path.match_indices('/').map(|(at, _)| at).chain([path.len()]);
        ends.into_iter().find_map(|end| Some((end, self.entries.get(path.get(..end)?)?)))
    }
}

impl GitFiles {
    fn content(&self, path: &str, limit: u64) -> Result<Vec<u8>, ReadProblem> {
        if path.split('/').any(|part| part == "..") || path.starts_with('/') {
            return Err(ReadProblem::Outside);
        }
        self.objects.read(&self.resolve(path)?.1.object, limit)
    }
}

impl Files for GitFiles {
    fn read(&self, path: &str) -> Result<Vec<u8>, ReadProblem> {
        self.content(path, FILE_LIMIT)
    }

    fn open(&self, path: &str, limit: u64) -> Result<Box<dyn Read + '_>, ReadProblem> {
        Ok(Box::new(Cursor::new(self.content(path, limit)?)))
    }

    fn leads_to(&self, path: &str) -> Option<String> {
        self.resolve(path).ok().map(|(target, _)| target).filter(|target| target != path)
    }

    fn list(&self, folder: &str) -> Result<Vec<String>, ReadProblem> {
        let folder = settled(folder).ok_or(ReadProblem::Outside)?;
        let prefix = if folder.is_empty() { String::new() } else { format!("{folder}/") };
        let mut any = folder.is_empty();
        let mut found = Vec::new();
        for (path, entry) in self.entries.range(prefix.clone()..) {
            let Some(below) = path.strip_prefix(&prefix) else { break };
            any = true;
            let hidden = below.split('/').any(|part| part.starts_with('.'));
            if hidden || !below.ends_with(".yaml") {
                continue;
            }
            let file = match entry.kind {
                Kind::File | Kind::Unmerged => true,
                Kind::Link => self.resolve(path).is_ok(),
                Kind::Submodule => false,
            };
            if file {
                found.push(path.clone());
            }
        }
        if any { Ok(found) } else { Err(ReadProblem::Missing) }
    }
}

/// The words in front of the tab, and the path behind it.
fn halves(line: &[u8]) -> Option<(Vec<&str>, &[u8])> {
    let tab = line.iter().position(|byte| *byte == b'\t')?;
    let (head, path) = line.split_at(tab);
    Some((std::str::from_utf8(head).ok()?.split(' ').filter(|word| !word.is_empty()).collect(), path.get(1..)?))
}

fn kind(mode: &str) -> Kind {
    match mode {
        "120000" => Kind::Link,
        "160000" => Kind::Submodule,
        _ => Kind::File,
    }
}

/// A path without `.` and `..`; nothing if it leads out.
fn settled(path: &str) -> Option<String> {
    let mut parts: Vec<&str> = Vec::new();
    for part in path.split('/') {
        match part {
            "" | "." => {}
            ".." => drop(parts.pop()?),
            part => parts.push(part),
        }
    }
    Some(parts.join("/"))
}
