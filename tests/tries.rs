//! `inspect --try`: what other values would make different, variants side by side, and nothing written.

mod common;

use common::Workshop;

const BUILD: &str = "\
tramgauge: 1
build: {name: Marlow estate}
sections: [driveline.yaml, tanks.yaml]
fuel:
  pumps:
    - pump: lift
      place: frame
      draws_from: main
      inlet_height: 360 mm
cases:
  - case: half empty
    set: {fuel.tanks/main.lowest_level: 280 mm}
";

fn workshop() -> Workshop {
    Workshop::new(&[
        ("marlow/build.yaml", BUILD),
        ("marlow/driveline.yaml", common::DRIVELINE),
        ("marlow/tanks.yaml", common::TANKS),
        ("shop-rules/workshop/workshop.yaml", common::WORKSHOP),
    ])
}

/// Runs with the workshop's own rules alone, and sees that no file is changed.
fn tried(more: &[&str]) -> common::Run {
    let workshop = workshop();
    let mut arguments = vec!["inspect", "marlow", "--on", "2026-06-01"];
    arguments.extend(more);
    let run = workshop.run(&arguments);
    let written = std::fs::read_to_string(workshop.path("marlow/build.yaml")).expect("the file");
    assert_eq!(written, BUILD, "nothing is written");
    run
}

#[test]
fn variants_stand_side_by_side() {
    let run = tried(&[
        "--try",
        "fuel.pumps/lift.inlet_height = 250 mm",
        "--try",
        "fuel.pumps/lift.inlet_height = {is: 300 mm, give_or_take: 1 mm}; driveline.line/front section.slope = 2 deg",
    ]);
    // The count depends on how many rules are built in.
    let shown = run.out.split("── count").next().unwrap_or_default();
    assert!(shown.lines().all(|line| line.chars().count() <= 80), "{shown}");
    insta::assert_snapshot!(shown);
    assert_eq!(run.status, 1, "the second variant is still broken in one case");
}

#[test]
fn the_same_for_machines() {
    let run = tried(&["--as", "json", "--try", "fuel.pumps/lift.inlet_height = 250 mm;"]);
    let told: serde_json::Value = serde_json::from_str(&run.out).unwrap_or_else(|why| panic!("{why}: {}", run.out));
    assert_eq!(told["variants"][0]["set"][0]["written"], "360 mm");
    assert_eq!(told["variants"][0]["set"][0]["value"], "250 mm");
    let outcomes = told["outcomes"].as_array().unwrap_or_else(|| panic!("outcomes"));
    let pump = outcomes.iter().find(|o| o["rule"] == "workshop.pump-low").unwrap_or_else(|| panic!("{outcomes:?}"));
    assert_eq!(pump["as_written"]["outcome"], "major");
    assert_eq!(pump["as_written"]["case"], "half empty");
    assert_eq!(pump["tried"][0]["outcome"], "unmeasured");
}

#[test]
fn what_cannot_be_tried_is_told_with_the_caret_in_the_argument() {
    let run = tried(&[
        "--try",
        "fuel.pumps/lift.inlet_hight = 3 mm; fuel.pumps/lift.inlet_height = 3 kg; fuel.tanks/mian.lowest_level = 3 mm",
        "--try",
        "fuel.pumps/lift.inlet_height; = 3 mm; fuel.pumps/lift.place = [",
    ]);
    assert_eq!(run.status, 2);
    insta::assert_snapshot!(run.out);
}

#[test]
fn what_nothing_rests_on_says_so_and_one_build_is_asked_for() {
    let run = tried(&["--try", "build.use = [circuit]", "--as", "sarif"]);
    assert_eq!((run.status, run.out.as_str()), (2, ""));
    assert!(run.err.contains("terminal or json"), "{}", run.err);
}
