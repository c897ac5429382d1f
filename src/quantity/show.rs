//! Prints quantities: in the author's unit or the kind's usual one, with as many digits as mean something.

use super::kind::{Dimension, Exponents, Kind};
use super::unit::{Unit, UnitId, usual_units};
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
    let value = unit.from_si(si, dimension);
    with_unit(plain(value, decimals(value, &unit, digits)), &unit, dimension)
}

/// The value with its uncertainty, both in one unit: `45 mm ± 2 mm`.
pub fn show_give_or_take(si: f64, give_or_take: f64, dimension: Dimension, unit: Option<UnitId>) -> String {
    let unit = unit_for(si, dimension, unit);
    let value = unit.from_si(si, dimension);
    let places = decimals(value, &unit, Some(Digits::GiveOrTake(give_or_take)));
    let spread = plain(give_or_take / unit.factor, places);
    format!("{} ± {}", with_unit(plain(value, places), &unit, dimension), with_unit(spread, &unit, step_of(dimension)))
}

/// The dimension of a difference of two such values.
fn step_of(dimension: Dimension) -> Dimension {
    dimension.kind.and_then(Kind::difference).map_or(dimension, Dimension::from)
}

fn with_unit(number: String, unit: &Unit, dimension: Dimension) -> String {
    let symbol = unit.id.symbol_for(dimension);
    match symbol.chars().next() {
        None => number,
        Some(':') => number + &symbol,
        Some(_) => format!("{number} {symbol}"),
    }
}

fn unit_for(si: f64, dimension: Dimension, unit: Option<UnitId>) -> Unit {
    let fits = |id: &UnitId| match dimension.kind {
        Some(kind) => id.serves(kind),
        None => id.measure().0 == dimension.exponents,
    };
    unit.filter(fits).unwrap_or_else(|| usual_unit(si, dimension)).unit()
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
            let large = steps.iter().rev().find(|id| si.abs() >= id.unit().factor);
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
const MOST_DECIMALS: i32 = 12;

/// The place of the first digit that counts: 0 for 1 to 9, -1 for 0.1 to 0.9.
fn place(value: f64) -> i32 {
    // Through the printed form: a logarithm puts 999.999… and 1000 on the wrong sides of each other.
    let printed = format!("{:e}", value.abs());
    printed.split_once('e').and_then(|(_, power)| power.parse().ok()).unwrap_or(0)
}

fn decimals(value: f64, unit: &Unit, digits: Option<Digits>) -> usize {
    let significant = |n: i32| n - 1 - place(value);
    let places = match digits {
        Some(Digits::Decimals(n)) => i32::from(n),
        Some(Digits::Significant(n)) => significant(i32::from(n.max(1))),
        Some(Digits::GiveOrTake(si)) if si > 0.0 && si.is_finite() => 1 - place(si / unit.factor),
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
