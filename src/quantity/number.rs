//! Reads the number in front of a unit: decimals, `15/16`, `1-3/4`, `1 3/4`, `2½`, and tells what is wrong with others.

use super::error::QuantityProblem as Problem;
use std::ops::Range;

/// A number read from text.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Number {
    pub value: f64,
    /// Where it ends.
    pub end: usize,
    /// Digits after the point; `None` for a fraction or a power of ten.
    pub decimals: Option<u8>,
}

type Read = Result<Number, (Problem, Range<usize>)>;

/// The number at the start of the text, sign included.
pub(super) fn read_number(text: &str) -> Read {
    let (negative, from) = match text.chars().next() {
        Some('-' | '−') => (true, text.len() - text.trim_start_matches(['-', '−']).len()),
        Some('+') => (false, 1),
        _ => (false, 0),
    };
    if text.get(..from).is_some_and(|signs| signs.chars().count() > 1) {
        return Err((Problem::BadNumber, 0..from));
    }
    let read = unsigned(text, from)?;
    Ok(Number { value: if negative { -read.value } else { read.value }, ..read })
}

fn digits_at(text: &str, at: usize) -> usize {
    let rest = text.get(at..).unwrap_or("").as_bytes();
    at + rest.iter().take_while(|b| b.is_ascii_digit()).count()
}

fn byte(text: &str, at: usize) -> u8 {
    text.as_bytes().get(at).copied().unwrap_or(0)
}

fn unsigned(text: &str, from: usize) -> Read {
    let whole_end = digits_at(text, from);
    let whole = whole_end > from;
    let mut end = whole_end;
    if byte(text, end) == b'.' {
        end = digits_at(text, end + 1);
    }
    let fraction_digits = end.saturating_sub(whole_end + 1);
    if !whole && fraction_digits == 0 {
        return match vulgar(text, from) {
            Some((part, end)) => Ok(Number { value: part, end, decimals: None }),
            None => Err((Problem::NoNumber, from..text.len())),
        };
    }
    let point = end > whole_end;
    let sign = usize::from(matches!(byte(text, end + 1), b'+' | b'-'));
    let power = matches!(byte(text, end), b'e' | b'E') && byte(text, end + 1 + sign).is_ascii_digit();
    if power {
        end = digits_at(text, end + 1 + sign);
    }
    if let Some(wrong) = foreign_form(text, from, end) {
        return Err(wrong);
    }
    let range = from..end;
    let digits = text.get(range.clone()).unwrap_or("");
    let value: f64 = digits.parse().map_err(|_| (Problem::BadNumber, range.clone()))?;
    if !value.is_finite() {
        return Err((Problem::TooLarge, range));
    }
    let mantissa = digits.split(['e', 'E']).next().unwrap_or("");
    if value == 0.0 && mantissa.contains(|c: char| ('1'..='9').contains(&c)) {
        return Err((Problem::TooSmall, range));
    }
    if point || power {
        let decimals = if power { None } else { u8::try_from(fraction_digits).ok() };
        return Ok(Number { value, end, decimals });
    }
    after_whole(text, from, value, end)
}

/// What is no number here though it is one elsewhere: a decimal comma, two points.
fn foreign_form(text: &str, from: usize, end: usize) -> Option<(Problem, Range<usize>)> {
    match byte(text, end) {
        b',' if byte(text, end + 1).is_ascii_digit() => {
            let tail = digits_at(text, end + 1);
            let write = format!("{}.{}", text.get(from..end)?, text.get(end + 1..tail)?);
            Some((Problem::DecimalComma(write.into()), from..tail))
        }
        b'.' => Some((Problem::BadNumber, from..digits_at(text, end + 1))),
        _ => None,
    }
}

/// After a whole number: the denominator of a fraction, or the fraction of a mixed number.
fn after_whole(text: &str, from: usize, whole: f64, end: usize) -> Read {
    if byte(text, end) == b'/' && byte(text, end + 1).is_ascii_digit() {
        let (under, end) = whole_number(text, end + 1)?;
        return quotient(whole, under, from..end);
    }
    if let Some((part, end)) = vulgar(text, end) {
        return Ok(Number { value: whole + part, end, decimals: None });
    }
    let plain = Number { value: whole, end, decimals: Some(0) };
    let rest = text.get(end..).unwrap_or("");
    let hyphen = rest.starts_with('-');
    let over_at = if hyphen { end + 1 } else { text.len() - rest.trim_start().len() };
    if over_at == end || !byte(text, over_at).is_ascii_digit() {
        return Ok(plain);
    }
    let (over, slash) = whole_number(text, over_at)?;
    if byte(text, slash) != b'/' || !byte(text, slash + 1).is_ascii_digit() {
        // `1 200 mm` is for the caller to refuse; `10-12 mm` is a range.
        return if hyphen { Err((Problem::Span, from..slash)) } else { Ok(plain) };
    }
    let (under, end) = whole_number(text, slash + 1)?;
    let part = quotient(over, under, over_at..end)?;
    if part.value >= 1.0 {
        return Err((Problem::ImproperFraction, from..end));
    }
    Ok(Number { value: whole + part.value, end, decimals: None })
}

fn whole_number(text: &str, at: usize) -> Result<(f64, usize), (Problem, Range<usize>)> {
    let end = digits_at(text, at);
    let value: f64 = text.get(at..end).and_then(|d| d.parse().ok()).ok_or((Problem::BadNumber, at..end))?;
    if value.is_finite() { Ok((value, end)) } else { Err((Problem::TooLarge, at..end)) }
}

fn quotient(over: f64, under: f64, range: Range<usize>) -> Read {
    if under == 0.0 {
        return Err((Problem::ZeroDenominator, range));
    }
    Ok(Number { value: over / under, end: range.end, decimals: None })
}

/// A fraction that is one character.
fn vulgar(text: &str, at: usize) -> Option<(f64, usize)> {
    let c = text.get(at..)?.chars().next()?;
    let value = match c {
        '¼' => 0.25,
        '½' => 0.5,
        '¾' => 0.75,
        '⅛' => 0.125,
        '⅜' => 0.375,
        '⅝' => 0.625,
        '⅞' => 0.875,
        _ => return None,
    };
    Some((value, at + c.len_utf8()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_as_builders_write_them() {
        for (text, value, rest) in [
            ("45 mm", 45.0, " mm"),
            ("-3.4°", -3.4, "°"),
            ("−3.4°", -3.4, "°"),
            ("+.5", 0.5, ""),
            ("5.", 5.0, ""),
            ("1e3 N", 1000.0, " N"),
            ("2E-3", 0.002, ""),
            ("15/16 in", 0.9375, " in"),
            ("1-3/4 in", 1.75, " in"),
            ("1 3/4 in", 1.75, " in"),
            ("-1-3/4 in", -1.75, " in"),
            ("2½ in", 2.5, " in"),
            ("¾\"", 0.75, "\""),
            ("11 1/K", 11.0, " 1/K"),
            ("4/K", 4.0, "/K"),
            ("4.1:1", 4.1, ":1"),
        ] {
            let read = read_number(text);
            assert_eq!(read.as_ref().map(|n| n.value), Ok(value), "{text}");
            assert_eq!(read.map(|n| &text[n.end..]), Ok(rest), "{text}");
        }
    }

    #[test]
    fn numbers_that_are_refused() {
        for (text, problem) in [
            ("mm", Problem::NoNumber),
            ("", Problem::NoNumber),
            (".", Problem::NoNumber),
            ("NaN", Problem::NoNumber),
            ("inf", Problem::NoNumber),
            ("--3", Problem::BadNumber),
            ("1.2.3", Problem::BadNumber),
            ("1e999", Problem::TooLarge),
            ("1e-999", Problem::TooSmall),
            ("45,5 mm", Problem::DecimalComma("45.5".into())),
            ("1/0", Problem::ZeroDenominator),
            ("1-7/4", Problem::ImproperFraction),
            ("10-12 mm", Problem::Span),
        ] {
            assert_eq!(read_number(text).map_err(|e| e.0), Err(problem), "{text}");
        }
    }
}
