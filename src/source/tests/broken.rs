//! Broken texts: each error at its place, as many as there are, and what is sound is kept.

use super::{said, shown_errors};
use crate::source::{Sources, Tree, parse_file};

fn assert_read(text: &str, kept: &str, errors: &str) {
    let (mut sources, mut tree) = (Sources::default(), Tree::new());
    let (top, found) = parse_file(&mut sources, "build.yaml", text.as_bytes(), &mut tree);
    assert_eq!(top.map(|top| said(&tree, top)).unwrap_or_default(), kept, "{text:?}");
    assert_eq!(shown_errors(&sources, &found).trim_end(), errors.trim(), "{text:?}");
    assert!(found.iter().all(|error| error.help().is_some()), "every one of them offers a way out");
}

#[test]
fn all_duplicate_keys_with_both_places() {
    assert_read(
        "a: 1\nb: {c: 1, 'c': 2, c: 3}\na: 2\n\"a\": 3\n",
        "{a: 1, b: {c: 1}}",
        r#"
! 2:11 "'c'" `c` is given twice (2:5 "c")
! 2:19 "c" `c` is given twice (2:5 "c")
! 3:1 "a" `a` is given twice (1:1 "a")
! 4:1 "\"a\"" `a` is given twice (1:1 "a")"#,
    );
}

#[test]
fn duplicates_among_many_keys() {
    let mut text: String = (0..40).map(|n| format!("k{n}: {n}\n")).collect();
    text += "k7: again\nk3: again\nk7: once more\n";
    let (mut sources, mut tree) = (Sources::default(), Tree::new());
    let (top, errors) = parse_file(&mut sources, "build.yaml", text.as_bytes(), &mut tree);
    assert_eq!(tree.entries(top.expect("a map")).map(<[_]>::len), Some(40));
    let expected = r#"! 41:1 "k7" `k7` is given twice (8:1 "k7")
! 42:1 "k3" `k3` is given twice (4:1 "k3")
! 43:1 "k7" `k7` is given twice (8:1 "k7")
"#;
    assert_eq!(shown_errors(&sources, &errors), expected);
}

#[test]
fn reading_goes_on_at_the_next_key_on_the_left_margin() {
    assert_read(
        "a: 1\nb: [1, 2\nc: 3\nd: \"open\ne: 5\nf: x: y\ng: 7\nplain words\nh:\n  - 1\na: again\n",
        "{a: 1, b: [1], c: 3, e: 5, g: 7, h: [1]}",
        r#"
! 3:2 ":" a `,` or `]` is missing before this (2:4 "[")
! 4:4 "\"open" this quote is not closed
! 6:5 ":" a `key: value` cannot stand here
! 8:1 "plain" a `key: value` belongs here, and there is no colon with a blank behind it
! 11:1 "a" `a` is given twice (1:1 "a")"#,
    );
}

#[test]
fn the_slips_of_a_hand_that_writes_a_spec() {
    for (text, kept, error) in [
        ("size: \"3/8\" in", "{}", r#"! 1:13 "in" the value before this has ended; nothing can follow it on the line"#),
        ("a: @5 mm", "{}", r#"! 1:4 "@5" a bare value cannot begin with `@`"#),
        ("share: %50", "{}", r#"! 1:8 "%50" a bare value cannot begin with `%`"#),
        ("a: > 5 mm", "{}", r#"! 1:6 "5" nothing can stand on the line behind `|` or `>`"#),
        ("a: *big", "{a: }", r#"! 1:4 "*big" no `&big` stands before this `*big`"#),
        ("a: & 5", "{}", r#"! 1:5 "" a name of letters, digits, `-` and `_` belongs behind `&` and `*`"#),
        ("a:\n\tb: 1", "{}", r#"! 2:1 "" a tab cannot indent"#),
        ("a:\n    b: 1\n  c: 2", "{a: {b: 1}}", r#"! 3:3 "c" this line fits no level of indentation above it"#),
        ("a: - b", "{}", r#"! 1:4 "-" a list entry cannot stand here"#),
        ("a: {z: 0, b: 1 c: 2}", "{a: {z: 0}}", r#"! 1:17 ":" a `,` or `}` is missing before this (1:4 "{")"#),
        ("a: \"\\q\"", "{}", r#"! 1:5 "\\q" unknown escape behind a backslash"#),
        ("a: [1,, 2]", "{a: [1]}", r#"! 1:7 "," a value is missing before this"#),
        ("%a: 1", "", r#"! 1:3 ":" a line cannot begin with `%`"#),
        ("a: !x 5", "{a: 5}", r#"! 1:4 "!x" a tag has no meaning in a spec"#),
        ("a: [!x, b]", "{a: [!x, b]}", r#"! 1:5 "!x" a tag has no meaning in a spec"#),
        ("a: [!<x>, b]", "{a: [!<x>, b]}", r#"! 1:5 "!<x>" a tag has no meaning in a spec"#),
        ("a: 1\n---\nb: 2", "{a: 1}", r#"! 2:1 "---" a second document begins here; a file holds one"#),
        ("[a, b]: 1\nc: 2", "{c: 2}", r#"! 1:1 "[a, b]" a list or a map cannot be a key"#),
        (": 1\nc: 2", "{c: 2}", r#"! 1:1 ":" there is no key before this colon"#),
        ("<<: 5\nc: 2", "{c: 2}", r#"! 1:5 "5" `<<` takes in a map, or a list of maps"#),
    ] {
        assert_read(text, kept, error);
    }
}

#[test]
fn texts_that_hold_what_the_parser_must_not_see_come_out_whole() {
    assert_read(
        "a: wow !now, x\nb: 'q !a, r'\nc: \"s !b, t\"\nd: |\n  !c, u\n!e,f: 1\n",
        "{a: wow !now, x, b: q !a, r, c: s !b, t, d: !c, u\n, !e,f: 1}",
        r#"! 6:1 "!e,f" a tag has no meaning in a spec"#,
    );
}

#[test]
fn an_empty_file_says_nothing_and_is_no_syntax_error() {
    assert_read("", "", "");
    assert_read("# only a comment\n", "", "");
}
