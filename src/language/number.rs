//! A number while rules are evaluated: SI value, dimension, the author's unit, and what each uncertain spec value adds to its
//! uncertainty.
//!
//! Uncertainty is first order: every number carries, for each spec value that states one, the signed product of sensitivity and
//! expanded uncertainty. Shared inputs therefore cancel (`x - x` has none), and independent ones add by root sum of squares
//! (JCGM 100:2008, 5.1.2).

use crate::quantity::{self, Dimension, Kind, UnitId};
use crate::terms::PlaceId;
use smallvec::SmallVec;
use std::rc::Rc;

/// A number with a dimension.
#[derive(Debug, Clone, PartialEq)]
pub struct Number {
    /// Value in SI.
    pub si: f64,
    /// Exponents and kind.
    pub dimension: Dimension,
    /// The unit in which its author wrote it, or the value it was made from.
    pub unit: Option<UnitId>,
    /// Contributions to the uncertainty, by spec value.
    pub spread: Spread,
}

/// Signed contributions to an expanded uncertainty (SI, k = 2), one for each uncertain spec value, by place.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Spread(Option<Rc<[(PlaceId, f64)]>>);

impl Spread {
    /// The uncertainty of a spec value itself.
    pub fn of(place: PlaceId, expanded: f64) -> Spread {
        if expanded > 0.0 { Spread(Some(Rc::new([(place, expanded)]))) } else { Spread(None) }
    }

    /// Whether nothing is uncertain.
    pub fn is_none(&self) -> bool {
        self.0.is_none()
    }

    /// The contributions.
    pub fn parts(&self) -> &[(PlaceId, f64)] {
        self.0.as_deref().unwrap_or(&[])
    }

    /// The expanded uncertainty: root sum of squares of the contributions.
    pub fn expanded(&self) -> f64 {
        self.parts().iter().map(|(_, c)| c * c).sum::<f64>().sqrt()
    }

    /// All contributions times a sensitivity.
    #[must_use]
    pub fn scaled(&self, by: f64) -> Spread {
        match &self.0 {
            None => Spread(None),
            Some(_) if by == 1.0 => self.clone(),
            Some(parts) => Spread(Some(parts.iter().map(|(p, c)| (*p, c * by)).collect())),
        }
    }

    /// Contributions of a sum: those of the same spec value add with their signs.
    #[must_use]
    pub fn plus(&self, other: &Spread) -> Spread {
        self.joined(1.0, other, 1.0)
    }

    /// Contributions of a sum of both, each times its sensitivity.
    #[must_use]
    pub fn joined(&self, by: f64, other: &Spread, other_by: f64) -> Spread {
        let (a, b) = match (&self.0, &other.0) {
            (_, None) => return self.scaled(by),
            (None, _) => return other.scaled(other_by),
            (Some(a), Some(b)) => (a, b),
        };
        let mut out: SmallVec<[(PlaceId, f64); 16]> = SmallVec::with_capacity(a.len() + b.len());
        let (mut i, mut j) = (0, 0);
        while let (Some(x), Some(y)) = (a.get(i), b.get(j)) {
            match x.0.cmp(&y.0) {
                std::cmp::Ordering::Less => (out.push((x.0, x.1 * by)), i += 1).1,
                std::cmp::Ordering::Greater => (out.push((y.0, y.1 * other_by)), j += 1).1,
                std::cmp::Ordering::Equal => {
                    out.push((x.0, x.1 * by + y.1 * other_by));
                    i += 1;
                    j += 1;
                }
            }
        }
        out.extend(a[i..].iter().map(|(p, c)| (*p, c * by)));
        out.extend(b[j..].iter().map(|(p, c)| (*p, c * other_by)));
        Spread(Some(out[..].into()))
    }

    /// The spec value that contributes most.
    pub fn largest(&self) -> Option<PlaceId> {
        self.parts().iter().max_by(|a, b| a.1.abs().total_cmp(&b.1.abs())).map(|p| p.0)
    }
}

/// Contributions to the uncertainties of several numbers that rest on the same spec values.
#[derive(Debug)]
pub(super) struct Spreads {
    places: SmallVec<[PlaceId; 16]>,
    /// For each number its contributions, in the order of the places.
    totals: Vec<f64>,
}

impl Spreads {
    /// None yet, for so many numbers that rest on the spec values of these.
    pub(super) fn of<'a>(inputs: impl Iterator<Item = &'a Spread>, count: usize) -> Spreads {
        let mut places: SmallVec<[PlaceId; 16]> = SmallVec::new();
        inputs.for_each(|input| places.extend(input.parts().iter().map(|(place, _)| *place)));
        places.sort_unstable();
        places.dedup();
        Spreads { totals: vec![0.0; places.len() * count], places }
    }

    /// Adds an input's contributions to each of the numbers, times the sensitivity of that number to it.
    pub(super) fn add(&mut self, input: &Spread, sensitivities: impl Iterator<Item = f64>) {
        let mut numbers = self.totals.chunks_exact_mut(self.places.len().max(1));
        for (totals, by) in numbers.by_ref().zip(sensitivities) {
            let mut into = self.places.iter().zip(totals);
            for (place, contribution) in input.parts() {
                if let Some((_, total)) = into.by_ref().find(|(at, _)| *at == place) {
                    *total += contribution * by;
                }
            }
        }
    }

    /// The sums for one of the numbers.
    pub(super) fn of_number(&self, at: usize) -> Spread {
        let from = at * self.places.len();
        let totals = self.totals.get(from..from + self.places.len()).unwrap_or_default();
        Spread(Some(self.places.iter().copied().zip(totals.iter().copied()).collect()))
    }
}

impl Number {
    /// An exact number.
    pub fn exact(si: f64, dimension: Dimension) -> Number {
        Number { si, dimension, unit: None, spread: Spread::default() }
    }

    /// An exact plain number.
    pub fn plain(value: f64) -> Number {
        Number::exact(value, Kind::Number.into())
    }

    /// The number as a person reads it: in its author's unit, with its uncertainty if it has one.
    pub fn shown(&self) -> String {
        self.shown_in(self.unit)
    }

    /// The number in a unit.
    pub fn shown_in(&self, unit: Option<UnitId>) -> String {
        let expanded = self.spread.expanded();
        if expanded > 0.0 {
            quantity::show_give_or_take(self.si, expanded, self.dimension, unit)
        } else {
            quantity::show(self.si, self.dimension, unit, None)
        }
    }
}
