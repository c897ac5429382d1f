//! What to measure next, the most useful first.

use super::page::{Look, Page, Style};
use super::summary::CAUTION;
use super::{Judged, budget, json};
use crate::assess::{Assessment, Budget, Needed};
use crate::terms::Staleness;
use serde_json::{Value, json};

/// What a measurement would do: `settles alone 3, helps 2`.
pub(super) fn settles(needed: &Needed) -> String {
    match (needed.settles_alone, needed.helps) {
        (0, helps) => format!("helps {helps}"),
        (alone, 0) => format!("settles alone {alone}"),
        (alone, helps) => format!("settles alone {alone}, helps {helps}"),
    }
}

/// Why a value that is written is to be measured again.
pub(super) fn again(stale: &Staleness) -> String {
    format!("it was taken on {}; {} was changed on {}", stale.taken, stale.by, stale.changed)
}

pub(super) fn stale(stale: Option<&Staleness>) -> Value {
    stale.map_or(Value::Null, |s| json!({"taken": s.taken.to_string(), "changed": s.changed.to_string(), "by": s.by}))
}

fn waiting<'a>(assessment: &'a Assessment, needed: &'a Needed) -> impl Iterator<Item = &'a str> {
    needed.rules.iter().filter_map(|rule| assessment.index.rules.get(*rule)).map(|rule| &*rule.name)
}

/// Every missing value: what it would settle, the rules that wait for it, and how it is measured; then those whose uncertainty costs
/// verdicts.
pub fn needed(assessment: &Assessment, all: &[Needed], budget: &[Budget], look: Look) -> String {
    let mut page = Page::new(look);
    let name = assessment.name.as_deref().unwrap_or("A build without a name");
    page.title(name, &format!("what to measure next, on {}", assessment.day));
    if all.is_empty() {
        page.paragraph(Style::Plain, "No rule waits for a value.");
    }
    for (at, one) in all.iter().enumerate() {
        page.blank();
        page.paragraph(Style::Strong, &format!("{}. {}", at + 1, one.path));
        page.field("worth", &settles(one));
        page.field("again", &one.again.as_ref().map(again).unwrap_or_default());
        page.field("what", one.description.as_deref().unwrap_or_default());
        page.field("written", &one.example.as_deref().map_or(String::new(), |e| format!("for example {e}")));
        page.field("waiting", &waiting(assessment, one).collect::<Vec<_>>().join(", "));
    }
    budget::section(&mut page, assessment, budget);
    page.blank();
    page.paragraph(Style::Quiet, CAUTION);
    page.finish()
}

/// The same for machines, with the errors of the spec; the form of the list is told at [`super::json`].
pub fn needed_json(judged: &Judged, budget: &[Budget]) -> Value {
    let assessment = judged.assessment;
    json!({
        "name": assessment.name,
        "day": assessment.day.to_string(),
        "errors": json::errors_json(judged.errors, &assessment.sources),
        "needed": list(assessment, judged.needed),
        "budget": budget::list(assessment, budget),
        "caution": CAUTION,
    })
}

/// The list alone.
pub(super) fn list(assessment: &Assessment, all: &[Needed]) -> Value {
    let list: Vec<Value> = all
        .iter()
        .map(|n| {
            json!({
                "path": n.path,
                "at": json::place(&assessment.sources, n.span),
                "settles_alone": n.settles_alone,
                "helps": n.helps,
                "weight": n.weight,
                "description": n.description,
                "example": n.example,
                "rules": waiting(assessment, n).collect::<Vec<_>>(),
                "again": stale(n.again.as_ref()),
            })
        })
        .collect();
    Value::Array(list)
}
