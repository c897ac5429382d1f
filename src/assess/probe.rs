//! Judging one value after another at one place, as far as the place reaches: what rests on nothing there is left out, and what
//! each value makes is forgotten before the next.
//!
//! In come an assessment and the place; out come, for each value, the judgements that rest on it.

use super::assessment::{Assessment, Judgement};
use super::judge::{Kept, Request, outcomes_again};
use crate::language::{Evaluator, Overrides, Touched};
use crate::terms::{Held, PlaceId};
use std::collections::BTreeSet;

/// A place with what rests on it.
pub(super) struct Reach<'a> {
    base: &'a Assessment,
    request: Request<'a>,
    place: PlaceId,
    /// The overrides that the assessment was made with, and one at the place.
    overrides: Overrides,
    touched: Touched,
    /// The rules that rest on it.
    pub rules: Vec<usize>,
}

impl<'a> Reach<'a> {
    /// Of an assessment made with overrides, none of them at the place.
    pub fn new(base: &'a Assessment, request: &Request<'a>, overrides: &Overrides, place: PlaceId) -> Reach<'a> {
        let request = Request { figures: false, explained: false, only: None, ..*request };
        let one = Overrides::from([(place, request.spec.held(place).clone())]);
        let touched = base.found.touched(request.spec, &one);
        let rules = resting(base, &touched);
        let mut overrides = overrides.clone();
        overrides.extend(one);
        Reach { base, request, place, overrides, touched, rules }
    }

    /// Judgements of the assessment, as written, that rest on the place.
    pub fn judgements(&self) -> impl Iterator<Item = Judgement> {
        let touched = self.base.judgements.iter().filter(|j| self.touched.contains(j.written_evidence()));
        touched.map(Judgement::as_written)
    }

    /// Begins to put values in.
    pub fn probe(&self) -> Probe<'_> {
        let (spec, library, day) = (self.request.spec, &self.request.rulebook.library, self.request.day);
        Probe {
            reach: self,
            kept: Kept { base: self.base, touched: &self.touched, skipped: true },
            evaluator: Evaluator::resumed(&self.base.found, &self.touched, spec, library, &self.overrides, day),
        }
    }
}

/// The rules with a judgement that rests on touched evidence, or whose subjects do.
pub(super) fn resting(base: &Assessment, touched: &Touched) -> Vec<usize> {
    let judged = base.judgements.iter().filter(|j| touched.contains(j.written_evidence())).map(|j| j.rule);
    let listed = base.listed.iter().enumerate().filter(|(_, on)| touched.contains(**on)).map(|(rule, _)| rule);
    let rules: BTreeSet<usize> = judged.chain(listed).collect();
    rules.into_iter().collect()
}

/// Puts values in.
pub(super) struct Probe<'a> {
    reach: &'a Reach<'a>,
    kept: Kept<'a>,
    evaluator: Evaluator<'a>,
}

impl Probe<'_> {
    /// What these rules read with another value at the place, as far as that rests on it.
    pub fn judged(&mut self, held: Held, rules: &[usize]) -> Vec<Judgement> {
        self.evaluator.put(self.reach.place, held);
        let mut out = Vec::new();
        for rule in rules {
            out.extend(outcomes_again(&self.reach.request, *rule, &mut self.evaluator, &self.kept));
        }
        out
    }
}
