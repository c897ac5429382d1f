//! What reports say of load cases: in which of them something stands, and how they come out one by one.

use super::page::{Page, Style};
use super::{json, summary};
use crate::assess::{Assessment, CaseReading, Judgement, Margin, Outcome};
use serde_json::{Value, json};

/// How a judgement comes out as written and in the cases where that differs; empty where no case changes it.
pub(super) fn readings(assessment: &Assessment, judgement: &Judgement) -> String {
    let Some(cases) = &judgement.cases else { return String::new() };
    let told: Vec<String> = cases.readings.iter().map(|reading| told(assessment, reading)).collect();
    told.join("; ")
}

fn told(assessment: &Assessment, reading: &CaseReading) -> String {
    let place = match reading.case.and_then(|case| assessment.cases.get(case)) {
        Some(case) => format!("in {}", case.name),
        None => "as written".into(),
    };
    let more = match (&reading.outcome, &reading.margin) {
        (Outcome::Unmeasured { missing, .. }, _) if !missing.is_empty() => {
            let paths: Vec<&str> = missing.iter().map(|m| &*m.path).collect();
            format!(" (needs {})", paths.join(", "))
        }
        (_, Some(margin)) => format!(" ({})", distance(margin)),
        _ => String::new(),
    };
    format!("{} {place}{more}", reading.outcome.word())
}

/// How far from the limit: `margin 3 mm`, `off by 12 mm`.
pub(super) fn distance(margin: &Margin) -> String {
    match margin.si() < 0.0 {
        true => format!("off by {}", margin.shown().trim_start_matches(['-', '\u{2212}'])),
        false => format!("margin {}", margin.shown()),
    }
}

/// The case whose outcome a judgement gives, for a heading: `in full load`.
pub(super) fn shown(assessment: &Assessment, judgement: &Judgement) -> Option<String> {
    assessment.case_of(judgement).map(|name| format!("in {name}"))
}

/// The places where a broken judgement is broken, for one line: ` (as written, in full load)`; empty where that is
/// everywhere.
pub(super) fn broken_in(assessment: &Assessment, judgement: &Judgement) -> String {
    if judgement.cases.is_none() {
        return String::new();
    }
    let broken = |case: Option<usize>| matches!(judgement.in_case(case).0, Outcome::Broken(_));
    let all = assessment.cases.len();
    if broken(None) && (0..all).all(|number| broken(Some(number))) {
        return String::new();
    }
    let cases = assessment.cases.iter().enumerate().filter(|(number, _)| broken(Some(*number)));
    let mut names: Vec<String> = broken(None).then(|| "as written".to_string()).into_iter().collect();
    names.extend(cases.map(|(_, case)| format!("in {}", case.name)));
    format!(" ({})", names.join(", "))
}

/// The outcomes of each case, counted.
pub(super) fn counts(assessment: &Assessment, page: &mut Page) {
    if assessment.cases.is_empty() {
        return;
    }
    let row = |name: &str, case| (name.to_string(), summary::line(&assessment.counts_in(case), 0));
    let mut rows = vec![row("as written", None)];
    rows.extend(assessment.cases.iter().enumerate().map(|(number, case)| row(&case.name, Some(number))));
    page.blank();
    page.paragraph(Style::Plain, "By load case:");
    page.rows(2, &rows);
}

/// The cases of a build for machines.
pub(super) fn cases_json(a: &Assessment) -> Value {
    let one = |(number, case): (usize, &crate::assess::Case)| {
        let value = |v: &crate::assess::CaseValue| json!({"path": v.path, "written": v.written, "value": v.value, "at": json::place(&a.sources, v.span)});
        json!({
            "name": case.name,
            "at": json::place(&a.sources, case.span),
            "set": case.set.iter().map(value).collect::<Vec<_>>(),
            "counts": a.counts_in(Some(number)),
        })
    };
    a.cases.iter().enumerate().map(one).collect()
}

/// How a judgement comes out as written and where that differs, for machines; an empty list where no case changes it.
pub(super) fn readings_json(a: &Assessment, judgement: &Judgement) -> Value {
    let one = |reading: &CaseReading| {
        json!({
            "case": reading.case.and_then(|case| a.cases.get(case)).map(|case| &case.name),
            "outcome": reading.outcome.word(),
            "margin": reading.margin.as_ref().map(json::margin),
        })
    };
    judgement.cases.iter().flat_map(|cases| &cases.readings).map(one).collect()
}
