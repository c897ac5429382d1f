//! Load cases: one finding names the cases in which it stands, the worst decides, and what a case may set is checked by the terms.

#[path = "common/bench.rs"]
mod bench;

use bench::{day, rulebook};
use tramgauge::assess::{Assessment, Judgement, Outcome, Request, assess, assess_cases, put_in};
use tramgauge::language::Overrides;
use tramgauge::rulebook::{Class, Rulebook};
use tramgauge::source::{MemoryFiles, read_build};
use tramgauge::terms::{Held, Spec, TermsError, build_spec};

const RULES: &str = r#"
sources:
  - {source: practice, kind: practice, title: Common practice}
figures:
  - figure: area
    of: own.bench
    is: own.bench.length * own.bench.width
    means: the area
rules:
  - rule: bench.length
    title: The bench is short
    for: own.bench
    holds:
      major: own.bench.length <= 150 mm
      minor: own.bench.length <= 100 mm
    says: "it is {own.bench.length} long"
    why: x
    remedy: x
    sources: [practice]
  - rule: bench.spare
    title: A spare has a known tilt
    for: own.bench
    class: minor
    when: own.bench.spare is given
    holds: own.bench.tilt <= 2 deg
    says: x
    why: x
    remedy: x
    sources: [practice]
  - rule: bench.rods
    title: Rods keep to their limit
    for: rod in own.bench.parts where rod is rod
    class: minor
    holds: rod.length <= rod.limit
    says: "{rod} is {rod.length}"
    why: x
    remedy: x
    sources: [practice]
  - rule: bench.words
    title: Red is among the words
    for: own.bench
    class: advisory
    holds: '"red" in own.bench.words'
    says: x
    why: x
    remedy: x
    sources: [practice]
  - rule: bench.corner
    title: The corner stands low
    for: own.bench
    class: minor
    holds: own.bench.corner.z <= 100 mm
    says: x
    why: x
    remedy: x
    sources: [practice]
"#;

const BENCH: &str = "\
own:
  bench:
    length: 90 mm
    width: 10 mm
    words: [red]
    corner: [0 mm, 0 mm, 50 mm]
    parts:
      - rod: front
        length: 10 mm
        limit: 20 mm
      - knot: middle
";

fn read(book: &Rulebook, cases: &str) -> (Spec, Vec<TermsError>) {
    let text = format!("{BENCH}{cases}");
    let files = MemoryFiles::from_texts([("build.yaml", text.as_str())]);
    build_spec(&book.library.terms, read_build(&files, "build.yaml"))
}

fn judged(cases: &str) -> (Rulebook, Spec, Assessment) {
    let book = rulebook(RULES).unwrap_or_else(|_| panic!("{:?}", bench::refusals(RULES)));
    let (spec, errors) = read(&book, cases);
    assert!(errors.is_empty(), "{:?}", errors.iter().map(TermsError::message).collect::<Vec<_>>());
    let request = Request { spec: &spec, rulebook: &book, day: day(), figures: true, explained: true, only: None };
    let result = assess_cases(&request);
    (book, spec, result)
}

fn of<'a>(result: &'a Assessment, rule: &str, subject: &str) -> &'a Judgement {
    let found = |j: &&Judgement| &*result.index.rules[j.rule].name == rule && j.subject == subject;
    result.judgements.iter().find(found).unwrap_or_else(|| panic!("{rule} on {subject}"))
}

/// The readings of a judgement: `case: outcome, margin`.
fn readings(result: &Assessment, judgement: &Judgement) -> Vec<String> {
    let cases = judgement.cases.as_ref().unwrap_or_else(|| panic!("cases differ"));
    let one = |reading: &tramgauge::assess::CaseReading| {
        let case = reading.case.map_or("as written", |case| &result.cases[case].name);
        let margin = reading.margin.as_ref().map_or(String::new(), |m| m.shown());
        format!("{case}: {} {margin}", reading.outcome.word()).trim_end().to_string()
    };
    cases.readings.iter().map(one).collect()
}

#[test]
fn the_same_finding_in_three_cases_is_one_that_names_them_and_shows_the_worst() {
    let (_, _, result) = judged(
        "cases:\n\
         - case: two up\n  set: {own.bench.length: 120 mm}\n\
         - case: full load\n  set: {own.bench.length: 170 mm}\n\
         - case: wet\n  set: {own.bench.length: 155 mm}\n\
         - case: dry\n  set: {own.bench.width: 11 mm}\n",
    );
    let broken = result.broken();
    assert_eq!(broken.len(), 1);
    let (judgement, class, finding) = broken[0];
    assert_eq!(class, Class::Major);
    assert_eq!(result.case_of(judgement), Some("full load"));
    assert_eq!(finding.says, "it is 170 mm long");
    assert_eq!(judgement.margin.as_ref().map(|m| m.shown()).as_deref(), Some("-20 mm"));
    assert_eq!(
        readings(&result, judgement),
        ["as written: holds 10 mm", "two up: minor -20 mm", "full load: major -20 mm", "wet: major -5 mm"]
    );
    // The finding points at what the case says.
    let span = finding.points_at.span.unwrap_or_else(|| panic!("pointed at"));
    assert_eq!((result.sources.slice(span), finding.points_at.path.as_str()), ("170 mm", "own.bench.length"));
    assert_eq!(result.worst(), Some(Class::Major));
    let counts = |case| (result.counts_in(case).major, result.counts_in(case).minor, result.counts_in(case).holds);
    assert_eq!([counts(None), counts(Some(0)), counts(Some(1))], [(0, 0, 4), (0, 1, 3), (1, 0, 3)]);
    let area = &result.figures[0];
    let shown: Vec<_> = area.cases.iter().map(|(case, reading)| (*case, bench::shown(reading))).collect();
    assert_eq!(bench::shown(&area.reading), "900 mm2");
    assert_eq!(shown[3], (3, "990 mm2".to_string()));
}

#[test]
fn what_only_a_case_leaves_unmeasured_is_told_with_the_case() {
    let (_, _, result) = judged("cases:\n- case: with the spare\n  set: {own.bench.spare: 5 mm}\n");
    let judgement = of(&result, "bench.spare", "own.bench");
    assert_eq!(result.case_of(judgement), Some("with the spare"));
    let Outcome::Unmeasured { missing, .. } = &judgement.outcome else { panic!("{:?}", judgement.outcome) };
    assert_eq!(missing[0].path, "own.bench.tilt");
    assert_eq!(readings(&result, judgement), ["as written: not applicable", "with the spare: unmeasured"]);
}

#[test]
fn sections_lists_points_and_items_can_be_set() {
    let (_, _, result) = judged(
        "cases:\n\
         - case: green\n  set: {own.bench.words: [green]}\n\
         - case: high\n  set: {own.bench.corner: [0 mm, 0 mm, 130 mm]}\n\
         - case: higher\n  set: {own.bench.corner.z: 140 mm}\n\
         - case: rod out\n  set: {own.bench.parts/front: none}\n\
         - case: no bench\n  set: {own.bench: none}\n",
    );
    let told = |rule: &str, subject: &str| readings(&result, of(&result, rule, subject));
    assert_eq!(told("bench.words", "own.bench"), ["as written: holds", "green: advisory", "no bench: not applicable"]);
    assert_eq!(
        told("bench.corner", "own.bench"),
        ["as written: holds 50 mm", "high: minor -30 mm", "higher: minor -40 mm", "no bench: not applicable"]
    );
    let rods = told("bench.rods", "own.bench.parts/front");
    assert_eq!(rods, ["as written: holds 10 mm", "rod out: not applicable", "no bench: not applicable"]);
}

#[test]
fn a_case_is_judged_as_the_spec_would_be_with_its_values() {
    let (book, spec, result) = judged(
        "cases:\n- case: all\n  set: {own.bench.length: 170 mm, own.bench.spare: 5 mm, own.bench.parts/front.limit: 9 mm}\n",
    );
    let set = spec.find("cases/all.set").unwrap_or_else(|| panic!("the record"));
    let request = Request { spec: &spec, rulebook: &book, day: day(), figures: true, explained: true, only: None };
    let fresh = assess(&request, &put_in(&spec, spec.settings(set)));
    for judgement in &fresh.judgements {
        let rule = &*result.index.rules[judgement.rule].name;
        let merged = of(&result, rule, &judgement.subject);
        assert_eq!(merged.in_case(Some(0)).0, &judgement.outcome, "{rule}");
        assert_eq!(merged.in_case(Some(0)).1, judgement.margin.as_ref(), "{rule}");
    }
    // What is put together goes back to what is written, and can be gone on from.
    let written = assess(&request, &Overrides::new());
    for (merged, plain) in result.judgements.iter().zip(&written.judgements) {
        let merged = merged.as_written();
        assert_eq!((&merged.outcome, &merged.margin, &merged.finding), (&plain.outcome, &plain.margin, &plain.finding));
    }
    let place = spec.find("own.bench.width").unwrap_or_else(|| panic!("a place"));
    let none = Overrides::from([(place, Held::None)]);
    let again: Vec<Outcome> = result.again(&request, &none).judgements.into_iter().map(|j| j.outcome).collect();
    let fresh: Vec<Outcome> = assess(&request, &none).judgements.into_iter().map(|j| j.outcome).collect();
    assert_eq!(again, fresh);
}

#[test]
fn what_cannot_be_set_is_an_error_of_the_spec_at_its_place() {
    let book = rulebook(RULES).unwrap_or_else(|_| panic!("{:?}", bench::refusals(RULES)));
    let (spec, errors) = read(
        &book,
        "cases:\n\
         - case: odd\n  \
           set:\n    \
             own.bench.lenght: 120 mm\n    \
             own.bench.length: 120 kg\n    \
             own.bench.width: 12\n    \
             own.bench.colour: blue\n    \
             own.bench.parts/frnt.length: 3 mm\n    \
             own.bench.parts/front.rod: other\n    \
             own.bench.parts: []\n    \
             own.bench.parts.length: 3 mm\n    \
             own.bench.parts/front: 3 mm\n    \
             own.bench.tilt.more: 3 deg\n    \
             own.bench.corner: [1 mm, 2 mm]\n    \
             own.bench.made: tomorrow\n    \
             build.name: other\n",
    );
    let told: Vec<String> = errors
        .iter()
        .map(|e| {
            let help = e.help().map_or(String::new(), |h| format!(" ({h})"));
            format!("`{}` {}{help}", spec.sources.slice(e.span), e.message())
        })
        .collect();
    insta::assert_snapshot!(told.join("\n"));
    // What can be read is judged all the same.
    let request = Request { spec: &spec, rulebook: &book, day: day(), figures: false, explained: true, only: None };
    assert_eq!(assess_cases(&request).cases.len(), 1);
}
