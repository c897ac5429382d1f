//! The sheet: one HTML page of a build's figures and findings, to be read on a screen or printed and taken to the car.
//!
//! The page is one file without script that asks nothing of a network. Every number on it that comes from the judgement carries
//! its key: the JSON pointer (RFC 6901) of the same value in [`sheet_json`], split into `data-of` on what surrounds it and
//! `data-at` on the value itself; those of a revision that the sheet is compared with are told apart in [`before`]. Nothing is computed here. Texts of a spec pass through [`shown`] and are escaped by the
//! template, so that they stay text.

mod bars;
mod before;
mod changes;
mod concessions;
mod csv;
mod drawings;
mod figures;
mod findings;
mod head;
mod json;
mod measure;
mod plots;
mod rules;
mod style;
mod systems;

pub use before::SheetBefore;
pub use csv::figures_csv;
pub use json::sheet_json;

use super::{Judged, pictured};
use before::Was;
use maud::{DOCTYPE, Markup, html};
use std::borrow::Cow;

/// What a sheet needs beside the judged build.
#[derive(Clone, Copy, Default)]
pub struct SheetOptions<'a> {
    /// The revision of the repository, where it has one.
    pub revision: Option<&'a str>,
    /// What the sheet is compared with.
    pub before: Option<&'a SheetBefore<'a>>,
    /// The systems that the page shows; without any it shows all. JSON and comma-separated values hold all in any case.
    pub systems: &'a [String],
    /// Whether the page is what one takes to the car: findings without their workings, what is open or to be measured, plots and
    /// drawings.
    pub brief: bool,
}

/// The systems of which a sheet of the build has something to say, in the order of the rulebook.
pub fn systems_of<'a>(judged: &Judged<'a>) -> Vec<&'a str> {
    systems::systems(judged, None).iter().map(|s| s.name).collect()
}

/// The page.
pub fn sheet(judged: &Judged, options: &SheetOptions) -> String {
    let was = options.before.map(Was::new);
    let mut systems = systems::systems(judged, was.as_ref());
    let is_shown = |name: &str| options.systems.is_empty() || options.systems.iter().any(|s| s == name);
    systems.retain(|s| is_shown(s.name));
    let name = judged.assessment.name.as_deref().unwrap_or("A build without a name");
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                // The page asks for nothing; this holds it to that.
                meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'";
                title { (shown(name)) ", sheet for " (judged.assessment.day) }
                style { (style::sheet(was.is_some())) }
            }
            body {
                a.skip href="#systems" { "To the systems" }
                (head::head(judged, options, &systems, was.as_ref()))
                main #systems {
                    (plots::margins(&systems, options.systems.is_empty()))
                    (drawings::drawings(judged, was.as_ref(), &is_shown))
                    @for system in &systems { (systems::section(judged, system, options.brief)) }
                }
                (head::foot())
            }
        }
    };
    page.into_string()
}

/// Text of a spec or a rulebook as it may stand on the page.
fn shown(text: &str) -> Cow<'_, str> {
    pictured(text)
}

/// A value of the judgement with the rest of its key.
fn keyed(at: &str, text: &str) -> Markup {
    html! { span data-at=(at) { (shown(text)) } }
}

/// A number of the judgement, as above.
fn number(at: &str, value: impl std::fmt::Display) -> Markup {
    html! { span data-at=(at) { (value.to_string()) } }
}

/// A share of a limit in per cent, with its sign.
fn percent_of_limit(share: f64) -> String {
    let sign = if share < 0.0 { "\u{2212}" } else { "" };
    format!("{sign}{}", super::terminal::percent(share.abs()))
}

/// A part of a page that may be wider than a phone, and is then moved by itself: by finger, or by the keyboard.
fn wide(label: &str, inner: &Markup) -> Markup {
    html! { div.wide role="region" aria-label=(shown(label)) tabindex="0" { (inner) } }
}
