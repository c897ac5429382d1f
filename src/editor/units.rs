//! The units in which values of a kind are usually written, ready to be offered.

use crate::quantity::{Kind, UnitId, parse, show, usual_units};

/// The usual units of a kind: as they are written, and which they are.
pub fn usual(kind: Kind) -> Vec<(&'static str, UnitId)> {
    let read = |text: &&'static str| Some((*text, parse(&written("1", text), kind).ok()?.unit));
    usual_units(kind).iter().filter_map(read).collect()
}

/// A number with a unit behind it.
pub fn written(number: &str, unit: &str) -> String {
    if unit.starts_with(':') { format!("{number}{unit}") } else { format!("{number} {unit}") }
}

/// A value in the usual units of its kind other than its own.
pub fn in_other_units(si: f64, kind: Kind, own: UnitId) -> Vec<String> {
    let others = usual(kind).into_iter().filter(|(_, unit)| *unit != own);
    others.map(|(_, unit)| show(si, kind.into(), Some(unit), None)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_has_usual_units_that_can_be_offered() {
        for kind in Kind::ALL {
            assert_eq!(usual(*kind).len(), usual_units(*kind).len(), "{kind:?}");
        }
        let own = parse("25.4 mm", Kind::Length).map(|w| w.unit).unwrap_or_default();
        assert_eq!(in_other_units(0.0254, Kind::Length, own), ["1 in", "0.0254 m"]);
    }
}
