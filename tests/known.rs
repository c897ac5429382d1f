//! How values are known, from the spec to the report: assumed ones, stale ones, and ones with evidence beside them.

mod common;

use common::{BUILD, Run, TANKS, Workshop};
use serde_json::Value;

const ON: [&str; 2] = ["--on", "2026-06-01"];

fn run(workshop: &Workshop, arguments: &[&str]) -> Run {
    let arguments: Vec<&str> = arguments.iter().chain(&ON).copied().collect();
    workshop.run(&arguments)
}

fn json(run: &Run) -> Value {
    serde_json::from_str(&run.out).unwrap_or_else(|why| panic!("{why}\n{}\n{}", run.out, run.err))
}

fn outcome<'a>(build: &'a Value, rule: &str, subject: &str) -> &'a Value {
    let all = build["outcomes"].as_array().expect("outcomes");
    all.iter().find(|o| o["rule"] == rule && o["subject"] == subject).unwrap_or_else(|| panic!("{rule} on {subject}"))
}

/// The workshop's build with another height of the pump, and all that its rule on that asks for.
fn with_height(height: &str) -> Workshop {
    let workshop = Workshop::with_build();
    workshop.write("builds/marlow/tanks.yaml", format!("{TANKS}      lowest_point: 260 mm\n").as_bytes());
    workshop.write("builds/marlow/build.yaml", BUILD.replace("inlet_height: 360 mm", height).as_bytes());
    workshop
}

#[test]
fn a_verdict_that_rests_on_an_assumed_value_says_so() {
    let holding = |height: &str| {
        let run = run(&with_height(height), &["inspect", "builds/marlow", "--as", "json"]);
        let build = json(&run)["builds"][0].clone();
        let outcome = outcome(&build, "workshop.pump-low", "fuel.pumps/lift").clone();
        assert_eq!(outcome["outcome"], "holds");
        (build["counts"]["holds_assumed"].as_u64().expect("a count"), outcome["assumed"].clone())
    };
    let (measured, none) = holding("inlet_height: {is: 250 mm, known_by: measured}");
    let (assumed, granted) = holding("inlet_height: {is: 250 mm, known_by: assumed}");
    assert_eq!(none, serde_json::json!([]));
    assert_eq!(granted, serde_json::json!([{"path": "fuel.pumps/lift.inlet_height", "value": "250 mm"}]));
    assert!(assumed > measured, "{assumed} and {measured}");
    let page = run(&with_height("inlet_height: {is: 250 mm, known_by: assumed}"), &["inspect", "builds/marlow"]);
    assert!(page.out.contains(&format!("{assumed} of them on assumed values")), "{}", page.out);
    let broken = run(&with_height("inlet_height: {is: 360 mm, known_by: assumed}"), &["inspect", "builds/marlow"]);
    let words = broken.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("assumed in the spec: fuel.pumps/lift.inlet_height"), "{words}");
}

/// A front axle measured before its lower arm was changed, the arm's data sheet used by two builds.
fn changed_arm(sheet: &str) -> Workshop {
    let axle = "
tramgauge: 1
suspension:
  axles:
    - axle: front
      layout: double wishbone
      camber: {is: -1 deg, known_by: measured, taken: 2026-05-01}
      toe_in: {is: 0.1 deg, known_by: measured, taken: 2026-05-20}
      unsprung_mass: {is: 35 kg, known_by: measured, taken: 2026-05-01}
  links:
    - link: lower front leg
      part: parts/arm.yaml
      axle: front
      inner: [{is: 170 mm, taken: 2026-05-01}, 310 mm, 175 mm]
";
    let rule = "
rules:
  - rule: shop.camber
    title: No wheel leans in by more than 3 degrees
    for: axle in suspension.axles
    class: minor
    holds: axle.camber >= -3 deg
    says: it leans by {axle.camber}
    why: The inner shoulder of the tyre takes it all.
    remedy: Set it again.
    sources: [practice]
";
    Workshop::new(&[
        ("one/build.yaml", axle),
        ("two/build.yaml", axle),
        ("parts/arm.yaml", sheet),
        ("shop-rules/camber.yaml", rule),
    ])
}

#[test]
fn a_part_that_was_changed_makes_stale_what_was_measured_on_it_and_through_it() {
    let fresh = run(&changed_arm("work: lower arm leg\n"), &["inspect", "one", "two", "--brief"]);
    assert!(!fresh.out.contains("was measured on"), "{}", fresh.out);
    let workshop = changed_arm("work: lower arm leg\nchanged: 2026-05-10\n");
    let run = |arguments: &[&str]| run(&workshop, arguments);
    let brief = run(&["inspect", "one", "two", "--brief"]).out;
    let told: Vec<&str> = brief.lines().filter(|line| line.contains("was measured on")).collect();
    let words =
        "was measured on 2026-05-01, before what moves it was changed on 2026-05-10: suspension.links/lower front leg";
    let wanted = |build: &str, at: &str, path: &str| {
        format!("{build}/build.yaml:{at}: minor spec.stale-measurement: {path} {words}")
    };
    assert_eq!(
        told,
        [
            wanted("one", "7:15", "suspension.axles/front.camber"),
            wanted("one", "14:15", "suspension.links/lower front leg.inner.x"),
            wanted("two", "7:15", "suspension.axles/front.camber"),
            wanted("two", "14:15", "suspension.links/lower front leg.inner.x"),
        ]
    );
    // Whatever rests on a stale measurement is unmeasured, and `needed` asks for it again and says why.
    let needed = json(&run(&["needed", "one", "--as", "json"]));
    let all = needed["needed"].as_array().expect("values").iter();
    let again: Vec<&Value> = all.filter(|n| !n["again"].is_null()).collect();
    assert!(again.iter().any(|n| n["path"] == "suspension.axles/front.camber"), "{again:#?}");
    let stale =
        serde_json::json!({"taken": "2026-05-01", "changed": "2026-05-10", "by": "suspension.links/lower front leg"});
    assert!(again.iter().all(|n| n["again"] == stale), "{again:#?}");
    let page = run(&["needed", "one"]).out.split_whitespace().collect::<Vec<_>>().join(" ");
    let sentence = "again it was taken on 2026-05-01; suspension.links/lower front leg was changed on 2026-05-10";
    assert!(page.contains(sentence), "{page}");
    let judged = json(&run(&["inspect", "one", "--as", "json"]));
    let waiting = judged["builds"][0]["outcomes"].as_array().expect("outcomes").iter();
    let missing: Vec<&Value> = waiting.flat_map(|o| o["missing"].as_array().expect("a list")).collect();
    assert!(
        missing.iter().any(|m| m["path"] == "suspension.axles/front.camber" && m["stale"] == stale),
        "{missing:#?}"
    );
}

#[test]
fn of_the_records_own_day_and_that_of_its_sheet_the_later_counts() {
    let stale = |own: &str, sheet: &str| {
        let tank = format!(
            "tramgauge: 1\nfuel:\n  tanks:\n    - {{tank: main, part: parts/cell.yaml, changed: {own}, lowest_level: {{is: 310 mm, taken: 2026-05-15}}}}\n"
        );
        let sheet = format!("changed: {sheet}\n");
        let workshop = Workshop::new(&[("build.yaml", &tank), ("parts/cell.yaml", &sheet)]);
        run(&workshop, &["inspect", "--brief"]).out.contains("spec.stale-measurement")
    };
    assert!(!stale("2026-05-15", "2026-05-10"), "a measurement of the day itself holds");
    assert!(stale("2026-05-16", "2026-05-10"));
    assert!(stale("2026-05-10", "2026-05-16"));
}

#[test]
fn evidence_is_looked_for_where_builds_are_judged() {
    let named = |sha256: &str| {
        let workshop = with_height(&format!(
            "inlet_height: {{is: 250 mm, evidence: {{file: photos/pump.jpg, sha256: {sha256}}}}}"
        ));
        workshop.write("photos/pump.jpg", b"abc");
        workshop
    };
    // SHA-256 of `abc`: FIPS 180-4, appendix B.1 of its first edition.
    let right = named("ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    assert_ne!(run(&right, &["inspect", "builds/marlow"]).status, 2);
    let low = "inlet_height: {is: 360 mm, evidence: {file: photos/pump.jpg}}";
    let shown = with_height(low);
    shown.write("photos/pump.jpg", &[0xff, 0xd8, 0xff]);
    let page = run(&shown, &["inspect", "builds/marlow"]).out;
    assert!(page.contains("shown by      photos/pump.jpg for fuel.pumps/lift.inlet_height"), "{page}");
    let changed = named(&"0".repeat(64));
    for command in ["inspect", "needed"] {
        let told = run(&changed, &[command, "builds/marlow"]);
        assert!(
            told.out.contains("Evidence `photos/pump.jpg` has been changed since this was written"),
            "{}",
            told.out
        );
        assert_eq!(told.status, 2, "{}", told.out);
    }
    // The rest is judged all the same.
    let judged = json(&run(&changed, &["inspect", "builds/marlow", "--as", "json"]));
    assert_eq!(outcome(&judged["builds"][0], "workshop.pump-low", "fuel.pumps/lift")["outcome"], "holds");
}

#[test]
fn useless_data_sheets_are_told_and_the_rest_is_judged() {
    let workshop = Workshop::with_build();
    let tanks = "fuel:
  tanks:
    - {tank: main, lowest_level: 310 mm, lowest_point: 260 mm, part: parts/gone.yaml}
    - {tank: spare, part: parts/round.yaml}
    - {tank: third, part: ../outside.yaml}
    - {tank: fourth, part: parts/gone.yaml}
";
    workshop.write("builds/marlow/tanks.yaml", tanks.as_bytes());
    workshop.write("parts/round.yaml", b"part: parts/again.yaml\n");
    workshop.write("parts/again.yaml", b"part: parts/round.yaml\n");
    let brief = run(&workshop, &["inspect", "--brief"]);
    let errors: Vec<&str> = brief.out.lines().filter(|line| line.contains(": spec error: ")).collect();
    let way = "; the path is taken from the repository's root, as in `part: parts/lift-pump.yaml`; check the spelling, capitals too";
    assert_eq!(
        errors,
        [
            format!(
                "builds/marlow/tanks.yaml:3:70: spec error: data sheet `parts/gone.yaml` cannot be read: there is no such file{way}"
            ),
            "builds/marlow/tanks.yaml:5:27: spec error: data sheet `../outside.yaml` cannot be read: it lies outside the repository; keep the file in the repository, and link to nothing outside it".to_string(),
            "parts/again.yaml:1:7: spec error: data sheet `parts/round.yaml` is named within itself; take out the `part` here, or name the sheet that is meant (used at builds/marlow/tanks.yaml:4:27)".to_string(),
        ]
    );
    assert_eq!(brief.status, 2, "{}", brief.out);
    let answer = json(&run(&workshop, &["inspect", "--as", "json"]));
    let builds = answer["builds"].as_array().expect("builds");
    assert_eq!(builds.len(), 1, "a data sheet is no build");
    assert_eq!(outcome(&builds[0], "workshop.pump-low", "fuel.pumps/lift")["outcome"], "major");
}
