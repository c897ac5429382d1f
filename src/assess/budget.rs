//! The accuracy budget: whose uncertainty leaves requirements open, and how well it must be known to settle them.
//!
//! Every decision keeps its signed contributions c_i = (sensitivity) × (expanded uncertainty of value i), k = 2. With the distance d
//! from the limit and the root sum of squares of all others, r² = Σ c_j² (j ≠ i), the value i alone settles the decision if r < d, as
//! soon as its uncertainty is at most U_i · √(d² − r²) / |c_i|; all together settle it at U_i · d / √(Σ c_i²) (JCGM 100:2008, 5.1.2, solved for one input; ISO 14253-1 decides).

use super::assessment::{Assessment, Doubt, Outcome};
use crate::quantity::{Digits, Dimension, UnitId, cut_off, show};
use crate::source::Span;
use crate::terms::{Held, PlaceId, Spec};
use std::collections::BTreeMap;

/// A holding requirement is told as near where its distance from the limit is less than so many times its uncertainty.
const NEAR: f64 = 2.0;

/// What contributes less than this share of the variance is not told: measuring it better would change nothing.
const LEAST_SHARE: f64 = 0.01;

/// Digits of an accuracy that is asked for.
const DIGITS: u8 = 2;

/// Settled by less than this share the two sides would be told apart by rounding only.
const ROOM: f64 = 1.0 - 1e-9;

/// What the uncertainty of one measurement costs.
#[derive(Debug, Clone, PartialEq)]
pub struct Budget {
    /// Its path.
    pub path: String,
    /// Its place.
    pub place: PlaceId,
    /// Where it stands.
    pub span: Span,
    /// The uncertainty that is stated, SI.
    pub stated: f64,
    /// What kind of quantity an uncertainty of it is.
    pub dimension: Dimension,
    /// The unit that it is written in.
    pub unit: UnitId,
    /// Sum over the open decisions of its share in their variance: what it costs.
    pub cost: f64,
    /// Open outcomes to which it contributes.
    pub open: Vec<Settling>,
    /// Holding outcomes whose distance from the limit is less than twice their uncertainty, and to which it contributes most.
    pub near: Vec<Settling>,
    /// The uncertainty that settles every open outcome which it can settle alone, SI.
    pub would_do: Option<f64>,
}

/// One outcome to which a measurement's uncertainty contributes.
#[derive(Debug, Clone, PartialEq)]
pub struct Settling {
    /// The rule's number.
    pub rule: usize,
    /// The subject's path.
    pub subject: String,
    /// Its share in the variance.
    pub share: f64,
    /// The uncertainty of the measurement, SI, that settles an open outcome with all else as it is; none where no better measurement
    /// of this value alone would.
    pub needs: Option<f64>,
    /// The uncertainty of the measurement, SI, that settles an open outcome if every other one that contributes gets better by the same
    /// factor.
    pub together: Option<f64>,
    /// Of a holding outcome: its distance from the limit as a multiple of its uncertainty.
    pub reach: Option<f64>,
}

impl Budget {
    /// An uncertainty of it (SI) in its unit.
    pub fn shown(&self, si: f64) -> String {
        show(si, self.dimension, Some(self.unit), Some(Digits::Significant(DIGITS)))
    }
}

/// Every measurement whose uncertainty leaves something open or nearly so, the costliest first.
pub fn budget(assessment: &Assessment, spec: &Spec) -> Vec<Budget> {
    let mut all: BTreeMap<PlaceId, Budget> = BTreeMap::new();
    for judgement in &assessment.judgements {
        let settling = |share, needs, together, reach| Settling {
            rule: judgement.rule,
            subject: judgement.subject.clone(),
            share,
            needs,
            together,
            reach,
        };
        match (&judgement.outcome, &judgement.margin) {
            (Outcome::Unproven(values), _) => {
                let doubts: Vec<&Doubt> = values.iter().map(|value| &value.doubt).collect();
                let mut places: Vec<PlaceId> = doubts.iter().flat_map(|d| &d.parts).map(|part| part.0).collect();
                places.sort_unstable();
                places.dedup();
                for place in places {
                    let Some(entry) = entry(&mut all, place, spec) else { continue };
                    let share = doubts.iter().map(|doubt| share(doubt, place)).fold(0.0, f64::max);
                    if share < LEAST_SHARE {
                        continue;
                    }
                    // An outcome with several open decisions is settled when all of them are.
                    let needs = doubts.iter().map(|doubt| accuracy(doubt, place, entry.stated));
                    let needs =
                        needs.collect::<Option<Vec<f64>>>().map(|all| all.into_iter().fold(f64::INFINITY, f64::min));
                    let factor = doubts.iter().map(|doubt| doubt.distance / expanded(doubt) * ROOM).fold(1.0, f64::min);
                    entry.cost += share;
                    entry.open.push(settling(share, needs, Some(entry.stated * factor), None));
                }
            }
            (Outcome::Holds, Some(margin)) => {
                let doubt = &margin.doubt();
                let uncertainty = expanded(doubt);
                let largest = doubt.parts.iter().max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
                if let Some((place, _)) = largest
                    && uncertainty > 0.0
                    && doubt.distance < NEAR * uncertainty
                    && let Some(entry) = entry(&mut all, *place, spec)
                {
                    entry.near.push(settling(share(doubt, *place), None, None, Some(doubt.distance / uncertainty)));
                }
            }
            _ => {}
        }
    }
    let mut all: Vec<Budget> = all.into_values().filter(|one| !one.open.is_empty() || !one.near.is_empty()).collect();
    for one in &mut all {
        for settling in &mut one.open {
            // What is shown must do: better a little too well than not well enough.
            let cut = |si: f64| cut_off(si, one.dimension, Some(one.unit), DIGITS);
            (settling.needs, settling.together) = (settling.needs.map(cut), settling.together.map(cut));
        }
        let needs = one.open.iter().filter_map(|settling| settling.needs);
        one.would_do = needs.reduce(f64::min);
    }
    all.sort_by(|a, b| {
        b.cost.total_cmp(&a.cost).then(b.near.len().cmp(&a.near.len())).then_with(|| a.path.cmp(&b.path))
    });
    all
}

fn entry<'a>(all: &'a mut BTreeMap<PlaceId, Budget>, place: PlaceId, spec: &Spec) -> Option<&'a mut Budget> {
    let Held::Quantity(quantity) = spec.held(place) else { return None };
    let kind = quantity.kind.difference().unwrap_or(quantity.kind);
    Some(all.entry(place).or_insert_with(|| Budget {
        path: spec.path(place),
        place,
        span: spec.place(place).span,
        stated: quantity.give_or_take.unwrap_or_default(),
        dimension: kind.into(),
        unit: quantity.unit,
        cost: 0.0,
        open: Vec::new(),
        near: Vec::new(),
        would_do: None,
    }))
}

fn expanded(doubt: &Doubt) -> f64 {
    doubt.parts.iter().map(|(_, c)| c * c).sum::<f64>().sqrt()
}

fn part(doubt: &Doubt, place: PlaceId) -> f64 {
    doubt.parts.iter().find(|part| part.0 == place).map_or(0.0, |part| part.1)
}

fn share(doubt: &Doubt, place: PlaceId) -> f64 {
    let (whole, part) = (expanded(doubt), part(doubt, place));
    if whole > 0.0 { (part / whole).powi(2) } else { 0.0 }
}

/// The uncertainty of a value that settles a decision with all else as it is; nothing if none does.
fn accuracy(doubt: &Doubt, place: PlaceId, stated: f64) -> Option<f64> {
    let own = part(doubt, place);
    let rest: f64 = doubt.parts.iter().filter(|part| part.0 != place).map(|(_, c)| c * c).sum();
    let left = doubt.distance.powi(2) - rest;
    (left > 0.0 && own != 0.0).then(|| (left.sqrt() / own.abs()).min(1.0) * stated * ROOM)
}
