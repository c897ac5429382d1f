//! A repository's own rulebook: what is wrong with it is told at its place in the rule file, and standing in is said openly.

mod common;

use common::{BUILD, DRIVELINE, TANKS, Workshop};

/// A rule of which some parts are as given.
fn rule(name: &str, of: &str, holds: &str, more: &str) -> String {
    format!(
        "sources: [{{source: habit, kind: practice, title: Habits of this workshop}}]\n{more}\nrules:\n  - rule: {name}\n    title: A requirement\n    for: {of}\n    class: major\n    holds: {holds}\n    says: It does not hold\n    why: A reason.\n    remedy: A remedy.\n    sources: [habit]\n"
    )
}

fn workshop(rules: &str) -> Workshop {
    Workshop::new(&[
        ("builds/marlow/build.yaml", BUILD),
        ("builds/marlow/driveline.yaml", DRIVELINE),
        ("builds/marlow/tanks.yaml", TANKS),
        ("shop-rules/bench/rules.yaml", rules),
    ])
}

fn refused(rules: &str) -> String {
    let run = workshop(rules).run(&["inspect", "builds", "--width", "80"]);
    assert_eq!(run.status, 2, "{}{}", run.out, run.err);
    assert_eq!(run.err, "");
    run.out
}

const OF: &str = "joint in driveline.line where joint is joint";

#[test]
fn an_angle_is_not_compared_with_a_length() {
    insta::assert_snapshot!(refused(&rule("bench.kind", OF, "joint.rated_angle <= 20 mm", "")));
}

#[test]
fn an_unknown_path_is_refused() {
    insta::assert_snapshot!(refused(&rule("bench.path", OF, "joint.rated_angel <= 3 deg", "")));
}

#[test]
fn an_unknown_function_is_refused() {
    insta::assert_snapshot!(refused(&rule(
        "bench.function",
        OF,
        "jiont_angle(0 deg, 0 deg, 0 deg, 0 deg) <= 3 deg",
        ""
    )));
}

#[test]
fn an_unknown_table_is_refused() {
    insta::assert_snapshot!(refused(&rule(
        "bench.table",
        OF,
        "\"look_up(bends.largest, kind: joint.kind) >= joint.rated_angle\"",
        ""
    )));
}

#[test]
fn a_circle_of_figures_is_refused() {
    let figures = "figures:\n  - {figure: hen, of: joint in driveline.line where joint is joint, is: joint.egg + 1 deg, means: the first}\n  - {figure: egg, of: joint in driveline.line where joint is joint, is: joint.hen - 1 deg, means: the second}";
    insta::assert_snapshot!(refused(&rule("bench.circle", OF, "joint.hen <= 3 deg", figures)));
}

#[test]
fn everything_is_told_at_once() {
    let figures = "figures:\n  - {figure: hen, of: joint in driveline.line where joint is joint, is: joint.rated_angle + 1 mm, means: a sum}";
    let out = refused(&rule("bench.several", OF, "joint.rated_angel <= 3 deg", figures));
    assert_eq!(out.matches("\u{2500}\u{2500} rulebook error").count(), 2, "{out}");
    let run = workshop(&rule("bench.several", OF, "joint.rated_angel <= 3 deg", figures))
        .run(&["inspect", "--as", "json", "builds"]);
    let json: serde_json::Value = serde_json::from_str(&run.out).expect("JSON");
    assert_eq!(json["rulebook_errors"].as_array().map(Vec::len), Some(2));
    assert_eq!(json["rulebook_errors"][0]["at"]["file"], "shop-rules/bench/rules.yaml");
}

#[test]
fn own_rules_are_judged_beside_the_built_in_ones() {
    let run =
        workshop(&rule("bench.length", "shaft in driveline.line where shaft is shaft", "shaft.length <= 2 m", ""))
            .run(&["inspect", "builds", "--as", "json", "--on", "2026-06-01"]);
    let json: serde_json::Value = serde_json::from_str(&run.out).expect("JSON");
    let outcomes = json["builds"][0]["outcomes"].as_array().expect("outcomes");
    let own: Vec<_> = outcomes.iter().filter(|o| o["rule"] == "bench.length").collect();
    assert_eq!(own.len(), 3);
    assert_eq!(own[0]["outcome"], "unmeasured");
    assert_eq!(own[0]["missing"][0]["path"], "driveline.line/front section.length");
    assert!(outcomes.iter().any(|o| o["rule"] == "driveline.joint-angle"));
}

#[test]
fn what_stands_in_for_a_built_in_rule_says_so() {
    let rules = rule("driveline.joint-angle", OF, "joint.rated_angle >= 5 deg", "");
    let out = refused(&rules);
    assert!(out.contains("There is already a rule `driveline.joint-angle`"), "{out}");
    let rules = rules.replace(
        "    title: A requirement\n",
        "    title: A requirement\n    replaces: {name: driveline.joint-angle, reason: our joints are bigger, by: M. Okafor}\n",
    );
    let run = workshop(&rules).run(&["inspect", "builds", "--on", "2026-06-01"]);
    let first = run.out.lines().take(3).collect::<Vec<_>>().join(" ");
    assert!(
        first.contains("in place of the built-in rule driveline.joint-angle: our joints are bigger (M. Okafor)"),
        "{}",
        run.out
    );
    let run = workshop(&rules).run(&["inspect", "builds", "--as", "json", "--on", "2026-06-01"]);
    let json: serde_json::Value = serde_json::from_str(&run.out).expect("JSON");
    assert_eq!(json["replaced"][0]["by"], "M. Okafor");
}

#[test]
fn own_terms_can_be_judged() {
    let terms = "own.bench:\n  type: object\n  additionalProperties: false\n  description: The bench.\n  properties:\n    height:\n      quantity: length\n      description: Height of the bench.\n      examples: [900 mm]\n";
    let rules = rule("bench.height", "own.bench", "own.bench.height >= 850 mm", "");
    let build = "tramgauge: 1\nown: {bench: {height: 800 mm}}\n";
    let workshop = Workshop::new(&[
        ("build.yaml", build),
        ("shop-rules/bench/rules.yaml", &rules),
        ("shop-rules/terms/bench.yaml", terms),
    ]);
    let run = workshop.run(&["inspect", "--brief", "--on", "2026-06-01"]);
    assert!(run.out.contains("build.yaml:2:23: major bench.height: It does not hold"), "{}{}", run.out, run.err);
    assert_eq!(run.status, 1);
    let broken =
        Workshop::new(&[("build.yaml", build), ("shop-rules/terms/bench.yaml", &terms.replace("length", "lenght"))]);
    let run = broken.run(&["inspect"]);
    assert_eq!(run.status, 2);
    assert!(run.out.contains("\u{2500}\u{2500} terms error"), "{}", run.out);
    assert!(run.out.contains("shop-rules/terms/bench.yaml:7:"), "{}", run.out);
}
