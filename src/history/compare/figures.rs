//! Figures on both sides: which moved, by how much, and why.

use super::causes::{Causes, Effect, Moved, Tried, figures_by_key, of_figure, of_reading};
use super::changes::{signed, step_of};
use super::content::same_number;
use super::pairs::Pairs;
use super::trials::Way;
use crate::assess::{Assessment, FigureReading};
use crate::language::Curve;
use crate::quantity;
use crate::terms::Spec;
use std::collections::BTreeSet;

/// A figure that is another one than before.
#[derive(Debug, Clone)]
pub struct FigureMove {
    /// The figure's number in the rulebook.
    pub figure: usize,
    /// The subject's path in the newer spec; in the older one if it is gone.
    pub subject: String,
    /// The subject's path in the older spec, where that is another.
    pub old_subject: Option<String>,
    /// How it was; nothing if the subject was not there.
    pub old: Option<FigureReading>,
    /// How it is; nothing if the subject is not there.
    pub new: Option<FigureReading>,
    /// By how much a quantity moved, or the most by which a curve did, with unit and sign.
    pub difference: Option<String>,
    /// The same as a share of the greater side; 1 for what is no quantity.
    pub share: f64,
    /// Why.
    pub causes: Causes,
}

/// Compares figures; also gives the number of those that moved by less than what is shown of them.
pub(super) fn figures(
    specs: (&Spec, &Spec),
    pairs: &Pairs,
    before: &Assessment,
    after: &Assessment,
    tried: &[Tried],
) -> (Vec<FigureMove>, usize) {
    let (old, new) = specs;
    let was = figures_by_key(&before.figures);
    let same = Same { old, new, pairs };
    let (mut moves, mut left_out) = (Vec::new(), 0);
    let mut seen: BTreeSet<(usize, String)> = BTreeSet::new();
    for value in &after.figures {
        let place = new.find(&value.subject).and_then(|place| pairs.older(place));
        let old_subject = place.map(|place| old.path(place));
        let known = old_subject.as_deref().and_then(|subject| was.get(&(value.figure, subject))).copied();
        if let Some(subject) = &old_subject
            && known.is_some()
        {
            seen.insert((value.figure, subject.clone()));
        }
        match known {
            Some(known) if same.readings(known, &value.reading) => {}
            Some(known) if alike(known, &value.reading) => left_out += 1,
            known => {
                let old_subject = old_subject.unwrap_or_else(|| value.subject.clone());
                moves.push(moved(
                    &same,
                    tried,
                    value.figure,
                    (&old_subject, &value.subject),
                    known,
                    Some(&value.reading),
                ));
            }
        }
    }
    for value in &before.figures {
        if !seen.contains(&(value.figure, value.subject.clone())) && !is_without(&value.reading) {
            let place = old.find(&value.subject).and_then(|place| pairs.newer(place));
            let subject = place.map_or_else(|| value.subject.clone(), |place| new.path(place));
            moves.push(moved(&same, tried, value.figure, (&value.subject, &subject), Some(&value.reading), None));
        }
    }
    // New or gone subjects bring figures with them, which say less than those that moved.
    moves.retain(|m| m.old.is_some() || m.new.as_ref().is_some_and(|new| !is_without(new)));
    moves.sort_by(|a, b| {
        let both = |m: &FigureMove| m.old.is_some() && m.new.is_some();
        both(b)
            .cmp(&both(a))
            .then(b.share.total_cmp(&a.share))
            .then(a.figure.cmp(&b.figure))
            .then_with(|| a.subject.cmp(&b.subject))
    });
    (moves, left_out)
}

fn is_without(reading: &FigureReading) -> bool {
    matches!(reading, FigureReading::Without(_))
}

/// Whether readings are the same although names and places changed.
struct Same<'a> {
    old: &'a Spec,
    new: &'a Spec,
    pairs: &'a Pairs,
}

impl Same<'_> {
    fn readings(&self, old: &FigureReading, new: &FigureReading) -> bool {
        match (old, new) {
            (
                FigureReading::Quantity { si, uncertainty, .. },
                FigureReading::Quantity { si: other, uncertainty: other_uncertainty, .. },
            ) => same_number(*si, *other) && same_number(*uncertainty, *other_uncertainty),
            (FigureReading::Words(old), FigureReading::Words(new)) => old == new || self.renamed(old, new),
            (FigureReading::Fields(old), FigureReading::Fields(new)) => old == new,
            (FigureReading::Curve(old), FigureReading::Curve(new)) => {
                let numbers =
                    |a: &[f64], b: &[f64]| a.len() == b.len() && a.iter().zip(b).all(|(a, b)| same_number(*a, *b));
                let values = |curve: &Curve| curve.y.iter().map(|y| y.unwrap_or(f64::MAX)).collect::<Vec<_>>();
                numbers(&old.x, &new.x) && numbers(&values(old), &values(new))
            }
            (FigureReading::Without(_), FigureReading::Without(_)) => true,
            _ => false,
        }
    }

    /// Whether the words are the path of one thing under two names.
    fn renamed(&self, old: &str, new: &str) -> bool {
        let place = self.old.find(old).and_then(|place| self.pairs.newer(place));
        place.is_some_and(|place| self.new.path(place) == new)
    }
}

/// Whether two readings are shown alike.
fn alike(old: &FigureReading, new: &FigureReading) -> bool {
    match (old, new) {
        (FigureReading::Quantity { shown, .. }, FigureReading::Quantity { shown: other, .. }) => shown == other,
        _ => false,
    }
}

fn moved(
    same: &Same,
    tried: &[Tried],
    figure: usize,
    (old_subject, subject): (&str, &str),
    old: Option<&FigureReading>,
    new: Option<&FigureReading>,
) -> FigureMove {
    let effect = |found: &FigureReading, way: Way| match way {
        Way::PutBack => effect(same, found, new?),
        Way::MadeAlone => effect(same, old?, found),
    };
    let by_readings = || of_reading(tried, figure, (old_subject, subject), &effect);
    let (difference, share, causes) = match (old, new) {
        (
            Some(FigureReading::Quantity { si: old, .. }),
            Some(FigureReading::Quantity { si: new, dimension, unit, .. }),
        ) if !same_number(*old, *new) => {
            let moved = Moved { old: *old, new: *new, dimension: step_of(*dimension), unit: *unit };
            let share = (new - old).abs() / old.abs().max(new.abs());
            (Some(moved.shown(new - old)), share, of_figure(tried, figure, old_subject, subject, &moved))
        }
        // The same with another uncertainty.
        (Some(FigureReading::Quantity { .. }), Some(FigureReading::Quantity { .. })) => (None, 0.0, by_readings()),
        (Some(FigureReading::Curve(old)), Some(FigureReading::Curve(new))) => match curve_difference(old, new) {
            Some((_, shown, share)) => (Some(shown), share, by_readings()),
            None => (None, 1.0, by_readings()),
        },
        _ => (None, 1.0, by_readings()),
    };
    FigureMove {
        figure,
        subject: subject.to_string(),
        old_subject: (old_subject != subject).then(|| old_subject.to_string()),
        old: old.cloned(),
        new: new.cloned(),
        difference,
        share,
        causes,
    }
}

/// What lies between two readings of one figure, if anything does.
fn effect(same: &Same, before: &FigureReading, after: &FigureReading) -> Option<Effect> {
    if same.readings(before, after) {
        return None;
    }
    Some(match (before, after) {
        (FigureReading::Curve(before), FigureReading::Curve(after)) => match curve_difference(before, after) {
            Some((si, shown, _)) => Effect::Moves { si, shown },
            None => Effect::Turns("another curve".into()),
        },
        (FigureReading::Quantity { shown, .. }, _) => Effect::Turns(shown.clone()),
        (FigureReading::Without(outcome), _) => Effect::Turns(outcome.word().into()),
        _ => Effect::Turns("another".into()),
    })
}

/// The greatest difference of two curves over the same points: SI, with unit and sign, and as a share of the greatest value.
fn curve_difference(old: &Curve, new: &Curve) -> Option<(f64, String, f64)> {
    let same_points = old.x.len() == new.x.len() && old.x.iter().zip(&new.x).all(|(a, b)| same_number(*a, *b));
    let both = || old.y.iter().zip(&new.y).filter_map(|(old, new)| Some(((*old)?, (*new)?)));
    let greatest = both().map(|(old, new)| new - old).max_by(|a, b| a.abs().total_cmp(&b.abs()));
    let step = greatest.filter(|step| same_points && *step != 0.0)?;
    let size = both().map(|(old, new)| old.abs().max(new.abs())).fold(f64::MIN_POSITIVE, f64::max);
    let shown = quantity::show(step, step_of(new.y_dimension), None, None);
    Some((step, signed(&shown, step), step.abs() / size))
}
