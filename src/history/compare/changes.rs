//! What changed between two specs: values, things that came and went, and the order where it says something.
//!
//! In come two specs with their [`Pairs`]; out come [`Change`]s in the order of the newer spec. A change of unit alone is none, and
//! what is only known otherwise than before is told apart from what is another value.

use super::content::{leaves, same_knowledge, same_value, text_of};
use super::order::reordered;
use super::pairs::{Pairs, items, list_type};
use crate::assess::shown;
use crate::quantity::{self, Dimension, Kind};
use crate::source::Span;
use crate::terms::{Held, ListId, PlaceId, Setting, Spec, SpecQuantity};
use std::collections::BTreeSet;

/// Top-level keys that say nothing of the car: where the rest of the spec stands, and what is looked at by itself.
const ASIDE: [&str; 3] = ["tramgauge", "sections", "concessions"];

/// How something changed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Manner {
    /// Another value.
    Value,
    /// There is more of it now.
    Added,
    /// It is there no more.
    Removed,
    /// Another order, where the order says something.
    Reordered,
    /// The same value, known in another way, on another day or with another uncertainty.
    Known,
}

/// One side of a change.
#[derive(Debug, Clone, PartialEq)]
pub struct Side {
    /// What stands there, with how it is known where that is said.
    pub shown: String,
    /// A quantity in the unit of the other side, where that is another.
    pub in_other_unit: Option<String>,
    /// Where it stands; of what is not written, what it would stand in.
    pub span: Span,
}

/// One change.
#[derive(Debug, Clone, PartialEq)]
pub struct Change {
    /// How it changed.
    pub manner: Manner,
    /// Its path in the newer spec; in the older one if it is gone.
    pub path: String,
    /// Its path in the older spec, where that is another.
    pub old_path: Option<String>,
    /// How it was; nothing for an item that was not there.
    pub old: Option<Side>,
    /// How it is; nothing for an item that is not there.
    pub new: Option<Side>,
    /// By how much a quantity changed, with its unit.
    pub difference: Option<String>,
    /// What is said in a thing that came or went: path from there, and value.
    pub contents: Vec<(String, String)>,
    pub(super) at: (Option<PlaceId>, Option<PlaceId>),
}

/// All changes, and what is none.
#[derive(Debug, Clone, Default)]
pub(super) struct Changes {
    pub changes: Vec<Change>,
    /// Things under a new name: path before and now.
    pub renamed: Vec<(String, String)>,
    /// Places of the older spec whose value is written in another unit and is the same.
    pub units: Vec<PlaceId>,
}

/// Finds what changed.
pub(super) fn changes(old: &Spec, new: &Spec, pairs: &Pairs, ordered: &BTreeSet<ListId>) -> Changes {
    let mut walk = Walk { old, new, pairs, ordered, found: Changes::default() };
    walk.pair(old.root(), new.root());
    walk.found
}

struct Walk<'a> {
    old: &'a Spec,
    new: &'a Spec,
    pairs: &'a Pairs,
    ordered: &'a BTreeSet<ListId>,
    found: Changes,
}

impl Walk<'_> {
    fn pair(&mut self, old: PlaceId, new: PlaceId) {
        let (was, is) = (self.old.held(old), self.new.held(new));
        match (was, is) {
            (Held::Record { ty, first }, Held::Record { ty: other, first: new_first }) if ty == other => {
                self.record(*ty, first.0, new_first.0, old == self.old.root());
            }
            (Held::List { .. }, Held::List { .. }) => self.list(old, new),
            (Held::Point { first }, Held::Point { first: new_first }) => {
                for axis in 0..3 {
                    self.pair(PlaceId(first.0 + axis), PlaceId(new_first.0 + axis));
                }
            }
            (Held::Quantity(a), Held::Quantity(b)) => self.quantity(old, new, a, b),
            _ if self.same(old, new) => {}
            (_, Held::Record { .. } | Held::List { .. }) => {
                self.push(Manner::Added, Some(old), Some(new), None);
            }
            (Held::Record { .. } | Held::List { .. }, _) => {
                self.push(Manner::Removed, Some(old), Some(new), None);
            }
            _ => self.push(Manner::Value, Some(old), Some(new), None),
        }
    }

    fn record(&mut self, ty: crate::terms::RecordId, first: u32, new_first: u32, top: bool) {
        let types = self.old.types().clone();
        let record = types.record(ty);
        for (slot, field) in record.fields.iter().enumerate() {
            let name = record.naming.is_some_and(|naming| usize::from(naming.0) == slot);
            if name || (top && ASIDE.contains(&&*field.name)) {
                continue;
            }
            let (old, new) = (PlaceId(first + slot as u32), PlaceId(new_first + slot as u32));
            self.pair(old, new);
            self.settings(old, new);
        }
    }

    /// What a load case or a try puts in, by what it stands in for.
    fn settings(&mut self, old: PlaceId, new: PlaceId) {
        let (olds, news) = (self.old.settings(old), self.new.settings(new));
        let same = |was: &Setting, is: &Setting| self.pairs.newer(was.target) == Some(is.target);
        let before = |is: &Setting| olds.iter().find(|was| same(was, is)).map(|was| was.value);
        let both: Vec<_> = news.iter().map(|is| (before(is), is.value)).collect();
        let gone: Vec<_> =
            olds.iter().filter(|was| !news.iter().any(|is| same(was, is))).map(|was| was.value).collect();
        for (was, is) in both {
            match was {
                Some(was) => self.pair(was, is),
                None => self.push(Manner::Added, None, Some(is), None),
            }
        }
        for was in gone {
            self.push(Manner::Removed, Some(was), None, None);
        }
    }

    fn list(&mut self, old: PlaceId, new: PlaceId) {
        let (olds, news) = (items(self.old, old), items(self.new, new));
        let mut order = Vec::new();
        for item in &news {
            match self.pairs.older(*item) {
                Some(was) => {
                    order.extend(olds.iter().position(|o| *o == was));
                    if self.old.name(was) != self.new.name(*item) {
                        self.found.renamed.push((self.old.path(was), self.new.path(*item)));
                    }
                    self.pair(was, *item);
                }
                None => self.push(Manner::Added, None, Some(*item), None),
            }
        }
        for item in olds {
            if self.pairs.newer(item).is_none() {
                self.push(Manner::Removed, Some(item), None, None);
            }
        }
        if let Some(ty) = list_type(self.new, new)
            && self.ordered.contains(&ty)
            && reordered(&order, self.new.types().list(ty).ring)
        {
            self.push(Manner::Reordered, Some(old), Some(new), None);
        }
    }

    fn quantity(&mut self, old: PlaceId, new: PlaceId, was: &SpecQuantity, is: &SpecQuantity) {
        if !same_value(was, is) {
            let step = step_of(is.kind.into());
            let difference = quantity::show(is.si - was.si, step, Some(is.unit), None);
            self.push(Manner::Value, Some(old), Some(new), Some(signed(&difference, is.si - was.si)));
        } else if !same_knowledge(was, is) {
            self.push(Manner::Known, Some(old), Some(new), None);
        } else if was.unit != is.unit {
            self.found.units.push(old);
        }
    }

    /// Whether two values that are no quantities are the same.
    fn same(&self, old: PlaceId, new: PlaceId) -> bool {
        match (self.old.held(old), self.new.held(new)) {
            (Held::Unwritten, Held::Unwritten) | (Held::None, Held::None) => true,
            (Held::Unreadable, Held::Unreadable) => {
                text_of(self.old, self.old.place(old).span) == text_of(self.new, self.new.place(new).span)
            }
            (Held::Text(a), Held::Text(b)) => a == b,
            (Held::Choice(a), Held::Choice(b)) => a == b,
            (Held::YesNo(a), Held::YesNo(b)) => a == b,
            (Held::Date(a), Held::Date(b)) => a == b,
            (Held::Designation(a), Held::Designation(b)) => a.to_string() == b.to_string(),
            (Held::Reference(a), Held::Reference(b)) => self.pairs.newer(*a) == Some(*b),
            _ => false,
        }
    }

    fn push(&mut self, manner: Manner, old: Option<PlaceId>, new: Option<PlaceId>, difference: Option<String>) {
        let paths = (old.map(|p| self.old.path(p)), new.map(|p| self.new.path(p)));
        let (path, old_path) = match paths {
            (old, Some(new)) => (new.clone(), old.filter(|old| *old != new)),
            (old, None) => (old.unwrap_or_default(), None),
        };
        let units = |spec: &Spec, place: Option<PlaceId>| match place.map(|p| spec.held(p)) {
            Some(Held::Quantity(q)) => Some(q.unit),
            _ => None,
        };
        let (old_unit, new_unit) = (units(self.old, old), units(self.new, new));
        let contents = match (manner, old, new) {
            (Manner::Added, _, Some(new)) => contents(self.new, new),
            (Manner::Removed, Some(old), _) => contents(self.old, old),
            _ => Vec::new(),
        };
        self.found.changes.push(Change {
            manner,
            path,
            old_path,
            old: old.map(|p| side(self.old, p, new_unit)),
            new: new.map(|p| side(self.new, p, old_unit)),
            difference,
            contents,
            at: (old, new),
        });
    }
}

/// A number shown with its sign also where that is plus.
pub(super) fn signed(shown: &str, si: f64) -> String {
    if si > 0.0 { format!("+{shown}") } else { shown.to_string() }
}

/// The dimension of a difference of two such values.
pub(super) fn step_of(dimension: Dimension) -> Dimension {
    dimension.kind.and_then(Kind::difference).map_or(dimension, Dimension::from)
}

fn side(spec: &Spec, place: PlaceId, other: Option<quantity::UnitId>) -> Side {
    let span = spec.place(place).span;
    let Held::Quantity(q) = spec.held(place) else {
        let words = match spec.held(place) {
            Held::List { items, .. } => listed(spec, items),
            Held::Record { .. } => counted(leaves(spec, place).len(), "value"),
            Held::Unreadable => format!("unreadable: {}", text_of(spec, span)),
            _ => shown(spec, place),
        };
        return Side { shown: words, in_other_unit: None, span };
    };
    let mut words = shown(spec, place);
    let known = [q.known_by.map(|k| k.word().to_string()), q.taken.map(|day| day.to_string())];
    let known: Vec<String> = known.into_iter().flatten().collect();
    if !known.is_empty() {
        words = format!("{words} ({})", known.join(" "));
    }
    let in_other_unit =
        other.filter(|unit| *unit != q.unit).map(|unit| quantity::show(q.si, q.kind.into(), Some(unit), None));
    Side { shown: words, in_other_unit, span }
}

/// The items of a list in a few words.
fn listed(spec: &Spec, items: &[PlaceId]) -> String {
    let word = |item: &PlaceId| match spec.name(*item) {
        Some(name) => name.to_string(),
        None => shown(spec, *item),
    };
    let words: Vec<String> = items.iter().map(word).collect();
    if words.iter().any(String::is_empty) { counted(items.len(), "item") } else { words.join(", ") }
}

fn counted(n: usize, what: &str) -> String {
    if n == 1 { format!("1 {what}") } else { format!("{n} {what}s") }
}

fn contents(spec: &Spec, place: PlaceId) -> Vec<(String, String)> {
    leaves(spec, place).into_iter().map(|(path, value)| (path, side(spec, value, None).shown)).collect()
}
