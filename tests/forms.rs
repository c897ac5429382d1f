//! The forms of `inspect` for machines and for review: held against the schemas that describe them, and against each other.

mod common;

use common::{BUILD, Run, Workshop};
use serde_json::Value;
use std::path::Path;

const ON: [&str; 2] = ["--on", "2026-06-01"];

fn inspect(workshop: &Workshop, more: &[&str]) -> Run {
    let arguments: Vec<&str> = ["inspect"].iter().chain(more).chain(&ON).copied().collect();
    workshop.run(&arguments)
}

fn read(path: &str) -> Value {
    let text = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(path)).expect("a file");
    serde_json::from_str(&text).expect("JSON")
}

fn json(run: &Run) -> Value {
    serde_json::from_str(&run.out).unwrap_or_else(|why| panic!("{why}\n{}\n{}", run.out, run.err))
}

/// What of a document the schema refuses.
fn refused(schema: &str, document: &Value) -> Vec<String> {
    let validator = jsonschema::options().offline().build(&read(schema)).expect("a schema");
    validator.iter_errors(document).map(|e| format!("{}: {e}", e.instance_path())).take(5).collect()
}

const INSPECTION: &str = "schema/forms/inspection.json";
const SARIF: &str = "tests/data/sarif/sarif-schema-2.1.0.json";

/// Both examples in one repository, with the data sheets of their parts.
fn examples() -> Workshop {
    Workshop::with_examples(&[
        ("lark-roadster", "examples/lark-roadster"),
        ("fell-wagon", "examples/fell-wagon"),
        ("parts", "examples/parts"),
    ])
}

/// Repositories in which something is wrong, by what it is.
fn troubled() -> Vec<(&'static str, Workshop)> {
    let broken = |file: &str, text: &str| {
        let workshop = Workshop::with_build();
        workshop.write(file, text.as_bytes());
        workshop
    };
    vec![
        (
            "a value cannot be read",
            broken("builds/marlow/tanks.yaml", "fuel:\n  tanks: [{tank: main, lowest_level: 310}]\n"),
        ),
        ("the syntax is broken", broken("builds/marlow/tanks.yaml", "fuel: [\n")),
        ("a section is missing", broken("builds/marlow/build.yaml", &BUILD.replace("tanks.yaml", "lost.yaml"))),
        ("there is nothing in it", broken("builds/marlow/build.yaml", "")),
        (
            "a rule is wrong",
            broken(
                "shop-rules/wrong.yaml",
                "rules:\n  - rule: shop.wrong\n    title: 3 deg is 20 mm\n    for: fuel\n    class: minor\n    holds: 3 deg <= 20 mm\n    says: no\n    why: no\n    remedy: no\n    sources: []\n",
            ),
        ),
        ("a term is wrong", broken("shop-rules/terms/wrong.yaml", "own.colour:\n  type: colour\n")),
    ]
}

#[test]
fn json_is_of_the_form_that_its_schema_describes() {
    let both = inspect(&examples(), &["--as", "json"]);
    assert_eq!(refused(INSPECTION, &json(&both)), [""; 0]);
    let conceded = Workshop::with_build();
    let concessions = "concessions:\n  - {rule: workshop.pump-low, subject: fuel.pumps/lift, reason: a, by: b, until: 2026-06-01}\n  - {rule: no.rule, subject: fuel}\n";
    conceded.write("builds/marlow/build.yaml", format!("{BUILD}{concessions}").as_bytes());
    assert_eq!(refused(INSPECTION, &json(&inspect(&conceded, &["--as", "json"]))), [""; 0]);
    for (what, workshop) in troubled() {
        let run = inspect(&workshop, &["--as", "json"]);
        assert_eq!(run.status, 2, "{what}: {}{}", run.out, run.err);
        assert_eq!(refused(INSPECTION, &json(&run)), [""; 0], "{what}");
    }
    let mut other = json(&both);
    other["builds"][0]["findings"][0]["colour"] = "red".into();
    assert_ne!(refused(INSPECTION, &other), [""; 0]);
    assert_eq!(json(&Workshop::new(&[]).run(&["terms", "--inspection"])), read(INSPECTION));
}

#[test]
fn sarif_is_of_the_form_that_the_standard_describes() {
    let examples = examples();
    for more in [&["--as", "sarif"][..], &["--as", "sarif", "--every-outcome"]] {
        assert_eq!(refused(SARIF, &json(&inspect(&examples, more))), [""; 0]);
    }
    for (what, workshop) in troubled().into_iter().take(4) {
        let run = inspect(&workshop, &["--as", "sarif"]);
        let log = json(&run);
        assert_eq!(refused(SARIF, &log), [""; 0], "{what}");
        let invocation = &log["runs"][0]["invocations"][0];
        assert_eq!(invocation["executionSuccessful"], false, "{what}");
        assert_eq!(invocation["toolExecutionNotifications"][0]["descriptor"]["id"], "spec-error", "{what}");
    }
}

/// The text of a region of a result's location.
fn text_at(workshop: &Workshop, location: &Value) -> String {
    let physical = &location["physicalLocation"];
    let uri = physical["artifactLocation"]["uri"].as_str().expect("a URI").replace("%20", " ");
    let text = std::fs::read_to_string(workshop.path(&uri)).expect("the file");
    let number = |key: &str| physical["region"][key].as_u64().expect("a number") as usize;
    assert_eq!(number("startLine"), number("endLine"));
    let line = text.lines().nth(number("startLine") - 1).expect("the line");
    line.chars().skip(number("startColumn") - 1).take(number("endColumn") - number("startColumn")).collect()
}

fn results(log: &Value) -> &Vec<Value> {
    log["runs"][0]["results"].as_array().expect("results")
}

fn result<'a>(log: &'a Value, rule: &str) -> &'a Value {
    results(log).iter().find(|r| r["ruleId"] == rule).unwrap_or_else(|| panic!("no {rule} in {log:#}"))
}

#[test]
fn a_sarif_result_points_at_its_value_and_at_its_evidence() {
    let workshop = Workshop::with_build();
    workshop.write("builds/old car/build.yaml", BUILD.replace("inlet_height", "\"inlet_height\"").as_bytes());
    workshop.write("builds/old car/driveline.yaml", common::DRIVELINE.as_bytes());
    let tanks = "fuel: {tanks: [{tank: main, note: öl, lowest_level: 310 mm}]}\n".replace("note: öl, ", "");
    workshop.write("builds/old car/tanks.yaml", tanks.as_bytes());
    let log = json(&inspect(&workshop, &["builds/old car", "--as", "sarif"]));
    let low = result(&log, "workshop.pump-low");
    assert_eq!(low["locations"][0]["physicalLocation"]["artifactLocation"]["uri"], "builds/old%20car/build.yaml");
    assert_eq!(low["locations"][0]["logicalLocations"][0]["fullyQualifiedName"], "fuel.pumps/lift");
    assert_eq!(text_at(&workshop, &low["locations"][0]), "360 mm");
    let related: Vec<String> =
        low["relatedLocations"].as_array().expect("evidence").iter().map(|l| text_at(&workshop, l)).collect();
    assert!(related.contains(&"310 mm".to_string()), "{related:?}");
    let rules = log["runs"][0]["tool"]["driver"]["rules"].as_array().expect("rules");
    for result in results(&log) {
        let index = result["ruleIndex"].as_u64().expect("an index") as usize;
        assert_eq!(rules[index]["id"], result["ruleId"]);
    }
    let of = rules.iter().find(|r| r["id"] == "workshop.pump-low").expect("the rule");
    for part in ["vapour", "collector", "level floor", "burns", "page 41"] {
        assert!(of["help"]["text"].as_str().is_some_and(|t| t.contains(part)), "{part}: {of:#}");
        assert!(of["help"]["markdown"].as_str().is_some_and(|t| t.contains(part)), "{part}: {of:#}");
    }
}

#[test]
fn sarif_columns_count_characters() {
    let workshop = Workshop::with_build();
    workshop
        .write("builds/marlow/tanks.yaml", "fuel: {tanks: [{tank: \"𝔪ain ö\", lowest_level: 310 mm}]}\n".as_bytes());
    workshop.write("builds/marlow/build.yaml", BUILD.replace("from: main", "from: 𝔪ain ö").as_bytes());
    let log = json(&inspect(&workshop, &["--as", "sarif"]));
    assert_eq!(log["runs"][0]["columnKind"], "unicodeCodePoints");
    let related = result(&log, "workshop.pump-low")["relatedLocations"].as_array().expect("evidence").clone();
    let texts: Vec<String> = related.iter().map(|l| text_at(&workshop, l)).collect();
    assert!(texts.contains(&"310 mm".to_string()), "{texts:?}");
}

#[test]
fn fingerprints_survive_moved_lines_and_tell_builds_apart() {
    let workshop = Workshop::with_build();
    let prints = |log: &Value| {
        let one = |r: &Value| (r["ruleId"].to_string(), r["partialFingerprints"].to_string());
        let mut all: Vec<_> = results(log).iter().map(one).collect();
        all.sort();
        all
    };
    let before = prints(&json(&inspect(&workshop, &["--as", "sarif"])));
    workshop.write("builds/marlow/build.yaml", format!("# moved\n\n# down\n{BUILD}").as_bytes());
    let log = json(&inspect(&workshop, &["--as", "sarif"]));
    assert_eq!(result(&log, "workshop.pump-low")["locations"][0]["physicalLocation"]["region"]["startLine"], 12);
    assert_eq!(prints(&log), before);
    for file in ["build.yaml", "driveline.yaml", "tanks.yaml"] {
        workshop.write(
            &format!("builds/ash/{file}"),
            &std::fs::read(workshop.path(&format!("builds/marlow/{file}"))).expect("a file"),
        );
    }
    let both = prints(&json(&inspect(&workshop, &["--as", "sarif"])));
    let mut different = both.clone();
    different.dedup();
    assert_eq!((both.len(), different.len()), (before.len() * 2, before.len() * 2));
}

#[test]
fn a_concession_suppresses_its_result() {
    let workshop = Workshop::with_build();
    let suppressions = |until: &str| {
        let concession = format!(
            "concessions:\n  - {{rule: workshop.pump-low, subject: fuel.pumps/lift, reason: trailer only, by: M. Okafor, until: {until}}}\n"
        );
        workshop.write("builds/marlow/build.yaml", format!("{BUILD}{concession}").as_bytes());
        let log = json(&inspect(&workshop, &["--as", "sarif"]));
        assert!(results(&log).iter().all(|r| r["suppressions"].is_array()));
        result(&log, "workshop.pump-low")["suppressions"].clone()
    };
    let good = suppressions("2026-06-01");
    assert_eq!((&good[0]["status"], &good[0]["kind"]), (&"accepted".into(), &"inSource".into()));
    assert!(good[0]["justification"].as_str().is_some_and(|j| j.contains("trailer only") && j.contains("M. Okafor")));
    assert_eq!(suppressions("2026-05-31")[0]["status"], "rejected");
}

#[test]
fn every_outcome_is_in_sarif_when_asked_for() {
    let log = json(&inspect(&examples(), &["examples/fell-wagon", "--as", "sarif", "--every-outcome"]));
    for kind in ["fail", "pass", "open", "notApplicable"] {
        let of_kind = results(&log).iter().find(|r| r["kind"] == kind);
        let level = of_kind.unwrap_or_else(|| panic!("no {kind}"))["level"].clone();
        assert_eq!(level == "none", kind != "fail", "{kind} {level}");
    }
}

#[test]
fn a_test_report_counts_what_fails_from_the_holding_class_on() {
    let workshop = Workshop::with_build();
    let suite = |holding: &str| {
        let run = inspect(&workshop, &["--as", "junit", "--holding", holding]);
        let document = roxmltree::Document::parse(&run.out).unwrap_or_else(|why| panic!("{why}\n{}", run.out));
        let suite = document.descendants().find(|n| n.has_tag_name("testsuite")).expect("a suite");
        let number = |name: &str| suite.attribute(name).and_then(|n| n.parse::<usize>().ok()).expect("a number");
        let found = |tag: &str| suite.descendants().filter(|n| n.has_tag_name(tag)).count();
        assert_eq!((number("tests"), number("skipped")), (found("testcase"), found("skipped")));
        assert_eq!((number("failures"), number("errors")), (found("failure"), found("error")));
        (number("failures"), run.status)
    };
    let counts = json(&inspect(&workshop, &["--as", "json"]))["total"]["counts"].clone();
    let of = |words: &[&str]| words.iter().map(|w| counts[w].as_u64().expect("a count") as usize).sum::<usize>();
    assert!(of(&["major"]) > 0);
    assert_eq!(suite("dangerous"), (of(&["dangerous"]), 0));
    assert_eq!(suite("major"), (of(&["dangerous", "major"]), 1));
    assert_eq!(suite("advisory"), (of(&["dangerous", "major", "minor", "advisory"]), 1));
    let (_, broken) = troubled().remove(0);
    assert!(inspect(&broken, &["--as", "junit"]).out.contains("<error message="));
}

#[test]
fn markdown_reads_well() {
    // How many built-in rules wait for a value changes with the rulebook.
    insta::with_settings!({filters => vec![(r"(unmeasured|not applicable) \d+", "$1 [some]")]}, {
        insta::assert_snapshot!(inspect(&Workshop::with_build(), &["--as", "markdown"]).out);
    });
}

#[test]
fn a_spec_cannot_break_out_of_markdown() {
    let workshop = Workshop::new(&[("shop-rules/workshop/workshop.yaml", common::WORKSHOP)]);
    let name = "`x` | <b onclick=1>y</b> </details> ![p](http://a.b) @ann [l](m)\\n# head";
    let text = format!(
        "tramgauge: 1\nbuild: {{name: \"{name}\"}}\nfuel:\n  tanks: [{{tank: \"{name}\", lowest_level: 310 mm}}]\n  pumps: [{{pump: \"{name}\", place: frame, draws_from: \"{name}\", inlet_height: 360 mm}}]\n"
    );
    workshop.write("builds/ash/build.yaml", text.as_bytes());
    let run = inspect(&workshop, &["--as", "markdown"]);
    let (mut headings, mut html) = (0, Vec::new());
    for event in pulldown_cmark::Parser::new_ext(&run.out, pulldown_cmark::Options::all()) {
        match event {
            pulldown_cmark::Event::Start(pulldown_cmark::Tag::Heading { .. }) => headings += 1,
            pulldown_cmark::Event::Start(pulldown_cmark::Tag::Image { .. } | pulldown_cmark::Tag::Link { .. }) => {
                panic!("{}", run.out)
            }
            pulldown_cmark::Event::Html(h) | pulldown_cmark::Event::InlineHtml(h) => html.push(h.trim().to_string()),
            _ => {}
        }
    }
    let ours = run.out.lines().filter(|l| l.starts_with("## ") || l.starts_with("### ")).count();
    assert_eq!(headings, ours);
    html.retain(|h| h != "<!-- -->" && h != "</details>");
    html.dedup();
    assert_eq!(html, ["<details><summary>Working, evidence and reasons</summary>"]);
}

#[test]
fn several_forms_come_at_once_and_files_are_whole() {
    let workshop = Workshop::with_build();
    let alone = |form: &str| inspect(&workshop, &["--as", form]).out;
    let outside = tempfile::TempDir::new().expect("a folder");
    let far = format!("junit={}", outside.path().join("report.xml").display());
    let run = inspect(
        &workshop,
        &["--as", "terminal", "--as", "json=a.json", "--as", "sarif=a.sarif", "--as", "markdown=a.md", "--as", &far],
    );
    assert_eq!((run.out, run.status), (alone("terminal"), 1));
    let written = |name: &str| std::fs::read_to_string(workshop.path(name)).expect("a file");
    assert_eq!(written("a.json"), alone("json"));
    assert_eq!(written("a.sarif"), alone("sarif"));
    assert_eq!(written("a.md"), alone("markdown"));
    assert_eq!(std::fs::read_to_string(outside.path().join("report.xml")).expect("a file"), alone("junit"));
    assert_eq!(inspect(&workshop, &["--as", "sarif=b.sarif"]).out, "");
    let names = std::fs::read_dir(workshop.path("")).expect("the folder");
    let left: Vec<_> =
        names.filter_map(|e| e.ok()?.file_name().into_string().ok()).filter(|n| n.ends_with(".part")).collect();
    assert_eq!(left, [""; 0]);
}

#[test]
fn what_cannot_be_given_is_refused_before_anything_is_written() {
    let workshop = Workshop::with_build();
    let refused = |arguments: &[&str], part: &str| {
        let run = inspect(&workshop, arguments);
        assert_eq!((run.status, run.out.as_str()), (2, ""), "{arguments:?}");
        assert!(run.err.contains(part), "{arguments:?}: {}", run.err);
    };
    refused(&["--as", "json", "--as", "sarif"], "cannot share standard output");
    refused(&["--as", "sarif=nowhere/a.sarif"], "cannot be a file");
    refused(&["--as", "sarif=builds"], "cannot be a file");
    refused(&["--as", "sarif="], "a file is named");
    refused(&["--as", "html"], "terminal, json, sarif, markdown, junit");
    refused(&["--as", "json", "--brief"], "--brief");
    let needed = workshop.run(&["needed", "builds/marlow", "--as", "sarif"]);
    assert!(needed.err.contains("terminal, json") && !needed.err.contains("markdown"), "{}", needed.err);
    workshop.write("old.sarif", b"old");
    let (_, wrong) = troubled().remove(4);
    wrong.write("old.sarif", b"old");
    let run = inspect(&wrong, &["--as", "sarif=old.sarif"]);
    assert_eq!((run.status, run.out.as_str()), (2, ""));
    assert!(run.err.contains("shop-rules/wrong.yaml:6:"), "{}", run.err);
    assert_eq!(std::fs::read(wrong.path("old.sarif")).expect("the file"), b"old");
}
