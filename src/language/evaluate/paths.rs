//! Reading the spec: keys, items, neighbours, references, with overrides in their place.

use super::super::code::Key;
use super::super::evidence::Evidence;
use super::super::library::FigureId;
use super::super::number::{Number, Spread};
use super::super::syntax::Neighbour;
use super::super::unknown::Unknown;
use super::super::value::{Reading, Value};
use super::{Evaluator, list, needed};
use crate::quantity::Part;
use crate::terms::{FieldType, Held, PlaceId, RecordId};
use std::rc::Rc;

/// How far a chain of references is followed.
const LONGEST_CHAIN: usize = 1000;

impl Evaluator<'_> {
    /// What stands at a place, overrides first.
    pub(in crate::language) fn held(&self, place: PlaceId) -> &Held {
        if !self.overrides.is_empty()
            && let Some(held) = self.overrides.get(&place)
        {
            return held;
        }
        &self.spec.place(place).held
    }

    /// The value at a place whose unwritten state means unmeasured.
    pub(in crate::language) fn read(&mut self, place: PlaceId, unwritten_is_none: bool) -> Reading {
        let evidence = self.evidence.place(place);
        let value = match self.held(place) {
            Held::Unwritten if unwritten_is_none => Err(Unknown::none()),
            Held::Unwritten => Err(Unknown::missing(place)),
            Held::None => Err(Unknown::none()),
            Held::Unreadable => Err(Unknown::unreadable(place)),
            // A measurement that a later change made stale says nothing any more; one that is tried in its place does.
            Held::Quantity(q) if q.taken.is_some() && self.is_stale(place) => Err(Unknown::missing(place)),
            Held::Quantity(q) => {
                let spread = q.give_or_take.map_or(Spread::default(), |u| Spread::of(self.measured_at(place), u));
                Ok(Value::Number(Number { si: q.si, dimension: q.kind.into(), unit: Some(q.unit), spread }))
            }
            Held::Text(text) => Ok(Value::Text(text.clone())),
            Held::Choice(at) => match self.spec.type_of(place) {
                Some(FieldType::Choice(choices)) => Ok(Value::Choice(choices.clone(), *at)),
                _ => Err(Unknown::unreadable(place)),
            },
            Held::YesNo(value) => Ok(Value::Truth(*value, None)),
            Held::Date(date) => Ok(Value::Date(*date)),
            Held::Point { first } => return self.point(*first),
            Held::Designation(d) => Ok(Value::Designation(d.clone())),
            Held::Reference(target) => Ok(Value::Place(*target)),
            Held::Record { .. } => Ok(Value::Place(place)),
            Held::List { .. } => Ok(Value::List(self.items_of(place))),
        };
        Reading { value, evidence }
    }

    /// The readings of the items of a list; rules ask for the same few lists over and over.
    fn items_of(&mut self, place: PlaceId) -> Rc<[Reading]> {
        if let Some(known) = self.lists.get(&place) {
            return known.clone();
        }
        let items = match self.held(place) {
            Held::List { items, .. } => items.clone(),
            _ => Box::default(),
        };
        let readings: Rc<[Reading]> = items.iter().map(|item| self.read(*item, false)).collect();
        self.lists.insert(place, readings.clone());
        readings
    }

    /// The place by which the uncertainty of a value goes; one that is tried stands for itself.
    fn measured_at(&self, place: PlaceId) -> PlaceId {
        if self.overrides.contains_key(&place) { place } else { self.spec.measured_at(place) }
    }

    fn is_stale(&self, place: PlaceId) -> bool {
        self.spec.changed_after(place).is_some() && !self.overrides.contains_key(&place)
    }

    /// A point from the places of its three coordinates.
    fn point(&mut self, first: PlaceId) -> Reading {
        let readings = [0, 1, 2].map(|axis| self.read(PlaceId(first.0 + axis), false));
        let evidence = self.joined(&readings);
        if let Some(unknown) = needed(&readings) {
            return Reading::unknown(unknown, evidence);
        }
        match readings.each_ref().map(|r| r.number().cloned()) {
            [Some(x), Some(y), Some(z)] => Reading::known(Value::Point(Rc::new([x, y, z])), evidence),
            _ => Reading::unknown(Unknown::none(), evidence),
        }
    }

    /// The record type of an item or section.
    pub(in crate::language) fn record_type(&self, place: PlaceId) -> Option<(RecordId, PlaceId)> {
        match self.held(place) {
            Held::Record { ty, first } => Some((*ty, *first)),
            _ => None,
        }
    }

    #[inline(never)]
    pub(super) fn field(&mut self, base: Reading, keys: &[Key]) -> Reading {
        let place = match base.value {
            Ok(Value::Place(place)) => place,
            Ok(_) => return Reading::unknown(Unknown::none(), base.evidence),
            Err(unknown) => {
                let unknown = if keys.iter().all(|k| k.unwritten_is_none) && !unknown.reasons().missing.is_empty() {
                    Unknown::none()
                } else {
                    unknown.deeper(self.library.key_name(keys))
                };
                return Reading::unknown(unknown, base.evidence);
            }
        };
        let Some((ty, first)) = self.record_type(place) else {
            return Reading::unknown(Unknown::none(), base.evidence);
        };
        let Some(key) = keys.iter().find(|k| k.record == ty) else {
            return Reading::unknown(Unknown::none(), base.evidence);
        };
        let mut found = self.read(PlaceId(first.0 + u32::from(key.slot.0)), key.unwritten_is_none);
        found.evidence = self.evidence.join(base.evidence, found.evidence);
        found
    }

    #[inline(never)]
    pub(super) fn figure(&mut self, base: Reading, figures: &[(RecordId, FigureId)], arguments: &[Reading]) -> Reading {
        let place = match base.value {
            Ok(Value::Place(place)) => place,
            Ok(_) => return Reading::unknown(Unknown::none(), base.evidence),
            Err(unknown) => {
                return Reading::unknown(unknown.deeper(self.library.figure_name(figures)), base.evidence);
            }
        };
        let figure = self.record_type(place).and_then(|(ty, _)| figures.iter().find(|f| f.0 == ty));
        let Some((_, id)) = figure else {
            return Reading::unknown(Unknown::none(), base.evidence);
        };
        let mut found = self.figure_of(*id, place, arguments);
        found.evidence = self.evidence.join(base.evidence, found.evidence);
        found
    }

    #[inline(never)]
    pub(super) fn item(&mut self, base: Reading, name: &str) -> Reading {
        let items = match &base.value {
            Ok(Value::List(items)) => items.clone(),
            Ok(_) => return Reading::unknown(Unknown::none(), base.evidence),
            Err(unknown) => return Reading::unknown(unknown.deeper(&format!("/{name}")), base.evidence),
        };
        for item in items.iter() {
            if let Ok(Value::Place(place)) = item.value
                && self.spec.name(place).is_some_and(|n| n == name)
            {
                return item.clone();
            }
        }
        // A rule that asks for an item by name needs it: a list without it leaves the rule unmeasured, not without a subject.
        let first =
            items.first().and_then(|item| if let Ok(Value::Place(place)) = item.value { Some(place) } else { None });
        match first.and_then(|place| self.spec.place(place).parent) {
            Some(list) => Reading::unknown(Unknown::missing(list).deeper(&format!("/{name}")), base.evidence),
            None => Reading::unknown(Unknown::none(), base.evidence),
        }
    }

    #[inline(never)]
    pub(super) fn neighbour(&mut self, base: Reading, which: Neighbour) -> Reading {
        let Ok(Value::Place(place)) = base.value else { return base };
        let parent = self.spec.place(place).parent;
        let held = parent.map(|p| self.held(p));
        let (Some(parent), Some(Held::List { items, ty })) = (parent, held) else {
            return Reading::unknown(Unknown::none(), base.evidence);
        };
        let Some(at) = items.iter().position(|i| *i == place) else {
            return Reading::unknown(Unknown::none(), base.evidence);
        };
        let ring = self.library.terms.list(*ty).ring;
        let n = items.len();
        let one = match which {
            Neighbour::Before if at > 0 => Some(items[at - 1]),
            Neighbour::Before if ring => Some(items[n - 1]),
            Neighbour::After if at + 1 < n => Some(items[at + 1]),
            Neighbour::After if ring => Some(items[0]),
            Neighbour::Before | Neighbour::After => None,
            Neighbour::AllBefore | Neighbour::AllAfter => {
                let some: Vec<PlaceId> = match (which, ring) {
                    (Neighbour::AllBefore, false) => items[..at].to_vec(),
                    (Neighbour::AllAfter, false) => items[at + 1..].to_vec(),
                    (Neighbour::AllBefore, true) => (1..n).map(|k| items[(at + k) % n]).collect(),
                    _ => (1..n).map(|k| items[(at + k) % n]).collect(),
                };
                let ordered = self.evidence.place(parent);
                let evidence = self.evidence.join(base.evidence, ordered);
                let readings = some.into_iter().map(|p| self.read(p, false)).collect();
                return Reading::known(list(readings), evidence);
            }
        };
        match one {
            Some(item) => {
                let mut found = self.read(item, false);
                let ordered = self.evidence.place(parent);
                let evidence = self.evidence.join(base.evidence, found.evidence);
                found.evidence = self.evidence.join(evidence, ordered);
                found
            }
            None => {
                let evidence = self.evidence.place(parent);
                Reading::unknown(Unknown::none(), self.evidence.join(base.evidence, evidence))
            }
        }
    }

    /// A part that the designation does not say is as unmeasured as a value that is not written: `205/55R16` may carry any load.
    #[inline(never)]
    pub(super) fn designation_part(&mut self, base: Reading, name: &str) -> Reading {
        let part = match &base.value {
            Ok(Value::Designation(designation)) => designation.part(name),
            _ => return base,
        };
        let value = match (part, self.evidence.first_place(base.evidence)) {
            (Some(Part::Quantity(si, dimension)), _) => Ok(Value::Number(Number::exact(si, dimension))),
            (Some(Part::Text(text)), _) => Ok(Value::Text(text.into())),
            (None, Some(place)) => Err(Unknown::missing_part(place, name)),
            (None, None) => Err(Unknown::none()),
        };
        Reading { value, evidence: base.evidence }
    }

    #[inline(never)]
    pub(super) fn users(&mut self, base: Reading) -> Reading {
        let place = match base.value {
            Ok(Value::Place(place)) => place,
            _ => return base,
        };
        let users = self.users_of(place);
        let readings = users.iter().map(|user| self.read(*user, false)).collect();
        Reading::known(list(readings), base.evidence)
    }

    #[inline(never)]
    pub(super) fn along(&mut self, base: Reading, keys: &[Key]) -> Reading {
        let mut seen = Vec::new();
        let mut readings = Vec::new();
        let mut evidence = base.evidence;
        let mut at = base;
        loop {
            let next = self.field(at.clone(), keys);
            evidence = self.evidence.join(evidence, next.evidence);
            match &next.value {
                Ok(Value::Place(place)) if !seen.contains(place) && seen.len() < LONGEST_CHAIN => {
                    seen.push(*place);
                    readings.push(next.clone());
                    at = next;
                }
                Err(unknown) if !unknown.is_none() => return Reading::unknown(unknown.clone(), evidence),
                _ => return Reading::known(list(readings), evidence),
            }
        }
    }

    /// A note on which way of knowing was used.
    pub(super) fn chosen(&mut self, words: &str) -> Evidence {
        self.evidence.chosen(words.into())
    }
}
