//! The whole program: forms of its answers, exit status, and that the same input gives the same bytes.

mod common;

use common::{BUILD, DRIVELINE, TANKS, WORKSHOP, Workshop};

const ON: [&str; 2] = ["--on", "2026-06-01"];

fn inspect<'a>(arguments: &[&'a str]) -> Vec<&'a str> {
    ["inspect"].iter().chain(arguments).chain(&ON).copied().collect()
}

#[test]
fn findings_point_at_every_file_that_they_rest_on() {
    let run = Workshop::with_build().run(&inspect(&["builds/marlow", "--width", "80"]));
    assert_eq!(run.err, "");
    let from = run
        .out
        .find("\u{2500}\u{2500} major \u{2500}\u{2500} workshop.pump-low")
        .unwrap_or_else(|| panic!("{}", run.out));
    let finding = &run.out[from..];
    for part in [
        "[builds/marlow/build.yaml:7:14]",
        "[builds/marlow/tanks.yaml:4:21]",
        "└── decides",
        "could be dangerous: needs fuel.tanks/main.lowest_point",
    ] {
        assert!(finding.contains(part), "{part}: {finding}");
    }
    assert!(run.out.trim_end().ends_with("This checks numbers on paper. Local codes and licensed inspection decide."));
}

#[test]
fn exit_status_follows_the_holding_class() {
    let workshop = Workshop::with_build();
    assert_eq!(workshop.run(&inspect(&["builds"])).status, 1);
    assert_eq!(workshop.run(&inspect(&["builds", "--holding", "dangerous"])).status, 0);
    assert_eq!(workshop.run(&inspect(&["builds", "--holding", "severe"])).status, 2);
    assert_eq!(workshop.run(&inspect(&["nowhere"])).status, 2);
    let conceded = format!(
        "{BUILD}concessions:\n  - {{rule: workshop.pump-low, subject: fuel.pumps/lift, reason: trailer only, by: M. Okafor, until: 2026-06-01}}\n  - {{rule: workshop.joint-bend, subject: driveline.line/middle, reason: trailer only, by: M. Okafor, until: 2026-06-01}}\n"
    );
    workshop.write("builds/marlow/build.yaml", conceded.as_bytes());
    let last_day = workshop.run(&inspect(&["builds", "--brief"]));
    assert_eq!(last_day.out.matches("(concession in force)").count(), 2, "{}", last_day.out);
    assert_eq!(last_day.status, 0, "{}", last_day.out);
    assert_eq!(workshop.run(&["inspect", "builds", "--on", "2026-06-02"]).status, 1);
}

#[test]
fn builds_are_found_by_folder_by_file_and_from_above() {
    let workshop = Workshop::with_build();
    workshop.write("builds/ash/build.yaml", b"tramgauge: 1\nbuild: {name: Ash}\n");
    let names = |arguments: &[&str]| {
        let json: serde_json::Value = serde_json::from_str(&workshop.run(&inspect(arguments)).out).expect("JSON");
        let builds = json["builds"].as_array().expect("builds").clone();
        builds.iter().map(|b| b["path"].as_str().unwrap_or_default().to_string()).collect::<Vec<_>>()
    };
    assert_eq!(names(&["--as", "json"]), ["builds/ash/build.yaml", "builds/marlow/build.yaml"]);
    assert_eq!(
        names(&["--as", "json", "builds/marlow", "builds"]),
        ["builds/ash/build.yaml", "builds/marlow/build.yaml"]
    );
    assert_eq!(names(&["--as", "json", "builds/ash/build.yaml"]), ["builds/ash/build.yaml"]);
    let section = workshop.run(&inspect(&["builds/marlow/tanks.yaml"]));
    assert!(section.err.contains("is no build file"), "{}", section.err);
    assert_eq!(section.status, 2);
}

#[test]
fn the_same_input_gives_the_same_bytes() {
    let files = [
        ("build.yaml", BUILD.to_string()),
        ("driveline.yaml", DRIVELINE.to_string()),
        ("tanks.yaml", TANKS.to_string()),
    ];
    let build = |workshop: &Workshop, name: &str| {
        for (file, text) in &files {
            workshop.write(&format!("builds/{name}/{file}"), text.as_bytes());
        }
    };
    let names = ["ash", "birch", "cedar", "elm", "fir"];
    let (forth, back) =
        (Workshop::new(&[("shop-rules/w/w.yaml", WORKSHOP)]), Workshop::new(&[("shop-rules/w/w.yaml", WORKSHOP)]));
    names.iter().for_each(|name| build(&forth, name));
    names.iter().rev().for_each(|name| build(&back, name));
    for form in [&["builds"][..], &["builds", "--brief"], &["builds", "--as", "json"]] {
        let run = |workshop: &Workshop, workers: &str| {
            let arguments: Vec<&str> = form.iter().copied().chain(["--workers", workers]).collect();
            workshop.run(&inspect(&arguments)).out
        };
        let first = run(&forth, "1");
        let runs = if form.len() == 1 { 10 } else { 2 };
        for _ in 0..runs {
            assert!(run(&forth, "2") == first, "{form:?}");
        }
        for _ in 1..runs {
            assert!(run(&forth, "1") == first, "{form:?}");
        }
        assert!(run(&back, "2") == first, "{form:?}");
        let listed: Vec<String> = names.iter().rev().map(|name| format!("builds/{name}")).collect();
        let mut arguments: Vec<&str> = listed.iter().map(String::as_str).collect();
        arguments.extend(&form[1..]);
        assert!(back.run(&inspect(&arguments)).out == first, "{form:?}");
    }
}

#[test]
fn no_line_is_wider_than_asked_and_nothing_is_coloured_into_a_pipe() {
    let workshop = Workshop::with_build();
    for width in [60, 80, 120] {
        let out = workshop.run(&inspect(&["builds", "--width", &width.to_string()])).out;
        let widest = out.lines().map(unicode_width::UnicodeWidthStr::width).max();
        assert!(widest <= Some(width), "{widest:?} of {width}");
        assert!(!out.contains('\u{1b}'));
    }
}

#[test]
fn what_the_json_says_holds_together() {
    let run = Workshop::with_build().run(&inspect(&["builds", "--as", "json"]));
    let json: serde_json::Value = serde_json::from_str(&run.out).expect("JSON");
    let build = &json["builds"][0];
    let count =
        |word: &str| build["outcomes"].as_array().map_or(0, |all| all.iter().filter(|o| o["outcome"] == word).count());
    for word in ["major", "holds", "unmeasured", "unproven", "beyond"] {
        assert_eq!(build["counts"][word], count(word), "{word}");
    }
    assert_eq!(build["counts"]["not_applicable"], count("not applicable"));
    let at = &build["findings"][0]["points_at"]["at"];
    let text = match at["file"].as_str() {
        Some("builds/marlow/build.yaml") => BUILD,
        Some("builds/marlow/driveline.yaml") => DRIVELINE,
        other => panic!("{other:?}"),
    };
    let byte = |n: usize| at["bytes"][n].as_u64().map_or(0, |b| b as usize);
    let line = text[..byte(0)].matches('\n').count() + 1;
    assert_eq!(at["line"], line);
    assert!(byte(0) < byte(1) && byte(1) <= text.len());
}

#[test]
fn a_reader_that_goes_away_is_no_fault() {
    let workshop = Workshop::with_build();
    let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_tramgauge"));
    command.current_dir(workshop.path("")).args(["terms"]);
    let mut child =
        command.stdout(std::process::Stdio::piped()).stderr(std::process::Stdio::piped()).spawn().expect("a run");
    drop(child.stdout.take());
    let output = child.wait_with_output().expect("an end");
    assert_eq!(String::from_utf8_lossy(&output.stderr), "");
    assert_eq!(output.status.code(), Some(0));
}

#[test]
fn start_writes_a_spec_once_and_it_can_be_judged() {
    let workshop = Workshop::new(&[]);
    assert_eq!(workshop.run(&["start", "builds/new one"]).status, 0);
    let again = workshop.run(&["start", "builds/new one"]);
    assert_eq!(again.status, 2);
    assert!(again.err.contains("stays as it is"), "{}", again.err);
    let run = workshop.run(&inspect(&["builds/new one"]));
    assert_eq!(run.status, 0, "{}", run.out);
    assert!(run.out.starts_with("new one\n"), "{}", run.out);
}

#[test]
fn reckon_shows_result_and_working() {
    let workshop = Workshop::with_build();
    assert_eq!(workshop.run(&["reckon", "0.4375 in + 3 mm"]).out.lines().next(), Some("0.5556 in"));
    insta::assert_snapshot!(workshop.run(&["reckon", "sqrt((3 mm)^2 + (4 mm)^2) * 2"]).out);
    insta::assert_snapshot!(
        workshop.run(&["reckon", "driveline.line/middle.shop_bend", "--build", "builds/marlow"]).out
    );
    let fault = workshop.run(&["reckon", "3 mm + 2 deg"]);
    assert_eq!(fault.status, 2);
    insta::assert_snapshot!(fault.out);
    let json: serde_json::Value =
        serde_json::from_str(&workshop.run(&["reckon", "--as", "json", "-3 mm * 2"]).out).expect("JSON");
    assert_eq!(json["quantity"]["si"], -0.006);
}

#[test]
fn every_command_tells_its_use_with_examples() {
    let workshop = Workshop::new(&[]);
    for command in ["inspect", "book", "figures", "needed", "start", "terms", "calibrate", "reckon"] {
        let run = workshop.run(&[command, "--help"]);
        assert_eq!(run.status, 0);
        assert!(run.out.contains("Examples:"), "{}", run.out);
        assert!(run.out.lines().all(|l| l.chars().count() <= 130), "{}", run.out);
    }
    assert_eq!(workshop.run(&["polish"]).status, 2);
}

#[test]
fn the_rulebook_is_listed_with_sources_and_check_pieces() {
    let workshop = Workshop::with_build();
    let json: serde_json::Value = serde_json::from_str(&workshop.run(&["book", "--as", "json"]).out).expect("JSON");
    let rules = json["rules"].as_array().expect("rules");
    assert!(rules.len() > 100);
    for rule in rules.iter().filter(|r| r["own"] == false) {
        assert!(rule["sources"].as_array().is_some_and(|s| !s.is_empty()), "{rule}");
        assert!(rule["check_pieces"].as_array().is_some_and(|s| s.len() >= 3), "{rule}");
    }
    let text = workshop.run(&["book", "--width", "60"]).out;
    for rule in rules {
        assert!(text.contains(rule["rule"].as_str().unwrap_or("?")), "{rule}");
    }
    let unknown = workshop.run(&["book", "workshop.pump-lo"]);
    assert!(unknown.err.contains("did you mean workshop.pump-low?"), "{}", unknown.err);
}

#[test]
fn answers_for_machines_tell_the_errors_of_the_spec() {
    let workshop = Workshop::with_build();
    workshop.write("builds/marlow/tanks.yaml", b"fuel:\n  tanks:\n    - tank: main\n      lowest_level: 310\n");
    for arguments in [
        &["needed", "builds/marlow"][..],
        &["figures", "builds/marlow"],
        &["reckon", "1 mm", "--build", "builds/marlow"],
    ] {
        let arguments: Vec<&str> = arguments.iter().copied().chain(["--as", "json"]).collect();
        let run = workshop.run(&arguments);
        assert_eq!(run.status, 2, "{}", run.out);
        let json: serde_json::Value = serde_json::from_str(&run.out).expect("JSON");
        assert_eq!(json["errors"][0]["at"]["file"], "builds/marlow/tanks.yaml", "{}", run.out);
        assert_eq!(json["errors"][0]["at"]["line"], 4);
    }
}
