//! Each way in which a spec can be wrong, with the place and the words of its error.

use proptest::prelude::*;

use super::{read, said, small};
use crate::source::Span;
use crate::terms::{Held, Spec, TermsError, TermsProblem};

/// What a spec is told, without its first line.
fn told(text: &str) -> Vec<String> {
    let (spec, errors) = read(small(), &format!("tramgauge: 1\n{text}\n"));
    agree(&spec, &errors);
    said(&spec, &errors)
}

fn within(inner: Span, outer: Span) -> bool {
    inner.file == outer.file && outer.start <= inner.start && inner.end <= outer.end
}

/// Every unreadable place has an error in it or at it, and the terms themselves are at fault nowhere.
pub(super) fn told_of_all(spec: &Spec, errors: &[TermsError]) {
    for (id, place) in spec.places() {
        // A build without any keys is an error of its source.
        if matches!(place.held, Held::Unreadable) && id != spec.root() {
            let told = errors.iter().any(|e| within(e.span, place.span) || e.span.start >= place.span.end);
            assert!(told, "nothing is said of {}: {errors:?}", spec.path(id));
        }
    }
    let refused = errors.iter().find(|error| matches!(error.problem, TermsProblem::Refused { .. }));
    assert!(refused.is_none(), "{refused:?}");
}

/// The same, and every error about a value leaves its place unreadable.
fn agree(spec: &Spec, errors: &[TermsError]) {
    told_of_all(spec, errors);
    for error in errors {
        let of_a_value = !matches!(
            error.problem,
            TermsProblem::UnknownKey { .. }
                | TermsProblem::MissingName { .. }
                | TermsProblem::DuplicateName { .. }
                | TermsProblem::UncertaintyTwice
        );
        if of_a_value {
            let unreadable = |place: &crate::terms::Place| {
                matches!(place.held, Held::Unreadable)
                    && (within(error.span, place.span) || place.span.end <= error.span.start)
            };
            assert!(spec.places().any(|(_, place)| unreadable(place)), "{error:?}");
        }
    }
}

#[test]
fn a_right_spec_is_told_nothing() {
    let text = "
fuel:
  grade: petrol
  grades: [petrol, diesel]
  tanks:
    - tank: main
      lowest_level: {is: 310 mm, give_or_take: 2 mm, known_by: measured, taken: 2026-05-02}
      full: {is: 20 °C, give_or_take: 2 °C}
      vented: yes
      end_of_life: 2027-01-31
      middle: [1 mm, -2 mm, {is: 3 mm, known_by: drawn}]
      outlets: [{outlet: feed, diameter: 5/16 in}, none]
    - tank: 2
      lowest_level: none
      outlets: none
  pumps:
    - {pump: lift, draws_from: main, outlet: feed, thread: M10x1.25, note: \"yes\"}
    - {pump: high, draws_from: 2, thread: none}
line: [{joint: front, bend: 1.5°}, {shaft: long, length: 700 mm}, none]";
    assert_eq!(told(text), Vec::<String>::new());
    assert_eq!(told("fuel: none\nline: none"), Vec::<String>::new());
}

#[test]
fn unknown_keys() {
    assert_eq!(told("fule: none"), ["2:1 `fule`: `fule` is not a key of a spec (did you mean `fuel`?)"]);
    assert_eq!(
        told("fuel: {tanks: [{tank: main, lowest_levl: 1 mm, colour: red, bend: 1 deg}]}"),
        [
            "2:29 `lowest_levl`: `lowest_levl` is not a key of `fuel.tank` (did you mean `lowest_level`?)",
            "2:48 `colour`: `colour` is not a key of `fuel.tank` (its keys are `tank`, `lowest_level`, `full`, `vented`, `end_of_life`, `middle`, `outlets`)",
            "2:61 `bend`: `bend` is not a key of `fuel.tank` (`line.joint` has a key of this name)",
        ]
    );
    assert_eq!(
        told("line: [{shaft: long, length: {is: 1 m, known_as: drawn}}]"),
        ["2:40 `known_as`: `known_as` is not a key of a quantity (did you mean `known_by`?)"]
    );
}

#[test]
fn wrong_forms() {
    assert_eq!(
        told("fuel: [1]"),
        [
            "2:7 `[1]`: a list stands where a section with keys of its own belongs (its keys are `grade`, `grades`, `tanks`, `pumps`)"
        ]
    );
    assert_eq!(
        told("fuel: yes"),
        [
            "2:7 `yes`: yes or no stands where a section with keys of its own belongs (its keys are `grade`, `grades`, `tanks`, `pumps`)"
        ]
    );
    assert_eq!(
        told("fuel: {grades: petrol}"),
        [
            "2:16 `petrol`: text stands where a list belongs (put its members on lines of their own with a dash in front, or in square brackets)"
        ]
    );
    assert_eq!(
        told("fuel: {tanks: [{tank: main, lowest_level: [1 mm]}]}"),
        ["2:43 `[1 mm]`: a list stands where a length belongs (for example `310 mm`)"]
    );
    assert_eq!(
        told("fuel: {tanks: [{tank: main, middle: [1 mm, 2 mm]}]}"),
        [
            "2:37 `[1 mm, 2 mm]`: a list of 2 stands where a point belongs (write `[x, y, z]`, three lengths from the ground below the middle of the front axle, for example `[120 mm, -340 mm, 415 mm]`)"
        ]
    );
    assert_eq!(
        told("fuel: {tanks: [{tank: main, vented: perhaps}]}"),
        ["2:37 `perhaps`: text stands where yes or no belongs (write `yes` or `no`)"]
    );
    assert_eq!(
        told("fuel: {pumps: [{pump: lift, note: no}]}"),
        ["2:35 `no`: yes or no stands where text belongs (put quotes around it if text is meant)"]
    );
}

#[test]
fn nothing_where_something_belongs() {
    let help = "write it, take the key away until it is known, or write `none` if the car has no such thing; for example `310 mm`";
    assert_eq!(
        told("fuel:\n  tanks:\n    - tank: main\n      lowest_level:\n"),
        [format!("5:20 ``: nothing is written where a length belongs ({help})")]
    );
    assert_eq!(
        told("fuel:\n  pumps:\n    - pump: lift\n      thread: #10-32\n"),
        ["5:15 `#10-32`: `#10-32` is read as a comment, so that nothing is written here (quote it: \"#10-32\")"]
    );
}

#[test]
fn choices_days_and_names() {
    assert_eq!(
        told("fuel: {grade: pertol}"),
        ["2:15 `pertol`: `pertol` is not one of the known words here (did you mean `petrol`?)"]
    );
    assert_eq!(
        told("fuel: {grades: [petrol, steam]}"),
        ["2:25 `steam`: `steam` is not one of the known words here (the known ones are `petrol`, `diesel`)"]
    );
    assert_eq!(
        told("fuel: {tanks: [{tank: main, end_of_life: 2026-02-30}]}"),
        ["2:42 `2026-02-30`: `2026-02-30` is not a day (write year, month and day, as in `2026-05-02`)"]
    );
    assert_eq!(
        told("fuel: {tanks: [{lowest_level: 1 mm}]}"),
        ["2:16 `{lowest_level: 1 mm}`: this item has no name: `tank` is missing (add `tank:`)"]
    );
    assert_eq!(
        told("fuel: {tanks: [{tank: main}, {tank: main}]}"),
        [
            "2:37 `main`: `main` is the name of two items of this list (give one of them another name; references would not know which is meant)"
        ]
    );
    assert_eq!(
        told("fuel: {tanks: [{tank: a, outlets: [{outlet: feed}]}, {tank: b, outlets: [{outlet: feed}]}]}"),
        Vec::<String>::new()
    );
}

#[test]
fn references() {
    assert_eq!(
        told(
            "fuel: {tanks: [{tank: main}, {tank: spare}], pumps: [{pump: lift, draws_from: mian}, {pump: high, draws_from: sea}]}"
        ),
        [
            "2:79 `mian`: there is no `mian` in `fuel.tanks` (did you mean `main`?)",
            "2:111 `sea`: there is no `sea` in `fuel.tanks` (the items there are `main`, `spare`)",
        ]
    );
    assert_eq!(
        told("fuel: {pumps: [{pump: lift, draws_from: main}]}"),
        ["2:41 `main`: there is no `main` in `fuel.tanks` (`fuel.tanks` has no items yet)"]
    );
}

#[test]
fn mixed_lists() {
    assert_eq!(
        told("line: [{bend: 1 deg}]"),
        ["2:8 `{bend: 1 deg}`: this item does not say what it is (give it a name under one of `joint`, `shaft`)"]
    );
    assert_eq!(
        told("line: [{joint: a, length: 1 mm}]"),
        ["2:19 `length`: `length` is not a key of `line.joint` (`line.shaft` has a key of this name)"]
    );
    assert_eq!(told("line: [{joint: a, bend: 1 mm}]").len(), 1);
    assert_eq!(told("line: [front]").len(), 1);
}

#[test]
fn quantities_explain_themselves_at_their_own_place() {
    let cases = ["310", "310 kg", "310 mn", "three mm", "310 mm ± 2 kg"];
    for case in cases {
        let errors = told(&format!("fuel: {{tanks: [{{tank: main, lowest_level: {case}}}]}}"));
        assert_eq!(errors.len(), 1, "{case}: {errors:?}");
        let errors = told(&format!("fuel: {{tanks: [{{tank: main, lowest_level: {{is: \"{case}\"}}}}]}}"));
        assert_eq!(errors.len(), 1, "{case}: {errors:?}");
    }
    assert_eq!(
        told("fuel: {tanks: [{tank: main, lowest_level: {is: 3 mm ± 1 mm, give_or_take: 2 mm}}]}"),
        ["2:75 `2 mm`: the uncertainty is given twice (leave one of the two)"]
    );
    assert_eq!(
        told("fuel: {tanks: [{tank: main, lowest_level: {known_by: drawn}}]}"),
        ["2:43 `{known_by: drawn}`: this quantity has no value (add `is:`)"]
    );
    assert_eq!(
        told("fuel: {tanks: [{tank: main, lowest_level: {is: 3 mm, known_by: guessed, taken: today}}]}"),
        [
            "2:64 `guessed`: `guessed` is not one of the known words here (the known ones are `measured`, `maker`, `drawn`, `assumed`)",
            "2:80 `today`: `today` is not a day (write year, month and day, as in `2026-05-02`)",
        ]
    );
}

#[test]
fn all_errors_are_told_at_once_and_the_rest_is_read() {
    let text = "tramgauge: 2\nfuel:\n  grade: coal\n  tanks: [{tank: main, lowest_level: 310, full: 20 °C}]\nlane: 3\n";
    let (spec, errors) = read(small(), text);
    agree(&spec, &errors);
    assert_eq!(errors.len(), 4, "{:?}", said(&spec, &errors));
    let full = spec.find("fuel.tanks/main.full").expect("it is there");
    assert!(matches!(spec.held(full), Held::Quantity(q) if (q.si - 293.15).abs() < 1e-9));
}

#[test]
fn many_errors_take_no_longer_than_they_must() {
    let mut text = String::from("tramgauge: 1\nfuel:\n  pumps:\n");
    for i in 0..2_000 {
        text += &format!("    - {{pump: p{i}, draws_from: q{i}, k{i}: 1}}\n");
    }
    text += "  tanks:\n";
    for i in 0..2_000 {
        text += &format!("    - {{tank: t{i}}}\n");
    }
    for i in 0..2_000 {
        text += &format!("x{i}: 1\n");
    }
    let (_, errors) = read(small(), &text);
    assert_eq!(errors.len(), 6_000);
}

/// Values as people and accidents write them.
fn value() -> impl Strategy<Value = String> {
    value_with(&[])
}

/// The same, with more keys.
pub(super) fn value_with(more: &[&'static str]) -> impl Strategy<Value = String> + use<> {
    let leaf = prop_oneof![
        Just("none".to_owned()),
        Just("main".to_owned()),
        Just("yes".to_owned()),
        Just("310 mm".to_owned()),
        Just("1-3/4 in ± 1/16 in".to_owned()),
        Just("20 °C".to_owned()),
        Just("2026-05-02".to_owned()),
        Just("petrol".to_owned()),
        Just("12".to_owned()),
        Just("~".to_owned()),
        Just("\"\"".to_owned()),
        Just("{is: 3 mm, give_or_take: 1 mm}".to_owned()),
        Just("{is: 3 mm, known_by: main}".to_owned()),
        Just("parts/a.yaml".to_owned()),
        Just("parts/b.yaml".to_owned()),
        Just("{file: parts/a.yaml}".to_owned()),
        Just("[1 mm, 2 mm, 3 mm]".to_owned()),
        "[a-zA-Z0-9 .°±/-]{0,12}".prop_map(|text| format!("'{text}'")),
    ];
    let mut keys = vec![
        "tank",
        "pump",
        "joint",
        "shaft",
        "lowest_level",
        "full",
        "vented",
        "end_of_life",
        "middle",
        "outlets",
        "outlet",
        "diameter",
        "draws_from",
        "thread",
        "note",
        "bend",
        "length",
        "grade",
        "grades",
        "tanks",
        "pumps",
        "is",
        "known_by",
        "fuel",
        "line",
        "own",
        "tramgauge",
        "wrong",
    ];
    keys.extend(more);
    let key = prop::sample::select(keys);
    leaf.prop_recursive(5, 40, 5, move |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..4).prop_map(|items| format!("[{}]", items.join(", "))),
            prop::collection::btree_map(key.clone(), inner, 0..6).prop_map(|map| format!(
                "{{{}}}",
                map.iter().map(|(k, v)| format!("{k}: {v}")).collect::<Vec<_>>().join(", ")
            )),
        ]
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_spec_is_read_and_errors_and_unreadable_places_agree(fuel in value(), line in value(), tanks in prop::collection::vec(value(), 0..4)) {
        for text in [
            format!("tramgauge: 1\nfuel: {fuel}\nline: {line}\n"),
            format!("fuel: {{tanks: [{}], pumps: {fuel}}}\nline: [{line}]\n", tanks.join(", ")),
            fuel.clone(),
        ] {
            let (spec, errors) = read(small(), &text);
            agree(&spec, &errors);
            // Each path leads back to its place.
            for (id, _) in spec.places() {
                prop_assert_eq!(spec.find(&spec.path(id)), Some(id), "{}", spec.path(id));
            }
        }
    }

    #[test]
    fn no_text_makes_it_panic(text in "\\PC{0,80}") {
        let (spec, errors) = read(small(), &text);
        let _ = said(&spec, &errors);
        let _ = spec.find(&text);
    }
}
