//! One fault at a time: every patch of `examples/faults/`, put on the sound example, raises just the findings in its head.

use jiff::civil::{Date, date};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use tramgauge::assess::{Outcome, Request, assess};
use tramgauge::language::Overrides;
use tramgauge::rulebook::{Rulebook, load_for_judging};
use tramgauge::source::{MemoryFiles, read_build};
use tramgauge::terms::{Terms, build_spec};

/// The build that the patches are made for, from the repository's root.
const SOUND: &str = "examples/lark-roadster";

/// The data sheets of parts that it uses.
const SHEETS: &str = "examples/parts";

/// Texts by their paths from the repository's root.
type Files = BTreeMap<String, String>;

/// Class, rule and subject.
type Finding = String;

/// The day for which the builds are judged.
fn day() -> Date {
    date(2026, 6, 1)
}

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn sound() -> Files {
    [SOUND, SHEETS].into_iter().flat_map(texts).collect()
}

/// The YAML files of a folder.
fn texts(folder: &str) -> Files {
    let entries = std::fs::read_dir(root().join(folder)).expect("a folder");
    let paths = entries.map(|entry| entry.expect("an entry").path());
    let named = paths.filter_map(|path| Some((path.file_name()?.to_str()?.to_string(), path)));
    let yaml = named.filter(|(name, _)| name.ends_with(".yaml"));
    yaml.map(|(name, path)| (format!("{folder}/{name}"), std::fs::read_to_string(path).expect("a text"))).collect()
}

fn patches() -> Vec<PathBuf> {
    let folder = std::fs::read_dir(root().join("examples/faults")).expect("the patches");
    let mut paths: Vec<PathBuf> = folder.map(|entry| entry.expect("an entry").path()).collect();
    paths.retain(|path| path.extension().is_some_and(|ending| ending == "patch"));
    paths.sort();
    paths
}

/// The findings that the head of a patch lists.
fn listed(patch: &str) -> BTreeSet<Finding> {
    let head = patch.lines().take_while(|line| !line.starts_with("--- "));
    head.filter_map(|line| line.strip_prefix("raises ")).map(str::to_string).collect()
}

/// The files with a unified difference put on them; every hunk must stand there word for word, and only once.
fn patched(files: &Files, patch: &str) -> Result<Files, String> {
    let mut after = files.clone();
    let mut path = None;
    let mut lines = patch.lines().peekable();
    while let Some(line) = lines.next() {
        if let Some(name) = line.strip_prefix("+++ b/") {
            path = Some(name);
        }
        if !line.starts_with("@@ ") {
            continue;
        }
        let (mut old, mut new) = (String::new(), String::new());
        while let Some(line) = lines.next_if(|line| line.starts_with([' ', '-', '+']) && !line.starts_with("--- ")) {
            let (sign, text) = line.split_at(1);
            if sign != "+" {
                old += &format!("{text}\n");
            }
            if sign != "-" {
                new += &format!("{text}\n");
            }
        }
        let name = path.ok_or("a hunk stands before the name of its file")?;
        let text = after.get_mut(name).ok_or(format!("{name} is not in the build"))?;
        match text.matches(&old).count() {
            1 => *text = text.replace(&old, &new),
            times => return Err(format!("these lines stand {times} times in {name}:\n{old}")),
        }
    }
    Ok(after)
}

/// The findings on a build, or what is wrong with its text.
fn findings(book: &Rulebook, files: &Files) -> Result<BTreeSet<Finding>, String> {
    let files = MemoryFiles::from_texts(files.iter().map(|(name, text)| (name.as_str(), text.as_str())));
    let read = read_build(&files, &format!("{SOUND}/build.yaml"));
    if let Some(error) = read.errors.first() {
        return Err(error.message());
    }
    let (spec, errors) = build_spec(&book.library.terms, read);
    if let Some(error) = errors.first() {
        return Err(error.message());
    }
    let request = Request { spec: &spec, rulebook: book, day: day(), figures: false, explained: false, only: None };
    let assessment = assess(&request, &Overrides::default());
    let broken = assessment.judgements.iter().filter_map(|judgement| match judgement.outcome {
        Outcome::Broken(class) => {
            Some(format!("{} {} {}", class.word(), assessment.index.rules[judgement.rule].name, judgement.subject))
        }
        _ => None,
    });
    Ok(broken.collect())
}

#[test]
fn every_fault_raises_just_the_findings_of_its_head() {
    let terms = Terms::built_in().unwrap_or_else(|_| panic!("the built-in terms"));
    let book = load_for_judging(terms, &[]).unwrap_or_else(|_| panic!("the built-in rulebook"));
    let sound = sound();
    let before = findings(&book, &sound).expect("the sound example");
    let patches = patches();
    assert!(patches.len() >= 40, "only {} faults", patches.len());
    let mut wrong = Vec::new();
    for path in &patches {
        let patch = std::fs::read_to_string(path).expect("a patch");
        let raised = patched(&sound, &patch).and_then(|files| findings(&book, &files));
        let raised = raised.map(|after| after.difference(&before).cloned().collect::<BTreeSet<_>>());
        let listed = listed(&patch);
        assert!(!listed.is_empty(), "{} lists no finding", path.display());
        if raised.as_ref() != Ok(&listed) {
            wrong.push(format!("{}\nlists {listed:#?}\nraises {raised:#?}", path.display()));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n\n"));
}

#[test]
fn a_patch_that_does_not_fit_is_refused() {
    let files = Files::from([("a.yaml".to_string(), "one: 1\ntwo: 2\none: 1\n".to_string())]);
    let hunk = |old: &str| format!("A fault.\n\n--- a/a.yaml\n+++ b/a.yaml\n@@ -1 +1 @@\n-{old}\n+three: 3\n");
    assert_eq!(patched(&files, &hunk("two: 2")).map(|f| f["a.yaml"].clone()), Ok("one: 1\nthree: 3\none: 1\n".into()));
    assert!(patched(&files, &hunk("four: 4")).is_err());
    assert!(patched(&files, &hunk("one: 1")).is_err());
}
