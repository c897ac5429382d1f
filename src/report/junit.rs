//! Outcomes in the XML form of test reports that build services show: a suite for each build, a case for each rule and subject.
//!
//! A case fails where a finding is at or above the class that holds the build up and no concession in force covers it; what could not be judged is
//! skipped and says why; what does not apply is left out.

use super::figures::without;
use super::picture::pictured;
use super::summary::CAUTION;
use super::terminal::{concession, limit};
use super::{Judged, cases};
use crate::assess::{Assessment, ConcessionState, Finding, Judgement, Outcome};
use crate::rulebook::Class;
use crate::source::{Sources, Span};
use std::fmt::Write as _;

/// What stands before the builds.
pub const JUNIT_START: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<testsuites name=\"tramgauge\">\n";

/// What stands behind them.
pub const JUNIT_END: &str = "</testsuites>\n";

/// A case.
struct Case {
    /// The system.
    of: String,
    /// Rule and subject.
    name: String,
    span: Option<Span>,
    verdict: Verdict,
}

enum Verdict {
    Passes(Option<String>),
    Fails(&'static str, String, String),
    Skipped(String),
    Unusable(String),
}

/// One build; findings from the class `holding` on fail.
pub fn junit_build(judged: &Judged, holding: Option<Class>) -> String {
    let a = judged.assessment;
    let mut cases: Vec<Case> =
        judged.errors.iter().map(|e| unusable("the spec can be read", &e.message, Some(e.span))).collect();
    cases.extend(a.exhausted.iter().map(|(rule, subject)| {
        unusable(&format!("{rule} on {subject} ends"), "it needs more steps than one judgement may take", None)
    }));
    cases.extend(a.judgements.iter().filter_map(|j| case(a, j, holding)));
    cases.extend(a.concession_findings.iter().map(|found| Case {
        of: "concessions".into(),
        name: format!("the concession for {} on {}", found.concession.rule, found.concession.subject),
        span: Some(found.span),
        verdict: match holding.is_some_and(|holding| found.class >= holding) {
            true => Verdict::Fails(found.class.word(), found.says.clone(), format!("remedy: {}", found.remedy)),
            false => Verdict::Passes(Some(format!("{}: {}", found.class.word(), found.says))),
        },
    }));
    let count = |of: fn(&Verdict) -> bool| cases.iter().filter(|c| of(&c.verdict)).count();
    let mut out = format!(
        "<testsuite name=\"{}\" tests=\"{}\" failures=\"{}\" errors=\"{}\" skipped=\"{}\">\n",
        attribute(judged.path),
        cases.len(),
        count(|v| matches!(v, Verdict::Fails(..))),
        count(|v| matches!(v, Verdict::Unusable(_))),
        count(|v| matches!(v, Verdict::Skipped(_))),
    );
    let properties =
        [("build", a.name.as_deref().unwrap_or_default()), ("day", &a.day.to_string()), ("caution", CAUTION)];
    out.push_str("<properties>");
    for (name, value) in properties {
        let _ = write!(out, "<property name=\"{name}\" value=\"{}\"/>", attribute(value));
    }
    out.push_str("</properties>\n");
    for case in &cases {
        write_case(case, &a.sources, judged.path, &mut out);
    }
    out.push_str("</testsuite>\n");
    out
}

fn unusable(name: &str, message: &str, span: Option<Span>) -> Case {
    Case { of: "spec".into(), name: name.into(), span, verdict: Verdict::Unusable(message.into()) }
}

fn case(a: &Assessment, judgement: &Judgement, holding: Option<Class>) -> Option<Case> {
    let rule = a.index.rules.get(judgement.rule)?;
    let pointed = judgement.finding.as_ref().and_then(|f| f.points_at.span);
    let verdict = match (&judgement.outcome, &judgement.finding) {
        (Outcome::NotApplicable, _) => return None,
        (Outcome::Holds, _) => Verdict::Passes(None),
        (Outcome::Broken(class), Some(found)) => match &found.concession {
            Some(state @ ConcessionState::InForce(_)) => {
                Verdict::Skipped(format!("{}: {}; concession {}", class.word(), found.says, concession(state)))
            }
            _ if holding.is_some_and(|holding| *class >= holding) => {
                Verdict::Fails(class.word(), found.says.clone(), explained(a, judgement, found))
            }
            _ => Verdict::Passes(Some(format!("{}: {}", class.word(), found.says))),
        },
        (outcome, _) => Verdict::Skipped(without(outcome)),
    };
    let name = format!("{} on {}", rule.name, judgement.subject);
    Some(Case { of: rule.system.to_string(), name, span: pointed.or(judgement.span), verdict })
}

fn explained(a: &Assessment, judgement: &Judgement, found: &Finding) -> String {
    let mut lines = Vec::new();
    lines.extend(judgement.margin.as_ref().map(|m| format!("limit: {}", limit(m))));
    let cases = cases::readings(a, judgement);
    lines.extend((!cases.is_empty()).then(|| format!("load cases: {cases}")));
    lines.push(format!("remedy: {}", found.remedy));
    lines.extend(found.concession.as_ref().map(|state| format!("concession: {}", concession(state))));
    lines.join("\n")
}

fn write_case(case: &Case, sources: &Sources, build: &str, out: &mut String) {
    let file = case.span.map_or(build, |span| sources.name(span.file));
    let line = case.span.map_or(1, |span| sources.position(span.file, span.start).line);
    let _ = write!(
        out,
        "<testcase classname=\"{}\" name=\"{}\" file=\"{}\" line=\"{line}\"",
        attribute(&case.of),
        attribute(&case.name),
        attribute(file)
    );
    let _ = match &case.verdict {
        Verdict::Passes(None) => writeln!(out, "/>"),
        Verdict::Passes(Some(words)) => writeln!(out, "><system-out>{}</system-out></testcase>", content(words)),
        Verdict::Fails(class, says, more) => writeln!(
            out,
            "><failure type=\"{class}\" message=\"{}\">{}</failure></testcase>",
            attribute(says),
            content(more)
        ),
        Verdict::Skipped(words) => writeln!(out, "><skipped message=\"{}\"/></testcase>", attribute(words)),
        Verdict::Unusable(words) => writeln!(out, "><error message=\"{}\"/></testcase>", attribute(words)),
    };
}

/// A text in one line between quotes.
fn attribute(text: &str) -> String {
    escaped(&pictured(text))
}

/// A text of several lines between tags.
fn content(text: &str) -> String {
    let lines: Vec<String> = text.split('\n').map(|line| escaped(&pictured(line))).collect();
    lines.join("\n")
}

/// Everything that XML 1.0 (clause 2.2 and 2.4) does not take as it is.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 8);
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&apos;"),
            '\u{fffe}' | '\u{ffff}' => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn nothing_of_a_text_is_markup() {
        assert_eq!(attribute("a\"><b>&'\u{0}\n\u{ffff}"), "a&quot;&gt;&lt;b&gt;&amp;&apos;\u{2400} \u{fffd}");
        assert_eq!(content("a]]>\nb\u{1b}"), "a]]&gt;\nb\u{241b}");
    }

    proptest! {
        #[test]
        fn an_xml_reader_gets_back_what_is_shown(
            written in "([<>&\"'\\]\\[!\\-\u{0}-\u{1f}\u{fffe}\u{202e}]|\\PC){0,24}"
        ) {
            let xml = format!("<a b=\"{}\">{}</a>", attribute(&written), content(&written));
            let read = roxmltree::Document::parse(&xml);
            let read = read.as_ref().map(|d| (d.root_element().attribute("b"), d.root_element().text()));
            let shown = pictured(&written).replace(['\u{fffe}', '\u{ffff}'], "\u{fffd}");
            let lines: Vec<_> = written.split('\n').map(|l| pictured(l).replace(['\u{fffe}', '\u{ffff}'], "\u{fffd}")).collect();
            let text = lines.join("\n");
            prop_assert_eq!(read, Ok((Some(&*shown), Some(&*text).filter(|t| !t.is_empty()))));
        }
    }
}
