//! What to measure next: every missing value, ranked by how much of the open outcomes it would settle.

use super::assessment::{Assessment, Outcome};
use crate::terms::PlaceId;
use std::collections::BTreeMap;

/// A value that open outcomes wait for.
#[derive(Debug, Clone, PartialEq)]
pub struct Needed {
    /// Its path.
    pub path: String,
    /// The place nearest to it.
    pub place: PlaceId,
    /// Sum over the open outcomes of one over the number of values still missing there.
    pub weight: f64,
    /// Outcomes for which nothing else is missing.
    pub settles_alone: usize,
    /// Outcomes for which it is one of several.
    pub helps: usize,
    /// Numbers of the rules that wait for it.
    pub rules: Vec<usize>,
}

/// Every missing value, the most useful first.
pub fn needed(assessment: &Assessment) -> Vec<Needed> {
    let mut all: BTreeMap<String, Needed> = BTreeMap::new();
    for judgement in &assessment.judgements {
        let Outcome::Unmeasured { missing, .. } = &judgement.outcome else { continue };
        for value in missing {
            let entry = all.entry(value.path.clone()).or_insert_with(|| Needed {
                path: value.path.clone(),
                place: value.place,
                weight: 0.0,
                settles_alone: 0,
                helps: 0,
                rules: Vec::new(),
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
