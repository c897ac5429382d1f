//! Concessions: signed permissions in the spec to use what does not conform; whether one covers a finding, and which of them
//! cover nothing.
//!
//! What can be told from a concession alone, its day and its signature, is judged by rules of the rulebook like anything else in the
//! spec. What takes the outcomes of the other rules to tell is found here.

use super::assessment::{Judgement, Outcome};
use crate::rulebook::{Class, Rulebook};
use crate::source::Span;
use crate::terms::{Held, PlaceId, Spec, nearest};
use jiff::civil::Date;

/// How many subjects a remedy names.
const MOST_SUBJECTS: usize = 3;

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
    /// Where the rule's name stands.
    pub rule_span: Span,
    /// Where the subject stands.
    pub subject_span: Span,
}

/// Why a concession does not do what it was written for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ConcessionFault {
    /// The rulebook has no rule of that name.
    NoSuchRule,
    /// The rule judges no such subject.
    NoSuchSubject,
    /// The requirement is met.
    HoldsNow,
    /// The rule does not apply to the subject.
    DoesNotApply,
    /// Another concession stands for the same finding.
    Repeated,
    /// The finding is dangerous, which it does not accept in so many words.
    DangerousNotAccepted,
}

impl ConcessionFault {
    /// The words for it.
    pub fn words(&self) -> &'static str {
        match self {
            ConcessionFault::NoSuchRule => "no such rule",
            ConcessionFault::NoSuchSubject => "no such subject",
            ConcessionFault::HoldsNow => "holds now",
            ConcessionFault::DoesNotApply => "does not apply",
            ConcessionFault::Repeated => "repeated",
            ConcessionFault::DangerousNotAccepted => "dangerous not accepted",
        }
    }
}

/// What is said about a concession that does not do what it was written for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ConcessionFinding {
    /// The concession.
    pub concession: Concession,
    /// Why it covers nothing.
    pub fault: ConcessionFault,
    /// How bad that is: dangerous where a dangerous finding is not covered, else minor.
    pub class: Class,
    /// The sentence.
    pub says: String,
    /// What puts it right.
    pub remedy: String,
    /// The part of the concession that it is about.
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

/// The concessions of a spec, as far as each names a rule and a subject.
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
    let span = |key: &str| spec.find(&format!("{path}.{key}")).map_or(spec.place(item).span, |p| spec.place(p).span);
    Some(Concession {
        rule_span: span("rule"),
        subject_span: span("subject"),
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

/// The concession for a finding, with whether it covers it on that day; of several, one that does.
pub(super) fn state(
    concessions: &[Concession],
    rule: &str,
    subject: &str,
    class: Class,
    day: Date,
) -> Option<ConcessionState> {
    let mut states = concessions.iter().filter(|c| c.rule == rule && c.subject == subject).map(|c| of(c, class, day));
    let first = states.next()?;
    Some(if first.in_force() { first } else { states.find(ConcessionState::in_force).unwrap_or(first) })
}

fn of(concession: &Concession, class: Class, day: Date) -> ConcessionState {
    let found = concession.clone();
    if found.by.is_none() || found.reason.is_none() {
        ConcessionState::Unsigned(found)
    } else if found.until.is_none_or(|last| last < day) {
        ConcessionState::Expired(found)
    } else if class == Class::Dangerous && !found.dangerous_accepted {
        ConcessionState::DangerousNotAccepted(found)
    } else {
        ConcessionState::InForce(found)
    }
}

/// The concessions that do not do what they were written for, in their order. One whose rule could not be decided waits.
pub(super) fn findings(
    concessions: &[Concession],
    judgements: &[Judgement],
    rulebook: &Rulebook,
) -> Vec<ConcessionFinding> {
    concessions.iter().filter_map(|c| finding(c, judgements, rulebook)).collect()
}

fn finding(concession: &Concession, judgements: &[Judgement], rulebook: &Rulebook) -> Option<ConcessionFinding> {
    let Concession { rule, subject, span, rule_span, subject_span, .. } = concession;
    let told = |fault, span: &Span, says: String, remedy: String| {
        let class = if fault == ConcessionFault::DangerousNotAccepted { Class::Dangerous } else { Class::Minor };
        Some(ConcessionFinding { concession: concession.clone(), fault, class, says, remedy, span: *span })
    };
    let Some(number) = rulebook.rules.iter().position(|r| *r.name == **rule) else {
        let says = format!("the concession is for {rule}, and there is no such rule");
        let near = nearest(rule, rulebook.rules.iter().map(|r| &*r.name));
        let remedy = near.map_or_else(
            || "Write the rule's name as the report gives it, or take the concession out.".into(),
            |near| {
                format!("Is {near} meant? Write the rule's name as the report gives it, or take the concession out.")
            },
        );
        return told(ConcessionFault::NoSuchRule, rule_span, says, remedy);
    };
    let of_rule = || judgements.iter().filter(|j| j.rule == number);
    let Some(judgement) = of_rule().find(|j| j.subject == *subject) else {
        let says = format!("the concession for {rule} is for {subject}, which that rule does not judge");
        let near = nearest(subject, of_rule().map(|j| &*j.subject));
        let judged: Vec<&str> = of_rule().take(MOST_SUBJECTS).map(|j| &*j.subject).collect();
        let more = if of_rule().count() > judged.len() { " and others" } else { "" };
        let remedy = match near {
            Some(near) => format!("Is {near} meant? Write the subject as the report gives it."),
            None => format!("The rule judges {}{more}; write the subject as the report gives it.", judged.join(", ")),
        };
        return told(ConcessionFault::NoSuchSubject, subject_span, says, remedy);
    };
    match &judgement.outcome {
        Outcome::Holds => {
            let says = format!("the concession for {rule} covers nothing: {subject} meets the requirement");
            told(ConcessionFault::HoldsNow, span, says, "Take it out, so that it does not cover a later fault.".into())
        }
        Outcome::NotApplicable => {
            let says = format!("the concession for {rule} covers nothing: that does not apply to {subject}");
            told(ConcessionFault::DoesNotApply, span, says, "Take it out.".into())
        }
        Outcome::Broken(_) => {
            let state = judgement.finding.as_ref()?.concession.as_ref()?;
            if state.concession().place != concession.place {
                let says = format!("there is another concession for {rule} and {subject}");
                let remedy = "Keep the one that holds, and take the other out.";
                return told(ConcessionFault::Repeated, span, says, remedy.into());
            }
            if !matches!(state, ConcessionState::DangerousNotAccepted(_)) {
                return None;
            }
            let says = format!("{rule} is broken dangerously on {subject}, which the concession for it does not reach");
            let remedy =
                "Put it right. Who answers for it all the same writes `dangerous: accepted` into the concession.";
            told(ConcessionFault::DangerousNotAccepted, span, says, remedy.into())
        }
        Outcome::Unmeasured { .. } | Outcome::Unproven(_) | Outcome::Beyond(_) => None,
    }
}
