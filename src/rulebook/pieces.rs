//! Check pieces: small specs with what a rule must read on them, and the trees that they are judged as.

use super::class::Class;
use super::error::RulebookProblem;
use super::form::Form;
use crate::language::table::{Cell, Key};
use crate::source::{Content, Entry, NodeId, Parts, ReadBuild, Scalar, Sources, Span, Tree};

/// What a rule must read on a check piece.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Reads {
    /// Broken in a class.
    Broken(Class),
    /// Holds.
    Holds,
    /// Values are missing.
    Unmeasured,
    /// The uncertainty straddles the limit.
    Unproven,
    /// Outside a table's or formula's range.
    Beyond,
    /// Not applicable.
    NotApplicable,
}

impl Reads {
    /// The words for it in a rule file.
    pub fn words(self) -> &'static str {
        match self {
            Reads::Broken(class) => class.word(),
            Reads::Holds => "holds",
            Reads::Unmeasured => "unmeasured",
            Reads::Unproven => "unproven",
            Reads::Beyond => "beyond",
            Reads::NotApplicable => "not applicable",
        }
    }

    fn named(words: &str) -> Option<Reads> {
        let others = [Reads::Holds, Reads::Unmeasured, Reads::Unproven, Reads::Beyond, Reads::NotApplicable];
        Class::named(words).map(Reads::Broken).or_else(|| others.into_iter().find(|r| r.words() == words))
    }
}

/// A check piece of a rule.
#[derive(Debug, Clone)]
pub struct CheckPiece {
    /// The spec, or the stock spec that it starts from.
    pub spec: NodeId,
    /// Values put in: path and value.
    pub set: Vec<(Box<str>, NodeId)>,
    /// Values taken out.
    pub drop: Vec<Box<str>>,
    /// The subject that counts; else the worst over all.
    pub subject: Option<Box<str>>,
    /// What must be read.
    pub reads: Reads,
    /// Its place.
    pub place: Span,
}

/// A check piece of a table.
#[derive(Debug, Clone)]
pub struct TablePiece {
    /// The column that is looked up.
    pub column: usize,
    /// Key values.
    pub keys: Vec<(usize, Key)>,
    /// What must be found; nothing where the table must not reach.
    pub reads: Option<Cell>,
    /// Its place.
    pub place: Span,
}

/// Stock specs of one folder, by name.
pub(super) type Stock = Vec<(Box<str>, Box<str>, NodeId)>;

/// Reads the check pieces of a rule of a system.
pub(super) fn read_pieces(form: &mut Form, list: NodeId, system: &str, stock: &Stock) -> Vec<CheckPiece> {
    let mut pieces = Vec::new();
    for node in form.list(list) {
        form.entries(node, "a check piece", &["piece", "on", "set", "drop", "reads", "subject"]);
        let spec = match (form.tree.get(node, "piece"), form.tree.get(node, "on")) {
            (Some(piece), None) => piece,
            (None, Some(on)) => {
                let Some(name) = form.text(on) else { continue };
                match stock.iter().find(|(s, n, _)| **s == *system && **n == *name) {
                    Some((_, _, spec)) => *spec,
                    None => {
                        let known = stock.iter().filter(|(s, ..)| **s == *system).map(|(_, n, _)| &**n);
                        let nearest = crate::terms::nearest(name, known).map(str::to_string);
                        let span = form.span(on);
                        form.error(RulebookProblem::Unknown { what: "stock spec", name: name.into(), nearest }, span);
                        continue;
                    }
                }
            }
            _ => {
                form.form_error(node, "either `piece` or `on`");
                continue;
            }
        };
        let set = form.tree.get(node, "set").and_then(|n| form.tree.entries(n)).unwrap_or_default();
        let set = set.iter().map(|e| ((*e.key).into(), e.value)).collect();
        let dropped = form.tree.get(node, "drop").map_or(Vec::new(), |n| form.list(n));
        let drop = dropped.into_iter().filter_map(|n| form.text(n)).map(Into::into).collect();
        let Some(reads_node) = form.need(node, "a check piece", "reads") else { continue };
        let Some(words) = form.text(reads_node) else { continue };
        let Some(reads) = Reads::named(words) else {
            form.form_error(reads_node, "a class, `holds`, `unmeasured`, `unproven`, `beyond` or `not applicable`");
            continue;
        };
        let subject = form.maybe_text(node, "subject").map(Into::into);
        let place = form.span(node);
        pieces.push(CheckPiece { spec, set, drop, subject, reads, place });
    }
    pieces
}

/// The build that a check piece describes, ready to be held against the terms; an error names a path of `set` or `drop` that
/// leads nowhere.
///
/// # Errors
/// The path.
pub fn build_of(piece: &CheckPiece, tree: &Tree, texts: &Sources) -> Result<ReadBuild, String> {
    let mut made = Tree::new();
    let mut top = copy(tree, piece.spec);
    for path in &piece.drop {
        if !top.take(&steps(path)) {
            return Err(path.to_string());
        }
    }
    for (path, value) in &piece.set {
        if !top.put(&steps(path), copy(tree, *value)) {
            return Err(path.to_string());
        }
    }
    let root = top.plant(&mut made);
    if made.entries(root).is_none() {
        return Err(String::new());
    }
    made.set_root(root);
    Ok(ReadBuild {
        sources: texts.clone(),
        tree: made,
        root: Some(root),
        sections: Vec::new(),
        parts: Parts::default(),
        errors: Vec::new(),
    })
}

/// A tree that can be changed, with places.
struct Twig {
    span: Span,
    held: Inside,
}

enum Inside {
    Scalar(Scalar),
    List(Vec<Twig>),
    Map(Vec<(Box<str>, Span, Twig)>),
}

enum Step<'a> {
    Key(&'a str),
    Item(&'a str),
}

/// The steps of a path: `fuel.pumps/main.inlet_height`.
fn steps(path: &str) -> Vec<Step<'_>> {
    let mut out = Vec::new();
    let mut rest = path;
    let mut item = false;
    while !rest.is_empty() {
        let end = rest.find(['.', '/']).unwrap_or(rest.len());
        out.push(if item { Step::Item(&rest[..end]) } else { Step::Key(&rest[..end]) });
        item = rest[end..].starts_with('/');
        rest = rest.get(end + 1..).unwrap_or("");
    }
    out
}

fn copy(tree: &Tree, node: NodeId) -> Twig {
    let found = tree.node(node);
    let held = match &found.content {
        Content::Scalar(scalar) => Inside::Scalar(scalar.clone()),
        Content::List(items) => Inside::List(items.iter().map(|i| copy(tree, *i)).collect()),
        Content::Map(entries) => {
            Inside::Map(entries.iter().map(|e| ((*e.key).into(), e.key_span, copy(tree, e.value))).collect())
        }
    };
    Twig { span: found.span, held }
}

impl Twig {
    fn empty(span: Span) -> Twig {
        Twig { span, held: Inside::Map(Vec::new()) }
    }

    /// Whether this is the item of that name or number.
    fn is_item(&self, name: &str, at: usize) -> bool {
        let named = match &self.held {
            Inside::Map(entries) => {
                matches!(entries.first(), Some((_, _, Twig { held: Inside::Scalar(s), .. })) if *s.text == *name)
            }
            _ => false,
        };
        named || name.parse() == Ok(at + 1)
    }

    fn put(&mut self, steps: &[Step], value: Twig) -> bool {
        let Some((step, rest)) = steps.split_first() else {
            *self = value;
            return true;
        };
        match (step, &mut self.held) {
            (Step::Key(key), Inside::Map(entries)) => {
                if let Some((_, _, found)) = entries.iter_mut().find(|e| *e.0 == **key) {
                    return found.put(rest, value);
                }
                let mut made = Twig::empty(value.span);
                let span = value.span;
                let done = made.put(rest, value);
                entries.push(((*key).into(), span, made));
                done
            }
            // `none` or nothing gives way to what is put below it.
            (Step::Key(_), Inside::Scalar(_)) => {
                *self = Twig::empty(self.span);
                self.put(steps, value)
            }
            (Step::Item(name), Inside::List(items)) => {
                match items.iter_mut().enumerate().find(|(i, item)| item.is_item(name, *i)) {
                    Some((_, item)) => item.put(rest, value),
                    None => false,
                }
            }
            _ => false,
        }
    }

    fn take(&mut self, steps: &[Step]) -> bool {
        let Some((step, rest)) = steps.split_first() else { return false };
        match (step, &mut self.held) {
            (Step::Key(key), Inside::Map(entries)) => {
                let Some(at) = entries.iter().position(|e| *e.0 == **key) else { return false };
                if rest.is_empty() {
                    entries.remove(at);
                    return true;
                }
                entries[at].2.take(rest)
            }
            (Step::Item(name), Inside::List(items)) => {
                let Some(at) = items.iter().enumerate().position(|(i, item)| item.is_item(name, i)) else {
                    return false;
                };
                if rest.is_empty() {
                    items.remove(at);
                    return true;
                }
                items[at].take(rest)
            }
            _ => false,
        }
    }

    fn plant(self, tree: &mut Tree) -> NodeId {
        let content = match self.held {
            Inside::Scalar(scalar) => Content::Scalar(scalar),
            Inside::List(items) => Content::List(items.into_iter().map(|i| i.plant(tree)).collect()),
            Inside::Map(entries) => Content::Map(
                entries
                    .into_iter()
                    .map(|(key, key_span, value)| Entry {
                        key: key.into_string().into(),
                        key_span,
                        value: value.plant(tree),
                    })
                    .collect(),
            ),
        };
        tree.push(self.span, content)
    }
}
