//! Specs made to hurt: each is refused with a clear error, in little time and memory, and nothing of it acts on a terminal.

mod common;

use common::Workshop;
use std::io::Read;
use std::process::Stdio;
use std::time::{Duration, Instant};

/// The longest that one may take. Without optimisation, on a machine that has other work, it takes longer.
const LONGEST: Duration = Duration::from_secs(if cfg!(debug_assertions) { 20 } else { 1 });

/// The most memory that one may take, in KiB.
const MOST: u64 = 200 * 1024;

struct Hurt {
    out: String,
    status: Option<i32>,
}

/// Judges the build in `folder` and holds the run to its limits.
fn inspected(workshop: &Workshop, folder: &str) -> Hurt {
    let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_tramgauge"));
    command.current_dir(workshop.path("")).args(["inspect", folder, "--on", "2026-06-01", "--workers", "1"]);
    let began = Instant::now();
    let mut child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().expect("a run");
    let mut pipe = child.stdout.take().expect("a pipe");
    let reader = std::thread::spawn(move || {
        let mut out = Vec::new();
        pipe.read_to_end(&mut out).map(|_| out)
    });
    let mut peak = 0;
    let status = loop {
        peak = peak.max(high_water(child.id()).unwrap_or(0));
        if let Some(status) = child.try_wait().expect("a status") {
            break status;
        }
        assert!(began.elapsed() < LONGEST, "still running after {LONGEST:?}");
        std::thread::sleep(Duration::from_millis(2));
    };
    let took = began.elapsed();
    assert!(took < LONGEST, "took {took:?}");
    assert!(peak < MOST, "took {peak} KiB");
    let out = reader.join().expect("a reader").expect("output");
    let out = String::from_utf8(out).expect("UTF-8");
    let acts = |c: char| {
        (c.is_control() && c != '\n')
            || matches!(c, '\u{200e}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
    };
    assert!(!out.chars().any(acts), "{out:?}");
    Hurt { out, status: status.code() }
}

/// The most memory that a process has held, where the system tells.
fn high_water(process: u32) -> Option<u64> {
    let status = std::fs::read_to_string(format!("/proc/{process}/status")).ok()?;
    status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?.trim().strip_suffix(" kB")?.trim().parse().ok()
}

fn told(text: &[u8]) -> String {
    let workshop = Workshop::new(&[]);
    workshop.write("b/build.yaml", text);
    let hurt = inspected(&workshop, "b");
    assert_eq!(hurt.status, Some(2), "{}", hurt.out);
    hurt.out
}

#[test]
fn an_alias_bomb() {
    let mut text = String::from("tramgauge: 1\na0: &a0 [x, x, x, x, x, x, x, x, x]\n");
    for level in 1..12 {
        let many = vec![format!("*a{}", level - 1); 9].join(", ");
        text.push_str(&format!("a{level}: &a{level} [{many}]\n"));
    }
    let out = told(text.as_bytes());
    assert!(out.contains("liases stand for more than"), "{out}");
}

#[test]
fn a_hundred_thousand_open_brackets() {
    let out = told(format!("tramgauge: 1\nfuel: {}\n", "[".repeat(100_000)).as_bytes());
    assert!(out.contains("nested deeper than"), "{out}");
}

#[test]
fn a_hundred_thousand_unknown_keys() {
    let text: String = (0..100_000).map(|n| format!("k{n}: 1\n")).collect();
    let out = told(text.as_bytes());
    assert!(out.contains("`k0` is not a key of"), "{out}");
    assert!(out.contains("more"), "{out}");
}

#[test]
fn bytes_that_are_not_utf_8() {
    let out = told(b"tramgauge: 1\nbuild: {name: \"a\xff\xfe\"}\n");
    assert!(out.contains("not UTF-8"), "{out}");
}

#[test]
fn nul_bytes() {
    let out = told(b"tramgauge: 1\nbuild: {name: \"a\0b\"}\n");
    assert!(out.contains("U+0000"), "{out}");
    assert!(out.contains('\u{2400}'), "{out}");
}

#[test]
fn control_escape_and_direction_characters_in_names_and_values() {
    let text = "tramgauge: 1\nbuild: {name: \"\\e[31mred\\u202Eder\"}\n\"ke\\ey\\u2066\": 1\nfuel:\n  tanks: [{tank: \"a\\e]0;t\\a\", lowest_level: \"\\e[2J\"}]\n  pumps: [{pump: p, draws_from: \"\\u202Ex\"}]\n";
    let out = told(text.as_bytes());
    assert!(out.contains('\u{241b}') && out.contains('\u{fffd}'), "{out}");
    let raw = told("tramgauge: 1\nbuild: {name: a\u{202e}b}\nk\u{2066}: 1\n".as_bytes());
    assert!(raw.contains("k\u{fffd}"), "{raw}");
}

#[test]
fn a_section_far_outside() {
    let out = told(b"tramgauge: 1\nsections: [../../etc/passwd]\n");
    assert!(out.contains("outside the repository"), "{out}");
    assert!(!out.contains("root:"), "{out}");
}

#[cfg(unix)]
#[test]
fn links_out_of_the_repository() {
    let outside = tempfile::TempDir::new().expect("a folder");
    std::fs::write(outside.path().join("secret.yaml"), "fuel: {density: 1 kg/m3}\nsecret: 1\n").expect("a file");
    let workshop = Workshop::new(&[("b/build.yaml", "tramgauge: 1\nsections: [linked.yaml, folder/secret.yaml]\n")]);
    std::os::unix::fs::symlink(outside.path().join("secret.yaml"), workshop.path("b/linked.yaml")).expect("a link");
    std::os::unix::fs::symlink(outside.path(), workshop.path("b/folder")).expect("a link");
    let hurt = inspected(&workshop, "b");
    assert_eq!(hurt.status, Some(2));
    assert_eq!(hurt.out.matches("outside the repository").count(), 2, "{}", hurt.out);
    assert!(!hurt.out.contains("secret: 1"), "{}", hurt.out);
}

#[test]
fn files_and_builds_that_are_too_large() {
    let out = told(&vec![b'#'; 3 * 1024 * 1024]);
    assert!(out.contains("at most 2097152 are read"), "{out}");
    let workshop =
        Workshop::new(&[("b/build.yaml", "tramgauge: 1\nsections: [a.yaml, b.yaml, c.yaml, d.yaml, e.yaml]\n")]);
    for name in ["a", "b", "c", "d", "e"] {
        workshop.write(&format!("b/{name}.yaml"), "# a line that says nothing\n".repeat(75_000).as_bytes());
    }
    let hurt = inspected(&workshop, "b");
    assert!(hurt.out.contains("the build is larger than 8388608 bytes"), "{}", hurt.out);
}

#[test]
fn a_rule_that_goes_on_and_on_is_named() {
    let rule = "sources: [{source: habit, kind: practice, title: Habits}]\nrules:\n  - rule: bench.endless\n    title: A requirement\n    for: fuel\n    class: major\n    holds: each a in fuel.lines has each b in fuel.lines has each c in fuel.lines has a.bore <= b.bore + c.bore\n    says: It does not hold\n    why: A reason.\n    remedy: A remedy.\n    sources: [habit]\n";
    let mut build = String::from("tramgauge: 1\nfuel:\n  lines:\n");
    for n in 0..150 {
        build.push_str(&format!("    - {{line: l{n}, bore: 8 mm}}\n"));
    }
    let workshop = Workshop::new(&[("b/build.yaml", &build), ("shop-rules/bench/rules.yaml", rule)]);
    let run = workshop.run(&["inspect", "b", "--on", "2026-06-01"]);
    assert_eq!(run.status, 2, "{}", run.out);
    assert!(run.out.contains("Rule `bench.endless` needs more steps on fuel"), "{}", run.out);
    let run = workshop.run(&["inspect", "b", "--as", "json", "--on", "2026-06-01"]);
    let json: serde_json::Value = serde_json::from_str(&run.out).expect("JSON");
    assert_eq!(json["builds"][0]["exhausted"][0]["rule"], "bench.endless");
}
