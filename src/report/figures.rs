//! Figures: what the rulebook can compute, and what it computes for a build.

use super::page::{Look, Page, Style};
use super::summary::CAUTION;
use super::{Trouble, json, terminal};
use crate::assess::{Assessment, FigureReading, FigureValue, Outcome, SourceText};
use crate::language::Curve;
use crate::quantity::{self, Dimension, UnitId};
use crate::rulebook::{Figure, Rulebook, SourceUse};
use serde_json::{Value, json};

/// The values of a build's figures, by system.
pub fn figures(assessment: &Assessment, look: Look) -> String {
    let mut page = Page::new(look);
    let name = assessment.name.as_deref().unwrap_or("A build without a name");
    page.title(name, &format!("figures, on {}", assessment.day));
    let mut systems: Vec<(&str, Vec<OfSubject>)> = Vec::new();
    for value in &assessment.figures {
        let Some(figure) = assessment.index.figures.get(value.figure) else { continue };
        let mut words = reading_words(&value.reading);
        for (case, reading) in &value.cases {
            let name = assessment.cases.get(*case).map_or("", |case| &case.name);
            words = format!("{words}; in {name} {}", reading_words(reading));
        }
        let row = (figure.name.to_string(), words);
        let of_system = entry(&mut systems, &figure.system);
        entry(of_system, &value.subject).push(row);
    }
    for (system, subjects) in &systems {
        page.heading(Style::Strong, system, &[]);
        for (subject, rows) in subjects {
            page.paragraph(Style::Plain, if subject.is_empty() { "the build" } else { subject });
            page.rows(2, rows);
        }
    }
    page.blank();
    page.paragraph(Style::Quiet, CAUTION);
    page.finish()
}

/// A subject with its figures, each with its value.
type OfSubject<'a> = (&'a str, Vec<(String, String)>);

/// The list of that name, made at the end where there is none yet.
fn entry<'l, 'a, T>(all: &'l mut Vec<(&'a str, Vec<T>)>, name: &'a str) -> &'l mut Vec<T> {
    let at = all.iter().position(|(n, _)| *n == name).unwrap_or_else(|| {
        all.push((name, Vec::new()));
        all.len() - 1
    });
    &mut all[at].1
}

/// The value with its uncertainty, or why there is none.
pub(super) fn reading_words(reading: &FigureReading) -> String {
    match reading {
        FigureReading::Quantity { shown, .. } => shown.clone(),
        FigureReading::Words(words) => words.clone(),
        FigureReading::Fields(fields) => {
            let fields: Vec<_> = fields.iter().map(|(name, value)| format!("{name} {value}")).collect();
            fields.join(", ")
        }
        FigureReading::Curve(curve) => curve_words(curve),
        FigureReading::Without(outcome) => without(outcome),
    }
}

/// Why a figure has no value, or a rule no verdict.
pub(super) fn without(outcome: &Outcome) -> String {
    match outcome {
        Outcome::Unmeasured { missing, unreadable } => {
            let missing = missing.iter().map(|m| m.path.clone());
            let unreadable = unreadable.iter().map(|path| format!("{path} (unreadable)"));
            format!("unmeasured: needs {}", missing.chain(unreadable).collect::<Vec<_>>().join(", "))
        }
        Outcome::Unproven(values) => {
            let values: Vec<_> = values.iter().map(|v| v.words.clone()).collect();
            format!("unproven: {}", values.join("; "))
        }
        Outcome::Beyond(words) => format!("beyond: {}", words.join("; ")),
        other => other.word().into(),
    }
}

/// A curve as the range that it runs through.
fn curve_words(curve: &Curve) -> String {
    let range = |values: &mut dyn Iterator<Item = f64>, dimension: Dimension, unit: Option<UnitId>| -> Option<String> {
        let (low, high) = values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)));
        let show = |v| quantity::show(v, dimension, unit, None);
        (low <= high).then(|| format!("{} to {}", show(low), show(high)))
    };
    let over = range(&mut curve.x.iter().copied(), curve.x_dimension, curve.x_unit);
    let over = over.unwrap_or_else(|| "nothing".into());
    let result = range(&mut curve.y.iter().copied().flatten(), curve.y_dimension, curve.y_unit);
    let result = result.unwrap_or_else(|| "no values".into());
    format!("curve: {result} over {} from {over}", curve.over)
}

/// One value for machines; the form is told at [`super::json`].
pub(super) fn figure_value(assessment: &Assessment, value: &FigureValue) -> Value {
    let figure = assessment.index.figures.get(value.figure);
    let mut out = json!({
        "figure": figure.map(|f| &f.name),
        "subject": value.subject,
        "kind": figure.and_then(|f| f.kind),
        "cases": cases_json(assessment, value),
        "basis": value.basis,
    });
    if let Value::Object(map) = &mut out {
        let (key, reading) = reading_json(assessment, &value.reading);
        map.insert(key.into(), reading);
    }
    out
}

fn cases_json(assessment: &Assessment, value: &FigureValue) -> Value {
    let one = |(case, reading): &(usize, FigureReading)| {
        Some(json!({"case": assessment.cases.get(*case)?.name, "shown": reading_words(reading)}))
    };
    value.cases.iter().filter_map(one).collect()
}

/// The key and value of a reading.
pub(super) fn reading_json(assessment: &Assessment, reading: &FigureReading) -> (&'static str, Value) {
    match reading {
        FigureReading::Without(outcome) => {
            let mut without = json!({"outcome": outcome.word()});
            if let (Value::Object(map), Value::Object(reasons)) =
                (&mut without, json::reasons(&assessment.sources, outcome))
            {
                map.extend(reasons);
            }
            ("without", without)
        }
        known => known_json(known),
    }
}

/// The key and value of a reading that is known.
pub(super) fn known_json(reading: &FigureReading) -> (&'static str, Value) {
    match reading {
        FigureReading::Quantity { si, uncertainty, shown, dimension, unit } => {
            let parts = quantity::show_parts(*si, *uncertainty, *dimension, *unit);
            let parts = json!({"number": parts.number, "unit": parts.unit, "give_or_take": parts.give_or_take});
            let mut quantity = json!({"si": si, "uncertainty": uncertainty, "shown": shown});
            if let (Value::Object(map), Value::Object(parts)) = (&mut quantity, parts) {
                map.extend(parts);
            }
            ("quantity", quantity)
        }
        FigureReading::Words(words) => ("words", json!(words)),
        FigureReading::Fields(fields) => {
            let fields: serde_json::Map<String, Value> = fields.iter().map(|(k, v)| (k.clone(), json!(v))).collect();
            ("fields", Value::Object(fields))
        }
        FigureReading::Curve(curve) => {
            let (x_unit, _) = quantity::in_one_unit(&curve.x, curve.x_dimension, curve.x_unit);
            let y: Vec<f64> = curve.y.iter().copied().flatten().collect();
            let (y_unit, _) = quantity::in_one_unit(&y, curve.y_dimension, curve.y_unit);
            ("curve", json!({"over": &*curve.over, "x_unit": x_unit, "y_unit": y_unit, "x": curve.x, "y": curve.y}))
        }
        FigureReading::Without(outcome) => ("without", json!({"outcome": outcome.word(), "words": without(outcome)})),
    }
}

/// A build's figures for machines, curves in full, with the errors of the spec.
pub fn figures_json(assessment: &Assessment, errors: &[Trouble]) -> Value {
    let figures: Vec<Value> = assessment.figures.iter().map(|f| figure_value(assessment, f)).collect();
    json!({
        "name": assessment.name,
        "day": assessment.day.to_string(),
        "errors": json::errors_json(errors, &assessment.sources),
        "figures": figures,
        "caution": CAUTION,
    })
}

/// Every figure of the rulebook, by system: of what, what it means, its formula.
pub fn listed_figures(book: &Rulebook, look: Look) -> String {
    let mut page = Page::new(look);
    let mut system = "";
    for (at, figure) in book.figures.iter().enumerate() {
        if system != &*figure.system {
            system = &figure.system;
            page.title(system, "figures");
        }
        page.blank();
        let takes: Vec<_> = book.library.figures.get(at).map_or(Vec::new(), |code| {
            code.takes.iter().map(|(name, d)| format!("{name}: {}", d.in_words())).collect()
        });
        let takes = if takes.is_empty() { String::new() } else { format!("({})", takes.join(", ")) };
        page.paragraph(Style::Strong, &format!("{}{takes}  of {}", figure.name, subject(&figure.of)));
        page.field("means", &figure.means);
        for (name, formula) in &figure.with {
            page.field("with", &format!("{name} = {formula}"));
        }
        page.field("formula", &figure.formula);
        let known = figure.may_be_known.map(|kind| format!("under `known` beside it, {}", kind.name()));
        page.field("may be given", known.as_deref().unwrap_or_default());
        for source in &figure.sources {
            page.field("source", &terminal::source_words(&book_source(book, source)));
        }
    }
    page.finish()
}

/// The same for machines.
pub fn listed_figures_json(book: &Rulebook) -> Value {
    let one = |(figure, entry): (&Figure, &crate::rulebook::FigureEntry)| {
        let with: Vec<Value> = figure.with.iter().map(|(name, is)| json!({"name": name, "is": is})).collect();
        json!({
            "figure": figure.name,
            "system": figure.system,
            "of": subject(&figure.of),
            "kind": entry.kind,
            "means": figure.means,
            "with": with,
            "is": figure.formula,
            "may_be_known": figure.may_be_known.map(quantity::Kind::name),
            "sources": figure.sources,
        })
    };
    let all: Vec<Value> = book.figures.iter().zip(&book.index.figures).map(one).collect();
    Value::Array(all)
}

/// A subject in words.
pub(super) fn subject(of: &crate::rulebook::Subject) -> String {
    match of {
        crate::rulebook::Subject::Section { path, .. } => path.to_string(),
        crate::rulebook::Subject::Members { path, .. } => format!("each of {path}"),
    }
}

/// A use of a source as a reader sees it.
pub(super) fn book_source(book: &Rulebook, used: &SourceUse) -> SourceText {
    SourceText { source: used.source.to_string(), words: book.source_words(used), text: used.text }
}
