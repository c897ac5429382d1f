//! Makes the checked tree: walks the located tree along the types and gives every value, and every gap, its place.
//!
//! It trusts nothing that validation has not passed, and reports nothing that validation has reported; what it adds is what
//! needs the whole tree: references, and names that are given twice.

use std::sync::Arc;

use super::check::{Checked, check, kind_of};
use super::error::{TermsError, TermsProblem};
use super::in_force::Terms;
use super::keywords::NONE;
use super::nearest::nearest;
use super::node::{Form, form_of};
use super::spec::{Held, KnownBy, Place, PlaceId, Spec, SpecQuantity, Step, Users, date_of};
use super::types::{FieldType, ListId, ListMembers, RecordId, Slot, Types};
use crate::quantity::{Designation, Kind, Written, parse};
use crate::source::{Content, Entry, NodeId, ReadBuild, Scalar, Span, Tree};

/// Reads a build against the terms. What a value's file could not say well is in `read.errors`, which the caller keeps;
/// what the terms do not allow is given here, all at once, in the order of places. Whatever is wrong, the rest is read.
pub fn build_spec(terms: &Terms, read: ReadBuild) -> (Spec, Vec<TermsError>) {
    let ReadBuild { sources, tree, root, .. } = read;
    let types = terms.types().clone();
    let mut places = Vec::with_capacity(tree.len() * 2);
    let top = tree.node(root.unwrap_or(tree.root())).span;
    places.push(Place { span: top, key_span: None, parent: None, at: Step::Root, held: Held::Unreadable });
    let Some(root) = root else {
        return (Spec { sources, types, places, users: Users::default() }, Vec::new());
    };
    let checked = match terms.validator() {
        Ok(validator) => check(&types, validator, &sources, &tree, root),
        Err(message) => {
            let problem = TermsProblem::Refused { message: message.as_str().into() };
            return (
                Spec { sources, types, places, users: Users::default() },
                vec![TermsError { problem, span: top, other: None }],
            );
        }
    };
    let mut reader = Reader { types: &types, tree: &tree, checked, places, names: Vec::new(), references: Vec::new() };
    reader.record(PlaceId(0), types.root(), root, Span { end: top.start, ..top });
    reader.names.sort_by(|a, b| (a.0, a.1, a.2).cmp(&(b.0, b.1, b.2)));
    let users = reader.resolve();
    let (mut errors, places) = (reader.checked.errors, reader.places);
    errors.sort_by_key(|error| (error.span.file, error.span.start, error.span.end));
    (Spec { sources, types, places, users }, errors)
}

struct Reader<'a> {
    types: &'a Arc<Types>,
    tree: &'a Tree,
    checked: Checked,
    places: Vec<Place>,
    /// The list type, name and place of every named item.
    names: Vec<(ListId, &'a str, PlaceId)>,
    references: Vec<(PlaceId, ListId, NodeId)>,
}

impl<'a> Reader<'a> {
    fn new_place(&mut self, span: Span, parent: PlaceId, at: Step) -> PlaceId {
        let id = PlaceId(self.places.len() as u32);
        self.places.push(Place { span, key_span: None, parent: Some(parent), at, held: Held::Unwritten });
        id
    }

    fn hold(&mut self, place: PlaceId, held: Held) {
        if let Some(place) = self.places.get_mut(place.0 as usize) {
            place.held = held;
        }
    }

    /// Leaves the place unreadable, and sees to it that some error says so.
    fn refuse(&mut self, place: PlaceId, node: NodeId) {
        self.hold(place, Held::Unreadable);
        if self.checked.refused.insert(node) {
            let problem = TermsProblem::Refused { message: "it cannot be read".into() };
            self.checked.errors.push(TermsError { problem, span: self.tree.node(node).span, other: None });
        }
    }

    /// Reads a record. `label` is the place that stands for it where one of its keys is not written.
    fn record(&mut self, place: PlaceId, ty: RecordId, node: NodeId, label: Span) {
        let Some(entries) = self.tree.entries(node) else { return self.refuse(place, node) };
        let types = self.types;
        let record = types.record(ty);
        let first = PlaceId(self.places.len() as u32);
        for slot in 0..record.fields.len() {
            self.new_place(label, place, Step::Key(Slot(slot as u16)));
        }
        self.hold(place, Held::Record { ty, first });
        // Keys are mostly written in the order of the schema, so the search starts behind the last one found.
        let mut next = 0usize;
        for entry in entries {
            let guess = record.fields.get(next).filter(|field| field.name == entry.key).map(|_| Slot(next as u16));
            let Some(slot) = guess.or_else(|| record.slot(&entry.key)) else { continue };
            next = usize::from(slot.0) + 1;
            let Some(field) = record.field(slot) else { continue };
            let place = PlaceId(first.0 + u32::from(slot.0));
            if let Some(place) = self.places.get_mut(place.0 as usize) {
                place.span = self.tree.node(entry.value).span;
                place.key_span = Some(entry.key_span);
            }
            self.value(place, &field.ty, entry.value, entry.key_span);
        }
    }

    fn value(&mut self, place: PlaceId, ty: &'a FieldType, node: NodeId, label: Span) {
        match (&self.tree.node(node).content, ty) {
            (Content::Scalar(scalar), _) => {
                let held = if &*scalar.text == NONE { Some(Held::None) } else { self.scalar(place, ty, node, scalar) };
                match held {
                    Some(held) => self.hold(place, held),
                    None => self.refuse(place, node),
                }
            }
            (Content::Map(_), FieldType::Record(record)) => self.record(place, *record, node, label),
            (Content::Map(entries), FieldType::Quantity(kind)) => match self.long_form(*kind, entries) {
                Some(held) => self.hold(place, held),
                // The error stands at the part that did not pass.
                None if entries.iter().any(|entry| self.checked.refused.contains(&entry.value)) => {
                    self.hold(place, Held::Unreadable)
                }
                None => self.refuse(place, node),
            },
            (Content::List(items), FieldType::List(list)) => self.list(place, *list, items),
            (Content::List(items), FieldType::Point) => self.point(place, node, items),
            _ => self.refuse(place, node),
        }
    }

    /// What a scalar other than `none` holds; nothing if it cannot be read as what belongs there.
    fn scalar(&mut self, place: PlaceId, ty: &FieldType, node: NodeId, scalar: &Scalar) -> Option<Held> {
        let form = form_of(scalar);
        if let (FieldType::YesNo, Form::YesNo(value)) = (ty, form) {
            return Some(Held::YesNo(value));
        }
        let text = match form {
            Form::Text | Form::Number => &*scalar.text,
            // Words that a validator without our reading of plain scalars would take for yes and no.
            Form::Nothing | Form::YesNo(_) => return None,
        };
        Some(match ty {
            FieldType::Quantity(kind) => Held::Quantity(quantity(&self.written(node, *kind, text)?)),
            FieldType::Text if text.is_empty() => return None,
            FieldType::Text => Held::Text(text.into()),
            FieldType::Choice(choices) => Held::Choice(choices.iter().position(|choice| &**choice == text)? as u16),
            FieldType::YesNo if text == "yes" || text == "no" => Held::YesNo(text == "yes"),
            FieldType::Date => Held::Date(date_of(text)?),
            FieldType::Designation(kind) => Held::Designation(Box::new(Designation::read(text, *kind).ok()?)),
            FieldType::Reference(list) => {
                self.references.push((place, *list, node));
                Held::Unreadable
            }
            FieldType::YesNo | FieldType::Point | FieldType::Record(_) | FieldType::List(_) => return None,
        })
    }

    fn written(&self, node: NodeId, kind: Kind, text: &str) -> Option<Written> {
        let read = self.checked.quantities.get(node, kind).cloned();
        read.or_else(|| parse(text, kind).ok())
    }

    /// A quantity in its long form; one bad part leaves the whole unreadable.
    fn long_form(&mut self, kind: Kind, entries: &'a [Entry]) -> Option<Held> {
        let tree = self.tree;
        let text = |key: &str| -> Option<(NodeId, Option<&'a str>)> {
            let entry = entries.iter().find(|entry| &*entry.key == key)?;
            let scalar = tree.scalar(entry.value).filter(|scalar| matches!(form_of(scalar), Form::Text | Form::Number));
            Some((entry.value, scalar.map(|scalar| &*scalar.text)))
        };
        let (node, is) = text("is")?;
        let is = is?;
        if is == NONE {
            return Some(Held::None);
        }
        let mut quantity = quantity(&self.written(node, kind, is)?);
        if let Some((node, value)) = text("give_or_take")
            && value? != NONE
        {
            let difference = self.written(node, kind.difference().unwrap_or(kind), value?)?;
            if quantity.give_or_take.is_some() {
                let problem = TermsProblem::UncertaintyTwice;
                let (span, other) = (tree.node(node).span, None);
                self.checked.errors.push(TermsError { problem, span, other });
            }
            quantity.give_or_take = Some(difference.si.abs());
        }
        if let Some((_, value)) = text("known_by")
            && value? != NONE
        {
            quantity.known_by = Some(KnownBy::named(value?)?);
        }
        if let Some((_, value)) = text("taken")
            && value? != NONE
        {
            quantity.taken = Some(date_of(value?)?);
        }
        Some(Held::Quantity(quantity))
    }

    fn point(&mut self, place: PlaceId, node: NodeId, items: &[NodeId]) {
        if items.len() != 3 {
            return self.refuse(place, node);
        }
        let first = PlaceId(self.places.len() as u32);
        for (axis, item) in items.iter().enumerate() {
            self.new_place(self.tree.node(*item).span, place, Step::Axis(axis as u8));
        }
        self.hold(place, Held::Point { first });
        for (axis, item) in items.iter().enumerate() {
            self.value(
                PlaceId(first.0 + axis as u32),
                &FieldType::Quantity(Kind::Length),
                *item,
                self.tree.node(*item).span,
            );
        }
    }

    fn list(&mut self, place: PlaceId, list: ListId, items: &'a [NodeId]) {
        let types = self.types;
        let first = self.places.len() as u32;
        for (index, item) in items.iter().enumerate() {
            self.new_place(self.tree.node(*item).span, place, Step::Item(index as u32));
        }
        let ids = (first..first + items.len() as u32).map(PlaceId);
        self.hold(place, Held::List { ty: list, items: ids.clone().collect() });
        let named = self.names.len();
        for (item, node) in ids.zip(items) {
            match &types.list(list).members {
                ListMembers::Values(ty) => self.value(item, ty, *node, self.tree.node(*node).span),
                ListMembers::Records(records) => self.item(item, list, records, *node),
            }
        }
        self.duplicates(named, place);
    }

    fn item(&mut self, place: PlaceId, list: ListId, records: &[RecordId], node: NodeId) {
        if self.tree.scalar(node).is_some_and(|scalar| &*scalar.text == NONE) {
            return self.hold(place, Held::None);
        }
        let record = match records {
            [only] => Some(*only),
            several => kind_of(self.types, self.tree, node, several),
        };
        let Some(record) = record else { return self.refuse(place, node) };
        let naming = self.types.record(record).naming.and_then(|slot| self.types.record(record).field(slot));
        let name = naming.and_then(|naming| self.tree.get(node, &naming.name));
        let label = self.tree.node(name.unwrap_or(node)).span;
        self.record(place, record, node, label);
        let name = name.and_then(|name| self.tree.scalar(name));
        if let Some(name) =
            name.filter(|name| matches!(form_of(name), Form::Text | Form::Number) && &*name.text != NONE)
        {
            self.names.push((list, &name.text, place));
        }
    }

    /// Reports names given twice among those put down for one list, which begin at `from`; the names of lists within its
    /// items stand between them.
    fn duplicates(&mut self, from: usize, list: PlaceId) {
        let own = |item: PlaceId| self.places.get(item.0 as usize).is_some_and(|place| place.parent == Some(list));
        let put_down = self.names.get(from..).unwrap_or_default();
        let mut named: Vec<(&str, PlaceId)> = put_down.iter().filter(|n| own(n.2)).map(|n| (n.1, n.2)).collect();
        named.sort_unstable();
        for pair in named.windows(2) {
            if let [(name, first), (same, second)] = pair
                && name == same
            {
                let problem = TermsProblem::DuplicateName { name: (*name).into() };
                let (span, other) = (self.label(*second), Some(self.label(*first)));
                self.checked.errors.push(TermsError { problem, span, other });
            }
        }
    }

    /// The place of an item's name.
    fn label(&self, item: PlaceId) -> Span {
        let Some(place) = self.places.get(item.0 as usize) else { return self.tree.node(self.tree.root()).span };
        let Held::Record { ty, first } = &place.held else { return place.span };
        let naming =
            self.types.record(*ty).naming.and_then(|slot| self.places.get(first.0 as usize + usize::from(slot.0)));
        naming.map_or(place.span, |name| name.span)
    }

    /// Follows all references, and notes who refers to what.
    fn resolve(&mut self) -> Users {
        let mut pairs = Vec::with_capacity(self.references.len());
        for (place, list, node) in std::mem::take(&mut self.references) {
            let Some(scalar) = self.tree.scalar(node) else { continue };
            match self.target(place, list, &scalar.text) {
                Some(item) => {
                    self.hold(place, Held::Reference(item));
                    pairs.extend(self.record_around(place).map(|user| (item, user)));
                }
                None => self.dangling(list, node, &scalar.text),
            }
        }
        pairs.sort_unstable();
        pairs.dedup();
        let mut users = Users::default();
        for (item, user) in pairs {
            let end = users.all.len() as u32;
            match users.items.last_mut() {
                Some((last, range)) if *last == item => range.end = end + 1,
                _ => users.items.push((item, end..end + 1)),
            }
            users.all.push(user);
        }
        users
    }

    /// The item of that name: of several lists of the type, the one in the nearest common record; then the first.
    fn target(&self, from: PlaceId, list: ListId, name: &str) -> Option<PlaceId> {
        let start = self.names.partition_point(|n| (n.0, n.1) < (list, name));
        let same =
            self.names.get(start..).unwrap_or_default().iter().take_while(|n| (n.0, n.1) == (list, name)).map(|n| n.2);
        let mut same = same.peekable();
        let first = same.next()?;
        if same.peek().is_none() {
            return Some(first);
        }
        let around: Vec<PlaceId> = self.ancestors(from).collect();
        let common = |item: PlaceId| {
            self.ancestors(item).find_map(|a| around.iter().position(|b| *b == a)).unwrap_or(usize::MAX)
        };
        std::iter::once(first).chain(same).min_by_key(|item| (common(*item), *item))
    }

    fn ancestors(&self, place: PlaceId) -> impl Iterator<Item = PlaceId> {
        std::iter::successors(Some(place), |at| self.places.get(at.0 as usize)?.parent)
    }

    fn record_around(&self, place: PlaceId) -> Option<PlaceId> {
        self.ancestors(place)
            .skip(1)
            .find(|at| matches!(self.places.get(at.0 as usize).map(|p| &p.held), Some(Held::Record { .. })))
    }

    fn dangling(&mut self, list: ListId, node: NodeId, name: &str) {
        // Enough for any real build, and a bound on the work that a hostile one can ask for.
        const MOST: usize = 200;
        let start = self.names.partition_point(|n| n.0 < list);
        let names = self.names.get(start..).unwrap_or_default().iter();
        let mut known: Vec<&str> = names.take_while(|n| n.0 == list).map(|n| n.1).take(MOST).collect();
        known.dedup();
        let problem = TermsProblem::Dangling {
            name: name.into(),
            list: self.types.list(list).path.clone(),
            nearest: nearest(name, known.iter().copied()).map(Box::from),
            known: known.into_iter().map(Box::from).collect(),
        };
        if self.checked.refused.insert(node) {
            self.checked.errors.push(TermsError { problem, span: self.tree.node(node).span, other: None });
        }
    }
}

fn quantity(written: &Written) -> SpecQuantity {
    SpecQuantity { si: written.si, give_or_take: written.give_or_take, unit: written.unit, known_by: None, taken: None }
}
