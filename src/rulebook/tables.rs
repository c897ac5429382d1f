//! Reads tables: columns with their types, rows of cells, check pieces.

use super::error::RulebookProblem;
use super::form::Form;
use super::pieces::TablePiece;
use super::sources::{Source, SourceUse, read_uses};
use crate::language::table::{Cell, Column, ColumnType, Key, Match, Table};
use crate::quantity::{self, Kind};
use crate::source::{Later, NodeId, SharedText, Span};
use crate::terms::{FieldType, ListMembers, Types, nearest};
use std::sync::Arc;

/// What `book` shows of a table.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct TableInfo {
    /// Its name in expressions.
    pub name: SharedText,
    /// Its title.
    pub title: SharedText,
    /// The system whose folder it stands in.
    pub system: SharedText,
    /// Sources.
    pub sources: Vec<SourceUse>,
    /// Check pieces.
    #[serde(skip)]
    pub pieces: Vec<TablePiece>,
    /// Its place.
    pub place: Span,
    /// Places of its cells, by row and column.
    pub cells: Later<Vec<Vec<Span>>>,
}

/// Reads one table.
pub(super) fn read_table(
    form: &mut Form,
    node: NodeId,
    system: &str,
    types: &Types,
    sources: &[Source],
) -> Option<(Table, TableInfo)> {
    form.entries(node, "a table", &["table", "name", "columns", "rows", "sources", "check_pieces", "replaces"]);
    let title = form.need_text(node, "a table", "table")?;
    let name = form.need_text(node, "a table", "name")?;
    let columns_node = form.need(node, "a table", "columns")?;
    let rows_node = form.need(node, "a table", "rows")?;
    let mut columns = Vec::new();
    for entry in form.tree.entries(columns_node).unwrap_or_default().to_vec() {
        columns.push(read_column(form, &entry.key, entry.value, types)?);
    }
    if columns.is_empty() {
        form.form_error(columns_node, "a map of columns");
        return None;
    }
    let mut rows = Vec::new();
    let mut cells = Vec::new();
    for row in form.list(rows_node) {
        let Some(nodes) = row_nodes(form, row, &columns) else { continue };
        let mut read = Vec::new();
        for (column, cell) in columns.iter().zip(&nodes) {
            read.push(read_cell(form, *cell, &column.ty).unwrap_or(Cell::None));
        }
        cells.push(nodes.iter().map(|n| form.span(*n)).collect());
        rows.push(read);
    }
    let sources_node = form.tree.get(node, "sources");
    if sources_node.is_none() {
        form.need(node, "a table", "sources");
    }
    let sources = read_uses(form, sources_node, sources);
    let table = Table { name: name.into(), title: title.into(), columns, rows };
    let pieces_node = form.tree.get(node, "check_pieces");
    let pieces = pieces_node.map_or(Vec::new(), |n| read_pieces(form, n, &table));
    let place = form.span(node);
    let info = TableInfo {
        name: name.into(),
        title: title.into(),
        system: system.into(),
        sources,
        pieces,
        place,
        cells: Later::now(cells),
    };
    Some((table, info))
}

fn read_column(form: &mut Form, name: &str, node: NodeId, types: &Types) -> Option<Column> {
    form.entries(node, "a column", &["quantity", "choice", "text", "yes_no", "match", "open_ended"]);
    let ty = if let Some(kind) = form.tree.get(node, "quantity") {
        let text = form.text(kind)?;
        let Some(found) = Kind::named(text) else {
            let nearest = nearest(text, Kind::ALL.iter().map(|k| k.name())).map(str::to_string);
            let span = form.span(kind);
            form.error(RulebookProblem::Unknown { what: "kind of quantity", name: text.into(), nearest }, span);
            return None;
        };
        ColumnType::Number(found.into())
    } else if let Some(choice) = form.tree.get(node, "choice") {
        let text = form.text(choice)?;
        match choice_at(types, text) {
            Some(choices) => ColumnType::Words(Some(choices)),
            None => {
                let span = form.span(choice);
                form.error(RulebookProblem::Unknown { what: "choice key", name: text.into(), nearest: None }, span);
                return None;
            }
        }
    } else if form.tree.get(node, "yes_no").is_some() {
        ColumnType::Truth
    } else if form.tree.get(node, "text").is_some() {
        ColumnType::Words(None)
    } else {
        form.form_error(node, "`quantity`, `choice`, `text` or `yes_no`");
        return None;
    };
    let open_ended =
        form.maybe_text(node, "open_ended") == Some("true") || form.maybe_text(node, "open_ended") == Some("yes");
    let matched = match form.tree.get(node, "match") {
        None => None,
        Some(at) => match (form.text(at), &ty) {
            (Some("exact"), _) => Some(Match::Exact),
            (Some("band"), ColumnType::Number(_)) => Some(Match::Band { open_ended }),
            (Some("linear"), ColumnType::Number(_)) => Some(Match::Linear),
            _ => {
                form.form_error(at, "`exact`, or for numbers `band` or `linear`");
                None
            }
        },
    };
    Some(Column { name: name.into(), ty, matched })
}

/// The choices of the key at a path; lists on the way stand for their members.
fn choice_at(types: &Types, path: &str) -> Option<Arc<[SharedText]>> {
    let mut records = vec![types.root()];
    let mut found = None;
    for key in path.split('.') {
        let field = records.iter().find_map(|r| {
            let record = types.record(*r);
            record.field(record.slot(key)?)
        })?;
        let ty = match &field.ty {
            FieldType::List(list) => match &types.list(*list).members {
                ListMembers::Records(ids) => {
                    records = ids.clone();
                    continue;
                }
                ListMembers::Values(ty) => ty,
            },
            FieldType::Record(id) => {
                records = vec![*id];
                continue;
            }
            other => other,
        };
        match ty {
            FieldType::Choice(choices) => found = Some(choices.clone()),
            _ => return None,
        }
    }
    found
}

/// The cells of a row, given as a list in the order of columns or as a map.
fn row_nodes(form: &mut Form, row: NodeId, columns: &[Column]) -> Option<Vec<NodeId>> {
    if let Some(items) = form.tree.items(row) {
        let items = items.to_vec();
        if items.len() == columns.len() {
            return Some(items);
        }
        form.form_error(row, format!("a row of {} cells", columns.len()));
        return None;
    }
    for entry in form.tree.entries(row).unwrap_or_default() {
        if !columns.iter().any(|c| *c.name == *entry.key) {
            let nearest = nearest(&entry.key, columns.iter().map(|c| &*c.name)).map(str::to_string);
            let problem =
                RulebookProblem::UnknownKey { key: entry.key.to_string(), of: "a row of this table", nearest };
            let span = entry.key_span;
            form.error(problem, span);
        }
    }
    let nodes: Vec<NodeId> = columns.iter().filter_map(|c| form.tree.get(row, &c.name)).collect();
    if nodes.len() == columns.len() {
        return Some(nodes);
    }
    form.form_error(row, format!("a row of {} cells (`none` where there is no value)", columns.len()));
    None
}

fn read_cell(form: &mut Form, node: NodeId, ty: &ColumnType) -> Option<Cell> {
    let text = form.text(node)?;
    if text == "none" {
        return Some(Cell::None);
    }
    match ty {
        ColumnType::Number(dimension) => {
            let kind = dimension.kind.unwrap_or(Kind::Number);
            match quantity::parse(text, kind) {
                Ok(written) => Some(Cell::Number(written.si, Some(written.unit))),
                Err(error) => {
                    let problem = RulebookProblem::Quantity { message: error.message(), help: error.help() };
                    let span = form.span(node);
                    form.error(problem, span);
                    None
                }
            }
        }
        ColumnType::Words(choices) => {
            if let Some(choices) = choices
                && !choices.iter().any(|c| **c == *text)
            {
                let nearest = nearest(text, choices.iter().map(|c| &**c)).map(str::to_string);
                let span = form.span(node);
                form.error(RulebookProblem::Unknown { what: "such choice", name: text.into(), nearest }, span);
            }
            Some(Cell::Word(text.into()))
        }
        ColumnType::Truth => match text {
            "yes" | "true" => Some(Cell::Truth(true)),
            "no" | "false" => Some(Cell::Truth(false)),
            _ => {
                form.form_error(node, "`yes` or `no`");
                None
            }
        },
    }
}

fn read_pieces(form: &mut Form, list: NodeId, table: &Table) -> Vec<TablePiece> {
    let mut pieces = Vec::new();
    for node in form.list(list) {
        form.entries(node, "a check piece of a table", &["look_up", "at", "reads"]);
        let (Some(look_up), Some(at), Some(reads)) = (
            form.need(node, "a check piece of a table", "look_up"),
            form.need(node, "a check piece of a table", "at"),
            form.need(node, "a check piece of a table", "reads"),
        ) else {
            continue;
        };
        let Some(text) = form.text(look_up) else { continue };
        let column = text.strip_prefix(&*table.name).and_then(|r| r.strip_prefix('.')).and_then(|c| table.column(c));
        let Some(column) = column else {
            form.form_error(look_up, format!("`{}.` and one of its columns", table.name));
            continue;
        };
        let mut keys = Vec::new();
        for entry in form.tree.entries(at).unwrap_or_default().to_vec() {
            let Some(index) = table.column(&entry.key) else {
                let problem =
                    RulebookProblem::UnknownKey { key: entry.key.to_string(), of: "this table", nearest: None };
                form.error(problem, entry.key_span);
                continue;
            };
            match read_cell(form, entry.value, &table.columns[index].ty) {
                Some(Cell::Number(si, _)) => keys.push((index, Key::Number(si))),
                Some(Cell::Word(word)) => keys.push((index, Key::Word(word))),
                Some(Cell::Truth(t)) => keys.push((index, Key::Truth(t))),
                _ => {}
            }
        }
        let reads = match form.text(reads) {
            Some("beyond") => None,
            _ => match read_cell(form, reads, &table.columns[column].ty) {
                Some(cell) => Some(cell),
                None => continue,
            },
        };
        let place = form.span(node);
        pieces.push(TablePiece { column, keys, reads, place });
    }
    pieces
}
