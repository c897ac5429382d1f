//! Rulebooks: what is refused at load, at which place, with which way out; stand-ins.

#[path = "common/bench.rs"]
mod bench;

use bench::{refusals, rulebook};

/// A rule file with one rule whose requirement is `holds`.
fn rule(holds: &str) -> String {
    format!(
        "sources:\n  - {{source: practice, kind: practice, title: Common practice}}\nrules:\n  - rule: bench.test\n    title: A requirement\n    for: own.bench\n    class: major\n    holds: {holds}\n    says: \"{{own.bench.length}}\"\n    why: Because.\n    remedy: Mend it.\n    sources: [practice]\n"
    )
}

#[test]
fn faulty_expressions_are_refused_at_their_characters() {
    insta::assert_debug_snapshot!([
        refusals(&rule("own.bench.tilt <= own.bench.length")),
        refusals(&rule("own.bench.turn <= own.bench.push")),
        refusals(&rule("own.bench.lenght <= 3 mm")),
        refusals(&rule("own.bench.length <= hypot(1, 2)")),
        refusals(&rule("\"own.bench.length <= look_up(tubes.wall, outside: 3 mm)\"")),
        refusals(&rule("\"own.bench.colour != \\\"purple\\\"\"")),
        refusals(&rule("own.bench.length <= 3")),
        refusals(&rule("own.bench.length")),
    ]);
}

#[test]
fn a_circle_of_figures_is_refused_where_it_closes() {
    let text = "\
figures:
  - figure: one
    of: own.bench
    is: own.bench.two + 1 mm
    means: one
  - figure: two
    of: own.bench
    is: own.bench.three + 1 mm
    means: two
  - figure: three
    of: own.bench
    is: own.bench.one + 1 mm
    means: three
";
    insta::assert_debug_snapshot!(refusals(text));
}

#[test]
fn places_survive_folding_and_escapes() {
    let folded = rule("").replace("holds: ", "holds: >\n      own.bench.length\n      <=\n      own.bench.tilt");
    let read = refusals(&folded);
    assert_eq!(read.len(), 1, "{read:?}");
    assert!(read[0].starts_with("9:7 "), "{read:?}");
    let escaped = rule("\"own.bench.colour = \\\"red\\\" and own.bench.nothing > 1\"");
    let read = refusals(&escaped);
    assert!(read[0].contains("`nothing`"), "{read:?}");
}

#[test]
fn misfits_of_form_are_refused_at_their_place() {
    let text = "\
sources:
  - {source: practice, kind: habit, title: Common practice}
figures:
  - figure: one
    of: own.bench
    is: own.bench.length
    menas: one
rules:
  - rule: bench.test
    title: A requirement
    for: part in own.bench.parts
    holds: {grave: yes}
    says: x
    why: x
    remedy: x
    sources: [nobody]
";
    insta::assert_debug_snapshot!(refusals(text));
}

#[test]
fn a_name_is_given_once() {
    let twice = rule("own.bench.length > 1 mm")
        + "  - rule: bench.test\n    title: Again\n    for: own.bench\n    class: minor\n    holds: yes\n    says: x\n    why: x\n    remedy: x\n    sources: [practice]\n";
    let read = refusals(&twice);
    assert!(read.iter().any(|r| r.contains("there is already a rule `bench.test`")), "{read:?}");
}

#[test]
fn a_figure_is_not_named_like_a_key_of_its_subject() {
    let hidden =
        "figures:\n  - figure: length\n    of: own.bench\n    is: own.bench.length * 2\n    means: twice as long\n";
    let read = refusals(hidden);
    assert!(read.iter().any(|r| r.contains("there is already a key `length`")), "{read:?}");
}

#[test]
fn a_long_row_of_figures_is_refused_and_does_not_hang() {
    let mut text = String::from("figures:\n");
    for n in 0..300 {
        text.push_str(&format!(
            "  - figure: f{n}\n    of: own.bench\n    is: own.bench.f{} + 1 mm\n    means: link\n",
            n + 1
        ));
    }
    text.push_str("  - figure: f300\n    of: own.bench\n    is: own.bench.length\n    means: end\n");
    assert!(!refusals(&text).is_empty());
}

#[test]
fn good_rules_load() {
    assert!(rulebook(&rule("own.bench.length > 1 mm")).is_ok());
}
