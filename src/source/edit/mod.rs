//! Changes of single values in a file of a build, as the fewest bytes that say them.
//!
//! In come a file's bytes, the path of a value and what is to stand there; out come [`TextEdit`]s that leave every other byte
//! as it is: comments, order, quotes, line ends and indentation stay, and what is new follows the file's own habits. Each change is
//! proven before it is given out: the changed text is read again and must say just what it said, but for the one value.
//! Where that cannot be had (an alias shares the value, a tag or a tab stands in the way), the change is refused.

mod habits;
mod insert;
mod outline;
mod places;
mod written;

use std::ops::Range;

use super::place::Sources;
use super::tree::{Content, NodeId, ScalarStyle, Tree};
use super::yaml::parse_file;
use outline::Outline;

/// One step from a value down to a part of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum EditStep {
    /// To the value of a key; where that is not written it is put in behind the last of `behind` that is.
    Key {
        /// The key.
        key: String,
        /// Keys of the same map that are usually written before it, in their usual order.
        behind: Vec<String>,
    },
    /// To the item of a list whose `naming` key says `name`; where there is none it is put in at the end of the list.
    Item {
        /// The key that names items.
        naming: String,
        /// The name.
        name: String,
    },
    /// To the item of that number, from 0, which must be there.
    At(usize),
}

/// What is to stand at a path.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NewValue {
    /// A word or number that stands bare: `yes`, `3`.
    Plain(String),
    /// Text, in quotes where YAML needs them or the value that it replaces had them.
    Text(String),
    /// Keys and their values, in braces on one line.
    Map(Vec<(String, NewValue)>),
    /// Members, in brackets on one line.
    List(Vec<NewValue>),
}

/// New text in place of a range of bytes; an empty range inserts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TextEdit {
    /// Bytes of the file as it was.
    pub range: Range<usize>,
    /// What stands there afterwards.
    pub text: String,
}

/// Why a change cannot be made; ranges are bytes of the file as it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum EditProblem {
    /// The file has errors of syntax; what it says is not certain.
    Faulty,
    /// An anchor or alias makes the value stand in several places at once.
    Shared(Range<usize>),
    /// Something of another form stands where a part of the path should.
    Occupied(Range<usize>),
    /// No item of that number.
    NoSuchItem(Range<usize>),
    /// The layout there leaves no way that is certain to change nothing else.
    Layout(Range<usize>),
}

impl EditProblem {
    /// What is wrong, in words.
    pub fn message(&self) -> &'static str {
        match self {
            EditProblem::Faulty => "the file has errors that must be mended first",
            EditProblem::Shared(_) => "an alias makes this value stand in several places; write it by hand",
            EditProblem::Occupied(_) => "something of another form stands here",
            EditProblem::NoSuchItem(_) => "the list has no item of that number",
            EditProblem::Layout(_) => "this layout cannot be changed with certainty; write it by hand",
        }
    }
}

/// One file with the changes made so far.
#[derive(Debug, Clone)]
pub struct EditedFile {
    name: String,
    text: String,
    tree: Tree,
    root: Option<NodeId>,
}

impl EditedFile {
    /// Reads a file that is to be changed; `name` is the path from the repository's root.
    ///
    /// # Errors
    /// [`EditProblem::Faulty`] if reading it finds any error.
    pub fn read(name: &str, bytes: &[u8]) -> Result<EditedFile, EditProblem> {
        let (mut sources, mut tree) = (Sources::default(), Tree::new());
        let (root, errors) = parse_file(&mut sources, name, bytes, &mut tree);
        let sound = errors.is_empty() && root.is_none_or(|root| tree.entries(root).is_some());
        let text = std::str::from_utf8(bytes).ok().filter(|_| sound).ok_or(EditProblem::Faulty)?;
        Ok(EditedFile { name: name.into(), text: text.into(), tree, root })
    }

    /// The path from the repository's root.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The text with all changes made so far.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// How many steps of a path the file has: of several files of a build, the one that has most is where a value belongs.
    pub fn reach(&self, path: &[EditStep]) -> usize {
        let Some(root) = self.root else { return 0 };
        let mut at = root;
        for (taken, step) in path.iter().enumerate() {
            match self.below(at, step) {
                Some(next) => at = next,
                None => return taken,
            }
        }
        path.len()
    }

    /// The text of the scalar at a path; nothing if there is none.
    pub fn scalar(&self, path: &[EditStep]) -> Option<&str> {
        self.tree.scalar(self.found(path)?).map(|scalar| &*scalar.text)
    }

    /// The keys of the map at a path, as written; nothing if there is none.
    pub fn keys(&self, path: &[EditStep]) -> Option<Vec<String>> {
        let entries = self.tree.entries(self.found(path)?)?;
        Some(entries.iter().map(|entry| entry.key.to_string()).collect())
    }

    /// How many items the list at a path has; nothing if there is none.
    pub fn items(&self, path: &[EditStep]) -> Option<usize> {
        self.tree.items(self.found(path)?).map(<[NodeId]>::len)
    }

    fn found(&self, path: &[EditStep]) -> Option<NodeId> {
        path.iter().try_fold(self.root?, |at, step| self.below(at, step))
    }

    fn below(&self, at: NodeId, step: &EditStep) -> Option<NodeId> {
        match step {
            EditStep::Key { key, .. } => self.tree.get(at, key),
            EditStep::Item { naming, name } => {
                let named = |item: &&NodeId| {
                    let named = self.tree.get(**item, naming).and_then(|node| self.tree.scalar(node));
                    named.is_some_and(|scalar| *scalar.text == **name)
                };
                self.tree.items(at)?.iter().find(named).copied()
            }
            EditStep::At(index) => self.tree.items(at)?.get(*index).copied(),
        }
    }

    /// Puts a value at a path, with the sections and items that it needs around it. A value in braces or brackets takes the place
    /// of another one that is; of a map in lines change the keys one by one.
    ///
    /// # Errors
    /// See [`EditProblem`]; the file then stays as it is.
    pub fn put(&mut self, path: &[EditStep], value: &NewValue) -> Result<Vec<TextEdit>, EditProblem> {
        let edits = match places::walk(self, path)? {
            places::Reached::Value { node, flow } => vec![self.replacement(node, flow, value)?],
            places::Reached::Gap(gap) => vec![insert::into_gap(self, &gap, path, value)?],
        };
        self.prove(edits, |said| said.put(path, value))
    }

    /// Takes a key and its value out of the map that it stands in.
    ///
    /// # Errors
    /// See [`EditProblem`]; also where it is not written, or is all that the map says.
    pub fn remove(&mut self, path: &[EditStep]) -> Result<Vec<TextEdit>, EditProblem> {
        let edit = places::removal(self, path)?;
        self.prove(vec![edit], |said| said.remove(path))
    }

    fn replacement(&self, node: NodeId, flow: bool, value: &NewValue) -> Result<TextEdit, EditProblem> {
        let node = self.tree.node(node);
        let range = node.span.start as usize..node.span.end as usize;
        let raw = self.text.get(range.clone()).unwrap_or_default();
        let new = |like| written::value(value, flow, like);
        let text = match &node.content {
            Content::Scalar(_) if node.is_unwritten() && raw.is_empty() => format!(" {}", new(None)),
            Content::Scalar(scalar) if scalar.style == ScalarStyle::Block => return Err(EditProblem::Occupied(range)),
            Content::Scalar(_) => new(raw.chars().next().filter(|c| matches!(c, '"' | '\''))),
            _ if raw.starts_with(['{', '[']) && !raw.contains('#') => new(None),
            _ => return Err(EditProblem::Occupied(range)),
        };
        Ok(TextEdit { range, text })
    }

    /// Makes the edits if the text then says what it should.
    fn prove(
        &mut self,
        edits: Vec<TextEdit>,
        change: impl FnOnce(&mut Outline) -> Option<()>,
    ) -> Result<Vec<TextEdit>, EditProblem> {
        let doubtful = || EditProblem::Layout(edits.first().map_or(0..0, |edit| edit.range.clone()));
        let mut expected = Outline::of(&self.tree, self.root);
        change(&mut expected).ok_or_else(doubtful)?;
        let text = apply(&self.text, &edits).ok_or_else(doubtful)?;
        let changed = EditedFile::read(&self.name, text.as_bytes()).map_err(|_| doubtful())?;
        if !expected.is_said_by(&Outline::of(&changed.tree, changed.root)) {
            return Err(doubtful());
        }
        *self = changed;
        Ok(edits)
    }
}

/// The text with edits made, which must be in order and apart; nothing if they are not, or do not fit it.
pub fn apply(text: &str, edits: &[TextEdit]) -> Option<String> {
    let mut out = String::with_capacity(text.len());
    let mut from = 0;
    for edit in edits {
        out.push_str(text.get(from..edit.range.start)?);
        text.get(edit.range.clone())?;
        out.push_str(&edit.text);
        from = edit.range.end;
    }
    out.push_str(text.get(from..)?);
    Some(out)
}
