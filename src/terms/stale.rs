//! Measurements that a later change of the car has made stale: those dated before a change of something that moves them.
//!
//! What was changed stands in `build.changes`, with the keys that it moves, or as `changed` on a part or its data sheet; that moves what
//! is measured on the part itself, and whatever says by `moved_by` that it depends on such parts.
//!
//! In comes a spec that is read but for this; out come pairs of places, the measurement's and that of the day of the change.

use std::borrow::Cow;

use jiff::civil::Date;

use super::spec::{Held, PlaceId, Spec, Step};
use super::types::FieldType;

/// What a change says: its day with the place of that, and the keys that it moves.
struct Change<'a> {
    on: Date,
    place: PlaceId,
    moves: Vec<Cow<'a, str>>,
    /// The part that was changed, where it is one.
    part: Option<PlaceId>,
}

/// Stale measurements in the order of reading, each with the day of the last change that made it so.
pub(super) fn stale(spec: &Spec) -> Box<[(PlaceId, PlaceId)]> {
    let changes = changes(spec);
    if changes.is_empty() {
        return Box::default();
    }
    let found = spec.car().filter_map(|(id, place)| {
        let Held::Quantity(quantity) = &place.held else { return None };
        let taken = quantity.taken?;
        let field = match place.at {
            Step::Axis(_) => spec.field(place.parent?)?,
            _ => spec.field(id)?,
        };
        let moved = |change: &&Change| {
            let of_the_part = change.part.is_some_and(|part| stands_in(spec, id, part));
            let moved_by = || field.moved_by.iter().any(|by| change.moves.iter().any(|of| overlap(by, of)));
            change.on > taken && (of_the_part || moved_by())
        };
        let last = changes.iter().filter(moved).max_by_key(|change| change.on)?;
        Some((id, last.place))
    });
    found.collect()
}

fn changes(spec: &Spec) -> Vec<Change<'_>> {
    let of_parts = spec.noted.changed.iter().filter_map(|(part, place)| {
        let Held::Date(on) = spec.held(*place) else { return None };
        Some(Change { on: *on, place: *place, moves: vec![keys(spec, *part).into()], part: Some(*part) })
    });
    listed(spec).into_iter().chain(of_parts).collect()
}

/// The changes that the build lists.
fn listed(spec: &Spec) -> Vec<Change<'_>> {
    let Some(Held::List { items, .. }) = spec.find("build.changes").map(|list| spec.held(list)) else {
        return Vec::new();
    };
    let one = |item: &PlaceId| {
        let path = spec.path(*item);
        let place = spec.find(&format!("{path}.on"))?;
        let Held::Date(on) = spec.held(place) else { return None };
        let Held::List { items, .. } = spec.held(spec.find(&format!("{path}.moves"))?) else { return None };
        let moves = items.iter().filter_map(|item| choice(spec, *item)).map(Cow::Borrowed).collect();
        Some(Change { on: *on, place, moves, part: None })
    };
    items.iter().filter_map(one).collect()
}

fn choice(spec: &Spec, place: PlaceId) -> Option<&str> {
    match (spec.held(place), spec.type_of(place)) {
        (Held::Choice(at), Some(FieldType::Choice(words))) => words.get(usize::from(*at)).map(|word| &**word),
        _ => None,
    }
}

/// The keys that lead to a record, without the names of items.
fn keys(spec: &Spec, record: PlaceId) -> String {
    let ancestors = std::iter::successors(Some(record), |at| spec.place(*at).parent);
    let mut keys: Vec<&str> = ancestors.filter_map(|at| spec.field(at)).map(|field| &*field.name).collect();
    keys.reverse();
    keys.join(".")
}

fn stands_in(spec: &Spec, place: PlaceId, record: PlaceId) -> bool {
    std::iter::successors(Some(place), |at| spec.place(*at).parent).any(|at| at == record)
}

/// Whether one key is the other or stands in it.
fn overlap(one: &str, other: &str) -> bool {
    let within =
        |outer: &str, inner: &str| inner.strip_prefix(outer).is_some_and(|r| r.is_empty() || r.starts_with('.'));
    within(one, other) || within(other, one)
}
