//! Input made to hurt: a clear error, soon, and never a panic.

use std::time::{Duration, Instant};

use proptest::prelude::*;

use super::shown_errors;
use crate::source::{
    ALIAS_LIMIT, Content, MemoryFiles, NodeId, SourceError, SourceProblem, Sources, Tree, parse_file, place_in,
    read_build,
};

/// Far above what any of these takes in a debug build, far below what a person would call hanging.
const SOON: Duration = Duration::from_secs(5);

fn read(bytes: &[u8]) -> (Sources, Tree, Option<NodeId>, Vec<SourceError>) {
    let (mut sources, mut tree) = (Sources::default(), Tree::new());
    let begin = Instant::now();
    let (top, errors) = parse_file(&mut sources, "build.yaml", bytes, &mut tree);
    assert!(begin.elapsed() < SOON, "took {:?}", begin.elapsed());
    (sources, tree, top, errors)
}

fn errors_of(bytes: &[u8]) -> String {
    let (sources, _, _, errors) = read(bytes);
    shown_errors(&sources, &errors)
}

/// Nodes met by a walk which follows every alias, and how deep it goes.
fn walk(tree: &Tree, id: NodeId) -> (u64, usize) {
    let children: Vec<NodeId> = match &tree.node(id).content {
        Content::Scalar(_) => Vec::new(),
        Content::List(items) => items.clone(),
        Content::Map(entries) => entries.iter().map(|entry| entry.value).collect(),
    };
    let below = children.iter().map(|child| walk(tree, *child));
    below.fold((1, 1), |(nodes, levels), (more, deeper)| (nodes + more, levels.max(deeper + 1)))
}

#[test]
fn aliases_that_multiply() {
    let mut text = "a0: &a0 [x, x, x, x, x, x, x, x, x]\n".to_owned();
    for n in 1..12 {
        let before = format!("*a{}", n - 1);
        text += &format!("a{n}: &a{n} [{}]\n", [&*before; 9].join(", "));
    }
    let (sources, tree, top, errors) = read(text.as_bytes());
    let expected = "! 6:10 \"*a4\" up to this alias, aliases stand for more than 100000 values\n";
    assert_eq!(shown_errors(&sources, &errors), expected);
    assert!(walk(&tree, top.expect("what came before")).0 < 2 * ALIAS_LIMIT);
}

#[test]
fn aliases_that_multiply_a_long_text() {
    let mut text = format!("a: &a {}\nb:\n", "x".repeat(1_000_000));
    text += &"- *a\n".repeat(100_000);
    let (_, _, _, errors) = read(text.as_bytes());
    assert!(matches!(errors[..], [SourceError { problem: SourceProblem::AliasesMultiply, .. }]));
}

#[test]
fn aliases_that_build_a_deep_tree() {
    let mut text = "a0: &a0 [x]\n".to_owned();
    for n in 1..2000 {
        text += &format!("a{n}: &a{n} [*a{}]\n", n - 1);
    }
    let (_, tree, top, errors) = read(text.as_bytes());
    assert!(matches!(errors[0].problem, SourceProblem::TooDeep));
    assert!(walk(&tree, top.expect("a map")).1 <= 66);
}

#[test]
fn maps_taken_in_again_and_again() {
    let mut text = "a: &a\n".to_owned();
    text += &(0..20_000).map(|n| format!("  k{n}: 1\n")).collect::<String>();
    text += "b:\n";
    text += &"- <<: *a\n".repeat(50_000);
    let (_, _, _, errors) = read(text.as_bytes());
    assert!(matches!(errors[..], [SourceError { problem: SourceProblem::AliasesMultiply, .. }]));
}

#[test]
fn brackets_braces_and_dashes_without_end() {
    for text in ["[".repeat(100_000), "{".repeat(100_000), "- ".repeat(50_000), "a: {b: [".repeat(30_000)] {
        let errors = errors_of(text.as_bytes());
        assert!(errors.ends_with(" this is nested deeper than 64 levels\n"), "{errors}");
        assert_eq!(errors.lines().count(), 1);
    }
}

#[test]
fn what_could_make_reading_slow() {
    for text in [
        "!,".repeat(250_000),
        "!a, ".repeat(125_000),
        "k: [\n".repeat(100_000),
        "k: \"\n".repeat(100_000),
        "k: &a\n".repeat(75_000),
        "k: x: y\n".repeat(50_000),
        "? ".repeat(250_000),
        (0..40_000).map(|n| format!("k{n}: v\n")).collect(),
        "[a,".repeat(60) + &"a,".repeat(250_000),
        " ".repeat(500_000),
        "\t".repeat(500_000),
        "#".repeat(500_000),
        "a: \"".to_owned() + &"\\x21".repeat(125_000) + "\"",
        "'".repeat(500_000),
    ] {
        read(text.as_bytes());
    }
}

#[test]
fn errors_beyond_counting_are_counted() {
    let (sources, _, _, errors) = read("k: 1\n".repeat(1000).as_bytes());
    assert_eq!(errors.len(), 201);
    let shown = shown_errors(&sources, &errors);
    assert!(
        shown.ends_with("! 201:1 \"k\" `k` is given twice (1:1 \"k\")\n! 202:1 \"k\" 799 more errors from here on\n"),
        "{shown}"
    );
}

#[test]
fn bytes_that_are_no_text() {
    assert_eq!(
        errors_of(b"a: 1\nb: \xff\xfe x\n"),
        "! 2:4 \"\u{fffd}\" this is not UTF-8 text, here and in 1 more places\n"
    );
    assert_eq!(errors_of(b"\xff\xfea\0:\0"), "! 1:1 \"\u{fffd}\" the file is in UTF-16; a spec is in UTF-8\n");
    assert_eq!(errors_of(b"a: \xc3"), "! 1:4 \"\u{fffd}\" this is not UTF-8 text\n");
}

#[test]
fn characters_that_nobody_sees() {
    assert_eq!(errors_of(b"a: 1\nb: x\0y\0\n"), "! 2:5 \"\\0\" invisible character U+0000 in the file, and 1 more\n");
    for (text, code) in [
        ("a: \u{1b}[2J", "U+001B"),
        ("a: \u{7f}", "U+007F"),
        ("a: °\u{9b}", "U+009B"),
        ("a: \u{feff}", "U+FEFF"),
        ("a: \u{ffff}", "U+FFFF"),
    ] {
        assert!(errors_of(text.as_bytes()).ends_with(&format!("invisible character {code} in the file\n")), "{text:?}");
    }
    assert_eq!(errors_of("a: °\u{a0}x\ty\u{fffd}\n".as_bytes()), "", "these are allowed");
}

#[test]
fn a_file_past_the_limit_is_refused_unparsed() {
    let errors = errors_of(&vec![b'['; 2 * 1024 * 1024 + 1]);
    assert_eq!(errors, "! 1:1 \"\" it has 2097153 bytes; at most 2097152 are read\n");
}

#[test]
fn more_values_than_are_read() {
    let section = "- [a,a,a,a,a,a,a,a,a,a,a,a,a,a,a,a,a,a,a,a]\n".repeat(45_000);
    let mut files = MemoryFiles::default();
    files.files.insert("build.yaml".into(), b"sections: [a.yaml, b.yaml]".to_vec());
    files.files.insert("a.yaml".into(), format!("a:\n{section}").into_bytes());
    files.files.insert("b.yaml".into(), format!("b:\n{section}").into_bytes());
    let read = read_build(&files, "build.yaml");
    assert!(matches!(read.errors[..], [SourceError { problem: SourceProblem::TooManyValues, .. }]));
}

/// Texts in which the marks that mean something to YAML come close together.
fn yaml_like() -> impl Strategy<Value = String> {
    let part = prop::sample::select(vec![
        "a",
        "b: ",
        ": ",
        "- ",
        "\n",
        "\n  ",
        "\n    ",
        "[",
        "]",
        "{",
        "}",
        ", ",
        "!x,",
        "!",
        "!!str ",
        "&a ",
        "*a ",
        "|\n",
        ">-\n",
        "|2-",
        "'",
        "\"",
        "\\",
        "\\x4",
        "\\u00e4",
        "#",
        " #c",
        "%TAG ! x\n",
        "---\n",
        "...\n",
        "\t",
        "\r\n",
        "\r",
        "\u{85}",
        "\u{2028}",
        "ä",
        "😀",
        "? ",
        "<<: ",
        "@",
        "x y",
        "\\\n",
        "''",
        "key: value\n",
        "!%41,",
    ]);
    prop::collection::vec(part, 0..30).prop_map(|parts| parts.concat())
}

fn look_everywhere(bytes: &[u8]) -> Result<(), TestCaseError> {
    let (sources, tree, _, errors) = read(bytes);
    for error in &errors {
        for span in [Some(error.span), error.other].into_iter().flatten() {
            sources.position(span.file, span.start);
            sources.slice(span);
        }
        prop_assert!(!error.message().is_empty());
        error.help();
    }
    for id in 0..tree.len() {
        let node = tree.node(NodeId(id as u32));
        sources.slice(node.span);
        if let Content::Scalar(scalar) = &node.content {
            for (at, character) in scalar.text.char_indices() {
                let place = place_in(&sources, node, at..at + character.len_utf8());
                prop_assert!(node.span.start <= place.start && place.end <= node.span.end);
                sources.slice(place);
            }
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 500, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_bytes(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        look_everywhere(&bytes)?;
    }

    #[test]
    fn anything_like_yaml(text in yaml_like()) {
        look_everywhere(text.as_bytes())?;
    }
}
