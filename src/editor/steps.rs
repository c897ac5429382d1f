//! From places of a spec to changes of its files: the way to a value, the file that it belongs in, and what has become of
//! the text, as one edit.

use std::ops::Range;

use super::judged::Judged;
use crate::repository::SETTINGS_FILE;
use crate::source::{EditStep, EditedFile, FileId, NewValue};
use crate::terms::{FieldType, PlaceId, RecordId, Spec, Step};

/// The way to a place that is written, or is a key of a record that is.
pub fn steps_to(spec: &Spec, place: PlaceId) -> Vec<EditStep> {
    let mut steps = Vec::new();
    let mut at = place;
    while let Some(parent) = spec.place(at).parent {
        match spec.place(at).at {
            Step::Key(_) => {
                if let (Some(field), crate::terms::Held::Record { ty, .. }) = (spec.field(at), spec.held(parent)) {
                    steps.push(key_step(spec, *ty, &field.name));
                }
            }
            Step::Item(index) => steps.push(EditStep::At(index as usize)),
            Step::Axis(axis) => steps.push(EditStep::At(usize::from(axis))),
            Step::StandIn(target) => steps.push(EditStep::Key { key: spec.path(target), behind: Vec::new() }),
            Step::Root | Step::Changed => {}
        }
        at = parent;
    }
    steps.reverse();
    steps
}

/// The way to a value of that path which is not written, from the nearest place that is; and the type of it.
pub fn steps_below(spec: &Spec, place: PlaceId, path: &str) -> Option<(Vec<EditStep>, FieldType)> {
    let mut steps = steps_to(spec, place);
    let mut ty = spec.type_of(place).cloned();
    let below = path.strip_prefix(&spec.path(place))?;
    for name in below.split('.').filter(|name| !name.is_empty()) {
        let record = match ty {
            Some(FieldType::Record(record)) => record,
            None => spec.types().root(),
            Some(_) => return None,
        };
        let of = spec.types().record(record);
        ty = Some(of.field(of.slot(name)?)?.ty.clone());
        steps.push(key_step(spec, record, name));
    }
    Some((steps, ty?))
}

/// The step to a key, which is put behind those that are before it in the terms.
fn key_step(spec: &Spec, record: RecordId, name: &str) -> EditStep {
    let fields = &spec.types().record(record).fields;
    let before = fields.iter().take_while(|field| &*field.name != name).map(|field| field.name.to_string());
    EditStep::Key { key: name.to_owned(), behind: before.collect() }
}

/// One file of a build with a change.
pub struct Changed {
    /// Its path from the repository's root.
    pub path: String,
    /// The bytes that are replaced.
    pub range: Range<usize>,
    /// By what.
    pub text: String,
}

/// Puts values into the file of a build that has most of the way to the first; of several the one whose name is that of
/// the section, then `near`, then the first. `after` may change the text once more.
pub fn put(
    judged: &Judged,
    near: &str,
    values: &[(Vec<EditStep>, NewValue)],
    after: impl Fn(&str) -> String,
) -> Option<Changed> {
    let sources = &judged.spec.sources;
    let first = &values.first()?.0;
    let section = match first.first() {
        Some(EditStep::Key { key, .. }) => key.as_str(),
        _ => "",
    };
    // What is said of one car belongs in its own files, not in a data sheet or in the settings that others share.
    let own = |id: &FileId| !judged.spec.sheets().holds(*id) && sources.name(*id) != SETTINGS_FILE;
    let files =
        sources.ids().filter(own).filter_map(|id| EditedFile::read(sources.name(id), sources.text(id).as_bytes()).ok());
    let stem = |file: &EditedFile| {
        let name = file.name().rsplit('/').next().unwrap_or_default();
        name.split('.').next() == Some(section)
    };
    let rank =
        |(at, file): &(usize, EditedFile)| (file.reach(first), stem(file), file.name() == near, std::cmp::Reverse(*at));
    let (_, mut file) = files.enumerate().max_by_key(rank)?;
    let before = file.text().to_owned();
    for (steps, value) in values {
        file.put(steps, value).ok()?;
    }
    let now = after(file.text());
    // What was changed by hand afterwards must still be what YAML reads.
    EditedFile::read(file.name(), now.as_bytes()).ok()?;
    let (range, text) = difference(&before, &now);
    Some(Changed { path: file.name().to_owned(), range, text })
}

/// The shortest stretch whose replacement makes one text of the other.
fn difference(before: &str, now: &str) -> (Range<usize>, String) {
    let mut start = before.bytes().zip(now.bytes()).take_while(|(a, b)| a == b).count();
    while !(before.is_char_boundary(start) && now.is_char_boundary(start)) {
        start -= 1;
    }
    let most = before.len().min(now.len()) - start;
    let mut end = before.bytes().rev().zip(now.bytes().rev()).take(most).take_while(|(a, b)| a == b).count();
    while !(before.is_char_boundary(before.len() - end) && now.is_char_boundary(now.len() - end)) {
        end -= 1;
    }
    (start..before.len() - end, now.get(start..now.len() - end).unwrap_or_default().to_owned())
}

#[cfg(test)]
mod tests {
    use super::difference;

    #[test]
    fn differences_are_short_and_keep_characters_whole() {
        for (before, now, range, text) in [
            ("a: 1\n", "a: 1\nb: 2\n", 5..5, "b: 2\n"),
            ("aaa", "aaaa", 3..3, "a"),
            ("é", "è", 0..2, "è"),
            ("x 3° y", "x 3é y", 3..5, "é"),
            ("same", "same", 4..4, ""),
            ("", "x", 0..0, "x"),
        ] {
            assert_eq!(difference(before, now), (range, text.to_owned()), "{before:?} {now:?}");
        }
    }
}
