//! A value in another unit of its kind, as exactly as it was written.

use super::{Asked, Offer};
use crate::editor::proposals::quoted;
use crate::editor::steps::{put, steps_to};
use crate::editor::units::usual;
use crate::quantity::{Digits, Kind, UnitId, parse, show};
use crate::source::{EditStep, EditedFile, NewValue};
use crate::terms::Held;

/// By how much a converted value may differ, as a share: far less than any gauge of a workshop shows.
const EXACT: f64 = 1e-6;

/// The value at what is marked, in each other usual unit.
pub fn offers(asked: &Asked) -> Vec<Offer> {
    let Some(found) = asked.judged.place_at(asked.file, asked.from).filter(|found| !found.on_key) else {
        return Vec::new();
    };
    let spec = &asked.judged.spec;
    let Held::Quantity(now) = spec.held(found.place) else { return Vec::new() };
    let (kind, texts) = (now.kind, &spec.sources);
    let mut steps = steps_to(spec, found.place);
    let Ok(file) = EditedFile::read(texts.name(asked.file), texts.text(asked.file).as_bytes()) else {
        return Vec::new();
    };
    if file.scalar(&steps).is_none() {
        steps.push(EditStep::Key { key: "is".into(), behind: Vec::new() });
    }
    let Some(scalar) = file.scalar(&steps) else { return Vec::new() };
    let Ok(as_written) = parse(scalar, kind) else { return Vec::new() };
    let others = usual(kind).into_iter().filter(|(_, unit)| *unit != now.unit);
    let converted = others.filter_map(|(_, unit)| {
        let mut text = exactly(as_written.si, kind, unit)?;
        if let Some(uncertainty) = as_written.give_or_take {
            let difference = kind.difference().unwrap_or(kind);
            text = format!("{text} ± {}", exactly(uncertainty, difference, unit)?);
        }
        let changed = put(asked.judged, asked.path, &[(steps.clone(), NewValue::Text(text.clone()))], str::to_owned)?;
        let title = format!("Write it as `{}`", quoted(&text));
        Some(Offer { title, mends: false, preferred: false, about: None, changed })
    });
    converted.collect()
}

/// A value in a unit with as few digits as say it exactly enough.
fn exactly(si: f64, kind: Kind, unit: UnitId) -> Option<String> {
    (3..=9)
        .map(|digits| show(si, kind.into(), Some(unit), Some(Digits::Significant(digits))))
        .find(|text| parse(text, kind).is_ok_and(|read| (read.si - si).abs() <= EXACT * si.abs()))
}
