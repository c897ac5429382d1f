//! The builds in `examples/`: the sound one stays clear, the faulty one shows just the faults that its list names.

mod common;

use common::{Run, Workshop};
use serde_json::Value;
use std::path::{Path, PathBuf};

/// The day for which both are judged; concessions depend on it.
const DAY: &str = "2026-06-01";

/// The most values that the sound example may leave unmeasured.
const MOST_UNMEASURED: u64 = 5;

fn folder(build: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("examples").join(build)
}

/// A repository that holds the example builds and the data sheets of their parts under the same paths, wherever this checkout
/// stands: a sheet is named by its path from the repository's root.
fn repository(builds: &[&str]) -> Workshop {
    let workshop = Workshop::new(&[]);
    for folder_name in builds.iter().chain(&["parts"]) {
        for entry in std::fs::read_dir(folder(folder_name)).expect("the example's folder") {
            let path = entry.expect("an entry").path();
            let name = path.file_name().and_then(|name| name.to_str()).expect("a name in UTF-8");
            workshop.write(&format!("examples/{folder_name}/{name}"), &std::fs::read(&path).expect("a file"));
        }
    }
    workshop
}

fn inspect(build: &str, more: &[&str]) -> Run {
    let path = format!("examples/{build}");
    let mut arguments = vec!["inspect", &path, "--on", DAY];
    arguments.extend(more);
    repository(&[build]).run(&arguments)
}

fn judged(build: &str) -> Value {
    let run = inspect(build, &["--as", "json"]);
    let answer: Value = serde_json::from_str(&run.out).unwrap_or_else(|why| panic!("{why}\n{}\n{}", run.out, run.err));
    let judged = answer["builds"][0].clone();
    assert_eq!(judged["errors"], serde_json::json!([]), "{build} has errors of the spec");
    judged
}

/// Rule and subject of every outcome of that sort.
fn outcomes(judged: &Value, sort: &str) -> Vec<String> {
    let all = judged["outcomes"].as_array().expect("outcomes");
    let of_sort = all.iter().filter(|outcome| outcome["outcome"] == sort);
    of_sort.map(|outcome| format!("{} {}", text(&outcome["rule"]), text(&outcome["subject"]))).collect()
}

fn text(value: &Value) -> &str {
    value.as_str().unwrap_or_default()
}

/// One line for each finding: class, rule, subject.
fn findings(judged: &Value) -> Vec<String> {
    let all = judged["findings"].as_array().expect("findings");
    all.iter().map(|f| format!("{} {} {}", text(&f["class"]), text(&f["rule"]), text(&f["subject"]))).collect()
}

#[test]
fn the_sound_example_has_no_dangerous_or_major_finding() {
    let judged = judged("lark-roadster");
    assert_eq!(judged["counts"]["dangerous"], 0, "{:#?}", findings(&judged));
    assert_eq!(judged["counts"]["major"], 0, "{:#?}", findings(&judged));
    assert_eq!(inspect("lark-roadster", &[]).status, 0);
}

#[test]
fn the_sound_example_is_measured() {
    let judged = judged("lark-roadster");
    let unmeasured = judged["counts"]["unmeasured"].as_u64().expect("a count");
    assert!(unmeasured <= MOST_UNMEASURED, "{:#?}", outcomes(&judged, "unmeasured"));
    assert_eq!(judged["counts"]["beyond"], 0, "{:#?}", outcomes(&judged, "beyond"));
    assert!(judged["counts"]["holds"].as_u64() >= Some(150), "hardly anything was judged");
}

#[test]
fn the_faulty_example_has_just_the_findings_of_its_list() {
    let list = std::fs::read_to_string(folder("fell-wagon").join("findings.txt")).expect("the list");
    let listed: Vec<String> = list
        .lines()
        .filter(|line| !line.starts_with('#'))
        .map(|line| line.split_whitespace().collect::<Vec<_>>().join(" "))
        .collect();
    assert_eq!(findings(&judged("fell-wagon")), listed);
    assert_eq!(inspect("fell-wagon", &[]).status, 1);
}

#[test]
fn the_faulty_example_has_values_that_are_missing_and_values_that_are_too_uncertain() {
    let judged = judged("fell-wagon");
    assert_eq!(
        outcomes(&judged, "unproven"),
        ["driveline.joint-angle driveline.line/rear joint", "driveline.clutch-capacity driveline.clutch"]
    );
    let unmeasured = outcomes(&judged, "unmeasured");
    for waiting in [
        "driveline.joint-travel driveline.line/front joint",
        "brakes.hand-lever-release brakes.hand_lever",
        "fuel.tank-straps fuel.tanks/main",
    ] {
        assert!(unmeasured.iter().any(|outcome| outcome == waiting), "{waiting} is not among {unmeasured:#?}");
    }
}

#[test]
fn one_concession_of_the_faulty_example_is_in_force_and_one_expired() {
    let judged = judged("fell-wagon");
    let all = judged["findings"].as_array().expect("findings");
    let state = |rule: &str| {
        let finding = all.iter().find(|f| f["rule"] == rule).expect("the finding");
        text(&finding["concession"]["state"]).to_string()
    };
    assert_eq!(state("brakes.pedal-mount"), "in force");
    assert_eq!(state("driveline.locked-differential"), "expired");
    assert_eq!(judged["counts"]["conceded"], 1);
}

#[test]
fn the_report_of_the_faulty_example_reads_well() {
    let run = inspect("fell-wagon", &["--width", "80"]);
    insta::assert_snapshot!(run.out);
}

#[test]
fn a_wrong_value_in_a_shared_data_sheet_is_one_finding_for_each_build() {
    const SHEET: &str = "examples/parts/brake-pipe.yaml";
    let workshop = repository(&["lark-roadster", "fell-wagon"]);
    let before = workshop.run(&["inspect", "examples", "--on", DAY, "--brief"]);
    let sheet = std::fs::read_to_string(workshop.path(SHEET)).expect("the sheet");
    workshop.write(SHEET, sheet.replace("300 bar", "60 bar").as_bytes());
    let after = workshop.run(&["inspect", "examples", "--on", DAY, "--brief"]);
    let lines = |run: &Run| run.out.lines().map(str::to_string).collect::<Vec<_>>();
    let before = lines(&before);
    let new: Vec<String> = lines(&after).into_iter().filter(|line| !before.contains(line)).collect();
    let [wagon, roadster, count] = &new[..] else { panic!("{new:#?}") };
    for (line, used, subject) in [
        (wagon, "(used at examples/fell-wagon/brakes.yaml:", "rear pipe"),
        (roadster, "(used at examples/lark-roadster/brakes.yaml:", "rear pipe along the tunnel"),
    ] {
        assert!(line.starts_with("examples/parts/brake-pipe.yaml:4:17: dangerous "), "{line}");
        assert!(line.contains(used) && line.contains(subject), "{line}");
    }
    assert!(count.starts_with("broken "), "the last line counts: {count}");

    let full = workshop.run(&["inspect", "examples/lark-roadster", "--on", DAY, "--width", "80"]);
    let finding = full.out.split("\n\n").find(|block| block.contains("[examples/parts/brake-pipe.yaml:4:17]"));
    insta::assert_snapshot!(finding.expect("the finding shows the sheet"));
    let json: Value = serde_json::from_str(&workshop.run(&["inspect", "examples", "--on", DAY, "--as", "json"]).out)
        .expect("an answer in JSON");
    for build in json["builds"].as_array().expect("builds") {
        let of_sheet = build["findings"].as_array().expect("findings").iter();
        let of_sheet: Vec<&Value> = of_sheet.filter(|f| f["points_at"]["at"]["file"] == SHEET).collect();
        let [finding] = &of_sheet[..] else { panic!("{of_sheet:#?}") };
        let used = text(&finding["points_at"]["used"]["file"]);
        assert!(text(&build["path"]).starts_with(used.trim_end_matches("brakes.yaml")), "{used}");
    }
}
