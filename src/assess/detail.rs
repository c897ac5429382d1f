//! What is said about a broken rule: sentence, labels, working, sources.

use super::assessment::{Finding, Label, SourceText};
use super::judge::Request;
use crate::language::{Decision, Evaluator, Evidence, Flat, Frame, Number, Piece, Role, Sheet, Template};
use crate::quantity::{self, Dimension};
use crate::rulebook::{Class, Rule, SourceUse};
use crate::terms::{FieldType, Held, KnownBy, PlaceId, Spec, Step};

/// How many evidence labels a finding carries at the most; those that only were considered go first.
const MOST_LABELS: usize = 24;

/// What is to be explained.
pub(super) struct Explained<'a> {
    pub request: &'a Request<'a>,
    pub rule: &'a Rule,
    pub class: Class,
    pub decision: Option<&'a Decision>,
    pub evidence: Evidence,
}

/// Makes the finding.
pub(super) fn finding(explained: &Explained, evaluator: &mut Evaluator, frame: &mut Frame) -> Finding {
    let (request, rule) = (explained.request, explained.rule);
    let spec = request.spec;
    let flat = evaluator.evidence.flatten(explained.evidence);
    let points_at = points_at(explained, evaluator, frame, &flat);
    let evidence = labels(explained, spec, &flat, points_at);
    let notes = flat
        .iter()
        .filter_map(|f| match &f.piece {
            Piece::Assumed(words) => Some(format!("takes {words} for granted")),
            Piece::Chosen(words) if f.role != Role::Considered => Some(format!("used {words}")),
            _ => None,
        })
        .chain(assumed_in_spec(spec, &flat))
        .collect();
    let without_uncertainty = flat
        .iter()
        .filter(|f| f.role != Role::Considered)
        .filter(|f| matches!(f.piece, Piece::Place(p) if is_without_uncertainty(spec, p)))
        .count();
    let working = working(explained, evaluator, frame);
    let members = explained.decision.map_or(Vec::new(), |d| d.members.iter().map(|m| spec.path(*m)).collect());
    Finding {
        says: filled(&rule.says, evaluator, frame),
        why: filled(&rule.why, evaluator, frame),
        remedy: filled(&rule.remedy, evaluator, frame),
        measure: rule.measure.as_deref().map(str::to_string),
        caution: rule.caution.as_deref().map(str::to_string),
        sources: rule.sources.iter().map(|s| source_text(request, s)).collect(),
        points_at: label(spec, points_at, Role::Decides, None),
        evidence,
        working,
        members,
        notes,
        without_uncertainty,
        concession: None,
    }
}

/// A sentence filled in, without the line break with which a folded text ends.
fn filled(template: &Template, evaluator: &mut Evaluator, frame: &mut Frame) -> String {
    template.filled(evaluator, frame).trim_end().to_string()
}

/// The values among the evidence that the spec itself only assumes, in words.
fn assumed_in_spec(spec: &Spec, flat: &[Flat]) -> Option<String> {
    let is_assumed = |place| matches!(spec.held(place), Held::Quantity(q) if q.known_by == Some(KnownBy::Assumed));
    let bearing = flat.iter().filter(|f| f.role != Role::Considered);
    let places = bearing.filter_map(|f| if let Piece::Place(place) = f.piece { Some(place) } else { None });
    let paths: Vec<String> = places.filter(|place| is_assumed(*place)).map(|place| spec.path(place)).collect();
    (!paths.is_empty()).then(|| format!("assumed in the spec: {}", paths.join(", ")))
}

fn is_without_uncertainty(spec: &Spec, place: PlaceId) -> bool {
    matches!(spec.held(place), Held::Quantity(q) if q.give_or_take.is_none())
}

/// The place that the finding is about: as the rule says, else the first value that decides, else the subject.
fn points_at(explained: &Explained, evaluator: &mut Evaluator, frame: &mut Frame, flat: &[Flat]) -> PlaceId {
    let subject = match frame.first() {
        Some(Some(reading)) => match reading.value {
            Ok(crate::language::Value::Place(place)) => place,
            _ => evaluator.spec().root(),
        },
        _ => evaluator.spec().root(),
    };
    if let Some(code) = explained.rule.points_at.value() {
        let reading = evaluator.eval(code, frame);
        if let Ok(crate::language::Value::Place(place)) = reading.value {
            return place;
        }
        // The path's own value is the last thing that was read on the way to it.
        let spec = evaluator.spec();
        let pieces = evaluator.evidence.flatten(reading.evidence);
        let mut places = pieces.iter().filter_map(|f| if let Piece::Place(p) = f.piece { Some(p) } else { None });
        if let Some(place) = places.rfind(|p| is_value(spec, *p)) {
            return place;
        }
    }
    let spec = evaluator.spec();
    flat.iter()
        .filter(|f| f.role == Role::Decides)
        .find_map(|f| match f.piece {
            Piece::Place(place) if is_value(spec, place) => Some(place),
            _ => None,
        })
        .unwrap_or(subject)
}

/// Whether something that can be pointed at stands there, and not a whole section or list.
fn is_value(spec: &Spec, place: PlaceId) -> bool {
    !matches!(spec.held(place), Held::Record { .. } | Held::List { .. })
}

fn labels(explained: &Explained, spec: &Spec, flat: &[Flat], pointed: PlaceId) -> Vec<Label> {
    let mut out: Vec<Label> = Vec::new();
    let ordered = [Role::Decides, Role::Feeds, Role::Considered];
    for role in ordered {
        for piece in flat.iter().filter(|f| f.role == role) {
            match &piece.piece {
                Piece::Place(place) if *place != pointed && is_value(spec, *place) => {
                    // A key left out is noise, unless its absence itself decided.
                    if role != Role::Decides && matches!(spec.held(*place), Held::Unwritten | Held::None) {
                        continue;
                    }
                    let through =
                        piece.through.map(|(id, _)| explained.request.rulebook.library.figure(id).name.to_string());
                    out.push(label(spec, *place, role, through));
                }
                Piece::Cell { table, row, column } => {
                    let rulebook = explained.request.rulebook;
                    let found = rulebook.library.table(*table);
                    let info = &rulebook.tables[usize::from(table.0)];
                    let span = info.cells.get(*row as usize).and_then(|r| r.get(*column as usize)).copied();
                    let value = span.map_or_else(String::new, |s| rulebook.texts.slice(s).to_string());
                    let path = format!("{}.{}", found.name, found.columns[*column as usize].name);
                    out.push(Label { path, span: None, used: None, shown_by: None, value, role, through: None });
                }
                _ => {}
            }
        }
    }
    out.truncate(MOST_LABELS);
    out
}

fn label(spec: &Spec, place: PlaceId, role: Role, through: Option<String>) -> Label {
    let entry = spec.place(place);
    let used = spec.used(place);
    let shown_by = spec.evidence_of(place).map(|evidence| evidence.file.to_string());
    Label { path: spec.path(place), span: Some(entry.span), used, shown_by, value: shown(spec, place), role, through }
}

/// What stands at a place, in words; of a record or a list, an item's name or nothing.
pub fn shown(spec: &Spec, place: PlaceId) -> String {
    match spec.held(place) {
        Held::Unwritten => "not written".into(),
        Held::None => "none".into(),
        Held::Unreadable => "unreadable".into(),
        Held::Quantity(q) => {
            let (kind, unit) = (q.kind.into(), Some(q.unit));
            match q.give_or_take {
                Some(u) => quantity::show_give_or_take(q.si, u, kind, unit),
                None => quantity::show(q.si, kind, unit, None),
            }
        }
        Held::Text(text) => text.to_string(),
        Held::Choice(at) => match spec.type_of(place) {
            Some(FieldType::Choice(choices)) => {
                choices.get(usize::from(*at)).map_or(String::new(), ToString::to_string)
            }
            _ => String::new(),
        },
        Held::YesNo(value) => if *value { "yes" } else { "no" }.into(),
        Held::Date(date) => date.to_string(),
        Held::Designation(d) => d.to_string(),
        Held::Reference(target) => spec.path(*target),
        Held::Point { first } => {
            let axes = [0, 1, 2].map(|axis| match spec.held(PlaceId(first.0 + axis)) {
                Held::Quantity(q) => quantity::show(q.si, quantity::Kind::Length.into(), Some(q.unit), None),
                _ => "?".into(),
            });
            format!("[{}]", axes.join(", "))
        }
        Held::Record { .. } | Held::List { .. } => match spec.place(place).at {
            Step::Item(_) => spec.name(place).unwrap_or_default().to_string(),
            _ => String::new(),
        },
    }
}

fn working(explained: &Explained, evaluator: &mut Evaluator, frame: &mut Frame) -> Vec<crate::language::WorkingLine> {
    let rule = explained.rule;
    let Some((_, code)) = rule.holds.iter().find(|(class, _)| *class == explained.class) else { return Vec::new() };
    let trace = evaluator.traced(|e| {
        for (at, (_, with)) in rule.with.iter().enumerate() {
            let value = e.eval(with, frame);
            frame[at + 1] = Some(value);
        }
        e.eval(code, frame);
    });
    let sheet = Sheet { library: evaluator.library(), spec: evaluator.spec(), trace: &trace, with: &rule.with };
    let deciding = explained.decision.and_then(|d| code.part(d.code)).unwrap_or(code);
    sheet.lines(deciding)
}

fn source_text(request: &Request, used: &SourceUse) -> SourceText {
    SourceText { source: used.source.to_string(), words: request.rulebook.source_words(used), text: used.text }
}

/// The dimension of a difference of two such numbers.
pub(super) fn step_of(number: &Number) -> Dimension {
    number.dimension.kind.and_then(quantity::Kind::difference).map_or(number.dimension, Dimension::from)
}
