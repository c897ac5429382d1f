//! The table of what is covered, in `rules/COVERAGE.md`: made from the rulebook, the terms and the check data, and held true here.
//! `WRITE_COVERAGE=1 cargo test --test coverage_table` writes it anew.

use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use tramgauge::rulebook::{BUILT_IN, Rulebook, TextSeen, load_built_in};
use tramgauge::terms::{Terms, keys};

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn rulebook() -> Rulebook {
    let Ok(terms) = Terms::built_in() else { panic!("the built-in terms load") };
    load_built_in(terms, &[]).unwrap_or_else(|_| panic!("the built-in rules load"))
}

/// Rows of a file of check data: cases of published examples, or rows of a table made with a reference library.
fn rows(path: &Path) -> usize {
    let text = fs::read_to_string(path).unwrap_or_else(|e| panic!("{path:?}: {e}"));
    if path.extension().is_some_and(|e| e == "csv") {
        return text.lines().count().saturating_sub(1);
    }
    let value: Value = if path.extension().is_some_and(|e| e == "json") {
        serde_json::from_str(&text).unwrap_or_else(|e| panic!("{path:?}: {e}"))
    } else {
        serde_yaml::from_str(&text).unwrap_or_else(|e| panic!("{path:?}: {e}"))
    };
    let lists = ["cases", "rows", "positions", "lines", "whirls", "torsions", "tractions"];
    lists.iter().filter_map(|l| value.get(l)?.as_array()).map(Vec::len).sum()
}

fn table() -> String {
    let book = rulebook();
    let mut key_counts: BTreeMap<String, usize> = BTreeMap::new();
    for key in keys(book.library.terms.types()) {
        let top = key.path.split(['.', '/']).next().unwrap_or_default().to_string();
        *key_counts.entry(top).or_default() += 1;
    }
    let mut lines: BTreeMap<&str, BTreeSet<String>> = BTreeMap::new();
    for (name, text) in BUILT_IN.iter().filter(|(name, _)| name.ends_with("/coverage.yaml")) {
        let system = name.split('/').nth(1).unwrap_or_default();
        let value: Value = serde_yaml::from_str(text).unwrap_or_else(|e| panic!("{name}: {e}"));
        for line in value["coverage"].as_array().into_iter().flatten() {
            lines.entry(system).or_default().insert(line["line"].as_str().unwrap_or_default().to_string());
        }
    }
    let mut systems: BTreeSet<&str> = book.rules.iter().map(|r| &*r.system).collect();
    systems.extend(book.figures.iter().map(|f| &*f.system));
    systems.extend(book.tables.iter().map(|t| &*t.system));
    let mut out = String::from(
        "# What is covered\n\nMade by `tests/coverage_table.rs`, which also holds it true.\n\n| system | keys | tables | figures | rules | check pieces | lines of the checklist |\n| --- | ---: | ---: | ---: | ---: | ---: | --- |\n",
    );
    let mut sums = [0usize; 5];
    for system in &systems {
        let tables: Vec<_> = book.tables.iter().filter(|t| &*t.system == *system).collect();
        let rules: Vec<_> = book.rules.iter().filter(|r| &*r.system == *system).collect();
        let figures = book.figures.iter().filter(|f| &*f.system == *system).count();
        let pieces =
            rules.iter().map(|r| r.pieces.len()).sum::<usize>() + tables.iter().map(|t| t.pieces.len()).sum::<usize>();
        let counts = [key_counts.get(*system).copied().unwrap_or(0), tables.len(), figures, rules.len(), pieces];
        for (sum, count) in sums.iter_mut().zip(counts) {
            *sum += count;
        }
        let covered: Vec<String> = lines.get(system).map_or(Vec::new(), sorted);
        let cells = counts.map(|c| c.to_string()).join(" | ");
        let _ = writeln!(out, "| {system} | {cells} | {} |", covered.join(" "));
    }
    let cells = sums.map(|c| c.to_string()).join(" | ");
    let _ = writeln!(out, "| all | {cells} | |");
    let mut seen = [0usize; 3];
    let uses = book.rules.iter().flat_map(|r| r.sources.iter()).chain(book.tables.iter().flat_map(|t| &t.sources));
    for used in uses {
        seen[match used.text {
            TextSeen::Read => 0,
            TextSeen::Memory => 1,
            TextSeen::Practice => 2,
        }] += 1;
    }
    let all: usize = seen.iter().sum();
    let share = |n: usize| (100.0 * n as f64 / all as f64).round();
    let _ = writeln!(
        out,
        "\n{} sources, used {all} times by rules and tables: text read {} ({} %), from memory {} ({} %), practice {} ({} %).",
        book.sources.len(),
        seen[0],
        share(seen[0]),
        seen[1],
        share(seen[1]),
        seen[2],
        share(seen[2])
    );
    out.push_str("\n## Checks outside the project\n\nCases of published examples and rows of tables made with reference libraries, in `tests/data/`.\n\n| file | rows |\n| --- | ---: |\n");
    let mut total = 0;
    let mut files: Vec<_> = fs::read_dir(root().join("tests/data"))
        .unwrap_or_else(|e| panic!("{e}"))
        .filter_map(Result::ok)
        .map(|e| e.path())
        .filter(|p| p.is_file())
        .collect();
    files.sort();
    for path in files {
        let count = rows(&path);
        total += count;
        let _ = writeln!(out, "| {} | {count} |", path.file_name().unwrap_or_default().to_string_lossy());
    }
    let _ = writeln!(out, "| all | {total} |");
    out
}

/// Lines by section and number.
fn sorted(lines: &BTreeSet<String>) -> Vec<String> {
    let mut all: Vec<String> = lines.iter().cloned().collect();
    all.sort_by_key(|l| l.split('.').map(|p| p.parse::<u32>().unwrap_or(u32::MAX)).collect::<Vec<_>>());
    all
}

#[test]
fn the_table_of_what_is_covered_is_true() {
    let path = root().join("rules/COVERAGE.md");
    let made = table();
    if std::env::var_os("WRITE_COVERAGE").is_some() {
        fs::write(&path, &made).unwrap_or_else(|e| panic!("{e}"));
    }
    let written = fs::read_to_string(&path).unwrap_or_default();
    assert!(written == made, "rules/COVERAGE.md is not what the rulebook makes; write it anew as its test says");
}
