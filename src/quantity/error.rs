//! What can be wrong with the text of a quantity or a unit: problems as data, and their words with the way out.

use super::algebra::with_article;
use super::kind::Kind;
use super::unit::usual_units;
use super::unit_text::all_names;
use std::ops::Range;

/// What is wrong with a unit.
#[derive(Debug, Clone, PartialEq)]
pub enum UnitProblem {
    /// No unit has that name.
    Unknown,
    /// Several units have that name: those to choose from, and in what they differ.
    Ambiguous(&'static [&'static str], &'static str),
    /// A factor after a division without brackets, as `g/kW h`.
    TwoReadings,
    /// A bracket is not closed.
    OpenBracket,
    /// Not a whole power from 1 to 9.
    BadPower,
    /// More than four different named units, or a power above 9.
    TooLong,
    /// That unit cannot be part of a compound one.
    Alone(&'static str),
}

/// A problem with a unit, and where in the text.
#[derive(Debug, Clone, PartialEq)]
pub struct UnitError {
    /// What is wrong.
    pub problem: UnitProblem,
    /// Bytes of the text that it is about.
    pub range: Range<usize>,
}

/// What is wrong with the text of a quantity.
#[derive(Debug, Clone, PartialEq)]
pub enum QuantityProblem {
    /// There is nothing.
    Empty,
    /// It does not start with a number.
    NoNumber,
    /// Not a number that can be read.
    BadNumber,
    /// A comma in a number; with a point it would be this.
    DecimalComma(Box<str>),
    /// Beyond the largest number that can be held.
    TooLarge,
    /// Not zero, and below the smallest number that can be held.
    TooSmall,
    /// A fraction with nothing below the line.
    ZeroDenominator,
    /// A mixed number with a fraction of one or more.
    ImproperFraction,
    /// Two numbers, where one belongs.
    Span,
    /// A number without its unit.
    MissingUnit,
    /// The unit cannot be read.
    Unit(UnitProblem),
    /// The unit measures something else: that, in words.
    WrongKind(Box<str>),
    /// A unit of mass in the place of a force; with a force it would be this.
    MassForForce(Box<str>),
    /// Per time, without the angle that makes it a rotation.
    NoAngle,
    /// Marked as gauge or absolute, and the other, or a difference, belongs here.
    OtherScale(Kind),
    /// Below the zero of an absolute scale.
    BelowZero,
    /// `±` with nothing after it.
    NoTolerance,
    /// A tolerance with a minus sign.
    NegativeTolerance,
    /// A share of a value whose zero is arbitrary.
    ShareOfPoint,
    /// Something follows that is no part of the quantity.
    Trailing,
}

/// A problem with the text of a quantity, where in it, and what belonged there.
#[derive(Debug, Clone, PartialEq)]
pub struct QuantityError {
    /// What is wrong.
    pub problem: QuantityProblem,
    /// Bytes of the text that it is about.
    pub range: Range<usize>,
    /// The kind that belongs here.
    pub kind: Kind,
    /// The text of that range.
    pub piece: Box<str>,
}

/// `mm, in or m`
fn choice(of: &[&str]) -> String {
    match of {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [first @ .., last] => format!("{} or {last}", first.join(", ")),
    }
}

fn usual(kind: Kind) -> String {
    choice(usual_units(kind))
}

impl UnitProblem {
    fn message(&self, piece: &str) -> String {
        match self {
            UnitProblem::Unknown if piece.is_empty() => "a unit is missing".to_owned(),
            UnitProblem::Unknown => format!("`{piece}` is not a known unit"),
            UnitProblem::Ambiguous(_, why) => format!("`{piece}` is more than one unit: {why}"),
            UnitProblem::TwoReadings => format!("`{piece}` can be read in two ways"),
            UnitProblem::OpenBracket => format!("`{piece}` lacks a closing bracket"),
            UnitProblem::BadPower => format!("`{piece}` has a power that cannot be read"),
            UnitProblem::TooLong => format!("`{piece}` has too many parts for a unit"),
            UnitProblem::Alone(unit) => format!("`{unit}` cannot be part of another unit"),
        }
    }

    fn help(&self, piece: &str, kind: Option<Kind>) -> Option<String> {
        Some(match self {
            UnitProblem::Unknown => match (nearest(piece, kind), kind) {
                (Some(name), _) => format!("is `{name}` meant?"),
                (None, Some(Kind::Number)) => PLAIN_NUMBER.to_owned(),
                (None, Some(kind)) => format!("{} is written in {}", with_article(kind.name()), usual(kind)),
                (None, None) => return None,
            },
            UnitProblem::Ambiguous(choices, _) => format!("write {}", choice(choices)),
            UnitProblem::TwoReadings => "put what is below the line in brackets, as in `g/(kW h)`".to_owned(),
            UnitProblem::OpenBracket => "close the bracket with `)`".to_owned(),
            UnitProblem::BadPower => "a power is a whole number from 1 to 9, as in `mm2` or `m/s2`".to_owned(),
            UnitProblem::TooLong => {
                "a unit has at most four different names, each to the power of 9 at most".to_owned()
            }
            UnitProblem::Alone(_) => return None,
        })
    }
}

impl UnitError {
    /// What is wrong with the unit in that text, in one sentence without a full stop.
    pub fn message(&self, text: &str) -> String {
        self.problem.message(text.get(self.range.clone()).unwrap_or(""))
    }

    /// The way out, where there is one.
    pub fn help(&self, text: &str) -> Option<String> {
        self.problem.help(text.get(self.range.clone()).unwrap_or(""), None)
    }
}

/// `1,200` can be meant as thousands.
fn thousands(piece: &str) -> bool {
    piece.split_once(',').is_some_and(|(_, digits)| digits.len() == 3)
}

const PLAIN_NUMBER: &str = "write a number, a share like `58 %` or a ratio like `4.1:1`";

impl QuantityError {
    /// What is wrong, in one sentence without a full stop.
    pub fn message(&self) -> String {
        let piece = &self.piece;
        let wanted = with_article(self.kind.name());
        match &self.problem {
            QuantityProblem::Empty => format!("nothing is written; {wanted} belongs here"),
            QuantityProblem::NoNumber => format!("`{piece}` does not start with a number; {wanted} belongs here"),
            QuantityProblem::BadNumber => format!("`{piece}` is not a number"),
            QuantityProblem::DecimalComma(_) => format!("`{piece}` has a comma"),
            QuantityProblem::TooLarge => format!("`{piece}` is too large a number"),
            QuantityProblem::TooSmall => format!("`{piece}` is too small a number"),
            QuantityProblem::ZeroDenominator => format!("`{piece}` divides by zero"),
            QuantityProblem::ImproperFraction => format!("the fraction in `{piece}` is one or more"),
            QuantityProblem::Span => format!("`{piece}` is a range; one value belongs here"),
            QuantityProblem::MissingUnit => format!("`{piece}` has no unit; {wanted} belongs here"),
            QuantityProblem::Unit(problem) => problem.message(piece),
            QuantityProblem::WrongKind(measured) => format!("`{piece}` is {measured}; {wanted} belongs here"),
            QuantityProblem::MassForForce(_) => format!("`{piece}` has a unit of mass where a force is meant"),
            QuantityProblem::NoAngle => format!("`{piece}` does not say what turns; {wanted} belongs here"),
            QuantityProblem::OtherScale(scale) => {
                format!("`{piece}` is marked as {}; {wanted} belongs here", with_article(scale.name()))
            }
            QuantityProblem::BelowZero if self.kind == Kind::Temperature => format!("`{piece}` is below absolute zero"),
            QuantityProblem::BelowZero => format!("`{piece}` is below vacuum"),
            QuantityProblem::NoTolerance => format!("no number follows `{piece}`"),
            QuantityProblem::NegativeTolerance => format!("`{piece}` is a negative tolerance"),
            QuantityProblem::ShareOfPoint => format!("`{piece}` is a share of {wanted}, whose zero is arbitrary"),
            QuantityProblem::Trailing => format!("`{piece}` is no part of {wanted}"),
        }
    }

    /// The way out, where there is one.
    pub fn help(&self) -> Option<String> {
        let kind = self.kind;
        Some(match &self.problem {
            QuantityProblem::Unit(problem) => return problem.help(&self.piece, Some(kind)),
            QuantityProblem::DecimalComma(write) if thousands(&self.piece) => {
                format!("write `{}` for thousands, or `{write}` with a decimal point", self.piece.replace(',', ""))
            }
            QuantityProblem::DecimalComma(write) => {
                format!("the decimal sign is a point: `{write}`")
            }
            QuantityProblem::BadNumber => "write it as in `45`, `0.5` or `1-3/4`".to_owned(),
            QuantityProblem::ImproperFraction => "write it as a decimal, or as a mixed number like `2-3/4`".to_owned(),
            QuantityProblem::Span => "write the middle and half the width, as in `11 mm ± 1 mm`".to_owned(),
            QuantityProblem::MassForForce(write) => format!("write `{write}`"),
            QuantityProblem::OtherScale(_) if kind == Kind::Pressure => {
                "a pressure difference has no scale: leave the mark away if a difference is meant".to_owned()
            }
            QuantityProblem::OtherScale(_) => {
                "gauge pressure is counted from the air around, absolute pressure from vacuum: convert it".to_owned()
            }
            QuantityProblem::BelowZero if kind == Kind::AbsolutePressure => {
                "a pressure below that of the air around is negative as a gauge pressure only".to_owned()
            }
            QuantityProblem::NegativeTolerance => "`±` goes both ways: write it without the minus sign".to_owned(),
            QuantityProblem::ShareOfPoint => format!("write the tolerance in {}", usual(kind)),
            QuantityProblem::NoNumber
            | QuantityProblem::Empty
            | QuantityProblem::WrongKind(_)
            | QuantityProblem::Trailing
                if kind == Kind::Number =>
            {
                PLAIN_NUMBER.to_owned()
            }
            QuantityProblem::MissingUnit
            | QuantityProblem::NoNumber
            | QuantityProblem::Empty
            | QuantityProblem::WrongKind(_)
            | QuantityProblem::NoAngle => format!("{} is written in {}", with_article(kind.name()), usual(kind)),
            QuantityProblem::NoTolerance
            | QuantityProblem::TooLarge
            | QuantityProblem::TooSmall
            | QuantityProblem::ZeroDenominator
            | QuantityProblem::BelowZero => return None,
            QuantityProblem::Trailing => "a quantity is a number, its unit and perhaps `±` a tolerance".to_owned(),
        })
    }
}

/// The unit whose name is nearest to what was written: the same letters in another case, a missing degree sign, or one
/// slip in a longer name. Units of the wanted kind come first.
fn nearest(written: &str, kind: Option<Kind>) -> Option<&'static str> {
    let serves = |name: &str| {
        kind.is_some_and(|k| super::unit_text::read_unit(name).is_ok_and(|(id, end)| end == name.len() && id.serves(k)))
    };
    let degrees = format!("°{written}");
    let (lower, length) = (written.to_lowercase(), written.chars().count());
    let slips = if length < 3 { 0 } else { 1 + length / 6 };
    all_names()
        .filter_map(|name| {
            let distance =
                if name == degrees || name.to_lowercase() == lower { 0 } else { strsim::osa_distance(name, written) };
            (distance <= slips).then_some((!serves(name), distance, name))
        })
        .min()
        .map(|(_, _, name)| name)
}
