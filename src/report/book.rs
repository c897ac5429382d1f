//! The rulebook: what is in force by system, one rule in full, functions, tables and sources.

use super::figures::{book_source, listed_figures_json};
use super::page::{Look, Page, Style};
use super::summary::CAUTION;
use super::terminal::source_words;
use crate::language::function::ParameterType;
use crate::language::table::{Cell, Column, ColumnType, Match};
use crate::language::{Function, Type};
use crate::quantity;
use crate::rulebook::{Rule, Rulebook};
use serde_json::{Value, json};
use unicode_width::UnicodeWidthStr;

/// What of the rulebook is to be listed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Listed {
    /// Rules, and how many figures and tables there are.
    Rules,
    /// Functions that expressions can call.
    Functions,
    /// Tables with their rows.
    Tables,
    /// Sources.
    Sources,
    /// Steps that cannot be taken back.
    Events,
}

/// The list.
pub fn book(book: &Rulebook, listed: Listed, look: Look) -> String {
    let mut page = Page::new(look);
    match listed {
        Listed::Rules => rules(book, &mut page),
        Listed::Functions => functions(book, &mut page),
        Listed::Tables => tables(book, &mut page),
        Listed::Sources => sources(book, &mut page),
        Listed::Events => events(book, &mut page),
    }
    page.finish()
}

fn rules(book: &Rulebook, page: &mut Page) {
    let mut systems: Vec<&str> = Vec::new();
    let all = book.rules.iter().map(|r| &r.system).chain(book.figures.iter().map(|f| &f.system));
    for system in all.chain(book.tables.iter().map(|t| &t.system)) {
        if !systems.contains(&&**system) {
            systems.push(system);
        }
    }
    for system in systems {
        let figures: Vec<&str> = book.figures.iter().filter(|f| &*f.system == system).map(|f| &*f.name).collect();
        let tables: Vec<&str> = book.tables.iter().filter(|t| &*t.system == system).map(|t| &*t.title).collect();
        let of_system = || book.rules.iter().filter(|r| &*r.system == system);
        page.title(
            system,
            &format!("{} rules, {} figures, {} tables", of_system().count(), figures.len(), tables.len()),
        );
        let rows: Vec<_> = of_system()
            .map(|r| {
                let classes: Vec<_> = r.holds.iter().map(|(class, _)| class.word()).collect();
                let own = if r.own { ", own" } else { "" };
                (r.name.to_string(), format!("{} ({}{own})", r.title, classes.join(", ")))
            })
            .collect();
        page.rows(2, &rows);
        page.blank();
        page.field("figures", &figures.join(", "));
        page.field("tables", &tables.join("; "));
    }
    replaced(book, page);
}

fn replaced(book: &Rulebook, page: &mut Page) {
    page.blank();
    page.as_is(&super::replaced(&book.index, page.look));
}

/// One rule in full.
pub fn rule(book: &Rulebook, rule: &Rule, look: Look) -> String {
    let mut page = Page::new(look);
    let at = book.texts.position(rule.name_place.file, rule.name_place.start);
    page.title(&rule.name, &format!("{}:{}:{}", book.texts.name(rule.name_place.file), at.line, at.column));
    page.paragraph(Style::Plain, &rule.title);
    page.blank();
    page.field("for", &rule.for_written);
    page.field("when", rule.when_written.as_deref().unwrap_or_default());
    for (name, written) in rule.with_written.iter() {
        page.field("with", &format!("{name} = {written}"));
    }
    let mut written: Vec<_> = rule.written.iter().collect();
    written.sort_by_key(|w| std::cmp::Reverse(w.0));
    for (class, expression) in written {
        page.styled_field(class.word(), Style::Class(*class), &format!("unless {expression}"));
    }
    page.field("says", rule.says.written());
    page.field("why", rule.why.written());
    page.field("remedy", rule.remedy.written());
    page.field("measure", rule.measure.as_deref().unwrap_or_default());
    page.field("caution", rule.caution.as_deref().unwrap_or_default());
    page.field("settle before", &rule.before.join(", "));
    for used in rule.sources.iter() {
        page.field("source", &source_words(&book_source(book, used)));
    }
    page.field("check pieces", &pieces(rule));
    page.blank();
    page.paragraph(Style::Quiet, CAUTION);
    page.finish()
}

fn pieces(rule: &Rule) -> String {
    let mut counted: Vec<(&str, usize)> = Vec::new();
    for piece in &rule.pieces {
        let word = piece.reads.words();
        match counted.iter_mut().find(|(w, _)| *w == word) {
            Some((_, n)) => *n += 1,
            None => counted.push((word, 1)),
        }
    }
    let counted: Vec<_> = counted.iter().map(|(word, n)| format!("{n} {word}")).collect();
    match rule.pieces.len() {
        0 => "none".into(),
        n => format!("{n}: {}", counted.join(", ")),
    }
}

fn functions(book: &Rulebook, page: &mut Page) {
    for function in book.library.functions.iter() {
        page.blank();
        page.paragraph(Style::Strong, &signature(function, book));
        page.indented(Style::Plain, function.says, 2);
    }
}

/// A function's name, what it takes and what it gives: `joint_angle(before_slope: angle, ...) gives an angle`.
fn signature(function: &Function, book: &Rulebook) -> String {
    let takes: Vec<_> = function.takes.iter().map(|p| format!("{}: {}", p.name, takes(&p.ty))).collect();
    format!("{}({}) gives {}", function.name, takes.join(", "), gives(&function.gives, book))
}

fn takes(ty: &ParameterType) -> String {
    match ty {
        ParameterType::Number(d) => d.in_words(),
        ParameterType::Numbers(d) => format!("list, each {}", d.in_words()),
        ParameterType::Point => "a point".into(),
        ParameterType::Points => "a list of points".into(),
        ParameterType::Word(words) => words.iter().map(|w| format!("\"{w}\"")).collect::<Vec<_>>().join(" or "),
        ParameterType::Truth => "a condition".into(),
    }
}

fn gives(ty: &Type, book: &Rulebook) -> String {
    match ty {
        Type::Fields(fields) => {
            let fields: Vec<_> =
                fields.iter().map(|(name, ty)| format!("{name}: {}", ty.shown(&book.library.terms))).collect();
            format!("{{{}}}", fields.join(", "))
        }
        other => other.shown(&book.library.terms),
    }
}

fn tables(book: &Rulebook, page: &mut Page) {
    for (info, table) in book.tables.iter().zip(&book.library.tables) {
        page.title(&info.title, &format!("{}, {}", info.name, info.system));
        for column in &table.columns {
            page.field(&column.name, &column_words(column));
        }
        page.blank();
        let words = |row: &Vec<Cell>| row.iter().zip(&table.columns).map(|(c, column)| cell_words(c, column)).collect();
        let rows: Vec<Vec<String>> = table.rows.iter().map(words).collect();
        let width = |at: usize| rows.iter().filter_map(|row| row.get(at)).map(|cell| cell.width()).max().unwrap_or(0);
        let widths: Vec<usize> = (0..table.columns.len()).map(width).collect();
        for row in &rows {
            let pad = |(cell, width): (&String, &usize)| format!("{cell}{}", " ".repeat(width - cell.width() + 2));
            page.indented_as_is(&row.iter().zip(&widths).map(pad).collect::<String>(), 2);
        }
        page.blank();
        for used in &info.sources {
            page.field("source", &source_words(&book_source(book, used)));
        }
    }
}

fn column_words(column: &Column) -> String {
    let ty = match &column.ty {
        ColumnType::Number(d) => d.in_words(),
        ColumnType::Words(_) => "a word".into(),
        ColumnType::Truth => "yes or no".into(),
    };
    match column.matched {
        None => ty,
        Some(Match::Exact) => format!("{ty}; key, the same"),
        Some(Match::Band { open_ended: false }) => format!("{ty}; key, from this row's value to the next's"),
        Some(Match::Band { open_ended: true }) => {
            format!("{ty}; key, from this row's value to the next's, the last without an end")
        }
        Some(Match::Linear) => format!("{ty}; key, in between on a straight line"),
    }
}

fn cell_words(cell: &Cell, column: &Column) -> String {
    match (cell, &column.ty) {
        (Cell::Number(si, unit), ColumnType::Number(dimension)) => quantity::show(*si, *dimension, *unit, None),
        (Cell::Number(si, _), _) => si.to_string(),
        (Cell::Word(word), _) => word.to_string(),
        (Cell::Truth(true), _) => "yes".into(),
        (Cell::Truth(false), _) => "no".into(),
        (Cell::None, _) => "none".into(),
    }
}

fn sources(book: &Rulebook, page: &mut Page) {
    let rows: Vec<_> = book
        .sources
        .iter()
        .map(|s| {
            let edition = s.edition.as_deref().map_or(String::new(), |e| format!(", {e}"));
            (s.name.to_string(), format!("{}{edition} ({})", s.title, s.kind.word()))
        })
        .collect();
    page.rows(0, &rows);
}

fn events(book: &Rulebook, page: &mut Page) {
    for event in &book.events {
        let rules = book.rules.iter().filter(|r| r.before.contains(&event.name)).count();
        let own = if event.own { ", own" } else { "" };
        page.blank();
        page.paragraph(Style::Strong, &format!("{} ({rules} rules{own})", event.name));
        page.indented(Style::Plain, &event.means, 2);
    }
}

/// Rules with their sources and check pieces, figures, tables, functions and sources, for machines.
pub fn book_json(book: &Rulebook) -> Value {
    let tables: Vec<Value> = book
        .tables
        .iter()
        .zip(&book.library.tables)
        .map(|(info, table)| {
            let columns: Vec<Value> =
                table.columns.iter().map(|c| json!({"name": c.name, "holds": column_words(c)})).collect();
            let row = |row: &Vec<Cell>| -> Vec<String> {
                row.iter().zip(&table.columns).map(|(cell, column)| cell_words(cell, column)).collect()
            };
            json!({
                "table": info.name,
                "title": info.title,
                "system": info.system,
                "columns": columns,
                "rows": table.rows.iter().map(row).collect::<Vec<_>>(),
                "sources": info.sources,
                "check_pieces": info.pieces.iter().map(|p| book.texts.slice(p.place)).collect::<Vec<_>>(),
            })
        })
        .collect();
    let functions: Vec<Value> = book
        .library
        .functions
        .iter()
        .map(|f| json!({"function": f.name, "says": f.says, "form": signature(f, book)}))
        .collect();
    json!({
        "rules": book.rules.iter().map(|r| rule_json(book, r)).collect::<Vec<_>>(),
        "figures": listed_figures_json(book),
        "tables": tables,
        "functions": functions,
        "sources": book.sources,
        "events": book.events,
        "replaced": book.index.replaced,
        "caution": CAUTION,
    })
}

/// One rule for machines.
pub fn rule_json(book: &Rulebook, rule: &Rule) -> Value {
    let at = book.texts.position(rule.name_place.file, rule.name_place.start);
    let with: Vec<Value> = rule.with_written.iter().map(|(name, is)| json!({"name": name, "is": is})).collect();
    let holds: serde_json::Map<String, Value> =
        rule.written.iter().map(|(class, text)| (class.word().to_string(), json!(text))).collect();
    let sources: Vec<Value> = rule
        .sources
        .iter()
        .map(|s| json!({"source": s.source, "clause": s.clause, "text": s.text, "words": book.source_words(s)}))
        .collect();
    let pieces: Vec<Value> = rule
        .pieces
        .iter()
        .map(|p| {
            json!({
                "reads": p.reads.words(),
                "subject": p.subject,
                "line": book.texts.position(p.place.file, p.place.start).line,
                "written": book.texts.slice(p.place),
            })
        })
        .collect();
    json!({
        "rule": rule.name,
        "title": rule.title,
        "system": rule.system,
        "own": rule.own,
        "file": book.texts.name(rule.name_place.file),
        "line": at.line,
        "for": rule.for_written,
        "when": rule.when_written,
        "with": with,
        "holds": holds,
        "says": rule.says.written(),
        "why": rule.why.written(),
        "remedy": rule.remedy.written(),
        "measure": rule.measure,
        "caution": rule.caution,
        "before": rule.before,
        "sources": sources,
        "check_pieces": pieces,
    })
}
