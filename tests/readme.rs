//! What README.md shows is what the program prints.
//!
//! A `yaml` block that begins with a comment with a path is put into a repository under that path. Of a `console` block
//! every `$ tramgauge` line is run there; the lines below it must stand in the answer in that order, next to each
//! other unless `...` is between them. A block that calls `git` has a repository of its own, in which everything is committed.

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

/// Runs git in the repository, without anyone's settings.
fn git(workshop: &Workshop, arguments: &[&str]) {
    let output = std::process::Command::new("git")
        .args(["-c", "user.name=A. Reader", "-c", "user.email=reader@example.org", "-c", "commit.gpgsign=false"])
        .args(arguments)
        .current_dir(workshop.path(""))
        .env("GIT_CONFIG_GLOBAL", "/dev/null")
        .env("GIT_CONFIG_NOSYSTEM", "1")
        .output()
        .expect("git");
    assert!(output.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
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
        let own = lines.iter().any(|line| line.starts_with("$ git ")).then(|| {
            let own = repository(&readme);
            git(&own, &["init", "-q", "-b", "main"]);
            git(&own, &["add", "-A"]);
            git(&own, &["commit", "-q", "-m", "state"]);
            own
        });
        let workshop = own.as_ref().unwrap_or(&workshop);
        for call in lines.split(|line| line.starts_with("$ ")).skip(1).zip(lines.iter().filter(|l| l.starts_with("$ ")))
        {
            let (shown, command) = call;
            let all = words(command.strip_prefix("$ ").expect("a call"));
            let arguments: Vec<&str> = all.iter().skip(1).map(String::as_str).collect();
            if all.first().is_some_and(|program| program == "git") {
                git(workshop, &arguments);
                continue;
            }
            assert_eq!(all.first().map(String::as_str), Some("tramgauge"), "{command}");
            let run = workshop.run(&arguments);
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

/// A repository of the real git in which the walk is gone.
#[cfg(unix)]
struct Walk {
    folder: tempfile::TempDir,
}

#[cfg(unix)]
impl Walk {
    fn new() -> Walk {
        Walk { folder: tempfile::tempdir().expect("a folder") }
    }

    /// Runs a line of the shell; gives its exit status and all that it says.
    fn run(&self, folder: &str, line: &str) -> (i32, String) {
        let program = Path::new(common::git::program()).parent().expect("a folder").to_path_buf();
        let path = std::env::var_os("PATH").unwrap_or_default();
        let path = std::env::join_paths([program].into_iter().chain(std::env::split_paths(&path))).expect("a path");
        let mut command = common::git::bare("sh");
        command
            .args(["-c", &format!("{{ {line}\n}} 2>&1")])
            .current_dir(self.folder.path().join(folder))
            .env("PATH", path);
        for who in ["AUTHOR", "COMMITTER"] {
            command.env(format!("GIT_{who}_NAME"), "A. Tester").env(format!("GIT_{who}_EMAIL"), "tester@example.org");
        }
        let run = common::git::ran(&mut command);
        (run.status, run.out)
    }
}

#[cfg(unix)]
#[test]
fn the_walk_through_git_and_the_check_of_a_build_service_go_as_shown() {
    let readme = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md")).expect("README.md");
    let walk = Walk::new();
    assert_eq!(walk.run("", "git init --quiet -b main shop").0, 0);
    let mut ran = 0;
    let mut check = None;
    for (kind, lines) in blocks(&readme) {
        let path = lines.first().and_then(|line| line.strip_prefix("# ")).unwrap_or_default();
        match kind {
            "yaml" if path.starts_with("builds/elm/") => {
                std::fs::write(walk.folder.path().join("shop").join(path), lines.join("\n") + "\n").expect("a file");
            }
            "shell-session" => {
                let shown = lines.split(|line| line.starts_with("$ ")).skip(1);
                for (shown, command) in shown.zip(lines.iter().filter_map(|line| line.strip_prefix("$ "))) {
                    let (_, said) = walk.run("shop", command);
                    ran += 1;
                    assert_eq!(missing(shown, &said), None, "{command}\n{said}");
                    assert!(!shown.is_empty() || said.is_empty(), "{command}\n{said}");
                }
            }
            "sh" if path == "check.sh" => check = Some(lines.join("\n")),
            _ => {}
        }
    }
    assert!(ran >= 9, "only {ran} lines were found");
    let (_, log) = walk.run("shop", "git log --format=%s");
    assert_eq!(log, "Mount the pump below the tank\nMount the pump higher, by concession\nBegin the Elm\n");
    // The check, as a build service runs it on a branch.
    let check = check.expect("the check");
    let service = [
        "git clone --quiet shop service",
        "cd service && git checkout --quiet -b change && sed -i 's/265 mm/335 mm/' builds/elm/build.yaml",
        "cd service && git commit --quiet --all -m 'Mount the pump higher'",
    ];
    for line in service {
        assert_eq!(walk.run("", line), (0, String::new()), "{line}");
    }
    let (status, said) = walk.run("service", &check);
    assert_eq!(status, 1, "{said}");
    let read = |name: &str| std::fs::read_to_string(walk.folder.path().join("service").join(name)).expect("a file");
    for text in [said, read("review.md"), read("findings.sarif"), read("findings.xml")] {
        assert!(text.contains("fuel.pump-low"), "{text}");
    }
    let (status, said) = walk.run("service", &format!("BASE=HEAD\n{check}"));
    assert_eq!(status, 0, "{said}");
}
