//! What the schema says, in the form that the checked tree and the type check of rules walk: records with their keys in
//! slots, lists with their members, and the type of every value.
//!
//! [`crate::terms::load`] makes it from the files of `schema/`; nothing else does, so that it cannot disagree with them.

use crate::source::{Later, SharedText};
use std::sync::Arc;

use super::round::{Station, Tool};
use crate::quantity::{DesignationKind, Kind};

/// A record type of [`Types`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize, serde::Deserialize)]
pub struct RecordId(pub u16);

/// A list type of [`Types`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize, serde::Deserialize)]
pub struct ListId(pub u16);

/// The number of a key in its record type, from 0, in the order of the schema.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize, serde::Deserialize)]
pub struct Slot(pub u16);

/// One definition of the schema that is an object.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct RecordType {
    /// The definition's name, `brakes.axle`.
    pub name: SharedText,
    /// What it is, in words.
    pub description: SharedText,
    /// Its keys, in the order of the schema.
    pub fields: Vec<Field>,
    /// The key that names an item of a list.
    pub naming: Option<Slot>,
    /// The first list, in the order of the schema, that has such items.
    pub in_list: Option<ListId>,
    /// Whether it takes any key unread; only `own` without a schema of the repository's own does.
    pub open: bool,
    /// Whether it is a thing that can have a data sheet: then it may say `part` and `changed` beside its keys.
    pub takes_part: bool,
    /// Where what stands in it is measured, where the definition says so.
    pub station: Option<Station>,
    /// What it is measured with, where the definition says so.
    pub tool: Option<Tool>,
    /// Whether its keys are paths of the spec, each with what stands there instead.
    pub stands_in: bool,
    sorted: Vec<u16>,
}

impl RecordType {
    pub(super) fn new(name: &str, description: &str) -> RecordType {
        RecordType {
            name: name.into(),
            description: description.into(),
            fields: Vec::new(),
            naming: None,
            in_list: None,
            open: false,
            takes_part: false,
            station: None,
            tool: None,
            stands_in: false,
            sorted: Vec::new(),
        }
    }

    /// Adds a key after the others.
    pub(super) fn push(&mut self, field: Field) -> Slot {
        let slot = self.fields.len() as u16;
        let at = self.sorted.partition_point(|s| self.fields[usize::from(*s)].name < field.name);
        self.sorted.insert(at, slot);
        self.fields.push(field);
        Slot(slot)
    }

    /// The slot of a key.
    pub fn slot(&self, name: &str) -> Option<Slot> {
        let found = self.sorted.binary_search_by(|s| (*self.fields[usize::from(*s)].name).cmp(name)).ok()?;
        Some(Slot(self.sorted[found]))
    }

    /// The key in a slot; `None` for a slot of another record type.
    pub fn field(&self, slot: Slot) -> Option<&Field> {
        self.fields.get(usize::from(slot.0))
    }
}

/// What the absence of a key means.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub enum Absence {
    /// Nobody has measured or decided it yet.
    Unmeasured,
    /// The car has no such thing.
    None,
}

/// One key of a record.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct Field {
    /// The key.
    pub name: SharedText,
    /// What stands there.
    pub ty: FieldType,
    /// What it is and how a builder measures it.
    pub description: Later<SharedText>,
    /// Examples as a builder would write them, in YAML's flow style.
    pub examples: Later<Vec<SharedText>>,
    /// What absence means.
    pub absent: Absence,
    /// The range that is physically usual, in SI units.
    pub usual: Option<(f64, f64)>,
    /// Sizes that the trade sells, as they are written.
    pub sizes: Vec<SharedText>,
    /// Keys or paths whose change makes a measurement stale.
    pub moved_by: Vec<SharedText>,
    /// Where it, or what stands in it, is measured, where the schema says so here.
    pub station: Option<Station>,
    /// What it, or what stands in it, is measured with, where the schema says so here.
    pub tool: Option<Tool>,
}

impl Field {
    /// A key with nothing said of it but its name, type and description.
    pub fn new(name: &str, ty: FieldType, description: &str) -> Field {
        Field {
            name: name.into(),
            ty,
            description: Later::now(description.into()),
            examples: Later::now(Vec::new()),
            absent: Absence::Unmeasured,
            usual: None,
            sizes: Vec::new(),
            moved_by: Vec::new(),
            station: None,
            tool: None,
        }
    }
}

/// What stands at a key or in a list.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub enum FieldType {
    /// A quantity of that kind.
    Quantity(Kind),
    /// Free text.
    Text,
    /// One of these words.
    Choice(Arc<[SharedText]>),
    /// `yes` or `no`.
    YesNo,
    /// A day.
    Date,
    /// `[x, y, z]`, lengths in the axes of ISO 8855.
    Point,
    /// A trade designation.
    Designation(DesignationKind),
    /// The name of an item of that list.
    Reference(ListId),
    /// A record.
    Record(RecordId),
    /// A list.
    List(ListId),
}

/// One list of the schema.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct ListType {
    /// Where it stands, keys only: `fuel.pumps`, `electrics.looms.wires`. The first place where it is reached in several ways.
    pub path: SharedText,
    /// What it holds.
    pub members: ListMembers,
    /// Whether after the last comes the first.
    pub ring: bool,
}

/// What a list holds.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub enum ListMembers {
    /// Records of one type, or of several that are told apart by their naming key.
    Records(Vec<RecordId>),
    /// Plain values.
    Values(FieldType),
}

/// All record and list types of a spec.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct Types {
    pub(super) records: Vec<RecordType>,
    pub(super) lists: Vec<ListType>,
}

impl Types {
    /// A record type.
    ///
    /// # Panics
    /// With an id of other terms.
    pub fn record(&self, id: RecordId) -> &RecordType {
        &self.records[usize::from(id.0)]
    }

    pub(super) fn record_mut(&mut self, id: RecordId) -> &mut RecordType {
        &mut self.records[usize::from(id.0)]
    }

    /// A list type.
    ///
    /// # Panics
    /// With an id of other terms.
    pub fn list(&self, id: ListId) -> &ListType {
        &self.lists[usize::from(id.0)]
    }

    /// The record type of the whole spec.
    pub fn root(&self) -> RecordId {
        RecordId(0)
    }

    /// The record type of a definition.
    pub fn record_named(&self, name: &str) -> Option<RecordId> {
        self.records.iter().position(|r| &*r.name == name).map(|i| RecordId(i as u16))
    }

    /// The list type whose path that is.
    pub fn list_at(&self, path: &str) -> Option<ListId> {
        self.lists.iter().position(|l| &*l.path == path).map(|i| ListId(i as u16))
    }

    /// Every record type; the whole spec comes first.
    pub fn records(&self) -> impl Iterator<Item = (RecordId, &RecordType)> {
        self.records.iter().enumerate().map(|(i, r)| (RecordId(i as u16), r))
    }

    /// Every list type.
    pub fn lists(&self) -> impl Iterator<Item = (ListId, &ListType)> {
        self.lists.iter().enumerate().map(|(i, l)| (ListId(i as u16), l))
    }
}
