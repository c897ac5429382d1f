//! The bench calculator's answer: result and working.

use super::figures::{known_json, reading_words};
use super::page::{Look, Page, Style};
use super::terminal;
use crate::assess::Reckoning;
use serde_json::{Value, json};

/// The result, and the working where there is more to it than the result.
pub fn bench(reckoning: &Reckoning, look: Look) -> String {
    let mut page = Page::new(look);
    page.paragraph(Style::Strong, &reading_words(&reckoning.value));
    if !reckoning.working.is_empty() {
        page.blank();
        terminal::working(&reckoning.working, &mut page);
    }
    page.finish()
}

/// The same for machines: the expression, the errors of the spec (from [`super::errors_json`]), one of `quantity`, `words`, `fields`, `curve`, `without`, and the working.
pub fn bench_json(expression: &str, reckoning: &Reckoning, errors: Value) -> Value {
    let mut out = json!({"expression": expression, "errors": errors});
    if let Value::Object(map) = &mut out {
        let (key, value) = known_json(&reckoning.value);
        map.insert(key.into(), value);
        map.insert("working".into(), json!(reckoning.working));
    }
    out
}
