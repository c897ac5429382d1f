//! Comparisons of the sound example with itself after a fault: the findings of the fault's head are new, and what one change did is
//! what putting it back undoes.

use jiff::civil::date;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use tramgauge::history::compare::{Asked, Comparison, Effect, Turn, compare};
use tramgauge::rulebook::{Rulebook, load_for_judging};
use tramgauge::source::{MemoryFiles, read_build};
use tramgauge::terms::{Spec, Terms, build_spec};

const SOUND: &str = "examples/lark-roadster";

/// Faults of one value and of several, of a value that is taken away, of a thing that comes or goes, and of a reference.
const FAULTS: [&str; 8] = [
    "fuel-pump-above-the-tank",
    "driveline-one-long-thin-shaft",
    "electrical-thin-pump-wire",
    "driveline-rear-hoop-left-out",
    "engine-one-throttle-spring",
    "electrical-feed-without-a-fuse",
    "driveline-yokes-out-of-phase",
    "lamps-dipped-beams-too-low",
];

type Texts = BTreeMap<String, String>;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn yaml_below(folder: &str, texts: &mut Texts) {
    for entry in std::fs::read_dir(root().join(folder)).expect("a folder") {
        let entry = entry.expect("an entry");
        let name = format!("{folder}/{}", entry.file_name().to_str().expect("UTF-8"));
        if entry.path().is_dir() {
            yaml_below(&name, texts);
        } else if name.ends_with(".yaml") {
            texts.insert(name, std::fs::read_to_string(entry.path()).expect("a text"));
        }
    }
}

fn spec(book: &Rulebook, texts: &Texts) -> Spec {
    let files = MemoryFiles::from_texts(texts.iter().map(|(name, text)| (name.as_str(), text.as_str())));
    let (spec, errors) = build_spec(&book.library.terms, read_build(&files, &format!("{SOUND}/build.yaml")));
    assert!(errors.is_empty(), "{:?}", errors.iter().map(|e| e.message()).collect::<Vec<_>>());
    spec
}

/// A unified difference put on texts; the old lines of every hunk stand there once.
fn patched(texts: &Texts, patch: &str) -> Texts {
    let mut after = texts.clone();
    let mut file = String::new();
    let mut lines = patch.lines().peekable();
    while let Some(line) = lines.next() {
        if let Some(name) = line.strip_prefix("+++ b/") {
            file = name.to_string();
        }
        if !line.starts_with("@@ ") {
            continue;
        }
        let (mut old, mut new) = (String::new(), String::new());
        while let Some(line) = lines.next_if(|l| l.starts_with([' ', '-', '+']) && !l.starts_with("--- ")) {
            let (sign, text) = line.split_at(1);
            if sign != "+" {
                old += &format!("{text}\n");
            }
            if sign != "-" {
                new += &format!("{text}\n");
            }
        }
        let text = after.get_mut(&file).expect("a file of the build");
        assert_eq!(text.matches(&old).count(), 1, "{file}\n{old}");
        *text = text.replace(&old, &new);
    }
    after
}

fn compared(book: &Rulebook, old: &Spec, new: &Spec) -> Comparison {
    let day = date(2026, 6, 1);
    compare(&Asked { old, new, book, day, old_day: day })
}

#[test]
fn the_findings_of_a_fault_are_new_and_its_change_put_back_undoes_them() {
    let terms = Terms::built_in().unwrap_or_else(|_| panic!("the built-in terms"));
    let book = load_for_judging(terms, &[]).unwrap_or_else(|_| panic!("the built-in rulebook"));
    let mut texts = Texts::new();
    yaml_below("examples", &mut texts);
    let sound = spec(&book, &texts);
    let mut alone = 0;
    for (at, fault) in FAULTS.into_iter().enumerate() {
        let patch = std::fs::read_to_string(root().join(format!("examples/faults/{fault}.patch"))).expect("a patch");
        let listed: BTreeSet<String> =
            patch.lines().filter_map(|l| l.strip_prefix("raises ")).map(str::to_string).collect();
        let faulty = spec(&book, &patched(&texts, &patch));
        let there = compared(&book, &sound, &faulty);
        let name = |rule: usize| &there.after.index.rules[rule].name;
        let worse = there.verdicts.iter().filter(|v| matches!(v.turn, Turn::New | Turn::GradedUp));
        let found: BTreeSet<String> = worse
            .map(|v| format!("{} {} {}", v.new.as_ref().map_or("", |j| j.outcome.word()), name(v.rule), v.subject))
            .collect();
        assert_eq!(found, listed, "{fault}");
        // The way back clears what the way there brought; a few tell it for all.
        if at < 3 {
            let back = compared(&book, &faulty, &sound);
            let cleared = back.verdicts.iter().filter(|v| matches!(v.turn, Turn::Cleared | Turn::GradedDown)).count();
            assert_eq!((cleared, back.worst()), (listed.len(), None), "{fault}");
        }
        if there.changes.len() != 1 {
            continue;
        }
        alone += 1;
        // One change does all of it: nothing is joint, and nothing stays without a cause.
        for verdict in there.verdicts.iter().filter(|v| v.turn != Turn::Still) {
            assert!(!verdict.causes.of.is_empty(), "{fault}: {} {}", name(verdict.rule), verdict.subject);
        }
        let figures = there.figures.iter().map(|f| (&f.causes, &f.difference, &f.subject));
        let margins = there.margins.iter().map(|m| (&m.causes, &None, &m.subject));
        for (causes, difference, subject) in figures.chain(margins) {
            assert_eq!(causes.joint, None, "{fault}: {subject}");
            let effects: Vec<_> = causes.of.iter().map(|c| &c.effect).collect();
            if let (Some(difference), [Effect::Moves { shown, .. }]) = (difference, &effects[..]) {
                assert_eq!(shown, difference, "{fault}: {subject}");
            }
        }
    }
    assert!(alone >= 4, "only {alone} faults of one change");
}

#[test]
fn the_sound_example_is_the_same_as_itself_and_as_itself_in_another_order_of_files() {
    let terms = Terms::built_in().unwrap_or_else(|_| panic!("the built-in terms"));
    let book = load_for_judging(terms, &[]).unwrap_or_else(|_| panic!("the built-in rulebook"));
    let mut texts = Texts::new();
    yaml_below("examples", &mut texts);
    let sound = spec(&book, &texts);
    assert!(compared(&book, &sound, &sound).is_empty());
    let build = format!("{SOUND}/build.yaml");
    let text = texts[&build].clone();
    let (head, listed) = text.split_once("sections:\n").expect("its sections");
    let names: Vec<&str> = listed.lines().take_while(|line| line.starts_with("  - ")).collect();
    let rest: Vec<&str> = listed.lines().skip(names.len()).collect();
    assert!(names.len() > 5, "{names:?}");
    let turned: Vec<&str> = names.into_iter().rev().chain(rest).collect();
    texts.insert(build, format!("{head}sections:\n{}\n", turned.join("\n")));
    assert!(compared(&book, &sound, &spec(&book, &texts)).is_empty());
}
