//! Sets text on a page of a given width: ruled headings, paragraphs, named fields, rows of two columns.
//!
//! Everything is wrapped by display width and made fit to be shown; colour is put on last, so that it never counts as width.

use super::picture::pictured;
use crate::rulebook::Class;
use unicode_width::UnicodeWidthStr;

/// The narrowest page; below it lines grow longer than the page.
const NARROWEST: usize = 60;

/// The widest page: longer lines are hard to read.
const WIDEST: usize = 120;

/// Columns that the name of a field takes.
const NAME: usize = 14;

/// How a report looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Look {
    /// Columns of the page.
    pub width: usize,
    /// Whether colour is wanted.
    pub colour: bool,
}

impl Look {
    /// A page of so many columns, as far as it can be set.
    pub fn new(width: usize, colour: bool) -> Look {
        Look { width: width.clamp(NARROWEST, WIDEST), colour }
    }
}

/// How a piece of text stands out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Style {
    Plain,
    Strong,
    Quiet,
    Fault,
    Class(Class),
}

impl Style {
    fn code(self) -> Option<&'static str> {
        Some(match self {
            Style::Plain => return None,
            Style::Strong => "1",
            Style::Quiet => "2",
            Style::Fault => "35",
            Style::Class(Class::Dangerous) => "1;31",
            Style::Class(Class::Major) => "31",
            Style::Class(Class::Minor) => "33",
            Style::Class(Class::Advisory) => "36",
        })
    }
}

/// A page that is being set.
pub(super) struct Page {
    pub look: Look,
    text: String,
}

impl Page {
    pub fn new(look: Look) -> Page {
        Page { look, text: String::new() }
    }

    pub fn finish(self) -> String {
        self.text
    }

    fn painted(&self, text: &str, style: Style) -> String {
        match style.code() {
            Some(code) if self.look.colour && !text.is_empty() => format!("\u{1b}[{code}m{text}\u{1b}[0m"),
            _ => text.to_string(),
        }
    }

    fn push_line(&mut self, line: &str) {
        self.text.push_str(line.trim_end());
        self.text.push('\n');
    }

    /// An empty line, never two in a row, none at the top.
    pub fn blank(&mut self) {
        if !self.text.is_empty() && !self.text.ends_with("\n\n") {
            self.text.push('\n');
        }
    }

    /// A heading ruled to the edge of the page: `── major ── fuel.pump-low ── fuel.pumps/lift ─────`.
    pub fn heading(&mut self, style: Style, first: &str, rest: &[&str]) {
        self.blank();
        let mut line = format!("\u{2500}\u{2500} {}", self.painted(&pictured(first), style));
        let mut width = 3 + pictured(first).width();
        for part in rest.iter().filter(|part| !part.is_empty()) {
            let part = pictured(part);
            // What does not fit beside the others goes to a line of its own.
            if width + 4 + part.width() > self.look.width {
                self.push_line(&line);
                line = format!("   {}", self.painted(&part, Style::Strong));
                width = 3 + part.width();
            } else {
                line.push_str(&format!(" \u{2500}\u{2500} {}", self.painted(&part, Style::Strong)));
                width += 4 + part.width();
            }
        }
        let left = self.look.width.saturating_sub(width + 1);
        if left > 1 {
            line.push_str(&format!(" {}", self.painted(&"\u{2500}".repeat(left), Style::Quiet)));
        }
        self.push_line(&line);
    }

    /// The title of a build's report: its name over a heavy rule.
    pub fn title(&mut self, name: &str, rest: &str) {
        self.blank();
        self.paragraph(Style::Strong, name);
        self.paragraph(Style::Quiet, rest);
        let rule = self.painted(&"\u{2501}".repeat(self.look.width), Style::Quiet);
        self.push_line(&rule);
    }

    /// A paragraph.
    pub fn paragraph(&mut self, style: Style, text: &str) {
        self.hung(style, text, "", "");
    }

    /// A paragraph indented by so many columns.
    pub fn indented(&mut self, style: Style, text: &str, columns: usize) {
        let indent = " ".repeat(columns);
        self.hung(style, text, &indent, &indent);
    }

    fn hung(&mut self, style: Style, text: &str, first: &str, next: &str) {
        for (at, line) in wrapped(&pictured(text), self.look.width - next.width()).iter().enumerate() {
            let indent = if at == 0 { first } else { next };
            let line = format!("{indent}{}", self.painted(line, style));
            self.push_line(&line);
        }
    }

    /// A named field with its text beside the name: `  why           A pump pushes ...`.
    pub fn field(&mut self, name: &str, text: &str) {
        self.styled_field(name, Style::Plain, text);
    }

    /// As [`Page::field`], the text in a style.
    pub fn styled_field(&mut self, name: &str, style: Style, text: &str) {
        if text.is_empty() {
            return;
        }
        let first = format!("  {}", self.painted(&format!("{name:<NAME$}"), Style::Quiet));
        self.hung(style, text, &first, &" ".repeat(NAME + 2));
    }

    /// More text below a field's, further in.
    pub fn field_more(&mut self, text: &str) {
        self.indented(Style::Plain, text, NAME + 2);
    }

    /// Rows of two columns; the left one as wide as its texts need, up to five eighths of the page, the right one wrapped.
    pub fn rows(&mut self, indent: usize, rows: &[(String, String)]) {
        let rows: Vec<_> = rows.iter().map(|(left, right)| (pictured(left), pictured(right))).collect();
        let most = self.look.width * 5 / 8;
        let left_width = rows.iter().map(|(left, _)| left.width()).filter(|w| *w <= most).max().unwrap_or(most);
        let margin = " ".repeat(indent + left_width + 2);
        let room = self.look.width.saturating_sub(margin.len());
        for (left, right) in &rows {
            // What does not fit beside its name goes below it.
            let below = left.width() > left_width || right.split(' ').any(|word| word.width() > room);
            if below {
                self.push_line(&format!("{:indent$}{left}", ""));
                self.indented(Style::Plain, right, indent + 4);
                continue;
            }
            let pad = left_width - left.width() + 2;
            for (at, line) in wrapped(right, room).iter().enumerate() {
                match at {
                    0 => self.push_line(&format!("{:indent$}{left}{:pad$}{line}", "", "")),
                    _ => self.push_line(&format!("{margin}{line}")),
                }
            }
        }
    }

    /// A line set in columns, which is wrapped only if it is too wide for the page.
    pub fn indented_as_is(&mut self, line: &str, columns: usize) {
        let line = line.trim_end();
        if columns + line.width() > self.look.width {
            self.indented(Style::Plain, line, columns);
        } else {
            self.push_line(&format!("{:columns$}{}", "", pictured(line)));
        }
    }

    /// A line set in columns that is known to fit, in a style.
    pub fn styled_as_is(&mut self, style: Style, line: &str, columns: usize) {
        let line = self.painted(&pictured(line), style);
        self.push_line(&format!("{:columns$}{line}", ""));
    }

    /// Text that is set already.
    pub fn as_is(&mut self, text: &str) {
        for line in text.lines() {
            self.push_line(line);
        }
    }
}

/// The text in lines no wider than so many columns; a word that is wider is broken.
pub(super) fn wrapped(text: &str, width: usize) -> Vec<String> {
    // Paths and names stay whole as long as they fit: only blanks part words.
    let options = textwrap::Options::new(width.max(8))
        .break_words(true)
        .word_separator(textwrap::WordSeparator::AsciiSpace)
        .word_splitter(textwrap::WordSplitter::NoHyphenation);
    textwrap::wrap(text, options).into_iter().map(Into::into).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(page: Page) -> Vec<String> {
        page.finish().lines().map(str::to_string).collect()
    }

    #[test]
    fn nothing_is_wider_than_the_page() {
        for width in [60, 80, 120] {
            let mut page = Page::new(Look::new(width, false));
            page.heading(
                Style::Strong,
                "major",
                &["driveline.a-rule-with-a-long-name", "driveline.line/the front half of it"],
            );
            page.paragraph(Style::Plain, &"wide 広い text and more of it ".repeat(12));
            page.field("why", &"reasons and reasons ".repeat(20));
            page.rows(2, &[("short".into(), "right ".repeat(30)), ("l".repeat(70), "below".into())]);
            for line in lines(page) {
                assert!(line.width() <= width || line.contains("lll"), "{width}: {line}");
            }
        }
    }

    #[test]
    fn colour_adds_no_width_and_is_closed() {
        let set = |colour| {
            let mut page = Page::new(Look::new(60, colour));
            page.heading(Style::Class(Class::Major), "major", &["rule", "subject"]);
            page.field("why", &"word ".repeat(30));
            page.finish()
        };
        let (plain, painted) = (set(false), set(true));
        assert!(painted.contains("\u{1b}[31m"));
        let mut bare = String::new();
        let mut rest = &*painted;
        while let Some(at) = rest.find("\u{1b}[") {
            bare.push_str(&rest[..at]);
            rest = &rest[at..];
            rest = &rest[rest.find('m').map_or(rest.len(), |m| m + 1)..];
        }
        bare.push_str(rest);
        assert_eq!(bare, plain);
        assert_eq!(painted.matches("\u{1b}[0m").count() * 2, painted.matches("\u{1b}[").count());
    }
}
