//! How a new value is written: bare where YAML allows it, else in quotes, and in braces or brackets on one line.

use std::fmt::Write as _;

use super::NewValue;

/// Words that readers of YAML take for something else than text when they stand bare.
const WORDS: [&str; 6] = ["~", "null", "true", "false", "yes", "no"];

/// A value on one line. `flow`: it stands within braces or brackets. `like`: the quotes of what it replaces.
pub(super) fn value(value: &NewValue, flow: bool, like: Option<char>) -> String {
    match value {
        NewValue::Plain(text) => text.clone(),
        NewValue::Text(text) => self::text(text, flow, like),
        NewValue::Map(entries) => {
            // The first value is the one that takes the place of the old one.
            let entry = |(at, (key, value)): (usize, &(String, NewValue))| {
                let like = like.filter(|_| at == 0);
                format!("{}: {}", self::text(key, true, None), self::value(value, true, like))
            };
            format!("{{{}}}", entries.iter().enumerate().map(entry).collect::<Vec<_>>().join(", "))
        }
        NewValue::List(items) => {
            let items: Vec<String> = items.iter().map(|item| self::value(item, true, like)).collect();
            format!("[{}]", items.join(", "))
        }
    }
}

/// A text as a scalar.
pub(super) fn text(text: &str, flow: bool, like: Option<char>) -> String {
    let printable = !text.chars().any(char::is_control);
    match like {
        Some('\'') if printable => format!("'{}'", text.replace('\'', "''")),
        None if may_stand_bare(text, flow) => text.to_owned(),
        _ => in_double_quotes(text),
    }
}

fn may_stand_bare(text: &str, flow: bool) -> bool {
    let mut characters = text.chars();
    let Some(first) = characters.next() else { return false };
    let second = characters.next();
    let begins = match first {
        '-' | '?' | ':' => second.is_some_and(|c| c.is_alphanumeric() || c == '.'),
        c => !",[]{}#&*!|>'\"%@`<=".contains(c),
    };
    begins
        && text.trim() == text
        && !text.contains(": ")
        && !text.contains(" #")
        && !text.ends_with(':')
        && !text.starts_with("---")
        && !text.chars().any(|c| c.is_control() || matches!(c, '\u{feff}' | '\u{2028}' | '\u{2029}'))
        && !(flow && text.contains([',', '[', ']', '{', '}']))
        && !WORDS.contains(&text)
}

fn in_double_quotes(text: &str) -> String {
    let mut out = String::from('"');
    for c in text.chars() {
        match c {
            '"' | '\\' => {
                out.push('\\');
                out.push(c);
            }
            '\n' => out.push_str("\\n"),
            '\t' => out.push_str("\\t"),
            c if c.is_control() || matches!(c, '\u{feff}' | '\u{2028}' | '\u{2029}') => {
                let _ = write!(out, "\\u{:04x}", c as u32);
            }
            c => out.push(c),
        }
    }
    out.push('"');
    out
}
