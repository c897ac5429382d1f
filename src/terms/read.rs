//! Makes the checked tree: walks the located tree along the types and gives every value, and every gap, its place.
//!
//! It takes only what is right in every detail. Where anything is not, the schema validator is asked what and why; a build
//! without faults is thus spared the compiling of the schema, which costs more than everything else. That the two agree is
//! asserted on every build that a debug build reads, and by a property test. What needs the whole tree (references, names
//! that are given twice) is found here alone.

use std::sync::Arc;

use super::bundle::{LONG_FORM, is_number};
use super::check::{check, kind_of};
use super::error::{TermsError, TermsProblem};
use super::evidence::{EVIDENCE, EvidenceFile, is_sha256};
use super::in_force::Terms;
use super::keywords::NONE;
use super::lay::{CHANGED_KEY, lay};
use super::nearest::nearest;
use super::node::{Form, form_of};
use super::settings::put_in;
use super::spec::{Held, KnownBy, Noted, Place, PlaceId, Spec, SpecQuantity, Step, Users, date_of};
use super::stale::stale;
use super::types::{FieldType, ListId, ListMembers, RecordId, Slot, Types};
use crate::quantity::{Designation, Kind, Written, parse};
use crate::source::{
    Content, Entry, NodeId, PART_KEY, Parts, ReadBuild, Scalar, SharedText, Sources, Span, Tree, names_a_sheet,
};

/// Reads a build against the terms. What a value's file could not say well is in `read.errors`, which the caller keeps;
/// what the terms do not allow is given here, all at once, in the order of places. Whatever is wrong, the rest is read.
pub fn build_spec(terms: &Terms, read: ReadBuild) -> (Spec, Vec<TermsError>) {
    let ReadBuild { sources, mut tree, root, parts: sheets, .. } = read;
    let types = terms.types().clone();
    let mut places = Vec::with_capacity(tree.len() * 2);
    let root = root.map(|root| lay(&types, &mut tree, root, &sheets));
    let top = tree.node(root.unwrap_or(tree.root())).span;
    places.push(Place { span: top, key_span: None, parent: None, at: Step::Root, held: Held::Unreadable });
    let noted = Noted { sheets, ..Noted::default() };
    let Some(root) = root else {
        let own = places.len();
        let (users, stale, settings) = (Users::default(), Box::default(), Vec::new());
        let spec = Spec { sources, types, places, users, stale, noted, settings, own };
        return (spec, Vec::new());
    };
    let mut reader = Reader {
        types: &types,
        tree: &tree,
        places,
        names: Vec::new(),
        references: Vec::new(),
        errors: Vec::new(),
        refused: Vec::new(),
        uncertain: Vec::new(),
        noted,
        faulty: false,
        settings: Vec::new(),
    };
    reader.record(PlaceId(0), types.root(), root, Span { end: top.start, ..top });
    reader.names.sort_unstable();
    let users = reader.resolve();
    let own = reader.places.len();
    let settings = if reader.settings.is_empty() { Vec::new() } else { put_in(&mut reader, &sources) };
    if reader.faulty || cfg!(debug_assertions) {
        reader.explain(terms, &sources, root);
    }
    let (mut errors, places, mut noted) = (reader.errors, reader.places, reader.noted);
    noted.same = written_once(&places, reader.uncertain);
    errors.sort_by_key(|error| (error.span.file, error.span.start, error.span.end));
    if !noted.sheets.is_empty() {
        errors = told_once(errors, &noted.sheets);
    }
    noted.named.sort_unstable();
    noted.changed.sort_unstable();
    let mut spec = Spec { sources, types, places, users, stale: Box::default(), noted, settings, own };
    spec.stale = stale(&spec);
    (spec, errors)
}

pub(super) struct Reader<'a> {
    pub(super) types: &'a Arc<Types>,
    pub(super) tree: &'a Tree,
    pub(super) places: Vec<Place>,
    /// The list type, name and place of every named item.
    pub(super) names: Vec<(ListId, &'a str, PlaceId)>,
    pub(super) references: Vec<(PlaceId, ListId, NodeId)>,
    pub(super) errors: Vec<TermsError>,
    /// The values that could not be taken.
    pub(super) refused: Vec<NodeId>,
    pub(super) uncertain: Vec<PlaceId>,
    pub(super) noted: Noted,
    /// Whether anything was met that the schema does not allow.
    pub(super) faulty: bool,
    /// The records whose keys are paths, to be read when all places are known.
    pub(super) settings: Vec<(PlaceId, NodeId)>,
}

impl<'a> Reader<'a> {
    pub(super) fn new_place(&mut self, span: Span, parent: PlaceId, at: Step) -> PlaceId {
        let id = PlaceId(self.places.len() as u32);
        self.places.push(Place { span, key_span: None, parent: Some(parent), at, held: Held::Unwritten });
        id
    }

    pub(super) fn hold(&mut self, place: PlaceId, held: Held) {
        if let Some(place) = self.places.get_mut(place.0 as usize) {
            place.held = held;
        }
    }

    /// Holds a value, and notes it if it is uncertain.
    fn keep(&mut self, place: PlaceId, held: Held) {
        if matches!(&held, Held::Quantity(quantity) if quantity.give_or_take.is_some()) {
            self.uncertain.push(place);
        }
        self.hold(place, held);
    }

    /// Leaves the place unreadable.
    fn refuse(&mut self, place: PlaceId, node: NodeId) {
        self.hold(place, Held::Unreadable);
        self.refused.push(node);
        self.faulty = true;
    }

    /// Has the validator say what is wrong and why, and sees to it that something is said of every value that was not taken.
    fn explain(&mut self, terms: &Terms, sources: &Sources, root: NodeId) {
        let refused = |node: NodeId, message: &str| TermsError {
            problem: TermsProblem::Refused { message: message.into() },
            span: self.tree.node(node).span,
            other: None,
        };
        match terms.validator() {
            Ok(validator) => {
                let checked = check(self.types, validator, sources, self.tree, root, &self.noted.sheets);
                debug_assert_eq!(
                    self.faulty,
                    !checked.errors.is_empty(),
                    "reading and validation agree: {:?}",
                    checked.errors
                );
                // A quantity in its long form is refused for one of its parts.
                let part = |node: NodeId| {
                    self.tree.entries(node).unwrap_or_default().iter().any(|e| checked.refused.contains(&e.value))
                };
                let untold = self.refused.iter().filter(|node| !checked.refused.contains(node) && !part(**node));
                let untold: Vec<TermsError> = untold.map(|node| refused(*node, "it cannot be read")).collect();
                self.errors.extend(untold.into_iter().chain(checked.errors));
            }
            Err(message) => {
                let nodes = std::iter::once(&root).chain(&self.refused);
                let errors: Vec<TermsError> = nodes.map(|node| refused(*node, message)).collect();
                self.errors.extend(errors);
            }
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
        if record.stands_in {
            self.settings.push((place, node));
            return;
        }
        // Keys are mostly written in the order of the schema, so the search starts behind the last one found.
        let mut next = 0usize;
        for entry in entries {
            let guess = record.fields.get(next).filter(|field| *field.name == *entry.key).map(|_| Slot(next as u16));
            let Some(slot) = guess.or_else(|| record.slot(&entry.key)) else {
                if !(record.takes_part && self.of_part(place, entry)) {
                    self.faulty |= !record.open;
                }
                continue;
            };
            next = usize::from(slot.0) + 1;
            let Some(field) = record.field(slot) else { continue };
            let place = PlaceId(first.0 + u32::from(slot.0));
            if let Some(place) = self.places.get_mut(place.0 as usize) {
                place.span = self.tree.node(entry.value).span;
                place.key_span = Some(entry.key_span);
            }
            self.value(place, &field.ty, entry.value, entry.key_span);
        }
        let named = record.naming.is_none_or(|slot| {
            let name = self.places.get(first.0 as usize + usize::from(slot.0));
            name.is_some_and(|name| name.key_span.is_some())
        });
        self.faulty |= !named;
    }

    /// Reads a key which every record has that can have a data sheet; no if it is none, or cannot be read.
    fn of_part(&mut self, record: PlaceId, entry: &Entry) -> bool {
        let node = self.tree.node(entry.value);
        let text = self.tree.scalar(entry.value).filter(|s| form_of(s) == Form::Text).map(|s| &*s.text);
        match (&*entry.key, text) {
            (PART_KEY, Some(text)) if names_a_sheet(text) => self.noted.named.push((record, node.span)),
            (CHANGED_KEY, Some(text)) if text != NONE => {
                let Some(day) = date_of(text) else { return false };
                let place = self.new_place(node.span, record, Step::Changed);
                if let Some(place) = self.places.get_mut(place.0 as usize) {
                    place.key_span = Some(entry.key_span);
                }
                self.hold(place, Held::Date(day));
                self.noted.changed.push((record, place));
            }
            (PART_KEY | CHANGED_KEY, text) => return text == Some(NONE),
            _ => return false,
        }
        true
    }

    pub(super) fn value(&mut self, place: PlaceId, ty: &'a FieldType, node: NodeId, label: Span) {
        match (&self.tree.node(node).content, ty) {
            (Content::Scalar(scalar), _) => {
                let held = if &*scalar.text == NONE { Some(Held::None) } else { self.scalar(place, ty, node, scalar) };
                match held {
                    Some(held) => self.keep(place, held),
                    None => self.refuse(place, node),
                }
            }
            (Content::Map(_), FieldType::Record(record)) => self.record(place, *record, node, label),
            (Content::Map(entries), FieldType::Quantity(kind)) => match self.long_form(place, *kind, entries) {
                Some(held) => self.keep(place, held),
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
            FieldType::Quantity(kind) => Held::Quantity(quantity(&parse(text, *kind).ok()?, *kind)),
            FieldType::Text if text.is_empty() => return None,
            FieldType::Text => Held::Text(text.into()),
            FieldType::Choice(choices) => {
                let meant = |choice: &str| choice == text && is_number(choice) == (form == Form::Number);
                Held::Choice(choices.iter().position(|choice| meant(choice))? as u16)
            }
            FieldType::YesNo if text == "yes" || text == "no" => Held::YesNo(text == "yes"),
            FieldType::Date => Held::Date(date_of(text)?),
            FieldType::Designation(kind) => Held::Designation(Arc::new(Designation::read(text, *kind).ok()?)),
            FieldType::Reference(list) => {
                self.references.push((place, *list, node));
                Held::Unreadable
            }
            FieldType::YesNo | FieldType::Point | FieldType::Record(_) | FieldType::List(_) => return None,
        })
    }

    /// A quantity in its long form; one bad part leaves the whole unreadable.
    fn long_form(&mut self, place: PlaceId, kind: Kind, entries: &'a [Entry]) -> Option<Held> {
        let tree = self.tree;
        let mut held = None;
        let (mut give_or_take, mut known_by, mut taken) = (None, None, None);
        for entry in entries {
            let known = LONG_FORM.contains(&&*entry.key);
            if !known {
                self.faulty = true;
                continue;
            }
            if &*entry.key == EVIDENCE {
                self.evidence(place, entry.value);
                continue;
            }
            let scalar = tree.scalar(entry.value)?;
            let text = matches!(form_of(scalar), Form::Text | Form::Number).then_some(&*scalar.text)?;
            match (&*entry.key, text) {
                ("is", NONE) => held = Some(Held::None),
                (_, NONE) => {}
                ("is", text) => held = Some(Held::Quantity(quantity(&parse(text, kind).ok()?, kind))),
                ("give_or_take", text) => {
                    let difference = parse(text, kind.difference().unwrap_or(kind)).ok()?;
                    give_or_take = Some((difference.si.abs(), tree.node(entry.value).span));
                }
                ("known_by", word) => known_by = Some(KnownBy::named(word)?),
                (_, day) => taken = Some(date_of(day)?),
            }
        }
        let mut held = held?;
        if let Held::Quantity(quantity) = &mut held {
            if let (Some(_), Some((_, span))) = (quantity.give_or_take, give_or_take) {
                self.errors.push(TermsError { problem: TermsProblem::UncertaintyTwice, span, other: None });
            }
            quantity.give_or_take = give_or_take.map(|(si, _)| si).or(quantity.give_or_take);
            (quantity.known_by, quantity.taken) = (known_by, taken);
            if known_by == Some(KnownBy::Assumed) {
                self.noted.assumed.push(place);
            }
        }
        Some(held)
    }

    /// Notes the evidence file of a quantity, which is judged without it where it cannot be read.
    fn evidence(&mut self, of: PlaceId, node: NodeId) {
        let tree = self.tree;
        let Some(entries) = tree.entries(node) else {
            self.faulty |= tree.scalar(node).is_none_or(|scalar| &*scalar.text != NONE);
            return;
        };
        let (mut file, mut sha256) = (None, None);
        for entry in entries {
            let scalar = tree.scalar(entry.value).filter(|s| matches!(form_of(s), Form::Text | Form::Number));
            let found = scalar.map(|scalar| (&*scalar.text, tree.node(entry.value).span));
            match (&*entry.key, found) {
                ("file", Some((text, span))) if !text.is_empty() => file = Some((text, span)),
                ("sha256", Some((text, span))) if is_sha256(text) => {
                    sha256 = Some((text.to_ascii_lowercase().into(), span));
                }
                ("sha256", Some((NONE, _))) => {}
                _ => self.faulty = true,
            }
        }
        match file {
            Some((text, span)) => self.noted.evidence.push(EvidenceFile { of, file: text.into(), span, sha256 }),
            None => self.faulty = true,
        }
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
                let (span, other) = (self.named_at(*second), Some(self.named_at(*first)));
                self.errors.push(TermsError { problem, span, other });
            }
        }
    }

    /// The place of an item's name; where its data sheet says that, the place at which it uses the sheet.
    fn named_at(&self, item: PlaceId) -> Span {
        let label = self.label(item);
        let used = self.noted.named.iter().find(|(record, _)| *record == item);
        used.filter(|_| self.noted.sheets.holds(label.file)).map_or(label, |(_, named)| *named)
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
    pub(super) fn resolve(&mut self) -> Users {
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
        std::iter::successors(Some(place), |at| {
            let place = self.places.get(at.0 as usize)?;
            if let Step::StandIn(target) = place.at { Some(target) } else { place.parent }
        })
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
            nearest: nearest(name, known.iter().copied()).map(SharedText::from),
            known: known.into_iter().map(SharedText::from).collect(),
        };
        self.errors.push(TermsError { problem, span: self.tree.node(node).span, other: None });
    }
}

/// Uncertain values that stand at several places though they are written once (in a data sheet, or where an alias leads): each
/// further place with the first, in the order of reading.
fn written_once(places: &[Place], mut uncertain: Vec<PlaceId>) -> Vec<(PlaceId, PlaceId)> {
    let span = |place: &PlaceId| places.get(place.0 as usize).map(|place| place.span);
    uncertain.sort_by_key(|place| (span(place), *place));
    let groups = uncertain.chunk_by(|one, other| span(one) == span(other));
    let further = groups.flat_map(|group| group.iter().skip(1).filter_map(|place| Some((*place, *group.first()?))));
    let mut further: Vec<_> = further.collect();
    further.sort_unstable();
    further
}

/// Each error once, however often its data sheet is used, with the place of the use.
fn told_once(errors: Vec<TermsError>, sheets: &Parts) -> Vec<TermsError> {
    let mut told: Vec<TermsError> = Vec::with_capacity(errors.len());
    for mut error in errors {
        let same = told.iter().rev().take_while(|known| known.span == error.span);
        if sheets.holds(error.span.file) && same.into_iter().any(|known| known.problem == error.problem) {
            continue;
        }
        error.other = error.other.or_else(|| sheets.used(error.span.file));
        told.push(error);
    }
    told
}

fn quantity(written: &Written, kind: Kind) -> SpecQuantity {
    let Written { si, give_or_take, unit, .. } = *written;
    SpecQuantity { kind, si, give_or_take, unit, known_by: None, taken: None }
}
