//! What the language server says of a build while it is typed, as a client sees it.

mod common;

use common::editor::{Editor, able, uri};
use common::{DRIVELINE, TANKS, WORKSHOP, Workshop};
use serde_json::json;

const PUMP: &str = "builds/marlow/build.yaml";

#[test]
fn a_whole_build_is_judged_from_what_is_typed() {
    let shop = Workshop::with_build();
    let (build, tanks, driveline) =
        (shop.path(PUMP), shop.path("builds/marlow/tanks.yaml"), shop.path("builds/marlow/driveline.yaml"));
    let mut editor = Editor::started();
    // Only a section is open; what it does to the others is said there.
    editor.open(&tanks, TANKS);
    editor.judged(&tanks);
    let pump = editor.coded(&build, "workshop.pump-low");
    assert_eq!(pump.len(), 1, "{:?}", editor.said);
    assert!(pump[0].message.starts_with("major: lift draws at 360 mm, 50 mm above the lowest fuel level"));
    assert!(pump[0].message.contains("could be dangerous"), "{}", pump[0].message);
    let related = pump[0].related_information.as_deref().expect("related places");
    let level = related.iter().find(|r| r.message == "fuel.tanks/main.lowest_level: 310 mm").expect("the level");
    assert_eq!(level.location.uri.as_str(), uri(&tanks));
    assert_eq!((level.location.range.start.line, level.location.range.start.character), (3, 20));
    assert_eq!(editor.said[&uri(&tanks)].version, Some(1));
    assert_eq!(editor.said[&uri(&build)].version, None, "it is not open");
    let unproven = "information 9 workshop.joint-bend";
    assert_eq!(editor.wrong(&driveline), ["error 5 workshop.joint-bend", unproven]);
    let unproven = &editor.coded(&driveline, "workshop.joint-bend")[1];
    assert!(unproven.message.starts_with("unproven: 2.9 deg ± "), "{}", unproven.message);

    // Typed, not saved: the tank is raised, and the pump is low enough.
    editor.change(
        &tanks,
        2,
        json!([{"range": {"start": {"line": 3, "character": 20}, "end": {"line": 3, "character": 23}}, "text": "400"}]),
    );
    editor.judged(&tanks);
    assert_eq!(editor.coded(&build, "workshop.pump-low"), []);
    assert_eq!(editor.said[&uri(&tanks)].version, Some(2));

    // Closed without saving: the file counts again.
    editor.close(&tanks);
    editor.open(&driveline, DRIVELINE);
    editor.judged(&driveline);
    assert_eq!(editor.coded(&build, "workshop.pump-low").len(), 1);

    // Changed on the disk by another program.
    shop.write("builds/marlow/tanks.yaml", TANKS.replace("310", "400").as_bytes());
    editor.notify("workspace/didChangeWatchedFiles", json!({"changes": [{"uri": uri(&tanks), "type": 2}]}));
    editor.judged(&driveline);
    assert_eq!(editor.coded(&build, "workshop.pump-low"), []);
    editor.finish();
}

#[test]
fn builds_of_which_nothing_is_open_are_judged_when_there_is_time() {
    let shop = Workshop::with_build();
    shop.write("builds/other/build.yaml", b"tramgauge: 1\nbuild: {name: Other}\nbrakes: {odd_key: 1}\n");
    let other = shop.path("builds/other/build.yaml");
    let mut editor = Editor::started();
    editor.open_file(&shop.path(PUMP));
    editor.wait("the other build is judged", |e| e.said.contains_key(&uri(&other)));
    assert_eq!(editor.wrong(&other), ["error 3 terms"]);
    // A build that goes takes along what was said of it.
    std::fs::remove_file(&other).expect("a file");
    editor.notify("workspace/didChangeWatchedFiles", json!({"changes": [{"uri": uri(&other), "type": 3}]}));
    editor.wait("nothing is said of it", |e| e.said[&uri(&other)].diagnostics.is_empty());
    editor.finish();

    let mut editor = Editor::started_with(able(), json!({"all_builds": false}));
    shop.write("builds/other/build.yaml", b"tramgauge: 1\nbuild: {name: Other}\nbrakes: {odd_key: 1}\n");
    editor.open_file(&shop.path(PUMP));
    editor.judged(&shop.path(PUMP));
    editor.close(&shop.path(PUMP));
    editor.judged(&shop.path(PUMP));
    assert!(!editor.said.contains_key(&uri(&other)));
    editor.finish();
}

#[test]
fn what_is_broken_leaves_the_rest_judged() {
    let shop = Workshop::with_build();
    let (build, driveline) = (shop.path(PUMP), shop.path("builds/marlow/driveline.yaml"));
    let mut editor = Editor::started();
    editor.open_file(&build);
    editor.open(&driveline, &DRIVELINE.replace("slope: 4.5 deg", "slope: [4.5 deg"));
    editor.judged(&driveline);
    assert!(editor.wrong(&driveline).contains(&"error 5 files".to_owned()), "{:?}", editor.short(&driveline));
    assert_eq!(editor.coded(&build, "workshop.pump-low").len(), 1);
    // A slip in a key, a missing unit, a word that is not known.
    let text = DRIVELINE.replace("slope: 4.5 deg", "slpoe: 4.5 deg").replace("3.5° ± 0.2°", "3.5").replacen(
        "kind: cardan",
        "kind: cordan",
        1,
    );
    editor.replace(&driveline, 2, &text);
    editor.judged(&driveline);
    let terms = editor.coded(&driveline, "terms");
    let said: Vec<&str> = terms.iter().map(|d| d.message.as_str()).collect();
    assert_eq!(terms.len(), 3, "{said:?}");
    assert!(said[0].contains("did you mean `slope`?"), "{said:?}");
    assert!(said[1].contains("did you mean `cardan`?"), "{said:?}");
    assert!(said[2].contains("deg"), "{said:?}");
    editor.replace(&driveline, 3, DRIVELINE);
    editor.judged(&driveline);
    assert_eq!(editor.coded(&driveline, "terms"), []);
    editor.finish();
}

#[test]
fn errors_of_own_rules_are_shown_in_their_file_and_the_last_good_rules_go_on() {
    let shop = Workshop::with_build();
    let (build, rules) = (shop.path(PUMP), shop.path("shop-rules/workshop/workshop.yaml"));
    let mut editor = Editor::started();
    editor.open_file(&build);
    editor.open(&rules, WORKSHOP);
    editor.judged(&build);
    assert_eq!(editor.short(&rules), [""; 0]);
    editor.replace(&rules, 2, &WORKSHOP.replace("joint.shop_bend <= 3 deg", "joint.shop_bend <= 3 mm"));
    editor.judged(&build);
    let line = WORKSHOP.lines().position(|l| l.contains("joint.shop_bend <= 3 deg")).expect("the line") + 1;
    assert_eq!(editor.short(&rules), [format!("error {line} rulebook")]);
    assert_eq!(editor.coded(&build, "workshop.pump-low").len(), 1, "the last good rules still hold");
    editor.replace(&rules, 3, &WORKSHOP.replace("lowest_level - 20 mm", "lowest_level + 80 mm"));
    editor.judged(&build);
    assert_eq!(editor.short(&rules), [""; 0]);
    editor.finish();
}

#[test]
fn what_is_unmeasured_is_shown_unless_it_is_not_wanted() {
    let shop = Workshop::with_build();
    let build = shop.path(PUMP);
    let mut editor = Editor::started();
    editor.open_file(&build);
    editor.judged(&build);
    let open = editor.coded(&build, "unmeasured");
    assert!(!open.is_empty());
    assert!(open.iter().all(|d| d.message.starts_with("not written: ")));
    editor.notify("workspace/didChangeConfiguration", json!({"settings": {"tramgauge": {"unmeasured": false}}}));
    editor.judged(&build);
    assert_eq!(editor.coded(&build, "unmeasured"), []);
    assert_eq!(editor.coded(&build, "workshop.pump-low").len(), 1);
    editor.finish();
}

#[test]
fn a_concession_in_force_leaves_a_hint() {
    let shop = Workshop::with_build();
    let build = shop.path(PUMP);
    let mut editor = Editor::started();
    let concession = "\nconcessions:\n  - rule: workshop.pump-low\n    subject: fuel.pumps/lift\n    reason: a collector comes next week\n    by: A. Marlow\n    until: 2026-07-01\n";
    editor.open(&build, &format!("{}{concession}", common::BUILD));
    editor.judged(&build);
    let found = editor.coded(&build, "workshop.pump-low");
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].severity, Some(lsp_types::DiagnosticSeverity::HINT));
    assert!(found[0].message.contains("granted by A. Marlow until 2026-07-01"), "{}", found[0].message);
    editor.finish();
}
