//! Random changes of open texts: whatever way a text took, what is said of it is what is said of it opened anew.

mod common;

use common::editor::{Editor, able};
use common::{BUILD, DRIVELINE, TANKS, Workshop};
use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};
use serde_json::{Value, json};
use std::path::Path;

/// One change: where it begins and ends, in thousandths of the text's characters, and what is put there.
#[derive(Debug, Clone)]
struct Change {
    from: usize,
    to: usize,
    text: String,
}

fn changes() -> impl Strategy<Value = Vec<Change>> {
    let piece = prop_oneof![
        "[a-z0-9 :\\-\\[\\]{}\"'#,.\\n\\t]{0,6}",
        Just("\r\n".to_owned()),
        Just("🔧 ½ é".to_owned()),
        Just("\u{feff}\u{0}".to_owned()),
        Just("  - shaft: x\n    slope: 3 deg\n".to_owned()),
    ];
    let change =
        (0..1000_usize, 0..30_usize, piece).prop_map(|(from, more, text)| Change { from, to: from + more, text });
    prop::collection::vec(change, 1..8)
}

/// Position of a character, counted as UTF-16 counts.
fn position(text: &str, character: usize) -> Value {
    let before: String = text.chars().take(character).collect();
    // A line ends in \n, \r\n or \r.
    let joined = before.replace("\r\n", "\n");
    // A break that is cut in two has begun the next line only where nothing follows the \r.
    let joined = if before.ends_with('\r') && text.chars().nth(character) == Some('\n') {
        joined.strip_suffix('\r').unwrap_or(&joined).to_owned()
    } else {
        joined
    };
    let lines: Vec<&str> = joined.split(['\n', '\r']).collect();
    let last = lines.last().copied().unwrap_or_default();
    json!({"line": lines.len() - 1, "character": last.encode_utf16().count()})
}

/// The text with a change put in by characters, and the change as the protocol says it.
fn put(text: &str, change: &Change) -> (String, Value) {
    let characters: Vec<char> = text.chars().collect();
    // A break is not cut in two: no position names its middle.
    let middle = |at: usize| at > 0 && characters.get(at - 1) == Some(&'\r') && characters.get(at) == Some(&'\n');
    let at = |share: usize| {
        let at = (share * characters.len() / 1000).min(characters.len());
        if middle(at) { at - 1 } else { at }
    };
    let (from, to) = (at(change.from), at(change.to));
    let after: String = characters[..from]
        .iter()
        .chain(change.text.chars().collect::<Vec<_>>().iter())
        .chain(&characters[to..])
        .collect();
    let range = json!({"start": position(text, from), "end": position(text, to)});
    (after, json!({"range": range, "text": change.text}))
}

#[test]
fn any_way_to_a_text_says_the_same_of_it() {
    let shop = Workshop::with_build();
    let files = [
        (shop.path("builds/marlow/build.yaml"), BUILD),
        (shop.path("builds/marlow/driveline.yaml"), DRIVELINE),
        (shop.path("builds/marlow/tanks.yaml"), TANKS),
    ];
    let paths: Vec<&Path> = files.iter().map(|(path, _)| path.as_path()).collect();
    let texts: Vec<&str> = files.iter().map(|(_, text)| *text).collect();
    let typed = std::cell::RefCell::new(Editor::started_with(able(), json!({"all_builds": false})));
    let fresh = std::cell::RefCell::new(Editor::started_with(able(), json!({"all_builds": false})));
    // A case costs some judgements without optimisation; CI has time for more.
    let cases = std::env::var("PROPTEST_CASES").ok().and_then(|n| n.parse().ok()).unwrap_or(40);
    let mut runner = TestRunner::new(Config { cases, failure_persistence: None, ..Config::default() });
    let outcome = runner.run(&(0..3_usize, changes()), |(at, changes)| {
        let (mut typed, mut fresh) = (typed.borrow_mut(), fresh.borrow_mut());
        let path = paths[at];
        typed.open(path, texts[at]);
        let mut text = texts[at].to_owned();
        for (number, pair) in changes.chunks(2).enumerate() {
            let mut together = Vec::new();
            for change in pair {
                let (after, said) = put(&text, change);
                text = after;
                together.push(said);
            }
            typed.change(path, number as i32 + 2, Value::Array(together));
            if number % 2 == 0 {
                typed.judged(path);
            }
        }
        typed.judged(path);
        fresh.open(path, &text);
        fresh.judged(path);
        for path in &paths {
            let key = common::editor::uri(path);
            let of = |editor: &Editor| editor.said.get(&key).map(|s| s.diagnostics.clone()).unwrap_or_default();
            prop_assert_eq!(of(&typed), of(&fresh), "{}: {:?}", key, text);
        }
        typed.close(path);
        fresh.close(path);
        Ok(())
    });
    outcome.unwrap_or_else(|error| panic!("{error}"));
    typed.into_inner().finish();
    fresh.into_inner().finish();
}
