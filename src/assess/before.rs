//! What must be settled before a step that cannot be taken back, and what breaks if the step is taken now.
//!
//! In come an assessment, its spec and the name of a step; out come the values on which the rules of that step still wait, dearest
//! first, and those rules' findings.

use super::assessment::{Assessment, Judgement, Outcome};
use super::budget::budget;
use super::missing::field_at;
use crate::language::{Piece, Role};
use crate::rulebook::Class;
use crate::source::Span;
use crate::terms::{Held, KnownBy, PlaceId, Spec};
use jiff::civil::Date;
use std::collections::BTreeMap;

/// The rules of one step, on one build.
#[derive(Debug, Clone, PartialEq)]
pub struct Before {
    /// The step.
    pub event: String,
    /// Values that are to be settled first, the dearest first.
    pub settle: Vec<ToSettle>,
    /// Broken judgements, by their number in the assessment, the worst first.
    pub breaks: Vec<usize>,
    /// Judgements beyond a table or formula, or on values that cannot be read, by their number.
    pub unjudged: Vec<usize>,
    /// Judgements that hold.
    pub holds: usize,
    /// Of these, those that rest on an assumed value.
    pub holds_on_assumption: usize,
}

/// A value that is to be settled.
#[derive(Debug, Clone, PartialEq)]
pub struct ToSettle {
    /// Its path.
    pub path: String,
    /// Where the place nearest to it stands.
    pub span: Span,
    /// What it lacks.
    pub lack: Lack,
    /// The worst class in which a rule that waits for it can be broken: what it costs if wrong.
    pub class: Class,
    /// Outcomes that wait for it.
    pub outcomes: usize,
    /// Numbers of the rules that wait for it.
    pub rules: Vec<usize>,
    /// What it is and how a builder measures it.
    pub description: Option<String>,
    /// An example of it.
    pub example: Option<String>,
}

/// What a value lacks.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Lack {
    /// It is not written.
    Missing,
    /// It was measured before a change of what moves it, on that day.
    Stale(Option<Date>),
    /// Its uncertainty leaves a requirement open.
    Unproven {
        /// The uncertainty of the value with which it alone settles what it can, in words.
        needs: Option<String>,
        /// The uncertainty of what is judged that would do, in words.
        would_do: String,
    },
    /// It is assumed.
    Assumed,
}

/// What the rules of a step say of a build.
pub fn before(assessment: &Assessment, spec: &Spec, event: &str) -> Before {
    let mut found = Before {
        event: event.to_string(),
        settle: Vec::new(),
        breaks: Vec::new(),
        unjudged: Vec::new(),
        holds: 0,
        holds_on_assumption: 0,
    };
    let budgets = budget(assessment, spec);
    let mut settle: BTreeMap<String, ToSettle> = BTreeMap::new();
    for (number, judgement) in assessment.judgements.iter().enumerate() {
        let Some(rule) = assessment.index.rules.get(judgement.rule) else { continue };
        if !rule.before.iter().any(|name| **name == *event) {
            continue;
        }
        let mut waits = |path: &str, place: PlaceId, lack: Lack| {
            let field = field_at(path, place, spec);
            let entry = settle.entry(path.to_string()).or_insert_with(|| ToSettle {
                path: path.to_string(),
                span: spec.place(place).span,
                lack: lack.clone(),
                class: rule.worst,
                outcomes: 0,
                rules: Vec::new(),
                description: field.map(|f| f.description.to_string()),
                example: field.and_then(|f| f.examples.first().map(ToString::to_string)),
            });
            entry.class = entry.class.max(rule.worst);
            entry.outcomes += 1;
            if rank(&lack) < rank(&entry.lack) {
                entry.lack = lack;
            }
            if !entry.rules.contains(&judgement.rule) {
                entry.rules.push(judgement.rule);
            }
        };
        match &judgement.outcome {
            Outcome::Unmeasured { missing, unreadable } => {
                for value in missing {
                    let stale = spec.changed_after(value.place).map(|day| match spec.held(day) {
                        Held::Date(date) => Some(*date),
                        _ => None,
                    });
                    waits(&value.path, value.place, stale.map_or(Lack::Missing, Lack::Stale));
                }
                if missing.is_empty() && !unreadable.is_empty() {
                    found.unjudged.push(number);
                }
            }
            Outcome::Unproven(values) => {
                for value in values {
                    let largest = value.doubt.parts.iter().max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
                    if let Some((place, _)) = largest {
                        let budget = budgets.iter().find(|budget| budget.place == *place);
                        let needs = budget.and_then(|budget| Some(budget.shown(budget.would_do?)));
                        waits(&spec.path(*place), *place, Lack::Unproven { needs, would_do: value.would_do.clone() });
                    }
                }
            }
            Outcome::Broken(_) => {
                found.breaks.push(number);
                for path in judgement.worse_open.iter().flat_map(|worse| &worse.needs) {
                    if let Some(place) = nearest_place(path, spec) {
                        waits(path, place, Lack::Missing);
                    }
                }
            }
            Outcome::Holds => {
                let assumed = assumed(assessment, judgement, spec);
                found.holds += 1;
                found.holds_on_assumption += usize::from(!assumed.is_empty());
                for place in assumed {
                    waits(&spec.path(place), place, Lack::Assumed);
                }
            }
            Outcome::Beyond(_) => found.unjudged.push(number),
            Outcome::NotApplicable => {}
        }
    }
    let class = |number: &usize| match assessment.judgements.get(*number).map(|j| &j.outcome) {
        Some(Outcome::Broken(class)) => Some(*class),
        _ => None,
    };
    found.breaks.sort_by_key(|number| std::cmp::Reverse(class(number)));
    found.settle = settle.into_values().collect();
    found
        .settle
        .sort_by(|a, b| b.class.cmp(&a.class).then(b.outcomes.cmp(&a.outcomes)).then_with(|| a.path.cmp(&b.path)));
    found
}

/// Of several things that a value lacks for different rules, the first is said.
fn rank(lack: &Lack) -> u8 {
    match lack {
        Lack::Missing => 0,
        Lack::Stale(_) => 1,
        Lack::Unproven { .. } => 2,
        Lack::Assumed => 3,
    }
}

/// Assumed values on which an outcome rests.
fn assumed(assessment: &Assessment, judgement: &Judgement, spec: &Spec) -> Vec<PlaceId> {
    let rests = assessment.evidence(judgement).into_iter().filter_map(|flat| match flat.piece {
        Piece::Place(place) if flat.role != Role::Considered => Some(place),
        _ => None,
    });
    rests.filter(|place| is_assumed(spec, *place)).collect()
}

/// Whether a quantity is said to be assumed.
pub(super) fn is_assumed(spec: &Spec, place: PlaceId) -> bool {
    matches!(spec.held(place), Held::Quantity(quantity) if quantity.known_by == Some(KnownBy::Assumed))
}

/// The written place nearest to a path.
fn nearest_place(path: &str, spec: &Spec) -> Option<PlaceId> {
    let mut at = path;
    loop {
        if let Some(place) = spec.find(at) {
            return Some(place);
        }
        at = at.get(..at.rfind(['.', '/'])?)?;
    }
}
