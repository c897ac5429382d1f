//! What a thing of a spec says, apart from its name, its units and how its values are known: two things that say the same
//! are the same, whatever they are called and however their numbers are written.

use crate::source::Span;
use crate::terms::{Held, PlaceId, Spec, SpecQuantity};
use std::fmt::Write as _;

/// By what share two numbers may differ and still be the same: what a conversion of units rounds.
const ROUNDING: f64 = 1e-9;

/// Whether two numbers are the same but for rounding.
pub(super) fn same_number(a: f64, b: f64) -> bool {
    (a - b).abs() <= ROUNDING * a.abs().max(b.abs())
}

/// Whether two quantities have the same value.
pub(super) fn same_value(a: &SpecQuantity, b: &SpecQuantity) -> bool {
    same_number(a.si, b.si)
}

/// Whether two quantities are known the same way, on the same day, with the same uncertainty.
pub(super) fn same_knowledge(a: &SpecQuantity, b: &SpecQuantity) -> bool {
    let uncertainty = match (a.give_or_take, b.give_or_take) {
        (Some(a), Some(b)) => same_number(a, b),
        (a, b) => a == b,
    };
    uncertainty && a.known_by == b.known_by && a.taken == b.taken
}

/// How a reference is told in a thing's content.
pub(super) type Target<'a> = &'a dyn Fn(PlaceId) -> String;

/// What a thing says, without the name of the thing itself; nothing if it says nothing.
pub(super) fn content(spec: &Spec, place: PlaceId, target: Target) -> String {
    let mut out = String::new();
    write(spec, place, true, target, &mut out);
    out
}

fn write(spec: &Spec, place: PlaceId, top: bool, target: Target, out: &mut String) {
    match spec.held(place) {
        Held::Unwritten => {}
        Held::None => out.push_str("none"),
        Held::Unreadable => out.push_str(text_of(spec, spec.place(place).span)),
        // Nine digits of ten, so that what was rounded in a conversion reads the same.
        Held::Quantity(q) => {
            let _ = write!(out, "{:.8e}", q.si);
        }
        Held::Text(text) => {
            let _ = write!(out, "{text:?}");
        }
        Held::Choice(at) => {
            let _ = write!(out, "choice {at}");
        }
        Held::YesNo(yes) => {
            let _ = write!(out, "{yes}");
        }
        Held::Date(date) => {
            let _ = write!(out, "{date}");
        }
        Held::Designation(designation) => {
            let _ = write!(out, "{designation}");
        }
        Held::Reference(item) => out.push_str(&target(*item)),
        Held::Point { first } => {
            for axis in 0..3 {
                write(spec, PlaceId(first.0 + axis), false, target, out);
                out.push(' ');
            }
        }
        Held::Record { ty, first } => {
            let record = spec.types().record(*ty);
            for (slot, _) in record.fields.iter().enumerate() {
                let name = top && record.naming.is_some_and(|naming| usize::from(naming.0) == slot);
                let value = PlaceId(first.0 + slot as u32);
                if name || matches!(spec.held(value), Held::Unwritten) {
                    continue;
                }
                let _ = write!(out, "{slot}=");
                write(spec, value, false, target, out);
                out.push(';');
            }
        }
        Held::List { items, .. } => {
            let mut each: Vec<String> = items
                .iter()
                .map(|item| {
                    let mut one = String::new();
                    write(spec, *item, false, target, &mut one);
                    one
                })
                .collect();
            each.sort();
            let _ = write!(out, "[{}]", each.join(","));
        }
    }
}

/// The text of a place, if it is one.
pub(super) fn text_of(spec: &Spec, span: Span) -> &str {
    spec.sources.text(span.file).get(span.start as usize..span.end as usize).unwrap_or_default()
}

/// Every written value in a thing, by its path from there; the name of the thing itself left out.
pub(super) fn leaves(spec: &Spec, place: PlaceId) -> Vec<(String, PlaceId)> {
    let mut out = Vec::new();
    gather(spec, place, "", true, &mut out);
    out
}

fn gather(spec: &Spec, place: PlaceId, path: &str, top: bool, out: &mut Vec<(String, PlaceId)>) {
    match spec.held(place) {
        Held::Unwritten => {}
        Held::Record { ty, first } => {
            let record = spec.types().record(*ty);
            for (slot, field) in record.fields.iter().enumerate() {
                let name = top && record.naming.is_some_and(|naming| usize::from(naming.0) == slot);
                if !name {
                    let dot = if path.is_empty() { "" } else { "." };
                    let (place, path) = (PlaceId(first.0 + slot as u32), format!("{path}{dot}{}", field.name));
                    gather(spec, place, &path, false, out);
                    for setting in spec.settings(place) {
                        gather(spec, setting.value, &format!("{path}.{}", spec.path(setting.target)), false, out);
                    }
                }
            }
        }
        Held::List { items, .. } => {
            for (at, item) in items.iter().enumerate() {
                let name = spec.name(*item).map_or_else(|| (at + 1).to_string(), str::to_string);
                gather(spec, *item, &format!("{path}/{name}"), true, out);
            }
        }
        _ => out.push((path.to_string(), place)),
    }
}
