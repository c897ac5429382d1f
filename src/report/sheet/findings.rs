//! Findings in full: the sentence, the limit, the working, what it rests on, why it matters and what puts it right.

use super::concessions;
use super::rules::sign;
use super::systems::System;
use super::{Judged, keyed, number, wide};
use crate::assess::{Finding, Judgement, Label, Margin};
use crate::language::{Role, WorkingLine};
use crate::rulebook::{Class, TextSeen};
use crate::source::Sources;
use maud::{Markup, html};

/// The findings of a system.
pub(super) fn findings(judged: &Judged, system: &System) -> Markup {
    html! {
        @if !system.findings.is_empty() {
            h3 { "Findings" }
            @for (at, judgement, class, finding) in &system.findings { (one(judged, *at, judgement, *class, finding)) }
        }
    }
}

fn one(judged: &Judged, at: usize, judgement: &Judgement, class: Class, f: &Finding) -> Markup {
    let rule = judged.assessment.index.rules.get(judgement.rule);
    html! {
        article.finding data-of=(format!("/findings/{at}")) {
            h4 { span.word.(class.word()) data-at="/class" { (class.word()) } " " (keyed("/says", &f.says)) }
            p.quiet { (keyed("/rule", rule.map_or("", |r| &r.name))) " · " (super::rules::subject(&judgement.subject)) }
            dl {
                dt { "required" } dd { (keyed("/requirement", rule.map_or("", |r| &r.title))) }
                @if let Some(margin) = &judgement.margin { dt { "limit" } dd { (limit(margin)) } }
                dt { "where" } dd data-of="/points_at" { (place(&judged.assessment.sources, &f.points_at)) }
                @if !f.members.is_empty() {
                    dt { "broken by" } dd { (list("/members", &f.members)) }
                }
                dt { "why" } dd { (keyed("/why", &f.why)) }
                dt { "remedy" } dd { (keyed("/remedy", &f.remedy)) }
                @if let Some(measure) = &f.measure { dt { "measure" } dd { (keyed("/measure", measure)) } }
                @if let Some(caution) = &f.caution { dt { "caution" } dd { (keyed("/caution", caution)) } }
            }
            (working(&f.working))
            (evidence(judged, f))
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
            "must be " (sign(margin.sign)) " " (keyed("/limit", &margin.limit)) "; it is " (keyed("/value", &margin.value))
            ", margin " (keyed("/shown", &margin.shown))
            @if let Some(at) = &margin.at { ", at " (keyed("/where", at)) }
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
