//! Specs with one fault each: what is said about it, where, and how to put it right.

mod common;

use common::Workshop;

/// The errors that `inspect` shows of a build with these files, the first of which is the build file.
fn errors(files: &[(&str, &str)]) -> String {
    let workshop = Workshop::new(files);
    let run = workshop.run(&["inspect", files[0].0, "--on", "2026-06-01", "--width", "80"]);
    assert_eq!(run.status, 2, "{}{}", run.out, run.err);
    assert_eq!(run.err, "");
    let from = run.out.find("\u{2500}\u{2500} spec error").unwrap_or_else(|| panic!("{}", run.out));
    let to = run.out.find("\u{2500}\u{2500} count").unwrap_or(run.out.len());
    run.out[from..to].trim_end().to_string()
}

fn error(text: &str) -> String {
    errors(&[("marlow/build.yaml", text)])
}

const HEAD: &str = "tramgauge: 1\nbuild: {name: Marlow estate}\n";

fn with(text: &str) -> String {
    error(&format!("{HEAD}{text}"))
}

#[test]
fn broken_syntax() {
    insta::assert_snapshot!(with("fuel:\n  density: 745 kg/m3\n hottest: 45 °C\n"));
}

#[test]
fn a_bracket_that_is_not_closed() {
    insta::assert_snapshot!(with("fuel:\n  pumps: [{pump: lift, place: frame}\n"));
}

#[test]
fn a_key_given_twice() {
    insta::assert_snapshot!(with("fuel:\n  density: 745 kg/m3\n  hottest: 45 °C\n  density: 750 kg/m3\n"));
}

#[test]
fn an_unknown_key() {
    insta::assert_snapshot!(with("fuel:\n  tanks:\n    - tank: main\n      lowest_levle: 310 mm\n"));
}

#[test]
fn a_wrong_type() {
    insta::assert_snapshot!(with("fuel:\n  tanks: main\n"));
}

#[test]
fn a_missing_unit() {
    insta::assert_snapshot!(with("fuel:\n  tanks:\n    - tank: main\n      lowest_level: 310\n"));
}

#[test]
fn a_wrong_kind() {
    insta::assert_snapshot!(with("fuel:\n  tanks:\n    - tank: main\n      lowest_level: 28 psi\n"));
}

#[test]
fn an_ambiguous_unit() {
    insta::assert_snapshot!(with("fuel:\n  tanks:\n    - tank: main\n      capacity: 12 gal\n"));
}

#[test]
fn an_unquoted_hash() {
    insta::assert_snapshot!(with("fuel:\n  pumps:\n    - pump: #10-32\n      place: frame\n"));
}

#[test]
fn a_reference_that_leads_nowhere() {
    insta::assert_snapshot!(with(
        "fuel:\n  tanks: [{tank: main}]\n  pumps:\n    - pump: lift\n      draws_from: mian\n"
    ));
}

#[test]
fn a_section_listed_twice() {
    let build = format!("{HEAD}sections: [fuel.yaml, fuel.yaml]\n");
    insta::assert_snapshot!(errors(&[
        ("marlow/build.yaml", &build),
        ("marlow/fuel.yaml", "fuel: {density: 745 kg/m3}\n")
    ]));
}

#[test]
fn a_missing_section() {
    insta::assert_snapshot!(with("sections: [feul.yaml]\n"));
}

#[test]
fn a_section_outside_the_repository() {
    insta::assert_snapshot!(with("sections: [../../etc/passwd, /etc/passwd.yaml, ../../etc/passwd.yaml]\n"));
}

#[test]
fn a_section_that_includes_itself() {
    let build = format!("{HEAD}sections: [build.yaml, fuel.yaml]\n");
    let section = "sections: [fuel.yaml]\nfuel: {density: 745 kg/m3}\n";
    insta::assert_snapshot!(errors(&[("marlow/build.yaml", &build), ("marlow/fuel.yaml", section)]));
}

#[test]
fn every_error_is_told_at_once_and_the_good_part_is_judged() {
    let pump = "  pumps:\n    - {pump: lift, place: frame, draws_from: main, inlet_height: 360 mm}\n";
    let build = format!("{HEAD}sections: [lost.yaml, fuel.yaml]\nbraks: {{}}\n");
    let fuel = format!("fuel:\n  tanks: [{{tank: main, lowest_level: 310 mm, capacity: 60}}]\n{pump}");
    let workshop = Workshop::new(&[
        ("marlow/build.yaml", &build),
        ("marlow/fuel.yaml", &fuel),
        ("shop-rules/workshop/workshop.yaml", common::WORKSHOP),
    ]);
    let run = workshop.run(&["inspect", "marlow", "--brief", "--on", "2026-06-01"]);
    assert_eq!(run.status, 2);
    for part in ["lost.yaml", "braks", "marlow/fuel.yaml:2:", "major workshop.pump-low: lift draws at 360 mm"] {
        assert!(run.out.contains(part), "{part}: {}", run.out);
    }
}
