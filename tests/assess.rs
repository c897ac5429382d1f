//! The judgement: outcomes, evidence with roles, margins, and the one primitive with overrides.

#[path = "common/bench.rs"]
mod bench;

use bench::{day, judged, rulebook, shown, spec};
use proptest::prelude::*;
use tramgauge::assess::{Assessment, Outcome, Request, needed};
use tramgauge::language::{Overrides, Role};
use tramgauge::rulebook::{Class, Rulebook};
use tramgauge::terms::{Held, Spec};

const RULES: &str = r#"
sources:
  - {source: practice, kind: practice, title: Common practice}
figures:
  - figure: area
    of: own.bench
    is: own.bench.length * own.bench.width
    means: the area
  - figure: slack
    of: rod in own.bench.parts where rod is rod
    is: rod.limit - rod.length
    means: what is left
rules:
  - rule: bench.length
    title: The bench is short
    for: own.bench
    holds:
      dangerous: own.bench.length <= 200 mm
      major: own.bench.length <= 150 mm
      minor: own.bench.length <= 100 mm
    says: "{own.bench.length}"
    why: x
    remedy: x
    sources: [practice]
  - rule: bench.area
    title: The bench is small
    for: own.bench
    class: major
    holds: own.bench.area <= 100 cm2 or own.bench.ready
    points_at: own.bench.width
    says: "{own.bench.area in cm2}"
    why: x
    remedy: x
    sources: [practice]
  - rule: bench.turn
    title: The turn is known
    for: own.bench
    holds:
      dangerous: own.bench.turn <= 100 Nm
      minor: own.bench.length <= 50 mm
    says: x
    why: x
    remedy: x
    sources: [practice]
  - rule: bench.rods
    title: Each rod is within its limit
    for: rod in own.bench.parts where rod is rod
    when: own.bench.colour != "green"
    class: minor
    holds: rod.slack >= 10 mm
    says: "{rod} has {rod.slack}"
    why: x
    remedy: x
    sources: [practice]
  - rule: bench.both
    title: Everything is ready
    for: own.bench
    class: advisory
    holds: own.bench.ready and each r in own.bench.ring has r.length <= 5 mm
    says: x
    why: x
    remedy: x
    sources: [practice]
"#;

const BENCH: &str = "\
length: 160 mm
width: 90 mm
ready: no
colour: red
parts:
  - rod: front
    length: 700 mm
    limit: 705 mm
  - rod: rear
    length: 900 mm
    limit: 950 mm
  - rod: loose
    length: 100 mm
ring:
  - bead: a
    length: 1 mm
  - bead: b
    length: 9 mm
";

fn ready(bench: &str) -> (Rulebook, Spec) {
    let book = rulebook(RULES).unwrap_or_else(|_| panic!("{:?}", bench::refusals(RULES)));
    let spec = spec(&book, bench);
    (book, spec)
}

fn outcome<'a>(assessment: &'a Assessment, book: &Rulebook, rule: &str, subject: &str) -> &'a Outcome {
    let found = assessment.judgements.iter().find(|j| &*book.rules[j.rule].name == rule && j.subject == subject);
    &found.unwrap_or_else(|| panic!("{rule} on {subject}")).outcome
}

#[test]
fn the_worst_broken_class_decides() {
    let (book, spec) = ready(BENCH);
    let result = judged(&book, &spec, &Overrides::new());
    assert_eq!(*outcome(&result, &book, "bench.length", "own.bench"), Outcome::Broken(Class::Major));
    let margin = result.judgements[0].margin.as_ref().map(|m| (m.shown(), m.limit()));
    assert_eq!(margin, Some(("-10 mm".to_string(), "150 mm".to_string())));
}

#[test]
fn an_unmeasured_worse_class_is_told_beside_a_broken_milder_one() {
    let (book, spec) = ready(BENCH);
    let result = judged(&book, &spec, &Overrides::new());
    let found = result.judgements.iter().find(|j| &*book.rules[j.rule].name == "bench.turn");
    let found = found.unwrap_or_else(|| panic!("judged"));
    assert_eq!(found.outcome, Outcome::Broken(Class::Minor));
    let open = found.worse_open.as_ref().map(|w| (w.class, w.needs.clone()));
    assert_eq!(open, Some((Class::Dangerous, vec!["own.bench.turn".to_string()])));
}

#[test]
fn members_are_judged_one_by_one_and_absent_things_do_not_apply() {
    let (book, spec) = ready(BENCH);
    let result = judged(&book, &spec, &Overrides::new());
    assert_eq!(*outcome(&result, &book, "bench.rods", "own.bench.parts/front"), Outcome::Broken(Class::Minor));
    assert_eq!(*outcome(&result, &book, "bench.rods", "own.bench.parts/rear"), Outcome::Holds);
    assert_eq!(*outcome(&result, &book, "bench.rods", "own.bench.parts/loose"), Outcome::NotApplicable);
}

#[test]
fn a_blank_spec_is_unmeasured_and_not_passed() {
    let (book, spec) = ready("heat: 20 °C");
    let result = judged(&book, &spec, &Overrides::new());
    for judgement in &result.judgements {
        assert!(matches!(judgement.outcome, Outcome::Unmeasured { .. }), "{judgement:?}");
    }
    let paths: Vec<_> = needed(&result, &spec).into_iter().map(|n| n.path).collect();
    assert!(
        paths.contains(&"own.bench.parts".to_string()) || paths.iter().any(|p| p.starts_with("own.bench")),
        "{paths:?}"
    );
}

#[test]
fn evidence_tells_what_decides_feeds_and_was_considered() {
    let (book, spec) = ready(BENCH);
    let result = judged(&book, &spec, &Overrides::new());
    let (_, _, finding) = *result
        .broken()
        .iter()
        .find(|(j, ..)| &*book.rules[j.rule].name == "bench.area")
        .unwrap_or_else(|| panic!("broken"));
    assert_eq!(finding.says, "144 cm2");
    assert_eq!(finding.points_at.path, "own.bench.width");
    let roles: Vec<_> = finding.evidence.iter().map(|l| (l.path.as_str(), l.role)).collect();
    assert!(roles.contains(&("own.bench.length", Role::Feeds)), "{roles:?}");
    let both = result.broken();
    let (_, _, finding) =
        both.iter().find(|(j, ..)| &*book.rules[j.rule].name == "bench.both").unwrap_or_else(|| panic!("broken"));
    assert_eq!(finding.members, ["own.bench.ring/b"]);
}

#[test]
fn working_shows_symbols_numbers_and_result() {
    let (book, spec) = ready(BENCH);
    let result = judged(&book, &spec, &Overrides::new());
    let broken = result.broken();
    let (_, _, finding) =
        broken.iter().find(|(j, ..)| &*book.rules[j.rule].name == "bench.area").unwrap_or_else(|| panic!("broken"));
    insta::assert_debug_snapshot!(finding.working);
}

#[test]
fn figures_have_values_on_every_subject() {
    let (book, spec) = ready(BENCH);
    let result = judged(&book, &spec, &Overrides::new());
    let all: Vec<_> = result.figures.iter().map(|f| format!("{} {}", f.subject, shown(&f.reading))).collect();
    assert_eq!(all, ["own.bench 14400 mm2", "own.bench.parts/front 5 mm", "own.bench.parts/rear 50 mm"]);
}

/// Everything of an assessment that a report could show.
fn everything(result: &Assessment) -> String {
    let judgements: Vec<_> = result
        .judgements
        .iter()
        .map(|j| (j.rule, &j.subject, &j.outcome, &j.worse_open, &j.margin, &j.finding))
        .collect();
    format!("{judgements:?} {:?}", result.figures)
}

const PATHS: [&str; 14] = [
    "own.bench.length",
    "own.bench.width",
    "own.bench.ready",
    "own.bench.colour",
    "own.bench.turn",
    "own.bench.parts/front.length",
    "own.bench.parts/front.limit",
    "own.bench.parts/loose.limit",
    "own.bench.ring/b.length",
    "own.bench.parts",
    "own.bench.parts/front",
    "own.bench.ring",
    "own.bench",
    "own",
];

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// What is taken over from a base and what is judged afresh must agree, whatever is overridden.
    #[test]
    fn taking_over_agrees_with_judging_afresh(chosen in proptest::collection::vec((0..PATHS.len(), 0..3u8), 0..4)) {
        let (book, spec) = ready(BENCH);
        let mut overrides = Overrides::new();
        for (at, what) in chosen {
            let Some(place) = spec.find(PATHS[at]) else { continue };
            let held = match (what, spec.held(place)) {
                (0, _) => Held::Unwritten,
                (1, Held::Quantity(q)) => Held::Quantity(tramgauge::terms::SpecQuantity { si: q.si * 1.1, ..*q }),
                (1, Held::YesNo(v)) => Held::YesNo(!v),
                _ => Held::None,
            };
            overrides.insert(place, held);
        }
        let request = Request { spec: &spec, rulebook: &book, day: day(), figures: true, explained: true, only: None };
        let base = judged(&book, &spec, &Overrides::new());
        let fresh = judged(&book, &spec, &overrides);
        let again = base.again(&request, &overrides);
        prop_assert_eq!(everything(&fresh), everything(&again));
    }
}

const WIRES: &str = r#"
sources:
  - {source: practice, kind: practice, title: Common practice}
rules:
  - rule: bench.branches
    title: A wire feeds one other at the most
    for: wire in own.bench.wires
    class: minor
    holds: count of u in users of wire <= 1
    says: x
    why: x
    remedy: x
    sources: [practice]
"#;

#[test]
fn who_refers_to_what_follows_the_overrides() {
    let book = rulebook(WIRES).unwrap_or_else(|_| panic!("{:?}", bench::refusals(WIRES)));
    let text = "wires:\n  - wire: a\n  - wire: b\n    feed: a\n  - wire: c\n    feed: a\n  - wire: d";
    let spec = spec(&book, text);
    let place = |path: &str| spec.find(path).unwrap_or_else(|| panic!("{path}"));
    let base = judged(&book, &spec, &Overrides::new());
    let broken = |result: &Assessment| -> Vec<String> {
        result.broken().into_iter().map(|(judgement, ..)| judgement.subject.clone()).collect()
    };
    assert_eq!(broken(&base), ["own.bench.wires/a"]);
    let request = Request { spec: &spec, rulebook: &book, day: day(), figures: true, explained: true, only: None };
    let b = place("own.bench.wires/b");
    let (feed_of_c, feed_of_d) = (place("own.bench.wires/c.feed"), place("own.bench.wires/d.feed"));
    for (overrides, expected) in [
        (Overrides::from([(feed_of_c, Held::Reference(b))]), Vec::<&str>::new()),
        (
            Overrides::from([(feed_of_c, Held::Reference(b)), (feed_of_d, Held::Reference(b))]),
            vec!["own.bench.wires/b"],
        ),
        (Overrides::from([(feed_of_c, Held::None)]), vec![]),
    ] {
        let again = base.again(&request, &overrides);
        assert_eq!(broken(&again), expected);
        assert_eq!(everything(&again), everything(&judged(&book, &spec, &overrides)));
    }
}
