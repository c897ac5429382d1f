//! A build in several files: `build.yaml` and the section files that it lists, as one tree, with the data sheets of its parts.
//!
//! In come [`Files`] and the path of the build file; out comes [`ReadBuild`]. Sections hold keys of the same tree: maps
//! that are given in several files grow together, everything else may be given once. A section that cannot be
//! read, or only in part, does not hide what the others say.

use std::borrow::Cow;
use std::collections::BTreeMap;

use super::assemble::Budget;
use super::duplicate;
use super::error::{SectionProblem, SourceError, SourceProblem};
use super::files::Files;
use super::parts::{Parts, read_parts};
use super::place::{FileId, Sources, Span};
use super::tree::{Content, Entry, NodeId, Tree};
use super::yaml::parse_within;

/// The largest sum of the sizes of a build's files, in bytes (8 MiB).
pub const BUILD_LIMIT: u64 = 8 * 1024 * 1024;

/// The largest number of sections of one build.
pub const SECTION_LIMIT: usize = 256;

/// A build as its files say it.
#[derive(Debug, Clone)]
pub struct ReadBuild {
    /// The texts of all files that were read, the build file first, data sheets last.
    pub sources: Sources,
    /// What they say together.
    pub tree: Tree,
    /// The top of the tree, a map; nothing if the build file holds no keys.
    pub root: Option<NodeId>,
    /// The section files that were read: path from the repository's root, and the entry of `sections` that names it.
    pub sections: Vec<(String, Span)>,
    /// The data sheets of parts that its records name.
    pub parts: Parts,
    /// Everything that is wrong with the files, each file's in the order of places.
    pub errors: Vec<SourceError>,
}

/// Reads a build file, its sections and the data sheets that its records name. `build_file` is the path from the repository's root.
pub fn read_build(files: &dyn Files, build_file: &str) -> ReadBuild {
    let read = ReadBuild {
        sources: Sources::default(),
        tree: Tree::new(),
        root: None,
        sections: Vec::new(),
        parts: Parts::default(),
        errors: Vec::new(),
    };
    let mut reading = Reading { files, read, size: 0, budget: Budget::default() };
    reading.build(build_file);
    if reading.budget.names_parts {
        read_parts(files, build_file, &mut reading.read, &mut reading.budget, reading.size);
    }
    reading.read
}

struct Reading<'a> {
    files: &'a dyn Files,
    read: ReadBuild,
    size: u64,
    budget: Budget,
}

impl Reading<'_> {
    fn build(&mut self, build_file: &str) {
        let bytes = match self.files.read(build_file) {
            Ok(bytes) => bytes,
            Err(problem) => {
                let file = self.read.sources.add(build_file, "".into());
                return self.error(SourceProblem::BuildFile(problem), start_of(file));
            }
        };
        self.size = bytes.len() as u64;
        let Some(root) = self.parse(build_file, &bytes) else { return };
        self.read.root = Some(root);
        self.read.tree.set_root(root);
        let mut seen = BTreeMap::from([(build_file.to_owned(), None)]);
        for (entry, written) in self.listed(root) {
            if self.read.sections.len() >= SECTION_LIMIT {
                let problem = SectionProblem::TooMany { limit: SECTION_LIMIT };
                self.error(SourceProblem::Section { path: written, problem }, entry);
                break;
            }
            match self.section(build_file, &written, entry, &mut seen) {
                Ok(()) => {}
                Err((problem, other)) => {
                    let stop = matches!(problem, SectionProblem::BuildTooLarge { .. });
                    let problem = SourceProblem::Section { path: written, problem };
                    self.read.errors.push(SourceError { problem, span: entry, other });
                    if stop {
                        break;
                    }
                }
            }
        }
    }

    /// The entries of `sections` that are names, with their places.
    fn listed(&mut self, root: NodeId) -> Vec<(Span, String)> {
        let Some(list) = self.read.tree.get(root, "sections") else { return Vec::new() };
        let node = self.read.tree.node(list);
        let span = node.span;
        let Content::List(items) = &node.content else {
            if !node.is_unwritten() {
                self.error(SourceProblem::SectionsNotAList, span);
            }
            return Vec::new();
        };
        let mut names = Vec::new();
        for item in items.clone() {
            let span = self.read.tree.node(item).span;
            match self.read.tree.scalar(item) {
                Some(name) if !name.text.is_empty() => names.push((span, name.text.to_string())),
                _ => {
                    let problem = SectionProblem::NotAName;
                    self.error(SourceProblem::Section { path: String::new(), problem }, span);
                }
            }
        }
        names
    }

    fn section(
        &mut self,
        build_file: &str,
        written: &str,
        entry: Span,
        seen: &mut BTreeMap<String, Option<Span>>,
    ) -> Result<(), (SectionProblem, Option<Span>)> {
        use super::files::ReadProblem::Outside;
        let alone = |problem| (problem, None);
        let path = path_from_root(build_file, written).ok_or(alone(SectionProblem::Read(Outside)))?;
        match seen.get(&path) {
            Some(None) => return Err(alone(SectionProblem::IsTheBuild)),
            Some(first) => return Err((SectionProblem::Twice, *first)),
            None => {}
        }
        seen.insert(path.clone(), Some(entry));
        if !(path.ends_with(".yaml") || path.ends_with(".yml")) {
            return Err(alone(SectionProblem::NotYaml));
        }
        let bytes = self.files.read(&path).map_err(|problem| alone(SectionProblem::Read(problem)))?;
        self.size += bytes.len() as u64;
        if self.size > BUILD_LIMIT {
            return Err(alone(SectionProblem::BuildTooLarge { limit: BUILD_LIMIT }));
        }
        self.read.sections.push((path.clone(), entry));
        if let Some(top) = self.parse(&path, &bytes) {
            let root = self.read.tree.root();
            let merged = self.merge(root, top, true);
            self.read.tree.set_root(merged);
            self.read.root = Some(merged);
        }
        Ok(())
    }

    /// Parses a file of the build; gives its top if that is a map.
    fn parse(&mut self, path: &str, bytes: &[u8]) -> Option<NodeId> {
        let ReadBuild { sources, tree, errors, .. } = &mut self.read;
        let (file, top, found) = parse_within(sources, path, bytes, tree, &mut self.budget);
        let sound = found.is_empty();
        errors.extend(found);
        match top {
            Some(top) if self.read.tree.entries(top).is_some() => Some(top),
            Some(top) => {
                let span = self.read.tree.node(top).span;
                let unwritten = self.read.tree.node(top).is_unwritten();
                self.error(if unwritten { SourceProblem::Empty } else { SourceProblem::NotAMap }, span);
                None
            }
            None => {
                if sound {
                    self.error(SourceProblem::Empty, start_of(file));
                }
                None
            }
        }
    }

    /// A map with the entries of both. Neither is changed, for aliases may share them.
    fn merge(&mut self, into: NodeId, from: NodeId, top: bool) -> NodeId {
        let tree = &self.read.tree;
        let (Some(first), Some(second)) = (tree.entries(into), tree.entries(from)) else { return into };
        let (mut entries, more) = (first.to_vec(), second.to_vec());
        let places: BTreeMap<Cow<'static, str>, usize> =
            entries.iter().enumerate().map(|(index, entry)| (entry.key.clone(), index)).collect();
        let span = tree.node(into).span;
        for entry in more {
            if top && &*entry.key == "sections" {
                self.error(SourceProblem::SectionsInASection, entry.key_span);
                continue;
            }
            match places.get(&entry.key) {
                None => entries.push(entry),
                Some(index) => entries[*index].value = self.merge_values(&entries[*index], &entry),
            }
        }
        self.read.tree.push(span, Content::Map(entries))
    }

    fn merge_values(&mut self, first: &Entry, again: &Entry) -> NodeId {
        let tree = &self.read.tree;
        if tree.entries(first.value).is_some() && tree.entries(again.value).is_some() {
            return self.merge(first.value, again.value, false);
        }
        self.read.errors.push(duplicate::error(again, first));
        first.value
    }

    fn error(&mut self, problem: SourceProblem, span: Span) {
        self.read.errors.push(SourceError { problem, span, other: None });
    }
}

/// The path from the repository's root of a name given in the build file, from whose folder it is taken (`""`: from the root);
/// nothing if it leads out.
pub(super) fn path_from_root(build_file: &str, name: &str) -> Option<String> {
    if name.starts_with('/') {
        return None;
    }
    let mut parts: Vec<&str> = build_file.split('/').collect();
    parts.pop();
    for part in name.split('/') {
        match part {
            "" | "." => {}
            ".." => {
                parts.pop()?;
            }
            part => parts.push(part),
        }
    }
    Some(parts.join("/"))
}

pub(super) fn start_of(file: FileId) -> Span {
    Span { file, start: 0, end: 0 }
}
