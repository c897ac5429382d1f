//! Keeps the house in order: which room may use which, how long a file may be, how each begins, and that no rule's name
//! stands in the program.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// The rooms, each with those that it may use. `DEVELOPERS.md` says why.
const EDGES: [(&str, &[&str]); 13] = [
    ("source", &[]),
    ("quantity", &[]),
    ("search", &[]),
    ("physics", &["search"]),
    ("terms", &["source", "quantity"]),
    ("language", &["source", "quantity", "search", "terms"]),
    ("rulebook", &["source", "quantity", "terms", "language", "physics"]),
    ("assess", &["source", "quantity", "search", "terms", "language", "rulebook"]),
    ("repository", &["source", "quantity", "terms", "language", "rulebook", "assess"]),
    ("history", &["source", "quantity", "terms", "language", "rulebook", "assess", "repository"]),
    ("report", &["source", "quantity", "terms", "language", "rulebook", "assess", "history"]),
    ("editor", &["source", "quantity", "terms", "language", "rulebook", "assess", "repository"]),
    (
        "commands",
        &["source", "quantity", "terms", "language", "rulebook", "assess", "repository", "history", "report", "editor"],
    ),
];

/// Lines that a source file may have; tables of data and tests do not count.
const LONGEST: usize = 600;

fn sources() -> Vec<(PathBuf, String)> {
    let mut out = Vec::new();
    let mut folders = vec![Path::new(env!("CARGO_MANIFEST_DIR")).join("src")];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).unwrap_or_else(|e| panic!("{folder:?}: {e}")) {
            let path = entry.unwrap_or_else(|e| panic!("{e}")).path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == "rs") && !path.ends_with("foundation/build.rs") {
                let text = fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path:?}: {e}"));
                out.push((path, text));
            }
        }
    }
    out.sort();
    out
}

fn room(path: &Path) -> Option<String> {
    let below = path.strip_prefix(Path::new(env!("CARGO_MANIFEST_DIR")).join("src")).ok()?;
    let first = below.components().next()?.as_os_str().to_str()?;
    (!first.ends_with(".rs")).then(|| first.to_string())
}

fn is_test(path: &Path) -> bool {
    path.components().any(|c| c.as_os_str() == "tests") || path.file_stem().is_some_and(|s| s == "tests")
}

#[test]
fn rooms_use_only_rooms_below_them() {
    let allowed: BTreeMap<&str, &[&str]> = EDGES.into_iter().collect();
    let mut wrong = Vec::new();
    for (path, text) in sources() {
        let Some(room) = room(&path) else { continue };
        let Some(below) = allowed.get(room.as_str()) else {
            wrong.push(format!("{room} is no room of the table"));
            continue;
        };
        for (number, line) in text.lines().enumerate() {
            for piece in line.split("crate::").skip(1) {
                let used: String = piece.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
                let known = allowed.contains_key(used.as_str());
                if known && used != room && !below.contains(&used.as_str()) {
                    wrong.push(format!("{}:{} {room} uses {used}", path.display(), number + 1));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn files_are_short_and_begin_by_saying_why_they_exist() {
    let mut wrong = Vec::new();
    for (path, text) in sources() {
        if !text.starts_with("//!") {
            wrong.push(format!("{} has no opening paragraph", path.display()));
        }
        let code = text.find("\n#[cfg(test)]").map_or(&*text, |at| &text[..at]);
        if !is_test(&path) && code.lines().count() > LONGEST {
            wrong.push(format!("{} has {} lines", path.display(), code.lines().count()));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn only_report_and_commands_print_and_nothing_but_the_command_line_reads_the_clock() {
    let mut wrong = Vec::new();
    for (path, text) in sources() {
        if is_test(&path) {
            continue;
        }
        let room = room(&path).unwrap_or_default();
        for word in ["println!", "eprintln!", "print!(", "stdout()", "stderr()"] {
            if text.contains(word) && !["report", "commands"].contains(&room.as_str()) {
                wrong.push(format!("{} prints", path.display()));
            }
        }
        for word in ["SystemTime", "Instant::now", "Zoned::now", "Timestamp::now"] {
            if text.contains(word) && room != "commands" {
                wrong.push(format!("{} reads the clock", path.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn no_rule_is_named_in_the_program() {
    let mut rules = Vec::new();
    let mut folders = vec![Path::new(env!("CARGO_MANIFEST_DIR")).join("rules")];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).unwrap_or_else(|e| panic!("{folder:?}: {e}")) {
            let path = entry.unwrap_or_else(|e| panic!("{e}")).path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == "yaml") {
                let text = fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path:?}: {e}"));
                rules.extend(text.lines().filter_map(|l| l.trim().strip_prefix("- rule: ").map(str::to_string)));
            }
        }
    }
    assert!(!rules.is_empty());
    let mut wrong = Vec::new();
    for (path, text) in sources() {
        let code = text.find("\n#[cfg(test)]").map_or(&*text, |at| &text[..at]);
        for line in code.lines().filter(|l| !l.trim_start().starts_with("//") && !is_test(&path)) {
            wrong
                .extend(rules.iter().filter(|r| line.contains(r.as_str())).map(|r| format!("{}: {r}", path.display())));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn physics_takes_and_returns_quantities() {
    let mut wrong = Vec::new();
    for (path, text) in sources() {
        if room(&path).as_deref() != Some("physics") || is_test(&path) {
            continue;
        }
        let code = text.find("\n#[cfg(test)]").map_or(&*text, |at| &text[..at]);
        for piece in code.split("\npub fn ").skip(1) {
            let signature = piece.split('{').next().unwrap_or_default();
            let bare = signature.split(['(', ',', '<', ' ', '>', '&', '[', ']', ')']).any(|w| w == "f64");
            // The shared range checks are generic over the number inside a quantity.
            if bare && !path.ends_with("range.rs") {
                wrong.push(format!("{}: {}", path.display(), signature.lines().next().unwrap_or_default()));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}
