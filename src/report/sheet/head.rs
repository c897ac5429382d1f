//! The head of the sheet, as the title block of a drawing: what was judged, when, how it came out, and what this page is not.

use super::super::summary::CAUTION;
use super::before::{Was, was};
use super::systems::System;
use super::{Judged, SheetOptions, changes, concessions, keyed, number, shown, wide};
use crate::assess::Counts;
use maud::{Markup, html};

/// What this page is not.
const NOT: &str = "This page is no inspection, no certificate and no permission to drive. It says what the written figures \
                   lead to, and nothing about what was not written down or was written down wrongly.";

/// The head.
pub(super) fn head(judged: &Judged, options: &SheetOptions, systems: &[System], older: Option<&Was>) -> Markup {
    let assessment = judged.assessment;
    html! {
        header {
            div.block {
                h1 {
                    @match &assessment.name {
                        Some(name) => (keyed("/name", name)),
                        None => "A build without a name",
                    }
                }
                dl {
                    div { dt { "uses" } dd {
                        @if assessment.uses.is_empty() { "not written" }
                        @for (at, word) in assessment.uses.iter().enumerate() {
                            @if at > 0 { ", " }
                            (keyed(&format!("/uses/{at}"), word))
                        }
                    } }
                    div { dt { "spec" } dd { (keyed("/path", judged.path)) } }
                    @if let Some(revision) = options.revision {
                        div { dt { "revision" } dd { (keyed("/revision", revision)) } }
                    }
                    div { dt { "judged for" } dd { (keyed("/day", &assessment.day.to_string())) } }
                    @if let Some(older) = older {
                        div { dt { "compared with" } dd {
                            (was("/revision/name", older.before.name)) " (" (was("/revision/short", older.before.short)) ")"
                        } }
                    }
                }
            }
            p.caution { (CAUTION) }
            p.not { (NOT) }
            (left_out(options))
            @if !judged.errors.is_empty() { (errors(judged)) }
            @if !assessment.concession_findings.is_empty() { (concessions::faulty(assessment)) }
            @if let Some(older) = older { (changes::changes(older)) }
            (counts(&assessment.counts(), systems, older))
        }
    }
}

/// What the page does not show by the choice of who called for it.
fn left_out(options: &SheetOptions) -> Markup {
    html! {
        @if !options.systems.is_empty() {
            p { "Only these systems are shown: " (shown(&options.systems.join(", "))) ". The last line of the outcomes counts the whole car." }
        }
        @if options.brief {
            p {
                "In brief: the workings of findings, the rules that hold and the tables of figures are left out"
                @if options.before.is_some() { ", but for what changed" } "."
            }
        }
    }
}

/// What is wrong with the spec itself.
fn errors(judged: &Judged) -> Markup {
    let sources = &judged.assessment.sources;
    html! {
        section aria-labelledby="errors" {
            h2 #errors { "Errors of the spec" }
            p { "What is wrong here was not judged, nor was what rests on it." }
            ol {
                @for (at, error) in judged.errors.iter().enumerate() {
                    li data-of=(format!("/errors/{at}")) {
                        (keyed("/message", &error.message))
                        @if let Some(remedy) = &error.remedy { "; " (keyed("/remedy", remedy)) }
                        " (" (keyed("/at/file", sources.name(error.span.file))) ":"
                        (number("/at/line", sources.position(error.span.file, error.span.start).line)) ")"
                    }
                }
            }
        }
    }
}

/// The columns of the count: the key in the JSON, and the number.
fn columns(counts: &Counts) -> [(&'static str, usize); 10] {
    [
        ("dangerous", counts.dangerous),
        ("major", counts.major),
        ("minor", counts.minor),
        ("advisory", counts.advisory),
        ("conceded", counts.conceded),
        ("unmeasured", counts.unmeasured),
        ("unproven", counts.unproven),
        ("beyond", counts.beyond),
        ("holds", counts.holds),
        ("not_applicable", counts.not_applicable),
    ]
}

/// Outcomes by system.
fn counts(all: &Counts, systems: &[System], older: Option<&Was>) -> Markup {
    let cells = |counts: &Counts, before: Option<(String, Counts)>| {
        let before = before.map(|(key, counts)| (key, columns(&counts)));
        html! {
            @for (n, (key, count)) in columns(counts).into_iter().enumerate() {
                @match before.as_ref().and_then(|(base, all)| Some((base, all.get(n)?.1))).filter(|(_, was)| *was != count) {
                    None => td.none[count == 0] data-at=(format!("/{key}")) { (count) },
                    Some((base, old)) => td.changed {
                        b { (number(&format!("/{key}"), count)) } small { "before " (was(&format!("{base}/{key}"), &old.to_string())) }
                    },
                }
            }
        }
    };
    let counted = older.map_or(Vec::new(), |older| older.assessment.counts_by_system());
    let of_system = |name: &str| {
        older?;
        // A system that was not there had no outcome.
        let number = counted.iter().position(|(system, _)| *system == name)?;
        Some((format!("/systems/{number}/counts"), counted.get(number)?.1))
    };
    let table = html! {
        table.counts {
            caption { "Outcomes by system" }
            thead { tr {
                th scope="col" { "system" }
                @for (key, _) in columns(all) { th scope="col" { (key.replace('_', " ")) } }
            } }
            tbody {
                @for system in systems {
                    tr data-of=(format!("/systems/{}/counts", system.number)) {
                        th scope="row" { a href=(format!("#{}", system.id())) { (shown(system.name)) } }
                        (cells(&system.counts, of_system(system.name)))
                    }
                }
            }
            tfoot { tr data-of="/counts" { th scope="row" { "all" } (cells(all, older.map(|older| ("/counts".to_string(), older.assessment.counts())))) } }
        }
    };
    html! {
        nav aria-labelledby="outcomes" {
            h2 #outcomes { "Outcomes" }
            (wide("Outcomes by system", &table))
        }
    }
}

/// The foot.
pub(super) fn foot() -> Markup {
    html! { footer { p.caution { (CAUTION) } p.not { (NOT) } } }
}
