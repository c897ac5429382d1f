//! `compare` in repositories made with the real git: revisions, the index, the working tree, moved files, changed rules.

mod common;

use common::{BUILD, DRIVELINE, Run, TANKS, WORKSHOP, Workshop};
use std::path::Path;
use std::process::Command;

const DAY: &str = "2026-06-01";

/// Git without anyone's settings, on a day of its own.
fn git(workshop: &Workshop, arguments: &[&str]) {
    let output = Command::new("git")
        .args(["-c", "user.name=A. Tester", "-c", "user.email=tester@example.org", "-c", "commit.gpgsign=false"])
        .args(arguments)
        .current_dir(workshop.path(""))
        .env("GIT_CONFIG_GLOBAL", "/dev/null")
        .env("GIT_CONFIG_NOSYSTEM", "1")
        .env("GIT_COMMITTER_DATE", "2026-03-01T12:00:00Z")
        .output()
        .expect("git");
    assert!(output.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
}

fn commit(workshop: &Workshop) {
    git(workshop, &["add", "-A"]);
    git(workshop, &["commit", "-q", "-m", "state"]);
}

fn repository(files: &[(&str, &str)]) -> Workshop {
    let workshop = Workshop::new(files);
    git(&workshop, &["init", "-q", "-b", "main"]);
    commit(&workshop);
    workshop
}

/// The example build with the workshop's rules, committed.
fn marlow() -> Workshop {
    repository(&[
        ("builds/marlow/build.yaml", BUILD),
        ("builds/marlow/driveline.yaml", DRIVELINE),
        ("builds/marlow/tanks.yaml", TANKS),
        ("shop-rules/workshop/workshop.yaml", WORKSHOP),
    ])
}

fn compare(workshop: &Workshop, more: &[&str]) -> Run {
    let arguments: Vec<&str> = ["compare"].iter().chain(more).chain(&["--on", DAY]).copied().collect();
    workshop.run(&arguments)
}

/// A report without the names of commits, which are other ones with every change of a text.
fn shown(run: &Run) -> String {
    let mut out = String::new();
    let mut rest = &*run.out;
    while let Some(at) = rest.find(" (") {
        let (before, after) = rest.split_at(at + 2);
        out.push_str(before);
        let digits = after.chars().take_while(char::is_ascii_hexdigit).count();
        rest = match digits == 10 && after[digits..].starts_with(')') {
            true => {
                out.push_str("0123456789");
                &after[digits..]
            }
            false => after,
        };
    }
    format!("{out}{rest}status {}{}\n", run.status, run.err)
}

fn changed(workshop: &Workshop, file: &str, text: &str, changes: &[(&str, &str)]) {
    let mut text = text.to_string();
    for (old, new) in changes {
        assert!(text.contains(old), "{old}");
        text = text.replace(old, new);
    }
    workshop.write(&format!("builds/marlow/{file}"), text.as_bytes());
}

#[test]
fn a_value_that_breaks_a_rule() {
    let workshop = marlow();
    changed(
        &workshop,
        "driveline.yaml",
        DRIVELINE,
        &[("slope: 0.6° ± 0.2°", "slope: 0.9° ± 0.2°"), ("4.5 deg", "9.5 deg")],
    );
    insta::assert_snapshot!(shown(&compare(&workshop, &["HEAD"])));
    insta::assert_snapshot!("a_value_that_breaks_a_rule_brief", shown(&compare(&workshop, &["HEAD", "--brief"])));
    insta::assert_snapshot!("a_value_that_breaks_a_rule_md", shown(&compare(&workshop, &["HEAD", "--as", "markdown"])));
}

#[test]
fn another_unit_alone_is_no_change() {
    let workshop = marlow();
    changed(&workshop, "tanks.yaml", TANKS, &[("310 mm", "31 cm")]);
    changed(&workshop, "driveline.yaml", DRIVELINE, &[("4.5 deg", "270 arcmin")]);
    insta::assert_snapshot!(shown(&compare(&workshop, &["HEAD"])));
}

#[test]
fn new_names_moved_files_and_another_order_are_no_change() {
    let workshop = marlow();
    // A pump of another name, a section file of another name, and the keys in another order.
    let build = BUILD.replace("pump: lift", "pump: low pressure").replace("tanks.yaml", "fuel/tanks.yaml");
    workshop.write("builds/marlow/build.yaml", build.as_bytes());
    std::fs::remove_file(workshop.path("builds/marlow/tanks.yaml")).expect("a file");
    workshop.write("builds/marlow/fuel/tanks.yaml", TANKS.as_bytes());
    insta::assert_snapshot!(shown(&compare(&workshop, &["HEAD"])));
}

#[test]
fn a_list_in_another_order_is_no_change() {
    let tanks = |first: &str, second: &str| {
        format!(
            "fuel:\n  tanks:\n    - {{tank: {first}, lowest_level: 310 mm}}\n    - {{tank: {second}, lowest_level: 310 mm}}\n"
        )
    };
    let workshop = marlow();
    workshop.write("builds/marlow/tanks.yaml", tanks("main", "spare").as_bytes());
    commit(&workshop);
    workshop.write("builds/marlow/tanks.yaml", tanks("spare", "main").as_bytes());
    let run = compare(&workshop, &["HEAD", "--brief"]);
    assert!(run.out.contains("no value changed") && !run.out.contains(": value "), "{}", run.out);
    assert_eq!(run.status, 0);
}

#[test]
fn a_finding_that_goes_and_one_that_comes() {
    let workshop = marlow();
    changed(&workshop, "driveline.yaml", DRIVELINE, &[("4.5 deg", "2.5 deg")]);
    changed(&workshop, "build.yaml", BUILD, &[("360 mm", "300 mm")]);
    commit(&workshop);
    changed(&workshop, "driveline.yaml", DRIVELINE, &[]);
    let run = compare(&workshop, &["HEAD~1", "HEAD"]);
    assert_eq!(run.status, 0, "{}", run.out);
    insta::assert_snapshot!(shown(&run));
    let back = compare(&workshop, &["HEAD", "HEAD~1", "--brief"]);
    assert_eq!(back.status, 1, "{}", back.out);
    assert!(back.out.contains("new major workshop.joint-bend: middle bends 3.9"), "{}", back.out);
}

#[test]
fn only_what_is_staged_counts_with_staged() {
    let workshop = marlow();
    changed(&workshop, "build.yaml", BUILD, &[("360 mm", "300 mm")]);
    git(&workshop, &["add", "-A"]);
    changed(&workshop, "build.yaml", BUILD, &[("360 mm", "800 mm")]);
    let staged = compare(&workshop, &["HEAD", "--staged", "--brief"]);
    assert!(staged.out.contains("360 mm \u{2192} 300 mm"), "{}", staged.out);
    let tree = compare(&workshop, &["HEAD", "--brief"]);
    assert!(tree.out.contains("360 mm \u{2192} 800 mm"), "{}", tree.out);
    assert_eq!(compare(&workshop, &["HEAD", "HEAD", "--staged"]).status, 2);
}

#[test]
fn a_concession_that_has_run_out_since() {
    let workshop = marlow();
    let permit = "concessions:\n  - {rule: workshop.pump-low, subject: fuel.pumps/lift, reason: drains by hand, by: M. Okafor, until: 2026-04-01}\n";
    workshop.write("builds/marlow/build.yaml", format!("{BUILD}{permit}").as_bytes());
    commit(&workshop);
    workshop.write("builds/marlow/build.yaml", format!("{BUILD}{permit}# looked through\n").as_bytes());
    let run = compare(&workshop, &["HEAD"]);
    assert_eq!(run.status, 1);
    insta::assert_snapshot!(shown(&run));
}

#[test]
fn what_a_changed_rule_of_the_repository_does_is_told_apart() {
    let workshop = marlow();
    workshop.write("shop-rules/workshop/workshop.yaml", WORKSHOP.replace("<= 3 deg", "<= 5 deg").as_bytes());
    changed(&workshop, "build.yaml", BUILD, &[("360 mm", "355 mm")]);
    insta::assert_snapshot!(shown(&compare(&workshop, &["HEAD"])));
    // Rules that could not be used before.
    workshop.write("shop-rules/workshop/workshop.yaml", WORKSHOP.replace("<= 3 deg", "<= 3 mm").as_bytes());
    commit(&workshop);
    workshop.write("shop-rules/workshop/workshop.yaml", WORKSHOP.as_bytes());
    let run = compare(&workshop, &["HEAD"]);
    assert_eq!(run.status, 0, "{}", run.out);
    assert!(run.out.contains("the older ones cannot be used"), "{}", run.out);
    // Rules that cannot be used now.
    let run = compare(&workshop, &["HEAD~1", "HEAD"]);
    assert_eq!(run.status, 2, "{}", run.out);
}

#[test]
fn a_spec_that_cannot_be_read_on_one_side() {
    let workshop = marlow();
    changed(&workshop, "tanks.yaml", TANKS, &[("310 mm", "310")]);
    let run = compare(&workshop, &["HEAD"]);
    assert_eq!(run.status, 2);
    insta::assert_snapshot!(shown(&run));
    commit(&workshop);
    changed(&workshop, "tanks.yaml", TANKS, &[]);
    // The fault of the older side holds up nobody; what it hid is found now.
    let run = compare(&workshop, &["HEAD", "--brief"]);
    assert_eq!(run.status, 1);
    insta::assert_snapshot!(shown(&run));
}

#[test]
fn builds_that_came_went_and_moved() {
    let workshop = marlow();
    git(&workshop, &["mv", "builds/marlow", "builds/estate"]);
    workshop.write("builds/second/build.yaml", b"build: {name: Second, stage: drawn}\ncooling: none\n");
    commit(&workshop);
    let told = shown(&compare(&workshop, &["HEAD~1", "HEAD", "--brief"]));
    // How much of an empty spec is unmeasured changes with every rule that is added.
    let line = |line: &str| line.split_once("; unmeasured ").map_or(line, |(head, _)| head).to_string();
    insta::assert_snapshot!(told.lines().map(line).collect::<Vec<_>>().join("\n"));
    // Too much changed for git, but the name is the same.
    workshop.write("builds/third/build.yaml", b"build: {name: Second}\nengine: none\nexhaust: none\nlamps: none\n");
    std::fs::remove_file(workshop.path("builds/second/build.yaml")).expect("a file");
    git(&workshop, &["rm", "-q", "-r", "builds/estate"]);
    let run = compare(&workshop, &["HEAD"]);
    assert!(run.out.contains("builds/third/build.yaml, before builds/second/build.yaml"), "{}", run.out);
    assert!(run.out.contains("builds/estate/build.yaml, there no more"), "{}", run.out);
}

#[test]
fn only_builds_below_a_named_folder_are_compared() {
    let workshop = marlow();
    workshop.write("builds/second/build.yaml", b"build: {name: Second}\n");
    changed(&workshop, "build.yaml", BUILD, &[("360 mm", "300 mm")]);
    let run = compare(&workshop, &["HEAD", "--brief", "--build", "builds/second"]);
    assert!(run.out.contains("new build") && !run.out.contains("marlow"), "{}", run.out);
}

#[test]
fn what_is_no_revision_never_reaches_git_as_an_option() {
    let workshop = marlow();
    for name in ["--upload-pack=x", "-h", "--output=stolen", "no-such-branch", "", "HEAD:builds", "a b"] {
        let run = compare(&workshop, &["--", name]);
        assert_eq!(run.status, 2, "{name}: {}", run.out);
        assert!(run.err.starts_with("tramgauge: "), "{name}: {}", run.err);
    }
    assert!(!workshop.path("stolen").exists());
    let nowhere = Workshop::new(&[("build.yaml", BUILD)]);
    let run = compare(&nowhere, &["HEAD"]);
    assert_eq!((run.status, run.err.contains("git")), (2, true), "{}", run.err);
}

#[test]
fn the_same_call_gives_the_same_bytes() {
    let workshop = marlow();
    changed(&workshop, "driveline.yaml", DRIVELINE, &[("3.5° ± 0.2°", "9.5 deg")]);
    for form in ["terminal", "markdown", "json"] {
        let first = compare(&workshop, &["HEAD", "--as", form]);
        assert_eq!(first.out, compare(&workshop, &["HEAD", "--as", form]).out);
        assert_eq!(first.status, 1);
    }
}

/// The form is described, and every answer is of it.
#[test]
fn json_is_of_the_form_that_its_schema_describes() {
    let text = |name: &str| {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("schema/forms").join(name);
        std::fs::read_to_string(path).expect("a form")
    };
    // What the form takes from its neighbour is put into it, so that nothing is fetched.
    let own = text("comparison.json").replace("inspection.json#", "#");
    let mut schema: serde_json::Value = serde_json::from_str(&own).expect("JSON");
    let shared: serde_json::Value = serde_json::from_str(&text("inspection.json")).expect("JSON");
    for (name, of) in shared["$defs"].as_object().expect("definitions") {
        if schema["$defs"].get(name).is_none() {
            schema["$defs"][name] = of.clone();
        }
    }
    // The reasons of an outcome are taken from the other form's outcome of the same name.
    schema["$defs"]["judged"] = shared["$defs"]["outcome"].clone();
    let schema = schema.to_string().replace("#/$defs/outcome/properties", "#/$defs/judged/properties");
    let schema: serde_json::Value = serde_json::from_str(&schema).expect("JSON");
    let validator = jsonschema::options().offline().build(&schema).expect("a schema");
    let workshop = marlow();
    let permit = "concessions:\n  - {rule: workshop.pump-low, subject: fuel.pumps/lift, reason: a, by: b, until: 2026-04-01}\n  - {rule: no.rule, subject: fuel}\n";
    workshop.write("builds/second/build.yaml", b"build: {name: Second}\nfuel: {pumps: [{pump: a}]}\n");
    commit(&workshop);
    let build = BUILD.replace("360 mm", "14 in").replace("pump: lift", "pump: low");
    workshop.write("builds/marlow/build.yaml", format!("{build}{permit}").as_bytes());
    changed(
        &workshop,
        "driveline.yaml",
        DRIVELINE,
        &[("4.5 deg", "9.5 deg"), ("    - shaft: stub\n      slope: 3.5° ± 0.2°\n", "")],
    );
    workshop.write("shop-rules/workshop/workshop.yaml", WORKSHOP.replace("<= 2 deg", "<= 5 deg").as_bytes());
    workshop.write("builds/third/build.yaml", b"build: {name: Third}\n");
    std::fs::remove_file(workshop.path("builds/second/build.yaml")).expect("a file");
    let check = |run: &Run| {
        let document: serde_json::Value =
            serde_json::from_str(&run.out).unwrap_or_else(|why| panic!("{why} {}", run.out));
        let refused: Vec<String> =
            validator.iter_errors(&document).map(|e| format!("{}: {e}", e.instance_path())).take(5).collect();
        assert_eq!(refused, [""; 0]);
        document
    };
    let all = check(&compare(&workshop, &["HEAD", "--as", "json"]));
    assert_eq!(all["builds"].as_array().map(Vec::len), Some(3));
    check(&compare(&workshop, &["HEAD", "HEAD", "--as", "json"]));
    changed(&workshop, "tanks.yaml", TANKS, &[("310 mm", "310")]);
    check(&compare(&workshop, &["HEAD", "--as", "json"]));
    workshop.write("shop-rules/workshop/workshop.yaml", b"rules: [{rule: x}]\n");
    check(&compare(&workshop, &["HEAD", "--as", "json"]));
}
