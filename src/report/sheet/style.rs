//! How the sheet looks: one style sheet of its own, for screens from a phone on and for paper.

/// The rules, without line breaks and indents that nobody reads in the page; `compared` adds those for what was before.
pub(super) fn sheet(compared: bool) -> maud::PreEscaped<String> {
    let before = if compared { include_str!("before.css") } else { "" };
    maud::PreEscaped(include_str!("sheet.css").lines().chain(before.lines()).map(str::trim).collect())
}
