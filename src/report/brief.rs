//! The short form: one line a finding, `path:line:col: class rule: sentence`, for editors and for filters.

use super::picture::pictured;
use super::{Judged, Total, Trouble, cases, summary};
use crate::assess::ConcessionState;
use crate::source::{Sources, Span, USED_HERE};
use std::fmt::Write as _;

/// The findings of one build and the errors of its spec.
pub fn brief(judged: &Judged) -> String {
    let assessment = judged.assessment;
    let sources = &assessment.sources;
    let mut out = brief_errors("spec", judged.errors, sources);
    for (judgement, class, finding) in assessment.broken() {
        let at = finding.points_at.span.or(judgement.span);
        let rule = assessment.index.rules.get(judgement.rule).map_or("", |r| &r.name);
        let covered = finding.concession.as_ref().is_some_and(ConcessionState::in_force);
        let conceded = if covered { " (concession in force)" } else { "" };
        let cases = cases::broken_in(assessment, judgement);
        let used =
            finding.points_at.used.map_or(String::new(), |u| format!(" (used at {})", place(sources, Some(u), "")));
        let at = place(sources, at, judged.path);
        let line = format!("{at}: {} {rule}: {}{cases}{used}{conceded}", class.word(), finding.says);
        let _ = writeln!(out, "{}", pictured(&line));
    }
    for found in &assessment.concession_findings {
        let at = place(sources, Some(found.span), judged.path);
        let _ = writeln!(out, "{}", pictured(&format!("{at}: {} concession: {}", found.class.word(), found.says)));
    }
    out
}

/// One line an error.
pub fn brief_errors(of: &str, errors: &[Trouble], sources: &Sources) -> String {
    let mut out = String::new();
    for error in errors {
        let remedy = error.remedy.as_deref().map_or(String::new(), |r| format!("; {r}"));
        let used = error.other.filter(|(_, words)| *words == USED_HERE);
        let used = used.map_or(String::new(), |(span, _)| format!(" (used at {})", place(sources, Some(span), "")));
        let line = format!("{}: {of} error: {}{remedy}{used}", place(sources, Some(error.span), ""), error.message);
        let _ = writeln!(out, "{}", pictured(&line));
    }
    out
}

fn place(sources: &Sources, span: Option<Span>, path: &str) -> String {
    let Some(span) = span else { return format!("{path}:1:1") };
    let at = sources.position(span.file, span.start);
    format!("{}:{}:{}", sources.name(span.file), at.line, at.column)
}

/// The last line: everything counted, and the caution.
pub fn brief_closing(total: &Total) -> String {
    format!("{}. {}\n", summary::line(&total.counts, total.with_errors), summary::CAUTION)
}
