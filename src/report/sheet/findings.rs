//! Findings in full: the sentence, the limit, the working, what it rests on, why it matters and what puts it right.

use super::before::{Turned, Was, change_word, was};
use super::concessions;
use super::rules::sign;
use super::systems::System;
use super::{Judged, keyed, number, shown, wide};
use crate::assess::{Finding, Judgement, Label, Margin};
use crate::language::{Role, WorkingLine};
use crate::rulebook::{Class, TextSeen};
use crate::source::Sources;
use maud::{Markup, html};

/// The findings of a system, and behind them those that are none any more; in brief without their workings and what they rest on.
pub(super) fn findings(judged: &Judged, system: &System, brief: bool) -> Markup {
    let turned = |judgement: &Judgement| {
        let number = system.outcomes.iter().find(|(_, j)| std::ptr::eq(*j, judgement)).map(|(at, _)| *at);
        system.was.and_then(|was| Some((was, was.outcome(number?, judgement))))
    };
    html! {
        @if !system.findings.is_empty() {
            h3 { "Findings" }
            @for (at, judgement, class, finding) in &system.findings {
                (one(judged, *at, judgement, (*class, finding), turned(judgement), brief))
            }
        }
        @if let Some(was) = system.was { (cleared(was, system.name)) }
    }
}

/// What is not found any more.
fn cleared(older: &Was, system: &str) -> Markup {
    let all = older.cleared(system);
    html! {
        @if !all.is_empty() {
            h3 { "No longer found" }
            ul.cleared {
                @for (number, verdict, at, finding) in all {
                    @let base = format!("/findings/{at}");
                    li data-change=(format!("/compared/verdicts/{number}")) {
                        (change_word(&super::super::comparison::turn(verdict))) " "
                        @if let Some(old) = &verdict.old {
                            "(before " (was(&format!("{base}/class"), old.outcome.word())) ") "
                        }
                        (was(&format!("{base}/says"), &finding.says))
                        p.quiet {
                            (was(&format!("{base}/rule"), older.assessment.index.rules.get(verdict.rule).map_or("", |r| &r.name))) " · "
                            @if verdict.subject.is_empty() { "the build" } @else { span data-key=(format!("/compared/verdicts/{number}/subject")) { (shown(&verdict.subject)) } }
                            ": now "
                            @match &verdict.new {
                                Some(new) => {
                                    span data-key=(format!("/compared/verdicts/{number}/new/outcome")) { (new.outcome.word()) }
                                    @if let Some(margin) = &new.margin {
                                        ", margin " span data-key=(format!("/compared/verdicts/{number}/new/margin/shown")) { (shown(&margin.shown())) }
                                    }
                                }
                                None => "not there",
                            }
                        }
                    }
                }
            }
        }
    }
}

/// What a finding was before; of one that was none, what its outcome was.
fn before(older: &Was, turned: &Turned, f: &Finding, margin: Option<&Margin>) -> Markup {
    let Some((at, old)) = turned.old else { return html! { dt { "before" } dd { "not there" } } };
    let says =
        old.finding.as_ref().filter(|was| was.says != f.says).and_then(|was| Some((older.finding(old)?, &was.says)));
    let moved = old.margin.as_ref().filter(|old| margin.is_none_or(|now| now.shown() != old.shown()));
    html! {
        dt { "before" }
        dd {
            (was(&format!("/outcomes/{at}/outcome"), old.outcome.word()))
            @if let Some((finding, says)) = says { ": " (was(&format!("/findings/{finding}/says"), says)) }
            @if let Some(margin) = moved { ", margin " (was(&format!("/outcomes/{at}/margin/shown"), &margin.shown())) }
            @if says.is_none() && moved.is_none() && old.finding.is_some() { ", just as now" }
        }
    }
}

fn one(
    judged: &Judged,
    at: usize,
    judgement: &Judgement,
    (class, f): (Class, &Finding),
    turned: Option<(&Was, Turned)>,
    brief: bool,
) -> Markup {
    let rule = judged.assessment.index.rules.get(judgement.rule);
    let word = turned.as_ref().map(|(_, turned)| turned.word_beside_class().unwrap_or_else(|| "still there".into()));
    let changed = turned.as_ref().is_some_and(|(_, turned)| turned.change().is_some());
    html! {
        article.finding data-of=(format!("/findings/{at}")) {
            h4 {
                span.word.(class.word()) data-at="/class" { (class.word()) } " "
                @if let Some(word) = &word { @if changed { (change_word(word)) } @else { span.quiet { (word) } } " " }
                (keyed("/says", &f.says))
            }
            p.quiet { (keyed("/rule", rule.map_or("", |r| &r.name))) " · " (super::rules::subject(&judgement.subject)) }
            dl {
                dt { "required" } dd { (keyed("/requirement", rule.map_or("", |r| &r.title))) }
                @if let Some(margin) = &judgement.margin { dt { "limit" } dd { (limit(margin)) } }
                @if let Some((older, turned)) = &turned { (before(older, turned, f, judgement.margin.as_ref())) }
                dt { "where" } dd data-of="/points_at" { (place(&judged.assessment.sources, &f.points_at)) }
                @if !f.members.is_empty() {
                    dt { "broken by" } dd { (list("/members", &f.members)) }
                }
                dt { "why" } dd { (keyed("/why", &f.why)) }
                dt { "remedy" } dd { (keyed("/remedy", &f.remedy)) }
                @if let Some(measure) = &f.measure { dt { "measure" } dd { (keyed("/measure", measure)) } }
                @if let Some(caution) = &f.caution { dt { "caution" } dd { (keyed("/caution", caution)) } }
            }
            @if !brief {
                (working(&f.working))
                (evidence(judged, f))
            }
            dl {
                @if !f.notes.is_empty() { dt { "taken" } dd { (list("/notes", &f.notes)) } }
                @if f.without_uncertainty > 0 {
                    dt { "uncertainty" }
                    dd { "not stated for " (number("/without_uncertainty", f.without_uncertainty)) " of the values that it rests on" }
                }
                @if let Some(worse) = &judgement.worse_open {
                    dt { "open" }
                    dd data-of="/worse_open" { "could be " (keyed("/class", worse.class.word())) ": needs " (list("/needs", &worse.needs)) }
                }
                @if let Some(state) = &f.concession { dt { "concession" } dd data-of="/concession" { (concessions::state(state)) } }
                dt { "source" }
                dd {
                    @for (n, source) in f.sources.iter().enumerate() {
                        p data-of=(format!("/sources/{n}")) {
                            (keyed("/words", &source.words))
                            @match source.text {
                                TextSeen::Read => " (its text was read)",
                                TextSeen::Memory => " (from memory)",
                                TextSeen::Practice => "",
                            }
                        }
                    }
                }
            }
        }
    }
}

fn limit(margin: &Margin) -> Markup {
    html! {
        span data-of="/margin" {
            "must be " (sign(margin.sign())) " " (keyed("/limit", &margin.limit())) "; it is " (keyed("/value", &margin.value()))
            ", margin " (keyed("/shown", &margin.shown()))
            @if let Some(at) = margin.at() { ", at " (keyed("/where", &at)) }
        }
    }
}

/// Texts of a list, each with its key.
pub(super) fn list(at: &str, texts: &[String]) -> Markup {
    html! {
        @for (n, text) in texts.iter().enumerate() {
            @if n > 0 { ", " }
            (keyed(&format!("{at}/{n}"), text))
        }
    }
}

/// A path, what stands there, and its place in the files.
fn place(sources: &Sources, label: &Label) -> Markup {
    html! {
        (keyed("/path", &label.path)) " "
        @if let Some(span) = label.span {
            span.quiet data-of="/at" {
                "(" (keyed("/file", sources.name(span.file))) ":" (number("/line", sources.position(span.file, span.start).line)) ")"
            }
        }
        @if let Some(span) = label.used {
            " " span.quiet data-of="/used" {
                "used at " (keyed("/file", sources.name(span.file))) ":" (number("/line", sources.position(span.file, span.start).line))
            }
        }
    }
}

fn working(lines: &[WorkingLine]) -> Markup {
    html! {
        @if !lines.is_empty() {
            div.working role="group" aria-label="Working" {
                @for (at, line) in lines.iter().enumerate() {
                    p data-of=(format!("/working/{at}")) {
                        @if !line.name.is_empty() { b { (keyed("/name", &line.name)) } " = " }
                        (keyed("/symbols", &line.symbols))
                        @if line.numbers != line.symbols { span.step { "= " (keyed("/numbers", &line.numbers)) } }
                        @if line.result != line.numbers { span.step { "= " b { (keyed("/result", &line.result)) } } }
                    }
                }
            }
        }
    }
}

fn evidence(judged: &Judged, f: &Finding) -> Markup {
    let table = html! {
        table.evidence {
            caption { "What it rests on" }
            thead { tr { th scope="col" { "value of the spec" } th scope="col" { "is" } th scope="col" { "role" } } }
            tbody {
                tr data-of="/points_at" {
                    th scope="row" { (place(&judged.assessment.sources, &f.points_at)) }
                    td.value { (keyed("/value", &f.points_at.value)) }
                    td { (role(&f.points_at)) }
                }
                @for (at, label) in f.evidence.iter().enumerate() {
                    tr data-of=(format!("/evidence/{at}")) {
                        th scope="row" { (place(&judged.assessment.sources, label)) }
                        td.value { (keyed("/value", &label.value)) }
                        td { (role(label)) }
                    }
                }
            }
        }
    };
    wide("What the finding rests on", &table)
}

fn role(label: &Label) -> Markup {
    html! {
        @match label.role {
            Role::Decides => "decides",
            Role::Feeds => "feeds",
            Role::Considered => "looked at",
        }
        @if let Some(figure) = &label.through { " " (keyed("/through", figure)) }
    }
}
