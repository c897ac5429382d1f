//! Reads a quantity from the text of a spec, for the kind that belongs at its place.
//!
//! `45 mm`, `1-3/4 in`, `0.6° ± 0.2°`, `45 ± 2 mm`, `28 psi ± 5 %`, `4.1:1`, `58 %`. Out comes the value in SI with the
//! author's unit and the tolerance, or an error which knows its place in the text. Nothing is allocated on success.

use super::error::{QuantityError, QuantityProblem as Problem, UnitProblem};
use super::kind::{Dimension, Exponents, Kind};
use super::number::{Number, read_number};
use super::unit::{Unit, UnitId};
use super::unit_text::read_unit;
use std::ops::Range;

/// A quantity as it was written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Written {
    /// The value in SI.
    pub si: f64,
    /// The expanded uncertainty (k = 2) in SI, not negative, if one is written.
    pub give_or_take: Option<f64>,
    /// The author's unit.
    pub unit: UnitId,
    /// Digits after the decimal point as written; `None` for a fraction or a power of ten.
    pub decimals: Option<u8>,
}

/// Reads the quantity that the whole text is. Blanks around it do not count.
///
/// The unit must measure `kind`. A plain pressure unit is taken on the scale of the kind, gauge or absolute; `°C` under a
/// temperature difference is a difference; `g` under an acceleration is standard gravity. A plain number is read for
/// [`Kind::Number`] only.
///
/// # Errors
/// Everything else, with its range in the text: see [`Problem`].
pub fn parse(text: &str, kind: Kind) -> Result<Written, QuantityError> {
    Reader { text, kind }.quantity().map_err(|(problem, range)| {
        let piece = text.get(range.clone()).unwrap_or(text).into();
        QuantityError { problem, range, kind, piece }
    })
}

/// The unit that is meant where a value of that kind belongs: `g` is a gram, but standard gravity for an acceleration.
pub(super) fn for_kind(id: UnitId, kind: Kind) -> UnitId {
    if kind != Kind::Acceleration || id.single().is_none_or(|atom| atom.symbol != "g") {
        return id;
    }
    id.with(|symbol| (symbol == "g").then_some("gn"))
}

type Step<T> = Result<T, (Problem, Range<usize>)>;

struct Reader<'a> {
    text: &'a str,
    kind: Kind,
}

impl Reader<'_> {
    fn rest(&self, at: usize) -> &str {
        self.text.get(at..).unwrap_or("")
    }

    fn skip_blanks(&self, at: usize) -> usize {
        let rest = self.rest(at);
        at + rest.len() - rest.trim_start().len()
    }

    fn number(&self, at: usize) -> Step<Number> {
        let read = read_number(self.rest(at)).map_err(|(problem, r)| (problem, at + r.start..at + r.end))?;
        Ok(Number { end: at + read.end, ..read })
    }

    fn quantity(&self) -> Step<Written> {
        let start = self.skip_blanks(0);
        let stop = self.text.trim_end().len();
        if start >= stop {
            return Err((Problem::Empty, 0..self.text.len()));
        }
        let value = self.number(start).map_err(|(problem, range)| (problem, range.start..range.end.min(stop)))?;
        let after = self.skip_blanks(value.end);
        self.refuse_span(start, after)?;
        if let Some(written) = self.ratio(value, after, stop)? {
            return Ok(written);
        }
        let early = self.tolerance_sign(after);
        let (unit, mut end) = match early {
            Some(_) => (None, after),
            None => self.unit(start, after, value.end)?,
        };
        let sign = early.or_else(|| self.tolerance_sign(self.skip_blanks(end)));
        let mut tolerance = None;
        if let Some(after_sign) = sign {
            let at = self.skip_blanks(after_sign);
            let number = self.number(at)?;
            if number.value.is_sign_negative() {
                return Err((Problem::NegativeTolerance, at..number.end));
            }
            let next = self.skip_blanks(number.end);
            let (own, own_end) = if next < stop { self.tolerance_unit(at, next)? } else { (None, number.end) };
            tolerance = Some((number, own, at));
            end = own_end;
        }
        if self.skip_blanks(end) < stop {
            return Err((Problem::Trailing, self.skip_blanks(end)..stop));
        }
        let shared = match tolerance {
            Some((_, Some(Own::Unit(own)), _)) if early.is_some() => Some(own),
            _ => unit,
        };
        let id = match shared {
            Some(id) => id,
            None if self.kind == Kind::Number => UnitId::NONE,
            None => return Err((Problem::MissingUnit, start..stop)),
        };
        self.written(value, id, tolerance, start..stop)
    }

    fn written(
        &self,
        value: Number,
        id: UnitId,
        tolerance: Option<(Number, Option<Own>, usize)>,
        range: Range<usize>,
    ) -> Step<Written> {
        let unit = id.unit();
        let si =
            if self.kind == Kind::Temperature { unit.to_si(value.value) } else { unit.difference_to_si(value.value) };
        let give_or_take = match tolerance {
            None => None,
            Some((_, Some(Own::Share(_)), at)) if self.kind == Kind::Temperature => {
                return Err((Problem::ShareOfPoint, at..range.end));
            }
            Some((number, Some(Own::Share(unit)), _)) => Some(si.abs() * unit.difference_to_si(number.value)),
            Some((number, Some(Own::Unit(own)), _)) => Some(own.unit().difference_to_si(number.value)),
            Some((number, None, _)) => Some(unit.difference_to_si(number.value)),
        };
        if !si.is_finite() || give_or_take.is_some_and(|u| !u.is_finite()) {
            return Err((Problem::TooLarge, range));
        }
        if si == 0.0 && value.value != 0.0 && unit.offset == 0.0 {
            return Err((Problem::TooSmall, range));
        }
        if si < 0.0 && matches!(self.kind, Kind::Temperature | Kind::AbsolutePressure) {
            return Err((Problem::BelowZero, range));
        }
        Ok(Written { si, give_or_take, unit: id, decimals: value.decimals })
    }

    /// `10 - 12 mm`, `10 to 12 mm`, `10…12 mm`.
    fn refuse_span(&self, start: usize, after: usize) -> Step<()> {
        let rest = self.rest(after);
        let Some(second) = ["-", "–", "−", "to ", "...", "..", "…"].iter().find_map(|sign| rest.strip_prefix(sign))
        else {
            return Ok(());
        };
        let at = self.text.len() - second.trim_start().len();
        match self.number(at) {
            Ok(number) => Err((Problem::Span, start..number.end)),
            Err(_) => Ok(()),
        }
    }

    /// `4.1:1`, `43:11`: a ratio is a number.
    fn ratio(&self, over: Number, after: usize, stop: usize) -> Step<Option<Written>> {
        if self.kind != Kind::Number || !self.rest(after).starts_with(':') {
            return Ok(None);
        }
        let at = self.skip_blanks(after + 1);
        let under = self.number(at)?;
        if self.skip_blanks(under.end) < stop {
            // `4.1:1 ± 0.1` goes the way of every other unit, and nothing else may follow.
            return if under.value == 1.0 { Ok(None) } else { Err((Problem::Trailing, under.end..stop)) };
        }
        if under.value == 0.0 {
            return Err((Problem::ZeroDenominator, 0..stop));
        }
        if under.value == 1.0 {
            return Ok(None);
        }
        let si = over.value / under.value;
        if !si.is_finite() {
            return Err((Problem::TooLarge, 0..stop));
        }
        Ok(Some(Written { si, give_or_take: None, unit: UnitId::NONE, decimals: None }))
    }

    fn tolerance_sign(&self, at: usize) -> Option<usize> {
        let rest = self.rest(at);
        ["±", "+/-", "+-", "+/−", "+−"].iter().find(|sign| rest.starts_with(**sign)).map(|sign| at + sign.len())
    }

    /// The unit at that place, which must measure the kind.
    fn unit(&self, start: usize, at: usize, number_end: usize) -> Step<(Option<UnitId>, usize)> {
        let stop = self.text.trim_end().len();
        if at >= stop {
            return Ok((None, number_end));
        }
        if self.rest(at).starts_with(|c: char| c.is_ascii_digit() || c == '.') && !self.rest(at).starts_with("1/") {
            return Err((
                Problem::BadNumber,
                start..self.text.len() - self.rest(at).trim_start_matches(is_number_part).len(),
            ));
        }
        let (id, end) =
            read_unit(self.rest(at)).map_err(|e| self.unit_problem(e.problem, at + e.range.start..at + e.range.end))?;
        let (id, end) = (for_kind(id, self.kind), at + end);
        if id.serves(self.kind) {
            return Ok((Some(id), end));
        }
        Err((self.why_not(id, self.text.get(start..at).unwrap_or("")), start..end))
    }

    fn unit_problem(&self, problem: UnitProblem, range: Range<usize>) -> (Problem, Range<usize>) {
        let stop = self.text.trim_end().len();
        (Problem::Unit(problem), range.start.min(stop)..range.end.min(stop))
    }

    /// The unit of a tolerance: that of the value's kind, or `%` of the value.
    fn tolerance_unit(&self, start: usize, at: usize) -> Step<(Option<Own>, usize)> {
        if self.kind != Kind::Number {
            let share =
                read_unit(self.rest(at)).ok().filter(|(id, _)| id.single().is_some_and(|atom| atom.symbol == "%"));
            if let Some((id, end)) = share {
                return Ok((Some(Own::Share(id.unit())), at + end));
            }
        }
        let (id, end) = self.unit(start, at, at)?;
        Ok((id.map(Own::Unit), end))
    }

    /// Why that unit does not measure the kind.
    fn why_not(&self, id: UnitId, number: &str) -> Problem {
        let as_force = id.with(|symbol| match symbol {
            "lb" => Some("lbf"),
            "oz" => Some("ozf"),
            "kg" => Some("kgf"),
            "g" => Some("gf"),
            _ => None,
        });
        if as_force != id && as_force.serves(self.kind) {
            return Problem::MassForForce(format!("{number}{as_force}").into());
        }
        let unit = id.unit();
        match unit.kind {
            Some(scale @ (Kind::GaugePressure | Kind::AbsolutePressure)) if unit.exponents == self.kind.exponents() => {
                return Problem::OtherScale(scale);
            }
            _ => {}
        }
        let (_, turns) = id.measure();
        if unit.exponents == self.kind.exponents()
            && unit.exponents != Exponents::NONE
            && turns == 0
            && self.kind.turns() == 1
        {
            return Problem::NoAngle;
        }
        let measured = match (unit.kind, turns) {
            (None, 0) => Dimension::of_exponents(unit.exponents).in_words(),
            (None, _) => format!("a value in {id}"),
            (Some(kind), _) => Dimension::from(kind).in_words(),
        };
        Problem::WrongKind(measured.into())
    }
}

/// The unit of a tolerance.
#[derive(Clone, Copy)]
enum Own {
    Unit(UnitId),
    Share(Unit),
}

fn is_number_part(c: char) -> bool {
    c.is_ascii_digit() || c == '.'
}
