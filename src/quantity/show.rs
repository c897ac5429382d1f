//! Prints quantities: in the author's unit or the kind's usual one, with as many digits as mean something.

use super::kind::{Dimension, Exponents, Kind};
use super::unit::{UnitId, usual_units};
use super::unit_text::read_unit;
use std::collections::BTreeMap;
use std::sync::LazyLock;

/// How many digits of a value are printed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Digits {
    /// That many that count; digits before the point are never dropped.
    Significant(u8),
    /// That many after the point.
    Decimals(u8),
    /// As many as an uncertainty of that size in SI leaves: to its second digit.
    GiveOrTake(f64),
}

/// The value with its unit: `45 mm`, `0.6 deg`, `12.3 g/kWh`.
///
/// `unit` is the author's; without one, or if it does not measure the dimension, the kind's usual unit is taken, and for a
/// dimension of no kind the SI base units. Four digits are shown by default, and never more than an uncertainty leaves;
/// zeros at the end of decimals are dropped. What is not finite is printed as `beyond any number`.
pub fn show(si: f64, dimension: Dimension, unit: Option<UnitId>, digits: Option<Digits>) -> String {
    let unit = unit_for(si, dimension, unit);
    let (value, factor) = in_unit(si, dimension, unit);
    with_unit(plain(value, decimals(value, factor, digits)), unit, dimension)
}

/// A printed quantity in its parts, for tables.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShownParts {
    /// The number.
    pub number: String,
    /// The symbol of its unit; empty for a plain number.
    pub unit: String,
    /// The uncertainty in the same unit, where there is one.
    pub give_or_take: Option<String>,
}

/// What [`show`], or with an uncertainty above zero [`show_give_or_take`], prints, in its parts.
pub fn show_parts(si: f64, give_or_take: f64, dimension: Dimension, unit: Option<UnitId>) -> ShownParts {
    let unit = unit_for(si, dimension, unit);
    let (value, factor) = in_unit(si, dimension, unit);
    let uncertain = give_or_take > 0.0;
    let places = decimals(value, factor, uncertain.then_some(Digits::GiveOrTake(give_or_take)));
    ShownParts {
        number: plain(value, places),
        unit: symbol(unit, dimension),
        give_or_take: uncertain.then(|| plain(give_or_take / factor, places)),
    }
}

/// A plain number with four digits that count.
pub fn number(value: f64) -> String {
    plain(value, decimals(value, 1.0, None))
}

/// The values of a curve or an axis in one unit, the author's or the usual one of the largest: its symbol, and the values.
pub fn in_one_unit(si: &[f64], dimension: Dimension, unit: Option<UnitId>) -> (String, Vec<f64>) {
    let largest = si.iter().copied().filter(|v| v.is_finite()).fold(0.0, |most: f64, v| most.max(v.abs()));
    let unit = unit_for(largest, dimension, unit);
    (symbol(unit, dimension), si.iter().map(|v| in_unit(*v, dimension, unit).0).collect())
}

/// The value with its uncertainty, both in one unit: `45 mm ± 2 mm`.
pub fn show_give_or_take(si: f64, give_or_take: f64, dimension: Dimension, unit: Option<UnitId>) -> String {
    let unit = unit_for(si, dimension, unit);
    let (value, factor) = in_unit(si, dimension, unit);
    let places = decimals(value, factor, Some(Digits::GiveOrTake(give_or_take)));
    let spread = plain(give_or_take / factor, places);
    format!("{} ± {}", with_unit(plain(value, places), unit, dimension), with_unit(spread, unit, step_of(dimension)))
}

/// The value cut off behind so many digits that count in its unit, so that what is shown of it is no more than it is.
pub fn cut_off(si: f64, dimension: Dimension, unit: Option<UnitId>, digits: u8) -> f64 {
    let (value, factor) = in_unit(si, dimension, unit_for(si, dimension, unit));
    let step = 10f64.powi(place(value) + 1 - i32::from(digits.max(1)));
    // What stands on a step but for rounding stays there.
    let cut = (value / step * (1.0 + 1e-12)).trunc() * step;
    if cut.is_finite() { si + (cut - value) * factor } else { si }
}

/// The value in that unit, and the unit's factor. Only a temperature takes the offset of its scale.
fn in_unit(si: f64, dimension: Dimension, unit: UnitId) -> (f64, f64) {
    let (factor, offset) = unit.scale();
    let offset = if dimension.kind == Some(Kind::TemperatureDifference) { 0.0 } else { offset };
    (si / factor - offset, factor)
}

/// The dimension of a difference of two such values.
fn step_of(dimension: Dimension) -> Dimension {
    dimension.kind.and_then(Kind::difference).map_or(dimension, Dimension::from)
}

fn symbol(unit: UnitId, dimension: Dimension) -> String {
    if unit == UnitId::NONE && dimension.exponents != Exponents::NONE {
        // More base units than a unit can hold.
        dimension.exponents.to_string()
    } else {
        unit.symbol_for(dimension)
    }
}

fn with_unit(number: String, unit: UnitId, dimension: Dimension) -> String {
    let symbol = symbol(unit, dimension);
    match symbol.chars().next() {
        None => number,
        Some(':') => number + &symbol,
        Some(_) => {
            let mut text = number;
            text.reserve(symbol.len() + 1);
            text.push(' ');
            text.push_str(&symbol);
            text
        }
    }
}

fn unit_for(si: f64, dimension: Dimension, unit: Option<UnitId>) -> UnitId {
    let fits = |id: &UnitId| match dimension.kind {
        Some(kind) => id.serves(kind),
        None => id.measure().0 == dimension.exponents,
    };
    unit.filter(fits).unwrap_or_else(|| usual_unit(si, dimension))
}

static USUAL: LazyLock<BTreeMap<Kind, Vec<UnitId>>> = LazyLock::new(|| {
    let read = |kind: Kind, text: &str| read_unit(text).ok().map(|(id, _)| super::parse::for_kind(id, kind));
    let steps = |kind: Kind| -> &[&str] {
        match kind {
            Kind::Number => &[],
            Kind::Power => &["W", "kW"],
            Kind::Energy => &["J", "kJ", "MJ"],
            Kind::Stress => &["MPa", "GPa"],
            Kind::Resistance => &["mohm", "ohm"],
            Kind::Volume => &["cc", "L"],
            Kind::Acceleration => &["m/s2"],
            _ => usual_units(kind).get(..1).unwrap_or(&[]),
        }
    };
    Kind::ALL.iter().map(|&kind| (kind, steps(kind).iter().filter_map(|text| read(kind, text)).collect())).collect()
});

/// Of the kind's units for printing the largest in which the value is at least 1, else the smallest.
fn usual_unit(si: f64, dimension: Dimension) -> UnitId {
    let kind = dimension.kind.or_else(|| {
        let mut kinds = Kind::ALL.iter().filter(|k| k.exponents() == dimension.exponents && k.turns() == 0);
        // A bare 1/s may be a rotation or a frequency: the base units say neither.
        (dimension.exponents != Exponents::NONE && dimension.exponents != Kind::Frequency.exponents())
            .then(|| kinds.next().copied())
            .flatten()
    });
    match kind.and_then(|kind| USUAL.get(&kind)) {
        Some(steps) => {
            let large = steps.iter().rev().find(|id| si.abs() >= id.scale().0);
            large.or(steps.first()).copied().unwrap_or(UnitId::NONE)
        }
        None => base_units(dimension.exponents),
    }
}

fn base_units(exponents: Exponents) -> UnitId {
    let text = exponents.to_string();
    if text.is_empty() { UnitId::NONE } else { read_unit(&text).map_or(UnitId::NONE, |(id, _)| id) }
}

const DEFAULT_DIGITS: i32 = 4;
const MOST_DECIMALS: i32 = 20;

/// The place of the first of [`POWERS`]; what is smaller goes by it.
const LEAST_PLACE: i32 = -22;

/// The powers of ten in whose range quantities are printed.
const POWERS: [f64; 45] = [
    1e-22, 1e-21, 1e-20, 1e-19, 1e-18, 1e-17, 1e-16, 1e-15, 1e-14, 1e-13, 1e-12, 1e-11, 1e-10, 1e-9, 1e-8, 1e-7, 1e-6,
    1e-5, 1e-4, 1e-3, 1e-2, 1e-1, 1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
    1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
];

/// The place of the first digit that counts: 0 for 1 to 9, -1 for 0.1 to 0.9.
fn place(value: f64) -> i32 {
    // By comparison: a logarithm puts 999.999… and 1000 on the wrong sides of each other.
    let size = value.abs();
    let place = POWERS.partition_point(|power| *power <= size) as i32 - 1;
    if size == 0.0 || !size.is_finite() { 0 } else { place + LEAST_PLACE }
}

fn decimals(value: f64, factor: f64, digits: Option<Digits>) -> usize {
    let significant = |n: i32| n - 1 - place(value);
    let places = match digits {
        Some(Digits::Decimals(n)) => i32::from(n),
        Some(Digits::Significant(n)) => significant(i32::from(n.max(1))),
        Some(Digits::GiveOrTake(si)) if si > 0.0 && si.is_finite() => 1 - place(si / factor),
        Some(Digits::GiveOrTake(_)) | None => significant(DEFAULT_DIGITS),
    };
    usize::try_from(places.clamp(0, MOST_DECIMALS)).unwrap_or(0)
}

/// The number with at most that many decimals, zeros at their end dropped. Only what no shop measures takes a power of ten.
fn plain(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return "beyond any number".to_owned();
    }
    if value.abs() >= 1e15 || (value != 0.0 && value.abs() < 1e-9) {
        return format!("{value:.3e}");
    }
    let mut text = format!("{value:.decimals$}");
    if text.contains('.') {
        text.truncate(text.trim_end_matches('0').trim_end_matches('.').len());
    }
    if text == "-0" { "0".to_owned() } else { text }
}

#[cfg(test)]
mod tests {
    #[test]
    fn what_is_cut_off_is_shown_as_no_more_than_it_is() {
        for (si, shown) in [(0.13579e-3, "0.13 mm"), (0.2e-3, "0.2 mm"), (9.99e-3, "9.9 mm"), (0.0, "0 mm")] {
            let cut = super::cut_off(si, Kind::Length.into(), None, 2);
            assert!(cut <= si);
            assert_eq!(show(cut, Kind::Length.into(), None, Some(Digits::Significant(2))), shown);
        }
    }

    use super::*;
    use crate::quantity::parse;

    fn printed(text: &str, kind: Kind, digits: Option<Digits>) -> String {
        parse(text, kind).map_or_else(|e| e.message(), |w| show(w.si, kind.into(), Some(w.unit), digits))
    }

    #[test]
    fn values_in_the_authors_unit() {
        for (text, kind, shown) in [
            ("45 mm", Kind::Length, "45 mm"),
            ("1-3/4 in", Kind::Length, "1.75 in"),
            ("12345 mm", Kind::Length, "12345 mm"),
            ("0.00012345 m", Kind::Length, "0.0001234 m"),
            ("-3.4°", Kind::Angle, "-3.4 deg"),
            ("95 °C", Kind::Temperature, "95 °C"),
            ("0 °F", Kind::Temperature, "0 °F"),
            ("15 °C", Kind::TemperatureDifference, "15 °C"),
            ("4.1:1", Kind::Number, "4.1:1"),
            ("58 %", Kind::Number, "58 %"),
            ("101.3 kPa", Kind::AbsolutePressure, "101.3 kPa abs"),
            ("28 psig", Kind::GaugePressure, "28 psi gauge"),
            ("28 psi", Kind::GaugePressure, "28 psi"),
            ("0.82 g", Kind::Acceleration, "0.82 g"),
            ("-0.00001 mm", Kind::Length, "-0.00001 mm"),
            ("999.99999 mm", Kind::Length, "1000 mm"),
            ("0 mm", Kind::Length, "0 mm"),
        ] {
            assert_eq!(printed(text, kind, None), shown);
        }
    }

    #[test]
    fn digits_are_chosen() {
        assert_eq!(printed("12.3456 mm", Kind::Length, Some(Digits::Significant(2))), "12 mm");
        assert_eq!(printed("12.3456 mm", Kind::Length, Some(Digits::Decimals(1))), "12.3 mm");
        assert_eq!(printed("12.3456 mm", Kind::Length, Some(Digits::GiveOrTake(0.0005))), "12.35 mm");
        assert_eq!(printed("12.3456 mm", Kind::Length, Some(Digits::GiveOrTake(0.02))), "12 mm");
        assert_eq!(printed("-0.04 mm", Kind::Length, Some(Digits::Decimals(0))), "0 mm");
        assert_eq!(show_give_or_take(0.0452, 0.0021, Kind::Length.into(), None), "45.2 mm ± 2.1 mm");
        let celsius = read_unit("°C").ok().map(|(id, _)| id);
        assert_eq!(show_give_or_take(363.15, 2.0, Kind::Temperature.into(), celsius), "90 °C ± 2 °C");
        let kpa = read_unit("kPa").ok().map(|(id, _)| id);
        assert_eq!(show_give_or_take(1e5, 2e3, Kind::AbsolutePressure.into(), kpa), "100 kPa abs ± 2 kPa");
    }

    #[test]
    fn parts_are_those_of_the_whole() {
        for (si, spread, kind) in
            [(0.0452, 0.0021, Kind::Length), (363.15, 0.0, Kind::Temperature), (0.6, 0.0, Kind::Number)]
        {
            let parts = show_parts(si, spread, kind.into(), None);
            let space = if parts.unit.is_empty() { "" } else { " " };
            let mut whole = format!("{}{space}{}", parts.number, parts.unit);
            match &parts.give_or_take {
                Some(spread_shown) => {
                    whole += &format!(" ± {spread_shown}{space}{}", parts.unit);
                    assert_eq!(whole, show_give_or_take(si, spread, kind.into(), None));
                }
                None => assert_eq!(whole, show(si, kind.into(), None, None)),
            }
        }
    }

    #[test]
    fn values_of_a_curve_share_the_unit_of_the_largest() {
        assert_eq!(in_one_unit(&[0.0, 500.0, 2000.0], Kind::Power.into(), None), ("kW".into(), vec![0.0, 0.5, 2.0]));
        let celsius = in_one_unit(&[273.15, 373.15], Kind::Temperature.into(), None);
        assert_eq!(celsius, ("°C".into(), vec![0.0, 100.0]));
    }

    #[test]
    fn values_without_a_unit_take_the_usual_one() {
        for (si, kind, shown) in [
            (0.0205, Kind::Length, "20.5 mm"),
            (42_000.0, Kind::Power, "42 kW"),
            (120.0, Kind::Power, "120 W"),
            (2.05e11, Kind::Stress, "205 GPa"),
            (293.15, Kind::Temperature, "20 °C"),
            (1.17e-5, Kind::Expansion, "11.7 µm/(m K)"),
            (9.80665, Kind::Acceleration, "9.807 m/s2"),
            (0.6, Kind::Number, "0.6"),
            (0.0, Kind::Power, "0 W"),
        ] {
            assert_eq!(show(si, kind.into(), None, None), shown);
        }
        let of = |kind: Kind| Dimension::of_exponents(kind.exponents());
        assert_eq!(show(50.0, of(Kind::Torque), None, None), "50 Nm");
        assert_eq!(show(0.5, of(Kind::Number), None, None), "0.5");
        assert_eq!(show(50.0, of(Kind::Frequency), None, None), "50 1/s");
        let odd = Dimension::of_exponents(Exponents([1, 1, 1, 1, 0, 0, 0]));
        assert_eq!(show(2.0, odd, None, None), "2 kg m s A");
        assert_eq!(
            show(2.0, Dimension::of_exponents(Exponents([1, 1, 1, 1, 1, 1, 1])), None, None),
            "2 kg m s A K mol cd"
        );
        assert_eq!(show(f64::NAN, Kind::Length.into(), None, None), "beyond any number mm");
    }
}
