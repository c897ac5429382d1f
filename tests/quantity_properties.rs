//! Properties of reading and printing: what is printed reads back as the same value, and no text can break the readers.

use proptest::prelude::*;
use tramgauge::quantity::{
    Designation, DesignationKind, Digits, Dimension, Kind, Written, parse, show, show_give_or_take, unit_at,
    usual_units,
};

/// Further units which builders use and which are not among the usual ones of their kind.
const MORE_UNITS: &[(&str, Kind)] = &[
    ("%", Kind::Number),
    (":1", Kind::Number),
    ("yd", Kind::Length),
    ("µm", Kind::Length),
    ("US fl oz", Kind::Volume),
    ("cu in", Kind::Volume),
    ("short ton", Kind::Mass),
    ("g", Kind::Acceleration),
    ("kgf*cm", Kind::Torque),
    ("ft lbf", Kind::Energy),
    ("inHg", Kind::Pressure),
    ("psig", Kind::GaugePressure),
    ("mbar abs", Kind::AbsolutePressure),
    ("kgf/mm2", Kind::Stress),
    ("lb/(ft s)", Kind::DynamicViscosity),
    ("Btu/(h ft2 °F)", Kind::HeatTransfer),
    ("/°F", Kind::Expansion),
];

fn unit_and_kind() -> impl Strategy<Value = (&'static str, Kind)> {
    let usual = Kind::ALL.iter().flat_map(|&kind| usual_units(kind).iter().map(move |unit| (*unit, kind)));
    proptest::sample::select(usual.chain(MORE_UNITS.iter().copied()).collect::<Vec<_>>())
}

fn number() -> impl Strategy<Value = String> {
    let sign = prop_oneof![Just(""), Just("-"), Just("−"), Just("+")];
    let size = prop_oneof![
        (0u32..100_000).prop_map(|n| n.to_string()),
        (0u32..2000, 0u32..10_000, 1usize..5).prop_map(|(whole, part, n)| format!("{whole}.{part:0n$}")),
        (0u32..20, 1u32..16).prop_map(|(whole, part)| format!("{whole}-{part}/16")),
        (1u32..64).prop_map(|part| format!("{part}/64")),
    ];
    (sign, size).prop_map(|(sign, size)| format!("{sign}{size}"))
}

/// Equal as nearly as printing all digits allows.
fn same(a: f64, b: f64, scale: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs()).max(scale)
}

proptest! {
    #[test]
    fn text_to_value_to_text_to_value(number in number(), (unit, kind) in unit_and_kind()) {
        let Ok(first) = parse(&format!("{number} {unit}"), kind) else {
            // Below the zero of an absolute scale, or an empty ratio: the only texts of this form that are refused.
            prop_assert!(matches!(kind, Kind::Temperature | Kind::AbsolutePressure), "{number} {unit}");
            return Ok(());
        };
        let printed = show(first.si, kind.into(), Some(first.unit), Some(Digits::Decimals(12)));
        let second = parse(&printed, kind);
        prop_assert!(second.is_ok(), "{printed}: {second:?}");
        let second = second.unwrap_or(Written { si: f64::NAN, ..first });
        prop_assert!(same(first.si, second.si, 1e-3), "{number} {unit} -> {printed}: {first:?} {second:?}");
        prop_assert_eq!(show(second.si, kind.into(), Some(second.unit), Some(Digits::Decimals(9))),
            show(first.si, kind.into(), Some(first.unit), Some(Digits::Decimals(9))));
    }

    #[test]
    fn as_written_decimals_print_as_written(whole in 0u32..9999, part in 1u32..999, (unit, kind) in unit_and_kind()) {
        let text = format!("{whole}.{part:03} {unit}");
        if let Ok(written) = parse(&text, kind) {
            let printed = show(written.si, kind.into(), Some(written.unit), written.decimals.map(Digits::Decimals));
            let number = text.split(' ').next().unwrap_or("").trim_end_matches('0');
            prop_assert!(printed.starts_with(number), "{text} -> {printed}");
        }
    }

    #[test]
    fn tolerances_read_back(value in 1u32..9999, spread in 1u32..99, (unit, kind) in unit_and_kind()) {
        let text = format!("{value} {unit} ± {spread}");
        let Ok(first) = parse(&text, kind) else { return Err(TestCaseError::fail(text)) };
        let Some(spread) = first.give_or_take else { return Err(TestCaseError::fail(text)) };
        let printed = show_give_or_take(first.si, spread, kind.into(), Some(first.unit));
        let Ok(second) = parse(&printed, kind) else { return Err(TestCaseError::fail(printed)) };
        prop_assert!(second.give_or_take.is_some_and(|again| same(again, spread, 0.0)), "{text} -> {printed}");
        prop_assert!((second.si - first.si).abs() <= 0.06 * spread, "{text} -> {printed}");
    }

    #[test]
    fn a_value_prints_the_same_in_any_unit_of_its_kind(value in 1u32..9999, (unit, kind) in unit_and_kind(), other in 0usize..3) {
        let usual = usual_units(kind);
        let other = usual[other % usual.len()];
        let (Ok(first), Ok(scale)) = (parse(&format!("{value} {unit}"), kind), parse(&format!("1 {other}"), kind)) else {
            return Ok(());
        };
        let printed = show(first.si, kind.into(), Some(scale.unit), Some(Digits::Significant(15)));
        if let Ok(second) = parse(&printed, kind) {
            prop_assert!(same(first.si, second.si, 1e-9), "{value} {unit} -> {printed}");
        }
    }

    #[test]
    fn no_text_breaks_the_readers(text in proptest::collection::vec(piece(), 0..9).prop_map(|pieces| pieces.concat())) {
        read_all(&text)?;
    }

    #[test]
    fn no_characters_break_the_readers(text in "\\PC{0,12}") {
        read_all(&text)?;
    }

    #[test]
    fn compound_units_print_as_they_read(parts in proptest::collection::vec((0usize..ATOMS.len(), 1i8..4), 1..4), under in 0usize..4) {
        let write = |parts: &[(usize, i8)]| {
            parts.iter().map(|(atom, power)| format!("{}^{power}", ATOMS[*atom])).collect::<Vec<_>>().join("*")
        };
        let (below, above) = parts.split_at(under.min(parts.len() - 1));
        let text = if below.is_empty() { write(above) } else { format!("{}/({})", write(above), write(below)) };
        if let Some(Ok((unit, end))) = unit_at(&text) {
            prop_assert_eq!(end, text.len());
            let printed = unit.symbol().replace(' ', "*");
            let again = unit_at(printed.strip_prefix("1/").map_or(printed.as_str(), |_| "m"));
            prop_assert!(printed.is_empty() || printed.starts_with("1/") || again.is_some_and(|r| r.is_ok_and(|(u, _)| u == unit)),
                "{text} -> {printed}");
        }
    }

    #[test]
    fn values_of_any_size_print(si in proptest::num::f64::ANY, kind in proptest::sample::select(Kind::ALL)) {
        let dimension = Dimension::from(kind);
        prop_assert!(!show(si, dimension, None, None).is_empty());
        prop_assert!(!show_give_or_take(si, si, Dimension::of_exponents(dimension.exponents), None).is_empty());
    }
}

const ATOMS: &[&str] =
    &["mm", "m", "kg", "lb", "s", "h", "N", "lbf", "deg", "rad", "K", "°C", "A", "W", "L", "%", "psi", "J"];

fn piece() -> impl Strategy<Value = String> {
    let fixed = [
        " ", "-", "−", "+", "±", "+/-", "/", "*", "·", "(", ")", "^", "²", "⁻¹", ".", ",", "e", "0", "1", "3", "10",
        "999", "1e308", "mm", "in", "\"", "°", "°C", "psi", "psig", "bar", " abs", "gal", "US gal", "lb", "ft", "kW",
        "h", "%", ":", ":1", "M10", "x", "R16", "AWG", "G", "#", "½", "to", "µ", "Ω", "é", "日", "\u{301}", "\u{a0}",
        "_",
    ];
    proptest::sample::select(fixed.map(str::to_owned).to_vec())
}

fn read_all(text: &str) -> Result<(), TestCaseError> {
    for &kind in Kind::ALL {
        match parse(text, kind) {
            Ok(written) => {
                prop_assert!(written.si.is_finite() && written.give_or_take.is_none_or(|u| u >= 0.0), "{text}")
            }
            Err(error) => {
                prop_assert!(text.get(error.range.clone()).is_some(), "{text}: {:?}", error.range);
                prop_assert!(!error.message().is_empty() && error.help() != Some(String::new()));
            }
        }
    }
    match unit_at(text) {
        Some(Ok((_, end))) => prop_assert!(end > 0 && text.get(..end).is_some(), "{text}"),
        Some(Err(error)) => {
            prop_assert!(!error.message(text).is_empty() && text.get(error.range.clone()).is_some(), "{text}")
        }
        None => {}
    }
    for &kind in DesignationKind::ALL {
        match Designation::read(text, kind) {
            Ok(read) => {
                let printed = read.to_string();
                let again = Designation::read(&printed, kind).map(|d| d.to_string());
                prop_assert_eq!(again, Ok(printed), "{}", text);
                for (name, _) in kind.parts() {
                    let _ = read.part(name);
                }
            }
            Err(error) => prop_assert!(!error.message().is_empty()),
        }
    }
    Ok(())
}
