//! A comparison for a person at a terminal: what a reviewer has to know first, then what got better, then what changed.

use super::super::page::{Look, Page, Style};
use super::super::source_code::{Mark, excerpts};
use super::super::summary::CAUTION;
use super::super::terminal::limit;
use super::super::{cases, errors};
use super::{BookWords, Compared, ComparedBuild, Revisions, words};
use crate::assess::{Assessment, Finding, Judgement};
use crate::history::compare::{Comparison, Manner, Turn, Verdict};
use crate::rulebook::Class;

/// How many figures are listed.
const MOST_FIGURES: usize = 12;

/// How many values of a thing that came or went are listed.
const MOST_CONTENTS: usize = 6;

/// All builds.
pub fn comparison_terminal(revisions: &Revisions, builds: &[ComparedBuild], look: Look) -> String {
    let mut page = Page::new(look);
    let between = format!("{} to {}, judged for {}", revisions.base, revisions.head, revisions.day);
    for build in builds {
        match build {
            ComparedBuild::Both(compared) => both(compared, &between, &mut page),
            ComparedBuild::Added(path, assessment, troubles) => {
                page.title(name(assessment.name.as_deref()), &format!("{path}, a new build; {between}"));
                page.as_is(&errors("spec", troubles, &assessment.sources, look));
                added(assessment, &mut page);
            }
            ComparedBuild::Removed(path, named) => {
                page.title(name(*named), &format!("{path}, there no more; {between}"));
            }
        }
    }
    page.blank();
    if builds.is_empty() {
        page.paragraph(Style::Plain, &format!("{}: no build changed.", between));
    } else if revisions.unchanged > 0 {
        page.paragraph(Style::Plain, &format!("{} unchanged.", words::plural(revisions.unchanged, "more build")));
    }
    page.paragraph(Style::Quiet, CAUTION);
    page.finish()
}

fn name(name: Option<&str>) -> &str {
    name.unwrap_or("A build without a name")
}

fn added(assessment: &Assessment, page: &mut Page) {
    page.paragraph(Style::Plain, &words::added(assessment));
    let row = |(judgement, class, finding): (&Judgement, Class, &Finding)| {
        let rule = assessment.index.rules.get(judgement.rule).map_or("", |r| &r.name);
        (format!("{} {rule}", class.word()), finding.says.clone())
    };
    let rows: Vec<_> = assessment.broken().into_iter().map(row).collect();
    page.rows(2, &rows);
}

fn both(compared: &Compared, between: &str, page: &mut Page) {
    let comparison = compared.comparison;
    let moved = compared.old_path.map_or(String::new(), |old| format!(", before {old}"));
    page.title(name(comparison.after.name.as_deref()), &format!("{}{moved}; {between}", compared.path));
    if !compared.old_errors.is_empty() {
        page.paragraph(
            Style::Fault,
            "The older spec has errors; what they hide is compared as if it were not written.",
        );
        page.as_is(&errors("older spec", compared.old_errors, &comparison.before.sources, page.look));
    }
    page.as_is(&errors("spec", compared.errors, &comparison.after.sources, page.look));
    page.paragraph(Style::Plain, &words::summary(comparison));
    for verdict in comparison.verdicts.iter().filter(|v| urgent(v)) {
        heading(comparison, verdict, page);
    }
    faulty(comparison, page);
    margins(comparison, page);
    let lists = [
        ("better", vec![Turn::Cleared, Turn::GradedDown]),
        ("cannot be told", vec![Turn::Open]),
        ("judged now", vec![Turn::Judged]),
    ];
    for (at, (title, turns)) in lists.iter().enumerate() {
        verdicts(comparison, title, turns, page);
        if at == 0 {
            values(comparison, page);
        }
    }
    figures(comparison, page);
    concessions(comparison, page);
    verdicts(comparison, "still there", &[Turn::Still], page);
    book(compared, page);
    let notes: Vec<String> = words::left_out(comparison).into_iter().chain(words::grouping(comparison)).collect();
    if !notes.is_empty() {
        page.blank();
        page.paragraph(Style::Plain, &notes.join(" "));
    }
}

/// Whether a verdict is told in full, before everything else.
fn urgent(verdict: &Verdict) -> bool {
    match verdict.turn {
        Turn::New | Turn::Uncovered | Turn::GradedUp => true,
        Turn::Open => verdict.at_stake == Some(Class::Dangerous),
        _ => false,
    }
}

fn heading(comparison: &Comparison, verdict: &Verdict, page: &mut Page) {
    let style = match verdict.new.as_ref().and_then(words::class_of) {
        Some(class) => Style::Class(class),
        None => Style::Strong,
    };
    let case = verdict.new.as_ref().and_then(|new| cases::shown(&comparison.after, new));
    let rule = words::rule(comparison, verdict.rule);
    page.heading(style, &words::turn(verdict), &[rule, &verdict.subject, case.as_deref().unwrap_or_default()]);
    let Some(new) = &verdict.new else { return };
    let finding = new.finding.as_deref();
    if let Some(finding) = finding {
        page.paragraph(Style::Strong, &finding.says);
    }
    for excerpt in excerpts(&comparison.after.sources, &marks(comparison, verdict), page.look) {
        page.as_is(&excerpt.drawn(page.look));
    }
    page.field("was", &words::was(verdict));
    page.field("before", verdict.old_subject.as_deref().unwrap_or_default());
    if let Some(margin) = new.margin.as_ref().filter(|_| verdict.turn != Turn::Uncovered) {
        page.field("limit", &limit(margin));
    }
    if verdict.turn == Turn::Open {
        page.field("needs", &words::needs(new));
        page.field("could be", verdict.at_stake.map_or("", Class::word));
    }
    because(&words::causes(comparison, &verdict.causes), page);
    if let Some(finding) = finding {
        page.field("remedy", &finding.remedy);
        if let Some(state) = &finding.concession {
            page.field("concession", &super::super::terminal::concession(state));
        }
    }
}

fn because(causes: &[String], page: &mut Page) {
    for (at, cause) in causes.iter().enumerate() {
        match at {
            0 => page.field("because", cause),
            _ => page.field_more(cause),
        }
    }
}

/// The value that a finding is about, and the changed values that brought it about.
fn marks(comparison: &Comparison, verdict: &Verdict) -> Vec<Mark> {
    let mut marks: Vec<Mark> = Vec::new();
    for cause in &verdict.causes.of {
        let changes = comparison.trials.get(cause.trial).map(|t| &t.changes[..]).unwrap_or_default();
        for change in changes.iter().filter_map(|at| comparison.changes.get(*at)) {
            let (Some(new), Some(old)) = (&change.new, &change.old) else { continue };
            if matches!(change.manner, Manner::Value | Manner::Known) {
                marks.push(Mark { span: new.span, words: format!("was {}", old.shown) });
            }
        }
    }
    let pointed = verdict.new.as_ref().and_then(|j| j.finding.as_ref()).and_then(|f| f.points_at.span);
    if let Some(span) = pointed
        && !marks.iter().any(|m| m.span.file == span.file && m.span.start >= span.start && m.span.end <= span.end)
    {
        marks.insert(0, Mark { span, words: "this".into() });
    }
    marks
}

fn faulty(comparison: &Comparison, page: &mut Page) {
    for found in &comparison.faulty_concessions {
        page.heading(
            Style::Class(found.class),
            &format!("new {}", found.class.word()),
            &["concession", &found.concession.rule],
        );
        page.paragraph(Style::Strong, &found.says);
        page.field("remedy", &found.remedy);
    }
}

fn margins(comparison: &Comparison, page: &mut Page) {
    for (title, shrank) in [("margins shrunk", true), ("margins grown", false)] {
        let all: Vec<_> = comparison.margins.iter().filter(|m| m.shrank == shrank).collect();
        if all.is_empty() {
            continue;
        }
        page.heading(Style::Plain, title, &[]);
        for m in all {
            page.indented(Style::Plain, &format!("{} {}", words::rule(comparison, m.rule), m.subject), 2);
            let share = if m.outcome == "holds" { String::new() } else { format!(", {}", m.outcome) };
            page.indented(Style::Plain, &format!("{}{share}", words::margin(m)), 6);
            for cause in words::causes_by_path(comparison, &m.causes) {
                page.indented(Style::Quiet, &cause, 6);
            }
        }
    }
}

fn verdicts(comparison: &Comparison, title: &str, turns: &[Turn], page: &mut Page) {
    let all: Vec<_> = comparison.verdicts.iter().filter(|v| turns.contains(&v.turn) && !urgent(v)).collect();
    if all.is_empty() {
        return;
    }
    page.heading(Style::Plain, title, &[]);
    for verdict in all {
        let rule = words::rule(comparison, verdict.rule);
        page.indented(Style::Plain, &format!("{} {rule} {}", words::turn(verdict), verdict.subject), 2);
        match verdict.turn {
            Turn::Still => {
                let says = verdict.new.as_ref().and_then(|j| j.finding.as_ref()).map_or("", |f| &f.says);
                page.indented(Style::Plain, says, 6);
            }
            Turn::Open => {
                let needs = verdict.new.as_ref().map(words::needs).unwrap_or_default();
                page.indented(Style::Plain, &format!("was {}; needs {needs}", words::was(verdict)), 6);
            }
            _ => {
                let now = verdict.new.as_ref().map_or("not there", |j| j.outcome.word());
                page.indented(Style::Plain, &format!("was {}; now {now}", words::was(verdict)), 6);
            }
        }
        for cause in words::causes_by_path(comparison, &verdict.causes) {
            page.indented(Style::Quiet, &cause, 6);
        }
    }
}

fn values(comparison: &Comparison, page: &mut Page) {
    let known = |wanted: bool| comparison.changes.iter().filter(move |c| (c.manner == Manner::Known) == wanted);
    for (title, wanted) in [("values", false), ("how values are known", true)] {
        if known(wanted).next().is_none() {
            continue;
        }
        page.heading(Style::Plain, title, &[]);
        for change in known(wanted) {
            page.indented(Style::Plain, &change.path, 2);
            page.indented(Style::Plain, &words::change(change), 6);
            if change.contents.len() > 1 {
                page.indented(Style::Plain, &contents(&change.contents), 6);
            }
            page.indented(Style::Quiet, &words::places(comparison, change), 6);
        }
    }
    if !comparison.renamed.is_empty() {
        page.heading(Style::Plain, "new names", &[]);
        for (old, new) in &comparison.renamed {
            page.indented(Style::Plain, &format!("{old} \u{2192} {new}"), 2);
        }
    }
}

fn contents(all: &[(String, String)]) -> String {
    let shown = all.iter().take(MOST_CONTENTS).map(|(path, value)| format!("{path} {value}").trim().to_string());
    let mut shown: Vec<String> = shown.collect();
    if all.len() > MOST_CONTENTS {
        shown.push(format!("and {} more", all.len() - MOST_CONTENTS));
    }
    shown.join(", ")
}

fn figures(comparison: &Comparison, page: &mut Page) {
    if comparison.figures.is_empty() {
        return;
    }
    page.heading(Style::Plain, "figures", &[]);
    for m in comparison.figures.iter().take(MOST_FIGURES) {
        let name = comparison.after.index.figures.get(m.figure).map_or("", |f| &f.name);
        page.indented(Style::Plain, format!("{name} {}", m.subject).trim(), 2);
        page.indented(Style::Plain, &words::figure(m), 6);
        for cause in words::causes_by_path(comparison, &m.causes) {
            page.indented(Style::Quiet, &cause, 6);
        }
    }
    if comparison.figures.len() > MOST_FIGURES {
        let more = comparison.figures.len() - MOST_FIGURES;
        page.indented(Style::Plain, &format!("and {more} more that moved less; --as json has all"), 2);
    }
}

fn concessions(comparison: &Comparison, page: &mut Page) {
    if comparison.concessions.is_empty() {
        return;
    }
    page.heading(Style::Plain, "concessions", &[]);
    for m in &comparison.concessions {
        let Some(concession) = m.concession() else { continue };
        page.indented(Style::Plain, &format!("{} {}", concession.rule, concession.subject), 2);
        page.indented(Style::Plain, &words::concession(m), 6);
    }
}

fn book(compared: &Compared, page: &mut Page) {
    match &compared.book {
        None => {}
        Some(BookWords::Unusable(of, texts, troubles)) => {
            page.heading(Style::Plain, "changed rules", &[]);
            page.paragraph(Style::Plain, "What they do by themselves cannot be told: the older ones cannot be used.");
            page.as_is(&errors(of, troubles, texts, page.look));
        }
        Some(BookWords::Change(change)) => {
            page.heading(Style::Plain, "changed rules", &[]);
            page.paragraph(Style::Plain, "On the older spec, the newer rules against the older ones:");
            for (word, rules) in [("new rule", &change.added), ("no longer a rule", &change.removed)] {
                for rule in rules {
                    page.indented(Style::Plain, &format!("{word} {rule}"), 2);
                }
            }
            for m in &change.moves {
                let word = |outcome: Option<&'static str>| outcome.unwrap_or("not judged");
                page.indented(Style::Plain, &format!("{} {}", m.rule, m.subject), 2);
                page.indented(Style::Plain, &format!("{} \u{2192} {}", word(m.old), word(m.new)), 6);
            }
            if change.moves.is_empty() {
                page.indented(Style::Plain, "no outcome is another", 2);
            }
        }
    }
}
