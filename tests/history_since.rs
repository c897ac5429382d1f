//! `--since`: what a revision had already is left out, whatever its file, its name or its line is now.

mod common;

use common::Run;
use common::git::{Place, bare, build, findings, program, ran};

const GOOD: u32 = 280;
const BAD: u32 = 360;

fn since(place: &Place, revision: &str, more: &[&str]) -> Run {
    let arguments = [&["inspect", "--on", "2026-06-01", "--since", revision], more].concat();
    ran(bare(program()).args(arguments).current_dir(place.root()))
}

fn new_findings(place: &Place) -> (i32, Vec<String>) {
    let run = since(place, "HEAD", &["--as", "json"]);
    (run.status, findings(&run.out))
}

fn second_pump(name: &str) -> String {
    format!("    - pump: {name}\n      place: frame\n      draws_from: main\n      inlet_height: 400 mm\n")
}

#[test]
fn an_old_finding_is_left_out_and_a_new_one_is_told() {
    let place = Place::new();
    place.write("a/build.yaml", &build(BAD));
    place.commit();
    assert_eq!(new_findings(&place), (0, vec![]));
    // Other lines, another value, no other finding.
    place.write("a/build.yaml", &build(BAD + 1).replace("fuel:\n", "# Moved\n\n\nfuel:\n"));
    assert_eq!(new_findings(&place), (0, vec![]));
    place.write("a/build.yaml", &(build(BAD) + &second_pump("second")));
    assert_eq!(new_findings(&place), (1, vec!["a/build.yaml workshop.pump-low fuel.pumps/second".to_string()]));
    let told = since(&place, "main", &["--brief"]).out;
    assert!(told.contains("a/build.yaml:1:1: not shown, for main had it too: 1 finding, "), "{told}");
    place.write("b/build.yaml", &build(BAD));
    assert_eq!(new_findings(&place).1.len(), 2);
}

#[test]
fn renamed_builds_sections_and_components_are_known_again() {
    let place = Place::new();
    place.write("a/build.yaml", &build(BAD));
    place.commit();
    place.git(&["mv", "a", "b"]);
    assert_eq!(new_findings(&place), (0, vec![]));
    place.commit();
    // The pump goes into a section, under another name.
    let text = build(BAD).replace("pump: lift", "pump: feed");
    let (head, fuel) = text.split_once("fuel:\n").expect("two halves");
    place.write("b/build.yaml", &format!("{head}sections: [fuel.yaml]\n"));
    place.write("b/fuel.yaml", &format!("fuel:\n{fuel}"));
    assert_eq!(new_findings(&place), (0, vec![]));
    place.commit();
    place.git(&["mv", "b/fuel.yaml", "b/pumps.yaml"]);
    place.write("b/build.yaml", &format!("{head}sections: [pumps.yaml]\n"));
    assert_eq!(new_findings(&place), (0, vec![]));
}

#[test]
fn a_worse_class_and_a_lost_concession_are_new() {
    let place = Place::new();
    let lowest = "lowest_level: 310 mm";
    place.write("a/build.yaml", &build(BAD).replace(lowest, "lowest_level: 310 mm, lowest_point: 300 mm"));
    place.commit();
    assert_eq!(new_findings(&place), (0, vec![]));
    // The workshop's rule calls it dangerous where the pump stands far above the lowest point.
    place.write("a/build.yaml", &build(BAD).replace(lowest, "lowest_level: 310 mm, lowest_point: 55 mm"));
    assert_eq!(new_findings(&place).0, 1);
    let conceded = build(BAD)
        + "concessions:\n  - {rule: workshop.pump-low, subject: fuel.pumps/lift, reason: trailer only, by: M. Okafor, until: 2026-12-31}\n";
    place.write("a/build.yaml", &conceded);
    place.commit();
    place.write("a/build.yaml", &build(BAD));
    assert_eq!(new_findings(&place), (1, vec!["a/build.yaml workshop.pump-low fuel.pumps/lift".to_string()]));
}

#[test]
fn what_was_open_before_holds_nothing_up() {
    let place = Place::fresh();
    place.write("tramgauge.yaml", "tramgauge: 1\n");
    place.write("a/build.yaml", &build(GOOD));
    place.commit();
    let whole = ran(bare(program()).args(["inspect", "--on", "2026-06-01", "--brief"]).current_dir(place.root()));
    assert_eq!(whole.status, 1, "{}", whole.out);
    assert_eq!(since(&place, "HEAD", &["--brief"]).status, 0);
    // A second pump brings open questions of its own.
    place.write("a/build.yaml", &(build(GOOD) + &second_pump("second").replace("      inlet_height: 400 mm\n", "")));
    let run = since(&place, "HEAD", &["--brief"]);
    assert!(run.out.contains("held up: unmeasured "), "{}", run.out);
    assert_eq!(run.status, 1);
}

#[test]
fn with_staged_the_index_is_held_against_the_revision() {
    let place = Place::new();
    place.write("a/build.yaml", &build(BAD));
    place.commit();
    place.write("a/build.yaml", &(build(BAD) + &second_pump("second")));
    place.git(&["add", "-A"]);
    place.write("a/build.yaml", &build(GOOD));
    let run = since(&place, "HEAD", &["--staged", "--as", "json"]);
    let new = vec!["a/build.yaml workshop.pump-low fuel.pumps/second".to_string()];
    assert_eq!((run.status, findings(&run.out)), (1, new));
}

#[test]
fn no_revision_is_an_option_of_git() {
    let place = Place::new();
    place.write("a/build.yaml", &build(GOOD));
    place.commit();
    for name in ["--upload-pack=x", "-h", "--output=made", "nowhere", "HEAD:a/build.yaml"] {
        let run = since(&place, name, &[]);
        assert_eq!(run.status, 2, "{name}: {}", run.out);
        assert!(run.err.contains(&format!("there is no revision {name}")), "{name}: {}", run.err);
    }
    assert!(!place.workshop.path("made").exists());
}
