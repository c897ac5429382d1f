//! What a file says, without places: the measure by which a change is proven to have changed just what it should.

use super::super::tree::{Content, NodeId, ScalarStyle, Tree};
use super::{EditStep, NewValue};

/// A value without its place; aliases are followed.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Outline {
    Scalar {
        text: Box<str>,
        /// Whether it stands bare; open for text that was put in, which is quoted or not as YAML needs.
        plain: Option<bool>,
    },
    List(Vec<Outline>),
    /// Entries in the order of their keys.
    Map(Vec<(Box<str>, Outline)>),
}

impl Outline {
    pub(super) fn of(tree: &Tree, root: Option<NodeId>) -> Outline {
        root.map_or(Outline::Map(Vec::new()), |root| Outline::node(tree, root))
    }

    fn node(tree: &Tree, id: NodeId) -> Outline {
        match &tree.node(id).content {
            Content::Scalar(scalar) => {
                Outline::Scalar { text: (*scalar.text).into(), plain: Some(scalar.style == ScalarStyle::Plain) }
            }
            Content::List(items) => Outline::List(items.iter().map(|item| Outline::node(tree, *item)).collect()),
            Content::Map(entries) => {
                let entry = |entry: &super::super::tree::Entry| ((*entry.key).into(), Outline::node(tree, entry.value));
                Outline::map(entries.iter().map(entry).collect())
            }
        }
    }

    fn map(mut entries: Vec<(Box<str>, Outline)>) -> Outline {
        entries.sort_by(|a, b| a.0.cmp(&b.0));
        Outline::Map(entries)
    }

    fn new(value: &NewValue) -> Outline {
        match value {
            NewValue::Plain(text) => Outline::Scalar { text: text.as_str().into(), plain: Some(true) },
            NewValue::Text(text) => Outline::text(text),
            NewValue::List(items) => Outline::List(items.iter().map(Outline::new).collect()),
            NewValue::Map(entries) => {
                Outline::map(entries.iter().map(|(key, value)| (key.as_str().into(), Outline::new(value))).collect())
            }
        }
    }

    fn text(text: &str) -> Outline {
        Outline::Scalar { text: text.into(), plain: None }
    }

    fn is_unwritten(&self) -> bool {
        matches!(self, Outline::Scalar { text, plain: Some(true) } if text.is_empty())
    }

    /// Puts a value at a path; nothing where something of another form stands in the way.
    pub(super) fn put(&mut self, path: &[EditStep], value: &NewValue) -> Option<()> {
        let Some((step, rest)) = path.split_first() else {
            *self = Outline::new(value);
            return Some(());
        };
        match step {
            EditStep::Key { key, .. } => {
                if self.is_unwritten() {
                    *self = Outline::Map(Vec::new());
                }
                let Outline::Map(entries) = self else { return None };
                let at = match entries.binary_search_by(|entry| (*entry.0).cmp(key)) {
                    Ok(at) => at,
                    Err(at) => {
                        entries.insert(at, (key.as_str().into(), Outline::unwritten()));
                        at
                    }
                };
                entries.get_mut(at)?.1.put(rest, value)
            }
            EditStep::Item { naming, name } => {
                if self.is_unwritten() {
                    *self = Outline::List(Vec::new());
                }
                let Outline::List(items) = self else { return None };
                let at = items.iter().position(|item| item.is_named(naming, name)).unwrap_or(items.len());
                if at == items.len() {
                    items.push(Outline::Map(vec![(naming.as_str().into(), Outline::text(name))]));
                }
                items.get_mut(at)?.put_in_item(rest, value)
            }
            EditStep::At(index) => {
                let Outline::List(items) = self else { return None };
                items.get_mut(*index)?.put(rest, value)
            }
        }
    }

    /// A value put at the item itself adds its keys to the one that names it.
    fn put_in_item(&mut self, rest: &[EditStep], value: &NewValue) -> Option<()> {
        match (rest, value, &mut *self) {
            ([], NewValue::Map(more), Outline::Map(entries)) => {
                entries.extend(more.iter().map(|(key, value)| (key.as_str().into(), Outline::new(value))));
                entries.sort_by(|a, b| a.0.cmp(&b.0));
                Some(())
            }
            ([], ..) => None,
            _ => self.put(rest, value),
        }
    }

    fn unwritten() -> Outline {
        Outline::Scalar { text: "".into(), plain: Some(true) }
    }

    fn is_named(&self, naming: &str, name: &str) -> bool {
        let Outline::Map(entries) = self else { return false };
        let named = |entry: &(Box<str>, Outline)| {
            *entry.0 == *naming && matches!(&entry.1, Outline::Scalar { text, .. } if **text == *name)
        };
        entries.iter().any(named)
    }

    /// Takes a key out; nothing where it is not written.
    pub(super) fn remove(&mut self, path: &[EditStep]) -> Option<()> {
        let (step, rest) = path.split_first()?;
        match (step, &mut *self) {
            (EditStep::Key { key, .. }, Outline::Map(entries)) => {
                let at = entries.iter().position(|entry| *entry.0 == **key)?;
                if rest.is_empty() {
                    entries.remove(at);
                    return Some(());
                }
                entries.get_mut(at)?.1.remove(rest)
            }
            (EditStep::Item { naming, name }, Outline::List(items)) => {
                items.iter_mut().find(|item| item.is_named(naming, name))?.remove(rest)
            }
            (EditStep::At(index), Outline::List(items)) => items.get_mut(*index)?.remove(rest),
            _ => None,
        }
    }

    /// Whether a file says just this.
    pub(super) fn is_said_by(&self, found: &Outline) -> bool {
        match (self, found) {
            (Outline::Scalar { text, plain }, Outline::Scalar { text: said, plain: bare }) => {
                text == said && (plain.is_none() || plain == bare)
            }
            (Outline::List(items), Outline::List(said)) => {
                items.len() == said.len() && items.iter().zip(said).all(|(item, said)| item.is_said_by(said))
            }
            (Outline::Map(entries), Outline::Map(said)) => {
                entries.len() == said.len()
                    && entries.iter().zip(said).all(|(entry, said)| entry.0 == said.0 && entry.1.is_said_by(&said.1))
            }
            _ => false,
        }
    }
}
