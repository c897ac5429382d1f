//! Errors of a spec, a rulebook or the terms, each with its place shown, all at once.

use super::page::{Look, Page, Style};
use super::source_code::{Mark, excerpts};
use super::trouble::Trouble;
use crate::source::Sources;

/// How many errors are shown in full.
const MOST: usize = 100;

/// The errors under headings that say what they are errors of: `spec`, `rulebook`, `terms`.
pub fn errors(of: &str, errors: &[Trouble], sources: &Sources, look: Look) -> String {
    let mut page = Page::new(look);
    for error in errors.iter().take(MOST) {
        // A file that could not be read shows no line which would bear its name.
        let unread = sources.text(error.span.file).is_empty();
        let file = if unread { sources.name(error.span.file) } else { "" };
        page.heading(Style::Fault, &format!("{of} error"), &[file]);
        page.paragraph(Style::Strong, &sentence(&error.message));
        let mut marks = vec![Mark { span: error.span, words: String::new() }];
        if let Some((span, words)) = error.other {
            marks[0].words = "here".into();
            marks.push(Mark { span, words: words.into() });
        }
        for excerpt in excerpts(sources, &marks, look) {
            page.as_is(&excerpt.drawn(look));
        }
        page.field("way out", error.remedy.as_deref().unwrap_or_default());
    }
    if errors.len() > MOST {
        page.blank();
        page.paragraph(Style::Strong, &format!("and {} more", errors.len() - MOST));
    }
    page.finish()
}

/// The words as a sentence of their own.
pub(super) fn sentence(words: &str) -> String {
    let mut chars = words.chars();
    match chars.next() {
        Some(first) if first.is_lowercase() => first.to_uppercase().chain(chars).collect(),
        _ => words.to_string(),
    }
}
