//! Arithmetic, built-in and registered functions, with first-order uncertainty.

use super::super::code::Builtin;
use super::super::evidence::Evidence;
use super::super::function::{Argument, Call, Output, ParameterType};
use super::super::made::{Uncertainty, value_of};
use super::super::number::{Number, Spread, Spreads};
use super::super::syntax::Arithmetic;
use super::super::unknown::Unknown;
use super::super::value::{Reading, Value};
use super::{Evaluator, needed};
use crate::quantity::{Dimension, Kind};
use smallvec::SmallVec;
use std::rc::Rc;

/// Step of a numeric derivative, as a share of the argument; the cube root of the machine's precision balances rounding
/// against curvature in a central difference.
const STEP: f64 = 6e-6;

impl Evaluator<'_> {
    #[inline(never)]
    pub(super) fn negative(&mut self, inner: Reading) -> Reading {
        self.mapped(inner, |value| match value {
            Value::Number(n) => {
                let mut out = n.clone();
                out.si = -n.si;
                out.spread = n.spread.scaled(-1.0);
                Some(Reading::known(Value::Number(out), Evidence::NONE))
            }
            _ => None,
        })
    }

    #[inline(never)]
    pub(super) fn arithmetic(&mut self, op: Arithmetic, a: Reading, b: Reading, result: Dimension) -> Reading {
        let evidence = self.evidence.join(a.evidence, b.evidence);
        let readings = [a, b];
        if let Some(unknown) = needed(&readings) {
            return Reading::unknown(unknown, evidence);
        }
        let value = match (&readings[0].value, &readings[1].value) {
            (Ok(Value::Number(l)), Ok(Value::Number(r))) => numbers(op, l, r, result),
            (Ok(Value::Date(l)), Ok(Value::Date(r))) => {
                let days = (*l - *r).get_days();
                Ok(Value::Number(Number::exact(f64::from(days) * 86_400.0, Kind::Time.into())))
            }
            (Ok(Value::Date(date)), Ok(Value::Number(n))) => {
                let days = (n.si / 86_400.0).round() as i64 * if op == Arithmetic::Minus { -1 } else { 1 };
                jiff::Span::new()
                    .try_days(days)
                    .and_then(|span| date.checked_add(span))
                    .map(Value::Date)
                    .map_err(|_| Unknown::beyond("this date lies beyond the calendar"))
            }
            _ => Err(Unknown::none()),
        };
        Reading { value, evidence }
    }

    #[inline(never)]
    pub(super) fn power(&mut self, base: Reading, halves: i8, result: Dimension) -> Reading {
        let exponent = f64::from(halves) / 2.0;
        self.mapped(base, |value| {
            let Value::Number(n) = value else { return None };
            let si = n.si.powf(exponent);
            let slope = exponent * n.si.powf(exponent - 1.0);
            Some(number(si, result, n.spread.scaled(slope)))
        })
    }

    #[inline(never)]
    pub(super) fn builtin(&mut self, which: Builtin, arguments: &[Reading]) -> Reading {
        let evidence = self.joined(arguments);
        if let Some(unknown) = needed(arguments) {
            return Reading::unknown(unknown, evidence);
        }
        let points: Vec<_> = arguments
            .iter()
            .filter_map(|a| if let Ok(Value::Point(p)) = &a.value { Some(p.clone()) } else { None })
            .collect();
        if let [p, q] = &points[..] {
            let d: [f64; 3] = std::array::from_fn(|i| q[i].si - p[i].si);
            let length = d.iter().map(|x| x * x).sum::<f64>().sqrt();
            let mut out = Number::exact(length, Kind::Length.into());
            out.unit = p[0].unit;
            if length > 0.0 {
                for i in 0..3 {
                    out.spread = out.spread.joined(1.0, &q[i].spread, d[i] / length);
                    out.spread = out.spread.joined(1.0, &p[i].spread, -d[i] / length);
                }
            }
            return Reading::known(Value::Number(out), evidence);
        }
        let numbers: Vec<&Number> = arguments.iter().filter_map(Reading::number).collect();
        let reading = match &numbers[..] {
            [n] => one(which, n),
            [x, y, z] => {
                let point = [x, y, z].map(|n| (*n).clone());
                Reading::known(Value::Point(Rc::new(point)), Evidence::NONE)
            }
            [n, air] => {
                let (kind, sign) = if which == Builtin::Absolute {
                    (Kind::AbsolutePressure, 1.0)
                } else {
                    (Kind::GaugePressure, -1.0)
                };
                let mut out = Number::exact(n.si + sign * air.si, kind.into());
                out.unit = n.unit;
                out.spread = n.spread.joined(1.0, &air.spread, sign);
                Reading::known(Value::Number(out), Evidence::NONE)
            }
            _ => Reading::unknown(Unknown::none(), Evidence::NONE),
        };
        Reading { value: reading.value, evidence }
    }

    /// Best of several ways to know a value: the smallest stated uncertainty; one without any comes last.
    #[inline(never)]
    pub(super) fn best(&mut self, readings: &[Reading]) -> Reading {
        let mut order: Vec<(f64, usize)> = readings
            .iter()
            .enumerate()
            .filter_map(|(i, r)| r.number().map(|n| (n.spread.expanded(), i)))
            .map(|(u, i)| (if u > 0.0 { u } else { f64::INFINITY }, i))
            .collect();
        order.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let Some((uncertainty, chosen)) = order.first().copied() else {
            let mut readings = readings.iter();
            let Some(first) = readings.next().cloned() else {
                return Reading::unknown(Unknown::none(), Evidence::NONE);
            };
            return readings.fold(first, |known, next| self.fallback(known, next.clone()));
        };
        let rest: Vec<Reading> =
            readings.iter().enumerate().filter(|(i, _)| *i != chosen).map(|(_, r)| r.clone()).collect();
        let considered = self.joined(&rest);
        let mut reading = self.decided(readings[chosen].value.clone(), readings[chosen].evidence, considered);
        if order.len() < 2 {
            return reading;
        }
        let why =
            if uncertainty.is_finite() { "the smaller uncertainty" } else { "no uncertainty is stated; the first" };
        let note = self.chosen(&format!("{} of {} ways to know it: {why}", chosen + 1, readings.len()));
        reading.evidence = self.evidence.join(reading.evidence, note);
        reading
    }

    #[inline(never)]
    pub(super) fn native(&mut self, at: usize, readings: &[Reading]) -> Reading {
        let evidence = self.joined(readings);
        if let Some(unknown) = needed(readings) {
            return Reading::unknown(unknown, evidence);
        }
        let library = self.library;
        let function = &library.functions[at];
        let mut arguments: SmallVec<[Argument; 8]> = SmallVec::new();
        let mut uncertain: Vec<(usize, usize, Spread)> = Vec::new();
        for (i, (reading, parameter)) in readings.iter().zip(&function.takes).enumerate() {
            let Ok(value) = &reading.value else { return Reading::unknown(Unknown::none(), evidence) };
            match argument(value, &parameter.ty, i, &mut uncertain) {
                Ok(argument) => arguments.push(argument),
                Err(unknown) => return Reading::unknown(unknown, evidence),
            }
        }
        self.steps += 20;
        let call = function.call;
        let output = match call(&arguments) {
            Ok(output) => output,
            Err(words) => return Reading::unknown(Unknown::beyond(format!("{}: {words}", function.name)), evidence),
        };
        if !is_finite(&output) {
            return Reading::unknown(Unknown::beyond(format!("{}: no finite result", function.name)), evidence);
        }
        if uncertain.is_empty() {
            return Reading { value: value_of(output, &function.gives, &Uncertainty::NONE), evidence };
        }
        let mut slopes = Slopes::of(&output);
        let mut spreads = Spreads::of(uncertain.iter().map(|(_, _, spread)| spread), slopes.count);
        for (i, part, spread) in &uncertain {
            self.steps += 40;
            slopes.take(call, &mut arguments, *i, *part);
            spreads.add(spread, slopes.slopes());
        }
        Reading { value: value_of(output, &function.gives, &Uncertainty::of(spreads)), evidence }
    }
}

fn number(si: f64, dimension: Dimension, spread: Spread) -> Reading {
    if !si.is_finite() {
        return Reading::unknown(Unknown::beyond("this computation has no finite result"), Evidence::NONE);
    }
    let mut out = Number::exact(si, dimension);
    out.spread = spread;
    Reading::known(Value::Number(out), Evidence::NONE)
}

fn numbers(op: Arithmetic, l: &Number, r: &Number, result: Dimension) -> Result<Value, Unknown> {
    let (si, spread) = match op {
        Arithmetic::Plus => (l.si + r.si, l.spread.plus(&r.spread)),
        Arithmetic::Minus => (l.si - r.si, l.spread.joined(1.0, &r.spread, -1.0)),
        Arithmetic::Times => (l.si * r.si, l.spread.joined(r.si, &r.spread, l.si)),
        Arithmetic::Over => (l.si / r.si, l.spread.joined(1.0 / r.si, &r.spread, -l.si / (r.si * r.si))),
    };
    if !si.is_finite() {
        return Err(Unknown::beyond(if r.si == 0.0 {
            "a division by zero"
        } else {
            "a number too large to compute with"
        }));
    }
    // The result is shown like the operand of its own kind.
    let unit = if l.dimension.exponents == result.exponents && l.dimension.kind == result.kind {
        l.unit
    } else if r.dimension.exponents == result.exponents && r.dimension.kind == result.kind {
        r.unit
    } else {
        None
    };
    Ok(Value::Number(Number { si, dimension: result, unit, spread }))
}

fn one(which: Builtin, n: &Number) -> Reading {
    let plain: Dimension = Kind::Number.into();
    let angle: Dimension = Kind::Angle.into();
    let root_dimension = n.dimension.root().unwrap_or(plain);
    let x = n.si;
    let (si, slope, dimension) = match which {
        Builtin::Abs => (x.abs(), x.signum(), n.dimension),
        Builtin::Sqrt => (x.sqrt(), 0.5 / x.sqrt(), root_dimension),
        Builtin::Sin => (x.sin(), x.cos(), plain),
        Builtin::Cos => (x.cos(), -x.sin(), plain),
        Builtin::Tan => (x.tan(), 1.0 / (x.cos() * x.cos()), plain),
        Builtin::Asin => (x.asin(), 1.0 / (1.0 - x * x).sqrt(), angle),
        Builtin::Acos => (x.acos(), -1.0 / (1.0 - x * x).sqrt(), angle),
        Builtin::Atan => (x.atan(), 1.0 / (1.0 + x * x), angle),
        Builtin::RoundUp => (x.ceil(), 0.0, plain),
        Builtin::RoundDown => (x.floor(), 0.0, plain),
        Builtin::Nominal => (x, 0.0, n.dimension),
        Builtin::GiveOrTake if n.spread.is_none() => return Reading::unknown(Unknown::none(), Evidence::NONE),
        Builtin::GiveOrTake => {
            (n.spread.expanded(), 0.0, n.dimension.kind.and_then(Kind::difference).map_or(n.dimension, Dimension::from))
        }
        Builtin::Distance | Builtin::Point | Builtin::Absolute | Builtin::Gauge => {
            return Reading::unknown(Unknown::none(), Evidence::NONE);
        }
    };
    let mut reading = number(si, dimension, n.spread.scaled(slope));
    if matches!(which, Builtin::Abs | Builtin::Nominal | Builtin::GiveOrTake)
        && let Ok(Value::Number(out)) = &mut reading.value
    {
        out.unit = n.unit;
    }
    reading
}

/// An argument in SI; uncertain numbers in it are noted with their argument and their number among its parts.
fn argument(
    value: &Value,
    wanted: &ParameterType,
    at: usize,
    uncertain: &mut Vec<(usize, usize, Spread)>,
) -> Result<Argument, Unknown> {
    let mut take = |part: usize, n: &Number| {
        if !n.spread.is_none() {
            uncertain.push((at, part, n.spread.clone()));
        }
        n.si
    };
    match (value, wanted) {
        (Value::Number(n), _) => Ok(Argument::Number(take(0, n))),
        (Value::Truth(t, _), _) => Ok(Argument::Truth(*t)),
        (Value::Point(p), _) => Ok(Argument::Point([take(0, &p[0]), take(1, &p[1]), take(2, &p[2])])),
        (Value::Text(_) | Value::Choice(..), _) => Ok(Argument::Word(value.shown())),
        (Value::List(items), ParameterType::Points) => {
            let mut points = Vec::with_capacity(items.len());
            for (i, item) in items.iter().enumerate() {
                match &item.value {
                    Ok(Value::Point(p)) => {
                        points.push([take(3 * i, &p[0]), take(3 * i + 1, &p[1]), take(3 * i + 2, &p[2])]);
                    }
                    Ok(_) => return Err(Unknown::none()),
                    Err(unknown) => return Err(unknown.clone()),
                }
            }
            Ok(Argument::Points(points))
        }
        (Value::List(items), _) => {
            let mut all = Vec::with_capacity(items.len());
            for (i, item) in items.iter().enumerate() {
                match &item.value {
                    Ok(Value::Number(n)) => all.push(take(i, n)),
                    Ok(_) => return Err(Unknown::none()),
                    Err(unknown) => return Err(unknown.clone()),
                }
            }
            Ok(Argument::Numbers(all))
        }
        _ => Err(Unknown::none()),
    }
}

fn part_mut(argument: &mut Argument, part: usize) -> Option<&mut f64> {
    match argument {
        Argument::Number(x) => Some(x),
        Argument::Numbers(all) => all.get_mut(part),
        Argument::Point(p) => p.get_mut(part),
        Argument::Points(all) => all.get_mut(part / 3).map(|p| &mut p[part % 3]),
        Argument::Word(_) | Argument::Truth(_) => None,
    }
}

/// Central differences of every number of an output; one-sided where one side leaves the function's range, and zero where both
/// do.
struct Slopes {
    /// How many numbers the output has.
    count: usize,
    high: Vec<f64>,
    low: Vec<f64>,
    width: f64,
}

impl Slopes {
    fn of(output: &Output) -> Slopes {
        let mut here = Vec::new();
        flatten(output, &mut here);
        Slopes { count: here.len(), low: Vec::with_capacity(here.len()), high: here, width: 0.0 }
    }

    /// Takes the differences for one part of an argument.
    fn take(&mut self, call: Call, arguments: &mut [Argument], at: usize, part: usize) {
        let Slopes { count, high, low, width } = self;
        *width = 0.0;
        let Some(x) = part_mut(&mut arguments[at], part).map(|x| *x) else { return };
        let step = if x == 0.0 { STEP } else { x.abs() * STEP };
        let mut sample = |offset: f64, into: &mut Vec<f64>| -> bool {
            if let Some(moved) = part_mut(&mut arguments[at], part) {
                *moved = x + offset;
            }
            let output = call(arguments);
            if let Some(moved) = part_mut(&mut arguments[at], part) {
                *moved = x;
            }
            into.clear();
            output.is_ok_and(|output| {
                flatten(&output, into);
                into.len() == *count
            })
        };
        *width = match (sample(step, high), sample(-step, low)) {
            (true, true) => 2.0 * step,
            (true, false) if sample(0.0, low) => step,
            (false, true) if sample(0.0, high) => step,
            _ => 0.0,
        };
    }

    fn slopes(&self) -> impl Iterator<Item = f64> {
        let slope = |(high, low): (&f64, &f64)| if self.width == 0.0 { 0.0 } else { (high - low) / self.width };
        let (high, low) = (self.high.iter(), self.low.iter());
        high.zip(low).map(slope).chain(std::iter::repeat(0.0)).take(self.count)
    }
}

fn is_finite(output: &Output) -> bool {
    match output {
        Output::Number(x) => x.is_finite(),
        Output::Numbers(all) => all.iter().all(|x| x.is_finite()),
        Output::Point(p) => p.iter().all(|x| x.is_finite()),
        Output::Truth(_) => true,
        Output::Fields(all) => all.iter().all(is_finite),
    }
}

fn flatten(output: &Output, into: &mut Vec<f64>) {
    match output {
        Output::Number(x) => into.push(*x),
        Output::Numbers(all) => into.extend(all),
        Output::Point(p) => into.extend(p),
        Output::Truth(_) => {}
        Output::Fields(all) => all.iter().for_each(|o| flatten(o, into)),
    }
}
