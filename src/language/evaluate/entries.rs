//! What is said of written values themselves: whether they are usual, and when they were measured.

use super::super::code::{EntryPart, Odd};
use super::super::evidence::Evidence;
use super::super::unknown::Unknown;
use super::super::value::{Reading, Value};
use super::{Evaluator, list};
use crate::quantity;
use crate::terms::{Held, PlaceId};
use std::collections::BTreeSet;

impl Evaluator<'_> {
    /// The spec's own odd values, and overrides that are unusual where they stand; they take nothing out.
    #[inline(never)]
    pub(super) fn odd_values(&self, odd: Odd) -> Reading {
        let places: Vec<PlaceId> = match odd {
            Odd::Unusual => {
                let own = self.spec.unusual();
                let new = self.overrides.iter().filter(|(place, held)| self.spec.is_unusual(**place, held));
                let all: BTreeSet<PlaceId> = own.chain(new.map(|(place, _)| *place)).collect();
                all.into_iter().collect()
            }
            Odd::Stale => self.spec.stale().collect(),
        };
        let readings = places.into_iter().map(|p| Reading::known(Value::Place(p), Evidence::NONE)).collect();
        Reading::known(list(readings), Evidence::NONE)
    }

    #[inline(never)]
    pub(super) fn entry_part(&mut self, base: &Reading, part: EntryPart) -> Reading {
        let place = match &base.value {
            Ok(Value::Place(place)) => *place,
            Ok(_) => return Reading::unknown(Unknown::none(), base.evidence),
            Err(unknown) => return Reading::unknown(unknown.clone(), base.evidence),
        };
        let own = self.evidence.place(place);
        let evidence = self.evidence.join(base.evidence, own);
        let Held::Quantity(written) = *self.held(place) else {
            return Reading::unknown(Unknown::missing(place), evidence);
        };
        let shown = |si: f64| quantity::show(si, written.kind.into(), Some(written.unit), None);
        let usual = self.spec.field(place).and_then(|field| field.usual);
        let value = match part {
            EntryPart::Written => Some(Value::Text(shown(written.si).into())),
            EntryPart::Usual => usual.map(|(a, b)| Value::Text(format!("{} to {}", shown(a), shown(b)).into())),
            EntryPart::IsUsual => usual.map(|(a, b)| Value::Truth((a..=b).contains(&written.si), None)),
            EntryPart::ChangedBy => {
                self.spec.changed_after(place).map(|day| Value::Text(self.spec.change_at(day).into()))
            }
            EntryPart::Taken => written.taken.map(Value::Date),
            EntryPart::Changed => {
                let Some(changed) = self.spec.changed_after(place) else {
                    return Reading::unknown(Unknown::none(), evidence);
                };
                let day = self.read(changed, false);
                return Reading { value: day.value, evidence: self.evidence.join(evidence, day.evidence) };
            }
        };
        Reading { value: value.ok_or_else(Unknown::none), evidence }
    }
}
