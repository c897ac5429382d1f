//! Ways through a build in the editor: definitions, references, other names, outlines, marks, figures beside values.

mod common;

use common::editor::{Editor, able, uri};
use common::{BUILD, DRIVELINE, TANKS, Workshop};
use serde_json::{Value, json};
use std::path::PathBuf;

struct Open {
    _shop: Workshop,
    build: PathBuf,
    driveline: PathBuf,
    tanks: PathBuf,
    rules: PathBuf,
    editor: Editor,
}

const CONCESSION: &str = "\
concessions:
  - rule: workshop.pump-low
    subject: fuel.pumps/lift
    reason: a collector comes next week
    by: A. Marlow
    until: 2026-07-01
";

fn open() -> Open {
    let shop = Workshop::with_build();
    let (build, driveline, tanks, rules) = (
        shop.path("builds/marlow/build.yaml"),
        shop.path("builds/marlow/driveline.yaml"),
        shop.path("builds/marlow/tanks.yaml"),
        shop.path("shop-rules/workshop/workshop.yaml"),
    );
    let mut editor = Editor::started_with(able(), json!({"all_builds": false}));
    editor.open(&build, &format!("{BUILD}{CONCESSION}"));
    editor.open(&driveline, DRIVELINE);
    Open { _shop: shop, build, driveline, tanks, rules, editor }
}

/// Locations in short: file name, line from 1.
fn short(locations: &Value) -> Vec<String> {
    let places = locations.as_array().cloned().unwrap_or_default();
    let name = |l: &Value| l["uri"].as_str().unwrap_or_default().rsplit('/').next().unwrap_or_default().to_owned();
    places.iter().map(|l| format!("{}:{}", name(l), l["range"]["start"]["line"].as_u64().unwrap_or(0) + 1)).collect()
}

#[test]
fn names_lead_to_what_they_name_and_back() {
    let mut open = open();
    let (build, tanks) = (open.build.clone(), open.tanks.clone());
    // `      draws_from: main`, an entry of `sections`, a finding, the rule of a concession.
    for (line, character, leads) in [(7, 19, "tanks.yaml:3"), (2, 14, "driveline.yaml:1"), (10, 14, "workshop.yaml:19")]
    {
        let found = open.editor.at("textDocument/definition", &build, line, character);
        assert_eq!(short(&found), [leads], "line {line}");
    }
    let found = open.editor.at("textDocument/definition", &build, 8, 22);
    assert_eq!(short(&found), ["workshop.yaml:19"], "from the finding to its rule");
    assert_eq!(found[0]["uri"], uri(&open.rules));
    let params = |declared: bool| json!({"textDocument": {"uri": uri(&tanks)}, "position": {"line": 2, "character": 14}, "context": {"includeDeclaration": declared}});
    let found = open.editor.request("textDocument/references", params(false)).expect("an answer");
    assert_eq!(short(&found), ["build.yaml:8"]);
    let found = open.editor.request("textDocument/references", params(true)).expect("an answer");
    assert_eq!(short(&found), ["tanks.yaml:3", "build.yaml:8"]);
    open.editor.finish();
}

#[test]
fn a_component_is_renamed_wherever_it_is_named() {
    let mut open = open();
    let (build, tanks) = (open.build.clone(), open.tanks.clone());
    let rename = |path: &PathBuf, line: u32, name: &str| json!({"textDocument": {"uri": uri(path)}, "position": {"line": line, "character": 14}, "newName": name});
    let found = open.editor.request("textDocument/rename", rename(&tanks, 2, "rear cell: 2")).expect("an answer");
    let edits = &found["changes"];
    assert_eq!(edits[uri(&tanks)][0]["newText"], "\"rear cell: 2\"");
    assert_eq!(edits[uri(&build)][0]["newText"], "\"rear cell: 2\"");
    assert_eq!(edits[uri(&build)].as_array().map(Vec::len), Some(1));
    // The subject of a concession follows.
    let found = open.editor.request("textDocument/rename", rename(&build, 5, "feed")).expect("an answer");
    let new: Vec<&str> =
        found["changes"][uri(&build)].as_array().expect("edits").iter().filter_map(|e| e["newText"].as_str()).collect();
    assert_eq!(new, ["feed", "fuel.pumps/feed"]);
    let at = json!({"textDocument": {"uri": uri(&build)}, "position": {"line": 6, "character": 15}});
    assert_eq!(
        open.editor.request("textDocument/prepareRename", at).expect("an answer"),
        Value::Null,
        "a word is no name"
    );
    open.editor.finish();
}

#[test]
fn outlines_marks_and_folds() {
    let mut open = open();
    let (build, driveline) = (open.build.clone(), open.driveline.clone());
    let document = json!({"textDocument": {"uri": uri(&driveline)}});
    let outline = open.editor.request("textDocument/documentSymbol", document.clone()).expect("an answer");
    let line = &outline[0]["children"][0];
    assert_eq!((&outline[0]["name"], &line["name"]), (&json!("driveline"), &json!("line")));
    let names: Vec<&str> =
        line["children"].as_array().expect("items").iter().filter_map(|item| item["name"].as_str()).collect();
    assert_eq!(names, ["front section", "middle", "rear section", "rear", "stub"]);
    assert_eq!(line["children"][0]["children"][1]["detail"], "4.5 deg");
    let found = open.editor.request("workspace/symbol", json!({"query": "LIFT"})).expect("an answer");
    assert_eq!(found[0]["containerName"], "fuel.pumps/lift");
    assert_eq!(found.as_array().map(Vec::len), Some(1));
    let folds = open.editor.request("textDocument/foldingRange", document).expect("an answer");
    assert_eq!((&folds[0]["startLine"], &folds[0]["endLine"]), (&json!(0), &json!(11)));
    let marks = json!({"textDocument": {"uri": uri(&build)}, "positions": [{"line": 8, "character": 22}]});
    let marks = open.editor.request("textDocument/selectionRange", marks).expect("an answer");
    assert_eq!(marks[0]["range"]["start"], json!({"line": 8, "character": 20}), "the value");
    assert_eq!(marks[0]["parent"]["range"]["start"], json!({"line": 8, "character": 6}), "its key with it");
    open.editor.finish();
}

#[test]
fn figures_stand_beside_values_unless_they_are_not_wanted() {
    let mut open = open();
    let driveline = open.driveline.clone();
    let range = json!({"start": {"line": 0, "character": 0}, "end": {"line": 99, "character": 0}});
    let params = json!({"textDocument": {"uri": uri(&driveline)}, "range": range});
    let hints = open.editor.request("textDocument/inlayHint", params.clone()).expect("an answer");
    let labels: Vec<&str> = hints.as_array().expect("hints").iter().filter_map(|h| h["label"].as_str()).collect();
    assert!(labels.iter().any(|label| label.contains("shop bend 3.9 deg")), "{labels:?}");
    open.editor.notify("workspace/didChangeConfiguration", json!({"settings": {"tramgauge": {"figures": false}}}));
    assert_eq!(open.editor.request("textDocument/inlayHint", params).expect("an answer"), Value::Null);
    let _ = (TANKS, &open.tanks);
    open.editor.finish();
}
