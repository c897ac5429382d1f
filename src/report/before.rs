//! What must be settled before a step that cannot be taken back, and what breaks if it is taken now.

use super::page::{Look, Page, Style};
use super::summary::CAUTION;
use super::{Judged, json};
use crate::assess::{Assessment, Before, Lack, Outcome, ToSettle};
use serde_json::{Value, json};

/// What a value lacks, in words.
fn lacks(lack: &Lack) -> String {
    match lack {
        Lack::Missing => "not written".into(),
        Lack::Stale(Some(day)) => format!("measured before the change of {day}; measure again"),
        Lack::Stale(None) => "measured before a change; measure again".into(),
        Lack::Unproven { needs: Some(needs), .. } => format!("not known well enough; \u{b1} {needs} would do"),
        Lack::Unproven { would_do, .. } => {
            format!("not known well enough; an uncertainty of {would_do} in what is judged would do")
        }
        Lack::Assumed => "assumed; measure it".into(),
    }
}

fn rules(assessment: &Assessment, settle: &ToSettle) -> Vec<String> {
    settle.rules.iter().filter_map(|rule| assessment.index.rules.get(*rule)).map(|r| r.name.to_string()).collect()
}

fn plural(count: usize, one: &str, several: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { several })
}

/// The list for a person.
pub fn before(assessment: &Assessment, before: &Before, look: Look) -> String {
    let mut page = Page::new(look);
    let name = assessment.name.as_deref().unwrap_or("A build without a name");
    page.title(name, &format!("before {}, on {}", before.event, assessment.day));
    let mut parts = vec![
        plural(before.breaks.len(), "requirement is broken", "requirements are broken"),
        plural(before.settle.len(), "value is to be settled", "values are to be settled"),
    ];
    if !before.unjudged.is_empty() {
        parts.push(format!("{} cannot be judged", before.unjudged.len()));
    }
    let assumed = match before.holds_on_assumption {
        0 => String::new(),
        on => format!(" ({on} of them on an assumed value)"),
    };
    parts.push(format!("{} hold{assumed}", before.holds));
    page.paragraph(Style::Plain, &format!("{}.", parts.join(", ")));
    if !before.breaks.is_empty() {
        page.heading(Style::Strong, "what breaks if it is done now", &[]);
        for number in &before.breaks {
            broken(&mut page, assessment, *number);
        }
    }
    if !before.settle.is_empty() {
        page.heading(Style::Strong, "what is to be settled first, the dearest if wrong on top", &[]);
        for (at, one) in before.settle.iter().enumerate() {
            page.blank();
            page.paragraph(Style::Strong, &format!("{}. {}", at + 1, one.path));
            page.styled_field("if wrong", Style::Class(one.class), one.class.word());
            page.field("is", &lacks(&one.lack));
            page.field("what", one.description.as_deref().unwrap_or_default());
            page.field("written", &one.example.as_deref().map_or(String::new(), |e| format!("for example {e}")));
            page.field("for", &rules(assessment, one).join(", "));
        }
    }
    if !before.unjudged.is_empty() {
        page.heading(Style::Strong, "what cannot be judged", &[]);
        for judgement in before.unjudged.iter().filter_map(|number| assessment.judgements.get(*number)) {
            let rule = assessment.index.rules.get(judgement.rule).map_or("", |rule| &*rule.name);
            let why = match &judgement.outcome {
                Outcome::Beyond(words) => words.join("; "),
                Outcome::Unmeasured { unreadable, .. } => format!("{} cannot be read", unreadable.join(", ")),
                _ => String::new(),
            };
            page.rows(2, &[(format!("{rule} {}", judgement.subject), why)]);
        }
    }
    page.blank();
    page.paragraph(Style::Quiet, CAUTION);
    page.finish()
}

fn broken(page: &mut Page, assessment: &Assessment, number: usize) {
    let Some(judgement) = assessment.judgements.get(number) else { return };
    let (Outcome::Broken(class), Some(finding)) = (&judgement.outcome, &judgement.finding) else { return };
    let rule = assessment.index.rules.get(judgement.rule).map_or("", |rule| &*rule.name);
    page.blank();
    let conceded = finding.concession.as_ref().is_some_and(crate::assess::ConcessionState::in_force);
    let word = if conceded { format!("{} (concession in force)", class.word()) } else { class.word().into() };
    page.paragraph(Style::Class(*class), &format!("{word} {rule} {}", judgement.subject));
    page.indented(Style::Plain, &finding.says, 2);
    page.field("remedy", &finding.remedy);
}

/// The list for machines; the errors of the spec stand beside it.
pub fn before_json(judged: &Judged, before: &Before) -> Value {
    let assessment = judged.assessment;
    let subject = |number: &usize| assessment.judgements.get(*number);
    let breaks: Vec<Value> = before
        .breaks
        .iter()
        .filter_map(subject)
        .map(|judgement| {
            json!({
                "rule": assessment.index.rules.get(judgement.rule).map(|rule| &rule.name),
                "subject": judgement.subject,
                "class": judgement.outcome.word(),
                "says": judgement.finding.as_ref().map(|f| &f.says),
                "remedy": judgement.finding.as_ref().map(|f| &f.remedy),
                "conceded": judgement.finding.as_ref().and_then(|f| f.concession.as_ref()).is_some_and(crate::assess::ConcessionState::in_force),
                "at": judgement.finding.as_ref().and_then(|f| f.points_at.span).map(|span| json::place(&assessment.sources, span)),
            })
        })
        .collect();
    let settle: Vec<Value> = before
        .settle
        .iter()
        .map(|one| {
            let (lack, needs, would_do, changed) = match &one.lack {
                Lack::Missing => ("missing", None, None, None),
                Lack::Stale(day) => ("stale", None, None, day.map(|day| day.to_string())),
                Lack::Unproven { needs, would_do } => ("unproven", needs.as_ref(), Some(would_do), None),
                Lack::Assumed => ("assumed", None, None, None),
            };
            json!({
                "path": one.path,
                "at": json::place(&assessment.sources, one.span),
                "lacks": lack,
                "needs": needs,
                "would_do": would_do,
                "changed": changed,
                "class": one.class,
                "outcomes": one.outcomes,
                "description": one.description,
                "example": one.example,
                "rules": rules(assessment, one),
            })
        })
        .collect();
    let unjudged: Vec<Value> = before
        .unjudged
        .iter()
        .filter_map(subject)
        .map(|judgement| {
            let rule = assessment.index.rules.get(judgement.rule).map(|rule| &rule.name);
            json!({"rule": rule, "subject": judgement.subject, "reasons": json::reasons(&assessment.sources, &judgement.outcome)})
        })
        .collect();
    json!({
        "name": assessment.name,
        "day": assessment.day.to_string(),
        "before": before.event,
        "errors": json::errors_json(judged.errors, &assessment.sources),
        "breaks": breaks,
        "settle": settle,
        "unjudged": unjudged,
        "holds": before.holds,
        "holds_on_assumption": before.holds_on_assumption,
        "caution": CAUTION,
    })
}
