//! Data sheets of parts: the files that records of a build name under `part`, each read once, whoever uses it.
//!
//! In come a build that is read but for them and [`Files`]; out comes [`Parts`], which tells for each such name the top of the
//! sheet that it means. What a record is, and thus whether it may have a data sheet and what that may say, is decided
//! above: here a text under the key `part` that ends in `.yaml` is the name of one. Sheets may name further sheets. A
//! build that names none spends no time here.

use std::collections::BTreeMap;

use super::assemble::Budget;
use super::error::{PartProblem, SourceError, SourceProblem};
use super::files::{Files, ReadProblem};
use super::place::{FileId, Span};
use super::sections::{BUILD_LIMIT, ReadBuild, path_from_root, start_of};
use super::tree::{ALIAS_LIMIT, Content, NodeId, Tree};
use super::yaml::parse_within;

/// The key under which a record names its data sheet.
pub const PART_KEY: &str = "part";

/// The largest number of data sheets of one build.
pub const PART_LIMIT: usize = 256;

/// The longest chain of data sheets, each naming the next.
pub const CHAIN_LIMIT: usize = 8;

/// Whether a text can be the name of a data sheet.
pub fn names_a_sheet(text: &str) -> bool {
    text.ends_with(".yaml") || text.ends_with(".yml")
}

/// The data sheets of a build.
#[derive(Debug, Clone, Default)]
pub struct Parts {
    sheets: BTreeMap<NodeId, NodeId>,
    first: Option<FileId>,
    files: Vec<(String, Span)>,
}

impl Parts {
    /// Whether no record names a data sheet that could be read.
    pub fn is_empty(&self) -> bool {
        self.sheets.is_empty()
    }

    /// The top of the sheet, a map, that a value of `part` names; none for one that is of no use, which has been told.
    pub fn sheet(&self, named: NodeId) -> Option<NodeId> {
        self.sheets.get(&named).copied()
    }

    /// Whether a file is a data sheet.
    pub fn holds(&self, file: FileId) -> bool {
        self.first.is_some_and(|first| file >= first)
    }

    /// Where the build itself says, by way of other sheets or directly, that it uses the sheet of that file; of several places the
    /// first.
    pub fn used(&self, file: FileId) -> Option<Span> {
        let (mut file, mut used) = (file, None);
        // A sheet is first named by a file that was read before it, so this ends.
        while let Some((_, named)) = self.first.and_then(|first| self.files.get(file.0.checked_sub(first.0)? as usize))
        {
            (file, used) = (named.file, Some(*named));
        }
        used
    }

    /// The data sheets that were read: path from the repository's root, and the first `part` that names it.
    pub fn files(&self) -> &[(String, Span)] {
        &self.files
    }
}

/// Reads the data sheets of a build. `size` is that of its files so far.
pub(super) fn read_parts(files: &dyn Files, build_file: &str, read: &mut ReadBuild, budget: &mut Budget, size: u64) {
    let Some(root) = read.root else { return };
    let build_name = build_file.rsplit('/').next().unwrap_or(build_file);
    let mut shelf = Shelf { files, build_name, read, budget, size, sheets: BTreeMap::new(), full: false };
    let (uses, _) = uses(&shelf.read.tree, root);
    for named in uses {
        let Some(found) = shelf.sheet(named, 1) else { continue };
        shelf.spend(named, found.nodes);
    }
}

/// The values of `part` below a node that name data sheets, in the order of places and each as often as a walk meets it, and
/// how many nodes the walk meets.
fn uses(tree: &Tree, below: NodeId) -> (Vec<NodeId>, u64) {
    let (mut found, mut met) = (Vec::new(), 0u64);
    let mut stack = vec![below];
    while let Some(at) = stack.pop() {
        met += 1;
        match &tree.node(at).content {
            Content::Scalar(_) => {}
            Content::List(items) => stack.extend(items),
            Content::Map(entries) => {
                for entry in entries {
                    if &*entry.key == PART_KEY && tree.scalar(entry.value).is_some_and(|s| names_a_sheet(&s.text)) {
                        found.push(entry.value);
                    }
                    stack.push(entry.value);
                }
            }
        }
    }
    found.sort_by_key(|named| tree.node(*named).span);
    (found, met)
}

/// A sheet that can be used: its top, how many nodes a walk over it and over all that it names meets, and how many
/// sheets stand in the longest chain that begins with it.
#[derive(Clone, Copy)]
struct Sheet {
    top: NodeId,
    nodes: u64,
    chain: usize,
}

/// What became of a file.
#[derive(Clone, Copy)]
enum Shelved {
    /// Its own sheets are being read.
    Open,
    Read(Sheet),
    /// Told already.
    Useless,
}

struct Shelf<'a> {
    files: &'a dyn Files,
    build_name: &'a str,
    read: &'a mut ReadBuild,
    budget: &'a mut Budget,
    size: u64,
    sheets: BTreeMap<String, Shelved>,
    full: bool,
}

impl Shelf<'_> {
    /// The sheet that a value names, which is number `depth` of its chain.
    fn sheet(&mut self, named: NodeId, depth: usize) -> Option<Sheet> {
        let written = self.read.tree.scalar(named)?.text.to_string();
        let Some(path) = path_from_root("", &written) else {
            return self.useless(named, PartProblem::Read(ReadProblem::Outside));
        };
        let found = match self.sheets.get(&path).copied() {
            Some(Shelved::Useless) => return None,
            Some(Shelved::Open) => return self.useless(named, PartProblem::Circle),
            Some(Shelved::Read(sheet)) => sheet,
            None => {
                if depth > CHAIN_LIMIT {
                    return self.useless(named, PartProblem::ChainTooLong { limit: CHAIN_LIMIT });
                }
                self.sheets.insert(path.clone(), Shelved::Open);
                let loaded = self.load(&path, named, depth);
                self.sheets.insert(path, loaded.map_or(Shelved::Useless, Shelved::Read));
                loaded?
            }
        };
        if depth + found.chain - 1 > CHAIN_LIMIT {
            return self.useless(named, PartProblem::ChainTooLong { limit: CHAIN_LIMIT });
        }
        self.read.parts.sheets.insert(named, found.top);
        Some(found)
    }

    fn load(&mut self, path: &str, named: NodeId, depth: usize) -> Option<Sheet> {
        if path.rsplit('/').next() == Some(self.build_name) {
            return self.useless(named, PartProblem::IsABuild);
        }
        if self.full {
            return None;
        }
        if self.read.parts.files.len() >= PART_LIMIT {
            self.full = true;
            return self.useless(named, PartProblem::TooMany { limit: PART_LIMIT });
        }
        let bytes = match self.files.read(path) {
            Ok(bytes) => bytes,
            Err(problem) => return self.useless(named, PartProblem::Read(problem)),
        };
        self.size += bytes.len() as u64;
        if self.size > BUILD_LIMIT {
            self.full = true;
            return self.useless(named, PartProblem::BuildTooLarge { limit: BUILD_LIMIT });
        }
        let used = self.read.tree.node(named).span;
        self.read.parts.files.push((path.to_owned(), used));
        let top = self.parse(path, &bytes, used)?;
        let (own, mut nodes) = uses(&self.read.tree, top);
        let mut chain = 1;
        for named in own {
            if let Some(next) = self.sheet(named, depth + 1) {
                nodes = nodes.saturating_add(next.nodes);
                chain = chain.max(next.chain + 1);
            }
        }
        Some(Sheet { top, nodes, chain })
    }

    /// Parses a sheet; gives its top if that is a map. Its errors name the use too.
    fn parse(&mut self, path: &str, bytes: &[u8], used: Span) -> Option<NodeId> {
        let ReadBuild { sources, tree, errors, parts, .. } = &mut *self.read;
        let (file, top, found) = parse_within(sources, path, bytes, tree, self.budget);
        parts.first.get_or_insert(file);
        let sound = found.is_empty();
        errors.extend(found.into_iter().map(|error| SourceError { other: error.other.or(Some(used)), ..error }));
        let (problem, span) = match top {
            Some(top) if tree.entries(top).is_some() => return Some(top),
            Some(top) if tree.node(top).is_unwritten() => (SourceProblem::Empty, tree.node(top).span),
            Some(top) => (SourceProblem::NotAMap, tree.node(top).span),
            None if sound => (SourceProblem::Empty, start_of(file)),
            None => return None,
        };
        errors.push(SourceError { problem, span, other: Some(used) });
        None
    }

    /// Counts what a use stands for; a few sheets that name one another could otherwise stand for billions of values.
    fn spend(&mut self, named: NodeId, nodes: u64) {
        let left = self.budget.aliased.checked_sub(nodes).zip(self.budget.nodes.checked_sub(nodes));
        match left {
            Some((aliased, nodes)) => (self.budget.aliased, self.budget.nodes) = (aliased, nodes),
            None => {
                self.read.parts.sheets.remove(&named);
                if !std::mem::replace(&mut self.full, true) {
                    self.useless(named, PartProblem::Multiply { limit: ALIAS_LIMIT });
                }
            }
        }
    }

    fn useless(&mut self, named: NodeId, problem: PartProblem) -> Option<Sheet> {
        let path = self.read.tree.scalar(named).map_or_else(String::new, |scalar| scalar.text.to_string());
        let span = self.read.tree.node(named).span;
        let problem = SourceProblem::Part { path, problem };
        if !self.read.errors.iter().any(|error| error.span == span && error.problem == problem) {
            let other = self.read.parts.used(span.file);
            self.read.errors.push(SourceError { problem, span, other });
        }
        None
    }
}
