//! The last results of a figure that takes arguments.

use super::super::value::Reading;
use smallvec::SmallVec;

/// How many results are kept: enough for the samples of one sweep and for the few points that several rules look at, few
/// enough to be searched one after the other.
const MOST: usize = 32;

/// Results of one figure on one subject, with their arguments.
#[derive(Default)]
pub(super) struct Calls {
    /// The bits of the first argument, which tell nearly all calls apart.
    firsts: Vec<u64>,
    kept: Vec<(SmallVec<[Reading; 1]>, Reading)>,
    /// The next to be given up.
    oldest: usize,
}

impl Calls {
    /// The result for these arguments, if it is still known.
    pub(super) fn with(&self, arguments: &[Reading]) -> Option<&Reading> {
        let first = bits(arguments);
        let same = |kept: &[Reading]| kept.iter().zip(arguments).all(|(a, b)| is_same(a, b));
        let known = self.firsts.iter().zip(&self.kept).filter(|(bits, _)| **bits == first).map(|(_, known)| known);
        let mut known = known.filter(|(kept, _)| kept.len() == arguments.len() && same(kept));
        known.next().map(|(_, result)| result)
    }

    pub(super) fn keep(&mut self, arguments: &[Reading], result: Reading) {
        let (first, call) = (bits(arguments), (arguments.into(), result));
        if self.kept.len() < MOST {
            self.firsts.push(first);
            self.kept.push(call);
        } else {
            self.firsts[self.oldest] = first;
            self.kept[self.oldest] = call;
            self.oldest = (self.oldest + 1) % MOST;
        }
    }
}

fn bits(arguments: &[Reading]) -> u64 {
    arguments.first().and_then(Reading::number).map_or(0, |number| number.si.to_bits())
}

/// Whether two known numbers are the same to the bit, and rest on the same.
fn is_same(a: &Reading, b: &Reading) -> bool {
    match (a.number(), b.number()) {
        (Some(x), Some(y)) => x.si.to_bits() == y.si.to_bits() && a.evidence == b.evidence && x == y,
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::super::super::evidence::{Evidence, EvidenceArena};
    use super::super::super::number::Number;
    use super::super::super::value::Value;
    use super::*;
    use crate::terms::PlaceId;

    fn number(value: f64, evidence: Evidence) -> Reading {
        Reading::known(Value::Number(Number::plain(value)), evidence)
    }

    #[test]
    fn only_the_very_same_arguments_have_the_same_result_and_the_oldest_is_given_up() {
        let mut arena = EvidenceArena::default();
        let (here, there) = (arena.place(PlaceId(1)), arena.place(PlaceId(2)));
        let mut calls = Calls::default();
        calls.keep(&[number(0.0, here)], number(7.0, here));
        let result = |calls: &Calls, of: Reading| calls.with(&[of]).and_then(Reading::number).map(|n| n.si);
        assert_eq!(result(&calls, number(0.0, here)), Some(7.0));
        assert_eq!(result(&calls, number(-0.0, here)), None);
        assert_eq!(result(&calls, number(0.0, there)), None);
        for n in 1..=MOST {
            calls.keep(&[number(n as f64, here)], number(0.0, here));
        }
        assert_eq!(result(&calls, number(0.0, here)), None);
        assert_eq!(result(&calls, number(MOST as f64, here)), Some(0.0));
    }
}
