//! YAML text to located tree: the one place that knows the event parser (`libyaml-safer`).
//!
//! In come a file's bytes; out come its nodes, pushed into a [`Tree`], and every error in it. The parser was chosen for
//! speed and is kept on a lead: it sees no byte order mark, only characters that YAML allows, a line break at the
//! end, and no tag in front of a comma; these are the inputs on which its places are off or it gives up.
//! After a syntax error reading goes on at the next key on the left margin, so one slip does not hide the rest.

use std::io::Read;

use libyaml_safer::{Encoding, Error, EventData, Parser, ScalarStyle as Written};

use super::assemble::Assembly;
use super::duplicate;
use super::error::{SourceError, SourceProblem};
use super::files::FILE_LIMIT;
use super::place::{FileId, Sources, Span};
use super::syntax;
use super::text::{self, Masked};
use super::tree::{Content, NodeId, ScalarStyle, Tree, WALK_LIMIT};

/// Reading goes on after at most this many syntax errors in one file.
const RESTARTS: usize = 20;

/// Reads one file into `into`: its top node, if it says anything, and all errors in it, in the order of their places. The
/// text is added to `sources` under `name` in any case.
pub fn parse_file(
    sources: &mut Sources,
    name: &str,
    bytes: &[u8],
    into: &mut Tree,
) -> (Option<NodeId>, Vec<SourceError>) {
    let mut budget = WALK_LIMIT;
    let (_, top, errors) = parse_within(sources, name, bytes, into, &mut budget);
    (top, errors)
}

/// [`parse_file`] with what is left of the build's [`WALK_LIMIT`]; says which file it became.
pub(super) fn parse_within(
    sources: &mut Sources,
    name: &str,
    bytes: &[u8],
    into: &mut Tree,
    budget: &mut u64,
) -> (FileId, Option<NodeId>, Vec<SourceError>) {
    let size = bytes.len() as u64;
    if size > FILE_LIMIT {
        let file = sources.add(name, "".into());
        let problem = SourceProblem::TooLarge { limit: FILE_LIMIT, size };
        let span = Span { file, start: 0, end: 0 };
        return (file, None, vec![SourceError { problem, span, other: None }]);
    }
    let (file, errors) = text::add_readable(sources, name, bytes);
    if !errors.is_empty() {
        return (file, None, errors);
    }
    let text = sources.text(file).clone();
    let masked = Masked::new(&text);
    let mut reader = Reader { file, text: &text, masked: &masked, assembly: Assembly::new(into, budget) };
    let top = reader.read();
    let mut errors = reader.assembly.errors;
    errors.sort_by_key(|error| error.span);
    (file, top, errors)
}

/// Why reading a stretch of the file ended.
enum End {
    File,
    /// A limit: nothing behind it is read.
    Refused,
    Syntax(Error),
}

struct Reader<'a> {
    file: FileId,
    text: &'a str,
    masked: &'a Masked<'a>,
    assembly: Assembly<'a>,
}

impl Reader<'_> {
    fn read(&mut self) -> Option<NodeId> {
        let mut from = if self.text.starts_with('\u{feff}') { '\u{feff}'.len_utf8() as u32 } else { 0 };
        let mut whole = None;
        for _ in 0..RESTARTS {
            let end = self.read_stretch(from);
            let top = self.assembly.finish();
            whole = self.join(whole, top);
            let End::Syntax(error) = end else { break };
            let (error, resume_behind) = syntax::explain(&error, self.file, self.text, from);
            self.assembly.errors.push(error);
            let only_keys = whole.is_none_or(|top| self.assembly.tree.entries(top).is_some());
            match syntax::next_key_line(self.text, resume_behind) {
                Some(next) if only_keys => from = next,
                _ => break,
            }
        }
        whole
    }

    /// Adds the keys of a stretch that was read after a syntax error to those before it.
    fn join(&mut self, whole: Option<NodeId>, more: Option<NodeId>) -> Option<NodeId> {
        let (Some(before), Some(after)) = (whole, more) else { return whole.or(more) };
        let tree = &mut *self.assembly.tree;
        let (Some(first), Some(second)) = (tree.entries(before), tree.entries(after)) else { return whole };
        let mut entries = [first, second].concat();
        duplicate::remove(&mut entries, &mut self.assembly.errors);
        let span = Span { end: tree.node(after).span.end, ..tree.node(before).span };
        Some(tree.push(span, Content::Map(entries)))
    }

    fn read_stretch(&mut self, from: u32) -> End {
        let masked = self.masked;
        let parsed = masked.parsed();
        let rest = parsed.as_bytes().get(from as usize..).unwrap_or_default();
        let line_break: &[u8] = if rest.ends_with(b"\n") { b"" } else { b"\n" };
        let mut parser = Parser::new();
        parser.set_encoding(Encoding::Utf8);
        parser.set_input(rest.chain(line_break));
        let limit = self.text.len() as u64;
        let place = |index: u64| (u64::from(from) + index).min(limit) as u32;
        let mut begun = false;
        loop {
            let event = match parser.parse() {
                Ok(event) => event,
                Err(error) => return End::Syntax(error),
            };
            let (start, end) = (place(event.start_mark.index), place(event.end_mark.index));
            let mut span = Span { file: self.file, start, end: end.max(start) };
            let accepted = match event.data {
                EventData::StreamEnd => return End::File,
                EventData::StreamStart { .. } | EventData::DocumentEnd { .. } => Ok(()),
                EventData::DocumentStart { .. } if begun => Err(SourceProblem::SecondDocument),
                EventData::DocumentStart { .. } => {
                    begun = true;
                    Ok(())
                }
                EventData::Alias { anchor } => self.assembly.alias(&anchor, span),
                EventData::Scalar { anchor, tag, value, style, .. } => {
                    span = self.without_properties(span, anchor.is_some() || tag.is_some());
                    self.scalar(value, style, span, anchor)
                }
                EventData::SequenceStart { anchor, tag, .. } => {
                    span = self.without_properties(span, anchor.is_some() || tag.is_some());
                    self.assembly.open_list(span, anchor, self.text.as_bytes().get(span.start as usize) == Some(&b'['))
                }
                EventData::MappingStart { anchor, tag, .. } => {
                    span = self.without_properties(span, anchor.is_some() || tag.is_some());
                    self.assembly.open_map(span, anchor, self.text.as_bytes().get(span.start as usize) == Some(&b'{'))
                }
                EventData::SequenceEnd | EventData::MappingEnd => self.assembly.close(span.end),
            };
            if let Err(problem) = accepted {
                self.assembly.error(problem, span);
                return End::Refused;
            }
        }
    }

    fn scalar(
        &mut self,
        text: String,
        written: Written,
        mut span: Span,
        anchor: Option<String>,
    ) -> Result<(), SourceProblem> {
        let style = match written {
            Written::SingleQuoted | Written::DoubleQuoted => ScalarStyle::Quoted,
            Written::Literal | Written::Folded => ScalarStyle::Block,
            _ => ScalarStyle::Plain,
        };
        let raw = self.text.get(span.start as usize..span.end as usize).unwrap_or_default();
        if style == ScalarStyle::Block {
            // The parser counts the line breaks behind a block to its place.
            span.end = span.start + raw.trim_end_matches([' ', '\t', '\n', '\r']).len() as u32;
        } else if raw.is_empty() {
            span = self.behind_colon(span);
        }
        let (text, tag) = self.masked.restore(text, style, span);
        if let Some(tag) = tag {
            self.assembly.error(SourceProblem::Tag, tag);
        }
        self.assembly.scalar(text, style, span, anchor)
    }

    /// Takes `&name` and `!tag` off the start of a node's place, and refuses the tag.
    fn without_properties(&mut self, span: Span, any: bool) -> Span {
        if !any {
            return span;
        }
        let (start, tag) = syntax::skip_properties(self.masked.parsed(), span.start);
        if let Some(tag) = tag {
            self.assembly.error(SourceProblem::Tag, Span { file: self.file, start: tag.start, end: tag.end });
        }
        Span { start: start.min(span.end), ..span }
    }

    /// An unwritten value of a map stands right behind the colon, wherever the parser noticed that it is missing.
    fn behind_colon(&self, span: Span) -> Span {
        let Some(key) = self.assembly.key_awaiting_value() else { return span };
        let behind = self.text.get(key.end as usize..span.start as usize).unwrap_or_default();
        match behind.find(':') {
            Some(colon) if behind[..colon].trim().is_empty() => {
                let at = key.end + colon as u32 + 1;
                Span { start: at, end: at, ..span }
            }
            _ => span,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::tree::Scalar;
    use super::*;

    /// One line per key and value: line:column, the bytes of its place, the text.
    fn shown(text: &str) -> String {
        let (mut sources, mut tree) = (Sources::default(), Tree::new());
        let (top, errors) = parse_file(&mut sources, "build.yaml", text.as_bytes(), &mut tree);
        let mut lines = String::new();
        if let Some(top) = top {
            show(&sources, &tree, top, 0, &mut lines);
        }
        for error in errors {
            let at = sources.position(error.span.file, error.span.start);
            let here = sources.slice(error.span);
            lines += &format!("! {}:{} {here:?} {}", at.line, at.column, error.message());
            if let Some(other) = error.other {
                let at = sources.position(other.file, other.start);
                lines += &format!(" ({}:{} {:?})", at.line, at.column, sources.slice(other));
            }
            lines += "\n";
        }
        lines
    }

    fn show(sources: &Sources, tree: &Tree, id: NodeId, depth: usize, lines: &mut String) {
        let node = tree.node(id);
        let at = sources.position(node.span.file, node.span.start);
        let written = sources.slice(node.span);
        let indent = "  ".repeat(depth);
        *lines += &format!("{indent}{}:{} {written:?}", at.line, at.column);
        match &node.content {
            Content::Scalar(Scalar { text, style }) => *lines += &format!(" = {style:?} {text:?}\n"),
            Content::List(items) => {
                *lines += " list\n";
                for item in items {
                    show(sources, tree, *item, depth + 1, lines);
                }
            }
            Content::Map(entries) => {
                *lines += " map\n";
                for entry in entries {
                    let at = sources.position(entry.key_span.file, entry.key_span.start);
                    let key = sources.slice(entry.key_span);
                    *lines += &format!("{indent} {}:{} {key:?} = {:?}\n", at.line, at.column, entry.key);
                    show(sources, tree, entry.value, depth + 1, lines);
                }
            }
        }
    }

    #[test]
    fn every_key_and_value_has_its_place() {
        let text = "\u{feff}länge: 5 mm\r\nb:\t\"x\\u00e4y\"\r\n";
        let expected = r#"1:1 "länge: 5 mm\r\nb:\t\"x\\u00e4y\"" map
 1:1 "länge" = "länge"
  1:8 "5 mm" = Plain "5 mm"
 2:1 "b" = "b"
  2:4 "\"x\\u00e4y\"" = Quoted "xäy"
"#;
        assert_eq!(shown(text), expected);
    }
}
