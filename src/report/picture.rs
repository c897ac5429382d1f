//! Makes text from specs and rule files fit to be shown: control and direction characters become pictures of one column.
//!
//! A control character could move a terminal's cursor or change its colours, a direction character could make a line read
//! otherwise than it is written. JSON escapes them instead, so that a reader gets back what was written.

use std::borrow::Cow;
use std::fmt::Write as _;

/// What stands for a character that must not reach a terminal; `None` for all others.
pub(super) fn picture(c: char) -> Option<char> {
    match c {
        '\u{0}'..='\u{1f}' => char::from_u32(0x2400 + u32::from(c)),
        '\u{7f}' => Some('\u{2421}'),
        _ if hidden(c) => Some('\u{fffd}'),
        _ => None,
    }
}

/// Characters that show nothing of their own and change how others are shown.
fn hidden(c: char) -> bool {
    matches!(c,
        '\u{80}'..='\u{9f}' | '\u{ad}' | '\u{61c}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
        | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}' | '\u{e0000}'..='\u{e007f}')
}

/// The text with pictures; line breaks and tabs of running text become blanks.
pub fn pictured(text: &str) -> Cow<'_, str> {
    if !text.chars().any(|c| picture(c).is_some()) {
        return Cow::Borrowed(text);
    }
    let shown = |c: char| if matches!(c, '\n' | '\t' | '\r') { ' ' } else { picture(c).unwrap_or(c) };
    Cow::Owned(text.chars().map(shown).collect())
}

/// JSON text with everything that a terminal could act on written as an escape; the JSON means the same.
pub fn escaped(json: &str) -> Cow<'_, str> {
    let acts = |c: char| hidden(c) || c == '\u{7f}';
    if !json.chars().any(acts) {
        return Cow::Borrowed(json);
    }
    let mut out = String::with_capacity(json.len() + 16);
    for c in json.chars() {
        if acts(c) {
            for unit in c.encode_utf16(&mut [0; 2]) {
                let _ = write!(out, "\\u{unit:04x}");
            }
        } else {
            out.push(c);
        }
    }
    Cow::Owned(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn controls_and_directions_become_pictures_of_one_column() {
        let shown = pictured("a\u{1b}[31mb\u{202e}c\u{0}\u{7f}\u{9b}");
        assert_eq!(shown, "a\u{241b}[31mb\u{fffd}c\u{2400}\u{2421}\u{fffd}");
        assert_eq!(unicode_width::UnicodeWidthStr::width(&*shown), 12);
    }

    #[test]
    fn plain_text_is_left_alone() {
        assert!(matches!(pictured("Ölfilter 95 °C ± 2 K"), Cow::Borrowed(_)));
        assert_eq!(pictured("two\nlines"), "two lines");
    }

    #[test]
    fn json_means_the_same_after_escaping() {
        let value = serde_json::json!({"name": "a\u{202e}b\u{7f}\u{e0041}\u{1b}"});
        let text = value.to_string();
        let safe = escaped(&text);
        assert!(safe.chars().all(|c| picture(c).is_none()));
        assert_eq!(serde_json::from_str::<serde_json::Value>(&safe).ok(), Some(value));
    }
}
