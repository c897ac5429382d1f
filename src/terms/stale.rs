//! Measurements that a later change of the car has made stale: those dated before a change of something that moves them.
//!
//! In comes a spec that is read but for this; out come pairs of places, the measurement's and that of the day of the change.

use jiff::civil::Date;

use super::spec::{Held, PlaceId, Spec, Step};
use super::types::FieldType;

/// What a change says: its day with the place of that, and the keys that it moves.
struct Change<'a> {
    on: Date,
    place: PlaceId,
    moves: Vec<&'a str>,
}

/// Stale measurements in the order of reading, each with the day of the last change that made it so.
pub(super) fn stale(spec: &Spec) -> Box<[(PlaceId, PlaceId)]> {
    let changes = changes(spec);
    if changes.is_empty() {
        return Box::default();
    }
    let found = spec.places().filter_map(|(id, place)| {
        let Held::Quantity(quantity) = &place.held else { return None };
        let taken = quantity.taken?;
        let field = match place.at {
            Step::Axis(_) => spec.field(place.parent?)?,
            _ => spec.field(id)?,
        };
        let moved = |change: &&Change| {
            change.on > taken && field.moved_by.iter().any(|by| change.moves.iter().any(|of| overlap(by, of)))
        };
        let last = changes.iter().filter(moved).max_by_key(|change| change.on)?;
        Some((id, last.place))
    });
    found.collect()
}

fn changes(spec: &Spec) -> Vec<Change<'_>> {
    let Some(Held::List { items, .. }) = spec.find("build.changes").map(|list| spec.held(list)) else {
        return Vec::new();
    };
    let one = |item: &PlaceId| {
        let path = spec.path(*item);
        let place = spec.find(&format!("{path}.on"))?;
        let Held::Date(on) = spec.held(place) else { return None };
        let Held::List { items, .. } = spec.held(spec.find(&format!("{path}.moves"))?) else { return None };
        Some(Change { on: *on, place, moves: items.iter().filter_map(|item| choice(spec, *item)).collect() })
    };
    items.iter().filter_map(one).collect()
}

fn choice(spec: &Spec, place: PlaceId) -> Option<&str> {
    match (spec.held(place), spec.type_of(place)) {
        (Held::Choice(at), Some(FieldType::Choice(words))) => words.get(usize::from(*at)).map(|word| &**word),
        _ => None,
    }
}

/// Whether one key is the other or stands in it.
fn overlap(one: &str, other: &str) -> bool {
    let within =
        |outer: &str, inner: &str| inner.strip_prefix(outer).is_some_and(|r| r.is_empty() || r.starts_with('.'));
    within(one, other) || within(other, one)
}
