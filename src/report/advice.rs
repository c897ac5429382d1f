//! What can be done about a commit that is held up, for the end of the hook's report.

use super::page::{Look, Page, Style};
use super::picture::pictured;
use crate::rulebook::Class;
use std::fmt::Write as _;

/// A finding that holds up a commit, as a concession would name it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Concedable {
    /// The build file.
    pub file: String,
    /// The rule's name.
    pub rule: String,
    /// The subject's path.
    pub subject: String,
    /// The class.
    pub class: Class,
}

/// The ways on from a commit that is held up; `first` is a finding that holds it up, where there is one, `year` that of the
/// inspection.
pub fn advice(first: Option<&Concedable>, year: i16, look: Look) -> String {
    let mut page = Page::new(look);
    page.heading(Style::Plain, "the commit is held up", &[]);
    page.paragraph(
        Style::Plain,
        "Put it right, or measure what is missing (`tramgauge needed` lists it), and stage that.",
    );
    if let Some(first) = first {
        page.blank();
        page.paragraph(
            Style::Plain,
            "Or somebody permits it by name, for a reason and to a last day. It stays in every report:",
        );
        page.blank();
        page.as_is(&concession(first, year));
    }
    page.blank();
    page.paragraph(Style::Plain, "Git's own way past its hooks, once:");
    page.as_is(PASS);
    format!("\n{}", page.finish())
}

/// The way on from a commit that cannot be judged.
pub fn advice_unusable(look: Look) -> String {
    let mut page = Page::new(look);
    page.heading(Style::Plain, "the commit cannot be judged", &[]);
    page.paragraph(Style::Plain, "Put right what is told above, and stage that.");
    page.blank();
    page.paragraph(Style::Plain, "Git's own way past its hooks, once:");
    page.as_is(PASS);
    format!("\n{}", page.finish())
}

/// Git's own means.
const PASS: &str = "  git commit --no-verify\n  git merge --no-verify\n";

/// A concession to be copied into the build file.
fn concession(first: &Concedable, year: i16) -> String {
    let Concedable { file, rule, subject, class } = first;
    let mut text = format!("  # in {}\n  concessions:\n", pictured(file));
    let _ = writeln!(text, "    - rule: {rule}");
    let _ = writeln!(text, "      subject: {}", quoted(subject));
    text.push_str("      reason: why it may be used as it is\n      by: who permits it\n");
    let _ = writeln!(text, "      until: {year}-12-31");
    if *class == Class::Dangerous {
        text.push_str("      dangerous: accepted\n");
    }
    text
}

/// A text as a YAML scalar in one line.
fn quoted(text: &str) -> String {
    let plain = |c: char| c.is_alphanumeric() || matches!(c, ' ' | '.' | '/' | '_' | '-');
    let begins = text.starts_with(|c: char| c.is_ascii_alphabetic());
    if begins && text.chars().all(plain) && !text.ends_with(' ') {
        text.to_string()
    } else {
        // JSON's strings are YAML's, with what a terminal must not see written as numbers.
        super::escaped(&serde_json::Value::from(text).to_string()).into_owned()
    }
}
