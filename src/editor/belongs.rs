//! What the terms let stand at a place in a text.
//!
//! In come the containers around a [`Cursor`](super::cursor::Cursor); out comes the record, list or type that they lead to.

use super::cursor::{Level, Step};
use crate::quantity::Kind;
use crate::terms::{FieldType, KNOWN_BY, LONG_FORM, ListId, ListMembers, RecordId, Types};

/// What a container is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Within<'t> {
    /// A record, with its keys.
    Record(RecordId),
    /// An item of a list of several types of records, of which none of its keys tells yet which it is.
    AnyOf(&'t [RecordId]),
    /// A list.
    List(ListId),
    /// A member of a list of plain values.
    Member(&'t FieldType),
    /// A quantity with keys of its own.
    LongForm(Kind),
}

/// What is to be written as a value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Wanted<'t> {
    /// As that type says.
    Type(&'t FieldType),
    /// A quantity of that kind, without keys of its own.
    Quantity(Kind),
    /// One of the words for how a value is known.
    KnownBy,
    /// A day.
    Day,
}

/// Where the containers around a place lead.
pub fn within<'t>(types: &'t Types, levels: &[Level]) -> Option<Within<'t>> {
    let mut at = Within::Record(types.root());
    for level in levels.iter().skip(1) {
        at = match (at, &level.step) {
            (Within::Record(record), Step::Key(key)) => below(field(types, record, key)?)?,
            (Within::AnyOf(records), Step::Key(key)) => {
                below(records.iter().find_map(|record| field(types, *record, key))?)?
            }
            (Within::List(list), Step::Item) => match &types.list(list).members {
                ListMembers::Values(ty) => Within::Member(ty),
                ListMembers::Records(records) => of_item(types, records, &level.keys),
            },
            _ => return None,
        };
    }
    Some(at)
}

/// What belongs at a key.
pub fn wanted<'t>(types: &'t Types, at: Within<'t>, key: &str) -> Option<Wanted<'t>> {
    match at {
        Within::Record(record) => Some(Wanted::Type(field(types, record, key)?)),
        Within::AnyOf(records) => Some(Wanted::Type(records.iter().find_map(|record| field(types, *record, key))?)),
        Within::LongForm(kind) => match LONG_FORM.into_iter().position(|part| part == key)? {
            0 => Some(Wanted::Quantity(kind)),
            1 => Some(Wanted::Quantity(kind.difference().unwrap_or(kind))),
            2 => Some(Wanted::KnownBy),
            3 => Some(Wanted::Day),
            _ => None,
        },
        Within::List(_) | Within::Member(_) => None,
    }
}

/// The words for how a value is known.
pub fn ways_of_knowing() -> &'static [&'static str] {
    &KNOWN_BY
}

/// The key that names an item of a record type.
pub fn naming(types: &Types, record: RecordId) -> Option<&str> {
    let record = types.record(record);
    record.naming.and_then(|slot| record.field(slot)).map(|field| &*field.name)
}

fn field<'t>(types: &'t Types, record: RecordId, key: &str) -> Option<&'t FieldType> {
    let record = types.record(record);
    record.field(record.slot(key)?).map(|field| &field.ty)
}

fn below(ty: &FieldType) -> Option<Within<'_>> {
    match ty {
        FieldType::Record(record) => Some(Within::Record(*record)),
        FieldType::List(list) => Some(Within::List(*list)),
        FieldType::Quantity(kind) => Some(Within::LongForm(*kind)),
        _ => None,
    }
}

fn of_item<'t>(types: &'t Types, records: &'t [RecordId], keys: &[String]) -> Within<'t> {
    match records {
        [only] => Within::Record(*only),
        several => {
            let named = |record: &&RecordId| naming(types, **record).is_some_and(|name| keys.iter().any(|k| k == name));
            several.iter().find(named).map_or(Within::AnyOf(several), |record| Within::Record(*record))
        }
    }
}
