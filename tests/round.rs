//! The measuring round: printed, filled in, and taken back into the files of a spec.

mod common;

use common::{Run, Workshop};
use serde_yaml::Value;

const DAY: &str = "2026-06-14";

fn take(workshop: &Workshop, build: &str, list: &str) -> Run {
    workshop.write("list.txt", list.as_bytes());
    workshop.run(&["needed", build, "--take", "list.txt", "--on", DAY])
}

fn text(workshop: &Workshop, name: &str) -> String {
    std::fs::read_to_string(workshop.path(name)).expect("a file")
}

#[test]
fn a_round_is_a_walk_by_place_and_tool() {
    let round = |build: &str, more: &[&str]| {
        let path = format!("examples/{build}");
        let arguments = [&["needed", &path, "--round", "--on", "2026-06-01"][..], more].concat();
        Workshop::with_example(build).run(&arguments)
    };
    let whole = round("lark-roadster", &[]);
    assert_eq!((whole.status, &*whole.err), (0, ""));
    insta::assert_snapshot!("lark-roadster", whole.out);
    let tunnel = round("fell-wagon", &["--before", "cutting the tunnel"]);
    insta::assert_snapshot!("fell-wagon_tunnel", tunnel.out);
    let json: serde_json::Value = serde_json::from_str(&round("fell-wagon", &["--as", "json"]).out).expect("JSON");
    let lines = json["round"].as_array().expect("lines");
    assert!(lines.len() > 50, "{}", lines.len());
    for line in lines {
        assert!(line["where"].is_string() && line["tool"].is_string(), "the terms say where and with what: {line}");
    }
}

/// Lines of a printed list with their blanks filled in.
fn fill(list: &str, values: &[(&str, &str)]) -> String {
    let mut filled = String::new();
    let mut left = values.len();
    for line in list.lines() {
        let value = values.iter().find(|(path, _)| line.starts_with(&format!("{path} = ")));
        match (value, line.rfind("   (")) {
            (Some((path, value)), Some(at)) => {
                filled += &format!("{path} = {value}{}\n", &line[at..]);
                left -= 1;
            }
            _ => filled += &format!("{line}\n"),
        }
    }
    assert_eq!(left, 0, "every value was asked for\n{list}");
    filled
}

#[test]
fn a_filled_round_changes_just_those_values() {
    let workshop = Workshop::with_example("fell-wagon");
    let build = "examples/fell-wagon";
    let list = workshop.run(&["needed", build, "--round", "--on", "2026-06-01"]).out;
    let filled = fill(
        &list,
        &[
            ("vehicle.front.tyre.loaded_radius", "288 mm \u{b1} 2 mm"),
            ("driveline.final_drive.slope", "-2.5 deg \u{b1} 0.1 deg"),
            ("driveline.line/prop shaft.slope_at_bump", "3.1 deg \u{b1} ______ deg"),
            ("wheels.axles/front.hub_nut.new", "yes"),
            ("steering.gear.bar_moves", "to the left"),
        ],
    );
    let names: Vec<String> = std::fs::read_dir(workshop.path(build))
        .expect("the build")
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
        .filter(|name| name.ends_with(".yaml"))
        .collect();
    let file = |name: &str| text(&workshop, &format!("{build}/{name}"));
    let before: Vec<String> = names.iter().map(|name| file(name)).collect();
    let run = take(&workshop, build, &filled);
    assert_eq!(run.status, 0, "{}{}", run.out, run.err);
    assert!(run.out.starts_with("5 values taken"), "{}", run.out);
    let mut changes = Vec::new();
    for (name, before) in names.iter().zip(&before) {
        let after = file(name);
        let (old, new): (Vec<&str>, Vec<&str>) = (before.lines().collect(), after.lines().collect());
        let gone: Vec<&&str> = old.iter().filter(|line| !new.contains(line)).collect();
        let come: Vec<&&str> = new.iter().filter(|line| !old.contains(line)).collect();
        changes.extend(gone.iter().map(|line| format!("{name} - {line}")));
        changes.extend(come.iter().map(|line| format!("{name} + {line}")));
        let kept: Vec<&&str> = new.iter().filter(|line| old.contains(line)).collect();
        assert!(
            kept.iter().eq(old.iter().filter(|line| new.contains(line)).collect::<Vec<_>>().iter()),
            "{name}: order"
        );
    }
    changes.sort();
    insta::assert_snapshot!("what_changes", changes.join("\n"));
    let again = take(&workshop, build, &filled);
    assert_eq!(again.status, 2);
    assert!(again.err.contains("and the spec now says -2.5 deg"), "a list is taken once: {}", again.err);
}

const BUILD: &str = "tramgauge: 1\r\nbuild: {name: Marlow}\r\nsections: [fuel.yaml]\r\n\r\n# Weighed twice.\r\nvehicle:\r\n    wheelbase: \"2400 mm\"  # from the old card\r\n";
const FUEL: &str = "\
# Pumps and tanks
fuel:
  tanks:
  - tank: main        # behind the axle
    lowest_level:
      is: 310 mm      # on the left
      give_or_take: 5 mm
      known_by: assumed
      evidence: {file: photos/tank.jpg}

  # two of them
  pumps:
  - pump: lift
    part: parts/pump.yaml
    place: frame
  - {pump: main, place: frame, inlet_height: 360 mm}
";

fn small() -> Workshop {
    Workshop::new(&[
        ("b/build.yaml", BUILD),
        ("b/fuel.yaml", FUEL),
        ("parts/pump.yaml", "inlet_height: 250 mm\n"),
        ("photos/tank.jpg", "x"),
    ])
}

#[test]
fn layout_comments_line_ends_and_quotes_stay() {
    let workshop = small();
    let list = "\
vehicle.wheelbase = 2402 mm \u{b1} 2 mm
fuel.tanks/main.lowest_level = 305 mm
fuel.pumps/main.inlet_height = 12 in +/- 1/4 in
fuel.pumps/lift.inlet_height = 262 mm \u{b1} 3 mm (was 250 mm)
fuel.pumps/lift.draws_from = main
gearbox.tilt = 4 deg
suspension.axles/front.wheel_centre = [0 mm, 700 mm, 290 mm] \u{b1} 2 mm
";
    let run = take(&workshop, "b", list);
    assert_eq!(run.status, 0, "{}{}", run.out, run.err);
    insta::assert_snapshot!("small_build", text(&workshop, "b/build.yaml").replace("\r\n", "\u{240d}\n"));
    insta::assert_snapshot!("small_fuel", text(&workshop, "b/fuel.yaml"));
    assert_eq!(text(&workshop, "parts/pump.yaml"), "inlet_height: 250 mm\n", "a data sheet is not this car");
    let read: Value = serde_yaml::from_str(&text(&workshop, "b/fuel.yaml")).expect("YAML");
    let level = &read["fuel"]["tanks"][0]["lowest_level"];
    assert_eq!((level["is"].as_str(), level["known_by"].as_str()), (Some("305 mm"), Some("measured")));
    assert_eq!(level["taken"].as_str(), Some(DAY));
    assert!(
        level.get("give_or_take").is_none() && level.get("evidence").is_none(),
        "what was said of the old value goes with it"
    );
    assert_eq!(read["fuel"]["pumps"][1]["inlet_height"]["give_or_take"].as_str(), Some("1/4 in"));
    let hidden = std::fs::read_dir(workshop.path("b")).expect("the build").count();
    assert_eq!(hidden, 2, "no new file is left over");
}

#[test]
fn what_does_not_fit_is_refused_with_its_line_and_nothing_is_written() {
    let cases = [
        ("fuel.tanks/main.lowest_level = 305 kg", "`305 kg` is a mass; a length belongs here"),
        ("fuel.tanks/main.lowest_level = 305", "list.txt:3: "),
        ("fuel.tanks/main.lowest_level = 305 mm \u{b1} 3 kg", "list.txt:3: "),
        ("fuel.tanks/mian.lowest_level = 305 mm", "did you mean fuel.tanks/main.lowest_level?"),
        ("fuel.tanks/main.lowest_levl = 305 mm", "the spec has no place fuel.tanks/main.lowest_levl"),
        ("fuel.tanks/main.lowest_level = 305 in", "is far outside of what is usual here"),
        (
            "fuel.tanks/main.lowest_level = 304 mm\nfuel.tanks/main.lowest_level = 305 mm",
            "list.txt:4: fuel.tanks/main.lowest_level stands in line 3 already",
        ),
        ("fuel.tanks/main.lowest_level = ______ mm \u{b1} 2 mm", "an uncertainty stands here without a value"),
        (
            "fuel.tanks/main.lowest_level = 305 mm (was 312 mm)",
            "the list was printed for 312 mm, and the spec now says 310 mm",
        ),
        ("fuel.tanks/main.lowest_level = 305 mm (not written)", "the list was printed without it"),
        ("fuel.pumps/main.place = fame", "is none of: "),
        ("fuel.tanks = none of them", "is written into the spec by hand"),
        ("fuel.tanks/main.lowest_level", "no line of the form"),
    ];
    let workshop = small();
    for (line, words) in cases {
        let run = take(&workshop, "b", &format!("# a list\nvehicle.wheelbase = 2402 mm\n{line}\n"));
        assert_eq!(run.status, 2, "{line}: {}", run.out);
        assert!(run.err.contains(words) && run.err.contains("list.txt:"), "{line}: {}", run.err);
        assert!(run.err.contains("nothing is written"), "{line}: {}", run.err);
        assert_eq!(text(&workshop, "b/build.yaml"), BUILD, "{line}");
        assert_eq!(text(&workshop, "b/fuel.yaml"), FUEL, "{line}");
    }
}

#[test]
fn a_measurement_that_still_holds_is_not_written_over_unseen() {
    let workshop = small();
    assert_eq!(take(&workshop, "b", "vehicle.wheelbase = 2402 mm\n").status, 0);
    let other = take(&workshop, "b", "vehicle.wheelbase = 2404 mm\n");
    assert!(other.err.contains("the spec says 2402 mm, measured"), "{}", other.err);
    let seen = take(&workshop, "b", "vehicle.wheelbase = 2404 mm (was 2402 mm, measured)\n");
    assert_eq!(seen.status, 0, "{}", seen.err);
}

#[test]
fn a_spec_with_errors_of_syntax_is_left_alone() {
    let workshop = small();
    let broken = FUEL.replace("360 mm}", "360 mm");
    workshop.write("b/fuel.yaml", broken.as_bytes());
    let run = take(&workshop, "b", "vehicle.wheelbase = 2402 mm\n");
    assert_eq!(run.status, 2);
    assert!(run.err.contains("nothing is written"), "{}", run.err);
    assert_eq!(text(&workshop, "b/build.yaml"), BUILD);
}

/// A car that is not finished, in `tests/data/heron`: its shaft is not cut yet.
#[test]
fn a_round_for_one_step_of_an_unfinished_car_settles_it() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/heron");
    let workshop = Workshop::new(&[]);
    for name in ["build.yaml", "driveline.yaml", "brakes.yaml"] {
        workshop.write(&format!("heron/{name}"), &std::fs::read(folder.join(name)).expect("a file"));
    }
    let step = "cutting the shafts";
    let waits = |workshop: &Workshop| {
        let run = workshop.run(&["needed", "heron", "--before", step, "--on", DAY, "--as", "json"]);
        let answer: serde_json::Value = serde_json::from_str(&run.out).expect("JSON");
        assert_eq!(answer["breaks"][0]["rule"], "driveline.critical-speed", "the shaft would be cut too long");
        let settle = answer["settle"].as_array().expect("a list");
        settle.iter().filter_map(|one| one["path"].as_str().map(String::from)).collect::<Vec<_>>()
    };
    let before = waits(&workshop);
    let list = workshop.run(&["needed", "heron", "--round", "--before", step, "--on", DAY]).out;
    let values = [
        ("driveline.line/axle joint.largest_angle", "22 deg \u{b1} 1 deg"),
        ("driveline.line/prop shaft.held", "by the axle"),
        ("driveline.final_drive.mounting", "on a live axle"),
        ("driveline.final_drive.sweep", "0.2 deg \u{b1} 0.3 deg"),
        ("gearbox.reverse", "3.28:1 \u{b1} ______"),
        ("vehicle.driven", "rear"),
    ];
    let run = take(&workshop, "heron", &fill(&list, &values));
    assert_eq!(run.status, 0, "{}{}", run.out, run.err);
    let after = waits(&workshop);
    for (path, _) in values {
        assert!(before.iter().any(|known| known == path) && !after.iter().any(|known| known == path), "{path}");
    }
}

#[test]
fn a_list_made_to_hurt_is_refused_line_by_line() {
    let lines = [
        "= 3 mm",
        "/ = 3 mm",
        ". = 3 mm",
        "fuel.tanks/ = 3 mm",
        "fuel.tanks/\u{b1}.x = 3 mm",
        "vehicle.wheelbase = \u{b1}",
        "vehicle.wheelbase = (was )",
        "vehicle.wheelbase = )",
        "vehicle.wheelbase = ½",
        "vehicle.wheelbase = [1 mm",
        "vehicle.wheelbase = 1e999 mm",
        "suspension.axles/front.wheel_centre = []",
        "suspension.axles/front.wheel_centre = [1 mm, 2 mm]",
        "fuel.tanks/main.lowest_level.is = 3 mm",
        "sections = [x]",
        "tramgauge = 2",
        "fuel = none at all",
        "\u{202e} = 1",
        "vehicle.wheelbase.x.y = 1 mm",
        "own.x = 1",
    ];
    let workshop = small();
    let run = take(&workshop, "b", &lines.join("\n"));
    assert_eq!(run.status, 2, "{}", run.out);
    assert!(!run.err.contains("panicked"), "{}", run.err);
    assert_eq!(
        (text(&workshop, "b/build.yaml"), text(&workshop, "b/fuel.yaml")),
        (BUILD.to_string(), FUEL.to_string())
    );
    for number in 1..=lines.len() {
        let told = run.err.contains(&format!("list.txt:{number}: "));
        // A lone sign, or brackets with nothing before them, leave the blanks as they were.
        assert!(told || [6, 7].contains(&number), "line {number}: {}", run.err);
    }
}
