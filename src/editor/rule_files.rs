//! Rule files of a repository in the editor: what the words of an expression mean, and which could follow.

use std::fmt::Write as _;

use lsp_types::{
    CompletionItem, CompletionItemKind, CompletionParams, CompletionResponse, CompletionTextEdit, Documentation, Hover,
    HoverContents, HoverParams, MarkupContent, MarkupKind, Position, TextEdit, Uri,
};

use super::documents::Document;
use super::markdown::plain;
use super::opened::Opened;
use super::rule_scope::{Leads, fields, figures, leads, subject_at, word_at};
use super::workplace::Workplace;
use crate::language::function::{Function, ParameterType};
use crate::rulebook::Rulebook;
use crate::terms::{Terms, Types, belongs, keys};

/// How many keys of the same name are told.
const MOST_KEYS: usize = 4;

/// An open rule file, and the byte of a position in it.
fn at<'a>(workplace: &'a Workplace, uri: &Uri, position: Position) -> Option<(&'a Opened, &'a Document, usize)> {
    let (opened, document) = workplace.rule_file(uri)?;
    Some((opened, document, document.lines(workplace.client.encoding).byte(position) as usize))
}

/// Tells of the function, figure or key that is pointed at.
pub fn hover(workplace: &Workplace, params: &HoverParams) -> Option<Hover> {
    let position = &params.text_document_position_params;
    let (opened, document, byte) = at(workplace, &position.text_document.uri, position.position)?;
    let book = opened.book()?;
    let word = word_at(document.text(), byte).filter(|word| !word.part.is_empty())?;
    let types = book.library.terms.types();
    let subject = subject_at(document.text(), byte);
    let before = word.base.map(|base| leads(types, subject.as_ref(), base));
    let mut text = String::new();
    if let (None, Some(function)) = (&before, book.library.functions.iter().find(|f| f.name == word.part)) {
        let _ = writeln!(text, "`{}`\n\n{}\n", signature(function, &book.library.terms), plain(function.says));
    }
    let known = |number: &usize| book.figures.get(*number).is_some_and(|figure| *figure.name == *word.part);
    let of: Vec<usize> = match &before {
        Some(Some(Leads::Records(records))) => figures(book, records),
        _ => (0..book.figures.len()).collect(),
    };
    for number in of.into_iter().filter(known) {
        text.push_str(&figure(book, number));
    }
    if let Some(Some(Leads::Records(records))) = &before {
        for field in fields(types, records).into_iter().filter(|field| *field.name == *word.part) {
            let _ =
                writeln!(text, "`{}`: {}\n\n{}\n", field.name, belongs(types, &field.ty), plain(&field.description));
        }
    } else if text.is_empty() {
        text = keys_named(types, word.part);
    }
    if text.is_empty() {
        return None;
    }
    let range = document.lines(workplace.client.encoding).range(word.range.start as u32..word.range.end as u32);
    let contents = MarkupContent { kind: MarkupKind::Markdown, value: text.trim_end().to_owned() };
    Some(Hover { contents: HoverContents::Markup(contents), range: Some(range) })
}

fn figure(book: &Rulebook, number: usize) -> String {
    let Some(figure) = book.figures.get(number) else { return String::new() };
    let mut text = format!("`{}` of `{}`\n\n{}\n\n```text\n", figure.name, figure.of.path(), plain(&figure.means));
    for (name, formula) in &figure.with {
        let _ = writeln!(text, "{name} = {}", formula.trim_end());
    }
    let _ = writeln!(text, "{}\n```\n", figure.formula.trim_end());
    text
}

/// Keys of that name anywhere in a spec, where nothing tells which is meant.
fn keys_named(types: &Types, name: &str) -> String {
    let mut text = String::new();
    for key in keys(types).into_iter().filter(|key| *key.field.name == *name).take(MOST_KEYS) {
        let _ = writeln!(text, "`{}`: {}\n\n{}\n", key.path, key.belongs, plain(&key.field.description));
    }
    text
}

fn signature(function: &Function, terms: &Terms) -> String {
    let takes: Vec<String> = function
        .takes
        .iter()
        .map(|parameter| {
            let ty = match &parameter.ty {
                ParameterType::Number(dimension) => dimension.kind.map_or("quantity".into(), |k| k.name().to_owned()),
                ParameterType::Numbers(dimension) => {
                    format!("list of {}", dimension.kind.map_or("quantity", |kind| kind.name()))
                }
                ParameterType::Point => "point".into(),
                ParameterType::Points => "list of points".into(),
                ParameterType::Word(words) => words.join(" or "),
                ParameterType::Truth => "condition".into(),
            };
            format!("{}: {ty}", parameter.name)
        })
        .collect();
    format!("{}({}) gives {}", function.name, takes.join(", "), function.gives.shown(terms))
}

/// Proposes keys and figures behind a dot; else the subject, sections and functions.
pub fn completion(workplace: &Workplace, params: &CompletionParams) -> Option<CompletionResponse> {
    let position = &params.text_document_position;
    let (opened, document, byte) = at(workplace, &position.text_document.uri, position.position)?;
    let book = opened.book()?;
    let types = book.library.terms.types();
    let word = word_at(document.text(), byte)?;
    let subject = subject_at(document.text(), byte)?;
    let range = document.lines(workplace.client.encoding).range(word.range.start as u32..word.range.end as u32);
    let mut items: Vec<CompletionItem> = Vec::new();
    let mut add = |label: &str, kind: CompletionItemKind, detail: String, about: String| {
        let value = Documentation::MarkupContent(MarkupContent { kind: MarkupKind::Markdown, value: about });
        items.push(CompletionItem {
            label: label.to_owned(),
            kind: Some(kind),
            detail: Some(detail).filter(|detail| !detail.is_empty()),
            documentation: Some(value),
            sort_text: Some(format!("{:04}", items.len())),
            text_edit: Some(CompletionTextEdit::Edit(TextEdit { range, new_text: label.to_owned() })),
            ..CompletionItem::default()
        });
    };
    let records = match word.base.map(|base| leads(types, Some(&subject), base)) {
        Some(Some(Leads::Records(records))) => records,
        Some(_) => return None,
        None => {
            if let Some(name) = subject.name {
                add(name, CompletionItemKind::VARIABLE, format!("each of {}", subject.path), String::new());
            }
            for field in &types.record(types.root()).fields {
                add(&field.name, CompletionItemKind::MODULE, belongs(types, &field.ty), plain(&field.description));
            }
            for function in book.library.functions.iter() {
                let takes = signature(function, &book.library.terms);
                add(function.name, CompletionItemKind::FUNCTION, takes, plain(function.says));
            }
            return Some(CompletionResponse::Array(items));
        }
    };
    for field in fields(types, &records) {
        add(&field.name, CompletionItemKind::FIELD, belongs(types, &field.ty), plain(&field.description));
    }
    for number in figures(book, &records) {
        let Some(figure) = book.figures.get(number) else { continue };
        add(
            &figure.name,
            CompletionItemKind::PROPERTY,
            format!("figure of {}", figure.of.path()),
            plain(&figure.means),
        );
    }
    Some(CompletionResponse::Array(items))
}
