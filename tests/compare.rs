//! What changed between two specs and what that did, on a small rulebook that stands in the tests.

#[path = "common/bench.rs"]
mod bench;
mod common;

use common::WORKSHOP;
use jiff::civil::{Date, date};
use std::fmt::Write as _;
use tramgauge::history::compare::{Asked, Causes, Comparison, Effect, Turn, compare};
use tramgauge::rulebook::{Rulebook, load};
use tramgauge::source::{MemoryFiles, read_build};
use tramgauge::terms::{Spec, Terms, build_spec};

const DAY: Date = date(2026, 6, 1);

/// A build with two pumps, a propeller shaft and a cooling circuit.
const BUILD: &str = "\
tramgauge: 1
build: {name: Marlow estate, use: [road, hill-climb]}
fuel:
  tanks:
    - tank: main
      lowest_level: 310 mm
      lowest_point: 290 mm
  pumps:
    - pump: lift
      place: frame
      draws_from: main
      inlet_height: 250 mm
      head_needed: 0.5 m
    - pump: main
      place: in the tank
      draws_from: main
      inlet_height: 300 mm
driveline:
  line:
    - shaft: front section
      slope: 2.5 deg
    - joint: middle
      kind: cardan
    - shaft: rear section
      slope: 0.6° ± 0.2°
    - joint: rear
      kind: cardan
    - shaft: stub
      slope: 2.1°
cooling:
  circuit:
    - part: radiator
      kind: radiator
    - part: lower hose
      kind: hose
    - part: pump
      kind: pump
";

fn book() -> Rulebook {
    let terms = Terms::built_in().unwrap_or_else(|_| panic!("the built-in terms"));
    load(terms, &[("rules/workshop/workshop.yaml", WORKSHOP)], &[]).unwrap_or_else(|_| panic!("the workshop's rules"))
}

fn spec(book: &Rulebook, text: &str) -> Spec {
    let files = MemoryFiles::from_texts([("build.yaml", text)]);
    let (spec, errors) = build_spec(&book.library.terms, read_build(&files, "build.yaml"));
    assert!(errors.is_empty(), "{:?}", errors.iter().map(|e| e.message()).collect::<Vec<_>>());
    spec
}

/// The build with some texts replaced; each must stand in it once.
fn build(changes: &[(&str, &str)]) -> String {
    let mut text = BUILD.to_string();
    for (old, new) in changes {
        assert_eq!(text.matches(old).count(), 1, "{old}");
        text = text.replace(old, new);
    }
    text
}

fn of_texts(old: &str, new: &str) -> Comparison {
    let book = book();
    let (old, new) = (spec(&book, old), spec(&book, new));
    compare(&Asked { old: &old, new: &new, book: &book, day: DAY, old_day: date(2026, 3, 1) })
}

fn of(changes: &[(&str, &str)]) -> Comparison {
    of_texts(BUILD, &build(changes))
}

fn causes(causes: &Causes) -> String {
    let mut out = String::new();
    for cause in &causes.of {
        match &cause.effect {
            Effect::Moves { shown, .. } => write!(out, " [{}: {shown}]", cause.trial),
            Effect::Turns(word) => write!(out, " [{}: {word}]", cause.trial),
        }
        .expect("a text");
    }
    if let Some(joint) = &causes.joint {
        write!(out, " [joint: {joint}]").expect("a text");
    }
    if causes.together {
        out.push_str(" [together]");
    }
    out
}

#[test]
fn a_load_case_that_breaks_is_told_and_a_changed_value_is_tried_in_it() {
    let case = "cases: [{case: hill, set: {fuel.tanks/main.lowest_level: 240 mm}}]\nfuel:\n  tanks:";
    let with_case = |height: &str| build(&[("fuel:\n  tanks:", case), ("250 mm", height)]);
    // 20 mm below the level is asked for: 220 mm in the case, 290 mm as written.
    let found = of_texts(&with_case("215 mm"), &with_case("250 mm"));
    let new: Vec<_> = found.verdicts.iter().filter(|v| v.turn == Turn::New).collect();
    let [verdict] = &new[..] else { panic!("{new:#?}") };
    assert_eq!(found.after.case_of(verdict.new.as_ref().expect("judged")), Some("hill"));
    assert_eq!(causes(&verdict.causes), " [0: holds]");
    // What the case puts in is a value of the spec like any other: it is told, and tried.
    let lower = of_texts(&with_case("205 mm"), &with_case("205 mm").replace("240 mm", "220 mm"));
    let paths: Vec<_> = lower.changes.iter().map(|c| (&*c.path, c.difference.as_deref())).collect();
    assert_eq!(paths, [("cases/hill.set.fuel.tanks/main.lowest_level", Some("-20 mm"))]);
    let new: Vec<_> = lower.verdicts.iter().filter(|v| v.turn == Turn::New).collect();
    assert_eq!(new.iter().map(|v| causes(&v.causes)).collect::<Vec<_>>(), [" [0: holds]"]);
    let without =
        of_texts(&with_case("205 mm"), &with_case("205 mm").replace("{fuel.tanks/main.lowest_level: 240 mm}", "{}"));
    assert_eq!(
        without.changes.iter().map(|c| &*c.path).collect::<Vec<_>>(),
        ["cases/hill.set.fuel.tanks/main.lowest_level"]
    );
    // A case that comes with the fault in it is its cause.
    let came = of_texts(&build(&[("250 mm", "225 mm")]), &with_case("225 mm"));
    assert_eq!(came.changes[0].contents[0].0, "/hill.set.fuel.tanks/main.lowest_level");
    let new: Vec<_> = came.verdicts.iter().filter(|v| v.turn == Turn::New).collect();
    assert_eq!(new.iter().map(|v| causes(&v.causes)).collect::<Vec<_>>(), [" [0: holds]"]);
    // Without the case nothing breaks.
    assert!(of(&[("250 mm", "252 mm")]).verdicts.iter().all(|v| v.turn != Turn::New));
}

/// Everything that was found, a line each.
fn told(found: &Comparison) -> Vec<String> {
    let rule = |at: usize| found.after.index.rules[at].name.to_string();
    let mut out = Vec::new();
    for change in &found.changes {
        let side = |side: &Option<tramgauge::history::compare::Side>| {
            side.as_ref().map_or("-".into(), |s| match &s.in_other_unit {
                Some(other) => format!("{} ({other})", s.shown),
                None => s.shown.clone(),
            })
        };
        let by = change.difference.as_deref().map_or(String::new(), |d| format!(" {d}"));
        out.push(format!("{:?} {}: {} > {}{by}", change.manner, change.path, side(&change.old), side(&change.new)));
    }
    out.extend(found.renamed.iter().map(|(old, new)| format!("renamed {old} > {new}")));
    if found.units_alone > 0 {
        out.push(format!("units {}", found.units_alone));
    }
    for verdict in &found.verdicts {
        let word = |j: &Option<tramgauge::assess::Judgement>| j.as_ref().map_or("-", |j| j.outcome.word());
        let (was, is) = (word(&verdict.old), word(&verdict.new));
        let turn = verdict.turn;
        let stake = verdict.at_stake.map_or(String::new(), |class| format!(" ({} at stake)", class.word()));
        let why = causes(&verdict.causes);
        out.push(format!("{turn:?} {} {}: {was} > {is}{stake}{why}", rule(verdict.rule), verdict.subject));
    }
    for m in &found.margins {
        let why = causes(&m.causes);
        out.push(format!(
            "margin {} {}: {} > {} {}{why}",
            rule(m.rule),
            m.subject,
            m.old.shown(),
            m.new.shown(),
            m.difference
        ));
    }
    for f in &found.figures {
        let name = &found.after.index.figures[f.figure].name;
        let why = causes(&f.causes);
        out.push(format!("figure {name} {}: {}{why}", f.subject, f.difference.as_deref().unwrap_or("another")));
    }
    for c in &found.concessions {
        out.push(format!("{:?} {}", c.how, c.concession().map_or("", |c| &c.rule)));
    }
    out
}

#[test]
fn nothing_changed_is_nothing_told() {
    let found = of(&[]);
    assert!(found.is_empty());
    assert_eq!(told(&found), Vec::<String>::new());
}

#[test]
fn a_changed_value_is_told_with_what_it_did() {
    let found = of(&[("inlet_height: 250 mm", "inlet_height: 14 in")]);
    insta::assert_snapshot!(told(&found).join("\n"));
    assert_eq!(found.worst(), Some(tramgauge::rulebook::Class::Major));
}

#[test]
fn another_unit_is_no_change_and_moves_nothing() {
    let found = of(&[("slope: 2.5 deg", "slope: 150 arcmin"), ("lowest_level: 310 mm", "lowest_level: 31 cm")]);
    assert_eq!(told(&found), ["units 2"]);
}

#[test]
fn what_is_only_known_otherwise_is_told_apart_from_another_value() {
    let found =
        of(&[("slope: 2.5 deg", "slope: {is: 2.5 deg, give_or_take: 0.1 deg, known_by: measured, taken: 2026-05-01}")]);
    insta::assert_snapshot!(told(&found).join("\n"));
}

#[test]
fn a_component_under_a_new_name_is_known_again() {
    let found = of(&[("- pump: lift", "- pump: low pressure"), ("shaft: front section", "shaft: front half")]);
    assert_eq!(
        told(&found),
        [
            "renamed fuel.pumps/lift > fuel.pumps/low pressure",
            "renamed driveline.line/front section > driveline.line/front half"
        ]
    );
}

#[test]
fn a_component_under_a_new_name_with_another_value_is_known_again_if_most_of_it_is_the_same() {
    let renamed = build(&[("- pump: lift", "- pump: low pressure"), ("inlet_height: 250 mm", "inlet_height: 320 mm")]);
    let renamed = renamed.replace("- tank: main", "- tank: bladder").replace("draws_from: main", "draws_from: bladder");
    insta::assert_snapshot!(told(&of_texts(BUILD, &renamed)).join("\n"));
}

#[test]
fn order_counts_only_where_it_says_something() {
    let pumps =
        |first: &str, second: &str| format!("fuel: {{pumps: [{first}, {second}]}}\nbuild: {{use: [road, trial]}}\n");
    let (a, b) = ("{pump: a, place: frame}", "{pump: b, place: in the tank}");
    assert!(of_texts(&pumps(a, b), &pumps(b, a).replace("road, trial", "trial, road")).is_empty());
    let line = |all: &[&str]| format!("driveline: {{line: [{}]}}\n", all.join(", "));
    let (x, y, z) = ("{shaft: x, slope: 1 deg}", "{joint: y, kind: cardan}", "{shaft: z, slope: 2 deg}");
    let circuit = |all: &[&str]| format!("cooling: {{circuit: [{}]}}\n", all.join(", "));
    let (p, q, r) = ("{part: p, kind: radiator}", "{part: q, kind: hose}", "{part: r, kind: pump}");
    assert!(of_texts(&circuit(&[p, q, r]), &circuit(&[r, p, q])).is_empty(), "a ring begins anywhere");
    let turned = of_texts(&circuit(&[p, q, r]), &circuit(&[r, q, p]));
    assert_eq!(told(&turned)[0], "Reordered cooling.circuit: p, q, r > r, q, p");
    let moved = of_texts(&line(&[x, y, z]), &line(&[x, z, y]));
    insta::assert_snapshot!(told(&moved).join("\n"));
}

#[test]
fn effects_of_several_changes_are_told_apart_and_the_rest_as_joint() {
    // Slopes on both sides of a joint add up; pump and tank only together break the rule.
    let found = of(&[
        ("slope: 2.5 deg", "slope: 3 deg"),
        ("slope: 0.6° ± 0.2°", "slope: 0.2° ± 0.2°"),
        ("lowest_level: 310 mm", "lowest_level: 280 mm"),
        ("inlet_height: 250 mm", "inlet_height: 275 mm"),
    ]);
    insta::assert_snapshot!(told(&found).join("\n"));
}

#[test]
fn what_came_and_what_went_is_tried_too() {
    let went = of(&[(
        "    - pump: lift\n      place: frame\n      draws_from: main\n      inlet_height: 250 mm\n      head_needed: 0.5 m\n",
        "",
    )]);
    insta::assert_snapshot!(told(&went).join("\n"));
    let came = of_texts(&build(&[]).replace("slope: 2.1°", "sweep: 0°"), BUILD);
    insta::assert_snapshot!(told(&came).join("\n"));
    let section = of_texts(build(&[]).split("cooling:").next().expect("a part"), BUILD);
    insta::assert_snapshot!(told(&section).join("\n"));
}

#[test]
fn a_finding_that_goes_and_one_that_comes_are_told_with_what_is_still_there() {
    let old = build(&[("inlet_height: 250 mm", "inlet_height: 360 mm"), ("slope: 0.6° ± 0.2°", "slope: 7°")]);
    let new = build(&[("slope: 2.5 deg", "slope: 6.5 deg"), ("slope: 0.6° ± 0.2°", "slope: 7°")]);
    insta::assert_snapshot!(told(&of_texts(&old, &new)).join("\n"));
}

#[test]
fn concessions_are_followed() {
    let permit = |until: &str| {
        format!(
            "concessions:\n  - rule: workshop.pump-low\n    subject: fuel.pumps/lift\n    reason: drains by hand\n    by: M. Okafor\n    until: {until}\n"
        )
    };
    let broken = build(&[("inlet_height: 250 mm", "inlet_height: 360 mm")]);
    let with = |until: &str| format!("{broken}{}", permit(until));
    assert_eq!(
        told(&of_texts(&broken, &with("2026-12-31")))[0],
        "Still workshop.pump-low fuel.pumps/lift: major > major"
    );
    insta::assert_snapshot!(told(&of_texts(&with("2026-12-31"), &broken)).join("\n"));
    // It held on the day of the older revision, and has run out since.
    let ran_out = of_texts(&with("2026-04-01"), &with("2026-04-01"));
    insta::assert_snapshot!(told(&ran_out).join("\n"));
    assert_eq!(ran_out.worst(), Some(tramgauge::rulebook::Class::Major));
    // It had run out before already.
    let before = of_texts(&with("2026-02-01"), &with("2026-02-01"));
    assert_eq!(told(&before), ["Still workshop.pump-low fuel.pumps/lift: major > major"]);
    let longer = of_texts(
        &with("2026-12-31"),
        &with("2027-12-31").replace("fuel.pumps/lift", "fuel.pumps/low").replace("pump: lift", "pump: low"),
    );
    insta::assert_snapshot!(told(&longer).join("\n"));
}

#[test]
fn many_changes_are_tried_by_component() {
    let pumps = |height: usize| {
        let one =
            |at: usize| format!("{{pump: p{at}, place: frame, inlet_height: {height} mm, head_needed: {height} mm}}");
        format!("fuel: {{pumps: [{}]}}\n", (0..13).map(one).collect::<Vec<_>>().join(", "))
    };
    let found = of_texts(&pumps(100), &pumps(200));
    assert_eq!(found.changes.len(), 26);
    assert_eq!(found.grouping, tramgauge::history::compare::Grouping::ByComponent);
    assert_eq!(found.trials.len(), 13);
    assert_eq!(found.trials[0].of.as_deref(), Some("fuel.pumps/p0"));
    assert!(found.untried.is_empty());
}

#[test]
fn what_no_single_change_accounts_for_is_joint() {
    const RULES: &str = r#"
sources:
  - {source: practice, kind: practice, title: Common practice}
figures:
  - figure: area
    of: own.bench
    is: own.bench.length * own.bench.width
    show_in: cm2
    means: the area
rules:
  - rule: bench.area
    title: The bench is small
    for: own.bench
    class: major
    holds: own.bench.area <= 90 cm2
    says: x
    why: x
    remedy: x
    sources: [practice]
  - rule: bench.either
    title: The bench is short or narrow
    for: own.bench
    class: minor
    holds: own.bench.length <= 100 mm or own.bench.width <= 50 mm
    says: x
    why: x
    remedy: x
    sources: [practice]
  - rule: bench.both
    title: The bench is short and narrow
    for: own.bench
    class: advisory
    holds: own.bench.length <= 150 mm and own.bench.width <= 60 mm
    says: x
    why: x
    remedy: x
    sources: [practice]
"#;
    let book = bench::rulebook(RULES).unwrap_or_else(|_| panic!("{:?}", bench::refusals(RULES)));
    let (old, new) =
        (bench::spec(&book, "length: 100 mm\nwidth: 50 mm"), bench::spec(&book, "length: 200 mm\nwidth: 100 mm"));
    let found = compare(&Asked { old: &old, new: &new, book: &book, day: DAY, old_day: DAY });
    insta::assert_snapshot!(told(&found).join("\n"));
}
