//! What one change does by itself: the newer spec with only that change put back, or, for what is no longer there to be put
//! back, the older spec with only that change made.
//!
//! In come both specs with their assessments and changes; out come [`Trial`]s. Each costs a partial judgement, so many changes
//! are tried by component, and still more by system.

use super::changes::{Change, Manner};
use super::pairs::{Pairs, items, list_type};
use crate::assess::{Assessment, Request};
use crate::language::Overrides;
use crate::rulebook::Rulebook;
use crate::terms::{Held, PlaceId, Spec, Step};
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};

/// The most trials that are made with each change by itself, or with each component by itself.
const MOST_TRIALS: usize = 24;

/// Where a spec tells what was changed on the car: a change there makes measurements stale.
const CHANGES_OF_THE_CAR: &str = "build.changes";

/// How changes are tried.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Grouping {
    /// Each by itself.
    Singly,
    /// All of one component together.
    ByComponent,
    /// All of one system together.
    BySystem,
}

/// How a trial was made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Way {
    /// The newer spec with only these changes put back.
    PutBack,
    /// The older spec with only these changes made: what was there then cannot be put back.
    MadeAlone,
}

/// A trial of one change, or of several together.
#[derive(Debug, Clone)]
pub struct Trial {
    /// The changes, by their number.
    pub changes: Vec<usize>,
    /// The component or system, where they are tried together.
    pub of: Option<String>,
    /// How it was made.
    pub way: Way,
    pub(super) assessment: Assessment,
}

/// Both sides of a comparison.
pub(super) struct Both<'a> {
    pub old: &'a Spec,
    pub new: &'a Spec,
    pub pairs: &'a Pairs,
    pub book: &'a Rulebook,
    pub day: Date,
    pub before: &'a Assessment,
    pub after: &'a Assessment,
    /// The older spec with the units of the newer one, where nothing but units differs.
    pub units: &'a Overrides,
}

/// Tries the changes.
pub(super) fn trials(both: &Both, changes: &[Change]) -> (Grouping, Vec<Trial>) {
    let (grouping, groups) = grouped(both, changes);
    let mut out = Vec::new();
    for (of, group) in groups {
        let all: Vec<&Change> = group.iter().filter_map(|at| changes.get(*at)).collect();
        let back = |at: &usize| changes.get(*at).is_some_and(|change| put_back(both, change, &mut Overrides::new()));
        let made = |at: &usize| changes.get(*at).is_some_and(|change| make(both, change, &mut Overrides::new()));
        // Together if that is possible one way or the other, else each part in its own way.
        let parts: Vec<(Way, Vec<usize>)> = if group.iter().all(back) || all.is_empty() {
            vec![(Way::PutBack, group)]
        } else if group.iter().all(made) {
            vec![(Way::MadeAlone, group)]
        } else {
            let (backs, others): (Vec<usize>, Vec<usize>) = group.into_iter().partition(back);
            vec![(Way::PutBack, backs), (Way::MadeAlone, others.into_iter().filter(made).collect())]
        };
        for (way, part) in parts.into_iter().filter(|(_, part)| !part.is_empty()) {
            let assessment = tried(both, changes, &part, way);
            out.push(Trial { changes: part, of: of.clone(), way, assessment });
        }
    }
    (grouping, out)
}

fn tried(both: &Both, changes: &[Change], part: &[usize], way: Way) -> Assessment {
    let of_part = part.iter().filter_map(|at| changes.get(*at));
    let (base, spec, mut overrides) = match way {
        Way::PutBack => (both.after, both.new, Overrides::new()),
        Way::MadeAlone => (both.before, both.old, both.units.clone()),
    };
    for change in of_part {
        match way {
            Way::PutBack => put_back(both, change, &mut overrides),
            Way::MadeAlone => make(both, change, &mut overrides),
        };
    }
    let request = Request { spec, rulebook: both.book, day: both.day, figures: true, explained: false, only: None };
    base.again_in_cases(&request, &overrides)
}

type Groups = Vec<(Option<String>, Vec<usize>)>;

fn grouped(both: &Both, changes: &[Change]) -> (Grouping, Groups) {
    // What is only known otherwise is tried too: an uncertainty can decide.
    if changes.len() <= MOST_TRIALS {
        return (Grouping::Singly, (0..changes.len()).map(|at| (None, vec![at])).collect());
    }
    let by = |name: &dyn Fn(&Change) -> String| -> Groups {
        let mut groups: BTreeMap<String, Vec<usize>> = BTreeMap::new();
        for (at, change) in changes.iter().enumerate() {
            groups.entry(name(change)).or_default().push(at);
        }
        groups.into_iter().map(|(name, group)| (Some(name), group)).collect()
    };
    let components = by(&|change| component(both, change));
    if components.len() <= MOST_TRIALS {
        return (Grouping::ByComponent, components);
    }
    let system = |change: &Change| change.path.split(['.', '/']).next().unwrap_or_default().to_string();
    (Grouping::BySystem, by(&system))
}

/// The nearest item of a list that a change is in, or else its section.
fn component(both: &Both, change: &Change) -> String {
    let (spec, place) = match change.at {
        (_, Some(place)) => (both.new, place),
        (Some(place), None) => (both.old, place),
        (None, None) => return String::new(),
    };
    let around = std::iter::successors(Some(place), |at| spec.place(*at).parent);
    let mut last = place;
    for at in around {
        let item = matches!(spec.place(at).at, Step::Item(_)) && matches!(spec.held(at), Held::Record { .. });
        if item {
            return spec.path(at);
        }
        if matches!(spec.held(at), Held::Record { .. }) && at != spec.root() {
            last = at;
        }
    }
    spec.path(last)
}

/// Puts a change back in the newer spec; `false` if that cannot be.
fn put_back(both: &Both, change: &Change, overrides: &mut Overrides) -> bool {
    let newer = |place: PlaceId| both.pairs.newer(place);
    let done = match change.at {
        (None, Some(item)) => without(both.new, item, overrides),
        (Some(old), Some(new)) if change.manner == Manner::Reordered => {
            let was: Vec<PlaceId> = items(both.old, old).into_iter().filter_map(newer).collect();
            order(both.new, new, &was, overrides)
        }
        (Some(old), Some(new)) => translated(both.old, old, &newer).is_some_and(|held| {
            overrides.insert(new, held);
            true
        }),
        _ => false,
    };
    if done && change.path.starts_with(CHANGES_OF_THE_CAR) {
        // Measurements that only the newer spec takes for stale are fresh again; what is overridden is never stale.
        let fresh = both
            .new
            .stale()
            .filter(|at| both.pairs.older(*at).is_some_and(|old| both.old.changed_after(old).is_none()));
        for at in fresh.collect::<Vec<_>>() {
            overrides.entry(at).or_insert_with(|| both.new.held(at).clone());
        }
    }
    done
}

/// Makes a change in the older spec; `false` if that cannot be.
fn make(both: &Both, change: &Change, overrides: &mut Overrides) -> bool {
    let older = |place: PlaceId| both.pairs.older(place);
    match change.at {
        (Some(item), None) => without(both.old, item, overrides),
        (Some(old), Some(new)) if change.manner == Manner::Reordered => {
            let is: Vec<PlaceId> = items(both.new, new).into_iter().filter_map(older).collect();
            order(both.old, old, &is, overrides)
        }
        (Some(old), Some(new)) => translated(both.new, new, &older).is_some_and(|held| {
            overrides.insert(old, held);
            true
        }),
        _ => false,
    }
}

/// What stands at a place, for use in the other spec; nothing if it holds places that the other spec does not have.
fn translated(spec: &Spec, place: PlaceId, other: &dyn Fn(PlaceId) -> Option<PlaceId>) -> Option<Held> {
    match spec.held(place) {
        Held::Quantity(_) if spec.changed_after(place).is_some() => Some(Held::Unwritten),
        Held::Reference(target) => Some(Held::Reference(other(*target)?)),
        Held::Record { .. } | Held::List { .. } | Held::Point { .. } => None,
        held => Some(held.clone()),
    }
}

/// The list of an item without it; of what a load case puts in, what it stands in for.
fn without(spec: &Spec, item: PlaceId, overrides: &mut Overrides) -> bool {
    if let Step::StandIn(target) = spec.place(item).at {
        overrides.insert(item, spec.held(target).clone());
        return true;
    }
    let Some(list) = spec.place(item).parent else { return false };
    let left = |all: &[PlaceId]| all.iter().copied().filter(|other| *other != item).collect();
    changed(spec, list, left, overrides)
}

/// A list in another order; items that the order does not name stay behind the one that they stand behind.
fn order(spec: &Spec, list: PlaceId, wanted: &[PlaceId], overrides: &mut Overrides) -> bool {
    let known: BTreeSet<PlaceId> = wanted.iter().copied().collect();
    let sorted = |all: &[PlaceId]| {
        let present: BTreeSet<PlaceId> = all.iter().copied().collect();
        let mut next = wanted.iter().copied().filter(|item| present.contains(item));
        all.iter().map(|item| if known.contains(item) { next.next().unwrap_or(*item) } else { *item }).collect()
    };
    changed(spec, list, sorted, overrides)
}

fn changed(spec: &Spec, list: PlaceId, change: impl Fn(&[PlaceId]) -> Vec<PlaceId>, overrides: &mut Overrides) -> bool {
    let Some(ty) = list_type(spec, list) else { return false };
    let all = match overrides.get(&list) {
        Some(Held::List { items, .. }) => items.to_vec(),
        Some(_) => return true,
        None => items(spec, list),
    };
    overrides.insert(list, Held::List { ty, items: change(&all).into() });
    true
}
