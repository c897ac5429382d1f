//! Concessions: who permitted what, until when, and whether it covers the finding.

use super::systems::System;
use super::{Judged, keyed};
use crate::assess::{Assessment, ConcessionState};
use maud::{Markup, html};

/// The concessions for findings of a system.
pub(super) fn concessions(judged: &Judged, system: &System) -> Markup {
    let conceded: Vec<_> =
        system.findings.iter().filter_map(|(at, j, _, f)| f.concession.as_ref().map(|c| (at, j, c))).collect();
    html! {
        @if !conceded.is_empty() {
            h3 { "Concessions" }
            ul {
                @for (at, judgement, state) in conceded {
                    li data-of=(format!("/findings/{at}")) {
                        (keyed("/rule", judged.assessment.index.rules.get(judgement.rule).map_or("", |r| &r.name))) " · "
                        (super::rules::subject(&judgement.subject)) ": "
                        span data-of="/concession" { (self::state(state)) }
                    }
                }
            }
        }
    }
}

/// Concessions that do not do what they were written for.
pub(super) fn faulty(assessment: &Assessment) -> Markup {
    html! {
        section aria-labelledby="concessions" {
            h2 #concessions { "Concessions that cover nothing" }
            ol {
                @for (at, found) in assessment.concession_findings.iter().enumerate() {
                    li data-of=(format!("/concessions/{at}")) {
                        span.word.(found.class.word()) data-at="/class" { (found.class.word()) } " "
                        (keyed("/rule", &found.concession.rule)) " · " (keyed("/subject", &found.concession.subject)) ": "
                        (keyed("/says", &found.says)) ". " (keyed("/remedy", &found.remedy))
                    }
                }
            }
        }
    }
}

/// A concession with its state.
pub(super) fn state(state: &ConcessionState) -> Markup {
    let concession = state.concession();
    html! {
        b { (keyed("/state", state.word())) }
        @if let Some(reason) = &concession.reason { ": " (keyed("/reason", reason)) }
        "; "
        @match &concession.by { Some(by) => (keyed("/by", by)), None => "no name" }
        ", "
        @match concession.until {
            Some(day) => { "until " (keyed("/until", &day.to_string())) }
            None => "without a last day",
        }
    }
}
