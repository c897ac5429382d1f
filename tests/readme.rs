//! What README.md shows is what the program prints.
//!
//! A `yaml` block that begins with a comment with a path is put into a repository under that path. Of a `console` block
//! every `$ tramgauge` line is run there; the lines below it must stand in the answer in that order, next to each
//! other unless `...` is between them.

mod common;

use common::Workshop;
use std::path::Path;

/// The fenced blocks of a text: what kind, and the lines.
fn blocks(text: &str) -> Vec<(&str, Vec<&str>)> {
    let mut found: Vec<(&str, Vec<&str>)> = Vec::new();
    let mut open = false;
    for line in text.lines() {
        match line.strip_prefix("```") {
            Some(kind) if !open => {
                found.push((kind, Vec::new()));
                open = true;
            }
            Some(_) => open = false,
            None if open => found.last_mut().expect("an open block").1.push(line),
            None => {}
        }
    }
    found
}

/// The words of a command line; what stands between single quotes is one word.
fn words(line: &str) -> Vec<String> {
    let mut all = Vec::new();
    for (at, piece) in line.split('\'').enumerate() {
        if at % 2 == 1 {
            all.push(piece.to_string());
        } else {
            all.extend(piece.split_whitespace().map(str::to_string));
        }
    }
    all
}

/// A repository with the examples and with the files that the text shows.
fn repository(readme: &str) -> Workshop {
    let workshop = Workshop::new(&[]);
    let examples = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    for build in std::fs::read_dir(&examples).expect("the examples") {
        let build = build.expect("an entry").path();
        for file in std::fs::read_dir(&build).expect("an example") {
            let path = file.expect("an entry").path();
            let name = path.strip_prefix(&examples).expect("a path below").to_str().expect("UTF-8").to_string();
            workshop.write(&format!("examples/{name}"), &std::fs::read(&path).expect("a file"));
        }
    }
    for (kind, lines) in blocks(readme) {
        if let ("yaml", Some(path)) = (kind, lines.first().and_then(|line| line.strip_prefix("# "))) {
            workshop.write(path, (lines.join("\n") + "\n").as_bytes());
        }
    }
    workshop
}

/// The first shown lines that the answer does not have.
fn missing<'a>(shown: &[&'a str], answer: &str) -> Option<Vec<&'a str>> {
    let answer: Vec<&str> = answer.lines().map(str::trim_end).collect();
    let mut from = 0;
    for chunk in shown.split(|line| *line == "...").filter(|chunk| !chunk.is_empty()) {
        let trimmed: Vec<&str> = chunk.iter().map(|line| line.trim_end()).collect();
        match answer.get(from..).unwrap_or(&[]).windows(trimmed.len()).position(|window| window == trimmed) {
            Some(at) => from += at + trimmed.len(),
            None => return Some(trimmed),
        }
    }
    None
}

#[test]
fn every_answer_in_the_readme_is_one_of_the_program() {
    let readme = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md")).expect("README.md");
    let workshop = repository(&readme);
    let mut ran = 0;
    let mut wrong = Vec::new();
    for (_, lines) in blocks(&readme).into_iter().filter(|(kind, _)| *kind == "console") {
        for call in lines.split(|line| line.starts_with("$ ")).skip(1).zip(lines.iter().filter(|l| l.starts_with("$ ")))
        {
            let (shown, command) = call;
            let arguments = words(command.strip_prefix("$ tramgauge ").expect("a call of the program"));
            let run = workshop.run(&arguments.iter().map(String::as_str).collect::<Vec<_>>());
            ran += 1;
            if let Some(lines) = missing(shown, &run.out) {
                wrong.push(format!("{command}\nhas no longer\n{}\nbut\n{}{}", lines.join("\n"), run.out, run.err));
            }
        }
    }
    assert!(ran >= 10, "only {ran} calls were found");
    assert!(wrong.is_empty(), "{}", wrong.join("\n\n"));
}

#[test]
fn lines_that_the_answer_does_not_have_are_noticed() {
    assert_eq!(missing(&["...", "b", "...", "d"], "a\nb\nc\nd\n"), None);
    assert_eq!(missing(&["b", "d"], "a\nb\nc\nd\n"), Some(vec!["b", "d"]));
    assert_eq!(missing(&["d", "...", "b"], "a\nb\nc\nd\n"), Some(vec!["b"]));
}
