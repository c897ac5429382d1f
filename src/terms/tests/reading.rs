//! The checked tree: places, paths, gaps, references.

use super::{read, said, small};
use crate::terms::{Absence, Held, KnownBy, ListMembers, Step};

const BUILD: &str = "tramgauge: 1
fuel:
  tanks:
    - tank: main
      lowest_level: {is: 310 mm, give_or_take: 2 mm, known_by: measured, taken: 2026-05-02}
      middle: [120 mm, -340 mm, 415 mm]
      outlets: [{outlet: feed, diameter: 8 mm}]
    - tank: 1.5 litre/spare
      outlets: [{outlet: feed}]
  pumps:
    - {pump: lift, draws_from: main, outlet: feed}
    - {pump: high, draws_from: main}
line:
  - joint: front
    bend: 1.5 deg
  - {shaft: long}
";

#[test]
fn values_keep_their_places() {
    let (spec, errors) = read(small(), BUILD);
    assert_eq!(said(&spec, &errors), Vec::<String>::new());
    let level = spec.find("fuel.tanks/main.lowest_level").expect("written");
    let Held::Quantity(quantity) = spec.held(level) else { panic!("{:?}", spec.held(level)) };
    assert!((quantity.si - 0.31).abs() < 1e-12 && (quantity.give_or_take.unwrap_or(0.0) - 0.002).abs() < 1e-12);
    assert_eq!(quantity.known_by, Some(KnownBy::Measured));
    assert_eq!(quantity.taken.map(|day| day.to_string()).as_deref(), Some("2026-05-02"));
    let place = spec.place(level);
    assert!(spec.sources.slice(place.span).starts_with("{is: 310 mm"));
    assert_eq!(place.key_span.map(|span| spec.sources.slice(span)), Some("lowest_level"));
    let y = spec.find("fuel.tanks/main.middle.y").expect("written");
    assert!(matches!(spec.held(y), Held::Quantity(q) if (q.si + 0.34).abs() < 1e-12));
    assert_eq!((spec.path(y).as_str(), spec.place(y).at), ("fuel.tanks/main.middle.y", Step::Axis(1)));
}

#[test]
fn gaps_have_places_too() {
    let (spec, _) = read(small(), BUILD);
    let vented = spec.find("fuel.tanks/main.vented").expect("a gap has a place");
    assert!(matches!(spec.held(vented), Held::Unwritten));
    assert_eq!(spec.sources.slice(spec.place(vented).span), "main");
    let length = spec.find("line/long.length").expect("a gap has a place");
    assert_eq!(spec.sources.slice(spec.place(length).span), "long");
    let grade = spec.find("fuel.grade").expect("a gap has a place");
    assert_eq!(spec.sources.slice(spec.place(grade).span), "fuel");
    assert!(spec.find("own").is_some() && spec.find("own.anything").is_none());
    let note = spec.find("fuel.pumps/lift.note").and_then(|place| spec.field(place)).expect("it has a field");
    assert_eq!(note.absent, Absence::None);
}

#[test]
fn paths_take_names_with_dots_and_strokes_and_numbers_for_the_nameless() {
    let (spec, _) = read(small(), BUILD);
    let spare = spec.find("fuel.tanks/1.5 litre/spare").expect("by name");
    assert_eq!(spec.path(spare), "fuel.tanks/1.5 litre/spare");
    let feed = spec.find("fuel.tanks/1.5 litre/spare.outlets/feed").expect("by name");
    assert_eq!(spec.path(feed), "fuel.tanks/1.5 litre/spare.outlets/feed");
    assert_eq!(spec.find("fuel.tanks/2"), Some(spare));
    let (spec, errors) = read(small(), "fuel: {tanks: [{vented: yes}, {tank: a}, {tank: a}]}\n");
    assert_eq!(errors.len(), 2);
    for path in ["fuel.tanks/1.vented", "fuel.tanks/a", "fuel.tanks/3"] {
        assert_eq!(spec.find(path).map(|place| spec.path(place)).as_deref(), Some(path));
    }
    for path in
        ["fuel.tanks/4", "fuel.tanks/0", "fuel.tanks/", "fuel..tanks", "/fuel", "fuel.", "fuel.tanks.a", "fuel/a", "."]
    {
        assert_eq!(spec.find(path), None, "{path}");
    }
    assert_eq!(spec.find(""), Some(spec.root()));
}

#[test]
fn references_lead_to_the_nearest_item_and_back() {
    let (spec, _) = read(small(), BUILD);
    let main = spec.find("fuel.tanks/main").expect("written");
    let users: Vec<String> = spec.users(main).iter().map(|user| spec.path(*user)).collect();
    assert_eq!(users, ["fuel.pumps/lift", "fuel.pumps/high"]);
    let outlet = spec.find("fuel.pumps/lift.outlet").expect("written");
    assert!(matches!(spec.held(outlet), Held::Reference(item) if spec.path(*item) == "fuel.tanks/main.outlets/feed"));
    assert!(spec.users(spec.root()).is_empty());
}

#[test]
fn types_know_their_lists() {
    let terms = small();
    let outlets = terms.list_at("fuel.tanks.outlets").expect("there is such a list");
    assert!(matches!(&terms.list(outlets).members, ListMembers::Records(records) if records.len() == 1));
    let line = terms.list_at("line").expect("there is such a list");
    let ListMembers::Records(records) = &terms.list(line).members else { panic!("the line holds records") };
    let names: Vec<&str> = records.iter().map(|record| &*terms.record(*record).name).collect();
    assert_eq!(names, ["line.joint", "line.shaft"]);
    assert!(records.iter().all(|record| terms.record(*record).in_list == Some(line)));
    let joint = terms.record(records[0]);
    let bend = joint.slot("bend").and_then(|slot| joint.field(slot)).expect("a joint has a bend");
    let (low, high) = bend.usual.expect("a usual range");
    assert!(low == 0.0 && (high - 30f64.to_radians()).abs() < 1e-12);
}

#[test]
fn a_build_without_keys_is_unreadable() {
    for text in ["", "- a\n- b\n", "just words\n"] {
        let (spec, _) = read(small(), text);
        assert!(matches!(spec.held(spec.root()), Held::Unreadable), "{text}");
        assert_eq!(spec.find("fuel"), None);
    }
}

#[test]
fn a_value_that_is_used_twice_is_judged_by_each_place() {
    let text = "fuel:\n  tanks:\n    - {tank: main, lowest_level: &same 310 mm, full: *same}\n  pumps:\n    - {pump: lift, note: *same}\n";
    let (spec, errors) = read(small(), text);
    assert_eq!(errors.len(), 1, "{:?}", said(&spec, &errors));
    let held = |path: &str| spec.find(path).map(|place| spec.held(place));
    assert!(matches!(held("fuel.tanks/main.lowest_level"), Some(Held::Quantity(_))));
    assert!(matches!(held("fuel.tanks/main.full"), Some(Held::Unreadable)));
    assert!(matches!(held("fuel.pumps/lift.note"), Some(Held::Text(text)) if &**text == "310 mm"));
}
