//! What tried values would make different: findings, outcomes, margins and figures, variant beside variant.

use super::figures::{reading_json, reading_words};
use super::page::{Look, Page, Style, wrapped};
use super::summary::{self, CAUTION};
use super::{Trouble, cases, json};
use crate::assess::{FigureReading, Outcome, TriedFigure, TriedOutcome, TriedReading, Tries};
use serde_json::{Value, json};
use unicode_width::UnicodeWidthStr;

/// Margins and figures that are shown; the rest is counted.
const MOST_SHOWN: usize = 12;

/// Blanks between columns.
const GAP: usize = 2;

/// What differs, for a person; `texts` are the variants as they were asked for.
pub fn tries(tries: &Tries, texts: &[&str], look: Look) -> String {
    let mut page = Page::new(look);
    let written = &tries.written;
    let name = written.name.as_deref().unwrap_or("A build without a name");
    page.title(name, &format!("tried, judged for {}; nothing is written", written.day));
    let variants: Vec<(String, String)> = texts
        .iter()
        .zip(&tries.variants)
        .enumerate()
        .map(|(at, (_, variant))| {
            let set = variant.set.iter().map(|v| format!("{} = {} (was {})", v.path, v.value, v.written));
            ((at + 1).to_string(), set.collect::<Vec<_>>().join("; "))
        })
        .collect();
    page.rows(2, &variants);
    let mut heads = vec!["as written".to_string()];
    heads.extend((1..=texts.len()).map(|n| n.to_string()));
    if tries.outcomes.is_empty() && tries.margins.is_empty() && tries.figures.is_empty() {
        page.blank();
        page.paragraph(Style::Plain, "Nothing differs: no rule and no figure rests on these values.");
    }
    outcomes(tries, &heads, &mut page);
    margins(tries, &heads, &mut page);
    figures(tries, &heads, &mut page);
    page.heading(Style::Plain, "count", &[]);
    let counts = std::iter::once(written.counts()).chain(tries.variants.iter().map(|v| v.counts));
    let rows: Vec<_> = heads.iter().cloned().zip(counts.map(|counts| summary::line(&counts, 0))).collect();
    page.rows(2, &rows);
    page.blank();
    page.paragraph(Style::Quiet, CAUTION);
    page.finish()
}

fn outcomes(tries: &Tries, heads: &[String], page: &mut Page) {
    if tries.outcomes.is_empty() {
        return;
    }
    page.heading(Style::Strong, "outcomes", &[]);
    columns(heads, Style::Quiet, page);
    for outcome in &tries.outcomes {
        page.paragraph(Style::Strong, &named(tries, outcome));
        columns(&outcome.readings.iter().map(cell).collect::<Vec<_>>(), Style::Plain, page);
        let written = outcome.readings.first().and_then(|reading| reading.says.as_deref());
        for (head, reading) in heads.iter().zip(&outcome.readings).skip(1) {
            if let Some(says) = reading.says.as_deref().filter(|says| Some(*says) != written) {
                page.indented(Style::Plain, &format!("{head}: {says}"), GAP);
            }
        }
    }
}

fn named(tries: &Tries, outcome: &TriedOutcome) -> String {
    let rule = tries.written.index.rules.get(outcome.rule).map_or("", |rule| &rule.name);
    format!("{rule} on {}", outcome.subject)
}

fn margins(tries: &Tries, heads: &[String], page: &mut Page) {
    if tries.margins.is_empty() {
        return;
    }
    page.heading(Style::Strong, "margins", &[]);
    columns(heads, Style::Quiet, page);
    for outcome in tries.margins.iter().take(MOST_SHOWN) {
        page.paragraph(Style::Plain, &named(tries, outcome));
        columns(&outcome.readings.iter().map(cell).collect::<Vec<_>>(), Style::Plain, page);
    }
    more(tries.margins.len(), "margins moved, none nearer to its limit than these", page);
}

fn figures(tries: &Tries, heads: &[String], page: &mut Page) {
    if tries.figures.is_empty() {
        return;
    }
    page.heading(Style::Strong, "figures", &[]);
    columns(heads, Style::Quiet, page);
    let curve = |figure: &&TriedFigure| figure.readings.iter().flatten().any(|r| matches!(r, FigureReading::Curve(_)));
    for figure in tries.figures.iter().filter(|figure| !curve(figure)).take(MOST_SHOWN) {
        let name = tries.written.index.figures.get(figure.figure).map_or("", |f| &f.name);
        let subject = if figure.subject.is_empty() { "the build" } else { &figure.subject };
        page.paragraph(Style::Plain, &format!("{name} of {subject}"));
        columns(&figure.readings.iter().map(figure_cell).collect::<Vec<_>>(), Style::Plain, page);
    }
    more(tries.figures.len(), "figures moved; --as json shows all", page);
}

fn more(count: usize, words: &str, page: &mut Page) {
    if count > MOST_SHOWN {
        page.paragraph(Style::Quiet, &format!("and {} more {words}", count - MOST_SHOWN));
    }
}

fn cell(reading: &TriedReading) -> String {
    let margin = match (&reading.outcome, &reading.margin) {
        (Outcome::Unmeasured { missing, .. }, _) if !missing.is_empty() => {
            format!(", needs {}", missing.iter().map(|m| &*m.path).collect::<Vec<_>>().join(", "))
        }
        (_, Some(margin)) => format!(", {}", cases::distance(margin)),
        _ => String::new(),
    };
    let case = reading.case.as_ref().map_or(String::new(), |case| format!(" in {case}"));
    format!("{}{margin}{case}", reading.outcome.word())
}

fn figure_cell(reading: &Option<FigureReading>) -> String {
    reading.as_ref().map_or_else(|| "not there".into(), reading_words)
}

/// Cells side by side, each wrapped in its own column.
fn columns(cells: &[String], style: Style, page: &mut Page) {
    let width = (page.look.width.saturating_sub(GAP) / cells.len().max(1)).saturating_sub(GAP).max(8);
    let cells: Vec<Vec<String>> = cells.iter().map(|cell| wrapped(cell, width)).collect();
    for row in 0..cells.iter().map(Vec::len).max().unwrap_or(0) {
        let mut line = String::new();
        for cell in &cells {
            let text = cell.get(row).map_or("", |text| text);
            line.push_str(text);
            line.push_str(&" ".repeat((width + GAP).saturating_sub(text.width())));
        }
        page.styled_as_is(style, line.trim_end(), GAP);
    }
}

/// What differs, for machines; the form is told at [`super::json`] for its parts.
pub fn tries_json(path: &str, tries: &Tries, texts: &[&str], errors: &[Trouble]) -> Value {
    let written = &tries.written;
    let variant = |(text, variant): (&&str, &crate::assess::Variant)| {
        let set = variant.set.iter().map(|v| json!({"path": v.path, "written": v.written, "value": v.value}));
        json!({"text": text, "set": set.collect::<Vec<_>>(), "counts": variant.counts})
    };
    let outcome = |o: &TriedOutcome| {
        let reading = |r: &TriedReading| {
            json!({
                "outcome": r.outcome.word(),
                "margin": r.margin.as_ref().map(json::margin),
                "case": r.case,
                "says": r.says,
            })
        };
        json!({
            "rule": written.index.rules.get(o.rule).map(|rule| &rule.name),
            "subject": o.subject,
            "as_written": o.readings.first().map(reading),
            "tried": o.readings.iter().skip(1).map(reading).collect::<Vec<_>>(),
        })
    };
    let figure = |f: &TriedFigure| {
        let reading = |r: &Option<FigureReading>| {
            r.as_ref().map(|r| {
                let (key, value) = reading_json(written, r);
                json!({key: value})
            })
        };
        json!({
            "figure": written.index.figures.get(f.figure).map(|figure| &figure.name),
            "subject": f.subject,
            "as_written": f.readings.first().map(reading),
            "tried": f.readings.iter().skip(1).map(reading).collect::<Vec<_>>(),
        })
    };
    json!({
        "path": path,
        "name": written.name,
        "day": written.day.to_string(),
        "errors": json::errors_json(errors, &written.sources),
        "counts": written.counts(),
        "variants": texts.iter().zip(&tries.variants).map(variant).collect::<Vec<_>>(),
        "outcomes": tries.outcomes.iter().map(outcome).collect::<Vec<_>>(),
        "margins": tries.margins.iter().map(outcome).collect::<Vec<_>>(),
        "figures": tries.figures.iter().map(figure).collect::<Vec<_>>(),
        "caution": CAUTION,
    })
}
