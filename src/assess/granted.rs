//! What a verdict takes for granted: values that the spec knows by assumption, and those that a rule assumes itself.
//!
//! In come an assessment and the evidence of its outcomes; out come, for each outcome, the assumed values that decide it or feed what
//! decides. Holding on an assumption is not holding on a measurement, so reports say it of every outcome.

use super::assessment::{Assessment, Judgement};
use crate::language::{Evidence, Piece, Role, Touched};
use crate::terms::{PlaceId, Spec};
use std::collections::BTreeMap;

/// An assumed value that an outcome rests on.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Granted {
    /// Its path in the spec; none where the rule assumes it.
    pub path: Option<String>,
    /// The value, in words.
    pub value: String,
}

/// The assumed values of a spec, by place: path, and value in words.
pub(super) type Assumed = BTreeMap<PlaceId, Granted>;

/// Gathers them.
pub(super) fn assumed(spec: &Spec) -> Assumed {
    let one = |place: &PlaceId| Granted { path: Some(spec.path(*place)), value: super::detail::shown(spec, *place) };
    spec.assumed().iter().map(|place| (*place, one(place))).collect()
}

/// Tells of each outcome of an assessment what it takes for granted.
pub struct Assumptions<'a> {
    assessment: &'a Assessment,
    /// Which evidence rests on an assumption; one pass over all of it spares looking at most outcomes one by one.
    resting: &'a Touched,
}

impl Assessment {
    /// What its outcomes take for granted.
    pub fn assumptions(&self) -> Assumptions<'_> {
        let made = || self.found.evidence.resting_on_assumptions(&|place| self.assumed.contains_key(&place));
        Assumptions { assessment: self, resting: self.resting.get_or_init(made) }
    }
}

impl Assumptions<'_> {
    /// Whether an outcome rests on an assumed value.
    pub fn any(&self, judgement: &Judgement) -> bool {
        self.rests(judgement.evidence)
    }

    pub(super) fn rests(&self, evidence: Evidence) -> bool {
        self.resting.contains(evidence)
    }

    /// The assumed values that an outcome rests on, in the order in which they are met.
    pub fn of(&self, judgement: &Judgement) -> Vec<Granted> {
        if !self.any(judgement) {
            return Vec::new();
        }
        let bearing = self.assessment.evidence(judgement).into_iter().filter(|flat| flat.role != Role::Considered);
        let granted = |piece| match piece {
            Piece::Place(place) => self.assessment.assumed.get(&place).cloned(),
            Piece::Assumed(words) => Some(Granted { path: None, value: words.to_string() }),
            Piece::Cell { .. } | Piece::Chosen(_) => None,
        };
        bearing.filter_map(|flat| granted(flat.piece)).collect()
    }
}
