//! What to measure next: every missing value, ranked by how much of the open outcomes it would settle.

use super::assessment::{Assessment, Outcome};
use crate::source::Span;
use crate::terms::{Field, FieldType, PlaceId, Spec, Staleness};
use std::collections::BTreeMap;

/// A value that open outcomes wait for.
#[derive(Debug, Clone, PartialEq)]
pub struct Needed {
    /// Its path.
    pub path: String,
    /// Where the place nearest to it stands in the spec's files.
    pub span: Span,
    /// What it is and how a builder measures it, as the terms say it.
    pub description: Option<String>,
    /// An example of it as a builder would write it.
    pub example: Option<String>,
    /// Sum over the open outcomes of one over the number of values still missing there.
    pub weight: f64,
    /// Outcomes for which nothing else is missing.
    pub settles_alone: usize,
    /// Outcomes for which it is one of several.
    pub helps: usize,
    /// Numbers of the rules that wait for it.
    pub rules: Vec<usize>,
    /// Why it is to be measured again, where it is written and a change has made it stale.
    pub again: Option<Staleness>,
}

/// Every missing value, the most useful first.
pub fn needed(assessment: &Assessment, spec: &Spec) -> Vec<Needed> {
    let mut all: BTreeMap<&str, Needed> = BTreeMap::new();
    for judgement in &assessment.judgements {
        let Outcome::Unmeasured { missing, .. } = &judgement.outcome else { continue };
        for value in missing {
            let entry = all.entry(&value.path).or_insert_with(|| {
                let field = field_at(&value.path, value.place, spec);
                Needed {
                    path: value.path.clone(),
                    span: value.span,
                    description: field.map(|f| f.description.to_string()),
                    example: field.and_then(|f| f.examples.first().map(ToString::to_string)),
                    weight: 0.0,
                    settles_alone: 0,
                    helps: 0,
                    rules: Vec::new(),
                    again: value.stale.clone(),
                }
            });
            entry.weight += 1.0 / missing.len() as f64;
            if missing.len() == 1 {
                entry.settles_alone += 1;
            } else {
                entry.helps += 1;
            }
            if !entry.rules.contains(&judgement.rule) {
                entry.rules.push(judgement.rule);
            }
        }
    }
    let mut all: Vec<Needed> = all.into_values().collect();
    all.sort_by(|a, b| b.weight.total_cmp(&a.weight).then_with(|| a.path.cmp(&b.path)));
    all
}

/// What the terms say of a missing value: of its place, or of a key some steps below it.
pub(super) fn field_at<'a>(path: &str, place: PlaceId, spec: &'a Spec) -> Option<&'a Field> {
    let mut field = spec.field(place)?;
    let below = path.strip_prefix(&spec.path(place)).unwrap_or_default();
    for key in below.split('.').filter(|key| !key.is_empty()) {
        let FieldType::Record(id) = &field.ty else { return None };
        let record = spec.types().record(*id);
        field = record.field(record.slot(key)?)?;
    }
    Some(field)
}
