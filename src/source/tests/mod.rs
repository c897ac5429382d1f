//! Tests of the whole room: texts go in, and what is expected stands beside them.

mod against_serde;
mod broken;
mod disk;
mod edit;
mod hostile;
mod parts;
mod places;
mod sections;

use super::{Content, NodeId, Scalar, SourceError, Sources, Span, Tree, parse_file};

/// One line per key and value: `line:column`, the bytes of its place, what it is; errors below, each behind a `!`.
fn shown(text: &str) -> String {
    let (mut sources, mut tree) = (Sources::default(), Tree::new());
    let (top, errors) = parse_file(&mut sources, "build.yaml", text.as_bytes(), &mut tree);
    let mut lines = String::new();
    if let Some(top) = top {
        show(&sources, &tree, top, 0, &mut lines);
    }
    lines + &shown_errors(&sources, &errors)
}

fn shown_errors(sources: &Sources, errors: &[SourceError]) -> String {
    let mut lines = String::new();
    for error in errors {
        lines += &format!("! {} {}", at(sources, error.span), error.message());
        if let Some(other) = error.other {
            lines += &format!(" ({})", at(sources, other));
        }
        lines += "\n";
    }
    lines
}

fn at(sources: &Sources, span: Span) -> String {
    let position = sources.position(span.file, span.start);
    let file = if span.file.0 == 0 { String::new() } else { format!("{}:", sources.name(span.file)) };
    format!("{file}{}:{} {:?}", position.line, position.column, sources.slice(span))
}

fn show(sources: &Sources, tree: &Tree, id: NodeId, depth: usize, lines: &mut String) {
    let node = tree.node(id);
    let indent = "  ".repeat(depth);
    *lines += &format!("{indent}{}", at(sources, node.span));
    match &node.content {
        Content::Scalar(Scalar { text, style }) => *lines += &format!(" {style:?} {text:?}\n"),
        Content::List(items) => {
            *lines += " list\n";
            for item in items {
                show(sources, tree, *item, depth + 1, lines);
            }
        }
        Content::Map(entries) => {
            *lines += " map\n";
            for entry in entries {
                *lines += &format!("{indent}- {} {:?}\n", at(sources, entry.key_span), entry.key);
                show(sources, tree, entry.value, depth + 1, lines);
            }
        }
    }
}

/// The tree alone, as compact text without places.
fn said(tree: &Tree, id: NodeId) -> String {
    match &tree.node(id).content {
        Content::Scalar(scalar) => scalar.text.to_string(),
        Content::List(items) => {
            format!("[{}]", items.iter().map(|item| said(tree, *item)).collect::<Vec<_>>().join(", "))
        }
        Content::Map(entries) => {
            let entry = |entry: &super::Entry| format!("{}: {}", entry.key, said(tree, entry.value));
            format!("{{{}}}", entries.iter().map(entry).collect::<Vec<_>>().join(", "))
        }
    }
}
