//! Reads a quantity from the text of a spec, for the kind that belongs at its place.
//!
//! `45 mm`, `1-3/4 in`, `0.6° ± 0.2°`, `45 ± 2 mm`, `28 psi ± 5 %`, `4.1:1`, `58 %`. Out comes the value in SI with the
//! author's unit and the tolerance, or an error which knows its place in the text. Nothing is allocated on success.

use super::error::{QuantityError, QuantityProblem as Problem, UnitProblem};
use super::kind::{Dimension, Exponents, Kind};
use super::number::{Number, read_number};
use super::unit::UnitId;
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
            if at >= stop {
                return Err((Problem::NoTolerance, self.skip_blanks(end)..after_sign));
            }
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
        let (factor, offset) = id.scale();
        let point = self.kind == Kind::Temperature;
        let si = if point { (value.value + offset) * factor } else { value.value * factor };
        let give_or_take = match tolerance {
            None => None,
            Some((_, Some(Own::Share(_)), at)) if point => return Err((Problem::ShareOfPoint, at..range.end)),
            Some((number, Some(Own::Share(unit)), _)) => Some(si.abs() * number.value * unit.scale().0),
            Some((number, Some(Own::Unit(own)), _)) => Some(number.value * own.scale().0),
            Some((number, None, _)) => Some(number.value * factor),
        };
        if !si.is_finite() || give_or_take.is_some_and(|u| !u.is_finite()) {
            return Err((Problem::TooLarge, range));
        }
        if si == 0.0 && value.value != 0.0 && !point {
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
            return if under.value == 1.0 {
                Ok(None)
            } else {
                Err((Problem::Trailing, self.skip_blanks(under.end)..stop))
            };
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
                return Ok((Some(Own::Share(id)), at + end));
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
    Share(UnitId),
}

fn is_number_part(c: char) -> bool {
    c.is_ascii_digit() || c == '.'
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str, kind: Kind) -> Written {
        parse(text, kind).unwrap_or_else(|e| panic!("{text}: {}", e.message()))
    }

    #[test]
    fn quantities_as_builders_write_them() {
        for (text, kind, si, unit) in [
            ("45 mm", Kind::Length, 0.045, "mm"),
            ("45mm", Kind::Length, 0.045, "mm"),
            ("  45 mm ", Kind::Length, 0.045, "mm"),
            ("1-3/4 in", Kind::Length, 0.04445, "in"),
            ("1 3/4\"", Kind::Length, 0.04445, "in"),
            ("15/16 in", Kind::Length, 0.023_812_5, "in"),
            ("-3.4°", Kind::Angle, -0.059_341_194_567_807_2, "deg"),
            ("0 deg", Kind::Angle, 0.0, "deg"),
            ("95 °C", Kind::Temperature, 368.15, "°C"),
            ("15 °C", Kind::TemperatureDifference, 15.0, "°C"),
            ("-40 °C", Kind::Temperature, 233.15, "°C"),
            ("4.1:1", Kind::Number, 4.1, ":1"),
            ("4.1 : 1", Kind::Number, 4.1, ":1"),
            ("47:12", Kind::Number, 47.0 / 12.0, ""),
            ("58 %", Kind::Number, 0.58, "%"),
            ("0.35", Kind::Number, 0.35, ""),
            ("3/4", Kind::Number, 0.75, ""),
            ("96 dB(A)", Kind::SoundLevel, 96.0, "dB(A)"),
            ("2.1 bar", Kind::GaugePressure, 2.1e5, "bar"),
            ("2.1 bar gauge", Kind::GaugePressure, 2.1e5, "bar gauge"),
            ("101.3 kPa abs", Kind::AbsolutePressure, 101_300.0, "kPa abs"),
            ("0.8 g", Kind::Acceleration, 7.845_32, "gn"),
            ("0.8 g", Kind::Mass, 0.0008, "g"),
            ("350 lbf/in", Kind::SpringRate, 61_294.392_336_27, "lbf/in"),
            ("1350 N m", Kind::Torque, 1350.0, "N m"),
            ("11.7e-6 1/K", Kind::Expansion, 11.7e-6, "1/K"),
            ("11.7e-6/K", Kind::Expansion, 11.7e-6, "1/K"),
        ] {
            let written = read(text, kind);
            assert!((written.si - si).abs() <= 1e-9 * si.abs(), "{text}: {}", written.si);
            assert_eq!(written.unit.to_string(), unit, "{text}");
            assert_eq!(written.give_or_take, None, "{text}");
        }
    }

    #[test]
    fn tolerances() {
        for (text, kind, si, give_or_take, unit) in [
            ("45 mm ± 2 mm", Kind::Length, 0.045, 0.002, "mm"),
            ("45 mm ± 2", Kind::Length, 0.045, 0.002, "mm"),
            ("45 ± 2 mm", Kind::Length, 0.045, 0.002, "mm"),
            ("45±2mm", Kind::Length, 0.045, 0.002, "mm"),
            ("45 mm +/- 2 mm", Kind::Length, 0.045, 0.002, "mm"),
            ("45 mm +- 1/16 in", Kind::Length, 0.045, 0.001_587_5, "mm"),
            ("90 °C ± 2 °C", Kind::Temperature, 363.15, 2.0, "°C"),
            ("90 °C ± 2 K", Kind::Temperature, 363.15, 2.0, "°C"),
            ("90 ± 9 °F", Kind::Temperature, 305.372_222_222_222_2, 5.0, "°F"),
            ("200 N ± 5 %", Kind::Force, 200.0, 10.0, "N"),
            ("-200 N ± 5%", Kind::Force, -200.0, 10.0, "N"),
            ("58 % ± 2 %", Kind::Number, 0.58, 0.02, "%"),
            ("58 ± 2 %", Kind::Number, 0.58, 0.02, "%"),
            ("4.1:1 ± 0.1", Kind::Number, 4.1, 0.1, ":1"),
            ("0.35 ± 0.02", Kind::Number, 0.35, 0.02, ""),
        ] {
            let written = read(text, kind);
            assert!((written.si - si).abs() <= 1e-12 * si.abs(), "{text}: {}", written.si);
            let spread = written.give_or_take.unwrap_or(f64::NAN);
            assert!((spread - give_or_take).abs() <= 1e-12, "{text}: {spread}");
            assert_eq!(written.unit.to_string(), unit, "{text}");
        }
    }

    #[test]
    fn decimals_are_kept_as_written() {
        for (text, decimals) in
            [("45 mm", Some(0)), ("45.0 mm", Some(1)), ("0.250 mm", Some(3)), ("3/4 in", None), ("1e3 mm", None)]
        {
            assert_eq!(read(text, Kind::Length).decimals, decimals, "{text}");
        }
    }

    #[test]
    fn what_is_refused_says_why_and_shows_the_way_out() {
        let texts = [
            ("", Kind::Length),
            ("   ", Kind::Number),
            ("about 45 mm", Kind::Length),
            ("--3 mm", Kind::Length),
            ("1.2.3 mm", Kind::Length),
            ("1 200 mm", Kind::Length),
            ("45,5 mm", Kind::Length),
            ("1,200 mm", Kind::Length),
            ("1e999 mm", Kind::Length),
            ("1e308 km", Kind::Length),
            ("1e-999 mm", Kind::Length),
            ("1e-323 mm", Kind::Length),
            ("NaN mm", Kind::Length),
            ("1/0 in", Kind::Length),
            ("1-7/4 in", Kind::Length),
            ("10-12 mm", Kind::Length),
            ("10 to 12 mm", Kind::Length),
            ("45", Kind::Length),
            ("45 ± 2", Kind::Length),
            ("28", Kind::GaugePressure),
            ("45 ms", Kind::Length),
            ("45 Mm", Kind::Length),
            ("45 milimeters", Kind::Length),
            ("45 cubits", Kind::Length),
            ("95 C", Kind::Temperature),
            ("28 KPA", Kind::GaugePressure),
            ("28 psi", Kind::Length),
            ("20 Nm", Kind::Energy),
            ("20 J", Kind::Torque),
            ("5 %", Kind::Angle),
            ("5 deg", Kind::Number),
            ("350 lb/in", Kind::SpringRate),
            ("120 kg", Kind::Force),
            ("50 1/s", Kind::RotationalSpeed),
            ("50 Hz", Kind::RotationalSpeed),
            ("3000 rpm", Kind::Frequency),
            ("14 psia", Kind::GaugePressure),
            ("14 psig", Kind::AbsolutePressure),
            ("2 bar gauge", Kind::Pressure),
            ("-300 °C", Kind::Temperature),
            ("-1 bar", Kind::AbsolutePressure),
            ("12 gal", Kind::Volume),
            ("12 gal/h", Kind::VolumeFlow),
            ("2 ton", Kind::Mass),
            ("150 hp", Kind::Power),
            ("0.5 lb/(hp h)", Kind::SpecificConsumption),
            ("310 g/kW h", Kind::SpecificConsumption),
            ("40 W/(m2 K", Kind::HeatTransfer),
            ("40 mm2.5", Kind::Area),
            ("40 m kg s A K", Kind::Length),
            ("4 dB(A)/m", Kind::SoundLevel),
            ("45 mm ± -2 mm", Kind::Length),
            ("45 mm ± 2 s", Kind::Length),
            ("45 mm ±", Kind::Length),
            ("90 °C ± 5 %", Kind::Temperature),
            ("45 mm long", Kind::Length),
            ("0.35 or so", Kind::Number),
            ("4:0", Kind::Number),
            ("4:2 mm", Kind::Number),
        ];
        let told: Vec<String> = texts
            .iter()
            .map(|(text, kind)| match parse(text, *kind) {
                Ok(written) => format!("{text:?} was read: {written:?}"),
                Err(e) => {
                    assert!(text.get(e.range.clone()).is_some(), "{text}: {:?}", e.range);
                    format!("{text}\n  {}\n  {}", e.message(), e.help().unwrap_or_else(|| "-".to_owned()))
                }
            })
            .collect();
        insta::assert_snapshot!(told.join("\n"));
    }
}
