//! Texts of specs and rule files on their way into Markdown: what they hold is shown, and marks up nothing.

/// The text with every character escaped that could mark something up; line breaks become blanks.
pub fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + text.len() / 8);
    for character in text.trim_end().chars() {
        match character {
            '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '#' | '|' | '&' | '~' | '!' => {
                out.push('\\');
                out.push(character);
            }
            '\n' | '\r' | '\t' => out.push(' '),
            c if c.is_control() => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::plain;

    #[test]
    fn nothing_is_marked_up() {
        assert_eq!(plain("<b>a_b</b> `x`\n# [y](z)\u{7}"), r"\<b\>a\_b\</b\> \`x\` \# \[y\](z)�");
        assert_eq!(plain("1.5 deg, 3 mm"), "1.5 deg, 3 mm");
    }
}
