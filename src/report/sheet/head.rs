//! The head of the sheet, as the title block of a drawing: what was judged, when, how it came out, and what this page is not.

use super::super::summary::CAUTION;
use super::systems::System;
use super::{Judged, SheetOptions, concessions, keyed, number, shown, wide};
use crate::assess::Counts;
use maud::{Markup, html};

/// What this page is not.
const NOT: &str = "This page is no inspection, no certificate and no permission to drive. It says what the written figures \
                   lead to, and nothing about what was not written down or was written down wrongly.";

/// The head.
pub(super) fn head(judged: &Judged, options: &SheetOptions, systems: &[System]) -> Markup {
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
                }
            }
            p.caution { (CAUTION) }
            p.not { (NOT) }
            @if !judged.errors.is_empty() { (errors(judged)) }
            @if !assessment.concession_findings.is_empty() { (concessions::faulty(assessment)) }
            (counts(&assessment.counts(), systems))
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
fn counts(all: &Counts, systems: &[System]) -> Markup {
    let cells = |counts: &Counts| {
        html! {
            @for (key, count) in columns(counts) {
                td.none[count == 0] data-at=(format!("/{key}")) { (count) }
            }
        }
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
                        (cells(&system.counts))
                    }
                }
            }
            tfoot { tr data-of="/counts" { th scope="row" { "all" } (cells(all)) } }
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
