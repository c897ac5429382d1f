//! Every key and value keeps its place, whatever the characters, line ends and styles.

use super::shown;
use crate::source::{Content, Node, Sources, Tree, commented_value, parse_file, place_in};

fn assert_shown(text: &str, expected: &str) {
    let shown = shown(text);
    assert_eq!(shown.trim_end(), expected.trim_start_matches('\n').trim_end(), "\n{shown}");
}

#[test]
fn byte_order_mark_carriage_returns_tabs_and_other_scripts() {
    assert_shown(
        "\u{feff}länge: 5 mm ± 1 mm\r\n車:\t\"x\\u00e4y\"\r\n",
        r#"
1:1 "länge: 5 mm ± 1 mm\r\n車:\t\"x\\u00e4y\"" map
- 1:1 "länge" "länge"
  1:8 "5 mm ± 1 mm" Plain "5 mm ± 1 mm"
- 2:1 "車" "車"
  2:4 "\"x\\u00e4y\"" Quoted "xäy"
"#,
    );
}

#[test]
fn lone_carriage_returns_end_lines() {
    assert_shown(
        "a: 1\rb: 2",
        r#"
1:1 "a: 1\rb: 2" map
- 1:1 "a" "a"
  1:4 "1" Plain "1"
- 2:1 "b" "b"
  2:4 "2" Plain "2"
"#,
    );
}

#[test]
fn lists_and_maps_reach_from_their_first_mark_to_their_last_child() {
    assert_shown(
        "line:\n- joint: a # first\n  kind: 'b''s'\n- [x, {k: v}, y: z ]\n-\n\n# end\n",
        r#"
1:1 "line:\n- joint: a # first\n  kind: 'b''s'\n- [x, {k: v}, y: z ]\n-" map
- 1:1 "line" "line"
  2:1 "- joint: a # first\n  kind: 'b''s'\n- [x, {k: v}, y: z ]\n-" list
    2:3 "joint: a # first\n  kind: 'b''s'" map
    - 2:3 "joint" "joint"
      2:10 "a" Plain "a"
    - 3:3 "kind" "kind"
      3:9 "'b''s'" Quoted "b's"
    4:3 "[x, {k: v}, y: z ]" list
      4:4 "x" Plain "x"
      4:7 "{k: v}" map
      - 4:8 "k" "k"
        4:11 "v" Plain "v"
      4:15 "y: z" map
      - 4:15 "y" "y"
        4:18 "z" Plain "z"
    5:2 "" Plain ""
"#,
    );
}

#[test]
fn block_texts_reach_from_their_mark_to_their_last_character() {
    assert_shown(
        "a: |-2\n    x\n   y\n\nb: >+\n  p\n  q\n\nc: |",
        r#"
1:1 "a: |-2\n    x\n   y\n\nb: >+\n  p\n  q\n\nc: |" map
- 1:1 "a" "a"
  1:4 "|-2\n    x\n   y" Block "  x\n y"
- 5:1 "b" "b"
  5:4 ">+\n  p\n  q" Block "p q\n\n"
- 9:1 "c" "c"
  9:4 "|" Block ""
"#,
    );
}

#[test]
fn unwritten_values_stand_behind_their_colon_or_dash() {
    assert_shown(
        "a: # none\nb: {c: , d, e: }\nf:\n  -   # none\n",
        r#"
1:1 "a: # none\nb: {c: , d, e: }\nf:\n  -" map
- 1:1 "a" "a"
  1:3 "" Plain ""
- 2:1 "b" "b"
  2:4 "{c: , d, e: }" map
  - 2:5 "c" "c"
    2:7 "" Plain ""
  - 2:10 "d" "d"
    2:11 "" Plain ""
  - 2:13 "e" "e"
    2:15 "" Plain ""
- 3:1 "f" "f"
  4:3 "-" list
    4:4 "" Plain ""
"#,
    );
}

#[test]
fn aliases_share_the_node_and_merged_maps_give_way_to_written_keys() {
    assert_shown(
        "tube: &t\n  wall: 2 mm\n  steel: &s yes\nfront: {<<: *t, wall: 3 mm}\nrear: *t\nk: &e\n*s : *s\n",
        r#"
1:1 "tube: &t\n  wall: 2 mm\n  steel: &s yes\nfront: {<<: *t, wall: 3 mm}\nrear: *t\nk: &e\n*s : *s" map
- 1:1 "tube" "tube"
  2:3 "wall: 2 mm\n  steel: &s yes" map
  - 2:3 "wall" "wall"
    2:9 "2 mm" Plain "2 mm"
  - 3:3 "steel" "steel"
    3:13 "yes" Plain "yes"
- 4:1 "front" "front"
  4:8 "{<<: *t, wall: 3 mm}" map
  - 4:17 "wall" "wall"
    4:23 "3 mm" Plain "3 mm"
  - 3:3 "steel" "steel"
    3:13 "yes" Plain "yes"
- 5:1 "rear" "rear"
  2:3 "wall: 2 mm\n  steel: &s yes" map
  - 2:3 "wall" "wall"
    2:9 "2 mm" Plain "2 mm"
  - 3:3 "steel" "steel"
    3:13 "yes" Plain "yes"
- 6:1 "k" "k"
  6:3 "" Plain ""
- 7:1 "*s" "yes"
  3:13 "yes" Plain "yes"
"#,
    );
}

/// The only value of `key: ...`.
fn value_of(text: &str) -> (Sources, Node) {
    let (mut sources, mut tree) = (Sources::default(), Tree::new());
    let (top, errors) = parse_file(&mut sources, "build.yaml", text.as_bytes(), &mut tree);
    assert_eq!(errors, []);
    let entries = tree.entries(top.expect("a map")).expect("a map");
    let node = tree.node(entries[0].value).clone();
    (sources, node)
}

/// Where `part` of the value's text is written.
fn written(text: &str, part: &str) -> String {
    let (sources, node) = value_of(text);
    let Content::Scalar(scalar) = &node.content else { panic!("not a scalar") };
    let start = scalar.text.find(part).unwrap_or_else(|| panic!("no {part:?} in {:?}", scalar.text));
    sources.slice(place_in(&sources, &node, start..start + part.len())).to_owned()
}

#[test]
fn parts_of_texts_are_found_through_quotes_escapes_and_folds() {
    for (text, part, expected) in [
        ("a: 45 mm ± 2 mm", "2 mm", "2 mm"),
        ("a: '45 mm'", "mm", "mm"),
        ("a: 'it''s 5 mm'", "s 5", "s 5"),
        ("a: 'it''s 5 mm'", "'", "''"),
        (r#"a: "4\u00b0 5\x20mm""#, "mm", "mm"),
        (r#"a: "4\u00b0 5\x20mm""#, "°", r"\u00b0"),
        ("a: \"x \\\n   y\n\n  z\\t\\\"w\"", "w", "w"),
        ("a: \"x \\\n   y\n\n  z\\t\\\"w\"", "z\t\"", "z\\t\\\""),
        ("a: one\n  two\n\n  three", "two", "two"),
        ("a: one\n  two\n\n  three", "one two", "one\n  two"),
        ("a: >\n  one\n  two\n\n    more\n  three\n", "more", "more"),
        ("a: >\n  one\n  two\n\n    more\n  three\n", "three", "three"),
        ("a: |\r\n   one\r\n    two é\r\n   three\r\n", "two é", "two é"),
        ("a: |2 # why\n   one\n", "one", "one"),
        ("a: x !b, c", "!b", "!b"),
    ] {
        assert_eq!(written(text, part), expected, "{part:?} in {text:?}");
    }
}

#[test]
fn a_range_outside_the_text_names_the_whole_value() {
    let (sources, node) = value_of("a: 'ü'");
    assert_eq!(place_in(&sources, &node, 1..2), node.span);
    assert_eq!(place_in(&sources, &node, 0..9), node.span);
}

#[test]
fn a_value_lost_to_a_comment_is_found() {
    for (text, lost) in [
        ("a: #10-32", Some("#10-32")),
        ("a:   #10-32 UNF  # note", Some("#10-32 UNF  # note")),
        ("a: #-8 JIC\r\nb: 1", Some("#-8 JIC")),
        ("a: # a note", None),
        ("a:\n  #10-32", None),
        ("a: 5 #10-32", None),
        ("a: ''  #10-32", None),
    ] {
        let (sources, node) = value_of(text);
        assert_eq!(commented_value(&sources, &node).map(|span| sources.slice(span)), lost, "{text:?}");
    }
}
