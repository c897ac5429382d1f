//! Comparison, with the decision rule of ISO 14253-1: a requirement on an uncertain value holds only where the whole interval
//! holds, and is broken only where the whole interval breaks it; between the two it is unproven.

use super::super::number::{Number, Spread};
use super::super::syntax::Comparison;
use super::super::unknown::Unknown;
use super::super::value::{Decision, Reading, Value};
use super::logic::truth;
use super::{Evaluator, needed};
use std::rc::Rc;

/// Numbers closer than this, as a share of the larger, are equal: the same length written in millimetres and in inches
/// must not fall on different sides of a limit.
const SAME: f64 = 1e-9;

impl Evaluator<'_> {
    #[inline(never)]
    pub(super) fn comparison(&mut self, code: u32, op: Comparison, a: Reading, b: Reading) -> Reading {
        let evidence = self.evidence.join(a.evidence, b.evidence);
        let readings = [a, b];
        if let Some(unknown) = needed(&readings) {
            return Reading::unknown(unknown, evidence);
        }
        let [Reading { value: Ok(left), .. }, Reading { value: Ok(right), .. }] = &readings else {
            return Reading::unknown(Unknown::none(), evidence);
        };
        let value = match (left, right) {
            (Value::Number(l), Value::Number(r)) => numbers(code, op, l, r),
            (Value::Date(l), Value::Date(r)) => truth(ordered(op, l.cmp(r)), None),
            (l, r) => truth(equal(l, r) == (op == Comparison::Equal), None),
        };
        Reading { value, evidence }
    }
}

/// Whether two values that are no numbers are the same.
pub(super) fn equal(a: &Value, b: &Value) -> bool {
    match (a, b) {
        (Value::Place(a), Value::Place(b)) => a == b,
        (Value::Truth(a, _), Value::Truth(b, _)) => a == b,
        (Value::Number(a), Value::Number(b)) => difference(a.si, b.si) == 0.0,
        (Value::Designation(a), Value::Designation(b)) => a == b,
        (Value::Text(_) | Value::Choice(..), Value::Text(_) | Value::Choice(..)) => a.word() == b.word(),
        (Value::Date(a), Value::Date(b)) => a == b,
        _ => false,
    }
}

fn ordered(op: Comparison, order: std::cmp::Ordering) -> bool {
    match op {
        Comparison::Below => order.is_lt(),
        Comparison::AtMost => order.is_le(),
        Comparison::Above => order.is_gt(),
        Comparison::AtLeast => order.is_ge(),
        Comparison::Equal => order.is_eq(),
        Comparison::Unequal => order.is_ne(),
    }
}

fn difference(a: f64, b: f64) -> f64 {
    let d = a - b;
    if d.abs() <= SAME * a.abs().max(b.abs()) { 0.0 } else { d }
}

fn numbers(code: u32, op: Comparison, left: &Number, right: &Number) -> Result<Value, Unknown> {
    let rise = difference(left.si, right.si);
    let holds = ordered(op, rise.total_cmp(&0.0));
    let margin = match op {
        Comparison::Below | Comparison::AtMost => -rise,
        Comparison::Above | Comparison::AtLeast => rise,
        Comparison::Equal => -rise.abs(),
        Comparison::Unequal => rise.abs(),
    };
    // Adding zero turns a negative zero into a plain one.
    let margin = margin + 0.0;
    let true_zero = right.dimension.kind.is_none_or(|k| k.difference().is_none());
    let share = (true_zero && right.si != 0.0).then(|| margin / right.si.abs());
    let spread: Spread = left.spread.joined(1.0, &right.spread, -1.0);
    let uncertainty = spread.expanded();
    let decision = Rc::new(Decision {
        code,
        left: left.clone(),
        comparison: op,
        right: right.clone(),
        margin,
        share,
        uncertainty,
        largest: spread.largest(),
        spread,
        at: Vec::new(),
        members: Vec::new(),
    });
    let inequality = !matches!(op, Comparison::Equal | Comparison::Unequal);
    if inequality && uncertainty > 0.0 {
        let size = left.si.abs().max(right.si.abs()) * SAME;
        let open = if holds { margin + size < uncertainty } else { -margin + size < uncertainty };
        if open {
            return Err(Unknown::unproven(decision));
        }
    }
    truth(holds, Some(decision))
}
