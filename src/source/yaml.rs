//! YAML text to located tree: the one place that knows the event parser (`libyaml-safer`).
//!
//! In come a file's bytes; out come its nodes, pushed into a [`Tree`], and every error in it. The parser was chosen for
//! speed (it needs about four fifths of the time that `serde_yaml` takes for values without places, where others need
//! more) and is kept on a lead: it sees no byte order mark, only characters that YAML allows, a line break at the
//! end, and no tag in front of a comma; these are the inputs on which its places are off or it gives up.
//! After a syntax error reading goes on at the next key on the left margin, so one slip does not hide the rest.

use std::io::Read;

use libyaml_safer::{Encoding, Error, EventData, Parser, ScalarStyle as Written};

use super::assemble::{Assembly, Budget};
use super::duplicate;
use super::error::{SourceError, SourceProblem};
use super::files::FILE_LIMIT;
use super::place::{FileId, Sources, Span};
use super::syntax;
use super::text::{self, Masked};
use super::tree::{Content, NodeId, ScalarStyle, Tree};

/// Reading goes on after at most this many syntax errors in one file.
const RESTARTS: usize = 20;

/// Errors of one file that are listed; what lies behind them is only counted.
const LISTED_ERRORS: usize = 200;

/// Written specs have about one node to so many bytes; only a guess for the memory to set aside.
const BYTES_TO_A_NODE: usize = 14;

/// Reads one file into `into`: its top node, if it says anything, and all errors in it, in the order of their places.
/// The text is added to `sources` under `name` in any case.
pub fn parse_file(
    sources: &mut Sources,
    name: &str,
    bytes: &[u8],
    into: &mut Tree,
) -> (Option<NodeId>, Vec<SourceError>) {
    let mut budget = Budget::default();
    let (_, top, errors) = parse_within(sources, name, bytes, into, &mut budget);
    (top, errors)
}

/// [`parse_file`] with what is left of the build's budget; says which file it became.
pub(super) fn parse_within(
    sources: &mut Sources,
    name: &str,
    bytes: &[u8],
    into: &mut Tree,
    budget: &mut Budget,
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
    let text = sources.text(file);
    let masked = Masked::new(text);
    into.reserve(text.len() / BYTES_TO_A_NODE);
    let mut reader = Reader { file, text, masked: &masked, assembly: Assembly::new(into, budget) };
    let top = reader.read();
    let mut errors = reader.assembly.errors;
    errors.sort_by_key(|error| error.span);
    shorten(&mut errors);
    (file, top, errors)
}

fn shorten(errors: &mut Vec<SourceError>) {
    let count = errors.len().saturating_sub(LISTED_ERRORS);
    if let Some(span) = errors.get(LISTED_ERRORS).map(|error| error.span) {
        errors.truncate(LISTED_ERRORS);
        errors.push(SourceError { problem: SourceProblem::More { count }, span, other: None });
    }
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
            let broken = match self.read_stretch(from) {
                End::Syntax(error) => Some(syntax::explain(&error, self.file, self.text, from)),
                End::File | End::Refused => None,
            };
            if broken.as_ref().is_some_and(|(error, _)| syntax::breaks_the_value_before(&error.problem)) {
                self.assembly.take_back_last();
            }
            let top = self.assembly.finish();
            whole = self.join(whole, top);
            let Some((error, resume_behind)) = broken else { break };
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
