//! What the language server tells about the place under the pointer.

mod common;

use common::editor::Editor;
use common::{BUILD, Workshop};
use std::path::Path;

fn told(editor: &mut Editor, path: &Path, line: u32, character: u32) -> String {
    let hover = editor.at("textDocument/hover", path, line, character);
    hover["contents"]["value"].as_str().unwrap_or_default().to_owned()
}

#[test]
fn keys_values_and_findings_are_explained() {
    let shop = Workshop::with_build();
    let build = shop.path("builds/marlow/build.yaml");
    let mut editor = Editor::started();
    editor.open(&build, BUILD);
    // `      inlet_height: 360 mm`
    insta::assert_snapshot!("hover_on_a_key", told(&mut editor, &build, 8, 8));
    insta::assert_snapshot!("hover_on_a_finding", told(&mut editor, &build, 8, 21));
    // `      draws_from: main`
    assert!(told(&mut editor, &build, 7, 19).contains("is `fuel.tanks/main`"));
    assert_eq!(told(&mut editor, &build, 40, 0), "");
    // While a slip hides what follows it, that is told as it was.
    let broken = BUILD.replace("fuel:\n", "fuel: [\n");
    assert_ne!(broken, BUILD);
    editor.replace(&build, 2, &broken);
    let hidden = told(&mut editor, &build, 8, 21);
    assert!(hidden.starts_with("`fuel.pumps/lift.inlet_height`\n= **360 mm**"), "{hidden}");
    editor.finish();
}
