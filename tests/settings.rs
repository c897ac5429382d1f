//! The settings file of a repository: what each setting does, and that a wrong one is an error at its place.

mod common;

use common::{Run, Workshop};

/// A build about which hardly anything is known.
const BLANK: &str = "tramgauge: 1\n";

fn inspect(workshop: &Workshop, more: &[&str]) -> Run {
    workshop.run(&[&["inspect", "--on", "2026-06-01", "--brief"], more].concat())
}

fn settings(text: &str) -> Workshop {
    Workshop::new(&[("tramgauge.yaml", text), ("builds/a/build.yaml", BLANK)])
}

#[test]
fn a_blank_spec_does_not_pass_as_finished() {
    let workshop = Workshop::new(&[("a/build.yaml", BLANK)]);
    let run = inspect(&workshop, &["a"]);
    assert_eq!(run.status, 1, "{}", run.out);
    assert!(run.out.contains("a/build.yaml:1:1: held up: unmeasured "), "{}", run.out);
    assert!(run.out.contains("that could be dangerous; stage not written, so it counts as running"), "{}", run.out);
    for (stage, status) in [("drawn", 0), ("mock-up", 0), ("running", 1)] {
        workshop.write("a/build.yaml", format!("{BLANK}build: {{stage: {stage}}}\n").as_bytes());
        let run = inspect(&workshop, &["a"]);
        assert_eq!(run.status, status, "{stage}: {}", run.out);
    }
}

#[test]
fn each_stage_holds_what_the_settings_say() {
    let text = "holding:\n  drawn: {unmeasured: major}\n  running: {unmeasured: none}\n";
    let workshop = settings(text);
    for (stage, status) in [("drawn", 1), ("mock-up", 0), ("running", 0)] {
        workshop.write("builds/a/build.yaml", format!("{BLANK}build: {{stage: {stage}}}\n").as_bytes());
        let run = inspect(&workshop, &[]);
        assert_eq!(run.status, status, "{stage}: {}", run.out);
    }
    // In full, the report says what is left open, and names some of it.
    workshop.write("builds/a/build.yaml", format!("{BLANK}build: {{stage: drawn}}\n").as_bytes());
    let full = workshop.run(&["inspect", "--on", "2026-06-01"]).out;
    assert!(full.contains("── held up ──"), "{full}");
    assert!(full.contains("that could be major"), "{full}");
    assert!(full.contains("stage         drawn"), "{full}");
}

#[test]
fn findings_hold_from_the_class_set_and_the_command_line_goes_first() {
    // A pump above the fuel that it draws is a major finding, whatever else the rulebook says.
    let pump = "tramgauge: 1\nbuild: {stage: mock-up}\nfuel:\n  tanks: [{tank: main, lowest_level: 300 mm}]\n  pumps: [{pump: lift, drive: electric, place: frame, draws_from: main, inlet_height: 360 mm}]\n";
    let workshop = settings("holding: {mock_up: {findings: dangerous}}\n");
    workshop.write("builds/a/build.yaml", pump.as_bytes());
    let run = inspect(&workshop, &[]);
    assert!(run.out.contains(": major fuel.pump-low: "), "{}", run.out);
    assert_eq!(run.status, 0, "{}", run.out);
    assert_eq!(inspect(&workshop, &["--holding", "major"]).status, 1);
    workshop.write("tramgauge.yaml", b"tramgauge: 1\n");
    assert_eq!(inspect(&workshop, &[]).status, 1);
    workshop.write("tramgauge.yaml", b"holding: {mock_up: {findings: none}}\n");
    assert_eq!(inspect(&workshop, &[]).status, 0);
}

#[test]
fn builds_are_looked_for_where_the_settings_say() {
    let workshop = settings("builds: [builds/]\n");
    workshop.write("scrap/old/build.yaml", b"tramgauge: 1\nbuild: {stage: drawn, nmae: Old}\n");
    let of = |arguments: &[&str]| inspect(&workshop, arguments).out;
    assert!(!of(&[]).contains("scrap"), "{}", of(&[]));
    // Whoever names a build means it.
    assert!(of(&["scrap/old"]).contains("scrap/old/build.yaml:2:23: spec error: "), "{}", of(&["scrap/old"]));
    let run = inspect(&workshop, &["scrap"]);
    assert_eq!(run.status, 2, "{}", run.err);
}

#[test]
fn own_rules_stand_where_the_settings_say() {
    let workshop = settings("own_rules: [rules/ours]\n");
    workshop.write("rules/ours/workshop/workshop.yaml", common::WORKSHOP.as_bytes());
    let run = workshop.run(&["book", "workshop.pump-low"]);
    assert_eq!(run.status, 0, "{}", run.err);
}

#[test]
fn uses_are_those_of_the_settings_unless_the_build_says_its_own() {
    let workshop = settings("# What we build\nuse: [hill-climb]\n");
    let uses = |build: &str| {
        workshop.write("builds/a/build.yaml", build.as_bytes());
        let run = workshop.run(&["reckon", "\"road\" in build.use", "--build", "builds/a"]);
        run.out.lines().next().unwrap_or_default().to_string()
    };
    for build in
        ["tramgauge: 1\n", "tramgauge: 1\nbuild: {name: A}\n", "tramgauge: 1\nbuild: {name: A, use: [hill-climb]}\n"]
    {
        assert_eq!(uses(build), "no", "{build}");
    }
    assert_eq!(uses("tramgauge: 1\nbuild: {name: A, use: [road]}\n"), "yes");
}

#[test]
fn a_wrong_setting_is_an_error_at_its_place() {
    let cases = [
        ("bulids: [builds]\n", "`bulids` is not a key of the settings", "builds"),
        ("builds: [bulids]\n", "there is no folder `bulids`", "paths from the repository's root"),
        (
            "own_rules: [../rules]\n",
            "the folder `../rules` lies outside the repository",
            "paths from the repository's root",
        ),
        ("holding: {runing: {findings: major}}\n", "`runing` is not a key of `settings.holding`", "running"),
        ("holding: {running: {findings: grave}}\n", "`grave`", "major"),
        ("use: [rode]\n", "`rode`", "road"),
        ("- a list\n", "", ""),
        ("use: [road\n", "", ""),
    ];
    for (text, message, way) in cases {
        let run = settings(text).run(&["inspect", "--on", "2026-06-01", "--width", "120"]);
        assert_eq!(run.status, 2, "{text}: {}{}", run.out, run.err);
        for part in ["── settings error ──", "[tramgauge.yaml:1:"] {
            assert!(run.out.contains(part), "{text}: {}", run.out);
        }
        let plain = run.out.to_lowercase();
        assert!(plain.contains(message) && plain.contains(way), "{text}: {}", run.out);
    }
}

#[test]
fn a_settings_file_that_says_nothing_sets_nothing() {
    for text in ["", "# nothing yet\n"] {
        let run = settings(text).run(&["inspect", "--on", "2026-06-01", "--brief"]);
        assert_eq!(run.status, 1, "{text}: {}{}", run.out, run.err);
    }
}

#[test]
fn the_terms_of_settings_are_printed_as_json_schema() {
    let run = Workshop::new(&[]).run(&["terms", "--settings"]);
    let schema: serde_json::Value = serde_json::from_str(&run.out).expect("JSON");
    assert!(schema["$defs"]["settings"]["properties"]["own_rules"].is_object());
    let validator = jsonschema::draft202012::new(&schema).expect("a schema");
    assert!(validator.is_valid(&serde_json::json!({"builds": ["builds"], "holding": {"drawn": {"findings": "none"}}})));
    assert!(!validator.is_valid(&serde_json::json!({"bulids": ["builds"]})));
}
