//! What the language server proposes at the place where someone is writing.

mod common;

use common::editor::{Editor, able, uri};
use common::{BUILD, DRIVELINE, Workshop};
use serde_json::{Value, json};
use std::path::Path;

/// Labels and what would be put in, at the `|` of a text.
fn proposed(editor: &mut Editor, path: &Path, version: i32, text: &str) -> Vec<(String, String)> {
    let byte = text.find('|').expect("a place");
    let before = &text[..byte];
    let (line, column) = (before.matches('\n').count(), before.lines().last().map_or(0, str::len));
    let column = if before.ends_with('\n') { 0 } else { column };
    editor.replace(path, version, &text.replacen('|', "", 1));
    let list = editor.at("textDocument/completion", path, line as u32, column as u32);
    let items = list["items"].as_array().cloned().unwrap_or_default();
    let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
    items.iter().map(|item| (text(&item["label"]), text(&item["textEdit"]["newText"]))).collect()
}

fn labels(proposed: &[(String, String)]) -> Vec<&str> {
    proposed.iter().map(|(label, _)| label.as_str()).collect()
}

#[test]
fn keys_words_units_and_names_are_proposed() {
    let shop = Workshop::with_build();
    let build = shop.path("builds/marlow/build.yaml");
    let mut editor = Editor::started();
    editor.open(&build, BUILD);
    editor.judged(&build);
    // Keys of a pump: what is written is not proposed again; what rules wait for comes before the rest.
    let found = proposed(&mut editor, &build, 2, &format!("{BUILD}      |\n"));
    assert!(!labels(&found).contains(&"inlet_height"), "{found:?}");
    assert_eq!(found[0].1, format!("{}: $0", found[0].0));
    // The name comes first in a new item, and a list takes a new item.
    let found = proposed(&mut editor, &build, 3, "tramgauge: 1\nfuel:\n  pumps:\n    - |\n");
    assert_eq!(found[0], ("pump".into(), "pump: $0".into()));
    let found = proposed(&mut editor, &build, 4, "tramgauge: 1\nfuel:\n  pumps:\n    - pump: a\n    |\n");
    assert_eq!(found[0], ("- pump:".into(), "- pump: $0".into()));
    // Words, also while the rest is broken.
    let found = proposed(&mut editor, &build, 5, &BUILD.replace("place: frame", "place: |\n      broken: [\n"));
    assert!(labels(&found).contains(&"in the tank"), "{found:?}");
    // Units of the right dimension behind a number.
    let found = proposed(&mut editor, &build, 6, &BUILD.replace("360 mm", "360|"));
    assert_eq!(found[0], ("mm".into(), "360 mm".into()));
    assert_eq!(labels(&found), ["mm", "in", "m", "none"]);
    // Names, from the section that says them.
    let found = proposed(&mut editor, &build, 7, &BUILD.replace("draws_from: main", "draws_from: |"));
    assert_eq!(found[0], ("main".into(), "main".into()));
    // The long form.
    let found = proposed(&mut editor, &build, 8, &BUILD.replace("360 mm", "{is: 360 mm, |}"));
    assert_eq!(labels(&found), ["give_or_take", "known_by", "taken", "evidence"]);
    let found = proposed(&mut editor, &build, 9, &BUILD.replace("360 mm", "{is: 360 mm, known_by: |}"));
    assert_eq!(labels(&found), ["measured", "maker", "drawn", "assumed"]);
    // Concessions: rules that are broken come first, and their subjects.
    editor.replace(&build, 10, BUILD);
    editor.judged(&build);
    let concession = "concessions:\n  - rule: |\n    subject: x\n";
    let found = proposed(&mut editor, &build, 10, &format!("{BUILD}{concession}"));
    assert_eq!(labels(&found)[..2], ["workshop.pump-low", "workshop.joint-bend"]);
    assert!(found.len() > 300, "then all others: {}", found.len());
    let found = proposed(&mut editor, &build, 11, &format!("{BUILD}concessions:\n  - rule: x\n    subject: |\n"));
    assert_eq!(labels(&found)[0], "fuel.pumps/lift");
    // Sections that are not listed yet.
    shop.write("builds/marlow/brakes.yaml", b"brakes: {}\n");
    let found = proposed(&mut editor, &build, 12, &BUILD.replace("tanks.yaml]", "tanks.yaml, |]"));
    assert_eq!(labels(&found), ["brakes.yaml"]);
    // Nothing in a comment.
    let found = proposed(&mut editor, &build, 13, &format!("{BUILD}# bra|\n"));
    assert_eq!(found, []);
    editor.finish();
}

#[test]
fn an_item_of_a_mixed_list_is_one_of_several() {
    let shop = Workshop::with_build();
    let driveline = shop.path("builds/marlow/driveline.yaml");
    let mut editor = Editor::started();
    editor.open(&driveline, DRIVELINE);
    editor.judged(&driveline);
    let found = proposed(&mut editor, &driveline, 2, &format!("{DRIVELINE}    |\n"));
    let items = labels(&found);
    assert!(items.contains(&"- joint:") && items.contains(&"- shaft:"), "{items:?}");
    let found = proposed(&mut editor, &driveline, 3, &DRIVELINE.replacen("kind: cardan", "kind: cardan\n      |", 1));
    assert!(labels(&found).contains(&"largest_angle"), "{found:?}");
    assert!(!labels(&found).contains(&"tube"), "{found:?}");
    editor.finish();
}

#[test]
fn a_client_without_gaps_gets_plain_text() {
    let shop = Workshop::with_build();
    let build = shop.path("builds/marlow/build.yaml");
    let mut plain = able();
    plain["textDocument"]["completion"] = json!({});
    let mut editor = Editor::started_with(plain, json!({}));
    editor.open(&build, BUILD);
    editor.judged(&build);
    let found = proposed(&mut editor, &build, 2, "tramgauge: 1\nfuel:\n  |\n");
    assert!(found.contains(&("tanks".into(), "tanks:\n  - tank:".into())), "{found:?}");
    assert!(editor.said.contains_key(&uri(&build)));
    editor.finish();
}
