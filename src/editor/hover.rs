//! What is told about the place under the pointer: findings there, the value in other units and how it is known, what
//! rests on it and how that stands, and what the terms say of its key.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use lsp_types::{Hover, HoverContents, HoverParams, MarkupContent, MarkupKind};

use super::judged::Judged;
use super::markdown::plain;
use super::position::range_of;
use super::units::in_other_units;
use super::workplace::Workplace;
use crate::assess::{FigureReading, Finding, Judgement, Outcome};
use crate::language::{FigureId, Piece, Role};
use crate::quantity::{show, show_give_or_take};
use crate::rulebook::{Class, Rulebook, TextSeen};
use crate::source::{FileId, Span};
use crate::terms::{Absence, Field, FieldType, Held, PlaceId, belongs};

/// How many rules are listed that rest on a value; the tightest first.
const MOST_RULES: usize = 10;

/// How many figures are listed.
const MOST_FIGURES: usize = 8;

/// Answers a hover.
pub fn hover(workplace: &Workplace, params: &HoverParams) -> Option<Hover> {
    let at = &params.text_document_position_params;
    let here = workplace.here(&at.text_document.uri)?;
    let book = here.opened.book()?;
    let judged = here.build.now.as_ref()?;
    let (file, byte) = workplace.byte(&here, judged, at.position)?;
    let mut text = String::new();
    let mut shown: Option<Span> = None;
    for (judgement, class, finding) in judged.assessment.broken() {
        let Some(span) = judged.finding_at(finding, judgement) else { continue };
        if span.file == file && (span.start..=span.end).contains(&byte) {
            about_finding(&mut text, judged, judgement, class, finding);
            shown = shown.or(Some(span));
        }
    }
    if let Some(found) = judged.place_at(file, byte) {
        about_place(&mut text, judged, book, found.place, found.on_key);
        shown = shown.or(Some(found.span));
    } else if let Some(good) = here.build.good.as_ref().filter(|_| !judged.sound()) {
        // What a slip of the YAML hides was there a moment ago.
        if let Some(found) = same_line(judged, file, byte, good).and_then(|(file, byte)| good.place_at(file, byte)) {
            about_place(&mut text, good, book, found.place, found.on_key);
        }
    }
    let value = text.trim_end().to_owned();
    if value.is_empty() {
        return None;
    }
    let range = shown.map(|span| range_of(&judged.spec.sources, span, workplace.client.encoding));
    let kind = MarkupKind::Markdown;
    Some(Hover { contents: HoverContents::Markup(MarkupContent { kind, value }), range })
}

/// The same place in an earlier reading of the file: that in the nearest line which says the same.
fn same_line(now: &Judged, file: FileId, byte: u32, before: &Judged) -> Option<(FileId, u32)> {
    let texts = &now.spec.sources;
    let earlier = before.file(texts.name(file))?;
    let line_of = |judged: &Judged, file: FileId, number: usize| {
        let start = *judged.spec.sources.line_starts(file).get(number)? as usize;
        let text = judged.spec.sources.text(file).get(start..)?;
        Some((start, text.lines().next().unwrap_or_default().to_owned()))
    };
    let number = texts.line_starts(file).partition_point(|start| *start <= byte).checked_sub(1)?;
    let (start, line) = line_of(now, file, number)?;
    let lines = before.spec.sources.line_starts(earlier).len();
    let same = (0..lines).filter_map(|n| Some((n, line_of(before, earlier, n)?))).filter(|(_, (_, l))| *l == line);
    let (_, (found, _)) = same.min_by_key(|(n, _)| n.abs_diff(number))?;
    Some((earlier, (found + (byte as usize - start)) as u32))
}

fn about_finding(text: &mut String, judged: &Judged, judgement: &Judgement, class: Class, finding: &Finding) {
    let Some(rule) = judged.assessment.index.rules.get(judgement.rule) else { return };
    let _ = writeln!(text, "**{}** · `{}`\n\n{}\n", class.word(), rule.name, plain(&finding.says));
    if !finding.working.is_empty() {
        text.push_str("```text\n");
        for line in &finding.working {
            let name = if line.name.is_empty() { String::new() } else { format!("{} = ", line.name) };
            let numbers =
                if line.numbers == line.symbols { String::new() } else { format!("\n    = {}", line.numbers) };
            let result = if line.result.is_empty() { String::new() } else { format!("\n    = {}", line.result) };
            let _ = writeln!(text, "{name}{}{numbers}{result}", line.symbols);
        }
        text.push_str("```\n");
    }
    let _ = writeln!(
        text,
        "\n*Requirement:* {}\n\n*Why:* {}\n\n*Remedy:* {}\n",
        plain(&rule.title),
        plain(&finding.why),
        plain(&finding.remedy)
    );
    for (word, said) in [("Measure", &finding.measure), ("Caution", &finding.caution)] {
        if let Some(said) = said {
            let _ = writeln!(text, "*{word}:* {}\n", plain(said));
        }
    }
    for note in &finding.notes {
        let _ = writeln!(text, "*Note:* {}\n", plain(note));
    }
    for source in &finding.sources {
        let seen = match source.text {
            TextSeen::Read => ", text read",
            TextSeen::Memory => ", from memory",
            TextSeen::Practice => "",
        };
        let _ = writeln!(text, "*Source:* {}{seen}\n", plain(&source.words));
    }
    text.push_str("---\n\n");
}

fn about_place(text: &mut String, judged: &Judged, book: &Rulebook, place: PlaceId, on_key: bool) {
    let spec = &judged.spec;
    let _ = writeln!(text, "`{}`", spec.path(place));
    if let Held::Reference(target) = spec.held(place) {
        let _ = writeln!(text, "is `{}`", spec.path(*target));
    }
    if let Held::Quantity(quantity) = spec.held(place) {
        let (dimension, unit) = (quantity.kind.into(), Some(quantity.unit));
        let value = match quantity.give_or_take {
            Some(uncertainty) => show_give_or_take(quantity.si, uncertainty, dimension, unit),
            None => show(quantity.si, dimension, unit, None),
        };
        let others = in_other_units(quantity.si, quantity.kind, quantity.unit);
        let others: String = others.iter().map(|other| format!(" = {other}")).collect();
        let _ = writeln!(text, "= **{value}**{others}");
        let mut known = Vec::new();
        known.extend(quantity.known_by.map(|known| format!("known by: {}", known.word())));
        known.extend(quantity.taken.map(|day| format!("taken {day}")));
        if quantity.give_or_take.is_none() {
            known.push("no uncertainty stated".to_owned());
        }
        if spec.changed_after(place).is_some() {
            known.push("stale: something that moves it was changed since".to_owned());
        }
        let _ = writeln!(text, "\n{}", known.join(" · "));
    }
    text.push('\n');
    if let Some(field) = spec.field(place) {
        about_key(text, judged, field, on_key);
    } else if let Held::Record { ty, .. } = spec.held(place) {
        let _ = writeln!(text, "{}\n", plain(&spec.types().record(*ty).description));
    }
    if !matches!(spec.held(place), Held::Record { .. } | Held::List { .. }) {
        about_uses(text, judged, book, place);
    }
}

/// What the terms say of a key; on the key itself with what belongs there and examples.
fn about_key(text: &mut String, judged: &Judged, field: &Field, in_full: bool) {
    let _ = writeln!(text, "{}\n", plain(&field.description));
    if !in_full {
        return;
    }
    let _ = writeln!(text, "*Belongs here:* {}\n", plain(&belongs(judged.spec.types(), &field.ty)));
    if !field.examples.is_empty() {
        let examples: Vec<String> = field.examples.iter().map(|example| format!("`{example}`")).collect();
        let _ = writeln!(text, "*For example:* {}\n", examples.join(", "));
    }
    if let (Some((least, most)), FieldType::Quantity(kind)) = (field.usual, &field.ty) {
        let shown = |si: f64| show(si, (*kind).into(), None, None);
        let _ = writeln!(text, "*Usual:* {} to {}\n", shown(least), shown(most));
    }
    if !field.moved_by.is_empty() {
        let _ = writeln!(text, "*Measure again after a change of:* {}\n", plain(&field.moved_by.join(", ")));
    }
    let absence = match field.absent {
        Absence::Unmeasured => "not measured or decided yet",
        Absence::None => "the car has no such thing",
    };
    let _ = writeln!(text, "*Left out:* {absence}\n");
}

/// Which figures and rules rest on a value, and how they stand.
fn about_uses(text: &mut String, judged: &Judged, book: &Rulebook, place: PlaceId) {
    let mut rules: Vec<&Judgement> = Vec::new();
    let mut figures: BTreeMap<(FigureId, PlaceId), ()> = BTreeMap::new();
    for judgement in &judged.assessment.judgements {
        if judgement.outcome == Outcome::NotApplicable {
            continue;
        }
        let evidence = judged.assessment.evidence(judgement);
        let mine = |piece: &Piece| matches!(piece, Piece::Place(p) if *p == place);
        let mut uses = evidence.iter().filter(|flat| mine(&flat.piece) && flat.role != Role::Considered).peekable();
        if uses.peek().is_some() {
            rules.push(judgement);
        }
        figures.extend(uses.filter_map(|flat| flat.through).map(|through| (through, ())));
    }
    let mut listed = figures.into_keys().filter_map(|(id, subject)| {
        let path = judged.spec.path(subject);
        let found = judged.figures(book).iter().find(|f| f.figure == usize::from(id.0) && f.subject == path)?;
        let words = match &found.reading {
            FigureReading::Quantity { shown, .. } => shown.clone(),
            FigureReading::Words(words) => words.clone(),
            FigureReading::Without(outcome) => outcome.word().to_owned(),
            FigureReading::Fields(_) | FigureReading::Curve(_) => return None,
        };
        let name = &book.library.figure(id).name;
        Some(format!("- `{name}` of {}: {}", plain(if path.is_empty() { "the build" } else { &path }), plain(&words)))
    });
    let lines: Vec<String> = listed.by_ref().take(MOST_FIGURES).collect();
    if !lines.is_empty() {
        let _ = writeln!(text, "*Figures that rest on it:*\n\n{}\n", lines.join("\n"));
    }
    rules.sort_by(|a, b| rank(a).total_cmp(&rank(b)));
    let lines: Vec<String> = rules.iter().take(MOST_RULES).map(|judgement| rule_line(judged, judgement)).collect();
    if !lines.is_empty() {
        let more = rules.len().saturating_sub(MOST_RULES);
        let more = if more > 0 { format!("\n- and {more} more") } else { String::new() };
        let _ = writeln!(text, "*Rules that rest on it:*\n\n{}{more}\n", lines.join("\n"));
    }
}

/// Broken rules first, then those that are nearest to their limits.
fn rank(judgement: &Judgement) -> f64 {
    match &judgement.outcome {
        Outcome::Broken(_) => -1.0,
        Outcome::Holds => judgement.margin.as_ref().and_then(|m| m.share()).map_or(1e6, f64::abs),
        _ => 1e9,
    }
}

fn rule_line(judged: &Judged, judgement: &Judgement) -> String {
    let name = judged.assessment.index.rules.get(judgement.rule).map_or("", |rule| &*rule.name);
    let margin = judgement.margin.as_ref().map_or_else(String::new, |m| {
        let share = m.share().map_or_else(String::new, |share| format!(", {:.0} %", share * 100.0));
        format!(": {} {} {} (margin {}{share})", m.value(), m.sign(), m.limit(), m.shown())
    });
    format!("- `{name}` {}{}", judgement.outcome.word(), plain(&margin))
}
