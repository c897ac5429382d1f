//! What must be settled before a step that cannot be taken back, and whose uncertainty costs verdicts.

mod common;

use common::Workshop;
use jiff::civil::date;
use serde_json::Value;
use tramgauge::assess::{Outcome, Request, Settling, assess, budget};
use tramgauge::language::Overrides;
use tramgauge::rulebook::{Rulebook, load_for_judging};
use tramgauge::source::{DiskFiles, read_build};
use tramgauge::terms::{Held, Spec, Terms, build_spec};

const ON: [&str; 2] = ["--on", "2026-06-01"];

fn before(build: &str, step: &str, more: &[&str]) -> common::Run {
    let path = format!("examples/{build}");
    let arguments = [&["needed", &path, "--before", step][..], &ON, more].concat();
    Workshop::with_example(build).run(&arguments)
}

#[test]
fn both_examples_before_cutting_the_tunnel() {
    for build in ["fell-wagon", "lark-roadster"] {
        let run = before(build, "cutting the tunnel", &[]);
        assert_eq!((run.status, &*run.err), (0, ""));
        insta::assert_snapshot!(format!("{build}_tunnel"), run.out);
    }
}

#[test]
fn both_examples_before_the_first_drive() {
    for build in ["fell-wagon", "lark-roadster"] {
        let run = before(build, "first drive", &["--width", "100"]);
        insta::assert_snapshot!(format!("{build}_first_drive"), run.out);
    }
}

#[test]
fn the_dearest_comes_first_and_json_says_the_same() {
    let run = before("fell-wagon", "welding the mounts", &["--as", "json"]);
    let answer: Value = serde_json::from_str(&run.out).expect("JSON");
    let rank = |value: &Value| match value.as_str() {
        Some("dangerous") => 3,
        Some("major") => 2,
        Some("minor") => 1,
        _ => 0,
    };
    for list in ["settle", "breaks"] {
        let ranks: Vec<i32> = answer[list].as_array().expect(list).iter().map(|one| rank(&one["class"])).collect();
        assert!(ranks.len() > 1 && ranks.is_sorted_by(|a, b| a >= b), "{list}: {ranks:?}");
    }
    let slope =
        answer["settle"].as_array().expect("a list").iter().find(|one| one["path"] == "driveline.final_drive.slope");
    let slope = slope.expect("the slope that leaves a joint's angle open");
    assert_eq!((slope["lacks"].as_str(), slope["needs"].as_str()), (Some("unproven"), Some("0.12 deg")));
    let text = before("fell-wagon", "welding the mounts", &[]).out;
    for one in answer["settle"].as_array().expect("a list") {
        assert!(text.contains(one["path"].as_str().expect("a path")));
    }
}

#[test]
fn an_unknown_step_is_answered_with_the_nearest_and_all() {
    let run = before("lark-roadster", "welding the cadge", &[]);
    assert_eq!((run.status, &*run.out), (2, ""));
    assert!(run.err.contains("did you mean welding the cage?") && run.err.contains("first start"), "{}", run.err);
}

/// A repository's own step and rule, over a value that is assumed.
#[test]
fn a_repository_can_add_a_step() {
    let rules = "\
events:
  - event: sealing the floor
    means: The floor is glued in.
rules:
  - rule: shop.pump-height
    title: The pump stands low
    for: pump in fuel.pumps
    holds: pump.inlet_height <= pump.draws_from.lowest_level
    class: major
    says: the pump stands high
    why: It pushes better than it pulls.
    remedy: Lower it.
    before: [sealing the floor, paint]
    sources: [practice]
";
    let build = "\
tramgauge: 1
build: {name: Marlow}
fuel:
  tanks:
    - tank: main
      lowest_level: {is: 310 mm, known_by: assumed}
  pumps:
    - {pump: lift, draws_from: main, inlet_height: 260 mm}
    - {pump: third, draws_from: main, inlet_height: 330 mm}
";
    let workshop = Workshop::new(&[("b/build.yaml", build), ("shop-rules/shop/rules.yaml", rules)]);
    let run = workshop.run(&["needed", "b", "--before", "sealing the floor", "--on", "2026-06-01", "--as", "json"]);
    let answer: Value = serde_json::from_str(&run.out).expect("JSON");
    let settle: Vec<(&str, &str)> = answer["settle"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|one| (one["path"].as_str().unwrap_or_default(), one["lacks"].as_str().unwrap_or_default()))
        .collect();
    assert!(settle.contains(&("fuel.tanks/main.lowest_level", "assumed")), "{}", run.out);
    assert_eq!(answer["breaks"][0]["subject"], "fuel.pumps/third");
    assert_eq!((answer["holds"].as_u64(), answer["holds_on_assumption"].as_u64()), (Some(1), Some(1)));
    let shown = workshop.run(&["book", "shop.pump-height"]);
    assert!(shown.out.contains("settle before sealing the floor, paint"), "{}", shown.out);
    let listed = workshop.run(&["book", "--events"]);
    assert!(listed.out.contains("sealing the floor (1 rules, own)"), "{}", listed.out);
    let misspelt = rules.replace("[sealing the floor, paint]", "sealing the flor");
    workshop.write("shop-rules/shop/rules.yaml", misspelt.as_bytes());
    let refused = workshop.run(&["book", "shop.pump-height"]);
    assert_eq!(refused.status, 2);
    assert!(refused.out.contains("There is no event `sealing the flor`"), "{}", refused.out);
}

#[test]
fn every_step_of_the_rulebook_is_one_of_some_rule_and_the_rules_are_many() {
    let book = built_in();
    for event in &book.events {
        assert!(book.rules.iter().any(|rule| rule.before.contains(&event.name)), "{}", event.name);
    }
    assert!(book.rules.iter().filter(|rule| !rule.before.is_empty()).count() >= 100);
}

fn built_in() -> Rulebook {
    load_for_judging(Terms::built_in().expect("terms"), &[]).unwrap_or_else(|_| panic!("the built-in rulebook"))
}

/// With the accuracy that the budget asks for, and all else as it is, each outcome that it says is settled; at a tenth worse it is not.
#[test]
fn the_accuracy_that_would_do_does() {
    let book = built_in();
    let examples = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    let read = read_build(&DiskFiles::new(examples), "fell-wagon/build.yaml");
    let (spec, errors) = build_spec(&book.library.terms, read);
    assert!(errors.is_empty());
    let request =
        Request { spec: &spec, rulebook: &book, day: date(2026, 6, 1), figures: false, explained: false, only: None };
    let base = assess(&request, &Overrides::new());
    let budget = budget(&base, &spec);
    let mut settled = 0;
    for one in &budget {
        for settling in one.open.iter().filter(|settling| settling.needs.is_some()) {
            let open_at = |accuracy: f64| {
                let changed = base.again(&request, &with_accuracy(&spec, one.place, accuracy));
                let found =
                    changed.judgements.iter().find(|j| j.rule == settling.rule && j.subject == settling.subject);
                matches!(found.expect("the judgement").outcome, Outcome::Unproven(_))
            };
            let needs = settling.needs.expect("an accuracy");
            assert!(needs < one.stated);
            assert!(!open_at(needs), "{} at {needs}", one.path);
            assert!(open_at(needs * 1.1), "{} at {needs}", one.path);
            settled += 1;
        }
    }
    for one in &budget {
        for settling in one.open.iter().filter(|settling| settling.needs.is_none()) {
            let open_at = |factor: f64| {
                let mut overrides = Overrides::new();
                for other in &budget {
                    let same = |s: &&Settling| s.rule == settling.rule && s.subject == settling.subject;
                    let together = other.open.iter().find(same).and_then(|s| s.together);
                    overrides
                        .extend(together.into_iter().flat_map(|si| with_accuracy(&spec, other.place, si * factor)));
                }
                let changed = base.again(&request, &overrides);
                let found =
                    changed.judgements.iter().find(|j| j.rule == settling.rule && j.subject == settling.subject);
                matches!(found.expect("the judgement").outcome, Outcome::Unproven(_))
            };
            assert!(!open_at(0.99) && open_at(1.2), "{}", one.path);
        }
    }
    assert!(settled >= 2, "{budget:?}");
    assert!(budget.is_sorted_by(|a, b| a.cost >= b.cost));
}

fn with_accuracy(spec: &Spec, place: tramgauge::terms::PlaceId, accuracy: f64) -> Overrides {
    let Held::Quantity(mut quantity) = spec.held(place).clone() else { panic!("a quantity") };
    quantity.give_or_take = Some(accuracy);
    Overrides::from([(place, Held::Quantity(quantity))])
}
