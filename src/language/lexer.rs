//! Splits an expression's text into tokens, each with its range; a number takes its unit with it.

use super::error::{Fault, Problem};
use crate::quantity::{self, Exponents, Kind, UnitId};
use std::ops::Range;

/// One token; words and texts are those of the expression itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Token<'t> {
    /// A number, in SI, with the unit that stood behind it.
    Number {
        /// Value in SI.
        si: f64,
        /// Exponents of the unit.
        exponents: Exponents,
        /// Kind of the unit.
        kind: Option<Kind>,
        /// The unit; none for a plain number.
        unit: Option<UnitId>,
    },
    /// Text in quotes.
    Text(&'t str),
    /// A date.
    Date(jiff::civil::Date),
    /// A name or one of the language's words.
    Word(&'t str),
    /// A sign: `<=`, `+`, `(` ...
    Sign(&'static str),
    /// The end of the text.
    End,
}

impl Token<'_> {
    /// The token as a message names it.
    pub fn shown(&self) -> String {
        match self {
            Token::Number { unit: None, si, .. } => format!("the number {si}"),
            Token::Number { unit: Some(unit), .. } => format!("a number in {unit}"),
            Token::Text(text) => format!("the text \"{text}\""),
            Token::Date(date) => format!("the date {date}"),
            Token::Word(word) => format!("`{word}`"),
            Token::Sign(sign) => format!("`{sign}`"),
            Token::End => "the end".into(),
        }
    }
}

/// The sign that the text starts with, under its usual name, and how many bytes it takes.
fn sign(text: &str) -> Option<(&'static str, usize)> {
    let mut chars = text.chars();
    let first = chars.next()?;
    let with_equals = chars.next() == Some('=');
    let sign = match first {
        '<' if with_equals => "<=",
        '>' if with_equals => ">=",
        '!' if with_equals => "!=",
        '<' => "<",
        '>' => ">",
        '=' => "=",
        '+' => "+",
        '-' | '−' => "-",
        '*' | '·' => "*",
        '/' => "/",
        '^' => "^",
        '(' => "(",
        ')' => ")",
        ',' => ",",
        ':' => ":",
        '.' => ".",
        '[' => "[",
        ']' => "]",
        '%' => "%",
        _ => return None,
    };
    Some((sign, first.len_utf8() + sign.len() - 1))
}

/// Tokens are rarely closer than that, so that room for one in so many bytes is room enough.
const BYTES_TO_A_TOKEN: usize = 4;

/// Words of the language which may follow a number and are then no unit.
const AFTER_NUMBER: [&str; 11] =
    ["and", "or", "otherwise", "then", "else", "for", "over", "from", "to", "has", "where"];

/// Splits `text` into tokens; the last is [`Token::End`].
///
/// # Errors
/// The first character, number or unit that cannot be read.
pub fn tokens(text: &str) -> Result<Vec<(Token<'_>, Range<usize>)>, Fault> {
    let mut out = Vec::with_capacity(text.len() / BYTES_TO_A_TOKEN + 2);
    let mut at = 0;
    while let Some(c) = text[at..].chars().next() {
        if c.is_whitespace() {
            at += c.len_utf8();
            continue;
        }
        let (token, end) = if c.is_ascii_digit() {
            number_or_date(text, at)?
        } else if c == '"' {
            quoted(text, at)?
        } else if c.is_ascii_alphabetic() || c == '_' {
            let end = word_end(text, at);
            (Token::Word(&text[at..end]), end)
        } else if let Some((sign, length)) = sign(&text[at..]) {
            (Token::Sign(sign), at + length)
        } else {
            return Err(Fault::new(Problem::Character(c), at..at + c.len_utf8()));
        };
        out.push((token, at..end));
        at = end;
    }
    out.push((Token::End, text.len()..text.len()));
    Ok(out)
}

/// Where a word that may hold hyphens (`rubber-disc`) ends.
pub fn hyphenated_end(text: &str, start: usize) -> usize {
    let mut end = word_end(text, start);
    while text[end..].starts_with('-') && text[end + 1..].starts_with(|c: char| c.is_ascii_alphanumeric()) {
        end = word_end(text, end + 1);
    }
    end
}

fn word_end(text: &str, start: usize) -> usize {
    let word = |b: &u8| b.is_ascii_alphanumeric() || *b == b'_';
    start + text.as_bytes()[start..].iter().take_while(|b| word(b)).count()
}

fn quoted(text: &str, start: usize) -> Result<(Token<'_>, usize), Fault> {
    match text[start + 1..].find('"') {
        Some(n) => Ok((Token::Text(&text[start + 1..start + 1 + n]), start + n + 2)),
        None => Err(Fault::new(Problem::OpenText, start..text.len())),
    }
}

fn number_or_date(text: &str, start: usize) -> Result<(Token<'_>, usize), Fault> {
    let bytes = text.as_bytes();
    let digits = |from: usize| from + bytes[from..].iter().take_while(|b| b.is_ascii_digit()).count();
    if let Some(end) = date_end(bytes, start) {
        return match text[start..end].parse() {
            Ok(date) => Ok((Token::Date(date), end)),
            Err(_) => Err(Fault::new(Problem::Number(text[start..end].into()), start..end)),
        };
    }
    let mut end = digits(start);
    if bytes.get(end) == Some(&b'.') && bytes.get(end + 1).is_some_and(u8::is_ascii_digit) {
        end = digits(end + 1);
    }
    if matches!(bytes.get(end), Some(b'e' | b'E')) {
        let signed = end + 1 + usize::from(matches!(bytes.get(end + 1), Some(b'-' | b'+')));
        if bytes.get(signed).is_some_and(u8::is_ascii_digit) {
            end = digits(signed);
        }
    }
    let written = &text[start..end];
    let value: f64 = match written.parse() {
        Ok(v) if f64::is_finite(v) => v,
        _ => return Err(Fault::new(Problem::Number(written.into()), start..end)),
    };
    let plain =
        |end| Ok((Token::Number { si: value, exponents: Exponents::NONE, kind: Some(Kind::Number), unit: None }, end));
    let blanks = text[end..].len() - text[end..].trim_start().len();
    let unit_start = end + blanks;
    let word = &text[unit_start..word_end(text, unit_start)];
    if AFTER_NUMBER.contains(&word) {
        return plain(end);
    }
    match quantity::unit_at(&text[unit_start..]) {
        None => plain(end),
        Some(Ok((unit, eaten))) => {
            let end = unit_start + eaten;
            let token = Token::Number {
                si: unit.to_si(value),
                exponents: unit.exponents,
                kind: unit.kind,
                unit: Some(unit.id),
            };
            Ok((token, end))
        }
        Some(Err(error)) => {
            let rest = &text[unit_start..];
            let help = error.help(rest);
            let range = unit_start..word_end(text, unit_start).max(unit_start + 1).min(text.len());
            Err(Fault::new(Problem::Unit { message: error.message(rest), help }, range))
        }
    }
}

fn date_end(bytes: &[u8], start: usize) -> Option<usize> {
    let shape = b"dddd-dd-dd";
    let found = bytes.get(start..start + shape.len())?;
    let fits = found.iter().zip(shape).all(|(b, s)| if *s == b'd' { b.is_ascii_digit() } else { b == s });
    fits.then_some(start + shape.len())
}
