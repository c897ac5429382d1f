//! Which values of a place are worth trying: its usual range, or where the terms know none, a span around what is written.

use crate::quantity::{Kind, UnitId, parse};
use crate::terms::{PlaceId, Spec, SpecQuantity};

/// Values in even steps all over a span.
const EVEN: usize = 40;

/// Values on either side of the one as written, each half as far from it as the one before.
const CLOSER: i32 = 9;

/// From which ratio of its ends on a span is walked in equal ratios and not in equal steps.
const WIDE: f64 = 60.0;

/// How far to either side a coordinate is tried, in m.
const REACH: f64 = 0.25;

/// What is tried.
pub(super) struct Tried {
    pub from: f64,
    pub to: f64,
    pub now: Option<f64>,
    /// Whether it is the usual range.
    pub usual: bool,
    /// The unit of the first example.
    pub unit: Option<UnitId>,
}

/// The span of a place of that kind. A value outside its usual range widens it.
pub(super) fn span_of(spec: &Spec, place: PlaceId, kind: Kind, written: Option<&SpecQuantity>) -> Tried {
    let field = spec.field(place);
    let example = field.and_then(|f| f.examples.first()).and_then(|text| parse(text, kind).ok());
    let now = written.map(|w| w.si);
    let usual = field.and_then(|f| f.usual);
    let (from, to) = match (usual, now) {
        (Some(usual), _) => usual,
        (None, Some(now)) if field.is_none() && kind == Kind::Length => (now - REACH, now + REACH),
        (None, Some(now)) if now != 0.0 => ((now / 4.0).min(now * 4.0), (now / 4.0).max(now * 4.0)),
        _ => {
            let scale = example.as_ref().map_or(1.0, |e| e.si);
            (scale.min(0.0), scale.max(0.0) * 4.0)
        }
    };
    let from = now.map_or(from, |now| from.min(now));
    let to = now.map_or(to, |now| to.max(now));
    Tried { from, to, now, usual: usual.is_some(), unit: example.map(|e| e.unit) }
}

/// The values to be tried, in rising order, each once: all over the span, and closer and closer to the one as written.
pub(super) fn values(span: &Tried) -> Vec<f64> {
    let (from, to) = (span.from, span.to);
    let share = |i: usize| i as f64 / EVEN as f64;
    let mut all: Vec<f64> = if from > 0.0 && to / from > WIDE {
        (0..=EVEN).map(|i| from * (to / from).powf(share(i))).collect()
    } else {
        (0..=EVEN).map(|i| from + (to - from) * share(i)).collect()
    };
    if let Some(now) = span.now {
        all.push(now);
        for (end, sign) in [(from, -1.0), (to, 1.0)] {
            let way = (end - now).abs().min((to - from) / 2.0);
            all.extend((2..2 + CLOSER).map(|k| now + sign * way * 0.5f64.powi(k)));
        }
    }
    all.extend([from, to]);
    all.retain(|x| x.is_finite() && (from..=to).contains(x));
    all.sort_by(f64::total_cmp);
    all.dedup();
    all
}
