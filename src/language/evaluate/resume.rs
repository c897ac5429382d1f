//! Going on from what another evaluator found: what overrides leave alone is taken over, what they change is found out anew.
//!
//! Overrides may stand in for single values, whole sections and lists. What rests on a place rests on everything that it
//! stands in, so that taking a section away reaches all that was read in it.

use super::super::evidence::Touched;
use super::super::library::{FigureId, Library};
use super::super::value::Reading;
use super::{Evaluator, Found, Overrides};
use crate::terms::{Held, PlaceId, Spec};
use jiff::civil::Date;
use rustc_hash::FxHashMap;
use std::borrow::Cow;

impl Found {
    /// Which of the evidence rests on what the overrides change.
    pub fn touched(&self, spec: &Spec, overrides: &Overrides) -> Touched {
        // Who refers to what can be asked from anywhere, and leaves no evidence at the references.
        if moves_references(spec, overrides) {
            return Touched::everything();
        }
        if overrides.keys().all(|place| is_single(spec.held(*place))) {
            return self.evidence.touched(&|place| overrides.contains_key(&place));
        }
        let mut within: Vec<bool> = Vec::with_capacity(spec.places().len());
        for (id, place) in spec.places() {
            let above = place.parent.and_then(|parent| within.get(parent.0 as usize)).copied().unwrap_or(false);
            within.push(above || overrides.contains_key(&id));
        }
        self.evidence.touched(&|place| within.get(place.0 as usize).copied().unwrap_or(true))
    }
}

/// Figures that another evaluator found, as far as they rest on nothing that the overrides change.
#[derive(Clone, Copy)]
pub(super) struct Kept<'a> {
    memo: &'a FxHashMap<(FigureId, PlaceId), Reading>,
    touched: &'a Touched,
}

impl<'a> Kept<'a> {
    pub(super) fn get(self, key: &(FigureId, PlaceId)) -> Option<&'a Reading> {
        self.memo.get(key).filter(|reading| !self.touched.contains(reading.evidence))
    }

    fn all(self) -> impl Iterator<Item = (&'a (FigureId, PlaceId), &'a Reading)> {
        self.memo.iter().filter(move |(_, reading)| !self.touched.contains(reading.evidence))
    }
}

/// Whether nothing stands below what stands there.
fn is_single(held: &Held) -> bool {
    !matches!(held, Held::Record { .. } | Held::List { .. } | Held::Point { .. })
}

pub(super) fn moves_references(spec: &Spec, overrides: &Overrides) -> bool {
    let refers = |held: &Held| matches!(held, Held::Reference(_));
    overrides.iter().any(|(place, held)| refers(held) || refers(spec.held(*place)))
}

impl<'a> Evaluator<'a> {
    /// An evaluator that goes on from what another found on the same spec without overrides: figures whose evidence is not
    /// `touched` by the overrides keep their values.
    pub fn resumed(
        found: &'a Found,
        touched: &'a Touched,
        spec: &'a Spec,
        library: &'a Library,
        overrides: &'a Overrides,
        day: Date,
    ) -> Evaluator<'a> {
        Evaluator {
            taken_over: found.evidence.size(),
            kept: Some(Kept { memo: &found.memo, touched }),
            ..Evaluator::on(found.evidence.clone(), spec, library, overrides, day)
        }
    }

    /// As [`Evaluator::resumed`], adding to the evidence found, which is taken out and is to be put back; figures found stay.
    pub fn further(
        found: &'a mut Found,
        touched: &'a Touched,
        spec: &'a Spec,
        library: &'a Library,
        overrides: &'a Overrides,
        day: Date,
    ) -> Evaluator<'a> {
        Evaluator {
            taken_over: found.evidence.size(),
            kept: Some(Kept { memo: &found.memo, touched }),
            ..Evaluator::on(std::mem::take(&mut found.evidence), spec, library, overrides, day)
        }
    }

    /// Puts another value in at a place that was overridden when this evaluator went on from another, and forgets what it
    /// found since then.
    pub fn put(&mut self, place: PlaceId, held: Held) {
        self.memo = FxHashMap::default();
        self.called = FxHashMap::default();
        self.lists = FxHashMap::default();
        self.fixed = FxHashMap::default();
        self.evidence.cut(self.taken_over);
        self.overrides.to_mut().insert(place, held);
    }

    /// What was found, for going on from there; with what was taken over from another, unless that is not wanted again.
    pub fn into_found(self, with_taken_over: bool) -> Found {
        let mut memo = self.memo;
        if let Some(kept) = self.kept.filter(|_| with_taken_over) {
            memo.extend(kept.all().map(|(key, reading)| (*key, reading.clone())));
        }
        Found { evidence: self.evidence, memo }
    }

    /// The records that refer to an item, with overrides in their place.
    pub(super) fn users_of(&self, item: PlaceId) -> Cow<'a, [PlaceId]> {
        if !self.moves_references {
            return Cow::Borrowed(self.spec.users(item));
        }
        let refers = |place: &PlaceId| matches!(self.held(*place), Held::Reference(to) if *to == item);
        let around = |place: PlaceId| {
            let above = std::iter::successors(self.spec.place(place).parent, |at| self.spec.place(*at).parent);
            above.into_iter().find(|at| matches!(self.spec.held(*at), Held::Record { .. }))
        };
        let mut users: Vec<PlaceId> = self.spec.car().map(|(id, _)| id).filter(refers).filter_map(around).collect();
        users.sort_unstable();
        users.dedup();
        Cow::Owned(users)
    }
}
