//! Holds a located tree against the compiled schema and turns what the validator finds into [`TermsError`]s with places.
//!
//! The validator names a failing value by the path of keys and numbers that leads to it; the same path, walked through the
//! tree and the types together, gives the place and what belongs there.

use std::collections::BTreeSet;
use std::sync::Arc;

use jsonschema::Validator;
use jsonschema::error::ValidationErrorKind;
use jsonschema::paths::LocationSegment;

use super::bundle::{KNOWN_BY, LONG_FORM};
use super::error::{Found, TermsError, TermsProblem, Wanted};
use super::evidence::{EVIDENCE, EVIDENCE_KEYS};
use super::keywords::{Finding, Reading};
use super::lay::CHANGED_KEY;
use super::nearest::nearest;
use super::node::{At, Form, LocatedJson, form_of};
use super::types::{Field, FieldType, ListMembers, RecordId, Types};
use crate::quantity::Kind;
use crate::source::{Content, NodeId, PART_KEY, Parts, SharedText, Sources, Span, Tree, commented_value, place_in};

/// What validation has found.
pub(super) struct Checked {
    pub(super) errors: Vec<TermsError>,
    /// The values which did not pass.
    pub(super) refused: BTreeSet<NodeId>,
}

/// Validates a build.
pub(super) fn check(
    types: &Types,
    validator: &Validator<LocatedJson>,
    sources: &Sources,
    tree: &Tree,
    root: NodeId,
    sheets: &Parts,
) -> Checked {
    let top = Located { node: root, belongs: Belongs::Record(types.root()), field: None, used: None };
    check_at(types, validator, (sources, tree, sheets), top)
}

/// Validates one value by a validator made for its type alone.
pub(super) fn check_value<'a>(
    types: &'a Types,
    validator: &Validator<LocatedJson>,
    texts: (&Sources, &Tree, &Parts),
    node: NodeId,
    (ty, field): (&'a FieldType, Option<&'a Field>),
) -> Vec<TermsError> {
    check_at(types, validator, texts, Located { node, belongs: ty.into(), field, used: None }).errors
}

fn check_at<'a>(
    types: &'a Types,
    validator: &Validator<LocatedJson>,
    (sources, tree, sheets): (&Sources, &Tree, &Parts),
    top: Located<'a>,
) -> Checked {
    let root = top.node;
    let reading = Reading::new(tree);
    let mut check = Check { types, sources, tree, sheets, errors: Vec::new(), refused: BTreeSet::new() };
    let found: Vec<_> = validator.iter_errors(At::Node(&reading, root)).collect();
    let mut custom = 0usize;
    for error in &found {
        if matches!(error.kind(), ValidationErrorKind::Custom { .. }) {
            custom += 1;
            continue;
        }
        if let Some(at) = check.locate(top, error.instance_path().segments()) {
            check.word(&at, error.kind(), &|| error.to_string());
        }
    }
    drop(found);
    let findings = reading.close();
    debug_assert!(custom == findings.len(), "each finding of a keyword of ours has put down its problem");
    for Finding { node, range, problem } in findings {
        let whole = tree.node(node);
        let span = range.map_or(whole.span, |range| place_in(sources, whole, range));
        check.refuse(node, span, problem);
    }
    Checked { errors: check.errors, refused: check.refused }
}

/// What messages call a record, and its keys.
pub(super) fn keys_of(types: &Types, id: RecordId) -> (SharedText, Arc<[SharedText]>) {
    let record = types.record(id);
    let name = match &*record.name {
        "spec" => "a spec".into(),
        "settings" => "the settings".into(),
        name => format!("`{name}`").into(),
    };
    (name, record.fields.iter().map(|field| field.name.clone()).collect())
}

/// A key that a record so called, with these keys, does not have.
pub(super) fn unknown_key(types: &Types, key: &str, record: &str, known: &Arc<[SharedText]>) -> TermsProblem {
    let nearest = nearest(key, known.iter().map(|key| &**key)).map(SharedText::from);
    let elsewhere = types.records().find(|(_, other)| other.slot(key).is_some()).map(|(_, other)| other.name.clone());
    TermsProblem::UnknownKey { key: key.into(), record: record.into(), nearest, known: known.clone(), elsewhere }
}

struct Check<'a> {
    types: &'a Types,
    sources: &'a Sources,
    tree: &'a Tree,
    sheets: &'a Parts,
    errors: Vec<TermsError>,
    refused: BTreeSet<NodeId>,
}

/// A value that an error is about, and what the terms say belongs there.
#[derive(Clone, Copy)]
struct Located<'a> {
    node: NodeId,
    belongs: Belongs<'a>,
    field: Option<&'a Field>,
    /// Where the build names the data sheet of the record around it.
    used: Option<Span>,
}

#[derive(Clone, Copy)]
enum Belongs<'a> {
    Value(&'a FieldType),
    Record(RecordId),
    /// An item of a list of several types of records.
    AnyOf(&'a [RecordId]),
    /// A key of a quantity's long form.
    Part(&'static str, Kind),
    /// The path of a data sheet.
    Sheet,
    /// An evidence file with its digest.
    Evidence,
    /// A SHA-256.
    Digest,
}

impl<'a> From<&'a FieldType> for Belongs<'a> {
    fn from(ty: &'a FieldType) -> Belongs<'a> {
        match ty {
            FieldType::Record(record) => Belongs::Record(*record),
            other => Belongs::Value(other),
        }
    }
}

/// The type that an item of a mixed list has by the first naming key that it holds.
pub(super) fn kind_of(types: &Types, tree: &Tree, item: NodeId, records: &[RecordId]) -> Option<RecordId> {
    let entries = tree.entries(item)?;
    let named = |record: &&RecordId| {
        let record = types.record(**record);
        let naming = record.naming.and_then(|slot| record.field(slot));
        naming.is_some_and(|naming| entries.iter().any(|entry| *entry.key == *naming.name))
    };
    records.iter().find(named).copied()
}

impl<'a> Check<'a> {
    fn locate<'p>(&self, top: Located<'a>, path: impl Iterator<Item = LocationSegment<'p>>) -> Option<Located<'a>> {
        let mut at = top;
        for step in path {
            let used = self.used(at.node).or(at.used);
            at = match step {
                LocationSegment::Property(key) => {
                    let node = self.tree.get(at.node, &key)?;
                    let (belongs, field) = self.below(at.node, at.belongs, &key)?;
                    Located { node, belongs, field, used }
                }
                LocationSegment::Index(index) => {
                    let node = *self.tree.items(at.node)?.get(index)?;
                    Located { node, belongs: self.member(at.belongs)?, field: at.field, used }
                }
            };
        }
        at.used = self.used(at.node).or(at.used);
        Some(at)
    }

    /// Where a record of the build's own files names its data sheet.
    fn used(&self, node: NodeId) -> Option<Span> {
        let named = self.tree.get(node, PART_KEY)?;
        let span = self.tree.node(named).span;
        (self.sheets.sheet(named).is_some() && !self.sheets.holds(span.file)).then_some(span)
    }

    fn used_for(&self, at: &Located, span: Span) -> Option<Span> {
        at.used.filter(|_| self.sheets.holds(span.file))
    }

    fn record(&self, node: NodeId, belongs: Belongs<'a>) -> Option<RecordId> {
        match belongs {
            Belongs::Record(record) => Some(record),
            Belongs::AnyOf(records) => kind_of(self.types, self.tree, node, records),
            Belongs::Value(_) | Belongs::Part(..) | Belongs::Sheet | Belongs::Evidence | Belongs::Digest => None,
        }
    }

    fn below(&self, node: NodeId, belongs: Belongs<'a>, key: &str) -> Option<(Belongs<'a>, Option<&'a Field>)> {
        if let Belongs::Value(FieldType::Quantity(kind)) = belongs {
            let part = LONG_FORM.into_iter().find(|part| *part == key)?;
            if part == EVIDENCE {
                return Some((Belongs::Evidence, None));
            }
            return Some((Belongs::Part(part, *kind), None));
        }
        if let Belongs::Evidence = belongs {
            let [file, _] = EVIDENCE_KEYS;
            return Some((if key == file { Belongs::Value(&FieldType::Text) } else { Belongs::Digest }, None));
        }
        let record = self.types.record(self.record(node, belongs)?);
        if record.takes_part && key == PART_KEY {
            return Some((Belongs::Sheet, None));
        }
        if record.takes_part && key == CHANGED_KEY {
            return Some((Belongs::Value(&FieldType::Date), None));
        }
        let field = record.field(record.slot(key)?)?;
        Some(((&field.ty).into(), Some(field)))
    }

    fn member(&self, belongs: Belongs<'a>) -> Option<Belongs<'a>> {
        match belongs {
            Belongs::Value(FieldType::List(list)) => Some(match &self.types.list(*list).members {
                ListMembers::Values(ty) => ty.into(),
                ListMembers::Records(records) => match &records[..] {
                    [record] => Belongs::Record(*record),
                    several => Belongs::AnyOf(several),
                },
            }),
            Belongs::Value(FieldType::Point) => Some(Belongs::Value(&FieldType::Quantity(Kind::Length))),
            _ => None,
        }
    }

    /// Puts down that a value did not pass; the first reason is enough.
    fn refuse(&mut self, node: NodeId, span: Span, problem: TermsProblem) {
        if self.refused.insert(node) {
            self.errors.push(TermsError { problem, span, other: None });
        }
    }

    fn word(&mut self, at: &Located<'a>, kind: &ValidationErrorKind, words: &dyn Fn() -> String) {
        match kind {
            ValidationErrorKind::AdditionalProperties { unexpected } => {
                let unexpected: BTreeSet<&str> = unexpected.iter().map(String::as_str).collect();
                let (record, known) = self.keys(at);
                for entry in self.tree.entries(at.node).unwrap_or_default() {
                    if unexpected.contains(&*entry.key) {
                        let problem = unknown_key(self.types, &entry.key, &record, &known);
                        let (span, other) = (entry.key_span, self.used_for(at, entry.key_span));
                        self.errors.push(TermsError { problem, span, other });
                    }
                }
            }
            ValidationErrorKind::Required { property } => {
                let key = property.as_str().unwrap_or_default().into();
                let span = self.tree.node(at.node).span;
                // A quantity without a value is none; an item without a name can still be judged.
                if matches!(at.belongs, Belongs::Value(_)) {
                    self.refuse(at.node, span, TermsProblem::MissingName { key });
                } else {
                    self.errors.push(TermsError { problem: TermsProblem::MissingName { key }, span, other: None });
                }
            }
            // The chain of kinds ends with what nothing meets; the keyword `kinds` has said it better.
            ValidationErrorKind::FalseSchema => {}
            _ => {
                let (span, problem) = self.unfit(at, words);
                self.refuse(at.node, span, problem);
            }
        }
    }

    /// What a record is called, and its keys; made once for all keys of it that are unknown.
    fn keys(&self, at: &Located<'a>) -> (SharedText, Arc<[SharedText]>) {
        match self.record(at.node, at.belongs) {
            Some(id) => keys_of(self.types, id),
            None if matches!(at.belongs, Belongs::Evidence) => {
                ("an evidence file".into(), EVIDENCE_KEYS.map(SharedText::from).into())
            }
            None => ("a quantity".into(), LONG_FORM.map(SharedText::from).into()),
        }
    }

    /// Why a value is not what belongs there, by its form and, for a text, its words.
    fn unfit(&self, at: &Located<'a>, words: &dyn Fn() -> String) -> (Span, TermsProblem) {
        let node = self.tree.node(at.node);
        let wanted = self.wanted(at);
        let found = match &node.content {
            Content::Map(_) => Found::Keys,
            Content::List(items) if matches!(wanted, Wanted::Point) => Found::ListOf(items.len()),
            Content::List(_) => Found::List,
            Content::Scalar(scalar) => match (form_of(scalar), &wanted) {
                (Form::Nothing, _) => {
                    let comment = commented_value(self.sources, node);
                    let span = comment.unwrap_or(node.span);
                    let comment = comment.map(|span| self.sources.slice(span).into());
                    return (span, TermsProblem::Nothing { wanted, comment });
                }
                (Form::Text | Form::Number, Wanted::Choice(choices)) => {
                    let nearest = nearest(&scalar.text, choices.iter().map(|choice| &**choice)).map(SharedText::from);
                    let (word, choices) = ((*scalar.text).into(), choices.clone());
                    return (node.span, TermsProblem::UnknownChoice { word, choices, nearest });
                }
                (Form::Text, Wanted::Text) if scalar.text.is_empty() => {
                    return (node.span, TermsProblem::Nothing { wanted, comment: None });
                }
                (Form::YesNo(_), Wanted::YesNo) | (Form::Text, Wanted::Text) => {
                    return (node.span, TermsProblem::Refused { message: words().into() });
                }
                (Form::YesNo(_), _) => Found::YesNo,
                (Form::Number, _) => Found::Number,
                (Form::Text, _) => Found::Text,
            },
        };
        (node.span, TermsProblem::WrongForm { wanted, found })
    }

    fn wanted(&self, at: &Located<'a>) -> Wanted {
        let example = || at.field.and_then(|field| field.examples.first()).cloned();
        let keys = |record: RecordId| self.types.record(record).fields.iter().map(|field| field.name.clone()).collect();
        match at.belongs {
            Belongs::Record(record) => Wanted::Record(keys(record)),
            Belongs::AnyOf(records) => Wanted::Record(records.first().map(|record| keys(*record)).unwrap_or_default()),
            Belongs::Sheet => Wanted::Sheet,
            Belongs::Evidence => Wanted::Record(EVIDENCE_KEYS.map(SharedText::from).into()),
            Belongs::Digest => Wanted::Digest,
            Belongs::Part("known_by", _) => Wanted::Choice(KNOWN_BY.map(SharedText::from).into()),
            Belongs::Part("taken", _) => Wanted::Date,
            Belongs::Part(_, kind) => Wanted::Quantity(kind, None),
            Belongs::Value(ty) => match ty {
                FieldType::Quantity(kind) => Wanted::Quantity(*kind, example()),
                FieldType::Text => Wanted::Text,
                FieldType::Choice(choices) => Wanted::Choice(choices.clone()),
                FieldType::YesNo => Wanted::YesNo,
                FieldType::Date => Wanted::Date,
                FieldType::Point => Wanted::Point,
                FieldType::Designation(kind) => Wanted::Designation(*kind, example()),
                FieldType::Reference(list) => Wanted::Reference(self.types.list(*list).path.clone()),
                FieldType::Record(record) => Wanted::Record(keys(*record)),
                FieldType::List(_) => Wanted::List,
            },
        }
    }
}
