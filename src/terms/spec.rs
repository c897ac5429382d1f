//! The checked tree of a build: what rules are judged on.
//!
//! Every value has a [`PlaceId`], and so has every key of a written record that is not written, so that anything can be
//! pointed at, asked for, and stood in for. [`build_spec`](super::build_spec) makes it; it does not change afterwards.

use std::fmt::Write as _;
use std::sync::Arc;

use jiff::civil::Date;
use smallvec::SmallVec;

use super::evidence::EvidenceFile;
use super::lay::CHANGED_KEY;
use super::types::{Field, FieldType, ListId, ListMembers, RecordId, Slot, Types};
use crate::quantity::{Designation, Kind, UnitId};
use crate::source::{Parts, Sources, Span};

/// A place in a [`Spec`]. The order of places is that of reading, the same on every run.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct PlaceId(pub u32);

/// A value, or the gap where one could stand.
#[derive(Debug, Clone)]
pub struct Place {
    /// The value; for what is not written, whatever names the record that lacks it: an item's name, a section's key.
    pub span: Span,
    /// The key in front of it, where it is written.
    pub key_span: Option<Span>,
    /// What it stands in; `None` for the whole spec.
    pub parent: Option<PlaceId>,
    /// Where in that it stands.
    pub at: Step,
    /// What stands there.
    pub held: Held,
}

/// One step down in a spec.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// The whole spec; no step.
    Root,
    /// To a key of a record.
    Key(Slot),
    /// To an item of a list, from 0.
    Item(u32),
    /// To a coordinate of a point: 0, 1, 2 for x, y, z.
    Axis(u8),
    /// To the day on which a part was changed, which is no key of its record's type.
    Changed,
    /// To what stands in for another place.
    StandIn(PlaceId),
}

/// What stands at a place.
#[derive(Debug, Clone)]
pub enum Held {
    /// Nothing. What that means is [`Field::absent`].
    Unwritten,
    /// The word `none`: the car has no such thing.
    None,
    /// Something that did not pass; an error of the spec says why.
    Unreadable,
    /// A quantity.
    Quantity(SpecQuantity),
    /// Free text, and names.
    Text(Arc<str>),
    /// The number of a choice, from 0.
    Choice(u16),
    /// Yes or no.
    YesNo(bool),
    /// A day.
    Date(Date),
    /// Three places, for x, y and z, each holding a quantity, none or unreadable: `first` and the two after it.
    Point {
        /// The place of x.
        first: PlaceId,
    },
    /// A trade designation.
    Designation(Arc<Designation>),
    /// The item that is referred to. A name that leads nowhere is unreadable.
    Reference(PlaceId),
    /// A record; the place of the key in slot `s` is `first + s`.
    Record {
        /// Its type.
        ty: RecordId,
        /// The place of its first key.
        first: PlaceId,
    },
    /// A list.
    List {
        /// Its type.
        ty: ListId,
        /// Its items in order.
        items: Box<[PlaceId]>,
    },
}

/// A quantity as the spec gives it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpecQuantity {
    /// Of what kind it is, by the terms.
    pub kind: Kind,
    /// The value in SI units; finite.
    pub si: f64,
    /// Expanded uncertainty (k = 2) in SI units, where one is stated; of a point on a scale it is a difference.
    pub give_or_take: Option<f64>,
    /// The unit it was written in.
    pub unit: UnitId,
    /// How it is known, where that is stated.
    pub known_by: Option<KnownBy>,
    /// The day on which it was measured, where that is stated.
    pub taken: Option<Date>,
}

/// How a quantity is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum KnownBy {
    /// Measured on the car or the part.
    Measured,
    /// The maker's figure.
    Maker,
    /// From a drawing.
    Drawn,
    /// Assumed.
    Assumed,
}

impl KnownBy {
    /// The word for it in a spec.
    pub fn word(self) -> &'static str {
        match self {
            KnownBy::Measured => "measured",
            KnownBy::Maker => "maker",
            KnownBy::Drawn => "drawn",
            KnownBy::Assumed => "assumed",
        }
    }

    pub(super) fn named(word: &str) -> Option<KnownBy> {
        [KnownBy::Measured, KnownBy::Maker, KnownBy::Drawn, KnownBy::Assumed].into_iter().find(|k| k.word() == word)
    }
}

/// Reads a day, `2026-05-02` and no other form.
pub(super) fn date_of(text: &str) -> Option<Date> {
    let form = text.len() == 10
        && text.bytes().enumerate().all(|(i, b)| if matches!(i, 4 | 7) { b == b'-' } else { b.is_ascii_digit() });
    form.then(|| text.parse().ok()).flatten()
}

/// Why a measurement says nothing any more.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Staleness {
    /// The day on which it was taken.
    pub taken: Date,
    /// The day of the last change since then that moves it.
    pub changed: Date,
    /// What was changed: a change of the build by its name, a part by its path.
    pub by: String,
}

/// The checked tree of one build.
#[derive(Debug, Clone)]
pub struct Spec {
    /// The texts that its places point into.
    pub sources: Sources,
    pub(super) types: Arc<Types>,
    pub(super) places: Vec<Place>,
    pub(super) users: Users,
    pub(super) stale: Box<[(PlaceId, PlaceId)]>,
    pub(super) noted: Noted,
    /// By the record that they stand in.
    pub(super) settings: Vec<(PlaceId, Vec<Setting>)>,
    /// How many places the car itself has; those behind stand in for them.
    pub(super) own: usize,
}

/// A value that stands in for another place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Setting {
    /// The place that it stands in for.
    pub target: PlaceId,
    /// Its own place.
    pub value: PlaceId,
}

/// What reading has noted beside the places.
#[derive(Debug, Clone, Default)]
pub(super) struct Noted {
    /// Quantities that are known by assumption, in the order of reading.
    pub(super) assumed: Vec<PlaceId>,
    /// Uncertain values that are written once and stand at several places: each further place with the first.
    pub(super) same: Vec<(PlaceId, PlaceId)>,
    /// The evidence files of quantities, in the order of reading.
    pub(super) evidence: Vec<EvidenceFile>,
    pub(super) sheets: Parts,
    /// Each record with the place of its `part`, in the order of reading.
    pub(super) named: Vec<(PlaceId, Span)>,
    /// Each record with the place of its `changed`, in the order of reading.
    pub(super) changed: Vec<(PlaceId, PlaceId)>,
}

/// Who refers to what: for each item referred to, its range of `all`.
#[derive(Debug, Clone, Default)]
pub(super) struct Users {
    pub(super) items: Vec<(PlaceId, std::ops::Range<u32>)>,
    pub(super) all: Vec<PlaceId>,
}

impl Spec {
    /// The place of the whole spec; it holds a record, or is unreadable if there was no map to read.
    pub fn root(&self) -> PlaceId {
        PlaceId(0)
    }

    /// A place.
    ///
    /// # Panics
    /// With an id of another spec.
    pub fn place(&self, id: PlaceId) -> &Place {
        &self.places[id.0 as usize]
    }

    /// What stands at a place; as [`Spec::place`].
    pub fn held(&self, id: PlaceId) -> &Held {
        &self.place(id).held
    }

    /// Every place, parents before what stands in them.
    pub fn places(&self) -> impl ExactSizeIterator<Item = (PlaceId, &Place)> {
        self.places.iter().enumerate().map(|(i, p)| (PlaceId(i as u32), p))
    }

    /// The types that it was read by.
    pub fn types(&self) -> &Arc<Types> {
        &self.types
    }

    /// The place of a key in a record; `None` if `record` holds no record.
    pub fn key(&self, record: PlaceId, slot: Slot) -> Option<PlaceId> {
        match self.held(record) {
            Held::Record { ty, first } => {
                self.types.record(*ty).field(slot)?;
                Some(PlaceId(first.0 + u32::from(slot.0)))
            }
            _ => None,
        }
    }

    /// Where the build uses the data sheet in which a value stands: the value of `part`. `None` for what stands in the build's
    /// own files.
    pub fn used(&self, id: PlaceId) -> Option<Span> {
        let sheets = &self.noted.sheets;
        if !sheets.holds(self.place(id).span.file) {
            return None;
        }
        let ancestors = std::iter::successors(Some(id), |at| self.place(*at).parent);
        ancestors.filter_map(|at| self.named_sheet(at)).find(|named| !sheets.holds(named.file))
    }

    fn named_sheet(&self, record: PlaceId) -> Option<Span> {
        let at = self.noted.named.binary_search_by_key(&record, |(record, _)| *record).ok()?;
        self.noted.named.get(at).map(|(_, named)| *named)
    }

    /// The first place at which the uncertain value stands that is written for this place: a value of a data sheet that is used
    /// twice, or one that an alias repeats, is one measurement.
    pub fn measured_at(&self, id: PlaceId) -> PlaceId {
        let at = self.noted.same.binary_search_by_key(&id, |(further, _)| *further);
        at.ok().and_then(|at| self.noted.same.get(at)).map_or(id, |(_, first)| *first)
    }

    /// The evidence files that quantities name, in the order of reading.
    pub fn evidence(&self) -> &[EvidenceFile] {
        &self.noted.evidence
    }

    /// The evidence file of a quantity.
    pub fn evidence_of(&self, id: PlaceId) -> Option<&EvidenceFile> {
        self.noted.evidence.iter().find(|evidence| evidence.of == id)
    }

    /// Quantities that are known by assumption, in the order of reading.
    pub fn assumed(&self) -> &[PlaceId] {
        &self.noted.assumed
    }

    /// The data sheets that the build uses.
    pub fn sheets(&self) -> &Parts {
        &self.noted.sheets
    }

    /// The key that a place stands at, with all that the terms say of it.
    pub fn field(&self, id: PlaceId) -> Option<&Field> {
        let place = self.place(id);
        match (place.at, self.held(place.parent?)) {
            (Step::StandIn(target), _) => self.field(target),
            (Step::Key(slot), Held::Record { ty, .. }) => self.types.record(*ty).field(slot),
            _ => None,
        }
    }

    /// Measurements that were taken before something that moves them was changed, in the order of reading.
    pub fn stale(&self) -> impl Iterator<Item = PlaceId> {
        self.stale.iter().map(|(measured, _)| *measured)
    }

    /// The day of the last change that made a measurement stale, by its place; `None` for one that still holds.
    pub fn changed_after(&self, id: PlaceId) -> Option<PlaceId> {
        let at = self.stale.binary_search_by_key(&id, |(measured, _)| *measured).ok()?;
        self.stale.get(at).map(|(_, changed)| *changed)
    }

    /// Why a measurement is stale: when it was taken, and the last change since then that moves it. `None` for one that still
    /// holds.
    pub fn staleness(&self, id: PlaceId) -> Option<Staleness> {
        let changed = self.changed_after(id)?;
        let (Held::Quantity(quantity), Held::Date(on)) = (self.held(id), self.held(changed)) else { return None };
        Some(Staleness { taken: quantity.taken?, changed: *on, by: self.change_at(changed) })
    }

    /// What was changed on the day that stands at a place: a change by its name, a part by its path.
    pub fn change_at(&self, day: PlaceId) -> String {
        let record = self.place(day).parent.unwrap_or(day);
        match (self.place(day).at, self.name(record)) {
            (Step::Key(_), Some(name)) => name.to_string(),
            _ => self.path(record),
        }
    }

    /// Quantities outside the range that is physically usual for their key, in the order of reading.
    pub fn unusual(&self) -> impl Iterator<Item = PlaceId> {
        self.car().filter_map(|(id, place)| self.is_unusual(id, &place.held).then_some(id))
    }

    /// Whether that would be outside the range which is physically usual at a place.
    pub fn is_unusual(&self, id: PlaceId, held: &Held) -> bool {
        let Held::Quantity(quantity) = held else { return false };
        let usual = self.field(id).and_then(|field| field.usual);
        usual.is_some_and(|(least, most)| !(least..=most).contains(&quantity.si))
    }

    /// The places of the car itself, without what stands in for them; parents before what stands in them.
    pub fn car(&self) -> impl ExactSizeIterator<Item = (PlaceId, &Place)> {
        self.places.iter().take(self.own).enumerate().map(|(i, p)| (PlaceId(i as u32), p))
    }

    /// What a record whose keys are paths puts in for other places, in the order in which it is written.
    pub fn settings(&self, record: PlaceId) -> &[Setting] {
        self.settings.iter().find(|(of, _)| *of == record).map_or(&[], |(_, settings)| settings)
    }

    /// The name of an item, or of any record with a naming key.
    pub fn name(&self, id: PlaceId) -> Option<&str> {
        let Held::Record { ty, .. } = self.held(id) else { return None };
        match self.held(self.key(id, self.types.record(*ty).naming?)?) {
            Held::Text(name) => Some(name),
            _ => None,
        }
    }

    /// The records that refer to an item, each once, in the order of reading.
    pub fn users(&self, id: PlaceId) -> &[PlaceId] {
        let found = self.users.items.binary_search_by_key(&id, |(item, _)| *item);
        let range =
            found.ok().and_then(|i| self.users.items.get(i)).map(|(_, range)| range.start as usize..range.end as usize);
        range.and_then(|range| self.users.all.get(range)).unwrap_or_default()
    }

    /// The path of a place in the one form: `fuel.pumps/main.inlet_height`; an item without a name of its own goes by its
    /// number, from 1.
    pub fn path(&self, id: PlaceId) -> String {
        let mut steps: SmallVec<[(PlaceId, PlaceId); 12]> = SmallVec::new();
        let mut at = id;
        while let Some(parent) = self.place(at).parent {
            steps.push((parent, at));
            at = parent;
        }
        let mut path = String::with_capacity(64);
        for (parent, at) in steps.into_iter().rev() {
            match self.place(at).at {
                Step::Root => {}
                Step::Key(_) => {
                    if !path.is_empty() {
                        path.push('.');
                    }
                    path.push_str(self.field(at).map_or("", |field| &field.name));
                }
                Step::Item(index) => match self.name(at) {
                    Some(name) if self.item_named(parent, name) == Some(at) => {
                        path.push('/');
                        path.push_str(name);
                    }
                    _ => {
                        let _ = write!(path, "/{}", index + 1);
                    }
                },
                Step::Changed => {
                    let _ = write!(path, ".{CHANGED_KEY}");
                }
                Step::StandIn(target) => {
                    let dot = if path.is_empty() { "" } else { "." };
                    let _ = write!(path, "{dot}{}", self.path(target));
                }
                Step::Axis(axis) => path.push_str([".x", ".y", ".z"].get(usize::from(axis)).unwrap_or(&"")),
            }
        }
        path
    }

    fn item_named(&self, list: PlaceId, name: &str) -> Option<PlaceId> {
        self.items(list)?.iter().copied().find(|item| self.name(*item) == Some(name))
    }

    pub(super) fn items(&self, list: PlaceId) -> Option<&[PlaceId]> {
        match self.held(list) {
            Held::List { items, .. } => Some(items),
            _ => None,
        }
    }

    /// The place of a path; `""` is the whole spec. `None` if a key does not exist, or what it stands in is not written.
    pub fn find(&self, path: &str) -> Option<PlaceId> {
        let mut at = self.root();
        let mut rest = path;
        let mut first = true;
        while !rest.is_empty() {
            if let Some(items) = rest.strip_prefix('/') {
                (at, rest) = self.find_item(at, items)?;
            } else {
                let keys = if first { rest } else { rest.strip_prefix('.')? };
                let end = keys.find(['.', '/']).unwrap_or(keys.len());
                let (key, after) = keys.split_at(end);
                at = self.find_key(at, key)?;
                rest = after;
            }
            first = false;
        }
        Some(at)
    }

    fn find_key(&self, at: PlaceId, key: &str) -> Option<PlaceId> {
        match self.held(at) {
            Held::Record { ty, .. } => match self.types.record(*ty).slot(key) {
                Some(slot) => self.key(at, slot),
                None if key == CHANGED_KEY => self.changed(at),
                None => None,
            },
            Held::Point { first } => {
                let axis = ["x", "y", "z"].iter().position(|axis| *axis == key)?;
                Some(PlaceId(first.0 + axis as u32))
            }
            _ => None,
        }
    }

    /// The place of the day on which a part was changed.
    fn changed(&self, record: PlaceId) -> Option<PlaceId> {
        let at = self.noted.changed.binary_search_by_key(&record, |(record, _)| *record).ok()?;
        self.noted.changed.get(at).map(|(_, changed)| *changed)
    }

    /// The item whose name begins the text, the longest such name (names may hold dots and strokes); else by number.
    pub(super) fn find_item<'t>(&self, list: PlaceId, text: &'t str) -> Option<(PlaceId, &'t str)> {
        let items = self.items(list)?;
        let mut best: Option<(PlaceId, &'t str)> = None;
        for item in items {
            let rest = self.name(*item).filter(|name| !name.is_empty()).and_then(|name| text.strip_prefix(name));
            if let Some(rest) = rest.filter(|rest| rest.is_empty() || rest.starts_with(['.', '/']))
                && best.is_none_or(|(_, shortest)| rest.len() < shortest.len())
            {
                best = Some((*item, rest));
            }
        }
        best.or_else(|| {
            let (number, rest) = text.split_at(text.find(['.', '/']).unwrap_or(text.len()));
            let index = number.parse::<usize>().ok()?.checked_sub(1)?;
            Some((*items.get(index)?, rest))
        })
    }

    /// The type of what stands, or would stand, at a place; `None` for the whole spec and for an item of a list of records.
    pub fn type_of(&self, id: PlaceId) -> Option<&FieldType> {
        if let Some(field) = self.field(id) {
            return Some(&field.ty);
        }
        if let Step::StandIn(target) = self.place(id).at {
            return self.type_of(target);
        }
        match self.held(self.place(id).parent?) {
            Held::List { ty, .. } => match &self.types.list(*ty).members {
                ListMembers::Values(ty) => Some(ty),
                ListMembers::Records(_) => None,
            },
            Held::Point { .. } => Some(&FieldType::Quantity(crate::quantity::Kind::Length)),
            _ => None,
        }
    }
}
