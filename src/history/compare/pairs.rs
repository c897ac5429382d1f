//! Which thing of the newer spec is which thing of the older one.
//!
//! In come two specs read by the same terms; out come [`Pairs`]. Keys pair by themselves, items of lists by their names, then by
//! what they say, so that a component under a new name and a list in another order are known again.

use super::content::{Target, content, leaves};
use crate::terms::{Held, ListId, PlaceId, RecordId, Spec};
use std::collections::BTreeMap;

/// How many rounds are made: a thing known again may make another known that refers to it.
const MOST_ROUNDS: usize = 8;

/// Items of one list beyond which a changed thing under a new name is not looked for.
const MOST_ALIKE: usize = 48;

/// The share of values that two things of different names must have in common to be taken for the same.
const ALIKE: f64 = 0.6;

/// The fewest values in common for that.
const FEWEST_ALIKE: usize = 3;

/// The pairing of two specs' places.
#[derive(Debug, Clone)]
pub struct Pairs {
    forward: Vec<Option<PlaceId>>,
    back: Vec<Option<PlaceId>>,
}

impl Pairs {
    /// Pairs two specs. Their terms must be the same; if they are not, nothing but the whole is paired.
    pub fn new(old: &Spec, new: &Spec) -> Pairs {
        let room = |spec: &Spec| vec![None; spec.places().count()];
        let mut pairing = Pairing { old, new, pairs: Pairs { forward: room(old), back: room(new) }, open: Vec::new() };
        pairing.pair(old.root(), new.root());
        pairing.settle();
        pairing.pairs
    }

    /// The place in the newer spec of a place of the older one.
    pub fn newer(&self, old: PlaceId) -> Option<PlaceId> {
        *self.forward.get(old.0 as usize)?
    }

    /// The place in the older spec of a place of the newer one.
    pub fn older(&self, new: PlaceId) -> Option<PlaceId> {
        *self.back.get(new.0 as usize)?
    }
}

/// What tells the items of a list apart.
type Label = (Option<RecordId>, String);

struct Pairing<'a> {
    old: &'a Spec,
    new: &'a Spec,
    pairs: Pairs,
    /// Lists with items on both sides that are not paired yet.
    open: Vec<(PlaceId, PlaceId)>,
}

/// How sure a round must be.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Round {
    /// All is the same, and what is referred to as well.
    Same,
    /// All is the same but for what is referred to.
    SameButReferences,
    /// Most is the same.
    Alike,
    /// What is left of things without names, in their order.
    InOrder,
}

impl Pairing<'_> {
    fn pair(&mut self, old: PlaceId, new: PlaceId) {
        if let Some(at) = self.pairs.forward.get_mut(old.0 as usize) {
            *at = Some(new);
        }
        if let Some(at) = self.pairs.back.get_mut(new.0 as usize) {
            *at = Some(old);
        }
        match (self.old.held(old), self.new.held(new)) {
            (Held::Record { ty, first }, Held::Record { ty: other, first: new_first }) if ty == other => {
                let (first, new_first) = (first.0, new_first.0);
                for slot in 0..self.old.types().record(*ty).fields.len() as u32 {
                    self.pair(PlaceId(first + slot), PlaceId(new_first + slot));
                }
            }
            (Held::Point { first }, Held::Point { first: new_first }) => {
                for axis in 0..3 {
                    self.pair(PlaceId(first.0 + axis), PlaceId(new_first.0 + axis));
                }
            }
            (Held::List { ty, .. }, Held::List { ty: other, .. }) if ty == other => {
                self.by_name(old, new);
                self.open.push((old, new));
            }
            _ => {}
        }
    }

    /// Pairs the items whose names stand once on both sides.
    fn by_name(&mut self, old: PlaceId, new: PlaceId) {
        let (old_items, new_items) = (items(self.old, old), items(self.new, new));
        let before = unique(old_items.iter().filter_map(|i| Some((label(self.old, *i)?, *i))));
        let after = unique(new_items.iter().filter_map(|i| Some((label(self.new, *i)?, *i))));
        for (name, item) in before {
            if let Some(same) = after.get(&name) {
                self.pair(item, *same);
            }
        }
    }

    /// Makes rounds, the surest first, until nothing more is found.
    fn settle(&mut self) {
        for round in [Round::Same, Round::SameButReferences, Round::Same, Round::Alike, Round::Same, Round::InOrder] {
            for _ in 0..MOST_ROUNDS {
                let mut found = false;
                // Pairing items can open lists inside them.
                let mut at = 0;
                while let Some((old, new)) = self.open.get(at).copied() {
                    found |= self.round(round, old, new);
                    at += 1;
                }
                if !found {
                    break;
                }
            }
        }
    }

    fn round(&mut self, round: Round, old: PlaceId, new: PlaceId) -> bool {
        let before: Vec<PlaceId> =
            items(self.old, old).into_iter().filter(|i| self.pairs.newer(*i).is_none()).collect();
        let after: Vec<PlaceId> = items(self.new, new).into_iter().filter(|i| self.pairs.older(*i).is_none()).collect();
        if before.is_empty() || after.is_empty() {
            return false;
        }
        let found = match round {
            Round::Same | Round::SameButReferences => self.same(&before, &after, round == Round::Same),
            Round::Alike => self.alike(&before, &after),
            Round::InOrder => self.in_order(&before, &after),
        };
        for (old, new) in &found {
            self.pair(*old, *new);
        }
        !found.is_empty()
    }

    /// Items that say the same: of those with names each that no other could be taken for, of those without all, one for one.
    fn same(&self, before: &[PlaceId], after: &[PlaceId], references: bool) -> Vec<(PlaceId, PlaceId)> {
        let older = |place| match self.pairs.newer(place) {
            _ if !references => "\u{2192}".to_string(),
            Some(new) => format!("\u{2192}{}", new.0),
            None => format!("\u{2192}?{}", self.old.name(place).unwrap_or_default()),
        };
        let newer = |place: PlaceId| match self.pairs.older(place) {
            _ if !references => "\u{2192}".to_string(),
            Some(_) => format!("\u{2192}{}", place.0),
            None => format!("\u{2192}?{}", self.new.name(place).unwrap_or_default()),
        };
        let (before, after) = (grouped(self.old, before, &older), grouped(self.new, after, &newer));
        let mut found = Vec::new();
        for (what, olds) in before {
            let Some(news) = after.get(&what) else { continue };
            let named = olds.iter().any(|i| self.old.name(*i).is_some());
            if !named || (olds.len() == 1 && news.len() == 1) {
                found.extend(olds.iter().copied().zip(news.iter().copied()));
            }
        }
        found
    }

    /// Things that have most of their values in common, each the best of its counterparts on both sides.
    fn alike(&self, before: &[PlaceId], after: &[PlaceId]) -> Vec<(PlaceId, PlaceId)> {
        if before.len() > MOST_ALIKE || after.len() > MOST_ALIKE {
            return Vec::new();
        }
        let any = |_: PlaceId| "\u{2192}".to_string();
        let of = |spec: &Spec, items: &[PlaceId]| -> Vec<BTreeMap<String, String>> {
            let values = |item: &PlaceId| leaves(spec, *item).into_iter().map(|(p, v)| (p, content(spec, v, &any)));
            items.iter().map(|item| values(item).collect()).collect()
        };
        let (olds, news) = (of(self.old, before), of(self.new, after));
        let share = |at: usize, to: usize| -> Option<f64> {
            let (a, b) = (olds.get(at)?, news.get(to)?);
            let types = (record(self.old, *before.get(at)?), record(self.new, *after.get(to)?));
            let common = a.iter().filter(|(path, value)| b.get(*path) == Some(value)).count();
            let share = common as f64 / a.len().max(b.len()).max(1) as f64;
            (types.0.is_some() && types.0 == types.1 && common >= FEWEST_ALIKE && share >= ALIKE).then_some(share)
        };
        let best = |shares: Vec<(usize, f64)>| -> Option<usize> {
            let most = shares.iter().map(|(_, share)| *share).fold(0.0, f64::max);
            let mut first = shares.iter().filter(|(_, share)| *share >= most);
            first.next().filter(|_| first.next().is_none()).map(|(at, _)| *at)
        };
        let to = |at| best((0..after.len()).filter_map(|to| Some((to, share(at, to)?))).collect());
        let from = |to| best((0..before.len()).filter_map(|at| Some((at, share(at, to)?))).collect());
        let both = |at: usize| {
            let to = to(at).filter(|to| from(*to) == Some(at))?;
            Some((*before.get(at)?, *after.get(to)?))
        };
        (0..before.len()).filter_map(both).collect()
    }

    /// What is left of items without names: the first with the first of the same type.
    fn in_order(&self, before: &[PlaceId], after: &[PlaceId]) -> Vec<(PlaceId, PlaceId)> {
        let nameless = |spec: &Spec, items: &[PlaceId]| -> Vec<(Option<RecordId>, PlaceId)> {
            items.iter().filter(|i| spec.name(**i).is_none()).map(|i| (record(spec, *i), *i)).collect()
        };
        let (before, mut after) = (nameless(self.old, before), nameless(self.new, after));
        let mut found = Vec::new();
        for (ty, old) in before {
            if let Some(at) = after.iter().position(|(other, _)| *other == ty) {
                found.push((old, after.remove(at).1));
            }
        }
        found
    }
}

/// The items of a list.
pub(super) fn items(spec: &Spec, list: PlaceId) -> Vec<PlaceId> {
    match spec.held(list) {
        Held::List { items, .. } => items.to_vec(),
        _ => Vec::new(),
    }
}

/// The type of a list.
pub(super) fn list_type(spec: &Spec, list: PlaceId) -> Option<ListId> {
    match spec.held(list) {
        Held::List { ty, .. } => Some(*ty),
        _ => None,
    }
}

fn record(spec: &Spec, place: PlaceId) -> Option<RecordId> {
    match spec.held(place) {
        Held::Record { ty, .. } => Some(*ty),
        _ => None,
    }
}

fn label(spec: &Spec, item: PlaceId) -> Option<Label> {
    Some((record(spec, item), spec.name(item)?.to_string()))
}

/// What stands once.
fn unique(all: impl Iterator<Item = (Label, PlaceId)>) -> BTreeMap<Label, PlaceId> {
    let mut found: BTreeMap<Label, Option<PlaceId>> = BTreeMap::new();
    for (label, item) in all {
        found.entry(label).and_modify(|seen| *seen = None).or_insert(Some(item));
    }
    found.into_iter().filter_map(|(label, item)| Some((label, item?))).collect()
}

/// Items by what they are and say; what says nothing could be anything.
fn grouped(spec: &Spec, items: &[PlaceId], target: Target) -> BTreeMap<(Option<RecordId>, bool, String), Vec<PlaceId>> {
    let mut out: BTreeMap<_, Vec<PlaceId>> = BTreeMap::new();
    for item in items {
        let what = content(spec, *item, target);
        let named = spec.name(*item).is_some();
        if !what.is_empty() {
            out.entry((record(spec, *item), named, what)).or_default().push(*item);
        }
    }
    out
}
