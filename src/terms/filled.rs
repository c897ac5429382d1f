//! Reads a filled measuring list: which values were measured, how well, and what the spec said when the list was printed.
//!
//! A line is `PATH = VALUE [± UNCERTAINTY] [(was VALUE) | (not written)]`; lines that begin with `#` and empty ones say nothing, and a
//! blank is at least two low lines. Everything is read, so that all that is wrong with a list is said at once.

use super::bundle::is_number;
use super::round::Asked;
use super::spec::{Held, Spec, date_of};
use super::types::{Field, FieldType};
use crate::quantity::{Designation, Kind, parse, show};

/// A value outside the usual range by more than this share of its width is refused.
const BEYOND: f64 = 0.5;

/// One filled line.
#[derive(Debug, Clone)]
pub struct Filled<'a> {
    /// Its line in the list, from 1.
    pub line: usize,
    /// What was asked for.
    pub asked: Asked<'a>,
    /// What was measured.
    pub answer: Answer,
    /// What the spec said when the list was printed; none where the list does not say.
    pub then: Option<Then>,
}

/// What was measured.
#[derive(Debug, Clone, PartialEq)]
pub enum Answer {
    /// The car has no such thing.
    None,
    /// A quantity as written, with its uncertainty.
    Quantity(String, Option<String>),
    /// Three lengths as written, with the uncertainty of each.
    Point([String; 3], Option<String>),
    /// A word or number that stands bare.
    Bare(String),
    /// Any other text.
    Text(String),
}

/// What the spec said when the list was printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Then {
    /// Nothing.
    NotWritten,
    /// This, as the list shows it.
    Was(String),
}

/// What is wrong with a line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Misfit {
    /// The line, from 1.
    pub line: usize,
    /// What is wrong.
    pub message: String,
    /// The way out, where one can be named.
    pub help: Option<String>,
}

/// A list as read.
#[derive(Debug, Clone, Default)]
pub struct List<'a> {
    /// Filled lines, in order.
    pub filled: Vec<Filled<'a>>,
    /// Lines whose blanks were left.
    pub blank: usize,
    /// Everything that is wrong.
    pub misfits: Vec<Misfit>,
}

/// Reads a list for a spec.
pub fn read_list<'a>(text: &str, spec: &'a Spec) -> List<'a> {
    let mut list = List::default();
    for (at, line) in text.trim_start_matches('\u{feff}').lines().enumerate() {
        let number = at + 1;
        let line = line.trim();
        if line.is_empty() || line.starts_with('#') {
            continue;
        }
        match read_line(number, line, spec) {
            Ok(None) => list.blank += 1,
            Ok(Some(filled)) => match list.filled.iter().find(|other| other.asked.path == filled.asked.path) {
                Some(other) => {
                    let message = format!("{} stands in line {} already", filled.asked.path, other.line);
                    list.misfits.push(Misfit { line: number, message, help: None });
                }
                None => list.filled.push(filled),
            },
            Err((message, help)) => list.misfits.push(Misfit { line: number, message, help }),
        }
    }
    list
}

type Wrong = (String, Option<String>);

fn wrong(message: impl Into<String>) -> Wrong {
    (message.into(), None)
}

fn read_line<'a>(number: usize, line: &str, spec: &'a Spec) -> Result<Option<Filled<'a>>, Wrong> {
    let (asked, rest) = place_of(line, spec)?;
    let (rest, then) = then_of(rest.trim());
    let (value, accuracy) = match rest
        .find(['\u{b1}'])
        .map(|at| (at, '\u{b1}'.len_utf8()))
        .or_else(|| rest.find("+/-").map(|at| (at, 3)))
    {
        Some((at, length)) => (&rest[..at], Some(&rest[at + length..])),
        None => (rest, None),
    };
    let quantity = matches!(asked.field.ty, FieldType::Quantity(_) | FieldType::Point);
    let (value, accuracy) = (filled_in(value, quantity), accuracy.and_then(|accuracy| filled_in(accuracy, true)));
    let answer = match (value, accuracy) {
        (None, None) => return Ok(None),
        (None, Some(_)) => return Err(wrong("an uncertainty stands here without a value")),
        (Some(value), accuracy) => answer(&asked, &value, accuracy)?,
    };
    Ok(Some(Filled { line: number, asked, answer, then }))
}

/// The path in front of the first ` = ` with which the terms know it.
fn place_of<'a, 't>(line: &'t str, spec: &'a Spec) -> Result<(Asked<'a>, &'t str), Wrong> {
    let mut splits = line.match_indices('=').map(|(at, _)| (line[..at].trim_end(), &line[at + 1..]));
    let found = splits.clone().find_map(|(path, rest)| {
        let asked = spec.asked(path).filter(|asked| asked.path == path)?;
        Some((asked, rest))
    });
    if let Some((asked, rest)) = found {
        return match near_item(&asked.path, spec) {
            Some(near) => Err((format!("the spec has no place {}", asked.path), Some(format!("did you mean {near}?")))),
            None => Ok((asked, rest)),
        };
    }
    let Some((path, _)) = splits.next() else { return Err(wrong("this is no line of the form PATH = VALUE")) };
    let nearest = nearest_path(path, spec);
    Err((format!("the spec has no place {path}"), nearest.map(|near| format!("did you mean {near}?"))))
}

/// Where a path leads through an item that is not written, but one of nearly that name is: the path of that one.
fn near_item(path: &str, spec: &Spec) -> Option<String> {
    let stroke = path.char_indices().filter(|(_, c)| *c == '/').map(|(at, _)| at);
    for at in stroke {
        let Some(list) = path.get(..at).and_then(|list| spec.find(list)) else { continue };
        let Held::List { items, .. } = spec.held(list) else { continue };
        let name = path.get(at + 1..)?;
        let name = name.get(..name.find(['.', '/']).unwrap_or(name.len()))?;
        let names: Vec<&str> = items.iter().filter_map(|item| spec.name(*item)).collect();
        // Names may hold dots and strokes: where one begins the rest, that item is meant.
        if names.iter().any(|known| path.get(at + 1..).is_some_and(|rest| rest.starts_with(known))) {
            continue;
        }
        let near = super::nearest(name, names)?;
        return Some(format!("{}/{near}{}", path.get(..at)?, path.get(at + 1 + name.len()..)?));
    }
    None
}

/// Of the places of the spec the one with the nearest path.
fn nearest_path(path: &str, spec: &Spec) -> Option<String> {
    let all: Vec<String> = spec.places().map(|(id, _)| spec.path(id)).collect();
    super::nearest(path, all.iter().map(String::as_str)).map(str::to_string)
}

/// Takes `(was …)` or `(not written)` off the end.
fn then_of(rest: &str) -> (&str, Option<Then>) {
    if let Some(before) = rest.strip_suffix("(not written)") {
        return (before.trim_end(), Some(Then::NotWritten));
    }
    match (rest.rfind("(was "), rest.strip_suffix(')')) {
        (Some(at), Some(inside)) => {
            let was = inside.get(at + "(was ".len()..).unwrap_or_default();
            (rest[..at].trim_end(), Some(Then::Was(was.trim().to_string())))
        }
        _ => (rest, None),
    }
}

/// What was written over a blank; none if it was left. Of a quantity the unit stands there beforehand.
fn filled_in(text: &str, quantity: bool) -> Option<String> {
    let mut bare = String::new();
    let (mut low, mut blank) = (0, false);
    for c in text.chars() {
        low = if c == '_' { low + 1 } else { 0 };
        blank |= low == 2;
        match low {
            2 => drop(bare.pop()),
            3.. => {}
            _ => bare.push(c),
        }
    }
    let bare = bare.split_whitespace().collect::<Vec<_>>().join(" ");
    let begins = |c: char| c.is_ascii_digit() || "+-−.½¼¾⅛⅜⅝⅞".contains(c);
    let number = bare.trim_start_matches(['[', ' ']).starts_with(begins) || bare.starts_with("none");
    let left = bare.is_empty() || (quantity && blank && !number);
    (!left).then_some(bare)
}

fn answer(asked: &Asked, value: &str, accuracy: Option<String>) -> Result<Answer, Wrong> {
    let field = asked.field;
    // Behind it the unit may still stand.
    if value == "none" || (value.starts_with("none ") && matches!(field.ty, FieldType::Quantity(_))) {
        return Ok(Answer::None);
    }
    if accuracy.is_some() && !matches!(field.ty, FieldType::Quantity(_) | FieldType::Point) {
        return Err(wrong("no uncertainty belongs here"));
    }
    match &field.ty {
        FieldType::Quantity(kind) => {
            one_quantity(value, *kind, field)?;
            Ok(Answer::Quantity(value.into(), checked(accuracy, *kind)?))
        }
        FieldType::Point => {
            let inner = value.strip_prefix('[').and_then(|v| v.strip_suffix(']'));
            let axes: Vec<String> = inner.unwrap_or_default().split(',').map(|axis| axis.trim().to_string()).collect();
            let Ok(axes) = <[String; 3]>::try_from(axes) else {
                return Err(wrong("three lengths belong here, [x, y, z]"));
            };
            for axis in &axes {
                one_quantity(axis, Kind::Length, field)?;
            }
            Ok(Answer::Point(axes, checked(accuracy, Kind::Length)?))
        }
        FieldType::YesNo if value == "yes" || value == "no" => Ok(Answer::Bare(value.into())),
        FieldType::YesNo => Err(wrong("yes or no belongs here")),
        FieldType::Choice(choices) => match choices.iter().find(|choice| &***choice == value) {
            Some(choice) if is_number(choice) => Ok(Answer::Bare(value.into())),
            Some(_) => Ok(Answer::Text(value.into())),
            None => {
                let near = super::nearest(value, choices.iter().map(|choice| &**choice));
                let help = near.map(|near| format!("did you mean {near}?"));
                Err((format!("{value} is none of: {}", choices.join(", ")), help))
            }
        },
        FieldType::Date if date_of(value).is_some() => Ok(Answer::Text(value.into())),
        FieldType::Date => Err(wrong("a day belongs here, as 2026-05-02")),
        FieldType::Designation(kind) => match Designation::read(value, *kind) {
            Ok(_) => Ok(Answer::Text(value.into())),
            Err(_) => Err(wrong(format!("{value} is no designation of a {}", kind.name()))),
        },
        FieldType::Text | FieldType::Reference(_) => Ok(Answer::Text(value.into())),
        FieldType::Record(_) | FieldType::List(_) => Err(wrong("a list or section is written into the spec by hand")),
    }
}

fn one_quantity(text: &str, kind: Kind, field: &Field) -> Result<(), Wrong> {
    let written = parse(text, kind).map_err(|error| (error.message(), error.help()))?;
    let Some((low, high)) = field.usual else { return Ok(()) };
    let room = (high - low) * BEYOND;
    let far = written.si > high + room || written.si < low - room || (low > 0.0 && written.si < low * BEYOND);
    if far {
        let ends = [low, high].map(|si| show(si, kind.into(), Some(written.unit), None));
        let message = format!("{text} is far outside of what is usual here, {} to {}", ends[0], ends[1]);
        return Err((
            message,
            Some("look at the unit; what really is so unusual is written into the spec by hand".into()),
        ));
    }
    Ok(())
}

fn checked(accuracy: Option<String>, kind: Kind) -> Result<Option<String>, Wrong> {
    let Some(text) = accuracy else { return Ok(None) };
    let kind = kind.difference().unwrap_or(kind);
    match parse(&text, kind) {
        Ok(written) if written.si < 0.0 => Err(wrong("an uncertainty is not below zero")),
        Ok(_) => Ok(Some(text)),
        Err(error) => Err((error.message(), error.help())),
    }
}
