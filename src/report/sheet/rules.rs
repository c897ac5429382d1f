//! The rules of a system with their outcomes, those nearest to their limits first.

use super::before::{Turned, change_word, was};
use super::systems::System;
use super::{Judged, bars, keyed, number, percent_of_limit, shown, wide};
use crate::assess::{Judgement, Margin, Outcome};
use maud::{Markup, html};
use std::cmp::Ordering;

/// The table of rules that were decided, or that uncertainty or a range leaves open; what is unmeasured has its own table. In brief
/// only those that are left open, turned, or have another margin than before: findings say all of what is broken, and what holds is counted.
pub(super) fn rules(judged: &Judged, system: &System, brief: bool) -> Markup {
    // What became unmeasured is told where it stood before.
    let turned = |at: usize, j: &Judgement| system.was.is_some_and(|was| was.outcome(at, j).change().is_some());
    let opened = |at: usize, j: &Judgement| matches!(j.outcome, Outcome::Unmeasured { .. }) && turned(at, j);
    let wanted = |at: usize, j: &Judgement| {
        !brief || matches!(j.outcome, Outcome::Unproven(_) | Outcome::Beyond(_)) || turned(at, j)
    };
    let told = |at: usize, j: &Judgement| {
        !matches!(j.outcome, Outcome::Unmeasured { .. } | Outcome::NotApplicable) || opened(at, j)
    };
    let mut decided: Vec<&(usize, &Judgement)> =
        system.outcomes.iter().filter(|(at, j)| told(*at, j) && wanted(*at, j)).collect();
    decided.sort_by(|a, b| order(a.1, b.1));
    let table = html! {
        table.rules {
            caption { "Rules of " (shown(system.name)) ", the tightest first; the upright line of a bar is the limit" }
            thead { tr {
                th scope="col" { "outcome" }
                th scope="col" { "requirement and subject" }
                th scope="col" { "limit" }
                th scope="col" { "is" }
                th scope="col" { "margin" }
                th scope="col" { "share of the limit" }
            } }
            tbody {
                @for (at, judgement) in &decided {
                    (row(judged, *at, judgement, system.was.map(|was| was.outcome(*at, judgement))))
                }
            }
        }
    };
    html! {
        @if !decided.is_empty() {
            h3 { "Rules" }
            (wide(&format!("Rules of {}", system.name), &table))
        }
        @if brief && system.counts.holds > 0 {
            p.quiet data-of=(format!("/systems/{}/counts", system.number)) {
                (number("/holds", system.counts.holds)) " outcomes hold"
                @if system.was.is_some() { "; shown are those that turned, or whose margin moved." } @else { " and are not shown." }
            }
        }
        @if system.counts.not_applicable > 0 {
            p.quiet data-of=(format!("/systems/{}/counts", system.number)) {
                (number("/not_applicable", system.counts.not_applicable)) " outcomes do not apply to this build."
            }
        }
    }
}

/// Broken first, the worst class before; then what is open; then what holds, the tightest before.
fn order(a: &Judgement, b: &Judgement) -> Ordering {
    let rank = |j: &Judgement| match &j.outcome {
        Outcome::Broken(class) => (0, std::cmp::Reverse(Some(*class))),
        Outcome::Unproven(_) => (1, std::cmp::Reverse(None)),
        Outcome::Beyond(_) | Outcome::Unmeasured { .. } => (2, std::cmp::Reverse(None)),
        _ => (3, std::cmp::Reverse(None)),
    };
    let share = |j: &Judgement| j.margin.as_ref().and_then(|m| m.share()).unwrap_or(f64::INFINITY);
    rank(a).cmp(&rank(b)).then_with(|| share(a).total_cmp(&share(b)))
}

fn row(judged: &Judged, at: usize, judgement: &Judgement, turned: Option<Turned>) -> Markup {
    let rule = judged.assessment.index.rules.get(judgement.rule);
    let change = turned.and_then(|t| t.change());
    // Where there is nothing to tell beside it, the requirement takes the whole line.
    let told = matches!(judgement.outcome, Outcome::Unproven(_) | Outcome::Beyond(_) | Outcome::Unmeasured { .. });
    let alone = judgement.margin.is_none() && !told;
    html! {
        tr class=[change.as_ref().map(|_| "changed")] data-of=(format!("/outcomes/{at}")) data-change=[change] {
            td { (word(&judgement.outcome)) @if let Some(turned) = &turned { (outcome_before(judgement, turned)) } }
            th scope="row" colspan=[alone.then_some("5")] {
                @if let Some(rule) = rule { span data-key=(format!("/rules/{}/title", judgement.rule)) { (shown(&rule.title)) } }
                small { (keyed("/rule", rule.map_or("", |r| &r.name))) " · " (subject(&judgement.subject)) }
            }
            @match &judgement.outcome {
                Outcome::Unproven(values) => {
                    td colspan="4" {
                        @for (n, value) in values.iter().enumerate() {
                            p data-of=(format!("/unproven/{n}")) {
                                (keyed("/words", &value.words)) "; it would do to know it to " (keyed("/would_do", &value.would_do))
                                @if let Some(path) = &value.improve { "; measure " (keyed("/improve", path)) " better" }
                            }
                        }
                    }
                }
                Outcome::Beyond(words) => {
                    td colspan="4" { @for (n, words) in words.iter().enumerate() { p { (keyed(&format!("/beyond/{n}"), words)) } } }
                }
                Outcome::Unmeasured { missing, unreadable } => {
                    td colspan="4" {
                        "needs "
                        @for (n, value) in missing.iter().enumerate() {
                            @if n > 0 { ", " }
                            (keyed(&format!("/missing/{n}/path"), &value.path))
                        }
                        @for (n, path) in unreadable.iter().enumerate() {
                            @if n + missing.len() > 0 { ", " }
                            (keyed(&format!("/unreadable/{n}"), path))
                        }
                    }
                }
                _ => { @if let Some(margin) = &judgement.margin { (cells(margin, turned.as_ref())) } }
            }
        }
    }
}

fn cells(margin: &Margin, turned: Option<&Turned>) -> Markup {
    let old = turned.and_then(Turned::old_margin);
    let before = |part: fn(&Margin) -> String, name: &str| -> Markup {
        let text = old.map(|(at, old)| (format!("/outcomes/{at}/margin/{name}"), part(old)));
        html! { @if let Some((at, text)) = text.filter(|(_, text)| *text != part(margin)) { small { "before " (was(&at, &text)) } } }
    };
    let share = |old: &Margin| old.share().map(percent_of_limit);
    html! {
        td.value {
            span.sign { (sign(margin.sign())) } " " (keyed("/margin/limit", &margin.limit())) (before(Margin::limit, "limit"))
        }
        td.value {
            (keyed("/margin/value", &margin.value()))
            @if let Some(at) = margin.at() { small { "at " (keyed("/margin/where", &at)) } }
            (before(Margin::value, "value"))
        }
        td.value { (keyed("/margin/shown", &margin.shown())) (before(Margin::shown, "shown")) @if let Some(turned) = turned { (moved(turned)) } }
        td.share {
            (bars::bar(margin, old.map(|(_, old)| old)))
            @if let Some(share) = margin.share() {
                span.value data-at="/margin/share" data-as="percent" { (percent_of_limit(share)) }
            }
            @if let Some((at, words)) = old.and_then(|(at, old)| Some((at, share(old)?))).filter(|(_, words)| Some(words) != share(margin).as_ref()) {
                small { "before " span data-before=(format!("/outcomes/{at}/margin/share")) data-as="percent" { (words) } }
            }
        }
    }
}

/// By how much a margin moved; heavy where that is by enough to be told.
fn moved(turned: &Turned) -> Markup {
    let Some((list, number, moved)) = turned.margin else { return html! {} };
    let difference = html! { span data-key=(format!("{list}/{number}/difference")) { (shown(&moved.difference)) } };
    html! { small { @if turned.is_told() { b.change { (difference) } } @else { (difference) } } }
}

/// How an outcome turned, and what it was where that is another word.
pub(super) fn outcome_before(judgement: &Judgement, turned: &Turned) -> Markup {
    let word = if judgement.finding.is_some() { turned.word_beside_class() } else { turned.word() };
    html! {
        @if let Some(word) = word { " " (change_word(&word)) }
        @match turned.old {
            Some((at, old)) if old.outcome.word() != judgement.outcome.word() => {
                small { "before " (was(&format!("/outcomes/{at}/outcome"), old.outcome.word())) }
            }
            None => small { "not there before" },
            _ => {}
        }
    }
}

/// A comparison in print.
pub(super) fn sign(sign: &str) -> &str {
    match sign {
        "<=" => "\u{2264}",
        ">=" => "\u{2265}",
        "!=" => "\u{2260}",
        other => other,
    }
}

/// An outcome's word, with its key. Classes are told apart by the frame around the word, never by colour.
pub(super) fn word(outcome: &Outcome) -> Markup {
    let word = outcome.word();
    html! { span.word.(word.replace(' ', "-")) data-at="/outcome" { (word) } }
}

/// The path of a subject; the whole build has none.
pub(super) fn subject(path: &str) -> Markup {
    html! { @if path.is_empty() { "the build" } @else { (keyed("/subject", path)) } }
}
