//! What changed since the revision that a sheet is compared with: counted, then the values of the spec, concessions and rules;
//! and what must be known of the older spec itself.

use super::super::comparison::{BookWords, margin_move_json};
use super::before::{Was, change_word, was};
use super::{keyed, number, wide};
use crate::history::compare::{Change, Granting, Manner, Turn};
use maud::{Markup, html};
use serde_json::{Value, json};

/// What is counted: the key in the JSON, how many, and the words for one and for several.
fn counted(older: &Was) -> Vec<(&'static str, usize, &'static str, &'static str)> {
    let c = older.comparison();
    let turned = |turns: &[Turn]| c.verdicts.iter().filter(|v| turns.contains(&v.turn)).count();
    let shrunk = c.margins.iter().filter(|m| m.shrank).count();
    vec![
        ("changes", c.changes.len(), "change of the spec", "changes of the spec"),
        ("new", turned(&[Turn::New]), "new finding", "new findings"),
        ("uncovered", turned(&[Turn::Uncovered]), "finding no longer conceded", "findings no longer conceded"),
        ("worse", turned(&[Turn::GradedUp]), "finding graded up", "findings graded up"),
        ("open", turned(&[Turn::Open]), "outcome that cannot be told now", "outcomes that cannot be told now"),
        ("cleared", turned(&[Turn::Cleared]), "finding cleared", "findings cleared"),
        ("milder", turned(&[Turn::GradedDown]), "finding graded down", "findings graded down"),
        ("judged", turned(&[Turn::Judged]), "outcome that can be told now", "outcomes that can be told now"),
        ("figures", c.figures.len(), "figure changed", "figures changed"),
        ("margins_shrunk", shrunk, "margin shrunk", "margins shrunk"),
        ("margins_grown", c.margins.len() - shrunk, "margin grown", "margins grown"),
    ]
}

/// What moved too little to be marked, or fell away: as above, in whole sentences.
fn left_out(older: &Was) -> Vec<(&'static str, usize, &'static str, &'static str)> {
    let c = older.comparison();
    vec![
        (
            "slight_margins",
            c.margins_left_out.len(),
            "margin moved by less than a tenth",
            "margins moved by less than a tenth",
        ),
        (
            "figures_left_out",
            c.figures_left_out,
            "figure moved by less than what is shown of it",
            "figures moved by less than what is shown of them",
        ),
        (
            "units_alone",
            c.units_alone,
            "value is only written in another unit",
            "values are only written in other units",
        ),
        (
            "fell_away",
            c.fell_away,
            "rule that held is not about anything here any more",
            "rules that held are not about anything here any more",
        ),
    ]
}

/// The comparison for machines: as `compare` gives it, with what it leaves out and the counts of the page.
pub(super) fn compared_json(older: &Was) -> Value {
    let c = older.comparison();
    let mut compared = super::super::comparison::both_json(&older.before.compared);
    let counts: serde_json::Map<String, Value> =
        counted(older).into_iter().chain(left_out(older)).map(|(key, n, ..)| (key.to_string(), json!(n))).collect();
    if let Value::Object(map) = &mut compared {
        map.insert("slight_margins".into(), c.margins_left_out.iter().map(|m| margin_move_json(c, m)).collect());
        map.insert("counts".into(), Value::Object(counts));
    }
    compared
}

/// The section.
pub(super) fn changes(older: &Was) -> Markup {
    let list = |all: Vec<(&'static str, usize, &'static str, &'static str)>| {
        let told: Vec<_> = all.into_iter().filter(|(_, n, ..)| *n > 0).collect();
        html! {
            @for (at, (key, n, one, many)) in told.iter().enumerate() {
                @if at > 0 { "; " }
                (number(&format!("/compared/counts/{key}"), n)) " " @if *n == 1 { (one) } @else { (many) }
            }
        }
    };
    html! {
        section.since aria-labelledby="since" {
            h2 #since { "What changed since " (was("/revision/name", older.before.name)) }
            @if counted(older).iter().any(|(_, n, ..)| *n > 0) {
                p.counted { (list(counted(older))) "." }
            } @else {
                p { "No value of the spec changed, nor any figure, finding or margin." }
            }
            @if left_out(older).iter().any(|(_, n, ..)| *n > 0) { p.quiet { "Not marked: " (list(left_out(older))) "." } }
            @if let Some(path) = older.before.compared.old_path {
                p { "The build stood at " (was("/path", path)) " there." }
            }
            (errors(older))
            (rules(older))
            (spec(older))
            (concessions(older))
            p.quiet {
                "Both are judged by the rules in force now and for the same day. What changed is marked in each system below; "
                "which change of the spec did what, " code { "tramgauge compare" } " tells."
            }
        }
    }
}

/// What is wrong with the older spec itself.
fn errors(older: &Was) -> Markup {
    let sources = &older.assessment.sources;
    html! {
        @if !older.before.compared.old_errors.is_empty() {
            h3 { "Errors of the spec at " (older.name()) }
            p { "What is wrong there, and what rests on it, is compared as if it were not written." }
            ol {
                @for (at, error) in older.before.compared.old_errors.iter().enumerate() {
                    @let place = sources.position(error.span.file, error.span.start);
                    li {
                        (was(&format!("/errors/{at}/message"), &error.message)) " ("
                        (was(&format!("/errors/{at}/at/file"), sources.name(error.span.file))) ":"
                        (was(&format!("/errors/{at}/at/line"), &place.line.to_string())) ")"
                    }
                }
            }
        }
    }
}

/// What the repository's own rules do that changed.
fn rules(older: &Was) -> Markup {
    match &older.before.compared.book {
        None => html! {},
        Some(BookWords::Unusable(of, texts, troubles)) => html! {
            h3 { "Rules" }
            p { "The " (of) " in force at " (older.name()) " cannot be used; what that change alone does cannot be told." }
            ol data-of="/compared/book" {
                @for (at, trouble) in troubles.iter().enumerate() {
                    li data-of=(format!("/errors/{at}")) {
                        (keyed("/message", &trouble.message)) " (" (keyed("/at/file", texts.name(trouble.span.file))) ":"
                        (number("/at/line", texts.position(trouble.span.file, trouble.span.start).line)) ")"
                    }
                }
            }
        },
        Some(BookWords::Change(change)) => html! {
            h3 { "Rules" }
            p { "What is in force changed; this is what the rules of now make of the spec of then." }
            ul data-of="/compared/book" {
                @for (at, name) in change.added.iter().enumerate() { li { (change_word("new")) " " (keyed(&format!("/added/{at}"), name)) } }
                @for (at, name) in change.removed.iter().enumerate() {
                    li { (change_word("gone")) " " (keyed(&format!("/removed/{at}"), name)) }
                }
                @for (at, m) in change.moves.iter().enumerate() {
                    li data-of=(format!("/moves/{at}")) {
                        (keyed("/rule", &m.rule)) @if !m.subject.is_empty() { " · " (keyed("/subject", &m.subject)) } ": "
                        @match m.old { Some(word) => (keyed("/old", word)), None => "not there" }
                        " \u{2192} " b { @match m.new { Some(word) => (keyed("/new", word)), None => "not there" } }
                    }
                }
                @if change.added.is_empty() && change.removed.is_empty() && change.moves.is_empty() { li { "No outcome." } }
            }
        },
    }
}

/// The values of the spec.
fn spec(older: &Was) -> Markup {
    let c = older.comparison();
    let table = html! {
        table.spec {
            caption { "What is written otherwise than at " (older.name()) }
            thead { tr {
                th scope="col" { "value" }
                th scope="col" { "at " (older.name()) }
                th scope="col" { "now" }
                th scope="col" { "change" }
            } }
            tbody {
                @for (at, change) in c.changes.iter().enumerate() { (row(at, change)) }
                @for (at, (old, new)) in c.renamed.iter().enumerate() {
                    tr data-of=(format!("/compared/renamed/{at}")) {
                        th scope="row" { "name" }
                        td.words { (keyed("/old", old)) }
                        td.words { (keyed("/new", new)) }
                        td { (change_word("another name")) }
                    }
                }
            }
        }
    };
    html! { @if !(c.changes.is_empty() && c.renamed.is_empty()) { (wide("What changed in the spec", &table)) } }
}

fn row(at: usize, change: &Change) -> Markup {
    let word = match change.manner {
        Manner::Value => "changed",
        Manner::Added => "added",
        Manner::Removed => "removed",
        Manner::Reordered => "another order",
        Manner::Known => "known otherwise",
    };
    html! {
        tr data-of=(format!("/compared/changes/{at}")) {
            th scope="row" {
                @if change.path.is_empty() { "the whole spec" } @else { (keyed("/path", &change.path)) }
                @if let Some(path) = &change.old_path { small { "before " (keyed("/old_path", path)) } }
                @for (n, (path, value)) in change.contents.iter().enumerate() {
                    small data-of=(format!("/contents/{n}")) {
                        (keyed("/path", path)) @if !path.is_empty() { " " } (keyed("/value", value))
                    }
                }
            }
            @for (key, side) in [("/old", &change.old), ("/new", &change.new)] {
                td.words data-of=(key) {
                    @match side {
                        Some(side) => {
                            (keyed("/shown", &side.shown))
                            @if let Some(other) = &side.in_other_unit { small { (keyed("/in_other_unit", other)) } }
                        }
                        None => "not there",
                    }
                }
            }
            td.before {
                @match &change.difference {
                    Some(difference) => b.change { (keyed("/difference", difference)) },
                    None => (change_word(word)),
                }
            }
        }
    }
}

/// Concessions that changed, and those that newly do not do what they were written for.
fn concessions(older: &Was) -> Markup {
    let c = older.comparison();
    html! {
        @if !(c.concessions.is_empty() && c.faulty_concessions.is_empty()) {
            h3 { "Concessions" }
            ul {
                @for (at, moved) in c.concessions.iter().enumerate() {
                    @let key = if moved.new.is_some() { "/new" } else { "/old" };
                    li data-of=(format!("/compared/concessions/{at}")) {
                        (change_word(how(moved.how))) " "
                        @if let Some(concession) = moved.concession() {
                            span data-of=(key) {
                                (keyed("/rule", &concession.rule)) " · " (keyed("/subject", &concession.subject))
                                @if let Some(reason) = &concession.reason { ": " (keyed("/reason", reason)) }
                                @if let Some(by) = &concession.by { "; " (keyed("/by", by)) }
                                @if let Some(day) = concession.until { ", until " (keyed("/until", &day.to_string())) }
                            }
                        }
                        @if let (Some(old), Some(_)) = (&moved.old, &moved.new) {
                            " (before"
                            @if let Some(day) = old.until { " until " (keyed("/old/until", &day.to_string())) }
                            @if let Some(by) = &old.by { ", " (keyed("/old/by", by)) }
                            ")"
                        }
                    }
                }
                @for (at, found) in c.faulty_concessions.iter().enumerate() {
                    li { (change_word("new")) " " (keyed(&format!("/compared/faulty_concessions/{at}/says"), &found.says)) }
                }
            }
        }
    }
}

fn how(granting: Granting) -> &'static str {
    match granting {
        Granting::Granted => "granted",
        Granting::Withdrawn => "withdrawn",
        Granting::Changed => "changed",
        Granting::Expired => "run out",
    }
}
