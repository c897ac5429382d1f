//! Findings of a build for a person at a terminal: what was found, where, how it was computed, why it matters, what puts it
//! right, and where the requirement comes from.

use super::errors::sentence;
use super::page::{Look, Page, Style};
use super::source_code::{Mark, excerpts};
use super::{Judged, cases, errors, summary};
use crate::assess::{
    Assessment, ConcessionFinding, ConcessionState, Finding, Judgement, Label, Margin, Outcome, SourceText,
};
use crate::language::{Role, WorkingLine};
use crate::rulebook::{Class, TextSeen};
use crate::source::{Span, USED_HERE};

/// How many evidence labels stand in the excerpts before those which were only looked at go to a line of their own.
const MOST_LABELS: usize = 8;

/// How much of a text value is repeated in a label, in characters.
const MOST_VALUE: usize = 40;

/// One build: errors of its spec, findings, what is unproven or beyond, and the closing count.
pub fn terminal(judged: &Judged, look: Look) -> String {
    let assessment = judged.assessment;
    let mut page = Page::new(look);
    let name = assessment.name.as_deref().unwrap_or("A build without a name");
    page.title(name, &format!("{}, judged for {}", judged.path, assessment.day));
    page.as_is(&errors("spec", judged.errors, &assessment.sources, look));
    for (judgement, class, found) in assessment.broken() {
        finding(assessment, judgement, class, found, &mut page);
    }
    for found in &assessment.concession_findings {
        faulty_concession(assessment, found, &mut page);
    }
    open(assessment, &mut page);
    summary::count(judged, &mut page);
    page.finish()
}

fn finding(assessment: &Assessment, judgement: &Judgement, class: Class, finding: &Finding, page: &mut Page) {
    let rule = assessment.index.rules.get(judgement.rule);
    let name = rule.map_or("", |r| &r.name);
    let case = cases::shown(assessment, judgement);
    let parts = [Some(name), Some(&*judgement.subject), case.as_deref()];
    page.heading(Style::Class(class), class.word(), &parts.into_iter().flatten().collect::<Vec<_>>());
    page.paragraph(Style::Strong, &finding.says);
    let look = page.look;
    let (marks, looked_at, absent) = marks(finding, judgement.margin.as_ref());
    for excerpt in excerpts(&assessment.sources, &marks, look) {
        page.as_is(&excerpt.drawn(look));
    }
    page.field("required", rule.map_or("", |r| &r.title));
    if let Some(margin) = &judgement.margin {
        page.field("limit", &limit(margin));
    }
    page.field("cases", &cases::readings(assessment, judgement));
    working(&finding.working, page);
    page.field("broken by", &finding.members.join(", "));
    page.field("looked at", &looked_at.join(", "));
    page.field("not written", &absent.join(", "));
    page.field("shown by", &shown_by(finding));
    page.field("taken", &finding.notes.join("; "));
    page.field("uncertainty", &uncertainty(finding));
    page.field("why", &finding.why);
    page.field("remedy", &finding.remedy);
    page.field("measure", finding.measure.as_deref().unwrap_or_default());
    page.field("caution", finding.caution.as_deref().unwrap_or_default());
    for source in &finding.sources {
        page.field("source", &source_words(source));
    }
    if let Some(worse) = &judgement.worse_open {
        let words = format!("could be {}: needs {}", worse.class.word(), worse.needs.join(", "));
        page.styled_field("open", Style::Class(worse.class), &words);
    }
    if let Some(state) = &finding.concession {
        let at = assessment.sources.position(state.concession().span.file, state.concession().span.start);
        let file = assessment.sources.name(state.concession().span.file);
        page.field("concession", &format!("{} ({file}:{}:{})", concession(state), at.line, at.column));
    }
}

fn faulty_concession(assessment: &Assessment, found: &ConcessionFinding, page: &mut Page) {
    let concession = &found.concession;
    page.heading(Style::Class(found.class), found.class.word(), &["concession", &concession.rule, &concession.subject]);
    page.paragraph(Style::Strong, &sentence(&found.says));
    let marks = [Mark { span: found.span, words: found.fault.words().into() }];
    for excerpt in excerpts(&assessment.sources, &marks, page.look) {
        page.as_is(&excerpt.drawn(page.look));
    }
    page.field("remedy", &found.remedy);
}

/// The places to be shown with what each contributes, what was looked at besides, and what is not written.
fn marks<'a>(finding: &'a Finding, margin: Option<&Margin>) -> (Vec<Mark>, Vec<String>, Vec<&'a str>) {
    let (mut marks, mut looked_at, mut absent) = (Vec::new(), Vec::new(), Vec::new());
    let mut uses: Vec<Span> = Vec::new();
    if let Some(span) = finding.points_at.span {
        marks.push(Mark { span, words: pointed_words(&finding.points_at, margin) });
        uses.extend(finding.points_at.used);
    }
    for label in &finding.evidence {
        let few = marks.len() < MOST_LABELS;
        match label.span {
            Some(_) if label.value == "not written" => absent.push(&*label.path),
            Some(span) if few || label.role != Role::Considered => {
                marks.push(Mark { span, words: label_words(label) });
                uses.extend(label.used.filter(|used| !uses.contains(used)));
            }
            Some(_) => looked_at.push(format!("{} {}", label.path, shortened(&label.value)).trim_end().to_string()),
            None => looked_at.push(format!("table {} {}", label.path, label.value).trim_end().to_string()),
        }
    }
    marks.extend(uses.into_iter().map(|span| Mark { span, words: USED_HERE.into() }));
    (marks, looked_at, absent)
}

/// The evidence files of what was looked at.
fn shown_by(finding: &Finding) -> String {
    let labels = std::iter::once(&finding.points_at).chain(&finding.evidence);
    let files = labels.filter_map(|label| Some(format!("{} for {}", label.shown_by.as_ref()?, label.path)));
    files.collect::<Vec<_>>().join(", ")
}

/// What is said at the place that a finding points at.
fn pointed_words(label: &Label, margin: Option<&Margin>) -> String {
    let key = label.path.rsplit(['.', '/']).next().unwrap_or_default();
    match margin {
        _ if label.value == "not written" => format!("{key} is not written"),
        Some(margin) if margin.si() < 0.0 => format!("off by {}", unsigned(&margin.shown())),
        _ => "this".into(),
    }
}

/// What a value contributes.
pub(super) fn label_words(label: &Label) -> String {
    let what = if label.value == "not written" {
        let key = label.path.rsplit(['.', '/']).next().unwrap_or_default();
        format!("{key} is not written, ")
    } else {
        String::new()
    };
    match (label.role, &label.through) {
        (Role::Decides, _) => format!("{what}decides"),
        (Role::Feeds, Some(figure)) => format!("{what}feeds {figure}"),
        (Role::Feeds, None) => format!("{what}feeds it"),
        (Role::Considered, _) => format!("{what}looked at"),
    }
}

/// A difference without its sign.
fn unsigned(shown: &str) -> &str {
    shown.trim_start_matches(['-', '\u{2212}'])
}

fn shortened(value: &str) -> String {
    match value.char_indices().nth(MOST_VALUE) {
        Some((at, _)) => format!("{}\u{2026}", value.get(..at).unwrap_or_default().trim_end()),
        None => value.to_string(),
    }
}

/// The limit and how far the value stands from it.
pub(super) fn limit(margin: &Margin) -> String {
    let required = match margin.sign() {
        "<=" => "at most ",
        "<" => "below ",
        ">=" => "at least ",
        ">" => "above ",
        "!=" => "other than ",
        _ => "",
    };
    let shown = margin.shown();
    let off = unsigned(&shown);
    let share = margin.share().map_or(String::new(), |s| format!(", {} of the limit", percent(s.abs())));
    let at = margin.at().map_or(String::new(), |at| format!(", at {at}"));
    let word = if margin.si() < 0.0 { "off by" } else { "margin" };
    format!("{required}{}; it is {}, {word} {off}{share}{at}", margin.limit(), margin.value())
}

/// A share in per cent with two digits that count.
pub(super) fn percent(share: f64) -> String {
    let percent = share * 100.0;
    if percent >= 9.95 { format!("{percent:.0} %") } else { format!("{percent:.1} %") }
}

pub(super) fn working(lines: &[WorkingLine], page: &mut Page) {
    for (at, line) in lines.iter().enumerate() {
        let head =
            if line.name.is_empty() { line.symbols.clone() } else { format!("{} = {}", line.name, line.symbols) };
        if at == 0 {
            page.field("working", &head)
        } else {
            page.field_more(&head)
        }
        let sign = if line.name.is_empty() { "  " } else { "  = " };
        match &*line.result {
            "no" => page.field_more(&format!("{sign}{}, which does not hold", line.numbers)),
            "yes" => page.field_more(&format!("{sign}{}, which holds", line.numbers)),
            result => {
                if line.numbers != line.symbols && line.numbers != *result {
                    page.field_more(&format!("{sign}{}", line.numbers));
                }
                page.field_more(&format!("  = {result}"));
            }
        }
    }
}

fn uncertainty(finding: &Finding) -> String {
    match finding.without_uncertainty {
        0 => String::new(),
        1 => "none is stated for one of the values; it counts as exact".into(),
        n => format!("none is stated for {n} of the values; they count as exact"),
    }
}

/// A source, and whether its text was read.
pub(super) fn source_words(source: &SourceText) -> String {
    match source.text {
        TextSeen::Read => format!("{} (text read)", source.words),
        TextSeen::Memory => format!("{} (from memory)", source.words),
        TextSeen::Practice => format!("{} (practice)", source.words),
    }
}

/// A concession's state in a sentence.
pub(super) fn concession(state: &ConcessionState) -> String {
    let c = state.concession();
    let by = c.by.as_deref().map_or(String::new(), |by| format!(", granted by {by}"));
    let reason = c.reason.as_deref().map_or(String::new(), |reason| format!(": {reason}"));
    match (state, c.until) {
        (ConcessionState::InForce(_), Some(until)) => format!("in force until {until}{by}{reason}"),
        (ConcessionState::InForce(_), None) => format!("in force{by}{reason}"),
        (ConcessionState::Expired(_), Some(until)) => format!("expired on {until}{by}{reason}"),
        (ConcessionState::Expired(_), None) => format!("not in force: it has no last day{by}{reason}"),
        (ConcessionState::Unsigned(_), _) => {
            let lacks = match (&c.by, &c.reason) {
                (None, None) => "a name and a reason",
                (None, _) => "a name",
                _ => "a reason",
            };
            format!("not in force: it lacks {lacks}{by}{reason}")
        }
        (ConcessionState::DangerousNotAccepted(_), _) => {
            format!("not in force: a dangerous finding needs `dangerous: accepted` in it{by}{reason}")
        }
    }
}

/// Outcomes that are neither holding nor broken nor for want of a value: each in a line or two.
fn open(assessment: &Assessment, page: &mut Page) {
    for judgement in &assessment.judgements {
        let name = assessment.index.rules.get(judgement.rule).map_or("", |r| &r.name);
        let case = cases::shown(assessment, judgement);
        let parts: Vec<&str> = [Some(name), Some(&*judgement.subject), case.as_deref()].into_iter().flatten().collect();
        match &judgement.outcome {
            Outcome::Unproven(values) => {
                page.heading(Style::Strong, "unproven", &parts);
                for value in values {
                    let improve = value.improve.as_deref().map_or(String::new(), |p| format!("; {p} contributes most"));
                    let words = format!(
                        "{} cannot be told; an uncertainty of {} would do{improve}",
                        value.words, value.would_do
                    );
                    page.paragraph(Style::Plain, &words);
                }
            }
            Outcome::Beyond(words) => {
                page.heading(Style::Strong, "beyond", &parts);
                for words in words {
                    page.paragraph(Style::Plain, words);
                }
            }
            // What is unmeasured as written is counted and asked for; what a case alone leaves open would be overlooked there.
            Outcome::Unmeasured { .. } if case.is_some() => page.heading(Style::Strong, "unmeasured", &parts),
            _ => continue,
        }
        page.field("cases", &cases::readings(assessment, judgement));
    }
}
