//! What the language server offers to put right, and that it does what it says.

mod common;

use common::editor::{Editor, uri};
use common::{BUILD, DRIVELINE, TANKS, Workshop};
use serde_json::{Value, json};
use std::path::Path;

/// The actions at a line and character, from 0.
fn actions(editor: &mut Editor, path: &Path, line: u32, character: u32) -> Vec<Value> {
    let at = json!({"line": line, "character": character});
    let params =
        json!({"textDocument": {"uri": uri(path)}, "range": {"start": at, "end": at}, "context": {"diagnostics": []}});
    let answer = editor.request("textDocument/codeAction", params).expect("an answer");
    answer.as_array().cloned().unwrap_or_default()
}

fn titles(actions: &[Value]) -> Vec<&str> {
    actions.iter().filter_map(|action| action["title"].as_str()).collect()
}

/// The text of a file after the action with that title; positions count units of UTF-16.
fn applied(actions: &[Value], title: &str, path: &Path, text: &str) -> String {
    let action =
        actions.iter().find(|a| a["title"] == title).unwrap_or_else(|| panic!("{title}: {:?}", titles(actions)));
    let edits = action["edit"]["changes"][uri(path)].as_array().unwrap_or_else(|| panic!("{action:#}"));
    let mut text = text.to_owned();
    for edit in edits {
        let at = |position: &Value| {
            let line = position["line"].as_u64().expect("a line") as usize;
            let start: usize = text.split_inclusive('\n').take(line).map(str::len).sum();
            let units = position["character"].as_u64().expect("a character");
            let mut left = units as usize;
            let taken = text[start..].chars().take_while(|c| {
                left >= c.len_utf16() && {
                    left -= c.len_utf16();
                    true
                }
            });
            start + taken.map(char::len_utf8).sum::<usize>()
        };
        let range = at(&edit["range"]["start"])..at(&edit["range"]["end"]);
        text.replace_range(range, edit["newText"].as_str().expect("a text"));
    }
    text
}

#[test]
fn slips_are_mended() {
    let shop = Workshop::with_build();
    let build = shop.path("builds/marlow/build.yaml");
    let mut editor = Editor::started();
    editor.open(&build, BUILD);
    // What is written wrongly, where the pointer stands, what is offered, and what stands there afterwards.
    let cases = [
        ("inlet_height: 360 mm", "inlet_hight: 360 mm", 8, 8, "Write `inlet_height`", "inlet_height: 360 mm"),
        ("place: frame", "place: fraem", 6, 15, "Write `frame`", "place: frame"),
        ("draws_from: main", "draws_from: mian", 7, 19, "Write `main`", "draws_from: main"),
        ("360 mm", "360", 8, 21, "Write `360 mm`", "inlet_height: 360 mm"),
        ("360 mm", "360", 8, 21, "Write `360 in`", "inlet_height: 360 in"),
        ("360 mm", "360,5 mm", 8, 21, "Write `360.5`", "inlet_height: 360.5 mm"),
    ];
    for (number, (right, wrong, line, character, title, after)) in cases.into_iter().enumerate() {
        let text = BUILD.replace(right, wrong);
        editor.replace(&build, number as i32 + 2, &text);
        let offered = actions(&mut editor, &build, line, character);
        let mended = applied(&offered, title, &build, &text);
        assert!(mended.lines().any(|l| l.trim() == after), "{title}: {mended}");
        assert_eq!(offered[0]["isPreferred"], true);
    }
    editor.finish();
}

#[test]
fn a_value_is_written_in_another_unit() {
    let shop = Workshop::with_build();
    let build = shop.path("builds/marlow/build.yaml");
    let mut editor = Editor::started();
    for (version, (written, title, after)) in [
        ("360 mm", "Write it as `14.17323 in`", "14.17323 in"),
        ("14-3/16 in", "Write it as `360.3625 mm`", "360.3625 mm"),
        ("360 mm ± 2 mm", "Write it as `0.36 m ± 0.002 m`", "0.36 m ± 0.002 m"),
        ("{is: 360 mm, known_by: measured}", "Write it as `0.36 m`", "{is: 0.36 m, known_by: measured}"),
    ]
    .into_iter()
    .enumerate()
    {
        let text = BUILD.replace("360 mm", written);
        editor.open(&build, &text);
        let offered = actions(&mut editor, &build, 8, 22);
        let mended = applied(&offered, title, &build, &text);
        assert!(mended.ends_with(&format!("inlet_height: {after}\n")), "{version}: {mended}");
    }
    editor.finish();
}

#[test]
fn a_missing_value_is_put_in_to_be_filled_in() {
    let shop = Workshop::with_build();
    let (build, tanks) = (shop.path("builds/marlow/build.yaml"), shop.path("builds/marlow/tanks.yaml"));
    let mut editor = Editor::started();
    editor.open(&tanks, TANKS);
    editor.open(&build, BUILD);
    let offered = actions(&mut editor, &tanks, 2, 13);
    let title = "Put in `fuel.tanks/main.hottest`";
    let after = applied(&offered, title, &tanks, TANKS);
    assert!(after.contains("      hottest: # in °C, for example "), "{after}");
    assert!(after.starts_with("fuel:\n  tanks:\n    - tank: main\n"), "{after}");
    assert!(after.contains("      lowest_level: 310 mm\n"), "{after}");
    // It is not taken for a measurement.
    editor.replace(&tanks, 2, &after);
    editor.judged(&tanks);
    let terms = editor.coded(&tanks, "terms");
    assert_eq!(terms.len(), 1);
    assert!(terms[0].message.starts_with("nothing is written where a temperature belongs"), "{}", terms[0].message);
    // On one line in brackets there is no room for a comment.
    let flow = "fuel:\n  tanks: [{tank: main, lowest_level: 310 mm}]\n";
    editor.replace(&tanks, 3, flow);
    let offered = actions(&mut editor, &tanks, 1, 18);
    let after = applied(&offered, title, &tanks, flow);
    assert!(after.contains("hottest:") && !after.contains('#'), "{after}");
    editor.finish();
}

#[test]
fn a_finding_can_be_conceded_by_whoever_signs() {
    let shop = Workshop::with_build();
    let build = shop.path("builds/marlow/build.yaml");
    let mut editor = Editor::started();
    editor.open(&build, BUILD);
    let offered = actions(&mut editor, &build, 8, 21);
    let title = "Record a concession for `workshop.pump-low`, to be signed";
    let after = applied(&offered, title, &build, BUILD);
    let entry = "concessions:\n  - rule: workshop.pump-low\n    subject: fuel.pumps/lift\n    reason:\n    by:\n    until: 2026-06-29\n";
    assert!(after.contains(entry), "{after}");
    editor.replace(&build, 2, &after);
    editor.judged(&build);
    let found = editor.coded(&build, "workshop.pump-low");
    assert_eq!(found[0].severity, Some(lsp_types::DiagnosticSeverity::ERROR), "nobody has signed it");
    // Signed, it holds.
    let signed =
        after.replace("reason:\n", "reason: a collector comes next week\n").replace("by:\n", "by: A. Marlow\n");
    editor.replace(&build, 3, &signed);
    editor.judged(&build);
    let found = editor.coded(&build, "workshop.pump-low");
    assert_eq!(found[0].severity, Some(lsp_types::DiagnosticSeverity::HINT));
    let offered = actions(&mut editor, &build, 8, 21);
    assert!(!titles(&offered).contains(&title));
    editor.finish();
}

#[test]
fn only_the_sorts_that_are_asked_for_are_offered() {
    let shop = Workshop::with_build();
    let driveline = shop.path("builds/marlow/driveline.yaml");
    let mut editor = Editor::started();
    editor.open(&driveline, DRIVELINE);
    let at = json!({"line": 3, "character": 15});
    let mut kinds = |only: Value| {
        let context = json!({"diagnostics": [], "only": only});
        let params =
            json!({"textDocument": {"uri": uri(&driveline)}, "range": {"start": at, "end": at}, "context": context});
        let answer = editor.request("textDocument/codeAction", params).expect("an answer");
        let mut kinds: Vec<String> = Vec::new();
        for action in answer.as_array().expect("a list") {
            let kind = action["kind"].as_str().expect("a kind").to_owned();
            if !kinds.contains(&kind) {
                kinds.push(kind);
            }
        }
        kinds
    };
    assert_eq!(kinds(json!(["refactor"])), ["refactor.rewrite"]);
    assert_eq!(kinds(json!(["quickfix"])), [""; 0], "nothing is wrong with the slope itself");
    assert_eq!(kinds(json!(["source"])), [""; 0]);
    editor.finish();
}

#[test]
fn the_value_that_meets_the_limit_is_computed_and_tried() {
    let shop = Workshop::with_build();
    let (build, tanks) = (shop.path("builds/marlow/build.yaml"), shop.path("builds/marlow/tanks.yaml"));
    let mut editor = Editor::started();
    editor.open(&tanks, &format!("{TANKS}      lowest_point: 200 mm\n"));
    for (version, (written, path, title, after)) in [
        // 20 mm below the lowest level of 310 mm, as the mildest class asks.
        ("360 mm", &build, "Meet `workshop.pump-low`: fuel.pumps/lift.inlet_height 290 mm", "290 mm"),
        // In the author's unit, rounded down: 11.42 in would be 290.07 mm.
        ("14.2 in", &build, "Meet `workshop.pump-low`: fuel.pumps/lift.inlet_height 11.41 in", "11.41 in"),
        // The uncertainty stays, and is counted in.
        (
            "{is: 360 mm, give_or_take: 2 mm}",
            &build,
            "Meet `workshop.pump-low`: fuel.pumps/lift.inlet_height 288 mm",
            "{is: 288 mm, give_or_take: 2 mm}",
        ),
    ]
    .into_iter()
    .enumerate()
    {
        let text = BUILD.replace("360 mm", written);
        editor.open(&build, &text);
        let offered = actions(&mut editor, &build, 8, 22);
        let mended = applied(&offered, title, path, &text);
        assert!(mended.ends_with(&format!("inlet_height: {after}\n")), "{version}: {mended}");
        editor.replace(&build, 2, &mended);
        editor.judged(&build);
        assert_eq!(editor.coded(&build, "workshop.pump-low"), [], "{version}");
    }
    // The tank's level decides as well, and can be raised.
    editor.open(&build, BUILD);
    let offered = actions(&mut editor, &build, 8, 22);
    let title = "Meet `workshop.pump-low`: fuel.tanks/main.lowest_level 380 mm";
    assert!(titles(&offered).contains(&title), "{:?}", titles(&offered));
    editor.finish();
}
