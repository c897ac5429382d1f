//! Concessions: signed permissions in the spec to use what does not conform, and whether one covers a finding.

use crate::rulebook::Class;
use crate::source::Span;
use crate::terms::{Held, PlaceId, Spec};
use jiff::civil::Date;

/// A concession as the spec writes it; what is not written is empty.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Concession {
    /// The rule.
    pub rule: String,
    /// The subject's path.
    pub subject: String,
    /// Why.
    pub reason: Option<String>,
    /// Who grants it.
    pub by: Option<String>,
    /// The last day on which it holds.
    pub until: Option<Date>,
    /// Whether a dangerous finding is accepted in so many words.
    pub dangerous_accepted: bool,
    /// Its place.
    pub place: PlaceId,
    /// Where that is in the spec's files.
    pub span: Span,
}

/// Whether a concession covers a finding.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ConcessionState {
    /// It does, until its last day.
    InForce(Concession),
    /// Its last day is past, or it has none.
    Expired(Concession),
    /// It lacks a name or a reason.
    Unsigned(Concession),
    /// The finding is dangerous, which it does not accept in so many words.
    DangerousNotAccepted(Concession),
}

impl ConcessionState {
    /// The word for it.
    pub fn word(&self) -> &'static str {
        match self {
            ConcessionState::InForce(_) => "in force",
            ConcessionState::Expired(_) => "expired",
            ConcessionState::Unsigned(_) => "unsigned",
            ConcessionState::DangerousNotAccepted(_) => "dangerous not accepted",
        }
    }

    /// The concession itself.
    pub fn concession(&self) -> &Concession {
        match self {
            ConcessionState::InForce(c)
            | ConcessionState::Expired(c)
            | ConcessionState::Unsigned(c)
            | ConcessionState::DangerousNotAccepted(c) => c,
        }
    }

    /// Whether the finding is covered.
    pub fn in_force(&self) -> bool {
        matches!(self, ConcessionState::InForce(_))
    }
}

/// The concessions of a spec.
pub(super) fn read(spec: &Spec) -> Vec<Concession> {
    let Some(list) = spec.find("concessions") else { return Vec::new() };
    let Held::List { items, .. } = spec.held(list) else { return Vec::new() };
    items.iter().filter_map(|item| one(spec, *item)).collect()
}

fn one(spec: &Spec, item: PlaceId) -> Option<Concession> {
    let path = spec.path(item);
    let held = |key: &str| spec.find(&format!("{path}.{key}")).map(|p| spec.held(p));
    let text = |key: &str| match held(key) {
        Some(Held::Text(text)) => Some(text.to_string()),
        _ => None,
    };
    Some(Concession {
        rule: text("rule")?,
        subject: text("subject")?,
        reason: text("reason"),
        by: text("by"),
        until: if let Some(Held::Date(date)) = held("until") { Some(*date) } else { None },
        dangerous_accepted: matches!(held("dangerous"), Some(Held::Choice(_))),
        place: item,
        span: spec.place(item).span,
    })
}

/// The concession for a finding, with whether it covers it on that day.
pub(super) fn state(
    concessions: &[Concession],
    rule: &str,
    subject: &str,
    class: Class,
    day: Date,
) -> Option<ConcessionState> {
    let found = concessions.iter().find(|c| c.rule == rule && c.subject == subject)?.clone();
    Some(if found.by.is_none() || found.reason.is_none() {
        ConcessionState::Unsigned(found)
    } else if found.until.is_none_or(|last| last < day) {
        ConcessionState::Expired(found)
    } else if class == Class::Dangerous && !found.dangerous_accepted {
        ConcessionState::DangerousNotAccepted(found)
    } else {
        ConcessionState::InForce(found)
    })
}
