//! Writes a filled measuring list into the files of a spec.
//!
//! In come the filled lines, the spec and its files; out come the changed files, or everything that stands against it. What was
//! measured on this car is written in the build's own files: where a part's data sheet says the value, beside the use of
//! the sheet. A new measurement takes the place of the old one with all that was said of it: how it was known, when, how well, and
//! by what evidence.

use jiff::civil::Date;

use super::bundle::LONG_FORM;
use super::filled::{Answer, Filled, Misfit};
use super::round::steps as steps_of;
use super::spec::{Held, KnownBy, PlaceId, Spec, Step};
use super::types::{FieldType, ListMembers, RecordId, RecordType};
use crate::source::{EditStep, EditedFile, NewValue};

/// Puts all filled lines into the files, the build's first; `now` says what stands at a place, as the list shows it.
///
/// # Errors
/// Every line that does not fit; the files are then of no use.
pub fn take(
    filled: &[Filled],
    spec: &Spec,
    files: &mut [EditedFile],
    on: Date,
    now: &dyn Fn(PlaceId) -> Option<String>,
) -> Result<(), Vec<Misfit>> {
    let mut misfits = Vec::new();
    for line in filled {
        let put = conflict(line, spec, now).map_or(Ok(()), Err).and_then(|()| {
            let steps = steps_to(spec, &line.asked.path).ok_or("nothing can be written at this path")?;
            let mut best: Option<(usize, &mut EditedFile)> = None;
            for file in files.iter_mut() {
                let reach = file.reach(&steps);
                if best.as_ref().is_none_or(|(most, _)| reach > *most) {
                    best = Some((reach, file));
                }
            }
            let (_, file) = best.ok_or("the build has no files")?;
            write(file, &steps, &line.answer, on).map_err(|problem| format!("{}: {}", file.name(), problem.message()))
        });
        if let Err(message) = put {
            misfits.push(Misfit { line: line.line, message: format!("{}: {message}", line.asked.path), help: None });
        }
    }
    if misfits.is_empty() { Ok(()) } else { Err(misfits) }
}

/// Why a value must not be taken: the spec says something else than when the list was printed, or a measurement that still holds.
fn conflict(line: &Filled, spec: &Spec, now: &dyn Fn(PlaceId) -> Option<String>) -> Option<String> {
    use super::filled::Then;
    let stands = line.asked.place.and_then(now);
    let said = match (&line.then, &stands) {
        (Some(Then::NotWritten), None) => return None,
        (Some(Then::Was(was)), Some(stands)) if was == stands => return None,
        (Some(Then::NotWritten), Some(stands)) => {
            format!("the list was printed without it, and the spec now says {stands}")
        }
        (Some(Then::Was(was)), stands) => {
            let stands = stands.as_deref().unwrap_or("nothing");
            format!("the list was printed for {was}, and the spec now says {stands}")
        }
        (None, Some(stands)) => {
            let place = line.asked.place?;
            let Held::Quantity(quantity) = spec.held(place) else { return None };
            if quantity.known_by != Some(KnownBy::Measured) || spec.changed_after(place).is_some() {
                return None;
            }
            format!("the spec says {stands}")
        }
        (None, None) => return None,
    };
    Some(format!("{said}; print a new list"))
}

/// The steps to a path, with the usual order of keys around each, whether it is written or not.
fn steps_to(spec: &Spec, path: &str) -> Option<Vec<EditStep>> {
    let mut steps = Vec::new();
    let mut end = path.len();
    let at = loop {
        match spec.find(path.get(..end)?) {
            Some(place) => break place,
            None => end = path.get(..end)?.rfind(['.', '/']).unwrap_or(0),
        }
    };
    let mut above: Vec<PlaceId> = std::iter::successors(Some(at), |at| spec.place(*at).parent).collect();
    above.reverse();
    for place in above {
        match spec.place(place).at {
            Step::Root => {}
            Step::Key(_) => {
                let Some(Held::Record { ty, .. }) = spec.place(place).parent.map(|parent| spec.held(parent)) else {
                    return None;
                };
                steps.push(key(spec.types().record(*ty), &spec.field(place)?.name));
            }
            Step::Item(index) => steps.push(item(spec, place).unwrap_or(EditStep::At(index as usize))),
            Step::Axis(_) | Step::Changed | Step::StandIn(_) => return None,
        }
    }
    let mut records = records_at(spec, at);
    let rest = path.get(end..)?;
    for (word, item, end) in steps_of(rest) {
        if item {
            let next = rest.get(end..)?.trim_start_matches('.').split(['.', '/']).next()?;
            // Of a mixed list the only sort of item that has the key.
            records.retain(|record| spec.types().record(*record).slot(next).is_some());
            let [record] = records[..] else { return None };
            let record = spec.types().record(record);
            let naming = record.field(record.naming?)?.name.to_string();
            steps.push(EditStep::Item { naming, name: word.to_string() });
        } else {
            let record =
                records.iter().map(|id| spec.types().record(*id)).find(|record| record.slot(word).is_some())?;
            steps.push(key(record, word));
            records = below(spec, &record.field(record.slot(word)?)?.ty);
        }
    }
    Some(steps)
}

fn key(record: &RecordType, name: &str) -> EditStep {
    let behind = record.fields.iter().map(|field| field.name.to_string()).take_while(|other| other != name).collect();
    EditStep::Key { key: name.to_string(), behind }
}

/// The item by its name, if it is the first of that name in its list.
fn item(spec: &Spec, place: PlaceId) -> Option<EditStep> {
    let name = spec.name(place)?;
    let Held::Record { ty, .. } = spec.held(place) else { return None };
    let record = spec.types().record(*ty);
    let naming = record.field(record.naming?)?.name.to_string();
    let Held::List { items, .. } = spec.held(spec.place(place).parent?) else { return None };
    let first = items.iter().find(|item| spec.name(**item) == Some(name));
    (first == Some(&place)).then(|| EditStep::Item { naming, name: name.to_string() })
}

fn records_at(spec: &Spec, at: PlaceId) -> Vec<RecordId> {
    match (spec.held(at), spec.type_of(at)) {
        (Held::Record { ty, .. }, _) => vec![*ty],
        (_, Some(ty)) => below(spec, ty),
        _ => Vec::new(),
    }
}

pub(super) fn below(spec: &Spec, ty: &FieldType) -> Vec<RecordId> {
    match ty {
        FieldType::Record(record) => vec![*record],
        FieldType::List(list) => match &spec.types().list(*list).members {
            ListMembers::Records(records) => records.clone(),
            ListMembers::Values(_) => Vec::new(),
        },
        _ => Vec::new(),
    }
}

fn write(
    file: &mut EditedFile,
    steps: &[EditStep],
    answer: &Answer,
    on: Date,
) -> Result<(), crate::source::EditProblem> {
    match answer {
        Answer::None => file.put(steps, &NewValue::Plain("none".into())).map(drop),
        Answer::Bare(word) => file.put(steps, &NewValue::Plain(word.clone())).map(drop),
        Answer::Text(text) => file.put(steps, &NewValue::Text(text.clone())).map(drop),
        Answer::Quantity(is, give_or_take) => quantity(file, steps, is, give_or_take.as_deref(), on),
        Answer::Point(axes, give_or_take) if file.items(steps) == Some(3) => {
            axes.iter().enumerate().try_for_each(|(at, is)| {
                let axis = [steps, &[EditStep::At(at)]].concat();
                quantity(file, &axis, is, give_or_take.as_deref(), on)
            })
        }
        Answer::Point(axes, give_or_take) => {
            let axes = axes.iter().map(|is| NewValue::Map(long_form(is, give_or_take.as_deref(), on)));
            file.put(steps, &NewValue::List(axes.collect())).map(drop)
        }
    }
}

/// A measurement in the long form.
fn long_form(is: &str, give_or_take: Option<&str>, on: Date) -> Vec<(String, NewValue)> {
    let mut parts = vec![("is", is.to_string())];
    parts.extend(give_or_take.map(|text| ("give_or_take", text.to_string())));
    parts.extend([("known_by", KnownBy::Measured.word().to_string()), ("taken", on.to_string())]);
    parts.into_iter().map(|(key, text)| (key.to_string(), NewValue::Text(text))).collect()
}

/// Puts a measurement in place of what stands there; one in the long form keeps its layout and its comments.
fn quantity(
    file: &mut EditedFile,
    steps: &[EditStep],
    is: &str,
    give_or_take: Option<&str>,
    on: Date,
) -> Result<(), crate::source::EditProblem> {
    let new = long_form(is, give_or_take, on);
    let Some(keys) = file.keys(steps) else { return file.put(steps, &NewValue::Map(new)).map(drop) };
    let part = |key: &str| {
        let behind = LONG_FORM.iter().take_while(|other| **other != key).map(ToString::to_string).collect();
        [steps, &[EditStep::Key { key: key.to_string(), behind }]].concat()
    };
    for (key, value) in &new {
        file.put(&part(key), value)?;
    }
    for key in keys.iter().filter(|key| !new.iter().any(|(kept, _)| kept == *key)) {
        file.remove(&part(key))?;
    }
    Ok(())
}
