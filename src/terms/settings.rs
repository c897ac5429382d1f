//! Values that stand in for others: the load cases of a spec, and what is tried on it.
//!
//! In come paths with values, written as they would be at their own places; out come places behind those of the car, each of
//! which stands in for one of them, or the reason why none can. They are checked by the same types and told by the same words as
//! what is written at its own place.

use std::ops::Range;

use super::bundle::bundle_of;
use super::check::{check_value, keys_of, unknown_key};
use super::error::{TermsError, TermsProblem, WhyNotSet};
use super::keywords::{NONE, compile};
use super::nearest::nearest;
use super::read::Reader;
use super::spec::{Held, Noted, PlaceId, Setting, Spec, Step, Users};
use super::types::{Field, FieldType, ListId, ListMembers, RecordId, Slot, Types};
use crate::quantity::Kind;
use crate::source::{NodeId, SharedText, SourceError, Sources, Span, Tree, parse_file};

/// Faulty values that are told with all that the schema says of them; making a validator for each costs more than reading a
/// build.
const EXPLAINED: usize = 20;

/// The top keys that are about the files and not about the car.
const NOT_OF_THE_CAR: [&str; 5] = ["tramgauge", "build", "sections", "cases", "concessions"];

/// One setting as written.
struct Written<'a> {
    /// The record that it stands in.
    within: PlaceId,
    path: &'a str,
    path_span: Span,
    node: NodeId,
}

/// Where a path leads: a place of the car, and below that keys of sections which are not written.
struct Target {
    at: PlaceId,
    below: Vec<(RecordId, Slot)>,
}

/// A record that stands in for a section which is not written: what it stands in, what it stands in for, and itself.
type Made = (PlaceId, PlaceId, PlaceId);

/// Reads what the records put down in the reader put in, once every place of the car is read.
pub(super) fn put_in(reader: &mut Reader, sources: &Sources) -> Vec<(PlaceId, Vec<Setting>)> {
    let tree = reader.tree;
    let mut written = Vec::new();
    for (within, node) in std::mem::take(&mut reader.settings) {
        let entries = tree.entries(node).unwrap_or_default();
        written.extend(entries.iter().map(|e| Written { within, path: &e.key, path_span: e.key_span, node: e.value }));
    }
    let spec = seen(reader, sources);
    let targets: Vec<_> = written.iter().map(|w| target(&spec, w.path, tree, w.node)).collect();
    reader.places = spec.places;
    let mut put = PutIn { reader, sources, made: Vec::new(), explained: 0 };
    let mut out: Vec<(PlaceId, Vec<Setting>)> = Vec::new();
    for (written, target) in written.iter().zip(targets) {
        let Some(setting) = put.one(written, target) else { continue };
        match out.last_mut().filter(|(within, _)| *within == written.within) {
            Some((_, settings)) => settings.push(setting),
            None => out.push((written.within, vec![setting])),
        }
    }
    put.reader.names.sort_unstable();
    put.reader.resolve();
    out
}

/// The places read so far as a spec, for following paths; they are to be given back.
fn seen(reader: &mut Reader, sources: &Sources) -> Spec {
    let places = std::mem::take(&mut reader.places);
    Spec {
        sources: sources.clone(),
        types: reader.types.clone(),
        own: places.len(),
        places,
        users: Users::default(),
        stale: Box::default(),
        noted: Noted::default(),
        settings: Vec::new(),
    }
}

struct PutIn<'r, 'a> {
    reader: &'r mut Reader<'a>,
    sources: &'r Sources,
    made: Vec<Made>,
    explained: usize,
}

impl<'a> PutIn<'_, 'a> {
    fn one(&mut self, written: &Written, target: Result<Target, Fault>) -> Option<Setting> {
        let target = match target {
            Ok(target) => target,
            Err((range, problem)) => {
                let span = part_of(self.sources, written.path_span, written.path, range);
                self.reader.errors.push(TermsError { problem, span, other: None });
                return None;
            }
        };
        let span = self.reader.tree.node(written.node).span;
        let Some(((record, slot), above)) = target.below.split_last() else {
            let place = self.reader.new_place(span, written.within, Step::StandIn(target.at));
            let ty = type_at(self.reader, target.at);
            self.read(place, ty, written);
            return Some(Setting { target: target.at, value: place });
        };
        let known = self.made.iter().find(|m| (m.0, m.1) == (written.within, target.at)).map(|m| m.2);
        let stand_in = known.unwrap_or_else(|| {
            let place = self.reader.new_place(span, written.within, Step::StandIn(target.at));
            self.made.push((written.within, target.at, place));
            place
        });
        let mut at = stand_in;
        for (record, slot) in above {
            at = self.key_of(at, *record, *slot, span);
        }
        let place = self.key_of(at, *record, *slot, span);
        let types = self.reader.types;
        let ty = types.record(*record).field(*slot).map(|field| &field.ty);
        self.read(place, ty, written);
        known.is_none().then_some(Setting { target: target.at, value: stand_in })
    }

    /// The place of a key in a record that stands in, made where there is none yet.
    fn key_of(&mut self, at: PlaceId, record: RecordId, slot: Slot, label: Span) -> PlaceId {
        let held = self.reader.places.get(at.0 as usize).map(|place| &place.held);
        let first = match held {
            Some(Held::Record { first, .. }) => *first,
            _ => {
                let first = PlaceId(self.reader.places.len() as u32);
                for slot in 0..self.reader.types.record(record).fields.len() {
                    self.reader.new_place(label, at, Step::Key(Slot(slot as u16)));
                }
                self.reader.hold(at, Held::Record { ty: record, first });
                first
            }
        };
        PlaceId(first.0 + u32::from(slot.0))
    }

    fn read(&mut self, place: PlaceId, ty: Option<&'a FieldType>, written: &Written) {
        let node = self.reader.tree.node(written.node);
        if let Some(place) = self.reader.places.get_mut(place.0 as usize) {
            place.span = node.span;
            place.key_span = Some(written.path_span);
        }
        let Some(ty) = ty else { return self.reader.hold(place, Held::None) };
        let before = (self.reader.faulty, self.reader.refused.len());
        self.reader.faulty = false;
        self.reader.value(place, ty, written.node, written.path_span);
        let faulty = std::mem::replace(&mut self.reader.faulty, before.0);
        self.reader.refused.truncate(before.1);
        if faulty {
            let errors = self.explain(place, ty, written.node);
            self.reader.errors.extend(errors);
        }
    }

    /// What the schema says of a value that was not taken.
    fn explain(&mut self, place: PlaceId, ty: &FieldType, node: NodeId) -> Vec<TermsError> {
        let (types, tree) = (self.reader.types, self.reader.tree);
        let refused = |message: &str| TermsError {
            problem: TermsProblem::Refused { message: message.into() },
            span: tree.node(node).span,
            other: None,
        };
        self.explained += 1;
        if self.explained > EXPLAINED {
            return vec![refused("it does not fit there")];
        }
        let field = field_at(self.reader, place);
        match compile(&bundle_of(types, ty)) {
            Ok(validator) => {
                let errors =
                    check_value(types, &validator, (self.sources, tree, &self.reader.noted.sheets), node, (ty, field));
                if errors.is_empty() { vec![refused("it does not fit there")] } else { errors }
            }
            Err(message) => vec![refused(&message)],
        }
    }
}

/// What belongs at a place of the car; nothing for an item.
fn type_at<'a>(reader: &Reader<'a>, place: PlaceId) -> Option<&'a FieldType> {
    if let Some(field) = field_at(reader, place) {
        return Some(&field.ty);
    }
    let types = reader.types;
    let parent = reader.places.get(place.0 as usize)?.parent?;
    match &reader.places.get(parent.0 as usize)?.held {
        Held::List { ty, .. } => match &types.list(*ty).members {
            ListMembers::Values(ty) => Some(ty),
            ListMembers::Records(_) => None,
        },
        Held::Point { .. } => Some(&FieldType::Quantity(Kind::Length)),
        _ => None,
    }
}

fn field_at<'a>(reader: &Reader<'a>, place: PlaceId) -> Option<&'a Field> {
    let entry = reader.places.get(place.0 as usize)?;
    if let Step::StandIn(target) = entry.at {
        return field_at(reader, target);
    }
    let parent = reader.places.get(entry.parent?.0 as usize)?;
    let (Step::Key(slot), Held::Record { ty, .. }) = (entry.at, &parent.held) else { return None };
    let types = reader.types;
    types.record(*ty).field(slot)
}

/// Part of a key's place, where the key stands there letter by letter.
fn part_of(sources: &Sources, span: Span, text: &str, range: Range<usize>) -> Span {
    match sources.slice(span).find(text) {
        Some(at) => {
            let start = span.start + (at + range.start) as u32;
            Span { start, end: span.start + (at + range.end) as u32, ..span }
        }
        None => span,
    }
}

/// What is wrong with a path, and with which part of it.
pub type Fault = (Range<usize>, TermsProblem);

/// Follows a path to where its value is to stand in.
fn target(spec: &Spec, path: &str, tree: &Tree, node: NodeId) -> Result<Target, Fault> {
    let none = tree.scalar(node).is_some_and(|scalar| &*scalar.text == NONE);
    let whole = |why: WhyNotSet| (0..path.len(), TermsProblem::CannotBeSet { path: path.into(), why });
    let target = followed(spec, path)?;
    let top = path.split(['.', '/']).next().unwrap_or_default();
    // What a build is used for is of the car; what it is called and where it is registered is not.
    if NOT_OF_THE_CAR.contains(&top) && !path.starts_with("build.use") {
        return Err(whole(WhyNotSet::NotOfTheCar));
    }
    let (ty, naming) = match target.below.last() {
        Some((record, slot)) => {
            let record = spec.types().record(*record);
            (record.field(*slot).map(|field| &field.ty), record.naming == Some(*slot))
        }
        None => (spec.type_of(target.at), is_name(spec, target.at)),
    };
    match ty {
        _ if naming => Err(whole(WhyNotSet::ItsName)),
        None if !none => Err(whole(WhyNotSet::WholeItem)),
        Some(FieldType::List(list)) if !none && holds_items(spec.types(), *list) => Err(whole(WhyNotSet::Items)),
        _ => Ok(target),
    }
}

/// The place of a path that a person has written.
///
/// # Errors
/// What is wrong with it, and with which part of it.
pub fn find_value(spec: &Spec, path: &str) -> Result<PlaceId, Fault> {
    let target = followed(spec, path)?;
    if target.below.is_empty() {
        return Ok(target.at);
    }
    let path = spec.path(target.at);
    Err((0..path.len(), TermsProblem::CannotBeSet { path: path.into(), why: WhyNotSet::SectionUnwritten }))
}

fn holds_items(types: &Types, list: ListId) -> bool {
    matches!(types.list(list).members, ListMembers::Records(_))
}

fn is_name(spec: &Spec, place: PlaceId) -> bool {
    let entry = spec.place(place);
    match (entry.at, entry.parent.map(|parent| spec.held(parent))) {
        (Step::Key(slot), Some(Held::Record { ty, .. })) => spec.types().record(*ty).naming == Some(slot),
        _ => false,
    }
}

fn followed(spec: &Spec, path: &str) -> Result<Target, Fault> {
    let mut target = Target { at: spec.root(), below: Vec::new() };
    let mut rest = path;
    while !rest.is_empty() || target.at == spec.root() {
        let start = path.len() - rest.len();
        let so_far = |why| TermsProblem::CannotBeSet { path: path.get(..start).unwrap_or_default().into(), why };
        if let Some(item) = rest.strip_prefix('/') {
            let list = match spec.type_of(target.at) {
                Some(FieldType::List(list)) if target.below.is_empty() => *list,
                _ => return Err((start..path.len(), so_far(WhyNotSet::BelowAValue))),
            };
            let Some((found, after)) = spec.find_item(target.at, item) else {
                let name = item.split(['.', '/']).next().unwrap_or(item);
                return Err((start + 1..start + 1 + name.len(), no_item(spec, target.at, list, name)));
            };
            (target.at, rest) = (found, after);
            continue;
        }
        let keys = if start == 0 { rest } else { rest.strip_prefix('.').unwrap_or(rest) };
        let end = keys.find(['.', '/']).unwrap_or(keys.len());
        let (key, after) = keys.split_at(end);
        let range = path.len() - keys.len()..path.len() - after.len();
        rest = after;
        let record = match (target.below.last(), spec.held(target.at)) {
            (Some((record, slot)), _) => spec.types().record(*record).field(*slot).and_then(|f| record_of(&f.ty)),
            (None, Held::Record { ty, .. }) => Some(*ty),
            (None, Held::Point { first }) => {
                let Some(axis) = ["x", "y", "z"].iter().position(|axis| *axis == key) else {
                    return Err((range, so_far(WhyNotSet::BelowAValue)));
                };
                target.at = PlaceId(first.0 + axis as u32);
                continue;
            }
            (None, Held::List { .. }) => return Err((range, so_far(WhyNotSet::NoItemNamed))),
            (None, _) => spec.type_of(target.at).and_then(record_of),
        };
        let Some(id) = record else { return Err((range, so_far(WhyNotSet::BelowAValue))) };
        let Some(slot) = spec.types().record(id).slot(key) else {
            let (record, known) = keys_of(spec.types(), id);
            return Err((range, unknown_key(spec.types(), key, &record, &known)));
        };
        match spec.key(target.at, slot).filter(|_| target.below.is_empty()) {
            Some(place) => target.at = place,
            None => target.below.push((id, slot)),
        }
    }
    Ok(target)
}

fn record_of(ty: &FieldType) -> Option<RecordId> {
    if let FieldType::Record(record) = ty { Some(*record) } else { None }
}

fn no_item(spec: &Spec, list: PlaceId, ty: ListId, name: &str) -> TermsProblem {
    let items = spec.items(list).unwrap_or_default();
    let known: Vec<&str> = items.iter().filter_map(|item| spec.name(*item)).collect();
    TermsProblem::Dangling {
        name: name.into(),
        list: spec.types().list(ty).path.clone(),
        nearest: nearest(name, known.iter().copied()).map(SharedText::from),
        known: known.into_iter().map(SharedText::from).collect(),
    }
}

/// What is wrong with a text of settings.
#[derive(Debug, Clone, PartialEq)]
pub enum SettingError {
    /// It is not of the form `path = value; path = value`; words and place.
    Form(&'static str, Span),
    /// A value cannot be read as YAML.
    Source(SourceError),
    /// The terms do not allow it.
    Terms(TermsError),
}

/// A spec with values to be put in, in groups; none of them counts until it is asked for.
#[derive(Debug, Clone)]
pub struct Settings {
    /// The spec as it was, with further places behind its own, and with the texts of the settings.
    pub spec: Spec,
    /// The settings of each text.
    pub groups: Vec<Vec<Setting>>,
}

/// Reads texts of the form `path = value; path = value` against a spec. A value that holds a semicolon is quoted.
///
/// # Errors
/// Everything that is wrong, with the sources that it points into.
pub fn read_settings(spec: &Spec, texts: &[&str]) -> Result<Settings, (Sources, Vec<SettingError>)> {
    let mut sources = spec.sources.clone();
    let mut tree = Tree::new();
    let mut errors = Vec::new();
    let mut written: Vec<(usize, String, Span, NodeId)> = Vec::new();
    for (group, text) in texts.iter().enumerate() {
        // Values are read by themselves, as a file of the same number as the text's, so that their nodes point into that.
        let before = sources.clone();
        let file = sources.add("try", (*text).into());
        for part in parts(text) {
            let span = |range: Range<usize>| Span { file, start: range.start as u32, end: range.end as u32 };
            let Some(equals) = text.get(part.clone()).and_then(|t| t.find('=')).map(|at| part.start + at) else {
                errors.push(SettingError::Form("a setting is written `path = value`", span(trimmed(text, part))));
                continue;
            };
            let (path, value) = (trimmed(text, part.start..equals), trimmed(text, equals + 1..part.end));
            if path.is_empty() || value.is_empty() {
                let words =
                    if path.is_empty() { "there is no path in front of this" } else { "there is no value behind this" };
                errors.push(SettingError::Form(words, span(equals..equals + 1)));
                continue;
            }
            let mut alone = " ".repeat(value.start);
            alone.push_str(text.get(value.clone()).unwrap_or_default());
            let (node, wrong) = parse_file(&mut before.clone(), "try", alone.as_bytes(), &mut tree);
            errors.extend(wrong.into_iter().map(SettingError::Source));
            if let Some(node) = node {
                let path_text = text.get(path.clone()).unwrap_or_default().to_string();
                written.push((group, path_text, span(path), node));
            }
        }
    }
    let types = spec.types.clone();
    let mut reader = Reader {
        types: &types,
        tree: &tree,
        places: spec.places.clone(),
        names: names(spec),
        references: Vec::new(),
        errors: Vec::new(),
        refused: Vec::new(),
        uncertain: Vec::new(),
        faulty: false,
        settings: Vec::new(),
        noted: spec.noted.clone(),
    };
    let targets: Vec<_> = written.iter().map(|(_, path, _, node)| target(spec, path, &tree, *node)).collect();
    let mut put = PutIn { reader: &mut reader, sources: &sources, made: Vec::new(), explained: 0 };
    let mut groups: Vec<Vec<Setting>> = vec![Vec::new(); texts.len()];
    let mut last = 0;
    for ((group, path, path_span, node), target) in written.iter().zip(targets) {
        let written = Written { within: spec.root(), path, path_span: *path_span, node: *node };
        // Sections that stand in are shared within one group only.
        if std::mem::replace(&mut last, *group) != *group {
            put.made.clear();
        }
        let setting = put.one(&written, target);
        if let Some(group) = groups.get_mut(*group) {
            group.extend(setting);
        }
    }
    reader.names.sort_unstable();
    reader.resolve();
    errors.extend(reader.errors.drain(..).map(SettingError::Terms));
    if !errors.is_empty() {
        return Err((sources, errors));
    }
    let (places, noted) = (std::mem::take(&mut reader.places), std::mem::take(&mut reader.noted));
    Ok(Settings { spec: Spec { sources, places, noted, ..spec.clone() }, groups })
}

/// The pieces of a text between its semicolons, those in quotes and brackets left whole.
fn parts(text: &str) -> Vec<Range<usize>> {
    let mut parts = Vec::new();
    let (mut start, mut quote, mut depth) = (0, None, 0usize);
    for (at, c) in text.char_indices() {
        match (quote, c) {
            (Some(open), c) if c == open => quote = None,
            (Some(_), _) => {}
            (None, '"') => quote = Some(c),
            (None, '[' | '{') => depth += 1,
            (None, ']' | '}') => depth = depth.saturating_sub(1),
            (None, ';') if depth == 0 => {
                parts.push(start..at);
                start = at + 1;
            }
            _ => {}
        }
    }
    parts.push(start..text.len());
    // A semicolon at the end separates nothing.
    if parts.len() > 1 && parts.last().is_some_and(|last| trimmed(text, last.clone()).is_empty()) {
        parts.pop();
    }
    parts
}

fn trimmed(text: &str, range: Range<usize>) -> Range<usize> {
    let part = text.get(range.clone()).unwrap_or_default();
    let start = range.start + part.len() - part.trim_start().len();
    start..start + part.trim().len()
}

/// The names of all items of lists of the car, for references.
fn names(spec: &Spec) -> Vec<(ListId, &str, PlaceId)> {
    let mut names: Vec<_> = spec
        .car()
        .filter_map(|(id, place)| match spec.held(place.parent?) {
            Held::List { ty, .. } => Some((*ty, spec.name(id)?, id)),
            _ => None,
        })
        .collect();
    names.sort_unstable();
    names
}
