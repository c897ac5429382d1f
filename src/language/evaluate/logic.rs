//! Three-valued logic (strong Kleene), whose unknown carries its reasons. What does not exist on the car drops out of a
//! conjunction or disjunction: it neither fulfils nor breaks anything.

use super::super::code::{Code, IsA};
use super::super::evidence::Evidence;
use super::super::unknown::Unknown;
use super::super::value::{Decision, Reading, Value};
use super::{Evaluator, Frame};
use std::rc::Rc;

/// A reading seen as a truth.
pub(super) enum Seen {
    True(Option<Rc<Decision>>),
    False(Option<Rc<Decision>>),
    Unknown(Unknown),
    Nothing,
}

pub(super) fn seen(reading: &Reading) -> Seen {
    match &reading.value {
        Ok(Value::Truth(true, d)) => Seen::True(d.clone()),
        Ok(Value::Truth(false, d)) => Seen::False(d.clone()),
        Ok(_) => Seen::Nothing,
        Err(u) if u.is_none() => Seen::Nothing,
        Err(u) => Seen::Unknown(u.clone()),
    }
}

pub(super) fn tighter(a: Option<Rc<Decision>>, b: Option<Rc<Decision>>) -> Option<Rc<Decision>> {
    match (a, b) {
        (Some(a), Some(b)) => Some(if b.tightness() < a.tightness() { b } else { a }),
        (a, b) => a.or(b),
    }
}

fn looser(a: Option<Rc<Decision>>, b: Option<Rc<Decision>>) -> Option<Rc<Decision>> {
    match (a, b) {
        (Some(a), Some(b)) => Some(if b.tightness() > a.tightness() { b } else { a }),
        (a, b) => a.or(b),
    }
}

pub(super) fn truth(value: bool, decision: Option<Rc<Decision>>) -> Result<Value, Unknown> {
    Ok(Value::Truth(value, decision))
}

impl Evaluator<'_> {
    #[inline(never)]
    pub(super) fn both(&mut self, a: Reading, b: Reading) -> Reading {
        match (seen(&a), seen(&b)) {
            (Seen::False(d), Seen::False(e)) => {
                let evidence = self.evidence.join(a.evidence, b.evidence);
                Reading { value: truth(false, tighter(d, e)), evidence }
            }
            (Seen::False(d), _) => self.decided(truth(false, d), a.evidence, b.evidence),
            (_, Seen::False(d)) => self.decided(truth(false, d), b.evidence, a.evidence),
            (Seen::True(d), Seen::True(e)) => {
                let evidence = self.evidence.join(a.evidence, b.evidence);
                Reading { value: truth(true, tighter(d, e)), evidence }
            }
            _ => self.open(a, b),
        }
    }

    #[inline(never)]
    pub(super) fn either(&mut self, a: Reading, b: Reading) -> Reading {
        match (seen(&a), seen(&b)) {
            (Seen::True(d), Seen::True(e)) => {
                let evidence = self.evidence.join(a.evidence, b.evidence);
                Reading { value: truth(true, looser(d, e)), evidence }
            }
            (Seen::True(d), _) => self.decided(truth(true, d), a.evidence, b.evidence),
            (_, Seen::True(d)) => self.decided(truth(true, d), b.evidence, a.evidence),
            (Seen::False(d), Seen::False(e)) => {
                let evidence = self.evidence.join(a.evidence, b.evidence);
                Reading { value: truth(false, looser(d, e)), evidence }
            }
            _ => self.open(a, b),
        }
    }

    /// Neither side decides alone: what does not exist drops out, and reasons add up.
    fn open(&mut self, a: Reading, b: Reading) -> Reading {
        match (seen(&a), seen(&b)) {
            (Seen::Nothing, _) => self.decided(b.value, b.evidence, a.evidence),
            (_, Seen::Nothing) => self.decided(a.value, a.evidence, b.evidence),
            (Seen::Unknown(u), Seen::Unknown(v)) => {
                let evidence = self.evidence.join(a.evidence, b.evidence);
                Reading::unknown(u.and(&v), evidence)
            }
            (Seen::Unknown(u), _) => self.decided(Err(u), a.evidence, b.evidence),
            (_, Seen::Unknown(u)) => self.decided(Err(u), b.evidence, a.evidence),
            _ => a,
        }
    }

    pub(super) fn decided(
        &mut self,
        value: Result<Value, Unknown>,
        decides: Evidence,
        considered: Evidence,
    ) -> Reading {
        let considered = self.evidence.considered(considered);
        Reading { value, evidence: self.evidence.join(decides, considered) }
    }

    #[inline(never)]
    pub(super) fn not(&mut self, inner: Reading) -> Reading {
        match inner.value {
            Ok(Value::Truth(value, decision)) => Reading { value: truth(!value, decision), evidence: inner.evidence },
            value => Reading { value, evidence: inner.evidence },
        }
    }

    #[inline(never)]
    pub(super) fn is_given(inner: Reading) -> Reading {
        let given = match &inner.value {
            Ok(_) => true,
            Err(u) if !u.reasons().unreadable.is_empty() || u.reasons().exhausted => return inner,
            Err(_) => false,
        };
        Reading { value: truth(given, None), evidence: inner.evidence }
    }

    #[inline(never)]
    pub(super) fn is_none(inner: Reading) -> Reading {
        let value = match &inner.value {
            Ok(_) => truth(false, None),
            Err(u) if u.is_none() => truth(true, None),
            Err(u) => Err(u.clone()),
        };
        Reading { value, evidence: inner.evidence }
    }

    #[inline(never)]
    pub(super) fn is_a(&mut self, base: Reading, asked: &IsA) -> Reading {
        let IsA { word, records, kinds, .. } = asked;
        let place = match base.value {
            Ok(Value::Place(place)) => place,
            _ => return base,
        };
        let Some((ty, _)) = self.record_type(place) else {
            return Reading::unknown(Unknown::none(), base.evidence);
        };
        if records.contains(&ty) {
            return Reading { value: truth(true, None), evidence: base.evidence };
        }
        if !kinds.iter().any(|k| k.record == ty) {
            return Reading { value: truth(false, None), evidence: base.evidence };
        }
        let kind = self.field(base, kinds);
        let value = match &kind.value {
            Ok(Value::Choice(choices, at)) => truth(choices.get(usize::from(*at)).is_some_and(|c| *c == *word), None),
            Ok(_) => truth(false, None),
            Err(unknown) => Err(unknown.clone()),
        };
        Reading { value, evidence: kind.evidence }
    }

    #[inline(never)]
    pub(super) fn choose(&mut self, condition: &Code, a: &Code, b: &Code, frame: &mut Frame) -> Reading {
        let condition = self.eval(condition, frame);
        let value = match condition.value {
            Ok(Value::Truth(value, _)) => value,
            Ok(_) => return Reading::unknown(Unknown::none(), condition.evidence),
            Err(unknown) => return Reading::unknown(unknown, condition.evidence),
        };
        let mut chosen = self.eval(if value { a } else { b }, frame);
        chosen.evidence = self.evidence.join(chosen.evidence, condition.evidence);
        chosen
    }

    /// The second value, where the first is unknown; both reasons where neither is known. A value that the car does not have
    /// is not asked for.
    #[inline(never)]
    pub(super) fn fallback(&mut self, first: Reading, second: Reading) -> Reading {
        let considered = self.evidence.considered(first.evidence);
        let evidence = self.evidence.join(second.evidence, considered);
        let value = match (first.value, second.value) {
            (_, Ok(value)) => Ok(value),
            (Ok(value), _) => Ok(value),
            (Err(u), Err(v)) if u.is_none() => Err(v),
            (Err(u), Err(v)) if v.is_none() => Err(u),
            (Err(u), Err(v)) => Err(u.and(&v)),
        };
        Reading { value, evidence }
    }
}
