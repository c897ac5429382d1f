//! Named components: the one that a place names or refers to, where it is named, and everything that refers to it.

use super::judged::Judged;
use crate::source::Span;
use crate::terms::{Held, PlaceId, Spec};

/// The named item that a byte is about: one that is named there, or one that is referred to there.
pub fn target_at(judged: &Judged, file: crate::source::FileId, byte: u32) -> Option<PlaceId> {
    let found = judged.place_at(file, byte).filter(|found| !found.on_key)?;
    match judged.spec.held(found.place) {
        Held::Reference(target) => Some(*target),
        Held::Text(_) => {
            let item = judged.spec.place(found.place).parent?;
            (name_of(&judged.spec, item) == Some(found.place)).then_some(item)
        }
        _ => None,
    }
}

/// The place of an item's name.
pub fn name_of(spec: &Spec, item: PlaceId) -> Option<PlaceId> {
    let Held::Record { ty, .. } = spec.held(item) else { return None };
    let naming = spec.key(item, spec.types().record(*ty).naming?)?;
    spec.place(naming).key_span.map(|_| naming)
}

/// Where an item is named, and where it is referred to, in the order of reading.
pub fn mentions(spec: &Spec, item: PlaceId) -> (Option<Span>, Vec<Span>) {
    let name = name_of(spec, item).map(|name| spec.place(name).span);
    let refers = spec.places().filter(|(_, place)| matches!(place.held, Held::Reference(target) if target == item));
    (name, refers.map(|(_, place)| place.span).collect())
}
