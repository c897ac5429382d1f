//! How a report closes: outcomes counted, the measurements that would settle most, and the caution.

use super::page::{Look, Page, Style};
use super::{Judged, Total, cases, needed};
use crate::assess::{Counts, Needed};
use crate::rulebook::{Index, ReplacedEntry};

/// Stands under every report.
pub const CAUTION: &str = "This checks numbers on paper. Local codes and licensed inspection decide.";

/// How many measurements the count names.
const MOST_NEEDED: usize = 5;

/// The closing count of one build.
pub(super) fn count(judged: &Judged, page: &mut Page) {
    let counts = judged.assessment.counts();
    let quiet = broken(&counts) + counts.faulty_concessions + counts.unmeasured + counts.unproven + counts.beyond == 0;
    if quiet && judged.errors.is_empty() {
        page.paragraph(Style::Plain, &line(&counts, 0));
        cases::counts(judged.assessment, page);
        return;
    }
    page.heading(Style::Plain, "count", &[]);
    page.rows(2, &rows(&counts, judged.errors.len()));
    cases::counts(judged.assessment, page);
    if !judged.needed.is_empty() {
        page.blank();
        page.paragraph(Style::Plain, "To measure next:");
        let next: Vec<_> = judged.needed.iter().take(MOST_NEEDED).map(|n| (n.path.clone(), next_words(n))).collect();
        page.rows(2, &next);
    }
}

fn next_words(needed: &Needed) -> String {
    let again = needed.again.as_ref().map_or(String::new(), |stale| format!("; {}", needed::again(stale)));
    format!("{}{again}", needed::settles(needed))
}

/// How many hold, and how many of them on assumed values.
fn holding(counts: &Counts) -> String {
    match counts.holds_assumed {
        0 => counts.holds.to_string(),
        assumed => format!("{}, {assumed} of them on assumed values", counts.holds),
    }
}

fn broken(counts: &Counts) -> usize {
    counts.dangerous + counts.major + counts.minor + counts.advisory
}

/// Outcomes that there are, by word.
fn rows(counts: &Counts, errors: usize) -> Vec<(String, String)> {
    let mut rows = vec![("broken".to_string(), by_class(counts))];
    let others = [
        ("concessions to mend", counts.faulty_concessions, None),
        ("spec errors", errors, None),
        ("holding", counts.holds, Some(holding(counts))),
        ("unmeasured", counts.unmeasured, None),
        ("unproven", counts.unproven, None),
        ("beyond", counts.beyond, None),
        ("not applicable", counts.not_applicable, None),
    ];
    let there = others.into_iter().filter(|(_, n, _)| *n > 0);
    rows.extend(there.map(|(word, n, words)| (word.to_string(), words.unwrap_or_else(|| n.to_string()))));
    rows
}

/// Broken rules by class, the worst first, and how many of them a concession covers.
fn by_class(counts: &Counts) -> String {
    let classes = [
        (counts.dangerous, "dangerous"),
        (counts.major, "major"),
        (counts.minor, "minor"),
        (counts.advisory, "advisory"),
    ];
    let shown: Vec<_> = classes.iter().filter(|(n, _)| *n > 0).map(|(n, word)| format!("{n} {word}")).collect();
    match (shown.is_empty(), counts.conceded) {
        (true, _) => "none".into(),
        (false, 0) => shown.join(", "),
        (false, n) => format!("{}; {n} of them under a concession in force", shown.join(", ")),
    }
}

/// What closes a report: the sum over several builds, and the caution.
pub fn closing(total: &Total, look: Look) -> String {
    let mut page = Page::new(look);
    if total.builds > 1 {
        page.title(&format!("{} builds", total.builds), "all together");
        page.rows(2, &rows(&total.counts, total.with_errors));
        page.blank();
    }
    page.paragraph(Style::Quiet, CAUTION);
    page.finish()
}

/// What a repository's own rulebook stands in for; nothing if that is nothing.
pub fn replaced(index: &Index, look: Look) -> String {
    let mut page = Page::new(look);
    for entry in &index.replaced {
        page.paragraph(Style::Plain, &replaced_words(entry));
    }
    page.finish()
}

fn replaced_words(entry: &ReplacedEntry) -> String {
    let ReplacedEntry { what, name, stand_in, reason, by } = entry;
    let which = if name == stand_in { format!("its own {what} {name}") } else { format!("{what} {stand_in}") };
    format!("This repository puts {which} in place of the built-in {what} {name}: {reason} ({by})")
}

/// Outcomes in one line, for the short form.
pub(super) fn line(counts: &Counts, errors: usize) -> String {
    let rows = rows(counts, errors);
    let words: Vec<_> = rows.iter().map(|(word, n)| format!("{word} {n}")).collect();
    words.join("; ")
}
