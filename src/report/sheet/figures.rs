//! The figures of a system: for each its meaning and formula, then its value on every subject, with its uncertainty and how
//! what it rests on is known.

use super::before::{Moved, Was, difference, reading, was};
use super::systems::System;
use super::{Judged, keyed, number, shown, wide};
use crate::assess::{Basis, FigureReading, FigureValue, Outcome};
use crate::quantity;
use crate::rulebook::FigureEntry;
use maud::{Markup, html};

/// The table of figures; in brief only of those that are other ones than before.
pub(super) fn figures(judged: &Judged, system: &System, brief: bool) -> Markup {
    let mut groups: Vec<(usize, Vec<&(usize, &FigureValue)>)> = Vec::new();
    let moved = |value: &FigureValue| system.was.is_some_and(|was| was.figure(value.figure, &value.subject).is_some());
    for entry in system.figures.iter().filter(|(_, value)| !brief || moved(value)) {
        match groups.last_mut() {
            Some((figure, values)) if *figure == entry.1.figure => values.push(entry),
            _ => groups.push((entry.1.figure, vec![entry])),
        }
    }
    let gone = system.was.map_or(Vec::new(), |was| was.gone(system.name));
    for moved in &gone {
        let figure = moved.figure.figure;
        if !groups.iter().any(|(of, _)| *of == figure) {
            let at = groups.partition_point(|(of, _)| *of < figure);
            groups.insert(at, (figure, Vec::new()));
        }
    }
    let columns = if system.was.is_some() { 7 } else { 5 };
    let table = html! {
        table.figures {
            caption { "Figures of " (shown(system.name)) "; \u{b1} is the expanded uncertainty, k = 2, where one was stated" }
            thead { tr {
                th scope="col" { "figure and subject" }
                th scope="col" { "value" }
                th scope="col" { "\u{b1}" }
                th scope="col" { "unit" }
                @if let Some(was) = system.was {
                    th.before scope="col" { "at " (was.name()) }
                    th.before scope="col" { "change" }
                }
                th scope="col" { "rests on" }
            } }
            @for (figure, values) in &groups {
                @if let Some(entry) = judged.assessment.index.figures.get(*figure) {
                    // On paper a curve stands in its plot alone.
                    @let lost: Vec<_> = gone.iter().filter(|m| m.figure.figure == *figure).collect();
                    @let drawn = lost.is_empty() && values.iter().all(|(_, v)| matches!(v.reading, FigureReading::Curve(_)));
                    tbody.drawn[drawn] {
                        (heading(*figure, entry, columns))
                        @for (at, value) in values { (row(*at, value, system.was)) }
                        @for moved in lost { (gone_row(moved)) }
                    }
                }
            }
        }
    };
    html! {
        @if !groups.is_empty() {
            h3 { "Figures" }
            // On paper the narrower table stands in two columns; its label tells which it is.
            @let label = if system.was.is_some() { "Compared figures" } else { "Figures" };
            (wide(&format!("{label} of {}", system.name), &table))
        }
    }
}

fn heading(figure: usize, entry: &FigureEntry, columns: usize) -> Markup {
    html! {
        tr.formula {
            th colspan=(columns) scope="rowgroup" data-of=(format!("/formulas/{figure}")) {
                b { (keyed("/figure", &entry.name)) } ", " (keyed("/means", &entry.means))
                code {
                    "= " (keyed("/is", &entry.formula))
                    @for (n, (name, is)) in entry.with.iter().enumerate() {
                        span.step data-of=(format!("/with/{n}")) { "with " (keyed("/name", name)) " = " (keyed("/is", is)) }
                    }
                }
            }
        }
    }
}

fn row(at: usize, value: &FigureValue, older: Option<&Was>) -> Markup {
    let moved = older.and_then(|was| was.figure(value.figure, &value.subject));
    let change = moved.map(|m| format!("/compared/figures/{}", m.number));
    html! {
        tr class=[moved.map(|_| "changed")] data-of=(format!("/figures/{at}")) data-change=[change] {
            th scope="row" { (super::rules::subject(&value.subject)) }
            @match &value.reading {
                FigureReading::Quantity { si, uncertainty, dimension, unit, .. } => {
                    @let parts = quantity::show_parts(*si, *uncertainty, *dimension, *unit);
                    td.value data-at="/quantity/number" { (parts.number) }
                    td.value { @if let Some(spread) = &parts.give_or_take { (keyed("/quantity/give_or_take", spread)) } }
                    td.unit data-at="/quantity/unit" { (parts.unit) }
                }
                FigureReading::Words(words) => { td.words colspan="3" { (keyed("/words", words)) } }
                FigureReading::Fields(fields) => {
                    td.words colspan="3" {
                        @for (n, (name, text)) in fields.iter().enumerate() {
                            @if n > 0 { ", " }
                            (shown(name)) " " (keyed(&format!("/fields/{name}"), text))
                        }
                    }
                }
                FigureReading::Curve(curve) => { td.words colspan="3" { "curve over " (keyed("/curve/over", &curve.over)) ", see the plots" } }
                FigureReading::Without(outcome) => { td.words colspan="3" data-of="/without" { (without(outcome)) } }
            }
            @match (&moved, older) {
                (Some(moved), _) => (cells_before(moved)),
                (None, Some(_)) => { td {} td {} }
                (None, None) => {}
            }
            td.basis data-of="/basis" { (basis(&value.basis)) }
        }
    }
}

/// What a figure was, and by how much it moved.
fn cells_before(moved: &Moved) -> Markup {
    html! {
        td.before { @match (moved.at, &moved.figure.old) { (Some(at), Some(old)) => (reading(at, old)), _ => "not there" } }
        td.before { (difference(moved)) }
    }
}

/// A figure whose subject is not there any more.
fn gone_row(moved: &Moved) -> Markup {
    let subject = moved.figure.old_subject.as_deref().unwrap_or(&moved.figure.subject);
    html! {
        tr.changed data-change=(format!("/compared/figures/{}", moved.number)) {
            th scope="row" {
                @match moved.at {
                    Some(at) if !subject.is_empty() => (was(&format!("/figures/{at}/subject"), subject)),
                    _ => "the build",
                }
            }
            td.words colspan="3" { "not there any more" }
            (cells_before(moved))
            td {}
        }
    }
}

fn without(outcome: &Outcome) -> Markup {
    let lists = match outcome {
        Outcome::Unmeasured { missing, unreadable } => {
            let missing: Vec<_> =
                missing.iter().enumerate().map(|(n, m)| (format!("/missing/{n}/path"), m.path.clone())).collect();
            let unreadable = unreadable.iter().enumerate().map(|(n, path)| (format!("/unreadable/{n}"), path.clone()));
            missing.into_iter().chain(unreadable).collect()
        }
        Outcome::Unproven(values) => {
            values.iter().enumerate().map(|(n, v)| (format!("/unproven/{n}/words"), v.words.clone())).collect()
        }
        Outcome::Beyond(words) => words.iter().enumerate().map(|(n, w)| (format!("/beyond/{n}"), w.clone())).collect(),
        _ => Vec::new(),
    };
    html! {
        span.word.(outcome.word()) data-at="/outcome" { (outcome.word()) }
        @let listed = html! {
            @for (n, (key, words)) in lists.iter().enumerate() {
                @if n == 0 { ": " } @else { ", " }
                (keyed(key, words))
            }
        };
        // On paper what is lacking stands in the tables of what is to be measured alone.
        @if matches!(outcome, Outcome::Unmeasured { .. }) { span.lacking { (listed) } } @else { (listed) }
    }
}

/// How many of the quantities below are known in which way.
fn basis(basis: &Basis) -> Markup {
    let sorts = [
        ("measured", basis.measured),
        ("maker", basis.maker),
        ("drawn", basis.drawn),
        ("assumed", basis.assumed),
        ("unsaid", basis.unsaid),
    ];
    html! {
        @for (n, (word, count)) in sorts.into_iter().filter(|s| s.1 > 0).enumerate() {
            @if n > 0 { ", " }
            (word) " " (number(&format!("/{word}"), count))
        }
        @for (n, used) in basis.used.iter().enumerate() { small { "used " (keyed(&format!("/used/{n}"), used)) } }
    }
}
