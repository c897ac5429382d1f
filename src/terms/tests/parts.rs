//! Data sheets below the records that name them: what wins, what is judged, where it points.

use super::checking::{told_of_all, value_with};
use super::small;
use proptest::prelude::*;

use crate::source::{MemoryFiles, read_build};
use crate::terms::{Held, Spec, TermsError, build_spec};

fn read(files: &[(&str, &str)]) -> (Spec, Vec<TermsError>) {
    let files = MemoryFiles::from_texts(files.iter().copied());
    let read = read_build(&files, "cars/build.yaml");
    assert_eq!(read.errors, []);
    build_spec(small(), read)
}

fn told(spec: &Spec, errors: &[TermsError]) -> Vec<String> {
    let at = |span: crate::source::Span| {
        let at = spec.sources.position(span.file, span.start);
        format!("{}:{}:{}", spec.sources.name(span.file), at.line, at.column)
    };
    let one = |e: &TermsError| {
        format!("{} {}{}", at(e.span), e.message(), e.other.map_or(String::new(), |o| format!(", used {}", at(o))))
    };
    errors.iter().map(one).collect()
}

fn said(spec: &Spec, path: &str) -> (String, String, Option<String>) {
    let id = spec.find(path).unwrap_or_else(|| panic!("{path}"));
    let span = spec.place(id).span;
    let used = spec.used(id).map(|used| {
        let at = spec.sources.position(used.file, used.start);
        format!("{}:{}", spec.sources.name(used.file), at.line)
    });
    (spec.sources.slice(span).to_string(), spec.sources.name(span.file).to_string(), used)
}

fn stands(text: &str, file: &str, used: Option<&str>) -> (String, String, Option<String>) {
    (text.into(), file.into(), used.map(str::to_string))
}

#[test]
fn keys_of_a_sheet_stand_below_the_records_own() {
    let (spec, errors) = read(&[
        (
            "cars/build.yaml",
            "fuel:\n  tanks:\n    - tank: main\n      part: parts/cell.yaml\n      lowest_level: {is: 320 mm}\n    - {tank: spare, part: parts/cell.yaml}\n",
        ),
        (
            "parts/cell.yaml",
            "part: parts/base.yaml\nlowest_level: {is: 310 mm, give_or_take: 2 mm}\nfull: 20 °C\noutlets: [{outlet: feed}]\n",
        ),
        ("parts/base.yaml", "full: 90 °C\nvented: yes\nmiddle: [1 mm, 2 mm, 3 mm]\n"),
    ]);
    assert_eq!(told(&spec, &errors), Vec::<String>::new());
    // A quantity is one value: nothing of the sheet's long form is left below the record's own.
    let level = spec.find("fuel.tanks/main.lowest_level").expect("written");
    assert!(matches!(spec.held(level), Held::Quantity(q) if q.si == 0.32 && q.give_or_take.is_none()));
    assert_eq!(said(&spec, "fuel.tanks/main.lowest_level"), stands("{is: 320 mm}", "cars/build.yaml", None));
    let first = Some("cars/build.yaml:4");
    assert_eq!(said(&spec, "fuel.tanks/main.full"), stands("20 °C", "parts/cell.yaml", first));
    assert_eq!(said(&spec, "fuel.tanks/main.vented"), stands("yes", "parts/base.yaml", first));
    assert_eq!(said(&spec, "fuel.tanks/main.middle.y"), stands("2 mm", "parts/base.yaml", first));
    assert_eq!(said(&spec, "fuel.tanks/main.outlets/feed.diameter"), stands("feed", "parts/cell.yaml", first));
    assert_eq!(said(&spec, "fuel.tanks/spare.full"), stands("20 °C", "parts/cell.yaml", Some("cars/build.yaml:6")));
    assert_eq!(said(&spec, "fuel.tanks/spare.end_of_life"), stands("spare", "cars/build.yaml", None));
}

#[test]
fn an_item_may_have_its_name_and_kind_from_its_sheet() {
    let (spec, errors) = read(&[
        ("cars/build.yaml", "line:\n  - part: parts/front.yaml\n  - {part: parts/front.yaml, joint: rear}\n"),
        ("parts/front.yaml", "part: parts/any.yaml\nbend: 2 deg\n"),
        ("parts/any.yaml", "joint: front\n"),
    ]);
    assert_eq!(told(&spec, &errors), Vec::<String>::new());
    assert!(spec.find("line/front.bend").is_some() && spec.find("line/rear.bend").is_some());
    let (spec, errors) = read(&[
        ("cars/build.yaml", "line:\n  - part: parts/front.yaml\n  - part: parts/front.yaml\n"),
        ("parts/front.yaml", "joint: front\n"),
    ]);
    assert_eq!(
        told(&spec, &errors),
        ["cars/build.yaml:3:11 `front` is the name of two items of this list, used cars/build.yaml:2:11"]
    );
}

#[test]
fn wrong_keys_of_a_sheet_are_told_once_with_the_use_and_the_rest_is_read() {
    let (spec, errors) = read(&[
        (
            "cars/build.yaml",
            "fuel:\n  tanks:\n    - {tank: main, part: parts/cell.yaml}\n    - {tank: spare, part: parts/cell.yaml}\n  pumps:\n    - {pump: lift, part: parts/cell.yaml}\n",
        ),
        ("parts/cell.yaml", "lowest_level: 310\nful: 20 °C\nvented: yes\n"),
    ]);
    assert_eq!(
        told(&spec, &errors),
        [
            "parts/cell.yaml:1:1 `lowest_level` is not a key of `fuel.pump`, used cars/build.yaml:6:26",
            "parts/cell.yaml:1:15 `310` has no unit; a length belongs here, used cars/build.yaml:3:26",
            "parts/cell.yaml:2:1 `ful` is not a key of `fuel.tank`, used cars/build.yaml:3:26",
            "parts/cell.yaml:2:1 `ful` is not a key of `fuel.pump`, used cars/build.yaml:6:26",
            "parts/cell.yaml:3:1 `vented` is not a key of `fuel.pump`, used cars/build.yaml:6:26",
        ]
    );
    assert!(matches!(spec.find("fuel.tanks/spare.vented").map(|p| spec.held(p)), Some(Held::YesNo(true))));
}

#[test]
fn what_names_no_sheet_is_told() {
    let (spec, errors) = read(&[(
        "cars/build.yaml",
        "fuel:\n  part: none\n  tanks:\n    - {tank: a, part: lift pump}\n    - {tank: b, part: {x: 1}}\n    - {tank: c, part: }\n    - {tank: d, changed: soon}\n    - {tank: e, changed: 2026-05-02, part: none}\npart: none\n",
    )]);
    assert_eq!(
        told(&spec, &errors),
        [
            "cars/build.yaml:4:23 `lift pump` is not the name of a data sheet",
            "cars/build.yaml:5:23 a section with keys stands where the path of a data sheet belongs",
            "cars/build.yaml:6:22 nothing is written where the path of a data sheet belongs",
            "cars/build.yaml:7:26 `soon` is not a day",
            "cars/build.yaml:9:1 `part` is not a key of a spec",
        ]
    );
    let changed = spec.find("fuel.tanks/e.changed").expect("the day of a change has a place");
    assert!(matches!(spec.held(changed), Held::Date(_)));
    assert_eq!(spec.path(changed), "fuel.tanks/e.changed");
    assert_eq!(spec.find("fuel.tanks/a.changed"), None);
}

#[test]
fn a_record_with_a_sheet_of_its_own_takes_nothing_from_the_sheet_around_it() {
    let (spec, errors) = read(&[
        ("cars/build.yaml", "fuel: {part: parts/system.yaml, grade: diesel}\n"),
        ("parts/system.yaml", "grade: petrol\ntanks: [{tank: main, part: parts/cell.yaml}]\n"),
        ("parts/cell.yaml", "full: 20 °C\n"),
    ]);
    assert_eq!(told(&spec, &errors), Vec::<String>::new());
    assert_eq!(said(&spec, "fuel.tanks/main.full"), stands("20 °C", "parts/cell.yaml", Some("cars/build.yaml:1")));
    assert_eq!(said(&spec, "fuel.grade"), stands("diesel", "cars/build.yaml", None));
}

/// Keys of parts and of what is said of a quantity.
const KEYS: [&str; 9] = ["part", "part", "part", "changed", "give_or_take", "taken", "evidence", "file", "sha256"];

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_sheets_are_laid_and_every_value_knows_its_use(
        build in value_with(&KEYS),
        tanks in proptest::collection::vec(value_with(&KEYS), 0..4),
        one in value_with(&KEYS),
        other in value_with(&KEYS),
    ) {
        let build = format!("fuel: {{tanks: [{}], part: parts/a.yaml}}\nline: [{build}, {{part: parts/b.yaml}}]\n", tanks.join(", "));
        let files = MemoryFiles::from_texts([
            ("cars/build.yaml", &*build),
            ("parts/a.yaml", &*one),
            ("parts/b.yaml", &*other),
        ]);
        let read = read_build(&files, "cars/build.yaml");
        let (spec, errors) = build_spec(small(), read);
        told_of_all(&spec, &errors);
        for (id, place) in spec.places() {
            prop_assert_eq!(spec.find(&spec.path(id)), Some(id), "{}", spec.path(id));
            let of_sheet = spec.sources.name(place.span.file).starts_with("parts/");
            prop_assert_eq!(spec.used(id).is_some(), of_sheet, "{}", spec.path(id));
        }
    }
}
