//! A finding conceded: an entry for it, with the reason and the name left open, so that it does not hold before somebody has
//! signed it.

use jiff::ToSpan;

use super::{Asked, Offer};
use crate::assess::ConcessionState;
use crate::editor::steps::put;
use crate::source::{EditStep, NewValue};

/// For how many days a concession is proposed.
const DAYS: i32 = 28;

/// Concessions for the findings at what is marked.
pub fn offers(asked: &Asked) -> Vec<Offer> {
    let judged = asked.judged;
    let mut offered = Vec::new();
    for (judgement, _, finding) in judged.assessment.broken() {
        let Some(span) = judged.finding_at(finding, judgement).filter(|span| asked.touches(*span)) else { continue };
        if finding.concession.as_ref().is_some_and(ConcessionState::in_force) {
            continue;
        }
        let Some(rule) = judged.assessment.index.rules.get(judgement.rule) else { continue };
        let Ok(until) = judged.assessment.day.checked_add(DAYS.days()) else { continue };
        let Some(steps) = entry(asked, &rule.name, &judgement.subject) else { continue };
        let with = |key: &str, behind: &[&str], value: NewValue| {
            let behind = behind.iter().map(|key| (*key).to_owned()).collect();
            ([&steps[..], &[EditStep::Key { key: key.into(), behind }]].concat(), value)
        };
        let open = |what: &str| NewValue::Plain(format!("left-open-{what}"));
        // The name by which the entry is found is put in with it.
        let by_rule = matches!(steps.last(), Some(EditStep::Item { naming, .. }) if naming == "rule");
        let mut values = vec![
            with("rule", &[], NewValue::Text(rule.name.to_string())),
            with("subject", &["rule"], NewValue::Text(judgement.subject.clone())),
            with("reason", &["rule", "subject"], open("reason")),
            with("by", &["rule", "subject", "reason"], open("by")),
            with("until", &["rule", "subject", "reason", "by"], NewValue::Plain(until.to_string())),
        ];
        values.remove(usize::from(!by_rule));
        // The gaps are taken out of the text at last, for what is not written cannot be put in.
        let gaps = |text: &str| text.replacen(" left-open-reason", "", 1).replacen(" left-open-by", "", 1);
        let Some(changed) = put(judged, asked.path, &values, gaps) else { continue };
        let title = format!("Record a concession for `{}`, to be signed", rule.name);
        offered.push(Offer { title, mends: true, preferred: false, about: Some(span), changed });
    }
    offered
}

/// The way to an entry that is not there yet; nothing if there is one for just this finding.
fn entry(asked: &Asked, rule: &str, subject: &str) -> Option<Vec<EditStep>> {
    let spec = &asked.judged.spec;
    let texts = |key: &str| -> Vec<String> {
        let Some(crate::terms::Held::List { items, .. }) = spec.find("concessions").map(|list| spec.held(list)) else {
            return Vec::new();
        };
        let held =
            items.iter().filter_map(|item| match spec.held(spec.find(&format!("{}.{key}", spec.path(*item)))?) {
                crate::terms::Held::Text(text) => Some(text.to_string()),
                _ => None,
            });
        held.collect()
    };
    // An entry is told from the others by the first of its two names that no other has.
    let (naming, name) = if !texts("rule").iter().any(|r| r == rule) {
        ("rule", rule)
    } else if !texts("subject").iter().any(|s| s == subject) {
        ("subject", subject)
    } else {
        return None;
    };
    let keys = &spec.types().record(spec.types().root()).fields;
    let behind = keys.iter().map(|field| field.name.to_string()).take_while(|key| key != "concessions").collect();
    Some(vec![
        EditStep::Key { key: "concessions".into(), behind },
        EditStep::Item { naming: naming.into(), name: name.into() },
    ])
}
