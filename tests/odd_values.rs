//! Values that something is odd about: outside what is usual, or measured before the car was changed; and uncertainty as a number.

#[path = "common/bench.rs"]
mod bench;

use bench::{day, reads, shown};
use tramgauge::assess::{Request, assess};
use tramgauge::language::Overrides;
use tramgauge::rulebook::{Rulebook, load_built_in};
use tramgauge::source::{MemoryFiles, read_build};
use tramgauge::terms::{Spec, Terms, build_spec};

const TEXT: &str = "\
build:
  changes:
    - {change: springs, on: 2026-05-10, moves: [suspension]}
    - {change: dampers, on: 2026-05-20, moves: [suspension.units]}
    - {change: pedal, on: 2026-05-30, moves: [brakes.pedal]}
vehicle:
  wheelbase: {is: 900 mm, taken: 2026-05-20}
driveline:
  final_drive:
    slope: {is: 2 deg, give_or_take: 0.3 deg, taken: 2026-05-09}
    sweep: 1 deg
    axis_point: [{is: -2460 mm, taken: 2026-05-01}, 0 mm, 305 mm]
  gearbox_output:
    slope: {is: 3 deg, give_or_take: 0.4 deg, taken: 2026-05-21}
    sweep: {is: 30 deg, taken: 2026-05-21}
";

fn ready() -> (Rulebook, Spec) {
    let terms = Terms::built_in().unwrap_or_else(|_| panic!("the built-in terms load"));
    let book = load_built_in(terms, &[]).unwrap_or_else(|_| panic!("the built-in rules load"));
    let files = MemoryFiles::from_texts([("build.yaml", TEXT)]);
    let (spec, errors) = build_spec(&book.library.terms, read_build(&files, "build.yaml"));
    assert!(errors.is_empty(), "{:?}", errors.iter().map(|e| e.message()).collect::<Vec<_>>());
    (book, spec)
}

#[test]
fn measurements_older_than_a_change_of_what_moves_them_are_stale() {
    let (_, spec) = ready();
    let stale: Vec<String> = spec.stale().map(|place| spec.path(place)).collect();
    assert_eq!(stale, ["driveline.final_drive.slope", "driveline.final_drive.axis_point.x"]);
    let slope = spec.find("driveline.final_drive.slope").expect("the slope");
    let changed = spec.changed_after(slope).expect("a change after it");
    assert_eq!(spec.path(changed), "build.changes/dampers.on");
}

#[test]
fn a_stale_measurement_is_unmeasured_until_another_is_tried_in_its_place() {
    let (book, spec) = ready();
    let asked = reads(&book, &spec, "driveline.final_drive.slope + driveline.final_drive.sweep");
    assert!(asked.contains("driveline.final_drive.slope"), "{asked}");
    assert!(!asked.contains("3 deg"), "{asked}");
    assert!(reads(&book, &spec, "driveline.final_drive.axis_point.x").contains("axis_point.x"));
    assert_eq!(reads(&book, &spec, "nominal(driveline.gearbox_output.slope)"), "3 deg");

    let slope_read = |overrides: &Overrides| {
        let request = Request { spec: &spec, rulebook: &book, day: day(), figures: true, explained: false, only: None };
        let judged = assess(&request, overrides);
        let found = judged
            .figures
            .iter()
            .find(|f| f.subject == "driveline.final_drive" && &*book.figures[f.figure].name == "side_slope");
        shown(&found.expect("the figure").reading)
    };
    assert!(slope_read(&Overrides::new()).contains("driveline.final_drive.slope"));
    let slope = spec.find("driveline.final_drive.slope").expect("the slope");
    let again = Overrides::from([(slope, spec.held(slope).clone())]);
    assert_eq!(slope_read(&again), "2 deg ± 0.3 deg");
}

#[test]
fn rules_range_over_odd_values_and_ask_what_is_odd() {
    let (book, spec) = ready();
    let listed = "list of v.written for v in unusual_values";
    assert_eq!(reads(&book, &spec, listed), "[900 mm, 30 deg]");
    assert_eq!(
        reads(&book, &spec, "list of v.usual for v in unusual_values"),
        "[1500 mm to 4500 mm, -10 deg to 10 deg]"
    );
    assert_eq!(reads(&book, &spec, "list of v.changed for v in stale_values"), "[2026-05-20, 2026-05-20]");
    assert_eq!(reads(&book, &spec, "any v in stale_values has v.taken >= v.changed"), "no");
    assert!(reads(&book, &spec, "any v in stale_values has v.colour").contains("fault"));
}

#[test]
fn a_stated_uncertainty_is_a_number_and_no_statement_is_none() {
    let (book, spec) = ready();
    assert_eq!(reads(&book, &spec, "give_or_take(driveline.gearbox_output.slope)"), "0.4 deg");
    // Shared inputs cancel, and what nobody stated is not zero.
    let otherwise = |x: &str| reads(&book, &spec, &format!("give_or_take({x}) otherwise 9 deg"));
    assert_eq!(otherwise("driveline.gearbox_output.slope - driveline.gearbox_output.slope / 2"), "0.2 deg");
    assert_eq!(otherwise("driveline.final_drive.sweep"), "9 deg");
}
