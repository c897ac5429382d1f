//! Reads units: names, powers, products and quotients.
//!
//! Two readers share it. In a spec (`read_unit`) a unit ends where the text does and may have blanks in it; in a rule
//! (`unit_at`) it is the longest unit that the text starts with, written without blanks (`_` stands for a blank inside a
//! name: `US_gal`).

use super::atoms::{AMBIGUOUS, ATOMS, Ambiguous};
use super::error::{UnitError, UnitProblem};
use super::unit::{Unit, UnitId};
use std::ops::Range;
use std::sync::LazyLock;

/// The longest unit that the text starts with, without blanks, and how many bytes it takes; `None` if it starts with none.
/// An error if it starts with a name that could be several units (`gal`), or a product that could be read in two ways.
pub fn unit_at(text: &str) -> Option<Result<(Unit, usize), UnitError>> {
    let read = Reader { text, blanks: false }.unit().transpose()?;
    Some(read.map(|(id, end)| (id.unit(), end)))
}

/// The unit that the text starts with, blanks allowed, and how many bytes it takes.
pub(super) fn read_unit(text: &str) -> Result<(UnitId, usize), UnitError> {
    let reader = Reader { text, blanks: true };
    reader.unit()?.ok_or_else(|| reader.unknown(0))
}

/// Names of letters only, sorted; and all others by their first byte, the longest first.
struct Names {
    words: Vec<(&'static str, Meaning)>,
    phrases: Vec<(&'static str, Meaning)>,
    /// Where the phrases of each first byte lie.
    starts: [(u16, u16); 256],
}

#[derive(Clone, Copy)]
enum Meaning {
    Atom(u8),
    Several(&'static Ambiguous),
}

static NAMES: LazyLock<Names> = LazyLock::new(|| {
    let atoms = ATOMS.iter().zip(0u8..).flat_map(|(atom, i)| {
        std::iter::once(&atom.symbol).chain(atom.spellings).map(move |name| (*name, Meaning::Atom(i)))
    });
    let several = AMBIGUOUS.iter().flat_map(|a| a.names.iter().map(move |name| (*name, Meaning::Several(a))));
    let (mut words, mut phrases): (Vec<_>, Vec<_>) =
        atoms.chain(several).partition(|(name, _)| name.chars().all(char::is_alphabetic));
    words.sort_by_key(|(name, _)| *name);
    phrases.sort_by_key(|(name, _)| (name.as_bytes().first().copied(), std::cmp::Reverse(name.len())));
    let mut starts = [(0, 0); 256];
    for ((name, _), at) in phrases.iter().zip(0u16..) {
        if let Some(byte) = name.bytes().next() {
            let range = &mut starts[usize::from(byte)];
            *range = if range.1 == 0 { (at, at + 1) } else { (range.0, at + 1) };
        }
    }
    Names { words, phrases, starts }
});

/// Every name of a unit, for offering the nearest one.
pub(super) fn all_names() -> impl Iterator<Item = &'static str> {
    NAMES.words.iter().chain(&NAMES.phrases).map(|(name, _)| *name)
}

struct Reader<'a> {
    text: &'a str,
    blanks: bool,
}

#[derive(Clone, Copy, PartialEq)]
enum Joint {
    Times,
    Over,
    Blank,
    Hyphen,
}

const DEEPEST: usize = 3;

impl Reader<'_> {
    fn rest(&self, at: usize) -> &str {
        self.text.get(at..).unwrap_or("")
    }

    fn skip_blanks(&self, at: usize) -> usize {
        let rest = self.rest(at);
        if self.blanks { at + rest.len() - rest.trim_start().len() } else { at }
    }

    fn error<T>(&self, problem: UnitProblem, range: Range<usize>) -> Result<T, UnitError> {
        Err(UnitError { problem, range })
    }

    fn unknown(&self, at: usize) -> UnitError {
        let rest = self.rest(at);
        let end =
            rest.find(|c: char| c.is_whitespace() || "/*·⋅()^±".contains(c)).filter(|&e| e > 0).unwrap_or(rest.len());
        UnitError { problem: UnitProblem::Unknown, range: at..at + end }
    }

    fn unit(&self) -> Result<Option<(UnitId, usize)>, UnitError> {
        let below = self.text.strip_prefix('1').unwrap_or(self.text).strip_prefix('/');
        if let Some(after) = below.filter(|_| self.blanks) {
            let at = self.skip_blanks(self.text.len() - after.len());
            let Some((id, end)) = self.factor(at, 0)? else { return Err(self.unknown(at)) };
            let inverse = self.join(UnitId::NONE, id, -1, 0..end)?;
            return self.product(inverse, end, 0, true).map(Some);
        }
        match self.factor(0, DEEPEST)? {
            Some((id, end)) => self.product(id, end, 0, false).map(Some),
            None => Ok(None),
        }
    }

    /// What follows the first factor of a product.
    fn product(&self, first: UnitId, end: usize, depth: usize, divided: bool) -> Result<(UnitId, usize), UnitError> {
        let (mut id, mut end, mut divided) = (first, end, divided);
        loop {
            let at = self.skip_blanks(end);
            let Some(next) = self.rest(at).chars().next() else { break };
            let joint = match next {
                '*' | '·' | '⋅' => Joint::Times,
                '/' => Joint::Over,
                '-' if self.blanks && at == end => Joint::Hyphen,
                _ if at > end => Joint::Blank,
                _ => break,
            };
            let from = if joint == Joint::Blank { at } else { self.skip_blanks(at + next.len_utf8()) };
            let Some((factor, after)) = self.factor(from, depth)? else {
                if self.blanks && matches!(joint, Joint::Times | Joint::Over) {
                    return Err(self.unknown(from));
                }
                break;
            };
            if divided && joint != Joint::Over {
                return self.error(UnitProblem::TwoReadings, 0..after);
            }
            id = self.join(id, factor, if joint == Joint::Over { -1 } else { 1 }, 0..after)?;
            divided |= joint == Joint::Over;
            end = after;
        }
        let names = id.atoms().count();
        match id.atoms().find(|(atom, power)| atom.alone && (names > 1 || *power != 1)) {
            Some((atom, _)) => self.error(UnitProblem::Alone(atom.symbol), 0..end),
            None => Ok((id, end)),
        }
    }

    fn join(&self, id: UnitId, other: UnitId, sign: i8, range: Range<usize>) -> Result<UnitId, UnitError> {
        let joined = other.indexed().try_fold(id, |id, (index, power)| id.times(index, sign * power));
        joined.ok_or(UnitError { problem: UnitProblem::TooLong, range })
    }

    /// A name with its power, or a product in brackets; `None` if there is neither.
    fn factor(&self, at: usize, depth: usize) -> Result<Option<(UnitId, usize)>, UnitError> {
        if depth < DEEPEST && self.rest(at).starts_with('(') {
            let inside = self.skip_blanks(at + 1);
            let Some((first, end)) = self.factor(inside, depth + 1)? else {
                return if self.blanks { Err(self.unknown(inside)) } else { Ok(None) };
            };
            let (id, end) = self.product(first, end, depth + 1, false)?;
            let close = self.skip_blanks(end);
            return match self.rest(close).starts_with(')') {
                true => Ok(Some((id, close + 1))),
                false if self.blanks => self.error(UnitProblem::OpenBracket, at..close),
                false => Ok(None),
            };
        }
        let Some((meaning, end)) = self.name(at) else { return Ok(None) };
        let index = match meaning {
            Meaning::Atom(index) => index,
            Meaning::Several(several) => {
                return self.error(UnitProblem::Ambiguous(several.choices, several.why), at..end);
            }
        };
        match self.power(end) {
            Ok((power, after)) => match UnitId::NONE.times(index, power) {
                Some(id) => Ok(Some((id, after))),
                None => self.error(UnitProblem::BadPower, at..after),
            },
            Err(_) if !self.blanks => Ok(UnitId::NONE.times(index, 1).map(|id| (id, end))),
            Err(after) => self.error(UnitProblem::BadPower, at..after),
        }
    }

    fn name(&self, at: usize) -> Option<(Meaning, usize)> {
        let rest = self.rest(at);
        let first = *rest.as_bytes().first()?;
        let (start, end) = NAMES.starts[usize::from(first)];
        for (name, meaning) in NAMES.phrases.get(usize::from(start)..usize::from(end))? {
            if let Some(length) = self.phrase(rest, name) {
                return Some((*meaning, at + length));
            }
        }
        let length = rest.find(|c: char| !c.is_alphabetic()).unwrap_or(rest.len());
        let word = rest.get(..length)?;
        if rest.get(length..)?.starts_with('_') {
            return None;
        }
        let found = NAMES.words.binary_search_by(|(name, _)| (*name).cmp(word)).ok()?;
        NAMES.words.get(found).map(|(_, meaning)| (*meaning, at + length))
    }

    /// How much of the text that name takes; a blank in the name stands for one or more blanks, or for `_`.
    fn phrase(&self, text: &str, name: &str) -> Option<usize> {
        if name == "\"" && !self.blanks {
            return None;
        }
        let mut parts = name;
        let mut left = text;
        loop {
            let blank = parts.bytes().position(|b| b == b' ');
            let part = blank.and_then(|at| parts.get(..at)).unwrap_or(parts);
            left = left.strip_prefix(part)?;
            let Some(at) = blank else { break };
            parts = parts.get(at + 1..)?;
            left = match left.strip_prefix('_') {
                Some(after) => after,
                None if self.blanks && left.starts_with(char::is_whitespace) => left.trim_start(),
                None => return None,
            };
        }
        let next = left.chars().next().unwrap_or(' ');
        // `lb in2` is a mass times an area, not the square of a moment: a name of several parts takes no power.
        let takes_power = !name.contains([' ', '-', '/', ':']) && !name.ends_with(|c: char| c.is_ascii_digit());
        let power = next.is_numeric() || next == '^';
        let ends = !next.is_alphabetic() && next != '_' && (takes_power || !power);
        ends.then_some(text.len() - left.len())
    }

    /// The power at that place, 1 if there is none; the error is the end of what is no power.
    fn power(&self, at: usize) -> Result<(i8, usize), usize> {
        let rest = self.rest(at);
        let (raised, caret) = match rest.strip_prefix('^') {
            Some(after) => (after, true),
            None => (rest, false),
        };
        let minus = raised.chars().next().filter(|c| (*c == '-' && caret) || *c == '⁻');
        let digits = raised.get(minus.map_or(0, char::len_utf8)..).unwrap_or("");
        let mut chars = digits.chars();
        let Some(power) = chars.next().and_then(small_digit) else {
            return if caret || minus.is_some() { Err(at + 1) } else { Ok((1, at)) };
        };
        let end = at + rest.len() - chars.as_str().len();
        let next = chars.as_str().chars().next().unwrap_or(' ');
        if power == 0 || next.is_alphanumeric() || next == '_' || next == '.' {
            return Err(end);
        }
        Ok((if minus.is_some() { -power } else { power }, end))
    }
}

fn small_digit(c: char) -> Option<i8> {
    let digit = match c {
        '0'..='9' => u32::from(c) - u32::from('0'),
        '⁰' | '⁴'..='⁹' => u32::from(c) - u32::from('⁰'),
        '¹' => 1,
        '²' => 2,
        '³' => 3,
        _ => return None,
    };
    digit.try_into().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spec(text: &str) -> String {
        match read_unit(text) {
            Ok((id, end)) => format!("{id}|{}", &text[end..]),
            Err(e) => format!("{:?} {}", e.problem, &text[e.range]),
        }
    }

    fn rule(text: &str) -> String {
        match unit_at(text) {
            None => "-".to_owned(),
            Some(Ok((unit, end))) => format!("{}|{}", unit.symbol(), &text[end..]),
            Some(Err(e)) => format!("{:?} {}", e.problem, &text[e.range]),
        }
    }

    #[test]
    fn units_of_a_spec() {
        for (text, read) in [
            ("mm", "mm|"),
            ("mm ± 2 mm", "mm| ± 2 mm"),
            ("N/mm", "N/mm|"),
            ("N / mm", "N/mm|"),
            ("g/(kW h)", "g/(kW h)|"),
            ("g/(kW·h)", "g/(kW h)|"),
            ("W/m2/K", "W/(m2 K)|"),
            ("kJ/kg/K", "kJ/(kg K)|"),
            ("mm²", "mm2|"),
            ("mm^2", "mm2|"),
            ("s^-1", "1/s|"),
            ("s⁻¹", "1/s|"),
            ("/K", "1/K|"),
            ("1/K", "1/K|"),
            ("lb in2", "lb in2|"),
            ("lb in", "lbf in|"),
            ("lb-ft", "lbf ft|"),
            ("N-m", "Nm|"),
            ("kW-h", "kW h|"),
            ("US gal/h", "US gal/h|"),
            ("US  gal", "US gal|"),
            ("km/h", "km/h|"),
            ("in Hg", "inHg|"),
            ("bar abs", "bar abs|"),
            ("m·kg·s", "m kg s|"),
            ("rev/min", "rpm|"),
            ("mm approximately", "mm| approximately"),
        ] {
            assert_eq!(spec(text), read, "{text}");
        }
    }

    #[test]
    fn units_of_a_spec_that_are_refused() {
        let texts = [
            "furlong",
            "mm/furlong",
            "gal",
            "L/gal",
            "g/kW h",
            "m/s*kg",
            "mm²²",
            "m^0",
            "m^",
            "m20",
            "W/(m K",
            "psig m",
            "dB(A)/m",
            "m kg s A K",
            "m9 m9",
            "((((m))))",
            "",
            "¢",
            "µ",
        ];
        let told: Vec<String> = texts.iter().map(|text| format!("{text} -> {}", spec(text))).collect();
        insta::assert_snapshot!(told.join("\n"));
    }

    #[test]
    fn units_at_the_start_of_a_rule() {
        for (text, read) in [
            ("mm and x", "mm| and x"),
            ("mm/x", "mm|/x"),
            ("mm/s/x", "mm/s|/x"),
            ("mm / s", "mm| / s"),
            ("mm*m_total", "mm|*m_total"),
            ("mm_total", "-"),
            ("millimetric", "-"),
            ("and x", "-"),
            ("rad/s2)", "rad/s2|)"),
            ("W/(m2*K)", "W/(m2 K)|"),
            ("W/(m2 + x)", "W|/(m2 + x)"),
            ("W/(x)", "W|/(x)"),
            ("mm^2", "mm2|"),
            ("mm^0.5", "mm|^0.5"),
            ("%", "%|"),
            ("US_gal", "US gal|"),
            ("\"in the tank\"", "-"),
            ("°C,", "°C|,"),
            (":1", ":1|"),
            (
                "gal",
                "Ambiguous([\"US gal\", \"imp gal\", \"L\"], \"a US gallon is 3.785 L, an imperial gallon 4.546 L\") gal",
            ),
            ("(mm)", "-"),
            ("1/s", "-"),
            ("", "-"),
        ] {
            assert_eq!(rule(text), read, "{text}");
        }
    }
}
