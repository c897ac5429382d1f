//! How the sheet looks: one style sheet of its own, for screens from a phone on and for paper.

/// The rules, without line breaks and indents that nobody reads in the page.
pub(super) fn sheet() -> maud::PreEscaped<String> {
    maud::PreEscaped(include_str!("sheet.css").lines().map(str::trim).collect())
}
