//! The figures of a system: for each its meaning and formula, then its value on every subject, with its uncertainty and how
//! what it rests on is known.

use super::systems::System;
use super::{Judged, keyed, number, shown, wide};
use crate::assess::{Basis, FigureReading, FigureValue, Outcome};
use crate::quantity;
use crate::rulebook::FigureEntry;
use maud::{Markup, html};

/// The table of figures.
pub(super) fn figures(judged: &Judged, system: &System) -> Markup {
    let mut groups: Vec<(usize, Vec<&(usize, &FigureValue)>)> = Vec::new();
    for entry in &system.figures {
        match groups.last_mut() {
            Some((figure, values)) if *figure == entry.1.figure => values.push(entry),
            _ => groups.push((entry.1.figure, vec![entry])),
        }
    }
    let table = html! {
        table.figures {
            caption { "Figures of " (shown(system.name)) "; \u{b1} is the expanded uncertainty, k = 2, where one was stated" }
            thead { tr {
                th scope="col" { "figure and subject" }
                th scope="col" { "value" }
                th scope="col" { "\u{b1}" }
                th scope="col" { "unit" }
                th scope="col" { "rests on" }
            } }
            @for (figure, values) in &groups {
                @if let Some(entry) = judged.assessment.index.figures.get(*figure) {
                    tbody {
                        (heading(*figure, entry))
                        @for (at, value) in values { (row(*at, value)) }
                    }
                }
            }
        }
    };
    html! {
        @if !groups.is_empty() {
            h3 { "Figures" }
            (wide(&format!("Figures of {}", system.name), &table))
        }
    }
}

fn heading(figure: usize, entry: &FigureEntry) -> Markup {
    html! {
        tr.formula {
            th colspan="5" scope="rowgroup" data-of=(format!("/formulas/{figure}")) {
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

fn row(at: usize, value: &FigureValue) -> Markup {
    html! {
        tr data-of=(format!("/figures/{at}")) {
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
            td.basis data-of="/basis" { (basis(&value.basis)) }
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
        @for (n, (key, words)) in lists.iter().enumerate() {
            @if n == 0 { ": " } @else { ", " }
            (keyed(key, words))
        }
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
