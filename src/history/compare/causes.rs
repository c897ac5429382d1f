//! Why something moved: of each trial, what it does to one number or one outcome.

use super::changes::signed;
use super::trials::{Trial, Way};
use crate::assess::{FigureReading, FigureValue, Judgement, Margin, Outcome};
use crate::quantity::{self, Dimension, UnitId};
use std::collections::BTreeMap;

/// Below this share of all that moved an effect is rounding.
const ROUNDING: f64 = 1e-6;

/// What a trial does.
#[derive(Debug, Clone, PartialEq)]
pub struct Cause {
    /// The trial, by its number.
    pub trial: usize,
    /// Its effect.
    pub effect: Effect,
}

/// An effect.
#[derive(Debug, Clone, PartialEq)]
pub enum Effect {
    /// So much of what moved is due to it; SI, and with its unit and sign.
    Moves {
        /// SI.
        si: f64,
        /// With its unit and sign.
        shown: String,
    },
    /// With it put back, or without anything else made, the outcome is this, in a word.
    Turns(String),
}

/// Why something moved.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Causes {
    /// Trials with an effect, the greatest first.
    pub of: Vec<Cause>,
    /// What of a moved number no single trial accounts for, with its unit and sign.
    pub joint: Option<String>,
    /// Whether an outcome is only turned by several changes together.
    pub together: bool,
}

/// What is the same on both sides of a comparison: the rule and its subject in the newer spec; of a whole list that is not
/// there, the subject's path.
pub(super) type Key = (usize, Result<u32, String>);

/// A trial's outcomes and figures by what they are of. Subjects are named as in the spec that was tried.
pub(super) struct Tried<'a> {
    pub way: Way,
    judgements: BTreeMap<Key, &'a Judgement>,
    figures: BTreeMap<(usize, &'a str), &'a FigureReading>,
}

impl<'a> Tried<'a> {
    pub fn new(trial: &'a Trial) -> Tried<'a> {
        Tried {
            way: trial.way,
            judgements: by_key(&trial.assessment.judgements),
            figures: trial.assessment.figures.iter().map(|f| ((f.figure, &*f.subject), &f.reading)).collect(),
        }
    }
}

/// The key of a judgement in the spec that it was made on.
pub(super) fn key(judgement: &Judgement) -> Key {
    (judgement.rule, judgement.place.map(|p| p.0).ok_or_else(|| judgement.subject.clone()))
}

pub(super) fn by_key(judgements: &[Judgement]) -> BTreeMap<Key, &Judgement> {
    judgements.iter().map(|j| (key(j), j)).collect()
}

/// One subject on both sides: keys in the older and in the newer spec.
pub(super) struct Subjects {
    pub old: Option<Key>,
    pub new: Option<Key>,
}

/// Why an outcome is another one than before.
pub(super) fn of_outcome(tried: &[Tried], subjects: &Subjects, was: &str, is: &str) -> Causes {
    let mut causes = Causes::default();
    let (mut all_the_way, mut half) = (Vec::new(), Vec::new());
    for (number, trial) in tried.iter().enumerate() {
        let key = match trial.way {
            Way::PutBack => &subjects.new,
            Way::MadeAlone => &subjects.old,
        };
        let Some(key) = key else { continue };
        let word = trial.judgements.get(key).map_or("not there", |j| j.outcome.word());
        let (from, to) = match trial.way {
            Way::PutBack => (is, was),
            Way::MadeAlone => (was, is),
        };
        if word != from {
            let cause = Cause { trial: number, effect: Effect::Turns(word.to_string()) };
            // What turns it all the way goes before what turns it half the way.
            if word == to { &mut all_the_way } else { &mut half }.push(cause);
        }
    }
    causes.of = all_the_way.into_iter().chain(half).collect();
    causes.together = causes.of.is_empty() && !tried.is_empty();
    causes
}

/// A number on both sides.
pub(super) struct Moved {
    pub old: f64,
    pub new: f64,
    pub dimension: Dimension,
    pub unit: Option<UnitId>,
}

impl Moved {
    pub fn shown(&self, si: f64) -> String {
        signed(&quantity::show(si, self.dimension, self.unit, None), si)
    }
}

/// Why a margin moved.
pub(super) fn of_margin(tried: &[Tried], subjects: &Subjects, moved: &Moved) -> Causes {
    let margin = |trial: &Tried| -> Option<f64> {
        let key = match trial.way {
            Way::PutBack => subjects.new.as_ref()?,
            Way::MadeAlone => subjects.old.as_ref()?,
        };
        let margin = trial.judgements.get(key)?.margin.as_ref()?;
        (margin.dimension().exponents == moved.dimension.exponents).then_some(margin.si())
    };
    of_number(tried, moved, &margin)
}

/// Why a figure moved; its subject as named in the older and in the newer spec.
pub(super) fn of_figure(tried: &[Tried], figure: usize, old: &str, new: &str, moved: &Moved) -> Causes {
    let value = |trial: &Tried| -> Option<f64> {
        match reading(trial, figure, old, new)? {
            FigureReading::Quantity { si, .. } => Some(*si),
            _ => None,
        }
    };
    of_number(tried, moved, &value)
}

/// Why a figure is another one where that is no matter of one number: `effect` says what a trial's reading amounts to, if anything.
pub(super) fn of_reading(
    tried: &[Tried],
    figure: usize,
    (old, new): (&str, &str),
    effect: &dyn Fn(&FigureReading, Way) -> Option<Effect>,
) -> Causes {
    let mut causes = Causes::default();
    for (number, trial) in tried.iter().enumerate() {
        let effect = match reading(trial, figure, old, new) {
            Some(found) => effect(found, trial.way),
            None => Some(Effect::Turns("not there".into())),
        };
        causes.of.extend(effect.map(|effect| Cause { trial: number, effect }));
    }
    causes.together = causes.of.is_empty() && !tried.is_empty();
    causes
}

fn reading<'a>(trial: &Tried<'a>, figure: usize, old: &str, new: &str) -> Option<&'a FigureReading> {
    let subject = match trial.way {
        Way::PutBack => new,
        Way::MadeAlone => old,
    };
    trial.figures.get(&(figure, subject)).copied()
}

fn of_number(tried: &[Tried], moved: &Moved, value: &dyn Fn(&Tried) -> Option<f64>) -> Causes {
    let total = moved.new - moved.old;
    let scale = total.abs().max(moved.new.abs() * ROUNDING);
    let mut causes = Causes::default();
    let (mut sum, mut whole) = (0.0, true);
    for (number, trial) in tried.iter().enumerate() {
        let Some(found) = value(trial) else {
            // Without a number there is no effect to add up; that it goes is an effect all the same.
            causes.of.push(Cause { trial: number, effect: Effect::Turns("without a value".into()) });
            whole = false;
            continue;
        };
        let effect = match trial.way {
            Way::PutBack => moved.new - found,
            Way::MadeAlone => found - moved.old,
        };
        sum += effect;
        if effect.abs() > ROUNDING * scale {
            let effect = Effect::Moves { si: effect, shown: moved.shown(effect) };
            causes.of.push(Cause { trial: number, effect });
        }
    }
    let size = |cause: &Cause| match &cause.effect {
        Effect::Moves { si, .. } => si.abs(),
        Effect::Turns(_) => f64::INFINITY,
    };
    causes.of.sort_by(|a, b| size(b).total_cmp(&size(a)).then(a.trial.cmp(&b.trial)));
    let joint = total - sum;
    if whole && joint.abs() > ROUNDING.sqrt() * scale {
        causes.joint = Some(moved.shown(joint));
    }
    causes
}

/// Whether two margins are of one dimension, so that their difference means something.
pub(super) fn comparable(old: &Margin, new: &Margin) -> bool {
    old.dimension().exponents == new.dimension().exponents && old.sign() == new.sign()
}

/// Whether an outcome says one way or the other.
pub(super) fn decided(outcome: &Outcome) -> bool {
    matches!(outcome, Outcome::Holds | Outcome::Broken(_) | Outcome::NotApplicable)
}

/// The figures of an assessment by what they are of.
pub(super) fn figures_by_key(figures: &[FigureValue]) -> BTreeMap<(usize, &str), &FigureReading> {
    figures.iter().map(|f| ((f.figure, &*f.subject), &f.reading)).collect()
}
