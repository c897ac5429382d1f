//! Why a value is not known: always with its reasons, so that nobody has to guess what to measure.

use super::value::Decision;
use crate::terms::{PlaceId, Spec};
use std::rc::Rc;

/// A value that a spec does not say: the last written place on the way to it, and the keys that would follow.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Missing {
    /// The unwritten place.
    pub place: PlaceId,
    /// Keys below the unwritten place; an item of a list with a stroke before its name.
    pub rest: Vec<Rc<str>>,
}

impl Missing {
    /// The path of the value, in the one path form.
    pub fn path(&self, spec: &Spec) -> String {
        let mut path = spec.path(self.place);
        for key in &self.rest {
            if !path.is_empty() && !key.starts_with('/') {
                path.push('.');
            }
            path.push_str(key);
        }
        path
    }
}

/// The reasons for which a value is unknown. What makes them is marked as cold: most values are known, and the way of those
/// needs the cache of instructions.
#[derive(Debug, Clone, Default)]
pub struct Unknown(Rc<Reasons>);

/// The reasons themselves, each kind in the order in which it was met.
#[derive(Debug, Clone, Default)]
pub struct Reasons {
    /// Values that the spec does not say.
    pub missing: Vec<Missing>,
    /// Values that stand in the spec but could not be read; they are reported as errors of the spec.
    pub unreadable: Vec<PlaceId>,
    /// Ranges of tables and formulas that were left, in words.
    pub beyond: Vec<Rc<str>>,
    /// Comparisons that the uncertainty leaves open.
    pub unproven: Vec<Rc<Decision>>,
    /// The car has no such thing.
    pub none: bool,
    /// The step budget is used up.
    pub exhausted: bool,
}

impl Unknown {
    /// The spec does not say it.
    #[cold]
    pub fn missing(place: PlaceId) -> Unknown {
        Unknown(Rc::new(Reasons { missing: vec![Missing { place, rest: Vec::new() }], ..Reasons::default() }))
    }

    /// The spec's designation does not say this part of it.
    #[cold]
    pub fn missing_part(place: PlaceId, part: &str) -> Unknown {
        let missing = vec![Missing { place, rest: vec![part.into()] }];
        Unknown(Rc::new(Reasons { missing, ..Reasons::default() }))
    }

    /// The spec's value could not be read.
    #[cold]
    pub fn unreadable(place: PlaceId) -> Unknown {
        Unknown(Rc::new(Reasons { unreadable: vec![place], ..Reasons::default() }))
    }

    /// A table or formula does not reach that far.
    #[cold]
    pub fn beyond(words: impl Into<Rc<str>>) -> Unknown {
        Unknown(Rc::new(Reasons { beyond: vec![words.into()], ..Reasons::default() }))
    }

    /// The uncertainty straddles the limit.
    #[cold]
    pub fn unproven(decision: Rc<Decision>) -> Unknown {
        Unknown(Rc::new(Reasons { unproven: vec![decision], ..Reasons::default() }))
    }

    /// There is no such thing on the car.
    #[cold]
    pub fn none() -> Unknown {
        Unknown(Rc::new(Reasons { none: true, ..Reasons::default() }))
    }

    /// The step budget is used up.
    #[cold]
    pub fn exhausted() -> Unknown {
        Unknown(Rc::new(Reasons { exhausted: true, ..Reasons::default() }))
    }

    /// The reasons.
    pub fn reasons(&self) -> &Reasons {
        &self.0
    }

    /// Whether the only reason is that the car has no such thing.
    pub fn is_none(&self) -> bool {
        let r = &self.0;
        r.none
            && r.missing.is_empty()
            && r.unreadable.is_empty()
            && r.beyond.is_empty()
            && r.unproven.is_empty()
            && !r.exhausted
    }

    /// The reasons of a key below a thing that is unknown for these reasons.
    #[must_use]
    #[cold]
    pub fn deeper(&self, key: &str) -> Unknown {
        if self.0.missing.is_empty() {
            return self.clone();
        }
        let mut reasons = (*self.0).clone();
        for missing in &mut reasons.missing {
            missing.rest.push(key.into());
        }
        Unknown(Rc::new(reasons))
    }

    /// Both reasons: either value could decide.
    #[must_use]
    #[cold]
    pub fn and(&self, other: &Unknown) -> Unknown {
        if Rc::ptr_eq(&self.0, &other.0) {
            return self.clone();
        }
        let mut r = (*self.0).clone();
        let o = &*other.0;
        add_new(&mut r.missing, &o.missing);
        add_new(&mut r.unreadable, &o.unreadable);
        add_new(&mut r.beyond, &o.beyond);
        for decision in &o.unproven {
            if !r.unproven.iter().any(|d| Rc::ptr_eq(d, decision)) {
                r.unproven.push(decision.clone());
            }
        }
        r.none |= o.none;
        r.exhausted |= o.exhausted;
        Unknown(Rc::new(r))
    }

    /// The reasons of a computation that needs both values: where one does not exist or lies beyond a range, measuring the
    /// other would not help.
    #[must_use]
    #[cold]
    pub fn needed_with(&self, other: &Unknown) -> Unknown {
        if self.is_none() {
            return self.clone();
        }
        if other.is_none() {
            return other.clone();
        }
        self.and(other)
    }
}

fn add_new<T: Clone + PartialEq>(to: &mut Vec<T>, from: &[T]) {
    for item in from {
        if !to.contains(item) {
            to.push(item.clone());
        }
    }
}
