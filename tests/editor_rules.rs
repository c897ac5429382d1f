//! Rule files of a repository in the editor: what their words mean, and which could follow.

mod common;

use common::editor::{Editor, able};
use common::{WORKSHOP, Workshop};
use serde_json::json;

#[test]
fn words_of_expressions_are_explained_and_completed() {
    let shop = Workshop::with_build();
    let rules = shop.path("shop-rules/workshop/workshop.yaml");
    let mut editor = Editor::started_with(able(), json!({"all_builds": false}));
    editor.open(&rules, WORKSHOP);
    editor.judged(&rules);
    let place = |text: &str, word: &str| {
        let byte = text.find(word).unwrap_or_else(|| panic!("{word}"));
        let line = text[..byte].matches('\n').count();
        let start = text[..byte].rfind('\n').map_or(0, |at| at + 1);
        (line as u32, (byte - start) as u32)
    };
    let mut told = |word: &str| {
        let (line, character) = place(WORKSHOP, word);
        let hover = editor.at("textDocument/hover", &rules, line, character + 1);
        hover["contents"]["value"].as_str().unwrap_or_default().to_owned()
    };
    // A figure of its own, a key through a reference, a function is not shadowed by either.
    let figure = told("shop_bend <= 3 deg");
    assert!(figure.starts_with("`shop_bend` of `driveline.line`"), "{figure}");
    assert!(figure.contains("abs(joint.before.slope - joint.after.slope)"), "{figure}");
    let key = told("lowest_level\n");
    assert!(key.starts_with("`lowest_level`: length"), "{key}");

    let mut proposed = |version: i32, holds: &str| {
        let text = WORKSHOP.replace("joint.shop_bend <= 3 deg", holds);
        editor.replace(&rules, version, &text);
        let (line, character) = place(&text, &format!("holds: {holds}"));
        let end = character + ("holds: ".len() + holds.len()) as u32;
        let list = editor.at("textDocument/completion", &rules, line, end);
        let items = list.as_array().cloned().unwrap_or_default();
        items.iter().filter_map(|item| item["label"].as_str().map(str::to_owned)).collect::<Vec<_>>()
    };
    let keys = proposed(2, "joint.");
    assert!(keys.contains(&"kind".into()) && keys.contains(&"shop_bend".into()), "{keys:?}");
    let neighbours = proposed(3, "joint.before.sl");
    assert!(neighbours.contains(&"slope".into()), "{neighbours:?}");
    let top = proposed(4, "");
    assert_eq!(top[0], "joint");
    assert!(top.contains(&"fuel".into()) && top.contains(&"joint_angle".into()), "{top:?}");
    editor.finish();
}
