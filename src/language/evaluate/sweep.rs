//! Sweeps: a condition throughout a range, extremes over it, and curves. Between samples the worst point is refined, so that
//! a limit cannot be passed unseen between two of them.

use super::super::code::{Code, Running};
use super::super::evidence::Evidence;
use super::super::number::Number;
use super::super::syntax::Extreme;
use super::super::unknown::Unknown;
use super::super::value::{Curve, Decision, Reading, Value};
use super::lists::set;
use super::logic::{Seen, seen, truth};
use super::{Evaluator, Frame, needed};
use crate::search::lowest_about;
use std::rc::Rc;

/// Samples of a sweep before it is refined.
const SAMPLES: usize = 13;

/// Points of a curve.
const CURVE_POINTS: usize = 61;

/// How well the worst point is found, as a share of what lies between the samples beside it.
const NARROW: f64 = 2e-4;

/// Most looks for the worst point around one sample.
const REFINEMENTS: usize = 16;

impl Evaluator<'_> {
    fn ends(&mut self, running: &Running, frame: &mut Frame) -> Result<(Number, Number, Evidence), Reading> {
        let (from, to) = (self.eval(&running.from, frame), self.eval(&running.to, frame));
        let evidence = self.evidence.join(from.evidence, to.evidence);
        let readings = [from, to];
        if let Some(unknown) = needed(&readings) {
            return Err(Reading::unknown(unknown, evidence));
        }
        match (readings[0].number(), readings[1].number()) {
            (Some(a), Some(b)) => Ok((a.clone(), b.clone(), evidence)),
            _ => Err(Reading::unknown(Unknown::none(), evidence)),
        }
    }

    fn at(&mut self, running: &Running, body: &Code, like: &Number, x: f64, frame: &mut Frame) -> Reading {
        let mut number = Number::exact(x, like.dimension);
        number.unit = like.unit;
        set(frame, running.local, Reading::known(Value::Number(number), Evidence::NONE));
        self.eval(body, frame)
    }

    /// Looks between the samples beside these dips for a reading with a score still less than that of any sample; gives the
    /// least with its place.
    fn refined(
        &mut self,
        (running, body, like): (&Running, &Code, &Number),
        (xs, scores): (&[f64], &[f64]),
        dips: impl Iterator<Item = usize>,
        frame: &mut Frame,
        score: impl Fn(&Reading) -> Option<f64>,
    ) -> Option<(f64, Reading)> {
        let mut least = scores.iter().copied().fold(f64::INFINITY, f64::min);
        let mut found = None;
        let sample = |i: usize| (xs[i], scores[i]);
        for dip in dips {
            let about = [sample(dip.saturating_sub(1)), sample(dip), sample((dip + 1).min(xs.len() - 1))];
            let near = NARROW * (about[2].0 - about[0].0).abs();
            lowest_about(about, near, REFINEMENTS, |x| {
                let reading = self.at(running, body, like, x, frame);
                let there = score(&reading)?;
                if there < least {
                    least = there;
                    found = Some((x, reading));
                }
                Some(there)
            });
        }
        found
    }

    #[inline(never)]
    pub(super) fn throughout(&mut self, running: &Running, has: &Code, frame: &mut Frame) -> Reading {
        let (from, to, bounds) = match self.ends(running, frame) {
            Ok(found) => found,
            Err(reading) => return reading,
        };
        let xs = spaced(from.si, to.si, SAMPLES);
        let mut scores = vec![f64::NAN; xs.len()];
        let mut worst: Option<(f64, usize, Reading)> = None;
        let mut open: Option<(Unknown, Evidence)> = None;
        let mut nothing = None;
        for (i, x) in xs.iter().enumerate() {
            let reading = self.at(running, has, &from, *x, frame);
            match seen(&reading) {
                Seen::Unknown(unknown) => {
                    let hopeless = unknown.reasons().unproven.is_empty();
                    open = Some(match open {
                        None => (unknown, reading.evidence),
                        Some((known, evidence)) => (known.and(&unknown), evidence),
                    });
                    // What is missing at one point of a range is missing at the others.
                    if hopeless && i >= 1 {
                        break;
                    }
                }
                Seen::Nothing => nothing = Some(reading),
                Seen::True(_) | Seen::False(_) => {
                    let score = score(&reading);
                    scores[i] = score;
                    if worst.as_ref().is_none_or(|w| score < w.0) {
                        worst = Some((score, i, reading));
                    }
                }
            }
        }
        let best = worst.map(|(there, i, reading)| {
            let finer = (there.is_finite() && open.is_none()).then(|| {
                let near = dips(&scores).filter(|dip| !far_from_turning(&scores, *dip));
                let truth = |reading: &Reading| matches!(reading.value, Ok(Value::Truth(..))).then(|| score(reading));
                self.refined((running, has, &from), (&xs, &scores), near, frame, truth)
            });
            let (x, reading) = finer.flatten().unwrap_or((xs[i], reading));
            marked(running, &from, x, reading)
        });
        if self.tracing()
            && let Some(Reading { value: Ok(Value::Truth(_, Some(d))), .. }) = &best
            && let Some((_, x)) = d.at.first()
        {
            self.at(running, has, &from, x.si, frame);
        }
        match (best, open) {
            (Some(reading), _) if matches!(reading.value, Ok(Value::Truth(false, _))) => {
                Reading { value: reading.value, evidence: self.evidence.join(reading.evidence, bounds) }
            }
            (_, Some((unknown, evidence))) => Reading::unknown(unknown, self.evidence.join(evidence, bounds)),
            (Some(reading), None) => {
                Reading { value: reading.value, evidence: self.evidence.join(reading.evidence, bounds) }
            }
            (None, None) => match nothing {
                Some(reading) => reading,
                None => Reading { value: truth(true, None), evidence: bounds },
            },
        }
    }

    #[inline(never)]
    pub(super) fn extreme_over(
        &mut self,
        extreme: Extreme,
        body: &Code,
        running: &Running,
        frame: &mut Frame,
    ) -> Reading {
        let (from, to, bounds) = match self.ends(running, frame) {
            Ok(found) => found,
            Err(reading) => return reading,
        };
        let sign = if extreme == Extreme::Least { 1.0 } else { -1.0 };
        let xs = spaced(from.si, to.si, SAMPLES);
        let mut scores = vec![f64::NAN; xs.len()];
        let mut best: Option<(usize, Reading)> = None;
        for (i, x) in xs.iter().enumerate() {
            let reading = self.at(running, body, &from, *x, frame);
            match (&reading.value, reading.number()) {
                (_, Some(n)) => {
                    scores[i] = sign * n.si;
                    if best.as_ref().is_none_or(|b| scores[i] < scores[b.0]) {
                        best = Some((i, reading));
                    }
                }
                (Err(unknown), _) if unknown.is_none() => {}
                _ => return Reading { value: reading.value, evidence: self.evidence.join(reading.evidence, bounds) },
            }
        }
        let Some((i, reading)) = best else { return Reading::unknown(Unknown::none(), bounds) };
        let number = |reading: &Reading| reading.number().map(|n| sign * n.si);
        let finer = self.refined((running, body, &from), (&xs, &scores), dips(&scores), frame, number);
        let (x, mut reading) = finer.unwrap_or((xs[i], reading));
        if self.tracing() {
            self.at(running, body, &from, x, frame);
        }
        reading.evidence = self.evidence.join(reading.evidence, bounds);
        reading
    }

    #[inline(never)]
    pub(super) fn curve(&mut self, running: &Running, body: &Code, frame: &mut Frame) -> Reading {
        let (from, to, mut evidence) = match self.ends(running, frame) {
            Ok(found) => found,
            Err(reading) => return reading,
        };
        let x = spaced(from.si, to.si, CURVE_POINTS);
        let mut y = Vec::with_capacity(x.len());
        let mut why: Option<Unknown> = None;
        let mut y_unit = None;
        for at in &x {
            let reading = self.at(running, body, &from, *at, frame);
            evidence = self.evidence.join(evidence, reading.evidence);
            if let Err(unknown) = &reading.value {
                why = Some(why.map_or_else(|| unknown.clone(), |w| w.and(unknown)));
            }
            y_unit = y_unit.or(reading.number().and_then(|n| n.unit));
            y.push(reading.number().map(|n| n.si));
        }
        if y.iter().all(Option::is_none) {
            return Reading::unknown(why.unwrap_or_else(Unknown::none), evidence);
        }
        let y_dimension = body.dimension;
        let over = (*running.name).into();
        let x_unit = from.unit.or(to.unit);
        let curve = Curve { over, x, y, x_dimension: from.dimension, y_dimension, x_unit, y_unit };
        Reading::known(Value::Curve(Rc::new(curve)), evidence)
    }
}

fn spaced(from: f64, to: f64, count: usize) -> Vec<f64> {
    let last = count - 1;
    (0..count).map(|i| if i == last { to } else { from + (to - from) * i as f64 / last as f64 }).collect()
}

/// The samples beside which the least score may lie: the least of them, and each that is lower than its neighbours and would
/// be undercut if from there it fell once more as far as it did from the higher one.
fn dips(scores: &[f64]) -> impl Iterator<Item = usize> {
    let mut least: Option<usize> = None;
    for (i, score) in scores.iter().enumerate() {
        if !score.is_nan() && least.is_none_or(|least| *score < scores[least]) {
            least = Some(i);
        }
    }
    let undercuts = move |i: usize, least: usize| {
        let is_dip = beside(scores, i).all(|other| other.is_nan() || other >= scores[i]);
        is_dip && scores[i] - change(scores, i) < scores[least]
    };
    (0..scores.len()).filter(move |i| least.is_some_and(|least| *i == least || undercuts(*i, least)))
}

/// The scores of the samples beside one.
fn beside(scores: &[f64], i: usize) -> impl Iterator<Item = f64> {
    [i.checked_sub(1), Some(i + 1)].into_iter().flatten().filter_map(|i| scores.get(i).copied())
}

/// The greatest change from a sample to those beside it.
fn change(scores: &[f64], i: usize) -> f64 {
    beside(scores, i).map(|other| (other - scores[i]).abs()).fold(0.0, f64::max)
}

/// Whether a condition holds at a sample by far more than it changes towards the neighbouring samples, so that it cannot turn
/// between them.
fn far_from_turning(scores: &[f64], i: usize) -> bool {
    scores[i] > 4.0 * change(scores, i)
}

/// The smaller the worse: broken below holding, then by how near to the limit.
fn score(reading: &Reading) -> f64 {
    match &reading.value {
        Ok(Value::Truth(holds, Some(d))) => {
            let near = d.share.unwrap_or(d.margin).abs();
            if *holds { near } else { -near - f64::MIN_POSITIVE }
        }
        Ok(Value::Truth(true, None)) => f64::INFINITY,
        Ok(Value::Truth(false, None)) => f64::NEG_INFINITY,
        _ => f64::INFINITY,
    }
}

fn marked(running: &Running, like: &Number, x: f64, reading: Reading) -> Reading {
    let Ok(Value::Truth(value, Some(decision))) = &reading.value else { return reading };
    let mut number = Number::exact(x, like.dimension);
    number.unit = like.unit;
    let mut named: Decision = (**decision).clone();
    named.at.insert(0, ((*running.name).into(), number));
    Reading { value: truth(*value, Some(Rc::new(named))), evidence: reading.evidence }
}
