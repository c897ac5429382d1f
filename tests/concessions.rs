//! Concessions as a user meets them: which cover a finding, which do nothing, and what that does to report and exit status.

mod common;

use common::{BUILD, Run, Workshop};

/// The example build with these concessions, and with a tank whose lowest point makes the pump's finding dangerous if wanted.
fn with(concessions: &[&str], dangerous: bool) -> Workshop {
    let workshop = Workshop::with_build();
    let items: String = concessions.iter().map(|c| format!("  - {{{c}}}\n")).collect();
    workshop.write("builds/marlow/build.yaml", format!("{BUILD}concessions:\n{items}").as_bytes());
    if dangerous {
        let tanks = "fuel:\n  tanks:\n    - {tank: main, lowest_level: 310 mm, lowest_point: 55 mm}\n";
        workshop.write("builds/marlow/tanks.yaml", tanks.as_bytes());
    }
    workshop
}

fn inspect(workshop: &Workshop, more: &[&str]) -> Run {
    let mut arguments = vec!["inspect", "builds/marlow", "--on", "2026-06-01", "--width", "80"];
    arguments.extend(more);
    workshop.run(&arguments)
}

/// The lines of the short form about concessions themselves, and about findings under one.
fn told(concessions: &[&str], dangerous: bool) -> String {
    let brief = inspect(&with(concessions, dangerous), &["--brief"]);
    let about = |line: &&str| line.contains(" concession: ") || line.contains("(concession") || line.contains(" spec.");
    let lines: Vec<&str> = brief.out.lines().filter(about).collect();
    lines.join("\n")
}

const SIGNED: &str = "reason: trailer only, by: M. Okafor, until: 2026-12-31";

#[test]
fn a_concession_that_matches_nothing_says_so_and_names_what_is_near() {
    let lines = told(
        &[
            &format!("rule: workshop.pump-lo, subject: fuel.pumps/lift, {SIGNED}"),
            &format!("rule: no such thing at all, subject: fuel.pumps/lift, {SIGNED}"),
            &format!("rule: workshop.pump-low, subject: fuel.pumps/lifd, {SIGNED}"),
            &format!("rule: workshop.joint-bend, subject: the rear joint of the car, {SIGNED}"),
            &format!("rule: workshop.tilt, subject: driveline.gearbox_output, {SIGNED}"),
        ],
        false,
    );
    insta::assert_snapshot!(lines);
}

#[test]
fn a_concession_for_what_holds_now_says_so() {
    let workshop = with(&[&format!("rule: workshop.pump-low, subject: fuel.pumps/lift, {SIGNED}")], false);
    assert!(!inspect(&workshop, &["--brief"]).out.contains(" concession: "));
    let tanks = "fuel:\n  tanks:\n    - {tank: main, lowest_level: 400 mm, lowest_point: 390 mm}\n";
    workshop.write("builds/marlow/tanks.yaml", tanks.as_bytes());
    let shown = inspect(&workshop, &[]).out;
    let from = shown.find("\u{2500}\u{2500} minor \u{2500}\u{2500} concession").unwrap_or_else(|| panic!("{shown}"));
    let to = shown[from..].find("\n\n").map_or(shown.len(), |at| from + at);
    insta::assert_snapshot!(&shown[from..to]);
}

#[test]
fn a_dangerous_finding_is_covered_only_in_so_many_words() {
    let plain = format!("rule: workshop.pump-low, subject: fuel.pumps/lift, {SIGNED}");
    let refused = with(&[&plain], true);
    assert_eq!(inspect(&refused, &["--holding", "dangerous"]).status, 1);
    insta::assert_snapshot!("dangerous_not_accepted", told(&[&plain], true));
    let accepted = format!("{plain}, dangerous: accepted");
    let covered = inspect(&with(&[&accepted], true), &["--holding", "dangerous"]);
    assert_eq!(covered.status, 0, "{}", covered.out);
    insta::assert_snapshot!("dangerous_accepted", told(&[&accepted], true));
}

#[test]
fn of_two_for_one_finding_the_one_in_force_counts_and_the_other_is_told() {
    let old =
        "rule: workshop.pump-low, subject: fuel.pumps/lift, reason: trailer only, by: M. Okafor, until: 2026-05-31";
    let new = format!("rule: workshop.pump-low, subject: fuel.pumps/lift, {SIGNED}");
    insta::assert_snapshot!(told(&[old, &new], false));
}

#[test]
fn an_expired_or_unsigned_concession_is_a_finding_of_the_rulebook() {
    let expired =
        "rule: workshop.pump-low, subject: fuel.pumps/lift, reason: trailer only, by: M. Okafor, until: 2026-05-31";
    let unsigned = "rule: workshop.joint-bend, subject: driveline.line/middle, reason: trailer only, until: 2026-12-31";
    insta::assert_snapshot!(told(&[expired, unsigned], false));
}

#[test]
fn a_concession_that_does_nothing_counts_for_the_exit_status() {
    let ash = "tramgauge: 1\nbuild: {name: Ash}\nconcessions:\n  - {rule: fuel.pump-lwo, subject: fuel.pumps/main, reason: none yet, by: A, until: 2026-06-02}\n";
    let settings = "holding: {running: {unmeasured: none}}\n";
    let workshop = Workshop::new(&[("builds/ash/build.yaml", ash), ("tramgauge.yaml", settings)]);
    let run = |holding: &str| workshop.run(&["inspect", "--on", "2026-06-01", "--holding", holding, "--as", "json"]);
    assert_eq!(run("major").status, 0);
    let minor = run("minor");
    assert_eq!(minor.status, 1, "{}", minor.out);
    let json: serde_json::Value = serde_json::from_str(&minor.out).expect("JSON");
    assert_eq!(json["total"]["counts"]["faulty_concessions"], 1);
    insta::assert_json_snapshot!(json["builds"][0]["concessions"]);
}
