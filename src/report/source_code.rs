//! Shows places in files: lines with the values underlined and labelled, drawn by miette.
//!
//! In come texts and marks; out come [`Excerpt`]s, which are miette [`SourceCode`]s of ours: only the lines that are needed,
//! found by their index and made fit to be shown, control characters and directions as pictures of one column, tabs as blanks, long
//! lines cut to the page around what is marked. Each keeps its lines' numbers and its marks' columns in characters.

use super::page::{Look, wrapped};
use super::picture::picture;
use crate::source::{FileId, Position, Sources, Span};
use miette::{
    Diagnostic, GraphicalReportHandler, GraphicalTheme, LabeledSpan, MietteError, MietteSpanContents, SourceCode,
    SourceSpan, SpanContents,
};
use std::collections::BTreeMap;
use unicode_width::UnicodeWidthChar;

/// Lines of context above a marked line: in a spec what a value belongs to mostly stands there.
const CONTEXT: usize = 1;

/// As many lines between two marked ones are shown rather than left out; leaving out takes as much room.
const GAP: usize = 2;

/// The most columns that are underlined of one value.
const MOST_UNDERLINED: usize = 30;

/// The fewest columns in which a label is set.
const LABEL_ROOM: usize = 24;

/// Columns that the bend in front of a label takes.
const BEND: usize = 4;

/// How far apart the stops of tabs stand.
const TAB: usize = 4;

/// A place to be shown, with what is said there; the first of several is the one that they are all about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mark {
    /// The place.
    pub span: Span,
    /// What is said there; may be empty.
    pub words: String,
}

/// Some lines of one file with labels on them.
#[derive(Debug)]
pub struct Excerpt {
    name: String,
    groups: Vec<Group>,
    labels: Vec<LabeledSpan>,
    starts: BTreeMap<usize, Position>,
}

/// Neighbouring lines. Offsets are those of a text which holds the excerpt's groups alone.
#[derive(Debug)]
struct Group {
    first_line: usize,
    lines: usize,
    offset: usize,
    text: String,
}

/// A mark on its line: bytes of the line's text.
struct Marked<'a> {
    mark: &'a Mark,
    line: usize,
    start: usize,
    end: usize,
}

/// The excerpts that show all marks: one for each file, in the order of first marks, and more where marks on one line stand too
/// far apart for the page.
pub fn excerpts(sources: &Sources, marks: &[Mark], look: Look) -> Vec<Excerpt> {
    let mut files: Vec<(FileId, Vec<Marked>)> = Vec::new();
    for mark in marks {
        if sources.text(mark.span.file).is_empty() {
            continue;
        }
        let marked = place(sources, mark);
        match files.iter_mut().find(|(file, _)| *file == mark.span.file) {
            Some((_, of_file)) => of_file.push(marked),
            None => files.push((mark.span.file, vec![marked])),
        }
    }
    let mut out = Vec::new();
    for (file, mut waiting) in files {
        while !waiting.is_empty() {
            let (excerpt, left) = excerpt(sources, file, waiting, look);
            out.push(excerpt);
            waiting = left;
        }
    }
    out
}

/// The line of a mark and what of it is marked: of a value over several lines, its first.
fn place<'a>(sources: &Sources, mark: &'a Mark) -> Marked<'a> {
    let Span { file, start, end } = mark.span;
    let line = sources.position(file, start).line as usize - 1;
    let (from, text) = line_text(sources, file, line);
    let start = (start as usize - from).min(text.len());
    let end = (end as usize).saturating_sub(from).clamp(start, text.len());
    let trimmed = text.get(start..end).map_or(end, |t| start + t.trim_end().len());
    Marked { mark, line, start, end: trimmed.max(start) }
}

/// Start and text of a line, without what ends it.
fn line_text(sources: &Sources, file: FileId, line: usize) -> (usize, &str) {
    let starts = sources.line_starts(file);
    let text = sources.text(file);
    let from = starts.get(line).map_or(text.len(), |s| *s as usize);
    let to = starts.get(line + 1).map_or(text.len(), |s| *s as usize);
    (from, text.get(from..to).unwrap_or_default().trim_end_matches(['\n', '\r']))
}

/// Everything that can be shown together, and the marks that are left.
fn excerpt<'a>(sources: &Sources, file: FileId, marks: Vec<Marked<'a>>, look: Look) -> (Excerpt, Vec<Marked<'a>>) {
    let last = marks.iter().map(|m| m.line + 1).max().unwrap_or(1);
    let room = look.width.saturating_sub(last.to_string().len() + 4);
    let mut by_line: BTreeMap<usize, Vec<Marked>> = BTreeMap::new();
    for mark in marks {
        by_line.entry(mark.line).or_default().push(mark);
    }
    let mut lines: BTreeMap<usize, (ShownLine, Vec<Marked>)> = BTreeMap::new();
    let mut left = Vec::new();
    for (line, on_line) in by_line {
        let (_, text) = line_text(sources, file, line);
        let shown = ShownLine::around(text, on_line.first().map_or((0, 0), |m| (m.start, m.end)), room);
        let mut kept = Vec::new();
        for (at, mark) in on_line.into_iter().enumerate() {
            if at == 0 || shown.fits(mark.start, mark.end, room) { kept.push(mark) } else { left.push(mark) }
        }
        lines.insert(line, (shown, kept));
    }
    let marked: Vec<usize> = lines.keys().copied().collect();
    for (at, line) in marked.iter().copied().enumerate() {
        let above = line.saturating_sub(CONTEXT);
        let before = at.checked_sub(1).and_then(|at| marked.get(at)).map(|line| line + 1);
        let from = before.filter(|next| above.saturating_sub(*next) <= GAP).unwrap_or(above);
        for near in from.min(above)..line {
            let (_, text) = line_text(sources, file, near);
            // A blank line at the top says nothing.
            if Some(near) != before && near == above && text.trim().is_empty() && from == above {
                continue;
            }
            lines.entry(near).or_insert_with(|| (ShownLine::around(text, (0, 0), room), Vec::new()));
        }
    }
    (assemble(sources, file, lines, room), left)
}

fn assemble(sources: &Sources, file: FileId, lines: BTreeMap<usize, (ShownLine, Vec<Marked>)>, room: usize) -> Excerpt {
    let name = super::picture::pictured(sources.name(file)).into_owned();
    let mut excerpt = Excerpt { name, groups: Vec::new(), labels: Vec::new(), starts: BTreeMap::new() };
    let mut offset = 0;
    for (line, (shown, marks)) in lines {
        match excerpt.groups.last_mut() {
            Some(group) if group.first_line + group.lines == line => {
                group.text.push('\n');
                group.lines += 1;
                offset += 1;
            }
            _ => {
                // A line break that belongs to no group keeps offsets of different groups apart.
                offset += 1;
                excerpt.groups.push(Group { first_line: line, lines: 1, offset, text: String::new() });
            }
        }
        excerpt.label(sources, offset, &shown, marks, room);
        if let Some(group) = excerpt.groups.last_mut() {
            group.text.push_str(&shown.text);
        }
        offset += shown.text.len();
    }
    excerpt
}

impl Excerpt {
    /// Puts labels on a line; marks of the same place become one label.
    fn label(&mut self, sources: &Sources, offset: usize, shown: &ShownLine, marks: Vec<Marked>, room: usize) {
        let mut spans: Vec<(usize, usize, String, Position)> = Vec::new();
        for marked in marks {
            let (start, end) = shown.bytes(marked.start, marked.end);
            match spans.iter_mut().find(|s| s.0 == start && s.1 == end) {
                Some(same) if !marked.mark.words.is_empty() => {
                    same.2 = [&*same.2, &*marked.mark.words]
                        .into_iter()
                        .filter(|w| !w.is_empty())
                        .collect::<Vec<_>>()
                        .join("; ");
                }
                Some(_) => {}
                None => {
                    let Span { file, start: at, .. } = marked.mark.span;
                    spans.push((start, end, marked.mark.words.clone(), sources.position(file, at)));
                }
            }
        }
        for (start, end, words, position) in spans {
            let middle = (shown.column(start) + shown.column(end).max(shown.column(start) + 1)) / 2;
            let room = room.saturating_sub(middle + BEND);
            let words = (!words.is_empty()).then(|| wrapped(&super::picture::pictured(&words), room).join("\n"));
            self.starts.insert(offset + start, position);
            self.labels.push(LabeledSpan::new(words, offset + start, end - start));
        }
    }

    /// Draws it.
    pub fn drawn(&self, look: Look) -> String {
        let mut theme = if look.colour { GraphicalTheme::unicode() } else { GraphicalTheme::unicode_nocolor() };
        theme.styles.highlights = vec![theme.styles.help];
        theme.styles.link = theme.styles.linum;
        theme.characters.vbar_break = '\u{2502}';
        theme.characters.ltop = '\u{250c}';
        theme.characters.lbot = '\u{2514}';
        // Labels are wrapped to the page already.
        let handler = GraphicalReportHandler::new_themed(theme)
            .with_width(usize::from(u16::MAX))
            .with_wrap_lines(false)
            .with_context_lines(CONTEXT)
            .with_links(false)
            .without_syntax_highlighting();
        let mut out = String::new();
        if handler.render_report(&mut out, self).is_err() {
            return String::new();
        }
        // The first line is miette's place for a message, of which an excerpt has none.
        let drawing = out.split_once('\n').map_or("", |(_, drawing)| drawing);
        drawing.lines().flat_map(|line| [line.trim_end(), "\n"]).collect()
    }
}

impl std::fmt::Display for Excerpt {
    fn fmt(&self, _: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        Ok(())
    }
}

impl std::error::Error for Excerpt {}

impl Diagnostic for Excerpt {
    fn source_code(&self) -> Option<&dyn SourceCode> {
        Some(self)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        Some(Box::new(self.labels.iter().cloned()))
    }
}

impl SourceCode for Excerpt {
    fn read_span<'a>(
        &'a self,
        span: &SourceSpan,
        before: usize,
        after: usize,
    ) -> Result<Box<dyn SpanContents<'a> + 'a>, MietteError> {
        let at = span.offset();
        let group = self.groups.iter().rfind(|g| g.offset <= at).ok_or(MietteError::OutOfBounds)?;
        if at + span.len() > group.offset + group.text.len() {
            return Err(MietteError::OutOfBounds);
        }
        let contents = if (before, after) == (0, 0) {
            // Asked for the place in a heading.
            let position = self.starts.get(&at).copied().unwrap_or(Position { line: 1, column: 1 });
            let (line, column) = (position.line as usize - 1, position.column as usize - 1);
            let data = group.text.as_bytes().get(at - group.offset..at - group.offset + span.len()).unwrap_or_default();
            MietteSpanContents::new_named(self.name.clone(), data, *span, line, column, 1)
        } else {
            let whole = SourceSpan::from((group.offset, group.text.len()));
            let data = group.text.as_bytes();
            MietteSpanContents::new_named(self.name.clone(), data, whole, group.first_line, 0, group.lines)
        };
        Ok(Box::new(contents))
    }
}

/// A line as it is shown.
struct ShownLine {
    text: String,
    /// For each character shown: its first byte in the line, its first byte in `text`, and its column there. The last
    /// entry stands behind the last character.
    cells: Vec<(usize, usize, usize)>,
    cut_end: bool,
}

impl ShownLine {
    /// The line, cut to `room` columns around what stands at these bytes.
    fn around(text: &str, (start, end): (usize, usize), room: usize) -> ShownLine {
        let (mut from, mut columns_before) = (0, 0);
        // Where the mark ends up too far right for its label, the line begins a little before it.
        let before = text.get(..start).unwrap_or_default();
        let marked = text.get(start..end).map_or(1, |t| t.chars().take(MOST_UNDERLINED).count());
        let column: usize = before.chars().map(width).sum();
        if column + marked / 2 + BEND + LABEL_ROOM > room {
            from = before.char_indices().rev().take(8).last().map_or(start, |(at, _)| at);
            columns_before = 1;
        }
        let mut shown = String::new();
        let mut cells = Vec::new();
        let mut column = columns_before;
        if columns_before > 0 {
            shown.push('\u{2026}');
        }
        let mut cut_end = false;
        let rest = text.get(from..).unwrap_or_default();
        for (at, c) in rest.char_indices() {
            // A byte order mark is nothing that a person sees.
            if c == '\u{feff}' && from + at == 0 {
                continue;
            }
            let wide = if c == '\t' { TAB - column % TAB } else { width(c) };
            if column + wide >= room && !rest[at + c.len_utf8()..].is_empty() {
                cut_end = true;
                break;
            }
            cells.push((from + at, shown.len(), column));
            match c {
                '\t' => shown.extend(std::iter::repeat_n(' ', wide)),
                c => shown.push(picture(c).unwrap_or(c)),
            }
            column += wide;
        }
        let end_of_shown = if cut_end { cells.last().map_or(from, |c| c.0 + 1) } else { text.len() };
        cells.push((end_of_shown, shown.len(), column));
        // One more column, for what is cut off or for a mark behind the last character.
        shown.push(if cut_end { '\u{2026}' } else { ' ' });
        ShownLine { text: shown, cells, cut_end }
    }

    /// Bytes of the shown text for bytes of the line, at least one column of them.
    fn bytes(&self, start: usize, end: usize) -> (usize, usize) {
        let first = self.cells.partition_point(|c| c.0 < start).min(self.cells.len() - 1);
        let from = self.cells[first];
        let reach = from.2 + MOST_UNDERLINED;
        let behind = self.cells.iter().skip(first + 1).take_while(|c| c.0 <= end && c.2 <= reach).last();
        match behind {
            Some(to) => (from.1, to.1),
            None => (from.1, self.cells.get(first + 1).map_or(self.text.len(), |c| c.1)),
        }
    }

    /// The column of a byte of the shown text.
    fn column(&self, byte: usize) -> usize {
        let at = self.cells.partition_point(|c| c.1 < byte);
        self.cells.get(at).map_or_else(|| self.cells.last().map_or(0, |c| c.2 + 1), |c| c.2)
    }

    /// Whether what stands at these bytes of the line is shown, with room for a label.
    fn fits(&self, start: usize, end: usize, room: usize) -> bool {
        let inside = self.cells.first().is_some_and(|c| c.0 <= start)
            && self.cells.last().is_some_and(|c| start < c.0 || (!self.cut_end && start <= c.0));
        let (from, to) = self.bytes(start, end);
        inside && (self.column(from) + self.column(to)) / 2 + BEND + LABEL_ROOM <= room
    }
}

/// Columns of a character as it is shown.
fn width(c: char) -> usize {
    if c == '\t' { TAB } else { picture(c).unwrap_or(c).width().unwrap_or(1) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use unicode_width::UnicodeWidthStr;

    fn drawn(text: &str, marks: &[(&str, &str)], width: usize) -> String {
        let mut sources = Sources::default();
        let file = sources.add("build.yaml", text.into());
        let marks: Vec<Mark> = marks
            .iter()
            .map(|(at, words)| {
                let start = if at.is_empty() { text.len() } else { text.find(at).unwrap_or(0) } as u32;
                Mark { span: Span { file, start, end: start + at.len() as u32 }, words: (*words).into() }
            })
            .collect();
        let look = Look::new(width, false);
        excerpts(&sources, &marks, look).iter().map(|e| e.drawn(look)).collect()
    }

    #[test]
    fn a_value_is_underlined_and_labelled_with_its_place_in_characters() {
        insta::assert_snapshot!(drawn("name: Möwe\nöl: 95 °C # heiß\nlast: 1\n", &[("95 °C", "too hot")], 60));
    }

    #[test]
    fn labels_fifty_lines_apart_stand_in_separate_parts() {
        let text: String = (1..=60).map(|n| format!("key_{n}: {n} mm\n")).collect();
        insta::assert_snapshot!(drawn(&text, &[("5 mm", "one"), ("56 mm", "the other")], 60));
    }

    #[test]
    fn what_a_terminal_would_act_on_is_shown_as_pictures() {
        let shown = drawn("a: \u{1b}[31m\u{202e}7 mm\0\n", &[("7 mm", "here")], 60);
        assert!(shown.chars().all(|c| c == '\n' || picture(c).is_none()), "{shown:?}");
        insta::assert_snapshot!(shown);
    }

    #[test]
    fn a_tab_a_byte_order_mark_and_wide_characters_keep_the_underline_in_place() {
        insta::assert_snapshot!(drawn(
            "\u{feff}a:\t7 mm\r\n広い:\t8 mm\r\n",
            &[("7 mm", "seven"), ("8 mm", "eight")],
            60
        ));
    }

    #[test]
    fn the_end_of_the_file_can_be_pointed_at() {
        insta::assert_snapshot!(drawn("fuel: [a, b\n", &[("", "a bracket is missing")], 60));
    }

    #[test]
    fn marks_far_apart_on_one_long_line_get_parts_of_their_own() {
        let text = format!("line: {{first: 1 mm, {} last: 2 mm}}\n", "x: 1, ".repeat(40));
        let shown = drawn(&text, &[("1 mm", "the first"), ("2 mm", "the last of them all, with a long label")], 60);
        assert!(shown.lines().all(|l| l.width() <= 60), "{shown}");
        insta::assert_snapshot!(shown);
    }

    #[test]
    fn a_line_of_a_hundred_thousand_brackets_stays_on_the_page() {
        let shown = drawn(&"[".repeat(100_000), &[("[", "too deep")], 60);
        assert!(shown.lines().all(|l| l.width() <= 60), "{shown}");
    }
}
